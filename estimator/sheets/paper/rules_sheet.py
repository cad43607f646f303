"""The sheet of rules of thumb, as plain data: each in the restorer's words, on its tape, with what became of it."""

from __future__ import annotations

import datetime as dt
import io
from dataclasses import replace
from typing import Any

from estimator.record.rules.verdicts import Verdict, Verdicts
from estimator.said.rules import (
    CALLED_WRONG,
    lent_words,
    past_words,
    shared_words,
    summary_words,
    verdict_words,
)
from estimator.sheets.drawing.style import IN_PRINT
from estimator.sheets.figures.rules import save_rules
from estimator.sheets.layouts.rules import rule_rows
from estimator.words.dates import say_day
from estimator.words.phrases import capital, say_count
from estimator.words.settings.schema import Settings

WIDE_PX = 680


def rules_sheet(verdicts: Verdicts, settings: Settings, *, today: dt.date) -> dict[str, Any]:
    """What the sheet says: own rules in the order of the settings, then what all share, then the lent ones counted."""
    own = [verdict for verdict in verdicts.rules if not verdict.lent]
    lent = [verdict for verdict in verdicts.rules if verdict.lent]
    return {
        "title": "Your rules of thumb",
        "workshop": settings.workshop.name,
        "day": say_day(today),
        "summary": summary_words(own),
        "rules": [_rule(verdict) for verdict in own],
        "shared": " ".join(
            words for words in (shared_words(verdicts.shared), CALLED_WRONG if own else "") if words
        ),
        "lent": lent_words(lent),
    }


def _rule(verdict: Verdict) -> dict[str, Any]:
    """One rule: the restorer's words, the verdict, what past boards say in a line, and its tape."""
    row = next(iter(rule_rows(Verdicts((verdict,), None))), None)
    figure = None
    if row is not None:
        picture = io.StringIO()
        save_rules(picture, [replace(row, words="")], title="", wide_px=WIDE_PX, palette=IN_PRINT)
        cases = f" {say_count(len(row.cases), 'past board')} on the tape." if row.cases else ""
        figure = {
            "svg": picture.getvalue(),
            "says": capital("; ".join(one.words for one in row.brackets)) + f".{cases}",
        }
    return {
        "words": verdict.text or verdict.name,
        "verdict": f"{capital(verdict_words(verdict))}.",
        "line": past_words(verdict),
        "figure": figure,
    }

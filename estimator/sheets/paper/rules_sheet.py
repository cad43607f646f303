"""The sheet of rules of thumb, as plain data: each in the restorer's words, on its tape, with what became of it."""

from __future__ import annotations

import datetime as dt
import io
from collections import Counter
from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from estimator.record.rules.verdicts import Verdict, Verdicts
from estimator.said.rules import shared_words, side_words, suggested_words, verdict_words
from estimator.sheets.drawing.style import IN_PRINT
from estimator.sheets.figures.rules import rule_rows, save_rules
from estimator.sheets.paper.board_facts import listed
from estimator.words.dates import say_day
from estimator.words.labels import label
from estimator.words.phrases import capital, say_count
from estimator.words.settings.schema import Settings

WIDE_PX = 680
NONE_OWN = "None of the rules of thumb is your own yet."
CALLED_WRONG = "However often you look, a right rule of yours is called wrong in fewer than 1 workshop in 10."


def rules_sheet(verdicts: Verdicts, settings: Settings, *, today: dt.date) -> dict[str, Any]:
    """What the sheet says: own rules in the order of the settings, then what all share, then the lent ones counted."""
    own = [verdict for verdict in verdicts.rules if not verdict.lent]
    lent = [verdict for verdict in verdicts.rules if verdict.lent]
    return {
        "title": "Your rules of thumb",
        "workshop": settings.workshop.name,
        "day": say_day(today),
        "summary": _summary(own),
        "rules": [_rule(verdict) for verdict in own],
        "shared": " ".join(
            words for words in (shared_words(verdicts.shared), CALLED_WRONG if own else "") if words
        ),
        "lent": _lent(lent),
    }


def _summary(own: Sequence[Verdict]) -> str:
    """How many rules came to each verdict."""
    if not own:
        return NONE_OWN
    counts = Counter(_called(verdict) for verdict in own)
    return (
        f"{say_count(len(own), 'rule of thumb')}: {', '.join(f'{words} {n}' for words, n in counts.items())}."
    )


def _called(verdict: Verdict) -> str:
    """The verdict by itself."""
    return verdict.verdict if verdict.verdict == "not enough boards" else label(verdict.verdict)


def _rule(verdict: Verdict) -> dict[str, Any]:
    """One rule: the restorer's words, the verdict, what past boards say in a line, and its tape."""
    row = next(iter(rule_rows(Verdicts((verdict,), None))), None)
    figure = None
    if row is not None:
        picture = io.StringIO()
        save_rules(picture, [replace(row, words="")], title="", wide_px=WIDE_PX, palette=IN_PRINT)
        cases = f" {say_count(len(row.cases), 'past board')} below." if row.cases else ""
        figure = {
            "svg": picture.getvalue(),
            "says": capital("; ".join(words for words, *_ in row.brackets)) + f".{cases}",
        }
    return {
        "words": verdict.text or verdict.name,
        "verdict": f"{capital(verdict_words(verdict))}.",
        "line": _line(verdict),
        "figure": figure,
    }


def _line(verdict: Verdict) -> str:
    """How past boards fell, and what they say instead of a rule that is wrong."""
    if not verdict.of:
        return "No past board tells of it yet."
    if verdict.share is not None:
        said = f"You say {verdict.own_words}; it happened on {verdict.inside} of {say_count(verdict.of, 'board')}."
    elif verdict.accused:
        said = f"{side_words(verdict)} {suggested_words(verdict)}".strip()
    else:
        fell = ((verdict.below, "less"), (verdict.above, "more"))
        missed = [f"{n} took {way}" for n, way in fell if n]
        said = f"{verdict.inside} of {say_count(verdict.of, 'board')} within{', ' if missed else ''}{listed(missed)}."
    if verdict.verdict == "not enough boards" and verdict.would_do:
        said += f" If they go on so, {verdict.would_do} in all would do."
    if verdict.accepted:
        said += f" Kept beside your words: {verdict.said(*verdict.accepted)}."
    return said


def _lent(lent: Sequence[Verdict]) -> str:
    """How many rules are lent, and of how many a past board tells."""
    if not lent:
        return ""
    told = sum(1 for verdict in lent if verdict.of)
    are = "is" if len(lent) == 1 else "are"
    beside = f"Beside these, {say_count(len(lent), 'rule of thumb')} {are} lent, not yet yours"
    return f"{beside}; your boards tell of {told}."

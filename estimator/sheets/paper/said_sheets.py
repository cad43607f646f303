"""Sheets made of what is said, as plain data: a board that is thought over, a quarter, rules of thumb, the record."""

from __future__ import annotations

import datetime as dt
import io
from collections.abc import Iterable
from dataclasses import replace
from typing import Any

from estimator.decide.quarter.review import Review
from estimator.decide.weigh.weighing import Weighing
from estimator.record.backtest.track_record import TrackRecord
from estimator.record.rules.verdicts import Verdict, Verdicts
from estimator.said.parts import Action, Heading, Part, Table
from estimator.said.quarter import money_sentence, quarter_parts
from estimator.said.quarter_page_two import page_two
from estimator.said.record import long_record
from estimator.said.rules import (
    CALLED_WRONG,
    lent_words,
    past_words,
    shared_words,
    summary_words,
    verdict_words,
)
from estimator.said.weigh import ANYWAY, LAW, VALUE, YOURS, ten_pay, weigh_parts
from estimator.sheets.drawing.style import IN_PRINT, MARGIN, save_titled
from estimator.sheets.figures.money import save_money
from estimator.sheets.figures.pay import save_pay
from estimator.sheets.figures.quarter import draw_chart
from estimator.sheets.figures.record import save_row
from estimator.sheets.figures.rules import save_rules
from estimator.sheets.layouts.pay import pay_alt_text, pay_drawing
from estimator.sheets.layouts.quarter import chart_px, quarter_caption
from estimator.sheets.layouts.record import (
    count_lines,
    heading,
    last_boards,
    missed_words,
    open_words,
    record_title,
)
from estimator.sheets.layouts.rules import rule_rows
from estimator.words.dates import say_day
from estimator.words.labels import label
from estimator.words.phrases import capital, say_count
from estimator.words.settings.schema import Settings


def run_on(parts: Iterable[Part]) -> list[Part]:
    """Sentences that follow one another as one paragraph, to save room."""
    kept: list[Part] = []
    for part in parts:
        if isinstance(part, str) and kept and isinstance(kept[-1], str):
            kept[-1] = f"{kept[-1]} {part}"
        else:
            kept.append(part)
    return kept


def page(parts: Iterable[Part], settings: Settings, today: dt.date) -> dict[str, Any]:
    """Parts as plain blocks under their first heading."""
    made = blocks(parts)
    return {
        "title": made[0]["words"],
        "workshop": settings.workshop.name,
        "day": say_day(today),
        "blocks": made[1:],
    }


def blocks(parts: Iterable[Part]) -> list[dict[str, Any]]:
    """Parts as plain data, but for lines to paste."""
    return [_block(part) for part in parts if not isinstance(part, Action)]


def _block(part: str | Heading | Table) -> dict[str, Any]:
    """One part as plain data."""
    if isinstance(part, str):
        return {"is": "words", "words": part}
    if isinstance(part, Heading):
        return {"is": "heading", "words": part.text}
    return {
        "is": "table",
        "head": list(part.head),
        "rows": [list(row) for row in part.rows],
        "right": list(part.right),
        "guessed": part.guessed,
        "total": part.total,
    }


WIDE_PX = 680  # of a figure: the sheet's width with the figure's own margins
ZONE_PX = 64  # of a figure: room for its boards


def weigh_sheet(said: Weighing, settings: Settings) -> dict[str, Any]:
    """The sheet of a board to be weighed: what `weigh` says, ten boards on pay, and lines for the decision."""
    assert said.today is not None
    picture = io.StringIO()
    save_pay(picture, said, settings, titled=False, wide_px=WIDE_PX, zone_px=ZONE_PX, palette=IN_PRINT)
    parts = list(weigh_parts(said, settings))
    drawn = ten_pay(said.best, said.odds)  # the figure says it
    end = next(
        i for i, part in enumerate(parts) if isinstance(part, Heading) and part.text in {ANYWAY, YOURS}
    )
    title, answer, *rest = (part for part in parts[:end] if part != drawn)
    return {
        **page([title, answer, *run_on(rest)], settings, said.today),
        "figure": {"svg": picture.getvalue(), "says": pay_alt_text(pay_drawing(said, settings))},
        "anyway": ANYWAY,
        "decision": ["yes", "no", "open it up first"],
        "mind": [VALUE, LAW],
    }


def quarter_sheet(review: Review, settings: Settings) -> dict[str, Any]:
    """The sheet of a quarter: what `quarter` says, from its second page on overleaf, and its chart at the end."""
    figure = None
    if review.chart is not None:
        picture = io.StringIO()
        save_titled(
            picture,
            lambda axes: draw_chart(axes, review, IN_PRINT, with_words=False),
            title="",
            says=quarter_caption(review),
            wide_px=WIDE_PX,
            body_px=chart_px(review, WIDE_PX - 2 * MARGIN, with_words=False),
            palette=IN_PRINT,
        )
        figure = {"svg": picture.getvalue(), "says": quarter_caption(review)}
    money = None
    if review.money is not None:
        drawn = io.StringIO()
        save_money(drawn, review, titled=False, wide_px=WIDE_PX, palette=IN_PRINT)
        money = {"svg": drawn.getvalue(), "says": money_sentence(review)}
    overleaf = [] if review.quarter.ahead else page_two(review, settings)
    parts = quarter_parts(review, settings)
    said = "" if money is None else money["says"]  # the figure says it
    first = [part for part in parts[: len(parts) - len(overleaf)] if part != said]
    return {
        **page(first, settings, review.quarter.today),
        "money": money,
        "overleaf": blocks(overleaf),
        "figure": figure,
    }


def record_sheet(record: TrackRecord, settings: Settings) -> dict[str, Any]:
    """What the sheet says, in its order: blocks are what `record` says after the last twenty."""
    boards = last_boards(record)
    figure = None
    if boards:
        picture = io.StringIO()
        save_row(picture, record, wide_px=WIDE_PX, palette=IN_PRINT)
        says = " ".join([f"{heading(record)}:" if heading(record) else "", *count_lines(record)]).strip()
        figure = {"svg": picture.getvalue(), "says": says or capital(open_words(boards)) + "."}
    return {
        "title": label("record"),
        "workshop": settings.workshop.name,
        "day": say_day(dt.date.fromisoformat(record.as_of)) if record.as_of else "",
        "summary": f"{record_title(record)}.",
        "figure": figure,
        "missed": [f"{capital(missed_words(board))}." for board in boards if board.side],
        "open": capital(open_words(boards)),
        "blocks": blocks(run_on(long_record(record, settings, scores=False))),
    }


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

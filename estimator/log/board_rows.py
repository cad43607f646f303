"""Rows of the boards sheet as boards; where a board stands is worked out once its hours are known."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass

from estimator.log.blanks import Judged, judged, with_areas
from estimator.log.cells import Row
from estimator.log.columns import plain
from estimator.log.headers import ASKED_LATER, LOOKED, TURNED_OUT
from estimator.log.quantity_cells import Quantities, Reader, read_quantities
from estimator.log.states import IN_ORDER, out_of_order
from estimator.words.labels import LABELS
from estimator.words.lengths import read_length_m, read_width_m
from estimator.words.money import money_in
from estimator.words.records import AIMS, COST_TIME, DECISIONS, ON_BENCH, OUTLINES, STATES, Board
from estimator.words.settings import Settings
from estimator.words.worked_time import read_range_hours

STATE_WORDS = {"on_the_bench": ON_BENCH, **{plain(LABELS[f"state {state}"]): state for state in STATES}}


@dataclass(frozen=True, slots=True)
class Draft:
    """A board as its row says, before its state is worked out.

    happened: its date columns that say that something has happened, even where the day cannot be read
    state: the state written in the row, or empty
    usual_width: whether the width that such boards usually have stood in for its own
    """

    row: Row
    board: Board
    happened: frozenset[str]
    state: str
    usual_width: bool


def draft_of(row: Row, settings: Settings, read: Mapping[str, Reader]) -> Draft:
    """A row of the boards sheet as a board; every cell that cannot be read is a problem and not known.

    read: what reads the cells of each quantity, from `quantity_cells.readers`
    """
    days, happened = _days(row)
    kind = row.word("kind", settings.kinds, {plain(settings.label(name)): name for name in settings.kinds})
    length_m, width_m = row.read("length", read_length_m), row.read("width", read_width_m)
    outline = row.word("outline", OUTLINES)
    cells = read_quantities(row, read)
    known = judged(
        cells.assessed,
        cells.found,
        settings,
        same=cells.same,
        kind=kind,
        length_m=length_m,
        width_m=width_m,
        outline=outline,
    )
    guess_low, guess_high = _guess(row, settings.workshop.hours_in_a_day)
    total, grain = row.time("total_hours"), row.time("total_grain")
    promised = _promised(row, days)
    money = money_in(settings.workshop.currency)
    board = Board(
        board=row.text("board"),
        called=row.text("called"),
        owner=row.text("owner"),
        reach=row.text("reach"),
        kind=kind,
        aim=row.word("aim", AIMS),
        wanted_by=row.date("wanted_by"),
        asked=days.get("asked"),
        quoted=days.get("quoted"),
        accepted=days.get("accepted"),
        started=days.get("started"),
        ready=days.get("ready"),
        collected=days.get("collected"),
        paid_on=row.date("paid_on", past=True),
        outline=outline,
        cost_time=row.word("cost_time", COST_TIME),
        length_m=length_m,
        width_m=width_m,
        assessed=known.assessed,
        found=known.found,
        later=with_areas(_later(row, cells, known), known.assessed, settings, known.face_m2),
        guess_low=guess_low,
        guess_high=guess_high,
        from_memory=row.yes_no("from_memory") or False,
        price_quoted=row.read("price_quoted", money),
        price_charged=row.read("price_charged", money),
        materials=row.read("materials", money),
        deposit=row.read("deposit", money),
        paid=row.read("paid", money),
        hold_until=row.date("hold_until"),
        promised_first=promised[0],
        promised_last=promised[1],
        decided=row.word("decided", DECISIONS),
        decided_why=row.text("decided_why"),
        for_love=row.yes_no("for_love") or False,
        total_hours=total.hours or None if total else None,
        total_grain=grain.hours or None if grain else total.grain if total else None,
        note=row.text("note"),
        worked_out=known.worked_out,
        where=row.where,
    )
    return Draft(row, board, happened, row.word("state", STATES, STATE_WORDS), known.usual_width)


def _days(row: Row) -> tuple[dict[str, dt.date], frozenset[str]]:
    """The dates that can be read and stand in order, and all that say that something has happened."""
    days: dict[str, dt.date] = {}
    happened = set()
    for column in IN_ORDER:
        day = row.date(column)
        if day and not row.to_come(column, day):
            days[column] = day
        if column in days or (not day and any(map(str.isdigit, row.text(column)))):
            happened.add(column)  # a day that cannot be read is past too, or it would not be written
    stray = out_of_order(days)
    for column, other in stray:
        side = "before" if IN_ORDER.index(other) < IN_ORDER.index(column) else "after"
        row.wrong(column, f"{column} lies {side} {other} ({days[other]})", "Correct one of the two.")
    for column, _ in stray:
        del days[column]
    return days, frozenset(happened)


def _guess(row: Row, hours_in_a_day: float) -> tuple[float | None, float | None]:
    """The restorer's own hours, low and high, from one column or from two."""
    low, high = row.time("guess_low"), row.time("guess_high")
    single = row.read("guess", lambda found: read_range_hours(found, hours_in_a_day))
    if single and single[0] <= 0:
        row.wrong("guess", "a guess of no hours says nothing", "Write the hours, or leave it empty.")
        single = None
    if low and high:
        if 0 < low.hours <= high.hours:
            return low.hours, high.hours
        row.wrong(
            "guess_low", f"the low guess must lie between 0 and the high one ({high.hours:g} h)", "Mend one."
        )
    elif low or high:
        column, other = ("guess_low", "guess_high") if low else ("guess_high", "guess_low")
        if row.written(other) == "":
            row.wrong(column, f"there is no {other} beside it", f"Add {other}, or write it as guess.")
    return single or (None, None)


def _promised(row: Row, days: Mapping[str, dt.date]) -> tuple[dt.date | None, dt.date | None]:
    """The dates of the first telling; neither is known where the last lies before the first, or before the board came.

    days: the board's dates by column
    """
    first, last = row.date("promised_first"), row.date("promised_last")
    if first and last and last < first:
        row.wrong(
            "promised_last",
            f"promised_last lies before promised_first ({first})",
            "Swap the two, or correct one.",
        )
        return None, None
    came = next((column for column in ("accepted", "quoted", "asked") if column in days), "")
    if came and last and last < days[came]:
        row.wrong(
            "promised_last", f"promised_last lies before {came} ({days[came]})", "Correct one of the two."
        )
        return None, None
    return first, last


def _later(row: Row, cells: Quantities, known: Judged) -> dict[str, float]:
    """What the owner added, of which there cannot be more than turned out in all."""
    for name in sorted(cells.same - known.found.keys()):
        row.wrong(
            TURNED_OUT + name, f"{LOOKED}{name} is not known, so nothing is confirmed", "Write the value."
        )
    later = dict(cells.later)
    for name, added in cells.later.items():
        turned_out = known.found.get(name)
        if turned_out is not None and added > turned_out + 1e-9:
            wrong = f"more was added than there was in all ({TURNED_OUT}{name} is {turned_out:g})"
            row.wrong(ASKED_LATER + name, wrong, f"Count what was added in {TURNED_OUT}{name} too.")
            del later[name]
    return later

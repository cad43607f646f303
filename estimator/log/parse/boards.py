"""Rows of the boards sheet as boards, and where each stands once its hours are known."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import combinations, pairwise

from estimator.log.columns import ASKED_LATER, LOOKED, TURNED_OUT, plain
from estimator.log.parse.cells import Judged, Quantities, Reader, Row, judged, read_quantities, with_areas
from estimator.log.tables import shown
from estimator.words.labels import LABELS
from estimator.words.measures import read_length_m, read_width_m
from estimator.words.money import money_in
from estimator.words.problems import Problem
from estimator.words.records import (
    AIMS,
    ASKED,
    COST_TIME,
    DECISIONS,
    DECLINED,
    FINISHED,
    JUDGED_WITH,
    ON_BENCH,
    OUTLINES,
    SHOP,
    STATES,
    STOPPED,
    WAITING,
    WITHDRAWN,
    Board,
    Entry,
)
from estimator.words.settings.schema import Settings
from estimator.words.worked_time import read_range_hours

IN_ORDER = ("asked", "quoted", "accepted", "started", "ready", "collected")
# which dates say that a written state cannot be
AGAINST: Mapping[str, tuple[str, ...]] = {
    ASKED: ("accepted", "started", "ready", "collected"),
    WAITING: ("started", "ready", "collected"),
    ON_BENCH: ("ready", "collected"),
    STOPPED: ("ready", "collected"),
    FINISHED: (),
    DECLINED: ("accepted", "started", "ready"),
    WITHDRAWN: ("ready",),
}
NUMBERED = re.compile(r"([0-9]{2})-([0-9]{3,})")


def out_of_order(days: Mapping[str, dt.date]) -> list[tuple[str, str]]:
    """The fewest dates that stand in the way of the order, each with the name of one that it contradicts.

    days: the dates of one board by column; those not in IN_ORDER are passed over

    >>> day = dt.date.fromisoformat
    >>> out_of_order({"asked": day("2026-05-01"), "quoted": day("2026-03-03"), "ready": day("2026-04-01")})
    [('asked', 'quoted')]
    """
    names = [name for name in IN_ORDER if name in days]
    for many in range(len(names), 0, -1):
        # of equally many the later ones stay: what was done last says most of where the board stands
        for kept in reversed(list(combinations(names, many))):
            if all(days[a] <= days[b] for a, b in pairwise(kept)):
                return [(name, _against(name, kept, days)) for name in names if name not in kept]
    return []


def _against(name: str, kept: Sequence[str], days: Mapping[str, dt.date]) -> str:
    """The nearest kept date with which a date is out of order."""
    at = IN_ORDER.index(name)
    wrong = [
        other
        for other in kept
        if (IN_ORDER.index(other) < at) == (days[other] > days[name]) and days[other] != days[name]
    ]
    return min(wrong, key=lambda other: abs(IN_ORDER.index(other) - at))


def state_from(happened: Iterable[str], *, hours: bool) -> str:
    """The state that the dates and the hours tell.

    happened: the date columns that are filled; hours: whether any are booked on the board

    >>> state_from(["quoted", "accepted"], hours=False), state_from([], hours=True)
    ('waiting', 'on bench')
    """
    dates = set(happened)
    if dates & {"ready", "collected"}:
        return FINISHED
    if hours or "started" in dates:
        return ON_BENCH
    return WAITING if "accepted" in dates else ASKED


def contradicted(state: str, happened: Iterable[str]) -> str:
    """The date column that says that a written state cannot be, or an empty text.

    >>> contradicted("waiting", ["accepted", "started"]), contradicted("stopped", ["started"])
    ('started', '')
    """
    dates = set(happened)
    return next((name for name in reversed(IN_ORDER) if name in AGAINST[state] and name in dates), "")


def numbered(ids: Sequence[str], years: Sequence[int | None]) -> list[str]:
    """The same ids, with a running number within the year, as 26-014, where one is empty.

    years: the year of each board, or None where no date tells it: then that of the board above

    >>> numbered(["26-013", "", "", ""], [2026, 2026, None, 2025])
    ['26-013', '26-014', '26-015', '25-001']
    """
    last: dict[str, int] = {}
    for known in filter(None, map(NUMBERED.fullmatch, ids)):
        last[known[1]] = max(last.get(known[1], 0), int(known[2]))
    result = []
    head = "00"
    for name, year in zip(ids, years, strict=True):
        head = head if year is None else f"{year % 100:02d}"
        if not name:
            last[head] = last.get(head, 0) + 1
        result.append(name or f"{head}-{last[head]:03d}")
    return result


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
    state = row.word("state", STATES, STATE_WORDS)
    total, grain = row.time("total_hours"), row.time("total_grain")
    known = judged(
        cells.assessed,
        cells.found,
        settings,
        same=cells.same,
        kind=kind,
        length_m=length_m,
        width_m=width_m,
        outline=outline,
        over=bool(total and total.hours) and (state == FINISHED or bool({"ready", "collected"} & happened)),
    )
    guess_low, guess_high = _guess(row, settings.workshop.hours_in_a_day)
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
        judged_with=row.word("judged_with", JUDGED_WITH),
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
        returned=row.read("returned", money),
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
    return Draft(row, board, happened, state, known.usual_width)


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
    """What the owner added or took off: never more than turned out in all, nor less than nothing of it."""
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
        elif added < 0 and (looked := known.assessed.get(name, 0.0)) + added < -1e-9:
            there = f"{looked:g}" if name in known.assessed else "not known"
            wrong = f"more was taken off than there was ({LOOKED}{name} is {there})"
            row.wrong(ASKED_LATER + name, wrong, f"Write in {LOOKED}{name} how much there was before.")
            del later[name]
    return later


AGREE = 0.05  # share of a total within which its rows may differ from it


SUMS = frozenset({"total", "totals", "sum", "sums", "subtotal", "grand_total", "all", "together"})


def _sum_in(row: Row) -> str:
    """The column whose word says that the row is a sum of the others; empty where none does."""
    return next((column for column in ("board", "called", "owner") if plain(row.text(column)) in SUMS), "")


def with_ids(drafts: Sequence[Draft]) -> tuple[list[Draft], list[Problem]]:
    """The boards with an id each, and a note of those that were numbered.

    A second row of the same id is a problem of its cell, and left out.
    """
    for draft in drafts:
        if column := _sum_in(draft.row):
            draft.row.wrong(column, "a sum is no board", "Take the row out.")
    drafts = [draft for draft in drafts if not _sum_in(draft.row)]
    years = [_year(draft.board) for draft in drafts]
    ids = numbered([draft.board.board for draft in drafts], years)
    kept: dict[str, Draft] = {}
    given = []
    for draft, name in zip(drafts, ids, strict=True):
        first = kept.get(name.casefold())
        if first:
            cure = "Give one of them another id."
            draft.row.wrong("board", f"this id stands in {first.row.where.in_short} already", cure)
        elif name.casefold() == SHOP:
            draft.row.wrong("board", "shop stands for time on no board", "Give the board another id.")
        else:
            kept[name.casefold()] = draft
            if not draft.board.board:
                given.append(name)
                kept[name.casefold()] = replace(draft, board=replace(draft.board, board=name))
    notes = []
    if given:
        cure = "Write them into the sheet, so that they stay when rows move."
        wrong = f"numbered here for want of an id: {some(given)}"
        notes = [Problem(drafts[0].row.table.place, "", wrong, cure)]
    return list(kept.values()), notes


def _year(board: Board) -> int | None:
    """The year that a board's number begins with."""
    days = (board.quoted, board.asked, board.accepted, board.started, board.ready, board.collected)
    return next((day.year for day in days if day), None)


def some(names: Sequence[str]) -> str:
    """The first few of many names.

    >>> some(["a", "b"]), some(["a", "b", "c", "d", "e"])
    ('a, b', 'a, b, c and 2 more')
    """
    more = len(names) - 3
    return ", ".join(names) if more < 2 else f"{', '.join(names[:3])} and {more} more"


def with_hours(drafts: Sequence[Draft], entries: Iterable[Entry]) -> tuple[tuple[Board, ...], list[Problem]]:
    """The boards in their states, with totals only where hours are booked on no stage, and the notes.

    A state that the dates contradict, a short name that two boards in the shop share, and a total that
    disagrees with its rows are problems of their cells.
    """
    booked: dict[str, float] = {}
    for entry in entries:
        booked[entry.board] = booked.get(entry.board, 0.0) + entry.hours
    notes: list[Problem] = []
    boards = []
    called: dict[str, str] = {}
    for draft in drafts:
        hours = booked.get(draft.board.board, 0.0)
        board = replace(draft.board, state=_state(draft, hours=hours > 0))
        if board.called and not board.collected and board.state != DECLINED:
            other = called.setdefault(board.called.casefold(), board.board)
            if other != board.board:
                wrong = f"board {other} is called that too, and neither is collected"
                draft.row.wrong("called", wrong, "Give one of them another short name.")
                board = replace(board, called="")
        if board.total_hours is not None and hours:
            board = _totalled(draft, board, hours, notes)
        boards.append(board)
    return tuple(boards), notes


def _state(draft: Draft, *, hours: bool) -> str:
    """The state that is written, or the one that dates and hours tell where they contradict it."""
    told = state_from(draft.happened, hours=hours)
    if not draft.state:
        return told
    against = contradicted(draft.state, draft.happened)
    if against:
        wrong = f"the date in {against} says otherwise: {told}"
        draft.row.wrong("state", wrong, "Correct the one or the other; left empty, the dates tell the state.")
    return told if against else draft.state


def _totalled(draft: Draft, board: Board, booked: float, notes: list[Problem]) -> Board:
    """The board with its total only where the rows hold less of a finished board than that."""
    total = board.total_hours or 0.0
    apart = total - booked
    if abs(apart) <= max(board.total_grain or 0.0, AGREE * total) + 1e-9:
        return replace(board, total_hours=None, total_grain=None)
    if apart > 0 and board.finished:
        notes.append(
            Problem(
                draft.row.at("total_hours"),
                shown(draft.row.cell("total_hours")),
                f"{apart:g} h are not split by stage, {booked:g} h are",
                "Book them on stages if you know which.",
            )
        )
        return board
    side = f"{apart:g} h more than" if apart > 0 else f"{-apart:g} h less than"
    wrong = f"the total is {total:g} h, {side} the {booked:g} h of its rows"
    draft.row.wrong("total_hours", wrong, "Correct the rows or the total, or leave the total empty.")
    return replace(board, total_hours=None, total_grain=None)

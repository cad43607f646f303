"""Rows of the other sheets as records: hours, what was told, waits and weights."""

from __future__ import annotations

import datetime as dt
import difflib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from estimator.log.columns import plain
from estimator.log.parse.boards import SUMS
from estimator.log.parse.cells import Row, time_in
from estimator.words.measures import read_quantity, read_weight_kg
from estimator.words.money import read_money
from estimator.words.odds import read_odds
from estimator.words.records import (
    AGAIN,
    BECAUSE,
    PAID_BY,
    SHOP,
    WAIT_CAUSES,
    Board,
    Entry,
    Told,
    Wait,
    WeightReading,
)
from estimator.words.settings.schema import REDO, Settings
from estimator.words.settings.values import nearest
from estimator.words.worked_time import WorkedTime

HOURS_IN_A_DAY = 24.0
ALIKE = 0.6  # likeness from which an id is offered as the one that was meant


@dataclass(slots=True)
class Ids:
    """The boards by id in any case, and by short name where only one board has it."""

    by_name: dict[str, str]
    twice: frozenset[str]
    _asked: dict[str, str] = field(default_factory=dict)

    @classmethod
    def of(cls, boards: Iterable[Board]) -> Ids:
        """The names of these boards."""
        ids: dict[str, str] = {}
        called: dict[str, set[str]] = {}
        for board in boards:
            ids.setdefault(board.board.casefold(), board.board)
            if board.called:
                called.setdefault(board.called.casefold(), set()).add(board.board)
        short = {name: next(iter(of)) for name, of in called.items() if len(of) == 1}
        return cls({**short, **ids}, frozenset(called.keys() - short.keys() - ids.keys()))

    def find(self, row: Row, *, shop: bool = False) -> str:
        """The board that a row is about, or an empty text with a problem.

        shop: whether it may be about no board
        """
        written = row.text("board")
        name = written.casefold()
        if name in self.by_name:
            return self.by_name[name]
        if shop and plain(written) == SHOP:
            return SHOP
        if not written:
            row.wrong("board", "no board is named", "Name the board" + (", or write shop." if shop else "."))
        elif plain(written) in SUMS:
            row.wrong("board", "a sum is no entry", "Take the row out.")
        elif name in self.twice:
            row.wrong("board", "more than one board is called that", "Write the id of the board.")
        else:
            row.wrong("board", "no board has this id or short name", self._nearest(name))
        return ""

    def _nearest(self, name: str) -> str:
        """The cure for an unknown board, worked out once for each name."""
        if name not in self._asked:
            alike = [
                known
                for known in self.by_name
                if abs(len(known) - len(name)) <= 2 and (known[:2] == name[:2] or known[-2:] == name[-2:])
            ]
            close = difflib.get_close_matches(name, alike[:1000], n=1, cutoff=ALIKE)
            self._asked[name] = (
                f"The nearest is {self.by_name[close[0]]}."
                if close
                else "Give it a row on the boards sheet, or correct the name."
            )
        return self._asked[name]


@dataclass(frozen=True, slots=True)
class Lost:
    """A row of the hours sheet that cannot be read: hours are missing on a board; the stage may not be known."""

    board: str
    stage: str


def entry_of(row: Row, ids: Ids, stages: Mapping[str, str]) -> Entry | Lost | None:
    """A row of the hours sheet; with a problem, what is lost, where days, stage or hours cannot be made out.

    None where the board cannot be made out, or for a sum under the rows.
    stages: plain spelling of each stage's name and label to its name
    """
    board = ids.find(row, shop=True)
    if plain(row.text("board")) in SUMS and not board:
        return None
    stage = _stage(row, stages, board)
    day = _day(row, "date")
    until = _until(row, day, past=True)
    worked = _hours(row)
    if not board:
        return None
    if stage is None or day is None or until is None or worked is None:
        return Lost(board, stage or "")
    days = (until - day).days + 1
    if worked.hours > HOURS_IN_A_DAY * days + 1e-9:
        long = "a day has 24" if days == 1 else f"{days} days have {HOURS_IN_A_DAY * days:g}"
        cure = "Book it over several days with until, or put the sum in total_hours."
        row.wrong("hours", f"these are {worked.hours:g} h, and {long}", cure)
        return Lost(board, stage)
    again = "" if board == SHOP else row.word("again", AGAIN)
    kept = REDO if again else stage
    return Entry(
        board=board,
        date=day,
        stage=kept,
        hours=worked.hours,
        until=until if until > day else None,
        grain=worked.grain,
        done=row.yes_no("done"),
        note=row.text("note"),
        where=row.where,
        again=again or ("yes" if stage == REDO else ""),
        of=stage if again and stage != REDO else "",
    )


def stage_names(settings: Settings) -> dict[str, str]:
    """Plain spelling of each stage's name and label to its name.

    >>> from estimator.words.settings.schema import Stage
    >>> stage_names(Settings(stages={"sand": Stage("sand", label="Sand it")}))
    {'sand_it': 'sand', 'sand': 'sand'}
    """
    labels = {plain(settings.label(name)): name for name in settings.stages}
    return labels | {plain(name): name for name in settings.stages}


def _stage(row: Row, stages: Mapping[str, str], board: str) -> str | None:
    """The stage that the hours are booked to; for the shop any word will do."""
    written = row.text("stage")
    if plain(written) in stages:
        return stages[plain(written)]
    if board == SHOP:
        return written
    if not written:
        row.wrong("stage", "no stage is written", "Write which stage the hours went to.")
    else:
        row.wrong("stage", "no stage has this name", nearest(plain(written), dict.fromkeys(stages.values())))
    return None


def _until(row: Row, first: dt.date | None, *, past: bool = False) -> dt.date | None:
    """The last day of a row, which is the first where none is written; None with a problem."""
    if row.written("until") == "":
        return first
    last = row.date("until", past=past)
    if first and last and last < first:
        row.wrong("until", f"until lies before the first day ({first})", "Swap the two, or correct one.")
        return None
    return last


def _hours(row: Row) -> WorkedTime | None:
    """The worked time of a row; 0 where a dash says none, None with a problem where nothing is written."""
    found = row.cell("hours")
    if found in {"", "?"}:
        row.wrong("hours", "no hours are written", "Write the hours, or 0 for a stage that was not done.")
        return None
    return row.made("hours", found, lambda found: time_in(found, row.hours_in_a_day))


def told_of(row: Row, ids: Ids) -> Told | None:
    """A row of the told sheet; None with a problem where the board or the day cannot be made out."""
    board, day = ids.find(row), _day(row, "date")
    low, high, adds = row.time("hours_low"), row.time("hours_high"), row.time("adds_hours")
    if low and high and high.hours < low.hours:
        row.wrong("hours_high", f"the high end lies below the low one ({low.hours:g} h)", "Swap the two.")
        low = high = None
    first, last = row.date("first"), row.date("last")
    if first and last and last < first:
        row.wrong("last", f"last lies before first ({first})", "Swap the two, or correct one.")
        first = last = None
    elif last and day and last < day:
        row.wrong("last", f"last lies before the day on which it was told ({day})", "Correct one of the two.")
        first = last = None
    told = Told(
        board=board,
        date=day or dt.date.min,
        hours_low=low.hours if low else None,
        hours_high=high.hours if high else None,
        price=row.read("price", read_money),
        terms=row.text("terms"),
        first=first,
        last=last,
        odds=row.read("odds", read_odds),
        because=row.word("because", BECAUSE),
        paid_by=row.word("paid_by", PAID_BY),
        adds_hours=adds.hours if adds else None,
        adds_days=row.read("adds_days", lambda found: read_quantity(found, "")),
        struck=row.text("struck"),
        where=row.where,
    )
    return told if board and day else None


def wait_of(row: Row, ids: Ids) -> Wait | None:
    """A row of the waits sheet; None with a problem where board, days or cause cannot be made out."""
    board, first = ids.find(row), _day(row, "from")
    before = len(row.problems)
    until = _until(row, first)
    cause = row.word("for", WAIT_CAUSES)
    if not cause and row.written("for") == "":
        row.wrong("for", "what the board waits for is not written", f"One of: {', '.join(WAIT_CAUSES)}.")
    if not board or not first or len(row.problems) > before:
        return None
    standing = row.written("until") == ""
    return Wait(board, first, None if standing else until, cause, row.text("note"), row.where)


def weighing_of(row: Row, ids: Ids) -> WeightReading | None:
    """A row of the weights sheet; None with a problem where board, day or weight cannot be made out."""
    board, day = ids.find(row), _day(row, "date")
    weight_kg = row.read("weight", read_weight_kg)
    if weight_kg is None and row.written("weight") == "":
        row.wrong("weight", "no weight is written", "Write it as 8.4 kg or 18.5 lb.")
    return (
        WeightReading(board, day, weight_kg, row.where) if board and day and weight_kg is not None else None
    )


def _day(row: Row, column: str) -> dt.date | None:
    """The day on which something happened; None with a problem where none can be made out."""
    if row.written(column) == "":
        row.wrong(column, "no date is written", "Write the day.")
        return None
    return row.date(column, past=True)

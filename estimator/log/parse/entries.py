"""Rows of the other sheets as records: hours, what was told, waits, weights, notes and money."""

from __future__ import annotations

import datetime as dt
import difflib
import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field

from estimator.log.columns import plain
from estimator.log.parse.boards import SUMS
from estimator.log.parse.cells import Row, time_in
from estimator.words.labels import MONEY_FOR
from estimator.words.measures import read_quantity, read_weight_kg
from estimator.words.money import read_money
from estimator.words.odds import read_odds
from estimator.words.records import (
    AGAIN,
    BECAUSE,
    DEPOSIT,
    MATERIALS,
    PAID_BY,
    PAYMENT,
    REFUND,
    RENT,
    SHOP,
    WAIT_CAUSES,
    Board,
    Entry,
    MoneyLine,
    Note,
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
        return self._one(row, "board", row.text("board"), shop=shop)

    def find_all(self, row: Row, column: str) -> tuple[str, ...] | None:
        """The boards that a cell names, each once; none where it is empty or says shop; None with a problem.

        Their names are parted by a semicolon or a comma.
        """
        written = row.text(column)
        if not written or plain(written) == SHOP:
            return ()
        whole = written.casefold() in self.by_name
        names = [written] if whole else [name.strip() for name in re.split("[;,]", written) if name.strip()]
        found = [self._one(row, column, name) for name in names]
        return tuple(dict.fromkeys(found)) if found and all(found) else None

    def _one(self, row: Row, column: str, written: str, *, shop: bool = False) -> str:
        """The board of one name in a cell, or an empty text with a problem."""
        name = written.casefold()
        if name in self.by_name:
            return self.by_name[name]
        if shop and plain(written) == SHOP:
            return SHOP
        if not written:
            row.wrong(column, "no board is named", "Name the board" + (", or write shop." if shop else "."))
        elif plain(written) in SUMS:
            row.wrong(column, "a sum is no entry", "Take the row out.")
        elif name in self.twice:
            row.wrong(column, "more than one board is called that", "Write the id of the board.")
        else:
            row.wrong(column, "no board has this id or short name", self._nearest(name))
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


def note_of(row: Row, ids: Ids) -> Note | None:
    """A row of the notes sheet; None with a problem where board or day cannot be made out, or nothing is noted."""
    board = ids.find(row, shop=True) if row.text("board") else SHOP
    day, text, photo = _day(row, "date"), row.text("note"), row.text("photo")
    if not text and not photo:
        row.wrong("note", "nothing is noted", "Write the note, or take the row out.")
        return None
    return Note(board, day, text, photo, row.where) if board and day else None


WHAT = {plain(word): name for name, words in MONEY_FOR.items() for word in (name, *words)}
PENNIES = 2  # decimals of money


def money_of(row: Row, ids: Ids, read_amount: Callable[[object], float]) -> MoneyLine | None:
    """A row of the money sheet; None with a problem where day, amount, boards or what for cannot be made out.

    read_amount: reads money in the shop's currency

    A row that does not say what for is a payment where it came in for one board, materials where it was spent on some.
    """
    if plain(row.text("boards")) in SUMS or plain(row.text("what")) in SUMS:
        row.wrong("what" if row.text("what") else "boards", "a sum is no entry", "Take the row out.")
        return None
    before = len(row.problems)
    day, boards = _day(row, "date"), ids.find_all(row, "boards")
    came_in, went_out = (_amount(row, column, read_amount) for column in ("in", "out"))
    if len(row.problems) > before or day is None or boards is None:
        return None
    if came_in and went_out:
        row.wrong("out", "money both came in and went out in this row", "Write two rows.")
        return None
    if not came_in and not went_out:
        row.wrong("in", "no money is written", "Write what came in under in, or what went out under out.")
        return None
    written = row.text("what")
    what = WHAT.get(plain(written), written) or _meant(boards, spent=bool(went_out))
    if wrong := _not_so(what, boards, spent=bool(went_out)):
        row.wrong(*wrong)
        return None
    return MoneyLine(day, came_in, went_out, what, boards, row.text("note"), row.where)


def _amount(row: Row, column: str, read_amount: Callable[[object], float]) -> float:
    """Money in a cell, 0 where none is written or it cannot be read; with a problem where a coin is cut up."""
    amount = row.read(column, read_amount) or 0.0
    if abs(round(amount, PENNIES) - amount) > 1e-9 * max(amount, 1.0):
        row.wrong(column, "money has two decimals", "Write it to the last coin, as 12.50.")
    return round(amount, PENNIES)


def _meant(boards: tuple[str, ...], *, spent: bool) -> str:
    """What money was for where that is not written; empty where it cannot be told."""
    if spent:
        return MATERIALS if boards else ""
    return PAYMENT if len(boards) == 1 else ""


def _not_so(what: str, boards: tuple[str, ...], *, spent: bool) -> tuple[str, str, str] | None:
    """Column, what is wrong and the cure where money for this cannot be so; None where it can."""
    if not what:
        return "what", "what it was for is not written", f"Write {', '.join(MONEY_FOR)}, or your own words."
    if what in {DEPOSIT, PAYMENT} and spent:
        return "out", f"a {what} is money in", f"Move it under in, or write {REFUND} for what you gave back."
    if what == REFUND and not spent:
        cure = f"Move it under out; what a supplier gave back is {MATERIALS} under in."
        return "in", "a refund is money out", cure
    if what == RENT and boards:
        return "boards", "rent is for no board", "Leave the boards empty, or write what else it was for."
    to_owner = what in {DEPOSIT, PAYMENT, REFUND}
    if to_owner and not boards:
        return "boards", "no board is named", "Name the board."
    if len(boards) > 1 and (to_owner or (not spent and what != MATERIALS)):
        return "boards", "only what you spent is split between boards", "Write one row for each board."
    return None


def _day(row: Row, column: str) -> dt.date | None:
    """The day on which something happened; None with a problem where none can be made out."""
    if row.written(column) == "":
        row.wrong(column, "no date is written", "Write the day.")
        return None
    return row.date(column, past=True)

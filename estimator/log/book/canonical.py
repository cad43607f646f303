"""The one form in which a book keeps a cell: no setting reads it anew, and it reads as what was typed."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from itertools import count

from estimator.log.book.schema import LONGEST_CELL, SHEETS, SIDES
from estimator.log.columns import plain
from estimator.log.parse.boards import STATE_WORDS
from estimator.log.parse.cells import AS_THOUGHT, DASHES, MINUS, Reader, one_line, readers, yes_or_no
from estimator.log.parse.entries import stage_names
from estimator.log.tables import CellValue
from estimator.words.dates import read_date
from estimator.words.errors import UnreadableError, UsageError
from estimator.words.measures import (
    INCH_M,
    UNITS,
    convert,
    number,
    read_length_m,
    read_quantity,
    read_weight_kg,
    read_width_m,
)
from estimator.words.money import money_in, read_money
from estimator.words.odds import read_odds
from estimator.words.records import (
    AGAIN,
    AIMS,
    BECAUSE,
    COST_TIME,
    DECISIONS,
    JUDGED_WITH,
    OUTLINES,
    PAID_BY,
    SHOP,
    STATES,
    WAIT_CAUSES,
)
from estimator.words.settings.schema import Settings
from estimator.words.worked_time import read_range_hours, read_worked_time, say_worked_time

Form = Callable[[CellValue], str]

WORDS: Mapping[str, tuple[str, ...]] = {
    "again": AGAIN,
    "aim": AIMS,
    "because": BECAUSE,
    "cost_time": COST_TIME,
    "decided": DECISIONS,
    "judged_with": JUDGED_WITH,
    "outline": OUTLINES,
    "paid_by": PAID_BY,
    "wait_cause": WAIT_CAUSES,
}
SAME = "same"
CANT_SEE = "?"


@dataclass(slots=True)
class NamesInBook:
    """The boards of a book by their numbers and by what they are called, in any case.

    called: what all of a name are called, so that one that is not alone says nothing
    """

    ids: dict[str, str] = field(default_factory=dict)
    called: dict[str, set[str]] = field(default_factory=dict)

    def add(self, board: str, called: str) -> None:
        """Takes a board in."""
        self.ids.setdefault(board.casefold(), board)
        if called:
            self.called.setdefault(called.casefold(), set()).add(board)

    def find(self, written: str) -> str:
        """The number of the board that is meant; empty where none is, or several are."""
        name = written.casefold()
        boards = self.called.get(name, set())
        return self.ids.get(name) or (next(iter(boards)) if len(boards) == 1 else "")


@dataclass(frozen=True)
class Canon:
    """What makes canonical text of cells, as these settings read them now.

    names: the boards that there are
    """

    settings: Settings
    names: NamesInBook

    @cached_property
    def forms(self) -> Mapping[str, Form]:
        """For each kind of column what makes its text; each raises UnreadableError where it cannot read a cell."""
        shop, kinds = self.settings.workshop, self.settings.kinds
        labels = {plain(self.settings.label(name)): name for name in kinds}
        return {
            "text": text,
            "id": text,
            "board": self._board,
            "boards": self._boards,
            "date": lambda value: read_date(value, shop.dates).isoformat(),
            "hours": lambda value: say_worked_time(read_worked_time(value, shop.hours_in_a_day)),
            "hours_range": lambda value: _span(*read_range_hours(value, shop.hours_in_a_day)),
            "length": _length,
            "width": _width,
            "weight": lambda value: _with_unit(read_weight_kg(value), "kg", read_weight_kg),
            "own_money": lambda value: coins(money_in(shop.currency)(value)),
            "money": lambda value: coins(read_money(value)),
            "odds": lambda value: number(read_odds(value)),
            "count": lambda value: number(read_quantity(value, "")),
            "yes_no": _yes_no,
            "stage": self._stage,
            "kind": lambda value: _word(value, kinds, labels),
            "state": lambda value: _word(value, STATES, STATE_WORDS),
            **{name: _one_of(words) for name, words in WORDS.items()},
        }

    @cached_property
    def amounts(self) -> Mapping[str, Reader]:
        """What reads each driver, modifier and sometimes-stage."""
        return readers(self.settings)

    @cached_property
    def stages(self) -> Mapping[str, str]:
        """Each stage by its name and label."""
        return stage_names(self.settings)

    def cell(self, sheet: str, column: str, value: CellValue) -> tuple[str, bool]:
        """The canonical text of a cell of a known column, and whether it could be read; else it is as it stands.

        Raises UsageError where it is longer than any cell may be.
        """
        verbatim = text(value)
        if len(verbatim) > LONGEST_CELL:
            raise UsageError(
                f"A cell of {sheet}, {column}, has {len(verbatim):,} letters, and {LONGEST_CELL:,} is the most.",
                "Shorten it.",
            )
        if verbatim == "":
            return "", True
        kind = SHEETS[sheet].get(column)
        if kind is None:
            side, _, name = column.partition("_")
            try:
                return (self.amount(side, name, value) if side in SIDES else verbatim), True
            except UnreadableError:
                return verbatim, True  # an amount has no form of its own to keep
        if verbatim in DASHES:  # says nothing, and is kept
            return verbatim, kind in {"text", "id"}
        try:
            return self.forms[kind](value), True
        except UnreadableError:
            return verbatim, False

    def amount(self, side: str, name: str, value: CellValue) -> str:
        """How much of a driver, modifier or sometimes-stage there is; a driver that is measured with its unit.

        Raises UnreadableError where that cannot be read; the name is no quantity's, and it stays as it is.
        """
        verbatim = text(value)
        if name not in self.amounts or verbatim == CANT_SEE:
            return verbatim
        if side == SIDES[1] and verbatim.casefold().rstrip(".") in AS_THOUGHT:
            return SAME
        if side == SIDES[2]:
            if isinstance(value, str) and (sign := MINUS.match(value)):
                return f"-{self._less(name, value[sign.end() :])}"
            if isinstance(value, int | float) and not isinstance(value, bool) and value < 0:
                return f"-{self._less(name, -value)}"
        return self._much(name, value)

    def _less(self, name: str, value: CellValue) -> str:
        """An amount to stand behind a minus, where a grade goes by its number."""
        return self._much(name, value) if name in self.settings.drivers else number(self.amounts[name](value))

    def _much(self, name: str, value: CellValue) -> str:
        """An amount without its sign."""
        much = self.amounts[name](value)
        driver = self.settings.drivers.get(name)
        if driver:
            return _with_unit(much, driver.unit, lambda written: read_quantity(written, driver.unit))
        modifier = self.settings.modifiers.get(name)
        return ((modifier.grades if modifier else ()) or ("no", "yes"))[int(much)]

    def _board(self, value: CellValue) -> str:
        """The number of a board, by which it is called for good; shop for none."""
        written = one_line(value)
        if board := self.names.find(written):
            return board
        if plain(written) == SHOP:
            return SHOP
        raise UnreadableError("no board has this id or short name")

    def _boards(self, value: CellValue) -> str:
        """The numbers of none, one or several boards."""
        written = one_line(value)
        if plain(written) == SHOP:
            return SHOP
        if board := self.names.find(written):
            return board
        apart = [one.strip() for one in written.replace(";", ",").split(",")]
        found = [self.names.find(one) for one in apart if one]
        if not all(found):
            raise UnreadableError("no board has this id or short name")
        return "; ".join(dict.fromkeys(found))

    def _stage(self, value: CellValue) -> str:
        """The name of a stage; of what was done for no board any word."""
        written = one_line(value)
        return self.stages.get(plain(written), written)


def text(value: CellValue) -> str:
    """What stands in a cell, without spaces around it and without what ends a text in other programs."""
    found = value if isinstance(value, str) else one_line(value)
    return found.replace("\0", "").encode("utf-8", "replace").decode("utf-8").strip()


def coins(amount: float) -> str:
    """Money with two decimals; with more where there are more, and never with three, which could be thousands.

    >>> coins(1800.0), coins(240.5), coins(1.125)
    ('1800.00', '240.50', '1.1250')
    """
    whole, _, part = number(amount).partition(".")
    return f"{whole}.{part.ljust(2, '0') if len(part) != 3 else part + '0'}"


def _first_alike(value: float, candidates: Iterable[str], reader: Callable[[str], float]) -> str:
    """The first text that reads as just this value; the last where none does."""
    written = ""
    for written in candidates:
        try:
            if reader(written) == value:
                break
        except UnreadableError:
            continue
    return written


def _length(value: CellValue) -> str:
    """A length in feet and inches, as on a tape measure, or metric where it was measured so."""
    length_m = read_length_m(value)
    feet, inches = divmod(length_m / INCH_M, 12)
    alike = _inches(inches)
    told = [f"{feet:.0f}'{alike}"] if alike else []
    return _first_alike(length_m, [*told, *_metric(length_m)], read_length_m)


def _width(value: CellValue) -> str:
    """A width in inches, or metric where it was measured so."""
    width_m = read_width_m(value)
    alike = _inches(width_m / INCH_M)
    return _first_alike(width_m, [*([f"{alike} in"] if alike else []), *_metric(width_m)], read_width_m)


def _inches(inches: float) -> str:
    """Inches to the sixteenth; empty where they were measured otherwise."""
    whole, part = divmod(round(inches * 16), 16)
    if abs(whole + part / 16 - inches) > 1e-9:
        return ""
    below = 16
    while part and part % 2 == 0:
        part, below = part // 2, below // 2
    return f"{whole} {part}/{below}" if part else str(whole)


def _metric(size_m: float) -> Iterable[str]:
    """A size in centimetres, millimetres or metres."""
    yield f"{number(round(size_m * 100, 2))} cm"
    yield f"{number(round(size_m, 4))} m"
    yield f"{number(size_m / INCH_M)} in"
    yield f"{number(size_m)} m"


def _with_unit(value: float, unit: str, reader: Callable[[str], float]) -> str:
    """A number with its unit, in a unit in which it is short where there is one."""
    if not unit:
        return number(value)
    alike = [other for other, (what, *_) in UNITS.items() if what == UNITS[unit][0]]
    short = [
        f"{number(round(convert(value, unit, other), digits))} {other}"
        for digits in (3, 6)
        for other in (unit, *alike)
    ]
    return _first_alike(value, [*short, f"{number(value)} {unit}"], reader)


def _span(low: float, high: float) -> str:
    """Hours, or the least and the most of them."""
    return number(low) if low == high else f"{number(low)}-{number(high)}"


def _yes_no(value: CellValue) -> str:
    """Yes or no."""
    said = yes_or_no(value)
    if said is None:
        raise UnreadableError("that says neither yes nor no")
    return "yes" if said else "no"


def _word(value: CellValue, words: Iterable[str], also: Mapping[str, str]) -> str:
    """One of the words."""
    known = {**also, **{plain(word): word for word in words}}
    found = plain(one_line(value))
    if found not in known:
        raise UnreadableError("that is not one of the words known here")
    return known[found]


def _one_of(words: Iterable[str]) -> Form:
    """What makes one of these words of a cell."""
    return lambda value: _word(value, words, {})


def next_number(ids: Iterable[str], year: int) -> str:
    """The next running number of a year, as 26-014.

    >>> next_number(["26-013", "26-002", "25-040"], 2026)
    '26-014'
    """
    head = f"{year % 100:02d}-"
    taken = {one for one in ids if one.startswith(head)}
    last = max((int(one[3:]) for one in taken if one[3:].isdecimal()), default=0)
    return next(one for n in count(last + 1) if (one := f"{head}{n:03d}") not in taken)

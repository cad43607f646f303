"""The cells of one row, each read as what it should be, with a problem for each that is something else."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Callable, Collection, Iterable, Mapping
from dataclasses import dataclass, field
from functools import lru_cache, partial
from types import MappingProxyType
from typing import TypeVar

from estimator.log.columns import ASKED_LATER, LOOKED, TURNED_OUT, plain
from estimator.log.tables import CellValue, SheetTable, shown
from estimator.words.dates import read_date
from estimator.words.errors import UnreadableError
from estimator.words.measures import convert, face_area_m2, printable, quoted, read_quantity, usual_width_m
from estimator.words.problems import Place, Problem
from estimator.words.settings.schema import Driver, Modifier, Settings
from estimator.words.settings.values import nearest
from estimator.words.worked_time import WorkedTime, read_worked_time

T = TypeVar("T")

DASHES = frozenset({"?", "-", "–", "—"})  # an answer that says nothing, outside of quantities
NAMES = frozenset({"board", "called"})  # columns of names
MOST_LETTERS, MOST_WORDS = 80, 20_000  # of a name; of anything else that is written in words
YES = frozenset({"yes", "y", "true", "x", "✓", "✔", "1", "done", "finished"})
NO = frozenset({"no", "n", "false", "0", "not done", "not yet", "unfinished"})


@dataclass(slots=True)
class Row:
    """One row of a table, its problems kept as its cells are read.

    cells: what stands in its columns, by name; without the empty ones
    style: how an ambiguous date is read, as the settings say
    today: dates of what has happened may not lie after it; None: not looked at
    hours_in_a_day: what "a day" means
    """

    table: SheetTable
    number: int
    cells: Mapping[str, CellValue]
    problems: list[Problem]
    style: str
    today: dt.date | None
    hours_in_a_day: float

    @property
    def where(self) -> Place:
        """The place of the row."""
        return self.table.at_row(self.number)

    def at(self, column: str) -> Place:
        """The place of a cell."""
        return self.table.at(self.number, column)

    def cell(self, column: str) -> CellValue:
        """What stands in a column; an empty text where nothing does or where there is no such column."""
        return self.cells.get(column, "")

    def written(self, column: str) -> CellValue:
        """What stands in a column; an empty text too where a question mark or a dash stands for nothing."""
        found = self.cells.get(column, "")
        return "" if found in DASHES else found

    def wrong(self, column: str, wrong: str, cure: str) -> None:
        """Keeps a problem of a cell."""
        self.problems.append(Problem(self.at(column), shown(self.cell(column)), wrong, cure))

    def read(self, column: str, reader: Callable[[CellValue], T]) -> T | None:
        """What a reader of words makes of a cell; None where nothing is written, or with a problem."""
        found = self.written(column)
        return None if found == "" else self.made(column, found, reader)

    def made(self, column: str, found: CellValue, reader: Callable[[CellValue], T]) -> T | None:
        """What a reader makes of what was found in a cell; None with a problem where it cannot read it."""
        try:
            return reader(found)
        except UnreadableError as error:
            stands_there = error.found == quoted(found)  # the problem says so itself
            self.wrong(column, f"that {error.says}" if stands_there else error.wrong, error.cure)
            return None

    def text(self, column: str) -> str:
        """What is written in a cell, as one line of text; cut off with a problem where it is far too long."""
        found = self.written(column)
        if found == "":
            return ""
        line, most = one_line(found), MOST_LETTERS if column in NAMES else MOST_WORDS
        if len(line) > most:
            self.wrong(
                column,
                f"that is {len(line):,} characters long, and only the first {most:,} are read",
                "Make it shorter.",
            )
        return line[:most]

    def word(self, column: str, words: Iterable[str], also: Mapping[str, str] = MappingProxyType({})) -> str:
        """One of the words, in any spelling; an empty text where there is none, or with a problem.

        also: further words, plainly spelt, to the one that is meant
        """
        found = self.text(column)
        if not found:
            return ""
        known = {**also, **{plain(word): word for word in words}}
        if plain(found) not in known:
            self.wrong(column, "that is not one of the words known here", nearest(found.casefold(), words))
        return known.get(plain(found), "")

    def yes_no(self, column: str) -> bool | None:
        """Yes or no in various words; None where nothing is written, or with a problem."""
        found = self.written(column)
        if found == "":
            return None
        said = yes_or_no(found)
        if said is None:
            self.wrong(column, "that says neither yes nor no", "Write yes or no.")
        return said

    def date(self, column: str, *, past: bool = False) -> dt.date | None:
        """A date; None where nothing is written, or with a problem.

        past: whether it speaks of what has happened, and so may not lie after today
        """
        day = self.read(column, lambda found: _date(found, self.style))
        return None if day and past and self.to_come(column, day) else day

    def to_come(self, column: str, day: dt.date) -> bool:
        """Whether a day is still to come, which is a problem for what has happened."""
        later = self.today is not None and day > self.today
        if later:
            self.wrong(column, f"that day is still to come (today is {self.today})", "Correct the date.")
        return later

    def time(self, column: str) -> WorkedTime | None:
        """Worked time; None where nothing is written, or with a problem."""
        return self.read(column, lambda found: time_in(found, self.hours_in_a_day))


# a notebook says the same few days and hours over and over
_date = lru_cache(maxsize=10_000, typed=True)(read_date)
time_in = lru_cache(maxsize=10_000, typed=True)(read_worked_time)


def one_line(found: CellValue) -> str:
    """What is written, with single spaces and no control characters; a whole number without its point.

    A day stands without its midnight.

    >>> one_line(12.0), one_line(" red  nine-four")
    ('12', 'red nine-four')
    """
    if isinstance(found, dt.datetime) and found.time() == dt.time():
        found = found.date()
    if isinstance(found, float) and found.is_integer() and abs(found) < 1e15:
        found = int(found)
    return " ".join(printable(str(found)).split())


def yes_or_no(found: CellValue) -> bool | None:
    """Whether a word says yes or no; None where it says neither.

    >>> yes_or_no("Yes"), yes_or_no(0.0), yes_or_no("perhaps")
    (True, False, None)
    """
    if isinstance(found, bool):
        return found
    word = one_line(found).casefold().rstrip(".!")
    return True if word in YES else False if word in NO else None


AREAS = ("m2", "ft2")

Written = Mapping[
    str, float | None
]  # name to value; None: "?", can't see yet; a name left out: nothing written


@dataclass(frozen=True, slots=True)
class Judged:
    """A board's quantities as judged before work and as they turned out, each by name, in its own unit.

    worked_out: names of assessed areas that come from the outline, not from a measure
    usual_width: whether the width that such boards usually have stood in for the board's own
    face_m2: area of one face, None without a length
    """

    assessed: dict[str, float] = field(default_factory=dict)
    found: dict[str, float] = field(default_factory=dict)
    worked_out: frozenset[str] = frozenset()
    usual_width: bool = False
    face_m2: float | None = None


def judged(
    assessed: Written,
    found: Written,
    settings: Settings,
    *,
    same: Collection[str] = (),
    kind: str = "",
    length_m: float | None = None,
    width_m: float | None = None,
    outline: str = "",
    over: bool = False,
) -> Judged:
    """All that is known of a board's quantities, from what was written.

    A driver that the kind does not ask is none. Where anything was assessed, an empty cell is none or not
    known as its `blank` says, and a sometimes-stage not known; where nothing was, all that is asked is not
    known. Of a board that is over, of which only how it turned out is written, an empty cell of a driver says as much
    of that. Areas from the outline follow from length, width and, with `times`, the number of faces.

    assessed, found: drivers in their units, modifiers as grades, sometimes-stages 1 or 0
    same: names found to be just as assessed; one that was not assessed stays not known
    kind: name of a kind, or empty; outline: gun, short, fish, long, or empty
    over: whether it is finished, and its hours are written in all

    >>> drivers = {"face": Driver("face", unit="m2", source="outline"), "logos": Driver("logos")}
    >>> judged({}, {}, Settings(drivers=drivers), length_m=2.5, width_m=0.5, outline="long").assessed
    {'face': 1.025}
    """
    asked = settings.kinds[kind].asks if kind in settings.kinds else None
    values = {name: value for name, value in assessed.items() if value is not None}
    outlines = [driver for driver in settings.drivers.values() if _from_outline(driver)]
    for name in settings.quantities:
        if name in assessed or any(name == driver.name for driver in outlines):
            continue
        not_asked = name in settings.drivers and asked is not None and name not in asked
        if not_asked or (assessed and _blank(name, settings) == "none"):
            values[name] = 0.0
    face_m2 = None
    if length_m is not None:
        face_m2 = face_area_m2(length_m, usual_width_m(length_m) if width_m is None else width_m, outline)
    turned_out = {name: value for name, value in found.items() if value is not None}
    turned_out |= {name: values[name] for name in same if name in values}
    if over and turned_out and not assessed:
        others = (name for name in settings.drivers if name not in found and _blank(name, settings) == "none")
        turned_out |= {name: 0.0 for name in others if not _from_outline(settings.drivers[name])}
    worked_out = set()
    from_face = False
    for driver in outlines:
        if driver.name not in assessed:
            area = _area(driver, values, face_m2)
            if area is None and asked is not None and driver.name not in asked:
                area = 0.0
            if area is not None:
                values[driver.name] = area
                worked_out |= {driver.name} if area else set()
        if driver.name in same and driver.name in values:
            turned_out[driver.name] = values[driver.name]
        elif driver.name not in found and driver.times in turned_out:
            area, from_face_too = _found_area(driver, values, turned_out, face_m2)
            from_face |= from_face_too
            if area is not None:
                turned_out[driver.name] = area
    usual = length_m is not None and width_m is None and bool(worked_out or from_face)
    return Judged(values, turned_out, frozenset(worked_out), usual, face_m2)


def with_areas(
    later: Mapping[str, float], assessed: Mapping[str, float], settings: Settings, face_m2: float | None
) -> dict[str, float]:
    """What the owner asked for since, and the areas that the faces among it make where none were written.

    >>> drivers = {"gloss": Driver("gloss"), "area": Driver("area", unit="m2", source="outline", times="gloss")}
    >>> with_areas({"gloss": 1.0}, {"gloss": 1.0, "area": 1.2}, Settings(drivers=drivers), 1.3)
    {'gloss': 1.0, 'area': 1.2}
    """
    areas = dict(later)
    for driver in settings.drivers.values():
        more = later.get(driver.times, 0.0)
        if _from_outline(driver) and more and driver.name not in later and driver.name in assessed:
            faces = assessed.get(driver.times)
            in_all = {driver.times: (faces or 0.0) + more}
            area = None if faces is None else _found_area(driver, assessed, in_all, face_m2)[0]
            if area is not None:
                areas[driver.name] = area - assessed[driver.name]
    return areas


def _from_outline(driver: Driver) -> bool:
    """Whether a driver is an area that the outline tells."""
    return driver.source == "outline" and driver.unit in AREAS


def _blank(name: str, settings: Settings) -> str:
    """What an empty assessed cell means: none or unknown."""
    if name in settings.drivers:
        return settings.drivers[name].blank
    return settings.modifiers[name].blank if name in settings.modifiers else "unknown"


def _area(driver: Driver, values: Mapping[str, float], face_m2: float | None) -> float | None:
    """So many faces in the driver's unit, or None where their size or number is not known."""
    faces = values.get(driver.times) if driver.times else 1.0
    if faces is None or faces == 0:
        return faces
    return None if face_m2 is None else faces * convert(face_m2, "m2", driver.unit)


def _found_area(
    driver: Driver, assessed: Mapping[str, float], found: Mapping[str, float], face_m2: float | None
) -> tuple[float | None, bool]:
    """The area that so many found faces make, and whether the outline told it.

    As many faces as assessed have the area assessed, and others their share of it, so that an area that was
    measured is no surprise when only its sides are confirmed.
    """
    faces, thought = found[driver.times], assessed.get(driver.times)
    if driver.name in assessed and thought is not None:
        if faces == thought:
            return assessed[driver.name], False
        if faces and thought:
            return assessed[driver.name] * faces / thought, False
    area = _area(driver, found, face_m2)
    return area, bool(area)


AS_THOUGHT = frozenset({"same", "as thought", "just as i thought", "just as thought", "as assessed", "="})

Reader = Callable[[CellValue], float]


@dataclass(frozen=True, slots=True)
class Quantities:
    """What a row says of a board's quantities; None: not known, a name left out: an empty cell.

    same: names that turned out as they were judged
    """

    assessed: dict[str, float | None] = field(default_factory=dict)
    found: dict[str, float | None] = field(default_factory=dict)
    later: dict[str, float] = field(default_factory=dict)
    same: frozenset[str] = frozenset()


def readers(settings: Settings) -> dict[str, Reader]:
    """For each driver, modifier and sometimes-stage what reads its cells.

    >>> readers(Settings(modifiers={"wet": Modifier("wet", grades=("dry", "damp", "soaked"))}))["wet"]("Damp")
    1.0
    """
    read: dict[str, Reader] = {
        name: partial(read_quantity, unit=d.unit) for name, d in settings.drivers.items()
    }
    read |= {name: partial(read_grade, modifier=modifier) for name, modifier in settings.modifiers.items()}
    return read | {name: partial(read_grade, modifier=Modifier(name)) for name in settings.sometimes}


def read_grade(value: CellValue, modifier: Modifier) -> float:
    """The grade of a condition, from its word, from yes (the highest) or no, or from its number.

    Raises UnreadableError for anything else.

    >>> read_grade("yes", Modifier("wet", grades=("dry", "damp", "soaked"))), read_grade("no", Modifier("w"))
    (2.0, 0.0)
    """
    grades = {plain(word): grade for grade, word in enumerate(modifier.grades)}
    number = None
    if plain(value) in grades:
        number = float(grades[plain(value)])
    elif not isinstance(value, bool):
        try:
            number = read_quantity(value, "")
        except UnreadableError:
            number = None
    if number is None and (said := yes_or_no(value)) is not None:
        number = float(modifier.highest if said else 0)
    if number is not None and number.is_integer() and number <= modifier.highest:
        return number
    if not modifier.grades:
        raise UnreadableError("that says neither yes nor no", "Write yes or no.")
    raise UnreadableError("that is none of its grades", nearest(one_line(value).casefold(), modifier.grades))


MINUS = re.compile(r"\s*[-−–]\s*(?=[0-9½¼¾.,])")


def read_more(value: CellValue, reader: Reader) -> float:
    """So much more, as `reader` has it; so much less where a minus stands in front.

    Raises UnreadableError as the reader does.

    >>> read_more("-1", float), read_more(-0.5, float), read_more("2", float)
    (-1.0, -0.5, 2.0)
    """
    if isinstance(value, str) and (sign := MINUS.match(value)):
        return -reader(value[sign.end() :])
    if isinstance(value, (int, float)) and not isinstance(value, bool) and value < 0:
        return -reader(-value)
    return reader(value)


def read_quantities(row: Row, read: Mapping[str, Reader]) -> Quantities:
    """All quantities in a row of the boards sheet; a cell that cannot be read is a problem, and not known."""
    assessed: dict[str, float | None] = {}
    found: dict[str, float | None] = {}
    later: dict[str, float] = {}
    same = set()
    for name, reader in read.items():
        if (judged := row.cell(LOOKED + name)) != "":
            assessed[name] = None if judged == "?" else row.made(LOOKED + name, judged, reader)
        if (turned_out := row.cell(TURNED_OUT + name)) != "":
            if isinstance(turned_out, str) and turned_out.casefold().rstrip(".") in AS_THOUGHT:
                same.add(name)
            else:
                found[name] = None if turned_out == "?" else row.made(TURNED_OUT + name, turned_out, reader)
        added = row.cell(ASKED_LATER + name)
        if (
            added not in {"", "?"}
            and (more := row.made(ASKED_LATER + name, added, partial(read_more, reader=reader))) is not None
        ):
            later[name] = more
    return Quantities(assessed, found, later, frozenset(same))

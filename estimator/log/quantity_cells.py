"""The cells that say what there is to do on a board: as judged, as it turned out, as asked for since."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from functools import partial

from estimator.log.cells import Row, one_line, yes_or_no
from estimator.log.columns import plain
from estimator.log.headers import ASKED_LATER, LOOKED, TURNED_OUT
from estimator.log.tables import Cell
from estimator.words.errors import UnreadableError
from estimator.words.lengths import read_quantity
from estimator.words.settings import Modifier, Settings
from estimator.words.settings_values import nearest

AS_THOUGHT = frozenset({"same", "as thought", "just as i thought", "just as thought", "as assessed", "="})

Reader = Callable[[Cell], float]


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


def read_grade(value: Cell, modifier: Modifier) -> float:
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
        if added not in {"", "?"} and (more := row.made(ASKED_LATER + name, added, reader)) is not None:
            later[name] = more
    return Quantities(assessed, found, later, frozenset(same))

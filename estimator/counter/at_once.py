"""Hours that are there at once: of quantities as they stand in a form, by what was learned last."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from estimator.counter.shapes import DrawingPart
from estimator.counter.step_forms import LOOKED, OTHER
from estimator.counter.tapes import hours_drawings
from estimator.forecast.described import FIELDS
from estimator.log.columns import LOOKED as ASSESSED
from estimator.said.range import headline
from estimator.snapshot import Snapshot
from estimator.words.errors import EstimatorError
from estimator.working_day import range_at_once


@dataclass(frozen=True, slots=True)
class AtOnceHours:
    """Hours of a board as it is described just now.

    said: in a sentence, or why there are none; drawings: ten boards on a tape, once for each width
    best: what to ask next, best first
    """

    said: str
    drawings: tuple[DrawingPart, ...] = ()
    best: tuple[str, ...] = ()


def hours_at_once(now: Snapshot, cells: Mapping[str, str]) -> AtOnceHours | None:
    """The hours of a board with these cells; None where nothing that was learned is kept."""
    try:
        said = range_at_once(now, cells)
        if said is None:
            return None
        best = tuple(one.driver for one in said.look_next)
        return AtOnceHours(headline(said), hours_drawings(said), best)
    except EstimatorError as error:
        return AtOnceHours(str(error))


def cells_of(row: Mapping[str, object]) -> dict[str, str]:
    """What a board's row says of its quantities, by their names; what is not written is not known."""
    cells = {name: str(row[name]) for name in FIELDS if row.get(name)}
    return cells | {
        column.removeprefix(ASSESSED): str(cell)
        for column, cell in row.items()
        if column.startswith(ASSESSED) and cell
    }


def cells_in(given: Mapping[str, str]) -> dict[str, str]:
    """What stands in a form's fields of them.

    >>> cells_in({"looked.infills": "2", "looked.logos": "1", "looked.logos.other": "5", "width": "20 in", "x": "1"})
    {'infills': '2', 'logos': '5', 'width': '20 in'}
    """
    cells: dict[str, str] = {}
    for field, text in given.items():
        if not text.strip():
            continue
        if field.startswith(LOOKED):
            name = field.removeprefix(LOOKED).removesuffix(OTHER)
            if field.endswith(OTHER) or name not in cells:
                cells[name] = text.strip()
        elif field in FIELDS:
            cells[field] = text.strip()
    return cells

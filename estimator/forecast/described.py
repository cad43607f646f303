"""A board that is described in words rather than read from the log, or a board of the log with changes."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from estimator.log.parse.cells import AS_THOUGHT, Judged, judged, readers
from estimator.model.saved_fit import KnownBoard
from estimator.words.errors import UnreadableError, UsageError
from estimator.words.measures import read_length_m, read_width_m
from estimator.words.records import JUDGED_WITH, OUTLINES
from estimator.words.settings.schema import Settings
from estimator.words.settings.values import nearest
from estimator.words.worked_time import read_range_hours

FIELDS = ("kind", "length", "width", "outline", "guess", "judged_with")
NOT_KNOWN = ("?", "", None)


def described(
    values: Mapping[str, object], settings: Settings, board: KnownBoard | None = None
) -> KnownBoard:
    """A board with the given quantities and fields, each as it would stand in a cell; "?" is not known.

    board: what is not named stays as it is there; without one, what is not named is as an empty cell is

    Raises UsageError for a name that is neither a field nor a quantity, UnreadableError for its value.

    >>> from estimator.words.settings.schema import Driver
    >>> described({"logos": "2"}, Settings(drivers={"logos": Driver("logos")})).assessed
    {'logos': 2.0}
    """
    read = readers(settings)
    fields: dict[str, object] = {}
    told: dict[str, float | None] = {}
    for name, value in values.items():
        if name in FIELDS:
            fields[name] = None if value in NOT_KNOWN else value
        elif name in read:
            told[name] = None if value in NOT_KNOWN else _made(name, value, read[name])
        else:
            raise UsageError(f'"{name}" is nothing that a board has.', nearest(name, [*FIELDS, *read]))
    changed = _with_fields(board or KnownBoard(board=""), fields, settings)
    if board is None:
        known = _judged(told, {}, changed, settings)
        return replace(changed, assessed=known.assessed, worked_out=tuple(sorted(known.worked_out)))
    kept = {q: board.assessed.get(q) for q in settings.quantities if q not in board.worked_out}
    outlines = {d.name for d in settings.drivers.values() if d.source and d.name not in board.assessed}
    assessed = {**{q: v for q, v in kept.items() if q not in outlines}, **told}
    found = {**board.found, **({q: v for q, v in told.items() if v is not None} if board.found else {})}
    for q, value in told.items():
        if value is None:
            found.pop(q, None)
    known = _judged(assessed, found, changed, settings)
    told_areas = {d.name for d in settings.drivers.values() if d.times in told}
    return replace(
        changed,
        assessed=known.assessed,
        found=known.found,
        later={q: more for q, more in board.later.items() if q not in told and q not in told_areas},
        worked_out=tuple(sorted(known.worked_out)),
        materials=None,
    )


def taken_as_none(values: Mapping[str, object], board: KnownBoard, settings: Settings) -> tuple[str, ...]:
    """What a described board may well have, was not named, and is counted as none.

    board: what `described` made of the values

    >>> from estimator.words.settings.schema import Driver
    >>> settings = Settings(drivers={"logos": Driver("logos"), "infills": Driver("infills")})
    >>> taken_as_none({"logos": 1}, described({"logos": 1}, settings), settings)
    ('infills',)
    """
    asked = settings.kinds[board.kind].asks if board.kind in settings.kinds else None
    return tuple(
        name
        for name, driver in settings.drivers.items()
        if name not in values
        and board.assessed.get(name) == 0
        and (asked is None or name in asked)
        and not driver.times
    )


def _judged(
    assessed: Mapping[str, float | None],
    found: Mapping[str, float | None],
    board: KnownBoard,
    settings: Settings,
) -> Judged:
    """Blanks and outlines as for a row of the log."""
    return judged(
        assessed,
        found,
        settings,
        kind=board.kind,
        length_m=board.length_m,
        width_m=board.width_m,
        outline=board.outline,
    )


def _made(name: str, value: object, reader: object) -> float:
    """A quantity from what would stand in its cell."""
    assert callable(reader)
    if isinstance(value, str) and value.casefold() in AS_THOUGHT:
        raise UnreadableError(f"{name}: there is nothing that it could be the same as.", "Write the value.")
    try:
        return float(reader(value))
    except UnreadableError as error:
        raise UnreadableError(f"{name}={value}: {error.wrong}", error.cure) from None


def _with_fields(board: KnownBoard, fields: Mapping[str, object], settings: Settings) -> KnownBoard:
    """The board with its kind, length, width, outline or guess set."""
    made: dict[str, Any] = {}
    for name, value in fields.items():
        try:
            if name == "kind":
                labels = {settings.label(kind): kind for kind in settings.kinds}
                made["kind"] = _word(name, value, labels | {kind: kind for kind in settings.kinds})
            elif name == "outline":
                made["outline"] = _word(name, value, {word: word for word in OUTLINES})
            elif name == "judged_with":
                made["judged_with"] = _word(name, value, {word: word for word in JUDGED_WITH})
            elif name == "length":
                made["length_m"] = None if value is None else read_length_m(value)
            elif name == "width":
                made["width_m"] = None if value is None else read_width_m(value)
            elif value is None:
                made["guess"] = None
            else:
                made["guess"] = _guess(value, settings.workshop.hours_in_a_day)
        except UnreadableError as error:
            raise UnreadableError(f"{name}={value}: {error.wrong}", error.cure) from None
    return replace(board, **made)


def _guess(value: object, hours_in_a_day: float) -> float:
    """The middle of a guess in hours, which must be more than none."""
    low, high = read_range_hours(value, hours_in_a_day)
    if low <= 0:
        raise UnreadableError("a guess of no hours says nothing.", "Write the hours.")
    return float(low**0.5 * high**0.5)


def _word(name: str, value: object, words: Mapping[str, str]) -> str:
    """One of the words, in any case; empty for not known."""
    if value is None:
        return ""
    plain = {word.casefold(): meant for word, meant in words.items()}
    said = str(value).strip().casefold()
    if said not in plain:
        raise UnreadableError(
            f"that is no {name} known here.", nearest(said, list(dict.fromkeys(words.values())))
        )
    return plain[said]

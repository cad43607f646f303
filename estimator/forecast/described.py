"""Boards other than the log has them: described in words, with changes, or each with one thing more to do."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from estimator.forecast.surprises import known_from
from estimator.forecast.views import default_view, drawn_board, values_in
from estimator.log.parse.cells import AS_THOUGHT, Judged, judged, readers
from estimator.model.saved_fit import KnownBoard, SavedFit
from estimator.words.errors import EstimatorError, UnreadableError, UsageError
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


WORTH_SAYING = 0.25  # hours, by which the even chance has to move
MORE = 1.25  # times as much of what is measured and not counted
MOST_SIDES = 2.0  # of what multiplies a face


@dataclass(frozen=True, slots=True)
class WhatIf:
    """One thing other than it looks: its value as it is taken (None: not known), the other, and hours more."""

    name: str
    was: float | None
    value: float
    hours: float


def what_ifs(
    fit: SavedFit, board: KnownBoard, settings: Settings, *, seed: int = 0, most: int = 4
) -> tuple[WhatIf, ...]:
    """The changes that would add most to a board's even chance, largest first; finished work adds nothing.

    Each is tried alone, on the same draws: one piece more (the first only of what shows on opening), a quarter more
    of what is measured, one grade worse (the worst where the grade is not known), each stage that may happen.

    Raises NoAnswerError where neither rules nor log can tell of the board as it is.
    """
    view = default_view(board)
    base = _middle(fit, board, view, settings, seed)
    found = []
    for name, was, value in _changes(board, view, settings):
        try:
            hours = _middle(fit, described({name: value}, settings, board), view, settings, seed) - base
        except EstimatorError:
            continue  # of that, neither a rule nor a past board tells
        if hours >= WORTH_SAYING:
            found.append(WhatIf(name, was, value, hours))
    return tuple(sorted(found, key=lambda one: -one.hours)[:most])


def _middle(fit: SavedFit, board: KnownBoard, view: str, settings: Settings, seed: int) -> float:
    """The even chance, with the same luck for every board."""
    _, drawn, _ = drawn_board(fit, board, view, settings, seed=seed)
    return float(np.median(drawn.total))


def _changes(board: KnownBoard, view: str, settings: Settings) -> Iterator[tuple[str, float | None, float]]:
    """Each quantity that is known or can be looked at: its name, its value, and the value to try."""
    values = values_in(board, "finished" if view == "now" else view, settings)
    asks = settings.kinds[board.kind].asks if board.kind in settings.kinds else None
    faces = {driver.times for driver in settings.drivers.values()}
    for name, driver in settings.drivers.items():
        was = values.get(name)
        if was is None or name in board.worked_out:
            continue
        if driver.unit:
            more = was * MORE
        else:
            more = min(was + 1, MOST_SIDES) if name in faces else was + 1
        may_show = known_from(name, settings) != "asked" and (asks is None or name in asks)
        if more > was and (was > 0 or may_show):
            yield name, was, more
    for name, modifier in settings.modifiers.items():
        was = values.get(name)
        worse = modifier.highest if was is None else min(was + 1, modifier.highest)
        if was is None or worse > was:
            yield name, was, float(worse)
    for name in settings.sometimes:
        if not values.get(name):
            yield name, values.get(name), 1.0

"""What would change a board's hours most: one thing more to do, or one grade worse, each on its own."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from estimator.forecast.described import described
from estimator.forecast.surprises import known_from
from estimator.forecast.views import default_view, drawn_board, values_in
from estimator.model.saved_fit import KnownBoard, SavedFit
from estimator.words.errors import EstimatorError
from estimator.words.settings.schema import Settings

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

"""How far a board's quantities lie beyond the most that the log has seen."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from estimator.model.saved_fit import Array, KnownBoard, SavedFit
from estimator.words.settings.schema import Settings


def beyond_log(
    fit: SavedFit, board: KnownBoard, values: Mapping[str, float | Array], settings: Settings
) -> dict[str, float | Array]:
    """By driver the log of how many times the most of past boards there is, by draw; those within are left out."""
    found: dict[str, float | Array] = {}
    for driver, most in most_seen(fit, board, settings).items():
        times = np.log(np.maximum(np.asarray(values.get(driver, 0.0)) / most, 1.0))
        if times.max() > 0:
            found[driver] = times if np.ndim(times) else float(times)
    return found


def most_seen(fit: SavedFit, board: KnownBoard, settings: Settings) -> dict[str, float]:
    """By driver the most of it that any other board had whose hours tell of it; drivers that none had are left out."""
    seen: dict[str, float] = {}
    for driver in settings.drivers:
        taught = {stage.name for stage in settings.stages.values() if driver in stage.drivers}
        had = [
            other.turned_out.get(driver, 0.0)
            for other in fit.boards
            if other.board != board.board and taught & {*other.taught}
        ]
        if (most := max(had, default=0.0)) > 0:
            seen[driver] = most
    return seen

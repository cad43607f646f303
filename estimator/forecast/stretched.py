"""Ranges made wider or narrower, each side by its own factor, as past ranges went."""

from __future__ import annotations

import json
from collections.abc import Iterable
from dataclasses import asdict, dataclass
from pathlib import Path

import numpy as np

from estimator.model.saved_fit import Array


@dataclass(frozen=True, slots=True)
class Stretch:
    """How far each side of a range is moved out, on the log scale; 1 is not at all.

    day: ISO date of the record that taught it, empty where there is none
    """

    low: float = 1.0
    high: float = 1.0
    day: str = ""

    def __bool__(self) -> bool:
        """Whether any side is moved."""
        return (self.low, self.high) != (1.0, 1.0)


UNSTRETCHED = Stretch()


def stretched(hours: Array, middle: Array | float, low: float, high: float) -> Array:
    """Hours moved out from the middle: middle x (hours / middle) ** factor, by side; what is 0 stays 0.

    hours: any shape; middle: hours > 0, broadcast against it; low, high: factors > 0

    >>> stretched(np.array([25.0, 50.0, 100.0]), 50.0, 1.0, 2.0).tolist()
    [25.0, 50.0, 200.0]
    """
    ratio = np.asarray(hours, dtype=float) / middle
    return np.asarray(middle * ratio ** np.where(ratio < 1, low, high))


def stretch_file(cache: Path) -> Path:
    """Where the stretches that records taught are kept."""
    return cache / "stretch-1.json"


def stretches_to_json(stretches: Iterable[Stretch]) -> str:
    """Stretches as JSON text, in order of day.

    >>> stretches_to_json([Stretch(1.0, 1.25, "2026-09-30")])
    '[{"low": 1.0, "high": 1.25, "day": "2026-09-30"}]'
    """
    return json.dumps([asdict(stretch) for stretch in sorted(stretches, key=lambda s: s.day)])


def stretches_from_json(text: str) -> list[Stretch]:
    """The stretches of a text; of any other text none."""
    try:
        return [Stretch(float(s["low"]), float(s["high"]), str(s["day"])) for s in json.loads(text)]
    except (ValueError, KeyError, TypeError):
        return []


def newest(stretches: Iterable[Stretch], day: str) -> Stretch:
    """The stretch that the latest record up to a day taught; none where there is no such record.

    >>> newest([Stretch(1.0, 1.2, "2026-03-31"), Stretch(1.0, 1.3, "2026-09-30")], "2026-06-01").high
    1.2
    """
    past = [stretch for stretch in stretches if stretch.day <= day]
    return max(past, key=lambda s: s.day, default=UNSTRETCHED)

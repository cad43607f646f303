"""Ranges of hours and of days made wider or narrower, each side by its own factor, as past ranges went."""

from __future__ import annotations

import json
import math
from collections.abc import Iterable
from dataclasses import asdict, dataclass
from pathlib import Path

import numpy as np

from estimator.model.saved_fit import Array

HOURS, DATES = "hours", "dates"  # of which ranges can be


@dataclass(frozen=True, slots=True)
class Stretch:
    """How far each side of a range is moved out, on the log scale; 1 is not at all.

    day: ISO date of the record that taught it, empty where there is none
    of: the ranges that are moved: of hours, or of dates
    """

    low: float = 1.0
    high: float = 1.0
    day: str = ""
    of: str = HOURS

    def __bool__(self) -> bool:
        """Whether any side is moved."""
        return (self.low, self.high) != (1.0, 1.0)


UNSTRETCHED = Stretch()
NOON = 0.5  # days
SPECK = 1e-9  # days


def stretched(hours: Array, middle: Array | float, low: float, high: float) -> Array:
    """Hours moved out from the middle: middle x (hours / middle) ** factor, by side; what is 0 stays 0.

    hours: any shape; middle: hours > 0, broadcast against it; low, high: factors > 0

    >>> stretched(np.array([25.0, 50.0, 100.0]), 50.0, 1.0, 2.0).tolist()
    [25.0, 50.0, 200.0]
    """
    ratio = np.asarray(hours, dtype=float) / middle
    return np.asarray(middle * ratio ** np.where(ratio < 1, low, high))


def stretched_days(days: Array, middle: Array | float, low: float, high: float) -> Array:
    """Whole days, counted from 1, moved out from the middle as hours are; whole days again.

    days: any shape; middle: a day, broadcast against it; low, high: factors > 0. A day stands for its noon: what is
    ready on the first day is half a day away.

    >>> stretched_days(np.array([1.0, 11.0, 20.0, 30.0]), 20.0, 1.2, 1.0).tolist()
    [1.0, 10.0, 20.0, 30.0]
    """
    return np.ceil(stretched(np.asarray(days) - NOON, middle - NOON, low, high) - SPECK)


def stretch_file(cache: Path) -> Path:
    """Where the stretches that records taught are kept."""
    return cache / "stretch-2.json"


def stretches_to_json(stretches: Iterable[Stretch]) -> str:
    """Stretches as JSON text, in order of day.

    >>> stretches_to_json([Stretch(1.0, 1.25, "2026-09-30")])
    '[{"low": 1.0, "high": 1.25, "day": "2026-09-30", "of": "hours"}]'
    """
    return json.dumps([asdict(stretch) for stretch in sorted(stretches, key=lambda s: (s.day, s.of))])


def stretches_from_json(text: str) -> list[Stretch]:
    """The stretches of a text; of any other text none."""
    try:
        read = [
            Stretch(float(s["low"]), float(s["high"]), str(s["day"]), str(s["of"])) for s in json.loads(text)
        ]
    except (ValueError, KeyError, TypeError):
        return []
    return read if all(0 < end < math.inf for one in read for end in (one.low, one.high)) else []


def newest(stretches: Iterable[Stretch], day: str, of: str = HOURS) -> Stretch:
    """The stretch that the latest record up to a day taught; none where there is no such record.

    of: the ranges that are to be moved

    >>> newest([Stretch(1.0, 1.2, "2026-03-31"), Stretch(1.0, 1.3, "2026-09-30")], "2026-06-01").high
    1.2
    """
    past = [stretch for stretch in stretches if stretch.day <= day and stretch.of == of]
    return max(past, key=lambda s: s.day, default=UNSTRETCHED)

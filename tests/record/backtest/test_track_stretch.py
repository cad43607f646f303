"""Kept points of a forecast, stretched, and what is kept of stretches."""

import numpy as np
import pytest

from estimator.forecast.calibration import (
    DATES,
    Stretch,
    newest,
    stretched,
    stretches_from_json,
    stretches_to_json,
)
from estimator.record.backtest.replay import GRID
from estimator.record.backtest.track import stretched_points


def test_points_are_moved_as_draws_are():
    hours = np.exp(3 + 0.4 * np.random.default_rng(6).standard_normal(30_001))
    points = np.quantile(hours, GRID)
    moved = stretched(hours, float(np.median(hours)), 0.9, 1.3)
    assert stretched_points(points, GRID, (0.9, 1.3)) == pytest.approx(np.quantile(moved, GRID), rel=1e-3)


def test_the_middle_stays_and_the_order_too():
    points = np.quantile(np.random.default_rng(7).gamma(3.0, 10.0, 5000), GRID)
    moved = stretched_points(points, GRID, (1.6, 0.8))
    assert moved[GRID.index(0.5)] == pytest.approx(points[GRID.index(0.5)])
    assert (np.diff(moved) >= 0).all()
    assert stretched_points(points, GRID, (1.0, 1.0)) == pytest.approx(points)


def test_the_newest_record_up_to_a_day_counts():
    kept = [Stretch(1.0, 1.2, "2026-03-31"), Stretch(1.1, 1.3, "2026-09-30")]
    assert stretches_from_json(stretches_to_json(kept)) == kept
    assert newest(kept, "2026-09-30").high == 1.3
    assert newest(kept, "2026-09-29").high == 1.2
    assert newest(kept, "2025-12-31") == Stretch()


def test_hours_and_dates_are_kept_apart():
    kept = [Stretch(1.0, 1.2, "2026-03-31"), Stretch(1.1, 1.3, "2026-02-28", DATES)]
    assert stretches_from_json(stretches_to_json(kept)) == kept[::-1]
    assert newest(kept, "2026-09-30").high == 1.2
    assert newest(kept, "2026-09-30", DATES).high == 1.3
    assert newest(kept, "2026-02-27", DATES) == Stretch()


@pytest.mark.parametrize(
    "text",
    ['[{"low": 1.0, "high": 1.2, "day": "2026-03-31"}]', "", "nonsense", "{}", '[{"low": 1}]', "[3]", "null"],
)
def test_a_cache_that_cannot_be_read_is_as_none(text):
    assert stretches_from_json(text) == []

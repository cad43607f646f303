"""Levels that move by quarters, the lean that lent rules share, and how far a short log is believed of a trend."""

import datetime as dt
import math
from dataclasses import replace

import numpy as np
import pytest
from making import small_shop

from estimator.model import likelihood
from estimator.model.fit import fit
from estimator.model.likelihood import Density
from estimator.model.matrices import table_of
from estimator.model.posterior import normal_posterior
from estimator.model.priors import terms_of
from estimator.words.records import FINISHED, Board, Entry, Log, Rule
from estimator.words.settings.schema import Driver, Settings, Stage

ONE_STAGE = Settings(drivers={"area": Driver("area")}, stages={"strip": Stage("strip", drivers=("area",))})
FIRST = dt.date(2025, 2, 10)


def shop(hours_by_quarter):
    """One board of one unit a row, so many in each quarter, one quarter after another."""
    boards, entries = [], []
    for q, some in enumerate(hours_by_quarter):
        day = FIRST.replace(year=FIRST.year + q // 4, month=FIRST.month + 3 * (q % 4))
        for i, hours in enumerate(some):
            boards.append(Board(f"{q}-{i}", state=FINISHED, assessed={"area": 1.0}))
            entries.append(Entry(f"{q}-{i}", day, "strip", hours, grain=1e-9))
    return Log(tuple(boards), tuple(entries))


def density_of(log, settings):
    table = table_of(log, settings)
    return Density(table, terms_of(table, log, settings))


def test_quarters_are_alike_as_in_an_autoregression_of_order_one():
    """Its autocorrelation at lag k is r^k: Box & Jenkins (1976), Time Series Analysis, section 3.2.3."""
    root, r = likelihood._likeness(6), likelihood.LIKE_BEFORE

    assert root @ root.T == pytest.approx(r ** np.abs(np.subtract.outer(range(6), range(6))), abs=1e-12)
    assert likelihood._likeness(0).shape == (0, 0)


@pytest.mark.parametrize("hours", [[[2, 3], [6], [], [7, 8, 5]], [[1]], [[4], [], [], [], [4]]])
def test_likeliest_levels_are_those_of_a_gaussian_process_over_quarters(hours):
    """Rasmussen & Williams (2006), Gaussian Processes for Machine Learning, eq. 2.23, with covariance moves^2 r^|i-j|;

    a row has its quarter's level less the last one's.
    """
    density = density_of(shop(hours), ONE_STAGE)
    x = np.zeros((density.size, 1))
    x[density.shared.start + 6] = 1.0  # levels that move a good deal
    own = slice(density.quarter.start, density.quarter.stop)
    step = np.eye(density.size)[:, own]
    slope = density.value_and_gradient(x)[1][own, 0]
    bend = density.value_and_gradient(x + step)[1][own] - slope[:, None]  # the density is quadratic in them
    x[own, 0] = np.linalg.solve(-bend, slope)
    found = density.numbers(x)

    moves = math.exp(likelihood.MOVES + likelihood.MOVES_SD)
    variance = float(found.noise[0, 0] ** 2 + found.loading[0, 0] ** 2)
    quarters = np.arange(len(hours))
    covariance = moves**2 * likelihood.LIKE_BEFORE ** np.abs(np.subtract.outer(quarters, quarters))
    at = [q for q, some in enumerate(hours) for _ in some]
    design = np.eye(len(hours))[at] - np.eye(len(hours))[-1]
    off = np.log([h for some in hours for h in some]) - float(found.log_rate[0, 0])
    among = design @ covariance @ design.T + variance * np.eye(len(at))
    level = covariance @ design.T @ np.linalg.solve(among, off)

    assert found.level[:, 0] == pytest.approx(level - level[-1], abs=1e-6)


def test_weeks_to_come_lie_off_the_last_quarter_as_in_the_autoregression():
    """The next less the last is N(-(1 - r) last, (1 - r^2) moves^2): mean and sd of 100,000, the last given or drawn."""
    density = density_of(shop([[2], [3]]), ONE_STAGE)
    r, moves = likelihood.LIKE_BEFORE, math.exp(likelihood.MOVES)
    fresh = math.sqrt(1 - r**2)
    x = np.zeros((density.size, 100_000))
    x[density.quarter.stop - 1] = 2.0
    level = density.level_to_come(x, np.random.default_rng(1))

    assert level.mean() == pytest.approx(-(1 - r) * 2.0 * fresh * moves, abs=5e-4)
    assert level.std() == pytest.approx(fresh * moves, rel=0.01)
    x[density.quarter] = np.random.default_rng(2).standard_normal((2, 100_000))
    level = density.level_to_come(x, np.random.default_rng(1))
    assert level.std() == pytest.approx(math.hypot(fresh, 1 - r) * moves, rel=0.01)


def test_rates_are_those_of_the_last_quarter_so_that_no_level_stands_for_a_rate():
    density = density_of(shop([[2], [3], [4]]), ONE_STAGE)
    x = np.random.default_rng(3).standard_normal((density.size, 5))

    assert density.numbers(x).level[-1] == pytest.approx(np.zeros(5), abs=1e-12)


def test_without_a_day_in_the_log_there_are_no_levels():
    density = density_of(Log(), ONE_STAGE)
    n = density.numbers(np.zeros((density.size, 3)))

    assert n.level.shape == (0, 3)
    assert not density.level_to_come(np.zeros((density.size, 3)), np.random.default_rng(1)).any()


def test_the_same_log_four_years_later_is_the_same_log():
    """Four years with their leap day are 1461 days: every day lies in the same quarter of its year."""
    log = small_shop.log()
    later = lambda day: day and day + dt.timedelta(days=1461)  # noqa: E731
    moved = Log(
        tuple(replace(b, started=later(b.started), ready=later(b.ready)) for b in log.boards),
        tuple(replace(e, date=later(e.date)) for e in log.entries),
    )
    now, then = density_of(log, small_shop.SETTINGS), density_of(moved, small_shop.SETTINGS)
    x = 0.3 * np.random.default_rng(2).standard_normal((now.size, 4))

    assert then.value_and_gradient(x)[0] == pytest.approx(now.value_and_gradient(x)[0], rel=1e-12)


def lent(*names):
    rules = tuple(
        Rule(s, stage=s, per="once", low=2 / 1.6, high=2 * 1.6, odds=0.8, source="starter") for s in names
    )
    return Settings(stages={s: Stage(s, drivers=("once",)) for s in names}, rules=rules)


def test_lent_rules_without_a_log_are_wrong_together_as_much_as_is_said():
    """Sums of two independent normals: sd and correlation of two rates, in closed form."""
    settings = lent("a", "b")
    told = fit(Log(), settings, n_draws=40_000).log_rate
    width, shared = settings.rules[0].omega, likelihood.LENT_LEAN_SD

    assert told.std(axis=0) == pytest.approx([math.hypot(width, shared)] * 2, rel=0.02)
    assert np.corrcoef(told.T)[0, 1] == pytest.approx(shared**2 / (width**2 + shared**2), abs=0.02)


def test_a_short_log_tells_a_level_and_no_trend():
    """Boards that take 1.7 times what lent rules say are no sign that a shop grew slower, or quicker, this year."""
    settings = lent(*"abcdef")
    drifts = []
    for days in (120, 1400):
        boards = [
            Board(f"b{j}", state=FINISHED, started=FIRST + dt.timedelta(days=days * j // 14))
            for j in range(15)
        ]
        log = Log(
            tuple(boards), tuple(Entry(b.board, b.started, s, 3.4) for b in boards for s in settings.stages)
        )
        density = density_of(log, settings)
        drifts.append(density.drift_sd)
        shift = density.numbers(normal_posterior(density).mode[:, None])
        assert abs(float(shift.drift.mean())) < 0.02
        assert float(shift.lent_lean[0]) > 0.2

    assert drifts == pytest.approx([0.15 * y / (y + 1) for y in (120 / 365.25, 1400 / 365.25)], rel=1e-6)

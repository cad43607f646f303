"""Levels of quarters integrated out for the search, and laid out halfway between for chains."""

import datetime as dt

import numpy as np
import pytest
from making import small_shop

from estimator.model import levels
from estimator.model.fit import fit, fit_quickly
from estimator.model.levels import HalfCentred, LevelsOut, drawn, likeliest, likeliest_near
from estimator.model.likelihood import MOVES, MOVES_SD, Density
from estimator.model.matrices import table_of
from estimator.model.posterior import Corrected
from estimator.model.priors import terms_of
from estimator.words.records import FINISHED, Board, Entry, Log
from estimator.words.settings.schema import Driver, Settings, Stage

STAGES = {"strip": Stage("strip", drivers=("area",)), "sand": Stage("sand", drivers=("area",))}
TWO_STAGES = Settings(drivers={"area": Driver("area")}, stages=STAGES)


def shop(quarters, boards, *, moving=0.0, seed=0, grain=1e-9):
    """So many boards of one unit in each quarter, two stages each, hours about 5 that move by quarters."""
    rng = np.random.default_rng(seed)
    level = np.cumsum(rng.normal(0, moving, quarters)) if moving else np.zeros(quarters)
    all_, entries = [], []
    for q in range(quarters):
        day = dt.date(2023 + q // 4, 2 + 3 * (q % 4), 10)
        for i in range(boards):
            all_.append(Board(f"{q}-{i}", state=FINISHED, assessed={"area": 1.0}))
            pace = rng.normal(0, 0.15)
            entries += [
                Entry(
                    f"{q}-{i}",
                    day,
                    stage,
                    float(5 * np.exp(level[q] + pace + rng.normal(0, 0.25))),
                    grain=grain,
                )
                for stage in STAGES
            ]
    return Log(tuple(all_), tuple(entries))


def density_of(log, settings=TWO_STAGES):
    table = table_of(log, settings)
    return Density(table, terms_of(table, log, settings))


def small():
    return density_of(small_shop.log(), small_shop.SETTINGS)


def by_differences(value, x, step=1e-5):
    """The gradient of a value of one column, by central differences."""
    apart = step * np.eye(len(x))
    return (value(x[:, None] + apart) - value(x[:, None] - apart)) / (2 * step)


@pytest.mark.parametrize("laid_out", [LevelsOut, HalfCentred])
@pytest.mark.parametrize("made", [small, lambda: density_of(shop(5, 2))])
def test_the_gradient_is_that_of_the_value(laid_out, made):
    density = laid_out(made())
    x = 0.4 * np.random.default_rng(2).standard_normal(made().size)

    slow = by_differences(lambda at: density.value_and_gradient(at)[0], x)
    assert density.value_and_gradient(x[:, None])[1][:, 0] == pytest.approx(slow, rel=1e-5, abs=1e-5)


@pytest.mark.parametrize("grain", [1e-9, 4.0])
def test_what_the_log_tells_of_levels_is_the_curvature_that_rates_leave(grain):
    """The density is quadratic in levels and rates: its curvature, without the laws beforehand, moves being 1."""
    density = density_of(shop(4, 3, grain=grain))
    at = density.start()
    at[density.moves] = -MOVES / MOVES_SD
    names = [
        *range(density.quarter.start, density.quarter.stop),
        *range(density.rate.start, density.rate.stop),
    ]
    step = np.eye(density.size)[:, names]
    bend = density.value_and_gradient(at[:, None])[1] - density.value_and_gradient(at[:, None] + step)[1]
    bend = bend[names] - np.eye(len(names))
    # both rates together are what quarters have in common; a law beforehand as flat as can be
    n = density.quarter.stop - density.quarter.start
    both = np.vstack([np.eye(n, n + 1), np.eye(1, n + 1, n).repeat(2, axis=0) / density.rate_sd])
    bend = both.T @ bend @ both
    left = bend[:n, :n] - np.outer(bend[:n, n], bend[n, :n]) / bend[n, n]

    assert LevelsOut(density).told[:, 0] == pytest.approx(np.linalg.eigvalsh(left), rel=1e-9, abs=1e-9)


def test_without_days_or_quarters_nothing_is_taken_off():
    density = density_of(Log(shop(1, 3).boards, ()))
    x = np.full((density.size, 1), 0.3)

    assert LevelsOut(density).told.shape == (0, 1)
    for laid_out in (LevelsOut(density), HalfCentred(density)):
        value, gradient = laid_out.value_and_gradient(x)
        assert value == density.value_and_gradient(x)[0]
        assert np.array_equal(gradient, density.value_and_gradient(x)[1])


def test_halfway_coordinates_lead_back_and_keep_the_law():
    """The density of y is that of x times the determinant of dx/dy; and `near` turns a root as dy/dx does."""
    density = density_of(shop(5, 2))
    half = HalfCentred(density)
    x = 0.5 * np.random.default_rng(4).standard_normal(density.size)
    y = half.there(x[:, None])

    assert half.back(y)[:, 0] == pytest.approx(x, abs=1e-12)
    turning = np.array(
        [by_differences(lambda at, i=i: half.back(at)[i], y[:, 0]) for i in range(density.size)]
    )
    _, log_det = np.linalg.slogdet(turning)
    plain, here = density.value_and_gradient(x[:, None])[0], half.value_and_gradient(y)[0]
    assert here == pytest.approx(plain + log_det, rel=1e-8)

    found = likeliest(density)
    near = half.near(found)
    there = np.linalg.inv(
        [by_differences(lambda at, i=i: half.back(at)[i], near.mode) for i in range(density.size)]
    )
    assert near.root == pytest.approx(there @ found.root, rel=1e-5, abs=1e-7)


@pytest.mark.parametrize("moving", [0.0, 0.12])
def test_ranges_by_the_normal_approximation_are_as_wide_as_by_chains(moving):
    """Also where levels hardly move: there the point at which all is likeliest has them move a good deal."""
    log = shop(12, 15, moving=moving, seed=3)
    slow, quick = fit(log, TWO_STAGES, seed=1), fit_quickly(log, TWO_STAGES, seed=1).fit

    assert (slow.drawn_by, quick.drawn_by) == ("chains", "normal")
    assert quick.log_rate.std(axis=0) == pytest.approx(slow.log_rate.std(axis=0), rel=0.35)


@pytest.mark.parametrize(
    "search",
    [likeliest, lambda density: likeliest_near(density, density.start(), 0.3 * np.eye(density.size))],
)
def test_the_likeliest_is_where_nothing_pulls_once_levels_are_integrated_out(search):
    density = density_of(shop(5, 2))
    found = search(density)
    pull = LevelsOut(density).value_and_gradient(found.mode[:, None])[1][:, 0]

    assert pull @ found.root == pytest.approx(np.zeros(density.size), abs=5e-3)
    there = density.value_and_gradient(found.mode[:, None])[1][density.moves, 0]
    assert there > 0.05  # by itself the density would have levels move more


def test_draws_are_brought_back_from_halfway_coordinates(monkeypatch):
    density = density_of(shop(4, 1))
    half, asked = HalfCentred(density), []
    y = 0.5 * np.random.default_rng(3).standard_normal((density.size, 6))
    monkeypatch.setattr(levels, "chains", lambda *args, **how: asked.append((args, how)) or Corrected(y, 1.2))
    posterior, rng = likeliest(density), np.random.default_rng(1)
    found = drawn(density, posterior, 6, rng, patience=2, judged=slice(3))

    [((law, near, n, of), how)] = asked
    assert (type(law), n, of, how) == (HalfCentred, 6, rng, {"patience": 2, "judged": slice(3)})
    assert np.array_equal(near.mode, half.near(posterior).mode)
    assert (found.spread, np.array_equal(found.draws, half.back(y))) == (1.2, True)

"""Stages in hand: at least the hours so far, whatever the board's pace turns out to be."""

import datetime as dt
from dataclasses import replace

import numpy as np
import pytest
from making import plainly
from making.plainly import Row
from studies.shops import simulate

from estimator.forecast.draws import Work, draw_hours
from estimator.model import likelihood as in_hand
from estimator.model.fit import fit
from estimator.model.likelihood import Density
from estimator.model.matrices import table_of
from estimator.model.priors import terms_of
from estimator.words.records import ON_BENCH, WITHDRAWN, Board, Entry, Log
from estimator.words.settings.schema import Driver, Settings, Stage

DAY = dt.date(2026, 3, 2)

TWO = Settings(
    drivers={"area": Driver("area")},
    stages={name: Stage(name, drivers=("area",)) for name in ("strip", "sand", "shape")},
)


def log_of(states, booked, done):
    """Boards of one square metre each; hours by (board, stage), and which of them are finished."""
    boards = tuple(Board(name, assessed={"area": 1.0}, state=state) for name, state in states.items())
    return Log(boards, tuple(Entry(b, DAY, s, h, done=(b, s) in done) for (b, s), h in booked.items()))


BOOKED = {
    ("a", "strip"): 2.3, ("a", "sand"): 1.9, ("a", "shape"): 0.7,
    ("b", "sand"): 6.1,
    ("c", "strip"): 1.4, ("c", "sand"): 2.2,
}  # fmt: skip
DONE = {("a", "strip"), ("c", "strip"), ("c", "sand")}
STATES = {"a": ON_BENCH, "b": WITHDRAWN, "c": ON_BENCH}


def density_of(log, settings):
    table = table_of(log, settings)
    return Density(table, terms_of(table, log, settings))


@pytest.mark.parametrize(
    ("nodes", "near"), [(15, 1e-2), (80, 1e-4)]
)  # far out in the tail, 15 are a little off
def test_one_or_several_in_hand_are_the_slow_integral_over_the_pace(monkeypatch, nodes, near):
    points, weights = np.polynomial.hermite.hermgauss(nodes)
    monkeypatch.setattr(in_hand, "NODES", points)
    monkeypatch.setattr(in_hand, "LOG_WEIGHTS", np.log(weights / np.sqrt(np.pi)))
    density = density_of(log_of(STATES, BOOKED, DONE), TWO)
    rows = [
        Row(b, h, {s: {"area": 1.0}}, {}, rounding=float(r), in_hand=(b, s) not in DONE)
        for ((b, s), h), r in zip(
            BOOKED.items(), [density.table.rounding[0], 0, 0, 0, *density.table.rounding[1:]], strict=True
        )
    ]
    x = 0.4 * np.random.default_rng(3).standard_normal((density.size, 5))

    ours = density.value_and_gradient(x)[0]
    slow = [
        plainly.log_likelihood(rows, plainly.numbers_of(density, x[:, i])) - 0.5 * (x[:, i] ** 2).sum()
        for i in range(5)
    ]

    assert density.table.n_rows == 3
    assert np.diff(ours) == pytest.approx(np.diff(slow), abs=near)


def test_the_gradient_is_that_of_the_value():
    density = density_of(log_of(STATES, BOOKED, DONE), TWO)
    x = 0.4 * np.random.default_rng(4).standard_normal((density.size, 1))
    step = 1e-5 * np.eye(density.size)

    slow = (density.value_and_gradient(x + step)[0] - density.value_and_gradient(x - step)[0]) / 2e-5

    assert density.value_and_gradient(x)[1][:, 0] == pytest.approx(slow, abs=1e-7)


def test_hours_of_none_so_far_say_nothing():
    with_none = log_of(STATES, {**BOOKED, ("b", "strip"): 0.0}, DONE)

    x = 0.3 * np.random.default_rng(5).standard_normal((density_of(with_none, TWO).size, 2))
    assert density_of(with_none, TWO).value_and_gradient(x)[0] == pytest.approx(
        density_of(log_of(STATES, BOOKED, DONE), TWO).value_and_gradient(x)[0]
    )


def slow_boards_in_hand(seed):
    """A shop of which the slowest third still has its last stages in hand, and the same without those boards."""
    shop = simulate(seed, 36)
    hours = {b.board: 0.0 for b in shop.log.boards}
    for e in shop.log.entries:
        hours[e.board] += e.hours
    usual = {e.board: 0.0 for e in shop.log.entries}
    for e in shop.log.entries:
        x = shop.log.by_id[e.board].assessed
        usual[e.board] += sum(
            r * (1.0 if d == "once" else x[d]) for (s, d), r in shop.rates.items() if s == e.stage
        )
    slow = set(sorted(usual, key=lambda b: hours[b] / usual[b])[-12:])
    boards = tuple(replace(b, state=ON_BENCH) if b.board in slow else b for b in shop.log.boards)
    entries = tuple(
        replace(e, hours=0.8 * e.hours)
        if e.board in slow and e.stage in {"sand", "finish"}
        else replace(e, done=True)
        for e in shop.log.entries
    )
    whole = replace(shop.log, boards=boards, entries=entries)
    without = replace(
        whole,
        boards=tuple(b for b in boards if b.board not in slow),
        entries=tuple(e for e in entries if e.board not in slow),
    )
    return shop, whole, without


@pytest.mark.parametrize("seed", [1, 2])
def test_dropping_the_boards_in_hand_shortens_every_range(seed):
    shop, whole, without = slow_boards_in_hand(seed)
    fits = [fit(log, shop.settings, seed=seed) for log in (whole, without)]

    for board in shop.coming[:8]:
        on = {
            s: np.ones(1, dtype=bool)
            for s in shop.settings.stages
            if any(board.assessed[d] > 0 for d in shop.settings.stages[s].work)
        }
        work = Work(dict(board.assessed), on, {}, frozenset())
        cut = [
            np.quantile(draw_hours(f, work, np.random.default_rng(1), 4000).total, [0.1, 0.5, 0.9])
            for f in fits
        ]
        assert (cut[0][1:] > cut[1][1:]).all()
        assert cut[0][0] > 0.99 * cut[1][0]  # wider too, for it is told that levels and paces differ more

"""The same shops by a general-purpose library of discrete events: a clock, hands that are taken away, places."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import settings as searched
from hypothesis import strategies as st
from making.by_events import QUARTERS, Chain, ready_by_events

from estimator.bench.jobs import Job
from estimator.bench.simulation import simulate

WEEK = [24, 24, 26, 20, 9, 0, 0]  # quarters of an hour


def job_of(chain, rank):
    n = len(chain.quarters)
    hours, nights, sessions = (
        np.array(values, dtype=float)[:, None] for values in (chain.quarters, chain.nights, chain.sessions)
    )
    none = np.zeros(n, dtype=bool)
    return Job(
        board=f"b{rank}",
        stages=tuple(f"s{i}" for i in range(n)),
        hours=hours / QUARTERS,
        waits=nights,
        after=np.tri(n, k=-1, dtype=bool),
        sessions=sessions.astype(np.int64),
        rack=none,
        free=0 * hours,
        seasonal=none,
        place="queue",
        first=np.array([float(chain.first)]),
    )


def ready(chains, places, most):
    hours = np.array(WEEK, dtype=float)[:, None] / QUARTERS
    jobs = [job_of(chain, rank) for rank, chain in enumerate(chains)]
    done = simulate(jobs, hours, places=places, most_on_one=most / QUARTERS, order=np.arange(len(jobs)))
    return done.ready[:, 0].tolist()


def chains(waits):
    stage = st.tuples(st.integers(1, 12), st.sampled_from(waits), st.integers(1, 3))

    def made(stages, first):
        quarters, nights, sessions = zip(*stages, strict=True)
        whole = [q * k for q, k in zip(quarters, sessions, strict=True)]
        return Chain(whole, list(nights), list(sessions), first)

    one = st.builds(made, st.lists(stage, min_size=1, max_size=4), st.integers(0, 25))
    return st.lists(one, min_size=1, max_size=5).map(lambda boards: sorted(boards, key=lambda b: b.first))


@searched(max_examples=100, deadline=None)
@given(chains([0, 0, 0.5, 1]), st.integers(1, 3), st.sampled_from([6, 18, 96]))
def test_boards_that_keep_their_places_are_ready_on_the_same_days(boards, places, most):
    assert ready(boards, places, most) == ready_by_events(boards, WEEK, places=places, most=most)


@searched(max_examples=100, deadline=None)
@given(chains([0, 1, 2, 3.5, 11]), st.sampled_from([6, 18, 96]))
def test_boards_with_a_place_each_are_ready_on_the_same_days(boards, most):
    assert ready(boards, len(boards), most) == ready_by_events(boards, WEEK, places=len(boards), most=most)


@pytest.mark.parametrize(("places", "days"), [(1, [2, 5]), (2, [2, 2])])
def test_the_referee_knows_of_places(places, days):
    # two boards of 18 quarters, six a day each: three days together, or one after the other
    boards = [Chain([18], [0], [1]), Chain([18], [0], [1])]
    assert ready_by_events(boards, [24] * 7, places=places, most=6) == days

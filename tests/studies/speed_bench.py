"""How long the days to come take, for all boards and draws at once, and against a general-purpose library of events.

Run from the top of the project: python tests/studies/speed_bench.py (pip install '.[bench]')
Prints seconds and memory for 12 and for 100 boards of 16 stages with 4,000 draws, in order and as boards come to hand,
and the time of one draw of a dozen boards as a ratio to the library's.
"""

from __future__ import annotations

import resource
import sys
import time
from pathlib import Path

import numpy as np

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT / "tests"), str(ROOT)]

from making.by_events import QUARTERS, Chain, ready_by_events

from estimator.bench.jobs import Job
from estimator.bench.simulation import simulate

DRAWS, STAGES, PLACES, MOST = 4000, 16, 3, 4.5
WEEK = np.array([6.0, 6.0, 6.0, 6.0, 5.0, 0.0, 0.0])
DRYING, SIDES, HARDENING = 3, (8, 10, 13), 14
SIZES = {12: 0.5, 100: 10.0}  # boards, seconds wanted


def boards(n: int, n_draws: int, seed: int) -> list[Job]:
    """Boards of a thinkable shop: about 35 hours, half of them wet, two sessions for stages by side, a night each."""
    rng = np.random.default_rng(seed)
    made = []
    for number in range(n):
        hours = rng.lognormal(np.log(2.2), 0.4, (STAGES, 1)) * rng.lognormal(0, 0.35, (STAGES, n_draws))
        hours[rng.random(STAGES) < 0.15] = 0
        waits, sessions = np.zeros(hours.shape), np.ones(hours.shape, dtype=np.int64)
        waits[list(SIDES)], sessions[list(SIDES)] = 0.7, 2
        wet = rng.random(n_draws) < 0.5
        waits[DRYING] = np.where(wet, rng.lognormal(np.log(21), 0.5, n_draws), 0)
        waits[HARDENING] = rng.lognormal(np.log(6), 0.3, n_draws)
        drying = np.arange(STAGES) == DRYING
        made.append(
            Job(
                board=f"b{number}",
                stages=tuple(f"s{i}" for i in range(STAGES)),
                hours=hours,
                waits=waits,
                after=np.eye(STAGES, k=-1, dtype=bool),
                sessions=sessions,
                rack=drying,
                free=np.zeros(hours.shape),
                seasonal=drying,
                place="bench" if number < PLACES else "queue",
                first=np.zeros(n_draws),
            )
        )
    return made


def memory() -> float:
    """GiB at most, so far."""
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024**2


def run(jobs: list[Job], shuffled: int | None = None) -> float:
    """Seconds of one processor for all draws."""
    days = np.broadcast_to(WEEK[:, None], (len(WEEK), jobs[0].n_draws))
    begun = time.process_time()
    simulate(
        jobs, days, places=PLACES, most_on_one=MOST, order=np.arange(len(jobs)),
        season=np.ones(1000), shuffled=shuffled,
    )  # fmt: skip
    return time.process_time() - begun


def sizes() -> None:
    """Seconds and memory by number of boards."""
    for n, wanted in SIZES.items():
        jobs, before = boards(n, DRAWS, 1), memory()
        for how, shuffled in (("in order", None), ("as they come to hand", 7)):
            seconds = min(run(jobs, shuffled) for _ in range(5 if n < 50 else 1))
            print(
                f"{n:3d} boards, {STAGES} stages, {DRAWS:,d} draws, {how}: {seconds:.2f} s (wanted: {wanted:g}), "
                f"{memory() - before:.2f} GiB more than the draws themselves"
            )


def against_events(n: int = 12, some: int = 40) -> None:
    """Time of one draw, ours and the library's, in one run."""
    jobs = boards(n, DRAWS, 2)
    ours = min(run(jobs) for _ in range(3)) / DRAWS
    rng = np.random.default_rng(3)
    chains = [
        [
            Chain(
                quarters=[2 * int(q) for q in rng.integers(1, 9, STAGES)],
                nights=[0, 0, 0, *[1] * (STAGES - 3)],
                sessions=[1] * (STAGES - 2) + [2, 2],
            )
            for _ in range(n)
        ]
        for _ in range(some)
    ]
    week = [int(h * QUARTERS) for h in WEEK]
    begun = time.process_time()
    for shop in chains:
        ready_by_events(shop, week, places=PLACES, most=int(MOST * QUARTERS))
    theirs = (time.process_time() - begun) / some
    print(
        f"one draw of {n} boards: {1e3 * ours:.2f} ms, by events {1e3 * theirs:.2f} ms, {theirs / ours:.0f} times as long"
    )


if __name__ == "__main__":
    sizes()
    against_events()

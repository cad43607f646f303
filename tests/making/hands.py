"""A shop of five stages for hand-worked days: hours as said, waits of so many days, six hours from Monday to Friday."""

import datetime as dt
from dataclasses import replace

import numpy as np

from estimator.bench.calendar import capacity_of
from estimator.bench.jobs import BoardSeen, job_of
from estimator.bench.outlook import Hand, Outlook, expected
from estimator.bench.waits import WaitLaw, Waits
from estimator.forecast.draws import Drawn, Work
from estimator.words.records import Board, Log
from estimator.words.settings.schema import Bench, Driver, Modifier, Settings, Stage

MONDAY = dt.date(2026, 6, 1)
N = 20  # draws
SETTINGS = Settings(
    bench=Bench(
        places=2,
        hours_by_weekday=(6.0,) * 5 + (0.0, 0.0),
        most_hours_a_day_on_one_board=6.0,
        winter_drying=1.5,
    ),
    drivers={"pieces": Driver("pieces", known="strip")},
    modifiers={"wetness": Modifier("wetness", stages=("drying",), grades=("dry", "wet"))},
    stages={
        "strip": Stage("strip", label="Strip", drivers=("once",)),
        "drying": Stage(
            "drying", label="Dry", after=("strip",), on="rack", wait_by={"wetness": ((0, 0), (10, 30))}
        ),
        "infill": Stage("infill", label="Let in foam", drivers=("pieces",), after=("drying",)),
        "logos": Stage("logos", label="Logos", after=("infill",), needs=("artwork",)),
        "gloss": Stage("gloss", label="Gloss coat", after=("logos",), wait_days=(3, 3)),
    },
)


def day(n):
    """So many days after Monday 1 June 2026."""
    return MONDAY + dt.timedelta(days=n)


def days(n, spread=0.0):
    """A wait of so many days, in every draw or with luck."""
    return WaitLaw(np.full(4, np.log(n)) if n else np.full(4, -np.inf), np.full(4, spread))


def waits(*, drying=20.0, gloss=3.0, message=7.0, spread=0.0, comes=0.0):
    """Waits of known days; comes: how often a message is needed."""
    sure = (1e-9 + 1e9 * comes, 1e-9 + 1e9 * (1 - comes))
    laws = {("drying", 0): days(0), ("drying", 1): days(drying, spread), ("gloss", None): days(gloss, spread)}
    causes = {cause: days(message, spread) for cause in ("owner", "artwork", "parts", "weather")}
    return Waits(laws, causes, {(cause, None): sure for cause in causes}, "drying")


def drawn(**hours):
    """Hours of stages, the same in every draw or one for each."""
    return Drawn(
        tuple(hours), np.array([np.broadcast_to(np.asarray(h, float), N) for h in hours.values()]), (), frozenset()
    )  # fmt: skip


def job(name="a", *, booked=None, done=(), seen=None, wet=1.0, law=None, settings=SETTINGS, first=0, **hours):
    """A board's job; hours: of each stage, those worked so far included."""
    work = Work({"wetness": wet, "pieces": 2.0}, {}, booked or {}, frozenset(done))
    return job_of(
        name, work, drawn(**hours), seen or BoardSeen(MONDAY), law or waits(), settings, seed=1, first=first
    )


def row(made, name):
    """What a job holds of a stage: hours, days, free, all of the first draw."""
    i = made.stages.index(name)
    return made.hours[i, 0], made.waits[i, 0], made.free[i, 0]


def outlook(jobs, boards=None, *, log=None, settings=SETTINGS, law=None, today=MONDAY):
    """The days to come of jobs by hand, whose boards the log holds."""
    log = log or Log(boards=tuple(boards or [Board(one.board, state="waiting") for one in jobs]))
    hand = Hand(log, settings, None, law or waits(), today, 1, N)
    boards = tuple(log.by_id[one.board] for one in jobs)
    capacity = capacity_of(log, settings.bench, today, seed=1)
    return Outlook(hand, capacity, boards, tuple(jobs), {}, comings=expected(hand, boards, jobs))


def with_bench(**changes):
    """The settings with another bench."""
    return replace(SETTINGS, bench=replace(SETTINGS.bench, **changes))

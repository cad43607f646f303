"""Mornings of every sort, for figures of promises; all boards are invented."""

import datetime as dt
from dataclasses import replace

from hypothesis import strategies as st

from estimator.bench.promises import Dates, Promise, ToldDates
from estimator.words.dates import A_DAY
from making.mornings import EMPTY

TODAY = dt.date(2026, 10, 1)  # a Thursday
LONG = "the one that somebody's uncle left under a house in the year of the long rain"
AWAY = ((dt.date(2026, 10, 10), dt.date(2026, 10, 18)),)


def promise(number, low, high, told=None, chance=None, **more):
    """A board that is ready between so many days from today; told and the chance of it may be absent."""
    points = tuple(TODAY + round(low + (high - low) * (i + 0.5) / 10) * A_DAY for i in range(10))
    plain = {
        "board": f"26-{number:03}",
        "called": f"board {number}",
        "on": "bench",
        "ready": Dates(*(TODAY + days * A_DAY for days in (low, (low + high) // 2, high))),
        "points": points,
        "told": None if told is None else ToldDates(None, TODAY + told * A_DAY, TODAY + told * A_DAY),
        "chance_kept": chance,
        "hours_left": 12.0,
        "next_stage": "gloss",
        "from_day": TODAY,
    }
    return Promise(**{**plain, **more})


def morning(*promises, **more):
    """The promises as of a day whose log tells up to yesterday."""
    return replace(EMPTY, today=TODAY, log_up_to=TODAY - A_DAY, promises=promises, **more)


KEPT = promise(1, 4, 9, 18, 0.97)
DANGER = promise(2, 8, 40, 12, 0.14, on="rack")
OVER = promise(3, 12, 20, -3, 0.0, on="rack")
UNTOLD = promise(4, 60, 90, on="queue")
SORTS = morning(KEPT, UNTOLD, DANGER, OVER)

spans = st.tuples(st.integers(-10, 30), st.sampled_from([0, 1, 9, 80]) | st.integers(0, 3000))
tellings = st.none() | st.tuples(st.sampled_from([-400, -1, 0, 3]) | st.integers(0, 3000), st.floats(0, 1))


@st.composite
def promises(draw, most=12):
    """Soon and late, narrow and years wide, told or not, or long ago, with names of every length."""
    made = []
    for number in range(draw(st.integers(0, most))):
        low, wide = draw(spans)
        told, chance = draw(tellings) or (None, None)
        called = draw(st.sampled_from([f"board {number}", "", LONG, "x" * 90]))
        place = draw(st.sampled_from(["bench", "rack", "queue"]))
        made.append(promise(number, low, low + wide, told, chance, called=called, on=place))
    return tuple(made)


aways = st.lists(
    st.tuples(st.integers(-20, 300), st.integers(0, 40)).map(
        lambda days: (TODAY + days[0] * A_DAY, TODAY + sum(days) * A_DAY)
    ),
    max_size=3,
)

"""The invented workshop's own days, from its true hours and waits: the rules of the days to come are its rules."""

import datetime as dt

import numpy as np
import pytest

from estimator.bench.jobs import Job
from estimator.bench.simulation import simulate
from estimator.demo.recipe import FIRST_DAY, LAST_DAY, Dice
from estimator.demo.simulation import PLACES, QUARTERS, WINTER, WINTER_MONTHS, quarters_by_day
from estimator.demo.stories import stories

DRAWS = 20  # of luck alone: which board comes to hand first on a day


def day_of(date):
    return (date - FIRST_DAY).days


def true_job(story):
    """A board with the hours and waits that it truly had; looks at a drying board come at once when it is dry."""
    rows, before, answers = [], [], {}

    def row(name, hours, days, after):
        rows.append((name, hours, days, after))
        return [len(rows) - 1]

    for step in story.plan.steps:
        before = before + [answers[cause] for cause in step.needs if cause in answers]
        if step.stage == "drying":
            before = row("drying", 0.0, story.plan.drying, before)
        before = row(step.stage, step.quarters / QUARTERS, step.days, before)
        if step.asks:
            days = story.plan.answer if step.asks == "owner" else story.plan.artwork
            answers[step.asks] = row(step.asks, 0.0, max(1, round(days)), before)[0]
    names, hours, waits, after = zip(*rows, strict=True)
    looks = [i for i, name in enumerate(names) if name == "drying" and hours[i]]
    wide = np.ones((len(rows), DRAWS))
    return Job(
        board=story.board,
        stages=names,
        hours=wide * np.array(hours)[:, None],
        waits=wide * np.array(waits)[:, None],
        after=np.array([[i in some for i in range(len(rows))] for some in after]),
        sessions=np.ones(wide.shape, dtype=np.int64),
        rack=np.isin(range(len(rows)), looks),
        free=0 * wide,
        seasonal=np.array([name == "drying" and not hours[i] for i, name in enumerate(names)]),
        place="queue",
        first=np.full(DRAWS, float(day_of(story.plan.accepted))),
    )


@pytest.mark.parametrize("seed", [4563, 2])
def test_days_of_the_invented_workshop_come_back(seed):
    told = sorted((s for s in stories(seed) if s.accepted and not s.dropped), key=lambda s: s.accepted)
    worked = quarters_by_day(Dice(seed, "days"))
    days = [FIRST_DAY + dt.timedelta(n) for n in range(day_of(LAST_DAY) + 1)]
    hours = [worked.get(day, 0) / QUARTERS for day in days] + [6.0] * 3000
    season = np.where(np.isin([day.month for day in days], WINTER_MONTHS), WINTER, 1.0)
    done = simulate(
        [true_job(story) for story in told],
        np.repeat(np.array(hours)[:, None], DRAWS, axis=1),
        places=PLACES,
        most_on_one=4.5,
        order=np.arange(len(told)),
        season=season,
        ahead=np.repeat([[story.jumps] for story in told], DRAWS, axis=1),
        shuffled=seed,
    )
    went = [i for i, story in enumerate(told) if story.ready]
    days_late = done.ready[went].mean(axis=1) - [day_of(told[i].ready) for i in went]
    assert len(went) > 100
    # boards stay for 85 days on average; three places without one squeezed in are 8 days late
    assert abs(days_late.mean()) < 3
    assert np.abs(days_late).mean() < 10

"""Whose dates move by what the restorer says of a day: that he isn't in, or that one board goes before all others."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace

from estimator.bench.calendar import capacity_of
from estimator.bench.outlook import Outlook
from estimator.decide.weigh.promise_impact import Moved, each_moved
from estimator.words.settings.schema import Away


def moved_by_absence(outlook: Outlook, today: dt.date) -> tuple[Away, tuple[Moved, ...]] | None:
    """The days away that today lies in, and every board in hand without them and with them; None where it lies in none.

    Raises NoAnswerError where no dates can be given.
    """
    bench, hand = outlook.settings.bench, outlook.hand
    now = next((one for one in bench.away if one.first <= today <= one.last), None)
    if now is None:
        return None
    before = tuple(one for one in bench.away if one is not now)
    if now.first < today:  # what is over stays so
        before = (*before, replace(now, last=today - dt.timedelta(days=1)))
    capacity = capacity_of(hand.log, replace(bench, away=before), hand.day, seed=hand.seed)
    there = replace(outlook, capacity=capacity)
    return now, each_moved(there, there.days.ready, outlook.days.ready, today)


def moved_by_firsts(outlook: Outlook, today: dt.date) -> tuple[Moved, ...]:
    """Every board in hand in the usual order, and with those first that are put first; none where none is.

    Raises NoAnswerError where no dates can be given.
    """
    if not outlook.put_first:
        return ()
    usual = outlook.finished(order=outlook.usual_order).ready
    return each_moved(outlook, usual, outlook.days.ready, today)

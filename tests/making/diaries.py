"""A diary of thirty invented boards, as a restorer writes them, and a workshop that was just begun."""

import datetime as dt

from estimator.counter.workplace import begin_if_empty
from making.counter import client
from making.working_day import AtOnce

TODAY = dt.date(2026, 9, 14)  # a Monday

_FULL = (
    "red {length} full, strip both sides + {col} col, let in {pcs}, {start} to {end}, {days} days, {price}"
)
_SIDE = "blue {length} one side redone, {col} col, let in {pcs}, {start} to {end}, {days} days, {price}"
_SMALL = "green {length} ding repair, 2 patches, {end}, {hours} h, {price}"
_MONTHS = ("January", "February", "March", "April", "May", "June", "July", "August", "September", "October")


def boxes(many=30):
    """The boxes: every third a full job, a side, a small repair; figures that differ, and none of them drawn."""
    found = []
    for n in range(many):
        month = _MONTHS[n * 9 // many]
        later = _MONTHS[n * 9 // many + 1]
        length = ("9'6", "9'1", "8'6", "7'9", "6'2", "5'10")[n % 6]
        text = (_FULL, _SIDE, _SMALL)[n % 3].format(
            length=length,
            col=1 + n % 3,
            pcs=1 + n % 4,
            start=f"{2 + n % 9} {month}",
            end=f"{3 + n % 9} {later}",
            days=(9 + n % 5, 5 + n % 3)[min(n % 3, 1)],
            hours=4 + n % 5,
            price=(1200 + 20 * n, 700 + 10 * n, 140 + 5 * n)[n % 3],
        )
        found.append(text)
    return found


def begun(folder, *, at_once=False):
    """A visitor of a workshop that was just begun in an empty folder; at_once: answers are worked out while he waits."""
    assert begin_if_empty(folder)
    visitor = client(folder, today=TODAY)
    held = visitor.app.extensions["counter"]
    if at_once:
        held.worker = AtOnce(held)
    visitor.shop = held.shop
    return visitor

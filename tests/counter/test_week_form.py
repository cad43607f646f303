"""What stands at each day of the week that is typed."""

import datetime as dt
from types import SimpleNamespace

from estimator.counter.forms import PageForm
from estimator.counter.week_form import day_boxes
from estimator.words.records import Board, Entry
from estimator.words.settings.schema import Settings, Stage

MONDAY = dt.date(2026, 6, 8)


def test_a_row_of_several_days_stands_at_each_of_them():
    """Six hours from Tuesday to Thursday, looked at on Friday: three days hold them, and ask for nothing."""
    row = Entry("26-101", dt.date(2026, 6, 9), "strip", 6.0, until=dt.date(2026, 6, 11))
    now = SimpleNamespace(
        log=SimpleNamespace(entries=(row,), notes=(), boards=(Board("26-101", called="red"),)),
        settings=Settings(stages={"strip": Stage("strip", drivers=("once",))}),
    )

    boxes = day_boxes(now, MONDAY, dt.date(2026, 6, 12), PageForm.blank())

    assert [box.name for box in boxes] == [f"on-2026-06-{day:02}" for day in range(8, 13)]
    assert [len(box.held) for box in boxes] == [0, 1, 1, 1, 0]

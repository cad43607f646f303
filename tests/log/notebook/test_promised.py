"""A board that was promised before the log: the day that two figures name."""

from dataclasses import replace

import pytest
from making.notebooks import SETTINGS, TODAY

from estimator.log.notebook.promised import PromisedReader

READER = PromisedReader(replace(SETTINGS, workshop=replace(SETTINGS.workshop, dates="day-month")), TODAY)


@pytest.mark.parametrize(
    ("said", "day"),
    [
        ("20/8", "2026-08-20"),  # to come, this year
        ("13/6", "2026-06-13"),  # tomorrow
        ("5/3", "2026-03-05"),  # over since three months: late
        ("5/1", "2027-01-05"),  # five months back: the next one
    ],
)
def test_a_day_without_its_year_is_to_come_or_not_long_over(said, day):
    assert READER.read(f"green fish, told {said}").cells["promised_last"] == day

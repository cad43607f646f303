"""Lines of hours as rows: what only says that a stage is done marks the hours that it ended with."""

import datetime as dt
from dataclasses import replace

import pytest

from estimator.log.booking import done_by, label_of
from estimator.log.notebook.page import HoursLine
from estimator.words.errors import UsageError
from estimator.words.records import Entry

MONDAY, TUESDAY, WEDNESDAY, THURSDAY = (dt.date(2026, 6, n) for n in (8, 9, 10, 11))
DONE = HoursLine("a", THURSDAY, "strip", 0.0, done=True)


def test_a_stage_that_is_said_to_be_done_ends_with_its_last_hours():
    first, last, between, other = (
        Entry("a", MONDAY, "strip", 2.0),
        Entry("a", WEDNESDAY, "strip", 3.0),
        Entry("a", TUESDAY, "strip", 1.0),
        Entry("a", THURSDAY, "sand", 1.0),
    )

    assert done_by([DONE], [first, last, between, other]) == ((), (last,))


def test_of_hours_over_several_days_those_that_end_last_are_the_last():
    long = Entry("a", MONDAY, "strip", 9.0, until=WEDNESDAY)
    short = Entry("a", MONDAY, "strip", 2.0)

    assert done_by([DONE], [long, short])[1] == (long,)


def test_hours_beside_it_are_done_before_those_of_the_log_and_what_is_done_is_not_marked_again():
    hours = HoursLine("a", WEDNESDAY, "strip", 3.0, span=(0, 5))
    rows, ended = done_by([hours, replace(DONE, span=(6, 9))], [Entry("a", MONDAY, "strip", 2.0)])

    assert (rows, ended) == ((replace(hours, done=True),), ())
    assert done_by([DONE], [Entry("a", MONDAY, "strip", 2.0, done=True)])[1] == ()


def test_nothing_is_done_of_which_there_are_no_hours():
    with pytest.raises(UsageError, match="No hours are written of what is said to be done"):
        done_by([DONE], [Entry("a", MONDAY, "sand", 2.0), Entry("b", MONDAY, "strip", 2.0)])


def test_an_act_is_called_by_its_lines_and_their_sum():
    assert label_of([replace(DONE, hours=2.25), replace(DONE, hours=0.5)]) == "2 lines of hours, 2.75 h"

import datetime as dt

import pytest

from estimator.said.check import lines_used
from estimator.words.problems import Place, Problem
from estimator.words.records import Board, Log, Wait

SECOND = Place("boards.csv", row=2)
ONE = Log(boards=(Board("1", where=SECOND),))


def problem(*where, **more):
    return Problem(Place(*where, **more), "", "", "")


def test_two_problems_of_one_line_leave_out_one_line():
    wrong = [
        problem("hours.csv", row=5, column="hours"),
        problem("hours.csv", row=5, column="date"),
    ]
    assert lines_used(ONE, wrong) == (1, 2, True)


def test_a_cell_of_a_spreadsheet_and_its_row_are_one_line():
    wrong = [problem("log.ods", "boards", 12, "AB"), problem("log.ods", "boards", 12)]
    assert lines_used(ONE, wrong) == (1, 2, True)


def test_a_line_with_a_problem_that_was_read_all_the_same_is_used():
    assert lines_used(ONE, [problem("boards.csv", row=2, column="length")]) == (1, 1, True)


def test_every_sheet_counts():
    wait = Wait("1", dt.date(2026, 9, 1), None, "drying", where=Place("waits.csv", row=2))

    assert lines_used(Log(boards=ONE.boards, waits=(wait,)), ()) == (2, 2, True)


@pytest.mark.parametrize(
    "where", [Place("hours.csv"), Place("hours.csv", row=1), Place("log.xlsx", "hours", 1, "C")]
)
def test_more_lines_may_be_left_out_where_a_whole_sheet_is_wrong(where):
    wrong = [Problem(where, "", "", ""), problem("boards.csv", row=3)]
    assert lines_used(ONE, wrong) == (1, 2, False)


def test_an_empty_log_with_a_broken_file_has_lines_unseen():
    assert lines_used(Log(), [problem("boards.csv")]) == (0, 0, False)

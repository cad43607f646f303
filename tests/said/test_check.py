import pytest
from hypothesis import given
from hypothesis import strategies as st

from estimator.said.check import lines_used, row_of
from estimator.words.problems import Problem
from estimator.words.records import Board, Log, Wait


def problem(where):
    return Problem(where, "", "", "")


def test_a_cell_and_its_row_are_one_line():
    assert row_of("log.ods, sheet boards, cell AB12") == row_of("log.ods, sheet boards, row 12")
    assert row_of("boards.csv, line 12, length") == row_of("boards.csv, line 12") == ("boards.csv", 12)


def test_a_place_that_is_no_row_is_none():
    assert (
        row_of("hours.csv")
        is row_of("log.xlsx, sheet hours")
        is row_of("workshop.toml, [bench], places")
        is None
    )


def test_two_problems_of_one_line_leave_out_one_line():
    wrong = [
        problem("hours.csv, line 5, hours"),
        problem("hours.csv, line 5, date"),
    ]
    log = Log(boards=(Board("1", where="boards.csv, line 2"),))

    assert lines_used(log, wrong) == (1, 2, True)


def test_a_line_with_a_problem_that_was_read_all_the_same_is_used():
    log = Log(boards=(Board("1", where="boards.csv, line 2"),))

    assert lines_used(log, [problem("boards.csv, line 2, length")]) == (1, 1, True)


def test_every_sheet_counts():
    import datetime as dt

    wait = Wait("1", dt.date(2026, 9, 1), None, "drying", where="waits.csv, line 2")

    assert lines_used(Log(boards=(Board("1", where="boards.csv, line 2"),), waits=(wait,)), ()) == (
        2,
        2,
        True,
    )


@pytest.mark.parametrize("where", ["hours.csv", "hours.csv, line 1", "log.xlsx, sheet hours, cell C1"])
def test_more_lines_may_be_left_out_where_a_whole_sheet_is_wrong(where):
    log = Log(boards=(Board("1", where="boards.csv, line 2"),))

    assert lines_used(log, [problem(where), problem("boards.csv, line 3")]) == (1, 2, False)


def test_an_empty_log_with_a_broken_file_has_lines_unseen():
    assert lines_used(Log(), [problem("boards.csv")]) == (0, 0, False)


@given(st.text(max_size=60))
def test_any_place_is_read_without_a_fuss(where):
    found = row_of(where)

    assert found is None or found[1] >= 0

import datetime as dt

import pytest

from estimator.said.check import check_parts, counted, lines_used
from estimator.said.parts import Heading
from estimator.words.problems import Place, Problem
from estimator.words.records import Board, Entry, Log, Wait

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


def log_of(boards, entries=0):
    rows = tuple(Board(f"{n}", where=Place("boards.csv", row=n + 2)) for n in range(boards))
    hours = tuple(
        Entry("0", dt.date(2026, 9, 1), "strip", 1.0, where=Place("hours.csv", row=n + 2))
        for n in range(entries)
    )
    return Log(boards=rows, entries=hours)


@pytest.mark.parametrize(
    ("log", "wrong", "unused", "said"),
    [
        (log_of(2, 3), [], 0, "No problems; 5 of 5 lines used (2 boards, 3 rows of hours)."),
        (log_of(1, 1), [problem("hours.csv", row=9)], 1, "1 problem; 2 of 3 lines used (1 board, 1 row of hours); 1 board teaches nothing yet."),
        (log_of(1), [problem("hours.csv")], 2, "1 problem; 1 of at least 1 line used (1 board, no rows of hours); 2 boards teach nothing yet."),
        (Log(), [], 0, "No problems; no lines yet (no boards, no rows of hours)."),
        (Log(), [problem("boards.csv"), problem("hours.csv")], 0, "2 problems; no lines used (no boards, no rows of hours)."),
    ],
)  # fmt: skip
def test_how_much_of_a_log_was_used(log, wrong, unused, said):
    assert counted(log, wrong, unused) == said


def test_what_teaches_nothing_comes_before_problems_and_these_before_notes():
    one, two, three = (
        Problem(Place("boards.csv", row=n), "x", f"is wrong {n}", "Mend it.") for n in (2, 3, 4)
    )
    parts = check_parts([one], [two], Log(), [three], 1)

    assert [part.text if isinstance(part, Heading) else part for part in parts] == [
        "Boards that teach nothing yet", three.sentence(), "Problems", one.sentence(), "Notes", two.sentence(),
        counted(Log(), [one], 1),
    ]  # fmt: skip
    assert check_parts([], [], None) == [Heading("The log was not read: it needs the settings.")]

"""Boards once their hours are known: ids, short names, states, and totals beside their rows."""

import pytest

HOURS = "board,date,stage,hours\n"


def test_boards_without_an_id_are_numbered_by_the_year_of_their_quote(read):
    found = read(
        boards="board,asked,quoted,note\n26-013,,,\n,2026-01-02,,\n,2025-12-30,2026-01-03,\n,2025-05-01,,\n,,,x\n"
    )
    assert [board.board for board in found.log.boards] == ["26-013", "26-014", "26-015", "25-001", "25-002"]
    assert found.problems == []
    assert (
        "boards.csv: numbered here for want of an id: 26-014, 26-015, 25-001, 25-002. "
        "Write them into the sheet, so that they stay when rows move." in found.notes
    )


def test_a_second_row_of_an_id_is_left_out_and_the_shop_is_no_board(read):
    found = read(boards="board,note\nA1,one\na1,two\nShop,three\nB,four\n")
    assert [(board.board, board.note) for board in found.log.boards] == [("A1", "one"), ("B", "four")]
    assert found.problems == [
        'boards.csv, line 3, board: "a1": this id stands in line 2 already. Give one of them another id.',
        'boards.csv, line 4, board: "Shop": shop stands for time on no board. Give the board another id.',
    ]


def test_without_a_column_for_the_id_all_boards_are_numbered_which_is_a_note(read):
    found = read(boards="kind,quoted\nmajor,2026-01-02\nminor,2026-01-03\n")
    assert [board.board for board in found.log.boards] == ["26-001", "26-002"]
    assert found.problems == []
    assert any("numbered here for want of an id: 26-001, 26-002" in note for note in found.notes)


def test_a_row_of_sums_is_a_problem_and_no_board(read):
    found = read(
        boards="board,called,owner,total_hours,ready\nA,,Ann,12,2026-03-02\nTOTAL,,,12,\n,Sum,,12,\n,,Together,12,\n"
    )
    assert [board.board for board in found.log.boards] == ["A"]
    assert found.problems == [
        'boards.csv, line 3, board: "TOTAL": a sum is no board. Take the row out.',
        'boards.csv, line 4, called: "Sum": a sum is no board. Take the row out.',
        'boards.csv, line 5, owner: "Together": a sum is no board. Take the row out.',
    ]


def test_a_short_name_is_that_of_one_board_in_the_shop(read):
    found = read(
        boards="board,called,collected,state\nA,red,2026-03-01,\nB,Red,,\nC,RED,,\nD,red,,declined\nE,blue,,\n"
    )
    assert [board.called for board in found.log.boards] == ["red", "Red", "", "red", "blue"]
    assert found.problems == [
        (
            'boards.csv, line 4, called: "RED": board B is called that too, and neither is collected. '
            "Give one of them another short name."
        )
    ]


def test_states_are_worked_out_or_taken_as_written(read):
    found = read(
        boards="board,accepted,started,ready,state\nA,,,,\nB,2026-03-01,,,\nC,2026-03-01,2026-03-02,,Stopped\n"
        "D,,,2026-04-01,\nE,,,,owner dropped it\nF,,,,\nG,,,,I said no\nH,2026-03-01,,,in line\n",
        hours=f"{HOURS}F,2026-03-02,strip,2\nA,2026-03-02,strip,0\n",
    )
    assert found.problems == []
    assert [board.state for board in found.log.boards] == [
        "asked",
        "waiting",
        "stopped",
        "finished",
        "withdrawn",
        "on bench",
        "declined",
        "waiting",
    ]


def test_a_state_that_the_dates_contradict_is_a_problem_and_the_dates_count(read):
    found = read(boards="board,started,ready,state\nA,2026-03-02,2026-04-01,waiting\nB,2026-03-02,,asked\n")
    assert [board.state for board in found.log.boards] == ["finished", "on bench"]
    cure = "Correct the one or the other; left empty, the dates tell the state."
    assert found.problems == [
        f'boards.csv, line 2, state: "waiting": the date in ready says otherwise: finished. {cure}',
        f'boards.csv, line 3, state: "asked": the date in started says otherwise: on bench. {cure}',
    ]


@pytest.mark.parametrize(
    ("total", "state", "kept", "said"),
    [
        ("10", "finished", None, ""),
        ("10.4", "finished", None, ""),  # within 5 in 100
        ("2 days", "finished", None, ""),  # 13 h, told in days of 6.5
        ("9.6", "finished", None, ""),
        (
            "14",
            "finished",
            14.0,
            (
                'note boards.csv, line 2, total_hours: "14": 4 h are not split by stage, 10 h are. '
                "Book them on stages if you know which."
            ),
        ),
        (
            "14",
            "on bench",
            None,
            (
                'boards.csv, line 2, total_hours: "14": the total is 14 h, 4 h more than the 10 h of its rows. '
                "Correct the rows or the total, or leave the total empty."
            ),
        ),
        (
            "9",
            "finished",
            None,
            (
                'boards.csv, line 2, total_hours: "9": the total is 9 h, 1 h less than the 10 h of its rows. '
                "Correct the rows or the total, or leave the total empty."
            ),
        ),
    ],
)
def test_a_total_agrees_with_its_rows_or_is_said_to_differ(read, total, state, kept, said):
    found = read(
        boards=f"board,state,total_hours\nA,{state},{total}\n",
        hours=f"{HOURS}A,2026-03-02,strip,4\nA,2026-03-03,clean,4\nA,2026-03-04,infill,2\n",
    )
    notes = [f"note {note}" for note in found.notes if "total_hours" in note]
    assert found.problems + notes == ([said] if said else [])
    assert found.log.boards[0].total_hours == kept


def test_a_row_of_no_hours_is_not_held_against_a_total(read):
    found = read(boards="board,total_hours\nA,60\n", hours=f"{HOURS}A,2026-03-02,logo,0\n")
    assert (found.problems, found.log.boards[0].total_hours) == ([], 60.0)


def test_a_total_without_rows_keeps_its_step(read):
    found = read(boards="board,total_hours,total_grain\nA,9 days,\nB,60,5\nC,about 70,\n")
    assert [(b.total_hours, b.total_grain) for b in found.log.boards] == [
        (58.5, 6.5),
        (60.0, 5.0),
        (70.0, None),
    ]


@pytest.mark.parametrize(
    ("dates", "board"),
    [
        (",2024-01-05,,,,", "24-001"),
        ("2023-12-30,2024-01-05,,,,", "24-001"),
        ("2023-12-30,,2024-01-05,,,", "23-001"),
        (",,2022-01-05,2023-01-05,,", "22-001"),
        (",,,2023-01-05,2024-01-05,", "23-001"),
        (",,,,2024-01-05,2025-01-05", "24-001"),
        (",,,,,2025-01-05", "25-001"),
    ],
)
def test_the_year_of_a_number_is_that_of_the_first_day_there_is_the_quote_s_before_all(read, dates, board):
    found = read(boards=f"board,asked,quoted,accepted,started,ready,collected\n,{dates}\n")
    assert [one.board for one in found.log.boards] == [board]


@pytest.mark.parametrize(
    ("dates", "last", "kept"),
    [
        ("2026-03-01,2026-03-05,2026-03-09", "2026-03-09", True),  # on the very day
        ("2026-03-01,2026-03-05,2026-03-09", "2026-03-08", False),
        ("2026-03-01,2026-03-05,", "2026-03-05", True),
        ("2026-03-01,2026-03-05,", "2026-03-04", False),
        ("2026-03-01,,", "2026-03-01", True),
        ("2026-03-01,,", "2026-02-28", False),
    ],
)
def test_no_board_was_promised_before_it_came(read, dates, last, kept):
    found = read(boards=f"board,asked,quoted,accepted,promised_last\nA,{dates},{last}\n")
    assert bool(found.problems) is not kept
    assert (found.log.boards[0].promised_last is not None) is kept


def test_a_declined_board_leaves_its_short_name_to_another(read):
    found = read(
        boards="board,called,state,collected\nA,red,declined,\nB,red,,\nC,tan,,2026-03-01\nD,tan,,\n"
    )
    assert found.problems == []
    assert [board.called for board in found.log.boards] == ["red", "red", "tan", "tan"]


def test_the_step_of_a_total_is_the_one_that_is_written_else_its_own(read):
    boards = (
        "board,state,total_hours,total_grain\nA,finished,52,\nB,finished,52,half a day\nC,finished,9 days,\n"
    )
    found = read(boards=boards)
    assert [board.total_grain for board in found.log.boards] == [None, 3.25, 6.5]


@pytest.mark.parametrize(
    ("total", "grain", "agrees"),
    [
        ("10.5", "0.25", True),  # 0.5 h apart: within 5 in 100 of it, which is more than the step
        ("10.5", "", True),
        ("11", "1", True),  # just a step
        ("11", "0.9", False),
        ("40", "30", True),
        ("9.5", "0.25", False),
        ("9.6", "0.25", True),
    ],
)
def test_a_total_may_differ_by_its_step_or_by_five_in_a_hundred_of_it_whichever_is_more(
    read, total, grain, agrees
):
    found = read(
        boards=f"board,state,total_hours,total_grain\nA,finished,{total},{grain}\n",
        hours=f"{HOURS}A,2026-03-02,strip,4\nA,2026-03-03,clean,6\n",
    )
    assert (not found.problems and not [note for note in found.notes if "total_hours" in note]) is agrees

"""Past boards and ten boards as tables."""

import datetime as dt

from making.records import IN_HAND, QUICK, SLOW, board

from estimator.said.past_boards import table_of_ranges
from estimator.said.ten_boards import table_of_days, table_of_hours, table_of_pay


def test_what_was_said_of_a_board_what_it_took_and_to_which_side_it_fell():
    boards = [
        board(1),
        board(2, **SLOW),
        board(3, **QUICK),
        board(4, **IN_HAND),
        board(5, hours=None, side=None, so_far=30.0),
    ]
    table = table_of_ranges(boards)

    assert [row[1:] for row in table.rows] == [
        ("55 to 80", "66", "inside"),
        ("55 to 80", "97", "longer"),
        ("55 to 80", "41", "quicker"),
        ("55 to 80", "88", "longer"),
        ("55 to 80", "30", "still open"),
    ]
    assert table.boards == tuple(f"25-00{n}" for n in range(1, 6))


def test_ten_boards_are_counted_from_the_first_on():
    hours = table_of_hours([float(n) for n in range(1, 11)])
    assert [row[0] for row in hours.rows] == ["1st", "2nd", "3rd", *(f"{n}th" for n in range(4, 11))]
    assert hours.head == ("of 10 boards", "hours")
    assert table_of_pay([-3.2, 42.4], "mk an hour").rows == (("1st", "−3"), ("2nd", "42"))
    today = dt.date(2026, 6, 9)
    days = table_of_days([dt.date(2026, 6, 5), dt.date(2026, 6, 12), dt.date(2027, 1, 4)], today)
    assert [said for _, said in days.rows] == [
        "Tue 9 June",
        "Fri 12 June",
        "Mon 4 January 2027",
    ]  # none before today

"""What came in and went out, and notes that were found, in words."""

import datetime as dt

import pytest

from estimator.log.money import InAndOut, MoneySums
from estimator.said.notes_and_money import line_parts, money_parts, note_parts
from estimator.words.records import SHOP, Board, MoneyLine, Note

BOARDS = {"a": Board("a", "red"), "b": Board("b")}


def june(n):
    return dt.date(2026, 6, n)


@pytest.mark.parametrize(
    ("came_in", "out", "said"),
    [
        (1275.0, 487.5, "In 1,275 mk, out 487.50 mk: 787.50 mk left."),
        (1275.0, 1987.72, "In 1,275 mk, out 1,987.72 mk: 712.72 mk more went out than came in."),
        (500.0, 500.0, "In 500 mk, out 500 mk: 0 mk left."),
    ],
)
def test_what_is_left_or_what_more_went_out(came_in, out, said):
    whole = InAndOut("", came_in, out)
    sums = MoneySums(None, None, whole, (InAndOut("rent", came_in, out),), (), whole, ())

    assert said in money_parts(sums, {}, "mk")


NOTHING = InAndOut("", 0.0, 0.0)


def summed(first=None, last=None, none=NOTHING, undated=()):
    by_what = (InAndOut("payment", 900.0, 0.0), InAndOut("rent", 0.0, 412.5))
    by_board = (InAndOut("a", 900.0, 0.0), InAndOut("z", 0.0, 3.0))
    return money_parts(
        MoneySums(first, last, InAndOut("", 900.0, 412.5), by_what, by_board, none, undated), BOARDS, "mk"
    )


def test_sums_stand_by_what_for_and_by_board():
    parts = summed(june(1), june(30), none=InAndOut("", 0.0, 412.5))

    assert parts[0].text == "Money from Mon 1 June 2026 to Tue 30 June 2026"
    assert parts[3].rows == (("Payment", "900", "·"), ("Rent", "·", "412.50"))
    assert parts[5].rows == (("red", "900", "·"), ("z", "·", "3"), ("on no board", "·", "412.50"))
    assert parts[5].boards == ("a", "z", "")
    assert [row[0] for row in summed()[5].rows] == ["red", "z"]
    assert [row[0] for row in summed(none=InAndOut("", 35.0, 0.0))[5].rows] == ["red", "z", "on no board"]
    assert (summed(None, june(30))[0].text, summed()[0].text) == ("Money to Tue 30 June 2026", "Money")


@pytest.mark.parametrize(
    ("undated", "said"),
    [
        ((), None),
        (("a",), "red"),
        (("a", "b", "c"), "red, b, c"),
        (("a", "b", "c", "d", "e"), "red, b, c and 2 more"),
    ],
)
def test_money_without_a_day_is_named(undated, said):
    parts = [part for part in summed(undated=undated) if str(part).startswith("Not counted")]

    assert parts == ([f"Not counted, because no day is written: money of {said}."] if said else [])


def line(n, came_in=0.0, out=0.0, boards=()):
    return MoneyLine(june(n), came_in, out, "tape", boards, f"n{n}")


def test_lines_stand_newest_first_up_to_a_number():
    lines = [line(1, 900.0, boards=("a",)), line(2, out=12.5, boards=("b", "z")), line(3, out=4.0)]
    [table] = line_parts(lines, BOARDS, 3)
    assert table.rows == (
        ("Wed 3 June 2026", "", "4", "tape", "", "n3"),
        ("Tue 2 June 2026", "", "12.50", "tape", "b, z", "n2"),
        ("Mon 1 June 2026", "900", "", "tape", "red", "n1"),
    )
    table, rest = line_parts(lines, BOARDS, 2)
    assert ([row[-1] for row in table.rows], rest) == (
        ["n3", "n2"],
        "And 1 earlier line; all of them are in the file.",
    )
    assert line_parts([], BOARDS, 2) == ["No money is written down in these days."]


def test_notes_stand_with_their_day_board_and_picture():
    notes = [
        Note("a", june(1), "two parts white"),
        Note(SHOP, june(2), "gas", "x.jpg"),
        Note("b", june(3), "", "y.jpg"),
    ]
    [table] = note_parts(notes, BOARDS)

    assert table.rows == (
        ("Mon 1 June 2026", "red", "two parts white"), ("Tue 2 June 2026", "shop", "gas (x.jpg)"), ("Wed 3 June 2026", "b", "y.jpg"),
    )  # fmt: skip
    assert table.boards == ("a", "", "b")
    assert note_parts([], BOARDS) == ["No such note is written down."]

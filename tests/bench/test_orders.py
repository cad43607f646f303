"""In which order boards are worked, and who was taken out of turn."""

import datetime as dt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from estimator.bench.orders import RARELY, first_days, first_promised_first, out_of_turn
from estimator.words.records import Board, Told

DAYS = st.one_of(st.none(), st.dates(dt.date(2026, 1, 1), dt.date(2026, 3, 1)))


def day(n):
    return dt.date(2026, 5, 1) + dt.timedelta(days=n)


@pytest.mark.parametrize(
    ("promised", "accepted", "ranks"),
    [
        ([day(9), day(3)], [day(0), day(1)], [1, 0]),  # the day told goes before the day taken on
        ([None, day(90)], [day(0), day(80)], [1, 0]),  # told late comes before not told at all
        ([None, None], [day(5), day(4)], [1, 0]),
        ([day(3), day(3)], [day(5), None], [0, 1]),  # the same day: who was taken on first
        ([day(3), day(3)], [day(5), day(5)], [0, 1]),  # all the same: as they are given
        ([], [], []),
    ],
)
def test_what_was_promised_first_then_who_was_taken_on_first(promised, accepted, ranks):
    assert first_promised_first(promised, accepted).tolist() == ranks


@given(st.lists(st.tuples(DAYS, DAYS), max_size=8))
def test_every_board_has_a_rank_and_none_goes_before_one_that_was_promised_earlier(boards):
    promised, accepted = [one for one, _ in boards], [one for _, one in boards]
    ranks = first_promised_first(promised, accepted).tolist()
    assert sorted(ranks) == list(range(len(boards)))
    for (p, a), rank in zip(boards, ranks, strict=True):
        for (q, b), other in zip(boards, ranks, strict=True):
            if (q or dt.date.max, b or dt.date.max) < (p or dt.date.max, a or dt.date.max):
                assert other < rank


@pytest.mark.parametrize(
    ("told", "on_row", "first"),
    [
        ([], None, None),
        ([], 7, 7),
        ([(0, 9, "quote"), (5, 30, "late")], 7, 9),  # rows of tellings before the board's own row
        ([(5, 30, "asked later"), (0, 9, "quote")], None, 9),  # more work keeps its place
        ([(5, 30, "asked later")], 7, 7),  # first told before tellings were kept
        ([(5, 30, "asked later")], None, 30),
        ([(0, None, "quote"), (5, 30, "late")], None, 30),  # a price alone promises no day
    ],
)
def test_a_board_keeps_the_place_of_the_day_promised_first(told, on_row, first):
    rows = [
        Told("a", day(on), last=None if last is None else day(last), because=why) for on, last, why in told
    ]
    mine = Board("a", promised_last=None if on_row is None else day(on_row))
    assert first_days(rows, [mine, Board("b")]) == [None if first is None else day(first), None]


def board(name, accepted, started=None, kind="minor"):
    return Board(name, kind=kind, accepted=day(accepted), started=None if started is None else day(started))


def test_a_board_begun_before_one_that_came_earlier_went_out_of_turn():
    yes, no = RARELY
    found = out_of_turn([board("a", 0, 20, kind="major"), board("b", 2, 5), board("c", 3, 30)])
    # c found only the others in line, both begun before it; a found nobody and says nothing
    assert found == {"minor": (yes + 1, no + 1)}


def test_a_board_still_in_line_is_one_that_was_passed_and_says_nothing_of_itself():
    yes, no = RARELY
    assert out_of_turn([board("a", 0), board("b", 2, 5)]) == {"minor": (yes + 1, no)}
    assert out_of_turn([board("a", 0, 1), board("b", 2)]) == {}


def test_only_a_board_that_stands_in_line_that_day_can_be_passed():
    """What was begun before another was taken on stood in no line with it: neither passed it nor was passed."""
    yes, no = RARELY
    assert out_of_turn([board("a", 0, 1), board("b", 2, 5)]) == {}
    assert out_of_turn([board("a", 0, 2), board("b", 2, 5)]) == {}
    assert out_of_turn([board("a", 0, 3), board("b", 2, 5)]) == {"minor": (yes, no + 1)}


def test_a_board_begun_between_two_that_came_earlier_went_out_of_turn_too():
    """The last came third; of the two before it one was begun sooner, one is still in line."""
    yes, no = RARELY
    two = [board("a", 0, 20), board("b", 1, 12), board("c", 2, 14, kind="major")]
    assert out_of_turn(two) == {"minor": (yes + 1, no), "major": (yes + 1, no)}


def test_a_board_that_is_not_begun_is_neither_in_turn_nor_out_of_it():
    assert out_of_turn([board("a", 0, 20), board("b", 2)]) == {}


@given(st.permutations([board("a", 0, 20, "major"), board("b", 2, 5), board("c", 3, 30), board("d", 4)]))
def test_the_order_of_rows_does_not_matter(boards):
    assert out_of_turn(boards) == out_of_turn(sorted(boards, key=lambda b: b.board))


def test_one_passed_of_two_in_line_is_out_of_turn_and_a_day_with_another_is_not():
    """c goes before b, whatever a did; begun on one day, neither was passed; nor taken on one day."""
    yes, no = RARELY
    a, c = board("a", 0, 3, kind="major"), board("c", 2, 5)
    assert out_of_turn([a, board("b", 1, 20, kind="major"), c]) == {"minor": (yes + 1, no)} | {
        "major": (yes, no + 1)
    }
    assert out_of_turn([board("a", 0, 5, kind="major"), c]) == {"minor": (yes, no + 1)}
    assert out_of_turn([board("a", 2, 9, kind="major"), c]) == {}
    assert out_of_turn([board("a", 0, 2, kind="major"), c]) == {}

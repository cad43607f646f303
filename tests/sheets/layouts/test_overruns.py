"""A batten of what came on top: its pieces by number, where they lie, and their words."""

import pytest

from estimator.sheets.layouts.overruns import Batten, BattenLayout, laid

MIXED = Batten(50.0, 57.0, {"guess": -6.0, "hidden": 9.0, "asked_later": 5.0, "pace": -1.0})


def test_what_comes_on_top_is_laid_on_in_order_then_sawn_off_from_the_end():
    """50 said; 9 and 5 on top are 64; 6 too many guessed and 1 of quicker going come off: 57."""
    assert [(p.part, p.start, p.end, p.off, p.number) for p in laid(MIXED)] == [
        ("hidden", 50, 59, False, 2),
        ("asked_later", 59, 64, False, 3),
        ("guess", 58, 64, True, 1),
        ("pace", 57, 58, True, 4),
    ]


@pytest.mark.parametrize(
    ("boards", "words"),
    [
        (False, ["a high guess: 6 off", "hidden work: 9", "what was asked for since: 5", "quicker going: 1 off"]),
        (True, ["guesses too high: 6 off", "hidden work: 9", "what was asked for since: 5", "quicker boards: 1 off"]),
    ],
)  # fmt: skip
def test_pieces_are_named_as_of_one_board_or_of_several(boards, words):
    batten = Batten(MIXED.said, MIXED.took, MIXED.hours, boards)

    assert [says for *_, says in batten.pieces] == words
    assert ("guesses too high saved 6, quicker boards 1" in batten.sentence) == boards
    assert batten.sentence.startswith("You said 50 hours; it came to 57. 7 hours over: ")


def test_a_piece_too_short_to_be_shown_is_left_out():
    batten = Batten(50.0, 59.1, {"guess": 0.1, "hidden": 9.0, "asked_later": 0.0, "pace": 0.0})

    assert [part for part, *_ in batten.pieces] == ["hidden"]


def test_numbers_of_what_is_laid_on_stand_above_and_of_what_is_sawn_off_below():
    layout = BattenLayout(MIXED, 600.0)

    assert [piece.number for piece, _ in layout.over] == [2, 3]
    assert [piece.number for piece, _ in layout.under] == [4, 1]
    assert [number for number, _ in layout.list] == [1, 2, 3, 4]
    assert [at for _, at in layout.over] == pytest.approx([layout.px(54.5), layout.px(61.5)])


def test_the_tape_begins_at_nought_where_that_is_near_and_else_before_what_is_seen():
    near, far = (BattenLayout(Batten(said, said + 10, {"guess": 10.0, "hidden": 0.0, "asked_later": 0.0, "pace": 0.0}), 600.0) for said in (9.0, 90.0))  # fmt: skip

    assert near.left < 0 < near.right
    assert (far.left, far.right) == pytest.approx((90 - 7.5, 100.6))


def test_pieces_are_shown_so_that_they_add_up_to_what_came_on_top():
    """2.4, 3.4 and 1.4 hours are 7.2 and are shown as 2½, 3½ and 1½, but 50 said and 57 taken as 7: the smallest step off."""
    batten = Batten(50.0, 57.2, {"guess": 2.4, "hidden": 3.4, "asked_later": 1.4, "pace": 0.0})

    shown = [words.rpartition(": ")[2] for *_, words in batten.pieces]
    assert sum(float(at.replace("½", ".5")) for at in shown) == 7
    assert [hours for _, hours, _ in batten.pieces] == [2.4, 3.4, 1.4]


ON = {"guess": 9.0, "hidden": 0.0, "asked_later": 0.0, "pace": 0.0}


def test_room_is_kept_for_numbers_on_the_side_on_which_there_are_some():
    """A row of numbers is a line, 10 pixels of leader and 6 of air; the batten is 26 thick."""
    on, off, both = BattenLayout(Batten(50.0, 59.0, ON), 600.0), BattenLayout(Batten(59.0, 50.0, {**ON, "guess": -9.0}), 600.0), BattenLayout(MIXED, 600.0)  # fmt: skip
    row = on.line + 16

    assert (on.foot, on.above) == pytest.approx((6, 6 + 26 + row + 6))
    assert (off.foot, off.above) == pytest.approx((6 + row, 6 + row + 26 + 6))
    assert (both.foot, both.above) == pytest.approx((6 + row, 6 + row + 26 + row + 6))


def test_a_board_that_took_what_was_said_shows_a_twentieth_of_it():
    layout = BattenLayout(Batten(100.0, 100.0, {**ON, "guess": 0.0}), 600.0)

    assert (layout.left, layout.right) == pytest.approx((100 - 0.75 * 5, 100 + 0.06 * 5))

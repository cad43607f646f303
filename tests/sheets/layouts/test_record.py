from dataclasses import replace

import pytest
from making.records import IN_HAND, NONE_YET, QUICK, RECORD, RIVALS, SLOW, board, count, with_last

from estimator.record.backtest.track_record import Rival
from estimator.sheets.layouts.record import (
    NearerLayout,
    RecordLayout,
    against,
    board_px,
    count_lines,
    heading,
    last_boards,
    missed_words,
    nearer_heading,
    open_words,
    record_caption,
    record_title,
    rival_words,
)

OPEN = {"hours": None, "side": None, "so_far": 30.0}


def with_boards(boards, **more):
    """The record of those boards alone, with their count at 8 in 10."""
    sides = [b.side for b in boards]
    counted = count(0.8, sides.count(0), sides.count(-1), sides.count(1), sides.count(None))
    even, _, sure = RECORD.shown.held
    return replace(
        RECORD, boards=tuple(boards), shown=replace(RECORD.shown, held=(even, counted, sure)), **more
    )


def test_the_last_boards_that_count_are_shown_with_what_is_still_open_among_them():
    boards = [
        board(0, **OPEN),
        *(board(n) for n in range(1, 6)),
        board(6, **OPEN),
        board(7),
        board(8, **OPEN),
    ]
    shown = last_boards(with_boards(boards), most=3)

    assert [b.board for b in shown] == ["25-004", "25-005", "25-006", "25-007", "25-008"]
    assert len(last_boards(with_boards(boards))) == 9
    assert len(last_boards(with_boards([board(n, **OPEN) for n in range(50)]))) == 20
    assert last_boards(NONE_YET) == ()


def test_the_heading_says_how_many_and_in_which_order():
    assert heading(RECORD) == "Your last 20 boards, oldest first"
    assert heading(RECORD, most=8) == "Your last 8 boards, oldest first"
    assert heading(with_boards([board(n) for n in range(20)])) == "Your 20 boards so far, oldest first"
    assert heading(with_boards([board(1)])) == "Your one board so far"
    assert heading(NONE_YET) == ""


def test_counts_carry_what_luck_allows():
    assert count_lines(RECORD) == (
        "16 of 20 landed inside; luck alone allows 12 to 19.",
        "Of all 32, 26 landed inside; luck alone allows 21 to 30.",
    )
    assert count_lines(with_boards([board(n) for n in range(20)])) == (
        "20 of 20 landed inside; luck alone allows 12 to 19.",
    )
    assert count_lines(with_boards([board(1)], missing=7)) == (
        "1 of 1 landed inside; luck alone allows 0 to 1.",
        "7 more finished boards with a quote date would do.",
    )
    assert count_lines(NONE_YET) == ("8 more finished boards with a quote date would do.",)
    many = with_boards([board(n, **(QUICK if n % 5 == 0 else {})) for n in range(2000)])
    assert count_lines(many)[1] == "Of all 2,000, 1,600 landed inside; luck alone allows 1,565 to 1,635."


@pytest.mark.parametrize(
    ("more", "words"),
    [
        (SLOW, "sand six-two took 97 hours, longer than 55 to 80: wet foam"),
        (QUICK, "sand six-two took 41 hours, quicker than 55 to 80"),
        (IN_HAND, "sand six-two has taken 88 hours so far, longer than 55 to 80"),
        ({**SLOW, "cost_time": "nothing"}, "sand six-two took 97 hours, longer than 55 to 80"),
        ({**SLOW, "hours": 81.2, "high": 80.9}, "sand six-two took 81 hours, longer than 55 to 80: wet foam"),
        ({**SLOW, "hours": 82, "high": 81.9, "cost_time": ""}, "sand six-two took 82 hours, longer than 55 to 80"),
        ({**SLOW, "hours": 84, "high": 83}, "sand six-two took 84 hours, just longer than 55 to 85: wet foam"),
        ({**QUICK, "hours": 54.6, "low": 55}, "sand six-two took 55 hours, just quicker than 55 to 80"),
        ({**SLOW, "hours": 62.6, "low": 61, "high": 62.4}, "sand six-two took 63 hours, longer than about 60: wet foam"),
        ({**QUICK, "hours": 1, "low": 1.1, "high": 2}, "sand six-two took 1 hour, just quicker than 1 to 2"),
        ({**SLOW, "called": ""}, "25-000 took 97 hours, longer than 55 to 80: wet foam"),
    ],
)  # fmt: skip
def test_a_miss_has_its_name_its_hours_its_side_and_its_reason(more, words):
    assert missed_words(board(0, **more)) == words


def test_open_boards_are_named_with_the_word():
    assert open_words(RECORD.boards) == "still open, in pencil: olive six-two"
    assert open_words([board(0), board(1, **SLOW)]) == ""


def test_others_are_held_against_ours_from_eight_boards_on():
    few = replace(RIVALS[0], of=7)
    assert against(replace(RECORD, rivals=(few, RIVALS[1]))) == (RIVALS[1],)


@pytest.mark.parametrize(
    ("rivals", "words"),
    [
        (RIVALS, "These ranges have been no nearer than plain regression"),
        (RIVALS[:1], "These ranges have come nearest so far"),
        (
            (replace(RIVALS[0], off=7.2), RIVALS[2], RIVALS[3]),
            "These ranges have been no nearer than your own guess or plain regression",
        ),
        (
            (replace(RIVALS[0], off=4.0), replace(RIVALS[2], off=6.6), RIVALS[3]),
            "These ranges have been no nearer than your own guess, the middle of your past boards or plain regression",
        ),
        ((replace(RIVALS[0], of=3),), ""),
    ],
)
def test_that_ours_is_no_better_is_what_there_is_to_see(rivals, words):
    assert nearer_heading(replace(RECORD, rivals=rivals)) == words


def test_how_far_off_others_were_and_ours():
    assert [rival_words(rival) for rival in RIVALS[1:3]] == [
        "Your guess, times how it usually went: 7½ hours off; these ranges 7, nearer on 13 of 24 boards",
        "The middle of your past boards: 15 hours off; these ranges 7, nearer on 27 of 32 boards",
    ]
    tiny = Rival(
        "own guess", 8, 3, 1.0, 0.1, 0.9, 0.1, 1.2, 0.9, off=1.0, our_off=0.1, closer=3, off_chance=0.9
    )
    assert (
        rival_words(tiny)
        == "Your own guess: 1 hour off; these ranges less than ½ hour, nearer on 3 of 8 boards"
    )
    assert "1 hour off; these ranges 1 hour, nearer" in rival_words(replace(tiny, our_off=1.0))


@pytest.mark.parametrize(
    ("record", "title"),
    [
        (RECORD, "Ranges held about as often as they should"),
        (with_last(9), "Your last 20 ranges were too tight"),
        (with_last(8), "Ranges held about as often as they should"),
        (with_last(0), "Your last 20 ranges were wider than they needed to be"),
        (
            with_boards([board(n, **(SLOW if n % 20 > 11 else {})) for n in range(60)]),
            "Over all 60 boards ranges were too tight",
        ),
        (
            with_boards([board(n, **(SLOW if n % 20 == 1 else {})) for n in range(60)]),
            "Over all 60 boards ranges were wider than they needed to be",
        ),
        (with_boards([board(n) for n in range(7)], missing=1), "Too few boards yet to tell whether ranges hold"),
        (with_boards([board(1, **OPEN)], missing=8), "No finished board yet to hold a range against"),
        (NONE_YET, "No finished board yet to hold a range against"),
    ],
)  # fmt: skip
def test_the_title_says_whether_ranges_held(record, title):
    assert record_title(record) == title


def test_the_caption_says_all_that_is_drawn():
    assert record_caption(replace(RECORD, rivals=RIVALS[:1])) == (
        "Ranges held about as often as they should. 16 of 20 landed inside; luck alone allows 12 to 19. "
        "Of all 32, 26 landed inside; luck alone allows 21 to 30. "
        "Plum six-two took 97 hours, longer than 55 to 80: wet foam; "
        "straw seven-four took 41 hours, quicker than 55 to 80; "
        "brick eight-two took 81 hours, longer than 55 to 80: the owner; "
        "chalk nine-four has taken 88 hours so far, longer than 55 to 80. "
        "Still open, in pencil: olive six-two. These ranges have come nearest so far, in hours off on average. "
        "Hours off count from the middle of a range, which half of boards pass, or from the one number of a guess. "
        "Your own guess: 9 hours off; these ranges 7, nearer on 21 of 30 boards."
    )
    assert record_caption(NONE_YET) == (
        "No finished board yet to hold a range against. 8 more finished boards with a quote date would do."
    )


def test_what_is_still_open_stands_before_boards_that_are_all_shown():
    boards = [board(0, **OPEN), board(1), board(2), board(3)]

    assert [b.board for b in last_boards(with_boards(boards), most=3)] == [f"25-00{n}" for n in range(4)]
    assert [b.board for b in last_boards(with_boards(boards), most=2)] == ["25-002", "25-003"]


@pytest.mark.parametrize(("count", "missing"), [(7, 0), (8, 1)])
def test_it_is_too_early_below_eight_boards_and_while_any_is_missing(count, missing):
    record = with_boards([board(n) for n in range(count)], missing=missing)

    assert record_title(record) == "Too few boards yet to tell whether ranges hold"
    assert record_title(with_boards([board(n) for n in range(8)])) != record_title(record)


def test_others_count_from_the_eighth_board_and_come_even_within_half_an_hour_shown():
    eight = replace(RIVALS[0], of=8)
    even = replace(RIVALS[0], off=7.2, our_off=7.0)

    assert against(replace(RECORD, rivals=(eight,))) == (eight,)
    assert nearer_heading(replace(RECORD, rivals=(even,))) == (
        "These ranges have been no nearer than your own guess"
    )
    assert "nearer on 21 of 8 boards" in rival_words(eight)  # by how far off, not by the score of the range


@pytest.mark.parametrize(
    ("slow", "title"),
    [
        (range(12, 20), "Your last 20 ranges were wider than they needed to be"),
        (range(20, 40), "Your last 20 ranges were too tight"),
    ],
)
def test_the_last_ranges_are_those_that_were_judged_last(slow, title):
    """Of forty, those that ran over stand among the first twenty, or are the last twenty."""
    assert record_title(with_boards([board(n, **(SLOW if n in slow else {})) for n in range(40)])) == title


def test_what_is_open_among_older_boards_is_not_shown():
    boards = [board(0), board(1, **OPEN), *(board(n) for n in (2, 3, 4))]

    assert [b.board for b in last_boards(with_boards(boards), most=2)] == ["25-003", "25-004"]


def test_a_board_that_lies_takes_its_length_and_one_that_stands_its_width():
    assert board_px(board(0, **SLOW), 56.0) == 56 + 5
    assert board_px(board(0, **OPEN), 56.0) == board_px(board(0), 56.0) == pytest.approx(10.0)


def test_a_row_without_a_miss_has_no_numbers_and_no_sides():
    """Two rows of words, the boards with 6 above them, and 6 below a row, at the foot, and 4."""
    held = RecordLayout(with_boards([board(0), board(1)]), 640.0, 20)
    lines = len(held.heading) + sum(map(len, held.counts))
    assert held.sides == ()
    assert held.high == pytest.approx(held.line * lines + held.tall + 6 + 6 * 2 + 4)

    missed = RecordLayout(with_boards([board(0), board(1, **SLOW)]), 640.0, 20)
    lines = len(missed.heading) + sum(map(len, (*missed.counts, *missed.missed)))
    assert missed.sides == ("lying left: quicker than said", "lying right, hatched: took longer")
    assert missed.high == pytest.approx(missed.line * (lines + 2) + missed.tall + 6 + 6 * 4 + 4)


def test_what_the_tape_counts_stands_beside_the_key_where_there_is_room():
    narrow, wide = (NearerLayout(replace(RECORD, rivals=RIVALS), px) for px in (320.0, 640.0))

    assert (narrow.key_beside, wide.key_beside) == (False, True)
    assert wide.below == pytest.approx(36 + 8 + wide.line * (len(wide.note) + 1))
    assert narrow.below == pytest.approx(36 + 8 + narrow.line * (len(narrow.note) + 2))

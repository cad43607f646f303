"""The record's JSON, each number under its own name, and what counts, by hand."""

from dataclasses import replace

import pytest
from making.records import NONE_YET, RECORD, board, count

DATES, RAW = (count(0.8, 9, 1, 2),), (count(0.8, 8, 1, 3),)


def test_each_number_of_the_record_stands_under_its_own_name():
    made = replace(
        RECORD,
        dates=DATES,
        raw_dates=RAW,
        promises=count(0.9, 5, 0, 1),
        stretch_of_dates=(1.3, 1.4),
        dates_from=17,
        dates_asked_later=("moss",),
        missing=2,
        told_struck_out=3,
    ).as_dict()

    assert (made["boards"], len(made["each"])) == (32, 33)  # one is open
    assert made["stretch"] == {"low": 1.01, "high": 1.11}
    assert made["stretch_of_dates"] == {"low": 1.3, "high": 1.4}
    assert (made["learned_from"], made["dates_learned_from"]) == (31, 17)
    assert (made["dates"][0]["held"], made["raw"]["dates"][0]["held"]) == (9, 8)
    assert (made["crps"], made["raw"]["crps"]) == (7.02, 7.11)
    assert (made["held"][1]["held"], made["raw"]["held"][1]["held"]) == (26, 24)
    assert (made["promises"]["held"], made["missing"], made["told_struck_out"]) == (5, 2, 3)
    assert made["dates_asked_later"] == ["moss"]
    assert list(made["against"]) == ["own guess", "guess x usual", "median of past", "plain regression"]
    assert made["against"]["own guess"]["held"] is None
    assert made["against"]["median of past"]["held"][0]["held"] == 27
    assert (made["against"]["own guess"]["off"], made["against"]["own guess"]["our_off"]) == (9.1, 7.0)
    assert made["own_guesses"]["usual"] == 1.26
    assert made["told"][0]["of"] == 10
    assert made["groups"]["wet"]["of"] == 3
    assert made["left_out"]["still in hand"] == ["jade nine-two"]


def test_boards_count_whose_side_is_known_though_they_are_in_hand():
    boards = (board(1), board(2, hours=None, side=1), board(3, hours=None, side=None))

    assert [one.board for one in replace(NONE_YET, boards=boards).judged] == ["25-001", "25-002"]


@pytest.mark.parametrize(
    ("called", "known", "name"), [("moss", "9'4", "moss"), ("", "9'4", "9'4"), ("", "", "25-001")]
)
def test_a_board_is_named_as_the_restorer_calls_it(called, known, name):
    assert board(1, called=called, known=known).name == name


@pytest.mark.parametrize(("held", "within"), [(11, False), (12, True), (19, True), (20, False)])
def test_both_ends_of_what_luck_allows_are_within(held, within):
    """Of 20 at 8 in 10 luck allows 12 to 19."""
    assert count(0.8, held, 0, 20 - held).within == within


def test_a_count_is_found_by_its_odds():
    assert [RECORD.count(odds).held for odds in (0.5, 0.8, 0.95)] == [16, 26, 30]

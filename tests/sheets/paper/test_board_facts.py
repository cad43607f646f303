import datetime as dt
from dataclasses import replace

import pytest
from making.sheets import BOARD, SETTINGS, TOLD

from estimator.sheets.paper.board_facts import board_line, listed, tellings, to_do
from estimator.words.money import say_price
from estimator.words.records import Board, Told


def test_a_board_is_said_in_feet_with_true_fractions_and_metric_beside():
    assert board_line(BOARD, SETTINGS) == 'Full restoration, 9\'4" (2.84 m) long, 22⅝" (57.5 cm) wide'
    assert board_line(Board("b1"), SETTINGS) == ""


def test_what_there_is_to_do_with_what_was_asked_for_since():
    seen = to_do(BOARD, SETTINGS)

    assert "colours to spray: 3" in seen.work  # two as it looked, one asked for since
    assert "foam pieces to let in: 3" in seen.work
    assert not any(
        "area" in words for words in seen.work
    )  # worked out from the outline, and no matter for paper
    assert seen.none == ("stringers to mend", "nose and tail blocks", "pinlines")
    assert seen.slower == ("brittle glass: brittle", "masking: curves")
    assert seen.unseen_slower == ("wet foam",)


def test_what_turned_out_stands_in_for_what_it_looked_like():
    opened = replace(BOARD, found={"infills": 5.0, "wetness": 3.0, "spray_colours": 3.0})
    seen = to_do(opened, SETTINGS)

    assert "foam pieces to let in: 5" in seen.work
    assert "colours to spray: 3" in seen.work  # what was found holds what was asked for since
    assert "wet foam: soaked" in seen.slower


def test_what_the_sort_of_job_does_not_ask_is_not_spoken_of():
    minor = replace(
        BOARD, kind="minor", assessed={"stringers": 0.0, "infills": 0.0, "spray_colours": 0.0}, later={}
    )
    seen = to_do(minor, SETTINGS)

    assert seen.none == ("foam pieces to let in", "colours to spray")
    assert not any(
        words.startswith("masking") for words in (*seen.slower, *seen.unseen_slower)
    )  # nothing to mask


def test_tellings_are_the_first_and_the_last_up_to_the_day():
    day = dt.date(2026, 10, 1)
    first, last = tellings(TOLD, day, "mk")

    assert first == "On Wed 1 July (quote): 2,600 mk, fixed price; ready by Mon 12 October."
    assert last == (
        "On Tue 8 September (late): between 50 and 70 hours, 8 times in 10; ready by Mon 26 October; "
        "not before Mon 19 October."
    )
    assert tellings(TOLD, dt.date(2026, 8, 1), "mk") == (first,)
    assert tellings((), day, "mk") == ()
    assert tellings((Told("b", day),), day, "") == ("On Thu 1 October: nothing that was kept.",)


def test_no_telling_of_the_first_or_the_last_day_is_dropped_nor_one_of_a_wish():
    days = [dt.date(2026, 7, 1), dt.date(2026, 7, 20), dt.date(2026, 8, 3), dt.date(2026, 9, 8)]
    reasons = [
        ("quote", 0),
        ("hidden work", 0),
        ("asked later", 1),
        ("late", 2),
        ("asked later", 3),
        ("late", 3),
    ]
    said = tellings(
        [
            Told("b", days[at], because=why, adds_days=3 if why == "asked later" else None)
            for why, at in reasons
        ],
        dt.date(2026, 10, 1),
        "mk",
    )

    assert [line.split(":")[0] for line in said] == [
        "On Wed 1 July (quote)",
        "On Wed 1 July (hidden work)",
        "On Mon 20 July (asked later, adds 3 days)",
        "On Tue 8 September (asked later, adds 3 days)",
        "On Tue 8 September (late)",
    ]


@pytest.mark.parametrize(
    ("amount", "said"), [(1800.0, "1,800 mk"), (1800.5, "1,800.5 mk"), (0.0, "0 mk"), (1e6, "1,000,000 mk")]
)
def test_a_price_is_said_to_the_last_coin(amount, said):
    assert say_price(amount, "mk") == said


def test_things_in_a_row():
    assert listed([]) == ""
    assert listed(["a", "b"]) == "a and b"

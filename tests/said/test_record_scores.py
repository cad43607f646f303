from dataclasses import replace

import pytest
from making.records import OWN, RECORD, RIVALS

from estimator.cli.printing import plain_lines
from estimator.record.backtest.track_record import Calibration
from estimator.said.parts import Heading, Table
from estimator.said.record import long_record
from estimator.said.record_scores import (
    COUNTED,
    SCORED,
    _own,
    _rivals,
    guess_parts,
    nearer_parts,
    nearer_words,
)
from estimator.words.settings.schema import Settings

GUESS, TIMES, MIDDLE, REGRESSION = RIVALS


def nearer(*rivals):
    return plain_lines(nearer_parts(rivals))


def guesses(**more):
    return plain_lines(guess_parts(replace(OWN, **more)))[1:]


def test_that_ours_is_no_better_comes_first():
    assert nearer(*RIVALS) == [
        "Who has been nearer?",
        "These ranges have been no nearer than plain regression.",
        "Against your own guess: nearer on 21 of 30 boards; 7 hours off on average, not 9. Chance that this is luck: fewer than 1 in 20.",
        "Against your guess, times how it usually went: nearer on 13 of 24 boards; 7 hours off on average, not 7½. Chance that this is luck: 2 times in 10.",
        "Against the middle of your past boards: nearer on 27 of 32 boards; 7 hours off on average, not 15. Chance that this is luck: fewer than 1 in 20.",
        "Against plain regression: nearer on 9 of 22 boards; 7 hours off on average, not 6. Chance that this is luck: 1 time in 10.",
        COUNTED,
        SCORED,
        "Score                                  boards   it  these ranges",
        "Your own guess                             30  9.1             5",
        "Your guess, times how it usually went      24  7.6           7.1",
        "The middle of your past boards             32   15             7",
        "Plain regression                           22    6           7.2",
        "Plain regression is the textbook formula from what there was to do.",
    ]


def test_that_ours_is_better_is_said_only_where_it_is():
    assert nearer(GUESS, MIDDLE)[1] == "These ranges have been nearer, on average, than every other way here."
    assert nearer(REGRESSION, replace(GUESS, off=4.0), replace(MIDDLE, off=7.1))[1] == (
        "These ranges have been no nearer than plain regression, your own guess or the middle of your past boards."
    )


def test_as_near_is_not_nearer():
    assert nearer_words(replace(GUESS, off=6.8)) == (
        "Against your own guess: nearer on 21 of 30 boards, and on average just as far off."
    )


def test_a_handful_of_boards_is_only_counted():
    assert nearer(replace(GUESS, of=7, nearer=7), MIDDLE)[-1] == "Against your own guess: only 7 boards."
    assert "no nearer" not in " ".join(nearer(replace(REGRESSION, of=7)))
    assert nearer() == []


@pytest.mark.parametrize(
    ("usual", "words"),
    [
        (1.26, "Boards usually take a quarter more than you guess: your guesses run low."),
        (0.8, "Boards usually take a fifth less than you guess: your guesses run high."),
        (1.02, "Boards usually take about as much as you guess."),
        (1.97, "Boards usually take twice as much as you guess: your guesses run low."),
    ],
)
def test_how_guesses_usually_run(usual, words):
    assert guesses(usual=usual)[0] == words


def test_guesses_and_guessed_ranges():
    assert guesses() == [
        "Boards usually take a quarter more than you guess: your guesses run low.",
        "14 of 30 boards came within a quarter of what you guessed.",
        "Where you guessed a low and a high, 5 of 12 landed between.",
        "If those are to hold 8 times in 10, luck alone gives 7 to 12.",
        "They'd have to be 1.7 times as wide.",
        "You are not alone: experts' ranges that are to hold 9 times in 10 commonly hold 6 or 7 times in 10.",
    ]


def test_guessed_ranges_that_hold_get_no_comfort():
    assert guesses(held=10, too_narrow=0.9)[2:] == [
        "Where you guessed a low and a high, 10 of 12 landed between.",
        "If those are to hold 8 times in 10, luck alone gives 7 to 12.",
    ]
    assert len(guesses(ranges=0, held=0, band=None, too_narrow=None)) == 2


def test_guesses_that_look_filled_in_afterwards_are_not_judged():
    assert guesses(of=40, copied=34, suspicious=True, from_memory=3) == [
        "34 of 40 guesses equal what the board took: they look filled in afterwards, so they are not judged.",
        "Left out: 3 guesses that you remembered afterwards.",
    ]
    assert guesses(copied=6)[2] == (
        "6 guesses equal what the board took, to the half hour. Were they written before?"
    )
    assert not [line for line in guesses(copied=4) if "equal" in line]


def test_few_guesses_are_only_counted():
    few = plain_lines(guess_parts(Calibration(of=7, usual=1.2, within=3, undated=1)))[1:]

    assert few == [
        "Guesses that you wrote before: only 7 finished boards so far.",
        "Left out: 1 guess without a quote date, so nobody knows from when.",
    ]
    assert plain_lines(guess_parts(Calibration(of=0)))[1:] == [
        "No finished board has a guess that you wrote before."
    ]


@pytest.mark.parametrize(("of", "judged"), [(7, False), (8, True)])
def test_guesses_are_judged_from_eight_on(of, judged):
    assert guesses(of=of, copied=0)[0].startswith("Boards usually take") == judged
    assert nearer(replace(GUESS, of=of, nearer=of))[-1].startswith("Against your own guess: only") != judged


def test_what_a_statistician_reads_of_own_guesses():
    assert _own(replace(OWN, truly=(0.2, 0.7)))[0] == (
        "Own guesses, 30: median of actual / guess 1.260 (10 and 90 %: 0.90 to 1.70); own ranges held 5 of 12 (95 %: 0.20 to 0.70), log-width × 1.72 would hold 0.8."
    )
    assert _own(replace(OWN, suspicious=True)) == _own(replace(OWN, usual=None)) == []
    assert (
        _own(replace(OWN, low=None, ranges=0, held=0, too_narrow=None))[0]
        == "Own guesses, 30: median of actual / guess 1.260."
    )


@pytest.mark.parametrize(("chance", "shown"), [(0.9994, "0.999"), (0.9995, "> .999"), (0.08, "0.080")])
def test_a_chance_is_never_shown_as_certain(chance, shown):
    table = _rivals([replace(REGRESSION, chance=chance)])[0]
    assert table.rows[0] == ("plain regression", "22", "9", "6.00", "7.20", "-1.20", "-2.20 to -0.20", shown)
    held = _rivals([GUESS, REGRESSION])[2]
    assert held.head == ("against", "interval score, 0.8", "ours", "coverage at 0.8")
    assert [row[:3] for row in held.rows] == [("plain regression", "33.00", "37.00")]
    assert _rivals([]) == []


def test_of_few_boards_no_regression_is_explained_and_scores_are_left_out_where_asked():
    few = plain_lines(nearer_parts((replace(REGRESSION, of=7), MIDDLE)))
    assert not [line for line in few if line.startswith("Plain regression is")]
    assert SCORED not in plain_lines(nearer_parts(RIVALS, scores=False))
    assert not [part for part in nearer_parts(RIVALS, scores=False) if isinstance(part, Table)]


@pytest.mark.parametrize(("off", "ours"), [(12.4, 11.6), (7.2, 7.0), (9.8, 9.6)])
def test_what_is_shown_as_far_off_is_said_to_be(off, ours):
    assert nearer_words(replace(GUESS, off=off, our_off=ours)).endswith(", and on average just as far off.")


def test_five_guesses_that_equal_what_it_took_are_asked_about():
    assert guesses(copied=5)[2].startswith("5 guesses equal what the board took, to the half hour.")
    assert guesses(copied=4)[2].startswith("Where you guessed")
    assert guesses(usual=None)[0] == "Guesses that you wrote before: only 30 finished boards so far."
    assert any(line.startswith("They'd have to be 1.1 times") for line in guesses(too_narrow=1.06))
    assert not any(line.startswith("They'd have to be") for line in guesses(too_narrow=1.05))


def test_scores_are_left_out_of_the_long_record_where_they_are_not_asked_for():
    seen = replace(RECORD, rivals=RIVALS)

    assert SCORED in long_record(seen, Settings())
    assert SCORED not in long_record(seen, Settings(), scores=False)
    assert "Who has been nearer?" in [
        part.text for part in long_record(seen, Settings(), scores=False) if isinstance(part, Heading)
    ]

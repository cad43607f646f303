import pytest
from hypothesis import given
from hypothesis import strategies as st

from estimator.words.phrases import NOTHING, OF_DATES, say_share, say_stretch, say_times


@pytest.mark.parametrize(
    ("share", "words"),
    [(0.02, "a twentieth"), (0.07, "a twentieth"), (0.08, "a tenth"), (0.21, "a fifth"), (0.26, "a quarter"), (0.3, "a third"), (0.45, "half"), (0.71, "three quarters"), (0.99, "three quarters")],
)  # fmt: skip
def test_the_nearest_fraction_with_a_name(share, words):
    assert say_share(share) == words


@pytest.mark.parametrize(
    ("times", "words"),
    [(0.25, "a quarter of what"), (0.42, "half as much as"), (0.45, "half as much as"), (0.9, "a tenth less than"), (0.975, "about as much as"), (1.035, "a twentieth more than"), (1.05, "a twentieth more than"), (1.33, "a third more than"), (1.79, "three quarters more than"), (1.8, "twice as much as"), (2.3, "2½ times as much as"), (3.1, "3 times as much as")],
)  # fmt: skip
def test_times_as_much(times, words):
    assert say_times(times) == words


@pytest.mark.parametrize(
    ("low", "high", "words"),
    [
        (1.25, 1.25, "Widened by a quarter: your last ranges were too tight."),
        (0.9, 0.88, "Narrowed by a tenth: your last ranges were wider than they needed to be."),
        (1.1, 1.34, "Widened by a third at the slow end and a tenth at the quick end: your last ranges were too tight."),
        (0.8, 1.0, "Narrowed by a fifth at the quick end: there your last ranges were wider than they needed to be."),
        (0.9, 1.2, "Widened by a fifth at the slow end: there your last ranges were too tight. Narrowed by a tenth at the quick end: there your last ranges were wider than they needed to be."),
        (1.0, 1.0, ""),
        (1.029, 0.971, ""),
        (1.035, 1.0, "Widened by a twentieth at the quick end: there your last ranges were too tight."),
    ],
)  # fmt: skip
def test_what_moved_and_why(low, high, words):
    assert say_stretch(low, high) == words


@given(st.floats(0.8, 1.6), st.floats(0.8, 1.6))
def test_silent_only_where_neither_end_moves(low, high):
    said = say_stretch(low, high)

    assert (said == "") == all(abs(end - 1) < NOTHING for end in (low, high))
    assert ("too tight" in said) == (max(low, high) >= 1 + NOTHING)
    assert ("wider than" in said) == (min(low, high) <= 1 - NOTHING)


def test_dates_have_an_early_and_a_late_end():
    assert say_stretch(1.22, 0.9, OF_DATES) == (
        "Narrowed by a tenth at the late end: there your last ranges of dates were wider than they needed to be. "
        "Widened by a fifth at the early end: there your last ranges of dates were too tight."
    )
    assert say_stretch(1.1, 1.22, OF_DATES) == (
        "Widened by a fifth at the late end and a tenth at the early end: your last ranges of dates were too tight."
    )


def test_less_than_two_fifths_is_a_part_and_from_there_on_so_much_less():
    assert [say_times(times) for times in (0.35, 0.4)] == ["a third of what", "two thirds less than"]

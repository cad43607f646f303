"""How own guesses went: worked cases, what must not matter, and guesses that were no guesses."""

import datetime as dt
import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.special import ndtri

from estimator.record.backtest.scores import clopper_pearson, luck_band
from estimator.record.backtest.track import calibration_of
from estimator.record.backtest.track_record import Calibration
from estimator.words.records import FINISHED, ON_BENCH, Board

DAY = dt.date(2026, 3, 2)
some_hours = st.integers(4, 800).map(lambda quarters: quarters / 4)
ranges = st.tuples(
    some_hours, st.floats(1.05, 4), st.floats(0.3, 4)
)  # low, high over low, what came over the middle


def board(name, low, high=None, **changed):
    """A finished board with a guess, single or a range."""
    known = {"state": FINISHED, "quoted": DAY, "guess_low": low, "guess_high": high or low, **changed}
    return Board(str(name), **known)


def calibration(*rows, **changed):
    """Of boards given as (guess, hours) or (low, high, hours)."""
    boards = [board(i, *row[:-1], **changed) for i, row in enumerate(rows)]
    return calibration_of(boards, {str(i): row[-1] for i, row in enumerate(rows)})


# ---- single guesses


def test_no_guesses_come_to_nothing():
    assert calibration_of([], {}) == Calibration(of=0)
    assert calibration_of([board("a", None), board("b", 20)], {"a": 30}) == Calibration(of=0)


def test_guesses_that_run_a_fifth_low():
    """Ratios 1, 1.1 ... 1.8: the fifth is the median, the 10 and 90 % are the first and the last of nine."""
    found = calibration(*((20, 20 + 2 * n) for n in (3, 8, 0, 5, 1, 7, 2, 6, 4)))

    assert (found.of, found.within) == (9, 3)
    assert (found.low, found.usual, found.high) == pytest.approx((1.0, 1.4, 1.8))
    assert (found.ranges, found.held, found.band, found.truly, found.too_narrow) == (0, 0, None, None, None)


def test_four_guesses_have_nothing_usual():
    found = calibration(*[(20, 24)] * 4)

    assert (found.of, found.usual, found.low, found.high) == (4, None, None, None)
    assert calibration(*[(20, 24)] * 5).usual == pytest.approx(1.2)


def test_a_quarter_more_or_less_still_counts_as_about_guessed():
    assert [calibration((20, hours)).within for hours in (14.75, 15, 25, 25.25)] == [0, 1, 1, 0]
    assert calibration((0.3, 0.375)).within == 1


@given(st.lists(st.tuples(some_hours, some_hours), min_size=5, max_size=12))
def test_the_unit_of_time_and_the_order_of_boards_do_not_matter(rows):
    found, turned = calibration(*rows), calibration(*rows[::-1])
    in_minutes = calibration(*((64 * guess, 64 * took) for guess, took in rows))

    assert found == turned
    assert (in_minutes.low, in_minutes.usual, in_minutes.high) == pytest.approx(
        (found.low, found.usual, found.high)
    )
    assert in_minutes.within == found.within
    assert found.low <= found.usual <= found.high


@given(st.lists(some_hours, min_size=5, max_size=12), st.floats(0.5, 3))
def test_guesses_all_off_by_as_much_have_that_as_usual(guesses, times):
    found = calibration(*((guess, times * guess) for guess in guesses))

    assert (found.low, found.usual, found.high) == pytest.approx((times, times, times))


# ---- guessed ranges


def test_a_range_is_kept_by_its_ends():
    assert [calibration((20, 30, hours)).held for hours in (19.75, 20, 30, 30.25)] == [0, 1, 1, 0]
    assert (
        calibration((20, 30, sum([1 / 3] * 60))).held == 1
    )  # sixty times twenty minutes is not quite 20 in binary


def test_seven_ranges_do_not_say_how_much_too_narrow():
    found = calibration(*[(20, 30, 40)] * 7)

    assert (found.ranges, found.held, found.too_narrow) == (7, 0, None)
    assert found.band == luck_band(7, 0.8)
    assert found.truly == clopper_pearson(0, 7)


def test_how_many_times_too_narrow_by_hand():
    """Ranges 20 to 45 about 30; off by 0, .2 ... 1.6 of half their width: the eighth of nine would hold 8 in 10."""
    found = calibration(
        *((20, 45, 30 * 1.5 ** (sign * n / 5)) for n, sign in zip(range(9), [1, -1] * 5, strict=False))
    )

    assert (found.of, found.ranges, found.held) == (9, 9, 6)
    assert found.too_narrow == pytest.approx(1.4)


@given(st.lists(ranges, min_size=8, max_size=25))
def test_ranges_made_so_much_wider_would_have_held_eight_in_ten_and_hold_just_that(rows):
    rows = [(low, low * wide, low * math.sqrt(wide) * off) for low, wide, off in rows]
    times = calibration(*rows).too_narrow

    def held(factor):
        middles = [math.sqrt(low * high) for low, high, _ in rows]
        rooms = [(high / low) ** (factor / 2) for low, high, _ in rows]
        return sum(
            abs(math.log(took / m)) <= math.log(room) + 1e-9
            for m, room, (*_, took) in zip(middles, rooms, rows, strict=True)
        )

    assert held(times) >= 0.8 * len(rows)
    offs = [
        abs(math.log(took / math.sqrt(low * high))) / math.log(high / low) * 2 for low, high, took in rows
    ]
    assert sum(off < times - 1e-9 for off in offs) <= 0.8 * (len(rows) + 1)


@pytest.mark.parametrize("held", [0.6, 0.8, 0.9])
def test_ranges_of_a_normal_law_are_too_narrow_by_the_ratio_of_its_quantiles(held):
    """A guesser whose ranges hold six times in ten needs z(.8)/z(.6) of them, z being half of what holds so many."""
    z, room = ndtri((np.arange(4001) + 0.5) / 4001), ndtri((1 + held) / 2)
    found = calibration(
        *((30 * math.exp(-0.3 * room), 30 * math.exp(0.3 * room), 30 * math.exp(0.3 * e)) for e in z)
    )

    assert found.too_narrow == pytest.approx(ndtri(0.9) / room, rel=2e-3)
    assert found.held / found.ranges == pytest.approx(held, abs=1e-3)
    assert found.truly[0] < held < found.truly[1]


def test_the_next_range_holds_eight_times_in_ten():
    """2,000 guessers with nine ranges each and a tenth to come."""
    rng = np.random.default_rng(3)
    held = 0
    for off in rng.normal(0, 0.5, (2000, 10)):
        found = calibration(*((20, 45, 30 * math.exp(o)) for o in off[:9]))
        held += abs(off[9]) <= found.too_narrow * math.log(1.5)

    assert held / 2000 == pytest.approx(0.8, abs=0.018)  # two standard errors


def test_single_guesses_and_ranges_are_counted_together_and_apart():
    found = calibration((20, 24), (20, 45, 36), (20, 24), (20, 45, 36), (30, 36))

    assert (found.of, found.ranges, found.held) == (5, 2, 2)
    assert found.usual == pytest.approx(1.2)  # a range's middle, 30, stands for it


# ---- what is no guess made before


def test_what_is_left_out_is_counted():
    boards = [
        board("a", 20),
        board("remembered", 20, from_memory=True),
        board("remembered, with no date either", 20, from_memory=True, quoted=None),
        board("undated", 20, quoted=None),
        board("in hand", 20, state=ON_BENCH),
        board("in hand, remembered", 20, state=ON_BENCH, from_memory=True),
        board("hours missing", 20),
        board("no guess", None),
    ]
    hours = {b.board: 24 for b in boards}
    found = calibration_of(boards, {**hours, "hours missing": None})

    assert (found.of, found.from_memory, found.undated) == (1, 2, 1)
    assert calibration_of(boards[:1], {"a": 24, "another": 30}).of == 1


# ---- copied guesses


@pytest.mark.parametrize(
    ("equal", "others", "suspicious"),
    [(5, 0, True), (5, 4, True), (5, 5, False), (4, 0, False), (9, 10, False)],
)
def test_guesses_that_are_mostly_the_hours_themselves_are_noticed(equal, others, suspicious):
    found = calibration(*[(24, 24)] * equal, *[(20, 24)] * others)

    assert (found.copied, found.suspicious) == (equal, suspicious)


def test_copied_means_to_the_nearest_half_hour():
    assert [calibration((20, hours)).copied for hours in (19.5, 19.75, 20, 20.25, 20.5)] == [0, 1, 1, 1, 0]


def test_a_range_about_the_hours_is_not_copied_and_neither_are_days_that_equal_days():
    assert calibration(*[(20, 45, 30)] * 6).copied == 0
    assert calibration(*[(24, 24)] * 6, total_grain=8.0).copied == 0
    assert calibration(*[(24, 24)] * 6, total_grain=0.5).copied == 6


def test_honest_guesses_in_whole_hours_are_rarely_taken_for_copied():
    """500 shops of eight boards, hours x/÷ 1.2 about guesses of 6 to 50 hours, all in whole hours."""
    rng = np.random.default_rng(9)
    guesses = rng.integers(6, 51, (500, 8))
    took = np.round(guesses * np.exp(rng.normal(0, math.log(1.2), (500, 8))))

    noticed = [
        calibration(*zip(g.tolist(), t.tolist(), strict=True)).suspicious
        for g, t in zip(guesses, took, strict=True)
    ]
    assert sum(noticed) == 0

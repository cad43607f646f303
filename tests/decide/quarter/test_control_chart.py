"""The one signal: when boards have taken longer, or less, than was said by more than luck."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from estimator.decide.quarter.control_chart import FEWEST, Landed, chart_of, mean_limit, weighted_means


def landed(scores, first=1):
    return [
        Landed(f"b{n}", "", f"2026-{1 + (first + n) // 28:02d}-{1 + (first + n) % 28:02d}", score)
        for n, score in enumerate(scores)
    ]


def test_boards_as_they_were_said_give_no_signal():
    chart = chart_of(landed([0.5, -0.5] * 10), "2026-01-01", "2026-12-31")

    assert (chart.signal, chart.since, chart.back) == (0, "", False)
    assert chart.enough


@pytest.mark.parametrize("way", [1, -1])
def test_a_lasting_change_gives_one_and_says_from_when(way):
    scores = [0.3, -0.3] * 6 + [1.6 * way] * 6
    boards = landed(scores)
    chart = chart_of(boards, "2026-01-01", "2026-12-31")

    assert chart.signal == way
    assert chart.since in {boards[11].finished, boards[12].finished}  # where the line left the middle
    assert not chart.back
    eased = chart_of(landed([*scores, *[-0.4 * way] * 6]), "2026-01-01", "2026-12-31")
    assert (eased.signal, eased.back) == (way, True)


def test_it_counts_only_where_it_falls_in_the_quarter():
    scores = [2.0] * 8 + [-0.8] * 12
    boards = landed(scores)

    assert chart_of(boards, "2026-01-01", boards[9].finished).signal == 1
    assert chart_of(boards, boards[14].finished, boards[-1].finished).signal == 0
    # nothing later than the end is in it
    assert len(chart_of(boards, "2026-01-01", boards[9].finished).boards) == 10


def test_few_boards_say_nothing():
    assert chart_of(landed([3.0] * (FEWEST - 1)), "2026-01-01", "2026-12-31").signal == 0
    assert chart_of(landed([3.0] * FEWEST), "2026-01-01", "2026-12-31").signal == 1
    assert chart_of([], "2026-01-01", "2026-12-31").signal == 0


def test_the_order_is_that_in_which_they_were_finished():
    boards = landed([0.1, 0.2, 0.3, 0.4])
    assert chart_of(boards[::-1], "2026-01-01", "2026-12-31") == chart_of(boards, "2026-01-01", "2026-12-31")


@given(st.lists(st.floats(-3, 3), min_size=1, max_size=40))
def test_the_line_is_the_plain_sum_of_weights(scores):
    n = len(scores)
    by_hand = sum(0.2 * 0.8 ** (n - 1 - i) * score for i, score in enumerate(scores))

    assert weighted_means(scores)[-1] == pytest.approx(by_hand, abs=1e-9)
    assert np.abs(weighted_means(scores)).max() <= max(map(abs, scores)) + 1e-9
    assert mean_limit() == pytest.approx(2.86 / 3)  # the square root of .2 / 1.8 is a third


def test_of_two_signals_the_newest_counts():
    boards = landed([0.0] * 6 + [2.2] * 4 + [-2.4] * 8)
    chart = chart_of(boards, "2026-01-01", "2026-12-31")

    lines = [one.line for one in chart.boards]
    assert max(lines) > chart.limit
    assert min(lines) < -chart.limit
    assert chart.signal == -1
    assert chart.since > boards[9].finished


def test_a_signal_counts_on_the_first_and_on_the_last_day_of_the_quarter():
    """Eight boards of 2 standard deviations: the line is beyond its limit from the third on; the last has eased."""
    boards = landed([2.0] * 8 + [-2.0])
    at = [one.finished for one in boards]
    chart = chart_of(boards, at[0], at[-1])
    beyond = [one.finished for one in chart.boards if one.line > chart.limit]

    assert beyond == at[2:8]  # after the second it is .72, after the ninth .93
    assert (chart.signal, chart.back) == (1, True)
    assert not chart_of(boards, at[0], at[7]).back
    assert [chart_of(boards, day, day).signal for day in (at[1], at[2], at[7])] == [
        0,
        0,
        1,
    ]  # eight boards are enough
    assert chart_of(boards, at[7], "2026-12-31").signal == 1
    assert chart_of(boards, "2026-01-01", at[7]).signal == 1
    after = landed([2.0] * 8 + [-2.0] * 3)
    assert chart_of(after, after[-1].finished, "2026-12-31").signal == 0


def test_of_a_change_that_came_went_and_came_again_it_is_since_the_one_in_the_quarter():
    boards = landed([2.0] * 8 + [-2.0] * 4 + [2.2] * 8)
    chart = chart_of(boards, boards[14].finished, boards[-1].finished)
    back = [one.finished for one in chart.boards if one.line <= 0]

    assert (chart.signal, chart.back) == (1, False)
    assert chart.since == boards[[one.finished for one in boards].index(back[-1]) + 1].finished
    early = chart_of(boards, "2026-01-01", boards[8].finished)
    assert (early.signal, early.since) == (1, boards[0].finished)


@pytest.mark.parametrize(("way", "word"), [(2.0, "slower"), (-2.0, "quicker"), (0.0, None)])
def test_its_words_in_json(way, word):
    told = chart_of(landed([way] * 9), "2026-01-01", "2026-12-31").as_dict()

    assert (told["signal"], told["back"], told["since"]) == (word, False, "2026-01-02" if word else None)
    assert told["limit"] == pytest.approx(2.86 / 3)
    assert told["single"] == {"low": way, "mean": way, "high": way}

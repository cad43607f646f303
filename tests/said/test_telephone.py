"""What is said when an owner rings: one day with the odds that this very day has, and what became of the one told."""

from dataclasses import replace

import pytest
from making.promises import DANGER, KEPT, TODAY, UNTOLD, promise

from estimator.said.telephone import not_yet, to_read_aloud
from estimator.words.settings.schema import Settings


@pytest.mark.parametrize(
    ("made", "odds"),
    [
        (replace(KEPT, ready=replace(KEPT.ready, tell=KEPT.told.last)), "19 in 20"),  # the day told stands
        (DANGER, "9 times in 10"),  # another day is to be told
        (UNTOLD, "9 times in 10"),
    ],
)
def test_the_day_is_said_with_its_own_odds(made, odds):
    first, *_ = not_yet(made, Settings(), TODAY)

    assert first.startswith("Not yet. Ready by ")
    assert first.endswith(f", {odds}.")


@pytest.mark.parametrize(
    ("told", "said"),
    [
        (2, "You told them by Sat 3 October: kept about even (5 in 10)."),
        (0, "You told them by Thu 1 October: kept about even (5 in 10)."),
        (-1, "You told them by Wed 30 September: 1 day ago."),
        (-3, "You told them by Mon 28 September: 3 days ago."),
    ],
)
def test_a_day_is_over_from_the_day_after_on(told, said):
    board = promise(1, 4, 9, told=told, chance=0.5)

    assert not_yet(board, Settings(), TODAY)[-1] == said


def test_the_day_to_say_is_the_later_end_and_never_over():
    assert to_read_aloud(promise(1, 4, 9), TODAY).startswith("“By Sat 10 October.")
    assert to_read_aloud(promise(1, -9, -4), TODAY).startswith("“By Thu 1 October.")

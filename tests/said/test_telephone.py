"""What is said when an owner rings: one day, with the odds that this very day has."""

from dataclasses import replace

import pytest
from making.promises import DANGER, KEPT, TODAY, UNTOLD

from estimator.said.telephone import not_yet
from estimator.words.settings.schema import Settings


@pytest.mark.parametrize(
    ("promise", "odds"),
    [
        (replace(KEPT, ready=replace(KEPT.ready, tell=KEPT.told.last)), "19 in 20"),  # the day told stands
        (DANGER, "9 times in 10"),  # another day is to be told
        (UNTOLD, "9 times in 10"),
    ],
)
def test_the_day_is_said_with_its_own_odds(promise, odds):
    first, *_ = not_yet(promise, Settings(), TODAY)

    assert first.startswith("Not yet. Ready by ")
    assert first.endswith(f", {odds}.")

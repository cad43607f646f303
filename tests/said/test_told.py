"""What an owner was told, as it was kept: as it was said, and on what the board is judged."""

import datetime as dt
from dataclasses import replace
from pathlib import Path

import pytest

from estimator.log.edits import KeptTelling
from estimator.said.parts import Action
from estimator.said.told import FIRST, _hours, _price, tell_owner, terms_words, to_keep, told_parts
from estimator.words.records import Told

DAY = dt.date(2026, 6, 9)
TOLD = Told(
    "a",
    DAY,
    41.0,
    70.5,
    2180.0,
    "ceiling: 2500",
    dt.date(2026, 7, 1),
    dt.date(2026, 7, 31),
    0.8,
    "late",
    "owner",
)
EARLIER = Told("a", dt.date(2026, 5, 4), last=dt.date(2026, 6, 30))


@pytest.mark.parametrize(
    ("low", "high", "odds", "words"),
    [
        (41.0, 70.5, 0.8, "41 to 70½, 8 times in 10"), (41.0, 41.0, None, "41"), (41.2, 70.6, None, "between 40 and 70"),
        (None, 41.0, 0.8, ""), (41.0, None, 0.8, ""),
    ],
)  # fmt: skip
def test_hours_stand_as_they_were_told(low, high, odds, words):
    assert _hours(replace(TOLD, hours_low=low, hours_high=high, odds=odds)) == words


@pytest.mark.parametrize(
    ("terms", "words"),
    [
        ("", ""), ("fixed", "fixed price"), ("ceiling", "a price with a range"),
        ("ceiling: 2500", "a price with a range, not over 2,500 mk without asking"), ("open-first", "open it up first"),
    ],
)  # fmt: skip
def test_terms_in_words(terms, words):
    assert terms_words(terms, "mk") == words
    assert _price(replace(TOLD, terms=terms), "mk") == ", ".join(filter(None, ("2,180 mk", words)))
    assert _price(replace(TOLD, terms=terms, price=None), "mk") == words


def test_what_was_kept_stands_row_by_row_and_only_what_was_told():
    head, table, judged, *rest = told_parts(
        KeptTelling(TOLD, "red log", Path("told.csv"), TOLD, ("promised_last",), ("Look at it.",)), "mk"
    )
    assert head == "Kept in told.csv: what the owner of red log was told on Tue 9 June 2026."
    assert table.rows == (
        ("hours", "41 to 70½, 8 times in 10"), ("price", "2,180 mk, a price with a range, not over 2,500 mk without asking"),
        ("not before", "Wed 1 July 2026"), ("ready by", "Fri 31 July 2026"), ("because", "late"), ("paid by", "owner"),
    )  # fmt: skip
    assert (judged, rest) == (FIRST, ["The dates stand in the board's own row too.", "Look at it."])
    few = told_parts(KeptTelling(Told("a", DAY, price=900.0), "red", Path("b"), EARLIER), "")
    assert few[1].rows == (("price", "900"),)
    assert len(few) == 3


@pytest.mark.parametrize(
    ("told", "judged", "in_row", "words"),
    [
        (TOLD, EARLIER, False, "The board is still judged on what was told on Mon 4 May 2026; this stands beside it."),
        (TOLD, EARLIER, True, "The board is still judged on the first day, which stands in its own row: Tue 30 June 2026; this stands beside it."),
        (TOLD, replace(EARLIER, last=None), True, "The board is still judged on what was told on Mon 4 May 2026; this stands beside it."),
        (replace(TOLD, because="asked later", adds_hours=3.5, adds_days=2.0), EARLIER, False,
         ("What its owner has asked for adds 3½ hours and 2 days, and no more is excused: the board is judged on being ready by Tue 30 June 2026. "
         "What is told now stands beside it.")),
        (replace(TOLD, because="asked later", adds_hours=3.5, adds_days=None), replace(EARLIER, last=None), False,
         "What its owner has asked for adds 3½ hours and no days, and no more is excused. What is told now stands beside it."),
        (replace(TOLD, because="asked later"), EARLIER, False,
         ("How much it adds is not worked out, so nothing is excused: keep what was asked for with the board first, then tell it. "
         "The board is still judged on what was told on Mon 4 May 2026.")),
    ],
)  # fmt: skip
def test_on_what_the_board_is_judged(told, judged, in_row, words):
    assert told_parts(KeptTelling(told, "red", Path("b"), judged, in_row=in_row), "mk")[2] == words


def test_the_day_to_tell_is_never_over_and_is_kept_as_late_where_another_was_told_before():
    assert tell_owner(dt.date(2026, 6, 5), DAY) == "tell the owner: ready by Tue 9 June, 9 times in 10"
    assert (
        tell_owner(dt.date(2027, 1, 4), DAY) == "tell the owner: ready by Mon 4 January 2027, 9 times in 10"
    )
    assert list(to_keep("a", DAY, again=False))[1] == Action("tell", "a", {"last": "2026-06-09"})
    assert list(to_keep("a", DAY, again=True))[1] == Action(
        "tell", "a", {"last": "2026-06-09", "because": "late"}
    )


@pytest.mark.parametrize(("low", "high"), [(41.0, 70.6), (41.2, 70.5)])
def test_hours_of_which_one_end_is_no_half_are_rounded_both(low, high):
    assert _hours(replace(TOLD, hours_low=low, hours_high=high, odds=None)) == "between 40 and 70"

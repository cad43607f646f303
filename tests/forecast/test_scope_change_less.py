"""Less than was agreed: what is not done yet comes off, hours and price by hand; what is done never does."""

import datetime as dt
from dataclasses import replace

import numpy as np
import pytest
from making.added import BOARDS, write_small
from making.asked_more import BEGUN, BOARD, EXACT, N, more
from making.fits import SETTINGS

from estimator.forecast.scope_change import asked_since
from estimator.log.parse.cells import read_more
from estimator.said.added import added_parts
from estimator.shop import Shop
from estimator.words.errors import UnreadableError


def test_what_is_not_begun_comes_off_to_the_hour():
    assert more(fit=EXACT, pieces=-1).hours == pytest.approx(np.full(N, -1.5))
    # without its one colour nothing is sprayed, so nothing is set up for it either
    assert more(fit=EXACT, colours="-1").hours == pytest.approx(np.full(N, -12.0))
    assert more(fit=EXACT, area="-0.5 m2").hours == pytest.approx(np.full(N, -1.5))


def test_hours_that_are_booked_stay():
    """Five pieces take 7.5 hours, three 4.5; one would take 1.5, and 3 are worked already."""
    assert more(BEGUN, fit=EXACT, pieces=-2).hours == pytest.approx(np.full(N, -3.0), abs=1e-6)
    assert more(BEGUN, fit=EXACT, pieces=-4).hours == pytest.approx(np.full(N, -4.5), abs=1e-6)


@pytest.mark.parametrize(
    ("asked", "wrong"),
    [
        ({"area": -0.5}, "nothing of it is left to take off: Strip is finished"),
        ({"colours": -2}, "that takes off more than there is: there is only 1"),
        ({"stain": -1}, "how much there is is not known"),
    ],
)
def test_what_is_done_or_is_not_there_cannot_be_taken_off(asked, wrong):
    with pytest.raises(UnreadableError, match=wrong):
        more(BEGUN, fit=EXACT, **asked)


def test_instead_after_it_was_done_is_doing_it_again():
    sprayed = replace(BOARD, state="on bench", booked=(("strip", 7.0, True), ("spray", 12.0, True)))
    with pytest.raises(UnreadableError) as refused:
        more(sprayed, fit=EXACT, colours=-1)

    assert refused.value.cure == "If another is wanted instead, that is doing it again: ask for colours=1."
    assert more(sprayed, fit=EXACT, colours=1).hours == pytest.approx(np.full(N, 8.0))


@pytest.mark.parametrize(
    ("cell", "much"), [("-1", -1), ("− 1,5", -1.5), (-2, -2), (3, 3), ("½", 0.5), ("-", 0)]
)
def test_a_minus_says_less(cell, much):
    from estimator.words.measures import read_quantity

    assert read_more(cell, lambda found: read_quantity(found, "")) == much


def test_a_shop_says_hours_price_and_days_less_and_keeps_it(tmp_path):
    shop = Shop.open(write_small(tmp_path), today=dt.date(2026, 5, 20))
    before = shop.range("26-003")
    said = shop.asked_since("26-003", {"colours": -1}, keep=True)
    text = " ".join(str(part) for part in added_parts(said, shop.settings, "26-003", "red fish"))

    assert said.hours.high < 0
    assert said.in_all.likely < before.likely
    assert said.price.for_target < 0
    assert "1 colour less" in text
    assert "hours less, 8 times in 10" in text
    assert "less still pays you 42 an hour for the rest" in text
    assert "sooner" in text or "no later" in text
    assert said.kept.cells == {"later_colours": "-1"}
    assert shop.range("26-003").likely == pytest.approx(said.in_all.likely)


@pytest.mark.parametrize(("cell", "problems"), [("-2", 0), ("-3", 1)])
def test_no_more_is_taken_off_in_the_log_than_there_was(tmp_path, cell, problems):
    folder = write_small(tmp_path)
    (folder / "boards.csv").write_text(BOARDS.replace(",2,2,,,", f",2,2,{cell},,"), "utf-8")
    shop = Shop.open(folder, today=dt.date(2026, 5, 20))

    assert [one.wrong for one in shop.problems] == [
        "more was taken off than there was (assessed_colours is 2)"
    ] * problems


def test_what_hangs_on_two_stages_is_refused_only_once_both_are_finished():
    stages = {**SETTINGS.stages, "spray": replace(SETTINGS.stages["spray"], drivers=("once", "area"))}
    both = replace(SETTINGS, stages=stages)

    then, _ = asked_since(BEGUN, {"area": -0.5}, both)
    assert then.later["area"] == -0.5
    sprayed = replace(BEGUN, booked=(*BEGUN.booked, ("spray", 9.0, True)))
    with pytest.raises(UnreadableError, match="are finished"):
        asked_since(sprayed, {"area": -0.5}, both)

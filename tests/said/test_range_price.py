"""Money of a board in words."""

from dataclasses import replace

import pytest

from estimator.cli.printing import plain_lines
from estimator.forecast.ranges import Cost, Price
from estimator.said.range import money_words, range_parts
from estimator.words.settings.schema import Workshop


@pytest.fixture
def paid(answer):
    return replace(answer, materials=Cost(178.0, 214.0, 262.0), price=Price(3396.0, 0.8, 42.0))


def money(answer, settings, currency="mk", **how):
    shop = replace(settings, workshop=Workshop(currency=currency))
    return " ".join(money_words(answer, shop, **how))


def test_materials_and_the_price_that_pays(paid, settings):
    assert money(paid, settings) == ("Materials 180 to 260 mk. 3,400 mk pays you 42 an hour 8 times in 10.")


def test_without_a_sign_for_money_there_is_none(paid, settings):
    assert money(paid, settings, "") == "Materials 180 to 260. 3,400 pays you 42 an hour 8 times in 10."


def test_odds_that_were_asked_for_are_the_prices_too(paid, settings):
    surer = replace(paid, price=Price(3600.0, 0.9, 42.5))

    assert "3,600 mk pays you 42.5 an hour 9 times in 10." in money(surer, settings)


def test_without_a_wanted_pay_no_price_is_said(paid, settings):
    assert money(replace(paid, price=Price(262.0, 0.8, 0.0)), settings) == "Materials 180 to 260 mk."


def test_what_is_lent_says_so(paid, settings):
    lent = replace(paid, materials=Cost(178.0, 214.0, 262.0, lent=True))

    assert money(lent, settings).startswith("Materials 180 to 260 mk (lent, no board of yours tells yet).")


def test_of_a_board_that_is_done_it_is_known(paid, settings):
    done = replace(paid, materials=Cost(240.0, 240.0, 240.0), price=Price(1800.0, 0.8, 40.0))

    assert money(done, settings, done=True) == "Materials 240 mk. 1,800 mk pays you 40 an hour."


def test_where_nothing_tells_nothing_is_said(answer, settings):
    assert money(answer, settings) == ""


def test_it_stands_between_what_the_range_rests_on_and_the_dates(paid, settings):
    lines = plain_lines(range_parts(paid, settings, "red nine-four"))
    at = next(i for i, line in enumerate(lines) if line.startswith("Materials"))

    assert lines[at - 1] == "From 31 of your boards and 4 rules of thumb."
    assert lines[at + 1].startswith("You said")

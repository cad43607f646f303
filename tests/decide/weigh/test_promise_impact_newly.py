"""How many more of the days told are missed: the sum over boards, what some gain taken off what others lose."""

import datetime as dt
from dataclasses import replace

import pytest
from making.weighings import FIT, SHOP, moved, standing, weighed

from estimator.bench.promises import Dates
from estimator.decide.weigh.promise_impact import AllMoved, Moved
from estimator.words.money import say_money

DAY = dt.date(2026, 10, 1)
DATES = Dates(DAY, DAY, DAY)


def all_of(*fell):
    boards = [Moved(str(n), "", DATES, DATES, DAY, 0.6, 0.6 - by) for n, by in enumerate(fell)]
    return AllMoved((*boards, Moved("untold", "", DATES, DATES)), DATES)


@pytest.mark.parametrize(
    ("fell", "newly"), [((0.3, 0.2), 0.5), ((0.3, -0.1), 0.2), ((0.1, -0.3), 0.0), ((), 0.0)]
)
def test_what_is_gained_on_one_board_is_taken_off_what_others_lose(fell, newly):
    assert all_of(*fell).newly == pytest.approx(newly)


def test_each_missed_day_costs_what_it_costs():
    shop = replace(SHOP, workshop=replace(SHOP.workshop, broken_promise_cost=100.0))
    assert weighed(settings=shop, how=standing(moved=all_of(0.3, -0.1))).penalty == pytest.approx(20.0)


def test_a_board_that_goes_home_again_breaks_no_promise():
    """.4 days of others missed cost 200: all of it under a fixed price, opened up first only where the work goes on."""
    shop = replace(SHOP, workshop=replace(SHOP.workshop, broken_promise_cost=500.0))
    how = standing(moved=moved(0.4))
    plain, broken = ({one.terms: one for one in weighed(settings=of, how=how).terms} for of in (SHOP, shop))
    ends = weighed(settings=shop, how=how).opening.ends

    assert 0.02 < ends < 0.98
    assert plain["fixed"].worth - broken["fixed"].worth == pytest.approx(200.0)
    assert plain["open-first"].worth - broken["open-first"].worth == pytest.approx(200.0 * (1 - ends))


class TestAFixedPriceInstead:
    """Asked about other terms, a fixed price is advised where it alone would be worth it: materials, hours, promises."""

    COST = 5000.0

    def said(self, price):
        """With nothing hidden, so that opening it first shows nothing."""
        sure = replace(FIT, boards=tuple(replace(b, found={**b.found, "pieces": 2.0}) for b in FIT.boards))
        shop = replace(SHOP, workshop=replace(SHOP.workshop, broken_promise_cost=self.COST))
        how = standing(moved=moved(0.4))
        return weighed(price, fit=sure, settings=shop, how=how, terms="open-first", strip_fee=100.0)

    def test_from_the_price_on_that_pays_for_all_three(self):
        plain = self.said(1300.0)
        even = plain.materials + 40 * plain.mean_hours + 0.4 * self.COST

        assert plain.materials + 0.4 * self.COST > 2000
        above, below = self.said(even + 5), self.said(even - 5)
        assert (
            above.recommendation
            == f"Not on these terms, but at a fixed price of {say_money(even + 5, 'mk')}."
        )
        assert below.recommendation.startswith("Say no")

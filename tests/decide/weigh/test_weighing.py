"""A board thought over: terms side by side, what is left out, and what must not change the answer."""

import datetime as dt
from dataclasses import replace

import numpy as np
import pytest
from making.weighings import BOARD, FIT, ROW, SHOP, USUAL, moved, standing, weighed

from estimator.decide.weigh.assess import _width_once_open
from estimator.decide.weigh.open_first import Finds, Opening, draws_of
from estimator.decide.weigh.weighing import OpenFirst
from estimator.decide.weigh.worth import Filling, Overhead
from estimator.forecast.answers import answer
from estimator.said.weigh import weigh_parts
from estimator.words.money import say_money, say_pay
from estimator.words.settings.schema import Workshop

SHOP_PAYS = SHOP.workshop


def terms_of(said):
    return {one.terms: one for one in said.terms}


def test_it_is_drawn_as_its_range_is():
    said, hours = weighed(), answer(FIT, BOARD, SHOP)

    assert said.hours == (hours.low, hours.likely, hours.high)
    assert said.bench_weeks == pytest.approx(said.mean_hours / 29)


def test_all_three_terms_are_weighed_where_none_are_named():
    assert list(terms_of(weighed())) == ["fixed", "ceiling", "open-first"]
    assert list(terms_of(weighed(terms="ceiling", ceiling=1500.0))) == ["ceiling"]


def test_a_good_price_is_taken_and_a_bad_one_is_not():
    good, bad = weighed(2500.0), weighed(600.0)

    assert (good.answer, bad.answer) == ("fixed", "no")
    assert good.recommendation == "Take it on, at a fixed price of 2,500 mk."
    assert bad.recommendation == "Say no, at 600 mk."
    assert "more than your ordinary work would" in good.because[0]
    assert "less than your ordinary work would" in bad.because[0]
    assert "the least you'd take" in bad.because[1]
    for said, side in ((good, "more"), (bad, "less")):
        likely = say_pay(said.best.likely, "mk")
        assert (said.best.likely > 40) == (side == "more")
        assert (
            f"Half of boards like this pay {side} than {likely} an hour, before rent; your ordinary work pays 40 mk."
            in said.because
        )


def test_the_price_at_which_the_answer_turns_turns_it():
    said = weighed(1300.0, terms="fixed")
    even = said.materials + 40 * said.mean_hours

    assert weighed(even + 1, terms="fixed").answer == "fixed"
    assert weighed(even - 1, terms="fixed").answer == "no"
    assert "it is close" in weighed(even + 1, terms="fixed").recommendation


def test_broken_promises_can_turn_it():
    said = weighed(terms="fixed")
    settings = replace(SHOP, workshop=replace(SHOP_PAYS, broken_promise_cost=5000.0))
    broken = weighed(terms="fixed", settings=settings, how=standing(moved=moved(0.4)))

    assert said.answer == "fixed"
    assert broken.penalty == pytest.approx(2000.0)
    assert broken.answer == "no"
    assert "green gun, in time 7 in 10 now, 3 in 10 with it" in broken.because[0]


def test_the_price_that_would_do_pays_for_broken_promises_too():
    settings = replace(SHOP, workshop=replace(SHOP_PAYS, broken_promise_cost=5000.0))
    said = weighed(terms="fixed", settings=settings, how=standing(moved=moved(0.4)))
    even = say_money(said.materials + 40 * said.mean_hours + 2000, "mk")

    assert said.flips[0] == f"From {even} on, as a fixed price, it would be worth it."


def test_counts_of_broken_promises_are_shown_where_they_cost_nothing():
    said = weighed(how=standing(moved=moved(0.4)))

    assert said.penalty == 0
    assert said.as_dict()["newly_broken"] == pytest.approx(0.4)
    assert any("If a broken promise costs you more than" in flip for flip in said.flips)


def test_boards_that_keep_a_day_oftener_are_no_reason_to_take_it():
    assert moved(-0.2).newly == 0.0


def test_without_hours_in_the_calendar_all_else_is_said():
    said = weighed(
        how=standing(moved=None, no_dates="From 1 October on your calendar has no day with hours.")
    )

    assert said.as_dict()["promises"] == []
    assert said.terms
    assert "From 1 October on your calendar has no day with hours." in said.notes[-1]


def test_a_fee_above_the_price_and_a_ceiling_below_it_are_left_out_and_said():
    said = weighed(900.0, strip_fee=1000.0, ceiling=800.0)

    assert list(terms_of(said)) == ["fixed"]
    assert any(
        note.startswith("Opening it up for 1,000 mk is more than the price, 900 mk") for note in said.notes
    )
    assert any(note.startswith("A ceiling of 800 mk lies below the price, 900 mk") for note in said.notes)
    assert said.as_dict()["strip_first_value"] is None
    assert list(terms_of(weighed(900.0, ceiling=800.0, terms="ceiling"))) == ["fixed"]


def test_a_board_that_is_open_is_not_opened_first():
    begun = replace(
        BOARD, state="on bench", booked=(("strip", 5.0, True),), found={"pieces": 2.0, "brittle": 0.0}
    )
    said = weighed(board=begun, row=replace(ROW, state="on bench"))

    assert list(terms_of(said)) == ["fixed", "ceiling"]
    assert said.recommendation.startswith("You have taken it on. Asked today: ")
    assert any("open already" in note for note in said.notes)


def test_overheads_make_losses():
    said = weighed(700.0, how=standing(overhead=Overhead(30.0, 1400.0, True)))
    one = terms_of(said)["fixed"]

    assert 0 < one.chance_of_loss < 1
    assert any("After rent and materials it loses money" in because for because in said.because)
    assert one.break_even_hours == pytest.approx((700 - said.materials) / 30)


def test_a_guess_alone_is_weighed_too():
    said = weighed(2000.0, board=replace(BOARD, assessed={}, guess=40.0))

    assert said.hours[1] == pytest.approx(40.0, rel=0.05)
    assert list(terms_of(said)) == ["fixed", "ceiling"]
    assert said.mean_hours == pytest.approx(42, rel=0.08)


class TestOpeningFirst:
    def test_its_draws_agree_with_what_it_is_worth(self):
        for price in (700.0, 1100.0, 1400.0):
            said = weighed(price, seed=3)
            one = terms_of(said)["open-first"]
            drawn = one.income - 40 * mean_worked(said, price)

            assert drawn == pytest.approx(one.worth, abs=0.02 * price)

    def test_a_board_that_is_always_handed_back_pays_the_fee_for_the_hours_of_opening(self):
        said = weighed(400.0)
        one, draws = terms_of(said)["open-first"], draws_of(FIT, BOARD, SHOP)

        assert said.opening.ends == 1.0
        assert one.income == pytest.approx(said.opening.fee)
        assert one.likely == pytest.approx(float(np.median(said.opening.fee / draws.opening)))

    def test_its_pay_is_that_of_boards_whose_work_goes_on(self):
        """The fee of one that goes home is no pay for the board, be it little or much an hour of opening."""
        said = weighed(1300.0, terms="open-first", strip_fee=20.0)
        one = terms_of(said)["open-first"]

        assert 0.02 < said.opening.ends < 1
        assert one.quantiles["0.05"] > 5 * 20.0 / said.opening.hours
        words = " ".join(part for part in weigh_parts(said, SHOP) if isinstance(part, str))
        assert "Opened up first, pay counts the boards whose work goes on." in words

    def test_the_value_is_over_deciding_today(self):
        said = weighed(1300.0)
        worth = {name: one.worth for name, one in terms_of(said).items()}

        assert said.opening.value == pytest.approx(worth["open-first"] - max(worth["fixed"], 0), abs=3)

    def test_hidden_work_that_it_shows_is_worth_something_and_nothing_hidden_is_worth_nothing(self):
        sure = tuple(replace(b, found={**b.found, "pieces": 2.0}) for b in FIT.boards)

        assert weighed(1150.0).opening.seeing > 5
        assert weighed(1150.0).opening.shows == ("pieces",)
        nothing = weighed(1150.0, fit=replace(FIT, boards=sure)).opening
        assert nothing.shows == ()
        assert nothing.seeing == 0
        assert nothing.value < 0
        assert nothing.after == nothing.before

    def test_the_fee_left_out_is_its_hours_at_what_is_wanted(self):
        opening = weighed().opening

        assert opening.fee == pytest.approx(42 * opening.hours)
        assert weighed(strip_fee=200.0).opening.fee == 200.0

    def test_its_error_is_small_beside_it_and_falls_with_draws(self):
        opening = weighed(1150.0).opening

        assert 0 < opening.error < 0.02 * 1150

    def test_seeds_agree_within_their_errors(self):
        values = np.array([weighed(1150.0, seed=seed).opening.value for seed in range(6)])
        error = weighed(1150.0).opening.error

        assert values.std(ddof=1) < 4 * error
        assert values.std(ddof=1) > error / 20


def mean_worked(said, price):
    """Mean hours worked under opening first: those of opening up where it ends there, else all."""
    opening = said.opening
    draws = draws_of(FIT, BOARD, SHOP, seed=3)
    finds = draws.finds
    from estimator.decide.weigh.open_first import Offer, opening_first

    offer = Offer(price, opening.fee, True, 40.0, 42.0, SHOP_PAYS.requote)
    first = opening_first(finds, offer)
    return float(finds.opening + finds.share @ (first.chance * finds.rest))


@pytest.mark.parametrize("times", [0.01, 7.3])
def test_in_another_currency_the_answer_is_the_same(times):
    shop = SHOP_PAYS
    paid = Workshop(target_pay=42.0 * times, floor_pay=30.0 * times, requote=shop.requote)
    settings = replace(SHOP, workshop=paid)
    how = standing(usual=replace(USUAL, pay=40.0 * times))
    for price in (900.0, 1300.0, 1500.0):
        said, other = weighed(price), weighed(price * times, settings=settings, how=how)

        assert other.answer == said.answer
        for one, two in zip(said.terms, other.terms, strict=True):
            assert two.worth == pytest.approx(times * one.worth, rel=1e-6, abs=1e-6 * times * price)
            assert two.chance_below_target == pytest.approx(one.chance_below_target, abs=1e-9)


def test_the_same_question_has_the_same_answer():
    assert weighed().as_dict() == weighed().as_dict()


def test_an_earlier_decision_is_said():
    row = replace(ROW, decided="no", decided_why="too far gone")

    assert weighed(row=row).as_dict()["decided"] == {
        "answer": "no",
        "why": "too far gone",
        "for_love": False,
    }
    assert weighed().as_dict()["decided"] is None


def test_a_price_from_the_log_is_said_to_be():
    assert any("the one in your log, 1,300 mk" in note for note in weighed(from_log=True).notes)
    assert dt.date(2026, 10, 1) == weighed().today


class TestAShortLine:
    """With little in hand an hour that might stand idle is worth less than ordinary work."""

    def test_a_full_line_counts_hours_at_what_ordinary_work_pays(self):
        said = weighed(how=standing(hours_in_hand=8 * 29.0))

        assert said.elsewhere.filled == 1
        assert said.as_dict()["hour_elsewhere"] == {
            "pay": 40.0,
            "weeks_in_hand": 8.0,
            "filled": 1.0,
            "better_work": 40.0,
            "idle_hour": 0.0,
            "asks": 0,
        }

    def test_what_better_paying_enquiries_leave_no_room_for_is_turned_down(self):
        how = standing(hours_in_hand=4 * 29.0, filling=Filling(48.0, 60))
        said = weighed(1300.0, how=how, terms="fixed")
        even = said.materials + 48 * said.mean_hours

        assert (said.elsewhere.pay, said.elsewhere.asks) == (48.0, 60)
        assert weighed(even + 5, how=how, terms="fixed").answer == "fixed"
        assert weighed(even - 5, how=how, terms="fixed").answer == "no"

    def test_without_a_line_whatever_pays_the_least_is_taken(self):
        how = standing(hours_in_hand=0.0)
        settings = replace(SHOP, workshop=replace(SHOP_PAYS, idle_hour=20.0))
        said = weighed(1.0, how=how, terms="fixed", settings=settings)
        even = said.materials + 20 * said.mean_hours

        assert said.elsewhere.pay == 20.0
        assert said.usual.pay == 40.0
        assert weighed(1.0, how=how, terms="fixed").elsewhere.pay == 0.0
        assert weighed(even + 5, how=how, terms="fixed", settings=settings).answer == "fixed"
        assert weighed(even - 5, how=how, terms="fixed", settings=settings).answer == "no"
        assert weighed(even + 5, terms="fixed").answer == "no"

    def test_it_is_said(self):
        how = standing(hours_in_hand=2 * 29.0)
        said = weighed(1250.0, how=how, terms="fixed")

        assert said.elsewhere.pay == 20.0
        assert (
            "more than those hours are worth to you now, on average: while little work is in line, an hour is worth 20 mk."
            in said.because[0]
        )

    def test_where_an_hour_is_worth_nothing_it_is_said_what_that_means(self):
        said = weighed(1250.0, how=standing(hours_in_hand=0.0), terms="fixed")

        assert said.because[0].endswith(
            "on average: with so little work in line, it costs you no other work."
        )

    def test_an_idle_hour_is_worth_no_more_than_the_least_that_is_taken(self):
        settings = replace(SHOP, workshop=replace(SHOP_PAYS, floor_pay=30.0, idle_hour=50.0))

        assert weighed(how=standing(hours_in_hand=0.0), settings=settings).elsewhere.pay == 30.0


def test_terms_that_are_worse_than_a_fixed_price_are_no_reason_to_turn_a_board_down():
    said = weighed(2000.0, terms="open-first")

    assert said.answer == "no"
    assert said.recommendation == "Not on these terms, but at a fixed price of 2,000 mk."
    # the figure beside the advice is that of the price advised
    fixed = terms_of(weighed(2000.0))["fixed"].worth
    assert f"bring {say_money(fixed, 'mk')} more than your ordinary work would" in said.because[0]
    assert said.because[1].startswith("What opening it up would show is worth too little")
    assert weighed(100.0, terms="open-first").recommendation.startswith("Say no, at 100 mk")


def test_a_price_with_a_range_that_pays_no_more_than_ordinary_work_is_said_beside_the_fixed_price():
    modest = replace(SHOP, workshop=replace(SHOP_PAYS, target_pay=38.0))
    said = weighed(2000.0, terms="ceiling", settings=modest)

    assert said.recommendation == "Not on these terms, but at a fixed price of 2,000 mk."
    assert said.because[0].endswith(", on average, at that price.")
    assert said.because[1].endswith(", on average, on these terms.")


def test_a_fee_that_does_not_count_towards_the_price_pays_for_hours_too():
    paid = replace(SHOP, workshop=replace(SHOP_PAYS, strip_fee_credited=False))
    how = standing(overhead=Overhead(30.0, 1400.0, True))
    credited, beside = (
        terms_of(weighed(settings=settings, how=how, strip_fee=200.0))["open-first"]
        for settings in (SHOP, paid)
    )

    assert beside.break_even_hours == pytest.approx(credited.break_even_hours + 200 / 30, abs=0.5)
    assert beside.hours_for_target == pytest.approx(credited.hours_for_target + 200 / 42, abs=0.5)


def test_the_cost_of_a_broken_promise_that_turns_opening_first_is_that_of_those_it_breaks():
    """A board that is opened and goes back breaks none: at the cost that is named, opening first is worth nothing."""
    how = standing(moved=moved(0.4))

    def at(cost):
        settings = replace(SHOP, workshop=replace(SHOP_PAYS, broken_promise_cost=cost))
        return weighed(settings=settings, how=how, terms="open-first", strip_fee=300.0)

    free, dear = at(0.0), at(200.0)
    assert free.answer == dear.answer == "open-first"
    goes_on = 1 - free.opening.ends
    much = terms_of(free)["open-first"].worth / (0.4 * goes_on)
    assert goes_on < 0.95
    for said in (free, dear):
        assert f"If a broken promise costs you more than {say_money(much, 'mk')}, say no." in said.flips
    assert terms_of(at(much))["open-first"].worth == pytest.approx(0.0, abs=1e-6)


@pytest.mark.parametrize(("terms", "notes"), [(None, 2), ("ceiling", 1), ("open-first", 1), ("fixed", 0)])
def test_what_is_left_out_is_said_where_it_was_asked_about(terms, notes):
    said = weighed(900.0, strip_fee=1000.0, ceiling=800.0, terms=terms)

    assert len([note for note in said.notes if note.endswith("left out.")]) == notes
    assert list(terms_of(said)) == ["fixed"]


def test_a_fee_or_a_ceiling_of_just_the_price_is_taken_as_it_is():
    said = weighed(900.0, strip_fee=900.0, ceiling=900.0)

    assert list(terms_of(said)) == ["fixed", "ceiling", "open-first"]
    assert not any("left out" in note for note in said.notes)


def test_notes_say_what_was_lent():
    bare = weighed(how=standing(usual=replace(USUAL, boards=0))).notes
    told = weighed(board=replace(BOARD, materials=200.0)).notes

    assert any(note.startswith("No finished board tells what materials cost") for note in bare)
    assert any(note.startswith("No finished board of the last two years has price") for note in bare)
    assert told == ()


def test_owners_who_agree_more_often_make_opening_first_worth_more_and_the_highest_price_asked_is_said():
    opening = weighed(1150.0).opening

    assert opening.fewer.value < opening.value < opening.more.value
    assert 1150.0 < opening.asks <= 1.5 * 1150.0
    assert weighed(400.0).opening.asks == 0.0  # it goes home again, whatever shows


def test_once_it_is_open_its_range_is_narrower_and_the_price_that_pays_is_that_of_its_spread():
    """With nothing hidden, opened first or not, the same price pays what is wanted 8 times in 10."""
    sure = replace(FIT, boards=tuple(replace(b, found={**b.found, "pieces": 2.0}) for b in FIT.boards))
    plain = terms_of(weighed(1150.0, fit=sure))
    said = weighed(1150.0)
    opening = said.opening

    assert opening.before == pytest.approx(said.hours[2] - said.hours[0])
    assert opening.after < 0.95 * opening.before
    assert plain["open-first"].price_for_target == pytest.approx(plain["fixed"].price_for_target, rel=0.01)


def test_of_rare_finds_the_range_stays_as_wide_as_it_is_now():
    """Of a hundred draws twenty show more: too few to tell how wide their hours are."""
    hours, of = np.concatenate([np.linspace(10, 20, 80), np.full(20, 40.0)]), np.repeat([0, 1], [80, 20])
    finds = Finds(of, np.array([0.8, 0.2]), np.zeros(2), np.zeros(2), 1.0)

    assert _width_once_open(hours, finds, 30.0) == pytest.approx(0.8 * 8.0 + 0.2 * 30.0)
    assert _width_once_open(hours, replace(finds, share=np.ones(1)), 30.0) == 30.0
    many = Finds(np.repeat(of, 2), finds.share, finds.rest, finds.materials, 1.0)
    assert _width_once_open(np.repeat(hours, 2), many, 30.0) == pytest.approx(0.8 * 8.0, rel=0.02)
    thirty = Finds(np.repeat([0, 1], [70, 30]), np.array([0.7, 0.3]), np.zeros(2), np.zeros(2), 1.0)
    alike = np.concatenate([np.linspace(10, 20, 70), np.full(30, 40.0)])
    assert _width_once_open(alike, thirty, 30.0) == pytest.approx(0.7 * 8.0)  # thirty are enough


def test_each_figure_of_opening_first_stands_in_json_by_its_name():
    one = np.ones(1)
    fewer, more = (Opening(5.0, 5.0 + worth, 0.0, one, one, one) for worth in (11.0, 77.0))
    opened = OpenFirst(
        80.0, True, False, 2.5, ("pieces",), 20.0, 12.0, 33.0, 1.5, 21.0, fewer, more, 0.5, 0.3, 0.2, 1400.0
    )

    assert opened.as_dict() == {
        "fee": 80.0, "credited": False, "hours": 2.5, "shows": ["pieces"], "narrows_hours": 8.0, "value": 33.0, "error": 1.5,
        "of_what_is_shown": 21.0, "value_if_owners_agree": {"less_often": 11.0, "more_often": 77.0},
        "goes_on": 0.5, "asks_anew": 0.3, "ends": 0.2, "highest_price_asked": 1400.0,
    }  # fmt: skip


def test_each_figure_of_a_weighing_stands_in_json_by_its_name():
    """Ordinary work pays 44 an hour, enquiries 55, rent takes 7."""
    how = standing(
        usual=replace(USUAL, pay=44.0), overhead=Overhead(7.0, 1400.0, True), filling=Filling(55.0, 20), moved=moved(0.4)
    )  # fmt: skip
    said = weighed(how=how)
    told = said.as_dict()
    low, likely, high = said.hours

    assert [told[name] for name in ("usual_mix_pay", "target_pay", "floor_pay", "overhead_per_hour")] == [
        44.0, 42.0, 30.0, 7.0,
    ]  # fmt: skip
    assert (told["usual_mix"]["pay"], told["hour_elsewhere"]["pay"]) == (44.0, 55.0)
    assert told["hours"] == {"low": low, "likely": likely, "high": high, "mean": said.mean_hours}
    assert told["bench_weeks"] == pytest.approx(said.mean_hours / 29)
    assert (told["strip_first_value"], told["materials"]) == (said.opening.value, said.materials)
    assert told["ready"]["say_yes_by"] == "2026-10-08"
    assert [one["board"] for one in told["promises"]] == ["1", "2"]


@pytest.mark.parametrize(
    ("terms", "answer", "best"),
    [
        (("fixed", "ceiling", "open-first"), "open-first", "open-first"),
        (("fixed", "ceiling"), "ceiling", "ceiling"),
        (("ceiling", "fixed"), "no", "fixed"),
        (("ceiling", "open-first"), "no", "ceiling"),
    ],
)
def test_terms_spoken_of_are_those_advised_else_a_fixed_price_else_the_first(terms, answer, best):
    said = weighed()

    assert replace(said, terms=tuple(terms_of(said)[one] for one in terms), answer=answer).best.terms == best

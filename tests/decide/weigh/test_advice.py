"""The answer in a sentence, from grounds made by hand: a board of 20 hours and 100 of materials, at 1,000."""

import datetime as dt
from dataclasses import replace

import numpy as np
import pytest

from estimator.bench.promises import Dates
from estimator.decide.weigh.advice import Grounds, advised
from estimator.decide.weigh.open_first import Opening
from estimator.decide.weigh.promise_impact import AllMoved, Moved
from estimator.decide.weigh.terms import TermsSaid, Wanted
from estimator.decide.weigh.weighing import OpenFirst
from estimator.decide.weigh.worth import Elsewhere, UsualPay

DAY = dt.date(2026, 6, 1)
DATES = Dates(DAY, DAY, DAY)


def said(terms, worth, **more):
    plain = {"low": 35.0, "likely": 45.0, "high": 55.0, "chance_below_floor": 0.1, "chance_of_loss": 0.0}
    rest = {"quantiles": {}, "chance_below_target": 0.3, "price_for_target": 1000.0, "break_even_hours": None,
            "hours_for_target": None, "hours_for_floor": None, "unpaid": 0.0, "income": 900.0, "error": 1.0,
            "price": 1000.0}  # fmt: skip
    return TermsSaid(terms, worth=worth, **{**rest, **plain, **more})


def grounds(*terms, **more):
    """Those of a board at a fixed price that is worth 300 over ordinary work at 40 an hour."""
    fields = {
        "price": 1000.0, "fixed": 300.0, "opening": None, "moved": None, "penalty": 0.0, "broken_cost": 0.0,
        "usual": UsualPay(40.0, 12, 400.0, 1), "elsewhere": Elsewhere(40.0, 8.0, 1.0, 40.0),
        "wanted": Wanted(42.0, 30.0, 0.0, 40.0), "mean_hours": 20.0, "materials": 100.0, "in_hand": False,
        "currency": "mk",
    }  # fmt: skip
    return Grounds(terms=terms or (said("fixed", 300.0),), **{**fields, **more})


def moved(*fell):
    """Boards told a day, by how much the chance of each falls, from 8 in 10."""
    boards = [Moved(str(n), f"board {n}", DATES, DATES, DAY, 0.8, 0.8 - by) for n, by in enumerate(fell, 1)]
    return AllMoved((Moved("0", "untold", DATES, DATES), *boards), DATES)


def opening(value, seeing, *, fewer=(0.0, 0.0), more=(0.0, 0.0), ends=0.2, error=1.0):
    """What opening it first is worth, and what is shown; the same where owners agree less often, and more."""
    one = np.ones(1)
    low, high = (Opening(0.0, worth, worth - shown, one, one, one) for worth, shown in (fewer, more))
    return OpenFirst(
        80.0, False, True, 2.0, (), 9.0, 5.0, value, error, seeing, low, high, 1 - ends, 0.0, ends, 1000.0
    )


# ---- the answer


@pytest.mark.parametrize(
    ("worth", "sentence"),
    [
        (300.0, "Take it on, at a fixed price of 1,000 mk."),
        (20.0, "Take it on, at a fixed price of 1,000 mk."),
        (19.0, "Take it on, at a fixed price of 1,000 mk, but it is close."),
        (-19.0, "Say no, at 1,000 mk, but it is close."),
        (-20.0, "Say no, at 1,000 mk."),
    ],
)
def test_an_answer_worth_less_than_a_fiftieth_of_the_price_is_close(worth, sentence):
    assert advised(grounds(said("fixed", worth), fixed=worth)).recommendation == sentence


def test_each_of_the_terms_has_its_sentence_and_one_in_hand_is_asked_about_as_today():
    fixed, ceiling = said("fixed", 200.0), said("ceiling", 250.0, ceiling=1200.0)
    first = said("open-first", 400.0)

    assert advised(grounds(fixed, ceiling)).recommendation == (
        "Take it on at a price with a range, not over 1,200 mk without asking."
    )
    assert advised(grounds(fixed, first, opening=opening(200.0, 100.0))).recommendation == (
        "Open it up first, for 80 mk, and name the price then."
    )
    assert advised(grounds(fixed, in_hand=True)).recommendation == (
        "You have taken it on. Asked today: take it on, at a fixed price of 1,000 mk."
    )


def test_opening_first_is_advised_for_what_it_shows_alone():
    fixed, first = said("fixed", 200.0), said("open-first", 400.0)

    assert advised(grounds(fixed, first, opening=opening(200.0, 21.0))).answer == "open-first"
    assert advised(grounds(fixed, first, opening=opening(200.0, 20.0))).answer == "fixed"
    assert advised(grounds(fixed, first, opening=opening(200.0, 21.0, error=11.0))).answer == "fixed"


def test_terms_worth_nothing_are_no_reason_to_say_no_where_a_fixed_price_is_worth_something():
    ceiling = said("ceiling", -50.0, ceiling=1200.0)

    assert advised(grounds(ceiling, fixed=300.0)).recommendation == (
        "Not on these terms, but at a fixed price of 1,000 mk."
    )
    near = said("ceiling", -5.0, ceiling=1200.0)  # close as these terms are, the fixed price is not
    assert (
        advised(grounds(near, fixed=300.0)).recommendation
        == "Not on these terms, but at a fixed price of 1,000 mk."
    )
    assert advised(grounds(ceiling, fixed=0.0)).recommendation == "Say no, at 1,000 mk."
    assert advised(grounds(said("fixed", -50.0), fixed=-50.0)).recommendation == "Say no, at 1,000 mk."


def test_how_close_a_no_is_goes_by_the_best_of_terms_that_decide_today():
    far, first = said("fixed", -30.0), said("open-first", -5.0)
    near, ceiling = said("fixed", -10.0), said("ceiling", -500.0, ceiling=1200.0)

    assert advised(grounds(far, first, fixed=-30.0, opening=opening(-5.0, 1.0))).recommendation == (
        "Say no, at 1,000 mk."
    )
    assert (
        advised(grounds(near, ceiling, fixed=-10.0)).recommendation == "Say no, at 1,000 mk, but it is close."
    )


# ---- what it brings


def first_of(*terms, **more):
    return advised(grounds(*terms, **more)).because[0]


@pytest.mark.parametrize(
    ("worth", "penalty", "brings"),
    [
        (300.0, 0.0, "300 mk more than"),
        (300.0, 50.0, "350 mk more than"),  # what promises cost is said by itself
        (-100.0, 0.0, "100 mk less than"),
        (-100.0, 50.0, "50 mk less than"),
        (0.0, 0.0, "about as much as"),
    ],
)
def test_what_it_brings_is_said_before_promises_are_paid_for(worth, penalty, brings):
    assert first_of(said("fixed", worth), fixed=worth, penalty=penalty) == (
        f"Once materials are paid, its 20 hours bring {brings} your ordinary work would, on average."
    )


def test_a_board_that_is_turned_down_for_its_promises_alone_says_those_first():
    asked = {"fixed": -30.0, "penalty": 80.0, "moved": moved(0.4)}
    promises, brings, *rest = advised(grounds(said("fixed", -30.0), **asked)).because

    assert promises.startswith("Of the days that you told others it breaks")
    assert brings.startswith("Once materials are paid, its 20 hours bring 50 mk more than")
    assert not any("days that you told" in one for one in rest)


@pytest.mark.parametrize(
    ("there", "than"),
    [
        (Elsewhere(40.0, 8.0, 1.0, 40.0), "your ordinary work would, on average."),
        (Elsewhere(48.0, 8.0, 1.0, 48.0, asks=60),
         "other work that you are asked for would, on average, at 48 mk an hour."),
        (Elsewhere(20.0, 2.0, 0.5, 40.0, asks=60),
         "those hours are worth to you now, on average: while little work is in line, an hour is worth 20 mk."),
        (Elsewhere(0.0, 0.0, 0.0, 40.0),
         "those hours are worth to you now, on average: with so little work in line, it costs you no other work."),
    ],
)  # fmt: skip
def test_against_what_its_hours_are_held(there, than):
    assert first_of(elsewhere=there).endswith(f"bring 300 mk more than {than}")


@pytest.mark.parametrize(("fixed", "value"), [(80.0, 120), (0.0, 200), (-50.0, 200)])
def test_opening_first_is_worth_more_than_the_better_of_yes_and_no(fixed, value):
    terms = said("fixed", fixed), said("open-first", 200.0)
    pays, brings, *_ = advised(
        grounds(*terms, fixed=fixed, penalty=40.0, opening=opening(200.0, 200.0))
    ).because

    assert pays.startswith(f"Opening it up first is worth {value} mk more than deciding today")
    much = {80.0: "120 mk more", 0.0: "40 mk more", -50.0: "10 mk less"}[fixed]
    assert brings == (
        f"Once materials are paid, its 20 hours bring {much} than your ordinary work would, on average, as it stands "
        "today."
    )


def test_a_fixed_price_instead_says_what_each_brings_before_promises_are_paid_for():
    ceiling = said("ceiling", -50.0, ceiling=1200.0)
    at_price, on_terms, *_ = advised(grounds(ceiling, fixed=300.0, penalty=40.0)).because

    assert "bring 340 mk more than" in at_price
    assert at_price.endswith(", on average, at that price.")
    assert "bring 10 mk less than" in on_terms
    assert on_terms.endswith(", on average, on these terms.")


# ---- the facts beside it


@pytest.mark.parametrize(
    ("overhead", "chance", "told"),
    [(8.0, 0.05, True), (8.0, 0.04, False), (0.0, 0.5, False), (8.0, 0.5, True)],
)
def test_a_loss_is_spoken_of_from_one_time_in_twenty_on_where_there_is_rent(overhead, chance, told):
    because = advised(
        grounds(said("fixed", 300.0, chance_of_loss=chance), wanted=Wanted(42.0, 30.0, overhead, 40.0))
    ).because

    assert any(one.startswith("After rent and materials it loses money") for one in because) is told


def test_the_chance_of_too_little_and_the_usual_pay_are_those_of_the_terms_spoken_of():
    fixed = said("fixed", 200.0, chance_below_floor=0.3, likely=39.0)
    ceiling = said("ceiling", 250.0, ceiling=1200.0, chance_below_floor=0.1, likely=40.0)
    facts = advised(grounds(fixed, ceiling)).because

    assert facts[1] == "Chance that it pays less than 30 mk an hour, the least you'd take: 1 time in 10."
    assert facts[2].startswith("Half of boards like this pay more than 40 mk an hour, before rent;")
    facts = advised(grounds(fixed)).because
    assert facts[1].endswith(": 3 times in 10.")
    assert facts[2].startswith("Half of boards like this pay less than 39 mk an hour, before rent;")


@pytest.mark.parametrize(
    ("fell", "breaks"),
    [
        ((0.2, 0.04), None),
        ((0.2, 0.06), ("it breaks every other time one more; most at stake is board 1, in time 8 in 10 now, 6 in 10 "
                      "with it.")),
        ((0.2, 0.5), ("it breaks every other time one more; most at stake is board 2, in time 8 in 10 now, 3 in 10 "
                     "with it.")),
        ((0.3, 0.5), "it breaks about 1 more; most at stake is board 2, in time 8 in 10 now, 3 in 10 with it."),
        ((0.7, 0.4, 0.6), "it breaks about 2 more; most at stake is board 1, in time 8 in 10 now, 1 in 10 with it."),
    ],
)  # fmt: skip
def test_of_promises_the_one_that_suffers_most_is_named(fell, breaks):
    last = advised(grounds(moved=moved(*fell))).because[-1]

    assert last == (f"Of the days that you told others {breaks}" if breaks else
                    "It hardly touches what you told others.")  # fmt: skip


@pytest.mark.parametrize("of", [None, moved()])
def test_where_no_day_was_told_nothing_is_said_of_promises(of):
    assert not any("told others" in one for one in advised(grounds(moved=of)).because)


# ---- what would change it


def test_the_price_at_which_it_turns_pays_for_materials_hours_and_promises():
    """100 of materials, 20 hours at 40, 60 for promises: 960. At 1,000 an hour of it brings 42 after both."""
    takes = advised(grounds(penalty=60.0)).flips
    turned = advised(grounds(said("fixed", -70.0), fixed=-70.0, penalty=60.0)).flips

    assert takes == (
        "Under 960 mk it would not be worth it.",
        "Ordinary work that pays more than 42 mk an hour would be worth more.",
    )
    assert turned == ("From 960 mk on, as a fixed price, it would be worth it.",)
    assert advised(grounds(mean_hours=0.0)).flips == ("Under 100 mk it would not be worth it.",)


@pytest.mark.parametrize(
    ("better", "filled", "flip"),
    [
        (46.0, 0.5, "With 4 weeks of work in hand, other work would be worth more."),
        (44.0, 0.5, "Ordinary work that pays more than 45 mk an hour would be worth more."),
        (46.0, 1.0, "Ordinary work that pays more than 45 mk an hour would be worth more."),
    ],
)
def test_with_little_in_line_better_work_would_turn_it_once_there_is_some(better, filled, flip):
    assert advised(grounds(elsewhere=Elsewhere(20.0, 2.0, filled, better))).flips[1] == flip


def test_of_a_price_with_a_range_nothing_is_said_of_another_price_and_a_short_line_turns_nothing():
    ranged = (said("fixed", 200.0), said("ceiling", 250.0, ceiling=1200.0))
    short = Elsewhere(20.0, 2.0, 0.5, 46.0)

    assert advised(grounds(*ranged, elsewhere=short)).flips == (
        "Ordinary work that pays more than 45 mk an hour would be worth more.",
    )


def test_what_is_turned_down_or_opened_first_and_hardly_breaks_a_promise_names_no_cost_of_one():
    """.06 of a promise, 8 times in 10: less than a twentieth."""
    no = grounds(said("fixed", -30.0), fixed=-30.0, moved=moved(0.5))
    first = grounds(
        said("fixed", 200.0), said("open-first", 400.0), moved=moved(0.06), opening=opening(200.0, 100.0, ends=0.2)
    )  # fmt: skip

    assert advised(first).answer == "open-first"
    assert not any("broken promise" in flip for of in (no, first) for flip in advised(of).flips)


@pytest.mark.parametrize(
    ("fell", "more", "cost"),
    [
        (0.5, {}, 600),
        (0.5, {"broken_cost": 100.0}, 700),  # on top of what it is set to cost already
        (0.04, {}, None),
        (0.05, {}, 6000),
        (0.5, {"in_hand": True}, None),
    ],
)
def test_the_cost_of_a_promise_at_which_it_turns(fell, more, cost):
    """300 that it is worth, over half a promise that it breaks."""
    flips = advised(grounds(moved=moved(fell), **more)).flips
    told = [one for one in flips if "broken promise" in one]

    assert told == ([] if cost is None else [f"If a broken promise costs you more than {cost:,} mk, say no."])


def test_one_that_is_opened_first_breaks_promises_only_where_the_work_goes_on():
    """.5 of a promise, 8 times in 10: .4; 400 over that are 1,000."""
    terms = said("fixed", 200.0), said("open-first", 400.0)
    flips = advised(grounds(*terms, moved=moved(0.5), opening=opening(200.0, 100.0, ends=0.2))).flips

    assert "If a broken promise costs you more than 1,000 mk, say no." in flips


STANDS = "The answer stands whether owners take a new price two times in ten more often, or less often."


@pytest.mark.parametrize(
    ("worth", "fewer", "more", "flip"),
    [
        # worth 300 now: 100 over the fixed price
        (300.0, (60.0, 60.0), (150.0, 150.0), STANDS),
        (300.0, (10.0, 60.0), (150.0, 150.0),
         "If owners took a new price two times in ten less often, the answer would be: decide today."),
        (300.0, (90.0, 10.0), (150.0, 150.0),
         "If owners took a new price two times in ten less often, the answer would be: decide today."),
        # worth 190 now: less than the fixed price
        (190.0, (60.0, 0.0), (150.0, 150.0),
         "If owners took a new price two times in ten more often, the answer would be: open it up first."),
        (190.0, (60.0, 0.0), (120.0, 120.0), STANDS),
    ],
)  # fmt: skip
def test_whether_the_answer_hangs_on_how_often_owners_agree(worth, fewer, more, flip):
    """What it is worth moves by as much as the opening does, from 100."""
    terms = said("fixed", 200.0), said("open-first", worth)
    flips = advised(grounds(*terms, fixed=200.0, opening=opening(100.0, 100.0, fewer=fewer, more=more))).flips

    assert flips[-1] == flip


def test_a_board_worth_nothing_today_may_be_opened_if_owners_agreed_more_often():
    terms = said("fixed", -50.0), said("open-first", 10.0)
    asked = {"fixed": -50.0, "opening": opening(10.0, 60.0, fewer=(-30.0, 60.0), more=(40.0, 60.0))}

    assert advised(grounds(*terms, **asked)).flips[-1] == (
        "If owners took a new price two times in ten more often, the answer would be: open it up first."
    )
    good = {"fixed": -50.0, "opening": opening(90.0, 60.0, fewer=(-30.0, 60.0), more=(99.0, 60.0))}
    assert advised(grounds(said("fixed", -50.0), said("open-first", 90.0), **good)).flips[-1] == (
        "If owners took a new price two times in ten less often, the answer would be: say no."
    )


def test_money_of_another_terms_is_not_that_of_these():
    plain = grounds(said("fixed", 300.0), said("ceiling", 100.0, ceiling=1200.0))

    assert advised(plain).answer == "fixed"
    assert advised(replace(plain, terms=plain.terms[::-1])).answer == "fixed"
    even = (said("ceiling", 100.0, ceiling=1200.0), said("fixed", 100.0))
    assert advised(replace(plain, terms=even)).answer == "fixed"  # as much for as little doubt

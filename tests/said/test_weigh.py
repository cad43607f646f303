"""Whether to take a board on, sentence by sentence, by hand."""

import datetime as dt
from pathlib import Path
from types import SimpleNamespace

import pytest

from estimator.bench.promises import Dates
from estimator.decide.weigh.promise_impact import AllMoved, Moved
from estimator.decide.weigh.terms import TermsSaid
from estimator.decide.weigh.worth import Elsewhere, UsualPay
from estimator.log.edits import Decision, KeptDecision
from estimator.said import weigh
from estimator.said.parts import Action, Table
from estimator.said.weigh import ten_pay
from estimator.words.records import DECISIONS
from estimator.words.settings.schema import Driver, Settings, Workshop


def terms(name, **more):
    """Terms that pay under what is wanted 3 times in 10, under the least 1 time in 10, and lose seldom."""
    plain = {
        "low": 31.2,
        "likely": 42.4,
        "high": 55.0,
        "quantiles": {},
        "chance_below_target": 0.3,
        "chance_below_floor": 0.1,
        "chance_of_loss": 0.02,
        "price_for_target": 2600.0,
        "break_even_hours": None,
        "hours_for_target": 50.0,
        "hours_for_floor": 70.0,
        "unpaid": 20.0,
        "income": 2000.0,
        "worth": 100.0,
        "error": 1.0,
        "price": 2400.0,
    }
    return TermsSaid(name, **(plain | more))


def test_under_a_ceiling_it_is_said_how_often_that_is_passed():
    said = "Up to the ceiling it pays what you want; it goes over, and pays less, 3 times in 10."

    assert ten_pay(terms("ceiling", ceiling=2900.0), 0.8) == said


def test_at_a_fixed_price_the_range_and_the_middle_are_said_with_their_odds():
    ten = "Of ten boards like this, eight pay 31 to 55 an hour, before rent, "

    assert ten_pay(terms("fixed"), 0.8) == f"{ten}one pays less, one more; half pay more than 42."
    assert "the others less or more, 9 times in 10; half" in ten_pay(terms("fixed"), 0.9)


SHOP = Settings(
    workshop=Workshop(currency="mk"), drivers={"infills": Driver("infills", label="Let-in pieces")}
)


@pytest.mark.parametrize(
    ("weeks", "said"),
    [
        (0.74, "less than a week of your bench"),
        (0.75, "about 1 week of your bench"),
        (1.3, "about 1½ weeks of your bench"),
        (12.2, "about 12 weeks of your bench"),
    ],
)
def test_hours_as_weeks_at_the_bench(weeks, said):
    assert weigh._weeks(weeks) == said


@pytest.mark.parametrize(
    ("chances", "counts"),
    [
        ([0.86, 0.07, 0.07], [8, 1, 1]),
        ([1.0, 0.0, 0.0], [10, 0, 0]),
        ([0.333, 0.333, 0.334], [3, 3, 4]),
        ([0.25, 0.25, 0.5], [3, 2, 5]),
        ([0.04, 0.06, 0.9], [0, 1, 9]),
    ],
)
def test_chances_become_ten_boards(chances, counts):
    assert weigh.in_ten(chances) == counts


def opening(**more):
    plain = {"fee": 84.0, "named": False, "credited": True, "hours": 2.0, "shows": ("infills",), "before": 25.0, "after": 20.0, "value": 120.0,
             "seeing": 60.0, "goes_on": 0.7, "asks_anew": 0.2, "ends": 0.1, "asks": 1540.0}  # fmt: skip
    return SimpleNamespace(**(plain | more))


@pytest.mark.parametrize(
    ("more", "said"),
    [
        ({}, "Of ten such boards opened up, seven go on at the price you named, two go on at more, up to 1,540 mk, one ends there, by your no or the owner's."),
        ({"goes_on": 1.0, "asks_anew": 0.0, "ends": 0.0}, "Of ten such boards opened up, all go on at the price you named."),
        ({"goes_on": 0.1, "asks_anew": 0.1, "ends": 0.8},
         "Of ten such boards opened up, one goes on at the price you named, one goes on at more, up to 1,540 mk, eight end there, by your no or the owner's."),
    ],
)  # fmt: skip
def test_what_becomes_of_ten_boards_opened_up(more, said):
    assert weigh._becomes(opening(**more), SHOP) == said


@pytest.mark.parametrize(
    ("value", "said"),
    [
        (120.0, "All in all it is worth 120 mk more than deciding today."), (-120.0, "All in all it is worth 120 mk less than deciding today."),
        (4.0, "All in all it comes to the same as deciding today."), (-4.0, "All in all it comes to the same as deciding today."),
    ],
)  # fmt: skip
def test_what_opening_first_is_worth(value, said):
    assert weigh._worth(opening(value=value), SHOP) == said


def opened(terms_of=("open-first",), **more):
    said = SimpleNamespace(opening=opening(**more), terms=[terms(one) for one in terms_of])
    return [getattr(part, "text", part) for part in weigh._opening(said, SHOP)]


def test_what_opening_up_would_show():
    assert opened()[:3] == [
        "Open it up first?", "The fee is 80 mk, its 2 hours at what you want; it counts towards the price.",
        "It would show let-in pieces. It would make the range of hours 5 hours narrower.",
    ]  # fmt: skip
    assert (
        opened()[4]
        == "All in all it is worth 120 mk more than deciding today. What it shows is worth 60 mk by itself."
    )
    assert opened(named=True, credited=False)[1] == "The fee is 80 mk; it comes on top of the price."
    assert "narrower" in opened(after=24.6)[2]
    assert opened(after=24.6)[2].endswith("It would make the range of hours less than ½ hour narrower.")
    assert opened(after=24.5)[2].endswith("It would make the range of hours ½ hour narrower.")
    assert opened(value=121.0)[4].endswith("by itself. It is the fee that makes the difference.")
    assert "hardly changes what you'd do" in opened(seeing=3.0)[4]
    assert opened(shows=())[2:] == ["It would show nothing that you don't know already."]
    assert opened(terms_of=("fixed",)) == []
    assert opened(terms_of=("fixed", "open-first")) == opened()


@pytest.mark.parametrize(
    ("there", "said"),
    [
        (Elsewhere(40.0, 9.0, 1.0, 40.0), "An hour counts as 40 mk here: what your ordinary work pays."),
        (Elsewhere(44.0, 9.0, 1.0, 44.0, 5.0, asks=12), "An hour counts as 44 mk, at which the better-paying of your last 12 enquiries just fill your hours."),
        (Elsewhere(5.0, 9.0, 1.0, 5.0, 5.0, asks=12), "An hour counts as 5 mk here: your last 12 enquiries do not fill your hours."),
        (Elsewhere(22.0, 4.4, 0.5, 40.0, 5.0),
         ("An hour counts as 22 mk here: with 4 weeks of work in hand it lies between 5 mk, for one that stands idle, and what your ordinary work pays, "
         "which counts from 4 weeks on.")),
        (Elsewhere(9.0, 0.4, 0.1, 44.0, 5.0, asks=12),
         ("An hour counts as 9 mk here: with hardly any work in hand it lies between 5 mk, for one that stands idle, and 44 mk, at which the better-paying of "
         "your last 12 enquiries just fill your hours, which counts from 4 weeks on.")),
    ],
)  # fmt: skip
def test_what_an_hour_counts_that_does_not_go_to_the_board(there, said):
    assert weigh._bar(SimpleNamespace(elsewhere=there), SHOP) == said


@pytest.mark.parametrize(
    ("boards", "said"),
    [
        (0, "It pays 40 mk an hour, before rent, taken as what you want, for no finished board tells: 30 hours would bring 1,200 mk."),
        (1, "It pays 40 mk an hour, before rent, from 1 board of the last two years: 30 hours would bring 1,200 mk. Only 1 board: it is still mostly what you want."),
        (4, "4 boards: it is still mostly what you want."), (5, "from 5 boards of the last two years: 30 hours would bring 1,200 mk."),
    ],
)  # fmt: skip
def test_what_the_same_hours_would_bring_on_ordinary_work(boards, said):
    one = SimpleNamespace(
        usual=UsualPay(40.0, boards, 400.0, 1), mean_hours=30.0, elsewhere=Elsewhere(40.0, 9.0, 1.0, 40.0)
    )

    assert list(weigh._ordinary(one, SHOP))[1].endswith(said)


TODAY = dt.date(2026, 10, 1)


def dates(high):
    return Dates(TODAY, TODAY, TODAY + dt.timedelta(high))


def a_move(name, before, after, chances=(0.9, 0.9)):
    return Moved(name, name, dates(before), dates(after), TODAY + dt.timedelta(20), *chances)


def moves(*boards, in_hand=False, **more):
    moved = AllMoved(boards, dates(40), **more)
    said = SimpleNamespace(moved=moved, today=TODAY, in_hand=in_hand)
    return [
        part.rows if isinstance(part, Table) else getattr(part, "text", part) for part in weigh._moves(said)
    ]


def test_whose_dates_move_and_who_is_hardly_moved():
    later, sooner, near, fell = (
        a_move("red", 5, 9),
        a_move("blue", 9, 5, (0.8, 0.9)),
        a_move("tan", 5, 6),
        a_move("egg", 5, 5, (0.9, 0.5)),
    )
    assert moves(later, sooner, near, fell)[1:3] == [
        (("red", "Tue 6 Oct", "Sat 10 Oct", "Wed 21 Oct", "9 in 10", "9 in 10"), ("egg", "Tue 6 Oct", "Tue 6 Oct", "Wed 21 Oct", "9 in 10", "5 in 10")),
        "2 other boards are hardly moved.",
    ]  # fmt: skip
    assert moves(later, near)[2] == "1 other board is hardly moved."
    assert moves(near)[1] == "Nobody's date moves enough to speak of."
    assert moves()[1] == "No other board is in hand."
    assert moves(later)[-1] == "This one would be ready by Tue 10 November, 9 times in 10."
    assert moves(later, in_hand=True)[-1] == "This one will be ready by Tue 10 November, 9 times in 10."
    asked = moves(say_yes_by=TODAY + dt.timedelta(7), left_out=("ink", "sky"))
    assert asked[-2:] == [
        "This one would be ready by Tue 10 November if its owner says yes by Thu 8 October, 9 times in 10.",
        "No date can be given for ink, sky.",
    ]
    untold = Moved("plum", "plum", dates(5), dates(12))
    assert moves(untold)[1] == (("plum", "Tue 6 Oct", "Tue 13 Oct", "-", "-", "-"),)
    assert list(weigh._moves(SimpleNamespace(moved=None, today=TODAY))) == []


def test_a_decision_that_is_kept_says_what_stood_before_where_that_was_another():
    now = Decision("yes", "that shape", for_love=True)
    assert list(weigh.kept_parts(KeptDecision("a", "red", now, Path("b.csv"), None, ("Look.",)))) == [
        "Kept in b.csv: red, yes, for love: “that shape”.",
        "Look.",
    ]
    assert list(weigh.kept_parts(KeptDecision("a", "red", now, None, now))) == [
        "Not written: red, yes, for love: “that shape”."
    ]
    before = list(weigh.kept_parts(KeptDecision("a", "red", now, Path("b.csv"), Decision("open-first"))))
    assert before[1] == "Before, it said open it up first."


@pytest.mark.parametrize(
    ("low", "high", "said"), [(31.2, 55.0, "31 to 55"), (31.2, 31.4, "31"), (-4.0, 12.0, "−4 to 12")]
)
def test_pay_in_a_cell_is_from_its_low_to_its_high(low, high, said):
    assert weigh._pay_range(terms("fixed", low=low, high=high)) == said


LOSES = {"chance_of_loss": 0.05, "break_even_hours": 61.0}


def thought_over(*kinds, **more):
    """A board that is thought over: hours, what terms come to, and what stands beside, by hand."""
    kinds = kinds or (
        terms("fixed", **LOSES),
        terms("ceiling", ceiling=2900.0, price_for_target=2700.0, worth=-50.0),
    )
    plain = {
        "board": "26-040", "name": "red", "price": 2400.0, "odds": 0.8, "terms": kinds, "best": kinds[0], "recommendation": "Take it.",
        "because": ("One.", "Two.", "Three."), "decided": None, "hours": (30.2, 40.0, 52.0), "bench_weeks": 1.3, "materials": 310.0,
        "wanted": SimpleNamespace(target=42.0, floor=30.0, overhead=9.0), "usual": UsualPay(40.0, 12, 400.0, 1), "mean_hours": 30.0,
        "elsewhere": Elsewhere(40.0, 9.0, 1.0, 40.0), "moved": None, "today": None, "opening": None, "flips": ("At 2,600 mk.",),
        "notes": ("No dates.",), "answer": "fixed", "in_hand": False,
    }  # fmt: skip
    said = weigh.weigh_parts(SimpleNamespace(**(plain | more)), SHOP)
    return [part.rows if isinstance(part, Table) else getattr(part, "text", part) for part in said]


def test_all_that_is_said_of_a_board_that_is_thought_over_in_its_order():
    said = thought_over()
    assert said[1:7] == [
        "Take it.", "One.", "Two.", "What it pays",
        "It takes between 30 and 50 hours, 8 times in 10, about 1½ weeks of your bench, and about 310 mk of materials.",
        "Of ten boards like this, eight pay 31 to 55 an hour, before rent, one pays less, one more; half pay more than 42.",
    ]  # fmt: skip
    assert said[7] == (
        ("not over", "", "2,900 mk"), ("pay an hour, before rent", "31 to 55", "31 to 55"), ("less than you want (42)", "3 in 10", "3 in 10"),
        ("less than the least (30)", "1 in 10", "1 in 10"), ("loses money after rent", "1 in 10", "fewer than 1 in 20"),
        ("pays what you want, 8 in 10, at", "2,600 mk", "2,700 mk"), ("brings more than ordinary work", "100 mk", "−50 mk"),
    )  # fmt: skip
    assert said[8:10] == [
        "A price with a range: you charge 42 for each hour that it takes, and the materials, and ask before it goes over 2,900 mk.",
        "Rent, power and insurance take 9 mk of each hour at the bench. From 60 hours on there is nothing left.",
    ]
    assert said[10] == "Your ordinary work in the same weeks"
    assert said[13:19] == [
        "What would change the answer", "At 2,600 mk.", "What it counts on, and leaves out", "No dates.", "Your answer",
        "Whichever it is, keep it with your reason, to see later whether it was right:",
    ]  # fmt: skip
    assert said[19] == Action("decide", "26-040", {"answer": DECISIONS, "why": ""})


def test_what_is_said_of_a_board_goes_by_its_terms_and_by_what_is_set():
    bare = thought_over(
        terms("fixed", **LOSES), wanted=SimpleNamespace(target=42.0, floor=30.0, overhead=0.0), bench_weeks=None, flips=(), notes=(),
        answer="no", decided=SimpleNamespace(answer="yes", why="that shape", for_love=False),
    )  # fmt: skip
    assert bare[4] == "You have decided already: yes: “that shape”."
    assert "It takes between 30 and 50 hours, 8 times in 10, and about 310 mk of materials." in bare
    assert (
        "Rent, power and insurance are not in your settings, so whether it loses money can't be said." in bare
    )
    assert not [row for row in bare[8] if row[0] == "loses money after rent"]
    at = bare.index("Worth doing anyway?")
    assert bare[at + 2] == Action("decide", "26-040", {"answer": "yes", "why": "", "for_love": True})
    assert not {"Your answer", "What would change the answer", "What it counts on, and leaves out"} & {
        part for part in bare if isinstance(part, str)
    }
    first = thought_over(terms("open-first", fee=84.0), opening=opening(), answer="open-first")
    assert (
        "Opened up first, pay counts the boards whose work goes on. One that ends there pays its fee, 80 mk for about 2 hours, and no more."
        in first
    )
    assert not [part for part in first if str(part).startswith(("Of ten boards like this", "A price with"))]
    assert "Open it up first?" in first
    unopened = thought_over(terms("open-first", fee=84.0), answer="open-first")
    assert not [part for part in unopened if str(part).startswith("Opened up first")]
    seldom = thought_over(terms("fixed", chance_of_loss=0.049, break_even_hours=61.0))
    assert "Rent, power and insurance take 9 mk of each hour at the bench." in seldom


def test_its_own_day_is_never_over_and_half_a_week_of_work_in_hand_is_some():
    past = AllMoved((), Dates(TODAY - dt.timedelta(9), TODAY - dt.timedelta(8), TODAY - dt.timedelta(7)))
    said = list(weigh._moves(SimpleNamespace(moved=past, today=TODAY, in_hand=True)))
    assert said[-1] == "This one will be ready by Thu 1 October, 9 times in 10."
    there = Elsewhere(9.0, 0.5, 0.1, 44.0, 5.0, asks=12)
    assert "with no weeks of work in hand" in weigh._bar(SimpleNamespace(elsewhere=there), SHOP)


def test_the_day_of_each_board_is_the_one_to_tell_never_over_and_what_stays_as_it_is_shown_is_hardly_moved():
    """The red one is told later than it is sure; the blue one's days are over before and after, so that both are today."""
    told = Dates(TODAY, TODAY, TODAY + dt.timedelta(5), TODAY + dt.timedelta(8))
    after = Dates(TODAY, TODAY, TODAY + dt.timedelta(9), TODAY + dt.timedelta(15))
    red, blue = Moved("red", "red", told, after), a_move("blue", -9, -4)
    late = Moved("egg", "egg", dates(-9), dates(12))

    assert moves(red, blue)[1:3] == [
        (("red", "Fri 9 Oct", "Fri 16 Oct", "-", "-", "-"),),
        "1 other board is hardly moved.",
    ]
    assert moves(blue)[1] == "Nobody's date moves enough to speak of."
    assert moves(late)[1] == (("egg", "Thu 1 Oct", "Tue 13 Oct", "-", "-", "-"),)
    own = AllMoved((), after)
    said = list(weigh._moves(SimpleNamespace(moved=own, today=TODAY, in_hand=True)))
    assert said[-1] == "This one will be ready by Fri 16 October, 9 times in 10."


def test_what_it_pays_and_from_when_on_it_loses_are_those_of_the_best_terms():
    first, best = terms("fixed", low=10.0, **LOSES), terms("fixed", low=20.0, chance_of_loss=0.2, break_even_hours=45.0)  # fmt: skip
    said = thought_over(first, best, best=best)

    assert any("eight pay 20 to 55 an hour" in part for part in said if isinstance(part, str))
    assert any("From 45 hours on there is nothing left." in part for part in said if isinstance(part, str))


def test_work_in_hand_that_nearly_fills_the_hours_does_not_fill_them():
    there = Elsewhere(36.0, 3.8, 0.95, 40.0, 5.0)

    assert "with 4 weeks of work in hand it lies between" in weigh._bar(
        SimpleNamespace(elsewhere=there), SHOP
    )


def test_the_same_answer_for_another_reason_is_another_decision():
    now, before = Decision("yes", "that shape", for_love=True), Decision("yes", "that shape")
    said = list(weigh.kept_parts(KeptDecision("a", "red", now, Path("b.csv"), before)))

    assert said[1] == "Before, it said yes: “that shape”."

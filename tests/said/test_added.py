"""What an owner asks for since, sentence by sentence: more and less, later and sooner, kept and not."""

import datetime as dt
from pathlib import Path
from types import SimpleNamespace

import pytest

from estimator.bench.promises import Dates
from estimator.decide.weigh.promise_impact import Moved
from estimator.forecast.ranges import Cost, Price, Spread
from estimator.said import added
from estimator.said.added import moves_said
from estimator.said.parts import Action
from estimator.words.records import Told
from estimator.words.settings.schema import Driver, Modifier, Settings, Stage

TODAY = dt.date(2026, 6, 9)
SHOP = Settings(
    drivers={
        "logos": Driver("logos", label="Logos to redraw"),
        "area": Driver("area", label="Old glass", unit="m2"),
    },
    modifiers={"rush": Modifier("rush", label="In a rush")},
    stages={"sand": Stage("sand", label="Sand"), "gloss": Stage("gloss", label="Gloss coat")},
)


def spread(low, high):
    return Spread(low, (low + high) / 2, high)


@pytest.mark.parametrize(
    ("name", "much", "said"),
    [
        ("logos", 2.0, "2 logos to redraw"), ("logos", -1.0, "1 logo to redraw less"), ("logos", 0.5, "logos to redraw ½"),
        ("area", 0.4, "old glass 0.4 m²"), ("area", -1.2, "old glass 1.2 m² less"), ("rush", 1.0, "in a rush 1"),
    ],
)  # fmt: skip
def test_one_thing_that_was_asked_for(name, much, said):
    assert added._asked(name, much, SHOP) == said


@pytest.mark.parametrize(
    ("low", "high", "said"),
    [
        (3.0, 4.5, "Between 3 and 4½ hours more, 8 times in 10; between 50 and 70 hours in all."),
        (-4.5, -3.0, "Between 3 and 4½ hours less, 8 times in 10; between 50 and 70 hours in all."),
        (-4.5, 0.0, "Up to 4½ hours less, 8 times in 10; between 50 and 70 hours in all."),
        (0.0, 0.0, "No hours more; between 50 and 70 hours in all, 8 times in 10."),
    ],
)
def test_hours_on_top_or_off(low, high, said):
    one = SimpleNamespace(hours=spread(low, high), in_all=spread(50.0, 70.0), odds=0.8)

    assert added._hours(one) == said


@pytest.mark.parametrize(
    ("materials", "price", "said"),
    [
        (Cost(38.0, 50.0, 62.0), Price(296.0, 0.8, 42.0), "300 mk more pays you 42 an hour for it 8 times in 10. Materials 40 to 60 mk more."),
        (Cost(-62.0, -50.0, -38.0), Price(-296.0, 0.8, 42.0), "300 mk less still pays you 42 an hour for the rest 8 times in 10. Materials 40 to 60 mk less."),
        (Cost(38.0, 50.0, 62.0, lent=True), Price(0.0, 0.8, 0.0), "Materials 40 to 60 mk more (lent, no board of yours tells yet)."),
    ],
)  # fmt: skip
def test_money_on_top_or_off(materials, price, said):
    one = SimpleNamespace(materials=materials, price=price, odds=0.8)

    assert added._money(one, "mk") == said


def june(n):
    return dt.date(2026, 6, n)


@pytest.mark.parametrize(
    ("later", "hours", "yes", "said"),
    [
        ((2.0, 4.0), 3.0, None, "Ready 2 to 4 days later, between Fri 12 June and Fri 26 June; tell the owner: ready by Fri 26 June, 9 times in 10."),
        ((0.0, 4.0), 3.0, None, "Ready up to 4 days later, between"),
        ((1.0, 1.0), 3.0, june(16), "Ready 1 day later, between Fri 12 June and Fri 26 June, if the owner says yes by Tue 16 June; tell"),
        ((0.0, 0.0), 3.0, None, "Ready no later, between"),
        ((-3.0, 0.0), -2.0, None, "Ready up to 3 days sooner, between"),
        ((-3.0, 0.0), 2.0, None, "Ready no later, between"),  # more work, however the draws fall
        ((-3.0, 2.0), -2.0, None, "Ready up to 2 days later, between"),
    ],
)  # fmt: skip
def test_by_how_many_days_it_is_ready_later_or_sooner(later, hours, yes, said):
    after = Dates(june(12), june(19), june(26))
    ready = SimpleNamespace(after=after, later=spread(*later), say_yes_by=yes)

    assert next(
        iter(added._ready(SimpleNamespace(ready=ready, hours=spread(hours, hours)), TODAY))
    ).startswith(said)


def test_a_day_that_is_over_is_not_said_and_one_day_is_said_once():
    ready = SimpleNamespace(after=Dates(june(1), june(2), june(3)), later=spread(1, 1), say_yes_by=None)
    said = list(added._ready(SimpleNamespace(ready=ready, hours=spread(1, 1)), TODAY))

    assert said == [
        "Ready 1 day later, about Tue 9 June; tell the owner: ready by Tue 9 June, 9 times in 10."
    ]
    assert list(added._ready(SimpleNamespace(ready=None), TODAY))[1] == Action("bench")


def moved(name, days, before=None, after=None):
    at = (
        [Dates(june(1), june(2), june(3 + n)) for n in (0, days)]
        if days >= 0
        else [Dates(june(1), june(2), june(20 + n)) for n in (0, days)]
    )
    return Moved(name, name, *at, june(20) if before is not None else None, before, after)


@pytest.mark.parametrize(
    ("one", "said"),
    [
        (moved("red", 1), "Red is one day later; no date of it is told yet."),
        (moved("red", 3, 0.9, 0.8), "Red is three days later; its date is still good, 8 times in 10."),
        (moved("red", 3, 0.9, 0.4), "Red is three days later; in time 4 times in 10 (9 times in 10 before)."),
        (moved("red", 3, 0.41, 0.4), "Red is three days later; in time 4 times in 10 (as before)."),
        (moved("red", -2, 0.4, 0.9), "Red is two days sooner; its date is still good, 9 times in 10."),
    ],
)
def test_whose_day_moves_and_whether_it_is_still_good(one, said):
    assert list(moves_said([one])) == [said]


def test_five_are_named_those_that_move_most_first_and_the_others_counted():
    boards = [moved("stays", 0), *(moved(f"b{n}", n) for n in (1, 2, 3, 4, 5, 6)), moved("back", -7)]
    said = list(moves_said(boards))

    assert [line.split()[0] for line in said] == ["Back", "B6", "B5", "B4", "B3", "2"]
    assert said[-1] == "2 more boards by 2 days at most."
    assert list(moves_said(boards[:1])) == ["No other board's date moves by a day."]
    assert list(moves_said([], "None.")) == ["None."]
    assert list(moves_said(boards[1:7]))[-1] == "1 more board by 1 day at most."
    assert len(list(moves_said(boards[1:6]))) == 5


def test_what_is_finished_and_undone_is_said():
    one = SimpleNamespace(
        finished=("sand",), reopened=(SimpleNamespace(stage="gloss", share=1.0, hours=spread(3, 5)),)
    )
    both = SimpleNamespace(
        finished=("sand", "gloss"),
        reopened=(*one.reopened, SimpleNamespace(stage="sand", share=0.25, hours=spread(1, 2))),
    )

    assert next(iter(added._finished(one, SHOP))).startswith("Sand is finished in your log.")
    assert next(iter(added._finished(one, SHOP))).endswith("and it counts as begun again.")
    assert next(iter(added._finished(both, SHOP))).startswith("Sand and Gloss coat are finished in your log.")
    assert (
        "done again: Gloss coat (all of it), between 3 and 5 hours; Sand (a quarter), between 1 and 2 hours."
        in next(iter(added._reopened(both, SHOP)))
    )
    none = SimpleNamespace(finished=(), reopened=())
    assert [*added._finished(none, SHOP), *added._reopened(none, SHOP)] == []


def kept(file, told=None, notes=("Left as it is.",)):
    return SimpleNamespace(
        what={"logos": 1.0},
        kept=SimpleNamespace(file=file, cells={"later_logos": "1"}, notes=notes, told=told),
    )


def test_what_to_do_next_goes_by_what_was_kept():
    lead, ask = added._next(
        SimpleNamespace(what={"logos": 1.0, "area": 0.1 + 0.2}, kept=None), "26-001", "mk"
    )
    assert lead.startswith("Once the owner agrees")
    assert ask == Action("ask", "26-001", {"asked": {"logos": "1", "area": "0.3"}, "keep": True})
    tell = Action("tell", "26-001", {"because": "asked later"})
    assert list(added._next(kept(None), "26-001", "mk")) == [
        "Left as it is. Not told yet: tell the owner, and keep that:",
        tell,
    ]
    assert list(added._next(kept(Path("b.csv")), "26-001", "mk")) == [
        "Kept in b.csv: later_logos 1. Left as it is. Not told yet: tell the owner, and keep that:", tell,
    ]  # fmt: skip
    told = SimpleNamespace(
        told=Told("26-001", TODAY, 41.0, 70.0, 2180.0, last=dt.date(2027, 1, 4)), notes=("Look at it.",)
    )
    assert list(added._next(kept(Path("b.csv"), told), "26-001", "mk")) == [
        "Kept in b.csv: later_logos 1.",
        "Kept as told too: between 40 and 70 hours, 2,180 mk in all, ready by Mon 4 January 2027.",
        "Look at it.",
    ]
    assert (
        added._told(Told("a", TODAY, last=june(26)), "mk")
        == "Kept as told too: ready by Fri 26 June. No price was told: none is written for the board."
    )


def test_what_spreads_over_more_and_less_and_what_costs_nothing_more():
    plain = {"in_all": spread(50.0, 70.0), "odds": 0.8}
    assert added._hours(SimpleNamespace(hours=spread(-1.0, 4.0), **plain)).endswith(
        " more, 8 times in 10; between 50 and 70 hours in all."
    )

    def money(low, high, target):
        return added._money(
            SimpleNamespace(
                materials=Cost(low, (low + high) / 2, high), price=Price(target, 0.8, 42.0), odds=0.8
            ),
            "mk",
        )

    assert money(-60.0, 0.0, 0.0).startswith("0 mk more pays you 42 an hour for it 8 times in 10. ")
    assert money(-60.0, 0.0, 0.0).endswith(" less.")
    assert money(-60.0, 20.0, 300.0).endswith(" more.")


def test_whose_dates_move_is_said_where_dates_can_be_given_or_some_move():
    ready = SimpleNamespace(after=Dates(june(12), june(19), june(26)), later=spread(2, 4), say_yes_by=None)
    none = "No other board's date moves by a day."

    assert list(added._promises(SimpleNamespace(ready=ready, promises=()))) == [none]
    assert list(added._promises(SimpleNamespace(ready=None, promises=(moved("red", 1),)))) == [
        "Red is one day later; no date of it is told yet."
    ]
    assert list(added._promises(SimpleNamespace(ready=None, promises=()))) == []
    half = Told("a", TODAY, hours_low=41.0, price=900.0)
    assert added._told(half, "") == "Kept as told too: 900 in all."


def test_all_that_is_said_of_a_wish_stands_in_its_order():
    reopened = (SimpleNamespace(stage="gloss", share=1.0, hours=spread(3, 5)),)
    wish = SimpleNamespace(
        what={"logos": 2.0, "rush": 1.0}, hours=spread(3, 5), in_all=spread(50, 70), odds=0.8, materials=Cost(38.0, 50.0, 62.0),
        price=Price(0.0, 0.8, 0.0), ready=None, promises=(), reopened=reopened, finished=("sand",), by_rules=("gloss",), kept=None,
    )  # fmt: skip
    said = [getattr(part, "text", part) for part in added.added_parts(wish, SHOP, "26-001", "red")]

    assert said[0] == "red, asked for since: 2 logos to redraw, in a rush 1"
    begins = [part.partition(" ")[0] if isinstance(part, str) else part.verb for part in said[1:]]
    assert begins == ["Between", "Materials", "No", "bench", "It", "Sand", "Your", "Once", "ask"]


def test_hours_that_may_be_none_less_make_it_no_sooner_and_the_day_is_the_one_to_tell():
    after = Dates(june(12), june(19), june(26), dt.date(2026, 7, 3))
    ready = SimpleNamespace(after=after, later=spread(-3.0, 0.0), say_yes_by=None)
    [said] = added._ready(SimpleNamespace(ready=ready, hours=spread(-2.0, 0.0)), TODAY)

    assert said == (
        "Ready no later, between Fri 12 June and Fri 26 June; tell the owner: ready by Fri 3 July, 9 times in 10."
    )


def test_of_those_not_named_the_most_counts_whichever_way_it_moves():
    boards = [*(moved(f"b{n}", n) for n in (4, 5, 6, 7, 8)), moved("on", 1), moved("back", -3)]

    assert list(moves_said(boards))[-1] == "2 more boards by 3 days at most."


def test_three_quarters_of_a_stage_are_not_all_of_it():
    one = SimpleNamespace(reopened=(SimpleNamespace(stage="gloss", share=0.75, hours=spread(3, 5)),))

    assert "done again: Gloss coat (three quarters), between 3 and 5 hours." in next(
        iter(added._reopened(one, SHOP))
    )


@pytest.mark.parametrize(("before", "after"), [(0.9, None), (None, 0.4)])
def test_a_chance_of_which_one_is_not_known_is_not_said(before, after):
    at = Dates(june(1), june(2), june(3)), Dates(june(1), june(2), june(6))
    one = Moved("red", "red", *at, june(20), before, after)

    assert list(moves_said([one])) == ["Red is three days later; no date of it is told yet."]


@pytest.mark.parametrize(("low", "high"), [(41.0, None), (None, 70.0)])
def test_hours_of_which_one_end_was_told_are_not_said(low, high):
    told = Told("a", TODAY, low, high, 900.0)

    assert added._told(told, "") == "Kept as told too: 900 in all."

"""The second page of a quarter, part by part, from figures by hand."""

import datetime as dt
from dataclasses import replace
from types import SimpleNamespace

import pytest
from making.verdicts import verdict

from estimator.bench.promises import Dates
from estimator.decide.quarter.accounts import Clock, Owing, Till
from estimator.decide.quarter.charges import Charge
from estimator.decide.quarter.lost_time import AllGivenBack, GivenBack, TurnedDown
from estimator.decide.quarter.outcomes import Afterwards, Taken, TurnedAway
from estimator.decide.quarter.pay import pay_of
from estimator.decide.quarter.work_in_hand import WorkInHand
from estimator.forecast.ranges import Spread
from estimator.said import quarter_page_two as two
from estimator.said.parts import Heading, Table
from estimator.words.settings.schema import Driver, Kind, Settings, Workshop

END, TODAY = dt.date(2026, 6, 30), dt.date(2026, 7, 6)
QUARTER = SimpleNamespace(today=TODAY, end=END, ahead=False)


def about(**more):
    return SimpleNamespace(**{"quarter": QUARTER, "currency": "mk", "wanted": 42.0, **more})


def said(parts):
    return [
        part.text if isinstance(part, Heading) else part.rows if isinstance(part, Table) else part
        for part in parts
    ]


@pytest.mark.parametrize(
    ("over", "words"),
    [
        (1.02, "as guessed"),
        (0.98, "as guessed"),
        (1.1, "a tenth over"),
        (0.8, "a fifth under"),
        (1.99, "three quarters over"),
        (2.0, "twice the guess or more"),
    ],
)
def test_how_hours_went_against_guesses(over, words):
    assert two._went(over) == words


@pytest.mark.parametrize(
    ("counted", "pay", "words"),
    [
        (5, 38.7, "39"),
        (4, 38.7, "only 4 boards"),
        (1, 38.7, "only 1 board"),
        (0, None, "-"),
        (9, None, "only 9 boards"),
    ],
)
def test_pay_of_fewer_than_five_is_no_figure(counted, pay, words):
    assert two._pay(replace(pay_of(()), counted=counted, all=pay)) == words


@pytest.mark.parametrize(
    ("by", "name", "words"),
    [
        ("kind", "major", "Full one"),
        ("kind", "", "No sort written"),
        ("wetness", "wet", "Was wet"),
        ("spray_colours", "two colours", "Two colours"),
    ],
)
def test_what_a_group_is_called(by, name, words):
    assert (
        two._name(
            SimpleNamespace(by=by, name=name), Settings(kinds={"major": Kind("major", label="Full one")})
        )
        == words
    )


@pytest.mark.parametrize(
    ("counts", "words"),
    [
        ((1, 0, 0), "One holds."), ((2, 1, 0), "Two hold, one has not enough boards to say."), ((0, 2, 1), "Two have not enough boards to say, one should change."),
        ((0, 0, 3), "Three should change."),
    ],
)  # fmt: skip
def test_how_many_rules_stand(counts, words):
    assert two._standing(*counts) == words


def test_own_rules_are_counted_and_those_that_are_wrong_named():
    rules = [verdict(), verdict(name="b", verdict="holds"), verdict(name="c", verdict="holds"), verdict(name="d", verdict="not enough boards"),
             verdict(name="e", text="", verdict="too high", inside=2, of=9)]  # fmt: skip

    assert said(two._rules(about(verdicts=tuple(rules)))) == [
        "Your rules of thumb", "Two hold, one has not enough boards to say, two should change.",
        "“Sanding takes 3 to 4½ hours”: too low; 1 of 15 fell inside.", "“e”: too high; 2 of 9 fell inside.",
    ]  # fmt: skip
    assert two._rules(about(verdicts=())) == two._rules(about(verdicts=None)) == []


@pytest.mark.parametrize(
    ("down", "lines"),
    [
        (TurnedDown((), (), (), 0.0), []),
        (TurnedDown(("a", "b"), (("too far gone", 2), ("full", 1)), ("c",), 3.5),
         ["Turned down", "You said no to 2 boards; 1 owner dropped theirs.", "Counting an hour each, that took 3½ hours: 147 mk at what you want.",
          "Why: too far gone (2 times); full."]),
        (TurnedDown((), (), ("c", "d"), 2.0), ["Turned down", "2 owners dropped theirs.", "Counting an hour each, that took 2 hours: 84 mk at what you want."]),
    ],
)  # fmt: skip
def test_what_was_turned_down_and_what_that_cost(down, lines):
    assert said(two._turned_down(about(turned_down=down))) == lines


def test_what_was_given_back_and_what_of_it_was_kept():
    one = GivenBack("a", "red", dt.date(2026, 5, 4), 4.0, 300.0, 40.0, 20.0)
    other = GivenBack("b", "tan", dt.date(2026, 6, 1), 0.0, 0.0, 0.0, None)
    assert said(two._given_back(about(given_back=AllGivenBack((one, other), 35.0)))) == [
        "Given back",
        "2 boards went back half done, after 4 hours in all: 300 mk charged, 260 mk kept. Not counted in the pay above.",
        (("red", "Mon 4 May", "4", "300", "40", "260", "60"), ("tan", "Mon 1 Jun", "0", "0", "0", "0", "")),
        "35 mk was given back on boards made ready, and is taken off the pay above.",
    ]
    assert len(two._given_back(about(given_back=AllGivenBack((one,), 0.0)))) == 3
    assert two._given_back(about(given_back=AllGivenBack((), 0.0))) == []


def test_what_is_owed_and_what_stands_about():
    owing = (
        Owing("a", "red", dt.date(2026, 6, 1), collected=True, owed=604.0),
        Owing("b", "tan", dt.date(2026, 6, 2), collected=False, owed=0.0),
    )
    parts = two._owed(about(owed=604.0, owing=owing))

    assert said(parts) == [
        "Owed today: 600 mk",
        (("red", "Mon 1 Jun", "600", ""), ("tan", "Tue 2 Jun", "paid", "still here")),
    ]
    assert parts[1].boards == ("a", "b")
    assert two._owed(about(owed=0.0, owing=())) == []
    assert said(two._owed(about(owed=None, owing=()))) == [
        "Owed",
        "No payment is written in your log, so what is owed can't be told.",
    ]


def charge(driver="logos", unit="", boards=9, set_up=0.5, materials=12.0, low=41.0, high=88.0, **more):
    return Charge(
        driver, unit, Spread(1.0, 1.5, 2.0), 1.5, set_up, materials, Spread(low, 60.0, high), boards, **more
    )


def test_what_is_charged_for_what():
    shop = Settings(
        workshop=Workshop(currency="mk", target_pay=42.0),
        drivers={
            "logos": Driver("logos", label="Logos"),
            "area": Driver("area", label="Old glass", unit="m2"),
        },
    )
    charges = [
        charge(), charge("area", "m2", boards=3, set_up=0.2, materials=4.9, by_rules=True), charge("once", boards=4, set_up=0.25, materials=5.0, low=80.0, high=82.0),
        charge(boards=0), charge(boards=1, materials=None),
    ]  # fmt: skip
    head, sentence, rows = said(two.charge_parts(charges, shop))

    assert (head, "brings 42 mk an hour" in sentence) == ("What I charge for what, guessed", True)
    assert rows == (
        ("Logos", "1 to 2", "½", "10", "40 to 90", ""),
        ("Old glass, 1 m²", "1 to 2", "", "", "40 to 90", "only 3 boards, by rules of thumb"),
        ("Every board, whatever is done", "1 to 2", "½", "10", "80", ""),
        ("Logos", "1 to 2", "½", "", "40 to 90", "only 1 board"),
    )
    assert two.charge_parts([charge(boards=0)], shop) == []


def hand(n, hours=(20.0, 30.0, 40.0), ready=(10, 20, 30), price=1000.0, so_far=12.0):
    dates = ready and Dates(*(TODAY + dt.timedelta(days) for days in ready))
    return WorkInHand(
        f"b{n}",
        f"gun {n}",
        "",
        "on bench",
        so_far,
        hours and Spread(*hours),
        dates,
        price,
        None,
        late=False,
        on="bench",
    )


def test_work_in_hand_is_what_is_left_of_it():
    boards = (hand(1), hand(2, hours=None, ready=None, price=None), hand(3, so_far=25.0, ready=(0, 0, 0)))
    parts = two._in_hand(about(in_hand=boards))

    assert parts[0].text == "In hand on Tue 30 June, guessed: 3 boards"
    assert parts[1].rows == (
        ("gun 1", "on the go", "12", "8 to 28", "Thu 16 Jul to Wed 5 Aug"),
        ("gun 2", "on the go", "12", "can't be told", "can't be told"),
        ("gun 3", "on the go", "25", "up to 15", "Mon 6 Jul"),
    )
    assert parts[2:] == ["About 23 hours still to work.", "Quoted for 2 of them: 2,000 mk."]
    now = two._in_hand(about(in_hand=boards[:1], quarter=SimpleNamespace(today=END, end=END)))
    assert (now[0].text, now[-1]) == ("In hand now, guessed: 1 board", "Quoted for them: 1,000 mk.")
    none = two._in_hand(about(in_hand=boards[1:2]))
    assert len(none) == 2
    assert two._in_hand(about(in_hand=())) == []


def taken(n, pay, why="", hours=40.0, given=(30.0, 38.0)):
    return Taken(f"b{n}", f"gun {n}", "yes", why, False, END, hours, pay, given, None)


def test_decisions_are_looked_back_on_those_for_love_apart():
    boards = (
        taken(1, 44.0, "that shape"),
        taken(2, 31.0),
        taken(3, None, hours=None, given=None),
        taken(4, 42.0, given=(35.0, 35.0)),
    )
    seen = Afterwards(boards, (taken(9, 5.0),), (), 42.0, 30.0)
    lines = said(two.decided_parts(about(decided=seen)))

    assert lines[:2] == [
        "What you decided, looked back on",
        "Of 3 boards that you thought over and took, 2 paid the 42 mk you want, 3 at least 30. Too few to learn from.",
    ]
    assert lines[2] == (
        ("gun 1", "that shape", "40", "30 to 38", "44"), ("gun 2", "no reason written", "40", "30 to 38", "31"),
        ("gun 3", "no reason written", "?", "", "?"), ("gun 4", "no reason written", "40", "35", "42"),
    )  # fmt: skip
    assert lines[3:] == [
        "Taken for love, and counted apart:",
        (("gun 9", "no reason written", "40", "30 to 38", "5"),),
    ]
    poor = Afterwards((taken(1, 20.0),), (), (), 42.0, 30.0)
    assert (
        "1 board that you thought over and took, none paid the 42 mk you want, none at least 30."
        in said(two.decided_parts(about(decided=poor)))[1]
    )
    assert two.decided_parts(about(decided=Afterwards((), (), (), 42.0, 30.0))) == []


@pytest.mark.parametrize(
    ("filled", "pay", "why", "line"),
    [
        (None, 44.0, "", "You turned down gun."),
        (0.96, 44.0, "full", "You turned down gun (full). The twelve weeks since were full, with boards that paid 44 mk an hour."),
        (0.94, 44.0, "", "You turned down gun. The twelve weeks since were 9 tenths full, with boards that paid 44 mk an hour."),
        (0.1, None, "", "You turned down gun. The twelve weeks since were 1 tenths full."),
        (0.04, 44.0, "", "You turned down gun. The twelve weeks since stood empty."),
        (1.3, None, "", "You turned down gun. The twelve weeks since were full."),
    ],
)  # fmt: skip
def test_what_the_weeks_of_a_board_turned_down_went_to(filled, pay, why, line):
    assert two._away(TurnedAway("g", "gun", why, END, filled, pay, 3), about()) == line


def test_the_clock_and_the_till_are_two_sums_each_with_its_parts():
    clock = Clock(120.0, 40.0, 6.0, 50.0, 9.0)
    till = Till(600.0, 2400.0, 0.0, returned=40.0, other=35.0)
    seen = about(made=(1,), clock=clock, till=till, payments_written=True)
    assert said(two._clock(seen)) == [
        "The clock and the till, apart",
        "You worked 166 hours in it: 120 on boards made ready in it, 40 on others, 6 on no board.",
        "The boards made ready in it hold 179 hours: 120 worked in it, 50 on other days, 9 on no day that is written.",
        "Money in: 3,000 mk, of it 600 deposits on new boards and 2,400 on boards paid for, 40 on no board; 40 given back.",
    ]
    plain = about(
        made=(), clock=Clock(0.0, 40.0, 0.0, 0.0, 0.0), till=Till(0.0, 0.0, 0.0), payments_written=False
    )
    assert said(two._clock(plain)) == [
        "The clock and the till, apart",
        "You worked 40 hours in it: 0 on boards made ready in it, 40 on others.",
    ]
    nothing = about(
        made=(), clock=Clock(0.0, 0.0, 0.0, 0.0, 0.0), till=Till(0.0, 0.0, 0.0), payments_written=True
    )
    assert two._clock(nothing) == []
    assert two._clock(SimpleNamespace(**{**vars(seen), "quarter": SimpleNamespace(ahead=True)})) == []


@pytest.mark.parametrize(("counted", "over"), [(4, ""), (5, "a fifth over")])
def test_how_guesses_went_is_said_of_groups_of_five(counted, over):
    pay = replace(pay_of(()), counted=counted, boards=7, hours=181.0, all=38.7)
    group = SimpleNamespace(by="kind", name="", pay=pay, before=replace(pay, counted=9, all=30.0), over=1.16)

    assert two._row(group, "181", Settings())[1:3] == ("7", "181")
    assert two._row(group, "181", Settings())[4:] == ("30", over)


def group_of(by, name, pay, before, change=None):
    return SimpleNamespace(by=by, name=name, pay=pay, before=before, change=change, over=None)


def paying(boards, hours, pay):
    return replace(pay_of(()), boards=boards, counted=boards, hours=hours, all=pay)


def year_of(kind, other, year, before, change=None):
    kinds = (group_of("kind", "major", *kind, change),)
    return about(
        by_kind=kinds, groups=(*kinds, group_of("wetness", "wet", *other)), year=year, year_before=before
    )


def test_the_whole_year_and_each_sort_stand_beside_the_year_before():
    none = paying(0, 0.0, None)
    seen = year_of(
        (paying(7, 181.0, 38.0), paying(6, 90.0, 31.0)), (paying(5, 140.0, 36.0), paying(9, 60.0, 33.0)),
        paying(8, 181.0, 39.0), paying(6, 92.0, 30.0),
    )  # fmt: skip
    shop = Settings(kinds={"major": Kind("major", label="Full one")})
    assert said(two.sort_parts(seen, shop)) == [
        "By sort of work, in twelve months",
        (("Full one", "7", "181", "38", "31", ""), ("All", "8", "181", "39", "30", "")),
        (("Was wet", "5", "140", "36", "33", ""),),
    ]
    gone = year_of((none, paying(6, 90.0, 31.0)), (none, none), none, paying(6, 90.0, 31.0))
    assert said(two.sort_parts(gone, shop))[1][-1] == ("All", "0", "0", "-", "31", "")
    begun = year_of((paying(7, 181.0, 38.0), none), (none, none), paying(7, 181.0, 38.0), none)
    assert said(two.sort_parts(begun, shop))[1][-1] == ("All", "7", "181", "38", "-", "")
    assert two.sort_parts(year_of((none, none), (none, none), none, none), shop) == []


@pytest.mark.parametrize(("sure", "told"), [(0.9, True), (0.899, False)])
def test_a_change_is_said_from_nine_times_in_ten_on(sure, told):
    pays = (paying(7, 181.0, 38.0), paying(6, 90.0, 31.0))
    change = SimpleNamespace(shrunk=0.1, how_sure=sure)
    seen = year_of(pays, pays, *pays, change)

    assert (
        "Major pays more than a year before. How sure: 9 times in 10." in two.sort_parts(seen, Settings())
    ) == told


def test_the_till_alone_is_told_and_what_is_none_is_left_out():
    clock, till = Clock(0.0, 0.0, 0.0, 0.0, 0.0), Till(600.0, 2400.0, 0.0)
    assert said(two._clock(about(made=(), clock=clock, till=till, payments_written=True)))[2] == (
        "Money in: 3,000 mk, of it 600 deposits on new boards and 2,400 on boards paid for."
    )
    ready = about(made=(1,), clock=clock, till=Till(0.0, 0.0, 0.0), payments_written=False)
    assert said(two._clock(ready))[2] == (
        "The boards made ready in it hold 0 hours: 0 worked in it, 0 on other days."
    )


def test_work_in_hand_at_the_end_of_a_year_is_said_from_that_day():
    boards = (replace(hand(1), ready=Dates(*(dt.date(2026, 1, day) for day in (5, 9, 23)))),)
    then = SimpleNamespace(today=TODAY, end=dt.date(2025, 12, 31))
    table = two._in_hand(about(in_hand=boards, quarter=then))[1]

    assert table.rows[0][-1] == "Mon 5 Jan to Fri 23 Jan"
    assert two._notes(about(notes=("No prices.",)))[1:] == ["No prices."]
    assert two._notes(about(notes=())) == []

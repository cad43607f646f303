"""A quarter in words: the sentence that carries it, what is asked first, and figures that add up as they are shown."""

import datetime as dt
import re
from dataclasses import replace
from types import SimpleNamespace

import pytest
from making.quarters import known_of, reviewed, write

from estimator.cli.printing import plain_lines
from estimator.decide.overruns.parts import BoardOverrun
from estimator.decide.quarter.charges import Charge
from estimator.decide.quarter.control_chart import Landed, chart_of
from estimator.decide.quarter.lost_time import WaitingTime
from estimator.decide.quarter.outcomes import Kept
from estimator.decide.quarter.pay import Change, Short
from estimator.decide.quarter.review import WentOver
from estimator.decide.quarter.work_in_hand import WorkInHand
from estimator.forecast.ranges import Spread
from estimator.said import quarter
from estimator.said.parts import Heading, Table
from estimator.said.quarter import headline, money_sentence, pay_sentence, quarter_parts
from estimator.said.quarter_page_two import page_two, sort_parts


@pytest.fixture(scope="module")
def workshop(tmp_path_factory):
    return known_of(write(tmp_path_factory.mktemp("words") / "shop"))


@pytest.fixture
def review(workshop):
    return reviewed(workshop)


def told(review, workshop):
    return plain_lines(quarter_parts(review, workshop[1]))


def headings(review, workshop):
    return [part.text for part in quarter_parts(review, workshop[1]) if isinstance(part, Heading)]


def test_first_what_is_missing_then_whether_it_paid_then_the_rest(review, workshop):
    assert headings(review, workshop) == [
        "July to September 2026",
        "Before we count",
        "Did it pay?",
        "In time, and as told?",
        "Where it went over",
        "What to change",
        "By sort of work, in twelve months",
        "Turned down",
        "Owed today: 2,600 mk",
        "The clock and the till, apart",
    ]


@pytest.mark.parametrize(
    ("pay", "overheads", "said"),
    [
        (
            42.2,
            0.0,
            "It paid. 42 mk an hour on 9 boards; you want 42 mk. That is before rent and power: none stand in",
        ),
        (39.0, 12.0, "Just short. 39 mk an hour on 9 boards; you want 42 mk. After rent and power, 27 mk."),
        (33.0, 12.0, "Short. 33 mk an hour on 9 boards; you want 42 mk. After rent and power, 21 mk."),
        (
            24.0,
            12.0,
            "It did not pay. 24 mk an hour on 9 boards; the least you'd take is 30 mk, and you want 42 mk.",
        ),
        (-4.0, 0.0, "It did not pay. −4 mk an hour on 9 boards"),
    ],
)
def test_the_one_sentence(review, pay, overheads, said):
    made = replace(review, pay=replace(review.pay, all=pay, counted=9), overheads=overheads)

    assert pay_sentence(made).replace(" mk", "").startswith(said.replace(" mk", ""))


def test_one_board_is_one_board(review):
    made = replace(review, pay=replace(review.pay, counted=1))
    assert "on 1 board;" in pay_sentence(made)


def test_what_is_missing_is_asked_first_and_by_name(review, workshop):
    lines = told(review, workshop)

    at = lines.index("Before we count")
    assert lines[at + 1] == "2 working days with nothing written: Tue 21 July, Wed 22 July."
    assert lines[at + 3] == "Ready and not paid: lime log, sand log."
    gaps = replace(review.gaps, days=(), not_paid=(), no_materials=("a", "b"), no_price=("c",))
    lines = told(replace(review, gaps=gaps), workshop)
    assert lines[at + 1 : at + 3] == [
        "No price is written on 1 board (c): left out of the pay below.",
        "No materials are written on 2 boards (a, b): left out of the pay below.",
    ]
    whole = replace(review.gaps, days=(), not_paid=())
    assert told(replace(review, gaps=whole), workshop)[at + 1] == "Nothing is missing."
    many = tuple(dt.date(2026, 7, n) for n in range(1, 11))
    assert "Tue 7 July" not in (
        line := told(replace(review, gaps=replace(whole, days=many)), workshop)[at + 1]
    )
    assert line.endswith("and 5 more.")


def test_why_pay_missed_what_is_wanted_adds_up_as_it_is_shown(review, workshop):
    line = next(line for line in told(review, workshop) if "what you want. " in line)

    assert line == (
        "On 6 boards with a guess of yours you came 40 mk over what you want. 590 mk less: boards took longer "
        "than you guessed. 630 mk more: the price was more than enough for the hours you guessed."
    )
    short = replace(review.short, total=108.0, from_hours=54.0, from_price=54.0)
    line = next(line for line in told(replace(review, short=short), workshop) if "what you want. " in line)
    total, hours, price = map(int, re.findall(r"(\d+) mk", line))
    assert (total, hours, price) == (110, 50, 60)


def test_promises_stand_beside_what_luck_allows(review, workshop):
    lines = told(review, workshop)

    assert "3 of 5 boards were ready by the last day you first told; luck alone allows 3 to 5." in lines
    assert "Late: red nine-four, lime log." in lines
    few = replace(review.dates_kept, held=0, chance=1e-5)
    assert "So few by luck alone: less than one time in 1,000." in told(
        replace(review, dates_kept=few), workshop
    )
    none = replace(review.dates_kept, held=0, of=0)
    assert "In time, and as told?" in headings(replace(review, dates_kept=none), workshop)  # hours were told
    nothing = replace(review, dates_kept=none, hours_kept=none)
    assert "In time, and as told?" not in headings(nothing, workshop)


def test_small_groups_say_how_small_they_are(review, workshop):
    table = next(p for p in quarter_parts(review, workshop[1]) if isinstance(p, Table) and p.total)

    assert table.rows[0] == ("Full restoration", "4", "181", "only 4 boards", "only 1 board", "")
    assert table.rows[-1][:3] == ("All", "7", "271")
    assert sum(int(row[2]) for row in table.rows[:-1]) == 271


def test_larger_groups_say_what_they_pay_and_how_guesses_went(review, workshop):
    group = replace(review.groups[0], pay=replace(review.pay, all=38.7, counted=9), over=1.16)
    made = replace(review, groups=(group, *review.groups[1:]))
    table = next(p for p in quarter_parts(made, workshop[1]) if isinstance(p, Table) and p.total)

    assert table.rows[0][3:] == ("39", "only 1 board", "a fifth over")


def test_hours_of_the_clock_and_of_boards_made_ready_are_two_sums(review, workshop):
    lines = told(review, workshop)
    worked = next(line for line in lines if line.startswith("You worked"))
    held = next(line for line in lines if line.startswith("The boards made ready"))

    for line in (worked, held):
        whole, *parts = map(int, re.findall(r"\d+", line))
        assert whole == sum(parts)
    assert worked.split(": ")[1].split()[0] == held.split(": ")[1].split()[0]  # the one share that both have


def test_no_percent_no_decimals_no_words_of_statistics(review, workshop):
    text = "\n".join(told(review, workshop))

    assert "%" not in text
    assert not re.search(r"\d\.\d", text)
    for word in (
        "EWMA",
        "quantile",
        "median",
        "prior",
        "posterior",
        "mean",
        "interval",
        "standard deviation",
    ):
        assert word not in text


def test_a_signal_is_told_with_its_day_and_how_often_luck_does_it(review, workshop):
    landed = [
        Landed(f"b{n}", "", f"2026-{3 + n // 5:02d}-{1 + n % 5:02d}", 1.2 if n > 9 else 0.0)
        for n in range(25)
    ]
    chart = chart_of(landed, "2026-07-01", "2026-09-30")
    lines = told(replace(review, chart=chart), workshop)

    assert chart.signal == 1
    assert any(
        line.startswith("Boards took longer than ranges said, by more than luck, from Fri 1 May on.")
        for line in lines
    )
    assert "By luck alone that comes about once in 53 years here." in lines
    still = chart_of([replace(one, score=0.0) for one in landed], "2026-07-01", "2026-09-30")
    lines = told(replace(review, chart=still), workshop)
    assert "Hours have stayed as near to what ranges said as luck lets them." in lines
    few = chart_of(landed[20:], "2026-07-01", "2026-09-30")
    lines = told(replace(review, chart=few), workshop)
    assert "Whether hours have changed is told from 8 boards on; only 5 boards yet." in lines


def test_quarters_without_boards_are_told_in_plain_words(workshop):
    ahead, running = reviewed(workshop, "2027-Q1"), reviewed(workshop, "2026-Q4")
    before, empty = reviewed(workshop, "2024-Q1"), reviewed(workshop, "2025-Q4")

    assert headline(ahead) == "January to March 2027, not begun yet"
    assert pay_sentence(ahead) == "It begins on Fri 1 January 2027: look back on it then."
    assert told(ahead, workshop) == ["January to March 2027, not begun yet", pay_sentence(ahead)]
    assert headline(running) == "October to December 2026, so far"
    assert pay_sentence(running) == "No board was made ready yet, so there is nothing to tell."
    assert pay_sentence(empty) == "No board was made ready, so there is nothing to tell."
    assert any(line.startswith("Your log begins after it, on") for line in told(before, workshop))
    for review in (ahead, running, before, empty):
        assert told(review, workshop)


def test_without_payments_nothing_is_said_of_what_is_owed(workshop):
    log, settings = workshop
    boards = tuple(replace(b, paid=None, paid_on=None) for b in log.boards)
    lines = told(reviewed((replace(log, boards=boards), settings)), workshop)

    assert "No payment is written in your log, so what is owed can't be told." in lines
    assert not any(line.startswith("Money in") for line in lines)


def test_money_in_and_out_adds_up_as_it_is_shown(review, workshop):
    rented = replace(review, overheads=9.0)
    money = rented.money
    assert money.came_in - money.materials - money.rent == pytest.approx(money.left)
    assert money.left / rented.pay.counted_hours == pytest.approx(rented.after_overheads)
    came, materials, rent, left = map(
        int,
        re.findall(
            r"(\d+)", money_sentence(rented).replace(",", "").partition("brought")[2].partition("for")[0]
        ),
    )
    assert came - materials - rent == left
    assert money_sentence(rented) in told(rented, workshop)
    assert "is missing" in money_sentence(replace(review, overheads=900.0))


def test_luck_is_not_told_of_a_handful(review, workshop):
    two = replace(review.dates_kept, held=1, of=2, band=(1, 2), missed=("red nine-four",))
    lines = told(replace(review, dates_kept=two), workshop)

    assert "1 of 2 boards were ready by the last day you first told." in lines


@pytest.mark.parametrize(
    ("paid", "said"),
    [
        ({"half": 1}, "One owner was told of hidden work, and paid half."),
        ({"me": 1}, "One owner was told of hidden work, and you paid for it."),
        ({"": 1}, "One owner was told of hidden work; who paid is not written."),
        (
            {"half": 2, "owner": 1},
            "Owners were told of hidden work three times: you shared it twice, the owner paid once.",
        ),
    ],
)
def test_who_paid_for_hidden_work(review, workshop, paid, said):
    one = BoardOverrun("26-002", "", "", "", 30.0, 40.0, 32.0, 35.0, 35.0)
    assert said in told(replace(review, went_over=WentOver((one,), 0, paid, 0.0)), workshop)


@pytest.mark.parametrize(
    ("shrunk", "above", "said"),
    [
        (0.1, 0.92, "Full restoration pays more than a year before. How sure: 9 times in 10."),
        (-0.1, 0.08, "Full restoration pays less than a year before. How sure: 9 times in 10."),
        (0.1, 0.89, None),
        (-0.1, 0.11, None),
    ],
)
def test_a_sort_is_said_to_pay_more_or_less_where_that_is_sure(review, workshop, shrunk, above, said):
    at = next(n for n, group in enumerate(review.groups) if group.name == "major")
    group = replace(review.groups[at], change=Change(shrunk, shrunk, above))
    groups = (*review.groups[:at], group, *review.groups[at + 1 :])

    lines = [
        part for part in sort_parts(replace(review, groups=groups), workshop[1]) if isinstance(part, str)
    ]

    assert lines == ([said] if said else [])


@pytest.mark.parametrize(
    ("short", "said"),
    [
        ((100.0, 60.0), "you came 100 mk short of what you want. 60 mk less: boards took longer than you guessed. 40 mk less: the price was low for"),
        ((-100.0, -140.0), "you came 100 mk over what you want. 140 mk more: boards went quicker than you guessed. 40 mk less: the price was low for"),
        ((20.0, -40.0), "you came 20 mk short of what you want. 40 mk more: boards went quicker than you guessed. 60 mk less: the price was low for"),
        ((-60.0, 40.0), "you came 60 mk over what you want. 40 mk less: boards took longer than you guessed. 100 mk more: the price was more than enough for"),
    ],
)  # fmt: skip
def test_whether_it_was_the_hours_or_the_price(review, short, said):
    found = quarter._why(Short(1, *short, short[0] - short[1]), review)

    assert found.startswith("On 1 board with a guess of yours ")
    assert said in found


@pytest.mark.parametrize(("boards", "spread"), [(4, False), (5, True)])
def test_how_single_boards_paid_is_said_from_five_on(review, boards, spread):
    pay = replace(review.pay, counted=boards, median=41.0, low=20.0, high=60.0)
    lines = [
        line
        for line in quarter._pay(replace(review, pay=pay))
        if isinstance(line, str) and line.startswith("Half of the boards")
    ]

    assert lines == (
        ["Half of the boards brought more than 41 mk an hour; 8 in 10 between 20 and 60 mk."]
        if spread
        else []
    )


def test_the_year_before_is_said_where_it_is_known(review):
    year = replace(review.last_year, all=38.4, counted=2)
    lines = quarter._pay(replace(review, last_year=year))
    assert "The same quarter a year before: 38 mk an hour on 2 boards." in lines
    none = quarter._pay(replace(review, last_year=replace(year, all=None)))
    assert not [line for line in none if isinstance(line, str) and line.startswith("The same quarter")]


def test_boards_made_ready_stand_one_by_one_with_what_is_not_known(review):
    one, *_ = review.made
    rows = quarter._boards([replace(one, hours=39.0, whole=False, price=None, materials=None)], review).rows

    assert rows == ((one.name, "Wed 1 Jul", "39 +?", "?", "?", "?"),)
    assert quarter._boards([one], review).rows[0][2:] == ("39", "1,800", "240", "40")


@pytest.mark.parametrize(
    ("stood", "said"),
    [
        ([WaitingTime("owner", 1, 8, 12, "red", over=True)], "Boards stood for an owner's answer once, 8 days within the quarter (longest red, 12 days)."),
        ([WaitingTime("drying", 2, 0, 1, "red", over=False), WaitingTime("queue", 3, 1, 30, "tan", over=True)],
         "Boards stood for drying twice (longest red, 1 day so far). For a place three times, 1 day within the quarter (longest tan, 30 days)."),
        ([], None),
    ],
)  # fmt: skip
def test_the_longest_waits_by_cause(stood, said):
    assert list(quarter._stood(stood)) == ([said] if said else [])
    many = [
        WaitingTime(cause, 1, 9 - n, 9, "red", over=True)
        for n, cause in enumerate(("drying", "away", "parts", "weather"))
    ]
    line = next(iter(quarter._stood(many)))
    assert "for drying once" in line
    assert "For you being away once" in line
    assert "weather" not in line  # three at most


@pytest.mark.parametrize(
    ("held", "of", "band", "lines"),
    [
        (1, 1, (0, 1), ["1 of 1 board was in time."]),
        (4, 4, (2, 4), ["4 of 4 boards were in time."]),
        (5, 5, (3, 5), ["5 of 5 boards were in time; luck alone allows 3 to 5."]),
        (5, 5, (5, 5), ["5 of 5 boards were in time; luck alone allows 5."]),
        (3, 5, (3, 5), ["3 of 5 boards were in time; luck alone allows 3 to 5.", "Late: red, tan."]),
        (2, 5, (3, 5), ["2 of 5 boards were in time; luck alone allows 3 to 5.", "So few by luck alone: one time in 50.", "Late: red, tan, blue."]),
    ],
)  # fmt: skip
def test_how_many_of_what_was_told_came_true(held, of, band, lines):
    missed = ("red", "tan", "blue")[: of - held]
    assert list(quarter._count(Kept(held, of, 0.9, band, 0.02, missed), "in time", "late")) == lines


def test_boards_still_in_hand_past_their_day_are_named(review):
    late = [
        WorkInHand(f"b{n}", f"gun {n}", "", "on bench", 1.0, None, None, None, None, late=n < 2)
        for n in range(3)
    ]
    assert "2 boards still in hand are past the day told: gun 0, gun 1." in quarter._kept(
        replace(review, in_hand=tuple(late))
    )
    assert "1 board still in hand is past the day told: gun 0." in quarter._kept(
        replace(review, in_hand=tuple(late[::2]))
    )
    nobody = replace(review.hours_kept, of=0)
    assert quarter._kept(replace(review, in_hand=tuple(late[2:]), hours_kept=nobody, dates_kept=nobody)) == []


def test_what_went_over_what_hid_work_and_what_was_charged_for_it(review):
    hid = BoardOverrun("26-002", "red", "", "", 30.0, 40.0, 32.0, 35.0, 35.0)
    went = WentOver((hid,), 1, {}, 150.0)
    lines = list(quarter._parts(went, review))
    assert lines[1] == "1 board has no guess, or hours are missing."
    assert lines[-1] == "Above what was quoted, 150 mk was charged on boards that hid work."
    two = list(quarter._parts(replace(went, left_out=2, charged=0.0), review))
    assert two[1] == "2 boards have no guess, or hours are missing."
    assert not [line for line in two if "Above what" in line]


@pytest.mark.parametrize(
    ("signal", "back", "since", "said"),
    [
        (1, False, "2026-05-01", "Boards took longer than ranges said, by more than luck, from Fri 1 May on. Look for what has changed."),
        (-1, True, "2026-05-01", "Boards took less than ranges said, by more than luck, from Fri 1 May on; since then they have come back to it. Look for"),
        (1, False, None, "Boards took longer than ranges said, by more than luck"),
        (0, False, None, "Hours have stayed as near to what ranges said as luck lets them."),
    ],
)  # fmt: skip
def test_whether_hours_have_changed(review, signal, back, since, said):
    chart = SimpleNamespace(
        looked_at=(1,), enough=True, boards=(1,) * 9, signal=signal, back=back, since=since
    )

    assert next(iter(quarter._chart(replace(review, chart=chart)))).startswith(said)
    assert list(quarter._chart(replace(review, chart=None))) == []
    nobody = SimpleNamespace(looked_at=(), enough=True)
    assert list(quarter._chart(replace(review, chart=nobody))) == []


def test_how_sure_a_change_is_is_said_of_all_but_what_is_owed(review):
    suggestions = (
        SimpleNamespace(change="Ring.", because="600 mk.", sort="owed", how_sure=1.0),
        SimpleNamespace(change="Ask more.", because="It pays less.", sort="price", how_sure=0.8),
    )
    assert quarter._changes(replace(review, suggestions=suggestions))[1:] == [
        "1. Ring. 600 mk.",
        "2. Ask more. It pays less. How sure: 8 times in 10.",
    ]
    assert quarter._changes(replace(review, suggestions=()))[1:] == ["Nothing that is sure enough to change."]


@pytest.mark.parametrize(("begins", "after"), [("2026-09-30", False), ("2026-10-01", True)])
def test_a_log_that_begins_after_the_quarter_says_so(review, begins, after):
    gaps = replace(review.gaps, begins=dt.date.fromisoformat(begins), days=(), not_paid=())
    said = quarter.gap_parts(replace(review, gaps=gaps))

    assert ("Your log begins after it, on Thu 1 October 2026." in said) == after
    assert ("Nothing is missing." in said) != after
    none = quarter.gap_parts(replace(review, gaps=replace(gaps, begins=None)))
    assert none[1:] == ["No hours are written by day, so nobody can tell which days are missing."]


@pytest.mark.parametrize(("days", "end"), [(5, "Sun 5 July."), (6, "Sun 5 July and 1 more.")])
def test_five_empty_days_are_named(review, days, end):
    gaps = replace(review.gaps, days=tuple(dt.date(2026, 7, n + 1) for n in range(days)))
    said = quarter.gap_parts(replace(review, gaps=gaps))

    assert said[1].endswith(end)
    assert said[2].endswith("explains a day.")
    assert (
        quarter.gap_parts(replace(review, gaps=gaps), answered_here=True)[2]
        == "Away, didn't work, or not written down?"
    )


RED_HID = BoardOverrun("26-002", "red", "", "", 30.0, 41.0, 32.0, 36.0, 37.0)
TAN_NOT = BoardOverrun("26-003", "tan", "", "", 20.0, 17.0, 19.0, 19.0, 19.0)


def test_hours_over_the_guesses_and_the_boards_that_hid_work(review):
    lines = list(quarter._parts(WentOver((TAN_NOT, RED_HID), 0, {}, 0.0), review))

    assert lines[0].startswith("2 boards took 58 hours; you had guessed 50. 8 hours over: ")
    assert lines[1:] == ["Hidden work on one of them: red."]
    assert len(list(quarter._parts(WentOver((TAN_NOT,), 0, {}, 0.0), review))) == 1


def test_tellings_of_hidden_work_are_counted_not_who_paid(review):
    went = WentOver((TAN_NOT,), 0, {"half": 2}, 0.0)
    assert list(quarter._parts(went, review))[1] == (
        "Owners were told of hidden work twice: you shared it twice."
    )


def test_where_no_board_can_be_judged_nothing_is_said_of_going_over(review):
    bare = replace(review, stood=(), chart=None)
    assert quarter.over_parts(replace(bare, went_over=WentOver((), 3, {}, 0.0))) == []
    assert quarter.over_parts(replace(bare, went_over=None)) == []
    assert quarter.over_parts(replace(bare, went_over=WentOver((TAN_NOT,), 0, {}, 0.0)))[0] == Heading(
        "Where it went over"
    )


@pytest.mark.parametrize(
    ("brought", "overheads", "said"),
    [
        (900.0, 9.0, "4 boards brought in 1,400 mk; materials took 500, rent and power 900; 0 mk is left, for 100 hours of work."),
        (890.0, 9.0, "4 boards brought in 1,400 mk; materials took 510, rent and power 900; 10 mk is missing, for 100 hours of work."),
        (900.0, 0.0, "4 boards brought in 1,400 mk; materials took 500; 900 mk is left, for 100 hours of work."),
    ],
)  # fmt: skip
def test_what_came_in_for_the_boards_that_count_and_what_is_left(review, brought, overheads, said):
    pay = replace(
        review.pay,
        boards=6,
        hours=180.0,
        counted=4,
        counted_hours=100.0,
        counted_income=1400.0,
        brought=brought,
    )
    assert money_sentence(replace(review, pay=pay, overheads=overheads)) == said


def test_each_thing_that_is_not_written_is_asked_by_itself(review):
    gaps = replace(
        review.gaps, days=(), no_price=("a",), no_materials=("b", "c"), no_hours=("d",), no_ready_date=("e", "f", "g"), not_paid=("h",)
    )  # fmt: skip
    assert quarter.gap_parts(replace(review, gaps=gaps))[1:] == [
        "No price is written on 1 board (a): left out of the pay below.",
        "No materials are written on 2 boards (b, c): left out of the pay below.",
        "Hours are missing on 1 board (d): left out of the pay below.",
        "No ready date is written on 3 boards (e, f, g): the last day written stands in.",
        "Ready and not paid: h.",
    ]


def test_of_a_quarter_to_come_nothing_is_missing(workshop):
    assert quarter.gap_parts(reviewed(workshop, "2027-Q1")) == []


def test_where_no_board_has_all_written_nobody_can_tell(review):
    none = replace(review, pay=replace(review.pay, all=None))

    assert pay_sentence(none) == (
        "None of the boards has its price, its materials and all its hours written, so nobody can tell."
    )
    assert isinstance(quarter._pay(none)[-1], Table)
    assert quarter._pay(replace(none, made=())) == [
        Heading("Did it pay?"),
        "No board was made ready, so there is nothing to tell.",
    ]


@pytest.mark.parametrize(("boards", "years"), [(5, "74 years"), (300, "1 year"), (1000, "1 year"), (0, None)])
def test_how_often_luck_alone_gives_such_a_signal_is_never_under_a_year(review, boards, years):
    """About 370 boards lie between two false alarms on average."""
    chart = SimpleNamespace(looked_at=(1,), enough=True, boards=(1,) * 9, signal=1, back=False, since=None)
    year = replace(review.year, boards=boards)

    assert list(quarter._chart(replace(review, chart=chart, year=year)))[1:] == (
        [f"By luck alone that comes about once in {years} here."] if years else []
    )


def test_all_that_were_missed_are_named_and_days_of_another_year_have_theirs(review):
    missed = ("red", "tan", "blue", "grey", "lime", "plum")
    kept = Kept(2, 8, 0.9, (2, 8), 0.02, missed)
    assert list(quarter._count(kept, "in time", "late"))[-1] == "Late: red, tan, blue, grey, lime, plum."
    one = replace(review.made[0], ended=dt.date(2025, 9, 2))
    assert quarter._boards([one], review).rows[0][1] == "Tue 2 Sep 2025"


def test_what_to_charge_is_left_out_where_it_stands_elsewhere(review, workshop):
    charge = Charge("area", "m2", Spread(1.0, 1.5, 2.0), 1.5, 0.5, 12.0, Spread(41.0, 60.0, 88.0), 9)
    charged = replace(review, charges=(charge,), notes=("No rules.",))
    with_, without = (
        [part.text for part in page_two(charged, workshop[1], charges=told) if isinstance(part, Heading)]
        for told in (True, False)
    )

    assert [head for head in with_ if head not in without] == ["What I charge for what, guessed"]
    assert without[-1] == "What could not be told"

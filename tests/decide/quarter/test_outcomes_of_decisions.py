"""Was it right? Boards taken against what was wanted and said, boards turned down against what their weeks brought."""

import datetime as dt
from dataclasses import replace

import pytest

from estimator.decide.quarter.outcomes import FEW, afterwards
from estimator.decide.quarter.pay import hours_of, made_ready
from estimator.words.records import DECLINED, FINISHED, SHOP, Board, Entry, Log, Told
from estimator.words.settings.schema import Bench, Settings, Stage, Workshop

MAY = dt.date(2026, 5, 4)
SPAN = (dt.date(2026, 4, 1), dt.date(2026, 6, 30))
SETTINGS = Settings(
    Workshop(target_pay=42.0, floor_pay=30.0),
    Bench(hours_by_weekday=(6, 6, 6, 6, 6, 0, 0)),
    stages={"strip": Stage("strip")},
)
TAKEN = Board(
    "a",
    called="red",
    state=FINISHED,
    ready=MAY,
    price_charged=2300.0,
    materials=200.0,
    guess_low=40.0,
    guess_high=40.0,
    decided="yes",
    decided_why="good money",
)
WORKED = Entry("a", MAY, "strip", 60.0, until=MAY)
NO = Board("n", called="tan", state=DECLINED, quoted=dt.date(2026, 2, 2), decided="no", decided_why="no room")


def seen(*boards, entries=(WORKED,), told=(), span=SPAN):
    log = Log(boards=boards, entries=tuple(entries), told=tuple(told))
    return afterwards(log, SETTINGS, made_ready(log, SETTINGS, hours_of(log, SETTINGS)), span)


def test_a_board_taken_is_held_against_what_was_wanted_and_said():
    said = seen(TAKEN)
    [one] = said.taken

    assert one.pay == pytest.approx(2100 / 60)
    assert one.said == (40.0, 40.0)
    assert one.said_pay == pytest.approx((52.5, 52.5))
    assert (said.paid_target, said.paid_floor, len(said.judged)) == (0, 1, 1)
    assert said.few


def test_what_was_told_first_counts_before_the_guess():
    first = Told("a", dt.date(2026, 3, 1), hours_low=50.0, hours_high=70.0)
    later = Told("a", dt.date(2026, 4, 1), hours_low=80.0, hours_high=90.0, because="hidden work")
    [one] = seen(TAKEN, told=(later, first)).taken

    assert one.said == (50.0, 70.0)
    assert one.said_pay == pytest.approx((30.0, 42.0))


def test_a_guess_from_memory_says_nothing():
    [one] = seen(replace(TAKEN, from_memory=True)).taken

    assert (one.said, one.said_pay) == (None, None)


def test_love_is_counted_apart():
    said = seen(replace(TAKEN, for_love=True))

    assert said.taken == said.judged == ()
    assert [one.name for one in said.for_love] == ["red"]


@pytest.mark.parametrize(
    "board",
    [
        replace(TAKEN, decided=""),
        replace(TAKEN, decided="no"),
        replace(TAKEN, ready=dt.date(2026, 7, 1)),
        replace(TAKEN, ready=None, state="on bench"),
    ],
)
def test_what_was_not_decided_or_is_not_ready_in_the_span_does_not_count(board):
    assert seen(board).taken == ()


def test_money_that_is_not_written_is_not_judged():
    said = seen(replace(TAKEN, materials=None))

    assert said.taken[0].pay is None
    assert said.judged == ()


def test_the_weeks_of_a_board_turned_down_went_to_others():
    [one] = seen(
        TAKEN, NO, span=(dt.date(2026, 4, 1), MAY)
    ).turned_away  # twelve weeks to 27 April: before red

    assert (one.name, one.why, one.day) == ("tan", "no room", dt.date(2026, 2, 2))
    assert (one.filled, one.pay, one.boards) == (0.0, None, 0)

    early = replace(TAKEN, ready=dt.date(2026, 4, 20))
    [one] = seen(early, NO, entries=[replace(WORKED, date=early.ready, until=early.ready)]).turned_away
    assert one.filled == pytest.approx(60 / (12 * 30))
    assert one.pay == pytest.approx(35.0)
    assert one.boards == 1


def test_only_what_was_turned_down_is_looked_for_in_other_work():
    asked = replace(NO, decided="")

    assert seen(replace(TAKEN, quoted=NO.quoted), asked).turned_away == ()


def test_it_waits_until_the_weeks_are_over():
    assert seen(NO, span=(dt.date(2026, 1, 1), dt.date(2026, 4, 26))).turned_away == ()
    assert len(seen(NO, span=(dt.date(2026, 4, 27), dt.date(2026, 4, 27))).turned_away) == 1


def test_each_decision_is_one_object_of_json():
    said = seen(TAKEN, NO).as_dicts()

    assert [one["sort"] for one in said] == ["taken", "turned away"]
    assert said[0]["pay"] == pytest.approx(35.0)


def test_a_handful_of_boards_is_enough_to_say_something():
    boards = [replace(TAKEN, board=f"{n}") for n in range(FEW)]

    assert not seen(*boards, entries=[replace(WORKED, board=b.board) for b in boards]).few


def test_hours_on_no_board_and_those_outside_of_the_weeks_fill_none_of_them():
    """Twelve weeks from 3 February to 27 April: sweeping is no board, 2 February is before, 28 April after."""
    first, last = dt.date(2026, 2, 3), dt.date(2026, 4, 27)
    entries = [
        Entry(SHOP, dt.date(2026, 3, 2), "sweeping", 90.0),
        Entry("a", first, "strip", 4.0),
        Entry("a", last, "strip", 5.0),
        Entry("a", first - dt.timedelta(days=1), "strip", 7.0),
        Entry("a", last + dt.timedelta(days=1), "strip", 8.0),
    ]

    [one] = seen(TAKEN, NO, entries=entries).turned_away

    assert one.filled == pytest.approx((4 + 5) / (12 * 30))


def test_the_weeks_of_a_board_turned_down_begin_when_it_was_quoted_else_asked():
    asked = replace(NO, asked=dt.date(2026, 1, 5))

    assert [one.day for one in seen(asked).turned_away] == [NO.quoted]
    late = replace(asked, quoted=None)  # its weeks ended on 30 March
    assert seen(late).turned_away == ()
    assert [one.day for one in seen(late, span=(dt.date(2026, 3, 30), MAY)).turned_away] == [
        dt.date(2026, 1, 5)
    ]


def test_pay_wanted_and_the_least_are_reached_at_the_figure_itself_and_few_are_those_whose_pay_is_known():
    """2,100 over 50 hours are 42, over 70 they are 30."""
    boards = [replace(TAKEN, board=f"{n}") for n in range(4)]
    hours = [replace(WORKED, board=f"{n}", hours=much) for n, much in enumerate((50.0, 70.0, 70.1, 50.0))]
    said = seen(*boards[:3], replace(boards[3], materials=None), replace(TAKEN, board="x"), entries=hours)

    assert (said.paid_target, said.paid_floor, len(said.judged), len(said.taken)) == (1, 2, 3, 5)
    assert said.few

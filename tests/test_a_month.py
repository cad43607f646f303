"""A month of an invented shop, played step by step on one log, over every kind of store.

After each day a check reads all answers, days, hours, prices and counts, and holds them against one another.
"""

import datetime as dt
import math
from dataclasses import replace
from types import SimpleNamespace

import pytest
from making.a_month import (
    FISH,
    RED,
    TAN,
    TAN_LOOKS,
    given_back,
    handed_over,
    hung_up,
    small_one,
    stripped,
    wet_inside,
)
from making.working_day import MAY, STORES, opened

from estimator.log.steps.enquiry import NewBoard, OwnGuess, QuestionsAnswered
from estimator.log.steps.leaving import DepositCame
from estimator.log.steps.telling import AskedSince, StruckOut, ToldOwner, figures_of
from estimator.log.tellings import first_tellings
from estimator.papers import paper_of
from estimator.words.dates import say_exactly
from estimator.words.phrases import round_hours
from estimator.words.records import FINISHED, IN_HAND, price_agreed, price_told
from estimator.working_day import DayAnswers

CLUB = "26-004"
A_CENT = 0.005


def sheet_of(now, kind, board):
    """The text of a sheet, as of a snapshot."""
    return paper_of(SimpleNamespace(snapshot=lambda: now), kind, board).text()


def all_agree(now, today):
    """Every answer of a day, held against every other."""
    log = now.whole_log
    assert now.problems == ()
    day = now.bench()
    assert {p.board for p in day.promises} | set(day.left_out or ()) == {
        b.board for b in log.boards if b.state in IN_HAND
    }
    judged = first_tellings(log.told)
    booked = {b.board: math.fsum(e.hours for e in log.entries if e.board == b.board) for b in log.boards}
    for promise in day.promises:
        board, said = log.by_id[promise.board], now.range(promise.board)
        # one day, whoever is asked: the list, the board alone, its range, and the sheet for its owner
        assert now.promise(board.board).ready == promise.ready
        assert (said.ready.low, said.ready.high, said.ready.tell) == (
            promise.ready.low,
            promise.ready.high,
            promise.ready.tell,
        )
        sheet = sheet_of(now, "owner", board.board)
        assert say_exactly(promise.ready.tell, today) in sheet
        # one day told: the bench's is the row's, and the board is judged on the first
        if board.board in judged and judged[board.board].last:
            assert promise.told.first_last == judged[board.board].last
            assert (promise.told.last - today).days == (promise.told.last - day.today).days
            assert promise.chance_kept is not None
        # one count of hours: those of the stages are those of the log, and the whole is never less
        assert math.fsum(stage.so_far for stage in said.stages) == pytest.approx(booked[board.board])
        assert said.low >= booked[board.board] - 1e-9
        assert promise.hours_left == pytest.approx(
            max(said.likely - booked[board.board], 0), rel=0.25, abs=1.5
        )
        assert math.fsum(reason.hours for reason in said.reasons) == pytest.approx(said.likely)
    for board in log.boards:
        agreed = price_agreed(board, log.told)
        if agreed:
            assert agreed.before + agreed.extra == pytest.approx(agreed.now, abs=A_CENT)
            assert agreed.now == price_told(board, log.told)
    return {p.board: p for p in day.promises}


@pytest.fixture(params=list(STORES))
def day(request, tmp_path):
    return opened(request.param, tmp_path)


def on(n):
    return MAY + dt.timedelta(days=n)


def test_a_month_in_which_every_answer_fits_every_other(day):
    do, now = day.do, day.now

    # Monday: a telephone rings; Tuesday: the board is here, and quoted
    do(NewBoard(owner="Tam Ludd", called="tan log", kind="major", length="9'6", wanted_by="2026-09-01"))
    do(NewBoard(owner="A stranger", only_asked=True))
    do(
        QuestionsAnswered(
            TAN,
            TAN_LOOKS,
            {"width": "22 1/2 in", "outline": "long", "judged_with": "in hand"},
        ),
        1,
    )  # fmt: skip
    do(OwnGuess(TAN, "60"), 1)
    range_then = now(1).range(TAN)
    done = do(ToldOwner(TAN, price="2400"), 1)
    told = now(1).whole_log.told[-1]
    assert (told.hours_low, told.hours_high) == (round_hours(range_then.low), round_hours(range_then.high))
    assert say_exactly(told.last, on(1))[:3] in done.label
    ready = now(1).ready(TAN)
    do(DepositCame(TAN, "800"), 2)
    promises = all_agree(now(2), on(2))
    assert promises[TAN].told.last == told.last
    # told as if he said yes within a week, and he did at once
    assert -7 <= (promises[TAN].ready.high - ready.high).days <= 1

    # a telling on the wrong board is struck out, and nothing counts it
    do(ToldOwner(RED, hours="40-60", price="1", last="2026-07-30"), 2)
    do(StruckOut(RED, "wrong board"), 3)
    assert all_agree(now(3), on(3))[RED].told is None
    do(ToldOwner(RED, price="2100"), 3)
    assert now(3).whole_log.by_id[RED].price_quoted == 2100

    # a week of work: stripped, and wet inside
    stripped(do)
    before = now(8).range(TAN)
    wet_inside(do)
    wet = all_agree(now(8), on(8))[TAN]
    after = now(8).range(TAN)
    assert after.likely > before.likely
    assert wet.ready.high > promises[TAN].ready.high
    hung_up(do)
    all_agree(now(8), on(8))

    # her owner wants a colour more, then one less than that
    asked = now(9).asked_since(TAN, {"spray_colours": 1})
    agreement = DayAnswers(now(9)).agreement(TAN, {"spray_colours": "1"}, price=300.0)
    carried = figures_of(agreement, less=False, extra=None)
    do(AskedSince(TAN, {"spray_colours": "1"}, price="300", worked_out=carried), 9)
    log = now(9).whole_log
    telling = log.told[-1]
    assert (telling.price, telling.because) == (2800, "asked later")
    assert (telling.hours_low, telling.hours_high) == (
        round_hours(asked.in_all.low),
        round_hours(asked.in_all.high),
    )
    assert telling.last == asked.ready.after.tell  # the day that is said, and no other
    assert (
        replace(telling, where=agreement.telling.where) == agreement.telling
    )  # what was shown is what was told
    assert telling.adds_hours == pytest.approx(asked.hours.likely, rel=0.02)
    then = all_agree(now(9), on(9))
    assert (then[TAN].ready.low, then[TAN].ready.high) == (asked.ready.after.low, asked.ready.after.high)
    assert (now(9).range(TAN).low, now(9).range(TAN).high) == pytest.approx(
        (asked.in_all.low, asked.in_all.high)
    )
    less = now(10).asked_since(TAN, {"pinlines": -1})
    assert less.hours.high < 0
    do(AskedSince(TAN, {"pinlines": "-1"}, price="100"), 10)
    assert now(10).whole_log.told[-1].price == 2700
    assert price_agreed(now(10).whole_log.by_id[TAN], now(10).whole_log.told).extra == 200
    all_agree(now(10), on(10))

    # another board meanwhile: small, and sanded through
    small_one(do, {"width": "20 in", "outline": "fish"})
    all_agree(now(14), on(14))
    handed_over(do)

    # and one that is given back
    given_back(do)
    all_agree(now(22), on(22))

    # the hand-over: its price is the one that was told, and paid
    sheet = sheet_of(now(22), "handover", FISH)
    assert "640" in sheet
    assert price_told(now(22).whole_log.by_id[FISH], now(22).whole_log.told) == 640

    # the quarter: every hour once, every penny once, every board in its place
    review, log = now(58).quarter("2026-Q2"), now(58).whole_log
    worked = math.fsum(e.hours for e in log.entries)
    assert review.clock.worked == pytest.approx(worked)
    assert (
        [made.board for made in review.made] == [b.board for b in log.boards if b.state == FINISHED] == [FISH]
    )
    [made] = review.made
    assert (made.hours, made.price, made.materials) == (10.5, 640, 45.5)
    assert made.pay == pytest.approx((640 - 45.5) / 10.5)
    [back] = review.given_back.boards
    assert (back.board, back.hours, back.charged, back.kept, back.returned) == (RED, 5, 300, 260, 40)
    assert review.till.deposits + review.till.balances + review.till.undated == pytest.approx(800 + 640 + 300)
    assert review.till.returned == 40
    assert len(review.turned_down.boards) == 1
    assert [one.board for one in review.in_hand] == [TAN]
    assert {wait.cause: wait.waits for wait in review.stood} == {"drying": 1}
    [over] = now(58).overruns().boards
    assert (over.board, over.guessed, over.took) == (FISH, 9, 10.5)
    assert math.fsum(over.hours.values()) == pytest.approx(over.took - over.guessed)

"""What one more board does to the dates of others, on the same draws with it and without."""

import datetime as dt
from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest
from making.fits import SETTINGS, made_fit

from estimator.bench.calendar import capacity_of
from estimator.bench.outlook import Hand, Outlook
from estimator.bench.promises import Dates, ToldDates
from estimator.bench.waits import Waits
from estimator.decide.weigh.promise_impact import each_moved, hours_in_hand, moved_by
from estimator.model.saved_fit import KnownBoard
from estimator.words.records import WAITING, Board, Entry, Log
from estimator.words.settings.schema import Bench

DAY = dt.date(2026, 10, 1)
VALUES = {"area": 1.0, "pieces": 1.0, "colours": 1.0, "brittle": 0.0, "masking": 0.0}
SHOP = replace(SETTINGS, bench=Bench(places=1, most_hours_a_day_on_one_board=6.0))
NEW = KnownBoard("new", called="late long", state="asked", assessed=VALUES)


def row(n, days):
    told = DAY + dt.timedelta(days)
    return Board(
        f"{n}", called=f"board {n}", state=WAITING, accepted=DAY - dt.timedelta(30 - n), promised_last=told
    )


ROWS = (row(1, 7), row(2, 13), row(3, 20))


def outlook(rows=ROWS):
    known = tuple(KnownBoard(b.board, b.called, state=WAITING, assessed=VALUES) for b in rows)
    fit = made_fit(n=50, unsure=0.1, chances={"stain": (1.0, 9.0)}, boards=(*known, NEW))
    log = Log(boards=(*rows, Board("new", called="late long")), entries=(Entry("1", DAY, "check", 0.0),))
    hand = Hand(log, SHOP, fit, Waits.fitted(log, SHOP, fit, seed=0), DAY, 0, 400)
    return Outlook.of(hand, capacity_of(log, SHOP.bench, DAY, seed=0))


@pytest.fixture(scope="module")
def asked():
    return moved_by(outlook(), NEW, DAY)


@pytest.fixture(scope="module")
def in_hand():
    here = outlook()
    return moved_by(here, here.hand.known["1"], DAY)


def test_one_behind_all_others_moves_nobody(asked):
    assert [one.name for one in asked.boards] == ["board 1", "board 2", "board 3"]
    assert all(one.before == one.after for one in asked.boards)
    assert not any(one.worth_a_word for one in asked.boards)
    assert asked.newly < 0.01  # in a few draws the luck of who gets a free place


def test_it_is_ready_after_them_itself(asked):
    assert asked.own.low > asked.boards[2].after.low
    assert asked.say_yes_by == DAY + dt.timedelta(7)


def test_one_in_hand_is_taken_away_for_the_dates_before(in_hand):
    whole = outlook()
    ready = whole.finished().ready

    assert [one.board for one in in_hand.boards] == ["2", "3"]
    assert in_hand.say_yes_by is None
    assert in_hand.own == whole.to_tell("1", ready[0], DAY)
    for one, days in zip(in_hand.boards, ready[1:3], strict=True):  # then boards that nobody has asked for
        assert one.after == whole.to_tell(one.board, days, DAY)
        assert one.later >= 2
        assert one.worth_a_word


def test_it_costs_the_chances_that_it_takes(in_hand):
    for one in in_hand.boards:
        assert one.kept_before > one.kept_after
    assert in_hand.newly == pytest.approx(sum(one.kept_before - one.kept_after for one in in_hand.boards))
    assert in_hand.newly > 0.1


def test_boards_that_nothing_was_told_of_have_no_chance():
    rows = (replace(ROWS[0], promised_last=None), ROWS[1])
    said = moved_by(outlook(rows), NEW, DAY).boards[0]

    assert (said.told, said.kept_before, said.kept_after) == (None, None, None)
    assert said.as_dict()["chance_kept_before"] is None


def test_hours_in_hand_are_those_of_the_others():
    whole = outlook()
    hours = [float(job.hours.sum(axis=0).mean()) for job in whole.jobs]

    assert hours_in_hand(whole, "new") == pytest.approx(sum(hours))
    assert hours_in_hand(whole, "2") == pytest.approx(hours[0] + hours[2])


def test_chances_are_those_of_the_day_told_last_by_hand():
    """Told day 13 after day 7: ready on day 6 or 13 it is kept in both draws, on day 13 or 17 in one of them.

    Days count from that of the bench, whichever day it is today.
    """
    told = ToldDates(None, DAY + dt.timedelta(13), DAY + dt.timedelta(7))
    others = SimpleNamespace(
        boards=(row(1, 7), row(2, 7)),
        told={"1": told},
        hand=SimpleNamespace(day=DAY),
        to_tell=lambda _, ready, __: Dates(
            *(DAY + dt.timedelta(int(n)) for n in (min(ready), *[max(ready)] * 2))
        ),
    )
    before, after = np.array([[6.0, 13.0], [3.0, 3.0]]), np.array([[13.0, 17.0], [5.0, 5.0]])
    one, untold = each_moved(others, before, after, DAY + dt.timedelta(2))

    assert (one.told, one.kept_before, one.kept_after) == (told.last, 1.0, 0.5)
    assert (one.fell, one.later) == (0.5, 4)
    assert (untold.told, untold.kept_before, untold.fell, untold.later) == (None, None, 0.0, 2)

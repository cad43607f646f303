"""Boards thought over, from a fit made by hand."""

import datetime as dt
from dataclasses import replace

from estimator.bench.promises import Dates
from estimator.decide.weigh.assess import BenchToday, weigh
from estimator.decide.weigh.open_first import draws_of
from estimator.decide.weigh.promise_impact import AllMoved, Moved
from estimator.decide.weigh.terms import Question
from estimator.decide.weigh.worth import Overhead, UsualPay
from estimator.model.saved_fit import KnownBoard
from estimator.words.records import Board
from estimator.words.settings.schema import Workshop
from making.fits import SETTINGS, made_fit

TODAY = dt.date(2026, 10, 1)
PAST = tuple(
    KnownBoard(
        f"p{n}",
        state="finished",
        assessed={"area": 1.4, "pieces": 2.0, "colours": 1.0, "brittle": 0.0, "masking": 0.0},
        found={"pieces": 2.0 + 6 * (n % 3 == 0), "brittle": 0.0},
        hours=30.0,
    )
    for n in range(12)
)
FIT = made_fit(n=200, unsure=0.1, chances={"stain": (1.0, 9.0)}, boards=PAST)
BOARD = KnownBoard(
    "26-040",
    called="red nine-four",
    state="asked",
    assessed={"area": 1.4, "pieces": 2.0, "colours": 1.0, "brittle": 0.0, "masking": 0.0},
)
ROW = Board("26-040", called="red nine-four")
SHOP = replace(SETTINGS, workshop=Workshop(currency="mk", target_pay=42.0, floor_pay=30.0))
USUAL = UsualPay(40.0, 12, 400.0, 1)


def dates(*days):
    return Dates(*(TODAY + dt.timedelta(n) for n in days))


def moved(fell=0.4):
    boards = (
        Moved("1", "blue fish", dates(5, 8, 12), dates(5, 8, 12)),
        Moved("2", "green gun", dates(20, 30, 40), dates(26, 38, 50), dates(35, 35, 35).low, 0.7, 0.7 - fell),
    )
    return AllMoved(boards, dates(60, 70, 90), TODAY + dt.timedelta(7))


def standing(**more):
    fields = {
        "usual": USUAL,
        "overhead": Overhead(0.0, 1400.0, True),
        "today": TODAY,
        "moved": moved(0.0),
        "hours_in_hand": 1000.0,
    }
    return BenchToday(**(fields | more))


def weighed(price=1300.0, *, board=BOARD, row=ROW, settings=SHOP, fit=FIT, how=None, seed=0, **question):
    draws = draws_of(fit, board, settings, seed=seed)
    return weigh(row, Question(price, **question), draws, how or standing(), settings, seed)

"""What `weigh` says: whether to take a board on, under which terms, and what carries the answer."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import Any

from estimator.decide.weigh.open_first import Opening
from estimator.decide.weigh.promise_impact import AllMoved
from estimator.decide.weigh.terms import FIXED, TermsSaid, Wanted
from estimator.decide.weigh.worth import Elsewhere, Overhead, UsualPay
from estimator.words.json_form import JsonForm

NO = "no"


@dataclass(frozen=True, slots=True)
class OpenFirst(JsonForm):
    """What opening it up first comes to.

    fee, named: for opening up, and whether the restorer named it; credited: whether it counts towards the price
    hours: of opening up, on average; shows: quantities that it shows; before, after: how wide the range of hours is,
    today and once it is open, on average
    value, error: over deciding today, and its error from drawing; seeing: what is shown is worth so much of it
    fewer, more: the same where an owner takes a price two times in ten less often, and more often
    goes_on, asks_anew, ends: how often the work goes on at the price named, at a higher one, and ends there
    asks: the highest price that is asked then
    """

    fee: float
    named: bool
    credited: bool
    hours: float
    shows: tuple[str, ...]
    before: float
    after: float
    value: float
    error: float
    seeing: float
    fewer: Opening
    more: Opening
    goes_on: float
    asks_anew: float
    ends: float
    asks: float

    def _json(self) -> dict[str, Any]:
        # by hand: how far it narrows the range is a difference, and of the two openings only the value is told
        return {
            "fee": self.fee,
            "credited": self.credited,
            "hours": self.hours,
            "shows": self.shows,
            "narrows_hours": self.before - self.after,
            "value": self.value,
            "error": self.error,
            "of_what_is_shown": self.seeing,
            "value_if_owners_agree": {"less_often": self.fewer.value, "more_often": self.more.value},
            "goes_on": self.goes_on,
            "asks_anew": self.asks_anew,
            "ends": self.ends,
            "highest_price_asked": self.asks,
        }


@dataclass(frozen=True, slots=True)
class Decided:
    """What was decided of a board before: yes, no or open-first, why, and whether for love."""

    answer: str
    why: str = ""
    for_love: bool = False


@dataclass(frozen=True)
class Weighing(JsonForm):
    """A board that is thought over.

    answer: fixed, ceiling, open-first or no; recommendation: the same in a sentence; because: sentences, the two that
    carry it first; flips: what would change it; notes: what could not be counted, or was taken as it is
    hours, materials: low, likely and high at the odds, and on average; bench_weeks: the hours in weeks of the calendar
    boards: past boards that the hours rest on
    broken_cost: what a newly broken promise is set to cost; penalty: what those that this board breaks come to
    """

    board: str
    name: str
    price: float
    odds: float
    terms: tuple[TermsSaid, ...]
    moved: AllMoved | None
    usual: UsualPay
    elsewhere: Elsewhere
    wanted: Wanted
    overhead: Overhead
    hours: tuple[float, float, float]
    mean_hours: float
    materials: float
    boards: int
    bench_weeks: float | None
    broken_cost: float
    penalty: float
    opening: OpenFirst | None
    answer: str
    recommendation: str
    because: tuple[str, ...]
    flips: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    in_hand: bool = False
    decided: Decided | None = None
    today: dt.date | None = None

    @property
    def best(self) -> TermsSaid:
        """The terms that are spoken of: those recommended, else a fixed price, else the first."""
        by_name = {one.terms: one for one in self.terms}
        return by_name.get(self.answer) or by_name.get(FIXED) or self.terms[0]

    def _json(self) -> dict[str, Any]:
        """The JSON of `weigh`, numbers unrounded."""
        # by hand: much of it comes out of the parts that it is made of
        low, likely, high = self.hours
        moved, opening = self.moved, self.opening
        return {
            "board": self.board,
            "price": self.price,
            "odds": self.odds,
            "answer": self.answer,
            "recommendation": self.recommendation,
            "because": self.because,
            "would_change_it": self.flips,
            "terms": self.terms,
            "hours": {"low": low, "likely": likely, "high": high, "mean": self.mean_hours},
            "materials": self.materials,
            "bench_weeks": self.bench_weeks,
            "ready": None if moved is None else {**moved.own.as_dict(), "say_yes_by": moved.say_yes_by},
            "promises": () if moved is None else moved.boards,
            "newly_broken": None if moved is None else moved.newly,
            "penalty": self.penalty,
            "usual_mix_pay": self.usual.pay,
            "usual_mix": self.usual,
            "hour_elsewhere": self.elsewhere,
            "target_pay": self.wanted.target,
            "floor_pay": self.wanted.floor,
            "overhead_per_hour": self.wanted.overhead,
            "strip_first_value": None if opening is None else opening.value,
            "strip_first": opening,
            "decided": self.decided,
            "notes": self.notes,
        }

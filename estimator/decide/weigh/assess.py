"""Whether to take a board on: terms, promises and opening it first, on the same draws."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Self

import numpy as np

from estimator.decide.quarter.pay import hours_of, made_ready
from estimator.decide.weigh.advice import Grounds, advised
from estimator.decide.weigh.open_first import BoardDraws, Finds, Offer, Opening, opening_first
from estimator.decide.weigh.promise_impact import AllMoved
from estimator.decide.weigh.terms import (
    CEILING,
    FIXED,
    OPEN_FIRST,
    Outcome,
    Question,
    TermsSaid,
    Wanted,
    at_price,
    said_of,
    under_ceiling,
    usual_ceiling,
)
from estimator.decide.weigh.weighing import Decided, OpenFirst, Weighing
from estimator.decide.weigh.worth import (
    Filling,
    Overhead,
    UsualPay,
    elsewhere,
    filling_of,
    overhead_an_hour,
    usual_pay,
)
from estimator.forecast.answers import price_for
from estimator.model.saved_fit import Array
from estimator.words.money import say_money
from estimator.words.records import IN_HAND, TERMS, Board, Log
from estimator.words.settings.schema import Settings

AGREE = 0.2  # by which owners may take a price less often, or more often, than the setting says
ENOUGH = 30  # draws of a find from which the width of its range is told


@dataclass(frozen=True, slots=True)
class BenchToday:
    """How the shop stands: what its hours earn and carry, and what the board does to the dates of others.

    moved: None where no dates can be given; no_dates: why, empty where they are
    hours_in_hand: still to work on other boards, None where that cannot be told
    filling: the pay that the work asked for fills the hours at, None where too few enquiries tell
    """

    usual: UsualPay
    overhead: Overhead
    today: dt.date
    moved: AllMoved | None = None
    no_dates: str = ""
    hours_in_hand: float | None = None
    filling: Filling | None = None

    @classmethod
    def of(cls, log: Log, settings: Settings, today: dt.date) -> Self:
        """The shop as a log tells of it on a day, without the dates of others."""
        hours = hours_of(log, settings)
        usual = usual_pay(made_ready(log, settings, hours), settings.workshop.target_pay, today)
        asked = filling_of(log, settings, hours, today)
        return cls(usual, overhead_an_hour(log, settings, today), today, filling=asked)


def weigh(
    board: Board, question: Question, draws: BoardDraws, standing: BenchToday, settings: Settings, seed: int
) -> Weighing:
    """What taking a board on comes to, under each of the terms asked for; all three where none are.

    Terms that cannot be are left out, with the reason among the notes; where none is left, a fixed price is weighed.
    """
    shop, price, moved = settings.workshop, question.price, standing.moved
    week = float(sum(settings.bench.hours_by_weekday))
    in_hand = None if standing.hours_in_hand is None or not week else standing.hours_in_hand / week
    asked = standing.filling or Filling(standing.usual.pay, 0)
    there = elsewhere(asked.pay, min(shop.idle_hour, shop.floor_pay), in_hand, asked.asks)
    wanted = Wanted(shop.target_pay, shop.floor_pay, standing.overhead.an_hour, there.pay)
    penalty = 0.0 if moved is None else shop.broken_promise_cost * moved.newly
    opening, first, without = _opening(question, draws, wanted, settings)
    said = _terms(question, draws, wanted, penalty, seed, opening=opening, first=first)
    notes = list(_taken(question, draws, standing, shop.currency))
    if question.ceiling is not None and question.ceiling < price and question.terms in {None, CEILING}:
        low, high = (say_money(amount, shop.currency) for amount in (question.ceiling, price))
        notes.append(f"A ceiling of {low} lies below the price, {high}, and is left out.")
    if without and question.terms in {None, OPEN_FIRST}:
        notes.append(without)
    grounds = Grounds(
        price=price,
        terms=said,
        fixed=float((price - draws.materials - wanted.worth * draws.hours).mean()) - penalty,
        opening=opening,
        moved=moved,
        penalty=penalty,
        broken_cost=shop.broken_promise_cost,
        usual=standing.usual,
        elsewhere=there,
        wanted=wanted,
        mean_hours=float(draws.hours.mean()),
        materials=float(draws.materials.mean()),
        in_hand=board.state in IN_HAND,
        currency=shop.currency,
    )
    advice = advised(grounds)
    return Weighing(
        board=board.board,
        name=board.name,
        price=price,
        odds=question.odds,
        terms=said,
        moved=moved,
        usual=standing.usual,
        elsewhere=there,
        wanted=wanted,
        overhead=standing.overhead,
        hours=(draws.said.low, draws.said.likely, draws.said.high),
        mean_hours=grounds.mean_hours,
        materials=grounds.materials,
        boards=draws.said.boards,
        bench_weeks=grounds.mean_hours / week if week else None,
        broken_cost=shop.broken_promise_cost,
        penalty=penalty,
        opening=opening,
        answer=advice.answer,
        recommendation=advice.recommendation,
        because=advice.because,
        flips=advice.flips,
        notes=tuple(notes),
        in_hand=grounds.in_hand,
        decided=Decided(board.decided, board.decided_why, board.for_love) if board.decided else None,
        today=standing.today,
    )


def _taken(question: Question, draws: BoardDraws, standing: BenchToday, currency: str) -> Iterator[str]:
    """What was taken as it is, and what could not be counted."""
    if question.from_log:
        yield f"The price is the one in your log, {say_money(question.price, currency)}."
    if draws.materials_lent:
        yield "No finished board tells what materials cost: they are taken as a lent share of the price."
    usual = standing.usual
    if not usual.boards:
        yield (
            "No finished board of the last two years has price, materials and hours: your ordinary work is taken to "
            "pay what you want."
        )
    if standing.no_dates:
        yield f"What it does to the days that you told others is left out: {standing.no_dates}"


def _terms(
    question: Question,
    draws: BoardDraws,
    wanted: Wanted,
    penalty: float,
    seed: int,
    *,
    opening: OpenFirst | None,
    first: Opening | None,
) -> tuple[TermsSaid, ...]:
    """What each of the terms asked for comes to, as far as they can be; a fixed price where none can."""
    price, hours, materials = question.price, draws.hours, draws.materials
    cost = wanted.target * hours + materials
    needed = price_for(wanted.target, hours, materials, question.odds)
    ceiling = usual_ceiling(price, cost) if question.ceiling is None else question.ceiling
    asked = TERMS if question.terms is None else (question.terms,)
    plain = {FIXED: at_price(price, hours, materials)}
    if ceiling >= price:
        plain[CEILING] = under_ceiling(ceiling, wanted.target, hours, materials)
    most = {FIXED: price, CEILING: ceiling}
    said = [
        said_of(
            terms,
            plain[terms],
            wanted,
            price=price,
            most=most[terms],
            price_for_target=needed,
            odds=question.odds,
            penalty=penalty,
            ceiling=ceiling if terms == CEILING else None,
        )
        for terms in asked
        if terms in plain
    ]
    if OPEN_FIRST in asked and opening is not None and first is not None:
        said.append(_opened(first, opening, draws, wanted, question, penalty, seed))
    if said:
        return tuple(said)
    return _terms(replace(question, terms=FIXED), draws, wanted, penalty, seed, opening=None, first=None)


def _opening(
    question: Question, draws: BoardDraws, wanted: Wanted, settings: Settings
) -> tuple[OpenFirst | None, Opening | None, str]:
    """What opening up first comes to; None with the reason where there is nothing to open, or the fee is too high."""
    shop, finds = settings.workshop, draws.finds
    if finds is None:
        return None, None, "There is nothing on this board to open up first, or it is open already."
    named = question.strip_fee is not None
    fee = wanted.target * finds.opening if question.strip_fee is None else question.strip_fee
    if fee > question.price:
        said = say_money(fee, shop.currency), say_money(question.price, shop.currency)
        return None, None, f"Opening it up for {said[0]} is more than the price, {said[1]}, and is left out."
    offer = Offer(question.price, fee, shop.strip_fee_credited, wanted.worth, wanted.target, shop.requote)
    first = opening_first(finds, offer)
    on, asks, ends = first.becomes()
    going = first.chance > 0
    wide = float(np.subtract(*np.quantile(draws.hours, [0.9, 0.1])))
    return (
        OpenFirst(
            fee=fee,
            named=named,
            credited=shop.strip_fee_credited,
            hours=finds.opening,
            shows=draws.shows,
            before=wide,
            after=_width_once_open(draws.hours, finds, wide),
            value=first.value,
            error=draws.error(offer),
            seeing=first.seeing,
            fewer=opening_first(finds, offer.shifted(-AGREE)),
            more=opening_first(finds, offer.shifted(AGREE)),
            goes_on=on,
            asks_anew=asks,
            ends=ends,
            asks=question.price * float(first.times[going].max(initial=0.0)),
        ),
        first,
        "",
    )


def _width_once_open(hours: Array, finds: Finds, wide: float) -> float:
    """How wide the range of hours at 8 in 10 is once the board is open, on average; that of rare finds as it is now."""
    if len(finds.share) == 1:
        return wide
    order = np.argsort(finds.of, kind="stable")
    groups: Sequence[Array] = np.split(hours[order], np.cumsum(np.bincount(finds.of))[:-1])
    widths = [
        float(np.subtract(*np.quantile(some, [0.9, 0.1]))) if len(some) >= ENOUGH else wide for some in groups
    ]
    return float(finds.share @ np.array(widths))


def _opened(
    first: Opening,
    opening: OpenFirst,
    draws: BoardDraws,
    wanted: Wanted,
    question: Question,
    penalty: float,
    seed: int,
) -> TermsSaid:
    """A board that is opened up first: after each find what was best to ask, which the owner takes or not."""
    finds = draws.finds
    assert finds is not None
    assert draws.opening is not None
    luck = np.random.default_rng([seed, 23]).random(len(draws.hours))
    times = first.times[finds.of]
    goes_on = luck < first.chance[finds.of]
    fee = 0.0 if opening.credited else opening.fee
    outcome = Outcome(
        charge=np.where(goes_on, times * question.price + fee, opening.fee),
        materials=np.where(goes_on, draws.materials, 0.0),
        hours=np.where(goes_on, draws.hours, draws.opening),
    )
    cost = wanted.target * draws.hours + draws.materials
    mean = wanted.target * (finds.rest + finds.opening) + finds.materials
    spread = np.quantile(cost / mean[finds.of], question.odds)
    # pay is that of boards whose work goes on, as under other terms: the fee of one that went home is no pay for it
    done = goes_on if goes_on.any() else np.ones_like(goes_on)
    said = said_of(
        OPEN_FIRST,
        outcome.of(done),
        wanted,
        price=question.price,
        most=question.price + fee,
        price_for_target=float(spread * (finds.share @ mean)),
        odds=question.odds,
        fee=opening.fee,
    )
    worth = first.first - penalty * (1 - opening.ends)
    income = float(outcome.left.mean())
    return replace(said, income=income, worth=worth, error=opening.error)

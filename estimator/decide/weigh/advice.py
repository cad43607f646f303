"""The answer in a sentence, the facts that carry it, and what would change it."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from estimator.decide.weigh.promise_impact import AllMoved
from estimator.decide.weigh.terms import CEILING, FIXED, OPEN_FIRST, TermsSaid, Wanted
from estimator.decide.weigh.weighing import NO, OpenFirst
from estimator.decide.weigh.worth import FULL, Elsewhere, UsualPay
from estimator.words.money import say_money, say_pay
from estimator.words.odds import say_chance, short_chance
from estimator.words.phrases import capital, say_middle

SURELY = 2.0  # errors from drawing by which opening first must be worth more
CLOSE = 0.02  # of the price: an answer worth less than that is close
WORTH_TELLING = 0.25  # promises newly broken, on average, from which they are spoken of
AT_STAKE = 0.05  # from which a cost of broken promises could change the answer


@dataclass(frozen=True)
class Grounds:
    """All that the answer rests on. Money is in the shop's currency.

    fixed: what the board is worth over ordinary work at the price as it stands, whichever terms were asked for
    """

    price: float
    terms: tuple[TermsSaid, ...]
    fixed: float
    opening: OpenFirst | None
    moved: AllMoved | None
    penalty: float
    broken_cost: float
    usual: UsualPay
    elsewhere: Elsewhere
    wanted: Wanted
    mean_hours: float
    materials: float
    in_hand: bool
    currency: str

    def money(self, amount: float) -> str:
        """An amount in words."""
        return say_money(amount, self.currency)

    def pay(self, amount: float) -> str:
        """Money an hour in words."""
        return say_pay(amount, self.currency)

    @property
    def by_name(self) -> dict[str, TermsSaid]:
        """The terms by their name."""
        return {one.terms: one for one in self.terms}


@dataclass(frozen=True, slots=True)
class Advice:
    """The answer (fixed, ceiling, open-first or no), its sentence, the facts, the first two of which carry it."""

    answer: str
    recommendation: str
    because: tuple[str, ...]
    flips: tuple[str, ...]


def advised(grounds: Grounds) -> Advice:
    """What is worth most over ordinary work; no, where nothing is worth anything."""
    worth = {one.terms: one.worth for one in grounds.terms}
    answer = chosen(worth, *_learned(grounds))
    return Advice(
        answer,
        _recommended(grounds, answer),
        tuple(_because(grounds, answer)),
        tuple(_flips(grounds, answer)),
    )


def _learned(grounds: Grounds) -> tuple[float, float]:
    """What opening first shows is worth, and how much it must be worth."""
    if grounds.opening is None:
        return 0.0, 0.0
    return grounds.opening.seeing, least_worth(grounds.opening.error, grounds.price)


def least_worth(error: float, price: float) -> float:
    """What opening first must be worth more, to be advised: it costs days, and draws have errors.

    >>> least_worth(3.0, 1000.0), least_worth(30.0, 1000.0)
    (20.0, 60.0)
    """
    return max(SURELY * error, CLOSE * price)


def chosen(worth: Mapping[str, float], seeing: float, least: float) -> str:
    """The terms of the most worth; opening first only where it is worth so much more, and that for what it shows.

    A fee that pays more than ordinary work is no reason to open a board and hand it back.

    >>> chosen({"fixed": 80.0, "open-first": 90.0}, 40.0, 20.0), chosen({"fixed": -5.0}, 0.0, 0.0)
    ('fixed', 'no')
    >>> chosen({"fixed": 80.0, "open-first": 110.0}, 40.0, 20.0)
    'open-first'
    """
    plain = {NO: 0.0, **{terms: much for terms, much in worth.items() if terms != OPEN_FIRST}}
    best = max(plain, key=lambda terms: (plain[terms], terms == FIXED))
    gained = min(worth.get(OPEN_FIRST, -math.inf) - plain[best], seeing)
    return OPEN_FIRST if gained > least else best


def _recommended(grounds: Grounds, answer: str) -> str:
    """The answer in a sentence."""
    money, said = grounds.money, grounds.by_name.get(answer)
    if answer == NO:
        sentence = f"say no, at {money(grounds.price)}"
    elif answer == FIXED:
        sentence = f"take it on, at a fixed price of {money(grounds.price)}"
    elif answer == CEILING and said is not None:
        sentence = f"take it on at a price with a range, not over {money(said.ceiling or 0)} without asking"
    else:
        fee = grounds.opening.fee if grounds.opening else 0.0
        sentence = f"open it up first, for {money(fee)}, and name the price then"
    plain = [one.worth for one in grounds.terms if one.terms != OPEN_FIRST]
    worth = max(plain, default=grounds.fixed) if said is None else said.worth
    close = ", but it is close" if abs(worth) < CLOSE * grounds.price else ""
    if _fixed_instead(grounds, answer):
        sentence, close = f"not on these terms, but at a fixed price of {money(grounds.price)}", ""
    if grounds.in_hand:
        return f"You have taken it on. Asked today: {sentence}{close}."
    return f"{capital(sentence)}{close}."


def _fixed_instead(grounds: Grounds, answer: str) -> bool:
    """Whether the terms asked about are not worth it, and a fixed price would be."""
    return answer == NO and FIXED not in grounds.by_name and grounds.fixed > 0


def _because(grounds: Grounds, answer: str) -> Iterator[str]:
    """The facts, those that carry the answer first."""
    shown = grounds.by_name.get(FIXED) or grounds.terms[0]
    said = grounds.by_name.get(answer, shown)
    if answer == OPEN_FIRST:
        yield _opening_pays(grounds)
        yield _brings(grounds, grounds.fixed + grounds.penalty, "as it stands today")
    elif _fixed_instead(grounds, answer):
        yield _brings(grounds, grounds.fixed + grounds.penalty, "at that price")
        if said.terms == OPEN_FIRST:
            yield "What opening it up would show is worth too little; its fee alone is no reason to open it."
        else:
            yield _brings(grounds, said.worth + grounds.penalty, "on these terms")
    elif answer == NO and said.worth + grounds.penalty > 0:
        yield from _breaks(grounds)
        yield _brings(grounds, said.worth + grounds.penalty, "")
    else:
        yield _brings(grounds, said.worth + (grounds.penalty if answer != OPEN_FIRST else 0.0), "")
    floor = grounds.pay(grounds.wanted.floor)
    yield f"Chance that it pays less than {floor} an hour, the least you'd take: {say_chance(said.chance_below_floor)}."
    more = "more" if said.likely >= grounds.usual.pay else "less"
    yield (
        f"Half of boards like this pay {more} than {grounds.pay(said.likely)} an hour, before rent; "
        f"your ordinary work pays {grounds.pay(grounds.usual.pay)}."
    )
    if grounds.wanted.overhead > 0 and said.chance_of_loss >= 0.05:
        yield f"After rent and materials it loses money {say_chance(said.chance_of_loss)}."
    if _fixed_instead(grounds, answer) or not (answer == NO and said.worth + grounds.penalty > 0):
        yield from _breaks(grounds)


def _brings(grounds: Grounds, worth: float, when: str) -> str:
    """What the board brings against the same hours on ordinary work."""
    there, hours = grounds.elsewhere, f"its {say_middle(grounds.mean_hours)} hours"
    than, why = "your ordinary work would", ""
    if there.filled < 1:
        than = "those hours are worth to you now"
        why = f": {_idle(grounds)}"
    elif there.asks:
        than = "other work that you are asked for would"
        why = f", at {grounds.pay(there.pay)} an hour"
    much = f"{grounds.money(abs(worth))} {'more' if worth >= 0 else 'less'} than"
    if grounds.money(worth) == grounds.money(0.0):
        much = "about as much as"
    return (
        f"Once materials are paid, {hours} bring {much} {than}, on average{f', {when}' if when else ''}{why}."
    )


def _idle(grounds: Grounds) -> str:
    """What an hour counts for while too little work is in line to fill it."""
    worth = grounds.pay(grounds.elsewhere.pay)
    if worth == grounds.pay(0.0):
        return "with so little work in line, it costs you no other work"
    return f"while little work is in line, an hour is worth {worth}"


def _opening_pays(grounds: Grounds) -> str:
    """What opening first is worth."""
    opening = grounds.opening
    assert opening is not None
    value = grounds.by_name[OPEN_FIRST].worth - max(grounds.fixed, 0.0)
    return (
        f"Opening it up first is worth {grounds.money(value)} more than deciding today, for you can ask for a new "
        f"price, or hand it back, once you see what is there."
    )


def _breaks(grounds: Grounds) -> Iterator[str]:
    """Promises that the board breaks, the one that suffers most by name; nothing where none was made."""
    moved = grounds.moved
    told = [] if moved is None else [one for one in moved.boards if one.told is not None]
    if moved is None or not told:
        return
    if moved.newly < WORTH_TELLING:
        yield "It hardly touches what you told others."
        return
    worst = max(told, key=lambda one: one.fell)
    before, after = (short_chance(c or 0.0) for c in (worst.kept_before, worst.kept_after))
    breaks = f"about {moved.newly:.0f}" if moved.newly >= 0.75 else "every other time one"
    yield (
        f"Of the days that you told others it breaks {breaks} more; most at stake is {worst.name}, in time {before} "
        f"now, {after} with it."
    )


def _flips(grounds: Grounds, answer: str) -> Iterator[str]:
    """What would change the answer."""
    hours = grounds.mean_hours
    even = grounds.materials + grounds.wanted.worth * hours + grounds.penalty
    if answer == NO:
        yield f"From {grounds.money(even)} on, as a fixed price, it would be worth it."
    elif answer == FIXED:
        yield f"Under {grounds.money(even)} it would not be worth it."
    if grounds.fixed > 0 and hours:
        rate = (grounds.price - grounds.penalty - grounds.materials) / hours
        if grounds.elsewhere.filled < 1 and answer == FIXED and rate < grounds.elsewhere.better:
            yield f"With {FULL:.0f} weeks of work in hand, other work would be worth more."
        else:
            yield f"Ordinary work that pays more than {grounds.pay(rate)} an hour would be worth more."
    newly = 0.0 if grounds.moved is None else grounds.moved.newly
    worth = grounds.by_name[answer].worth if answer in grounds.by_name else 0.0
    goes_on = 1 - grounds.opening.ends if answer == OPEN_FIRST and grounds.opening else 1.0
    if newly * goes_on >= AT_STAKE and worth > 0 and not grounds.in_hand:
        much = worth / (newly * goes_on) + grounds.broken_cost
        yield f"If a broken promise costs you more than {grounds.money(much)}, say no."
    if OPEN_FIRST in grounds.by_name:
        yield _agreeing(grounds, answer)


def _agreeing(grounds: Grounds, answer: str) -> str:
    """Whether the answer stands if owners take a new price more or less often than the setting says."""
    opening = grounds.opening
    assert opening is not None
    worth = {one.terms: one.worth for one in grounds.terms}
    others = {
        how: chosen(
            {**worth, OPEN_FIRST: worth[OPEN_FIRST] + then.value - opening.value},
            then.seeing,
            least_worth(opening.error, grounds.price),
        )
        for how, then in (("less", opening.fewer), ("more", opening.more))
    }
    turned = [how for how, other in others.items() if other != answer]
    if not turned:
        return "The answer stands whether owners take a new price two times in ten more often, or less often."
    words = {OPEN_FIRST: "open it up first", NO: "say no", FIXED: "decide today", CEILING: "decide today"}
    said = f"{words[others[turned[0]]]}"
    return f"If owners took a new price two times in ten {turned[0]} often, the answer would be: {said}."

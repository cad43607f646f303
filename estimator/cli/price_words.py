"""Money of a board as a restorer reads it: materials, and the price that pays what one wants."""

from __future__ import annotations

from collections.abc import Iterable

from estimator.forecast.ranges import Price, Range, Spread
from estimator.words.money import say_money
from estimator.words.odds import say_odds
from estimator.words.settings import Settings

LENT = " (lent, no board of yours tells yet)"


def money_words(answer: Range, settings: Settings, *, done: bool = False) -> Iterable[str]:
    """What materials cost, and the price that pays what one wants; done: it is known, and no matter of odds."""
    currency = settings.workshop.currency
    if answer.materials is None or answer.price is None:
        return
    lent = LENT if answer.materials.lent else ""
    yield f"Materials {say_span(answer.materials, currency)}{lent}.{_pays(answer.price, currency, done=done)}"


def _pays(price: Price, currency: str, *, done: bool) -> str:
    """The price that pays what one wants; nothing where nothing is wanted."""
    if not price.target:
        return ""
    odds = "" if done else f" {say_odds(price.odds)}"
    return f" {say_money(price.for_target, currency)} pays you {say_pay(price.target)} an hour{odds}."


def say_pay(target: float) -> str:
    """Pay an hour as it stands in the settings."""
    return f"{target:,.10g}"


def say_span(cost: Spread, currency: str) -> str:
    """A range of money, each end to the nearest ten.

    >>> say_span(Spread(178, 204, 262), "mk"), say_span(Spread(3, 4, 4), ""), say_span(Spread(240, 240, 240), "")
    ('180 to 260 mk', 'under 10', '240')
    """
    low, high = say_money(cost.low), say_money(cost.high, currency)
    if say_money(cost.high) == "0":
        return "none" if cost.high == 0 else f"under {say_money(10, currency)}"
    if low == say_money(cost.high):
        return high if cost.low == cost.high else f"about {high}"
    return f"{low} to {high}"

"""Money of a board as a restorer reads it: materials, and the price that pays what one wants."""

from __future__ import annotations

from collections.abc import Iterable

from estimator.forecast.ranges import Price, Range
from estimator.words.money import LENT, say_money, say_price, say_span
from estimator.words.odds import say_odds
from estimator.words.settings import Settings


def money_words(answer: Range, settings: Settings, *, done: bool = False) -> Iterable[str]:
    """What materials cost, and the price that pays what one wants; done: it is known, and no matter of odds."""
    currency = settings.workshop.currency
    if answer.materials is None or answer.price is None:
        return
    lent = LENT if answer.materials.lent else ""
    span = say_span(answer.materials.low, answer.materials.high, currency)
    yield f"Materials {span}{lent}.{_pays(answer.price, currency, done=done)}"


def _pays(price: Price, currency: str, *, done: bool) -> str:
    """The price that pays what one wants; nothing where nothing is wanted."""
    if not price.target:
        return ""
    odds = "" if done else f" {say_odds(price.odds)}"
    return f" {say_money(price.for_target, currency)} pays you {say_price(price.target)} an hour{odds}."

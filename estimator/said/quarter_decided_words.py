"""Boards that were thought over, looked at once it is known how they went, in words."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from estimator.decide.afterwards import Taken, TurnedAway
from estimator.decide.review import Review
from estimator.said.parts import Heading, Part, Table
from estimator.words.money import say_pay
from estimator.words.plain import say_count, say_middle, say_range


def decided_parts(review: Review) -> list[Part]:
    """Boards taken on, those taken for love apart, and what the weeks of boards turned down went to."""
    seen = review.decided
    parts: list[Part] = []
    if seen.taken:
        parts += [*_count(review), _table(seen.taken)]
    if seen.for_love:
        parts += ["Taken for love, and counted apart:", _table(seen.for_love)]
    parts += [_away(one, review) for one in seen.turned_away]
    return [Heading("What you decided, looked back on"), *parts] if parts else []


def _count(review: Review) -> Iterable[str]:
    """How many boards taken paid what is wanted."""
    seen = review.decided
    of = len(seen.judged)
    if of:
        few = " Too few to learn from." if seen.few else ""
        yield (
            f"Of {say_count(of, 'board')} that you thought over and took, {seen.paid_target} paid the "
            f"{say_pay(seen.target, review.currency)} you want, {seen.paid_floor} at least {say_pay(seen.floor)}.{few}"
        )


def _table(taken: Sequence[Taken]) -> Table:
    """Boards one by one: why, what they took, what had been said, what they brought."""
    rows = tuple(
        (
            one.name,
            one.why or "no reason written",
            "?" if one.hours is None else say_middle(one.hours),
            "" if one.said is None else _said(*one.said),
            "?" if one.pay is None else say_pay(one.pay),
        )
        for one in taken
    )
    return Table(("", "why", "took", "you said", "an hour"), rows, right=(2, 3, 4))


def _said(low: float, high: float) -> str:
    """Hours that were said, as figures."""
    if low == high:
        return say_middle(low)
    return say_range(low, high).removeprefix("between ").replace(" and ", " to ").removesuffix(" hours")


def _away(one: TurnedAway, review: Review) -> str:
    """A board turned down, and what its weeks went to."""
    why = f" ({one.why})" if one.why else ""
    said = f"You turned down {one.name}{why}."
    if one.filled is None:
        return said
    full = (
        "as full as your week has hours" if one.filled >= 1 else f"filled {10 * one.filled:.0f} parts in 10"
    )
    paid = ""
    if one.pay is not None:
        paid = f", by boards that paid {say_pay(one.pay, review.currency)} an hour"
    return f"{said} The twelve weeks since were {full}{paid}."

"""What an owner was told, as it was kept; and how to keep what a sheet tells him."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator

from estimator.bench.promises import SURE
from estimator.log.edits import KeptTelling
from estimator.said.parts import Action, Part, Table
from estimator.words.dates import say_day, say_exactly
from estimator.words.labels import LABELS
from estimator.words.money import say_price, terms_and_ceiling
from estimator.words.odds import say_odds
from estimator.words.phrases import say_count, say_middle, say_range, say_value
from estimator.words.records import FOR_ASKED_LATER, LATE, Told


def tell_owner(tell: dt.date, today: dt.date) -> str:
    """What to tell an owner, a clause: the one day of every answer, as exactly as he will be held to it."""
    return f"tell the owner: ready by {say_exactly(max(tell, today), today)}, {say_odds(SURE)}"


FIRST = "It is the first telling, and the board is judged on it."


def to_keep(board: str, day: dt.date, *, again: bool) -> Iterator[Part]:
    """How to keep the day that a sheet for an owner says; again: he was told another before."""
    yield "Once its owner has it, keep the day that it says:"
    because = {"because": LATE} if again else {}
    yield Action("tell", board, {"last": day.isoformat(), **because})


def told_parts(kept: KeptTelling, currency: str) -> list[Part]:
    """What was kept, as it was said, and which telling the board is judged on."""
    told = kept.told
    said = {
        "hours": _hours(told),
        "price": _price(told, currency),
        "not before": say_day(told.first) if told.first else "",
        "ready by": say_day(told.last) if told.last else "",
        "because": told.because,
        "paid by": told.paid_by,
    }
    rows = tuple((name, words) for name, words in said.items() if words)
    if kept.judged == told:
        judged = FIRST
    elif told.because == FOR_ASKED_LATER:
        judged = _excused(kept)
    else:
        judged = f"{_still_on(kept)}; this stands beside it."
    return [
        f"Kept in {kept.file}: what the owner of {kept.name} was told on {say_day(told.date)}.",
        Table(("", ""), rows),
        judged,
        *(["The dates stand in the board's own row too."] if kept.promised else []),
        *kept.notes,
    ]


def _still_on(kept: KeptTelling) -> str:
    """On what the board is judged still, a sentence without its end."""
    first = kept.judged
    if kept.in_row and first.last:
        return (
            f"The board is still judged on the first day, which stands in its own row: {say_day(first.last)}"
        )
    return f"The board is still judged on what was told on {say_day(first.date)}"


def _excused(kept: KeptTelling) -> str:
    """What a wish of the owner's adds by itself, and what the board is judged on with it."""
    told, judged = kept.told, kept.judged
    if told.adds_days is None and told.adds_hours is None:
        return (
            "How much it adds is not worked out, so nothing is excused: keep what was asked for with the board first, "
            f"then tell it. {_still_on(kept)}."
        )
    days = say_count(round(told.adds_days or 0.0), "day")
    adds = f"What its owner has asked for adds {say_middle(told.adds_hours or 0.0)} hours and {days}"
    by = f": the board is judged on being ready by {say_day(judged.last)}" if judged.last else ""
    return f"{adds}, and no more is excused{by}. What is told now stands beside it."


def _hours(told: Told) -> str:
    """The hours as they were told: as they are where they are halves or whole, else as a range shows them."""
    low, high = told.hours_low, told.hours_high
    if low is None or high is None:
        return ""
    as_told = low * 2 % 1 == high * 2 % 1 == 0
    ends = f"{say_value(low)} to {say_value(high)}" if low < high else say_value(high)
    hours = ends if as_told else say_range(low, high, unit=False)
    return f"{hours}, {say_odds(told.odds)}" if told.odds else hours


def _price(told: Told, currency: str) -> str:
    """The price to the last coin, and its sort."""
    price = "" if told.price is None else say_price(told.price, currency)
    return ", ".join(part for part in (price, terms_words(told.terms, currency)) if part)


def terms_words(told: str, currency: str) -> str:
    """The terms that were told, with the ceiling where one was named."""
    terms, ceiling = terms_and_ceiling(told)
    not_over = "" if ceiling is None else f", not over {say_price(ceiling, currency)} without asking"
    return f"{LABELS.get(f'terms {terms}', terms)}{not_over}"

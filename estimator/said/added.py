"""What an owner has asked for since, as a restorer reads it on the telephone."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable

from estimator.bench.promises import worth_a_call
from estimator.decide.weigh.promise_impact import Added, Moved
from estimator.said.owner import say_work
from estimator.said.parts import Action, Heading, Part
from estimator.said.range import by_rules
from estimator.said.told import tell_owner
from estimator.words.dates import say_exactly, the_date
from estimator.words.labels import label
from estimator.words.money import LENT, say_money, say_price, say_span
from estimator.words.odds import say_chance, say_odds
from estimator.words.phrases import capital, inside, say_count, say_range, say_share, say_small, say_value
from estimator.words.records import FOR_ASKED_LATER, Told
from estimator.words.settings.schema import Settings

NAMED = 5  # promises that have a sentence of their own


def added_parts(
    said: Added, settings: Settings, board: str, name: str, today: dt.date | None = None
) -> list[Part]:
    """What was asked for since, on top of all else: hours, money, dates, whose promises move, and what to do next.

    board, name: its id, and what it is called; today: days far from it are said less exactly
    """
    what = ", ".join(_asked(q, much, settings) for q, much in said.what.items())
    return [
        Heading(f"{name}, {label('asked later')}: {what}", level=1),
        _hours(said),
        _money(said, settings.workshop.currency),
        *_ready(said, today),
        *_promises(said),
        *_reopened(said, settings),
        *_finished(said, settings),
        *by_rules(said.by_rules, settings),
        *_next(said, board, settings.workshop.currency),
    ]


def _asked(name: str, much: float, settings: Settings) -> str:
    """One thing that was asked for, and how much of it."""
    words, less = settings.quantity_label(name), " less" if much < 0 else ""
    if (driver := settings.drivers.get(name)) is None or driver.unit or abs(much) < 1:
        return f"{inside(words)} {say_value(abs(much), driver.unit if driver else '')}{less}"
    return f"{say_work(words, abs(much))}{less}"


def _hours(said: Added) -> str:
    """Hours on top, and those of the whole board then."""
    in_all = say_range(said.in_all.low, said.in_all.high)
    if said.hours.low < 0 and said.hours.high <= 0:
        hours = say_range(-said.hours.high, -said.hours.low)
        return f"{capital(hours)} less, {say_odds(said.odds)}; {in_all} in all."
    if said.hours.high == 0:
        return f"No hours more; {in_all} in all, {say_odds(said.odds)}."
    hours = say_range(said.hours.low, said.hours.high)
    return f"{capital(hours)} more, {say_odds(said.odds)}; {in_all} in all."


def _money(said: Added, currency: str) -> str:
    """Materials on top, and the price that pays for it."""
    lent = LENT if said.materials.lent else ""
    low, high = said.materials.low, said.materials.high
    less = low < 0 and high <= 0
    span = say_span(-high, -low, currency) if less else say_span(low, high, currency)
    materials = f"Materials {span} {'less' if less else 'more'}{lent}."
    if not said.price.target:
        return materials
    if said.price.for_target < 0:
        price = say_money(-said.price.for_target, currency)
        pays = say_price(said.price.target)
        return f"{price} less still pays you {pays} an hour for the rest {say_odds(said.odds)}. {materials}"
    price = say_money(said.price.for_target, currency)
    return f"{price} more pays you {say_price(said.price.target)} an hour for it {say_odds(said.odds)}. {materials}"


def _ready(said: Added, today: dt.date | None) -> Iterable[Part]:
    """By how many days the board is ready later, and what to tell its owner."""
    if said.ready is None:
        yield "No date can be given. Your boards in hand say why:"
        yield Action("bench")
        return
    after, later = said.ready.after, said.ready.later
    seen_from = today or after.low
    least, most = max(round(later.low), 0), round(later.high)
    days = say_count(most, "day") if least == most else f"{least or 'up'} to {say_count(most, 'day')}"
    when = f"Ready {days} later" if most > 0 else "Ready no later"
    if said.hours.high < 0 and most <= 0 and (sooner := -round(later.low)) > 0:
        when = f"Ready up to {say_count(sooner, 'day')} sooner"
    yes = said.ready.say_yes_by
    condition = f", if the owner says yes by {say_exactly(yes, seen_from)}" if yes else ""
    first, last = (the_date(max(day, seen_from), seen_from) for day in (after.low, after.high))
    between = f"about {first}" if first == last else f"between {first} and {last}"
    yield f"{when}, {between}{condition}; {tell_owner(after.tell, seen_from)}."


def _promises(said: Added) -> Iterable[str]:
    """Boards whose day to tell moves, those that move most first; where none does, that."""
    if said.ready is not None or said.promises:
        yield from moves_said(said.promises)


def moves_said(boards: Iterable[Moved], none: str = "No other board's date moves by a day.") -> Iterable[str]:
    """Boards whose day to tell moves, those that move most first; none: what is said where none does."""
    moved = sorted((one for one in boards if one.later), key=lambda one: -abs(one.later))
    if not moved:
        yield none
    for one in moved[:NAMED]:
        yield f"{capital(one.name)} {_moves(one)}{_still(one)}."
    if rest := moved[NAMED:]:
        most = say_count(max(abs(one.later) for one in rest), "day")
        yield f"{say_count(len(rest), 'more board').capitalize()} by {most} at most."


def _moves(one: Moved) -> str:
    """By how many days a board's day to tell moves."""
    days = abs(one.later)
    said = "one day" if days == 1 else f"{say_small(days)} days"
    return f"is {said} {'later' if one.later > 0 else 'sooner'}"


def _still(one: Moved) -> str:
    """Whether what its owner was told is still good."""
    if one.kept_after is None or one.kept_before is None:
        return "; no date of it is told yet"
    after, before = say_chance(one.kept_after), say_chance(one.kept_before)
    if not worth_a_call(one.kept_after):
        return f"; its date is still good, {after}"
    return f"; in time {after} ({'as' if after == before else before} before)"


def _reopened(said: Added, settings: Settings) -> Iterable[str]:
    """What it undoes, with the hours of that, which are in all that was said above."""
    if not said.reopened:
        return
    each = [
        f"{settings.label(one.stage)} ({'all of it' if one.share == 1 else say_share(one.share)}), "
        f"{say_range(one.hours.low, one.hours.high)}"
        for one in said.reopened
    ]
    yield (
        f"It undoes what is finished, and this is done again: {'; '.join(each)}. Its hours, materials and days are in "
        "what stands above. Write those hours with owner under again."
    )


def _finished(said: Added, settings: Settings) -> Iterable[str]:
    """What to do about stages that are finished in the log, and no longer are."""
    if not said.finished:
        return
    names = " and ".join(settings.label(stage) for stage in said.finished)
    one = len(said.finished) == 1
    yield (
        f"{names} {'is' if one else 'are'} finished in your log. Once you go on, write the first hours with no under "
        f"done, and {'it counts' if one else 'they count'} as begun again."
    )


def _told(told: Told, currency: str) -> str:
    """What its owner was told, as it was kept."""
    said = []
    if told.hours_low is not None and told.hours_high is not None:
        said.append(say_range(told.hours_low, told.hours_high))
    if told.price is not None:
        said.append(f"{say_price(told.price, currency)} in all")
    if told.last is not None:
        said.append(f"ready by {say_exactly(told.last, told.date)}")
    price = "" if told.price is not None else " No price was told: none is written for the board."
    return f"Kept as told too: {', '.join(said)}.{price}"


def _next(said: Added, board: str, currency: str) -> Iterable[Part]:
    """What to do next: keep it, and tell the owner; or what was kept, and what he was told."""
    if said.kept is None:
        asked = {name: f"{much:.12g}" for name, much in said.what.items()}
        yield "Once the owner agrees, keep it: it goes into the board's row, and what you told goes in with it."
        yield Action("ask", board, {"asked": asked, "keep": True})
        return
    if said.kept.file is None:
        yield f"{' '.join(said.kept.notes)} Not told yet: tell the owner, and keep that:"
    else:
        cells = ", ".join(f"{column} {cell}" for column, cell in said.kept.cells.items())
        kept = f"Kept in {said.kept.file}: {cells}."
        if said.kept.told is not None:
            yield kept
            yield _told(said.kept.told.told, currency)
            yield from said.kept.told.notes
            return
        yield " ".join([kept, *said.kept.notes, "Not told yet: tell the owner, and keep that:"])
    yield Action("tell", board, {"because": FOR_ASKED_LATER})

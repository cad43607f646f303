"""A quarter's twelve months by sort of work, by how wet boards were and by colours, in words."""

from __future__ import annotations

from estimator.decide.pay import COLOURS, Pay
from estimator.decide.review import Group, Review
from estimator.said.parts import Heading, Part, Table
from estimator.words.money import say_pay
from estimator.words.odds import say_chance
from estimator.words.plain import round_middle, say_count, say_middle, shown_to_add_up
from estimator.words.settings import Settings
from estimator.words.shares import NOTHING, say_share

ENOUGH = 5  # boards of a group from which on its pay is shown
SURE = 0.9  # chance from which on a change from one year to the next is said


def sort_parts(review: Review, settings: Settings) -> list[Part]:
    """By sort of work, wetness and colours over twelve months, beside the twelve before."""
    if not (review.year.boards or review.year_before.boards):
        return []
    head = ("", "boards", "hours", "an hour", "year before", "hours went")
    kinds, others = review.by_kind, review.groups[len(review.by_kind) :]
    hours = figures(tuple(group.pay.hours for group in kinds), round_middle(review.year.hours))
    rows = [_row(group, shown, settings) for group, shown in zip(kinds, hours, strict=True)]
    whole = ("All", str(review.year.boards), say_middle(review.year.hours))
    rows.append((*whole, _pay(review.year), _pay(review.year_before), ""))
    parts: list[Part] = [
        Heading("By sort of work, in twelve months"),
        Table(head, tuple(rows), right=(1, 2, 3, 4), total=True),
    ]
    if others:
        table = tuple(_row(group, say_middle(group.pay.hours), settings) for group in others)
        parts.append(Table(head, table, right=(1, 2, 3, 4)))
    for group in kinds:
        change = group.change
        if change is not None and change.how_sure >= SURE:
            way = "more" if change.shrunk > 0 else "less"
            parts.append(
                f"{_name(group, settings)} pays {way} than a year before. How sure: {say_chance(change.how_sure)}."
            )
    return parts


def _row(group: Group, hours: str, settings: Settings) -> tuple[str, ...]:
    """One group."""
    over = "" if group.over is None or group.pay.counted < ENOUGH else _went(group.over)
    name = _name(group, settings)
    return name, str(group.pay.boards), hours, _pay(group.pay), _pay(group.before), over


def _went(over: float) -> str:
    """How hours went against the guesses.

    >>> _went(1.16), _went(0.98), _went(0.8)
    ('a fifth over', 'as guessed', 'a fifth under')
    """
    if abs(over - 1) < NOTHING:
        return "as guessed"
    if over >= 2:
        return "twice the guess or more"
    return f"{say_share(abs(over - 1))} {'over' if over > 1 else 'under'}"


def _pay(pay: Pay) -> str:
    """Pay an hour, or that there are too few boards for it."""
    if pay.all is None or pay.counted < ENOUGH:
        return f"only {say_count(pay.counted, 'board')}" if pay.counted else "-"
    return say_pay(pay.all)


def _name(group: Group, settings: Settings) -> str:
    """What a group is called."""
    if group.by == "kind":
        return settings.label(group.name) if group.name else "No sort written"
    return group.name.capitalize() if group.by == COLOURS else f"Was {group.name}"


def figures(hours: tuple[float, ...], whole: float) -> list[str]:
    """Hours in figures that add up as they are shown."""
    return [say_middle(at) for at in shown_to_add_up(hours, whole)]

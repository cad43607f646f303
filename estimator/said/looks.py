"""What the eye misses, as a restorer reads it: the looks to mend, then every look, then by what it was judged with."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

from estimator.decide.looks import RIGHT, SURE, Look, Looks
from estimator.forecast.looks import LookedSo
from estimator.said.parts import Heading, Part, Table
from estimator.words.labels import label
from estimator.words.odds import say_odds
from estimator.words.phrases import capital, inside, say_count, say_value
from estimator.words.settings.schema import Settings

NAMED = 3  # values named of those that turned out otherwise


def looks_parts(found: Looks, settings: Settings) -> list[Part]:
    """Everything that `looks` says."""
    head = Heading(capital(label("looks")), level=1)
    if not found.looks:
        return [
            head,
            "Nothing can be said yet: on no board is it written both how it looked and how it turned out.",
        ]
    return [
        head,
        *_differently(found, settings),
        *_all(found, settings),
        *_tools(found, settings),
        f"A board counts where both are written: what it {label('assessed')}, and how it {label('found')}.",
    ]


def looked_words(so: LookedSo, settings: Settings) -> str:
    """How boards that looked so turned out, in one sentence.

    >>> from estimator.words.settings.schema import Modifier
    >>> wet = Modifier("wet", label="Wet foam", grades=("dry", "damp", "wet"))
    >>> so = LookedSo("wet", 1.0, "", 18, 8, 9, 1, ((2.0, 9), (0.0, 1)))
    >>> looked_words(so, Settings(modifiers={"wet": wet}))
    'Wet foam: of your 18 boards that looked damp, 9 turned out wet, 1 dry.'
    """
    thing = settings.quantity_label(so.thing)
    with_ = f" {label(f'judged {so.judged_with}')}" if so.judged_with else ""
    boards = f"of your {say_count(so.boards, 'board')}"
    if so.thing in settings.drivers and settings.drivers[so.thing].unit:
        seen = "where some was seen" if so.looked else "where none was seen"
        ways = [f"{many} had {way}" for way, many in (("more", so.more), ("less", so.less)) if many]
        return f"{thing}: {boards} {seen}{with_}, {', '.join(ways) or 'all were as they looked'}."
    looked = value_words(so.thing, so.looked or 0.0, settings)
    as_, to = ("", "") if _graded(so.thing, settings) else ("like ", "to have ")
    turned = ("turned out ", *[""] * NAMED)  # said of the first
    named = [
        f"{many} {out}{to}{value_words(so.thing, value, settings)}"
        for out, (value, many) in zip(turned, so.values[:NAMED], strict=False)
    ]
    rest = sum(many for _, many in so.values[NAMED:])
    said = ", ".join([*named, *([f"{rest} something else"] if rest else [])])
    return f"{thing}: {boards} that looked {as_}{looked}{with_}, {said or 'all turned out so'}."


def value_words(thing: str, value: float, settings: Settings) -> str:
    """A value as it stands in a sentence or a cell."""
    if thing in settings.drivers:
        return say_value(value)
    modifier = settings.modifiers.get(thing)
    return say_value(value, grades=(modifier.grades if modifier else ()) or ("no", "yes"))


def _graded(thing: str, settings: Settings) -> bool:
    """Whether its values are words of their own."""
    return thing in settings.modifiers and bool(settings.modifiers[thing].grades)


def _differently(found: Looks, settings: Settings) -> Iterable[Part]:
    """The looks to mend, and how sure that is."""
    ways = say_count(found.tests, "way")
    often = say_odds(1 - RIGHT)
    if not found.differently:
        yield (
            f"Nothing to look at differently: none of your looks goes wrong more often than {often}, once luck is "
            f"allowed for. A look is judged from {found.enough} boards on."
        )
        return
    yield Heading("To look at differently")
    for look in found.differently:
        yield looked_words(look.so, settings)
    yield (
        f"An eye that is right {say_odds(RIGHT)} would do better. Of {ways} in which a look can fail, luck alone shows "
        f"one as bad as this in fewer than {_one_in(SURE)} logs."
    )


def _all(found: Looks, settings: Settings) -> Iterable[Part]:
    """Every look with enough boards as a table, thing by thing; the others counted."""
    head = (label("assessed"), "boards", "as it looked", "more", "less", "otherwise, 19 in 20")
    for thing in dict.fromkeys(look.so.thing for look in found.looks):
        of_it = [look for look in found.looks if look.so.thing == thing]
        rows = [(_looked(look.so, settings), *_row(look)) for look in of_it if look.ways]
        yield Heading(settings.quantity_label(thing))
        if rows:
            yield Table(head, tuple(rows), right=(1, 2, 3, 4))
        few = [
            f"{_looked(look.so, settings)}, only {say_count(look.so.boards, 'board')}"
            for look in of_it
            if not look.ways
        ]
        if few:
            yield f"{capital(label('not enough boards'))}: {'; '.join(few)}."


def _tools(found: Looks, settings: Settings) -> Iterable[Part]:
    """The same by what it was judged with, where that is written."""
    rows = [
        (settings.quantity_label(look.so.thing), label(f"judged {look.so.judged_with}"), *_row(look))
        for look in found.by_tool
        if look.ways
    ]
    few = [
        f"{inside(settings.quantity_label(look.so.thing))} {label(f'judged {look.so.judged_with}')}, "
        f"only {say_count(look.so.boards, 'board')}"
        for look in found.by_tool
        if not look.ways
    ]
    if rows or few:
        yield Heading("By what it was judged with")
    if rows:
        head = ("", "judged", "boards", "as it looked", "more", "less", "otherwise, 19 in 20")
        yield Table(head, tuple(rows), right=(2, 3, 4, 5))
    if few:
        yield f"{capital(label('not enough boards'))}: {'; '.join(few)}."


def _looked(so: LookedSo, settings: Settings) -> str:
    """How it looked, as a cell."""
    if so.thing in settings.drivers and settings.drivers[so.thing].unit:
        return "some" if so.looked else "none"
    return value_words(so.thing, so.looked or 0.0, settings)


def _row(look: Look) -> Sequence[str]:
    """The counts of a look, and what luck allows the commoner way to be."""
    so = look.so
    way = max(look.ways, key=lambda one: (one.boards, one.way))
    counts = [str(so.boards), *(str(many) if many else "·" for many in (so.as_looked, so.more, so.less))]
    low, high = math.floor(10 * way.low + 0.5), max(math.floor(10 * way.high + 0.5), 1)
    span = f"{low} to {high} in 10" if 0 < low < high else f"{high} in 10" if low else f"up to {high} in 10"
    return (*counts, f"{way.way}: {span}")


def _one_in(chance: float) -> str:
    """A small chance as one log in so many."""
    return f"1 in {round(1 / chance)}"

"""What is written of a board, in words, for its sheets: its sort and size, what there is to do, what was told."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from estimator.said.owner import say_condition, say_unseen, say_work, work_sentences
from estimator.said.told import terms_words
from estimator.words.dates import say_exactly
from estimator.words.measures import say_length
from estimator.words.money import say_price
from estimator.words.odds import say_odds
from estimator.words.phrases import inside, say_count, say_range, say_value
from estimator.words.records import FOR_ASKED_LATER, Board, Told
from estimator.words.settings.schema import Settings

YES_NO = ("no", "yes")
FRACTIONS = {"1/8": "⅛", "1/4": "¼", "3/8": "⅜", "1/2": "½", "5/8": "⅝", "3/4": "¾", "7/8": "⅞"}


@dataclass(frozen=True, slots=True)
class ToDo:
    """What there is to do on a board, and what makes it slower, by label.

    work: with how many or how much; none: what was looked for and is not there; unseen: what can't be seen yet
    slower: conditions with their grade; unseen_slower: conditions that can't be seen yet
    """

    work: tuple[str, ...]
    none: tuple[str, ...]
    unseen: tuple[str, ...]
    slower: tuple[str, ...]
    unseen_slower: tuple[str, ...]


def board_line(board: Board, settings: Settings) -> str:
    r"""The board's sort and its size; empty where neither is written.

    >>> board_line(Board("b1", length_m=9.5 * 0.3048, width_m=22.5 * 0.0254), Settings())
    '9\'6" (2.90 m) long, 22½" (57.1 cm) wide'
    """
    sort = settings.label(board.kind) if board.kind in settings.kinds else ""
    long = f"{say_length(board.length_m)} long" if board.length_m is not None else ""
    wide = f"{say_length(board.width_m)} wide" if board.width_m is not None else ""
    said = ", ".join(words for words in (sort, long, wide) if words)
    return re.sub(r" ?(\d/\d)(?=\")", lambda found: FRACTIONS.get(found[1], found[0]), said)


def to_do(board: Board, settings: Settings) -> ToDo:
    """What was judged of a board, with what its owner asked for since; found values where it was opened up.

    Areas that were worked out from its outline are left out, and so are questions that its sort of job does not ask.
    """
    work: list[str] = []
    none: list[str] = []
    unseen: list[str] = []
    slower: list[str] = []
    unseen_slower: list[str] = []
    for name, value in _quantities(board, settings):
        label = inside(settings.quantity_label(name))
        if value:
            work.append(f"{label}: {say_value(value, settings.drivers[name].unit)}")
        else:
            (unseen if value is None else none).append(label)
    for name, value in _conditions(board, settings):
        label = inside(settings.quantity_label(name))
        if value is None:
            unseen_slower.append(label)
        else:
            slower.append(f"{label}: {say_value(value, grades=settings.modifiers[name].grades or YES_NO)}")
    return ToDo(tuple(work), tuple(none), tuple(unseen), tuple(slower), tuple(unseen_slower))


def wanted_work(board: Board, settings: Settings) -> tuple[str, ...]:
    """What there is to do, as one counts it who knows no word of the trade."""
    return tuple(
        say_work(settings.quantity_label(name), value, settings.drivers[name].unit)
        for name, value in _quantities(board, settings)
        if value
    )


def for_its_owner(board: Board, settings: Settings) -> tuple[str, ...]:
    """The same in sentences for one who knows no word of the trade."""
    none: list[str] = []
    unseen: list[str] = []
    looked: list[str] = []
    for name, value in _quantities(board, settings):
        label, unit = settings.quantity_label(name), settings.drivers[name].unit
        if value is None:
            unseen.append(say_unseen(label, condition=False, unit=unit))
        elif not value:
            none.append(inside(label))
    for name, value in _conditions(board, settings):
        label, grades = settings.quantity_label(name), settings.modifiers[name].grades
        if value is None:
            unseen.append(say_unseen(label, condition=True))
        else:
            looked.append(say_condition(label, value, grades))
    work = wanted_work(board, settings)
    return tuple(work_sentences(work, none, *([one for one in words if one] for words in (unseen, looked))))


def _quantities(board: Board, settings: Settings) -> Iterable[tuple[str, float | None]]:
    """What there may be to do, by name, with how much; None where it can't be seen yet."""
    asks = settings.kinds[board.kind].asks if board.kind in settings.kinds else None
    for name, driver in settings.drivers.items():
        value = _value(board, name)
        if name in board.worked_out or (driver.source and not value):
            continue
        if value or value is None or asks is None or name in asks:
            yield name, value


def _conditions(board: Board, settings: Settings) -> Iterable[tuple[str, float | None]]:
    """What may make it slower, by name, with its grade; None where it can't be seen yet."""
    for name, modifier in settings.modifiers.items():
        value = _value(board, name)
        if any(_may_come(stage, board, settings) for stage in modifier.stages) and (
            value is None or value or modifier.grades
        ):
            yield name, value


def _may_come(stage: str, board: Board, settings: Settings) -> bool:
    """Whether a board may have a stage: some of its work is there, or not known, or it has none."""
    work = settings.stages[stage].work if stage in settings.stages else ()
    return not work or any(_value(board, name) != 0 for name in work)


def _value(board: Board, name: str) -> float | None:
    """A quantity as it turned out, else as it was judged with what was asked for since."""
    return board.found[name] if name in board.found else board.wanted.get(name)


def tellings(told: Iterable[Told], today: dt.date, currency: str) -> tuple[str, ...]:
    """What the owner was told on the first day and on the last, and all that was told of wishes, each in a sentence."""
    said = [telling for telling in told if telling.date <= today]
    days = {said[0].date, said[-1].date} if said else set()
    kept = [telling for telling in said if telling.date in days or telling.because == FOR_ASKED_LATER]
    return tuple(_telling(telling, today, currency) for telling in kept)


def _telling(told: Told, today: dt.date, currency: str) -> str:
    """One telling: the day, why, and all that was said."""
    hours = ""
    if told.hours_low is not None and told.hours_high is not None:
        hours = say_range(told.hours_low, told.hours_high)
        hours += f", {say_odds(told.odds)}" if told.odds else ""
    price = "" if told.price is None else say_price(told.price, currency)
    terms = terms_words(told.terms, currency)
    last = "" if told.last is None else f"ready by {say_exactly(told.last, today)}"
    first = "" if told.first is None else f"not before {say_exactly(told.first, today)}"
    parts = "; ".join(
        words for words in (", ".join(w for w in (price, terms) if w), hours, last, first) if words
    )
    why = f" ({told.because}{_adds(told)})" if told.because else ""
    return f"On {say_exactly(told.date, today)}{why}: {parts or 'nothing that was kept'}."


def _adds(told: Told) -> str:
    """The days that the owner's wishes add, where it was worked out."""
    return "" if told.adds_days is None else f", adds {say_count(round(told.adds_days), 'day')}"


def listed(words: Sequence[str]) -> str:
    """Words in a row with "and" before the last.

    >>> listed(["a"]), listed(["a", "b", "c"])
    ('a', 'a, b and c')
    """
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}" if words else ""

"""Odds of ranges and chances of events: read, and said in the few words that this shop uses."""

from __future__ import annotations

import re
from statistics import NormalDist
from typing import NamedTuple

from estimator.words.measures import number_in, number_or_text, unreadable

LEAST, MOST = 0.5, 0.95

_CURE = "Write 8/10, 8 in 10, 0.8 or 80 %."
_SHARE = re.compile(r"([0-9.,]+) ?(?:/|(?:times )?(?:in|of|out of)) ?([0-9]+)")
_PERCENT = re.compile(r"(.+?) ?(?:%|per ?cent)")


class _Said(NamedTuple):
    """A chance in words, and in the column of a table."""

    words: str
    short: str


_IN_WORDS = {
    0.1: _Said("1 time in 10", "1 in 10"),
    **{times / 10: _Said(f"{times} times in 10", f"{times} in 10") for times in range(2, 10)},
    0.5: _Said("about even (5 in 10)", "5 in 10"),
    0.95: _Said("19 in 20", "19 in 20"),
}
SELDOM = 0.05  # a chance below it has no words of its own


def read_odds(value: object) -> float:
    """How often a range is to hold, as a chance from 0.5 to 0.95: 8/10, 8 in 10, 0.8, 80 %, 19 in 20.

    Raises UnreadableError for what cannot be read, and for odds that nobody should promise or ask for.

    >>> read_odds("8/10"), read_odds("19 in 20"), read_odds("80 %"), read_odds(0.9)
    (0.8, 0.95, 0.8, 0.9)
    """
    found = number_or_text(value, _CURE)
    odds = found if isinstance(found, float) else _chance(found, value)
    if not 0 < odds < 1:
        raise unreadable(value, "is not between never and always", _CURE)
    if odds < LEAST:
        raise unreadable(value, "is a range that misses more often than it holds", "Ask for 5/10 or more.")
    if odds > MOST:
        raise unreadable(
            value,
            "is surer than any log of past boards can make a range",
            "Ask for 19/20 or less.",
        )
    return odds


def z_of(odds: float) -> float:
    """How many standard deviations either side of the middle hold a share of a normal law, 0 < odds < 1.

    Raises ValueError for other odds.

    >>> round(z_of(0.8), 6)
    1.281552
    """
    if not 0 < odds < 1:
        raise ValueError(f"odds {odds} are not between 0 and 1")
    return NormalDist().inv_cdf((1 + odds) / 2)


def say_odds(odds: float) -> str:
    """The odds of a range in words; of those that have words the nearest, of two the less sure.

    >>> say_odds(0.8), say_odds(0.5), say_odds(0.95)
    ('8 times in 10', 'about even (5 in 10)', '19 in 20')
    """
    return _nearest(odds).words


def say_chance(chance: float) -> str:
    """The chance of an event, 0 to 1, in words that never say never, nor certainly.

    Raises ValueError for a number that is no chance.

    >>> say_chance(0.004), say_chance(0.31), say_chance(0.999)
    ('fewer than 1 in 20', '3 times in 10', '19 in 20')
    """
    if not 0 <= chance <= 1:
        raise ValueError(f"{chance} is no chance")
    return "fewer than 1 in 20" if chance < SELDOM else _nearest(chance).words


def as_said(chance: float) -> float:
    """The chance that the words for a chance name.

    >>> as_said(0.004), as_said(0.31), as_said(0.56), as_said(0.999)
    (0.0, 0.3, 0.6, 0.95)
    """
    return 0.0 if chance < SELDOM else _known(chance)


def short_odds(odds: float) -> str:
    """The odds of a range for the column of a table.

    >>> [short_odds(odds) for odds in (0.5, 0.8, 0.95)]
    ['5 in 10', '8 in 10', '19 in 20']
    """
    return _nearest(odds).short


def short_chance(chance: float) -> str:
    """The chance of an event for the column of a table.

    >>> [short_chance(chance) for chance in (0.004, 0.1, 0.5)]
    ['fewer than 1 in 20', '1 in 10', '5 in 10']
    """
    return say_chance(chance) if chance < SELDOM else _nearest(chance).short


def _nearest(chance: float) -> _Said:
    """The words for the chance nearest to this one that has words; of two the lower."""
    return _IN_WORDS[_known(chance)]


def _known(chance: float) -> float:
    """That chance itself."""
    return min(_IN_WORDS, key=lambda known: (round(abs(known - chance), 9), known))


def _chance(text: str, value: object) -> float:
    """The chance that a tidy text says."""
    number = number_in(text)
    if number is None and (parts := _SHARE.fullmatch(text.removeprefix("about even (").removesuffix(")"))):
        part, whole = number_in(parts[1]), float(parts[2])
        number = part / whole if part is not None and whole else None
    elif number is None and (parts := _PERCENT.fullmatch(text)):
        part = number_in(parts[1])
        number = None if part is None else part / 100
    if number is None:
        raise unreadable(value, "does not say how many times in ten", _CURE)
    return number

"""Parts and times in words: a tenth, a quarter more, twice as much; and by what ranges were widened."""

from __future__ import annotations

import math

from estimator.words.plain import say_value

NOTHING = 0.03  # a change by less is none worth a word
OF_HOURS, OF_DATES = "ranges", "ranges of dates"
ENDS = {OF_HOURS: ("quick", "slow"), OF_DATES: ("early", "late")}
_SHARES = (
    (1 / 20, "a twentieth"),
    (1 / 10, "a tenth"),
    (1 / 5, "a fifth"),
    (1 / 4, "a quarter"),
    (1 / 3, "a third"),
    (1 / 2, "half"),
    (2 / 3, "two thirds"),
    (3 / 4, "three quarters"),
)


def say_share(share: float) -> str:
    """A part of the whole, above 0 and below 1, by the nearest fraction that has a name.

    >>> say_share(0.11), say_share(0.23), say_share(0.6)
    ('a tenth', 'a quarter', 'two thirds')
    """
    return min(_SHARES, key=lambda named: abs(named[0] - share))[1]


def say_times(times: float) -> str:
    """So many times as much, above 0, as it stands before "as you guess" or "than you guess".

    >>> [say_times(t) for t in (1.24, 0.8, 1.01)]
    ['a quarter more than', 'a fifth less than', 'about as much as']
    >>> [say_times(t) for t in (0.5, 1.5, 1.96, 2.6, 0.2)]
    ['half as much as', 'half as much again as', 'twice as much as', '2½ times as much as', 'a fifth of what']
    """
    if _same(times):
        return "about as much as"
    if times < 0.4:
        return f"{say_share(times)} of what"
    if times < 1:
        share = say_share(1 - times)
        return "half as much as" if share == "half" else f"{share} less than"
    if times < 1.8:
        share = say_share(times - 1)
        return "half as much again as" if share == "half" else f"{share} more than"
    halves = math.floor(2 * times + 0.5) / 2
    return "twice as much as" if halves == 2 else f"{say_value(halves)} times as much as"


def say_stretch(low: float, high: float, ranges: str = OF_HOURS) -> str:
    """By what the two ends of ranges are moved for how past ranges went, and why; empty where by next to nothing.

    low, high: how many times as far the quick end and the slow end lie from the even chance, above 0
    ranges: what they are called, OF_HOURS or OF_DATES

    >>> say_stretch(1.1, 1.12)
    'Widened by a tenth: your last ranges were too tight.'
    >>> say_stretch(0.99, 1.22)
    'Widened by a fifth at the slow end: there your last ranges were too tight.'
    >>> say_stretch(1.02, 1.0)
    ''
    >>> say_stretch(1.0, 1.1, OF_DATES)
    'Widened by a tenth at the late end: there your last ranges of dates were too tight.'
    """
    quickest, slowest = ENDS[ranges]
    said = {
        end: (times > 1, say_share(abs(times - 1)))
        for end, times in ((slowest, high), (quickest, low))
        if not _same(times)
    }
    if not said:
        return ""
    if len(said) == 1:
        [(end, (out, share))] = said.items()
        return f"{_moved(out)} by {share} at the {end} end: there your last {ranges} were {_why(out)}."
    (slow_out, slow), (quick_out, quick) = said[slowest], said[quickest]
    if slow_out != quick_out:
        return " ".join(
            f"{_moved(out)} by {share} at the {end} end: there your last {ranges} were {_why(out)}."
            for end, (out, share) in said.items()
        )
    by = slow if slow == quick else f"{slow} at the {slowest} end and {quick} at the {quickest} end"
    return f"{_moved(slow_out)} by {by}: your last {ranges} were {_why(slow_out)}."


def _same(times: float) -> bool:
    """Whether so many times as much is as good as the same."""
    return abs(times - 1) < NOTHING


def _moved(out: bool) -> str:
    """What was done to an end."""
    return "Widened" if out else "Narrowed"


def _why(out: bool) -> str:
    """What the ranges were, for it to be done."""
    return "too tight" if out else "wider than they needed to be"

"""What the restorer reads where code, columns and commands have a word of their own: one table of labels."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

# Words that mean two things carry what they belong to in front: "view finished" and "state finished".
LABELS: Mapping[str, str] = MappingProxyType(
    {
        # what there is to do
        "driver": "what there is to do",
        "modifier": "makes it slower",
        "rate": "usual time",
        "assessed": "looked like",
        "found": "turned out",
        "asked later": "asked for since",
        "surprise": "hidden work",
        "hidden": "hidden work",
        "pace": "this board's own going",
        "pace slower": "this board is going slower than usual",
        "pace quicker": "this board is going quicker than usual",
        # rules of thumb
        "rule": "rule of thumb",
        "starter": "lent rule of thumb, not yet yours",
        "holds": "holds",
        "too low": "too low",
        "too high": "too high",
        "too sure": "too sure of itself",
        "not enough boards": "not enough boards to say",
        "looks low": "but it looks low",
        "looks high": "but it looks high",
        "looks narrow": "but it looks too sure of itself",
        # a range
        "range": "hours",
        "likely": "even chance",
        "odds": "times in ten",
        "record": "Did I get it right?",
        "stretch": "widened because",
        "beyond": "bigger than any you've written down",
        "beyond below": "smaller than any you've written down",
        "together": "each seen before, but never together",
        "rests on": "from",
        "look next": "what to look at next",
        "guess": "your own guess",
        "alike": "boards like it",
        # what the eye misses, and with what it was judged
        "looks": "what your eye misses",
        "judged photos": "from photos",
        "judged in hand": "in hand",
        "judged scales": "on the scales",
        "judged opened": "opened up",
        # where one looks from
        "view before": "before opening",
        "view opened": "opened up",
        "view finished": "finished",
        "view now": "as it stands now",
        # where a board is
        "state asked": "asked",
        "state waiting": "in line",
        "state on bench": "on the go",
        "state stopped": "stopped, waiting for an answer",
        "state finished": "ready",
        "state declined": "I said no",
        "state withdrawn": "owner dropped it",
        "on rack": "on the rack",
        # promises and prices
        "promise": "what I told them",
        "ready-by": "expected ready by",
        "chance kept": "chance I'm in time",
        "weigh": "Take it on?",
        "terms fixed": "fixed price",
        "terms ceiling": "a price with a range",
        "terms open-first": "open it up first",
        "ceiling": "not over __ without asking",
        "floor pay": "least I'd take",
        "target pay": "what I want",
        "pay per hour": "pay an hour, before rent",
        "pay after overheads": "pay an hour, after rent",
        "usual mix": "your ordinary work",
        # looking back
        "overrun": "went over",
        "effect": "goes with",
        "own guess": "your own guess",
        "guess x usual": "your guess, times how it usually went",
        "median of past": "the middle of your past boards",
        "plain regression": "plain regression",
        # what cost the time, as asked when a board goes out
        "cost glass": "old glass",
        "cost foam": "the foam",
        "cost wet": "wet foam",
        "cost paint": "the paint",
        "cost owner": "the owner",
        "cost me": "me",
        "cost nothing": "nothing in particular",
        "cost": "no reason written",
    }
)

# what money is for, and in which words; anything else stays as it is written
MONEY_FOR: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "deposit": ("down payment", "advance"),
        "payment": ("part payment", "paid", "balance", "rest", "the rest", "last payment", "instalment"),
        "refund": ("refunded", "returned", "given back", "money back"),
        "materials": ("material", "supplies"),
        "rent": ("rent and power", "power", "electricity", "overheads"),
    }
)


def label(word: str) -> str:
    """What to say for a word of code, columns and commands.

    Raises KeyError for a word that has no label.

    >>> label("found"), label("state waiting")
    ('turned out', 'in line')
    """
    return LABELS[word]

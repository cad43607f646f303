"""What an owner reads who knows no word of the trade: what is to be done, the price, and how to look after a board."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterable, Sequence

from estimator.words.dates import say_exactly
from estimator.words.labels import label
from estimator.words.money import say_price
from estimator.words.phrases import inside, say_value
from estimator.words.records import TERMS

FIXED, CEILING, _ = TERMS
BLANK = "____"  # where there is a line to write on
# a surfcraft-making textbook leaves a finished board 7 to 10 days, an encyclopedia of surfing reports three weeks: the
# longer one, and on the safe side
HARDENS = dt.timedelta(weeks=3)
PLAINLY = {  # words of the trade that labels may hold, as a beginning of a word, and what they mean
    "strip": "to strip is to take off the old skin of glass cloth and resin",
    "let in": "to let in is to set new foam where the old is gone",
    "stringer": "a stringer is the strip of wood along the middle",
    "block": "a block is the piece of wood at the nose or the tail",
    "pinline": "a pinline is a thin painted line",
    "gloss": "to gloss is to give it a last clear coat, and polish it",
    "fin box": "a fin box is what a fin that comes off sits in",
    "fin boxes": "a fin box is what a fin that comes off sits in",
}


def say_work(name: str, value: float, unit: str = "") -> str:
    """A quantity of work as an owner counts it; areas and parts of one without a figure.

    >>> say_work("Foam pieces to let in", 3), say_work("Small glass patches", 1), say_work("Fin boxes to fit", 1)
    ('3 foam pieces to let in', '1 small glass patch', '1 fin box to fit')
    >>> say_work("Old glass to take off", 0.05, "m2"), say_work("Sides to fill and sand", 0.3)
    ('old glass to take off', 'part of a side to fill and sand')
    """
    said = inside(name)
    if unit:
        return said
    if value < 1:
        return f"part of a {one_of_them(said)}"
    return f"{say_value(value)} {one_of_them(said) if value == 1 else said}"


def one_of_them(things: str) -> str:
    """A label of many things as one of them; the noun stands before "to", or last.

    >>> one_of_them("colours to spray"), one_of_them("small glass patches"), one_of_them("fins to mend and refit")
    ('colour to spray', 'small glass patch', 'fin to mend and refit')
    """
    noun, to, rest = things.partition(" to ")
    if re.search(r"(ch|sh|x|ss)es$", noun):
        noun = noun[:-2]
    elif noun.endswith("ies"):
        noun = f"{noun[:-3]}y"
    elif noun.endswith("s") and not noun.endswith("ss"):
        noun = noun[:-1]
    return f"{noun}{to}{rest}"


def say_condition(name: str, value: float, grades: Sequence[str]) -> str:
    """What makes a board slower, as an owner sees it; empty where there is nothing to see.

    >>> say_condition("Wet foam", 2, ("dry", "damp", "soaked")), say_condition("Brittle glass", 0, ("sound", "crisp"))
    ('soaked foam', '')
    """
    if not value or " " not in name:  # one word, as masking, is how work is done and not how the board is
        return ""
    return f"{say_value(value, grades=grades)} {name.rpartition(' ')[2].lower()}" if grades else inside(name)


def say_unseen(name: str, *, condition: bool, unit: str = "") -> str:
    """What nobody can see yet, as a question; empty for what an owner can't see at all.

    >>> say_unseen("Wet foam", condition=True), say_unseen("Stringers to mend", condition=False)
    ('whether there is wet foam', 'how many stringers to mend')
    """
    if condition:
        return f"whether there is {inside(name)}" if " " in name else ""
    return f"how {'much' if unit else 'many'} {inside(name)}"


def in_plain_words(said: str) -> str:
    """What the words of the trade mean that stand in what is said; empty where there is none.

    >>> in_plain_words("2 pinlines")
    'In plain words: a pinline is a thin painted line.'
    """
    meant = dict.fromkeys(
        means for word, means in PLAINLY.items() if re.search(rf"\b{word}", said, re.IGNORECASE)
    )
    return f"In plain words: {'; '.join(meant)}." if meant else ""


def work_sentences(
    work: Sequence[str], none: Sequence[str], unseen: Sequence[str], looked: Sequence[str]
) -> Iterable[str]:
    """What is to be done, what nobody asked for, what can't be seen yet: no promise of what won't be found."""
    if work:
        yield f"To be done: {'; '.join(work)}."
    if none:
        yield f"Not asked for: {', '.join(none)}. If it turns out to need some of that, we ask you first."
    if unseen:
        yield f"Can't be seen yet: {', '.join(unseen)}."
    if looked:
        yield f"What we saw: {', '.join(looked)}."
    if plainly := in_plain_words("; ".join((*work, *none, *unseen))):
        yield plainly


def price_sentences(price: float | None, terms: str, ceiling: float | None, currency: str) -> Iterable[str]:
    """The price and its sort: one with a range has both its ends, and only it has an end not to be passed."""
    blank = f"{BLANK} {currency}".strip()
    named = blank if price is None else say_price(price, currency)
    if terms == CEILING:
        most = blank if ceiling is None else say_price(ceiling, currency)
        yield f"Between {named} and {most}, by the work that it takes."
        yield f"We stop and ask before going past {most}."
    elif terms == FIXED:
        yield f"{named}."
        yield "It changes only if we ask you, and you say yes."
    else:
        yield f"{named}." if price is not None else f"Price: {blank}."
    if not terms:
        yield f"If it is {label('terms ceiling')}: we stop and ask before going past {blank}."


def care_sentence(ready: dt.date | None, today: dt.date) -> str:
    """How long a board goes on hardening: until which day, if it is ready on the day to go by."""
    if ready is None:
        until = "in that time"
    else:
        until = f"until {say_exactly(ready + HARDENS, today)}, if it is ready on {say_exactly(ready, today)}"
    return f"It goes on hardening for three weeks after it is ready: no sun, no heat, nothing laid on it {until}."

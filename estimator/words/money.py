"""Money, in whatever unit the shop is paid in."""

from __future__ import annotations

import contextlib
import math
import re
import unicodedata
from collections.abc import Callable

from estimator.words.errors import UnreadableError
from estimator.words.labels import LABELS
from estimator.words.measures import NONE, number_or_text, unreadable
from estimator.words.records import TERMS

LENT = " (lent, no board of yours tells yet)"  # after a range of money

RANGED = "ceiling"  # a price with a range, as it is written

_MOST = 1e9
_STEP = 10  # money is shown to the nearest ten
_CURE = "Write it as 1800 or 1,800.50."

_AROUND = re.compile(
    r"((?:[^0-9.,()-]*[^\W0-9_]\.|[^0-9.,()-]*) ?)(-? ?[0-9](?:[0-9., ']*[0-9])?)(?:[.,]-)?([^0-9,()-]*)"
)
_CODE = re.compile(r"(?<![^\W\d_])[A-Z]{3}(?![^\W\d_])")  # as USD
_PLAIN = re.compile(r"[0-9]+(?:[.,][0-9]+)?")
_GROUPED = re.compile(r"([0-9]{1,3}(?:([., '])[0-9]{3})(?:\2[0-9]{3})*)(?:([.,])([0-9]+))?")
_THREE_FIGURES = re.compile(r"[1-9][0-9]{0,2}\.[0-9]{3}")
# words after a number that make it something else than money
_NOT_MONEY = frozenset(
    {
        "h",
        "hr",
        "hrs",
        "hour",
        "hours",
        "min",
        "mins",
        "minutes",
        "d",
        "day",
        "days",
        "week",
        "weeks",
        "wk",
        "wks",
    }
    | {"m", "cm", "mm", "ft", "in", "m^2", "kg", "lb", "lbs", "k", "%", "°", "'", '"'}
)


def read_money(value: object) -> float:
    """The amount in a cell, without its currency: 1800, 1,800.50, 1.800,50 mk, $ 1 800; none is 0.

    A single comma before three figures parts thousands; elsewhere it is a decimal comma. 1.800 is refused: it
    may be either.

    Raises UnreadableError for anything else, a negative amount, and more than a thousand million.

    >>> read_money("1,800 mk"), read_money("€ 1.800,50"), read_money("240,5")
    (1800.0, 1800.5, 240.5)
    """
    found = number_or_text(value, _CURE)
    amount = found if isinstance(found, float) else _amount(found, value)
    if amount < 0:
        raise unreadable(value, "is less than nothing", "Write what was paid or asked, without a minus.")
    if amount > _MOST:
        raise unreadable(value, "is more money than any board brings", _CURE)
    return amount + 0.0  # never -0


def money_in(currency: str) -> Callable[[object], float]:
    """A reader of money, as `read_money`, that refuses the sign of another currency than the shop's.

    A currency is told by its sign, or by three capitals; a shop without one reads all.

    >>> money_in("mk")("1,800 mk"), money_in("")("€ 40")
    (1800.0, 40.0)
    """
    own = currency.strip().casefold()

    def reader(value: object) -> float:
        amount = read_money(value)
        signs = _CODE.findall(str(value)) + [
            sign for sign in str(value) if unicodedata.category(sign) == "Sc"
        ]
        other = next((sign for sign in signs if sign.casefold() not in own), "") if own else ""
        if other:
            raise unreadable(
                value,
                f"is in {other}, and the shop's money is {currency.strip()}",
                f"Write it in {currency.strip()}, or mend currency in workshop.toml.",
            )
        return amount

    return reader


def to_the_ten(amount: float) -> float:
    """An amount to the nearest ten, as `say_money` shows it.

    >>> to_the_ten(3396.0), to_the_ten(-124.9)
    (3400.0, -120.0)
    """
    return math.copysign(math.floor(abs(amount) / _STEP + 0.5) * _STEP, amount) + 0.0


def say_money(amount: float, currency: str = "") -> str:
    """An amount to the nearest ten, thousands parted by a comma, with the shop's sign after it.

    >>> say_money(3396, "mk"), say_money(-124.9)
    ('3,400 mk', '−120')
    """
    tens = math.floor(abs(amount) / _STEP + 0.5) * _STEP
    sign = "−" if amount < 0 and tens else ""
    return f"{sign}{tens:,} {currency}".strip()


def say_span(low: float, high: float, currency: str = "") -> str:
    """A range of money, each end to the nearest ten.

    >>> say_span(178, 262, "mk"), say_span(3, 4), say_span(240, 240), say_span(318, 321)
    ('180 to 260 mk', 'under 10', '240', 'about 320')
    """
    most = say_money(high, currency)
    if say_money(high) == "0":
        return "none" if high == 0 else f"under {say_money(_STEP, currency)}"
    if say_money(low) == say_money(high):
        return most if low == high else f"about {most}"
    return f"{say_money(low)} to {most}"


def say_price(amount: float, currency: str = "") -> str:
    """An amount that was said, to the last coin.

    >>> say_price(1800.5, "mk")
    '1,800.5 mk'
    """
    return f"{amount:,.10g} {currency}".strip()


def say_pay(pay: float, currency: str = "") -> str:
    """Money for an hour: to the whole from ten on, to the half below, with the shop's sign after it.

    >>> say_pay(38.7, "mk"), say_pay(4.6), say_pay(-3.2)
    ('39 mk', '4.5', '−3')
    """
    step = 1.0 if abs(pay) >= 10 else 0.5
    shown = math.copysign(step * math.floor(abs(pay) / step + 0.5), pay) + 0.0
    sign = "−" if shown < 0 else ""
    return f"{sign}{abs(shown):,g} {currency}".strip()


def _amount(text: str, value: object) -> float:
    """The amount of a tidy text; negative where a minus or brackets say so."""
    if text in NONE:
        return 0.0
    in_brackets = text.startswith("(") and text.endswith(")")
    parts = _AROUND.fullmatch(text[1:-1] if in_brackets else text)
    before, figures, after = (part.strip() for part in parts.groups()) if parts else ("", "", "")
    if not figures or (before and after) or len((before or after).split()) > 1 or after in _NOT_MONEY:
        raise unreadable(value, "is not an amount of money", _CURE)
    sign = -1 if figures.startswith("-") or in_brackets else 1
    figures = figures.removeprefix("-").strip()
    if _THREE_FIGURES.fullmatch(figures):
        whole, _, thousandths = figures.partition(".")
        raise unreadable(
            value,
            f"could be {whole}{thousandths} or {whole} and a part",
            f"Write {whole}{thousandths} for the one, {whole}.{thousandths[:2]} for the other.",
        )
    if grouped := _GROUPED.fullmatch(figures):
        whole, mark, decimal_mark, decimals = grouped.groups()
        if mark != decimal_mark and not whole.startswith("0"):
            return sign * float(re.sub("[., ']", "", whole) + "." + (decimals or "0"))
    if _PLAIN.fullmatch(figures):
        return sign * float(figures.replace(",", "."))
    raise unreadable(value, "is not an amount of money", _CURE)


_ARTICLES = frozenset({"a", "an", "the", "it"})
_SAID_WITH_IT = re.compile(r"^[\s,;:(]*(?:not over\b)?|\bwithout asking\b|[\s).]*$", re.IGNORECASE)


def read_terms(words: str) -> str:
    """The terms that words mean, as they are written or as they are shown.

    Raises UnreadableError for other words.

    >>> [read_terms(words) for words in ("ceiling", "a price with a range", "Fixed price", "Open it up first")]
    ['ceiling', 'ceiling', 'fixed', 'open-first']
    """
    terms, ceiling = terms_and_ceiling(words)
    if terms not in TERMS or ceiling is not None:
        ours = [LABELS[f"terms {one}"] for one in TERMS]
        raise unreadable(
            words,
            "are no terms",
            f"Write {', '.join(TERMS[:-1])} or {TERMS[-1]}; {', '.join(ours[:-1])} or {ours[-1]} will do too.",
        )
    return terms


def terms_and_ceiling(text: str) -> tuple[str, float | None]:
    """Terms as they were told, and the ceiling that was named with them, None where none was.

    The words for terms that are shown are read as the terms; other words stay as they are.

    >>> terms_and_ceiling("ceiling 4,000 mk"), terms_and_ceiling("ceiling"), terms_and_ceiling("by the hour")
    (('ceiling', 4000.0), ('ceiling', None), ('by the hour', None))
    >>> terms_and_ceiling("a price with a range, not over 4,000 mk without asking"), terms_and_ceiling("Fixed price")
    (('ceiling', 4000.0), ('fixed', None))
    """
    for terms in TERMS:
        for spelled in (LABELS[f"terms {terms}"], terms):
            rest = _behind(text, spelled)
            if rest is None:
                continue
            if terms != RANGED:
                return (terms, None) if not rest else (text, None)
            with contextlib.suppress(UnreadableError):
                return RANGED, read_money(rest) if rest else None
    return text, None


def _behind(text: str, spelled: str) -> str | None:
    """What stands in a text behind such words, but for what is always said with it; None where it begins otherwise."""
    wanted = [word for word in _plain_words(spelled) if word not in _ARTICLES]
    at = 0
    for word in re.finditer(r"[^\W\d_]+", text):
        if not wanted:
            break
        plain = word.group().casefold()
        if plain == wanted[0]:
            wanted.pop(0)
        elif plain not in _ARTICLES:
            return None
        at = word.end()
    return None if wanted else _SAID_WITH_IT.sub("", text[at:])


def _plain_words(text: str) -> list[str]:
    """The words of a text in small letters."""
    return re.findall(r"[^\W\d_]+", text.casefold())

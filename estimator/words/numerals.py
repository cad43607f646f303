"""One number as a person writes it: 2.5, 2,5, 4½, 4 1/2, ¾, with whatever quotes and dashes phones put in."""

from __future__ import annotations

import math
import re
import unicodedata
from decimal import Decimal
from numbers import Real

from estimator.words.errors import UnreadableError

NONE = frozenset({"none", "nil", "no", "zero", "-"})  # words for nought

_PLAIN = str.maketrans(
    {
        **{
            glyph: " " + unicodedata.normalize("NFKC", glyph).replace("\u2044", "/")
            for glyph in "½⅓⅔¼¾⅕⅖⅗⅘⅙⅚⅛⅜⅝⅞"
        },
        **dict.fromkeys("\u2044\u2215", "/"),
        **dict.fromkeys("\u2010\u2011\u2012\u2013\u2014\u2212", "-"),
        **dict.fromkeys("\u2018\u2019\u201b\u2032\u02b9\u02bc\u00b4`", "'"),
        **dict.fromkeys("\u201c\u201d\u201f\u2033\u02ba", '"'),
        "²": "^2",
        "\ufeff": "",
    }
)
_DECIMAL = re.compile(r"[+-]?(?:[0-9]+[.,]?[0-9]*|[.,][0-9]+)(?:e[+-]?[0-9]{1,3})?")
_FRACTION = re.compile(r"([+-]?)(?:([0-9]{1,9})[ -])?([0-9]{1,9})/([0-9]{1,9})")
_LONGEST = 40  # characters of a cell that a message repeats


def tidy(text: str) -> str:
    r"""The text in small letters with plain quotes, dashes, fractions and single spaces.

    >>> tidy(" 9’ 6½” "), tidy("1–2  M²")
    ('9\' 6 1/2"', '1-2 m^2')
    """
    if not text.isascii():
        text = text.translate(_PLAIN)
    return " ".join(text.lower().replace("''", '"').split())


def number_in(text: str) -> float | None:
    """The number that a tidy text is, or None where it is no number.

    A comma is a decimal comma; a mixed number has a proper fraction. May be negative or infinite.

    >>> number_in("2,5"), number_in("4 1/2"), number_in("22-5/8"), number_in("3/4"), number_in("2,5o")
    (2.5, 4.5, 22.625, 0.75, None)
    """
    if _DECIMAL.fullmatch(text):
        return float(text.replace(",", "."))
    parts = _FRACTION.fullmatch(text)
    if not parts:
        return None
    sign, whole, above, below = parts.groups()
    if int(below) == 0 or (whole and int(above) >= int(below)):
        return None
    size = int(whole or 0) + int(above) / int(below)
    return -size if sign == "-" else size


def quoted(value: object) -> str:
    """What stands in a cell, in quotation marks, short enough for a message.

    >>> quoted(9.0), quoted("  2,5O ")
    ('"9"', '"2,5O"')
    """
    text = f"{value:.12g}" if isinstance(value, float) else " ".join(str(value).split())
    return f'"{text[: _LONGEST - 1]}…"' if len(text) > _LONGEST else f'"{text}"'


def number_or_text(value: object, cure: str) -> float | str:
    """A cell's finite number, or its tidy text, never empty.

    Raises UnreadableError with this cure for an empty cell, a yes or no, and what is neither number nor text.

    >>> number_or_text(3, ""), number_or_text("2 H", "")
    (3.0, '2 h')
    """
    if isinstance(value, str):
        text = tidy(value)
        if not text:
            raise UnreadableError("nothing is written", cure)
        return text
    if value is None:
        raise UnreadableError("nothing is written", cure)
    if isinstance(value, bool):
        raise UnreadableError("that is a yes or no", cure)
    if isinstance(value, (float, int, Decimal, Real)):
        try:
            number = float(value)
        except (OverflowError, ValueError):  # too many digits; a Decimal that signals
            number = math.inf
        if math.isnan(number):
            raise UnreadableError("nothing is written", cure)
        if math.isinf(number):
            raise UnreadableError("that number is without end", cure)
        return number
    raise UnreadableError(f"{quoted(value)} is neither number nor text", cure)

"""How numbers are written in three languages, and which of the ways a file has."""

from __future__ import annotations

import re
from collections.abc import Iterable

from estimator.log.tables import CellValue

POINT, COMMA = MARKS = (".", ",")  # what stands before the decimals
SPACES = " \u00a0\u202f'’"
GROUPED = re.compile(
    rf"(?<![\d.,])\d{{1,3}}(?:[{SPACES}.,]\d{{3}})+(?:[.,]\d+)?(?![\d])|(?<![\d.,])\d+[.,]\d+(?![\d.,])"
)
EITHER = re.compile(r"[1-9]\d{0,2}[.,]\d{3}")  # 1,234: so many thousands, or one and a part


def mark_in(number: str) -> str:
    """What stands before the decimals of a written number; empty where it does not tell.

    >>> mark_in("1.234,5"), mark_in("1 234,5"), mark_in("12.5"), mark_in("1,234"), mark_in("1,234,567")
    (',', ',', '.', '', '.')
    """
    if EITHER.fullmatch(number):
        return ""
    marks = [sign for sign in number if sign in MARKS]
    if not marks:
        return ""
    if len(set(marks)) == 2:
        return marks[-1]
    if len(marks) > 1:  # twice the same parts thousands
        return COMMA if marks[0] == POINT else POINT
    return marks[0]


def written_in(texts: Iterable[CellValue]) -> tuple[frozenset[str], str]:
    """The decimal marks that texts show, and the first number that could be read in two ways; empty where none can.

    >>> written_in(["1,234", "12.50 mk", 3.0]) == (frozenset("."), "1,234")
    True
    """
    marks, either = set(), ""
    for text in texts:
        for found in GROUPED.findall(text) if isinstance(text, str) else ():
            mark = mark_in(found)
            marks |= {mark} if mark else set()
            either = either or ("" if mark or not EITHER.fullmatch(found) else found)
    return frozenset(marks), either


def in_plain_figures(text: str, mark: str) -> str:
    """A text whose numbers have no signs between thousands, and a point before decimals.

    mark: what stands before decimals where a number does not tell itself; empty: it stays as it is

    >>> in_plain_figures("€ 1.234,50", ""), in_plain_figures("1 234,5", ""), in_plain_figures("1,234", ".")
    ('€ 1234.50', '1234.5', '1234')
    >>> in_plain_figures("1,234", ","), in_plain_figures("about 4,5 h", ""), in_plain_figures("4 1/2", "")
    ('1.234', 'about 4.5 h', '4 1/2')
    """

    def plain(found: re.Match[str]) -> str:
        number = found[0]
        decimal = mark_in(number) or mark
        if not decimal and EITHER.fullmatch(number):
            return number
        whole, _, part = number.rpartition(decimal) if decimal and decimal in number else (number, "", "")
        figures = re.sub(rf"[{SPACES}.,]", "", whole)
        return f"{figures}.{part}" if part else figures

    return GROUPED.sub(plain, text)

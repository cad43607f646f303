"""A text in words, numbers and marks, each with its place; numbers in words as figures."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import takewhile

from estimator.words.measures import tidy

WORD, NUMBER, ORDINAL, MARK, LINE_END = KINDS = ("word", "number", "ordinal", "mark", "line end")

_FRACTION = "½⅓⅔¼¾⅕⅖⅗⅘⅙⅚⅛⅜⅝⅞"
_TOKEN = re.compile(
    r"(?P<ordinal>[0-9]+(?:st|nd|rd|th)\b)"
    rf"|(?P<number>[0-9]+(?:['’′][0-9]*)(?![0-9])|(?:(?<!\S)[.,])?[0-9]+(?:[.,:/\u2044][0-9]+)*|[{_FRACTION}])"
    r"|(?P<word>[^\W\d_]+(?:['’][^\W\d_]+)*)"
    r"|(?P<line>\r\n|\n|\r)"
    r"|(?P<mark>\S)",
    re.IGNORECASE,
)
_KIND = {"ordinal": ORDINAL, "number": NUMBER, "word": WORD, "line": LINE_END, "mark": MARK}
_OWNED = re.compile(r"['’]s$|['’]$")


@dataclass(frozen=True, slots=True)
class Token:
    """A word, a number, a mark or the end of a line.

    plain: in small letters with plain signs, a word without its possessive 's
    apart: whether a blank stands before it
    """

    kind: str
    text: str
    start: int
    end: int
    plain: str
    apart: bool

    @property
    def joins(self) -> bool:
        """Whether it is a hyphen."""
        return self.kind == MARK and self.plain == "-"


def tokens_of(text: str) -> tuple[Token, ...]:
    """The tokens of a text in order; between them stand blanks only.

    >>> [(t.kind, t.plain) for t in tokens_of("Red's 2nd col 1½, let-in 4.5")][:4]
    [('word', 'red'), ('ordinal', '2nd'), ('word', 'col'), ('number', '1')]
    """
    found = []
    last = 0
    for match in _TOKEN.finditer(text):
        kind, written = _KIND[str(match.lastgroup)], match[0]
        plain = tidy(written)
        if kind == WORD:
            plain = _OWNED.sub("", plain)
        found.append(Token(kind, written, match.start(), match.end(), plain, match.start() > last))
        last = match.end()
    return tuple(found)


def listed(words: str) -> frozenset[str]:
    """The words of a line.

    >>> sorted(listed("red blue"))
    ['blue', 'red']
    """
    return frozenset(words.split())


NOT = listed("no not never without couldn't can't cannot wouldn't wasn't isn't hasn't won't")

_UNITS = (
    "one two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen sixteen seventeen "
    "eighteen nineteen"
)
UNITS = {word: number for number, word in enumerate(_UNITS.split(), start=1)}
_TENS = "twenty thirty forty fifty sixty seventy eighty ninety"
TENS = {word: 10 * number for number, word in enumerate(_TENS.split(), start=2)}
NUMBER_WORDS = frozenset({*UNITS, *TENS})
_PARTS = {
    ("a", "half"): "1/2",
    ("half",): "1/2",
    ("a", "quarter"): "1/4",
    ("one", "quarter"): "1/4",
    ("quarter",): "1/4",
    ("three", "quarters"): "3/4",
    ("three", "quarter"): "3/4",
}
_DIGITS = {"nought": 0, "zero": 0, "oh": 0, **{word: n for word, n in UNITS.items() if n < 10}}


def figures(words: Sequence[str]) -> tuple[str, int]:
    """The number that a row of words begins with, in figures, and how many of them it takes; ("", 0) for none.

    >>> figures("four and a half".split()), figures("three quarters".split()), figures("twenty five col".split())
    (('4 1/2', 4), ('3/4', 2), ('25', 2))
    >>> figures("two point five".split()), figures("a red one".split())
    (('2.5', 3), ('', 0))
    >>> figures("three point two five".split())
    ('3.25', 4)
    """
    whole, taken = _whole(words)
    if not taken:
        part, used = _part(words)
        return part, used
    if words[taken : taken + 1] == ["point"] and taken + 1 < len(words) and words[taken + 1] in _DIGITS:
        digits = [str(_DIGITS[word]) for word in takewhile(_DIGITS.__contains__, words[taken + 1 :])]
        return f"{whole}.{''.join(digits)}", taken + 1 + len(digits)
    if words[:2] in (["one", "quarter"], ["three", "quarters"], ["three", "quarter"]):
        return _part(words)
    if words[taken : taken + 1] == ["and"]:
        part, used = _part(words[taken + 1 :])
        if used and "1/2 1/4 3/4".find(part) >= 0:
            return f"{whole} {part}", taken + 1 + used
    return str(whole), taken


def _whole(words: Sequence[str]) -> tuple[int, int]:
    """The whole number below a hundred that words begin with, and how many words it takes."""
    if not words:
        return 0, 0
    if words[0] in TENS:
        more = UNITS.get(words[1], 0) if len(words) > 1 else 0
        return TENS[words[0]] + (more if more < 10 else 0), 2 if 0 < more < 10 else 1
    return (UNITS[words[0]], 1) if words[0] in UNITS else (0, 0)


def _part(words: Sequence[str]) -> tuple[str, int]:
    """The part of one that words begin with."""
    for size in (2, 1):
        if (part := _PARTS.get(tuple(words[:size]))) and len(words) >= size:
            return part, size
    return "", 0


def joined(piece: Sequence[Token]) -> str:
    """Tokens as they were written, with their blanks."""
    return "".join(f"{' ' if token.apart else ''}{token.text}" for token in piece)

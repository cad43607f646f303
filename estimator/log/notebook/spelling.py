"""Slips of the pen: whether a word that nobody knows is a known one, written wrongly."""

from __future__ import annotations

from itertools import pairwise

_MANY = 9  # slips that are not counted any further
_SHORT, _PLAIN, _LONG = 3, 4, 6  # letters


def slips(typed: str, meant: str) -> int:
    """How many letters are left out, put in, wrong, or changed round with the next one.

    Source: Damerau, A technique for computer detection and correction of spelling errors, Comm. ACM 7 (1964) 171-176,
    who found four in five misspelt words to be one of these; reckoned as the optimal string alignment.

    >>> slips("tuseday", "tuesday"), slips("strp", "strip"), slips("sanded", "sanded"), slips("wensday", "wednesday")
    (1, 1, 0, 2)
    """
    if abs(len(typed) - len(meant)) >= _MANY:
        return _MANY
    before: list[int] = []
    row = list(range(len(meant) + 1))
    for at, letter in enumerate(typed, 1):
        last, before, row = before, row, [at]
        for to, other in enumerate(meant, 1):
            best = min(before[to] + 1, row[to - 1] + 1, before[to - 1] + (letter != other))
            if at > 1 and to > 1 and letter == meant[to - 2] and typed[at - 2] == other:
                best = min(best, last[to - 2] + 1)
            row.append(best)
    return row[-1]


def is_slip(typed: str, meant: str) -> bool:
    """Whether a word can hardly be another than the one that is meant.

    One slip; in a short word only two letters changed round, one doubled, or one left out, since another letter
    there makes another word: band is no slip for sand.

    >>> is_slip("snad", "sand"), is_slip("band", "sand"), is_slip("stripp", "strip"), is_slip("swepping", "sweeping")
    (True, False, True, True)
    """
    if len(typed) < _SHORT or abs(len(typed) - len(meant)) > 1 or slips(typed, meant) != 1:
        return False
    if len(meant) >= _LONG:
        return True
    if len(typed) == len(meant):
        return sorted(typed) == sorted(meant)
    if len(typed) < len(meant):
        return len(meant) >= _PLAIN
    return any(a == b and typed[:at] + typed[at + 1 :] == meant for at, (a, b) in enumerate(pairwise(typed)))


def one_out(word: str) -> frozenset[str]:
    """A word, and what is left of it with one letter out: two words of one slip have one of these in common.

    >>> sorted(one_out("red") & one_out("rde"))
    ['rd', 're']
    """
    return frozenset({word, *(word[:at] + word[at + 1 :] for at in range(len(word)))})

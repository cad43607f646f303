"""Days that stand in a text, read by the reader of dates that all cells are read by."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial

from estimator.log.notebook.spelling import slips
from estimator.log.notebook.tokens import (
    LINE_END,
    MARK,
    NUMBER,
    ORDINAL,
    WORD,
    Token,
    joined,
    listed,
)
from estimator.words.dates import A_DAY, MONTHS, WEEKDAYS, read_date
from estimator.words.errors import UnreadableError


@dataclass(frozen=True, slots=True)
class FoundDay:
    """A day that a text names.

    days: those it may be; weekday: 0 to 6 where only that is named
    whole_week: all its week, weeks: so many later; wrong: what doesn't fit
    """

    end: int
    days: tuple[dt.date, ...] = ()
    weekday: int | None = None
    whole_week: bool = False
    wrong: str = ""
    weeks: int = 0


_WEEKDAYS = (
    listed("mon monday mondays"),
    listed("tue tues tuesday"),
    listed("wed weds wednesday"),
    listed("thu thur thurs thursday"),
    listed("fri friday"),
    listed("sat saturday"),
    listed("sun sunday"),
)


_WEEKDAY = {name: at for at, names in enumerate(_WEEKDAYS) for name in names}


_CAPITALS = listed("M Mo Tu W Th F Fr")


_INITIALS = {"m": 0, "mo": 0, "tu": 1, "w": 2, "we": 2, "th": 3, "f": 4, "fr": 4}


_MONTH_WORDS = frozenset({name[:3].lower() for name in MONTHS} | {name.lower() for name in MONTHS} | {"sept"})


_NUMERIC = re.compile(r"([0-9]{1,2})([/.])([0-9]{1,2})(?:\2([0-9]{2}|[0-9]{4}))?")


_ISO = re.compile(r"[0-9]{4}$")


def day_at(tokens: Sequence[Token], place: int, near: dt.date, style: str, *, first: bool) -> FoundDay | None:
    """The day that begins at a place: Mon, Tue 7 April, 7th, 2026-04-07, 7/4, today, this week, week of 6 April.

    near: the year, or the month of a bare 7th, is that which comes nearest to it
    first: whether it begins a line, where 7/4 can be a day and not three quarters of something
    """
    words = [token.plain for token in tokens[place : place + 4]]
    if words[:1] == ["last"] and len(words) > 1 and (at := _weekday_of(words[1])) is not None:
        return FoundDay(place + 2, weekday=at, weeks=-1)
    part_of_it = place > 0 and tokens[place - 1].plain == "of"  # the first half of the week
    for phrase in _WEEKS:
        if tuple(words[: len(phrase)]) == phrase and not part_of_it:
            behind = place + len(phrase)
            if phrase[-1] == "week":
                return FoundDay(behind, whole_week=True, weeks=-(phrase[0] == "last"))
            behind += behind < len(tokens) and tokens[behind].plain == ":"
            found = day_at(tokens, behind, near, style, first=True) if behind < len(tokens) else None
            return found and FoundDay(found.end, found.days, None, True, found.wrong)
    if words[0] in _INITIALS and first and words[1:2] == [":"]:
        return FoundDay(place + 1, weekday=_INITIALS[words[0]])
    if (
        first
        and tokens[place].text in _CAPITALS
        and [t.kind for t in tokens[place + 1 : place + 2]] == [WORD]
    ):
        return FoundDay(place + 1, weekday=_INITIALS[words[0]])
    if tokens[place].kind == WORD and _weekday_of(words[0]) is not None:
        return _weekday(tokens, place, near, style)
    return _date(tokens, place, near, style, first=first) or _day_alone(tokens, place, near, first=first)


def _weekday_of(word: str) -> int | None:
    """The weekday that a word names, also with a slip of the pen: Tuseday, Wensday."""
    if word in _WEEKDAY:
        return _WEEKDAY[word]
    if len(word) < _LONG_NAME or word in _NO_WEEKDAYS:
        return None
    far = [slips(word, name) for name in _WEEKDAY_NAMES]
    nearest = min(far)
    sure = nearest <= (2 if word.endswith("sday") else 1) and far.count(nearest) == 1
    return far.index(nearest) if sure else None


_LONG_NAME = 5


_NO_WEEKDAYS = listed("sundry midday")


_WEEKDAY_NAMES = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")


def _day_alone(tokens: Sequence[Token], place: int, near: dt.date, *, first: bool) -> FoundDay | None:
    """A day of the month without its month: 10th: red strip 2; on the 11th sanded club 2."""
    words = [token.plain for token in tokens[place : place + 2]]
    led = words[:1] == ["on"]
    at = place + led + (words[led : led + 1] == ["the"])
    if at >= len(tokens) or tokens[at].kind != ORDINAL or not (led or first):
        return None
    number, behind = int(tokens[at].plain[:-2]), tokens[at + 1].plain if at + 1 < len(tokens) else ":"
    if behind == ":" or number >= (_MOST_COATS if led else _MOST_COATS + 4):
        return _bare(tokens, at, near)
    return None


_MOST_COATS = 7  # nobody numbers coats, colours or sides so far


_WEEKS = (
    ("this", "week"),
    ("all", "week"),
    ("the", "week"),
    ("last", "week"),
    ("w", "/", "e"),
    ("week", "ending"),
    ("week", "of"),
    ("w", "/", "c"),
    ("wc",),
    ("week", "commencing"),
    ("week", "beginning"),
)


def _weekday(tokens: Sequence[Token], place: int, near: dt.date, style: str) -> FoundDay | None:
    """A weekday, and the date behind it where there is one; None for sun and sat that are no days."""
    token = tokens[place]
    weekday = _weekday_of(token.plain)
    assert weekday is not None
    if token.plain in {"sun", "sat"} and token.text[0].islower():
        before = tokens[place - 1] if place else None
        if before is not None and before.kind == WORD:
            return None
    at = place + 1
    if at < len(tokens) and tokens[at].plain in {".", ","} and not tokens[at].apart and at + 1 < len(tokens):
        dated = _date(tokens, at + 1, near, style, first=True)
        if dated and not dated.wrong and any(day.weekday() == weekday for day in dated.days):
            at += 1
    dated = _date(tokens, at, near, style, first=True) if at < len(tokens) else None
    if dated is None and at < len(tokens):
        dated = _bare(tokens, at, near)
    if dated is None and at < len(tokens):
        dated = _headed(tokens, at, near, weekday)
    if dated is None:
        return FoundDay(place + 1, weekday=weekday)
    right = tuple(day for day in dated.days if day.weekday() == weekday)
    if right:
        return FoundDay(dated.end, right)
    if tokens[at].kind == NUMBER and _NUMERIC.fullmatch(tokens[at].plain):
        return FoundDay(place + 1, weekday=weekday)  # ¾ of something
    names = ", ".join(WEEKDAYS[day.weekday()] for day in dated.days[:1])
    return FoundDay(dated.end, dated.days, wrong=f"that day is a {names}")


def _headed(tokens: Sequence[Token], place: int, near: dt.date, weekday: int) -> FoundDay | None:
    """The day of the month in a heading, where it fits the weekday: Mon 8:"""
    token = tokens[place]
    behind = tokens[place + 1].plain if place + 1 < len(tokens) else ""
    if not (
        token.kind == NUMBER and token.plain.isdecimal() and len(token.plain) <= 2 and behind in {":", "-"}
    ):
        return None
    days = [near + back * A_DAY for back in range(-31, 32)]
    fits = [day for day in days if day.day == int(token.plain) and day.weekday() == weekday]
    return FoundDay(place + 1, (min(fits, key=lambda day: abs(day - near)),)) if fits else None


def _bare(tokens: Sequence[Token], place: int, near: dt.date) -> FoundDay | None:
    """A day of the month alone: 7th, the 7th."""
    at = place + 1 if tokens[place].plain == "the" and place + 1 < len(tokens) else place
    token = tokens[at]
    if token.kind != ORDINAL or not 1 <= int(token.plain[:-2]) <= 31:
        return None
    day, found = int(token.plain[:-2]), []
    for back in range(-31, 32):
        one = near + back * A_DAY
        if one.day == day:
            found.append(one)
    best = min(found, key=lambda one: abs(one - near), default=None)
    return FoundDay(at + 1, (best,)) if best else None


def _date(tokens: Sequence[Token], place: int, near: dt.date, style: str, *, first: bool) -> FoundDay | None:
    """A date of day and month, or with its year."""
    token = tokens[place]
    if token.plain in {"today", "yesterday"}:
        return None
    for size in (5, 4, 3, 2):
        piece = tokens[place : place + size]
        if len(piece) < size or any(t.kind == LINE_END for t in piece):
            continue
        text = joined(piece).strip()
        months = [t for t in piece if t.kind == WORD and t.plain in _MONTH_WORDS]
        with_iso = size == 5 and _ISO.match(piece[0].plain) and piece[1].joins and piece[3].joins
        others = [t for t in piece if t.kind == WORD and t.plain not in _MONTH_WORDS and t.plain != "of"]
        if others or not (months or with_iso) or (piece[-1].kind == MARK):
            continue
        if size == 3 and piece[2].kind == NUMBER and len(piece[2].plain) != 4:
            continue  # 7 April 4 is four hours
        found = _read(text, near, style)
        if found:
            return FoundDay(place + size, (found,))
    if token.kind == NUMBER and (parts := _NUMERIC.fullmatch(token.text)) and (first or parts[4]):
        if parts[4] is None and parts[2] == ".":
            return None if not first else _short(token.plain, place, near, style)
        return _short(token.plain, place, near, style)
    return None


def _short(text: str, place: int, near: dt.date, style: str) -> FoundDay | None:
    """A date in figures; of two that it can be, both, where the settings do not say which comes first."""
    parts = _NUMERIC.fullmatch(text)
    assert parts
    year = parts[4] or ""
    year = f"20{year}" if len(year) == 2 else year
    days = []
    before_year = f"{parts[1]}{parts[2]}{parts[3]}{parts[2]}"
    for one in (style,) if style != "iso" else ("day-month", "month-day"):
        found = _nearest(partial(_with_year, before_year, one), near, year)
        if found and found not in days:
            days.append(found)
    return FoundDay(place + 1, tuple(days)) if days else None


def _read(text: str, near: dt.date, style: str) -> dt.date | None:
    """A date with its year, or that of the year which is nearest."""
    whole = _try(text, style)
    return whole or _nearest(lambda year: _try(f"{text} {year}", style), near, "")


def _nearest(of_year: Callable[[str], dt.date | None], near: dt.date, year: str) -> dt.date | None:
    """The date in its year, else in the one of three years that is nearest."""
    years = [year] if year else [str(near.year + more) for more in (-1, 0, 1)]
    found = [day for one in years if (day := of_year(one))]
    return min(found, key=lambda day: abs(day - near), default=None)


def _with_year(before_year: str, style: str, year: str) -> dt.date | None:
    """A date in figures in a year."""
    return _try(before_year + year, style)


def _try(text: str, style: str) -> dt.date | None:
    """What the reader of dates makes of a text; None where it can't."""
    try:
        return read_date(text, style)
    except UnreadableError:
        return None

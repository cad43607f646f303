"""Times and days that stand in a text, read by the readers of hours and dates that all cells are read by."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Callable, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from functools import partial

from estimator.log.notebook.spelling import slips
from estimator.log.notebook.tokens import LINE_END, MARK, NUMBER, ORDINAL, UNITS, WORD, Token, figures, listed
from estimator.words.dates import A_DAY, MONTHS, WEEKDAYS, read_date
from estimator.words.errors import UnreadableError
from estimator.words.measures import tidy
from estimator.words.worked_time import WorkedTime, read_worked_time

_ABOUT = listed("about around roughly approximately approx circa ca c ~ ≈")
_UNITS = listed("h hr hrs hour hours m min mins minute minutes d day days w wk wks week weeks and an of")
_MOST_TOKENS = 8


@dataclass(frozen=True, slots=True)
class FoundTime:
    """A time in a text.

    text: as the reader of hours takes it; bare: a whole number without a unit; end: the place behind it
    """

    time: WorkedTime
    text: str
    bare: bool
    end: int


def time_at(tokens: Sequence[Token], place: int, hours_in_a_day: float) -> FoundTime | None:
    """The longest time that begins at a place: 4½, 2h30, about 9, half a day, four and a half hours.

    >>> from estimator.log.notebook.tokens import tokens_of
    >>> time_at(tokens_of("four and a half red"), 0, 6.5).text
    '4 1/2'
    """
    first = tokens[place]
    about, start = "", place
    if first.plain in _ABOUT and place + 1 < len(tokens):
        about, start = "about ", place + 1
        if tokens[start].plain == "." and first.plain in {"ca", "c", "approx"}:
            start += 1
    if start >= len(tokens) or tokens[start].kind not in {WORD, NUMBER}:
        return None
    head, taken = _head(tokens, start)
    if not taken and tokens[start].kind == WORD and tokens[start].plain not in {"half", "a"}:
        return None
    best = None
    limit = min(len(tokens), start + _MOST_TOKENS)
    for end in range(start + max(taken, 1), limit + 1):
        piece = tokens[start + taken : end]
        if any(t.kind in {LINE_END, ORDINAL} or (t.kind == MARK and t.plain != "-") for t in piece):
            break
        if any(
            t.kind == WORD and t.plain not in _UNITS | {"half", "a", "quarter", "quarters"} for t in piece
        ):
            break
        if piece and piece[-1].kind == MARK:
            continue
        text = tidy(about + head + _joined(piece))
        text = {"hour and a half": "1.5 h"}.get(text, text)
        try:
            time = read_worked_time(text, hours_in_a_day)
        except UnreadableError:
            continue
        bare = bool(re.fullmatch(r"(about )?[0-9]+", text)) and not about
        best = FoundTime(time, text, bare, end)
    if best and best.end < len(tokens) and tokens[best.end].plain in _HALVES and not tokens[best.end].apart:
        return None  # 9am is no length of time
    return best and _or_so(tokens, _with_minutes(tokens, best, hours_in_a_day))


def _with_minutes(tokens: Sequence[Token], found: FoundTime, hours_in_a_day: float) -> FoundTime:
    """The time with the minutes that are said behind its hours: one hour thirty, two hours fifteen minutes."""
    if not re.search(r"[0-9] ?h[a-z]*$", found.text) or found.time.hours % 1:
        return found
    row = [token.plain for token in tokens[found.end : found.end + 3] if token.kind == WORD]
    minutes, taken = figures(row)
    named = row[taken : taken + 1] in (["minutes"], ["mins"], ["min"])
    if not (minutes.isdecimal() and int(minutes) < 60 and (named or int(minutes) in range(10, 60, 5))):
        return found
    text = f"{found.text} {minutes}"
    time = read_worked_time(text, hours_in_a_day)
    return FoundTime(time, text, False, found.end + taken + named)


def reads_as_money(text: str, hours: float, hours_in_a_day: float) -> bool:
    """Whether a figure is written as a price is, and longer than a day: 12,80."""
    return hours > hours_in_a_day and bool(re.search(r"[0-9][.,][0-9]0\b", text))


def _or_so(tokens: Sequence[Token], found: FoundTime) -> FoundTime:
    """The time, as a guess where it is followed by -ish or or so."""
    words = [token.plain for token in tokens[found.end : found.end + 2]]
    skip = 1 if words[:1] == ["ish"] else 2 if words in (["-", "ish"], ["or", "so"]) else 0
    if not skip:
        return found
    return FoundTime(replace(found.time, about=True), f"about {found.text}", False, found.end + skip)


def _head(tokens: Sequence[Token], start: int) -> tuple[str, int]:
    """A number in words as figures, and how many tokens it takes; hours in a phrase of their own."""
    row: list[str] = []
    first = tokens[start]
    in_figures = first.kind == NUMBER and first.plain in _SPOKEN  # 2 and a half
    if in_figures:
        row, start = [_SPOKEN[first.plain]], start + 1
    for token in tokens[start : start + _MOST_TOKENS]:
        if token.kind != WORD:
            break
        row.append(token.plain)
    for phrase, text in _PHRASES.items():
        if tuple(row[: len(phrase)]) == phrase:
            return text, len(phrase)
    if (
        row[:1] in (["hour"], ["hr"])
        and _begins(tokens, start - in_figures)
        and row[1:2] not in _MORE_OR_LESS
    ):
        return "1 h", 1
    text, taken = figures(row)
    if in_figures and taken == 1:
        return "", 0
    if text in {"1/2", "1/4"} and taken == 1 and row[1:2] and row[1] in {"a", "an", "day", "of"}:
        return "", 0
    return text, taken


def _begins(tokens: Sequence[Token], place: int) -> bool:
    """Whether a word begins a clause: hour glossing; gloss 2, hour on the rails."""
    before = tokens[place - 1] if place else None
    return before is None or before.plain in _CLAUSE_MARKS or before.kind == LINE_END


_CLAUSE_MARKS = frozenset({",", ".", ";", ":", "+", "&", "-", "and", "then"})
_MORE_OR_LESS = (["or"], ["and"], ["by"], ["rate"], ["ish"])
_HALVES = listed("am pm")  # of a day
_SPOKEN = {str(number): word for word, number in UNITS.items()}
_PHRASES = {
    ("an", "hour", "and", "a", "half"): "1.5 h",
    ("an", "hour", "and", "a", "quarter"): "1.25 h",
    ("an", "hour", "and", "three", "quarters"): "1.75 h",
    ("hour", "and", "a", "half"): "1.5 h",
    ("half", "an", "hour"): "0.5 h",
    ("half", "hour"): "0.5 h",
    ("a", "quarter", "of", "an", "hour"): "0.25 h",
    ("quarter", "of", "an", "hour"): "0.25 h",
    ("a", "quarter", "hour"): "0.25 h",
    ("three", "quarters", "of", "an", "hour"): "0.75 h",
    ("a", "couple", "of", "hours"): "about 2 h",
    ("couple", "of", "hours"): "about 2 h",
    ("a", "couple", "of", "hrs"): "about 2 h",
    ("couple", "of", "hrs"): "about 2 h",
    ("a", "couple", "hrs"): "about 2 h",
    ("couple", "hrs"): "about 2 h",
    ("couple", "hours"): "about 2 h",
    ("an", "hour"): "1 h",
    ("all", "day"): "1 day",
    ("a", "day"): "1 day",
    ("half", "day"): "half a day",
}


def _joined(piece: Sequence[Token]) -> str:
    """Tokens as they were written, with their blanks."""
    return "".join(f"{' ' if token.apart else ''}{token.text}" for token in piece)


_CLOCK = re.compile(
    r"(?P<h1>[0-9]{1,2})(?:[:.](?P<m1>[0-9]{2}))? ?(?P<a1>am|pm)? ?(?:-|to|till|til|until) ?"
    r"(?P<h2>noon|midday|[0-9]{1,2})(?:[:.](?P<m2>[0-9]{2}))? ?(?P<a2>am|pm)?"
    r"(?:(?P<unit> ?(?:hours|hour|hrs|hr|h|days|day|d)\b)|(?![0-9a-z/½¼¾]))"
)


@dataclass(frozen=True, slots=True)
class FoundSpan:
    """Two figures with a dash between.

    hours: between two times of the clock, None where it can be something else
    in_a_day: the same where one day is meant, in which nobody works 9 to 12 hours on one thing
    offered: hours that it may be, by the clock
    """

    hours: float | None
    text: str
    end: int
    in_a_day: float | None = None
    offered: float | None = None

    @property
    def first(self) -> float:
        """The first figure, which is no range of hours where it is more than a day's."""
        return float(re.findall(r"[0-9]+", self.text)[0])

    def ends(self, hours_in_a_day: float) -> list[str]:
        """The two figures, where they can be hours."""
        found = []
        for end in re.findall(r"[0-9]+(?:[.:][0-9]+)?", self.text)[:2]:
            with suppress(UnreadableError):
                read_worked_time(end, hours_in_a_day)
                found.append(end)
        return found


def clock_at(tokens: Sequence[Token], place: int, text: str) -> FoundSpan | None:
    """From one time of the clock to another, sure where am or pm says so: 2-4pm; else two figures, as 2-3.

    >>> from estimator.log.notebook.tokens import tokens_of
    >>> clock_at(tokens_of("2-4pm"), 0, "2-4pm").hours, clock_at(tokens_of("2-3 red"), 0, "2-3 red").hours
    (2.0, None)
    >>> clock_at(tokens_of("9 to 12"), 0, "9 to 12").in_a_day
    3.0
    """
    start = tokens[place].start
    if tokens[place].kind != NUMBER:
        return None
    piece = text[start : start + 24].lower().translate(str.maketrans("–—", "--"))
    parts = _CLOCK.match(piece)
    if not parts:
        return None
    end = next((i for i in range(place, len(tokens)) if tokens[i].start >= start + parts.end()), len(tokens))
    hours: float | None = None
    if parts["unit"]:
        return FoundSpan(None, parts[0].removesuffix(parts["unit"]).strip(), end)  # 2 to 3 h
    if parts["h2"] in _NOON:
        parts = _CLOCK.match(_NOON_WORD.sub("12pm", piece))
        assert parts
    if parts["m1"] and parts["m2"] and not (parts["a1"] or parts["a2"]):
        hours = _plain_clock(parts["h2"], parts["m2"]) - _plain_clock(parts["h1"], parts["m1"])
        hours = hours if 0 < hours <= 10 else None
    elif parts["a1"] or parts["a2"]:
        late = _clock(parts["h2"], parts["m2"], parts["a2"] or "pm")
        early = _clock(parts["h1"], parts["m1"], parts["a1"] or parts["a2"])
        if early >= late and not parts["a1"]:
            early = _clock(parts["h1"], parts["m1"], "am")
        hours = late - early if 0 < late - early <= 12 and int(parts["h1"]) <= 12 else None
    early, late = _plain_clock(parts["h1"], parts["m1"]), _plain_clock(parts["h2"], parts["m2"])
    wrapped = late <= early
    between = late - early + 12 * wrapped
    led = place > 0 and tokens[place - 1].plain == "from"
    can = 0 < between <= _LONG_DAY and early <= 12 and late <= 12
    day = can and early >= _MORNING and (wrapped or late >= 12 or bool(parts["m1"] or parts["m2"]))
    sure = day or (can and led)
    return FoundSpan(
        hours,
        parts[0].strip(),
        end,
        between if sure else None,
        between if can and early >= _MORNING else None,
    )


_NOON = listed("noon midday")
_NOON_WORD = re.compile("noon|midday")
_MORNING = 7  # the first hour at which work can begin, where it is not said
_LONG_DAY = 9  # hours between two times of the clock, at most


def _plain_clock(hours: str, minutes: str | None) -> float:
    """The hour of the day where neither am nor pm is written."""
    return int(hours) + int(minutes or 0) / 60


def _clock(hours: str, minutes: str | None, half: str) -> float:
    """The hour of the day."""
    return int(hours) % 12 + (12 if half == "pm" else 0) + int(minutes or 0) / 60


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
        text = _joined(piece).strip()
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

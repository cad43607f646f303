"""Times that stand in a text, read by the reader of hours that all cells are read by."""

from __future__ import annotations

import re
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass, replace

from estimator.log.notebook.tokens import (
    LINE_END,
    MARK,
    NUMBER,
    ORDINAL,
    UNITS,
    WORD,
    Token,
    figures,
    joined,
    listed,
)
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
        text = tidy(about + head + joined(piece))
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

"""What the figures of promises show, in words: by when each board will be ready, what was told, whom to ring."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Sequence
from dataclasses import replace

from estimator.bench.jobs import PLACES
from estimator.bench.promises import SURE, WORTH_A_CALL, BenchDay, Promise, worth_a_call
from estimator.sheets.layouts.calendar import WEEK, Away, CalendarTape, from_today
from estimator.sheets.layouts.letters import Line, Run, set_lines, wrapped
from estimator.sheets.layouts.ranges import FILL
from estimator.sheets.layouts.standing import Standing, stand_low
from estimator.sheets.layouts.tape import CLEAR, RAIL
from estimator.words.dates import A_DAY, say_day, say_exactly, the_date
from estimator.words.labels import label
from estimator.words.odds import say_chance, say_odds
from estimator.words.phrases import capital

ODDS = 0.8  # of being ready between the ends of a bracket
OVER = "that day is over"
NOT_TOLD = "no day told yet"
RING, SAY = "ring:", "say"


def in_order(day: BenchDay) -> tuple[Promise, ...]:
    """The boards in order of the day told; where none was told, of the day by which one is ready 9 times in 10."""
    return tuple(
        sorted(day.promises, key=lambda p: (p.told.last if p.told else p.ready.high, p.ready.high, p.board))
    )


def to_ring(promise: Promise) -> bool:
    """Whether the day told last is kept less than 6 times in 10, so that its owner is rung."""
    return promise.told is not None and worth_a_call(promise.chance_kept)


def is_over(promise: Promise, today: dt.date) -> bool:
    """Whether the day told last lies before today."""
    return promise.told is not None and promise.told.last < today


def place_words(promise: Promise) -> str:
    """Where the board is."""
    return label(PLACES[promise.on])


def told_words(promise: Promise, today: dt.date) -> str:
    """What was told, which is sure: an exact day, as it was said, and whether it is over."""
    if promise.told is None:
        return NOT_TOLD
    told = f"by {say_exactly(promise.told.last, today)}:"
    return f"{told} {OVER}" if is_over(promise, today) else told


def chance_words(promise: Promise, today: dt.date) -> str:
    """How often the day told is kept; empty where none was told, and where it is over."""
    if promise.told is None or promise.chance_kept is None or is_over(promise, today):
        return ""
    return say_chance(promise.chance_kept)


def ready_words(promise: Promise, today: dt.date) -> str:
    """By when it will be ready: the day to say to its owner.

    Empty where the day told stands.
    """
    if promise.told and not to_ring(promise):
        return ""
    return f"by {say_exactly(max(promise.ready.tell, today), today)}: {say_odds(SURE)}"


def row_words(promise: Promise, today: dt.date) -> str:
    """All that stands on a board's row after its name and place."""
    parts = (RING if to_ring(promise) else "", told_words(promise, today), chance_words(promise, today))
    first = " ".join(words for words in parts if words)
    ready = ready_words(promise, today)
    say = f"{SAY} " if to_ring(promise) else ""
    return f"{first}; {say}{ready}" if ready else first


def span_words(promise: Promise, today: dt.date) -> str:
    """Between which days it will be ready, and the middle, in words.

    Days that are over by what the log tells stand as today.
    """
    low, likely, high = (
        the_date(max(day, today), today)
        for day in (promise.ready.low, promise.ready.likely, promise.ready.high)
    )
    if low == high:
        return f"ready about {low}"
    return f"ready between {low} and {high}, {say_odds(ODDS)}, half later than {likely}"


def today_words(day: BenchDay) -> tuple[str, ...]:
    """Which day it is, and up to when the log tells where that is longer ago than yesterday."""
    behind = day.log_up_to < day.today - A_DAY
    log = (f"your log tells up to {say_exactly(day.log_up_to, day.today)}",) if behind else ()
    return (f"today, {say_day(day.today)}{';' if log else ''}", *log)


def left_out_words(day: BenchDay) -> str:
    """The boards that no date can be given for, by name; empty where there is none."""
    names = day.names or {}
    said = ", ".join(names.get(board, board) for board in day.left_out or {})
    return f"no date can be given: {said}" if said else ""


def away_words(away: Sequence[tuple[dt.date, dt.date]], today: dt.date) -> str:
    """The days away that are not over, in words; empty where there is none."""
    spans = [
        say_exactly(first, today)
        if first == last
        else f"{say_exactly(first, today)} to {say_exactly(last, today)}"
        for first, last in sorted(away)
        if first <= last and last >= today
    ]
    return f"away {', '.join(spans)}" if spans else ""


def promises_title(day: BenchDay) -> str:
    """What there is to see: how many of the days told are in danger."""
    told = [promise for promise in day.promises if promise.told]
    ring = [promise for promise in in_order(day) if to_ring(promise)]
    if not day.promises:
        return "No board is in hand"
    if not told:
        return "No day has been told yet"
    if not ring:
        return f"Each day told is kept {say_chance(WORTH_A_CALL)} or more often"
    over = sum(is_over(promise, day.today) for promise in ring)
    state = "in danger" if not over else "over" if over == len(ring) else "in danger or over"
    if len(ring) == 1:
        return f"The day told for {ring[0].name} is {state}: ring"
    few = f"All {len(told)}" if len(ring) == len(told) else f"{len(ring)} of {len(told)}"
    return f"{few} days told are {state}: ring"


def promises_caption(day: BenchDay, away: Sequence[tuple[dt.date, dt.date]] = ()) -> str:
    """The whole picture in words, for those who read it and for those who hear it read."""
    said = [promises_title(day), " ".join(today_words(day))]
    said += [_sentence(promise, day.today) for promise in in_order(day)]
    said += [away_words(away, day.today) if day.promises else "", left_out_words(day)]
    return " ".join(f"{capital(words)}." for words in said if words)


def _sentence(promise: Promise, today: dt.date) -> str:
    """One row in words."""
    row, span = row_words(promise, today), span_words(promise, today)
    return f"{promise.name}, {place_words(promise)}; {row}; guessed: {span}"


def ten_title(promise: Promise, today: dt.date) -> str:
    """By when one board will be ready."""
    return f"{promise.name}: ready by {say_exactly(max(promise.ready.tell, today), today)}, {say_odds(SURE)}"


def late_words(promise: Promise, today: dt.date) -> str:
    """How many of ten boards would be later than the day told, counted; never none and never all."""
    assert promise.told is not None
    if is_over(promise, today):
        return OVER
    late, count = sum(day > promise.told.last for day in promise.points), len(promise.points)
    if late in {0, count}:
        return f"fewer than 1 in 20 would be {'in time' if late else 'late'}"
    return f"{late} of {count} would be late"


def ten_caption(promise: Promise, today: dt.date, away: Sequence[tuple[dt.date, dt.date]] = ()) -> str:
    """Ten boards on a calendar in words."""
    low, likely, high = (
        the_date(max(day, today), today)
        for day in (promise.ready.low, promise.ready.likely, promise.ready.high)
    )
    about = f"are ready about {low}" if low == high else f"are ready between {low} and {high}"
    said = [
        f"Of ten boards like {promise.name}, eight {about}, one sooner, one later; half are later than {likely}",
        "This is guessed",
    ]
    if promise.told:
        said.append(f"You told by {say_exactly(promise.told.last, today)}: {late_words(promise, today)}")
    said += [f"today is {say_day(today)}", away_words(away, today)]
    return " ".join(f"{capital(words)}." for words in said if words)


BOARD = 17.0  # pixels: how high a board stands
MARKS, HIGHEST = 26.0, 62.0  # pixels: how high the marks of a row are at least, and at most
AIR = 3.0  # pixels between words and a plumb line below them
GAP = 12.0  # pixels between one row's marks and the next row's words
TOLD_HIGH = 8.0  # pixels: a stroke on the tape's upper edge for each day told
MANY = 8  # rows from which the tape is laid at the head, too
SAMPLE = 34.0  # pixels: how wide a mark in the key is


class PromiseLayout(CalendarTape):
    """What is written and how high everything is, in pixels above and below the tape's upper edge."""

    def __init__(self, day: BenchDay, wide_px: float, away: Away) -> None:
        self.promises = in_order(day)
        told = {p.told.last for p in self.promises if p.told and p.told.last >= day.today}
        last = max([p.ready.high for p in self.promises] + list(told), default=day.today)
        super().__init__(day.today, *from_today((last - day.today).days, wide_px), wide_px, away)
        self.told = sorted(map(self.at, told))
        self.rows = [self._row(promise) for promise in self.promises]
        self.standing = [self._standing(promise) for promise in self.promises]
        self.head = self.deep + GAP if len(self.rows) >= MANY else 0.0
        self.above = (
            self.head + sum(map(self.row_px, self.rows, self.standing)) + (TOLD_HIGH if self.told else 0.0)
        )
        self.days = self._set([(Run(words),) for words in today_words(day)])
        self.left_out = self._set([(Run(left_out_words(day)),)]) if day.left_out else ()
        self.key = self._key() if self.rows else []
        lines = len(self.days) + len(self.left_out) + sum(len(lines) for _, lines in self.key)
        tape = self.deep + CLEAR / 2 if self.rows else 0.0
        self.below = tape + lines * self.line + CLEAR

    def row_px(self, lines: tuple[Line, ...], standing: Standing) -> float:
        """How high a row is: its words, its boards, and the air below them."""
        return len(lines) * self.line + self.marks_px(standing) + GAP

    def marks_px(self, standing: Standing) -> float:
        """How high the marks of a row are."""
        return max(standing.top + AIR, MARKS)

    def places(self, promise: Promise) -> list[float]:
        """Where ten boards like it would be ready, in days from today; what is over by what the log tells, today."""
        return [max(self.at(day), 0.0) for day in promise.points]

    def _standing(self, promise: Promise) -> Standing:
        """How ten boards like it stand on their tape."""
        return stand_low([self.px(at) for at in self.places(promise)], BOARD, HIGHEST - AIR)

    def _set(self, parts: list[Line], indent: float = 0.0) -> tuple[Line, ...]:
        """Parts in lines that fit."""
        return set_lines(parts, self.wide - indent - 2, self.letters)

    def _row(self, promise: Promise) -> tuple[Line, ...]:
        """Name and place, then what was told and how it stands: on one line where there is room."""
        name = self._set([(Run(f"{promise.name},", bold=True),), (Run(place_words(promise)),)])
        ready = ready_words(promise, self.today)
        first = (
            Run(RING if to_ring(promise) else "", bold=True, accent=True),
            Run(told_words(promise, self.today)),
            Run(chance_words(promise, self.today), slanted=True),
        )
        parts = [tuple(run for run in first if run.words)]
        if ready:
            say = (Run(SAY),) if to_ring(promise) else ()
            parts = [_ended(parts[0]), (*say, Run(ready, slanted=True))]
        said = self._set(parts)
        if len(name) == len(said) == 1 and not to_ring(promise):
            both = self._set([_ended(name[0]), *said])
            return both if len(both) == 1 else (*name, *said)
        return (*name, *said)

    def _key(self) -> list[tuple[str, tuple[Line, ...]]]:
        """What the marks are: the mark's name, and words in lines."""
        guessed = (Run("guessed:", slanted=True), Run("ten boards like it,"))
        marks: list[tuple[str, list[Line]]] = [
            ("board", [guessed, (Run("each where it may be ready"),)]),
        ]
        if self.told:
            marks.append(("plumb", [(Run("the day you told: boards behind it would be late"),)]))
        if any(is_over(promise, self.today) for promise in self.promises):
            marks.append(("beyond", [(Run("the day you told is over"),)]))
        if self.hatched:
            marks.append(("hatch", [(Run("days away"),)]))
        return [(mark, self._set(parts, SAMPLE + CLEAR)) for mark, parts in marks]


def _ended(line: Line) -> Line:
    """A line with a semicolon at its end."""
    return (*line[:-1], replace(line[-1], words=f"{line[-1].words};"))


BEFORE = 14.0  # pixels of tape before today: half a board, and air


class ReadyLayout(CalendarTape):
    """Where everything of one drawing goes: bands of pixels above and below the tape's upper edge."""

    def __init__(self, promise: Promise, today: dt.date, wide_px: float, away: Away) -> None:
        ready = promise.ready
        places, (self.low, self.likely, self.high) = (
            tuple(max(float((day - today).days), 0.0) for day in days)
            for days in (promise.points, (ready.low, ready.likely, ready.high))
        )
        told = None if promise.told is None else float((promise.told.last - today).days)
        ends = _ends(min(places[0], self.low), max(places[-1], self.high), told, wide_px)
        super().__init__(today, *ends, wide_px, away)
        self.places = places
        self.plumb = -math.inf if told is not None and told < 0 else told
        self.said: tuple[str, ...] = ()  # lines of words over the plumb line
        if promise.told is not None:
            parts = (f"told by {say_exactly(promise.told.last, today)}", late_words(promise, today))
            self.said = tuple(line for part in parts for line in wrapped(part, wide_px - 2, self.letters))
        count = f"8 of these {len(places)}"
        ways = ((f"guessed: {count}",), ("guessed:", count))
        self.bracket, self.bracket_at = self.beside(
            self.plumb, (self.low + self.high) / 2, ways, slanted=True
        )
        self.above = (len(self.said) + len(self.bracket)) * self.line + RAIL + CLEAR
        now = f"today, {say_day(today)}" + ("" if self.left < 0 else ", lies further left")
        self.today_words = wrapped(now, wide_px - 2, self.letters)
        self.below = self.deep + CLEAR + self.line * (len(self.today_words) + bool(self.hatched))


def _ends(low: float, high: float, told: float | None, wide_px: float) -> tuple[float, float]:
    """The ends of the tape: all boards with room beside them; the day told and today where the boards keep room."""
    grown = max(WEEK - (high - low), 0) / 2
    low, high = low - grown, high + grown
    widest, pad = (high - low) / FILL, 0.12 + 16 / wide_px
    left, right = low - (high - low) * pad, high + (high - low) * pad
    for at in (told, 0.0):
        if at is not None and at >= 0:
            further_left, further_right = min(left, at - widest * 0.03), max(right, at + widest * 0.03)
            if further_right - further_left <= widest:
                left, right = further_left, further_right
    if left < 0:
        left = -BEFORE * right / (wide_px - BEFORE)  # so that today stands where the tape begins
    return left, right

"""The tape measure as a calendar: weeks as ticks, months by name, days away."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Sequence
from itertools import pairwise

from estimator.sheets.layouts.letters import width_px
from estimator.sheets.layouts.tape import CLOSEST, TAPE, FigureLayout
from estimator.words.dates import A_DAY, MONTHS

Away = Sequence[tuple[dt.date, dt.date]]
WEEK = 7
PAD = 10.0  # pixels of tape before today, and after the last mark
SHORTEST = 14  # days: no tape from today on is shorter
AIR = 5.0  # pixels between the line at which a month begins and its name
BETWEEN = 10.0  # pixels at least between the figures of two Mondays
FINEST = 10.0  # pixels a day from which days have ticks of their own
YEAR = 12  # months
PERIODS = (1, 3, YEAR, 24, 60, 120, 240, 600, 1200)  # months that one name may stand for
SEEN = 2.0  # pixels that a span of days needs to be seen
HALF = 0.5  # a mark stands in the middle of its day


class CalendarTape(FigureLayout):
    """A tape in days from today, as wide as its figure; no day before today is on it.

    left, right: the ends of the tape; a tape that begins at today has its left end somewhat before it
    away: days on which nobody works, as pairs of the first and the last
    """

    def __init__(self, today: dt.date, left: float, right: float, wide_px: float, away: Away = ()) -> None:
        super().__init__(left, right, wide_px)
        self.today = today
        self.each = wide_px / (right - left)  # pixels for a day
        self.first = max(left, 0.0)
        self.hatched = tuple(self._hatched(away))
        self.names, self.months = self._named()
        self.numbers = self._numbers()
        self.deep = TAPE + 1.2 * self.letters if self.numbers else TAPE

    def day(self, at: float) -> dt.date:
        """The day that is so many days from today."""
        return self.today + round(at) * A_DAY

    def at(self, day: dt.date) -> float:
        """Days from today to a day."""
        return float((day - self.today).days)

    def ticks(self) -> list[float]:
        """Places of the ticks: Mondays, or where they would run together the first days of months or of years."""
        if WEEK * self.each >= CLOSEST:
            monday = -self.today.weekday()
            places = [float(at) for at in range(monday, int(self.right) + 1, WEEK)]
        else:
            wide_enough = (months for months in PERIODS if 28 * months * self.each >= CLOSEST)
            places = [self.at(day) for day in self._starts(next(wide_enough, PERIODS[-1]))]
        return [at for at in places if self.first <= at <= self.right]

    def _hatched(self, away: Away) -> Iterable[tuple[float, float]]:
        """Days away that can be seen."""
        for first, last in sorted(away):
            begin, end = max(self.at(first) - HALF, self.first), min(self.at(last) + HALF, self.right)
            if (end - begin) * self.each >= SEEN:
                yield begin, end

    def _starts(self, months: int) -> list[dt.date]:
        """The first days of periods of so many months, from the one that the tape begins in."""
        first, last = (day.year * 12 + day.month - 1 for day in (self.day(self.first), self.day(self.right)))
        return [dt.date(n // 12, n % 12 + 1, 1) for n in range(first // months * months, last + 1, months)]

    def _named(self) -> tuple[list[tuple[float, str]], list[float]]:
        """Names with their places, and where what they name begins: months if they have room, or quarters, or years.

        What an end of the tape cuts off may have a shorter name than the others, or none.
        """
        for months in PERIODS:
            starts = self._starts(months)
            edges = [self.left, *(self.at(day) - HALF for day in starts[1:]), self.right]
            for ways in ((None, 3), (3,)) if months == 1 else ((3,),):
                cut = {0, len(starts) - 1}
                rooms = [(end - begin) * self.each - 2 * AIR for begin, end in pairwise(edges)]
                rooms[-1] += AIR  # nothing stands at the end
                names = [
                    self._name(day, months, room, ways if n in cut else ways[:1])
                    for n, (day, room) in enumerate(zip(starts, rooms, strict=True))
                ]
                if all(names[1:-1]):
                    places = [at + AIR / self.each for at in edges[:-1]]
                    return [one for one in zip(places, names, strict=True) if one[1]], edges[1:-1]
        return [], []

    def _name(self, start: dt.date, months: int, room_px: float, ways: Sequence[int | None]) -> str:
        """The name of a period that begins on a day; empty where it has no room.

        ways: how many letters a month may have, in the order in which they are tried; None for all
        """
        day = max(start, self.day(self.first))
        said = [MONTHS[day.month - 1][:letters] for letters in ways]
        if months >= YEAR:
            said = [f"{day.year}"]
        elif day.month == 1:
            said = [*(f"{month} {day.year}" for month in said), f"{day.year}"]
        return next((name for name in said if width_px(name, self.letters) <= room_px), "")

    def _numbers(self) -> list[tuple[float, str]]:
        """The days of the month that Mondays have, where they have room and are not hatched."""
        if WEEK * self.each < width_px("30", self.letters) + BETWEEN:
            return []
        numbers = []
        for at in self.ticks():
            words = str(self.day(at).day)
            half = (width_px(words, self.letters) / 2 + 2) / self.each
            clear = all(at + half <= begin or end <= at - half for begin, end in self.hatched)
            if self.left <= at - half and at + half <= self.right and clear:
                numbers.append((at, words))
        return numbers


def from_today(days: int, wide_px: float) -> tuple[float, float]:
    """The ends of a tape from today to a day so many days on, but of no less than a fortnight."""
    each = (wide_px - 2 * PAD) / max(days, SHORTEST)
    return -PAD / each, (wide_px - PAD) / each

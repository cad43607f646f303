"""Which days a text means: by the week that goes on in it, the box it stands in, and today."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import NamedTuple

from estimator.log.notebook.atom import Atom
from estimator.log.notebook.days_named import FoundDay
from estimator.words.dates import A_DAY, say_day


class NamedDays(NamedTuple):
    """Days that a text names. until: the last of several that follow one another; days: each of them"""

    first: dt.date
    until: dt.date | None
    days: tuple[dt.date, ...]


class DayQuestion(NamedTuple):
    """What is to be asked of a day, and the days that it may be. goes_on: whether the answer's week goes on"""

    question: str
    days: tuple[dt.date, ...]
    goes_on: bool = False


@dataclass(slots=True)
class MeantDays:
    """The week that goes on in a text. box: the day that all of it is about; hours: of the bench, by weekday"""

    today: dt.date
    week: dt.date
    box: dt.date | None
    hours: Sequence[float]
    last_weekday: int | None = None

    def of(self, atom: Atom, *, headed: bool) -> NamedDays | DayQuestion:
        """The days of an atom, or what is to be asked of it. headed: whether it stands above what follows"""
        if atom.shift is not None:
            return self._from_today(atom, atom.shift * A_DAY)
        found = atom.day
        assert found is not None
        if found.whole_week:
            return self._whole_week(found)
        if found.wrong:
            likely = (*found.days, self.week, self.monday)
            return DayQuestion(
                f"“{atom.text}”: {found.wrong}. Which day is it?", tuple(dict.fromkeys(likely))
            )
        if len(found.days) > 1:
            past = tuple(day for day in found.days if day <= self.today)
            found = replace(found, days=past) if len(past) == 1 else found
        if len(found.days) > 1:
            return DayQuestion(f"“{atom.text}” can be two days. Which one is it?", found.days)
        if found.weeks and found.weekday is not None:
            return self._last(atom, found.weekday)
        if found.days:
            first = found.days[0]
            self.week, self.last_weekday = first, first.weekday()
        else:
            assert found.weekday is not None
            first = self._in_week(found.weekday)
            if headed and self.last_weekday is not None and found.weekday < self.last_weekday:
                can = tuple(day for day in (first + 7 * A_DAY, first) if day <= self.today)
                question = f"“{atom.text}” comes after a later day. Which one is it?"
                return DayQuestion(question, can or (first,), goes_on=True)
            if headed:
                self.last_weekday = found.weekday
        return self._several(atom, first)

    @property
    def monday(self) -> dt.date:
        """The first day of the week that goes on."""
        return self.week - self.week.weekday() * A_DAY

    def likely(self) -> tuple[dt.date, ...]:
        """The days of that week on which one works, up to today."""
        days = [self.monday + at * A_DAY for at in range(7)]
        return tuple(day for day in days if day <= self.today and self.hours[day.weekday()] > 0)

    def goes_on(self, day: dt.date) -> None:
        """From here on the week of a day is meant, and days behind that one."""
        self.week, self.last_weekday = day, day.weekday()

    def _from_today(self, atom: Atom, shift: dt.timedelta) -> NamedDays | DayQuestion:
        """Today or yesterday; in another day's box it may be that day, or the one before it."""
        box, day = self.box, self.today + shift
        if box and atom.part_of_day:
            day = box
        elif box and box + shift != day and box != day:
            return DayQuestion(f"“{atom.text}”: which day is that?", (box + shift, day))
        return NamedDays(day, None, (day,))

    def _last(self, atom: Atom, weekday: int) -> NamedDays | DayQuestion:
        """The last Friday before today; where this week has had one already, it is asked which is meant."""
        day = self.today - ((self.today.weekday() - weekday) % 7 or 7) * A_DAY
        if day.isocalendar()[1] == self.today.isocalendar()[1]:
            return DayQuestion(f"“{atom.text}” can be two days. Which one is it?", (day, day - 7 * A_DAY))
        return NamedDays(day, None, (day,))

    def _whole_week(self, found: FoundDay) -> NamedDays:
        """A week, up to its last working day or to today."""
        if found.days:
            self.week, self.last_weekday = found.days[0], None
        if found.weeks:
            self.week += found.weeks * 7 * A_DAY
        last = max((at for at, hours in enumerate(self.hours) if hours > 0), default=6)
        until = max(self.monday, min(self.monday + last * A_DAY, self.today))
        return _through(self.monday, until)

    def _several(self, atom: Atom, first: dt.date) -> NamedDays | DayQuestion:
        """The days from the first one on, unless one of them is still to come."""
        if atom.listed:
            days = tuple(dict.fromkeys((first, *(self._behind(first, day) for day in atom.listed))))
            follow = all(b - a == A_DAY for a, b in pairwise(days))
            named = NamedDays(first, days[-1] if follow and len(days) > 1 else None, days)
        elif atom.since:
            named = _through(first, self.today)
        elif atom.until:
            named = _through(first, self._behind(first, atom.until))
        else:
            named = NamedDays(first, None, (first,))
        if max(named.days) <= self.today:
            return named
        return DayQuestion(
            f"“{atom.text}” is still to come: today is {say_day(self.today)}. Which day is it?",
            (first - 7 * A_DAY,),
        )

    def _behind(self, first: dt.date, found: FoundDay) -> dt.date:
        """The day that is named behind another one."""
        if found.days:
            return found.days[0]
        assert found.weekday is not None
        return first + ((found.weekday - first.weekday()) % 7) * A_DAY

    def _in_week(self, weekday: int) -> dt.date:
        """The weekday of the week that is meant."""
        return self.week + (weekday - self.week.weekday()) * A_DAY


def _through(first: dt.date, last: dt.date) -> NamedDays:
    """All days from one to another."""
    days = tuple(first + at * A_DAY for at in range(max((last - first).days, 0) + 1))
    return NamedDays(first, last if last > first else None, days)


def day_of(text: str | None) -> dt.date | None:
    """The day of an ISO date, or None."""
    try:
        return dt.date.fromisoformat(text) if text else None
    except ValueError:
        return None

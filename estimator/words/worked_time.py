"""Worked time, in hours, in any spelling of a notebook or a spreadsheet."""

from __future__ import annotations

import datetime as dt
import re
from dataclasses import dataclass

from estimator.words.errors import UnreadableError
from estimator.words.measures import NONE, number, number_in, number_or_text, tidy, unreadable

DAYS_IN_A_WEEK = 5  # working days
MOST_HOURS = 100_000.0

_CURE = "Write 2.5, 2:30 or 2h30, or days as 9 days."
_SPREADSHEET_DAY_0 = dt.datetime.fromisoformat("1899-12-31")
_SPREADSHEET_DAY_59 = dt.datetime.fromisoformat("1900-02-28")  # from here on spreadsheets disagree by a day
_GRAINS = (1.0, 0.5, 0.25, 0.1)  # of a day or a week, as they are written

_ABOUT = re.compile(r"(?:about|around|roughly|approximately|approx\.?|circa|ca\.?|c\.|[~≈]) ?(.+)")
_CLOCK = re.compile(r"([0-9]+):([0-9]{2})(?::([0-9]{2}))?")
_HOURS = re.compile(
    r"(.+?) ?(?:hours|hour|hrs|hr|h)\.?(?: ?(?:and )?([0-9]{1,2}) ?(?:minutes|minute|mins|min|m)?\.?)?"
)
_MINUTES = re.compile(r"(.+?) ?(?:minutes|minute|mins|min|m)\.?")
_DAYS = re.compile(r"(.+?) ?(days|day|d|weeks|week|wks|wk|w)\.?")
_ISO = re.compile(r"pt(?=[0-9])(?:([0-9.,]+)h)?(?:([0-9.,]+)m)?(?:([0-9.,]+)s)?")
_ISO_DAYS = re.compile(r"p[0-9.,]+[ymwd].*")
_IN_WORDS = {"half a": 0.5, "half an": 0.5, "half": 0.5, "half-": 0.5, "a": 1.0, "an": 1.0, "one": 1.0}
_RANGE = re.compile(r"(?:between (.+) and|(?:from )?(.+?) ?(?:-|to\b|\.\.)) ?(.+)")
_NEAREST = re.compile(r"(.+ ?h) to the nearest ([0-9]+(?:\.[0-9]+)?) ?h")
_UNIT_AT_END = re.compile(r"[0-9] ?([a-z]+)\.?")


@dataclass(frozen=True, slots=True)
class WorkedTime:
    """Hours, and how exactly they were written.

    hours: 0 or more
    grain: hours, the step of what was written in days or weeks (9 days: a day; 4½: half a day), else None
    about: whether it was written as a guess: about 9, ca. 9, ~9
    """

    hours: float
    grain: float | None = None
    about: bool = False


def read_worked_time(value: object, hours_in_a_day: float) -> WorkedTime:
    """The worked time in a cell: 2.5, 2,5, 2:30, 2h30, 45 min, 4½, PT2H30M, about 9, 9 days, half a day.

    A day is `hours_in_a_day`, a week five of them; both keep their grain, which 58.5 h to the nearest 6.5 h says
    whatever a day is. A duration may pass 24 h. "-" and
    "none" are 0. An empty cell and "?" (not known) cannot be read: the caller knows what they mean.

    Raises UnreadableError for anything else, a negative time, a range, and more than 100,000 hours.

    >>> read_worked_time("2h30", 6.5).hours, read_worked_time("about 4½", 6.5)
    (2.5, WorkedTime(hours=4.5, grain=None, about=True))
    >>> read_worked_time("9 days", 6.5)
    WorkedTime(hours=58.5, grain=6.5, about=False)
    """
    hours = _spreadsheet_hours(value)
    if hours is not None:
        return WorkedTime(_sensible(hours, value))
    found = number_or_text(value, _CURE)
    if isinstance(found, float):
        return WorkedTime(_sensible(found, value))
    if found in NONE:
        return WorkedTime(0.0)
    guessed = _ABOUT.fullmatch(found)
    text = guessed[1] if guessed else found
    if nearest := _NEAREST.fullmatch(text):
        hours, grain = _hours_and_grain(nearest[1], value, hours_in_a_day)[0], float(nearest[2]) or None
    else:
        hours, grain = _hours_and_grain(text, value, hours_in_a_day)
    return WorkedTime(_sensible(hours, value), grain, guessed is not None)


def say_worked_time(time: WorkedTime) -> str:
    """Worked time in the one form that reads as it is, whatever a day means.

    >>> [say_worked_time(time) for time in (WorkedTime(58.5, 6.5), WorkedTime(7 / 3), WorkedTime(9.0, about=True))]
    ['58.5 h to the nearest 6.5 h', '2:20', 'about 9']
    """
    hours = number(round(time.hours, 2))
    if float(hours) != time.hours:
        whole, minutes = divmod(round(time.hours * 60), 60)
        hours = f"{whole}:{minutes:02d}" if whole + minutes / 60 == time.hours else number(time.hours)
    about = "about " if time.about else ""
    return f"{about}{hours} h to the nearest {number(time.grain)} h" if time.grain else f"{about}{hours}"


def read_range_hours(value: object, hours_in_a_day: float) -> tuple[float, float]:
    """The least and the most hours of a range: 60-80, 60 to 80 h, 9-12 days; one figure is both ends.

    Raises UnreadableError for what cannot be read, and where the first end is above the second.

    >>> read_range_hours("60-80", 6.5), read_range_hours("2 to 3 days", 6.5), read_range_hours(66, 6.5)
    ((60.0, 80.0), (13.0, 19.5), (66.0, 66.0))
    """
    ends = _ends(value) if isinstance(value, str) and isinstance(number_or_text(value, _CURE), str) else None
    if not ends:
        hours = read_worked_time(value, hours_in_a_day).hours
        return hours, hours
    try:
        low, high = (read_worked_time(end, hours_in_a_day).hours for end in ends)
    except UnreadableError as error:
        raise unreadable(value, "is not a range that can be read", "Write it as 60-80.") from error
    if low > high:
        raise unreadable(value, "begins with the larger end", "Write it as 60-80.")
    return low, high


def _ends(value: str) -> tuple[str, str] | None:
    """The ends of a range as texts, both with the unit that stands at one; None for one figure."""
    text = tidy(value)
    if text in NONE or number_in(text) is not None or _NEAREST.fullmatch(text):
        return None
    guessed = _ABOUT.fullmatch(text)
    parts = _RANGE.fullmatch(guessed[1] if guessed else text)
    if not parts:
        return None
    low, high = parts[1] or parts[2], parts[3]
    low_unit, high_unit = _UNIT_AT_END.search(low), _UNIT_AT_END.search(high)
    if high_unit and number_in(low) is not None:
        low = f"{low} {high_unit[1]}"
    elif low_unit and number_in(high) is not None:
        high = f"{high} {low_unit[1]}"
    return low, high


def _spreadsheet_hours(value: object) -> float | None:
    """Hours of a spreadsheet's duration or time of day; None for anything that is not of these."""
    if isinstance(value, dt.timedelta):
        return value / dt.timedelta(hours=1)
    if isinstance(value, dt.time):
        return value.hour + value.minute / 60 + (value.second + value.microsecond / 1e6) / 3600
    if isinstance(value, dt.datetime) and value.year in {1899, 1900}:
        plain = value.replace(tzinfo=None)  # a duration above 24 h in a cell that shows the time of day
        if _SPREADSHEET_DAY_0 <= plain <= _SPREADSHEET_DAY_59:
            return (plain - _SPREADSHEET_DAY_0) / dt.timedelta(hours=1)
    if isinstance(value, dt.date):
        raise UnreadableError(
            "the spreadsheet has made a date of these hours",
            f"Set the cell to number or text. {_CURE}",
        )
    return None


def _hours_and_grain(text: str, value: object, hours_in_a_day: float) -> tuple[float, float | None]:
    """Hours and grain of a tidy text."""
    number = number_in(text)
    if number is not None:
        return number, None
    if parts := _CLOCK.fullmatch(text):
        return _clock(float(parts[1]), int(parts[2]), int(parts[3] or 0), value), None
    if _ISO.fullmatch(text) or _ISO_DAYS.fullmatch(text):
        return _iso(text, value), None
    if (parts := _HOURS.fullmatch(text)) and (number := _amount(parts[1])) is not None:
        if parts[2] and number % 1:
            raise unreadable(value, "has parts of an hour, and minutes too", _CURE)
        return _clock(number, int(parts[2] or 0), 0, value), None
    if (parts := _MINUTES.fullmatch(text)) and (number := _amount(parts[1])) is not None:
        return number / 60, None
    if (parts := _DAYS.fullmatch(text)) and (number := _amount(parts[1])) is not None:
        unit_hours = hours_in_a_day * (DAYS_IN_A_WEEK if parts[2].startswith("w") else 1)
        _sensible(number * unit_hours, value)
        grain = next((g for g in _GRAINS if abs(number / g - round(number / g)) < 1e-9), _GRAINS[-1])
        return number * unit_hours, grain * unit_hours
    if text == "half an hour":
        return 0.5, None
    if any(c.isdecimal() for c in text) and _RANGE.fullmatch(text):
        raise unreadable(value, "is not one time", "Write one figure, as about 70.")
    raise unreadable(value, "is not a time that can be read", _CURE)


def _amount(text: str) -> float | None:
    """The number before a unit, in figures or as "half a"."""
    return _IN_WORDS.get(text) if text in _IN_WORDS else number_in(text)


def _clock(hours: float, minutes: int, seconds: int, value: object) -> float:
    """Hours from hours, minutes and seconds; 2:75 is a typing error."""
    if minutes >= 60 or seconds >= 60:
        what = f"{minutes} minutes" if minutes >= 60 else f"{seconds} seconds"
        raise unreadable(value, f"has {what} after the hours", _CURE)
    return hours + minutes / 60 + seconds / 3600


def _iso(text: str, value: object) -> float:
    """Hours of an ISO 8601 duration in hours, minutes and seconds."""
    parts = _ISO.fullmatch(text)
    if not parts:
        raise unreadable(
            value,
            "could mean days of 24 hours or days at the bench",
            "Write the hours alone, as PT26H, or the days, as 2 days.",
        )
    numbers = [number_in(part) if part else 0.0 for part in parts.groups()]
    if None in numbers:
        raise unreadable(value, "is not a time that can be read", _CURE)
    hours, minutes, seconds = (number or 0.0 for number in numbers)
    return hours + minutes / 60 + seconds / 3600


def _sensible(hours: float, value: object) -> float:
    """The hours, unless nobody can have worked so long."""
    if hours < 0:
        raise unreadable(value, "is less than no time", _CURE)
    if hours > MOST_HOURS:
        raise unreadable(value, "is more than anybody can work", _CURE)
    return hours + 0.0  # never -0

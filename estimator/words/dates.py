"""Dates: read without guessing which number is the month, said as surely as they are known; quarters; holidays."""

from __future__ import annotations

import datetime as dt
import difflib
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from typing import Self

from estimator.words.errors import UnreadableError, UsageError
from estimator.words.measures import number_or_text, tidy, unreadable

CLOSE = 0.6  # likeness from which a code is offered as the one that was meant


@cache
def _regions() -> Mapping[str, tuple[str, ...]]:
    """Every country's codes, of two letters and of three, with the codes of its regions."""
    from holidays.utils import list_supported_countries

    return {country: tuple(regions) for country, regions in list_supported_countries().items()}


def _country(code: str) -> str:
    """The country's part of a code."""
    return code.partition("-")[0]


def known(code: str) -> bool:
    """Whether a country or a region, as "GB" or "GB-SCT" (ISO 3166), has its holidays known.

    >>> known("GB"), known("GB-SCT"), known("XX"), known("GB-XX")
    (True, True, False, False)
    """
    country, dash, region = code.partition("-")
    return country in _regions() and (not dash or region in _regions()[country])


def nearest_code(code: str) -> str:
    """The cure for an unknown code: the nearest known one, or how a code is written.

    >>> nearest_code("GB-SCO"), nearest_code("gb")
    ('The nearest code known here is GB-SCT.', 'The nearest code known here is GB.')
    """
    written = code.upper()
    country = _country(written)
    if "-" in code and country in _regions():
        codes = [f"{country}-{region}" for region in _regions()[country]]
        close = max(
            codes, key=lambda one: difflib.SequenceMatcher(None, one, written).ratio(), default=country
        )
    else:
        close = next(iter(difflib.get_close_matches(country, _regions(), n=1, cutoff=CLOSE)), "")
    if close:
        return f"The nearest code known here is {close}."
    return "Write a country as GB, a region as GB-SCT, or leave it empty."


@cache
def public_holidays(code: str, year: int) -> frozenset[dt.date]:
    """The days of a year on which a country or region keeps a public holiday; none for an empty code.

    Raises KeyError for a code that is not known.

    >>> dt.date(2026, 12, 25) in public_holidays("GB-SCT", 2026), public_holidays("", 2026)
    (True, frozenset())
    """
    if not code:
        return frozenset()
    if not known(code):
        raise KeyError(code)
    from holidays import country_holidays

    country, _, region = code.partition("-")
    return frozenset(country_holidays(country, subdiv=region or None, years=year))


FIRST_YEAR, LAST_YEAR = 1950, 2100
DAY_WITHIN, WEEK_WITHIN = dt.timedelta(weeks=3), dt.timedelta(weeks=10)
A_DAY = dt.timedelta(days=1)
_YEAR_PLAIN = dt.timedelta(days=300)  # within which a month is that of no other year

# our own names: those of the calendar module change with the machine's language
MONTHS = (
    *("January", "February", "March", "April", "May", "June"),
    *("July", "August", "September", "October", "November", "December"),
)
WHOLE_DAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
WEEKDAYS = tuple(day[:3] for day in WHOLE_DAYS)
_MONTH_NUMBERS = {
    **{name.lower(): number for number, name in enumerate(MONTHS, start=1)},
    **{name[:3].lower(): number for number, name in enumerate(MONTHS, start=1)},
    "sept": 9,
}
_CURE = "Write it as 2026-06-12 or 12 June 2026."

_TIME = r"(?:[t ][0-9]{2}:?[0-9]{2}(?::?[0-9]{2}(?:[.,][0-9]+)?)?(?: ?(?:z|[+-][0-9]{2}(?::?[0-9]{2})?))?)?"
_YEAR_FIRST = re.compile(
    rf"(?:([0-9]{{4}})([-/.])([0-9]{{1,2}})\2([0-9]{{1,2}})|([0-9]{{4}})([0-9]{{2}})([0-9]{{2}})){_TIME}"
)
_WEEK_DATE = re.compile(rf"([0-9]{{4}})(-?)w([0-9]{{2}})\2([1-7]){_TIME}")
_YEAR_LAST = re.compile(rf"([0-9]{{1,2}})([-/. ])([0-9]{{1,2}})\2([0-9]{{4}}|[0-9]{{2}}){_TIME}")
_WEEKDAY = re.compile(r"(mon|tues?|wed(?:nes)?|thu(?:rs?)?|fri|sat(?:ur)?|sun)(?:day)?[.,]? (.+)")
_YEAR = r"(?:,?[ -]([0-9]{4}|'?[0-9]{2}))?"
_DAY_MONTH = re.compile(rf"([0-9]{{1,2}})(?:st|nd|rd|th)?[ -]?(?:of )?([a-z]{{3,9}})\.?{_YEAR}")
_MONTH_DAY = re.compile(rf"([a-z]{{3,9}})\.? ?([0-9]{{1,2}})(?:st|nd|rd|th)?{_YEAR}")
_QUARTER = re.compile(r"([0-9]{4})[- ]?q([1-4])|q([1-4])[- /]?([0-9]{4})")


def read_date(value: object, style: str = "iso") -> dt.date:
    """The day that stands in a cell: 2026-06-12, 2026-W24-5, 12 June 2026, a spreadsheet's date, 25/12/2026.

    style: what 03/04/2026 means: "day-month", "month-day", or "iso", which refuses it and names both days.

    Raises UnreadableError for anything else, a day that is in no calendar, a year with two figures, a weekday
    that does not fit, and years outside 1950 to 2100.
    Source: ISO 8601 calendar and week dates.

    >>> read_date("2026-W24-5"), read_date("03/04/2026", "day-month")
    (datetime.date(2026, 6, 12), datetime.date(2026, 4, 3))
    """
    if isinstance(value, dt.date):
        if not value.year > 0:  # a missing date of a data frame: its year is not a number
            raise UnreadableError("nothing is written", _CURE)
        return in_our_time(value.date() if isinstance(value, dt.datetime) else value, value)
    found = number_or_text(value, _CURE)
    if isinstance(found, float):
        if not (found.is_integer() and 10**7 <= found < 10**8):
            raise unreadable(value, "is a number, not a date", f"Set the cell to date. {_CURE}")
        found = f"{found:.0f}"
    named = _WEEKDAY.fullmatch(found)
    day = in_our_time(_day(named[2] if named else found, value, style), value)
    if named and named[1][:3] != WEEKDAYS[day.weekday()].lower():
        raise unreadable(
            value,
            f"falls on a {WEEKDAYS[day.weekday()]}",
            "Mend the date or leave the weekday out.",
        )
    return day


def read_weekday(name: str) -> int:
    """A day of the week by its name or the first three letters of it, Monday 0. Raises UsageError for what is none.

    >>> read_weekday("Wednesday"), read_weekday("sun")
    (2, 6)
    """
    word = tidy(name).rstrip(".")
    at = next((n for n, short in enumerate(WEEKDAYS) if word[:3] == short.lower()), None)
    if at is None or not word.isalpha():
        raise UsageError(
            f"{name.strip()!r} is no day of the week. Write it as {WEEKDAYS[0]} or {WEEKDAYS[-1]}."
        )
    return at


def read_weekdays(names: str) -> tuple[int, ...]:
    """Days of the week by their names, one after the other, or from one to another; each once, Monday first.

    >>> read_weekdays("Tue-Thu, Sat"), read_weekdays("mon wed")
    ((1, 2, 3, 5), (0, 2))
    """
    days: set[int] = set()
    for part in tidy(names).replace(" - ", "-").replace(",", " ").split():
        first, dash, last = part.partition("-")
        from_ = read_weekday(first)
        to = read_weekday(last) if dash else from_
        days |= {n % len(WEEKDAYS) for n in range(from_, to + 1 + len(WEEKDAYS) * (to < from_))}
    if not days:
        raise UsageError("no day of the week is named. Write them as Mon-Thu, or as Tue Wed Sat.")
    return tuple(sorted(days))


def read_quarter(value: object) -> tuple[dt.date, dt.date]:
    """The first and the last day of a quarter of the calendar year: 2026-Q3, 2026 Q3, Q3 2026.

    Raises UnreadableError for anything else.

    >>> read_quarter("2026-Q3")
    (datetime.date(2026, 7, 1), datetime.date(2026, 9, 30))
    """
    cure = "Write it as 2026-Q3."
    found = number_or_text(value, cure)
    parts = _QUARTER.fullmatch(found) if isinstance(found, str) else None
    if not parts:
        raise unreadable(value, "is not a quarter of a year", cure)
    year, quarter = int(parts[1] or parts[4]), int(parts[2] or parts[3])
    first = in_our_time(_calendar_day(year, 3 * quarter - 2, 1, value), value)
    after = dt.date(year + quarter // 4, 3 * quarter % 12 + 1, 1)
    return first, after - A_DAY


def say_quarter(first: dt.date) -> str:
    """The months of the quarter that begins on a day, with their year.

    >>> say_quarter(dt.date(2026, 7, 1))
    'July to September 2026'
    """
    return f"{MONTHS[first.month - 1]} to {MONTHS[first.month + 1]} {first.year}"


def say_day(day: dt.date) -> str:
    """One exact day with its weekday and its year.

    >>> say_day(dt.date(2026, 6, 12))
    'Fri 12 June 2026'
    """
    return f"{_say_near(day)} {day.year}"


def say_date(day: dt.date, today: dt.date) -> str:
    """A day as surely as it can be known so far ahead (or as it is remembered so long after).

    Within three weeks the day, within ten its week, beyond that a third of the month.

    >>> today = dt.date(2026, 6, 1)
    >>> [say_date(today + dt.timedelta(days), today) for days in (11, 40, 140, 240)]
    ['Fri 12 June', 'week of Mon 6 July', 'mid October', 'late January 2027']
    """
    ahead = abs(day - today)
    if ahead <= DAY_WITHIN:
        return _say_near(day)
    if ahead <= WEEK_WITHIN:
        return f"week of {_say_near(day - day.weekday() * A_DAY)}"
    year = "" if day.year == today.year else f" {day.year}"
    return f"{_third(day)} {MONTHS[day.month - 1]}{year}"


def the_date(day: dt.date, today: dt.date) -> str:
    """The same as it stands within a sentence.

    >>> the_date(dt.date(2026, 7, 11), dt.date(2026, 6, 1))
    'the week of Mon 6 July'
    """
    said = say_date(day, today)
    return f"the {said}" if said.startswith("week") else said


def _third(day: dt.date) -> str:
    """The third of its month that a day lies in."""
    return ("early", "mid", "late")[min((day.day - 1) // 10, 2)]


def last_day_named(day: dt.date, today: dt.date) -> dt.date:
    """The last day of what `say_date` would name: the day itself, its week's Sunday, or the end of a third of a month.

    It is the one day that an owner is given for a day that is known no better than that.

    >>> today = dt.date(2026, 6, 1)
    >>> [last_day_named(today + dt.timedelta(days), today).isoformat() for days in (11, 40, 140, 240)]
    ['2026-06-12', '2026-07-12', '2026-10-20', '2027-01-31']
    """
    ahead = abs(day - today)
    if ahead <= DAY_WITHIN:
        return day
    if ahead <= WEEK_WITHIN:
        return day + (6 - day.weekday()) * A_DAY
    if day.day <= 20:
        return day.replace(day=10 if day.day <= 10 else 20)
    return (day.replace(day=1) + 32 * A_DAY).replace(day=1) - A_DAY


def say_exactly(day: dt.date, today: dt.date) -> str:
    """One exact day, however far off: what an owner is told. Its year where it is not this one.

    >>> say_exactly(dt.date(2026, 11, 20), dt.date(2026, 6, 1)), say_exactly(dt.date(2027, 1, 5), dt.date(2026, 6, 1))
    ('Fri 20 November', 'Tue 5 January 2027')
    """
    return _say_near(day) if day.year == today.year else say_day(day)


def short_date(day: dt.date, today: dt.date) -> str:
    """What `say_date` says, for the column of a table: short months, and no year where none can be mistaken.

    >>> today = dt.date(2026, 12, 1)
    >>> [short_date(today + dt.timedelta(days), today) for days in (11, 40, 140, 320)]
    ['Sat 12 Dec', 'week of 4 Jan', 'mid Apr', 'mid Oct 2027']
    """
    ahead = abs(day - today)
    if ahead <= DAY_WITHIN:
        return short_weekday(day)
    if ahead <= WEEK_WITHIN:
        return f"week of {short_month(day - day.weekday() * A_DAY)}"
    return f"{_third(day)} {MONTHS[day.month - 1][:3]}{_far_year(day, today)}"


def short_exactly(day: dt.date, today: dt.date) -> str:
    """What `say_exactly` says, for the column of a table.

    >>> short_exactly(dt.date(2027, 1, 5), dt.date(2026, 12, 1))
    'Tue 5 Jan'
    """
    return f"{short_weekday(day)}{_far_year(day, today)}"


def short_weekday(day: dt.date) -> str:
    """A day with its weekday, as "Sat 12 Dec"."""
    return f"{WEEKDAYS[day.weekday()]} {short_month(day)}"


def short_month(day: dt.date) -> str:
    """A day of a month, as "12 Dec"."""
    return f"{day.day} {MONTHS[day.month - 1][:3]}"


def _far_year(day: dt.date, today: dt.date) -> str:
    """The year of a day that could be taken for one of this year."""
    return "" if day.year == today.year or abs(day - today) < _YEAR_PLAIN else f" {day.year}"


def _say_near(day: dt.date) -> str:
    """A day without its year."""
    return f"{WEEKDAYS[day.weekday()]} {day.day} {MONTHS[day.month - 1]}"


def _day(text: str, value: object, style: str) -> dt.date:
    """The day of a tidy text without weekday."""
    if parts := _YEAR_FIRST.fullmatch(text):
        year, month, day = (
            int(p) for p in (parts[1] or parts[5], parts[3] or parts[6], parts[4] or parts[7])
        )
        return _calendar_day(year, month, day, value)
    if parts := _WEEK_DATE.fullmatch(text):
        try:
            return dt.date.fromisocalendar(int(parts[1]), int(parts[3]), int(parts[4]))
        except ValueError:
            raise unreadable(value, "is in no calendar", _CURE) from None
    if parts := _YEAR_LAST.fullmatch(text):
        first, second, year = int(parts[1]), int(parts[3]), _full_year(parts[4], value)
        return _day_or_month_first(first, second, year, value, style)
    if (parts := _DAY_MONTH.fullmatch(text)) and parts[2] in _MONTH_NUMBERS:
        return _calendar_day(_full_year(parts[3], value), _MONTH_NUMBERS[parts[2]], int(parts[1]), value)
    if (parts := _MONTH_DAY.fullmatch(text)) and parts[1] in _MONTH_NUMBERS:
        return _calendar_day(_full_year(parts[3], value), _MONTH_NUMBERS[parts[1]], int(parts[2]), value)
    raise unreadable(value, "is not a date that can be read", _CURE)


def _day_or_month_first(first: int, second: int, year: int, value: object, style: str) -> dt.date:
    """The day of 25/12/2026, and of 03/04/2026 in the style that the shop has chosen."""
    if first == second or second > 12:
        return _calendar_day(year, first, second, value)
    if first > 12:
        return _calendar_day(year, second, first, value)
    by_day, by_month = (_calendar_day(year, *order, value) for order in ((second, first), (first, second)))
    if style == "iso":
        one, other = (f"{day.day} {MONTHS[day.month - 1]}" for day in (by_day, by_month))
        raise unreadable(
            value,
            f"could be {one} or {other} {year}",
            f"Write {by_day} for the one, {by_month} for the other, or set `dates` in workshop.toml.",
        )
    return by_day if style == "day-month" else by_month


def _full_year(text: str | None, value: object) -> int:
    """A year of four figures."""
    if text is None:
        raise unreadable(value, "has no year", _CURE)
    if len(text) < 4:
        raise unreadable(value, "has a year of two figures", f"Write all four of them. {_CURE}")
    return int(text)


def _calendar_day(year: int, month: int, day: int, value: object) -> dt.date:
    """The day, where the calendar has it."""
    try:
        return dt.date(year, month, day)
    except ValueError:
        raise unreadable(value, "is in no calendar", _CURE) from None


def in_our_time(day: dt.date, value: object) -> dt.date:
    """The day, unless its year is a typing error; value: what was written.

    Raises UnreadableError for a year outside 1950 to 2100.
    """
    if not FIRST_YEAR <= day.year <= LAST_YEAR:
        raise unreadable(
            value,
            f"is in the year {day.year}",
            f"Dates from {FIRST_YEAR} to {LAST_YEAR} are read; mend the year.",
        )
    return day


Span = tuple[dt.date, dt.date]  # first and last day, both included


@dataclass(frozen=True, slots=True)
class Quarter:
    """A quarter, and the day from which one looks back on it; nothing later than that day is known.

    first, last: its days, both included; today: the day of looking
    """

    first: dt.date
    last: dt.date
    today: dt.date

    @classmethod
    def read(cls, text: object, today: dt.date) -> Self:
        """The quarter of a text: 2026-Q3, 2026q3, Q3 2026.

        Raises UnreadableError for anything else.

        >>> Quarter.read("2026q3", dt.date(2026, 10, 1)).name
        '2026-Q3'
        """
        first, last = read_quarter(text)
        return cls(first, last, today)

    @classmethod
    def holding(cls, day: dt.date) -> Self:
        """The quarter that a day lies in, looked at from that day.

        >>> Quarter.holding(dt.date(2026, 10, 1)).name
        '2026-Q4'
        """
        return cls.read(f"{day.year}-Q{(day.month + 2) // 3}", day)

    @property
    def name(self) -> str:
        """Its name, as 2026-Q3."""
        return f"{self.first.year}-Q{(self.first.month + 2) // 3}"

    @property
    def end(self) -> dt.date:
        """The last day that is looked at: its own, or today while it runs and before it has begun."""
        return min(self.last, self.today)

    @property
    def running(self) -> bool:
        """Whether days of it are still to come, today's hours among them."""
        return self.first <= self.today <= self.last

    @property
    def ahead(self) -> bool:
        """Whether it has not begun."""
        return self.today < self.first

    @property
    def span(self) -> Span:
        """Its days so far; the last comes before the first while it has not begun."""
        return self.first, self.end

    def twelve_months(self, back: int = 0) -> Span:
        """The twelve months up to its end, or those that ended so many years before.

        >>> third = Quarter.read("2026-Q3", dt.date(2026, 12, 1))
        >>> [str(day) for day in third.twelve_months(1)]
        ['2024-10-01', '2025-09-30']
        """
        return years_before(self.end, back + 1) + A_DAY, years_before(self.end, back)

    def before(self, back: int) -> Quarter:
        """The quarter that lies so many quarters before.

        >>> Quarter.read("2026-Q3", dt.date(2026, 12, 1)).before(4).name
        '2025-Q3'
        """
        months = self.first.year * 12 + self.first.month - 1 - 3 * back
        year, number = months // 12, months % 12 // 3 + 1
        return Quarter.read(f"{year}-Q{number}", self.today)

    def days(self) -> Iterator[dt.date]:
        """Its days so far."""
        for n in range((self.end - self.first).days + 1):
            yield self.first + n * A_DAY


def years_before(day: dt.date, years: int) -> dt.date:
    """The same day so many years before; of 29 February the 28th where that year has none.

    >>> str(years_before(dt.date(2024, 2, 29), 1))
    '2023-02-28'
    """
    try:
        return day.replace(year=day.year - years)
    except ValueError:
        return day.replace(year=day.year - years, day=28)


def within(day: dt.date | None, span: Span) -> bool:
    """Whether a day lies in a span."""
    return day is not None and span[0] <= day <= span[1]

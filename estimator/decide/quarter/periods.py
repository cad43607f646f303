"""A quarter of the calendar year, and the twelve months up to its end, as of a day."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Self

from estimator.words.dates import A_DAY, read_quarter

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

"""On which days the shop works, and for how many hours: the week, days away, public holidays."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

import numpy as np

from estimator.model.saved_fit import Array
from estimator.words.dates import A_DAY
from estimator.words.errors import NoAnswerError
from estimator.words.public_holidays import public_holidays
from estimator.words.settings import Away, Bench

LONGEST_IDLE = 3660  # days without an hour after which no working day is looked for any more


@dataclass(frozen=True, slots=True)
class Calendar:
    """The hours at the bench on any day.

    week: hours from Monday to Sunday; away: days on which nobody works, both ends included
    holidays: a country's or region's code, or empty
    """

    week: tuple[float, ...]
    away: tuple[Away, ...] = ()
    holidays: str = ""

    @classmethod
    def of(cls, bench: Bench) -> Calendar:
        """The calendar of a workshop's settings."""
        return cls(bench.hours_by_weekday, bench.away, bench.holidays)

    def free(self, day: dt.date) -> bool:
        """Whether a day is free for all that its weekday says: away, or a public holiday."""
        return any(one.first <= day <= one.last for one in self.away) or (
            bool(self.holidays) and day in public_holidays(self.holidays, day.year)
        )

    def hours(self, day: dt.date) -> float:
        """Hours at the bench on a day.

        >>> Calendar((6.0,) * 4 + (5.0, 0.0, 0.0)).hours(dt.date(2026, 10, 2))
        5.0
        """
        usual = self.week[day.weekday()]
        return 0.0 if not usual or self.free(day) else usual

    def works(self, day: dt.date) -> bool:
        """Whether there are hours on a day."""
        return self.hours(day) > 0

    def hours_from(self, first: dt.date, n_days: int) -> Array:
        """Hours on each of so many days, the first one included: shape (n_days,).

        >>> Calendar((6.0,) * 4 + (5.0, 0.0, 0.0)).hours_from(dt.date(2026, 10, 1), 4).tolist()
        [6.0, 5.0, 0.0, 0.0]
        """
        return np.array([self.hours(first + n * A_DAY) for n in range(n_days)], dtype=float)

    def working_days(self, first: dt.date, last: dt.date) -> int:
        """How many days from first to last are worked, both included; none where last comes before first.

        >>> Calendar((8.0,) * 5 + (0.0, 0.0)).working_days(dt.date(2026, 10, 2), dt.date(2026, 10, 6))
        3
        """
        return int(np.count_nonzero(self.hours_from(first, max((last - first).days + 1, 0))))

    def after_working_days(self, first: dt.date, n: int) -> dt.date:
        """The n-th working day after a day, which itself does not count; the day itself for 0.

        Raises NoAnswerError where the calendar has no hours for ten years on end.

        >>> Calendar((8.0,) * 5 + (0.0, 0.0)).after_working_days(dt.date(2026, 10, 2), 2)
        datetime.date(2026, 10, 6)
        """
        day, idle = first, 0
        while n > 0:
            day += A_DAY
            idle = 0 if self.works(day) else idle + 1
            n -= idle == 0
            if idle > LONGEST_IDLE:
                raise NoAnswerError(
                    f"From {first} on your calendar has no day with hours at the bench",
                    "Mend hours_by_weekday or away in workshop.toml.",
                )
        return day

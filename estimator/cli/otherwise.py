"""`otherwise`: last year again, under another habit."""

from __future__ import annotations

import click

from estimator.cli.options import SharedOptions, print_json, reads, shared, tell_problems
from estimator.cli.printing import print_parts
from estimator.words.errors import UnreadableError
from estimator.words.measures import quoted, whole_number

MOST_PLACES = 20


def read_places(text: str) -> int:
    """So many boards on the go at once.

    Raises UnreadableError for anything but a whole number from 1 to 20.

    >>> read_places("4")
    4
    """
    places = whole_number(text)
    if places is None or not 1 <= places <= MOST_PLACES:
        raise UnreadableError(
            f"{quoted(text)} is no number of boards.", f"Write a whole number from 1 to {MOST_PLACES}."
        )
    return places


@click.command(short_help="Work last year again under another habit.")
@click.option("--places", callback=reads(read_places), metavar="N", help="So many boards on the go at once.")
@click.option(
    "--strip-first", is_flag=True, help="Each board is stripped as soon as it comes, then waits its turn."
)
@click.option("--small-on", metavar="DAY", help="Small repairs on this day of the week, and on no other.")
@click.option("--days", metavar="DAYS", help="Work on these days, as Mon-Thu; weeks keep their hours.")
@click.option("--none", "without", metavar="KIND", help="No jobs of this sort.")
@shared
def otherwise(
    given: SharedOptions,
    places: int | None,
    small_on: str | None,
    days: str | None,
    without: str | None,
    *,
    strip_first: bool,
) -> None:
    """Work the past year's boards again under another habit: what would have been ready when, and whom it would hurt.

    The hours, waits and days at work are those of your log; only the order, the places and the days change. First the
    year is worked once more as it was, and how near that comes is said; where fewer than 3 boards in 4 come out within
    a week of the day on which they were ready, nothing else is said.

    Without an option a few habits are tried, and at most one is suggested: one that keeps more days for no less pay, 9
    times in 10.
    """
    from estimator.decide.otherwise import Habit
    from estimator.said.otherwise import otherwise_parts
    from estimator.words.dates import read_weekday, read_weekdays

    habit = Habit(
        places,
        strip_first,
        None if small_on is None else read_weekday(small_on),
        () if days is None else read_weekdays(days),
        without or "",
    )
    shop = given.open_shop()
    said = shop.otherwise(None if habit == Habit() else habit)
    tell_problems(len(shop.problems))
    if given.as_json:
        print_json(said.as_dict())
        return
    print_parts(otherwise_parts(said, shop.settings))

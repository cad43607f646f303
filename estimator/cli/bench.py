"""`bench`: by when each board in hand is ready, what to do this morning, and the days for any calendar program."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from estimator.cli.options import FILE, SharedOptions, picture_file, print_json, shared, tell_problems
from estimator.cli.printing import print_parts, saved
from estimator.log.files import refuse_unwritable
from estimator.words.errors import UsageError

if TYPE_CHECKING:
    from estimator.bench.promises import BenchDay

ENDING = ".ics"


def calendar_file(_ctx: click.Context, _param: click.Parameter, path: Path | None) -> Path | None:
    """Refuses a file that is none for calendar programs, or cannot be written."""
    if path is not None and path.suffix.casefold() != ENDING:
        raise UsageError(f"{path} is no {ENDING} file.", f"Name a file that ends in {ENDING}.")
    if path is not None:
        refuse_unwritable(path)
    return path


def save_calendar(path: Path, day: BenchDay) -> None:
    """Writes one whole day for each board in hand: the one to tell its owner.

    Raises UsageError where the file cannot be written.
    """
    from estimator.bench.ics import calendar_text
    from estimator.log.files import save_file
    from estimator.said.bench import ready_days

    try:
        save_file(path, calendar_text(ready_days(day), on=day.today).encode())
    except OSError as error:
        raise UsageError(f"{path} cannot be written.", "Name a file in a folder that is yours.") from error


@click.command(short_help="Say by when each board is ready, whom to ring, what to touch.")
@click.option(
    "--ics",
    type=FILE,
    callback=calendar_file,
    metavar="FILE",
    help="Save the days by which boards are ready for a calendar program, as .ics.",
)
@click.option(
    "--figure",
    type=FILE,
    callback=picture_file,
    metavar="FILE",
    help="Save the boards in hand on one calendar, as .png or .svg.",
)
@shared
def bench(given: SharedOptions, *, ics: Path | None, figure: Path | None) -> None:
    """When will it be ready? Say it of every board in hand, and what to do this morning.

    First whom to ring and what to say, what to work on today and what to leave alone; then every board with the
    day before which it is not ready and the day by which it is, and when one more board could be begun.

    All boards go through the days to come together, thousands of times, with other hours and waits each time, and
    boards that still come. Within three weeks a day is named, within ten the week, beyond that early, mid or late in
    the month. What an owner is told is one day: ready by then, 9 times in 10.
    """
    shop = given.open_shop()
    day = shop.bench()
    tell_problems(len(shop.problems))
    if ics is not None:
        save_calendar(ics, day)
    if figure is not None:
        from estimator.sheets.pictures import save_bench_picture

        away = [(one.first, one.last) for one in shop.settings.bench.away]
        save_bench_picture(figure, day, away)
    if given.as_json:
        print_json(day.as_dict())
        return
    from estimator.said.bench import bench_parts

    print_parts([*bench_parts(day, shop.settings), *saved(ics, figure)])

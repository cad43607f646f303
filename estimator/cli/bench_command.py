"""`bench`: by when each board in hand is ready, and what to do this morning."""

from __future__ import annotations

from pathlib import Path

import click

from estimator.cli.options import Shared, print_json, shared, tell_problems
from estimator.cli.tables import print_parts
from estimator.said.parts import Heading

FILE = click.Path(path_type=Path, dir_okay=False)


@click.command(short_help="Say by when each board is ready, whom to ring, what to touch.")
@click.option(
    "--ics",
    type=FILE,
    metavar="FILE",
    help="Save the days by which boards are ready for a calendar program, as .ics.",
)
@click.option(
    "--figure", type=FILE, metavar="FILE", help="Save the boards in hand on one calendar, as .png or .svg."
)
@shared
def bench(given: Shared, *, ics: Path | None, figure: Path | None) -> None:
    """When will it be ready? Say it of every board in hand, and what to do this morning.

    First whom to ring and what to say, what to work on today and what to leave alone; then every board with the
    day before which it is not ready and the day by which it is, and when one more board could be begun.
    """
    shop = given.open_shop()
    day = shop.bench()
    tell_problems(len(shop.problems))
    if ics is not None:
        from estimator.cli.bench_calendar import save_calendar

        save_calendar(ics, day)
    if figure is not None:
        from estimator.cli.pictures import save_bench_picture

        away = [(one.first, one.last) for one in shop.settings.bench.away]
        save_bench_picture(figure, day, away)
    if given.as_json:
        print_json(day.as_dict())
        return
    from estimator.said.bench_words import bench_parts

    saved = [Heading(f"Saved as {file}.") for file in (ics, figure) if file]
    print_parts([*bench_parts(day, shop.settings), *saved])

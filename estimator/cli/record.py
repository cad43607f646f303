"""`record`: how past ranges went."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

import click

from estimator.cli.options import SharedOptions, print_json, shared, tell_problems
from estimator.cli.printing import print_parts, saved

if TYPE_CHECKING:
    from rich.console import Console


Told = Callable[[int, int], None]


@click.command(short_help="Say how past ranges went.")
@click.option("--numbers", is_flag=True, help="Add the scores, for a statistician.")
@click.option(
    "--figure",
    type=click.Path(path_type=Path, dir_okay=False),
    metavar="FILE",
    help="Save your past boards, standing where the range held, lying where it missed, as .png or .svg.",
)
@shared
def record(given: SharedOptions, *, numbers: bool, figure: Path | None) -> None:
    """Did I get it right? Say how past ranges went, and what follows for the next.

    For each past board the hours are worked out anew, from what was known the day before it was quoted. The first
    time this takes a while; what was worked out is kept. Ranges are widened, or narrowed, as their record shows.

    Beside every count stands what luck alone gives. Then who has been nearer: these ranges, your own guess, your
    guess times how it usually went, the middle of your past boards, or plain regression. A quarter counts when nine
    in ten of its boards are finished. Ready dates are held against what came in the same way.
    """
    shop = given.open_shop()
    with progress_of("Past boards") as progress:
        past = shop.record(progress=progress)
    tell_problems(len(shop.problems))
    if figure is not None:
        from estimator.sheets.pictures import save_record_picture

        save_record_picture(figure, past)
    if given.as_json:
        print_json(past.as_dict())
        return
    from estimator.said.record import record_parts

    parts = record_parts(past, shop.settings, statistician=numbers)
    print_parts([*parts, *saved(figure)])


@contextmanager
def progress_of(what: str, console: Console | None = None) -> Iterator[Told | None]:
    """Something to tell how many of how many are done: a bar on stderr from the first word on, gone at the end.

    None where stderr is no terminal, so that nobody looks. console: where the bar goes instead
    """
    if console is None and not sys.stderr.isatty():
        yield None
        return
    from rich.console import Console
    from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeRemainingColumn

    columns = (TextColumn("{task.description}"), BarColumn(), MofNCompleteColumn(), TimeRemainingColumn())
    bar = Progress(*columns, console=console or Console(stderr=True), transient=True)
    task = bar.add_task(what, total=None)

    def told(done: int, of: int) -> None:
        bar.start()
        bar.update(task, completed=done, total=of)

    try:
        yield told
    finally:
        bar.stop()

"""`record`: how past ranges went."""

from __future__ import annotations

from pathlib import Path

import click

from estimator.cli.options import FILE, SharedOptions, picture_file, print_json, shared, tell_problems
from estimator.cli.printing import print_parts, saved


@click.command(short_help="Say how past ranges went.")
@click.option("--numbers", is_flag=True, help="Add the scores, for a statistician.")
@click.option(
    "--figure",
    type=FILE,
    callback=picture_file,
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
    past = shop.record(progress=given.progress)
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

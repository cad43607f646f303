"""`quarter`: the review."""

from __future__ import annotations

from pathlib import Path

import click

from estimator.cli.options import FILE, SharedOptions, picture_file, print_json, shared, tell_problems
from estimator.cli.printing import print_parts, saved


@click.command(short_help="Say whether a quarter paid, and what to change.")
@click.argument("name", metavar="QUARTER")
@click.option(
    "--figure",
    type=FILE,
    callback=picture_file,
    metavar="FILE",
    help="Save what came in and what is left, and your boards in the order in which they were ready, as .png or .svg.",
)
@shared
def quarter(given: SharedOptions, *, name: str, figure: Path | None) -> None:
    """Did it pay? Look back on a quarter, as 2026-Q3.

    First what is missing, then whether it paid, what was kept of what you told, what made boards go over, and at
    most three things to change; all else on a second page. The first time this takes a while; what was worked out is
    kept.

    Pay an hour is price less materials over all hours of the boards made ready in the quarter, whenever they were
    worked. Hours worked in the quarter and money that came in stand apart, at the end. Boards without price,
    materials or all their hours are left out of the pay, and counted. Of a quarter that is over nothing later is used
    but what is paid, spent and worked on its own boards.
    """
    shop = given.open_shop()
    review = shop.quarter(name, progress=given.progress)
    tell_problems(len(shop.problems))
    if figure is not None:
        from estimator.sheets.pictures import save_quarter_picture

        save_quarter_picture(figure, review)
    if given.as_json:
        print_json(review.as_dict())
        return
    from estimator.said.quarter import quarter_parts

    parts = quarter_parts(review, shop.settings)
    print_parts([*parts, *saved(figure)])

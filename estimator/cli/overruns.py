"""`overruns`: what made boards go over."""

from __future__ import annotations

from pathlib import Path

import click

from estimator.cli.options import FILE, SharedOptions, picture_file, print_json, shared, tell_problems
from estimator.cli.printing import print_parts, saved
from estimator.log.names import board_named


@click.command(short_help="Say what made boards go over.")
@click.argument("board", required=False)
@click.option(
    "--figure",
    type=FILE,
    callback=picture_file,
    metavar="FILE",
    help="Save what was said and what came on top as a batten laid end to end, as .png or .svg.",
)
@shared
def overruns(given: SharedOptions, *, board: str | None, figure: Path | None) -> None:
    """Say what made boards go over your own guess, in hours that add up.

    The guess itself, hidden work, what was asked for since, and each board's own going; then by stage, and what
    goes with it. BOARD tells the story of one board, by its id or short name.

    Finished boards count that have a guess, not from memory, and all their hours. What is usual is what your log says
    of such jobs, as of the board's own date. That something goes with going over doesn't prove that it is the cause.
    """
    shop = given.open_shop()
    if board is not None:
        board_named(board, shop.log.boards)
    found = shop.overruns()
    tell_problems(shop.fit().problems)
    one = None
    if board is not None:
        one = found.of(board, shop.log.boards)
    if figure is not None:
        from estimator.sheets.pictures import save_overrun_picture

        save_overrun_picture(figure, found if one is None else one)
    if given.as_json:
        print_json(found.as_dict() if one is None else {**found.as_dict(), "boards": [one.as_dict()]})
        return
    from estimator.said.overruns import board_parts, overruns_parts

    parts = overruns_parts(found, shop.settings) if one is None else board_parts(one, shop.settings)
    print_parts([*parts, *saved(figure)])

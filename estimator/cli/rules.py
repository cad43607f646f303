"""`rules`: what past boards say of each rule of thumb."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import click

from estimator.cli.options import FILE, SharedOptions, picture_file, print_json, shared, tell_problems
from estimator.cli.printing import print_parts, saved


@click.command(short_help="Say which rules of thumb hold.")
@click.option(
    "--accept",
    metavar="RULE",
    help="Keep what the log suggests beside this rule, in workshop.toml. Your own words stay as they are.",
)
@click.option(
    "--figure",
    type=FILE,
    callback=picture_file,
    metavar="FILE",
    help="Save your rules against your log, each on a tape, as .png or .svg.",
)
@shared
def rules(given: SharedOptions, *, accept: str | None, figure: Path | None) -> None:
    """Say which of your rules of thumb hold, which are wrong, and what your log says instead.

    A rule is called wrong only when luck can't explain it. Lent rules stand apart.

    Verdicts: holds, too low, too high, too sure of itself, not enough boards. However often you look, a right rule of
    yours is called wrong in fewer than 1 workshop in 10. Beside a wrong one stands what your log says at the same
    odds; --accept keeps that beside your words, and ranges go on from your words and your log.
    """
    shop = given.open_shop()
    if accept is not None:
        shop.rule(accept)
    verdicts = shop.rules()
    tell_problems(shop.fit().problems)
    kept = None
    if accept is not None:
        kept = shop.accept(accept, on=given.today or shop.today or dt.date.today())
    if figure is not None:
        from estimator.sheets.pictures import save_rule_picture

        save_rule_picture(figure, verdicts)
    if given.as_json:
        print_json({**verdicts.as_dict(), "accepted": None if kept is None else kept.name})
        return
    from estimator.said.rules import accepted_parts, rule_parts

    if kept is not None:
        print_parts(accepted_parts(kept))
        return
    print_parts([*rule_parts(verdicts), *saved(figure)])

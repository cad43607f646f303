"""`weigh`: whether to take a board on."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from estimator.cli.options import (
    FILE,
    SharedOptions,
    one_of,
    picture_file,
    print_json,
    reads,
    shared,
    tell_problems,
)
from estimator.cli.printing import print_parts, saved
from estimator.said.parts import Part
from estimator.words.errors import UsageError
from estimator.words.money import read_money, read_terms
from estimator.words.records import DECISIONS

if TYPE_CHECKING:
    from estimator.decide.weigh.weighing import Weighing
    from estimator.log.edits import KeptDecision


@click.command(short_help="Say whether to take a board on, and on what terms.")
@click.argument("board")
@click.option(
    "--price",
    callback=reads(read_money),
    metavar="AMOUNT",
    help="Price to think over. Left out: the one quoted in your log.",
)
@click.option(
    "--terms",
    callback=reads(read_terms),
    metavar="TERMS",
    help="fixed (price), ceiling (a price with a range), or open-first (name the price then). Left out: all three.",
)
@click.option(
    "--ceiling",
    callback=reads(read_money),
    metavar="AMOUNT",
    help="Not over this without asking. Left out: as far above the price as such a board passes its even chance 1 time "
    "in 10, at most a quarter.",
)
@click.option(
    "--strip-fee",
    callback=reads(read_money),
    metavar="AMOUNT",
    help="Fee for opening it up. Left out: its hours at the pay that you want.",
)
@click.option(
    "--decide",
    callback=reads(one_of(*DECISIONS)),
    metavar="ANSWER",
    help="Keep your decision with the board: yes, no or open-first. Needs --why.",
)
@click.option("--why", metavar="TEXT", help="Your reason, in a few words.")
@click.option("--for-love", is_flag=True, help="Taken for love, whatever it pays; counted apart.")
@click.option(
    "--figure",
    type=FILE,
    callback=picture_file,
    metavar="FILE",
    help="Save ten boards on a tape of pay, with the least you'd take, as .png or .svg.",
)
@shared
def weigh(
    given: SharedOptions,
    *,
    board: str,
    price: float | None,
    terms: str | None,
    ceiling: float | None,
    strip_fee: float | None,
    decide: str | None,
    why: str | None,
    for_love: bool,
    figure: Path | None,
) -> None:
    """Take it on? Say what BOARD pays, whose dates it moves, and whether to open it up first.

    BOARD is its id or short name. What it pays an hour is held against what you want, the least you'd take and your
    ordinary work; what it does to days that you told others is worked out with it and without.

    It says yes where the board brings more than its hours would on your ordinary work, less what promises newly
    broken cost you (the setting broken_promise_cost). With less than eight weeks of work in hand an hour counts for
    less, down to the least you'd take. Opening up first is worth something where it shows hidden work before you are
    bound; how often owners take a new price is your guess, in the setting requote.
    """
    if decide is None and (why is not None or for_love):
        raise UsageError(
            "A reason, or --for-love, belongs to a decision, and none is named.",
            "Write --decide yes, no or open-first too.",
        )
    shop = given.open_shop()
    said: Weighing | None = None
    kept: KeptDecision | None = None
    if decide is None or given.as_json or figure is not None:
        said = shop.weigh(board, price=price, terms=terms, ceiling=ceiling, strip_fee=strip_fee)
    if decide is not None:
        kept = shop.decide(board, decide, why=why or "", for_love=for_love)
    tell_problems(len(shop.problems))
    if figure is not None and said is not None:
        from estimator.sheets.pictures import save_pay_picture

        save_pay_picture(figure, said, shop.settings)
    if given.as_json and said is not None:
        print_json({**said.as_dict(), "kept": None if kept is None else kept.as_dict()})
        return
    from estimator.said.weigh import kept_parts, weigh_parts

    parts: list[Part] = list(kept_parts(kept)) if kept else []
    if said is not None and kept is None:
        parts = list(weigh_parts(said, shop.settings))
    print_parts([*parts, *saved(figure)])

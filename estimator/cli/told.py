"""`told`: what was said to an owner, kept as said."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from typing import TypeVar

import click

from estimator.cli.options import SharedOptions, one_of, print_json, reads, shared, tell_problems
from estimator.cli.printing import print_parts
from estimator.words.dates import read_date
from estimator.words.errors import NoAnswerError, UnreadableError, UsageError
from estimator.words.labels import LABELS
from estimator.words.measures import number
from estimator.words.money import RANGED, read_money, terms_and_ceiling
from estimator.words.odds import read_odds
from estimator.words.records import BECAUSE, PAID_BY, TERMS, Told
from estimator.words.worked_time import read_range_hours

S = TypeVar("S")
T = TypeVar("T")

UNSPOKEN = "?"


def _spoken(reader: Callable[[str], T]) -> Callable[[str], T | None]:
    """A reader that takes a question mark for what was not spoken of."""
    return lambda text: None if text == UNSPOKEN else reader(text)


@click.command(short_help="Keep what you told an owner.")
@click.argument("board")
@click.option(
    "--hours",
    metavar="LOW-HIGH",
    help="Hours that you told, as 55-80; ? where they were not spoken of. Left out: what estimator range says today.",
)
@click.option("--price", callback=reads(_spoken(read_money)), metavar="AMOUNT", help="Price that you told.")
@click.option(
    "--terms",
    metavar="WORDS",
    help="Sort of price: fixed, ceiling, open-first, or your own words.",
)
@click.option(
    "--ceiling",
    callback=reads(read_money),
    metavar="AMOUNT",
    help="The most that you charge without asking first. It makes the terms a price with a range: you told a price, it "
    "may come to more or less, and above the ceiling you stop and ask.",
)
@click.option(
    "--first", metavar="DATE", help="Day before which the board is not ready; ? where none was named."
)
@click.option("--last", metavar="DATE", help="Day by which it is; ? where none was named.")
@click.option(
    "--odds",
    callback=reads(read_odds),
    metavar="ODDS",
    help="How often what you told is to hold. Left out: 8/10.",
)
@click.option(
    "--because",
    callback=reads(one_of(*BECAUSE)),
    metavar="REASON",
    help='Why it was told: "quote", "hidden work", "asked later" or "late". Left out: quote, the first time.',
)
@click.option(
    "--paid-by",
    callback=reads(one_of(*PAID_BY)),
    metavar="WHO",
    help="Who pays for what came on top: me, owner or half.",
)
@shared
def told(
    given: SharedOptions,
    *,
    board: str,
    hours: str | None,
    price: float | None,
    terms: str | None,
    ceiling: float | None,
    first: str | None,
    last: str | None,
    odds: float | None,
    because: str | None,
    paid_by: str | None,
) -> None:
    """Keep what you told the owner of BOARD: hours, price, dates, and why.

    BOARD is its id or short name. One row is added to told.csv, and no row is ever changed: a board is judged on
    what was told first; of what its owner asks for later, no more is excused than that adds by itself.

    Hours and dates that you leave out are those that range and bench give today; a question mark keeps none. The
    dates of the first telling go into the board's own row of boards.csv too. A later telling needs --because, and the
    board keeps its place in line. A spreadsheet is never written: then told.csv lies beside it, and both are read.
    """
    sort, named = terms_and_ceiling(terms or RANGED)
    if ceiling is not None:
        if sort != RANGED:
            shown = LABELS[f"terms {RANGED}"]
            raise UsageError(f"A ceiling goes with {shown}, and not with “{terms}”.", "Leave one out.")
        terms = f"{RANGED} {number(ceiling)}"
    elif terms is not None and sort in TERMS:
        terms = sort if named is None else f"{sort} {number(named)}"
    shop = given.open_shop()
    trade = shop.settings.workshop
    low, high = _read("--hours", read_range_hours, hours, trade.hours_in_a_day) or (None, None)
    said = Told(
        board=board,
        date=shop.today or dt.date.today(),
        hours_low=low,
        hours_high=high,
        price=price,
        terms=terms or "",
        first=_read("--first", read_date, first, trade.dates),
        last=_read("--last", read_date, last, trade.dates),
        odds=odds,
        because=because or "",
        paid_by=paid_by or "",
    )
    problems = len(shop.problems)
    try:
        kept = shop.tell(said, hours=hours != UNSPOKEN, first=first != UNSPOKEN, last=last != UNSPOKEN)
    except NoAnswerError as error:
        cure = f'{error.cure} Or say which hours you told, as --hours 55-80, or --hours "?" where none were.'
        raise NoAnswerError(error.wrong, cure) from error
    tell_problems(problems)
    if given.as_json:
        print_json(kept.as_dict())
    else:
        from estimator.said.told import told_parts

        print_parts(told_parts(kept, trade.currency))


def _read(option: str, reader: Callable[[object, S], T], text: str | None, setting: S) -> T | None:
    """What a reader makes of the text after an option; None where it is left out, or a question mark."""
    if text is None or text == UNSPOKEN:
        return None
    try:
        return reader(text, setting)
    except UnreadableError as error:
        raise UsageError(f"{option}: {error.wrong}", error.cure) from error

"""`notes` and `money`: what was written down to be found again, and what came in and went out."""

from __future__ import annotations

import datetime as dt

import click

from estimator.cli.options import SharedOptions, print_json, read_day, reads, shared, tell_problems
from estimator.cli.printing import print_parts
from estimator.words.errors import UsageError


@click.command(short_help="Find what you noted.")
@click.argument("words", nargs=-1)
@click.option("--board", metavar="BOARD", help="Only notes on this board, by its id or short name.")
@shared
def notes(given: SharedOptions, *, words: tuple[str, ...], board: str | None) -> None:
    """Find your notes by any of their words: colour mixes, laps, tracings.

    WORDS must all stand in a note, whole or in part; without any, all notes are listed, the newest last. Notes stand
    in notes.csv, or in a sheet of that name.
    """
    from estimator.log.names import board_named
    from estimator.log.notes import notes_with
    from estimator.said.notes_and_money import note_parts

    shop = given.open_shop()
    log = shop.snapshot().known[0]
    of = board_named(board, log.boards).board if board is not None else ""
    found = notes_with(log, words, of)
    tell_problems(len(shop.problems))
    if given.as_json:
        rows = [
            {"board": note.board, "date": note.date, "note": note.text, "photo": note.photo} for note in found
        ]
        print_json({"notes": rows})
        return
    print_parts(note_parts(found, log.by_id))


@click.command(short_help="Say what came in and went out.")
@click.option("--from", "first", callback=reads(read_day), metavar="YYYY-MM-DD", help="The first day.")
@click.option("--to", "last", callback=reads(read_day), metavar="YYYY-MM-DD", help="The last day.")
@shared
def money(given: SharedOptions, *, first: dt.date | None, last: dt.date | None) -> None:
    """Say what came in and went out between two days, by what it was for and by board, to the last coin.

    Money stands in money.csv, or in a sheet of that name; of a board without a row there, its own columns tell. What
    was bought for several boards is split by what each is expected to use, evenly where that isn't known.
    """
    from estimator.said.notes_and_money import money_parts

    if first is not None and last is not None and last < first:
        raise UsageError(f"{last} lies before {first}.", "Swap the two days.")
    shop = given.open_shop()
    sums = shop.money(first, last)
    tell_problems(len(shop.problems))
    if given.as_json:
        print_json(sums.as_dict())
        return
    print_parts(money_parts(sums, shop.log.by_id, shop.settings.workshop.currency))

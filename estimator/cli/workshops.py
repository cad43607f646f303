"""`demo` and `new`: the commands that write a workshop."""

from __future__ import annotations

from pathlib import Path

import click

from estimator.cli.options import SharedOptions, print_json, shared
from estimator.cli.printing import print_parts
from estimator.words.errors import UsageError


def one_folder(folder: Path | None, given: SharedOptions, default: Path | None = None) -> Path:
    """The folder to write: the argument, else the one after --shop, else the usual one.

    Raises UsageError where the two differ, or none is named.
    """
    named = given.folder if given.folder_given else None
    if folder and named and folder.resolve() != named.resolve():
        raise UsageError(f"Two folders are named, {folder} and {named}.", "Name one.")
    chosen = folder or named or default
    if chosen is None:
        raise UsageError("No folder is named.", "Name the folder that the workshop is to go into.")
    return chosen


@click.command(short_help="Write an invented workshop, and show what it answers.")
@click.argument("folder", required=False, type=click.Path(path_type=Path))
@click.option("--book", "as_book", is_flag=True, help="Its log as a book, one file, instead of csv.")
@shared
def demo(given: SharedOptions, folder: Path | None, *, as_book: bool) -> None:
    """Write an invented workshop into FOLDER, and show what can be asked of it.

    Left out, FOLDER is demo, in the current folder. Four years of an invented restorer's boards are written,
    learned from, and asked about one board; pictures and sheets for paper go into FOLDER/reports. A folder that
    holds anything else stays as it is, and so does one that you have written into.
    """
    from estimator.demo.workshop import telling_board, write_demo, write_demo_book
    from estimator.papers import REPORTS, save_tour
    from estimator.said.workshops import demo_parts
    from estimator.shop import Shop

    place = one_folder(folder, given, Path("demo"))
    files = write_demo_book(place) if as_book else write_demo(place)
    shop = Shop.open(place, today=given.today, seed=given.seed)
    board = telling_board(shop.log.boards)
    answer = shop.range(board.board)
    made = save_tour(shop, board, answer)
    if given.as_json:
        paths = [str(path) for path in (*files, *made)]
        print_json({"folder": str(place), "files": paths, "range": answer.as_dict()})
        return
    parts = demo_parts(answer, shop.settings, shop.log, board, place / REPORTS, shop.today)
    print_parts(parts, shop=place)


@click.command(short_help="Write an empty workshop.")
@click.argument("folder", required=False, type=click.Path(path_type=Path))
@shared
def new(given: SharedOptions, folder: Path | None) -> None:
    """Write an empty workshop into FOLDER: settings, lent rules of thumb, and a log to fill.

    It can answer at once, from the lent rules. FOLDER is new, or empty.
    """
    from estimator.log.starter import write_starter
    from estimator.said.workshops import FIRST_BOARD, new_parts
    from estimator.shop import Shop

    place = one_folder(folder, given)
    files = write_starter(place)
    shop = Shop.open(place, today=given.day, seed=given.seed)
    answer = shop.range(FIRST_BOARD)
    if given.as_json:
        print_json({"folder": str(place), "files": [str(path) for path in files], "range": answer.as_dict()})
        return
    print_parts(new_parts(answer, FIRST_BOARD, files), shop=place)

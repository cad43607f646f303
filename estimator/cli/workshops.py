"""`demo` and `new`: the commands that write a workshop."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import click

from estimator.cli.options import SharedOptions, print_json, shared
from estimator.cli.printing import print_parts
from estimator.cli.sheet import REPORTS, write_sheet
from estimator.said.parts import Command, Heading, pasted
from estimator.words.errors import UsageError
from estimator.words.labels import label

if TYPE_CHECKING:
    from estimator.words.records import Board


FIRST_BOARD = {"kind": "major", "length": "9-6"}


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
@shared
def demo(given: SharedOptions, folder: Path | None) -> None:
    """Write an invented workshop into FOLDER, and show what can be asked of it.

    Left out, FOLDER is demo, in the current folder. Four years of an invented restorer's boards are written,
    learned from, and asked about one board; pictures and sheets for paper go into FOLDER/reports. A folder that
    holds anything else stays as it is.
    """
    from estimator.cli.pictures import save_pictures
    from estimator.demo.workshop import write_demo
    from estimator.papers import paper_of
    from estimator.said.range import range_parts
    from estimator.shop import Shop

    place = one_folder(folder, given, Path("demo"))
    files = write_demo(place)
    shop = Shop.open(place, today=given.today, seed=given.seed)
    board = telling_board(shop.log.boards)
    answer = shop.range(board.board)
    pictures = save_pictures(place / REPORTS, answer, shop.settings, board.name)
    sheets: list[Path] = []
    for kind, about in (("range", board.board), ("owner", board.board), ("week", None)):
        paper = paper_of(shop, kind, about)
        sheets.append(place / REPORTS / f"{paper.name}.pdf")
        write_sheet(sheets[-1], paper.pdf())
    if given.as_json:
        made = [str(path) for path in (*files, *pictures, *sheets)]
        print_json({"folder": str(place), "files": made, "range": answer.as_dict()})
        return
    what = f"An invented workshop, {shop.settings.workshop.name}, is in {place}."
    print_parts(
        [
            f"{what} It has {len(shop.log.boards)} boards. This one is {label(f'state {board.state}')}:",
            *range_parts(answer, shop.settings, board.name, shop.today),
            Heading("What to try next"),
            Command(f"estimator range --shop {pasted(place)} -q kind=major -q length=9-6 -q spray_colours=3"),
            f"Or look at the pictures and sheets in {place / REPORTS}; estimator sheet prints the others too.",
        ]
    )


def telling_board(boards: Sequence[Board]) -> Board:
    """The board that shows most: in line, and the one that the restorer takes for the most work."""
    from estimator.words.records import WAITING

    return max(
        boards,
        key=lambda b: (b.state == WAITING, b.guess or 0.0, len(b.assessed), b.board),
    )


@click.command(short_help="Write an empty workshop.")
@click.argument("folder", required=False, type=click.Path(path_type=Path))
@shared
def new(given: SharedOptions, folder: Path | None) -> None:
    """Write an empty workshop into FOLDER: settings, lent rules of thumb, and a log to fill.

    It can answer at once, from the lent rules. FOLDER is new, or empty.
    """
    from estimator.log.starter import write_starter
    from estimator.said.range import headline, rests_on
    from estimator.shop import Shop

    place = one_folder(folder, given)
    files = write_starter(place)
    shop = Shop.open(place, today=given.day, seed=given.seed)
    answer = shop.range(FIRST_BOARD)
    if given.as_json:
        print_json({"folder": str(place), "files": [str(path) for path in files], "range": answer.as_dict()})
        return
    asked = " ".join(f"-q {name}={value}" for name, value in FIRST_BOARD.items())
    print_parts(
        [
            f"An empty workshop is in {place}: {', '.join(path.name for path in files)}.",
            Heading("A full restoration of 9'6\", before you've written anything down"),
            headline(answer),
            rests_on(answer),
            Heading("What to do next"),
            "Say more of a board:",
            Command(f"estimator range --shop {pasted(place)} {asked} -q spray_colours=2 -q 'infills=?'"),
            "Write your boards, finished ones too, in boards.csv, and your hours in hours.csv.",
            "Put your own rules of thumb over the lent ones in workshop.toml.",
            "See whether all of it can be read:",
            Command(f"estimator check --shop {pasted(place)}"),
        ]
    )

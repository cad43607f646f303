"""`sheet`: one sheet for paper."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Any

import click

from estimator.cli.options import SharedOptions, print_json, shared, tell_problems
from estimator.cli.printing import print_parts
from estimator.said.parts import Command, Part, pasted
from estimator.words.errors import UsageError

REPORTS = "reports"


@click.command(short_help="Print a sheet as PDF.")
@click.argument("kind")
@click.argument("about", metavar="[BOARD|QUARTER]", required=False)
@click.option("--hours", is_flag=True, help="Say the hours on the owner's copy too.")
@click.option(
    "--out",
    type=click.Path(path_type=Path, dir_okay=False),
    metavar="FILE",
    help="The file to write, .pdf; an owner's copy may be .txt, to paste into a message. Left out: a .pdf in the "
    "workshop's folder, under reports.",
)
@shared
def sheet(given: SharedOptions, *, kind: str, about: str | None, hours: bool, out: Path | None) -> None:
    """Print one sheet as PDF: range, owner, weigh, quarter, rules, record or week.

    range is the workshop's copy for one BOARD, owner the copy to sign for its owner, weigh whether to take it on;
    BOARD is its id or short name. quarter looks back on a QUARTER, as 2026-Q3. rules and record are what estimator
    rules and estimator record say. week is the blank week for the wall.

    The day on an owner's copy is the last of the week, or of the third of a month, by which the board is ready 9
    times in 10; a day that you told and that is as sure stands. Your pay, other boards and other owners are never on
    it.
    """
    from estimator.cli.record import progress_of
    from estimator.papers import check_asked, paper_of

    endings = (".pdf", ".txt") if kind == "owner" else (".pdf",)
    if out is not None and out.suffix.casefold() not in endings:
        raise UsageError(f"{out} is no {' or '.join(endings)}.", "Name a file that ends in it.")
    check_asked(kind, about, hours=hours)
    shop = given.open_shop()
    with progress_of("Past boards") as progress:
        paper = paper_of(shop, kind, about, hours=hours, progress=progress)
    tell_problems(len(shop.problems))
    file = out or shop.folder / REPORTS / f"{paper.name}.pdf"
    write_sheet(file, paper.text().encode() if file.suffix.casefold() == ".txt" else paper.pdf())
    ready = paper.data.get("ready") or {"day": None}
    if given.as_json:
        told = {"ready_by": ready["day"] or None} if kind == "owner" else {}
        print_json({"kind": kind, "file": str(file), "title": paper.data["title"], "day": paper.day, **told})
        return
    keep: list[Part] = list(_keep(paper.data)) if kind == "owner" else []
    print_parts([f"Saved as {file}.", *keep])


def _keep(data: Mapping[str, Any]) -> Iterable[Part]:
    """How to keep the day that an owner's copy says, where it was not told before."""
    ready = data["ready"]
    if ready["day"] and not ready["stands"]:
        board = data["number"] or data["name"]
        why = " --because late" if ready["told"] else ""
        yield "Once its owner has it, keep the day that it says:"
        yield Command(f"estimator told {pasted(board)} --last {ready['day']}{why}")


def write_sheet(file: Path, made: bytes) -> None:
    """Writes a sheet; the folder reports is made where it is missing.

    Raises UsageError where the file cannot be written.
    """
    try:
        if file.parent.name == REPORTS:
            file.parent.mkdir(parents=True, exist_ok=True)
        file.write_bytes(made)
    except OSError as error:
        raise UsageError(f"{file} cannot be written.", "Name a file in a folder that is yours.") from error

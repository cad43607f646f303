"""`sheet`: one sheet for paper."""

from __future__ import annotations

from pathlib import Path

import click

from estimator.cli.options import Shared, print_json, shared, tell_problems
from estimator.words.errors import UsageError

REPORTS = "reports"
SAID = ("weigh", "quarter")  # sheets of what a command prints


@click.command(short_help="Print a sheet as PDF.")
@click.argument("kind")
@click.argument("about", metavar="[BOARD|QUARTER]", required=False)
@click.option("--hours", is_flag=True, help="Say the hours on the owner's copy too.")
@click.option(
    "--out",
    type=click.Path(path_type=Path, dir_okay=False),
    metavar="FILE",
    help="The file to write. Left out: one in the workshop's folder, under reports.",
)
@shared
def sheet(given: Shared, *, kind: str, about: str | None, hours: bool, out: Path | None) -> None:
    """Print one sheet as PDF: range, owner, weigh, quarter, rules, record or week.

    range is the workshop's copy for one BOARD, owner the copy to sign for its owner, weigh whether to take it on;
    BOARD is its id or short name. quarter looks back on a QUARTER, as 2026-Q3. rules and record are what estimator
    rules and estimator record say. week is the blank week for the wall.
    """
    from estimator.cli.record_command import progress_of
    from estimator.cli.sheet_parts import said_paper
    from estimator.papers import check_asked, paper_of

    if out is not None and out.suffix.casefold() != ".pdf":
        raise UsageError(f"{out} is no .pdf.", "Name a file that ends in it.")
    check_asked(kind, about, hours=hours)
    shop = given.open_shop()
    with progress_of("Past boards") as progress:
        if about is not None and kind in SAID:
            paper = said_paper(shop, kind, about, progress=progress)
        else:
            paper = paper_of(shop, kind, about, hours=hours, progress=progress)
    tell_problems(len(shop.problems))
    file = out or shop.folder / REPORTS / f"{paper.name}.pdf"
    write_sheet(file, paper.pdf())
    if given.as_json:
        print_json({"kind": kind, "file": str(file), "title": paper.data["title"], "day": paper.day})
    else:
        click.echo(f"Saved as {file}.")


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

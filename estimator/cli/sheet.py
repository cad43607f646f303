"""`sheet`: one sheet for paper."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import click

from estimator.cli.options import FILE, SharedOptions, print_json, shared, tell_problems
from estimator.cli.printing import print_parts
from estimator.log.files import refuse_unwritable
from estimator.said.parts import Part


def sheet_file(_ctx: click.Context, _param: click.Parameter, path: Path | None) -> Path | None:
    """Refuses a file that cannot be written; the folder of reports is made."""
    if path is not None and path.parent.name != "reports":
        refuse_unwritable(path)
    return path


@click.command(short_help="Print a sheet as PDF.")
@click.argument("kind")
@click.argument("about", metavar="[BOARD|QUARTER]", required=False)
@click.option("--hours", is_flag=True, help="Say the hours on the owner's copy too.")
@click.option("--anyway", is_flag=True, help="An owner's copy of a board to which you said no.")
@click.option(
    "--out",
    type=FILE,
    callback=sheet_file,
    metavar="FILE",
    help="The file to write, .pdf; owner and handover may be .txt, to paste into a message. Left out: a .pdf in the "
    "workshop's folder, under reports.",
)
@shared
def sheet(
    given: SharedOptions, *, kind: str, about: str | None, hours: bool, anyway: bool, out: Path | None
) -> None:
    """Print one sheet as PDF: range, owner, handover, weigh, quarter, rules, record or week.

    range is the workshop's copy for one BOARD, owner the copy to sign for its owner, handover what it
    came to and how to look after it, on the day it is fetched, weigh whether to take it on;
    BOARD is its id or short name. quarter looks back on a QUARTER, as 2026-Q3. rules and record are what estimator
    rules and estimator record say. week is the blank week for the wall.

    The day on an owner's copy is the one that bench and range name: the last open day of the week, or of the third
    of a month, by which the board is ready 9 times in 10; a day that you told and that is as sure stands. Your pay,
    other boards and other owners are never on it.
    """
    from estimator.papers import check_asked, paper_of
    from estimator.said.told import to_keep

    check_asked(kind, about, hours=hours, out=out)
    shop = given.open_shop()
    paper = paper_of(shop, kind, about, hours=hours, anyway=anyway, progress=given.progress)
    tell_problems(len(shop.problems))
    file = paper.save(shop.folder, out)
    ready = paper.data.get("ready") or {"day": None}
    if given.as_json:
        told = {"ready_by": ready["day"] or None} if kind == "owner" else {}
        print_json({"kind": kind, "file": str(file), "title": paper.data["title"], "day": paper.day, **told})
        return
    parts: list[Part] = [f"Saved as {file}."]
    if ready["day"] and not ready["stands"]:
        board = paper.data["number"] or paper.data["name"]
        parts += to_keep(board, dt.date.fromisoformat(ready["day"]), again=bool(ready["told"]))
    print_parts(parts)

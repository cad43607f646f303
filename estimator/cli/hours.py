"""`hours`: the notebook's own lines, read back and kept."""

from __future__ import annotations

import datetime as dt
import sys
from typing import TextIO

import click

from estimator.cli.options import SharedOptions, print_json, shared, tell_problems
from estimator.cli.printing import print_parts
from estimator.log.notebook.page import A_DATE, A_LINE, NO_OTHER, Doubt, NotebookPage
from estimator.shop import Shop
from estimator.words.dates import read_date
from estimator.words.errors import UnreadableError, UsageError
from estimator.words.phrases import say_count

SAYS = {A_DATE: "or a day, as 2026-06-12", A_LINE: "or write it anew"}


@click.command(short_help="Keep the hours of the week, typed as the notebook has them.")
@click.argument("file", type=click.File("r", encoding="utf-8-sig"), default="-", metavar="[FILE|-]")
@click.option("--try", "only_try", is_flag=True, help="Read them back, ask nothing, and write nothing.")
@click.option(
    "--week",
    metavar="DATE",
    help="A day of the week that is meant. Left out: the week of the day on which one looks.",
)
@shared
def hours(given: SharedOptions, *, file: TextIO, only_try: bool, week: str | None) -> None:
    """Read hours as a notebook has them, say them back, and keep them all at once.

    Write them as they come: Mon red strip 4, blue 2nd col 1½ done / Tue surf / Wed sweeping 1. FILE holds the text;
    left out or -, it is typed, or comes from another program.

    What is not sure is asked. Where nobody can be asked, nothing is written, and the questions are said.
    """
    shop = given.open_shop()
    first = _day(week, shop.settings.workshop.dates)
    if getattr(file, "name", "") == "<stdin>" and somebody_there():
        click.echo("Write the hours of the week. An empty line with Ctrl-D ends them.", err=True)
    text = _text(file)
    problems = len(shop.problems)
    page = shop.read_hours(text, week=first)
    if only_try:
        _say(shop, page, given)
        return
    if not given.as_json and somebody_there():
        page = _asked(shop, text, first)
    if page.doubts:
        _say(shop, page, given)
        many = say_count(len({doubt.key for doubt in page.doubts}), "question")
        raise UsageError(
            f"Nothing is written: {many} first.", "Answer in the text itself, and send it again."
        )
    try:
        kept = shop.write_hours(page.lines, notes=page.notes)
    except UsageError:
        if page.lines and not given.as_json:
            from estimator.said.hours import rows_to_copy

            print_parts(rows_to_copy(page.lines, page.notes))
        raise
    tell_problems(problems)
    if given.as_json:
        print_json({**page.as_dict(), "file": kept.file})
        return
    from estimator.said.hours import kept_parts, lines_table

    print_parts([lines_table(kept.lines, shop.settings, shop.log.boards, kept.notes), *kept_parts(kept)])


def _asked(shop: Shop, text: str, week: dt.date | None) -> NotebookPage:
    """The page when all that is not sure was asked, one question after the other, as on the page of the week."""
    answers: dict[str, str] = {}
    while True:
        read = shop.read_hours_asked(text, week, answers)
        if not read.asked:
            return NotebookPage(read.boxes[0].text, read.lines, notes=read.notes)
        answers[read.asked[0].name] = _answer(read.asked[0].doubt)


def somebody_there() -> bool:
    """Whether somebody can be asked."""
    return sys.stdin.isatty()


def _text(file: TextIO) -> str:
    """All that the file holds.

    Raises UsageError where it is no text.
    """
    try:
        return str(file.read())
    except UnicodeDecodeError as error:
        name = getattr(file, "name", "That")
        raise UsageError(f"{name} is no plain text.", "Save it as text in UTF-8.") from error


def _day(text: str | None, style: str) -> dt.date | None:
    """The day after --week."""
    try:
        return read_date(text, style) if text else None
    except UnreadableError as error:
        raise UsageError(f"--week: {error.wrong}", error.cure) from error


def _say(shop: Shop, page: NotebookPage, given: SharedOptions) -> None:
    """The lines and the questions, and that nothing is written."""
    if given.as_json:
        print_json({**page.as_dict(), "file": None})
        return
    from estimator.said.hours import read_parts

    print_parts(read_parts(page, shop.settings, shop.log.boards))


def _answer(doubt: Doubt) -> str:
    """What is answered on the terminal: the number of a choice, or what may be written instead."""
    click.echo(doubt.question if doubt.typed in doubt.question else f"“{doubt.typed}”: {doubt.question}")
    for number, choice in enumerate(doubt.choices, start=1):
        click.echo(f"  {number}  {choice.says}")
    if doubt.free != NO_OTHER:
        click.echo(f"  {SAYS.get(doubt.free, 'or hours, as 2 h')}")
    while True:
        said = str(click.prompt("", prompt_suffix="> ")).strip()
        if said.isdecimal() and 1 <= int(said) <= len(doubt.choices):
            return doubt.choices[int(said) - 1].value
        if doubt.free != NO_OTHER and not said.isdecimal():
            return said
        click.echo(f"Write a number from 1 to {len(doubt.choices)}.")

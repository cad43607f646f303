"""`import`: the log into a book, or spreadsheets and csv into it."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import click

from estimator.cli.options import SharedOptions, print_json, shared
from estimator.cli.printing import print_parts


@click.command("import", short_help="Take a log, a spreadsheet or csv into the book.")
@click.argument("files", nargs=-1, metavar="[FILE]...", type=click.Path(path_type=Path, exists=True))
@click.option("--try", "only_try", is_flag=True, help="Say all that would happen; write nothing.")
@click.option("--newer", is_flag=True, help="Where a row differs, the file wins.")
@click.option("--good-rows", is_flag=True, help="Leave out rows that cannot be taken, and take the others.")
@shared
def import_command(
    given: SharedOptions, *, files: tuple[Path, ...], only_try: bool, newer: bool, good_rows: bool
) -> None:
    """Take each FILE into the book: .xlsx, .ods, .csv, or a folder of csv files.

    Without FILE the workshop's own csv files or spreadsheet go into a new book; they stay, and are no longer read. It
    is one act, all or nothing. A row that is there already is skipped, one that differs is a problem. A file that
    somebody else has made is asked about, once. Ends with 1 where anything is wrong, and then nothing is written,
    unless the good rows alone are asked for.
    """
    from estimator.log.exchange.importing import ImportChoices, import_files, import_folder
    from estimator.said.exchange import import_parts

    at = dt.datetime.now().astimezone()
    if given.today:
        at = dt.datetime.combine(given.today, at.timetz())
    how = ImportChoices(only_try, newer, good_rows)
    done = import_files(given.folder, files, at, how) if files else import_folder(given.folder, at, how)
    if given.as_json:
        print_json(done.as_dict())
    else:
        print_parts(import_parts(done, only_try=only_try), shop=given.folder)
    if done.problems and not done.written:
        raise click.exceptions.Exit(1)

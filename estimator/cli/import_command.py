"""`import`: the log into a book, or spreadsheets and csv into it."""

from __future__ import annotations

import datetime as dt
import sys
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
    answers = _asked(given.folder, files) if files and sys.stdin.isatty() and not given.as_json else {}
    done = (
        import_files(given.folder, files, at, how, answers) if files else import_folder(given.folder, at, how)
    )
    if given.as_json:
        print_json(done.as_dict())
    else:
        print_parts(import_parts(done, only_try=only_try), shop=given.folder)
    if done.problems and not done.written:
        raise click.exceptions.Exit(1)


def _asked(folder: Path, files: tuple[Path, ...]) -> dict[str, str]:
    """What a person at the terminal answers about columns that are not clear."""
    from estimator.log.exchange.importing import open_questions

    answers: dict[str, str] = {}
    while questions := [one for one in open_questions(folder, files, answers) if one.key not in answers]:
        for question in questions:
            problem = question.problem
            click.echo(f"{problem.said()} It may be: {', '.join(question.choices)}.")
            choice = click.Choice(question.choices)
            guess = question.guess or None
            answers[question.key] = click.prompt(problem.cure, type=choice, default=guess, show_choices=False)
    return answers

"""`import`: the log into a book, or spreadsheets and csv into it."""

from __future__ import annotations

import datetime as dt
import sys
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

import click

from estimator.cli.options import SharedOptions, print_json, shared
from estimator.cli.printing import print_parts

if TYPE_CHECKING:
    from estimator.log.exchange.importing import ImportChoices
    from estimator.log.exchange.questions import ImportQuestion


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
    is one act, all or nothing. A row that is there already is skipped, one that differs is a problem. What the columns
    of somebody else's file mean is asked once, on a terminal, and kept under [import.NAME] in workshop.toml; without
    one what is not clear is a problem. Ends with 1 where anything is wrong, and then nothing is written, unless the
    good rows alone are asked for.
    """
    from estimator.log.exchange.importing import ImportChoices, import_files, import_folder
    from estimator.said.exchange import import_parts

    at = dt.datetime.now().astimezone()
    if given.today:
        at = dt.datetime.combine(given.today, at.timetz())
    how = ImportChoices(only_try, newer, good_rows)
    if not files:
        done = import_folder(given.folder, at, how)
    else:
        asks = somebody_there() and not given.as_json
        answers = _asked(given.folder, files, at, replace(how, only_try=True)) if asks else {}
        done = import_files(given.folder, files, at, how, answers)
    if given.as_json:
        print_json(done.as_dict())
    else:
        print_parts(import_parts(done, only_try=only_try), shop=given.folder)
    if done.problems and not done.written:
        raise click.exceptions.Exit(1)


def somebody_there() -> bool:
    """Whether questions can be asked."""
    return sys.stdin.isatty() and sys.stdout.isatty()


def _asked(folder: Path, files: tuple[Path, ...], at: dt.datetime, how: ImportChoices) -> dict[str, str]:
    """What a person at the terminal answers to all that is not clear, by the keys of the questions."""
    from estimator.log.exchange.importing import import_files

    answers: dict[str, str] = {}
    while questions := [
        one for one in import_files(folder, files, at, how, answers).questions if one.key not in answers
    ]:
        for question in questions:
            answers[question.key] = _answer(question)
    return answers


def _answer(question: ImportQuestion) -> str:
    """The answer to a question: the number of a choice, or the name of a column of ours."""
    from estimator.said.exchange import question_parts

    print_parts(question_parts(question))
    numbers = {str(number): choice.answer for number, choice in enumerate(question.choices, 1)}
    likely = next((number for number, answer in numbers.items() if answer == question.likely), None)
    more = ", or the name of another column of ours" if question.about == "column" else ""
    ends = ("1", str(len(numbers)))[: len(numbers)]
    while True:
        said = click.prompt(f"Which is it, {' to '.join(ends)}{more}", default=likely).strip()
        answer = numbers.get(said, said)
        if question.takes(answer):
            return answer
        click.echo("That is none of them.")

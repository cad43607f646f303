"""`check`: every problem in the settings and the log."""

from __future__ import annotations

import click

from estimator.cli.options import SharedOptions, print_json, shared
from estimator.cli.printing import print_parts
from estimator.cli.settings_command import ColumnsCommand
from estimator.said.check import check_parts
from estimator.words.errors import SettingsError
from estimator.words.problems import Problem
from estimator.words.records import Log

NONE: tuple[Problem, ...] = ()


@click.command(cls=ColumnsCommand, short_help="List every problem in the settings and the log.")
@shared
def check(given: SharedOptions) -> None:
    """List every problem in the settings and the log, each with what to do about it.

    Finished boards that teach nothing yet come first, with the cells to fill. What else is merely missing is a note.
    Ends with 1 where there is any problem, else with 0. A log is boards.csv and
    hours.csv, and told.csv, waits.csv, weights.csv, notes.csv and money.csv if you like; or sheets of those names in
    log.xlsx or log.ods. Every column of boards may be absent or empty, and of the others all but those that say which
    board, which day, and what; below is what stands in each.
    """
    log: Log | None = None
    untaught, unused = NONE, 0
    try:
        shop = given.open_shop()
    except SettingsError as error:
        problems, notes = error.problems, NONE
    else:
        problems, notes, log = shop.problems, shop.notes, shop.log
        untaught, unused = shop.untaught.why, shop.untaught.boards
    if given.as_json:
        print_json(
            {
                "problems": [problem.as_dict() for problem in problems],
                "notes": [note.as_dict() for note in notes],
                "boards": len(log.boards) if log else 0,
                "hours_rows": len(log.entries) if log else 0,
            }
        )
    else:
        rest = [note for note in notes if note not in untaught]
        print_parts(check_parts(problems, rest, log, untaught, unused))
    if problems:
        raise click.exceptions.Exit(1)

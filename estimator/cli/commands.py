"""The commands: `estimator …` and `python -m estimator …`."""

from __future__ import annotations

import os
import signal
import sys
from io import TextIOWrapper
from types import FrameType

import click

from estimator import __version__
from estimator.cli.bench import bench
from estimator.cli.check import check
from estimator.cli.counter import counter
from estimator.cli.export_command import export_command
from estimator.cli.hours import hours
from estimator.cli.import_command import import_command
from estimator.cli.looks import looks
from estimator.cli.notes_and_money import money, notes
from estimator.cli.options import Commands
from estimator.cli.otherwise import otherwise
from estimator.cli.overruns import overruns
from estimator.cli.quarter import quarter
from estimator.cli.range import range_
from estimator.cli.record import record
from estimator.cli.rules import rules
from estimator.cli.settings_command import settings_command
from estimator.cli.sheet import sheet
from estimator.cli.told import told
from estimator.cli.undo import undo
from estimator.cli.weigh import weigh
from estimator.cli.workshops import demo, new


@click.group(cls=Commands, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(__version__, message="estimator %(version)s")
def cli() -> None:
    """How long the next board will honestly take, from a workshop's own log.

    Begin with `estimator demo`, an invented workshop, or with `estimator new FOLDER`, an empty one. Hours are
    said as a range that holds so many times in ten.
    """


def stop_when_told() -> None:
    """From now on a process that is told to end clears up first, its workers with it."""

    def stop(number: int, _frame: FrameType | None) -> None:
        sys.exit(128 + number)

    signal.signal(signal.SIGTERM, stop)


def main() -> None:
    """Run the command that was asked for; letters that the screen cannot show become question marks."""
    stop_when_told()
    os.environ["MPLBACKEND"] = "agg"  # we draw into files, and one that is not there would stop us
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, TextIOWrapper):
            stream.reconfigure(errors="replace")
    cli(prog_name="estimator")


ALL = (
    bench,
    check,
    counter,
    demo,
    export_command,
    import_command,
    hours,
    looks,
    money,
    new,
    notes,
    otherwise,
    overruns,
    quarter,
    range_,
    record,
    rules,
    settings_command,
    sheet,
    told,
    undo,
    weigh,
)
for command in ALL:
    cli.add_command(command)

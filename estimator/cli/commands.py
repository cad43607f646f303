"""The commands: `estimator …` and `python -m estimator …`."""

from __future__ import annotations

import os
import signal
import sys
from collections.abc import Iterator, MutableMapping
from importlib import import_module
from io import TextIOWrapper
from types import FrameType

import click

from estimator import __version__
from estimator.cli.options import Commands

WHERE = {  # each command's module, in which it is the function of that name
    "bench": "bench:bench",
    "check": "check:check",
    "counter": "counter:counter",
    "demo": "workshops:demo",
    "export": "export_command:export_command",
    "hours": "hours:hours",
    "import": "import_command:import_command",
    "looks": "looks:looks",
    "money": "notes_and_money:money",
    "new": "workshops:new",
    "notes": "notes_and_money:notes",
    "otherwise": "otherwise:otherwise",
    "overruns": "overruns:overruns",
    "quarter": "quarter:quarter",
    "range": "range:range_",
    "record": "record:record",
    "rules": "rules:rules",
    "settings": "settings_command:settings_command",
    "sheet": "sheet:sheet",
    "told": "told:told",
    "undo": "undo:undo",
    "weigh": "weigh:weigh",
}


class OnDemand(MutableMapping[str, click.Command]):
    """The commands by name, each of them loaded when it is asked for."""

    def __init__(self) -> None:
        self._where = dict(WHERE)
        self._set: dict[str, click.Command] = {}

    def __getitem__(self, name: str) -> click.Command:
        if name not in self._set:
            module, _, function = self._where[name].partition(":")
            found = getattr(import_module(f"estimator.cli.{module}"), function)
            assert isinstance(found, click.Command)
            self._set[name] = found
        return self._set[name]

    def __setitem__(self, name: str, command: click.Command) -> None:
        self._where[name], self._set[name] = "", command

    def __delitem__(self, name: str) -> None:
        del self._where[name]
        self._set.pop(name, None)

    def __iter__(self) -> Iterator[str]:
        return iter(self._where)

    def __len__(self) -> int:
        return len(self._where)


@click.group(cls=Commands, commands=OnDemand(), context_settings={"help_option_names": ["-h", "--help"]})
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

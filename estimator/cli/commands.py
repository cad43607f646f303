"""The commands: `estimator …` and `python -m estimator …`."""

from __future__ import annotations

import sys
from collections.abc import Mapping
from dataclasses import replace
from io import TextIOWrapper
from pathlib import Path
from typing import TYPE_CHECKING

import click

from estimator import __version__
from estimator.cli.bench import bench
from estimator.cli.options import Commands, SharedOptions, one_of, print_json, reads, shared, tell_problems
from estimator.cli.overruns import overruns
from estimator.cli.printing import print_parts
from estimator.cli.quarter import quarter
from estimator.cli.record import record
from estimator.cli.rules import rules
from estimator.cli.settings_command import ColumnsCommand, settings_command
from estimator.cli.sheet import sheet
from estimator.cli.told import told
from estimator.cli.weigh import weigh
from estimator.cli.workshops import demo, new
from estimator.said.parts import Heading, Part
from estimator.words.errors import SettingsError, UnreadableError, UsageError
from estimator.words.odds import read_odds
from estimator.words.phrases import say_count
from estimator.words.problems import Problem
from estimator.words.records import Log

if TYPE_CHECKING:
    from estimator.shop import Shop
    from estimator.words.settings.schema import Settings


SETTINGS_FIRST = "The log was not read: it needs the settings."
NO_NOTES: tuple[Problem, ...] = ()


@click.group(cls=Commands, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(__version__, message="estimator %(version)s")
def cli() -> None:
    """How long the next board will honestly take, from a workshop's own log.

    Begin with `estimator demo`, an invented workshop, or with `estimator new FOLDER`, an empty one. Hours are
    said as a range that holds so many times in ten.
    """


def main() -> None:
    """Run the command that was asked for; letters that the screen cannot show become question marks."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, TextIOWrapper):
            stream.reconfigure(errors="replace")
    cli(prog_name="estimator")


cli.add_command(bench)
cli.add_command(demo)
cli.add_command(new)
cli.add_command(quarter)
cli.add_command(overruns)
cli.add_command(record)
cli.add_command(rules)
cli.add_command(settings_command)
cli.add_command(sheet)
cli.add_command(told)
cli.add_command(weigh)


@cli.command(cls=ColumnsCommand, short_help="List every problem in the settings and the log.")
@shared
def check(given: SharedOptions) -> None:
    """List every problem in the settings and the log, each with what to do about it.

    What is merely missing is a note. Ends with 1 where there is any problem, else with 0. A log is boards.csv and
    hours.csv, and told.csv, waits.csv and weights.csv if you like; or sheets of those names in log.xlsx or log.ods.
    Every column may be absent or empty; below is what stands in each.
    """
    try:
        shop = given.open_shop()
    except SettingsError as error:
        problems, notes, log, counts = error.problems, NO_NOTES, Log(), SETTINGS_FIRST
    else:
        problems, notes, log, counts = shop.problems, shop.notes, shop.log, counted(shop)
    if given.as_json:
        print_json(
            {
                "problems": [problem.as_dict() for problem in problems],
                "notes": [note.as_dict() for note in notes],
                "boards": len(log.boards),
                "hours_rows": len(log.entries),
            }
        )
    else:
        print_parts([*_listed("Problems", problems), *_listed("Notes", notes), Heading(counts)])
    if problems:
        raise click.exceptions.Exit(1)


def _listed(name: str, problems: tuple[Problem, ...]) -> list[Part]:
    """The problems under their name, each as one sentence and its cure."""
    return [Heading(name), *(problem.sentence() for problem in problems)] if problems else []


def counted(shop: Shop) -> str:
    """How many problems there are, how many lines of the log were used all the same."""
    from estimator.cli.lines_used import lines_used

    log = shop.log
    used, written, all_told = lines_used(log, shop.problems)
    problems = say_count(len(shop.problems), "problem").capitalize()
    of = say_count(written, "line") if all_told else f"at least {say_count(written, 'line')}"
    lines = f"{used:,} of {of} used" if written else "no lines yet" if all_told else "no lines used"
    held = f"{say_count(len(log.boards), 'board')}, {say_count(len(log.entries), 'row')} of hours"
    return f"{problems}; {lines} ({held})."


def read_pair(text: str) -> tuple[str, str]:
    """The name and the value of `name=value`.

    Raises UnreadableError for a text without either.

    >>> read_pair("infills = 3"), read_pair("length=9'6")
    (('infills', '3'), ('length', "9'6"))
    """
    name, equals, value = (piece.strip() for piece in text.partition("="))
    if not (name and equals and value):
        raise UnreadableError(
            f'"{text}" is no name=value.', "Write infills=3, infills=0 for none, infills=? for not known."
        )
    return name, value


def asked_of(pairs: tuple[tuple[str, str], ...], option: str = "-q") -> dict[str, str]:
    """The values of all `-q`, or of another option, by name.

    Raises UsageError for a name that stands twice.

    >>> asked_of((("infills", "3"), ("kind", "major")))
    {'infills': '3', 'kind': 'major'}
    """
    values: dict[str, str] = {}
    for name, value in pairs:
        if name in values:
            raise UsageError(
                f"{option} {name} stands twice, with {values[name]} and {value}.", "Keep one of them."
            )
        values[name] = value
    return values


@cli.command("range")
@click.argument("board", required=False)
@click.option(
    "-q",
    "pairs",
    multiple=True,
    metavar="NAME=VALUE",
    callback=reads(read_pair),
    help="What is known of a board, or what if: anything there is to do, what makes it slower, kind, length, "
    "width, outline, guess. =0 says none, =? not known. May be given again.",
)
@click.option(
    "--add",
    "added",
    multiple=True,
    metavar="NAME=VALUE",
    callback=reads(read_pair),
    help="What its owner asks for since, on top of all else: hours, price and dates of that alone. May be given again.",
)
@click.option("--keep", is_flag=True, help="Write what --add says into the board's own row.")
@click.option(
    "--odds",
    default="8/10",
    callback=reads(read_odds),
    metavar="ODDS",
    help="How often the range is to hold. Left out: 8/10.",
)
@click.option(
    "--view",
    callback=reads(one_of("before", "opened", "finished")),
    metavar="VIEW",
    help="Where to look from: before (opening), opened (up) or finished. Left out: before, for a board not "
    "begun, else as it stands now.",
)
@click.option(
    "--over", multiple=True, metavar="HOURS", help="Say the chance to pass so many hours. May be given again."
)
@click.option(
    "--dates", is_flag=True, help="Say when it will be ready too, behind the boards in hand. Takes a moment."
)
@click.option(
    "--figure",
    type=click.Path(path_type=Path, dir_okay=False),
    metavar="FILE",
    help="Save the range as ten boards on a tape, as .png or .svg. With --dates, its days as well, in a second file "
    "whose name ends in -dates.",
)
@shared
def range_(
    given: SharedOptions,
    *,
    board: str | None,
    pairs: tuple[tuple[str, str], ...],
    added: tuple[tuple[str, str], ...],
    keep: bool,
    odds: float,
    view: str | None,
    over: tuple[str, ...],
    dates: bool,
    figure: Path | None,
) -> None:
    """Say how many hours a board will take, and why.

    BOARD is a board of the log, by its id or short name. Without it, -q describes one.

    Hours are said as a range, with what it rests on, hours by stage, what makes them, past boards like it, materials,
    and the price that pays what you want an hour. With --add, only what comes on top is said: its hours, price and
    materials, the days it costs, and whose dates move. --keep writes it into the board's later_ cells, once its owner
    has agreed; a spreadsheet is never written.
    """
    values, more = asked_of(pairs), asked_of(added, "--add")
    if more or keep:
        _refuse_beside_add(board, values, view, more)
    if board is None and not values:
        raise UsageError(
            "No board is named, and none described.",
            "Write estimator range 26-014, or estimator range -q kind=major -q length=9-6.",
        )
    shop = given.open_shop()
    past = [_hours_of(text, shop.settings.workshop.hours_in_a_day) for text in over]
    if board is None:
        answer = shop.range(values, odds=odds, view=view, over=past, dates=dates)
    else:
        answer = shop.range(board, odds=odds, view=view, over=past, change=values, dates=dates)
    fit = shop.fit()
    tell_problems(fit.problems)
    if board is not None and more:
        since = shop.asked_since(board, more, odds=odds, keep=keep)
        answer = replace(answer, added=since)
    called = {known.board: known.name for known in fit.boards}
    name = called.get(answer.board, "A board as you describe it")
    if board is not None and values:
        name = f"{name} with {_what_if(values, shop.settings)}"
    saved = [] if figure is None else [figure]
    if figure is not None:
        from estimator.cli.pictures import save_dates_picture, save_picture

        save_picture(figure, answer, name)
        promise = shop.promise(answer.board) if dates and not values else None
        if promise is not None and shop.today is not None:
            away = [(one.first, one.last) for one in shop.settings.bench.away]
            saved.append(save_dates_picture(figure, promise, shop.today, away))
    if given.as_json:
        print_json(answer.as_dict())
        return
    if more:
        from estimator.said.added import added_parts

        parts = added_parts(since, shop.settings, answer.board, name, shop.today)
    else:
        from estimator.said.range import range_parts

        parts = range_parts(answer, shop.settings, name, shop.today if answer.ready else None)
    print_parts([*parts, *(Heading(f"Saved as {file}.") for file in saved)])


def _refuse_beside_add(
    board: str | None, values: Mapping[str, str], view: str | None, more: Mapping[str, str]
) -> None:
    """Stops where --add or --keep stand without what they need, or beside what they cannot."""
    if not more:
        raise UsageError("There is nothing to keep.", "Say what was asked for, as --add logos=1.")
    if board is None:
        raise UsageError("What is asked for since belongs to a board of the log.", "Name the board.")
    if values or view:
        beside = "-q" if values else "--view"
        raise UsageError(
            f"--add asks what comes on top of the board as it stands, and {beside} changes that.",
            "Ask for one of the two.",
        )


def _hours_of(text: str, hours_in_a_day: float) -> float:
    """The hours after --over, in any spelling of worked time."""
    from estimator.words.worked_time import read_worked_time

    try:
        return read_worked_time(text, hours_in_a_day).hours
    except UnreadableError as error:
        raise UsageError(f"--over: {error.wrong}", error.cure) from error


def _what_if(values: Mapping[str, str], settings: Settings) -> str:
    """The values that were set on a board of the log."""
    said = {name: "not known" if value == "?" else value for name, value in values.items()}
    return ", ".join(f"{settings.quantity_label(name).lower()} {value}" for name, value in said.items())

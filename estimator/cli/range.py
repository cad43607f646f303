"""`range`: how many hours a board will take."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path

import click

from estimator.cli.options import (
    FILE,
    SharedOptions,
    one_of,
    picture_file,
    print_json,
    reads,
    shared,
    tell_problems,
)
from estimator.cli.printing import print_parts, saved
from estimator.words.actions import Action
from estimator.words.errors import UnreadableError, UsageError
from estimator.words.money import read_money
from estimator.words.odds import read_odds


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


@click.command("range", short_help="Say how many hours a board will take, and why.")
@click.argument("board", required=False)
@click.option(
    "-q",
    "pairs",
    multiple=True,
    metavar="NAME=VALUE",
    callback=reads(read_pair),
    help="What is known of a board, or what if: anything there is to do, what makes it slower, kind, length, "
    "width, outline, judged_with, guess. =0 says none, =? not known. May be given again.",
)
@click.option(
    "--add",
    "added",
    multiple=True,
    metavar="NAME=VALUE",
    callback=reads(read_pair),
    help="What its owner asks for since, on top of all else: hours, price and dates of that alone. May be given again.",
)
@click.option(
    "--keep",
    is_flag=True,
    help="Write what --add says into the board's own row, and what its owner was told of it: hours, price and day.",
)
@click.option(
    "--agreed",
    callback=reads(read_money),
    metavar="MONEY",
    help="With --keep: what was agreed for it. Left out: the price that is said.",
)
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
    type=FILE,
    callback=picture_file,
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
    agreed: float | None,
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
    has agreed, and keeps what he was told; a spreadsheet is never written.
    """
    values, more = asked_of(pairs), asked_of(added, "--add")
    if agreed is not None and not keep:
        raise UsageError("--agreed goes with --keep.", "Keep it too, or leave the price out.")
    if more or keep:
        _refuse_beside_add(board, values, view, more)
    if board is None and not values:
        raise UsageError(
            "No board is named, and none described.",
            "Name one, or say what there is to do.",
            action=Action("range", fields={"known": {"kind": "major", "length": "9-6"}}),
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
        since = (
            shop.agree(board, more, odds=odds, price=agreed)
            if keep
            else shop.asked_since(board, more, odds=odds)
        )
        answer = replace(answer, added=since)
    from estimator.said.range import name_of, range_parts

    called = {known.board: known.name for known in fit.boards}.get(answer.board)
    name = name_of(called, values if board is not None else {}, shop.settings)
    files = [figure]
    if figure is not None:
        from estimator.sheets.pictures import save_dates_picture, save_picture

        if more:
            then = since.in_all
            whole = replace(
                answer, low=then.low, likely=then.likely, high=then.high, quantiles=since.quantiles
            )
            save_picture(figure, whole, f"{name}, with what was asked for since")
        else:
            save_picture(figure, answer, name)
        promise = shop.promise(answer.board) if dates and not values else None
        if promise is not None and shop.today is not None:
            away = [(one.first, one.last) for one in shop.settings.bench.away]
            files.append(save_dates_picture(figure, promise, shop.today, away))
    if given.as_json:
        print_json(answer.as_dict())
        return
    if more:
        from estimator.said.added import added_parts

        parts = added_parts(since, shop.settings, answer.board, name, shop.today)
    else:
        parts = range_parts(answer, shop.settings, name, shop.today if answer.ready else None)
    print_parts([*parts, *saved(*files)])


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

"""The options that every command takes, and how a mistake is told: one sentence and its cure, on stderr."""

from __future__ import annotations

import datetime as dt
import functools
import json
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click
from click.core import ParameterSource

from estimator.cli import STOPPED, STOPPED_CODE
from estimator.cli.at_work import DOING, Counted, at_work, hush
from estimator.cli.printing import line_of, printed
from estimator.words.dates import in_our_time
from estimator.words.errors import EstimatorError, UnreadableError, UsageError
from estimator.words.json_form import plain
from estimator.words.measures import MOST_FIGURES, quoted
from estimator.words.phrases import say_count

if TYPE_CHECKING:
    from estimator.shop import Shop


MISSING = {"board": ("board", '"red nine-four"'), "name": ("quarter", "2026-Q3"), "kind": ("sheet", "week")}
OUR_MISTAKE = "This is our mistake. Please keep the log file and the lines above."


class Commands(click.Group):
    """The commands. What a user got wrong is told in words; anything else keeps its traceback and says so."""

    def invoke(self, ctx: click.Context) -> Any:
        """Run the command that was asked for."""
        try:
            return super().invoke(ctx)
        except EstimatorError as error:
            click.echo(told_error(error), err=True)
            raise click.exceptions.Exit(exit_code(error)) from error
        except click.MissingParameter as error:
            what, example = MISSING.get(getattr(error.param, "name", ""), ("", ""))
            if not what or error.ctx is None:
                raise
            click.echo(f"No {what} is named. Write estimator {error.ctx.info_name} {example}.", err=True)
            raise click.exceptions.Exit(UsageError.exit_code) from error
        except click.BadParameter as error:
            if not isinstance(getattr(error.param, "type", None), click.File | click.Path):
                raise
            click.echo(f"{error.message.rstrip('.')}. Name another file.", err=True)
            raise click.exceptions.Exit(UsageError.exit_code) from error
        except KeyboardInterrupt:
            click.echo(f"\n{STOPPED}", err=True)
            raise click.exceptions.Exit(STOPPED_CODE) from None
        except (click.ClickException, click.exceptions.Exit, click.Abort):
            raise
        except BrokenPipeError:
            raise  # whoever read our answer has gone, as head does: click ends quietly
        except Exception as error:
            error.add_note(OUR_MISTAKE)
            raise


OPTIONS = {"day": "--today", "folder": "--shop", "known": "-q"}  # fields whose option has another name


def told_error(error: EstimatorError) -> str:
    """What is wrong and what to do, then how that is typed.

    >>> told_error(UsageError("No price is named.", "Write one, as 3400.", field="price"))
    'No price is named. Write one, as 3400. The option is --price.'
    >>> from estimator.words.actions import Action
    >>> print(told_error(UsageError("So.", action=Action("check"))))
    So.
    estimator check
    """
    option = f" The option is {OPTIONS.get(error.field, f'--{error.field}')}." if error.field else ""
    line = f"\n{line_of(error.action)}" if error.action else ""
    return f"{error}{option}{line}"


def exit_code(error: EstimatorError) -> int:
    """The exit code of a mistake; a text that cannot be read is wrong use, for those in the log are problems.

    >>> exit_code(UnreadableError("so.")), exit_code(UsageError("so.")), exit_code(EstimatorError("so."))
    (2, 2, 1)
    """
    return UsageError.exit_code if isinstance(error, UnreadableError) else error.exit_code


def reads(reader: Callable[[str], object]) -> Callable[[click.Context, click.Parameter, Any], Any]:
    """A callback for an option: what `reader` makes of its text, or of each where it may be given again.

    A text that cannot be read raises UsageError, which names the option.
    """

    def callback(_ctx: click.Context, param: click.Parameter, value: Any) -> Any:
        if isinstance(value, tuple):
            return tuple(one(param, text) for text in value)
        return one(param, value) if isinstance(value, str) else value

    def one(param: click.Parameter, text: str) -> object:
        try:
            return reader(text)
        except UnreadableError as error:
            raise UsageError(f"{max(param.opts, key=len)}: {error.wrong}", error.cure) from error

    return callback


def read_day(text: str) -> dt.date:
    """The day that an ISO date names.

    Raises UnreadableError for any other text, and for a year that is read nowhere.

    >>> read_day("2026-09-30")
    datetime.date(2026, 9, 30)
    """
    try:
        day = dt.datetime.strptime(text.strip(), "%Y-%m-%d").date()  # noqa: DTZ007  a day has no time zone
    except ValueError:
        raise UnreadableError(f"{quoted(text)} is not a day.", "Write it as 2026-09-30.") from None
    return in_our_time(day, text)


def read_seed(text: str) -> int:
    """The whole number that starts the draws.

    Raises UnreadableError for anything but a whole number from 0 up, of 18 figures at most.

    >>> read_seed("7")
    7
    """
    if not (text.isascii() and text.isdecimal()):
        raise UnreadableError(f"{quoted(text)} is not a whole number.", "Write one from 0 up, as 7.")
    if len(text) > MOST_FIGURES:
        raise UnreadableError(f"{quoted(text)} is too long.", f"Write {MOST_FIGURES} figures at most, as 7.")
    return int(text)


def one_of(*words: str) -> Callable[[str], str]:
    """A reader that takes only these words.

    >>> one_of("before", "opened")("opened")
    'opened'
    """

    def reader(text: str) -> str:
        if text not in words:
            raise UnreadableError(
                f"{quoted(text)} is not offered.", f"Write {', '.join(words[:-1])} or {words[-1]}."
            )
        return text

    return reader


@dataclass(frozen=True, slots=True)
class SharedOptions:
    """What the options that all commands take have said.

    folder: the workshop; folder_given: whether --shop named it
    as_json: print one JSON object instead of words
    today: the day to answer for, None where not given
    seed: start of the draws
    progress: to be told how many of how many are done, by what takes long
    """

    folder: Path
    folder_given: bool
    as_json: bool
    today: dt.date | None
    seed: int
    progress: Counted | None = None

    @property
    def day(self) -> dt.date | None:
        """The day given, else the clock's; None for the invented workshop, which has its own last day."""
        from estimator.demo.texts import is_demo

        if self.today or is_demo(self.folder):
            return self.today
        return dt.date.today()

    def open_shop(self) -> Shop:
        """The workshop.

        Raises UsageError where there is none, SettingsError where its settings cannot be used.
        """
        from estimator.shop import Shop

        return Shop.open(self.folder, today=self.day, seed=self.seed)


FILE = click.Path(path_type=Path, dir_okay=False)


def picture_file(_ctx: click.Context, _param: click.Parameter, path: Path | None) -> Path | None:
    """Refuses a file that is no picture, or cannot be written, before anything is worked out for it."""
    if path is not None:
        from estimator.sheets.pictures import refuse

        refuse(path)
    return path


def tell_problems(count: int) -> None:
    """Say on stderr how many problems there are in the log, for a command that goes on with the good rows."""
    if count:
        hush()
        click.echo(f"{say_count(count, 'problem')} in the log; `estimator check` lists them.", err=True)


def print_json(answer: Mapping[str, Any]) -> None:
    """Write one JSON object to stdout, numbers unrounded; what is no number is never written as one."""
    text = json.dumps(plain(answer), indent=2, allow_nan=False)
    hush()
    with printed():
        click.echo(text)


_SHARED = (
    click.option(
        "--shop",
        "shop_folder",
        envvar="ESTIMATOR_SHOP",
        type=click.Path(path_type=Path),
        default=Path(),
        metavar="FOLDER",
        help="The workshop's folder. Left out: what ESTIMATOR_SHOP names, else the current folder.",
    ),
    click.option("--json", "as_json", is_flag=True, help="Print one JSON object, numbers unrounded."),
    click.option(
        "--today",
        callback=reads(read_day),
        metavar="YYYY-MM-DD",
        help="Answer as of this day. Left out: the clock's day.",
    ),
    click.option(
        "--seed",
        default="0",
        callback=reads(read_seed),
        metavar="NUMBER",
        help="Start of the random draws. The same number gives the same answer; left out: 0.",
    ),
)


def shared(function: Callable[..., None]) -> Callable[..., None]:
    """The command with the shared options added; it gets them as one `SharedOptions`, before its own.

    Where it takes a while, what it does is said.
    """

    @functools.wraps(function)
    def with_shared(
        *, shop_folder: Path, as_json: bool, today: dt.date | None, seed: int, **own: object
    ) -> None:
        context = click.get_current_context()
        given = context.get_parameter_source("shop_folder") is ParameterSource.COMMANDLINE
        with at_work(DOING.get(context.info_name or "", "Working")) as progress:
            function(SharedOptions(shop_folder, given, as_json, today, seed, progress), **own)

    command: Callable[..., None] = with_shared
    for option in reversed(_SHARED):
        command = option(command)
    return command

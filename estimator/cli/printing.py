"""How a command prints what is said: by rich on a terminal, as plain text elsewhere; actions as lines to paste."""

from __future__ import annotations

import errno
import os
import shlex
import sys
import textwrap
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

import click

from estimator.cli.at_work import hush
from estimator.said.parts import Heading, Part, Table, aligned, ruled
from estimator.words.actions import Action, Value
from estimator.words.errors import EstimatorError

if TYPE_CHECKING:
    from rich.console import Console
    from rich.table import Table as RichTable


WIDEST = 80  # columns: longer lines are tiring to read


@dataclass(frozen=True, slots=True)
class _Typed:
    """How an action is typed: its command, what stands behind that by place, and the options of its other fields."""

    command: str
    places: tuple[str, ...] = ("board",)
    options: Mapping[str, str] = field(default_factory=dict)


TYPED = {
    "accept": _Typed("rules", (), {"rule": "--accept"}),
    "ask": _Typed("range", ("board",), {"asked": "--add", "keep": "--keep"}),
    "bench": _Typed("bench", ()),
    "check": _Typed("check", ()),
    "decide": _Typed(
        "weigh",
        ("board",),
        {"answer": "--decide", "why": "--why", "for_love": "--for-love", "price": "--price"},
    ),
    "import": _Typed("import", ()),
    "new": _Typed("new", ("folder",)),
    "range": _Typed("range", ("board",), {"known": "-q"}),
    "record": _Typed("record", ()),
    "sheet": _Typed("sheet", ("kind", "board", "quarter")),
    "tell": _Typed(
        "told", ("board",), {"hours": "--hours", "first": "--first", "last": "--last", "because": "--because"}
    ),
}
TO_FILL_IN = "…"


def line_of(action: Action, shop: Path | None = None) -> str:
    """An action as the line to paste; other answers that it offers stand in brackets behind it.

    shop: the folder of the workshop, where the line is to name it

    >>> line_of(Action("tell", "no 7", {"because": "asked later"}))
    "estimator told 'no 7' --because 'asked later'"
    >>> line_of(Action("decide", "-7", {"answer": ("yes", "no"), "why": ""}))
    "estimator weigh --decide yes --why '…' -- -7   (or no)"
    """
    typed = TYPED[action.verb]
    given: dict[str, Value] = {**({"board": action.board} if action.board else {}), **action.fields}
    places = [str(given[name] or name.upper()) for name in typed.places if name in given]
    options = list(_options(typed, {name: given[name] for name in given if name not in typed.places}))
    named = [] if shop is None else list(_typed("--shop", str(shop)))
    odd = any(word.startswith("-") for word in places)
    words = [*named, *options, "--", *places] if odd else [*places, *named, *options]
    other = [f"or {one}" for value in given.values() if isinstance(value, tuple) for one in value[1:]]
    behind = f"   ({', '.join(other)})" if other else ""
    return shlex.join(["estimator", typed.command, *words]) + behind


def _options(typed: _Typed, given: Mapping[str, Value]) -> Iterator[str]:
    """The options of the fields, each with its value."""
    for name, value in given.items():
        option = typed.options[name]
        if isinstance(value, Mapping):
            for one, much in value.items():
                yield from (option, f"{one}={much}")
        elif isinstance(value, bool):
            yield from [option] if value else []
        else:
            text = (value[0] if isinstance(value, tuple) else value) or TO_FILL_IN
            yield from _typed(option, text)


def _typed(option: str, text: str) -> list[str]:
    """An option and its value; in one word where the value looks like an option itself."""
    return [f"{option}={text}"] if text.startswith("-") else [option, text]


def plain_lines(parts: Iterable[Part], shop: Path | None = None) -> list[str]:
    """The parts as lines of plain text, with a blank line before each heading.

    >>> plain_lines(["One.", Heading("Two"), Table(("", "h"), (("a", "1"), ("bcd", "12")), right=(1,))])
    ['One.', '', 'Two', '      h', 'a     1', 'bcd  12']
    """
    lines: list[str] = []
    for part in parts:
        if isinstance(part, Heading):
            lines += ([""] if lines else []) + [part.text]
        elif isinstance(part, Table):
            lines += aligned(part)
        else:
            lines.append(line_of(part, shop) if isinstance(part, Action) else part)
    return lines


def saved(*files: Path | None) -> list[Part]:
    """That files were saved, and where; nothing of those that were not asked for."""
    return [Heading(f"Saved as {file}.") for file in files if file is not None]


def print_parts(parts: Iterable[Part], shop: Path | None = None) -> None:
    """Write the parts to stdout, with a blank line before each heading.

    shop: the folder that lines to paste are to name

    A terminal gets rich's setting, no wider than `WIDEST`; a file or a pipe gets plain unbroken lines.
    """
    parts = tuple(parts)
    hush()
    with printed():
        if sys.stdout.isatty():
            from rich.console import Console

            console = Console(highlight=False, markup=False, emoji=False)
            on_terminal(parts, console, shop)
        else:
            click.echo("\n".join(plain_lines(parts, shop)))


@contextmanager
def printed() -> Iterator[None]:
    """Says in words that an answer cannot be printed, and that it changes nothing of what was kept before.

    A reader that has gone, as head has, is left to click, which ends quietly. Raises UnprintedError.
    """
    if sys.stdout is None:  # closed before we were started
        raise UnprintedError("there is nowhere to print to")
    try:
        yield
        sys.stdout.flush()
    except OSError as error:
        if error.errno == errno.EPIPE:
            raise
        with suppress(
            OSError, ValueError
        ):  # what is still waiting would be tried, and fail, once more at the end
            os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        raise UnprintedError(error.strerror or str(error)) from error


class UnprintedError(EstimatorError):
    """An answer that cannot be printed; why: as the system says it."""

    def __init__(self, why: str) -> None:
        super().__init__(
            f"The answer cannot be printed: {why.casefold()}.",
            "What was to be kept or saved is kept: don't ask for that twice. Make room first.",
        )


def on_terminal(parts: Iterable[Part], console: Console, shop: Path | None = None) -> None:
    """Write the parts to a rich console, broken at words to its width; later lines of a sentence are set in."""
    width = min(console.width, WIDEST)
    first = True
    for part in parts:
        if isinstance(part, Heading):
            if not first:
                console.print()
            console.print(part.text, style="bold", width=width)
        elif isinstance(part, Table):
            console.print(_rich(part, width), width=width)
        elif isinstance(part, Action):
            console.print(line_of(part, shop), soft_wrap=True)
        else:
            console.print(textwrap.fill(part, width, subsequent_indent="  "), width=width)
        first = False


def _rich(table: Table, width: int) -> RichTable:
    """The same table for rich: no boxes, figures kept whole; where it is too wide heads break, then words."""
    from rich.table import Table as RichTable

    cells = [max((len(row[c]) for row in table.rows), default=0) for c in range(len(table.head))]
    wide = sum(map(max, cells, map(len, table.head))) + 2 * (len(cells) - 1) > width
    rich = RichTable(
        box=None, show_header=any(table.head), header_style="bold", padding=(0, 2, 0, 0), pad_edge=False
    )
    for c, name in enumerate(table.head):
        figures = c in table.right
        rich.add_column(
            name,
            justify="right" if figures else "left",
            min_width=cells[c] if figures else None,
            max_width=max(cells[c], *map(len, name.split())) if wide and name else None,
            style="italic" if figures and table.guessed else "",
        )
    for row in ruled(table):
        rich.add_row(*row)
    return rich

"""The manuals: `settings`, and what `check --help` says of the columns of a log."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import asdict
from typing import TYPE_CHECKING

import click

from estimator.cli.options import SharedOptions, print_json, shared
from estimator.cli.printing import print_parts
from estimator.said.parts import Heading, Part, Table
from estimator.words.errors import UsageError

if TYPE_CHECKING:
    from estimator.words.settings.manual import SettingsSection


class ColumnsCommand(click.Command):
    """A command whose help ends with every column of the log and what stands in it."""

    def format_epilog(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """Write the columns, sheet by sheet, as the options are written."""
        from estimator.log.columns import columns_manual

        super().format_epilog(ctx, formatter)
        for sheet, columns in columns_manual().items():
            with formatter.section(f"Columns of {sheet}"):
                formatter.write_dl([(column.name, column.says) for column in columns])


@click.command("settings", short_help="Explain every setting in workshop.toml.")
@click.argument("section", required=False)
@shared
def settings_command(given: SharedOptions, section: str | None) -> None:
    """Explain every setting that can stand in workshop.toml: what it says, what may stand there, what holds without it.

    SECTION prints one section alone: workshop, bench, drivers, modifiers, kinds, stages or rules. Everything has a
    default. A workshop with one stage and two drivers is a workshop.
    """
    from estimator.words.settings.manual import settings_manual

    manual = settings_manual()
    shown = manual if section is None else [one for one in manual if one.name == _plain(section)]
    if not shown:
        names = [one.name for one in manual]
        raise UsageError(
            f'There is no section "{section}".', f"Sections are {', '.join(names[:-1])} and {names[-1]}."
        )
    if given.as_json:
        print_json({"sections": [{"section": one.name, **asdict(one)} for one in shown]})
    else:
        print_parts(part for one in shown for part in section_parts(one))


def section_parts(section: SettingsSection) -> Iterable[Part]:
    """A section as it is printed: its heading, what it is, and its keys."""
    yield Heading(section.heading)
    yield section.says
    yield Table(("key", "what it says"), tuple((one.key, one.sentence) for one in section.keys))


def _plain(section: str) -> str:
    """A section's name, also where it is written as in the file.

    >>> _plain("[stages.NAME]"), _plain("Bench")
    ('stages', 'bench')
    """
    return section.strip("[] ").partition(".")[0].casefold()

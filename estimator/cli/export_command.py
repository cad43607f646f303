"""`export`: all sheets of the log as a spreadsheet, or as csv."""

from __future__ import annotations

from pathlib import Path

import click

from estimator.cli.options import SharedOptions, print_json, shared
from estimator.cli.printing import print_parts


@click.command("export", short_help="Write the log out as a spreadsheet, or as csv.")
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--with-owners", is_flag=True, help="With the owners, and how to reach them.")
@shared
def export_command(given: SharedOptions, *, file: Path, with_owners: bool) -> None:
    """Write all sheets of the log into FILE: .xlsx, .ods, or a new folder for csv files.

    The log stays as it is. Rows of a book carry a mark in their last column, book_row: leave it there, and a row that
    you correct comes back as that row. What is there already is never overwritten. Of a damaged book all rows
    are written that can still be read.
    """
    from estimator.log.exchange.export import export_log
    from estimator.log.kept_in import readable_of
    from estimator.said.exchange import export_parts

    store, damaged = readable_of(given.folder)
    done = export_log(store, file, with_owners=with_owners)
    if damaged:
        click.echo(damaged, err=True)
    if given.as_json:
        print_json(done.as_dict())
        return
    print_parts(export_parts(done))

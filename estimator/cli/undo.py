"""`undo`: the last thing that was written into the book taken back."""

from __future__ import annotations

import click

from estimator.cli.options import SharedOptions, print_json, shared
from estimator.cli.printing import print_parts
from estimator.words.errors import UsageError
from estimator.words.measures import quoted, whole_number

LISTED = 20


@click.command(short_help="Take back what was written last, or list it.")
@click.argument("act", required=False, metavar="[NUMBER]")
@click.option("--list", "listed", is_flag=True, help="What was written: the last twenty, newest first.")
@shared
def undo(given: SharedOptions, act: str | None, *, listed: bool) -> None:
    """Take back what was written last into the book, or what NUMBER of the list names.

    Nothing is lost: what is taken back stays in the book's history, and so does that it was. It is refused where what
    was written has changed since. A log in csv files or a spreadsheet has no history.
    """
    if act is not None and whole_number(act) is None:
        raise UsageError(
            f"{quoted(act)} is no number of the list.", "Write one of those that estimator undo --list shows."
        )
    shop = given.open_shop()
    if listed:
        from estimator.said.history import history_parts

        acts = shop.acts(LISTED)
        if given.as_json:
            print_json({"acts": [one.as_dict() for one in acts]})
        else:
            print_parts(history_parts(acts))
        return
    from estimator.said.history import undone_parts

    done = shop.undo(int(act) if act else None)
    if given.as_json:
        print_json({"undone": done.as_dict()})
    else:
        print_parts(undone_parts(done))

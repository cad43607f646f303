"""`counter`: the page on which all of it is used."""

from __future__ import annotations

import datetime as dt

import click

from estimator.cli.options import SharedOptions, reads, shared
from estimator.words.errors import UnreadableError
from estimator.words.measures import quoted, whole_number


def read_port(text: str) -> int:
    """The number of a port that anyone may open.

    Raises UnreadableError for any other text.

    >>> read_port("8737")
    8737
    """
    port = whole_number(text)
    if port is None or not 1024 <= port <= 65535:
        raise UnreadableError(f"{quoted(text)} is no port.", "Write a number from 1024 to 65535.")
    return port


@click.command(short_help="Open the page on which all of it is used.")
@click.option(
    "--port",
    callback=reads(read_port),
    metavar="NUMBER",
    help="Where the page is found on this machine. Left out: always the same.",
)
@click.option("--phone", is_flag=True, help="Let phones of your home network in, once each was added.")
@click.option("--no-window", is_flag=True, help="Open no browser; only say the address.")
@shared
def counter(given: SharedOptions, *, port: int | None, phone: bool, no_window: bool) -> None:
    """Open the page on which all of it is used.

    It is served to this machine alone, and stays open until Ctrl-C. Called again, it opens the page that runs already.
    In an empty folder it begins a workshop.

    With --phone it is served to your home network too, to phones that were added at this machine. Nothing is encrypted
    on the way: use it only in a network that you trust.
    """
    from estimator.counter.serving import PORT, serve
    from estimator.demo.texts import is_demo

    def clock() -> dt.date | None:
        return given.today or (None if is_demo(given.folder) else dt.date.today())

    serve(
        given.folder,
        clock,
        seed=given.seed,
        port=port or PORT,
        phone=phone,
        window=not no_window,
        say=click.echo,
    )

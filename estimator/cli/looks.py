"""`looks`: what the eye misses."""

from __future__ import annotations

import click

from estimator.cli.options import SharedOptions, print_json, shared, tell_problems
from estimator.cli.printing import print_parts


@click.command(short_help="Say what your eye misses.")
@shared
def looks(given: SharedOptions) -> None:
    """Say how boards turned out that looked damp, brittle or sound: what your eye misses.

    Of each thing that is judged before work and known after, as the settings say by known, boards that looked alike
    are counted by how they turned out, with what luck allows. At most two things are named to look at differently,
    and only where luck can't explain it. What the owner asked for since is no miss of the eye.

    Write under judged_with what a board was judged with (photos, in hand, scales or opened), and it is said by that
    too.
    """
    from estimator.said.looks import looks_parts

    shop = given.open_shop()
    found = shop.looks()
    tell_problems(len(shop.problems))
    if given.as_json:
        print_json(found.as_dict())
        return
    print_parts(looks_parts(found, shop.settings))

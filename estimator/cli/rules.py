"""`rules`: what past boards say of each rule of thumb."""

from __future__ import annotations

import datetime as dt
from pathlib import Path
from typing import TYPE_CHECKING

import click

from estimator.cli.options import SharedOptions, print_json, shared, tell_problems
from estimator.cli.printing import print_parts, saved
from estimator.words.errors import NoAnswerError, UsageError
from estimator.words.settings.values import nearest

if TYPE_CHECKING:
    from estimator.record.rules.verdicts import Verdict, Verdicts


@click.command(short_help="Say which rules of thumb hold.")
@click.option(
    "--accept",
    metavar="RULE",
    help="Keep what the log suggests beside this rule, in workshop.toml. Your own words stay as they are.",
)
@click.option(
    "--figure",
    type=click.Path(path_type=Path, dir_okay=False),
    metavar="FILE",
    help="Save your rules against your log, each on a tape, as .png or .svg.",
)
@shared
def rules(given: SharedOptions, *, accept: str | None, figure: Path | None) -> None:
    """Say which of your rules of thumb hold, which are wrong, and what your log says instead.

    A rule is called wrong only when luck can't explain it. Lent rules stand apart.

    Verdicts: holds, too low, too high, too sure of itself, not enough boards. However often you look, a right rule of
    yours is called wrong in fewer than 1 workshop in 10. Beside a wrong one stands what your log says at the same
    odds; --accept keeps that beside your words, and ranges go on from your words and your log.
    """
    shop = given.open_shop()
    verdicts = shop.rules()
    tell_problems(shop.fit().problems)
    kept = None
    if accept is not None:
        kept = accept_rule(given.folder, verdicts, accept, given.today or shop.today or dt.date.today())
    if figure is not None:
        from estimator.sheets.pictures import save_rule_picture

        save_rule_picture(figure, verdicts)
    if given.as_json:
        print_json({**verdicts.as_dict(), "accepted": None if kept is None else kept.name})
        return
    from estimator.said.rules import accepted_parts, rule_parts

    if kept is not None:
        print_parts(accepted_parts(kept))
        return
    print_parts([*rule_parts(verdicts), *saved(figure)])


def accept_rule(folder: Path, verdicts: Verdicts, name: str, on: dt.date) -> Verdict:
    """The rule beside which the range that its cases suggest is now kept.

    Raises UsageError for a name that no rule has, NoAnswerError where nothing is suggested.
    """
    from estimator.words.rules import Accepted
    from estimator.words.settings.edit import accept

    by_name = {verdict.name: verdict for verdict in verdicts.rules}
    if name not in by_name:
        raise UsageError(f'No rule of thumb is called "{name}".', nearest(name, by_name))
    verdict = by_name[name]
    if verdict.suggested is None:
        raise NoAnswerError(
            f'Nothing is suggested beside "{name}": {verdict.of} past cases tell of it.',
            "Write down more boards, or change the rule's own words.",
        )
    low, high = verdict.suggested
    accept(folder, name, Accepted(low, high, on, verdict.of))
    return verdict

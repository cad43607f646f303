"""What was said to owners: kept as said. A telling is one row more, and no row is ever changed."""

from __future__ import annotations

from collections.abc import Iterable

from estimator.words.records import Told

ASKED_LATER = "asked later"


def first_tellings(told: Iterable[Told]) -> dict[str, Told]:
    """By board the telling that it is judged on: the first; after a change that the owner asked for, the one then.

    Later tellings for any other reason stand beside it and never take its place. What the telling leaves empty was
    not told, and is not judged.

    told: in any order; of one day the earlier row was told first

    >>> import datetime as dt
    >>> may, june = dt.date(2026, 5, 4), dt.date(2026, 6, 1)
    >>> said = [Told("a", may, 20, 30), Told("a", june, 40, 60, because="hidden work")]
    >>> first_tellings(said)["a"].hours_high
    30
    >>> first_tellings([*said, Told("a", june, 50, 70, because="asked later")])["a"].hours_high
    70
    """
    first: dict[str, Told] = {}
    for telling in sorted(told, key=lambda telling: telling.date):
        if telling.board not in first or telling.because == ASKED_LATER:
            first[telling.board] = telling
    return first

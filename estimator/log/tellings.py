"""On which telling a board is judged: the first, with what its owner has asked for since."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Iterable
from dataclasses import replace

from estimator.words.dates import A_DAY
from estimator.words.records import FOR_ASKED_LATER, QUOTE, Board, Told


def any_telling(_: Told) -> bool:
    """True: a telling of whatever was said."""
    return True


def of_dates(telling: Told) -> bool:
    """Whether a day by which the board is ready was told."""
    return telling.last is not None


def of_hours(telling: Told) -> bool:
    """Whether hours were told."""
    return telling.hours_low is not None and telling.hours_high is not None


def with_rows(told: Iterable[Told], boards: Iterable[Board]) -> tuple[Told, ...]:
    """Tellings in order of their days, with what boards' own rows say was told first, which no telling keeps.

    A day that stands in the row alone was told on the day of the quote, else on that on which the board was taken on.
    It comes first where nobody kept it as told: the first telling with a day is of a later day, or says that it is not
    the first. Of a row without either day nothing is known but that, and what was kept as a quote comes first.

    >>> import datetime as dt
    >>> may, june, july = (dt.date(2026, month, 1) for month in (5, 6, 7))
    >>> late = Told("a", june, last=dt.date(2026, 9, 1), because="late")
    >>> [one.last.month for one in with_rows([late], [Board("a", quoted=may, promised_last=july)])]
    [7, 9]
    """
    kept = sorted(told, key=lambda telling: telling.date)
    dated = {one.board: one for one in reversed(kept) if of_dates(one)}
    rows = []
    for board in boards:
        last, first = board.promised_last, dated.get(board.board)
        if last is None or (first is not None and first.last == last):
            continue
        day = board.quoted or board.accepted
        if first is None or first.because not in {"", QUOTE} or (day is not None and day < first.date):
            told_on = min([one for one in (day, first and first.date) if one] or [dt.date.min])
            rows.append(
                Told(
                    board.board,
                    told_on,
                    first=board.promised_first,
                    last=last,
                    because=QUOTE,
                    where=board.where,
                )
            )
    return tuple(sorted([*rows, *kept], key=lambda telling: telling.date))


def first_tellings(told: Iterable[Told], counts: Callable[[Told], bool] = any_telling) -> dict[str, Told]:
    """By board the telling that it is judged on: the first, with the hours and days that its owner's wishes add.

    Later tellings stand beside it, whatever their reason, and never take its place: of a change that the owner asked
    for just so many hours and days are excused as that change adds by itself, worked out when it was told. Each such
    telling holds what all wishes up to then add, so that the most of them counts; where it was not worked out nothing
    is excused. What the first telling leaves empty was not told, and is not judged.

    told: in any order; of one day the earlier row was told first; counts: whether a telling can be the first

    >>> import datetime as dt
    >>> may, june = dt.date(2026, 5, 4), dt.date(2026, 6, 1)
    >>> said = [Told("a", may, 20, 30), Told("a", june, 40, 60, because="hidden work")]
    >>> first_tellings(said)["a"].hours_high
    30
    >>> first_tellings([*said, Told("a", june, 50, 70, because="asked later", adds_hours=4)])["a"].hours_high
    34
    """
    first: dict[str, Told] = {}
    hours: dict[str, float] = {}
    days: dict[str, float] = {}
    for telling in sorted(told, key=lambda telling: telling.date):
        name = telling.board
        if name in first and telling.because == FOR_ASKED_LATER:
            hours[name] = max(hours.get(name, 0.0), telling.adds_hours or 0.0)
            days[name] = max(days.get(name, 0.0), telling.adds_days or 0.0)
        elif name not in first and counts(telling):
            first[name] = telling
    return {name: excused(one, hours.get(name, 0.0), days.get(name, 0.0)) for name, one in first.items()}


def excused(telling: Told, hours: float, days: float) -> Told:
    """A telling with so many hours and days more."""
    if not (hours or days):
        return telling
    low, high = (None if h is None else h + hours for h in (telling.hours_low, telling.hours_high))
    first, last = (None if d is None else d + round(days) * A_DAY for d in (telling.first, telling.last))
    return replace(telling, hours_low=low, hours_high=high, first=first, last=last)


def days_asked_for(told: Iterable[Told]) -> dict[str, int]:
    """By board the days that its owner's wishes add, where that was worked out."""
    days: dict[str, int] = {}
    for telling in told:
        if telling.because == FOR_ASKED_LATER and telling.adds_days is not None:
            days[telling.board] = max(days.get(telling.board, 0), round(telling.adds_days))
    return days

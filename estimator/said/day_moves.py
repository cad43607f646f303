"""Whose dates move by days away, and by a board that is put first, as a restorer reads it."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Sequence

from estimator.decide.weigh.promise_impact import Moved
from estimator.said.added import moves_said
from estimator.words.dates import say_day, say_exactly
from estimator.words.odds import say_chance
from estimator.words.phrases import capital
from estimator.words.settings.schema import Away

NOBODY = "Nobody's date moves by a day."


def absence_words(away: Away, moved: Iterable[Moved], today: dt.date) -> Iterable[str]:
    """Till when nobody is in, and whose dates that moves.

    >>> day = dt.date(2026, 6, 9)
    >>> list(absence_words(Away(day, day), (), day))
    ['Not in today.', "Nobody's date moves by a day."]
    """
    yield "Not in today." if away.last == today else f"Not in till {say_day(away.last)}."
    yield from moves_said(moved, NOBODY)


def first_words(names: Sequence[str], boards: Iterable[Moved], today: dt.date) -> Iterable[str]:
    """What boards that are put first gain by it, and what it costs the others.

    names: of those that are put first
    """
    gain = [one for one in boards if one.name in names]
    for one in gain:
        when = f"{capital(one.name)} goes first: ready by {say_exactly(max(one.after.tell, today), today)}"
        if one.kept_before is not None and one.kept_after is not None:
            then, was = say_chance(one.kept_after), say_chance(one.kept_before)
            when += f"; in time {then} ({'as' if then == was else was} before)"
        yield f"{when}."
    yield from moves_said((one for one in boards if one.name not in names), "It costs the others no day.")

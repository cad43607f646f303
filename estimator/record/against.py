"""Who has been nearer: what would have been said, or another way of saying hours."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from scipy.special import stdtr, stdtrit

from estimator.model.saved_fit import Array
from estimator.record.replay import GRID
from estimator.record.scores import crps_of_quantiles, interval_score
from estimator.record.then import Then, count_of
from estimator.record.track_record import CORRECTED, ODDS, OWN_GUESS, RIVALS, Rival

SHOWN = 0.8  # odds of the range that is scored


def rivals_of(over: Sequence[Then], *, guesses: bool) -> tuple[Rival, ...]:
    """Every rival that had enough to go by on two boards or more; guesses: whether those are the restorer's own."""
    found = []
    for name in RIVALS:
        if name in {OWN_GUESS, CORRECTED} and not guesses:
            continue
        if name == OWN_GUESS:
            some = [t for t in over if t.board.guess is not None and not t.board.from_memory]
            theirs = np.array([np.full(len(GRID), t.board.guess) for t in some])
        else:
            some = [t for t in over if name in t.rivals]
            theirs = np.array([t.rivals[name] for t in some])
        if len(some) > 1:
            found.append(_rival(name, some, theirs))
    return tuple(found)


def _rival(name: str, some: Sequence[Then], theirs: Array) -> Rival:
    """One rival against what would have been shown, on the boards that both can be judged on."""
    took, shown = np.array([t.hours for t in some], dtype=float), np.array([t.shown for t in some])
    crps, ours = crps_of_quantiles(theirs, GRID, took), crps_of_quantiles(shown, GRID, took)
    gain = crps - ours
    n, mean = len(some), float(gain.mean())
    error = float(gain.std(ddof=1)) / np.sqrt(n)
    room = error * float(stdtrit(n - 1, 0.9))
    ranged = name != OWN_GUESS
    return Rival(
        name=name,
        of=n,
        nearer=int((gain > 0).sum()),
        crps=float(crps.mean()),
        ours=float(ours.mean()),
        gain=mean,
        gain_low=mean - room,
        gain_high=mean + room,
        chance=float(stdtr(n - 1, mean / error)) if error > 0 else float(mean > 0),
        interval_score=float(interval_scores(theirs, took).mean()) if ranged else None,
        our_interval_score=float(interval_scores(shown, took).mean()),
        held=tuple(
            count_of((t.side(odds, q) for t, q in zip(some, theirs, strict=True)), odds) for odds in ODDS
        )
        if ranged
        else (),
    )


def interval_scores(points: Array, took: Array) -> Array:
    """Interval scores of the ranges at 8 in 10, (n,)."""
    return interval_score(points[:, GRID.index(0.1)], points[:, GRID.index(0.9)], took, SHOWN)

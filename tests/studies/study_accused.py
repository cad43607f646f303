"""Right rules of thumb accused: in how many shops, where misses lie on one side or cases share their luck?

Run from the top of the project: python tests/studies/study_accused.py [SHOPS [SEED]]
Shops of twelve rules at 8 in 10 that are right, each with 120 cases in 15 quarters or in 4 (30 cases that share luck),
looked at after every quarter. Three ways: as the program judges; the same without what shared luck takes off; and the
mean of three bets, on too few inside and too many on each side, as first designed. Then how often a wrong rule is found
that holds half of its cases, the rest on both sides or above. Prints the shares and keeps them in results/accused.md.
"""

from __future__ import annotations

import math
import sys
from collections.abc import Callable, Sequence
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from scipy.stats import norm

sys.path[:0] = [str(Path(__file__).resolve().parents[1]), str(Path(__file__).resolve().parents[2])]

from studies.results import keeping

from estimator.record.rules.evidence import (
    WRONGLY_ACCUSED,
    evidence_on_range,
    find_on_range,
    log_bet_above,
    worth_of,
)
from estimator.record.rules.verdicts import HOLDS, NOT_ENOUGH

RULES, CASES, ODDS = 12, 120, 0.8
ALIKE = (0.0, 0.1, 0.2, 0.4)
BLOCKS = (15, 4)
Counts = Sequence[int]  # inside, below, above


def as_judged(counts: Counts, worth: float) -> bool:
    """As the program does."""
    return find_on_range(*counts, ODDS, RULES, worth).verdict not in {HOLDS, NOT_ENOUGH}


def untempered(counts: Counts, worth: float) -> bool:
    """As if no two cases shared their luck."""
    return evidence_on_range(counts[0], sum(counts), ODDS) >= RULES / WRONGLY_ACCUSED


def three_bets(counts: Counts, worth: float) -> bool:
    """The mean of bets on too few inside and on too many on either side."""
    cases, side = sum(counts), (1 - ODDS) / 2
    bets = [math.log(evidence_on_range(counts[0], cases, ODDS))]
    bets += [log_bet_above(counts[at], cases, side) for at in (1, 2)]
    top = max(bets)
    return top + math.log(sum(math.exp(bet - top) for bet in bets) / 3) >= math.log(RULES / WRONGLY_ACCUSED)


WAYS: dict[str, Callable[[Counts, float], bool]] = {
    "as judged": as_judged,
    "luck not shared": untempered,
    "three bets": three_bets,
}


def cases(
    rng: np.random.Generator, blocks: int, alike: float, inside: float, share: float
) -> NDArray[np.int64]:
    """Counts inside, below and above after every block, (rules, blocks, 3); share: of the misses that lie above."""
    each = CASES // blocks
    luck = math.sqrt(alike) * rng.standard_normal((RULES, blocks, 1))
    luck = luck + math.sqrt(1 - alike) * rng.standard_normal((RULES, blocks, each))
    above, below = luck > norm.isf((1 - inside) * share), luck < norm.ppf((1 - inside) * (1 - share))
    return np.stack([(side.sum(axis=2)).cumsum(axis=1) for side in (~(above | below), below, above)], axis=2)


def accused(
    rng: np.random.Generator, shops: int, blocks: int, alike: float, share: float
) -> dict[str, float]:
    """By way the part of shops in which any right rule is ever accused."""
    ever = dict.fromkeys(WAYS, 0)
    worth = worth_of([CASES // blocks])
    for _ in range(shops):
        seen = {tuple(one) for one in cases(rng, blocks, alike, ODDS, share).reshape(-1, 3).tolist()}
        for name, way in WAYS.items():
            ever[name] += any(way(counts, worth) for counts in seen)
    return {name: many / shops for name, many in ever.items()}


def main(shops: int = 400, seed: int = 1) -> None:
    """Prints the shares of shops, then of wrong rules found."""
    print(f"{shops} shops of {RULES} right rules, {CASES} cases each: any ever accused (± .015 at .1)")
    for blocks in BLOCKS:
        for alike in ALIKE:
            for share, where in ((0.5, "misses on both sides"), (1.0, "misses all above")):
                rng = np.random.default_rng([seed, blocks, round(100 * alike), round(share)])
                found = accused(rng, shops, blocks, alike, share)
                print(
                    f"{CASES // blocks:2d} cases a quarter alike by {alike:.1f}, {where:20s}  "
                    + "  ".join(f"{name} {part:.3f}" for name, part in found.items())
                )
    print(
        "a rule at 8 in 10 that holds half of its cases, found by 24, 48, 72 and 120 cases, 8 a quarter alike by .1"
    )
    for share, where in ((0.5, "misses on both sides"), (1.0, "misses all above")):
        rng = np.random.default_rng([seed, 2, round(share)])
        made = np.concatenate([cases(rng, 15, 0.1, 0.5, share) for _ in range(max(shops // RULES, 1))])
        shares = [
            np.mean([any(as_judged(c, worth_of([8])) for c in one[:n].tolist()) for one in made])
            for n in (3, 6, 9, 15)
        ]
        print(f"{where:20s}  " + "  ".join(f"{part:.2f}" for part in shares))


if __name__ == "__main__":
    given = [int(word) for word in sys.argv[1:]]
    with keeping("accused", str(given[1] if len(given) > 1 else 1)):
        main(*given)

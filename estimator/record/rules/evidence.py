"""How strongly cases speak against a rule of thumb, and what to call it.

The evidence is a bet against the rule: each case multiplies a stake by the chance that some worse rule gives it,
over the chance that the rule itself gives it, averaged over all worse rules alike. Where the rule is right the
stake does not grow on average, so that the chance of its ever reaching 1/a is at most a, however often one looks.
Cases of one quarter share some of its luck, and tell less together than apart: the log of the stake counts for as many
cases as they are worth. The bet is on too few inside, for a range says nothing of how its misses lie.

Source: Ville (1939), Étude critique de la notion de collectif; Shafer (2021), J. R. Stat. Soc. A 184:407-431.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from statistics import NormalDist

from scipy.special import betaincc, betaln

from estimator.record.rules.verdicts import HOLDS, LOOKS, NOT_ENOUGH, TOO_HIGH, TOO_LOW, TOO_SURE

WRONGLY_ACCUSED = 0.10  # chance, at most, that any of the right rules is ever accused
ALIKE = 0.1  # correlation of misses within a quarter that is allowed for [invented]
SUSPECT = 10.0  # evidence from which a rule looks wrong without being accused
FEWEST = 8  # cases below which no rule is said to hold
SLACK = 0.2  # a rule holds where its share inside is this much below its odds at most
SURE_ENOUGH, ONE_SIDED = 0.8, 0.95
MOST_CASES = 400  # beyond which nobody waits for more
LARGEST = 690.0  # log of the largest evidence that is told: more is no number in every program


def log_bet_above(count: int, cases: int, chance: float) -> float:
    """Log evidence against "at most this chance of each case", when so many of the cases came true.

    The bet is spread evenly over all chances above.

    >>> round(math.exp(log_bet_above(0, 0, 0.3)), 12)
    1.0
    >>> round(math.exp(log_bet_above(1, 1, 0.5)), 12)  # the mean of t / ½ for t from ½ to 1
    1.5
    """
    a, b = count + 1, cases - count + 1
    edge = count * math.log(chance) + (cases - count) * math.log1p(-chance)
    tail = float(betaincc(a, b, chance))
    if tail > 0:
        return float(betaln(a, b)) + math.log(tail) - math.log1p(-chance) - edge
    # so far from true that the tail is no number: it falls off at the edge as an exponential does
    fall = (cases - count) / (1 - chance) - count / chance
    return -math.log(fall * (1 - chance))


def log_bet_below(count: int, cases: int, chance: float) -> float:
    """Log evidence against "at least this chance of each case", when so many of the cases came true."""
    return log_bet_above(cases - count, cases, 1 - chance)


def worth_of(quarters: Iterable[int]) -> float:
    """As how many cases out of each one the cases count, by quarter so many: 1 where no two share a quarter.

    The mean of m cases that correlate by r varies as that of m / (1 + (m - 1) r) (Kish 1965, Survey Sampling).

    >>> worth_of([1, 1, 1]), round(worth_of([11]), 3)
    (1.0, 0.5)
    """
    sizes = [size for size in quarters if size]
    return math.fsum(m / (1 + (m - 1) * ALIKE) for m in sizes) / sum(sizes) if sizes else 1.0


def evidence_on_range(inside: int, cases: int, odds: float, worth: float = 1.0) -> float:
    """Evidence against "at least the odds inside", whichever side the misses lie on.

    worth: of how many cases each tells

    >>> round(evidence_on_range(0, 0, 0.8), 12)
    1.0
    >>> evidence_on_range(2, 17, 0.8) > 1e6 > 1 > evidence_on_range(14, 17, 0.8)
    True
    """
    return _number(worth * log_bet_below(inside, cases, odds))


def one_sided(below: int, above: int, cases: int, odds: float, worth: float = 1.0) -> float:
    """Evidence against "at most half of the misses that the odds allow, on each side": the larger of two bets."""
    side = (1 - odds) / 2
    return _number(worth * max(log_bet_above(count, cases, side) for count in (below, above)))


def evidence_on_share(happened: int, cases: int, share: float, worth: float = 1.0) -> float:
    """Evidence against a chance of this size: the mean of a bet on less and a bet on more."""
    bets = log_bet_below(happened, cases, share), log_bet_above(happened, cases, share)
    top = max(bets)
    return _number(worth * (top + math.log(sum(math.exp(bet - top) for bet in bets) / len(bets))))


def _number(log: float) -> float:
    """A number given by its log, no larger than every program can read it."""
    return math.exp(min(log, LARGEST))


@dataclass(frozen=True, slots=True)
class Finding:
    """What to call a rule. `looks` is low, high or narrow, or empty; `would_do`: cases that would settle it."""

    verdict: str
    looks: str
    evidence: float
    would_do: int | None = None


def conflict(centre: float, sd: float, log_says: float, unsure: float) -> float:
    """How seldom what a rule says and what the log says without it lie as far apart as they do, 0 to 1.

    centre, sd: of the rule; log_says, unsure: mean and sd by the log alone; all on the log scale

    Source: G. E. P. Box (1980), J. R. Stat. Soc. A 143:383-430; Evans & Moshonov (2006), Bayesian Anal. 1:893-914.

    >>> round(conflict(0.0, 1.0, 1.96, 0.0), 3)
    0.05
    """
    return 2 * NormalDist().cdf(-abs(centre - log_says) / math.hypot(sd, unsure))


def find_on_range(
    inside: int, below: int, above: int, odds: float, rules: int, worth: float = 1.0
) -> Finding:
    """What to call a rule with a range, judged together with so many rules in all.

    worth: of how many cases each tells
    A rule that holds while its misses lie on one side is not wrong: it looks low, or high.

    >>> find_on_range(1, 0, 25, 0.9, 54).verdict, find_on_range(31, 6, 8, 0.8, 54).verdict
    ('too low', 'holds')
    >>> find_on_range(3, 1, 1, 0.8, 54).would_do
    12
    """
    cases = inside + below + above
    evidence = evidence_on_range(inside, cases, odds, worth)
    more_above = float(betaincc(1 + above, 1 + below, 0.5))  # of the two sides, uniform beforehand
    way = TOO_LOW if more_above >= ONE_SIDED else TOO_HIGH if more_above <= 1 - ONE_SIDED else TOO_SURE
    if evidence >= rules / WRONGLY_ACCUSED:
        return Finding(way, "", evidence)
    suspect = max(evidence, one_sided(below, above, cases, odds, worth)) >= SUSPECT
    looks = LOOKS[way] if suspect else ""
    if _range_holds(inside, cases, odds):
        return Finding(HOLDS, looks, evidence)
    enough = (
        n for n in range(cases + 1, MOST_CASES) if _range_holds(inside + round(odds * (n - cases)), n, odds)
    )
    return Finding(NOT_ENOUGH, looks, evidence, next(enough, None))


def _range_holds(inside: int, cases: int, odds: float) -> bool:
    """Whether enough cases lie inside to say that the rule holds."""
    if cases < FEWEST:
        return False
    return odds <= SLACK or float(betaincc(1 + inside, 1 + cases - inside, odds - SLACK)) >= SURE_ENOUGH


def find_on_share(happened: int, cases: int, share: float, rules: int, worth: float = 1.0) -> Finding:
    """What to call a rule that says how often something happens; worth: of how many cases each tells.

    >>> find_on_share(14, 36, 0.4, 54).verdict, find_on_share(36, 40, 0.4, 54).verdict
    ('holds', 'too low')
    """
    evidence = evidence_on_share(happened, cases, share, worth)
    way = TOO_LOW if betaincc(1 + happened, 1 + cases - happened, share) >= 0.5 else TOO_HIGH
    if evidence >= rules / WRONGLY_ACCUSED:
        return Finding(way, "", evidence)
    looks = LOOKS[way] if evidence >= SUSPECT else ""
    if _share_holds(happened, cases, share):
        return Finding(HOLDS, looks, evidence)
    enough = (
        n
        for n in range(cases + 1, MOST_CASES)
        if _share_holds(happened + round(share * (n - cases)), n, share)
    )
    return Finding(NOT_ENOUGH, looks, evidence, next(enough, None))


def _share_holds(happened: int, cases: int, share: float) -> bool:
    """Whether the share is near enough to what the cases say."""
    if cases < FEWEST:
        return False
    a, b = 1 + happened, 1 + cases - happened
    least, most = max(share - SLACK, 0.0), min(share + SLACK, 1.0)
    return float(betaincc(a, b, least) - betaincc(a, b, most)) >= SURE_ENOUGH

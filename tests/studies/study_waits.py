"""Waits learned on invented workshops against the truth, and what two plainer readings of gaps would say.

Run from the top of the project: python tests/studies/study_waits.py [SHOPS]. Geometric means of whole days; each
reading as its mean over shops divided by the truth.
"""

import datetime as dt
import math
import sys
from collections import defaultdict
from pathlib import Path

import numpy as np

sys.path[:0] = [str(Path(__file__).resolve().parents[1]), str(Path(__file__).resolve().parents[2])]

from studies.results import keeping

from estimator.bench import waits as learned
from estimator.bench.wait_cases import WaitCase, WaitCases
from estimator.demo.simulation import drying_days
from estimator.demo.stories import stories
from estimator.demo.workshop import make_shop

SUMMER = dt.date(2026, 7, 1)
GLOSS = "gloss"


class GapsExact(WaitCases):
    """Every gap between stages is the wait."""

    _slack = staticmethod(bool)  # every day passes

    def _gap(self, board, stage):
        stood = super()._gap(board, stage)
        return stood and WaitCase(stood.board, stood.first, self.fewest(stood), stood.most, stood.until)

    def fewest(self, stood):
        return stood.most


class GapsAtMost(GapsExact):
    """Every gap between stages is the most that the wait can have been."""

    def fewest(self, _):
        return 1


def truth(seed):
    """Whole days that boards stood or would have stood, by what for."""
    days = defaultdict(list)
    for story in stories(seed):
        if not story.course:
            continue
        waits, wet = story.waits, int(story.job.found["wetness"])
        if waits.drying:
            days["drying", wet].append(drying_days(waits.drying, SUMMER))
        for cause, wait in (("artwork", waits.artwork), ("owner", waits.answer)):
            if wait:
                days[cause].append(max(1, round(wait)))
        if "gloss" in story.job.hours:
            days[GLOSS].append(math.ceil(waits.hardening))
    return days


def middle(law, rng):
    """The geometric mean of whole days by a law."""
    return np.exp(np.log(np.ceil(law.draw(rng, 4000))).mean())


def main(shops):
    """Prints the table."""
    true, said, cases = defaultdict(list), defaultdict(list), defaultdict(list)
    for seed in range(1, shops + 1):
        shop, rng = make_shop(seed), np.random.default_rng(seed)
        for what, days in truth(seed).items():
            true[what] += days
        waits = learned.Waits.of(shop.log, shop.settings, seed=seed)
        laws = {("drying", wet): waits.after("drying", wet) for wet in (1, 2, 3)}
        laws |= {cause: waits.cause(cause) for cause in ("artwork", "owner")} | {GLOSS: waits.after(GLOSS)}
        for what, law in laws.items():
            said[what].append(middle(law, rng))
            cases[what].append(law.cases)
        for reading in (GapsExact, GapsAtMost):
            learned.WaitCases = reading
            law = learned.Waits.of(shop.log, shop.settings, seed=seed).after(GLOSS)
            learned.WaitCases = WaitCases
            said[GLOSS, reading.__doc__].append(middle(law, rng))
            cases[GLOSS, reading.__doc__].append(law.cases)
    print(f"{shops} workshops{'':40} truth  said  ÷ truth (se)  from")
    for what, middles in said.items():
        of = what[0] if what[0] == GLOSS else what
        right = np.exp(np.log(true[of]).mean())
        ratio = np.array(middles) / right
        error = ratio.std() / len(ratio) ** 0.5
        print(
            f"{what!s:52} {right:5.1f} {np.mean(middles):5.1f}  {ratio.mean():.2f} ({error:.2f})"
            f"   {np.mean(cases[what]):5.1f}"
        )


if __name__ == "__main__":
    with keeping("waits", "1 up"):
        main(int(sys.argv[1]) if len(sys.argv) > 1 else 24)

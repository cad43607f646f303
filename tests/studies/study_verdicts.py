"""Verdicts on rules of thumb: does it accuse the wrong ones, and only them?

Run from the top of the project: python tests/studies/study_verdicts.py [SHOPS]

Invented workshops whose restorer says twelve rules, two of them wrong, are looked at every quarter for four years.
Prints in how many shops both wrong rules and no right one had been accused by the end, and when the wrong ones
were. Then how often a rule is found that holds half of its cases and misses the rest on one side.
"""

from __future__ import annotations

import datetime as dt
import sys
from collections import Counter
from pathlib import Path

import numpy as np
from joblib import Parallel, delayed

sys.path[:0] = [str(Path(__file__).resolve().parents[1]), str(Path(__file__).resolve().parents[2])]

from studies.results import keeping

from estimator.demo.recipe import LAST_DAY
from estimator.demo.workshop import make_shop
from estimator.model.fit import fit
from estimator.record.rules.cases import PastLog, UsualHours, cases_of
from estimator.record.rules.evidence import find_on_range
from estimator.record.rules.judging import Whole, find, without
from estimator.record.rules.verdicts import HOLDS, NOT_ENOUGH

WRONG = {"drying when properly wet", "sanding a long board"}
QUARTER = dt.timedelta(days=91)
LOOKS = [LAST_DAY - QUARTER * back for back in range(15, -1, -1)]


def first_accused(seed: int) -> dict[str, tuple[int, int]]:
    """By rule of the restorer's own that was ever accused: at which look, and by how many cases."""
    shop = make_shop(seed)
    learned = fit(shop.log, shop.settings, n_draws=64, seed=seed)
    past = PastLog(shop.log, shop.settings, learned)
    whole = Whole.of(shop.log, shop.settings, learned)
    accused = {}
    for rule in shop.settings.rules:
        if not rule.own:
            continue
        alone = without(whole, rule) if rule.form == "rate" else None  # others need no usual hours
        cases = cases_of(rule, past, UsualHours.of(learned, alone))
        for look, day in enumerate(LOOKS, 1):
            known = [case for case in cases if case.day is None or case.day <= day]
            if find(rule, known, len(shop.settings.rules)).verdict not in {HOLDS, NOT_ENOUGH}:
                accused[rule.name] = (look, len(known))
                break
    return accused


def found(cases: int, rules: int, rng: np.random.Generator, times: int = 4000) -> float:
    """How often a rule at 8 in 10 is accused that holds half of so many cases and misses the rest upwards."""
    inside = rng.binomial(cases, 0.5, times).tolist()
    calls = [find_on_range(i, 0, cases - i, 0.8, rules).verdict for i in inside]
    return sum(call not in {HOLDS, NOT_ENOUGH} for call in calls) / times


def main(shops: int = 20) -> None:
    """Prints how many were accused, rightly and wrongly."""
    every = Parallel(n_jobs=-1)(delayed(first_accused)(seed) for seed in range(1, shops + 1))
    right = sum(set(accused) == WRONG for accused in every)
    print(f"{shops} shops, {len(LOOKS)} looks each: the wrong rules accused and no right one in {right}")
    wrongly = Counter(name for accused in every for name in accused if name not in WRONG)
    print(f"right rules ever accused: {dict(wrongly) or 'none'}")
    for name in sorted(WRONG):
        when = [accused[name] for accused in every if name in accused]
        if when:
            looks, cases = (np.median(column) for column in zip(*when, strict=True))
            print(f"{name}: accused in {len(when)}, half of them by look {looks:g}, with {cases:g} cases")
    rng = np.random.default_rng(1)
    for rules in (12, 54):
        shares = ", ".join(f"{found(n, rules, rng):.2f} at {n}" for n in (17, 26, 30))
        print(f"half inside, the rest above, one of {rules} rules: found {shares} cases")


if __name__ == "__main__":
    given = [int(word) for word in sys.argv[1:]]
    with keeping("verdicts", f"1 to {given[0] if given else 20}"):
        main(*given)

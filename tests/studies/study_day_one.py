"""Day one: ranges from lent rules alone, for boards of invented shops that are not as lent rules say.

Run from the top of the project: python tests/studies/study_day_one.py [SHOPS [FIRST_SEED]]
Each shop's boards are the recipe's, as they turned out, but all their hours are times a factor of the shop's own, of
log-sd 0 to .5, taken at evenly likely places of its law, so that luck in factors adds nothing; and each shop is lent
other rules: the shipped ones with each rate off by a log-sd of .2 more. The shipped rules alone say little here, for
one list is off in one way. Prints how many ranges at 8 in 10 hold, both
sides, how far shops differ, and how wide ranges are (high over low), and keeps it in results/day_one.json.
"""

from __future__ import annotations

import json
import math
import sys
from dataclasses import replace
from pathlib import Path
from statistics import NormalDist

import numpy as np

sys.path[:0] = [str(Path(__file__).resolve().parents[1]), str(Path(__file__).resolve().parents[2])]

from studies.results import commit

from estimator.demo.workshop import make_shop
from estimator.forecast.answers import answer
from estimator.log.starter import starter_text
from estimator.model.fit import fit
from estimator.words.records import FINISHED, Log
from estimator.words.settings.reader import parse_settings
from estimator.words.settings.schema import Settings

KEPT = Path(__file__).parent / "results" / "day_one.json"
FACTOR_SDS = (0.0, 0.2, 0.35, 0.5)
PLACES = 40  # of a factor's law
RULES_OFF = 0.2  # log-sd of each lent rate's centre about the shipped one
BOARDS = 30  # of a shop, at most, drawn from those finished
FIRST_SEED = 5001


def wrong_rules(settings: Settings, rng: np.random.Generator) -> Settings:
    """The same settings with each lent rate quicker or slower, as wide as before."""
    rules = []
    for rule in settings.rules:
        off = math.exp(RULES_OFF * rng.standard_normal()) if rule.form == "rate" else 1.0
        rules.append(rule if off == 1.0 else replace(rule, low=rule.low * off, high=rule.high * off))
    return replace(settings, rules=tuple(rules))


def day_one(seed: int) -> np.ndarray:
    """Chances of below and above, and high over low, of each board of a shop, shape (factor sds, boards, 3)."""
    shipped, problems = parse_settings(starter_text())
    assert not problems
    rng = np.random.default_rng([seed, 11])
    settings = wrong_rules(shipped, rng)
    law = NormalDist()
    places = np.array([law.inv_cdf((n + 0.5) / PLACES) for n in range(PLACES)])
    factors = np.exp(np.array(FACTOR_SDS)[:, None] * places)
    shop = make_shop(seed, tidy=True)
    done = [board for board in shop.log.boards if board.state == FINISHED]
    some = {done[n].board for n in rng.permutation(len(done))[:BOARDS]}
    rules_alone = fit(Log(), settings, seed=seed)
    known = [b for b in fit(shop.log, shop.settings, n_draws=16).boards if b.hours and b.board in some]
    told = [answer(rules_alone, board, settings, view="finished") for board in known]
    low, high = np.array([[one.low, one.high] for one in told]).T
    took = factors[:, :, None] * np.array([board.hours for board in known])
    below, above = (took < low).mean(axis=1), (took > high).mean(axis=1)
    return np.stack([below, above, np.broadcast_to(high / low, below.shape)], axis=-1)


def rows(found: list[np.ndarray]) -> list[dict[str, float]]:
    """By factor's log-sd: share held with the standard error between shops, both sides, width in the middle."""
    told = []
    for n, sd in enumerate(FACTOR_SDS):
        shops = np.array([one[n].mean(axis=0) for one in found])
        held = 1 - shops[:, 0] - shops[:, 1]
        told.append(
            {
                "factor_sd": sd,
                "held": held.mean(),
                "error": held.std(ddof=1) / math.sqrt(len(held)),
                "below": shops[:, 0].mean(),
                "above": shops[:, 1].mean(),
                "high_over_low": float(np.median(np.concatenate([one[n][:, 2] for one in found]))),
            }
        )
    return told


if __name__ == "__main__":
    shops = int(sys.argv[1]) if len(sys.argv) > 1 else 12
    first = int(sys.argv[2]) if len(sys.argv) > 2 else FIRST_SEED
    told = rows([day_one(seed) for seed in range(first, first + shops)])
    for row in told:
        print(
            f"factor sd {row['factor_sd']:.2f}  {shops} shops  held {row['held']:.3f} ± {row['error']:.3f}  "
            f"below {row['below']:.3f} above {row['above']:.3f}  high÷low {row['high_over_low']:.2f}"
        )
    kept = {
        "commit": commit(),
        "shops": shops,
        "first_seed": first,
        "boards": BOARDS,
        "rules_off": RULES_OFF,
        "factors": told,
    }
    KEPT.write_text(json.dumps(kept, indent=1) + "\n", "utf-8")

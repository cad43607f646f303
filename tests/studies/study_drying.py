"""Dates on which drying boards are dry, told with weighings and without, on invented workshops.

Run from the top of the project: python tests/studies/study_drying.py [SHOPS] [DAYS BETWEEN WEIGHINGS] [TIMES]
Weights are drawn by the recipe of the invented workshop, one every so many days, at a quarter, a half and three
quarters of the time that a board dries; TIMES makes its curve so many times as slow as the recipe's, against what is
lent beforehand. Prints by grade the width of the range at 8 in 10, how many hold, and CRPS.
"""

import math
import sys
from collections import defaultdict
from dataclasses import replace
from pathlib import Path

import numpy as np

sys.path[:0] = [str(Path(__file__).resolve().parents[1]), str(Path(__file__).resolve().parents[2])]

from studies.results import keeping

from estimator.bench.drying import Scales
from estimator.bench.waits import WINTER_MONTHS, Waits
from estimator.demo.notebook import (
    DRY_KG_M2,
    DRYING_POWER,
    ON_SCALES,
    SCALES_SD_KG,
    TIMES_OVER,
    WATER_KG,
    WATER_LOG_SD,
)
from estimator.demo.simulation import drying_days
from estimator.demo.stories import stories
from estimator.demo.workshop import make_shop
from estimator.words.records import WeightReading

PARTS = (0.25, 0.5, 0.75)
N = 4000


def crps(days, true):
    days = np.sort(days)
    n = len(days)
    return abs(days - true).mean() - ((2 * np.arange(1, n + 1) - n - 1) * days).sum() / n**2


def weights(story, days, at, slow, rng):
    """What the scales show on the days `at`, of a board that takes `days` to dry."""
    found, time = story.job.found, slow * days / TIMES_OVER
    water = WATER_KG[int(found["wetness"])] * math.exp(WATER_LOG_SD * rng.standard_normal())
    shown = DRY_KG_M2 * found["face_area"] + water * np.exp(-((np.array(at) / time) ** DRYING_POWER))
    shown = np.round(shown + SCALES_SD_KG * rng.standard_normal(len(at)), 1)
    return list(zip(map(float, at), shown.tolist(), strict=True))


def one_shop(seed, every, slow, kept):
    shop, rng = make_shop(seed), np.random.default_rng(seed)
    hung = []
    for story in stories(seed):
        stands = [s for s in story.course.stands if s.cause == "drying"] if story.course else []
        if stands and story.waits.drying:
            days = drying_days(story.waits.drying, stands[0].first)
            hung.append(
                (story, stands[0].first, days, weights(story, days, [*range(0, days + 1, every)], slow, rng))
            )
    weighings = [
        WeightReading(story.board, first + (first.resolution * int(at)), kg)
        for story, first, _, weighed in hung
        if rng.random() < ON_SCALES
        for at, kg in weighed
    ]
    waits = Waits.of(shop.log, shop.settings, seed=seed)
    scales = Scales.of(replace(shop.log, weighings=tuple(weighings)), shop.settings)
    for story, first, days, weighed in hung:
        grade = int(story.job.found["wetness"])
        season = shop.settings.bench.winter_drying if first.month in WINTER_MONTHS else 1.0
        for part in PARTS:
            so_far = round(part * days)
            known = [(at, kg) for at, kg in weighed if at <= so_far]
            if len(known) < 2:
                continue
            for name, told in (("law alone", []), ("weighed", known)):
                drawn = scales.dry_after(
                    waits.after("drying", grade), told, rng, N, grade=grade, wet_for=so_far, season=season
                )
                drawn = np.ceil(drawn)
                low, high = np.quantile(drawn, [0.1, 0.9])
                kept[grade, part, name].append((high - low, low <= days <= high, crps(drawn, days), days))
    return scales


def main(shops=20, every=3, slow=1.0):
    kept = defaultdict(list)
    times = [math.exp(one_shop(seed, every, slow, kept).times) for seed in range(1, shops + 1)]
    print(f"{shops} workshops; times until dry {np.mean(times):.2f} (true {TIMES_OVER / slow:.2f})")
    print("grade  part  told by     boards  days dry  width   held   CRPS")
    for (grade, part, name), rows in sorted(kept.items()):
        width, held, score, days = np.mean(rows, axis=0)
        print(f"{grade:5} {part:5} {name:10} {len(rows):8} {days:9.1f} {width:6.1f} {held:6.3f} {score:6.2f}")


if __name__ == "__main__":
    given = sys.argv[1:]
    with keeping("drying", "1 up"):
        main(*(cast(word) for cast, word in zip((int, int, float), given, strict=False)))

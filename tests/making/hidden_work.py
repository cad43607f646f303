"""Shops whose boards hide work, made by nobody's model, with what was hidden and the hours that it took.

Wet boards hide pieces to mend, more the wetter they are; dry ones hide none. Hours have gamma luck and a skew pace that
the stages share; rules of thumb are lent ones, off by as much as they say.
"""

import datetime as dt

import numpy as np

from estimator.words.records import FINISHED, Board, Entry, Log, Rule
from estimator.words.settings.schema import Driver, Modifier, Settings, Stage

FIRST_DAY = dt.date(2024, 3, 4)
RATES = {("strip", "area"): 3.0, ("mend", "pieces"): 2.5, ("glass", "area"): 4.0, ("glass", "pieces"): 0.6}
STAGES = {stage: tuple(d for s, d in RATES if s == stage) for stage, _ in RATES}


def settings_of(rng):
    """Lent rules times or over 1.8, off by as much as they say."""
    rules = []
    for (stage, driver), rate in RATES.items():
        centre = rate * np.exp(0.3 * rng.standard_normal())
        rules.append(
            Rule(
                f"{stage} {driver}",
                stage=stage,
                per=driver,
                low=centre / 1.8,
                high=centre * 1.8,
                odds=0.8,
                source="starter",
            )
        )
    return Settings(
        drivers={"area": Driver("area"), "pieces": Driver("pieces", known="strip")},
        modifiers={"wet": Modifier("wet", stages=(), grades=("dry", "damp", "wet"))},
        stages={stage: Stage(stage, drivers=of) for stage, of in STAGES.items()},
        rules=tuple(rules),
    )


def hiding_shop(seed, past, n_coming, share=0.3):
    """Settings, a log, boards to come as they look, and the hours that they take; share: of damp boards that hide work, less .2."""
    rng = np.random.default_rng([seed, 97])
    settings, boards, entries, coming, took = settings_of(rng), [], [], [], []
    for j in range(past + n_coming):
        wet = float(rng.choice(3, p=[0.4, 0.35, 0.25]))
        looked = {"area": rng.uniform(0.6, 2.2), "pieces": float(rng.poisson(1.5)), "wet": wet}
        hidden = float(rng.poisson(1.0 + 2.0 * wet)) if wet and rng.random() < share + 0.2 * wet else 0.0
        found = {**looked, "pieces": looked["pieces"] + hidden}
        pace = 0.18 * (rng.gamma(4.0, 0.5) - 2.0)
        day = FIRST_DAY + dt.timedelta(days=9 * j)
        whole = 0.0
        for stage, of in STAGES.items():
            work = sum(RATES[stage, d] * found[d] for d in of)
            hours = work * np.exp(pace) * rng.gamma(1 / 0.25**2, 0.25**2)
            whole += hours
            if hours and j < past:
                entries.append(Entry(f"b{j}", day, stage, hours))
        if j < past:
            boards.append(
                Board(f"b{j}", state=FINISHED, started=day, ready=day, assessed=looked, found=found)
            )
        else:
            coming.append(Board(f"b{j}", state="asked", assessed=looked))
            took.append(whole)
    return settings, Log(tuple(boards), tuple(entries)), coming, took

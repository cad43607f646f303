"""Shops simulated from the model's own assumptions, with the truth kept beside the log.

Eight stages with twelve rates, pace .22, noise .3; rules of thumb times or over 1.9 at 8 in 10, their centres off by
a log-sd of .4. The same seed makes the same boards whatever is done to the log (common random numbers).
"""

from __future__ import annotations

import datetime as dt
import math
from dataclasses import dataclass, replace

import numpy as np

from estimator.words.records import FINISHED, Board, Entry, Log, Rule
from estimator.words.settings.schema import Driver, Settings, Stage

STAGES = {
    "strip": {"once": 0.8, "area": 3.0},
    "infill": {"pieces": 1.5},
    "shape": {"once": 1.2, "area": 2.0},
    "spray": {"once": 6.0, "colours": 12.0},
    "logo": {"logos": 2.4},
    "laminate": {"area": 2.2},
    "sand": {"area": 2.6},
    "finish": {"once": 2.0, "area": 1.4},
}
PACE, NOISE = 0.22, 0.3
RULE_WIDTH, RULE_ERROR = 1.9, 0.4
LAST_DAY = dt.date(2026, 9, 30)


@dataclass(frozen=True)
class SimulatedShop:
    """A settings file, boards that the log holds, boards to come, and the truth."""

    settings: Settings
    log: Log
    coming: tuple[Board, ...]
    hours: np.ndarray  # of the boards to come
    rates: dict[tuple[str, str], float]
    pace: float
    noise: float
    drift: float


def settings_of(rng: np.random.Generator, rates: dict[tuple[str, str], float]) -> Settings:
    """Stages, drivers and rules of thumb that miss the truth by a log-sd of .4."""
    drivers = ("area", "pieces", "colours", "logos")
    rules = []
    for (stage, driver), rate in rates.items():
        centre = rate * math.exp(RULE_ERROR * rng.standard_normal())
        rules.append(
            Rule(
                f"{stage} {driver}",
                stage=stage,
                per=driver,
                low=centre / RULE_WIDTH,
                high=centre * RULE_WIDTH,
                odds=0.8,
            )
        )
    return Settings(
        drivers={name: Driver(name) for name in drivers},
        stages={name: Stage(name, drivers=tuple(parts)) for name, parts in STAGES.items()},
        rules=tuple(rules),
    )


def simulate(
    seed: int,
    n_boards: int,
    n_coming: int = 60,
    *,
    totals_only: bool = False,
    years: float = 0.0,
    drift: float = 0.0,
    student: bool = False,
    hidden: bool = False,
    masking_power: float = 1.0,
    most_boards: int = 120,
) -> SimulatedShop:
    """One shop. `drift` is the change of log hours over the whole log of `years`; the boards to come are today's."""
    rng = np.random.default_rng([seed, 77])
    rates = {
        (stage, driver): value * math.exp(0.2 * rng.standard_normal())
        for stage, parts in STAGES.items()
        for driver, value in parts.items()
    }
    settings = settings_of(rng, rates)
    total = most_boards + n_coming
    values = {
        "area": rng.uniform(0.3, 2.8, total),
        "pieces": rng.poisson(1.5, total).astype(float),
        "colours": np.minimum(rng.poisson(1.0, total), 4).astype(float),
        "logos": rng.binomial(2, 0.35, total).astype(float),
    }
    pace = PACE * rng.standard_normal(total)
    spread = NOISE * (
        rng.standard_t(3, (total, len(STAGES))) / math.sqrt(3)
        if student
        else rng.standard_normal((total, len(STAGES)))
    )
    struck = rng.random(total) < 1 / 8
    extra = rng.exponential(8.0, total) * (hidden & struck)
    # boards to come stand last; the log keeps the newest n_boards before them
    ages = np.concatenate([np.linspace(years, 0, most_boards), np.zeros(n_coming)])
    boards, entries, coming, hours = [], [], [], []
    for j in range(most_boards - n_boards, total):
        name = f"b{j:03d}"
        x = {driver: float(values[driver][j]) for driver in values}
        day = LAST_DAY - dt.timedelta(days=round(365.25 * ages[j]))
        shift = -drift * ages[j] / years if years else 0.0
        took = 0.0
        for i, (stage, parts) in enumerate(STAGES.items()):
            amounts = {
                d: 1.0 if d == "once" else x[d] ** (masking_power if d == "colours" else 1.0) for d in parts
            }
            if not any(x[d] > 0 for d in parts if d != "once"):
                continue
            median = sum(rates[stage, d] * amount for d, amount in amounts.items())
            h = median * math.exp(shift + pace[j] + spread[j, i]) + (extra[j] if stage == "shape" else 0.0)
            took += h
            if j < most_boards and not totals_only:
                entries.append(Entry(name, day, stage, h))
        board = Board(name, assessed=x, state=FINISHED, ready=day, started=day)
        if j >= most_boards:
            coming.append(replace(board, state="asked"))
            hours.append(took)
        else:
            boards.append(replace(board, total_hours=took) if totals_only else board)
    return SimulatedShop(
        settings,
        Log(tuple(boards), tuple(entries)),
        tuple(coming),
        np.array(hours),
        rates,
        PACE,
        NOISE,
        drift,
    )

"""A workshop in which boards looked one way, turned out another, and went over a guess."""

import datetime as dt
import math

import numpy as np

from estimator.decide.overruns.parts import BoardOverrun
from estimator.words.records import FINISHED, Board, Entry, Log, Rule
from estimator.words.settings.schema import Driver, Modifier, Settings, Stage

LAST_DAY = dt.date(2026, 9, 30)
RATES = {
    ("strip", "once"): 1.0,
    ("strip", "area"): 3.0,
    ("infill", "pieces"): 1.5,
    ("spray", "colours"): 12.0,
    ("redo", "once"): 4.0,
}


def settings(area_unit="m2", times=1.0):
    """Four stages, one of which only sometimes happens, and their rules of thumb; times: hours in another unit."""
    per = {"m2": 1.0, "ft2": 0.09290304}[area_unit]
    return Settings(
        drivers={
            "sides": Driver("sides"),
            "area": Driver("area", unit=area_unit, source="outline", times="sides"),
            "pieces": Driver("pieces", known="strip"),
            "colours": Driver("colours"),
        },
        modifiers={"brittle": Modifier("brittle", stages=("strip",), grades=("sound", "crisp", "brittle"))},
        stages={
            "strip": Stage("strip", drivers=("once", "area")),
            "infill": Stage("infill", drivers=("pieces",)),
            "spray": Stage("spray", drivers=("colours",)),
            "redo": Stage("redo", happens="sometimes"),
        },
        rules=tuple(
            Rule(
                f"{stage} {driver}",
                stage=stage,
                per=driver,
                low=rate * times * (per if driver == "area" else 1) / 1.5,
                high=rate * times * (per if driver == "area" else 1) * 1.5,
                odds=0.8,
            )
            for (stage, driver), rate in RATES.items()
        ),
    )


def log(n, seed=1, per_area=1.0, times=1.0):
    """So many finished boards; per_area: areas in another unit, times: hours in another unit.

    The first board turned out just as it looked; of the second only a total is known; on the third the owner asked for
    a colour and a side more; the fourth was done again.
    """
    rng = np.random.default_rng(seed)
    boards, entries = [], []
    for j in range(n):
        looked = {
            "sides": 1.0 + (j % 2),
            "area": float(rng.uniform(0.8, 1.2)) * (1 + j % 2),
            "pieces": float(rng.poisson(1.5)),
            "colours": float(rng.poisson(1.0)),
            "brittle": float(rng.choice(3)),
            "redo": 0.0,
        }
        found, later = dict(looked), {}
        hidden, once = float(rng.poisson(1.0)), rng.random(8)
        if j:
            found["pieces"] += hidden
        if j == 2:
            later = {"colours": 1.0, "sides": 1.0}
            found |= {
                "colours": found["colours"] + 1,
                "sides": 2.0,
                "area": found["area"] * 2 / looked["sides"],
            }
        if j == 3:
            found["redo"] = 1.0
        took = {
            "strip": (1 + 3 * found["area"]) * math.exp(0.25 * found["brittle"]),
            "infill": 1.5 * found["pieces"],
            "spray": 12 * found["colours"],
            "redo": 4 * found["redo"],
        }
        pace = 0.15 * rng.standard_normal()
        took = {
            s: times * h * math.exp(pace + 0.2 * (once[i] - 0.5) * 2)
            for i, (s, h) in enumerate(took.items())
            if h
        }
        guess = times * float(
            (1 + 3 * looked["area"] + 1.5 * looked["pieces"] + 12 * looked["colours"]) * (0.7 + 0.4 * once[7])
        )
        day = LAST_DAY - dt.timedelta(days=10 * (n - j))
        for values in (looked, found):
            values["area"] *= per_area
        boards.append(
            Board(
                f"b{j:02d}", called=f"board {j}", quoted=day, started=day, ready=day, state=FINISHED, assessed=looked,
                found=found, later=later, guess_low=guess, guess_high=guess,
                total_hours=sum(took.values()) if j == 1 else None,
            )
        )  # fmt: skip
        if j != 1:
            entries += [Entry(f"b{j:02d}", day, stage, hours) for stage, hours in took.items()]
    return Log(tuple(boards), tuple(entries))


def went(n, seed=3, k=3):
    """Boards that went over, made straight from parts, with k drivers of which the first makes guesses low."""
    rng = np.random.default_rng(seed)
    x = rng.integers(0, 3, (n, k)).astype(float)
    guess = 0.25 * x[:, 0] + 0.15 * rng.standard_normal(n)
    hidden = 0.1 * rng.exponential(1, n) * (rng.random(n) < 0.4)
    pace = 0.15 * rng.standard_normal(n)
    boards = [
        BoardOverrun(
            f"b{j}", "", "", "", 40.0, 40 * math.exp(guess[j] + hidden[j] + pace[j]), 40 * math.exp(guess[j]),
            40 * math.exp(guess[j] + hidden[j]), 40 * math.exp(guess[j] + hidden[j]),
        )
        for j in range(n)
    ]  # fmt: skip
    return boards, [{f"d{i}": float(x[j, i]) for i in range(k)} for j in range(n)]


def drivers(k=3):
    """Settings with k drivers and nothing else."""
    return Settings(drivers={f"d{i}": Driver(f"d{i}") for i in range(k)})

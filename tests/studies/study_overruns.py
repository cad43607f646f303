"""Whether shares of what makes boards go over hold the truth as often as they say, on simulated shops.

Set down before it was run: of all ranges stated at 8 in 10, for the three parts and for each driver whose true share is
a twentieth or more, at least 8 in 10 hold the truth, at 60 boards and at 120; a driver that has nothing to do with any
of it is blamed (p_adjusted below .05, on any part) in no more than 1 shop in 20.

    python tests/studies/study_overruns.py 60 400
"""

import datetime as dt
import math
import sys
from collections import Counter
from pathlib import Path

import numpy as np

sys.path[:0] = [str(Path(__file__).resolve().parents[1]), str(Path(__file__).resolve().parents[2])]

from studies.results import keeping

from estimator.decide.overruns.overruns import all_overruns
from estimator.decide.overruns.parts import THREE
from estimator.decide.overruns.variance_shares import OVERRUN, UNEXPLAINED, lmg
from estimator.words.records import FINISHED, Board, Entry, Log, Rule
from estimator.words.settings.schema import Driver, Modifier, Settings, Stage

STAGES = {
    "strip": {"once": 0.8, "area": 3.0},
    "infill": {"pieces": 1.5},
    "shape": {"once": 1.2, "area": 2.0},
    "spray": {"once": 6.0, "colours": 12.0},
    "laminate": {"area": 2.2},
    "sand": {"area": 2.6},
    "finish": {"once": 2.0, "area": 1.4},
}
DRIVERS = ("area", "pieces", "colours", "logos")  # logos have nothing to do with anything
CONDITIONS = {"brittle": "strip", "wet": "infill"}
EFFECT = 0.25  # log factor a grade
LAST_DAY = dt.date(2026, 9, 30)
MANY = 200_000  # boards from which the truth is worked out
TWENTIETH = 0.05


class Shop:
    """One shop: how its boards come, what they hide, and how its restorer guesses."""

    def __init__(self, seed: int) -> None:
        rng = np.random.default_rng([seed, 41])
        self.seed = seed
        self.rates = {
            (stage, driver): rate * math.exp(0.2 * rng.standard_normal())
            for stage, parts in STAGES.items()
            for driver, rate in parts.items()
        }
        self.rules = tuple(
            Rule(
                f"{stage} {driver}",
                stage=stage,
                per=driver,
                low=rate * off / 1.9,
                high=rate * off * 1.9,
                odds=0.8,
            )
            for (stage, driver), rate in self.rates.items()
            for off in [math.exp(0.4 * rng.standard_normal())]
        )
        # what the restorer leaves out of account, on the log scale: for each grade, each colour, and luck
        self.blind = {
            "brittle": rng.uniform(0, 0.2),
            "wet": rng.uniform(0, 0.25),
            "colours": rng.uniform(-0.1, 0.1),
        }
        self.guess_luck = rng.uniform(0.12, 0.25)
        self.pace, self.noise = rng.uniform(0.1, 0.25), rng.uniform(0.2, 0.35)
        self.hides = rng.uniform(0.1, 0.4)  # chance that a grade of wet hides pieces
        self.settings = Settings(
            drivers={name: Driver(name) for name in DRIVERS},
            modifiers={
                name: Modifier(name, stages=(stage,), grades=("no", "some", "much"))
                for name, stage in CONDITIONS.items()
            },
            stages={name: Stage(name, drivers=tuple(parts)) for name, parts in STAGES.items()},
            rules=self.rules,
        )

    def boards(self, n: int, seed: int) -> dict[str, np.ndarray]:
        """Quantities as they looked, what was hidden and asked for later, true hours by stage, and guesses."""
        rng = np.random.default_rng([self.seed, seed, 42])
        seen = {
            "area": rng.uniform(0.3, 2.8, n),
            "pieces": rng.poisson(1.5, n).astype(float),
            "colours": np.minimum(rng.poisson(1.0, n), 4).astype(float),
            "logos": rng.binomial(3, 0.4, n).astype(float),
            "brittle": rng.choice(3, n, p=[0.6, 0.25, 0.15]).astype(float),
            "wet": rng.choice(3, n, p=[0.55, 0.25, 0.2]).astype(float),
        }
        hidden = (rng.random(n) < self.hides * seen["wet"]) * (1.0 + rng.poisson(1.5, n))
        later = (rng.random(n) < 0.1) * 1.0
        before = {**seen, "pieces": seen["pieces"] + hidden}
        found = {**before, "colours": seen["colours"] + later}
        u, z = rng.standard_normal(n), rng.standard_normal((len(STAGES), n))
        took = self.medians(found) * np.exp(self.pace * u + self.noise * z)
        looked = self.whole(seen)
        off = sum(by * seen[name] for name, by in self.blind.items())
        guess = looked * np.exp(-off - 0.05 + self.guess_luck * rng.standard_normal(n))
        return {
            **{f"seen {name}": x for name, x in seen.items()},
            **{f"found {name}": x for name, x in found.items()},
            "later": later,
            "took": took,
            "guess": guess,
            "parts": np.column_stack(
                [
                    np.log(looked / guess),
                    np.log(self.whole(found) / looked),
                    np.log(took.sum(axis=0) / self.whole(found)),
                ]
            ),
        }

    def medians(self, x: dict[str, np.ndarray]) -> np.ndarray:
        """True median hours by stage; 0 where a stage does not happen."""
        by_stage = []
        for stage, parts in STAGES.items():
            on = np.any([x[d] > 0 for d in parts if d != "once"], axis=0)
            plain = sum(self.rates[stage, d] * (1.0 if d == "once" else x[d]) for d in parts)
            slower = sum(EFFECT * x[name] for name, where in CONDITIONS.items() if where == stage)
            by_stage.append(plain * np.exp(slower) * on)
        return np.array(by_stage)

    def whole(self, x: dict[str, np.ndarray]) -> np.ndarray:
        """The median of the sum of the stages (Fenton & Wilkinson)."""
        mean = self.medians(x) * math.exp(self.noise**2 / 2)
        total = mean.sum(axis=0)
        return total / np.sqrt(1 + (mean**2).sum(axis=0) * math.expm1(self.noise**2) / total**2)

    def log(self, n: int) -> Log:
        """A log of n boards over two years."""
        made = self.boards(n, n)
        boards, entries = [], []
        for j in range(n):
            day = LAST_DAY - dt.timedelta(days=round(730 * (n - j) / n))
            of = {
                view: {q: float(made[f"{view} {q}"][j]) for q in (*DRIVERS, *CONDITIONS)}
                for view in ("seen", "found")
            }
            later = {"colours": 1.0} if made["later"][j] else {}
            guess = float(made["guess"][j])
            boards.append(
                Board(
                    f"b{j:03d}", quoted=day, ready=day, state=FINISHED, assessed=of["seen"], found=of["found"],
                    later=later, guess_low=guess, guess_high=guess,
                )
            )  # fmt: skip
            entries += [
                Entry(f"b{j:03d}", day, stage, float(hours))
                for stage, hours in zip(STAGES, made["took"][:, j], strict=True)
                if hours > 0
            ]
        return Log(tuple(boards), tuple(entries))

    def truth(self) -> dict[str, float]:
        """True shares of the parts and of the drivers."""
        made = self.boards(MANY, 0)
        names = (*DRIVERS, *CONDITIONS)
        rows = np.column_stack([*(made[f"found {name}"] for name in names), made["parts"]])
        covariance = np.cov(rows.T)
        whole = covariance[len(names) :, len(names) :]
        drivers = lmg(covariance[None], len(THREE))[0].sum(axis=-1)
        return dict(zip(THREE, whole.sum(axis=0) / whole.sum(), strict=True)) | {
            **dict(zip(names, drivers, strict=True)),
            UNEXPLAINED: 1 - drivers.sum(),
        }


def study(shops: int, first: int = 0) -> None:
    """Prints how many ranges held, at 60 and at 120 boards."""
    for n in (60, 120):
        held, of, wide = Counter[str](), Counter[str](), Counter[str]()
        for seed in range(first, first + shops):
            shop = Shop(seed)
            truth = shop.truth()
            found = all_overruns(shop.log(n), shop.settings).goes_with
            stated = [(s.part, s) for s in found.parts] + [(s.driver, s) for s in found.drivers]
            for name, s in stated:
                true = float(truth[name])
                if name in THREE:
                    group = f"part: {name}"
                elif name == UNEXPLAINED:
                    group = "unexplained"
                else:
                    group = "driver, a twentieth or more" if true >= TWENTIETH else "driver, less"
                if name == "logos":
                    group = "driver of nothing"
                held[group] += s.low <= true <= s.high
                of[group] += 1
                wide[group] += s.high - s.low
            for group, names in (
                ("driver of nothing is blamed", {"logos"}),
                ("any is blamed", {*DRIVERS, *CONDITIONS}),
            ):
                held[group] += any(e.driver in names and e.p_adjusted < TWENTIETH for e in found.effects)
                of[group] += 1
            assert len(found.drivers) == len(DRIVERS) + len(CONDITIONS) + 1
            assert {e.part for e in found.effects} == {OVERRUN, *THREE}
        print(f"{n} boards, {shops} shops")
        for group in sorted(of):
            print(f"  {group:32} {held[group]:4} of {of[group]:4}  width {wide[group] / of[group]:.3f}")


if __name__ == "__main__":
    with keeping("overruns", "as given, else 0 up"):
        study(*map(int, sys.argv[1:] or ["40"]))

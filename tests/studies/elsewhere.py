"""Shops that nobody here runs, made otherwise than the model believes, with the truth kept beside the log.

Nine stages with seventeen rates, all on lent rules of thumb. What a shop may have: a factor of its own on all hours
that no rule knows of, a pace that stages share unevenly and that is skew, luck of heavy tails, levels that move by
month or season, hours that grow faster than the work. The same seed makes the same boards and the same luck whatever
else is asked for (common random numbers).
"""

from __future__ import annotations

import datetime as dt
import math
from dataclasses import dataclass

import numpy as np

from estimator.words.records import FINISHED, Board, Entry, Log, Rule
from estimator.words.settings.schema import Driver, Modifier, Settings, Stage

STAGES = {
    "look over": {"once": 1.0},
    "strip": {"once": 0.7, "deck": 2.2},
    "dry out": {"soaked": 1.1},
    "mend foam": {"once": 0.8, "dents": 1.4},
    "glass": {"once": 1.1, "deck": 2.0, "cuts": 0.8},
    "fins": {"fins": 1.9},
    "fair": {"once": 0.6, "deck": 2.4},
    "paint": {"once": 3.0, "shades": 4.5},
    "polish": {"once": 0.9, "deck": 1.3},
}
DRIVERS = ("deck", "soaked", "dents", "cuts", "fins", "shades")
BRITTLE = {"strip": 0.22, "fair": 0.12}  # log factor a grade; no rule speaks of it
WIDTHS = (1.5, 2.0)  # of rules, times or over at 8 in 10, as lent rules are
RULE_ERROR = 0.35  # log-sd of a rate about its rule, Laplace
BY_STAGE = 0.15  # log-sd of what a stage has of its own on top
FIRST_DAY = dt.date(2022, 3, 1)
DAYS_A_YEAR = 365.25
KNEE = 0.8  # of the work that boards usually have: from here hours grow faster where they do


@dataclass(frozen=True)
class Makings:
    """How a shop is made.

    factor_sd, factor: log-sd of a shop's own factor on all hours, and one that every shop has
    pace: log-sd of a board's pace, about; luck: of a stage's; noise: gamma, normal, or contaminated
    years: of the log; level: steady, month, regimes, slower (the last fifth), season, trend
    power: with which hours grow in the drivers; larger: how many times the largest past board coming ones are
    totals: no hours by stage; too_low: how many times too low the rules of one stage are
    """

    factor_sd: float = 0.0
    factor: float = 1.0
    pace: float = 0.2
    luck: float = 0.28
    noise: str = "gamma"
    years: float = 3.0
    level: str = "steady"
    move: float = 0.15
    power: float = 1.0
    larger: float = 0.0
    totals: bool = False
    too_low: float = 1.0


@dataclass(frozen=True)
class OtherShop:
    """Settings, a log of finished boards in order of time, and boards to come with the hours that they will take.

    hours: (n_coming,); of_stage: (n_coming, n_stages)
    """

    settings: Settings
    log: Log
    coming: tuple[Board, ...]
    hours: np.ndarray
    of_stage: np.ndarray


def other_shop(seed: int, n_boards: int, made: Makings, n_coming: int = 30) -> OtherShop:
    """A shop with so many boards in its log; those to come are of the quarter after it."""
    rng = np.random.default_rng([seed, 4711])
    parts = [(s, d) for s, of in STAGES.items() for d in of]
    own = made.factor * math.exp(made.factor_sd * rng.standard_normal())
    by_stage = {s: math.exp(BY_STAGE * rng.standard_normal()) for s in STAGES}
    off = dict(zip(parts, np.exp(RULE_ERROR / math.sqrt(2) * rng.laplace(size=len(parts))), strict=True))
    width = dict(zip(parts, rng.uniform(*WIDTHS, len(parts)), strict=True))
    rules = []
    for s, d in parts:
        centre = STAGES[s][d] / (made.too_low if s == "paint" else 1.0)
        rules.append(
            Rule(
                f"{s} {d}",
                stage=s,
                per=d,
                low=centre / width[s, d],
                high=centre * width[s, d],
                odds=0.8,
                source="starter",
            )
        )
    settings = Settings(
        drivers={d: Driver(d) for d in DRIVERS},
        modifiers={"brittle": Modifier("brittle", stages=tuple(BRITTLE), grades=("no", "some", "much"))},
        stages={s: Stage(s, drivers=tuple(of)) for s, of in STAGES.items()},
        rules=tuple(rules),
    )
    total = n_boards + n_coming
    x = _work(np.random.default_rng([seed, 1]), total)
    if made.larger:
        most = {d: v[:n_boards].max() for d, v in x.items() if d != "brittle"}
        by = np.random.default_rng([seed, 8]).uniform(made.larger, made.larger + 1, n_coming)
        for d in ("deck", "dents"):
            x[d][n_boards:] = most[d] * by if d == "deck" else np.round(most[d] * by)
    pace = _pace(np.random.default_rng([seed, 2]), total, made.pace)
    luck = _luck(np.random.default_rng([seed, 3]), (total, len(STAGES)), made)
    days = np.concatenate(
        [
            np.sort(np.random.default_rng([seed, 5]).uniform(0, made.years, n_boards)),
            made.years + np.sort(np.random.default_rng([seed, 6]).uniform(0, 0.25, n_coming)),
        ]
    )
    level = _levels(np.random.default_rng([seed, 7]), made, days)
    boards, entries, coming, took = [], [], [], np.zeros((n_coming, len(STAGES)))
    for j in range(total):
        values = {d: float(v[j]) for d, v in x.items()}
        day = FIRST_DAY + dt.timedelta(days=round(DAYS_A_YEAR * days[j]))
        whole = 0.0
        for i, (s, of) in enumerate(STAGES.items()):
            if not ("once" in of or any(values[d] > 0 for d in of)):
                continue
            work = sum(
                rate * off[s, d] * (1.0 if d == "once" else _grown(values[d], d, made.power))
                for d, rate in of.items()
            )
            h = (
                work
                * own
                * by_stage[s]
                * math.exp(BRITTLE.get(s, 0.0) * values["brittle"] + level[j] + pace[j, i] + luck[j, i])
            )
            whole += h
            if j >= n_boards:
                took[j - n_boards, i] = h
            elif not made.totals:
                entries.append(Entry(f"b{j:03d}", day + dt.timedelta(days=2 * i), s, h))
        last = day + dt.timedelta(days=2 * len(STAGES))
        board = Board(f"b{j:03d}", assessed=values, found=values, state=FINISHED, started=day, ready=last)
        if j >= n_boards:
            coming.append(Board(f"b{j:03d}", assessed=values, state="asked"))
        else:
            boards.append(
                Board(**{**{f: getattr(board, f) for f in board.__slots__}, "total_hours": whole})
                if made.totals
                else board
            )
    return OtherShop(settings, Log(tuple(boards), tuple(entries)), tuple(coming), took.sum(axis=1), took)


def _work(rng: np.random.Generator, n: int) -> dict[str, np.ndarray]:
    """Quantities by driver: boards differ in size of job, small ones often."""
    size = rng.gamma(2.0, 0.5, n)
    return {
        "deck": np.round(rng.uniform(0.3, 1.0, n) * (0.4 + size), 2),
        "soaked": rng.binomial(3, 0.15, n).astype(float),
        "dents": rng.poisson(1.0 + 1.2 * size).astype(float),
        "cuts": rng.poisson(1.0, n).astype(float),
        "fins": rng.binomial(3, 0.2, n).astype(float),
        "shades": rng.binomial(4, 0.3, n).astype(float),
        "brittle": rng.binomial(2, 0.3, n).astype(float),
    }


USUAL = {"deck": 0.9, "soaked": 1.0, "dents": 2.2, "cuts": 1.5, "fins": 1.4, "shades": 1.6}


def _grown(amount: float, driver: str, power: float) -> float:
    """An amount as hours see it: equal at the usual amount whatever the power."""
    return USUAL[driver] * (amount / USUAL[driver]) ** power if amount > 0 else 0.0


def _pace(rng: np.random.Generator, n: int, sd: float) -> np.ndarray:
    """A board's pace by stage: a skew one for all, and one that only the stages of the hull share."""
    whole = rng.gamma(4.0, 0.5, n) - 2.0  # mean 0, sd 1, skew 1
    hull = rng.standard_normal(n)
    share = rng.uniform(0.5, 1.2, len(STAGES))
    on_hull = np.array([s in {"strip", "dry out", "mend foam", "glass"} for s in STAGES])
    return sd * (whole[:, None] * share + 0.5 * hull[:, None] * on_hull)


def _luck(rng: np.random.Generator, shape: tuple[int, int], made: Makings) -> np.ndarray:
    """Log luck of stages; the stages differ in how much of it they have."""
    sd = made.luck * rng.uniform(0.6, 1.6, shape[1])
    if made.noise == "gamma":
        k = 1 / sd**2
        return np.log(rng.gamma(k, 1 / k, shape))
    z = rng.standard_normal(shape)
    bad = rng.random(shape) < 0.08
    if made.noise == "contaminated":
        return sd * np.where(bad, 1.0 + 2.5 * z, 0.85 * z)
    if made.noise == "student":
        return sd * rng.standard_t(3, shape) / math.sqrt(3)
    return sd * z


def _levels(rng: np.random.Generator, made: Makings, days: np.ndarray) -> np.ndarray:
    """Log of what the time does to all hours, by board."""
    months = (days * 12).astype(int)
    if made.level == "month":
        return made.move * rng.standard_normal(months.max() + 1)[months]
    if made.level == "regimes":
        state, of = rng.random() < 0.5, []
        for _ in range(months.max() + 1):
            state = state ^ (rng.random() < 0.12)
            of.append(made.move if state else -made.move)
        return np.array(of)[months]
    if made.level == "slower":
        return np.where(days > 0.8 * made.years, math.log(1.35), 0.0)
    if made.level == "season":
        return made.move * np.sqrt(2) * np.sin(2 * np.pi * (days + rng.random()))
    if made.level == "trend":
        return made.move * (days - made.years)
    return np.zeros(len(days))

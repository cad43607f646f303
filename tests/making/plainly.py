"""The model said once more, slowly: plain Python, a row at a time, straight from its formulas.

A board's pace is integrated out by Gauss-Hermite quadrature, not in closed form; priors are written in the numbers'
own units, with the Jacobian of each parameter beside them.
"""

import datetime as dt
import math
from dataclasses import dataclass
from statistics import NormalDist

import numpy as np

from estimator.model import likelihood as like
from estimator.model import priors

NODES, WEIGHTS = (a.tolist() for a in np.polynomial.hermite_e.hermegauss(80))


@dataclass
class Row:
    """Hours of one stage or of several, as one number; `years` back from today, <= 0.

    in_hand: the stage is not finished, and takes at least these hours
    """

    board: str
    hours: float
    stages: dict[str, dict[str, float]]  # stage: quantity by driver, 1 for set-up
    grades: dict[str, float]  # by condition
    years: float = 0.0
    rounding: float = 0.0
    in_hand: bool = False


def median(stage, row, numbers):
    work = sum(math.exp(numbers["rate"][stage, d]) * x for d, x in row.stages[stage].items())
    slower = sum(e * row.grades.get(m, 0.0) for (s, m), e in numbers["effect"].items() if s == stage)
    return work * math.exp(slower)


def of_row(row, numbers):
    """Log-median, variance, loading and drift a year of one row."""
    if len(row.stages) == 1:
        (s,) = row.stages
        noise = numbers["noise"][s]
        return math.log(median(s, row, numbers)), noise**2, numbers["loading"][s], numbers["drift"][s]
    mean = {s: median(s, row, numbers) * math.exp(numbers["noise"][s] ** 2 / 2) for s in row.stages}
    whole = sum(mean.values())
    v = math.log(
        1 + sum(a * a * (math.exp(numbers["noise"][s] ** 2) - 1) for s, a in mean.items()) / whole**2
    )
    shared = {
        name: sum(a * numbers[name][s] for s, a in mean.items()) / whole for name in ("loading", "drift")
    }
    return math.log(whole) - v / 2, v, shared["loading"], shared["drift"]


def level_of(row, numbers):
    """What the quarter of a row adds to its log hours; its day is counted back from the last."""
    day = numbers["as_of"] + dt.timedelta(days=round(row.years * 365.25))
    return numbers["level"][day.year, (day.month + 2) // 3]


def log_normal_density(x, mean, sd):
    return math.log(NormalDist(mean, sd).pdf(x)) if abs(x - mean) < 30 * sd else -math.inf


def log_likelihood(rows, numbers):
    """The sum over boards of the log of the integral over the pace."""
    total = 0.0
    for board in {row.board for row in rows}:
        own = [(row, of_row(row, numbers)) for row in rows if row.board == board]
        own = [(r, (m + level_of(r, numbers), v, share, g)) for r, (m, v, share, g) in own]
        # where the integrand is highest, so that few nodes are enough
        hand = [(r, of) for r, of in own if r.in_hand]
        own = [(r, of) for r, of in own if not r.in_hand]
        precision = 1 + sum(share * share / (v + r.rounding) for r, (_, v, share, _) in own)
        top = (
            sum(
                share * (math.log(r.hours) - m - g * r.years) / (v + r.rounding)
                for r, (m, v, share, g) in own
            )
            / precision
        )
        width = 1 / math.sqrt(precision)
        logs = []
        for node, weight in zip(NODES, WEIGHTS, strict=True):
            u = top + width * node
            value = math.log(weight) + node**2 / 2 + math.log(width) - u**2 / 2 - math.log(2 * math.pi) / 2
            for r, (m, v, share, g) in own:
                var = v + r.rounding
                off = math.log(r.hours) - m - g * r.years - share * u
                value += -0.5 * off**2 / var - 0.5 * math.log(2 * math.pi * var)
            for r, (m, v, share, g) in hand:
                z = (m + g * r.years + share * u - math.log(r.hours)) / math.sqrt(v)
                value += math.log(max(NormalDist().cdf(z), 1e-300))
            logs.append(value)
        high = max(logs)
        total += high + math.log(sum(math.exp(x - high) for x in logs))
    return total


def numbers_of(density, x):
    """The numbers at x, (size,), by name."""
    n, layout = density.numbers(x[:, None]), density.table.layout
    shared, z = x[density.shared], x[density.quarter]
    moves = math.exp(like.MOVES + like.MOVES_SD * shared[6])
    level, year, quarter = {}, density.table.as_of.year, (density.table.as_of.month + 2) // 3
    for back in range(len(z)):
        level[(year * 4 + quarter - 1 - back) // 4, (year * 4 + quarter - 1 - back) % 4 + 1] = 0.0
    before = None
    for at, e in zip(sorted(level), z.tolist(), strict=True):
        fresh = math.sqrt(1 - like.LIKE_BEFORE**2)
        level[at] = moves * e if before is None else like.LIKE_BEFORE * before + fresh * moves * e
        before = level[at]
    level = {at: value - before for at, value in level.items()}
    return {
        "as_of": density.table.as_of,
        "level": level,
        "moves": moves,
        "lent_lean": like.LENT_LEAN_SD * float(shared[5]),
        "rate": dict(zip(layout.parts, n.log_rate[:, 0].tolist(), strict=True)),
        "effect": dict(zip(layout.conditions, n.effect[:, 0].tolist(), strict=True)),
        **{
            name: dict(zip(layout.stages, getattr(n, name)[:, 0].tolist(), strict=True))
            for name in ("loading", "noise", "drift")
        },
        "lean": float(n.lean[0]),
        "scale": float(n.scale[0]),
    }


def log_prior_of_shared(density, x, numbers):
    """Loadings, noises and drifts given the shop's own of these, those, lean and scale; with their Jacobians."""
    names = ("loading", "noise", "drift", "lean", "scale", "lent lean", "moves")
    shop = dict(zip(names, x[density.shared], strict=True))
    usual = {
        "loading": (like.LOADING, like.LOADING_SD, like.LOADING_BY_STAGE),
        "noise": (like.NOISE, like.NOISE_SD, like.NOISE_BY_STAGE),
        "drift": (0.0, density.drift_sd, like.DRIFT_BY_STAGE),
    }
    total = log_normal_density(numbers["lean"], 0, like.LEAN_SD)
    total += log_normal_density(math.log(numbers["scale"]), like.SCALE, like.SCALE_SD)
    total += log_normal_density(numbers["lent_lean"], 0, like.LENT_LEAN_SD)
    total += log_normal_density(math.log(numbers["moves"]), like.MOVES, like.MOVES_SD)
    total += sum(log_normal_density(z, 0, 1) for z in x[density.quarter].tolist())
    for name, (centre, sd, by_stage) in usual.items():
        middle = centre + sd * shop[name]
        total += log_normal_density(middle, centre, sd)
        for value in numbers[name].values():
            total += log_normal_density(value if name == "drift" else math.log(value), middle, by_stage)
    return total  # every Jacobian is a constant


def log_prior_of_rate(log_rate, rule, numbers, centre=0.0):
    """Of a rate by a rule, or wide about `centre`; the Jacobian to the standard normal is the sd."""
    if rule is None:
        return log_normal_density(log_rate, centre, priors.WIDE) + math.log(priors.WIDE)
    lean, scale = (numbers["lean"], numbers["scale"]) if rule.source == "own" else (numbers["lent_lean"], 1.0)
    sd = scale * rule.omega
    return log_normal_density(log_rate, rule.centre + lean, sd) + math.log(sd)


def log_prior_of_effect(effect, rule, numbers):
    """Of a condition: lognormal about 15 % a grade, or a normal kept on the rule's side of nothing.

    Where a rule speaks the parameter is the log of the effect's size: Jacobian, the size. Else it is
    standardised: Jacobian, the size times its sd.
    """
    if rule is None:
        said = log_normal_density(math.log(effect), priors.FACTOR, priors.FACTOR_SD) - math.log(effect)
        return said + math.log(priors.FACTOR_SD * effect)
    lean, scale = (numbers["lean"], numbers["scale"]) if rule.source == "own" else (0.0, 1.0)
    law = NormalDist(rule.centre + lean, scale * rule.omega)
    kept = 1 - law.cdf(0) if rule.centre >= 0 else law.cdf(0)
    assert effect * rule.centre >= 0
    return math.log(law.pdf(effect) / kept) + math.log(abs(effect))


def log_of_told(rule, log_medians, numbers):
    """A rule beside the rates: its centre about what it speaks of, on average."""
    lean, scale = (numbers["lean"], numbers["scale"]) if rule.source == "own" else (numbers["lent_lean"], 1.0)
    if rule.modifier and rule.source != "own":  # a factor does not lean with hours
        lean = 0.0
    middle = sum(log_medians) / len(log_medians)
    return log_normal_density(rule.centre + lean, middle, scale * rule.omega)

"""Our fits against long runs of a general-purpose MCMC library, on the very same model: ranges and time.

Run from the top of the project, after `pip install numpyro`: python tests/studies/against_mcmc.py [CASE]
The model is written a second time, as a person would who has never seen ours: every board's pace is a parameter of
its own, no gradient is ours, and stages in hand are a plain chance. For each case prints how far the 5, 10, 50, 90 and
95 % points of ten boards to come differ between our fit (five seeds) and the long run, in percent; how far our own
seeds differ among themselves; the long run's own error, from its halves; and the processor time of both, the
library's with its compiling.
"""

from __future__ import annotations

import math
import sys
import time
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np

sys.path[:0] = [str(Path(__file__).resolve().parents[1]), str(Path(__file__).resolve().parents[2])]

from studies.shops import STAGES, simulate

from estimator.demo.workshop import make_shop
from estimator.forecast.draws import Work, draw_hours
from estimator.model.fit import fit
from estimator.model.matrices import Cells, RowTable, table_of
from estimator.model.priors import Terms, terms_of
from estimator.model.quantities import as_it_turned_out, happens, typical_grades
from estimator.model.saved_fit import Array, SavedFit
from estimator.words.records import Board, Log
from estimator.words.settings.schema import Settings

POINTS = (0.05, 0.1, 0.5, 0.9, 0.95)
SEEDS = 5
CHAINS, WARM_UP, KEPT = 4, 1500, 4000
FORECASTS = (
    160_000  # of each board, from the same stream on both sides: what is left is the fits' own difference
)
CASES = {
    "12 boards": {"n_boards": 12},
    "60 boards": {"n_boards": 60},
    "120 boards": {"n_boards": 120},
    "60 boards, totals only": {"n_boards": 60, "totals_only": True},
    "the invented workshop": {},
}
Case = tuple[Log, Settings, list[Work]]


def case_of(name: str) -> Case:
    """A log, its settings, and the work on ten boards to come."""
    if not CASES[name]:
        shop = make_shop(tidy=True, coming=10)
        usual = typical_grades(shop.log.boards, shop.settings)
        return shop.log, shop.settings, [_work(b, shop.settings, usual) for b in shop.coming]
    simulated = simulate(1, n_coming=10, **CASES[name])
    works = []
    for board in simulated.coming:
        x = dict(board.assessed)
        on = [s for s, parts in STAGES.items() if any(x[d] > 0 for d in parts if d != "once")]
        works.append(Work(x, {s: np.ones(1, dtype=bool) for s in on}, {}, frozenset()))
    return simulated.log, simulated.settings, works


def _work(board: Board, settings: Settings, usual: Mapping[str, float]) -> Work:
    """All that a board needs, as it turned out; usual grades where none is written."""
    values = {**usual, **as_it_turned_out(board)}
    on = [s.name for s in settings.stages.values() if happens(s, values)]
    return Work(values, {s: np.ones(1, dtype=bool) for s in on}, {}, frozenset())


def long_run(table: RowTable, terms: Terms, seed: int = 0, kept: int = KEPT) -> dict[str, Array]:
    """Draws of the numbers by the library's no-U-turn sampler, (n_draws, ...) each, with its worst R-hat."""
    import numpyro

    numpyro.enable_x64()
    numpyro.set_host_device_count(CHAINS)
    import jax
    from numpyro.diagnostics import summary
    from numpyro.infer import MCMC, NUTS

    sampler = MCMC(
        NUTS(_model(table, terms), target_accept_prob=0.9),
        num_warmup=WARM_UP,
        num_samples=kept,
        num_chains=CHAINS,
        progress_bar=False,
    )
    sampler.run(jax.random.PRNGKey(seed))
    by_chain = {k: np.asarray(v) for k, v in sampler.get_samples(group_by_chain=True).items()}
    told = summary(
        {k: v for k, v in by_chain.items() if k in {"log_rate", "effect", "loading", "noise"} and v.size}
    )
    draws = {k: v.reshape(CHAINS * kept, *v.shape[2:]) for k, v in by_chain.items()}
    draws["worst"] = np.array(max(float(np.max(of["r_hat"])) for of in told.values()))
    draws["least"] = np.array(min(float(np.min(of["n_eff"])) for of in told.values()))
    return draws


def _model(table: RowTable, terms: Terms) -> Any:
    """The model as a function that the library can read."""
    import jax.numpy as jnp
    import numpyro
    from jax.ops import segment_sum
    from jax.scipy.special import log_ndtr
    from numpyro import distributions as dist

    stages, parts = len(table.layout.stages), len(table.layout.parts)
    conditions, boards = len(table.layout.conditions), len(table.boards)
    others = terms.others

    def rows(cells: Cells, n: dict[str, Any]) -> tuple[Any, Any, Any, Any]:
        """Log-median, variance, loading and drift of rows; sums are lognormal with the same mean and variance."""
        at, one = cells.stage, cells.n_single
        middle = jnp.log(cells.work.toarray() @ jnp.exp(n["log_rate"])) + cells.grades.toarray() @ n["effect"]
        variance, loading, drift = n["noise"][at] ** 2, n["loading"][at], n["drift"][at]
        if one == cells.n_rows:
            return middle, variance, loading, drift

        def summed(x: Any) -> Any:
            return segment_sum(x, cells.row, cells.n_rows - one)

        mean = jnp.exp(middle[one:] + variance[one:] / 2)
        whole = summed(mean)
        spread = jnp.log(1 + summed(mean**2 * (jnp.exp(variance[one:]) - 1)) / whole**2)
        return (
            jnp.concatenate([middle[:one], jnp.log(whole) - spread / 2]),
            jnp.concatenate([variance[:one], spread]),
            jnp.concatenate([loading[:one], summed(mean * loading[one:]) / whole]),
            jnp.concatenate([drift[:one], summed(mean * drift[one:]) / whole]),
        )

    def by_stage(name: str, law: Any, sd: float) -> Any:
        """A number for each stage about the shop's own."""
        shop = numpyro.sample(f"{name} of the shop", law)
        z = numpyro.sample(f"{name} z", dist.Normal(0, 1).expand([stages]))
        return shop + sd * z

    def model() -> None:
        lean = numpyro.sample("lean", dist.Normal(0, 0.2))
        scale = numpyro.sample("scale", dist.LogNormal(math.log(1.5), 0.4))
        z = numpyro.sample("z", dist.Normal(0, 1).expand([parts]))
        own = terms.rate_own
        sd = terms.rate_sd * jnp.where(own > 0, scale, 1.0)
        n = {
            "log_rate": numpyro.deterministic(
                "log_rate", np.nan_to_num(terms.rate_centre) + own * lean + sd * z
            ),
            "loading": numpyro.deterministic(
                "loading", jnp.exp(by_stage("log loading", dist.Normal(math.log(0.15), 0.4), 0.4))
            ),
            "noise": numpyro.deterministic(
                "noise", jnp.exp(by_stage("log noise", dist.Normal(math.log(0.28), 0.4), 0.4))
            ),
            "drift": by_stage("drift", dist.Normal(0, 0.15), 0.05),
        }
        sizes = []
        for i in range(conditions):
            centre, width, mine = terms.condition_centre[i], terms.condition_sd[i], terms.condition_own[i]
            law = (
                dist.TruncatedNormal(centre + mine * lean, width * (scale if mine else 1.0), low=0.0)
                if terms.condition_ruled[i]
                else dist.LogNormal(centre, width)
            )
            sizes.append(terms.condition_sign[i] * numpyro.sample(f"size {i}", law))
        n["effect"] = numpyro.deterministic("effect", jnp.array(sizes))
        if len(others.names):
            typical = others.of_rates.toarray() @ n["log_rate"] + others.of_effects.toarray() @ n["effect"]
            typical = typical + others.of_rows.toarray() @ rows(terms.typical, n)[0]
            wide = others.omega * jnp.where(others.own > 0, scale, 1.0)
            numpyro.sample("rules", dist.Normal(typical - others.own * lean, wide), obs=others.centre)
        pace = numpyro.sample("pace", dist.Normal(0, 1).expand([boards]))
        middle, variance, loading, drift = rows(table.cells, n)
        middle = middle + drift * table.years + loading * pace[table.board]
        numpyro.sample("hours", dist.Normal(middle, jnp.sqrt(variance + table.rounding)), obs=table.log_hours)
        if (hand := table.in_hand) is not None:
            middle, variance, loading, drift = rows(hand.cells, n)
            middle = middle + drift * hand.years + loading * pace[hand.boards[hand.board]]
            chance = log_ndtr((middle - hand.log_hours) / jnp.sqrt(variance))
            numpyro.factor("in hand", chance.sum())

    return model


def learned_from(draws: Mapping[str, Array], ours: SavedFit, part: slice = slice(None)) -> SavedFit:
    """The long run's draws as a saved fit."""
    names = ("log_rate", "effect", "loading", "noise", "lean", "scale")
    return replace(ours, **{name: draws[name][part] for name in names})


def points(learned: SavedFit, works: list[Work], n: int = FORECASTS) -> Array:
    """Points of the hours of boards to come, shape (boards, points)."""
    return np.array(
        [
            np.quantile(draw_hours(learned, work, np.random.default_rng(j), n).total, POINTS)
            for j, work in enumerate(works)
        ]
    )


def compare(name: str) -> None:
    """Prints one case."""
    log, settings, works = case_of(name)
    table = table_of(log, settings)
    terms = terms_of(table, log, settings)
    begun = time.process_time()
    draws = long_run(table, terms)
    long = time.process_time() - begun
    ours, seconds = [], []
    for seed in range(SEEDS):
        begun = time.process_time()
        learned = fit(log, settings, seed=seed)
        seconds.append(time.process_time() - begun)
        ours.append(np.log(points(learned, works)))
    half = len(draws["lean"]) // 2
    first, second = (
        np.log(points(learned_from(draws, learned, part), works))
        for part in (slice(0, half), slice(half, None))
    )
    known = np.log(points(learned_from(draws, learned), works))
    off = 100 * np.abs(np.array(ours) - known)
    mine = 100 * np.array(ours).std(axis=0, ddof=1)
    bias = 100 * np.abs(np.mean(ours, axis=0) - known)
    print(
        f"{name:24s} differ: mean {off.mean():.2f} % largest {off.max():.2f} %; our seeds' sd: mean {mine.mean():.2f} % "
        f"largest {mine.max():.2f} %; mean of seeds differs: mean {bias.mean():.2f} % largest {bias.max():.2f} %; "
        f"halves of the long run: largest {100 * np.abs(first - second).max():.2f} %, R-hat at most "
        f"{draws['worst']:.3f}, effective draws at least {draws['least']:.0f}; "
        f"{np.mean(seconds):.2f} s of processor against {long:.0f} s: ratio {long / np.mean(seconds):.0f}",
        flush=True,
    )


if __name__ == "__main__":
    for case in CASES:
        if case == (sys.argv[1] if len(sys.argv) > 1 else case):
            compare(case)

"""What materials cost: so much a unit of each driver, learned from finished boards whose materials are written.

Materials = (sum of costs × quantities) × luck, all costs above nothing. Before any board tells, a unit costs as much as
the hours that it usually takes would by the lent share of materials in a price; boards move all costs together first,
and each by itself as far as they tell of it.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from estimator.log.money import with_money
from estimator.model.quantities import happens
from estimator.model.saved_fit import Array, Materials, SavedFit
from estimator.words.odds import z_of
from estimator.words.records import FINISHED, Log
from estimator.words.settings.schema import ONCE, Settings

SHARE = (0.08, 0.20)  # of a price, 8 times in 10: common practice, no source
SHARE_WORTH = 5.0  # boards that the lent share counts for where the shop's own is worked out
EACH_SD = 0.7  # of a log cost a unit, about what its hours would have it
LUCK, LUCK_WORTH = 0.25, 4.0  # log-sd of luck before any board tells, and boards that it counts for
TOOK_WORTH = 4.0  # boards that took some, lent: one that took none does not say that the next does
ROUNDS, CLOSE, LONGEST = 100, 1e-7, 2.0


def lent_per_hour(target: float) -> tuple[float, float]:
    """Mean and sd of the log of materials an hour of work, from the lent share of a price that pays `target` an hour.

    >>> mean, sd = lent_per_hour(42.0)
    >>> [round(42 / (1 + 42 / math.exp(mean + z * sd)) / 42, 3) for z in (-1.2816, 1.2816)]
    [0.08, 0.2]
    """
    low, high = (math.log(share / (1 - share)) for share in SHARE)
    return (low + high) / 2 + math.log(target), (high - low) / (2 * z_of(0.8))


def learn_materials(fit: SavedFit, settings: Settings) -> Materials | None:
    """What the boards of a fit tell of materials; None where none of them tells.

    A finished board tells where its materials are written and every quantity is known that hours hang on; others are
    counted. Boards that took no materials at all are a share of their own; where no pay is wanted and no board took
    any, nothing tells what the next would take, and it takes none.
    """
    drivers = costing(settings)
    finished = [board for board in fit.boards if board.state == FINISHED]
    written = [board for board in finished if board.materials is not None]
    told = [board for board in written if all(d in board.turned_out for d in drivers[1:])]
    if not told:
        return None
    took = [board for board in told if board.materials]
    spent = np.array([board.materials for board in took], dtype=float)
    amounts = np.array([amounts_of(drivers, b.turned_out) for b in took]).reshape(len(took), len(drivers))
    hours = _hours_of_a_unit(fit, drivers, settings)
    target = settings.workshop.target_pay
    usual = amounts @ hours
    lent = lent_per_hour(target or 1.0)
    if not target and took:  # then nothing but the boards themselves tells how much an hour's work takes
        lent = float(np.mean(np.log(spent / usual))), lent[1]
    log_cost, root, luck = _likeliest(amounts, np.log(spent), np.log(hours) + lent[0], lent[1])
    worked = [
        usual_ if board.hours is None else board.hours for board, usual_ in zip(took, usual, strict=True)
    ]
    return Materials(
        drivers=drivers,
        log_cost=log_cost,
        root=root,
        luck=luck,
        free=(len(told) - len(took)) / (len(told) + (TOOK_WORTH if took or target else 0.0)),
        per_hour=_share(np.log(spent) - np.log(worked), lent),
        boards=len(told),
        without=len(finished) - len(written),
        unknown=len(written) - len(told),
    )


def costing(settings: Settings) -> tuple[str, ...]:
    """What materials are spent on: every board alike (`once`), and each driver that hours of a stage hang on."""
    used = {driver for stage in settings.stages.values() for driver in stage.work}
    return (ONCE, *(driver for driver in settings.drivers if driver in used))


def amounts_of(drivers: tuple[str, ...], values: Mapping[str, float]) -> list[float]:
    """How much of each driver a board has; 1 for what every board has."""
    return [1.0 if driver == ONCE else values[driver] for driver in drivers]


def expected_uses(fit: SavedFit, log: Log, settings: Settings) -> dict[str, float]:
    """What each board of which the amounts are known is expected to use of materials, by boards that shared none.

    log: as it was fitted. Where no such board tells of materials, in hours of work, with which they go.
    """
    own = with_money(log, None).by_id
    boards = tuple(replace(b, materials=own[b.board].materials) for b in fit.boards if b.board in own)
    fit = replace(fit, boards=boards)
    learned, drivers = learn_materials(fit, settings), costing(settings)
    costs = _hours_of_a_unit(fit, drivers, settings) if learned is None else np.exp(learned.log_cost)
    return {
        b.board: float(f"{float(np.dot(amounts_of(drivers, b.turned_out), costs)):.6g}")
        for b in boards
        if all(driver in b.turned_out for driver in drivers[1:])
    }


def _hours_of_a_unit(fit: SavedFit, drivers: tuple[str, ...], settings: Settings) -> Array:
    """Hours that a unit of each driver usually takes, in all stages together; for `once`, the set-up of any board.

    Where nothing tells of a driver's hours it is the middle of the others'.
    """
    untold = set(fit.untold)
    hours = dict.fromkeys(drivers, 0.0)
    for (stage, driver), rate in fit.mean_rates.items():
        always = driver != ONCE or happens(settings.stages[stage], {}) is True
        if driver in hours and always and (stage, driver) not in untold:
            hours[driver] += rate
    known = [much for much in hours.values() if much > 0]
    middle = float(np.median(known)) if known else 1.0
    return np.array([much or middle for much in hours.values()])


def _share(ratios: Array, lent: tuple[float, float]) -> tuple[float, float]:
    """Log mean and log-sd of materials an hour for one more board: the lent ones, then those of the boards."""
    n, (mean, sd) = len(ratios), lent
    own = (SHARE_WORTH * mean + float(ratios.sum())) / (SHARE_WORTH + n)
    squares = SHARE_WORTH * (sd**2 + (mean - own) ** 2) + float(((ratios - own) ** 2).sum())
    return own, math.sqrt(squares / (SHARE_WORTH + n) * (1 + 1 / (SHARE_WORTH + n)))


def _likeliest(
    amounts: Array, log_spent: Array, log_cost: Array, together: float
) -> tuple[Array, Array, float]:
    """The likeliest log costs, the root of their variance, and the log-sd of the luck of one more board.

    amounts: (n_boards, n_drivers); log_cost: what is believed before, with sd `together` in common and EACH_SD apart
    By Gauss and Newton's steps, luck by its variance less what the costs took of it (MacKay 1992, Neural Computation
    4:415-447).
    """
    n, k = amounts.shape
    precision = np.linalg.inv(EACH_SD**2 * np.eye(k) + together**2)
    variance, at = LUCK**2, log_cost.copy()

    def left(at: Array) -> tuple[Array, Array]:
        work = amounts * np.exp(at)
        whole = work.sum(axis=1)
        return log_spent - np.log(whole), work / whole[:, None]

    def cost(at: Array) -> float:
        off = at - log_cost
        return float((left(at)[0] ** 2).sum() / variance + off @ precision @ off)

    for _ in range(ROUNDS):
        rest, slopes = left(at)
        told = slopes.T @ slopes / variance
        step = np.linalg.solve(told + precision, slopes.T @ rest / variance - precision @ (at - log_cost))
        step *= min(1.0, LONGEST / max(float(np.abs(step).max()), 1e-300))
        now = cost(at)
        while cost(at + step) > now and np.abs(step).max() > CLOSE:
            step = step / 2
        at = at + step
        rest, slopes = left(at)
        told = slopes.T @ slopes / variance
        taken = float(np.trace(np.linalg.solve(told + precision, told)))
        spare = LUCK_WORTH + n - min(taken, n)
        before, variance = variance, (LUCK_WORTH * LUCK**2 + float(rest @ rest)) / spare
        if np.abs(step).max() < 1e-5 and abs(variance - before) < 1e-5 * before:
            break
    spread = np.linalg.inv(slopes.T @ slopes / variance + precision)
    root: Array = np.linalg.cholesky((spread + spread.T) / 2).astype(np.float64)
    return at, root, math.sqrt(variance * spare / (spare - 2))

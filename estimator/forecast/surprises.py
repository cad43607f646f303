"""Hidden work: what turns out beyond what could be seen, drawn from past boards alike in what was seen.

All of a past board's surprises are drawn together, because water, pieces and blocks go together. A draw is either
one past board of the same sort, by its likeness, or a board on which nothing was hidden. The latter counts for many
boards where hidden work makes little difference beside plain luck, so that it does no harm, and for few where it
makes much. A grade that boards stand by, as wet foam does, moves days where it hardly moves hours, so it is drawn more
often: as often as past boards had it, and before any is known as often as is usual. What an owner asked for later is
no surprise.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from estimator.forecast.draws import usual_hours
from estimator.log.parse.cells import AREAS
from estimator.model.saved_fit import Array, KnownBoard, SavedFit
from estimator.words.records import FINISHED
from estimator.words.settings.schema import Settings

# boards that one on which nothing was hidden counts for, where hidden work matters as much as luck does
LIGHT_HAND = 20.0
LEAST, MOST = 2.0, 200.0  # of such boards
SESSIONS = 8  # stages of about equal hours that a board usually has, for how much plain luck evens out
# boards on which a grade that one stands by is one step worse than it looked, and on which it is not, before any is
# known: one in five (common practice, no source)
WORSE, AS_JUDGED = 1.0, 4.0
ALIKE_AT_LEAST = 10.0  # past boards that count, where there are so many


def known_from(name: str, settings: Settings) -> str:
    """When a quantity's value is sure: asked, or the stage whose end shows it."""
    return settings.drivers[name].known if name in settings.drivers else settings.modifiers[name].known


def donors(fit: SavedFit, kind: str, settings: Settings) -> list[KnownBoard]:
    """Past boards of a sort on which all that was judged and a stage shows was written as it turned out."""
    shown = [q for q in (*settings.drivers, *settings.modifiers) if known_from(q, settings) != "asked"]
    return [
        board
        for board in fit.boards
        if board.state == FINISHED
        and (not kind or board.kind == kind)
        and all(q in board.found for q in shown if q in board.assessed)
        and any(q in board.assessed for q in shown)
    ]


def surprised(
    fit: SavedFit,
    board: KnownBoard,
    unsure: Sequence[str],
    settings: Settings,
    rng: np.random.Generator,
    n: int,
) -> dict[str, Array]:
    """Quantities of a board by draw, (n,) each, for those of `unsure` that ever turned out otherwise.

    unsure: quantities that were judged and may turn out otherwise; each is in `board.assessed`
    """
    past = donors(fit, board.kind, settings)
    hidden = {q: np.array([_hidden(other, board, q, settings) for other in past]) for q in unsure}
    graded = {modifier for stage in settings.stages.values() for modifier in stage.wait_by}
    moving = {q: amounts for q, amounts in hidden.items() if amounts.any() or q in graded}
    if not moving:
        return {}
    alike = likeness(board, past) if past else np.zeros(0)
    light = nothing_hidden(fit, past, settings) if past else MOST
    counts = np.append(alike, light)
    pick = rng.choice(len(counts), n, p=counts / counts.sum())
    drawn, wanted = {}, board.wanted
    for q, amounts in moving.items():
        more = np.append(amounts, 0.0)[pick]
        if q in graded:
            more = np.where(pick == len(past), _grades_more(alike, light, amounts, rng, n), more)
        value = np.maximum(wanted[q] + more, 0.0)
        drawn[q] = np.minimum(value, settings.modifiers[q].highest) if q in settings.modifiers else value
    for name in board.worked_out:
        times = settings.drivers[name].times
        if times in drawn and wanted[times] > 0:
            drawn[name] = wanted[name] * drawn[times] / wanted[times]
    return drawn


def _grades_more(alike: Array, light: float, steps: Array, rng: np.random.Generator, n: int) -> Array:
    """Steps by which a grade turns out worse in draws without hidden work, (n,).

    alike: how much each past board counts; light: one on which nothing was hidden; steps: of each past board

    So many that over all draws past boards count as they do beside WORSE and AS_JUDGED alone, never less often than
    with their hidden work.
    """
    past = float(alike.sum())
    with_work = past / (past + light)
    besides = max(past / (past + WORSE + AS_JUDGED) - with_work, 0.0)
    left = (1 - with_work - besides) / (WORSE + AS_JUDGED)
    counts = np.concatenate([alike * besides / max(past, 1e-9), [left * WORSE, left * AS_JUDGED]])
    return np.asarray(np.append(steps, [1.0, 0.0])[rng.choice(len(counts), n, p=counts / counts.sum())])


def nothing_hidden(fit: SavedFit, past: Sequence[KnownBoard], settings: Settings) -> float:
    """For how many boards one counts on which nothing was hidden: twenty, times luck over hidden work.

    Both as variances of log hours: of what past boards usually take as found against as judged, and of a board's
    pace and noise.
    """
    ratios = []
    for board in past:
        judged, found = usual_hours(fit, board.assessed, settings).sum(), _without_later(board)
        took = judged if found == board.assessed else usual_hours(fit, found, settings).sum()
        if judged > 0 and took > 0:
            ratios.append(np.log(took / judged))
    hidden = float(np.mean(np.square(ratios))) if ratios else 0.0
    luck = float(fit.loading.mean() ** 2 + (fit.noise**2).mean() / SESSIONS)
    return float(np.clip(LIGHT_HAND * luck / max(hidden, 1e-9), LEAST, MOST))


def _without_later(board: KnownBoard) -> dict[str, float]:
    """A board's quantities as they turned out, less what was asked for later."""
    return {name: max(value - board.later.get(name, 0.0), 0.0) for name, value in board.turned_out.items()}


def likeness(board: KnownBoard, past: Sequence[KnownBoard]) -> Array:
    """How much each past board counts, between 0 and 1, by what could be seen of it (Gower distance).

    The kernel is as narrow as it can be while ten boards count, or all where there are fewer.

    Source: J. C. Gower (1971), Biometrics 27:857-871.
    """
    names = [q for q in board.assessed if all(q in other.assessed for other in past)]
    here = np.array([board.assessed[q] for q in names] + [board.length_m or 0.0])
    there = np.array([[o.assessed[q] for q in names] + [o.length_m or here[-1]] for o in past])
    reach = np.ptp(np.vstack([there, here]), axis=0)
    apart = (np.abs(there - here) / np.where(reach > 0, reach, 1.0)).mean(axis=1)
    wanted = min(ALIKE_AT_LEAST, len(past))
    for width in np.geomspace(0.01, 10, 40):
        weight = np.exp(-0.5 * (apart / width) ** 2)
        if weight.sum() > 1e-9 and weight.sum() ** 2 / (weight**2).sum() >= 0.999 * wanted:
            break
    return np.asarray(weight / weight.max())


def _hidden(other: KnownBoard, board: KnownBoard, name: str, settings: Settings) -> float:
    """How much more of a quantity a past board had than was seen, less what was asked for later.

    Areas are carried over by the size of the boards' faces.
    """
    if name not in other.found or name not in other.assessed or name in other.worked_out:
        return 0.0
    more = other.found[name] - other.later.get(name, 0.0) - other.assessed[name]
    here, there = board.face_m2, other.face_m2
    if name in settings.drivers and settings.drivers[name].unit in AREAS and here and there:
        more *= here / there
    return more

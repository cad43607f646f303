"""What an answer rests on: past boards, rules, the boards most alike, and whether it lies outside them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from estimator.forecast.draws import Work
from estimator.forecast.ranges import Alike, Outside
from estimator.forecast.usual import usual_hours
from estimator.model.saved_fit import Array, KnownBoard, SavedFit
from estimator.words.plain import say_value
from estimator.words.settings import Settings

MOST_ALIKE = 3
SLACK = 1e-6  # relative; a value equal to the largest seen is not beyond it
APART = 1e-3  # of sd; by so much quantities that always went together may differ


def rests_on(fit: SavedFit, stages: Sequence[str]) -> tuple[int, int, int]:
    """How many past boards, how many rules, and how many lent ones among them, speak of the stages."""
    boards = sum(bool(set(board.taught) & set(stages)) for board in fit.boards)
    speaking = [lent for _, lent, stage in fit.rules if not stage or stage in stages]
    return boards, len(speaking), sum(speaking)


def alike(fit: SavedFit, board: KnownBoard, work: Work, settings: Settings) -> tuple[Alike, ...]:
    """The three past boards whose stages should have taken the most similar hours, and what differed.

    Alikeness is the sum over stages of the difference of usual hours, so that a driver counts by the hours that
    it makes.
    """
    values = {q: float(np.mean(v)) for q, v in work.values.items()}
    here = usual_hours(fit, values, settings)
    past = [
        (float(np.abs(usual_hours(fit, other.turned_out, settings) - here).sum()), i)
        for i, other in enumerate(fit.boards)
        if other.hours and other.board != board.board and other.taught
    ]
    return tuple(
        Alike(
            other.board,
            other.called,
            float(other.hours or 0.0),
            _differs(values, other.turned_out, fit, settings),
        )
        for other in (fit.boards[i] for _, i in sorted(past)[:MOST_ALIKE])
    )


def _differs(here: Mapping[str, float], there: Mapping[str, float], fit: SavedFit, settings: Settings) -> str:
    """The quantity that made the largest difference in hours, as that board had it; empty where none did."""
    whole = float(usual_hours(fit, here, settings).sum())
    best, words = 0.5, ""
    for name in (*settings.drivers, *settings.modifiers):
        if name not in there or abs(there[name] - here.get(name, 0.0)) < SLACK:
            continue
        changed = float(usual_hours(fit, {**here, name: there[name]}, settings).sum())
        if abs(changed - whole) > best:
            best = abs(changed - whole)
            if name in settings.modifiers:
                words = (
                    f"{settings.quantity_label(name)}: {_grade(there[name], settings.modifiers[name].grades)}"
                )
            else:
                words = (
                    f"{settings.quantity_label(name)}: {_amount(there[name], settings.drivers[name].unit)}"
                )
    return words


def _amount(value: float, unit: str) -> str:
    """A quantity in words; one with a unit to a tenth, and never to nothing."""
    return say_value(max(round(value, 1), 0.1) if unit and value else value, unit)


def _grade(value: float, grades: tuple[str, ...]) -> str:
    """A condition in words."""
    return say_value(round(value), "", grades or ("no", "yes"))


def outside(fit: SavedFit, board: KnownBoard, work: Work, settings: Settings) -> tuple[Outside, ...]:
    """Drivers of a board that past boards never had, or never had together.

    Beyond: more than the most, or less than the least above none, of any past board whose hours tell of the driver.
    Together: each is within, but the leverage x'(X'X)^-1 x is above that of every past board (hidden extrapolation).
    Empty with no past board, where the answer rests on rules and says so.

    Source: Montgomery, Peck & Vining (2012), Introduction to Linear Regression Analysis, section 3.8.
    """
    past = [other for other in fit.boards if other.taught and other.board != board.board]
    if not past:
        return ()
    used = [d for d in settings.drivers if any(d in stage.drivers for stage in settings.stages.values())]
    fixed = {d: work.values.get(d, 0.0) for d in used}
    judged = {d: board.assessed.get(d) if np.ndim(v) else float(v) for d, v in fixed.items()}
    here = {d: value for d, value in judged.items() if value is not None}
    known = list(here)
    found = []
    lengths = [other.length_m for other in past if other.length_m]
    if board.length_m and lengths and not min(lengths) - 1e-6 <= board.length_m <= max(lengths) + 1e-6:
        found.append(Outside("length", board.length_m, min(lengths), max(lengths), "beyond"))
    for driver in known:
        taught = {stage.name for stage in settings.stages.values() if driver in stage.drivers}
        seen = [
            had
            for other in past
            if (had := other.turned_out.get(driver, 0.0)) > 0 and taught & {*other.taught}
        ]
        low, high = min(seen, default=0.0), max(seen, default=0.0)
        if here[driver] > 0 and not low * (1 - SLACK) <= here[driver] <= high * (1 + SLACK):
            found.append(Outside(driver, here[driver], low, high, "beyond"))
    if not any(o.driver != "length" for o in found):
        found.extend(_together([other.turned_out for other in past], here, known))
    return tuple(found)


def _together(past: list[dict[str, float]], here: Mapping[str, float], drivers: list[str]) -> list[Outside]:
    """Drivers whose mix is unusual: without any one of them the rest would be within past experience."""
    whole = [v for v in past if all(d in v for d in drivers)]
    if not _hidden(whole, here, drivers):
        return []
    carrying = [d for d in drivers if not _hidden(whole, here, [o for o in drivers if o != d])]
    if not carrying:
        carrying = [d for d in drivers if here[d] > 0]
    columns = {d: [v[d] for v in whole] for d in carrying}
    return [Outside(d, here[d], min(columns[d]), max(columns[d]), "together") for d in carrying]


def _hidden(past: list[dict[str, float]], here: Mapping[str, float], drivers: list[str]) -> bool:
    """Whether the leverage of `here` is above the largest of the past; False where too few boards can tell.

    Quantities that always went together, and do not here, have a leverage without bounds.
    """
    if not past or not drivers:
        return False
    table = np.array([[v[d] for d in drivers] for v in past])
    centre, scale = table.mean(axis=0), table.std(axis=0)
    moving = scale > 1e-9 * np.maximum(np.abs(centre), 1.0)
    if len(past) <= moving.sum() + 2:
        return False
    design = (table[:, moving] - centre[moving]) / scale[moving]
    point = (np.array([here[d] for d in drivers])[moving] - centre[moving]) / scale[moving]
    left, size, axes = np.linalg.svd(design, full_matrices=False)
    kept = size > 1e-6 * max(size.max(initial=0.0), 1.0)
    apart = point - axes[kept].T @ (axes[kept] @ point)
    if (apart**2).sum() > APART**2 * max((point**2).sum(), 1.0):
        return True
    largest = float((left[:, kept] ** 2).sum(axis=1).max(initial=0.0))
    return bool(((axes[kept] @ point / size[kept]) ** 2).sum() > largest * (1 + 1e-9))


def leverage(past: Array, here: Array) -> tuple[float, float]:
    """The leverage of one point and the largest of the past, with an intercept; for checks against tables.

    past: (n, k) in any units; here: (k,)
    """
    centre, scale = past.mean(axis=0), past.std(axis=0)
    left, size, axes = np.linalg.svd((past - centre) / scale, full_matrices=False)
    point = axes @ ((here - centre) / scale) / size
    return float((point**2).sum() + 1 / len(past)), float((left**2).sum(axis=1).max() + 1 / len(past))

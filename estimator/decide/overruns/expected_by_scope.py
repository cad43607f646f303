"""What finished boards would usually take at their own date: as they looked, without what was asked for since, in all.

The usual hours M of a board are the median of the sum of its stages, at the mean of their logs over all that is
known of the rates. In a small log they are learned without the board itself, or it would be held against its own hours.
"""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from estimator.log.stage_hours import StageHours, stage_hours
from estimator.model.fit import MANY_ROWS
from estimator.model.levels import drawn, likeliest, likeliest_near
from estimator.model.likelihood import Density
from estimator.model.matrices import DAYS_IN_A_YEAR, CellBuilder, Layout, table_of
from estimator.model.posterior import Posterior
from estimator.model.priors import terms_of
from estimator.model.quantities import as_it_turned_out, happens, modifiers_of, typical_grades, work_of
from estimator.model.saved_fit import UNPLANNED, Array
from estimator.model.stage_sums import Numbers, sums
from estimator.words.records import Board, Log, Rule
from estimator.words.settings.schema import Settings, Stage

N_DRAWS = 512
N_DOUBTS = 128  # of them, kept board by board to say how sure anything is
FEW_BOARDS = 40  # with fewer, each board's usual hours are learned without it
AT_ONCE = 300  # boards
NOTHING = 1e12  # variance of log hours that tell nothing
LOOKED, BEFORE, IN_ALL = VIEWS = ("looked", "before", "in all")

Hours = Mapping[str, float]


@dataclass(frozen=True, slots=True)
class ExpectedHours:
    """Usual hours of one board by stage, as of its own date; each mapping sums to the board's usual hours.

    looked: of the quantities as judged; before: of all that turned out but for what was asked for since; in_all: of
    all that turned out
    doubt: (3, n_draws), how far the log of each sum may lie from what is said here, by the same draws for all boards
    """

    looked: Hours
    before: Hours
    in_all: Hours
    doubt: Array = field(compare=False, repr=False)


def usual_then(
    log: Log,
    settings: Settings,
    boards: Sequence[Board],
    *,
    as_of: dt.date | None = None,
    rules: Sequence[Rule] | None = None,
    seed: int = 0,
) -> dict[str, ExpectedHours | None]:
    """By board its usual hours; None where a quantity is not known, or nothing was to do as it looked.

    boards: finished ones of the log; rules: stand in for the settings' own where given

    Raises NoAnswerError where the likeliest rates cannot be found.
    """
    table = table_of(log, settings, as_of=as_of)
    worked = stage_hours(log.entries, log.by_id, settings.stages, log.partial)
    typical = typical_grades(log.boards, settings)
    plans = {b.board: _plans(b, worked.get(b.board, ()), settings, typical) for b in boards}
    years = {b.board: _years(b, worked.get(b.board, ()), table.as_of) for b in boards}
    wanted = {board: plan for board, plan in plans.items() if plan is not None}
    found: dict[str, ExpectedHours | None] = dict.fromkeys(plans)
    if not wanted:
        return found
    density = Density(table, terms_of(table, log, settings, rules))
    posterior = likeliest(density)
    many = table.cells.n_single > MANY_ROWS
    rng = np.random.default_rng([seed, 5])
    draws = posterior.draws(N_DRAWS, rng) if many else drawn(density, posterior, N_DRAWS, rng).draws
    whole = _hours(table.layout, wanted, years, density.numbers(draws))
    if np.unique(table.board).size >= FEW_BOARDS:
        return found | whole
    rough = _hours(table.layout, wanted, years, _roughly(density, posterior, seed))
    place = {name: at for at, name in enumerate(table.boards)}
    for board, plan in wanted.items():
        blind, near = _without(density, posterior, place[board])
        alone = _hours(table.layout, {board: plan}, years, _roughly(blind, near, seed))
        found[board] = _times(whole[board], alone[board], rough[board])
    return found


def _roughly(density: Density, posterior: Posterior, seed: int) -> Numbers:
    """Draws of the normal approximation, by the same luck each time."""
    return density.numbers(posterior.draws(N_DRAWS, np.random.default_rng([seed, 6])))


def _times(whole: ExpectedHours, without: ExpectedHours, rough: ExpectedHours) -> ExpectedHours:
    """Usual hours as all boards tell them, times what leaving the board out changes in the normal approximation.

    Where the approximation has no hours for a stage, or for the board, it tells nothing, and they stay as they are.
    """

    def changed(of: Hours, by: Hours, over: Hours) -> Hours:
        stages = {
            stage: hours * by[stage] / over[stage] if by[stage] and over[stage] else hours
            for stage, hours in of.items()
        }
        sums = [math.fsum(hours.values()) for hours in (of, by, over, stages)]
        if not all(sums):
            return of
        return {stage: hours * sums[0] * sums[1] / sums[2] / sums[3] for stage, hours in stages.items()}

    return ExpectedHours(
        looked=changed(whole.looked, without.looked, rough.looked),
        before=changed(whole.before, without.before, rough.before),
        in_all=changed(whole.in_all, without.in_all, rough.in_all),
        doubt=whole.doubt,
    )


def _without(density: Density, posterior: Posterior, board: int) -> tuple[Density, Posterior]:
    """The same density and its normal approximation where one board's hours tell nothing."""
    table = density.table
    rounding = np.where(table.board == board, NOTHING, table.rounding)
    blind = Density(replace(table, rounding=rounding), density.terms)
    return blind, likeliest_near(blind, posterior.mode, posterior.root)


Cell = tuple[str, Mapping[str, float], Mapping[str, float]]  # stage, work by driver, grades by condition
Plans = Mapping[str, Sequence[Cell]]  # by view


def before_later(board: Board, settings: Settings) -> dict[str, float]:
    """All that turned out, less what was asked for since, and never below nought.

    An area that follows from a number of faces lessens with it.
    """
    turned_out = turned_out_in_all(board)
    values = {name: max(value - board.later.get(name, 0.0), 0.0) for name, value in turned_out.items()}
    for name, driver in settings.drivers.items():
        if driver.times in board.later and name in values and name not in board.later:
            faces = turned_out.get(driver.times, 0.0)
            values[name] *= values[driver.times] / faces if faces else 1.0
    return values


def turned_out_in_all(board: Board) -> dict[str, float]:
    """What turned out, else what was judged with what was asked for since; else what was asked for alone."""
    return {**board.later, **as_it_turned_out(board)}


def _plans(
    board: Board, worked: tuple[StageHours, ...], settings: Settings, typical: Mapping[str, float]
) -> Plans | None:
    """The cells of a board in each view; None where they are not known.

    What nobody wrote of how it looked counts as it turned out; a condition, as is usual.
    """
    booked = {has.stage for has in worked}
    in_all, before = turned_out_in_all(board), before_later(board, settings)
    looked = {name: value for name, value in before.items() if name in settings.drivers} | dict(
        board.assessed
    )
    plans = {}
    for view, values in ((LOOKED, looked), (BEFORE, before), (IN_ALL, in_all)):
        cells = []
        for stage in settings.stages.values():
            seen = stage.name in booked and view != LOOKED
            if seen and view == BEFORE:
                seen = not _asked_later(stage, board, in_all, before)
            on, work = _work(stage, values, booked=seen)
            if on is None:
                return None
            if on:
                grades = {m: values.get(m, typical[m]) for m in modifiers_of(stage.name, settings)}
                cells.append((stage.name, work, grades))
        if not cells:
            return None
        plans[view] = cells
    return plans


def _asked_later(
    stage: Stage, board: Board, in_all: Mapping[str, float], before: Mapping[str, float]
) -> bool:
    """Whether a stage is there only because of what was asked for since."""
    if stage.sometimes:
        return board.later.get(stage.name, 0.0) > 0
    return happens(stage, in_all) is True and happens(stage, before) is False


def _work(stage: Stage, values: Mapping[str, float], *, booked: bool) -> tuple[bool | None, dict[str, float]]:
    """Whether a stage happens, None where that or its work is not known, and its work by driver."""
    on = happens(stage, values, booked=booked)
    if on is False and booked:
        return True, {UNPLANNED: 1.0}
    if on is None:
        return (False if stage.sometimes else None), {}
    work = work_of(stage, values) if on else {}
    return (None, {}) if work is None else (on, work)


def _hours(
    layout: Layout, plans: Mapping[str, Plans], years: Mapping[str, float], numbers: Numbers
) -> dict[str, ExpectedHours]:
    """Usual hours of boards by the numbers drawn, so many boards at once that memory stays in bounds."""
    items, found = list(plans.items()), dict[str, ExpectedHours]()
    for first in range(0, len(items), AT_ONCE):
        found |= _some_hours(layout, dict(items[first : first + AT_ONCE]), years, numbers)
    return found


def _some_hours(
    layout: Layout, plans: Mapping[str, Plans], years: Mapping[str, float], numbers: Numbers
) -> dict[str, ExpectedHours]:
    """The same for a few boards."""
    rows = [(board, view, plan[view]) for board, plan in plans.items() for view in VIEWS]
    rows.sort(key=lambda row: len(row[2]) > 1)
    builder = CellBuilder(layout)
    of_cell = []
    for at, (_, _, cells) in enumerate(rows):
        for stage, work, grades in cells:
            builder.add(at, stage, work, grades)
            of_cell.append((at, stage))
    made = builder.freeze(len(rows))
    then = np.array([years[board] for board, _, _ in rows])
    s = sums(made, numbers)
    log_whole = s.log_median + s.drift * then[:, None]
    middle = log_whole.mean(axis=1, keepdims=True)
    whole, doubt = np.exp(middle[:, 0]), (log_whole - middle)[:, :N_DOUBTS]
    alone = np.log(s.plain) + (made.grades @ numbers.effect if made.grades.nnz else 0.0)
    by_stage: Array = np.exp(
        (alone + numbers.drift[made.stage] * then[[at for at, _ in of_cell]][:, None]).mean(axis=1)
    )
    together = np.bincount([at for at, _ in of_cell], by_stage, len(rows))
    hours: dict[str, dict[str, dict[str, float]]] = {board: {view: {} for view in VIEWS} for board in plans}
    for (at, stage), alone_h in zip(of_cell, by_stage.tolist(), strict=True):
        board, view, _ = rows[at]
        hours[board][view][stage] = alone_h * float(whole[at] / together[at])
    place = {(board, view): at for at, (board, view, _) in enumerate(rows)}
    return {
        board: ExpectedHours(h[LOOKED], h[BEFORE], h[IN_ALL], doubt[[place[board, view] for view in VIEWS]])
        for board, h in hours.items()
    }


def _years(board: Board, worked: tuple[StageHours, ...], as_of: dt.date | None) -> float:
    """Years from the as-of date back to the middle of a board's hours, or to halfway between its dates; <= 0."""
    if as_of is None:
        return 0.0
    total = sum(has.hours for has in worked)
    if total:
        back = sum((has.middle - as_of).days * has.hours for has in worked) / total
    else:
        first = board.started or board.accepted or board.quoted or board.asked
        last = board.ready or board.collected or board.paid_on
        days = [day for day in (first, last) if day is not None]
        back = sum((day - as_of).days for day in days) / len(days) if days else 0.0
    return min(back, 0.0) / DAYS_IN_A_YEAR

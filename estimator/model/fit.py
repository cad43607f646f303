"""Settings and a log in, what was learned out."""

from __future__ import annotations

import datetime as dt
import math
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from estimator.log.money import shared, with_money
from estimator.log.stage_hours import StageHours, stage_hours
from estimator.model.levels import drawn, likeliest, likeliest_near
from estimator.model.likelihood import Density
from estimator.model.materials import expected_uses, learn_materials
from estimator.model.matrices import Layout, RowTable, Worked, coarseness, grain_of, table_of
from estimator.model.posterior import CLOSE, Corrected, Posterior
from estimator.model.priors import Terms, terms_of, untold_parts
from estimator.model.quantities import as_it_turned_out, happens, whole_hours
from estimator.model.saved_fit import UNPLANNED, Array, KnownBoard, SavedFit, fit_from_json
from estimator.model.stage_sums import sums
from estimator.words.errors import NoAnswerError
from estimator.words.records import Board, Log, Rule
from estimator.words.settings.schema import Settings

HARDLY = 0.8  # of what was open beforehand, left open: below, the log has told something


def told_by_rules(density: Density, draws: Array) -> tuple[str, ...]:
    """Stages of which the log leaves open four fifths or more of what rules of thumb leave open, in order of work.

    draws: of the parameters, (size, n). What a stage's rates, each weighing by its mean share of the stage's hours in
    the log, have of their own is held against its law beforehand; what rules share, and the log may tell, is not in
    it. A stage that a rule speaks of and no board had is one of them.
    """
    table, terms = density.table, density.terms
    rates = np.exp(density.numbers(draws).log_rate.mean(axis=1))
    hours = (table.cells.work @ np.diag(rates)) if len(rates) else np.zeros((0, 0))
    found = []
    for i, stage in enumerate(table.layout.stages):
        ruled = [k for k, (s, d) in enumerate(table.layout.parts) if s == stage and d != UNPLANNED]
        if not any(terms.rate_rule[k] for k in ruled):
            continue
        of_stage = hours[table.cells.stage == i][:, ruled]
        of_stage = of_stage[of_stage.sum(axis=1) > 0]
        if not len(of_stage):
            found.append(stage)
            continue
        weight = (of_stage / of_stage.sum(axis=1, keepdims=True)).mean(axis=0) * terms.rate_sd[ruled]
        left = float((weight @ draws[density.rate][ruled]).std())
        if left >= HARDLY * float(np.sqrt((weight**2).sum())):
            found.append(stage)
    return tuple(found)


N_DRAWS = 1024
FEW_ROWS, MORE_DRAWS = 500, 2048
MANY_ROWS = (
    5000  # of one stage each, above which the normal approximation is as good as chains, and far quicker
)
QUICK_ROWS, QUICK_DRAWS = 250, 512  # for looking back at many days
PATIENCE = 2  # times that chains which have not met go on for twice as long
NEAR_ENOUGH = 1e-3  # of the log density, for the same
RARELY, RARELY_WEIGHT = 0.1, 5.0  # a stage that sometimes happens: one board in ten, worth five boards


@dataclass(frozen=True)
class Learned:
    """What was learned, and the normal approximation that it began from."""

    fit: SavedFit
    layout: Layout
    posterior: Posterior


def fit(
    log: Log,
    settings: Settings,
    *,
    as_of: dt.date | None = None,
    seed: int = 0,
    rules: Sequence[Rule] | None = None,
    problems: int = 0,
    n_draws: int | None = None,
) -> SavedFit:
    """What a workshop's log and rules of thumb say about hours, as of the last entry or `as_of`, the earlier.

    seed: makes the draws; the same log, settings and seed give the same fit
    rules: stand in for the settings' own where given; problems: how many the log has, kept for messages
    n_draws: draws kept; left out: as many as a quoted range needs, which is more where little is known

    Raises NoAnswerError where the likeliest rates cannot be found.
    """
    worked = stage_hours(log.entries, log.by_id, settings.stages, log.partial)
    table = table_of(log, settings, as_of=as_of, worked=worked)
    chosen = settings.rules if rules is None else tuple(rules)
    density = Density(table, terms_of(table, log, settings, rules))
    posterior = _normal(density, table)
    kept = n_draws or (MORE_DRAWS if table.n_rows < FEW_ROWS else N_DRAWS)
    saved = _saved(
        log, settings, chosen, density, posterior, kept, seed, problems,
        worked=worked, normal_from=MANY_ROWS, patience=PATIENCE,
    )  # fmt: skip
    saved = _with_spent(saved, log, settings)
    return replace(saved, materials=learn_materials(saved, settings))


def _with_spent(saved: SavedFit, log: Log, settings: Settings) -> SavedFit:
    """The fit with what rows of money tell of each board's materials."""
    if not log.money:
        return saved
    # as it is read again: what is split by it outside of this is the same to the last coin
    uses = expected_uses(fit_from_json(saved.to_json()), log, settings) if shared(log) else {}
    own = with_money(log, uses).by_id
    return replace(saved, boards=tuple(replace(b, materials=own[b.board].materials) for b in saved.boards))


def fit_quickly(
    log: Log,
    settings: Settings,
    *,
    as_of: dt.date | None = None,
    seed: int = 0,
    rules: Sequence[Rule] | None = None,
    near: Learned | None = None,
    worked: Worked | None = None,
) -> Learned:
    """The same, good enough for looking back at many days: from 250 rows on by the normal approximation.

    near: learned from a log much like it, from which the search begins where the rates are the same ones
    worked: the log's hours by stage, where they have been summed already

    Against long chains the points of a range are off by 1 % on average and 4 % at most in invented workshops of 250
    rows, and its width at 8 in 10 is 1 % larger; in simulated shops, whose rules lie further out, by 3 % and 12 %, and
    it is 4 % larger (DEVELOPERS.md, decision 35). Raises NoAnswerError as `fit`.
    """
    if worked is None:
        worked = stage_hours(log.entries, log.by_id, settings.stages, log.partial)
    table = table_of(log, settings, as_of=as_of, worked=worked)
    chosen = settings.rules if rules is None else tuple(rules)
    density = Density(table, terms_of(table, log, settings, rules))
    if near is not None and near.layout == table.layout and len(near.posterior.mode) == density.size:
        posterior = likeliest_near(density, near.posterior.mode, near.posterior.root, NEAR_ENOUGH)
    else:
        posterior = _normal(density, table, NEAR_ENOUGH)
    saved = _saved(
        log, settings, chosen, density, posterior, QUICK_DRAWS, seed, 0, worked=worked, normal_from=QUICK_ROWS
    )
    return Learned(saved, table.layout, posterior)


def _normal(density: Density, table: RowTable, close: float = CLOSE) -> Posterior:
    """The normal approximation; where there is none, the board furthest out of line is named."""
    try:
        return likeliest(density, close)
    except NoAnswerError as error:
        cure = f"{error.cure} {_furthest(table, density)}".strip()
        raise NoAnswerError(error.wrong, cure, action=error.action) from error


def _saved(
    log: Log,
    settings: Settings,
    rules: Sequence[Rule],
    density: Density,
    posterior: Posterior,
    kept: int,
    seed: int,
    problems: int,
    *,
    worked: Worked,
    normal_from: int,
    patience: int = 0,
) -> SavedFit:
    """The draws, and all that forecasts need.

    normal_from: single rows above which the approximation will do; patience: of chains that have not met
    """
    table, terms = density.table, density.terms
    rng = np.random.default_rng([seed, 1])
    rules_alone = table.n_rows == 0 and table.in_hand is None
    rates_alone = not terms.condition_ruled.any() and not terms.others.names
    normal = table.cells.n_single > normal_from or (
        rules_alone and rates_alone
    )  # then the parameters are normal
    if normal:
        made = Corrected(posterior.draws(kept, rng), 1.0)
    else:
        # drift, past levels and what rules share move no forecast; rates, effects, loadings and noise do, and are first
        forecast = slice(density.noise.stop)
        made = drawn(density, posterior, kept, rng, patience=patience, judged=forecast)
    numbers = density.numbers(made.draws)
    level = density.level_to_come(made.draws, rng)
    return SavedFit(
        as_of="" if table.as_of is None else table.as_of.isoformat(),
        stages=table.layout.stages,
        parts=table.layout.parts,
        conditions=table.layout.conditions,
        log_rate=(numbers.log_rate + level).T,
        effect=numbers.effect.T,
        loading=numbers.loading.T,
        noise=numbers.noise.T,
        lean=numbers.lean,
        scale=numbers.scale,
        untold=untold_parts(table.layout, terms),
        by_rules=told_by_rules(density, made.draws) if table.n_rows else (),
        chances=_chances(log, settings, worked, table, rules),
        rules=_counting(terms, rules),
        boards=_boards(log, settings, worked, table),
        left_out=table.left_out,
        problems=problems,
        drawn_by="normal" if normal else "chains",
        spread=round(made.spread, 4) if math.isfinite(made.spread) else 0.0,
    )


def _furthest(table: RowTable, density: Density) -> str:
    """Which board's hours lie furthest from what the rules of thumb and the middle of the log would have them."""
    if not table.n_rows:
        return ""
    usual = sums(table.cells, density.numbers(density.start()[:, None])).log_median[:, 0]
    at = int(np.argmax(np.abs(table.log_hours - usual)))
    hours = math.exp(table.log_hours[at])
    return f"Furthest out of line are {hours:,.4g} h of board {table.boards[table.board[at]]}."


def _counting(terms: Terms, rules: Sequence[Rule]) -> tuple[tuple[str, bool, str], ...]:
    """The rules of hours that became terms: name, lent or not, the stage it speaks of."""
    used = {name for name in terms.rate_rule if name} | set(terms.others.names)
    used |= {r.name for r in rules if r.form == "factor"}
    return tuple((r.name, r.source != "own", r.stage) for r in rules if r.name in used)


def _chances(
    log: Log,
    settings: Settings,
    worked: Worked,
    table: RowTable,
    rules: Sequence[Rule],
) -> dict[str, tuple[float, float]]:
    """Beta weights of stages that may or may not happen: one in ten worth five boards, then the finished boards."""
    unplanned = {stage for stage, part in table.layout.parts if part == UNPLANNED}
    said = {r.chance: r for r in rules if r.about == "chance"}
    chances = {}
    finished = [b for b in log.boards if b.finished]
    for stage in settings.stages.values():
        if not stage.sometimes and stage.name not in unplanned:
            continue
        rule = said.get(stage.name)
        share = RARELY if rule is None or rule.share is None else rule.share
        weight = RARELY_WEIGHT if rule is None or rule.worth is None else rule.worth
        yes, no = share * weight, (1 - share) * weight
        for board in finished:
            booked = any(has.stage == stage.name for has in worked.get(board.board, ()))
            values = as_it_turned_out(board)
            if stage.sometimes:
                on = happens(stage, values, booked=booked)
                on = False if on is None and board.board in worked else on
            else:
                planned = happens(stage, values)
                on = None if planned is not False else booked
            yes, no = yes + (on is True), no + (on is False)
        chances[stage.name] = (float(yes), float(no))
    return chances


def _boards(log: Log, settings: Settings, worked: Worked, table: RowTable) -> tuple[KnownBoard, ...]:
    """The log's boards as far as forecasts need them."""
    taught, counted = defaultdict[int, set[int]](set), defaultdict[int, set[int]](set)
    not_done = {(e.board, e.stage) for e in log.entries if e.hours == 0}
    lost = {board for board, _ in log.partial}
    cells, q = table.cells, grain_of(log)
    rows = [*range(cells.n_single), *(cells.row + cells.n_single).tolist()]
    for stage, row in zip(cells.stage.tolist(), rows, strict=True):
        taught[int(table.board[row])].add(stage)
    if (hand := table.in_hand) is not None:
        for stage, at in zip(hand.cells.stage.tolist(), hand.board.tolist(), strict=True):
            counted[int(hand.boards[at])].add(stage)
    return tuple(
        replace(
            known_board(board, worked.get(board.board, ())),
            hours=None
            if board.board in lost and not board.total_hours
            else whole_hours(board, worked.get(board.board, ()), settings, not_done),
            coarse={
                has.stage: coarseness(has.hours, has.entries, q if has.grain is None else has.grain)
                for has in worked.get(board.board, ())
            },
            taught=tuple(table.layout.stages[i] for i in sorted(taught.get(j, ()))),
            counted=tuple(table.layout.stages[i] for i in sorted(counted.get(j, ()))),
        )
        for j, board in enumerate(log.boards)
    )


def known_board(board: Board, worked: tuple[StageHours, ...] = ()) -> KnownBoard:
    """A board as forecasts see it, with its hours so far."""
    return KnownBoard(
        board=board.board,
        called=board.called,
        kind=board.kind,
        state=board.state,
        length_m=board.length_m,
        width_m=board.width_m,
        outline=board.outline,
        assessed=dict(board.assessed),
        found=dict(board.found),
        later=dict(board.later),
        worked_out=tuple(sorted(board.worked_out)),
        guess=None if board.from_memory else board.guess,
        booked=tuple((has.stage, has.hours, has.done) for has in worked),
        materials=board.materials,
        judged_with=board.judged_with,
    )

"""Rules of thumb as terms of the model, and the centres of rates that no rule speaks of."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
from scipy import sparse

from estimator.model.matrices import CellBuilder, Cells, Layout, RowTable
from estimator.model.quantities import (
    as_it_turned_out,
    happens,
    modifiers_of,
    speaks_of,
    typical_grades,
    work_of,
)
from estimator.model.saved_fit import UNPLANNED, Array
from estimator.words.records import Log, Rule
from estimator.words.settings.schema import Settings

WIDE = 1.5  # sd of a log rate that no rule speaks of
FACTOR, FACTOR_SD = math.log(0.15), 0.8  # a condition no rule speaks of slows by about 15 % a grade
CASES = 60  # boards, at most, over which a rule's typical case is averaged


Case = list[
    tuple[str, dict[str, float], dict[str, float]]
]  # stages with work by driver and grades by condition


@dataclass(frozen=True)
class Terms:
    """What the rules say of the parameters.

    Rates: log rate = centre + own × lean + lent × lent lean + scale × sd × standard normal, shape (n_parts,) each;
    `own` is 1 where the restorer's own rule speaks (its error is shared), else 0, and then the scale is 1;
    `lent` is 1 where a lent rule speaks, whose lean is another and is shared among those. A rate that neither a rule
    nor a board tells about has centre NaN.
    Conditions: `sign` × effect is lognormal(centre, sd) where no rule speaks, else normal kept positive.
    Others: rules on the typical hours of a stage or a board, or second rules on one rate or condition.
    """

    rate_centre: Array
    rate_sd: Array
    rate_own: Array
    rate_lent: Array
    rate_rule: tuple[str, ...]  # name of the rule, or empty
    condition_centre: Array
    condition_sd: Array
    condition_own: Array
    condition_ruled: Array  # 1 where a rule speaks
    condition_sign: Array
    others: Others
    typical: Cells  # one row for each typical case of the rules in `others`


@dataclass(frozen=True)
class Others:
    """Rules that are terms beside the rates, one row each: on stages, boards, or second on a rate or a condition.

    centre, omega: where the rule lies and how sure it is, log scale; own: 1 for the restorer's own, else 0
    of_rows, of_rates, of_effects: sparse; they average what a rule speaks of: its typical cases' log-medians,
    or one log rate, or one effect
    """

    names: tuple[str, ...]
    centre: Array
    omega: Array
    own: Array
    of_rows: Any
    of_rates: Any
    of_effects: Any

    @cached_property
    def back(self) -> tuple[Any, Any, Any]:
        """The three of them turned over, for gradients."""
        return self.of_rows.T, self.of_rates.T, self.of_effects.T


def terms_of(table: RowTable, log: Log, settings: Settings, rules: Sequence[Rule] | None = None) -> Terms:
    """The rules of a workshop as terms; `rules` stands in for the settings' own where given."""
    layout = table.layout
    hour_rules = [r for r in (settings.rules if rules is None else rules) if r.about == "hours"]
    centre, sd = _evenly(table.cells, table.log_hours), np.full(len(layout.parts), WIDE)
    own, lent, named = np.zeros(len(layout.parts)), np.zeros(len(layout.parts)), [""] * len(layout.parts)
    n_conditions = len(layout.conditions)
    c_centre, c_sd = np.full(n_conditions, FACTOR), np.full(n_conditions, FACTOR_SD)
    c_own, c_ruled, sign = np.zeros(n_conditions), np.zeros(n_conditions), np.ones(n_conditions)
    claims: list[Claim] = []
    typical: dict[str, list[Case]] = {}
    for rule in hour_rules:
        if rule.form == "rate":
            at = layout.part(rule.stage, rule.per)
            if named[at]:
                claims.append((rule, "rates", (at,)))
                continue
            named[at], centre[at], sd[at] = rule.name, rule.centre, rule.omega
            own[at], lent[at] = float(rule.own), float(not rule.own)
        elif rule.form == "factor":
            for at, (stage, name) in enumerate(layout.conditions):
                if name != rule.modifier or rule.stage not in {"", stage}:
                    continue
                if c_ruled[at]:
                    claims.append((rule, "effects", (at,)))
                    continue
                sign[at] = -1.0 if rule.centre < 0 else 1.0
                c_centre[at], c_sd[at] = abs(rule.centre), rule.omega
                c_own[at], c_ruled[at] = float(rule.own) * sign[at], 1.0
        elif rule.form in {"stage", "board"}:
            typical[rule.name] = _typical(rule, log, settings)
    places, cells = _laid_out(layout, typical)
    claims += [(rule, "rows", places[rule.name]) for rule in hour_rules if places.get(rule.name)]
    middles = {row: rule.centre for rule, of, rows in claims if of == "rows" for row in rows}
    told = _evenly(cells, np.array([middles[row] for row in range(cells.n_rows)]))
    return Terms(
        rate_centre=np.where(np.isnan(centre), told, centre),
        rate_sd=sd,
        rate_own=own,
        rate_lent=lent,
        rate_rule=tuple(named),
        condition_centre=c_centre,
        condition_sd=c_sd,
        condition_own=c_own,
        condition_ruled=c_ruled,
        condition_sign=sign,
        others=_others(claims, {"rows": cells.n_rows, "rates": len(layout.parts), "effects": n_conditions}),
        typical=cells,
    )


Claim = tuple[Rule, str, tuple[int, ...]]  # a rule, what it speaks of, and the places of that


def _others(claims: Sequence[Claim], sizes: Mapping[str, int]) -> Others:
    """Rules beside the rates, as arrays."""

    def averaging(what: str) -> Any:
        at = [
            (i, place, 1 / len(places))
            for i, (_, of, places) in enumerate(claims)
            if of == what
            for place in places
        ]
        rows, columns, shares = zip(*at, strict=True) if at else ((), (), ())
        return sparse.csr_array(
            (np.array(shares, dtype=float), (rows, columns)), shape=(len(claims), sizes[what])
        )

    rules = [rule for rule, _, _ in claims]
    return Others(
        names=tuple(rule.name for rule in rules),
        centre=np.array([rule.centre for rule in rules]),
        omega=np.array([rule.omega for rule in rules]),
        own=np.array([float(rule.own) for rule in rules]),
        of_rows=averaging("rows"),
        of_rates=averaging("rates"),
        of_effects=averaging("effects"),
    )


def _laid_out(layout: Layout, typical: Mapping[str, list[Case]]) -> tuple[dict[str, tuple[int, ...]], Cells]:
    """All typical cases as cells, those of one stage first, and each rule's rows among them."""
    builder = CellBuilder(layout)
    cases = [(name, case) for name, of_rule in typical.items() for case in of_rule]
    cases.sort(key=lambda named: len(named[1]) > 1)
    for row, (_, case) in enumerate(cases):
        for stage, work, grades in case:
            builder.add(row, stage, work, grades)
    places = {name: tuple(row for row, (of, _) in enumerate(cases) if of == name) for name in typical}
    return places, builder.freeze(len(cases))


def _typical(rule: Rule, log: Log, settings: Settings) -> list[Case]:
    """The boards that a rule speaks of, as stages with work; its typical quantities where there are none."""
    matching = [values for board in log.boards if speaks_of(rule, board, values := as_it_turned_out(board))]
    step = max(1, math.ceil(len(matching) / CASES))
    usual = typical_grades(log.boards, settings)
    cases = [case for values in matching[::step] if (case := _case(rule, values, usual, settings))]
    works = any(stage.work for stage in settings.stages.values())
    if cases or (works and not rule.stage and not rule.board):
        return cases
    named = {name: sum(wanted) / 2 for name, wanted in rule.when.items() if not isinstance(wanted, frozenset)}
    case = _case(rule, {**dict.fromkeys(settings.drivers, 0.0), **named, **rule.board}, usual, settings)
    return [case] if case else []


def _case(
    rule: Rule, values: dict[str, float], usual: Mapping[str, float], settings: Settings
) -> Case | None:
    """One board's stages as far as the rule speaks of them; None where a quantity is not known or nothing is done.

    A stage that only sometimes happens is none of it where nothing says so.
    """
    wanted = [rule.stage] if rule.stage else list(settings.stages)
    case: Case = []
    for name in wanted:
        stage = settings.stages[name]
        on = happens(stage, values, booked=bool(rule.stage))
        if on is None and not stage.sometimes:
            return None
        if not on:
            continue
        work = work_of(stage, values)
        if work is None:
            return None
        grades = {m: values[m] if m in values else usual[m] for m in modifiers_of(name, settings)}
        case.append((name, work, grades))
    return case or None


def _evenly(cells: Cells, log_hours: Array) -> Array:
    """Centres for rates that no rule speaks of: log of the median of hours per unit, shared among the parts.

    A row's hours are shared evenly among its stages and, in a stage, among its active parts. NaN where no row
    has any of the part.
    """
    centre = np.full(cells.work.shape[1], math.nan)
    if cells.n_rows:
        rows = np.concatenate([np.arange(cells.n_single), cells.n_single + cells.row])
        per_row = np.bincount(rows, minlength=cells.n_rows)
        work = cells.work.tocsr()
        active = np.diff(work.indptr)
        hours = np.array([math.exp(log) for log in log_hours])
        shares = np.repeat(hours[rows] / (per_row[rows] * np.maximum(active, 1)), active) / work.data
        for at in np.unique(work.indices):
            centre[at] = math.log(float(np.median(shares[work.indices == at])))
    return centre


def untold_parts(layout: Layout, terms: Terms) -> tuple[tuple[str, str], ...]:
    """The parts of which neither a rule nor a board tells."""
    return tuple(
        part
        for part, centre in zip(layout.parts, terms.rate_centre, strict=True)
        if math.isnan(centre) and part[1] != UNPLANNED
    )

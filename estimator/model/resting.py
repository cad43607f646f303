"""Stages whose own hours rest on rules of thumb, whatever the log tells of whole boards."""

from __future__ import annotations

import numpy as np

from estimator.model.likelihood import Density
from estimator.model.saved_fit import UNPLANNED, Array

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

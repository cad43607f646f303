"""Stages whose own hours rest on rules of thumb, though the log tells of whole boards."""

from dataclasses import replace

import numpy as np
import pytest
from studies.shops import STAGES, simulate

from estimator.model.fit import fit, told_by_rules
from estimator.model.likelihood import Density
from estimator.model.matrices import table_of
from estimator.model.priors import terms_of
from estimator.words.records import Log


def test_totals_leave_stages_to_rules_and_hours_by_stage_do_not():
    by_stage, totals = (simulate(4, 40, 0, totals_only=t) for t in (False, True))

    assert fit(by_stage.log, by_stage.settings).by_rules == ()
    assert len(fit(totals.log, totals.settings).by_rules) >= 4


def test_a_stage_that_no_row_tells_of_is_named_and_without_a_log_none():
    shop = simulate(4, 40, 0)
    log = replace(shop.log, entries=tuple(e for e in shop.log.entries if e.stage != "logo"))

    assert fit(log, shop.settings).by_rules == ("logo",)
    assert fit(Log(), shop.settings).by_rules == ()


@pytest.mark.parametrize(("left", "named"), [(0.75, ()), (0.85, tuple(STAGES))])
def test_four_fifths_of_what_was_open_is_the_bound(left, named):
    """Draws of the rates' own normals made by hand: so much of their sd is left, in every stage."""
    shop = simulate(4, 40, 0)
    density = Density(table := table_of(shop.log, shop.settings), terms_of(table, shop.log, shop.settings))
    half = left * np.random.default_rng(1).standard_normal((density.size, 20_000))

    assert told_by_rules(density, half) == named

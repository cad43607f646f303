"""Stages whose own hours rest on rules of thumb, though the log tells of whole boards."""

import datetime as dt
from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest
from making.fits import SETTINGS as FITTED
from making.fits import made_fit
from scipy.sparse import csr_array
from studies.shops import STAGES, simulate

from estimator.model.fit import _counting, _with_spent, fit, told_by_rules
from estimator.model.likelihood import Density
from estimator.model.matrices import table_of
from estimator.model.priors import terms_of
from estimator.model.saved_fit import KnownBoard
from estimator.words.records import FINISHED, Board, Entry, Log, MoneyLine, Rule
from estimator.words.settings.schema import Driver, Settings, Stage

DAY = dt.date(2026, 5, 4)


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


def test_what_is_left_of_a_stage_s_rates_goes_by_their_hours_without_unplanned_ones():
    """Of stripping, a rule on its set-up, nine tenths are left of both rates; of a colour half, whatever unplanned hours
    leave; of waxing, on which a rule speaks, there is no row; of artwork nobody speaks."""
    parts = (("strip", "once"), ("strip", "area"), ("spray", "colours"), ("spray", "unplanned"), ("wax", "once"),
             ("art", "logos"))  # fmt: skip
    cells = SimpleNamespace(
        work=csr_array([[1.0, 3.0, 0, 0, 0, 0], [0, 0, 2.0, 0, 0, 0], [0, 0, 0, 1.0, 0, 0]]),
        stage=np.array([0, 1, 1]),
    )
    density = SimpleNamespace(
        table=SimpleNamespace(
            cells=cells, layout=SimpleNamespace(stages=("strip", "spray", "wax", "art"), parts=parts)
        ),
        terms=SimpleNamespace(rate_rule=("set-up", "", "colour", "", "wax", ""), rate_sd=np.ones(6)),
        numbers=lambda draws: SimpleNamespace(log_rate=np.zeros_like(draws)),
        rate=slice(6),
    )
    one, other = np.array([1.0, 1.0, -1.0, -1.0]), np.array([1.0, -1.0, 1.0, -1.0])

    draws = np.array([0.9 * one, 0.9 * other, 0.5 * one, 2.0 * other, one, one])
    assert told_by_rules(density, draws) == ("strip", "wax")


# ---- what was spent on boards


def spent(*lines, **more):
    """Materials of two finished boards of a fit, as rows of money tell them."""
    boards = tuple(Board(name, state=FINISHED, ready=DAY, **more) for name in "ab")
    saved = made_fit(boards=tuple(KnownBoard(name, materials=more.get("materials")) for name in "ab"))
    return [one.materials for one in _with_spent(saved, Log(boards, money=lines), FITTED).boards]


def bought(much, *boards):
    return MoneyLine(DAY, 0.0, much, "materials", boards)


def test_rows_of_money_tell_what_a_board_of_the_fit_cost():
    assert spent(bought(85.0, "a"), bought(15.0, "a")) == [100.0, None]
    assert spent(materials=60.0) == [60.0, 60.0]


def test_what_was_bought_for_several_is_split_by_what_each_uses(monkeypatch):
    monkeypatch.setattr("estimator.model.fit.expected_uses", lambda *_: {"a": 30.0, "b": 10.0})

    assert spent(bought(80.0, "a", "b")) == [60.0, 20.0]


def test_a_rule_on_one_of_a_stage_s_rates_makes_it_rest_on_rules_where_no_row_tells():
    """Of setting up nothing is said, of a square metre there is a rule; no board has hours of it. Of spraying none is."""
    plain = Settings(
        drivers={"area": Driver("area"), "colours": Driver("colours")},
        stages={
            "strip": Stage("strip", drivers=("once", "area")),
            "spray": Stage("spray", drivers=("colours",)),
        },
        rules=(Rule("metre", stage="strip", per="area", low=2.0, high=5.0, odds=0.8),),
    )
    boards = tuple(
        Board(f"b{n}", state=FINISHED, assessed={"area": 2.0, "colours": 1.0 + n}) for n in range(3)
    )
    rows = tuple(Entry(one.board, DAY, "spray", 5.0) for one in boards)
    log = Log(boards, rows)
    density = Density(table := table_of(log, plain), terms_of(table, log, plain))

    assert told_by_rules(density, np.zeros((density.size, 50))) == ("strip",)


def test_rules_that_count_are_those_of_rates_those_beside_and_factors_each_with_whose_it_is():
    terms = SimpleNamespace(rate_rule=("metre", ""), others=SimpleNamespace(names=("board",)))
    said = {"low": 1.0, "high": 2.0, "odds": 0.8}
    rules = (
        Rule("metre", stage="strip", per="area", **said),
        Rule("board", source="starter", **said),
        Rule("crisp", modifier="brittle", source="shops", **said),
        Rule("unused", stage="spray", per="colours", **said),
    )

    assert _counting(terms, rules) == (("metre", False, "strip"), ("board", True, ""), ("crisp", True, ""))

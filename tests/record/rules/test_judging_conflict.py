"""How seldom a right rule lies as far from the log's own: with the error of own rules, and both spreads."""

from dataclasses import replace

import numpy as np
import pytest
from making.small_shop import SETTINGS, log
from scipy.stats import norm

from estimator.model.fit import fit
from estimator.record.rules.judging import CaseDraws, Whole, _conflict, judge, without
from estimator.words.records import Rule


class Fitted:
    """Of a fit no more than how far own rules run low."""

    lean = np.array([0.1, 0.2, 0.6])


def draws(middle, sd):
    plain = np.array([-1.0, 1.0])
    return middle + sd * plain


METRE = Rule("metre", stage="strip", per="area", low=2.0, high=4.5, odds=0.8)
BRITTLE = Rule("brittle", stage="strip", modifier="brittle", low=1.1, high=1.8, odds=0.8)
ALONE = CaseDraws(
    {("strip", "area"): draws(1.9, 0.3), ("sand", "area"): draws(0.0, 0.1)},
    {("spray", "masking"): draws(0.0, 0.1), ("strip", "brittle"): draws(0.05, 0.2)},
    {},
    {},
)


@pytest.mark.parametrize(("rule", "middle", "sd"), [(METRE, 1.9, 0.3), (BRITTLE, 0.05, 0.2)])
@pytest.mark.parametrize("source", ["own", "starter"])
def test_it_is_box_s_by_hand(rule, middle, sd, source):
    """Twice the normal tail beyond the distance over both spreads; the lean of own rules is the middle of its draws."""
    rule = replace(rule, source=source)
    centre = (np.log(rule.low) + np.log(rule.high)) / 2 + (0.2 if source == "own" else 0.0)
    of_rule = 1.5 * (np.log(rule.high) - np.log(rule.low)) / (2 * norm.ppf(0.9))
    by_hand = 2 * norm.sf(abs(centre - middle) / np.hypot(of_rule, sd))
    assert _conflict(rule, Fitted, ALONE, 1.5) == pytest.approx(by_hand, rel=1e-9)
    assert by_hand < 0.9


def test_rules_of_stages_and_boards_have_none():
    assert _conflict(Rule("sand", stage="sand", low=1.0, high=2.0, odds=0.8), Fitted, ALONE, 1.0) is None


def test_a_verdict_has_the_one_of_the_fit_without_its_rule():
    """Own rules are as unsure as they were found to be; lent ones as they say."""
    rules = tuple(r for r in SETTINGS.rules if r.name in {"square metre", "set-up", "colour", "brittle"})
    settings = replace(SETTINGS, rules=rules)
    learned = fit(log(), settings, n_draws=128)
    said = {v.name: v.conflict for v in judge(log(), settings, learned, jobs=1).rules}
    scale = float(np.median(learned.scale))
    assert abs(scale - 1) > 0.03
    whole = Whole.of(log(), settings, learned)
    for rule in rules:
        if rule.name not in {"square metre", "colour"}:  # of which the log has cases
            continue
        alone = CaseDraws.of(learned, without(whole, rule, seed=0))
        by_hand = _conflict(rule, learned, alone, scale if rule.own else 1.0)
        assert said[rule.name] == pytest.approx(by_hand, rel=1e-9), rule.name

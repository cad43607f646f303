"""What the worker leaves of looking back: which ranges are offered beside rules of thumb."""

import json
from types import SimpleNamespace

from making.verdicts import verdict

from estimator.counter.looking_back import rules_answer
from estimator.record.rules.judging import Verdicts


def test_a_range_is_offered_beside_rules_that_are_wrong_and_have_one_and_beside_no_other():
    wrong = verdict(name="sanding", verdict="too low", suggested=(5.3, 8.6), of=15)
    without = verdict(name="glossing", verdict="too sure", suggested=None)
    holds = verdict(name="stripping", verdict="holds", suggested=(2.0, 3.0))
    unsure = verdict(name="spraying", verdict="not enough boards", suggested=(1.0, 2.0))
    shop = SimpleNamespace(rules=lambda: Verdicts((holds, wrong, unsure, without), None))

    offers = [json.loads(offer) for offer in rules_answer(shop)["offers"]]

    assert offers == [["sanding", 5.3, 8.6, 15]]

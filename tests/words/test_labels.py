import re

import pytest

from estimator.words.labels import LABELS, label
from estimator.words.records import COST_TIME, STATES

VIEWS = ("before", "opened", "finished", "now")
VERDICTS = ("holds", "too low", "too high", "too sure", "not enough boards")
FORBIDDEN = """interval score|crps|bias|biased|band|draw|draws|drawn|fit|fitted|prior|priors|posterior|quantile|quantiles|
    percentile|median|mean|variance|coverage|confidence|credible|likelihood|distribution|sigma|sample|stretch|driver|modifier|
    assessed|invalid|p-value|estimator"""


def test_words_of_the_code_have_the_restorers_words():
    said = {
        "weigh": "Take it on?",
        "driver": "what there is to do",
        "modifier": "makes it slower",
        "rate": "usual time",
        "assessed": "looked like",
        "found": "turned out",
        "asked later": "asked for since",
        "surprise": "hidden work",
        "pace slower": "this board is going slower than usual",
        "rule": "rule of thumb",
        "starter": "lent rule of thumb, not yet yours",
        "record": "Did I get it right?",
        "beyond": "bigger than any you've written down",
        "state withdrawn": "owner dropped it",
        "state declined": "I said no",
        "state waiting": "in line",
        "state on bench": "on the go",
        "on rack": "on the rack",
        "overrun": "went over",
        "chance kept": "chance I'm in time",
    }
    assert {word: label(word) for word in said} == said


def test_a_word_without_a_label_is_our_mistake():
    with pytest.raises(KeyError):
        label("widget")


def test_every_state_view_and_verdict_has_a_label():
    for word in (*(f"state {s}" for s in STATES), *(f"view {v}" for v in VIEWS), *VERDICTS):
        assert label(word)


def test_every_answer_to_what_cost_the_time_has_a_label():
    for word in COST_TIME:
        assert label(f"cost {word}")
    assert label("cost") == "no reason written"


@pytest.mark.parametrize("word", LABELS)
def test_no_label_speaks_statistics(word):
    forbidden = "|".join(part.strip() for part in FORBIDDEN.split("|"))
    assert not re.search(rf"\b({forbidden})\b", LABELS[word].lower())


def test_the_check_of_forbidden_words_can_fail():
    forbidden = "|".join(part.strip() for part in FORBIDDEN.split("|"))
    assert re.search(rf"\b({forbidden})\b", "the posterior median")
    assert len(forbidden.split("|")) > 20


def test_the_table_cannot_be_changed():
    with pytest.raises(TypeError):
        LABELS["weigh"] = "Weigh"

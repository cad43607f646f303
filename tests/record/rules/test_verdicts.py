"""How a verdict says its amounts, what counts as wrong, and its JSON, by hand."""

import pytest
from making.verdicts import verdict

from estimator.record.rules.verdicts import SharedError, Verdicts


@pytest.mark.parametrize(
    ("form", "unit"),
    [
        ("stage", "hours"),
        ("board", "hours"),
        ("rate", "hours"),
        ("wait", "days"),
        ("span", "days"),
        ("factor", "times"),
        ("chance", ""),
    ],
)
def test_each_sort_of_rule_has_its_unit(form, unit):
    assert verdict(form=form).unit == unit


@pytest.mark.parametrize(
    ("form", "low", "high", "said"),
    [
        ("stage", 5.3, 8.6, "5½ to 8½ hours"),
        ("stage", 23.4, 41.0, "23 to 40 hours"),
        ("board", 53.2, 81.0, "55 to 80 hours"),
        ("rate", 0.234, 1.26, "0.23 to 1.3 hours"),
        ("rate", 0.5, 1.0, "½ to 1 hours"),
        ("factor", 1.234, 1.5, "1.23 to 1.5 times as long"),
        ("wait", 0.4, 6.6, "½ to 7 days"),
        ("span", 1.0, 14.2, "1 to 14 days"),
        ("wait", 6.6, 7.2, "about 7 days"),
    ],
)
def test_a_range_is_said_as_finely_as_it_deserves(form, low, high, said):
    assert verdict(form=form).said(low, high) == said


@pytest.mark.parametrize(
    ("more", "said"),
    [
        ({}, "3 to 4½ h"),
        ({"form": "wait", "low": 7.0, "high": 7.0}, "about 7 days"),
        ({"form": "factor", "low": 1.25, "high": 1.5}, "1.25 to 1.5 times"),
        ({"share": 0.4, "low": None, "high": None}, "4 in 10"),
        ({"share": 0.05, "low": None, "high": None}, "1 in 20"),
        ({"share": 0.33, "low": None, "high": None}, "33 in 100"),
    ],
)
def test_what_the_restorer_said_is_said_as_he_said_it(more, said):
    assert verdict(**more).own_words == said


@pytest.mark.parametrize(
    ("called", "looks", "accused"),
    [
        ("too low", None, True),
        ("too high", None, True),
        ("too sure", None, True),
        ("holds", "low", False),
        ("not enough boards", "high", False),
    ],
)
def test_a_rule_that_only_looks_wrong_is_not_accused(called, looks, accused):
    assert verdict(verdict=called, looks=looks).accused == accused


@pytest.mark.parametrize(
    ("chance", "said"), [(0.5, False), (0.9, False), (0.91, True), (0.1, False), (0.09, True)]
)
def test_a_shared_error_is_spoken_of_beyond_nine_in_ten_either_way(chance, said):
    low, sure = SharedError(0.1, 1.5, chance, 0.5), SharedError(0.1, 1.5, 0.5, chance)

    assert (low.leans, low.overdone) == (said, False)
    assert (sure.leans, sure.overdone) == (False, said)


def test_its_pairs_have_names_in_json():
    made = verdict(accepted=(5.0, 9.0), cases=(("b1", 4.0),), sides=(0,), form="wait").as_dict()
    bare = verdict(suggested=None).as_dict()

    assert (made["suggested"], made["accepted"]) == ({"low": 5.3, "high": 8.6}, {"low": 5.0, "high": 9.0})
    assert (made["cases"], made["unit"]) == ([{"board": "b1", "amount": 4.0}], "days")
    assert (bare["suggested"], bare["accepted"]) == (None, None)
    assert (made["inside"], made["below"], made["above"], made["of"]) == (1, 0, 14, 15)
    assert Verdicts((), None).as_dict() == {"rules": [], "shared": None}

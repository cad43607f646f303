"""Which question comes first where nothing is worked out yet: reckoned by hand from rules of thumb."""

import pytest

from estimator.counter.question_order import by_rules_of_thumb
from estimator.words.records import Rule
from estimator.words.settings.schema import Driver, Kind, Modifier, Settings, Stage


def rate(stage, per, low, high):
    return Rule(f"{stage} {per}", stage=stage, per=per, low=low, high=high, odds=0.8)


def factor(name, low, high):
    return Rule(f"{name} {high}", modifier=name, low=low, high=high, odds=0.8)


SHOP = Settings(
    drivers={
        "infills": Driver("infills"),
        "logos": Driver("logos"),
        "faces": Driver("faces"),
        "area": Driver("area", unit="m2", source="outline", times="faces"),
        "fins": Driver("fins"),
    },
    modifiers={
        "brittle": Modifier("brittle", stages=("strip",)),
        "wet": Modifier("wet", stages=("infill",), grades=("dry", "damp", "wet")),
    },
    stages={
        "strip": Stage("strip", drivers=("once", "area")),
        "infill": Stage("infill", drivers=("infills",), wait_by={"wet": ((0, 0), (2, 6), (9, 20))}),
        "paint": Stage("paint", drivers=("logos",)),
    },
    kinds={
        "side": Kind("side", usual={"infills": (2.0, 3.0)}),
        "major": Kind("major", usual={"infills": (1.0, 3.0), "logos": (0.0, 2.0), "brittle": (0.0, 1.0)}),
    },
    rules=(
        rate("infill", "infills", 1.0, 4.0),  # 2 hours each, and 2 pieces between few and many: 4 hours
        rate("paint", "logos", 0.1, 10.0),  # 1 hour each, and 2 logos: 2 hours (not 10.1)
        rate(
            "strip", "area", 2.0, 4.5
        ),  # 3 hours, and nothing usual: 0 to 1, 3 hours, of the faces that are asked
        rate("strip", "once", 1.0, 4.0),  # 2 hours that are always there
        factor(
            "brittle", 1.2, 1.875
        ),  # times 1.5; strip is 2 and, at the middle, 1.5 hours: 3.5 of it half more, 1.75
        factor("wet", 1.0, 1.0201),  # times 1.01 a grade: next to nothing
    ),
)


def test_the_hours_that_an_answer_moves_are_reckoned_by_hand():
    assert by_rules_of_thumb("major", SHOP) == ("wet", "infills", "faces", "logos", "brittle")


def test_of_another_sort_nothing_is_usual_so_that_each_is_none_or_one():
    """Faces 3 hours, pieces 2, brittle 1.75, logos 1."""
    assert by_rules_of_thumb("minor", SHOP) == ("wet", "faces", "infills", "brittle", "logos")


@pytest.mark.parametrize(
    ("rules", "order"),
    [
        ((rate("strip", "once", 1.0, 4.0),), ()),  # set-up is there whatever the answer
        ((rate("strip", "fins", 1.0, 4.0), rate("paint", "fins", 1.0, 1.0), rate("paint", "logos", 2.5, 2.5)), ("fins", "logos")),
        ((rate("strip", "fins", 1.0, 1.0), factor("brittle", 4.0, 9.0), factor("brittle", 1.1, 1.2)), ("brittle", "fins")),
    ],
)  # fmt: skip
def test_an_amount_moves_all_stages_that_it_is_worked_on_in_and_the_slowest_rule_counts(rules, order):
    from dataclasses import replace

    assert by_rules_of_thumb("minor", replace(SHOP, rules=rules)) == order


def test_what_a_board_has_anyway_moves_nothing():
    """Two or three pieces, at two hours each: two hours lie between them, and faces move three."""
    assert by_rules_of_thumb("side", SHOP) == ("wet", "faces", "infills", "brittle", "logos")

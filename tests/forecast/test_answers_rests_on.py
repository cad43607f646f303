"""From how many boards and rules an answer says that it comes: from those that speak of its own stages."""

from making.fits import SETTINGS, made_fit

from estimator.forecast.answers import answer
from estimator.model.saved_fit import KnownBoard
from estimator.said.range import rests_on

JUDGED = {"area": 2.0, "pieces": 0.0, "colours": 0.0, "brittle": 0.0, "masking": 0.0, "stain": 0.0}
BOARDS = (
    *(KnownBoard(f"a{n}", taught=("strip",)) for n in range(3)),
    *(KnownBoard(f"b{n}", taught=("strip", "spray")) for n in range(2)),
    *(KnownBoard(f"c{n}", taught=("spray",)) for n in range(4)),
    KnownBoard("d", taught=()),
)
RULES = (
    ("metre", False, "strip"),
    ("set-up", True, "strip"),
    ("colour", True, "spray"),
    ("piece", True, "infill"),
    ("board", False, ""),
)
FIT = made_fit(boards=BOARDS, rules=RULES)


def said(**more):
    return answer(FIT, KnownBoard("x", state="asked", assessed={**JUDGED, **more}), SETTINGS)


def test_only_boards_and_rules_of_its_own_stages_are_counted():
    """Nothing to let in and no colour: strip and check, of which five boards tell, two own rules and a lent one."""
    plain = said()
    assert (plain.boards, plain.rules, plain.lent) == (5, 3, 1)
    assert rests_on(plain).startswith("From 5 of your boards and 3 rules of thumb")


def test_a_stage_more_counts_its_own_boards_and_rules():
    sprayed, filled = said(colours=1.0), said(pieces=2.0)
    assert (sprayed.boards, sprayed.rules, sprayed.lent) == (9, 4, 2)
    assert (filled.boards, filled.rules, filled.lent) == (5, 4, 2)

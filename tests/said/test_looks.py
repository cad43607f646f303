"""What the eye misses, sentence by sentence and row by row, from counts by hand."""

from dataclasses import replace

import pytest

from estimator.decide.looks import Look, Looks, Way
from estimator.forecast.looks import LookedSo
from estimator.said.looks import _row, looked_words, looks_parts, value_words
from estimator.said.parts import Heading, Table
from estimator.words.settings.schema import Driver, Modifier, Settings, Stage

SHOP = Settings(
    drivers={
        "infills": Driver("infills", label="Let-in pieces"),
        "area": Driver("area", label="Old glass", unit="m2"),
    },
    modifiers={
        "wet": Modifier("wet", label="Wet foam", grades=("dry", "damp", "wet")),
        "rush": Modifier("rush", label="In a rush"),
    },
    stages={"stain": Stage("stain", label="Stain", happens="sometimes")},
)
DAMP = LookedSo("wet", 1.0, "", 18, 8, 9, 1, ((2.0, 9), (0.0, 1)))


@pytest.mark.parametrize(
    ("so", "said"),
    [
        (DAMP, "Wet foam: of your 18 boards that looked damp, 9 turned out wet, 1 dry."),
        (replace(DAMP, judged_with="photos"), "Wet foam: of your 18 boards that looked damp from photos, 9 turned out wet, 1 dry."),
        (replace(DAMP, values=()), "Wet foam: of your 18 boards that looked damp, all turned out so."),
        (LookedSo("infills", 2.0, "", 12, 4, 8, 0, ((3.0, 5), (4.0, 2), (5.0, 1), (6.0, 1))),
         "Let-in pieces: of your 12 boards that looked like 2, 5 turned out to have 3, 2 to have 4, 1 to have 5, 1 something else."),
        (LookedSo("infills", 2.0, "", 20, 4, 16, 0, ((3.0, 5), (4.0, 2), (5.0, 1), (6.0, 5), (7.0, 3))),
         "Let-in pieces: of your 20 boards that looked like 2, 5 turned out to have 3, 2 to have 4, 1 to have 5, 8 something else."),
        (LookedSo("infills", 0.0, "", 1, 0, 1, 0, ((1.0, 1),)), "Let-in pieces: of your 1 board that looked like none, 1 turned out to have 1."),
        (LookedSo("rush", 0.0, "", 9, 8, 1, 0, ((1.0, 1),)), "In a rush: of your 9 boards that looked like no, 1 turned out to have yes."),
        (LookedSo("area", 1.0, "", 9, 3, 4, 2), "Old glass: of your 9 boards where some was seen, 4 had more, 2 had less."),
        (LookedSo("area", 0.0, "", 9, 3, 6, 0), "Old glass: of your 9 boards where none was seen, 6 had more."),
        (LookedSo("area", 1.0, "opened", 9, 9, 0, 0), "Old glass: of your 9 boards where some was seen opened up, all were as they looked."),
    ],
)  # fmt: skip
def test_how_boards_turned_out_that_looked_so(so, said):
    assert looked_words(so, SHOP) == said


def look(low, high, more=9, less=1, so=DAMP):
    ways = (Way("more", more, 0.5, low, high, 0.01), Way("less", less, 0.05, 0.0, 0.2, 0.9))
    return Look(replace(so, more=more, less=less), ways)


@pytest.mark.parametrize(
    ("one", "cells"),
    [
        (look(0.26, 0.74), ("18", "8", "9", "1", "more: 3 to 7 in 10")),
        (look(0.25, 0.34), ("18", "8", "9", "1", "more: 3 in 10")),
        (look(0.02, 0.74), ("18", "8", "9", "1", "more: up to 7 in 10")),
        (look(0.0, 0.01), ("18", "8", "9", "1", "more: up to 1 in 10")),
        (look(0.26, 0.74, more=0, less=4), ("18", "8", "·", "4", "less: up to 2 in 10")),
        (look(0.26, 0.74, more=3, less=3), ("18", "8", "3", "3", "more: 3 to 7 in 10")),
    ],
)
def test_the_commoner_way_is_told_with_what_luck_allows(one, cells):
    assert _row(one) == cells


def test_looks_to_mend_come_first_then_all_of_them_then_by_tool():
    few = Look(LookedSo("infills", 2.0, "", 3, 1, 2, 0))
    some = Look(LookedSo("area", 1.0, "", 1, 1, 0, 0))
    tool = replace(look(0.26, 0.74), so=replace(DAMP, judged_with="photos"))
    few_of_tool = Look(LookedSo("wet", None, "scales", 2, 1, 1, 0))
    found = Looks((look(0.26, 0.74), few, some), (tool, few_of_tool), (look(0.26, 0.74),), tests=4)
    said = [
        part.text if isinstance(part, Heading) else part.rows if isinstance(part, Table) else part
        for part in looks_parts(found, SHOP)
    ]

    assert said[1:3] == [
        "To look at differently",
        "Wet foam: of your 18 boards that looked damp, 9 turned out wet, 1 dry.",
    ]
    assert said[3] == (
        "An eye that is right 8 times in 10 would do better. Of 4 ways in which a look can fail, luck alone shows one as bad as this in fewer "
        "than 1 in 20 logs."
    )
    assert said[4:6] == ["Wet foam", (("damp", "18", "8", "9", "1", "more: 3 to 7 in 10"),)]
    assert said[6:10] == [
        "Let-in pieces",
        "Not enough boards to say: 2, only 3 boards.",
        "Old glass",
        "Not enough boards to say: some, only 1 board.",
    ]
    assert said[10:12] == [
        "By what it was judged with",
        (("Wet foam", "from photos", "18", "8", "9", "1", "more: 3 to 7 in 10"),),
    ]
    assert said[12] == "Not enough boards to say: wet foam on the scales, only 2 boards."
    none = looks_parts(replace(found, differently=(), by_tool=()), SHOP)
    assert none[1] == (
        "Nothing to look at differently: none of your looks goes wrong more often than 2 times in 10, once luck is allowed for. A look is "
        "judged from 8 boards on."
    )
    assert "By what it was judged with" not in [part.text for part in none if isinstance(part, Heading)]
    assert len(looks_parts(Looks(), SHOP)) == 2


def test_a_value_in_a_sentence():
    assert [value_words(thing, 1.0, SHOP) for thing in ("infills", "wet", "rush", "stain")] == [
        "1",
        "damp",
        "yes",
        "yes",
    ]
    assert value_words("infills", 0.0, SHOP) == "none"

import re
import tomllib
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from estimator.sheets.paper.range_sheet import LAST, TEXTS, cautions_for

EVERY = tuple(TEXTS)
TRADE = Path(__file__).parents[3] / "estimator" / "log" / "trade.toml"


def met(*stages, two_pack=False):
    """Names of the cautions that the stages bring, in the order printed, without the last line."""
    said = cautions_for(stages, two_pack)
    names = {text: name for name, text in TEXTS.items()}
    return [names[text] for text in said if text != LAST]


@pytest.mark.parametrize(
    ("stage", "hazards"),
    [
        ("assess", []),
        ("handover", []),
        ("clean", ["solvents", "heat"]),
        ("strip", ["solvents", "dust", "pigments", "heat", "splinters"]),
        ("laminate", ["styrene", "catalyst", "exotherm", "solvents"]),
        ("gloss", ["styrene", "catalyst", "exotherm", "solvents"]),
        ("spray", ["solvents", "spraying"]),
        ("sand", ["dust", "pigments"]),
        ("infill", ["styrene", "catalyst", "exotherm", "solvents", "foam", "dust"]),
    ],
)  # common practice, no source
def test_a_stage_brings_what_it_meets(stage, hazards):
    assert met(stage) == hazards


def test_two_pack_paint_is_warned_of_only_where_it_is_used():
    assert "two-pack" not in met("spray")
    assert "two-pack" in met("spray", two_pack=True)
    assert "two-pack" not in met("laminate", two_pack=True)


def test_the_shops_own_names_are_understood_by_their_words():
    assert met("glue_and_sand_fins") == [
        "styrene",
        "catalyst",
        "exotherm",
        "solvents",
        "dust",
        "pigments",
        "splinters",
    ]
    assert met("Sanding, both sides") == ["dust", "pigments"]
    assert met("GLOSS-COAT 2") == met("gloss")


def test_a_name_that_tells_nothing_brings_a_general_caution_and_two_pack_if_used():
    assert met("zwischending") == ["other"]
    assert met("finish", two_pack=True) == ["two-pack", "other"]
    assert met("dry_ice_blast") == ["other"]
    assert met("") == ["other"]


def test_cautions_come_once_in_one_order_and_defer_at_the_end():
    said = cautions_for(["gloss", "strip", "laminate", "gloss"], two_pack=False)
    assert len(set(said)) == len(said)
    assert said == cautions_for(["laminate", "gloss", "strip"], two_pack=False)
    assert said[-1] == LAST
    for word in ("Local codes", "safety data sheet", "licensed practice"):
        assert word in LAST


def test_no_number_is_given_and_nothing_is_called_safe():
    for text in (*TEXTS.values(), LAST):
        assert not re.search(r"\d", text)
        assert not re.search(r"\bsafe\b|\bharmless\b", text, re.IGNORECASE)


def test_every_stage_of_the_starter_is_known():
    stages = tomllib.loads(TRADE.read_text("utf-8"))["stages"]
    assert len(stages) > 10
    unknown = [name for name in stages if "other" in met(name)]
    assert unknown == ["owner_change"]  # either may be any work at all


@given(st.lists(st.text(max_size=30), max_size=6), st.booleans())
def test_any_names_are_taken(stages, two_pack):
    said = cautions_for(stages, two_pack)
    assert said == () or said[-1] == LAST
    assert set(said) <= {*TEXTS.values(), LAST}


@pytest.mark.parametrize(
    ("stage", "hazards"),
    [
        ("wax", ["solvents", "heat"]),
        ("dewax", ["solvents", "heat"]),
        ("drying", []),
        ("stringer", ["styrene", "catalyst", "exotherm", "solvents", "foam", "dust"]),
        ("foam", ["styrene", "catalyst", "exotherm", "solvents", "foam", "dust"]),
        ("block", ["styrene", "catalyst", "exotherm", "solvents", "foam", "dust"]),
        ("reshape", ["dust", "pigments"]),
        ("shape", ["dust", "pigments"]),
        ("fair", ["dust", "pigments"]),
        ("stain", ["solvents", "spraying", "two-pack"]),
        ("paint", ["solvents", "spraying", "two-pack"]),
        ("colour", ["solvents", "spraying", "two-pack"]),
        ("color", ["solvents", "spraying", "two-pack"]),
        ("graphics", ["solvents", "spraying", "two-pack"]),
        ("logos", ["solvents", "spraying", "two-pack"]),
        ("pinlines", ["styrene", "catalyst", "exotherm", "solvents", "spraying", "two-pack"]),
        ("glass", ["styrene", "catalyst", "exotherm", "solvents", "dust"]),
        ("resin", ["styrene", "catalyst", "exotherm", "solvents"]),
        ("patches", ["styrene", "catalyst", "exotherm", "solvents", "dust"]),
        ("fin", ["styrene", "catalyst", "exotherm", "solvents", "dust", "splinters"]),
        ("fins", ["styrene", "catalyst", "exotherm", "solvents", "dust", "splinters"]),
        ("filler", ["styrene", "catalyst", "exotherm", "solvents"]),
        ("hotcoat", ["styrene", "catalyst", "exotherm", "solvents"]),
        ("polish", ["dust"]),
    ],
)  # common practice, no source
def test_no_stage_loses_what_it_meets_where_two_pack_is_used(stage, hazards):
    assert met(stage, two_pack=True) == hazards

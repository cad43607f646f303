"""What an empty cell means, and which areas follow from the outline."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from estimator.log.parse.cells import judged, with_areas
from estimator.words.measures import face_area_m2, usual_width_m

FACE = 0.82 * 2.8 * 0.56  # a long board, 2.8 m by 0.56 m
LONG = {"length_m": 2.8, "width_m": 0.56, "outline": "long"}


def test_an_empty_cell_is_none_or_unknown_as_its_column_says(shop):
    known = judged({"logos": 1.0}, {}, shop)
    # infills, nested: blank is none; sides_stripped, wetness: unknown; redo: sometimes, so unknown
    assert known.assessed == {"logos": 1.0, "infills": 0.0, "nested": 0.0}


def test_a_question_mark_is_not_known_but_is_an_answer(shop):
    assert judged({"logos": None}, {}, shop).assessed == {"infills": 0.0, "nested": 0.0}


def test_where_nothing_was_assessed_all_that_is_asked_is_unknown(shop):
    assert judged({}, {}, shop).assessed == {}
    assert judged({}, {}, shop, kind="major").assessed == {}


def test_what_a_kind_does_not_ask_is_none_and_conditions_follow_their_own_blank(shop):
    assert judged({}, {}, shop, kind="minor").assessed == {
        "face_area": 0.0,
        "sides_stripped": 0.0,
        "glass_stripped": 0.0,
        "logos": 0.0,
    }
    assert judged({"infills": 2.0}, {}, shop, kind="minor").assessed["nested"] == 0.0
    assert "wetness" not in judged({"infills": 2.0}, {}, shop, kind="minor").assessed


def test_one_face_is_worked_out_even_for_a_kind_that_does_not_ask_it(shop):
    known = judged({}, {}, shop, kind="minor", **LONG)
    assert known.assessed["face_area"] == pytest.approx(FACE)
    assert known.worked_out == {"face_area"}


@pytest.mark.parametrize(("sides", "area"), [(0.0, 0.0), (1.0, FACE), (2.0, 2 * FACE), (None, None)])
def test_an_area_is_so_many_faces(shop, sides, area):
    known = judged({"sides_stripped": sides}, {}, shop, **LONG)
    assert known.assessed.get("glass_stripped") == (None if area is None else pytest.approx(area))
    assert known.worked_out == ({"face_area", "glass_stripped"} if area else {"face_area"})


def test_a_measured_area_stands_and_an_unknown_one_is_not_worked_out(shop):
    known = judged({"sides_stripped": 2.0, "glass_stripped": 2.2}, {}, shop, **LONG)
    assert known.assessed["glass_stripped"] == 2.2
    assert known.worked_out == {"face_area"}
    assert (
        "glass_stripped"
        not in judged({"sides_stripped": 2.0, "glass_stripped": None}, {}, shop, **LONG).assessed
    )


def test_without_a_length_no_area_is_known_save_that_of_no_face(shop):
    assert "glass_stripped" not in judged({"sides_stripped": 1.0}, {}, shop).assessed
    known = judged({"sides_stripped": 0.0}, {}, shop)
    assert (known.assessed["glass_stripped"], known.worked_out) == (
        0.0,
        frozenset(),
    )  # nothing was worked out


def test_an_unknown_width_is_the_usual_one_which_is_said(shop):
    known = judged({}, {}, shop, length_m=2.8)
    assert known.assessed["face_area"] == pytest.approx(face_area_m2(2.8, usual_width_m(2.8)))
    assert known.usual_width
    assert not judged({}, {}, shop, **LONG).usual_width
    assert not judged({"face_area": 1.2}, {}, shop, length_m=2.8).usual_width


def test_an_area_comes_in_the_unit_of_its_driver(shop):
    # the same area in square feet: 1 ft = 0.3048 m by definition (international yard and pound, 1959)
    drivers = {**shop.drivers, "face_area": replace(shop.drivers["face_area"], unit="ft2")}
    known = judged({}, {}, replace(shop, drivers=drivers), **LONG)
    assert known.assessed["face_area"] == pytest.approx(FACE / 0.3048**2)


@pytest.mark.parametrize(
    ("assessed", "found", "area"),
    [
        ({"sides_stripped": 1.0}, {"sides_stripped": 2.0}, 2 * FACE),
        ({"sides_stripped": 2.0}, {"sides_stripped": 0.0}, 0.0),
        ({"sides_stripped": 2.0, "glass_stripped": 2.2}, {"sides_stripped": 2.0}, 2.2),
        ({"sides_stripped": 2.0, "glass_stripped": 2.2}, {"sides_stripped": 1.0}, 1.1),
        ({"sides_stripped": 0.0, "glass_stripped": 0.2}, {"sides_stripped": 0.0}, 0.2),  # patches
        ({"sides_stripped": 0.0, "glass_stripped": 0.2}, {"sides_stripped": 1.0}, FACE),
        ({}, {"sides_stripped": 1.0}, FACE),
        ({"sides_stripped": 1.0, "glass_stripped": None}, {"sides_stripped": 1.0}, FACE),
        ({"sides_stripped": 1.0}, {"sides_stripped": 2.0, "glass_stripped": 1.9}, 1.9),
        ({"sides_stripped": 1.0}, {"logos": 1.0}, None),
    ],
)
def test_a_found_area_follows_the_found_faces(shop, assessed, found, area):
    known = judged(assessed, found, shop, **LONG)
    assert known.found.get("glass_stripped") == (None if area is None else pytest.approx(area))
    assert "face_area" not in known.found


def test_what_was_confirmed_is_found_as_it_was_judged(shop):
    known = judged(
        {"infills": 2.0, "sides_stripped": 1.0},
        {},
        shop,
        same=["infills", "logos", "wetness", "glass_stripped"],
        **LONG,
    )
    assert known.found == {"infills": 2.0, "logos": 0.0, "glass_stripped": pytest.approx(FACE)}


NUMBERS = st.dictionaries(
    st.sampled_from(
        ["face_area", "sides_stripped", "glass_stripped", "infills", "logos", "wetness", "nested", "redo"]
    ),
    st.none() | st.floats(0, 5),
)


@given(
    NUMBERS,
    NUMBERS,
    st.sampled_from(["", "major", "minor"]),
    st.none() | st.floats(1, 4),
    st.none() | st.floats(0.3, 0.8),
)
def test_what_was_written_always_stands(shop, assessed, found, kind, length_m, width_m):
    known = judged(assessed, found, shop, kind=kind, length_m=length_m, width_m=width_m)
    for written, read in ((assessed, known.assessed), (found, known.found)):
        for name, value in written.items():
            assert read.get(name) == value
    assert all(value >= 0 for value in (*known.assessed.values(), *known.found.values()))
    assert known.worked_out <= known.assessed.keys() - assessed.keys()


def test_of_a_board_that_is_over_nothing_more_is_none_than_what_nothing_was_said_of(shop):
    """A question mark stays open, an area of the outline is not none, nor what is unknown where it is blank."""
    known = judged({}, {"infills": 3.0, "logos": None}, shop, over=True, length_m=2.8)
    assert known.found == {"infills": 3.0}
    assert judged({}, {"infills": 3.0}, shop, over=True).found == {"infills": 3.0, "logos": 0.0}
    assert judged({"nested": 0.0}, {"infills": 3.0}, shop, over=True).found == {"infills": 3.0}
    assert judged({}, {"infills": None}, shop, over=True).found == {}


def test_the_usual_width_that_a_found_area_comes_of_is_said_too(shop):
    known = judged({"face_area": 1.2, "glass_stripped": None}, {"sides_stripped": 1.0}, shop, length_m=2.8)
    assert (known.usual_width, known.worked_out) == (True, frozenset())
    assert known.found["glass_stripped"] == pytest.approx(face_area_m2(2.8, usual_width_m(2.8)))
    two = shop.drivers["glass_stripped"]
    drivers = {**shop.drivers, "gloss": replace(two, name="gloss", times="logos")}  # an area more, of no face
    more = judged(
        {"face_area": 1.2, "glass_stripped": None, "gloss": None},
        {"sides_stripped": 1.0, "logos": 0.0},
        replace(shop, drivers=drivers),
        length_m=2.8,
    )
    assert (more.usual_width, more.found["gloss"]) == (True, 0.0)
    none = judged({"face_area": 1.2, "glass_stripped": None}, {"sides_stripped": 0.0}, shop, length_m=2.8)
    assert not none.usual_width


@pytest.mark.parametrize(
    ("later", "assessed", "areas"),
    [
        (
            {"sides_stripped": 1.0},
            {"sides_stripped": 1.0, "glass_stripped": 1.4},
            1.4,
        ),  # as large as the first
        ({"sides_stripped": -1.0}, {"sides_stripped": 2.0, "glass_stripped": 2.2}, -1.1),
        ({"sides_stripped": -2.0}, {"sides_stripped": 2.0, "glass_stripped": 2.2}, -2.2),
        ({"sides_stripped": 2.0}, {"sides_stripped": 0.0, "glass_stripped": 0.2}, 2.4),  # two faces of 1.3
        ({"sides_stripped": 1.0, "glass_stripped": 0.7}, {"sides_stripped": 1.0, "glass_stripped": 1.4}, 0.7),
        ({"sides_stripped": 1.0}, {"sides_stripped": 1.0}, None),
        ({"sides_stripped": 1.0}, {"glass_stripped": 1.4}, None),
        ({"logos": 1.0}, {"sides_stripped": 1.0, "glass_stripped": 1.4}, None),
    ],
)
def test_sides_that_the_owner_asks_for_since_bring_their_area(shop, later, assessed, areas):
    area = with_areas(later, assessed, shop, 1.3).get("glass_stripped")
    assert area == (None if areas is None else pytest.approx(areas))

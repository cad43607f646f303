"""A board described in words is the board that a row of the log would be."""

from dataclasses import replace

import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from making.fits import SETTINGS

from estimator.forecast.described import FIELDS, described, taken_as_none
from estimator.model.saved_fit import KnownBoard
from estimator.words.errors import EstimatorError, UnreadableError, UsageError
from estimator.words.records import ON_BENCH
from estimator.words.settings.schema import Driver, Kind, Settings, Stage

OUTLINED = Settings(
    drivers={
        "face": Driver("face", unit="m2", source="outline"),
        "sides": Driver("sides"),
        "glass": Driver("glass", unit="m2", source="outline", times="sides"),
        "logos": Driver("logos"),
    },
    stages={"strip": Stage("strip", drivers=("glass", "face", "logos"))},
    kinds={"major": Kind("major", label="Full restoration"), "minor": Kind("minor", asks=("logos",))},
)
BOARD = KnownBoard(
    "26-003",
    called="red nine-four",
    kind="major",
    state=ON_BENCH,
    length_m=2.84,
    width_m=0.56,
    outline="long",
    assessed={"face": 1.3, "sides": 2.0, "glass": 2.6, "logos": 1.0},
    found={"sides": 1.0, "glass": 1.3},
    later={"logos": 1.0},
    worked_out=("face", "glass"),
    booked=(("strip", 4.0, False),),
)


# ---- fields


def test_every_field_is_read_as_its_cell_is():
    said = described(
        {"kind": "Full Restoration", "length": "9'4", "width": "22 in", "outline": "long", "guess": "40-90"},
        OUTLINED,
    )

    assert (said.kind, said.outline) == ("major", "long")
    assert said.length_m == pytest.approx(112 * 0.0254)  # the inch is 25.4 mm by definition
    assert said.width_m == pytest.approx(22 * 0.0254)
    assert said.guess == pytest.approx(60.0)  # the geometric middle
    assert (said.board, said.state, said.booked) == ("", "", ())


def test_it_may_be_judged_by_what_a_board_is_judged_with():
    assert described({"judged_with": "Scales"}, OUTLINED).judged_with == "scales"
    assert described({"judged_with": "photos"}, OUTLINED, BOARD).judged_with == "photos"
    with pytest.raises(UnreadableError, match="judged_with=nose: that is no judged_with known here"):
        described({"judged_with": "nose"}, OUTLINED)


def test_days_of_a_guess_are_the_shop_s_days():
    assert described({"guess": "2 days"}, OUTLINED).guess == pytest.approx(
        2 * OUTLINED.workshop.hours_in_a_day
    )


def test_quantities_are_read_as_their_cells_are():
    said = described(
        {"area": "2,5", "brittle": "crisp", "masking": 2, "stain": "yes", "colours": "3"}, SETTINGS
    )

    assert said.assessed == {"area": 2.5, "brittle": 1.0, "masking": 2.0, "stain": 1.0, "colours": 3.0}


@pytest.mark.parametrize("unknown", ["?", "", None])
def test_a_question_mark_is_not_known(unknown):
    said = described({"area": unknown, "colours": "1"}, SETTINGS)

    assert "area" not in said.assessed
    assert said.assessed["colours"] == 1.0
    assert described({"kind": unknown, "length": unknown, "guess": unknown}, SETTINGS) == described(
        {}, SETTINGS
    )


def test_what_is_not_named_is_as_an_empty_cell_is():
    """Pieces' blank is unknown, the others' none; of a board of which nothing is said nothing is known."""
    assert described({"area": "1"}, SETTINGS).assessed == {
        "area": 1.0, "colours": 0.0, "brittle": 0.0, "masking": 0.0
    }  # fmt: skip
    assert described({}, SETTINGS).assessed == {}
    assert described({"kind": "minor"}, SETTINGS).assessed == {"area": 0.0, "pieces": 0.0}


def test_none_is_said_by_nought():
    assert described({"pieces": "0"}, SETTINGS).assessed["pieces"] == 0.0


def test_areas_follow_from_the_outline():
    said = described({"length": "2.8 m", "width": "0.55 m", "outline": "long", "sides": "2"}, OUTLINED)

    assert said.assessed["glass"] == pytest.approx(2 * said.assessed["face"])
    assert 0.75 * 2.8 * 0.55 < said.assessed["face"] < 0.85 * 2.8 * 0.55
    assert said.worked_out == ("face", "glass")


def test_a_measured_area_is_not_worked_out():
    said = described({"length": "2.8 m", "sides": "2", "face": "1.1"}, OUTLINED)

    assert said.assessed["face"] == 1.1
    assert "face" not in said.worked_out


# ---- a board of the log with changes


def test_what_is_not_named_stays_as_it_is():
    said = described({"logos": "3"}, OUTLINED, BOARD)

    assert said.assessed["logos"] == 3.0
    assert said.assessed["sides"] == 2.0
    assert (said.board, said.called, said.state, said.booked) == (
        "26-003",
        "red nine-four",
        ON_BENCH,
        BOARD.booked,
    )


def test_a_change_counts_as_found_too_where_the_board_is_opened():
    opened = described({"logos": "3"}, OUTLINED, BOARD)
    not_opened = described({"logos": "3"}, OUTLINED, replace(BOARD, found={}))

    assert opened.turned_out["logos"] == 3.0
    assert not_opened.found == {}


def test_a_change_of_sides_changes_the_area_that_is_worked_out():
    said = described({"sides": "1"}, OUTLINED, replace(BOARD, found={}))

    assert said.assessed["glass"] == pytest.approx(said.assessed["face"])


def test_a_change_of_length_changes_the_areas_that_are_worked_out():
    longer = described({"length": "3.2 m"}, OUTLINED, replace(BOARD, found={}))
    plain = described({}, OUTLINED, replace(BOARD, found={}))

    assert longer.assessed["face"] / plain.assessed["face"] == pytest.approx(3.2 / 2.84)


def test_a_question_mark_forgets_what_was_found_too():
    said = described({"sides": "?"}, OUTLINED, BOARD)

    assert "sides" not in said.turned_out


def test_no_change_changes_nothing_but_areas_worked_out_anew():
    measured = replace(BOARD, worked_out=())

    assert described({}, OUTLINED, measured) == measured


# ---- mistakes


@pytest.mark.parametrize(
    ("said", "message"),
    [
        ({"colour": "2"}, "colours"),
        ({"lenght": "9'4"}, "length"),
        ({"owner": "anyone"}, "owner"),
    ],
)
def test_a_name_that_no_board_has_is_refused_with_the_nearest(said, message):
    with pytest.raises(UsageError, match=message):
        described(said, SETTINGS)


@pytest.mark.parametrize(
    ("said", "message"),
    [
        ({"area": "wide"}, "area=wide"),
        ({"brittle": "rotten"}, "brittle=rotten"),
        ({"length": "6.1"}, "length=6.1"),
        ({"kind": "huge"}, "kind=huge"),
        ({"outline": "square"}, "outline=square"),
        ({"guess": "soon"}, "guess=soon"),
        ({"guess": "0"}, "guess=0"),
        ({"guess": "0-40"}, "guess=0-40"),
        ({"area": "same"}, "nothing that it could be the same as"),
        ({"area": "-1"}, "area=-1"),
    ],
)
def test_a_value_that_cannot_be_read_is_refused_by_its_name(said, message):
    with pytest.raises(UnreadableError, match=message) as refused:
        described(said, SETTINGS)
    assert refused.value.cure


names = st.sampled_from([*FIELDS, *SETTINGS.quantities])
scribbles = st.one_of(st.text(max_size=8), st.floats(), st.integers(), st.none(), st.booleans())


@given(st.dictionaries(names, scribbles, max_size=4))
@example({"guess": 1e-290})
def test_any_scribble_is_read_or_refused(said):
    try:
        board = described(said, SETTINGS)
    except EstimatorError:
        return
    assert all(0 <= v < float("inf") for v in board.assessed.values())
    assert board.guess is None or 0 < board.guess < float("inf")


# ---- what was not said


@pytest.mark.parametrize(
    ("values", "none"),
    [
        ({"sides": "2", "length": "9'4"}, ("logos",)),
        ({"sides": "2", "logos": "0"}, ()),
        ({"sides": "0", "length": "9'4", "width": "22 in"}, ("logos",)),  # of no sides there is no glass
        ({"sides": "2", "logos": "?"}, ()),
        ({"kind": "major"}, ()),  # nothing was judged: all is as such boards usually have it
        ({"kind": "minor", "sides": "2"}, ("logos",)),  # this kind asks for logos alone
    ],
)
def test_what_was_not_said_and_counts_as_none_is_named(values, none):
    assert taken_as_none(values, described(values, OUTLINED), OUTLINED) == none


def test_what_is_said_is_the_whole_whatever_was_asked_for_since():
    said = described({"logos": "3"}, OUTLINED, BOARD)
    faces = replace(BOARD, found={}, later={"sides": 1.0, "glass": 1.3, "logos": 1.0})

    assert (said.later, said.turned_out["logos"]) == ({}, 3.0)
    one_side = described({"sides": 1}, OUTLINED, faces)
    assert one_side.later == {"logos": 1.0}
    assert one_side.turned_out["glass"] == pytest.approx(one_side.face_m2)
    assert described({"guess": 40}, OUTLINED, faces).later == faces.later


def test_what_materials_of_another_board_cost_is_not_what_is_written_on_this_one():
    assert described({"logos": "3"}, OUTLINED, replace(BOARD, materials=240.0)).materials is None

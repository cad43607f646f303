"""A fit as text and back, and what is no fit."""

import json
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from estimator.model.saved_fit import (
    DECIMALS,
    MODEL_VERSION,
    KnownBoard,
    Materials,
    SavedFit,
    fit_from_json,
)
from estimator.words.errors import EstimatorError
from estimator.words.measures import face_area_m2, usual_width_m

RNG = np.random.default_rng(1)
FIT = SavedFit(
    as_of="2026-09-30",
    stages=("strip", "spray"),
    parts=(("strip", "once"), ("strip", "area"), ("spray", "unplanned")),
    conditions=(("strip", "brittle"),),
    log_rate=RNG.standard_normal((7, 3)),
    effect=RNG.standard_normal((7, 1)),
    loading=RNG.random((7, 2)),
    noise=RNG.random((7, 2)),
    lean=RNG.standard_normal(7),
    scale=RNG.random(7),
    untold=(("spray", "colours"),),
    chances={"stain": (1.5, 8.5)},
    rules=(("one", True, "strip"), ("two", False, "")),
    boards=(
        KnownBoard(
            "26-001", "red nine-four", "major", "finished", 2.84, 0.56, "long", {"area": 2.0}, {"area": 2.5},
            {"logos": 1.0}, ("area",), 40.0, 44.25, (("strip", 6.5, True), ("spray", 3.0, False)),
            {"strip": 0.01}, ("strip",),
        ),
        KnownBoard("é ½ “odd”"),
    ),
    left_out={"withdrawn": 2},
    problems=3,
)  # fmt: skip
KEPT = json.loads(FIT.to_json())


def rounded(fit):
    arrays = ("log_rate", "effect", "loading", "noise", "lean", "scale")
    return replace(fit, **{name: np.round(getattr(fit, name), DECIMALS) for name in arrays})


def test_there_and_back_is_the_same_fit():
    back = fit_from_json(FIT.to_json())

    for name, value in vars(rounded(FIT)).items():
        if isinstance(value, np.ndarray):
            assert np.array_equal(getattr(back, name), value), name
            assert getattr(back, name).dtype == float
        else:
            assert getattr(back, name) == value, name


def test_the_same_fit_is_the_same_text_and_so_is_what_is_read_from_it():
    text = FIT.to_json()

    assert FIT.to_json() == text
    assert fit_from_json(text).to_json() == text


def test_a_fit_without_conditions_and_without_boards():
    bare = replace(FIT, conditions=(), effect=np.zeros((7, 0)), boards=(), chances={}, rules=(), untold=())
    back = fit_from_json(bare.to_json())

    assert back.effect.shape == (7, 0)
    assert back.to_json() == bare.to_json()


def test_names_and_what_turned_out():
    first, second = FIT.boards

    assert (first.name, second.name) == ("red nine-four", "é ½ “odd”")
    assert first.turned_out == {"area": 2.5}
    assert FIT.n_draws == 7


# ---- what is no fit


@pytest.mark.parametrize("version", [0, MODEL_VERSION + 1, "1", None])
def test_another_version_is_refused_with_the_cure(version):
    with pytest.raises(
        EstimatorError, match=rf"of version {version}, this program writes.*Delete the folder"
    ):
        fit_from_json(json.dumps({**KEPT, "version": version}))


@pytest.mark.parametrize(
    "text",
    [
        "",
        "{}",
        "[]",
        "null",
        "3",
        '"fit"',
        "{",
        f'{{"version": {MODEL_VERSION}}}',
        "\0",
        "[" * 100_000,
        "1e999",
    ],
)
def test_other_text_is_refused_with_the_cure(text):
    with pytest.raises(EstimatorError, match=r"cannot be read.*Delete the folder"):
        fit_from_json(text)


@pytest.mark.parametrize("name", sorted(KEPT.keys() - {"version"}))
def test_a_fit_that_lacks_anything_is_refused(name):
    with pytest.raises(EstimatorError, match="cannot be read"):
        fit_from_json(json.dumps({k: v for k, v in KEPT.items() if k != name}))


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("log_rate", KEPT["log_rate"][:-1]),
        ("log_rate", [row[:-1] for row in KEPT["log_rate"]]),
        ("effect", KEPT["loading"]),
        ("parts", KEPT["parts"][:-1]),
        ("stages", ["strip"]),
        ("lean", KEPT["lean"][:-1]),
        ("scale", [*KEPT["scale"], 1.0]),
        ("noise", "none"),
        ("boards", [{"board": "x"}]),
        ("boards", [7]),
        ("chances", [1, 2]),
        ("rules", [["one"]]),
        ("left_out", 4),
        ("problems", "many"),
    ],
)
def test_pieces_that_do_not_fit_together_are_refused(name, value):
    with pytest.raises(EstimatorError, match="cannot be read"):
        fit_from_json(json.dumps({**KEPT, name: value}))


anything = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=5),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=5), inner, max_size=3),
    max_leaves=6,
)


@given(st.sampled_from(sorted(KEPT)), anything)
def test_a_fit_with_anything_in_it_is_read_or_refused(name, value):
    try:
        fit_from_json(json.dumps({**KEPT, name: value}))
    except EstimatorError:
        return


@given(st.text())
def test_any_text_is_read_or_refused(text):
    with pytest.raises(EstimatorError):
        fit_from_json(text)


def test_a_board_as_it_was_first_asked_for_has_nothing_of_what_was_asked_for_since():
    """Found in all 5 logos, of which 2 were asked for since; of 1 pinline 3 were: never less than none."""
    board = KnownBoard(
        "a",
        assessed={"logos": 1.0},
        found={"logos": 5.0, "pins": 1.0, "area": 2.0},
        later={"logos": 2.0, "pins": 3.0},
    )
    plain = board.as_first_asked

    assert (plain.later, plain.assessed) == ({}, {"logos": 1.0})
    assert plain.found == {"logos": 3.0, "pins": 0.0, "area": 2.0}
    assert plain.wanted == {"logos": 1.0}
    assert (board.wanted, board.turned_out["logos"]) == ({"logos": 3.0}, 5.0)


def test_the_area_of_a_face_is_by_its_own_width_else_the_usual_one():
    long_, wide = (
        KnownBoard("a", length_m=2.8, outline="gun"),
        KnownBoard("a", length_m=2.8, width_m=0.6, outline="gun"),
    )

    assert KnownBoard("a", width_m=0.6).face_m2 is None
    assert wide.face_m2 == pytest.approx(face_area_m2(2.8, 0.6, "gun"))
    assert long_.face_m2 == pytest.approx(face_area_m2(2.8, usual_width_m(2.8), "gun"))
    assert long_.face_m2 != pytest.approx(wide.face_m2)


@pytest.mark.parametrize(("spread", "settled"), [(0.0, True), (1.0, True), (1.05, True), (1.06, False)])
def test_chains_have_met_up_to_a_twentieth(spread, settled):
    assert replace(FIT, spread=spread).settled is settled


def test_mean_rates_are_at_the_mean_of_logs_and_effects_the_means_by_stage():
    """Logs of 1 and 3 hours: the middle is the root of 3; effects of .1, .2 and .6 are .3."""
    fit = replace(
        FIT,
        parts=(("strip", "once"),),
        log_rate=np.log([[1.0], [1.0], [3.0], [3.0]]),
        conditions=(("strip", "brittle"), ("spray", "wet"), ("strip", "old")),
        effect=np.array([[0.1, 1.0, 0.0], [0.2, 1.0, 0.0], [0.6, 1.0, 0.3]]),
    )

    assert fit.mean_rates == {("strip", "once"): pytest.approx(3**0.5)}
    assert fit.mean_effects == {
        "strip": [("brittle", pytest.approx(0.3)), ("old", pytest.approx(0.1))],
        "spray": [("wet", pytest.approx(1.0))],
    }


def test_materials_are_kept_number_by_number():
    told = Materials(
        ("once", "area"),
        np.array([3.0, 4.0]),
        np.array([[0.1, 0.0], [0.2, 0.3]]),
        0.4,
        0.05,
        (1.5, 0.6),
        9,
        2,
        1,
    )
    back = fit_from_json(replace(FIT, materials=told).to_json()).materials

    assert (back.drivers, back.luck, back.free, back.per_hour) == (("once", "area"), 0.4, 0.05, (1.5, 0.6))
    assert (back.boards, back.without, back.unknown) == (9, 2, 1)
    assert (back.log_cost.tolist(), back.root.tolist()) == ([3.0, 4.0], [[0.1, 0.0], [0.2, 0.3]])

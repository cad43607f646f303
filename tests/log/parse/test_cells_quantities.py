"""Grades of conditions, from their words, their numbers, or yes and no."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from estimator.log.parse.cells import read_grade, read_more, readers
from estimator.words.errors import UnreadableError
from estimator.words.settings.schema import Modifier

WETNESS = Modifier("wetness", grades=("dry", "a bit damp", "wet", "soaked"))


@given(
    st.sampled_from(WETNESS.grades),
    st.sampled_from([str.upper, str.title, lambda word: f" {word.replace(' ', '-')} "]),
)
def test_every_grade_is_read_by_its_word_and_its_number(word, spelt):
    grade = WETNESS.grades.index(word)
    assert (
        read_grade(spelt(word), WETNESS)
        == read_grade(str(grade), WETNESS)
        == read_grade(float(grade), WETNESS)
        == grade
    )


@pytest.mark.parametrize(
    ("cell", "modifier", "wrong", "cure"),
    [
        ("weet", WETNESS, "that is none of its grades", "The nearest name known here is wet."),
        (4, WETNESS, "that is none of its grades", "Known here: dry, a bit damp, wet, soaked."),
        ("1.5", WETNESS, "that is none of its grades", "Known here: dry, a bit damp, wet, soaked."),
        ("-1", WETNESS, "that is none of its grades", "Known here: dry, a bit damp, wet, soaked."),
        ("2", Modifier("nested"), "that says neither yes nor no", "Write yes or no."),
    ],
)
def test_what_is_no_grade(cell, modifier, wrong, cure):
    with pytest.raises(UnreadableError) as refused:
        read_grade(cell, modifier)
    assert (refused.value.wrong, refused.value.cure) == (wrong, cure)


@given(st.text() | st.floats() | st.booleans() | st.integers())
def test_any_cell_is_read_or_refused(cell):
    for modifier in (WETNESS, Modifier("nested")):
        try:
            grade = read_grade(cell, modifier)
        except UnreadableError:
            continue
        assert grade in range(modifier.highest + 1)


def test_a_cell_is_read_in_the_unit_of_its_driver(shop):
    read = readers(shop)
    assert set(read) == set(shop.quantities)
    # 1 ft = 0.3048 m by definition (international yard and pound, 1959)
    assert read["glass_stripped"]("14 sq ft") == pytest.approx(14 * 0.3048**2)
    with pytest.raises(UnreadableError):
        read["infills"]("14 sq ft")
    assert read["redo"]("yes") == 1.0


def test_a_yes_is_no_number_of_a_grade_nor_less_of_it():
    """Yes is the highest grade and no the lowest, whatever number a machine takes them for."""
    assert [read_grade(cell, WETNESS) for cell in (True, False, 1, 0.0)] == [3.0, 0.0, 1.0, 0.0]
    taken = []
    assert read_more(True, lambda cell: taken.append(cell) or 1.0) == 1.0
    assert [read_more(cell, float) for cell in ("-0.5", "– 2", "−3", -4, -0.25, 5)] == [
        -0.5,
        -2,
        -3,
        -4,
        -0.25,
        5,
    ]
    assert taken == [True]

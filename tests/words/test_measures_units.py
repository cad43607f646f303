import pytest
import scipy.constants
from hypothesis import given
from hypothesis import strategies as st

from estimator.words.errors import UnreadableError
from estimator.words.measures import UNITS, convert, in_unit

SAME = [(a, b) for a in UNITS for b in UNITS if UNITS[a][0] == UNITS[b][0]]


@pytest.mark.parametrize(
    ("unit", "si", "size"),
    [
        # International yard and pound, 1959; NIST Special Publication 811, appendix B.8 (from memory)
        ("ft", "m", 0.3048),
        ("in", "mm", 25.4),
        ("lb", "kg", 0.45359237),
        ("oz", "g", 28.349523125),
        ("ft2", "m2", 0.09290304),
        ("in2", "cm2", 6.4516),
    ],
)
def test_units_are_as_they_are_defined(unit, si, size):
    assert convert(1.0, unit, si) == pytest.approx(size, rel=1e-15)


@pytest.mark.parametrize(
    ("unit", "si", "size"),
    [
        ("ft", "m", scipy.constants.foot),
        ("in", "m", scipy.constants.inch),
        ("lb", "kg", scipy.constants.pound),
        ("oz", "kg", scipy.constants.ounce),
    ],
)
def test_units_agree_with_a_library_of_constants(unit, si, size):
    assert convert(1.0, unit, si) == pytest.approx(size, rel=1e-12)


@pytest.mark.parametrize(("ounces", "grams"), [(1, 33.90574749), (4, 135.623), (6, 203.434), (10, 339.057)])
def test_cloth_weights_in_ounces_per_square_yard_come_out_in_grams_per_square_metre(ounces, grams):
    # NIST Special Publication 811, appendix B.8: 1 oz/yd2 = 3.390575 E-02 kg/m2 (from memory)
    assert convert(ounces, "oz", "g") / convert(9, "ft2", "m2") == pytest.approx(grams, abs=5e-4)


@given(st.floats(1e-3, 1e5), st.sampled_from(SAME))
def test_there_and_back_is_where_one_was(size, units):
    there, back = units
    assert convert(convert(size, there, back), back, there) == pytest.approx(size, rel=1e-14)


def test_an_area_is_no_weight():
    with pytest.raises(ValueError, match="ft2 is an area, kg is a weight"):
        convert(1.0, "ft2", "kg")
    with pytest.raises(KeyError):
        convert(1.0, "yd", "m")


@pytest.mark.parametrize(
    "text",
    [
        "2 ft2",
        "2 ft^2",
        "2 sq ft",
        "2 sq. ft.",
        "2 sqft",
        "2 square feet",
        "2ft2",
        "2 square foot",
        "2,0 sq feet",
    ],
)
def test_square_feet_have_many_spellings(text):
    assert in_unit(text, text, "ft2", "") == 2.0


def test_a_unit_of_something_else_is_refused_by_name():
    cases = {
        ("3 kg", "m2"): '"3 kg" is a weight, not an area',
        ("3 m2", ""): '"3 m2" is an area, and this is counted',
        ("3 m", "m2"): '"3 m" is a length, not an area',
        ("3 yd", "m"): '"3 yd" is in a unit that is not known here',
        ("three", "m"): '"three" is not a number that can be read',
    }
    for (text, unit), wrong in cases.items():
        with pytest.raises(UnreadableError) as error:
            in_unit(text, text, unit, "Mend it.")
        assert error.value.wrong == wrong


@pytest.mark.parametrize(
    ("text", "unit", "size"),
    [
        ("3 metres", "m", 3), ("250 centimetres", "m", 2.5), ("10 millimeters", "cm", 1), ("12 inches", "ft", 1),
        ("3 foot", "in", 36), ("2 kilos", "g", 2000), ("500 grams", "kg", 0.5), ("16 ounces", "lb", 1),
        ("3 pounds", "oz", 48), ("100 cm^2", "m2", 0.01), ("9 square inches", "in2", 9), ("4 sq. metres", "m2", 4),
    ],
)  # fmt: skip
def test_units_are_read_as_they_are_spelt_out(text, unit, size):
    assert in_unit(text, text, unit, "") == pytest.approx(size)

import datetime as dt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from estimator.words.errors import UnreadableError
from estimator.words.measures import (
    face_area_m2,
    odd_length,
    read_length_m,
    read_quantity,
    read_weight_kg,
    read_width_m,
    say_length,
    usual_width_m,
)
from estimator.words.records import OUTLINES

FOOT, INCH = 0.3048, 0.0254


def refused(reader, *args):
    with pytest.raises(UnreadableError) as error:
        reader(*args)
    return error.value


@pytest.mark.parametrize(
    "text",
    ["9'6\"", "9'6", "9-6", "9 ft 6 in", "9’6”", "9′6″", "9' 6''", "9ft6", "9 feet 6 inches", "9 FT. 6 IN.", "9'-6\"", "9 - 6", '114"', "114 in", "9.5 ft", "289.56 cm", "2.8956 m", "2895.6 mm", "2,8956 m", "2.8956"],
)  # fmt: skip
def test_nine_foot_six_in_every_spelling(text):
    # 9'6" = 114 in = 2.8956 m: by the definition of the inch; the spellings are common practice, no source
    assert read_length_m(text) == pytest.approx(2.8956, abs=1e-12)


@pytest.mark.parametrize(
    "text",
    [
        "6'1 1/2",
        "6'1½",
        "6-1 1/2",
        "6-1½",
        "6 ft 1 1/2 in",
        "6'1.5\"",
        "6'1,5",
        '73 1/2"',
        "73.5 in",
        "73½ inches",
    ],
)
def test_halves_of_an_inch(text):
    assert read_length_m(text) == pytest.approx(73.5 * INCH)


@pytest.mark.parametrize(
    ("value", "metres"),
    [("185 cm", 1.85), ("185", 1.85), (185, 1.85), ("1.85 m", 1.85), (1.85, 1.85), ("6'", 6 * FOOT), (9, 9 * FOOT), ("9.0", 9 * FOOT), (72, 72 * INCH), ("6'1/2", 72.5 * INCH)],
)  # fmt: skip
def test_what_only_one_unit_makes_a_board_of(value, metres):
    assert read_length_m(value) == pytest.approx(metres)


@pytest.mark.parametrize(
    ("value", "wrong", "cure"),
    [
        ("9.6", '"9.6" could be 9 ft 6 in or 9.6 ft', "Write 9'6\" for the one, 9.6 ft for the other."),
        (9.6, '"9.6" could be 9 ft 6 in or 9.6 ft', "Write 9'6\" for the one, 9.6 ft for the other."),
        (6.1, '"6.1" could be 6 ft 1 in or 6.1 ft', "Write 6'1\" for the one, 6.1 ft for the other."),
        ("9,6", '"9,6" could be 9 ft 6 in or 9.6 ft', "Write 9'6\" for the one, 9.6 ft for the other."),
        ("9.6'", '"9.6\'" could be 9 ft 6 in or 9.6 ft', "Write 9'6\" for the one, 9.6 ft for the other."),
        ("9.10", '"9.10" could be 9 ft 10 in or 9.10 ft', "Write 9'10\" for the one, 9.10 ft for the other."),
        ("9.11", '"9.11" could be 9 ft 11 in or 9.11 ft', "Write 9'11\" for the one, 9.11 ft for the other."),
        ("6.12", '"6.12" does not say whether it is feet', "Write 6.12 ft, or feet and inches as 6'1\"."),
        ("6 1/2", '"6 1/2" does not say whether it is feet', "Write 6 1/2 ft, or feet and inches as 6'1\"."),
    ],
)  # fmt: skip
def test_a_bare_decimal_is_refused_with_both_readings(value, wrong, cure):
    error = refused(read_length_m, value)

    assert (error.wrong, error.cure) == (wrong, cure)


@pytest.mark.parametrize(
    ("value", "wrong"),
    [
        ("5'12\"", '"5\'12"" has 12 inches after the feet'),
        ("5-12", '"5-12" has 12 inches after the feet'),
        ("6.5'3", '"6.5\'3" has parts of a foot, and inches too'),
        ("96", '"96" could be 96 in or 96 cm'),
        (3, '"3" could be 3 ft or 3 m'),
        ("14'", '"14\'" is no length of a surfboard'),
        ("2 ft", '"2 ft" is no length of a surfboard'),
        (500, '"500" is no length of a surfboard, in any unit'),
        ("9 kg", '"9 kg" is a weight, not a length'),
        ("6'1'", "\"6'1'\" is not a number that can be read"),
        (dt.datetime.fromisoformat("2026-01-06"), "the spreadsheet has made a date or a time of this length"),
    ],
)
def test_what_is_wrong_is_said(value, wrong):
    assert refused(read_length_m, value).wrong == wrong


def test_boards_from_three_to_thirteen_feet_are_read():
    # common practice, no source: boards are mostly five to ten feet; stranger ones exist
    assert read_length_m("3 ft") == pytest.approx(3 * FOOT)
    assert read_length_m("13'0") == pytest.approx(13 * FOOT)
    refused(read_length_m, "2'11 7/8")
    refused(read_length_m, "13'0 1/8")


@pytest.mark.parametrize(
    ("length", "odd"), [("4'11", True), ("5'0", False), ("10'6", False), ("10'6 1/8", True)]
)
def test_boards_outside_five_to_ten_and_a_half_feet_are_asked_about(length, odd):
    # common practice, no source
    assert odd_length(read_length_m(length)) is odd


@given(
    st.integers(36 * 8, 156 * 8),
    st.sampled_from(["{f}'{i}", "{f}' {i}\"", "{f} ft {i} in", "{f}-{i}", "{f}′{i}″", "{f} feet {i}"]),
)
def test_feet_inches_and_eighths_are_read_back(eighths, spelling):
    inches, part = divmod(eighths, 8)
    feet, over = divmod(inches, 12)
    text = spelling.format(f=feet, i=f"{over} {part}/8" if part else over)

    assert read_length_m(text) == pytest.approx(eighths / 8 * INCH, abs=1e-12)


@given(st.integers(915, 3962))
def test_metric_lengths_are_read_back_in_all_units(mm):
    for text in (f"{mm} mm", f"{mm / 10} cm", f"{mm / 1000} m", f"{mm / 1000}m".replace(".", ",")):
        assert read_length_m(text) == pytest.approx(mm / 1000, abs=1e-12)


@pytest.mark.parametrize(
    "value",
    [
        "22 5/8",
        "22⅝",
        "22-5/8",
        '22-5/8"',
        22.625,
        "22,625",
        '22 5/8"',
        "22.625 in",
        "1'10 5/8",
        "57.4675 cm",
        "0.574675 m",
    ],
)
def test_a_bare_width_is_inches(value):
    assert read_width_m(value) == pytest.approx(22.625 * INCH)


def test_a_width_that_no_board_has_is_refused():
    assert read_width_m(14) == pytest.approx(14 * INCH)
    assert read_width_m("32") == pytest.approx(32 * INCH)
    assert read_width_m(57) == pytest.approx(0.57)
    for value in (13.9, 33, "9 in", "1 m", "3'0"):
        refused(read_width_m, value)
    assert refused(read_width_m, "33").wrong == '"33" is no width of a surfboard, in any unit'


@pytest.mark.parametrize(
    ("value", "kg"),
    [("8.4 kg", 8.4), (8.4, 8.4), ("8,4", 8.4), ("18.5 lb", 8.39145884), ("18 lb 8 oz", 8.39145884), ("18lbs 8", 8.39145884), ("8400 g", 8.4), ("18 lb 15.5 oz", 8.60408027), (0.5, 0.5), (60, 60)],
)  # fmt: skip
def test_weights(value, kg):
    assert read_weight_kg(value) == pytest.approx(kg)


def test_weights_that_no_board_has_are_refused():
    for value in ("0", 0.4, 61, "200 lb", "18 lb 16 oz", "6 ft", "none"):
        refused(read_weight_kg, value)


@pytest.mark.parametrize(
    ("value", "unit", "quantity"),
    [
        (3, "", 3),
        (100_000, "", 100_000),
        ("2", "", 2),
        ("0.3", "", 0.3),
        ("½", "", 0.5),
        ("2½", "", 2.5),
        ("1,333", "m2", 1.333),
        ("1.3 m²", "m2", 1.3),
        ("none", "m2", 0),
        ("Nil", "", 0),
        ("-", "", 0),
        ("–", "", 0),
        ("0", "", 0),
        (-0.0, "", 0),
        ("14.35 sq ft", "m2", 14.35 * 0.09290304),
        ("144 in²", "ft2", 1),
        ("10'", "m", 3.048),
        ("30 cm", "ft", 0.3 / 0.3048),
        ("1 lb", "kg", 0.45359237),
    ],
)
def test_quantities_come_in_the_drivers_own_unit(value, unit, quantity):
    assert read_quantity(value, unit) == pytest.approx(quantity, rel=1e-12)


def test_quantities_that_no_board_has_are_refused():
    assert refused(read_quantity, "-1", "").wrong == '"-1" is less than nothing'
    assert refused(read_quantity, 1e6, "m2").wrong == '"1000000" is more than any board has'
    assert refused(read_quantity, "1e999", "").wrong == '"1e999" is more than any board has'
    assert refused(read_quantity, "2,5O", "m2").cure == "Write a number in m2, or none."
    assert refused(read_quantity, "two", "").cure == "Write a number, or none."


@given(st.floats(0, 1e5), st.sampled_from(["", "m2", "ft2", "m", "ft", "kg", "lb"]))
def test_quantities_are_read_back_exactly(quantity, unit):
    assert read_quantity(repr(quantity), unit) == quantity
    assert read_quantity(f"{quantity!r} {unit}", unit) == quantity


def test_the_face_of_a_long_board():
    # 9'4" x 22 1/2" with 0.82: 2066.4 in2 = 14.35 ft2 = 1.333 m2, worked by hand; the 0.82 is common practice, no source
    area = face_area_m2(read_length_m("9'4\""), read_width_m("22 1/2"), "long")

    assert area == pytest.approx(2066.4 * INCH**2, rel=1e-12)
    assert area / FOOT**2 == pytest.approx(14.35, abs=0.005)
    assert area == pytest.approx(1.333, abs=0.0005)


def test_shares_of_the_rectangle_by_outline():
    # common practice, no source: a pulled-in gun fills least of its rectangle, a long board most
    shares = {outline: face_area_m2(1.0, 1.0, outline) for outline in ("gun", "short", "fish", "long", "")}

    assert shares == {"gun": 0.74, "short": 0.76, "fish": 0.795, "long": 0.82, "": 0.78}
    assert set(shares) == {*OUTLINES, ""}
    with pytest.raises(KeyError):
        face_area_m2(1.0, 1.0, "round")


def test_usual_widths_run_from_short_to_long_boards():
    # common practice, no source: 19.6 in at 6.2 ft, 21.2 at 7.5, 22.6 at 9.4
    widths = {6.2: 19.6, 7.5: 21.2, 9.4: 22.6, 3: 19.6, 13: 22.6, 6.85: 20.4, 8.45: 21.9}
    for length_ft, width_in in widths.items():
        assert usual_width_m(length_ft * FOOT) / INCH == pytest.approx(width_in)


@given(st.floats(0.9, 4), st.floats(0.9, 4))
def test_a_longer_board_is_never_usually_narrower(one, other):
    assert usual_width_m(min(one, other)) <= usual_width_m(max(one, other)) + 1e-12


@pytest.mark.parametrize(
    ("metres", "said"),
    [
        (114 * INCH, "9'6\" (2.90 m)"),
        (73.5 * INCH, "6'1 1/2\" (1.87 m)"),
        (73.25 * INCH, "6'1 1/4\" (1.86 m)"),
        (72 * INCH, "6'0\" (1.83 m)"),
        (72.5 * INCH, "6'0 1/2\" (1.84 m)"),
        (1.85, "6'1\" (1.85 m)"),
        (2.0, "6'6 1/2\" (2.00 m)"),  # 78.74 inches: no eighth was measured
        (22.625 * INCH, '22 5/8" (57.5 cm)'),
        (0.57, '22 1/2" (57 cm)'),
        (0.5 * INCH, '1/2" (1.3 cm)'),
        (3 * FOOT, "3'0\" (0.91 m)"),
        (143.99 * INCH, "12'0\" (3.66 m)"),
    ],
)
def test_lengths_are_said_in_feet_and_inches_first(metres, said):
    assert say_length(metres) == said


@given(st.floats(0.92, 13 * FOOT - 0.01))
def test_a_length_said_is_a_length_read_to_a_quarter_inch(metres):
    said, _, metric = say_length(metres).partition(" (")

    assert read_length_m(said) == pytest.approx(metres, abs=0.25 * INCH + 1e-9)
    assert read_length_m(metric.removesuffix(")")) == pytest.approx(metres, abs=0.005 + 1e-9)


@given(st.integers(36 * 8, 156 * 8))
def test_eighths_are_said_as_they_were_measured(eighths):
    said, _, _ = say_length(eighths / 8 * INCH).partition(" (")

    assert read_length_m(said) == pytest.approx(eighths / 8 * INCH, abs=1e-9)

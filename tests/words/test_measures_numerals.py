import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from estimator.words.errors import UnreadableError
from estimator.words.measures import number, number_in, number_or_text, quoted, tidy


@pytest.mark.parametrize(
    ("text", "plain"),
    [
        ("9′6½″", "9'6 1/2\""),
        ("9’ 6”", "9' 6\""),
        ("6'1''", "6'1\""),
        ("60–80", "60-80"),
        ("−5", "-5"),
        ("2\u00a0500", "2 500"),
        ("1⁄2", "1/2"),
        ("1.3 M²", "1.3 m^2"),
        ("\ufeff4  \t h", "4 h"),
    ],
)
def test_what_phones_and_spreadsheets_put_in_is_made_plain(text, plain):
    assert tidy(text) == plain


@pytest.mark.parametrize(
    ("text", "number"),
    [
        ("7", 7),
        ("2.5", 2.5),
        ("2,5", 2.5),
        ("-3", -3),
        (",5", 0.5),
        ("1e-05", 1e-5),
        ("3/4", 0.75),
        ("4 1/2", 4.5),
        ("22-5/8", 22.625),
        ("-1/2", -0.5),
        ("3/2", 1.5),
    ],
)
def test_numbers_are_read_as_people_write_them(text, number):
    assert number_in(text) == number


@pytest.mark.parametrize(
    "text", ["", "x", "1/0", "4 5/4", "4 4/4", "1 2", "1,2,3", "1.2/3", "٣", "²", "nan", "inf", "--1"]
)
def test_what_is_no_number_is_none(text):
    assert number_in(text) is None


@pytest.mark.parametrize("glyph", "½⅓⅔¼¾⅕⅖⅗⅘⅙⅚⅛⅜⅝⅞")
def test_every_fraction_of_the_keyboard_is_the_fraction_that_it_shows(glyph):
    import unicodedata

    # Unicode Character Database, numeric value of the character
    assert number_in(tidy(f"3{glyph}")) == pytest.approx(3 + unicodedata.numeric(glyph))


@given(st.floats(min_value=0, max_value=1e12, allow_nan=False))
def test_a_number_written_out_in_full_is_read_back_exactly(number):
    assert number_in(repr(number)) == number
    assert number_in(repr(number).replace(".", ",")) == number


@given(st.integers(0, 999), st.integers(1, 64), st.data())
def test_mixed_numbers_are_read_back(whole, below, data):
    above = data.draw(st.integers(0, below - 1))
    assert number_in(f"{whole} {above}/{below}") == pytest.approx(whole + above / below)


@pytest.mark.parametrize(
    ("value", "said"), [(100.0, "100"), (0.0, "0"), (53.25, "53.25"), (1e-05, "0.00001"), (-4.5, "-4.5"), (1e22, "1" + "0" * 22)]
)  # fmt: skip
def test_a_number_is_written_with_all_its_figures_and_no_more(value, said):
    assert number(value) == said


def test_a_long_cell_is_cut_in_a_message():
    assert quoted("x" * 100) == '"' + "x" * 39 + '…"'
    assert quoted("x" * 40) == '"' + "x" * 40 + '"'
    assert quoted(9.600000000000001) == '"9.6"'


def test_a_number_without_end_is_refused():
    for value in (math.inf, -math.inf, 10**400):
        with pytest.raises(UnreadableError, match="without end"):
            number_or_text(value, "Mend it.")

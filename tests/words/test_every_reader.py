"""What all readers of cells promise alike, whatever stands in the cell."""

import datetime as dt
import subprocess
import sys
import time
from decimal import Decimal
from fractions import Fraction

import numpy as np
import pandas as pd
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from estimator.words.dates import read_date, read_quarter
from estimator.words.errors import UnreadableError
from estimator.words.measures import read_length_m, read_quantity, read_weight_kg, read_width_m
from estimator.words.money import read_money
from estimator.words.odds import read_odds
from estimator.words.worked_time import read_range_hours, read_worked_time

READERS = {
    "length": read_length_m,
    "width": read_width_m,
    "weight": read_weight_kg,
    "count": lambda value: read_quantity(value, ""),
    "area": lambda value: read_quantity(value, "m2"),
    "area in feet": lambda value: read_quantity(value, "ft2"),
    "hours": lambda value: read_worked_time(value, 6.5),
    "range": lambda value: read_range_hours(value, 6.5),
    "date": read_date,
    "date, day first": lambda value: read_date(value, "day-month"),
    "date, month first": lambda value: read_date(value, "month-day"),
    "quarter": read_quarter,
    "money": read_money,
    "odds": read_odds,
}
SCRIBBLE = st.text(alphabet="0123456789" * 2 + " .,:/'\"-–+()½⅝²’″%$£pthmsdwkegalbinqfour°", max_size=14)
WORDS = """0 1 2 5 12 60 99 2026 1e999 1/2 1/0 ½ ¾ 0.5 ,5 - – / : ' " . , ( ) % mk £ about ca. ~ h m min day days wks
    half a an ft in cm m² sq lb oz kg june W24 Q3 PT P to and"""
PIECES = st.lists(st.sampled_from([" ", *WORDS.split()]), max_size=6).map("".join)
ODD = st.one_of(
    st.none(),
    st.booleans(),
    st.integers(),
    st.floats(),
    st.decimals(),
    st.fractions(),
    st.complex_numbers(),
    st.binary(max_size=5),
    st.dates(),
    st.datetimes(),
    st.datetimes(timezones=st.just(dt.UTC)),
    st.times(),
    st.timedeltas(),
    st.lists(st.integers(), max_size=2),
    st.dictionaries(st.text(max_size=2), st.integers(), max_size=2),
    st.just(10**400),
    st.sampled_from(
        [np.float64(2.5), np.int64(3), np.bool_(True), np.nan, pd.NaT, pd.NA, pd.Timestamp(2026, 6, 12)]
    ),
)


def told(reader, value):
    """The mistake that a reader tells, or None where it reads the value."""
    try:
        reader(value)
    except UnreadableError as error:
        return error
    return None


@pytest.mark.parametrize("what", READERS)
@given(value=st.one_of(st.text(), SCRIBBLE, PIECES, ODD))
@settings(max_examples=150, deadline=None)
@example(value="1e999 days")
@example(value="9" * 5000)
@example(value="9" * 5000 + "/" + "9" * 5000)
@example(value="1e999 h 5")
@example(value=Decimal("sNaN"))
@example(value=Fraction(10**400))
@example(value=dt.date.max)
@example(value=dt.datetime.fromisoformat("1900-01-01T03:30"))
def test_nothing_is_raised_but_a_mistake_in_plain_words(what, value):
    error = told(READERS[what], value)
    if error is None:
        return

    assert not error.wrong.endswith(".")
    assert error.cure.endswith(".")
    assert len(error.wrong) < 130
    assert not any(
        word in error.wrong for word in ("invalid", "float", "str ", "datetime", "NoneType", "Error")
    )


@pytest.mark.parametrize("what", READERS)
@pytest.mark.parametrize("empty", [None, "", "  ", "\u00a0", float("nan")])
def test_an_empty_cell_is_told_apart_from_a_wrong_one(what, empty):
    error = told(READERS[what], empty)

    assert error is not None
    assert error.wrong == "nothing is written"


@pytest.mark.parametrize("what", READERS)
@pytest.mark.parametrize("value", [True, False, "?", "x", float("inf"), [], b"3"])
def test_what_is_no_number_of_any_sort_is_refused(what, value):
    assert told(READERS[what], value) is not None


@pytest.mark.parametrize("what", [what for what in READERS if "date" not in what and what != "quarter"])
@pytest.mark.parametrize("value", [-2, -0.7, "-2", "−2", "-0,7"])
def test_nothing_is_less_than_nothing(what, value):
    assert told(READERS[what], value) is not None


@given(st.one_of(st.text(), SCRIBBLE, PIECES))
@settings(max_examples=200, deadline=None)
def test_what_is_read_of_a_quantity_is_a_number_that_a_board_can_have(value):
    for what in ("count", "area", "money", "hours"):
        if told(READERS[what], value) is None:
            found = READERS[what](value)
            size = found.hours if what == "hours" else found
            assert 0 <= size <= 1e9


def test_numbers_of_a_data_frame_are_numbers():
    assert read_quantity(np.int64(3), "") == 3.0
    assert read_quantity(np.float64(2.5), "") == 2.5
    assert read_quantity(Decimal("2.5"), "") == 2.5
    assert read_date(pd.Timestamp(2026, 6, 12)) == dt.date(2026, 6, 12)
    assert read_worked_time(pd.Timedelta(hours=27.5), 6.5).hours == 27.5


def test_reading_and_saying_needs_neither_numpy_nor_pandas():
    code = (
        "import sys; import estimator.words.measures, estimator.words.worked_time, estimator.words.dates,"
        " estimator.words.money, estimator.words.odds, estimator.words.phrases, estimator.words.labels;"
        " sys.exit(bool({'numpy', 'pandas', 'scipy', 'matplotlib'} & set(sys.modules)))"
    )
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0


@pytest.mark.parametrize(
    "text", ["1" * 32_000 + "x", "1" * 32_000 + "-", "1" * 32_000 + " h x", "9'" * 16_000]
)
def test_no_reader_takes_longer_than_the_text_is(text):
    start = time.process_time()
    for reader in READERS.values():
        with pytest.raises(UnreadableError) as refused:
            reader(text)
        assert len(str(refused.value)) < 300
    assert time.process_time() - start < 2

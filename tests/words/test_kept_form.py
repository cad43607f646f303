"""Results that are kept as text are the same results when they are read again."""

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from estimator.words.json_form import HIDDEN
from estimator.words.kept_form import result_from_json, result_to_json


@dataclass(frozen=True, slots=True)
class Inner:
    name: str
    day: dt.date | None = None


@dataclass(frozen=True)
class Outer:
    inner: tuple[Inner, ...]
    pair: tuple[str, float]
    sums: Mapping[str, float]
    hidden: int = field(metadata=HIDDEN)
    yes: bool = True


INNER = st.builds(Inner, st.text(), st.none() | st.dates())
OUTER = st.builds(
    Outer,
    st.lists(INNER).map(tuple),
    st.tuples(st.text(), st.floats(allow_nan=False)),
    st.dictionaries(st.text(), st.floats(allow_nan=False) | st.integers()),
    st.integers(),
    st.booleans(),
)


@given(OUTER)
def test_what_is_kept_reads_back_to_the_last_bit(made):
    assert repr(result_from_json(result_to_json(made), Outer)) == repr(made)


def test_a_number_of_numpy_is_kept_as_a_number():
    assert result_from_json(result_to_json(Outer((), ("a", np.float64(0.1)), {}, 1)), Outer).pair == (
        "a",
        0.1,
    )


GOOD = result_to_json(Outer((Inner("a", dt.date(2026, 6, 1)),), ("b", 0.5), {"c": 1.0}, 3))


@pytest.mark.parametrize(
    ("good", "spoilt"),
    [
        ("{", "["),
        ('"2026-06-01"', '"June"'),
        ('"2026-06-01"', "3"),
        ('"hidden":3', '"hidden":"3"'),
        ('"hidden":3', '"hid":3'),
        ('["b",0.5]', '["b"]'),
        ('["b",0.5]', "null"),
        ('{"c":1.0}', "[1.0]"),
    ],
)
def test_a_spoilt_text_is_no_result(good, spoilt):
    assert result_from_json(GOOD, Outer).hidden == 3
    assert good in GOOD
    with pytest.raises(ValueError, match="no Outer"):
        result_from_json(GOOD.replace(good, spoilt), Outer)


@given(st.text())
def test_any_other_text_is_no_result(text):
    with pytest.raises(ValueError, match="no Inner"):
        result_from_json(text, Inner)


def test_what_cannot_be_read_again_is_not_kept():
    with pytest.raises(TypeError, match="cannot be kept"):
        result_to_json(Outer((), ("a", 0.0), {1: 2.0}, 1))


@dataclass(frozen=True)
class Maybe:
    text: str | None
    number: float | None
    count: int = 1


@pytest.mark.parametrize("made", [Maybe("", 0.0, 0), Maybe(None, None), Maybe("a", 3)])
def test_nothing_written_and_nought_are_not_what_is_not_known(made):
    assert repr(result_from_json(result_to_json(made), Maybe)) == repr(made)


def test_a_count_of_numpy_is_kept_as_a_count_and_brackets_without_end_are_no_result():
    assert result_from_json(result_to_json(Maybe("a", 1.5, np.int64(7))), Maybe).count == 7
    with pytest.raises(ValueError, match="no Maybe"):
        result_from_json("[" * 100_000, Maybe)

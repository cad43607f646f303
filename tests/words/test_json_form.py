"""What `--json` prints, and `as_dict` gives, made from the fields of a result."""

import datetime as dt
import json
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np
import pytest

from estimator.words.json_form import HIDDEN, JsonForm, json_fields, named, plain


@dataclass(frozen=True)
class Inner:
    """A result without `as_dict` of its own."""

    day: dt.date
    band: tuple[int, int]


@dataclass(frozen=True, slots=True)
class Outer(JsonForm):
    """One with everything that a field can be."""

    board: str
    ended: dt.date | None = field(metadata=named("ready"))
    called: str = field(metadata=HIDDEN)
    parts: tuple[Inner, ...] = ()
    hours: float = field(default=0.0, metadata=named("hours_so_far"))


DAY = dt.date(2026, 10, 5)


def test_fields_in_order_with_other_names_and_without_what_is_hidden():
    said = Outer("26-014", DAY, "red nine-four", (Inner(DAY, (1, 3)),), 2.5).as_dict()

    assert list(said) == ["board", "ready", "parts", "hours_so_far"]
    assert said["ready"] == "2026-10-05"
    assert said["parts"] == [{"day": "2026-10-05", "band": [1, 3]}]
    assert Outer("26-014", None, "").as_dict()["ready"] is None


def test_a_shape_written_by_hand_is_made_plain_too():
    class Flat(Outer):
        def _json(self):
            return {**json_fields(self), "brought": np.float64(1.5), "boards": np.int64(3)}

    said = Flat("26-014", DAY, "").as_dict()
    assert said["ready"] == "2026-10-05"
    assert (type(said["brought"]), type(said["boards"])) == (float, int)
    assert plain({"one": [Flat("26-014", DAY, "")]}) == {"one": [said]}


@pytest.mark.parametrize(
    "value",
    [
        True,
        False,
        None,
        3,
        2.5,
        "½",
        np.bool_(True),
        np.arange(3),
        np.zeros((2, 0)),
        Path("log/boards.csv"),
        {},
    ],
)
def test_what_is_made_plain_is_what_json_reads_back(value):
    assert json.loads(json.dumps(plain(value))) == plain(value)


def test_what_has_no_place_in_json_is_refused():
    with pytest.raises(TypeError, match="has no place in JSON"):
        plain({"boards": {"26-014"}})

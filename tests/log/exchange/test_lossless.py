"""Nothing is lost on the way: a book out into a file and into a new book is the same book."""

import datetime as dt
import tempfile
from pathlib import Path

import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st
from making.books import NOON, SETTINGS, book

from estimator.log.exchange.export import export_log
from estimator.log.exchange.importing import ImportChoices, import_files
from estimator.log.kept_in import store_of

LETTERS = st.characters(codec="utf-8", exclude_categories=("Cc", "Cs", "Zl", "Zp", "Cn"))
ODD = [
    *["=1+1", "+1", "-", "'x", "''", "@a", "a\nb", 'say "so"', "a,b;c\td", "1.50", "007", "2026-05-04"],
    *["two  spaces", "true", "1e5", "50%", "<b>&amp;"],
]
TEXT = st.one_of(st.sampled_from(ODD), st.text(st.one_of(LETTERS, st.sampled_from(" \"',;=\n")), max_size=12))
DAY = st.dates().map(lambda day: day.isoformat()) | st.sampled_from(
    ["2026-05-04", "1899-12-31", "4.5.26", "soon"]
)
NUMBER = st.sampled_from(["4.5", "2", "2:30", "9 days", "about 3", "0", "4½", "many"])
MONEY = st.sampled_from(["350", "350.5", "1.125", "0", "lots"])
OPTIONAL = {
    "called": TEXT,
    "owner": TEXT,
    "reach": TEXT,
    "asked": DAY,
    "length": st.sampled_from(["9'6", "290 cm", "9-6 1/2", "?", "long"]),
    "guess": NUMBER,
    "price_quoted": MONEY,
    "assessed_area": st.sampled_from(["1.2", "3 sq ft", "?", "much"]),
    "later_logos": st.sampled_from(["-1", "2"]),
    "note": TEXT,
    "Zeal": TEXT,
    "=Akin": TEXT,
}
WORKED = {  # what a row of hours must have, else no log takes it
    "board": st.sampled_from(["N-1", "shop"]),
    "date": st.dates(min_value=dt.date(2000, 1, 1), max_value=NOON.date()).map(str),
    "stage": st.sampled_from(["strip", "Gloss coat"]),
    "hours": st.sampled_from(WORKED_HOURS := ["4.5", "2:30", "1 day", "about 3", "0", "4½", "0.25", "3.1"]),
}
MORE = {"done": st.sampled_from(["yes", "no", "maybe"]), "note": TEXT, "Of mine": TEXT}
PAID = {
    "date": WORKED["date"],
    "in": st.sampled_from(["350", "350.5", "2", "1234.56"]),
    "what": st.just("deposit"),
    "boards": st.just("N-1"),
}


def rows(required, optional, most):
    return st.lists(st.fixed_dictionaries(required, optional=optional), max_size=most)


BOARDS = st.lists(st.fixed_dictionaries({}, optional=OPTIONAL), min_size=1, max_size=3)
BOOKS = st.fixed_dictionaries(
    {"boards": BOARDS, "hours": rows(WORKED, MORE, 4), "money": rows(PAID, {"note": TEXT}, 2)}
)

EVERY = {  # each odd text and each way to write hours and money, once
    "boards": [{"called": text, "note": text, "Zeal": text, "owner": text} for text in ODD],
    "hours": [
        {"board": "N-1", "date": "2026-05-04", "stage": "strip", "hours": text, "note": text}
        for text in WORKED_HOURS
    ],
    "money": [
        {"date": "2026-05-04", "in": paid, "what": "deposit", "boards": "N-1"}
        for paid in ("350.5", "1234.56")
    ],
}


def content(store):
    """By sheet the names of the columns in their order, and the cells."""
    return {s.sheet: (s.rows[0][1], [cells for _, cells in s.rows[1:]]) for s in store.read()[0].sheets}


@pytest.mark.parametrize("name", ["out.xlsx", "out.ods", "out"])
@settings(max_examples=12, deadline=None, suppress_health_check=list(HealthCheck))
@given(sheets=BOOKS)
@example(sheets=EVERY)
def test_a_book_comes_back_as_it_was(name, sheets):
    boards = [{"board": f"N-{n}", **row} for n, row in enumerate(sheets["boards"], 1)]
    with tempfile.TemporaryDirectory() as folder:
        place = Path(folder)
        first = book(place / "first", **{**sheets, "boards": boards})
        export_log(first, place / name, with_owners=True)
        second = place / "second"
        second.mkdir()
        (second / "workshop.toml").write_text(SETTINGS, "utf-8")
        done = import_files(second, [place / name], NOON, ImportChoices(good_rows=True))
        assert done.written
        assert done.left_out == 0
        assert content(store_of(second)) == content(first)
        again = import_files(second, [place / name], NOON, ImportChoices(good_rows=True))
        assert (dict(again.added), dict(again.changed)) == ({}, {})

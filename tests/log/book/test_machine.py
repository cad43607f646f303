"""A book against a plain dictionary: acts, struck out, undo, out into a file and in again, put back, reopening."""

import csv
import datetime as dt
import shutil
import tempfile
from contextlib import suppress
from pathlib import Path

import pytest
from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, precondition, rule
from making.books import SETTINGS, book

from estimator.log.book.store import BookStore
from estimator.log.columns import names_of_sheets
from estimator.log.exchange.export import export_log
from estimator.log.exchange.importing import ImportChoices, import_files
from estimator.log.exchange.marks import row_marks
from estimator.log.tables import headed
from estimator.words.errors import UsageError
from estimator.words.problems import Place
from estimator.words.settings.reader import parse_settings

KNOWN = parse_settings(SETTINGS)[0]
NAMES = names_of_sheets(KNOWN)
NOW = dt.datetime(2026, 6, 4, 12, tzinfo=dt.UTC)
NOTES = (
    st.text(st.characters(exclude_categories=("Cs", "Cc")), min_size=1, max_size=8)
    .map(str.strip)
    .filter(bool)
)
CELLS = {  # columns of each sheet with cells that are canonical already, and one that nobody knows
    "boards": st.fixed_dictionaries(
        {},
        optional={"called": NOTES, "owner": NOTES, "assessed_logos": st.sampled_from("123"), "Rack": NOTES},
    ),
    "hours": st.fixed_dictionaries(
        {"hours": st.sampled_from(["1", "2.5", "2:20", "x"])},
        optional={"note": NOTES, "date": st.sampled_from(["2026-05-04", "soon"]), "Mood": NOTES},
    ),
}
TIDY = {"board": "shop", "date": "2026-05-04", "stage": "Tidy up", "hours": "2"}  # which any log takes
SHEETS = st.sampled_from(sorted(CELLS))


class BookMachine(RuleBasedStateMachine):
    """The rows that are read, by sheet and number; the same after each act that can still be taken back."""

    @initialize()
    def begin(self):
        self.top = Path(tempfile.mkdtemp())
        first = {
            "boards": [{"board": "A", "called": "red", "Rack": "3"}],
            "hours": [TIDY, {**TIDY, "note": "twice"}],
        }
        self.store = book(self.top / "shop", **first)
        self.rows = dict(self.read())  # so that there is something to fill, to strike out and to correct
        self.history = [{}]  # of each act what was read before it, and what it touched
        self.seen = {self.store.revision()}
        self.copies = []

    def act(self, what):
        before = dict(self.rows)
        with self.store.act("an act", NOW) as act:
            what(act)
        self.history.append(before)
        self.new_revision()

    def new_revision(self):
        revision = self.store.revision()
        assert revision not in self.seen
        self.seen.add(revision)

    @rule(sheet=SHEETS, data=st.data(), many=st.integers(1, 3))
    def add(self, sheet, data, many):
        def rows(act):
            for _ in range(many):
                cells = data.draw(CELLS[sheet])
                if sheet == "boards":
                    cells = {**cells, "board": f"B{len(self.seen)}-{len(self.rows)}"}
                place = act.append(sheet, cells)
                assert (sheet, place.row) not in self.rows
                self.rows[sheet, place.row] = cells

        self.act(rows)

    @precondition(lambda self: self.rows)
    @rule(data=st.data())
    def fill(self, data):
        sheet, row = data.draw(st.sampled_from(sorted(self.rows)))
        cells = data.draw(CELLS[sheet])
        was = self.rows[sheet, row]
        cells = {name: cell for name, cell in cells.items() if name != "owner"}  # which nobody can take back
        if not {name: cell for name, cell in cells.items() if was.get(name) != cell}:
            return
        self.act(lambda act: act.fill(Place("book.sqlite", sheet, row), cells, was))
        self.rows[sheet, row] = {**was, **cells}

    @precondition(lambda self: self.rows)
    @rule(data=st.data())
    def strike(self, data):
        sheet, row = data.draw(st.sampled_from(sorted(self.rows)))
        self.act(lambda act: act.strike(Place("book.sqlite", sheet, row), "a slip"))
        del self.rows[sheet, row]

    @rule(data=st.data())
    def break_off(self, data):
        before = self.store.revision()
        with suppress(ZeroDivisionError), self.store.act("x", NOW) as act:
            act.append("hours", data.draw(CELLS["hours"]))
            for sheet, row in list(self.rows)[:2]:
                act.strike(Place("book.sqlite", sheet, row), "x")
            assert 1 / 0
        assert self.store.revision() == before

    @rule()
    def undo(self):
        if not self.history:
            with pytest.raises(UsageError, match="nothing to take back"):
                self.store.undo(None, NOW)
            return
        self.store.undo(None, NOW)
        self.rows = self.history.pop()
        self.new_revision()

    @rule(name=st.sampled_from(["out.xlsx", "out"]))
    def out_and_in(self, name):
        """What went out and comes in again is there already."""
        place = Path(tempfile.mkdtemp(dir=self.top))
        export_log(self.store, place / name, with_owners=True)
        before = self.store.revision()
        done = import_files(self.top / "shop", [place / name], NOW, ImportChoices(good_rows=True))
        assert (done.written, dict(done.added), dict(done.changed)) == (False, {}, {})
        assert self.store.revision() == before

    @rule(data=st.data())
    def corrected_outside(self, data):
        """A note that is written into a row of an exported file comes in as a change of that row, one act."""
        rows = [
            key for key, cells in self.rows.items() if key[0] == "hours" and cells.get("date") == "2026-05-04"
        ]
        if not rows:
            return
        key = data.draw(st.sampled_from(sorted(rows)))
        place = Path(tempfile.mkdtemp(dir=self.top)) / "out"
        export_log(self.store, place)
        mark = row_marks(self.store.path)[key]
        with (place / "hours.csv").open(newline="", encoding="utf-8") as file:
            header, *lines = csv.reader(file)
        [row] = [line for line in lines if line[-1] == mark]
        text = f"seen {len(self.seen)}"
        row[header.index("note")] = text
        with (place / "hours.csv").open("w", newline="", encoding="utf-8") as file:
            csv.writer(file).writerows([header, row])
        (place / "boards.csv").unlink()
        before = dict(self.rows)
        done = import_files(self.top / "shop", [place], NOW, ImportChoices(newer=True, good_rows=True))
        if done.written:  # a row that no log would take as it is stays out
            assert dict(done.changed) == {"hours": 1}
            self.rows[key] = {**self.rows[key], "note": text}
            self.history.append(before)
            self.new_revision()
        else:
            assert done.left_out == 1

    @rule()
    def reopen(self):
        self.store = BookStore(self.top / "shop")

    @rule()
    def copy(self):
        self.copies.append(
            (self.store.before_import(NOW), dict(self.rows), [dict(rows) for rows in self.history])
        )

    @precondition(lambda self: self.copies)
    @rule(data=st.data())
    def put_back(self, data):
        path, self.rows, self.history = data.draw(st.sampled_from(self.copies))
        self.rows, self.history = dict(self.rows), list(self.history)
        self.store.put_back(path, NOW)
        self.new_revision()

    @invariant()
    def reads_what_is_there(self):
        if not hasattr(self, "store"):
            return
        assert self.read() == self.rows

    def read(self):
        """The rows of the book as they stand, without their empty cells."""
        read = {}
        for raw in self.store.read()[0].sheets:
            known, _, _ = headed(raw, NAMES[raw.sheet])
            header = raw.rows[0][1]
            for number, cells in known.rows:
                read[raw.sheet, number] = {n: c for n, c in zip(header, cells, strict=True) if c}
        return read

    def teardown(self):
        if hasattr(self, "top"):
            shutil.rmtree(self.top)


TestBook = BookMachine.TestCase
TestBook.settings = settings(max_examples=10, stateful_step_count=15, deadline=None)

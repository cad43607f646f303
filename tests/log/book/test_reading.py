"""A book as it stands: its columns, those that nobody knows any more, and whose file it is."""

import datetime as dt

import pytest
from making.working_day import in_a_book, in_files

from estimator.log.book.schema import SHEETS
from estimator.log.book.store import BookReading
from estimator.log.starter import starter_text
from estimator.words.errors import UsageError
from estimator.words.problems import Place


def boards(*rows):
    """Rows of the boards sheet, of their id and name alone."""
    nothing = [None] * (len(SHEETS["boards"]) - 2)
    return [(number, board, called, *nothing) for number, board, called in rows]


def test_columns_that_no_setting_names_stand_behind_the_others_where_anything_is_in_them(tmp_path):
    pieces = {
        "boards": {
            3: {"zz": "5", "assessed_gone": "3", "mine": "x", "assessed_logos": "2"},
            2: {"emptied": ""},
        }
    }
    rows = {"boards": boards((2, "a", "red"), (3, "b", None)), "hours": []}
    headings = {"boards": ["emptied", "mine", "never"]}
    reading = BookReading(tmp_path, "r", starter_text().encode(), rows, pieces, headings, ())
    raw, problems = reading.read()
    assert problems == []
    assert [sheet.sheet for sheet in raw.sheets] == ["boards"]
    number, header = raw.sheets[0].rows[0]
    assert (number, header[0], header[-3:]) == (1, "board", ["mine", "assessed_gone", "zz"])
    assert "emptied" not in header
    assert "never" not in header
    by_row = {n: {name: cell for name, cell in zip(header, cells, strict=True) if cell} for n, cells in raw.sheets[0].rows[1:]}  # fmt: skip
    assert by_row == {
        2: {"board": "a", "called": "red"},
        3: {"board": "b", "assessed_logos": "2", "mine": "x", "assessed_gone": "3", "zz": "5"},
    }


def test_settings_and_rows_each_make_another_revision(tmp_path):
    def revision(state="r", toml=b"[bench]\n"):
        return BookReading(tmp_path, state, toml, {}, {}, {}, ()).revision()

    assert len({revision(), revision("s"), revision(toml=b"")}) == 3
    assert revision() == revision()


def test_the_head_of_the_file_says_whose_it_is(tmp_path):
    """SQLite database file format, 1.3.14: the application id is at offset 68."""
    in_a_book(tmp_path)
    assert (tmp_path / "book.sqlite").read_bytes()[68:72] == b"ESTB"


def test_what_lies_beside_a_book_is_said_to_be_unread(tmp_path):
    in_files(tmp_path)
    store = in_a_book(tmp_path)
    [note] = [note for note in store.read()[0].notes if "the log is" in note.wrong]
    assert note.wrong == "the log is book.sqlite; unread beside it: boards.csv"


def test_rows_begin_below_that_of_the_names_and_a_cell_of_one_s_own_goes_back_to_what_it_was(tmp_path):
    store = in_a_book(tmp_path)
    at = dt.datetime(2026, 5, 4, 12, tzinfo=dt.UTC)
    assert [sheet.rows[1][0] for sheet in store.read()[0].sheets] == [2]
    with store.act("a rack", at) as act:
        place = act.append("boards", {"called": "tan", "rack": "left"})
    with store.act("another rack", at) as act:
        act.fill(place, {"rack": "right", "assessed_logos": "2"}, {"rack": "left"})

    def rack():
        sheet = store.read()[0].sheets[0]
        header = sheet.rows[0][1]
        cells = dict(sheet.rows)[place.row]
        return cells[header.index("rack")], cells[header.index("assessed_logos")]

    assert rack() == ("right", "2")
    store.undo(None, at)
    assert rack() == ("left", "")


def test_a_book_knows_every_column_and_no_other_sheet(tmp_path):
    store = in_a_book(tmp_path)
    with store.act("x", dt.datetime(2026, 5, 4, 12, tzinfo=dt.UTC)) as act:
        assert act.columns("weights") == {"board", "date", "weight"}
        for sheet, cells, why in (
            ("paint", {}, "A book has no sheet paint"),
            ("boards", {"board": "Shop"}, "shop stands for time on no board"),
            ("boards", {"board": "26-001"}, "There is a board 26-001 already"),
        ):
            with pytest.raises(UsageError, match=why):
                act.append(sheet, cells)
        for place in (Place("boards.csv", "boards", 2), Place("book.sqlite", "boards", 99)):
            with pytest.raises(UsageError, match="changed meanwhile"):
                act.fill(place, {"note": "x"}, {})


def test_a_form_that_changed_nothing_is_known_again_and_an_act_without_a_key_is_none(tmp_path):
    store = in_a_book(tmp_path)
    at, many = dt.datetime(2026, 5, 4, 12, tzinfo=dt.UTC), len(store.acts())
    with store.act("nothing", at):
        pass
    assert len(store.acts()) == many
    for again in (False, True):
        with store.act("nothing", at, "key", "digest") as act:
            assert act.again is again
    assert len(store.acts()) == many + 1

"""What every store does. Another kind of store joins as one more way in `STORES` to fill one."""

import contextlib
import datetime as dt
import hashlib
import json
import os
import subprocess
import sys
from types import SimpleNamespace

import pytest

from estimator.log import store as stores
from estimator.log.book.store import BookStore
from estimator.log.cache import kept
from estimator.log.columns import names_of_sheets
from estimator.log.edits import row_at
from estimator.log.files import JOURNAL, locked
from estimator.log.reading import read_log
from estimator.log.store import FileStore, FirstAct
from estimator.log.tables import RawLog, headed
from estimator.words.errors import SettingsError, UsageError
from estimator.words.problems import NOWHERE, Place
from estimator.words.settings.reader import parse_settings
from estimator.words.settings.schema import Settings

SETTINGS = '[workshop]\nname = "Ours"\n[stages.strip]\n'
BOARDS = [["board", "called", "note"], ["A", "red", "two; words"], ["B", "", ""]]
TOLD = [["board", "date", "price", "terms"], ["A", "2026-05-04", "900.00", "as said"]]
NOON = dt.datetime(2026, 6, 4, 12, tzinfo=dt.UTC)
KNOWN = parse_settings(SETTINGS)[0]


def in_files(folder):
    """A folder of csv files."""
    for sheet, rows in (("boards", BOARDS), ("told", TOLD)):
        text = "".join(",".join(row) + "\n" for row in rows)
        (folder / f"{sheet}.csv").write_text(text, "utf-8")
    (folder / "workshop.toml").write_text(SETTINGS, "utf-8")
    return FileStore(folder)


def in_a_book(folder):
    """A book with the same rows."""
    (folder / "workshop.toml").write_text(SETTINGS, "utf-8")

    def rows(act):
        for sheet, (header, *rows) in (("boards", BOARDS), ("told", TOLD)):
            for row in rows:
                act.append(sheet, dict(zip(header, row, strict=True)))

    return BookStore.create(folder, label="the log so far", at=NOON, fill=rows)


STORES = {"files": in_files, "book": in_a_book}


@pytest.fixture(params=list(STORES))
def filled(request, tmp_path):
    """A store with two boards and a telling; and the same opened once more, as another program has it."""
    folder = tmp_path / "shop"
    folder.mkdir()
    store = STORES[request.param](folder)
    return SimpleNamespace(store=store, other=type(store)(folder))


def table(reading, sheet):
    """The rows of a sheet by column."""
    raw, problems = reading.read()
    assert problems == []
    [found] = [one for one in raw.sheets if one.sheet == sheet]
    known, wrong, _ = headed(found, names_of_sheets(KNOWN)[sheet])
    assert wrong == []
    return [known.named(cells) for _, cells in known.rows]


def place_of(reading, board):
    """Where a board's row stands."""
    log, _, _ = read_log(*reading.read(), KNOWN)
    return log.by_id[board].where


def add(store, board="B", **cells):
    with store.act("a telling", NOON) as act:
        return act.append("told", {"board": board, "date": "2026-06-04", **cells})


def test_cells_stand_as_they_were_written_each_with_its_place(filled):
    raw, problems = filled.store.read()
    assert problems == []
    below = {sheet.sheet: [cell for cell in sheet.cells() if cell.place.row > 1] for sheet in raw.sheets}
    written = {sheet: {(cell.place.column, cell.value) for cell in cells} for sheet, cells in below.items()}
    assert written == {
        "boards": {("board", "A"), ("called", "red"), ("note", "two; words"), ("board", "B")},
        "told": {("board", "A"), ("date", "2026-05-04"), ("price", "900.00"), ("terms", "as said")},
    }
    places = [str(cell.place) for sheet in raw.sheets for cell in sheet.cells()]
    assert len(set(places)) == len(places)


def test_the_settings_are_a_text(filled):
    assert filled.store.settings_text() == SETTINGS
    assert filled.store.held().settings_text() == SETTINGS


def test_a_row_is_added_below_the_others_and_found_by_its_place(filled):
    place = add(filled.store, price="1,200", terms='he said "yes, please"')
    log, problems, _ = read_log(*filled.other.read(), KNOWN)
    assert problems == ()
    assert [told.board for told in log.told] == ["A", "B"]
    assert (log.told[1].where, log.told[1].terms) == (place, 'he said "yes, please"')


def test_cells_are_filled_and_nothing_else_changes(filled):
    where = place_of(filled.store, "B")
    with filled.store.act("a name", NOON) as act:
        act.fill(where, {"called": "tan"}, {"board": "B", "called": ""})
    assert table(filled.other, "boards") == [
        {"board": "A", "called": "red", "note": "two; words"},
        {"board": "B", "called": "tan"},
    ]


@pytest.mark.parametrize("expected", [{"board": "A"}, {"board": "B", "called": "tan"}])
def test_a_row_that_changed_meanwhile_is_not_filled(filled, expected):
    where, before = place_of(filled.store, "B"), filled.store.revision()
    with (
        pytest.raises(UsageError, match=r"was changed meanwhile\. Ask for it again"),
        filled.store.act("x", NOON) as act,
    ):
        act.fill(where, {"called": "green"}, expected)
    assert filled.store.revision() == before


def test_settings_are_written_as_they_are_given(filled):
    with filled.store.act("a wish", NOON) as act:
        act.settings(SETTINGS + "# ours\r\n")
    assert filled.other.settings_text() == SETTINGS + "# ours\r\n"


def broken_off():
    """Lets pass what breaks an act off."""
    return contextlib.suppress(ZeroDivisionError)


def test_an_act_that_breaks_off_leaves_nothing(filled):
    before, where = filled.store.revision(), place_of(filled.store, "A")
    with broken_off(), filled.store.act("x", NOON) as act:
        act.append("told", {"board": "A", "date": "2026-06-04"})
        act.fill(where, {"called": "green"}, {"board": "A"})
        act.settings("")
        raise ZeroDivisionError
    assert filled.other.revision() == before
    add(filled.store)  # and nothing is locked


def test_several_rows_and_cells_are_one_act(filled):
    where = place_of(filled.store, "A")
    with filled.store.act("x", NOON) as act:
        first, second = (act.append("told", {"board": board, "date": "2026-06-04"}) for board in ("A", "B"))
        act.append("weights", {"board": "A", "date": "2026-06-04", "weight": "8.4 kg"})
        act.fill(where, {"called": "green"}, {"called": "red"})
    log, problems, _ = read_log(*filled.other.read(), KNOWN)
    assert problems == ()
    assert [told.where for told in log.told][1:] == [first, second]
    assert (log.weighings[0].weight_kg, log.by_id["A"].called) == (8.4, "green")


def test_different_content_has_another_revision_and_the_same_the_same(filled):
    seen = [filled.store.revision()]
    assert filled.other.revision() == seen[0]
    add(filled.store)
    seen.append(filled.other.revision())
    with filled.other.act("x", NOON) as act:
        act.settings(SETTINGS + "#")
    seen.append(filled.store.revision())
    assert len(set(seen)) == 3


def test_what_is_held_stays_as_it_was(filled):
    held = filled.store.held()
    before = held.revision(), held.read(), held.settings_text()
    add(filled.other)
    with filled.other.act("x", NOON) as act:
        act.settings("")
    assert (held.revision(), held.read(), held.settings_text()) == before
    assert filled.store.held().revision() != before[0]


def test_an_act_that_is_sent_twice_is_done_once(filled):
    def send(digest, store):
        with store.act("a telling", NOON, key="k1", digest=digest) as act:
            return act.append("told", {"board": "B", "date": "2026-06-04"}), act.again

    first, again = send("d1", filled.store)
    assert not again
    revision = filled.store.revision()
    assert send("d1", filled.other) == (first, True)
    assert filled.store.revision() == revision
    with pytest.raises(UsageError, match="said something else"):
        send("d2", filled.other)
    assert filled.store.revision() == revision
    assert len(table(filled.store, "told")) == 2


def test_an_act_that_broke_off_may_be_sent_again(filled):
    for minutes in (0, 1):
        with broken_off(), filled.store.act("x", NOON, key="k1", digest="d1") as act:
            act.append("told", {"board": "B", "date": "2026-06-04"})
            assert 1 / minutes
    assert len(table(filled.store, "told")) == 2


ADDS_ONE = """
import datetime as dt, sys
from importlib import import_module
from pathlib import Path

module, kind, folder, board = sys.argv[1:]
store = getattr(import_module(module), kind)(Path(folder))
with store.act("a telling", dt.datetime(2026, 6, 4)) as act:
    act.append("told", {"board": board, "date": "2026-06-04"})
"""


def test_twenty_writers_at_once_keep_twenty_rows(filled):
    kind = type(filled.store)
    words = [sys.executable, "-c", ADDS_ONE, kind.__module__, kind.__name__, str(filled.store.folder)]
    path = {**os.environ, "PYTHONPATH": os.pathsep.join(path for path in sys.path if path)}
    writers = [subprocess.Popen([*words, board], env=path) for board in "AB" * 10]
    assert [writer.wait() for writer in writers] == [0] * 20
    boards = [row["board"] for row in table(filled.store, "told")]
    assert (boards[0], sorted(boards)) == ("A", ["A"] * 11 + ["B"] * 10)


# --- what only files can show


def test_a_spreadsheet_is_never_written(tmp_path):
    import xlsxwriter

    with xlsxwriter.Workbook(str(tmp_path / "log.xlsx")) as book:
        sheet = book.add_worksheet("Boards")
        sheet.write_row(0, 0, ["board", "length"])
        sheet.write_row(1, 0, ["A", 9.5])
    before, store = (tmp_path / "log.xlsx").read_bytes(), FileStore(tmp_path, KNOWN)
    [raw] = store.read()[0].sheets
    cells = list(raw.cells())
    assert (cells[3].value, str(cells[3].place)) == (9.5, "log.xlsx, sheet Boards, cell B2")
    with store.act("x", NOON) as act:
        assert act.by_hand == "log.xlsx"
        assert act.append("told", {"board": "A", "date": "2026-06-04"}) == Place("told.csv", row=2)
    for write in (
        lambda act: act.append("hours", {"board": "A"}),
        lambda act: act.fill(Place("log.xlsx", "Boards", 2), {"length": "9'6"}, {}),
    ):
        with pytest.raises(UsageError, match=r"log\.xlsx stays as it is"), store.act("x", NOON) as act:
            write(act)
    assert (tmp_path / "log.xlsx").read_bytes() == before


def test_a_file_that_may_not_be_written_is_refused(tmp_path):
    store = in_files(tmp_path)
    (tmp_path / "told.csv").chmod(0o444)  # root may write it all the same
    with pytest.raises(UsageError) as caught:
        add(store)
    assert str(caught.value) == (
        f"{tmp_path / 'told.csv'} cannot be written. "
        "Close it in other programs, and see whether you may write there."
    )
    assert sorted(path.name for path in tmp_path.iterdir()) == ["boards.csv", "told.csv", "workshop.toml"]


def test_a_link_is_followed_and_rights_are_kept(tmp_path):
    folder, elsewhere = tmp_path / "shop", tmp_path / "elsewhere"
    folder.mkdir()
    elsewhere.mkdir()
    store = in_files(folder)
    (folder / "told.csv").rename(elsewhere / "mine.csv")
    (elsewhere / "mine.csv").chmod(0o640)
    (folder / "told.csv").symlink_to(elsewhere / "mine.csv")
    add(store)
    assert (folder / "told.csv").is_symlink()
    assert len((elsewhere / "mine.csv").read_text("utf-8").splitlines()) == 3
    assert (elsewhere / "mine.csv").stat().st_mode & 0o777 == 0o640
    assert [path.name for path in elsewhere.iterdir()] == ["mine.csv"]


def test_without_settings_there_is_no_workshop_and_bad_letters_are_named(tmp_path):
    with pytest.raises(UsageError, match="There is no workshop here"):
        FileStore(tmp_path).settings_text()
    (tmp_path / "workshop.toml").write_bytes(b"\n# \xf6\n")
    for reading in (FileStore(tmp_path), FileStore(tmp_path).held()):
        with pytest.raises(SettingsError) as caught:
            reading.settings_text()
        assert caught.value.problems[0].place == Place("workshop.toml", row=2)


def test_an_act_knows_which_columns_a_file_has_and_which_row_is_none_of_its_own(tmp_path):
    store = in_files(tmp_path)
    (tmp_path / "notes.csv").write_text("", "utf-8")
    with store.act("x", NOON) as act:
        assert act.columns("boards") == {"board", "called", "note"}
        assert act.columns("hours") is act.columns("notes") is None
        for place in (Place("waits.csv", row=2), Place("boards.csv", row=99)):
            with pytest.raises(UsageError, match="was changed meanwhile"):
                act.fill(place, {"note": "x"}, {})
        with pytest.raises(UsageError, match=r"log\.xlsx stays as it is"):
            act.fill(Place("log.xlsx", "boards", 2), {"note": "x"}, {})
        with pytest.raises(UsageError, match="keeps no rows that are struck out"):
            act.strike(Place("boards.csv", row=2), "x")


def test_a_row_that_is_not_there_was_changed_meanwhile():
    for where, file in ((NOWHERE, "boards.csv"), (Place("old.csv", row=2), "old.csv")):
        with pytest.raises(UsageError, match=f"^{file} was changed meanwhile"):
            row_at(RawLog(), Settings(), "boards", where)


def test_an_act_that_was_done_says_what_it_said_and_nothing_else():
    kept = {"digest": "d", "places": [["hours.csv", "", 4, ""], ["hours.csv", "", 5, ""]]}
    first = FirstAct.of(kept, "d")
    assert (first.again, first.by_hand, first.columns("hours")) == (True, "", None)
    assert [first.append("hours", {}).row for _ in range(2)] == [4, 5]
    with pytest.raises(UsageError, match="said something else"):
        FirstAct.of(kept, "other")


def test_of_acts_with_a_key_the_latest_are_known_again_with_what_they_were(tmp_path, monkeypatch):
    monkeypatch.setattr(stores, "MOST_ACTS", 2)
    store = in_files(tmp_path)

    def send(key, digest="d"):
        with store.act(f"act {key}", NOON, key=key, digest=digest, origin=stores.PAGE) as act:
            act.append("told", {"board": "B", "date": "2026-06-04"})
            return act.again

    assert [send(key) for key in ("k1", "k2", "k3", "k3", "k2")] == [False, False, False, True, True]
    acts = json.loads(kept(tmp_path / stores.CACHE / stores.ACTS))
    assert list(acts) == ["k2", "k3"]
    assert acts["k3"] == {
        "digest": "d",
        "label": "act k3",
        "at": "2026-06-04T12:00:00+00:00",
        "from": "page",
        "places": [["told.csv", "", 5, "", []]],
    }
    assert not send("k1", "another")  # it was the oldest, and is forgotten


def broken_between(folder):
    """A folder as the machine left it that stopped before the new told.csv was moved into place."""
    store = in_files(folder)
    old, new = (folder / "told.csv").read_bytes(), b"board,date,price,terms\nB,2026-06-03,7,\n"
    (folder / ".estimator-1.part").write_bytes(new)
    digests = (hashlib.sha256(data).hexdigest() for data in (old, new))
    step = dict(zip(("before", "after"), digests, strict=True))
    step |= {"target": str(folder / "told.csv"), "part": str(folder / ".estimator-1.part"), "old": ""}
    (folder / JOURNAL).write_text(json.dumps({"undo": False, "steps": [step]}))
    return store


def test_what_a_machine_left_half_written_is_finished_before_it_is_read(tmp_path):
    held = broken_between(tmp_path).held()
    assert [row["board"] for row in table(held, "told")] == ["B"]
    assert not (tmp_path / JOURNAL).exists()


def test_what_a_machine_left_half_written_is_finished_before_more_is_written(tmp_path, monkeypatch):
    monkeypatch.setattr(stores, "TRIES", 1)
    monkeypatch.setattr(stores, "locked", lambda folder: locked(folder, 0.1))
    store = broken_between(tmp_path)
    add(store, "A")
    assert [row["board"] for row in table(store, "told")] == ["B", "A"]


def test_settings_that_may_not_be_written_are_to_be_made_one_s_own(tmp_path):
    store = in_files(tmp_path)
    (tmp_path / "workshop.toml").chmod(0o444)
    with pytest.raises(UsageError) as caught, store.act("a wish", NOON) as act:
        act.settings("# ours")
    assert str(caught.value) == (
        f"{tmp_path / 'workshop.toml'} cannot be written. Close it elsewhere, or make it yours."
    )


def test_a_column_is_begun_for_what_it_gets_and_for_nothing_it_is_not(tmp_path):
    store = in_files(tmp_path)
    add(store, "B", odds="", because="late")
    with store.act("x", NOON) as act:
        act.fill(place_of(store, "B"), {"called": "tan", "ready": "", "kind": "major"}, {"board": "B"})
    assert (tmp_path / "told.csv").read_text().splitlines()[0] == "board,date,price,terms,because"
    assert (
        tmp_path / "boards.csv"
    ).read_text() == "board,called,note,kind\nA,red,two; words,\nB,tan,,major\n"


def test_a_file_that_is_changed_while_others_are_read_is_read_again(tmp_path, monkeypatch):
    store, whole, once = in_files(tmp_path), stores._bytes, []

    def changed_meanwhile(path):
        data = whole(path)
        if path.name == "told.csv" and not once:
            once.append(path.write_text("board,date\nB,2026-06-03\n"))
        return data

    monkeypatch.setattr(stores, "_bytes", changed_meanwhile)
    assert [row["board"] for row in table(store.held(), "told")] == ["B"]


def test_an_empty_file_is_a_sheet_too_and_of_settings_the_last_in_an_act_count(tmp_path):
    store = in_files(tmp_path)
    (tmp_path / "hours.csv").write_text("")
    assert [sheet.sheet for sheet in store.read()[0].sheets] == ["boards", "hours", "told"]
    with store.act("x", NOON) as act:
        act.settings("# one")
        act.settings("# two")
    assert store.settings_text() == "# two"


def test_no_board_is_written_beside_a_spreadsheet_and_an_act_is_known_by_what_it_said(tmp_path):
    store = in_files(tmp_path)
    (tmp_path / "log.ods").write_bytes(b"")
    with pytest.raises(UsageError, match=r"log\.ods stays as it is"), store.act("x", NOON) as act:
        act.append("boards", {"board": "C"})
    with pytest.raises(UsageError, match="said something else"):
        FirstAct.of({"digest": "d", "places": []}, "")

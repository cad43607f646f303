"""A book that version 1 made is read for good: the file beside this test stays as it is."""

import datetime as dt
import shutil
from pathlib import Path

from making.books import SETTINGS, log_of, placeless

from estimator.log.book.opening import connected, newest
from estimator.log.book.schema import VERSION
from estimator.log.book.store import BookStore
from estimator.log.reading import read_log
from estimator.log.store import FileStore
from estimator.words.settings.reader import parse_settings

FILE = Path(__file__).with_name("version_1.sqlite")
NOON = dt.datetime(2026, 6, 7, 12, tzinfo=dt.UTC)
KNOWN = parse_settings(SETTINGS)[0]
TYPED = {
    "boards": """\
board,called,owner,reach,kind,accepted,length,width,guess,price_quoted,assessed_area,assessed_wet,found_logos,Rack
26-001,red nine-four,Ann,by post,Full job,4 May 2026,9'4 1/2,22 1/2,9-12 days,"1,800 mk",14 sq ft,damp,same,3
26-002,tan,,,,,185 cm,,40,,?,,,
""",
    "hours": """\
board,date,stage,hours,done,note
red nine-four,04/06/2026,Strip it,2h30,,
26-001,2026-06-05,strip,1½ days,yes,"he said ""more"", twice"
shop,2026-06-05,,1,,
""",
    "told": "board,date,hours_low,hours_high,price,odds,because\ntan,2026-06-01,30,50,900,8/10,quote\n",
    "waits": "board,from,until,for\n26-001,2026-06-06,,drying\n",
    "weights": "board,date,weight\n26-001,2026-06-04,18 lb 8 oz\n",
}


def prepared(tmp_path):
    (tmp_path / "workshop.toml").write_text(SETTINGS, "utf-8")
    shutil.copyfile(FILE, tmp_path / "book.sqlite")
    (tmp_path / "book.sqlite").chmod(0o644)


def opened(tmp_path):
    prepared(tmp_path)
    return BookStore(tmp_path)


def test_a_book_of_version_1_reads_as_it_did(tmp_path):
    typed = tmp_path / "typed"
    typed.mkdir()
    for sheet, text in TYPED.items():
        (typed / f"{sheet}.csv").write_text(text, "utf-8")
    expected, _, _ = read_log(*FileStore(typed, KNOWN).read(), KNOWN)
    log, problems, notes = log_of(opened(tmp_path))
    assert placeless(log) == placeless(expected)
    assert [(one.price, one.struck) for one in log.struck] == [(1, "said of another board")]
    assert problems == ()
    assert [note.found for note in notes if "of your own" in note.wrong] == ["Rack"]
    assert newest() >= VERSION


def test_its_history_stands_and_goes_on(tmp_path):
    store = opened(tmp_path)
    said = [(act.sentence, act.undone) for act in store.acts()]
    assert said == [
        ("taken back: a slip of the pen", False),
        ("a slip of the pen", True),
        ("said of another board", False),
        ("the log so far", False),
    ]
    before = placeless(log_of(store)[0])
    assert store.undo(None, NOON).sentence == "said of another board"
    assert len(log_of(store)[0].told) == 2
    with store.act("one more", NOON) as act:
        act.append("notes", {"board": "tan", "date": "2026-06-07", "note": "white 3, grey 1"})
        act.append(
            "money", {"date": "2026-06-07", "out": "120", "what": "resin", "boards": "tan; red nine-four"}
        )
    assert [placeless(log_of(store)[0])[at] for at in (0, 1, 3, 4)] == [before[at] for at in (0, 1, 3, 4)]


def struck_out_by_version_1(folder, price, why):
    """Has a telling struck out as version 1 did: among the cells of columns that it did not know."""
    with connected(folder / "book.sqlite", write=True) as connection:
        connection.execute("BEGIN")
        connection.execute(
            "INSERT INTO acts (at, origin, sentence) VALUES ('2026-06-05T12:00:00', 'page', ?)", (why,)
        )
        connection.execute("UPDATE now SET act = (SELECT max(id) FROM acts)")
        connection.execute("INSERT INTO headings (sheet, name) VALUES ('told', 'struck_out')")
        connection.execute(
            "INSERT INTO others SELECT 'told', id, 'struck_out', ? FROM told WHERE price = ?", (why, price)
        )
        connection.execute("UPDATE now SET act = NULL")
        connection.execute("COMMIT")


def test_tellings_that_version_1_struck_out_in_two_ways_are_so_in_one(tmp_path):
    prepared(tmp_path)
    struck_out_by_version_1(tmp_path, "900.00", "wrong board")
    store = BookStore(tmp_path)
    log, problems, notes = log_of(store)
    assert (log.told, problems) == ((), ())
    assert {one.price: one.struck for one in log.struck} == {900: "wrong board", 1: "said of another board"}
    assert [note.found for note in notes if "of your own" in note.wrong] == ["Rack"]
    with connected(store.path) as connection:
        assert connection.execute("SELECT struck_out, struck FROM told ORDER BY price").fetchall() == [
            ("said of another board", None),
            ("wrong board", None),
        ]
        assert not connection.execute("SELECT 1 FROM others WHERE name = 'struck_out'").fetchall()
    # both are taken back as they would have been then
    assert store.undo(None, NOON).sentence == "wrong board"
    assert [one.price for one in log_of(store)[0].told] == [900]
    assert store.undo(None, NOON).sentence == "said of another board"
    assert sorted(one.price for one in log_of(store)[0].told) == [1, 900]
    [copy] = (tmp_path / "backups").glob("before-schema-*.sqlite")
    with connected(copy) as connection:
        assert connection.execute("PRAGMA user_version").fetchall() == [(VERSION,)]


def test_a_new_book_has_the_very_tables_of_one_that_was_brought_up(tmp_path):
    prepared(tmp_path)
    new = tmp_path / "new"
    new.mkdir()
    (new / "workshop.toml").write_text(SETTINGS, "utf-8")
    schemas = []
    for store in (BookStore(tmp_path), BookStore.create(new)):
        with connected(store.path) as connection:
            schemas.append(
                set(connection.execute("SELECT name, sql FROM sqlite_master WHERE name NOT LIKE 'sqlite%'"))
            )
    assert schemas[0] == schemas[1]

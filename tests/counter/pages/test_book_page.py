"""The page of the book: undo with what it would change, copies and what goes with them, owners, a log in files."""

import datetime as dt
import html
import re
import shutil
from pathlib import Path

import pytest
from making.books import NOON, book, log_of
from making.counter import HOST, client
from making.folders import BOARDS, HOURS, folder

from estimator.counter.pages import book as page_of_book
from estimator.counter.pages import book_copies as page_of_copies
from estimator.counter.pages.book import on_page
from estimator.log.book.store import BookStore
from estimator.words.errors import UsageError
from estimator.words.page_labels import page_label

DAY = dt.date(2026, 6, 5)
HOUR = {"board": "A", "date": "2026-06-04", "stage": "strip", "hours": "4.5"}
POSTS = (
    "/book/undo",
    "/book/keep",
    "/book/second-place",
    "/book/forget",
    "/book/put-back",
    "/book/import",
)


@pytest.fixture
def store(tmp_path):
    """A book with a board of Ann's, another board, and an hour that was written later."""
    rows = [
        {"board": "A", "called": "red", "owner": "Ann Onym", "reach": "ann@one.example", "state": "on bench"},
        {"board": "B", "called": "tan", "owner": "Ann Onym"},
        {"board": "C", "called": "blue", "owner": "Bob"},
    ]
    kept = book(tmp_path / "shop", boards=rows)
    with kept.act("4½ hours on red, strip", NOON) as act:
        act.append("hours", HOUR)
    return kept


@pytest.fixture
def visitor(store):
    return client(store.folder, today=DAY)


def copy_of(page):
    """By what the first copy on the page is named."""
    return re.search(r'name="copy" value="([^"]+)"', page)[1]


def test_the_last_entry_is_shown_with_what_undo_would_change_and_is_taken_back(visitor, store):
    page = visitor.page("/book")
    assert "Thu 4 June 2026: 4½ hours on red, strip" in page
    assert "This row of hours goes: red, Thu 4 June 2026, Strip it, 4½ hours." in page
    act = re.search(r'name="act" value="(\d+)"', page)[1]
    answer = visitor.send("/book/undo", "/book", act=act)
    assert answer.status_code == 303
    after = visitor.page(answer.headers["Location"])
    assert "Taken back: 4½ hours on red, strip." in after
    assert "(taken back)" in after
    assert log_of(store)[0].entries == ()
    assert store.acts(1)[0].origin == "page"
    again = visitor.send("/book/undo", "/book", act=act)
    assert again.status_code == 422
    assert "was taken back already" in again.get_data(as_text=True)


def test_any_entry_can_be_looked_at_and_why_it_stays_is_said(visitor, store):
    place = log_of(store)[0].boards[1].where
    with store.act("tan is on the bench", NOON) as act:
        act.fill(place, {"state": "on bench", "assessed_area": "2"}, {})
    page = visitor.page("/book")
    assert "Board tan: State is empty again, not “on the go”." in page
    assert "Board tan: Area, looked like is empty again, not “2 m²”." in page
    first = visitor.page("/book?act=1")
    assert "“the log so far” cannot be taken back: rows of hours speak of board A." in first
    assert 'action="/book/undo"' not in first
    assert visitor.get("/book?act=99").status_code == 404
    assert visitor.get("/book?act=x&before=-1").status_code == 200


def test_older_entries_are_a_press_away(visitor, store):
    for number in range(25):
        with store.act(f"note {number}", NOON) as act:
            act.append("notes", {"board": "A", "date": "2026-06-04", "note": f"n{number}"})
    page = visitor.page("/book")
    assert "note 24" in page
    assert "note 4<" not in page
    earlier = re.search(r'href="(/book\?before=\d+)', page)[1]
    assert "note 4<" in visitor.page(earlier)


def test_a_copy_is_put_back_after_it_was_asked_once_with_what_would_be_gone(visitor, store):
    page = visitor.page("/book")
    name = copy_of(page)
    asked = visitor.send("/book/put-back", "/book", copy=name).get_data(as_text=True)
    assert "1 entry would be gone:" in asked
    assert "– Thu 4 June 2026: 4½ hours on red, strip" in asked
    assert len(log_of(store)[0].entries) == 1  # nothing yet
    answer = visitor.send("/book/put-back", "/book", copy=name, sure="yes")
    assert answer.status_code == 303
    assert "The book is as on" in visitor.page(answer.headers["Location"])
    assert log_of(store)[0].entries == ()
    assert [path.name[:14] for path in (store.folder / "backups").glob("before-*.sqlite")] == [
        "before-putback"
    ]
    # and what was there then can be put back just so
    kept = copy_of(re.sub(r'value="here/book-[^"]+"', "", visitor.page("/book")))
    asked = visitor.send("/book/put-back", "/book", copy=kept).get_data(as_text=True)
    assert "No entry would be gone." in asked
    assert "1 entry would be there again." in asked
    assert visitor.send("/book/put-back", "/book", copy=kept, sure="yes").status_code == 303
    assert len(log_of(store)[0].entries) == 1


@pytest.mark.parametrize(
    "name", ["here/../book.sqlite", "../../etc/passwd", "", "there/x", "here/book-2026-01-01.sqlite"]
)
def test_only_a_copy_of_the_list_is_put_back(visitor, store, name):
    before = store.path.read_bytes()
    answer = visitor.send("/book/put-back", "/book", copy=name, sure="yes")
    assert answer.status_code == 422
    assert "That copy is not there any more." in answer.get_data(as_text=True)
    assert store.path.read_bytes() == before


def test_a_copy_of_an_earlier_version_is_brought_up_to_date(visitor, store):
    old = Path(__file__).parents[2] / "log" / "book" / "version_1.sqlite"
    shutil.copyfile(old, store.folder / "backups" / "book-2026-01-02.sqlite")
    answer = visitor.send("/book/put-back", "/book", copy="here/book-2026-01-02.sqlite", sure="yes")
    assert answer.status_code == 303
    assert visitor.get("/on-the-go").status_code == 200
    assert log_of(store)[0].struck


def test_a_second_place_is_named_and_gets_a_copy_at_once(visitor, store, tmp_path):
    stick = tmp_path / "stick"
    away = visitor.send("/book/second-place", "/book", second=str(stick))
    assert away.status_code == 422
    assert "There is no such folder now." in away.get_data(as_text=True)
    inside = visitor.send("/book/second-place", "/book", second=str(store.folder / "backups"))
    assert "lies in the workshop" in inside.get_data(as_text=True)
    assert visitor.send("/book/second-place", "/book", second="a\0b").status_code == 422
    stick.mkdir()
    answer = visitor.send("/book/second-place", "/book", second=str(stick))
    assert "A copy is there now:" in visitor.page(answer.headers["Location"])
    assert [path.suffix for path in sorted(stick.glob("book-*"))] == [".sqlite", ".toml"]
    assert f'backup_folder = "{stick}"' in (store.folder / "workshop.toml").read_text("utf-8")
    page = visitor.page("/book")
    assert f"The last copy in {stick}:" in page
    assert 'value="there/book-' in page
    visitor.send("/book/second-place", "/book", second="")
    assert "backup_folder" not in (store.folder / "workshop.toml").read_text("utf-8")
    assert "no copy anywhere but on this disk" in visitor.page("/book")
    store.undo(None, NOON)  # it is an act as any other
    assert "backup_folder" in (store.folder / "workshop.toml").read_text("utf-8")


def test_an_owner_is_forgotten_on_all_boards_after_it_was_asked_once(visitor, store):
    (store.folder / "backups" / "import-x.csv").write_text("Ann Onym", "utf-8")
    page = visitor.page("/book")
    assert "Ann Onym (tan, red)" in page
    asked = visitor.send("/book/forget", "/book", board="B").get_data(as_text=True)
    assert "blanked on: tan, red." in asked
    assert log_of(store)[0].by_id["A"].owner == "Ann Onym"
    answer = visitor.send("/book/forget", "/book", board="B", sure="yes")
    assert "Ann" not in answer.headers["Location"]
    after = visitor.page(answer.headers["Location"])
    assert "Forgotten, in the book and in 1 copy of it." in after
    assert "import-x.csv" in after
    log = log_of(store)[0]
    assert [board.owner for board in log.boards] == ["", "", "Bob"]
    for path in (store.path, *(store.folder / "backups").glob("*.sqlite")):
        assert b"Ann Onym" not in path.read_bytes()
    assert visitor.send("/book/forget", "/book", board="A", sure="yes").status_code == 422


def test_where_the_book_is_and_how_large(visitor, store):
    page = visitor.page("/book")
    assert f"It is the file {store.path}: {store.path.stat().st_size / 1000:.0f} kB, 2 entries" in page
    assert 'href="/book"' in visitor.page("/look-back")


def test_a_folder_that_is_copied_about_is_warned_of(tmp_path):
    place = tmp_path / "My Cloud"
    place.mkdir()
    kept = book(place / "shop", boards=[{"board": "A"}])
    assert "it seems to lie in a folder that a program copies to other machines" in client(
        kept.folder, today=DAY
    ).page("/book")


def test_of_a_log_in_files_there_is_one_way_and_it_leads_into_a_book(tmp_path):
    place = folder(tmp_path / "shop")
    visitor = client(place, today=DAY)
    page = visitor.page("/book")
    main = page.partition("<main")[2].partition("</main>")[0]
    assert "<form" not in main
    assert page.count('action="/book/keep"') == 1
    for path in POSTS:
        if path != "/book/keep":
            assert visitor.send(path, "/book", act="1", board="A").status_code == 422
    assert not (place / "book.sqlite").exists()
    answer = visitor.send("/book/keep", "/book")
    assert answer.status_code == 303
    assert "into a new book" in visitor.page(answer.headers["Location"])
    assert (place / "boards.csv").read_text("utf-8") == BOARDS
    assert [board.called for board in log_of(BookStore(place))[0].boards] == [
        "red nine-four",
        "club board",
        "green fish",
    ]
    assert visitor.send("/light", "/", evening="").status_code == 303
    assert 'action="/book/undo"' in visitor.page("/book")  # the counter writes into it from now on
    assert visitor.send("/book/keep", "/book").status_code == 303  # sent twice, done once


def test_what_is_wrong_in_files_is_said_before_they_go_into_a_book(tmp_path):
    place = folder(tmp_path / "shop", hours=HOURS.replace(",5,yes", ",five,yes"))
    visitor = client(place, today=DAY)
    answer = visitor.send("/book/keep", "/book")
    said = answer.get_data(as_text=True)
    assert "hours.csv, line 2, hours" in said
    assert "Nothing was written" in said
    assert not (place / "book.sqlite").exists()
    assert visitor.send("/book/keep", "/book", good="yes").status_code == 303
    assert (place / "book.sqlite").exists()


def damage(path):
    """Spoils all but the head of a book."""
    data = bytearray(path.read_bytes())
    for at in range(8192, len(data) - 4096, 4096):
        data[at : at + 2000] = b"\xff" * 2000
    path.write_bytes(data)


@pytest.mark.parametrize("running", [True, False])
def test_a_damaged_book_is_said_to_be_and_its_page_leads_out_of_it(store, running):
    visitor = client(store.folder, today=DAY)
    if running:
        assert visitor.get("/book").status_code == 200
    damage(store.path)
    page = visitor.page("/book")
    assert "is damaged. It is not written any more. Put the copy backups/book-" in page
    assert "What can still be read" in page
    assert "damaged" in visitor.get("/").get_data(as_text=True)
    assert 'href="/book"' in visitor.get("/").get_data(as_text=True)
    asked = visitor.send("/book/put-back", "/book", copy=copy_of(page))
    assert asked.status_code == 200
    assert "cannot be known" in asked.get_data(as_text=True)
    assert visitor.send("/book/put-back", "/book", copy=copy_of(page), sure="yes").status_code == 303
    assert visitor.get("/on-the-go").status_code == 200
    assert len(log_of(BookStore(store.folder))[0].boards) == 3


@pytest.mark.parametrize("path", POSTS)
@pytest.mark.parametrize("foreign", ["Host", "Origin", "token"])
def test_nothing_is_taken_from_elsewhere(visitor, store, path, foreign):
    before = (
        store.path.read_bytes(),
        sorted(one.name for one in store.folder.rglob("*") if ".estimator" not in one.parts),
    )
    more = (
        {}
        if foreign == "token"
        else {
            "headers": {foreign: "http://elsewhere.example" if foreign == "Origin" else "elsewhere.example"}
        }
    )
    fields = {"token": "0" * 64} if foreign == "token" else {}
    fields |= {
        "act": "2",
        "board": "A",
        "sure": "yes",
        "second": "/tmp",
        "copy": copy_of(visitor.page("/book")),
    }
    answer = visitor.send(path, "/book", **more, **fields)
    assert answer.status_code in {403, 421}
    assert (
        store.path.read_bytes(),
        sorted(one.name for one in store.folder.rglob("*") if ".estimator" not in one.parts),
    ) == before
    assert (
        visitor.browser.get("/book/export?kind=csv", headers={"Host": f"{HOST}.example"}).status_code == 421
    )


def test_of_an_import_undo_says_which_boards_go_and_how_many_rows_and_no_cells(tmp_path):
    store = book(tmp_path / "taken-in", boards=[])
    with store.act("18 rows from boards.csv, hours.csv", NOON) as act:
        for n in range(7):
            act.append("boards", {"board": f"B{n}", "called": f"gun {n}"})
        for _ in range(11):
            act.append("hours", {**HOUR, "board": "B0"})
    page = client(store.folder, today=DAY).page("/book")

    assert "7 boards go: gun 0, gun 1, gun 2, gun 3, gun 4, and 2 more." in page
    assert "11 rows of hours go." in page
    assert "2026-06-04, strip" not in page


def on_page_of(visitor, path="/book"):
    """What the page of the book shows at an address."""
    with visitor.app.test_request_context(path, headers={"Host": HOST}):
        return on_page()


def test_neither_an_undo_nor_what_it_took_back_is_what_undo_would_take_back_next(visitor, store):
    with store.act("tan is here", NOON) as act:
        act.append("notes", {"board": "B", "date": "2026-06-04", "note": "here"})
    store.undo(3, NOON)
    seen = on_page_of(visitor)

    assert [(one.id, one.undone, one.undo_of) for one in seen.acts] == [
        (4, False, 3),
        (3, True, None),
        (2, False, None),
        (1, False, None),
    ]
    assert seen.shown.id == 2
    store.undo(2, NOON)
    assert on_page_of(visitor).shown.id == 1


def test_an_undo_can_be_looked_at_where_it_is_asked_for(visitor, store):
    store.undo(2, NOON)
    assert on_page_of(visitor, "/book?act=3").shown.id == 3
    assert on_page_of(visitor, "/book?act=2").refused


def test_owners_are_known_by_name_else_by_how_to_reach_them_the_newest_first(tmp_path):
    rows = [
        {"board": "A", "called": "red", "owner": "Ann", "reach": "ann@one.example"},
        {"board": "B", "called": "tan", "reach": "0000 22"},
        {"board": "C", "called": "blue"},
        {"board": "D", "called": "grey", "reach": "0000 22"},
        {"board": "E", "called": "pink", "owner": "Bob"},
        {"board": "F", "called": "jade", "owner": "Ann"},
    ]
    visitor = client(book(tmp_path / "shop", boards=rows).folder, today=DAY)

    assert on_page_of(visitor).owners == (
        ("F", "Ann (jade, red)"),
        ("E", "Bob (pink)"),
        ("D", "0000 22 (grey, tan)"),
    )
    answer = visitor.send("/book/forget", "/book", board="C")
    assert answer.status_code == 422
    assert "No board has that owner any more." in answer.get_data(as_text=True)


@pytest.mark.parametrize(("more", "earlier"), [(18, None), (19, 2)])
def test_twenty_entries_stand_on_a_page(visitor, store, more, earlier):
    for number in range(more):
        with store.act(f"note {number}", NOON) as act:
            act.append("notes", {"board": "A", "date": "2026-06-04", "note": f"n{number}"})
    seen = on_page_of(visitor)

    assert len(seen.acts) == 20
    assert seen.earlier == earlier


def test_each_copy_is_named_by_the_place_where_it_lies_and_sizes_are_of_all_files(
    visitor, store, tmp_path, monkeypatch
):
    stick = tmp_path / "stick"
    stick.mkdir()
    visitor.send("/book/second-place", "/book", second=str(stick))
    (store.folder / "photos").mkdir()
    (store.folder / "photos" / "a.jpg").write_bytes(b"x" * 70)
    copies = [path for path in (store.folder / "backups").rglob("*") if path.is_file()]
    held = []
    monkeypatch.setattr(page_of_book, "where_it_is", lambda *given: held.append(given) or [])
    seen = on_page_of(visitor)

    assert {name.partition("/")[0] for name in seen.copies} == {"here"}
    assert {name.partition("/")[0] for name in seen.elsewhere} == {"there"}
    assert seen.second == str(stick)
    assert seen.second_there
    [(path, size, many, first, of_copies, of_photos)] = held
    assert (path, size, many, first) == (store.path, store.path.stat().st_size, 3, NOON.isoformat())
    assert (of_copies, of_photos) == (sum(one.stat().st_size for one in copies), 70)
    shutil.rmtree(stick)
    gone = on_page_of(visitor)
    assert (gone.second, gone.second_there, gone.elsewhere) == (str(stick), False, {})


def test_the_same_second_place_once_more_is_no_act_and_a_copy_all_the_same(visitor, store, tmp_path):
    stick = tmp_path / "stick"
    stick.mkdir()
    visitor.send("/book/second-place", "/book", second=str(stick))
    acts = len(store.acts(99))
    answer = visitor.send("/book/second-place", "/book", second=str(stick))

    assert "A copy is there now:" in visitor.page(answer.headers["Location"])
    assert len(store.acts(99)) == acts
    shown = visitor.send("/book/second-place", "/book", second=str(tmp_path / "nowhere")).get_data(
        as_text=True
    )
    assert f'value="{tmp_path / "nowhere"}"' in shown  # what was typed, not what stands in the settings
    assert f'value="{stick}"' in visitor.page("/book")


def test_a_second_place_within_the_workshop_by_a_short_name_is_refused_too(visitor, store):
    (store.folder / "sub").mkdir()
    for inside in ("sub", "."):
        answer = visitor.send("/book/second-place", "/book", second=inside)
        assert answer.status_code == 422
        assert "lies in the workshop" in answer.get_data(as_text=True)


def test_of_files_that_pages_may_write_there_is_the_way_into_a_book_too(tmp_path):
    visitor = client(folder(tmp_path / "shop"), today=DAY, writes=True)
    page = visitor.page("/book")
    assert 'action="/book/undo"' not in page
    assert 'action="/book/second-place"' not in page


def test_what_was_done_is_said_also_of_a_form_without_a_key(visitor, store):
    answer = visitor.send("/book/undo", "/book", act="2", key="")

    assert len(answer.headers["Location"].partition("said=")[2]) == 16  # 12 bytes, as each key
    assert "Taken back: 4½ hours on red, strip." in visitor.page(answer.headers["Location"])


def test_a_second_place_may_be_named_by_the_home_it_lies_in(visitor, store, tmp_path, monkeypatch):
    (tmp_path / "home" / "stick").mkdir(parents=True)
    monkeypatch.setenv("HOME", str(tmp_path / "home"))
    assert visitor.send("/book/second-place", "/book", second="~/stick").status_code == 303

    assert [path.suffix for path in sorted((tmp_path / "home" / "stick").glob("book-*"))] == [
        ".sqlite",
        ".toml",
    ]


def test_where_pages_only_show_nothing_is_done_to_a_book_and_it_is_said_why(store):
    reader = client(store.folder, today=DAY, writes=False)
    assert 'action="/book/undo"' not in reader.page("/book")
    copy = next((store.folder / "backups").glob("book-*.sqlite"))
    before = store.path.read_bytes()
    for path in POSTS:
        sent = {"act": "2", "board": "A", "sure": "yes", "second": str(store.folder.parent), "copy": f"here/{copy.name}"}  # fmt: skip
        answer = reader.send(path, "/book", **sent)
        if path == "/book/keep":
            assert (answer.status_code, answer.location) == (303, "/book")
        else:
            assert answer.status_code == 422
            assert html.escape(page_label("read-only")) in answer.get_data(as_text=True)
            assert "There is no such folder now." not in answer.get_data(as_text=True)
    assert store.path.read_bytes() == before
    assert len(store.acts(9)) == 2


def test_a_second_place_is_a_folder_that_does_not_lead_back_into_the_workshop(visitor, store, tmp_path):
    (tmp_path / "a file").write_text("", "utf-8")
    (tmp_path / "link").symlink_to(store.folder / "backups")
    for second, said in (("a file", "There is no such folder now."), ("link", "lies in the workshop")):
        answer = visitor.send("/book/second-place", "/book", second=str(tmp_path / second))
        assert answer.status_code == 422
        assert said in answer.get_data(as_text=True)
    assert len(store.acts(9)) == 2


def test_a_second_place_stays_spelt_as_it_was_named(visitor, store, tmp_path, monkeypatch):
    (tmp_path / "home" / "stick").mkdir(parents=True)
    monkeypatch.setenv("HOME", str(tmp_path / "home"))
    visitor.send("/book/second-place", "/book", second="~/stick")

    assert 'backup_folder = "~/stick"' in store.settings_text()
    seen = on_page_of(visitor)
    assert (seen.second, seen.second_there, len(seen.elsewhere)) == ("~/stick", True, 1)
    # and from there a copy is put back, too
    name = next(iter(seen.elsewhere))
    with store.act("one hour more", NOON) as act:
        act.append("hours", {**HOUR, "hours": "1"})
    asked = visitor.send("/book/put-back", "/book", copy=name).get_data(as_text=True)
    assert "1 entry would be gone:" in asked
    assert visitor.send("/book/put-back", "/book", copy=name, sure="yes").status_code == 303
    assert [entry.hours for entry in log_of(store)[0].entries] == [4.5]


def test_where_the_second_place_could_not_be_written_down_no_copy_goes_there(visitor, tmp_path, monkeypatch):
    for name in ("stick", "disk"):
        (tmp_path / name).mkdir()
    visitor.send("/book/second-place", "/book", second=str(tmp_path / "stick"))
    for file in (tmp_path / "stick").iterdir():
        file.unlink()
    monkeypatch.setattr(page_of_book.PageForm, "write", lambda form, *_: form.wrong("second", "Too late."))
    answer = visitor.send("/book/second-place", "/book", second=str(tmp_path / "disk"))

    assert answer.status_code == 422
    assert [*(tmp_path / "stick").iterdir(), *(tmp_path / "disk").iterdir()] == []


def test_an_owner_is_named_by_any_of_his_boards(visitor, store):
    assert "blanked on: tan, red." in visitor.send("/book/forget", "/book", board="A").get_data(as_text=True)
    assert visitor.send("/book/forget", "/book", board="A", sure="yes").status_code == 303
    assert [board.owner for board in log_of(store)[0].boards] == ["", "", "Bob"]


def test_of_many_entries_any_is_looked_at_and_all_are_counted(visitor, store):
    for number in range(25):
        with store.act(f"note {number}", NOON) as act:
            act.append("notes", {"board": "A", "date": "2026-06-04", "note": f"n{number}"})

    assert on_page_of(visitor, "/book?act=12").shown.sentence == "note 9"
    assert ", 27 entries" in visitor.page("/book")


def test_where_all_was_taken_back_nothing_is_offered(visitor, store):
    store.undo(2, NOON)
    store.undo(1, NOON)
    seen = on_page_of(visitor)

    assert (seen.shown, seen.would, seen.refused) == (None, (), "")
    assert 'action="/book/undo"' not in visitor.page("/book")


def test_a_copy_that_cannot_be_put_back_is_said_to_stay_where_it_is(visitor, monkeypatch):
    def refuse(*_):
        raise UsageError("The disk is full.")

    monkeypatch.setattr(page_of_copies, "put_back", refuse)
    answer = visitor.send("/book/put-back", "/book", copy=copy_of(visitor.page("/book")), sure="yes")

    assert answer.status_code == 422
    assert "The disk is full." in answer.get_data(as_text=True)

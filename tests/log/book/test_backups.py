"""Copies of a book: when they are made, how long they stay, where else they go, and owners who are forgotten."""

import datetime as dt
import os
import sqlite3
import time
from contextlib import closing

import pytest
from making.books import NOON, SETTINGS, book, log_of

from estimator.log.book.backups import (
    copies_in,
    copy_book,
    daily_copy,
    kept_before,
    last_copy,
    put_back,
    thin_out,
    would_put_back,
)
from estimator.log.book.opening import connected
from estimator.log.book.store import BookStore
from estimator.log.cache import A_DAY
from estimator.log.files import PART
from estimator.words.errors import UsageError

BOARD = {"board": "A", "owner": "Ann Onym", "reach": "ann@one.example"}
MORNING = dt.datetime(2026, 6, 5, 8, tzinfo=dt.UTC)


@pytest.fixture
def store(tmp_path):
    return book(tmp_path / "shop", boards=[BOARD])


def add(store):
    with store.act("a board", NOON) as act:
        act.append("boards", {"called": "tan"})


def names(folder, pattern="*.sqlite"):
    return sorted(path.name for path in folder.glob(pattern))


def test_the_first_act_of_a_day_makes_a_copy_of_what_was_before(store):
    add(store)
    add(store)
    [copy] = (store.folder / "backups").glob("*.sqlite")
    assert copy.name == f"book-{dt.datetime.now().astimezone().date()}.sqlite"
    assert copy.with_suffix(".toml").read_text("utf-8") == SETTINGS
    with connected(copy) as connection:
        assert connection.execute("SELECT count(*) FROM boards").fetchall() == [(1,)]


def test_a_day_has_one_copy_and_each_import_its_own(store):
    photo = store.folder / "photos" / "a.jpg"
    photo.parent.mkdir()
    photo.write_bytes(b"x")
    photo.with_name(".estimator-1.part").write_bytes(b"half of one")
    assert daily_copy(store.path, None, MORNING)
    assert daily_copy(store.path, None, MORNING + dt.timedelta(hours=3)) is None
    assert len({kept_before(store.path, "import", MORNING) for _ in range(3)}) == 3
    assert names(store.folder / "backups" / "photos", "*") == ["a.jpg"]
    assert names(store.folder / "backups") == [
        "before-import-2026-06-05-080000-2.sqlite",
        "before-import-2026-06-05-080000-3.sqlite",
        "before-import-2026-06-05-080000.sqlite",
        "book-2026-06-05.sqlite",
    ]
    assert (store.folder / "backups" / "photos" / "a.jpg").read_bytes() == b"x"


def test_the_last_fourteen_days_stay_one_a_month_and_a_year_of_those_before_imports(tmp_path):
    today = dt.date(2026, 6, 30)
    for age in range(500):
        day = today - dt.timedelta(days=age)
        (tmp_path / f"book-{day}.sqlite").touch()
        (tmp_path / f"book-{day}.toml").touch()
        (tmp_path / f"before-import-{day}-101010.sqlite").touch()
    (tmp_path / "mine.sqlite").touch()
    thin_out(tmp_path, today)
    days = [dt.date.fromisoformat(name[5:15]) for name in names(tmp_path, "book-*.sqlite")]
    assert days[-14:] == [today - dt.timedelta(days=age) for age in range(13, -1, -1)]
    older = days[:-14]
    assert [(day.year, day.month) for day in older] == sorted({(day.year, day.month) for day in older})
    assert len(older) == 17  # of February 2025, in which they begin, to June 2026
    assert all(day.day == 1 for day in older[1:])
    assert len(names(tmp_path, "book-*.toml")) == len(days)
    assert len(names(tmp_path, "before-*.sqlite")) == 367
    assert (tmp_path / "mine.sqlite").exists()


def test_copies_of_days_to_come_and_those_that_are_being_made_stay(tmp_path):
    """A clock that was wrong once takes nothing away; what a copy that was broken off left goes after a day."""
    begun, broken_off = (tmp_path / f"{PART}{name}.part" for name in ("0a", "0b"))
    begun.touch()
    broken_off.touch()
    os.utime(broken_off, (time.time() - 2 * A_DAY,) * 2)
    ahead = [f"book-2027-01-{day:02}.sqlite" for day in range(1, 21)]
    now = ["book-2026-06-29.sqlite", "book-2026-06-30.sqlite"]
    for name in (*ahead, *now):
        (tmp_path / name).touch()
    thin_out(tmp_path, dt.date(2026, 6, 30))
    assert names(tmp_path) == [*now, *ahead]
    assert names(tmp_path, "*.part") == [begun.name]


def test_copies_go_to_a_second_place_where_it_is_at_hand(store, tmp_path):
    stick = tmp_path / "stick"
    text = SETTINGS.replace("[workshop]", f'[workshop]\nbackup_folder = "{stick}"')
    (store.folder / "workshop.toml").write_text(text, "utf-8")
    assert BookStore(store.folder).last_copy_elsewhere() is None
    add(store)  # the stick is not there, and holds nothing up
    stick.mkdir()
    add(store)
    assert store.last_copy_elsewhere() == dt.datetime.now().astimezone().date()
    assert names(stick) == names(store.folder / "backups")


def test_a_second_place_that_cannot_be_written_holds_no_act_up(store, tmp_path):
    stick = tmp_path / "stick"
    stick.mkdir()
    (stick / "book-2026-06-05.sqlite.x").touch()
    taken = stick / f"book-{MORNING.date()}.toml"
    taken.mkdir()  # where a file should go
    assert daily_copy(store.path, stick, MORNING)


def test_an_act_is_not_done_where_its_copy_cannot_be_written(store):
    (store.folder / "backups").write_text("a file", "utf-8")
    before = store.revision()
    with pytest.raises(UsageError, match="cannot be written, and without a copy nothing else is"):
        add(store)
    assert store.revision() == before


def test_what_is_no_book_is_not_put_back(store, tmp_path):
    (tmp_path / "x.sqlite").write_bytes(b"no book" * 100)
    before = store.path.read_bytes()
    with pytest.raises(UsageError, match=r"is a file of another program|is no book"):
        put_back(store.path, tmp_path / "x.sqlite", MORNING)
    assert store.path.read_bytes() == before


def test_a_damaged_book_is_put_aside_and_a_copy_put_back(store, tmp_path):
    copy_book(store.path, tmp_path / "copy.sqlite")
    data = store.path.read_bytes()
    store.path.write_bytes(data[:8192] + b"\xff" * (len(data) - 8192))
    aside = put_back(store.path, tmp_path / "copy.sqlite", MORNING)
    assert aside.read_bytes()[8192:8200] == b"\xff" * 8
    assert len(log_of(BookStore(store.folder))[0].boards) == 1


def test_last_copy_is_none_where_there_is_none(tmp_path):
    assert last_copy(None) is last_copy(tmp_path / "x") is last_copy(tmp_path) is None


def test_an_owner_is_forgotten_in_the_book_and_its_copies_down_to_the_bytes(store, tmp_path):
    add(store)
    first = kept_before(store.path, "import", MORNING)
    (store.folder / "backups" / "log-as-imported.csv").write_text("Ann Onym", "utf-8")
    before = store.revision()
    done = store.forget_owner("A", NOON)
    assert {path.name for path in done.books} == {
        "book.sqlite",
        first.name,
        *names(store.folder / "backups", "book-*"),
    } - {path.with_suffix(".toml").name for path in done.books}
    assert [path.name for path in done.left] == ["log-as-imported.csv"]
    for path in done.books:
        data = path.read_bytes()
        assert b"Ann Onym" not in data
        assert b"ann@one" not in data
    assert log_of(store)[0].by_id["A"].owner == ""
    assert store.revision() != before
    assert store.acts(1)[0].sentence == "the owner of board A is forgotten"
    with pytest.raises(UsageError, match="There is no board Z"):
        store.forget_owner("Z", NOON)


def test_an_owner_is_forgotten_in_the_copies_of_a_second_place_too(store, tmp_path):
    stick = tmp_path / "stick"
    stick.mkdir()
    text = SETTINGS.replace("[workshop]", f'[workshop]\nbackup_folder = "{stick}"')
    (store.folder / "workshop.toml").write_text(text, "utf-8")
    add(store)
    (stick / "letters.txt").write_text("Ann Onym", "utf-8")
    [copy] = stick.glob("*.sqlite")
    assert b"Ann Onym" in copy.read_bytes()

    done = store.forget_owner("A", NOON)

    assert copy in done.books
    assert done.left == (stick / "letters.txt",)
    assert b"Ann Onym" not in copy.read_bytes()


def test_a_second_place_that_is_not_at_hand_is_named(store, tmp_path):
    text = SETTINGS.replace("[workshop]", f'[workshop]\nbackup_folder = "{tmp_path / "stick"}"')
    (store.folder / "workshop.toml").write_text(text, "utf-8")
    assert store.forget_owner("A", NOON).left == (tmp_path / "stick",)


@pytest.mark.parametrize(
    ("names", "last"),
    [
        ([], None),
        (["book-2026-05-04.sqlite", "book-2026-05-09.sqlite", "book-2026-04-30.sqlite"], dt.date(2026, 5, 9)),
        (["before-import-2026-05-04-101500.sqlite"], None),
        (["book-2026-13-04.sqlite", "book-2026-05-04.toml"], None),
    ],
)
def test_the_last_copy_of_a_day_is_the_newest(tmp_path, names, last):
    for name in names:
        (tmp_path / name).touch()
    assert last_copy(tmp_path) == last
    assert last_copy(None) is last_copy(tmp_path / "not at hand") is None


def test_copies_are_named_the_newest_first_with_what_they_were_made_before(tmp_path):
    for name in ("book-2026-05-04.sqlite", "before-putback-2026-05-05-090000.sqlite", "before-import-2026-05-03-090000-2.sqlite", "x.sqlite"):  # fmt: skip
        (tmp_path / name).write_bytes(b"123")
    found = copies_in(tmp_path)
    assert [(one.day.day, one.why, one.size) for one in found] == [
        (5, "putback", 3),
        (4, "", 3),
        (3, "import", 3),
    ]
    assert copies_in(None) == copies_in(tmp_path / "not at hand") == ()


def test_of_copies_of_one_day_the_one_that_was_made_last_stands_first(tmp_path):
    made = ["before-import-2026-05-04-160000.sqlite", "book-2026-05-04.sqlite", "before-schema-2026-05-04-090000.sqlite"]  # fmt: skip
    for at, name in ((3_000, made[0]), (1_000, made[2]), (2_000, made[1])):
        (tmp_path / name).touch()
        os.utime(tmp_path / name, (at, at))
    assert [one.path.name for one in copies_in(tmp_path)] == made


def test_what_is_too_old_goes_when_a_day_gets_its_copy_in_both_places(store, tmp_path):
    stick = tmp_path / "stick"
    folders = (store.folder / "backups", stick)
    for folder in folders:
        folder.mkdir()
        for day in range(1, 19):
            (folder / f"book-2026-05-{day:02}.sqlite").touch()
    assert daily_copy(store.path, stick, MORNING)
    for folder in folders:  # fourteen with that of today, and the first of May
        kept = ["2026-05-01", *(f"2026-05-{day:02}" for day in range(6, 19)), "2026-06-05"]
        assert names(folder) == [f"book-{day}.sqlite" for day in kept]


def test_a_copy_that_is_made_anew_has_the_settings_as_they_are_then(store, tmp_path):
    copy = tmp_path / "copies" / "mine.sqlite"
    copy_book(store.path, copy)
    (store.folder / "workshop.toml").write_text(f"{SETTINGS}# later\n", "utf-8")
    copy_book(store.path, copy)
    assert copy.with_suffix(".toml").read_text("utf-8") == f"{SETTINGS}# later\n"


def test_what_would_be_gone_and_be_there_again_where_the_book_went_another_way(store, tmp_path):
    """The same number of another act is another."""
    copy_book(store.path, tmp_path / "book-2026-06-05.sqlite")
    with store.act("here", NOON) as act:
        act.append("boards", {"called": "tan"})
    (older,) = copies_in(tmp_path)
    would = would_put_back(store.path, older)
    assert ([act.sentence for act in would.gone], would.again, would.known) == (["here"], (), True)
    put_back(store.path, older.path, MORNING)
    copy_book(store.path, tmp_path / "book-2026-06-06.sqlite")
    with store.act("there", NOON) as act:
        act.append("boards", {"called": "plum"})
    (kept,) = (one for one in copies_in(store.folder / "backups") if one.why == "putback")
    would = would_put_back(store.path, kept)
    assert [act.sentence for act in would.gone] == ["there"]
    assert [act.sentence for act in would.again] == ["here"]
    store.path.write_bytes(b"x" * 9000)
    would = would_put_back(store.path, kept)
    assert (would.gone, would.again, would.known) == ((), (), False)


def test_an_owner_is_forgotten_of_a_board_that_was_struck_out_too_and_copies_without_it_are_not_named(store):
    older = kept_before(store.path, "import", MORNING)
    with store.act("a board", NOON) as act:
        place = act.append("boards", {"board": "B", "owner": "Bob Onym"})
    newer = kept_before(store.path, "import", MORNING + dt.timedelta(hours=1))
    with store.act("a slip", NOON) as act:
        act.strike(place, "never came")
    done = store.forget_owner("B", NOON)
    assert older not in done.books
    assert {store.path, newer} <= {*done.books}
    assert b"Bob Onym" not in store.path.read_bytes()
    assert b"Ann Onym" in store.path.read_bytes()


def of_another(path):
    """A file of another program, in the same form."""
    with closing(sqlite3.connect(path)) as connection:
        connection.execute("CREATE TABLE acts (id, at, origin, sentence, undo_of)")
        connection.execute("PRAGMA application_id = 7")
        connection.commit()
    return path


def test_a_file_of_another_program_is_not_put_back_and_nothing_is_kept_before(store, tmp_path):
    path = of_another(tmp_path / "book-2026-06-05.sqlite")
    before = store.path.read_bytes()
    (copy,) = copies_in(tmp_path)
    for tried in (lambda: put_back(store.path, path, MORNING), lambda: would_put_back(store.path, copy)):
        with pytest.raises(UsageError, match="is a file of another program"):
            tried()
    assert store.path.read_bytes() == before
    assert not (store.folder / "backups").exists()


def test_a_damaged_book_is_put_aside_by_its_name_and_moment(store, tmp_path):
    copy_book(store.path, tmp_path / "copy.sqlite")
    store.path.write_bytes(store.path.read_bytes()[:8192] + b"\xff" * 9000)
    aside = put_back(store.path, tmp_path / "copy.sqlite", MORNING)
    assert aside == store.folder / "backups" / "damaged-2026-06-05-080000-book.sqlite"
    assert copies_in(aside.parent) == ()  # it is none to put back


def test_acts_of_one_number_and_one_sentence_at_two_times_are_two(store, tmp_path):
    copy_book(store.path, tmp_path / "book-2026-06-05.sqlite")
    (older,) = copies_in(tmp_path)
    for hour in (1, 2):
        with store.act("hours", NOON + dt.timedelta(hours=hour)) as act:
            act.append("boards", {"called": f"tan {hour}"})
        if hour == 1:
            kept = put_back(store.path, older.path, MORNING)
    (copy,) = (one for one in copies_in(kept.parent) if one.why == "putback")
    would = would_put_back(store.path, copy)
    assert [(act.id, act.at[11:16]) for act in would.gone] == [(2, "14:00")]
    assert [(act.id, act.at[11:16]) for act in would.again] == [(2, "13:00")]


def test_of_a_copy_that_cannot_get_its_name_nothing_is_left(store, tmp_path):
    taken = tmp_path / "copies" / "mine.sqlite"
    taken.mkdir(parents=True)
    with pytest.raises(UsageError, match=r"mine\.sqlite cannot be written"):
        copy_book(store.path, taken)
    assert names(taken.parent, "*") + names(taken.parent, ".*") == ["mine.sqlite"]


def test_copies_before_something_go_with_their_settings_after_a_year_and_none_before(tmp_path):
    today = dt.date(2026, 6, 30)
    for age in (366, 367):
        for ending in ("sqlite", "toml"):
            (tmp_path / f"before-putback-{today - dt.timedelta(days=age)}-101010-2.{ending}").touch()
    thin_out(tmp_path, today)
    assert names(tmp_path, "*") == [f"before-putback-2025-06-29-101010-2.{one}" for one in ("sqlite", "toml")]


def test_where_an_owner_could_not_be_forgotten_is_named_and_all_else_is_done(store):
    with store.act("a slip", NOON) as act:
        place = act.append("boards", {"board": "B", "owner": "Bob Onym"})
        act.strike(place, "never came")
    with store.act("again", NOON) as act:
        act.append("boards", {"board": "B", "owner": "Cid Onym", "reach": "cid@x"})
    backups = store.folder / "backups"
    whole = kept_before(store.path, "import", MORNING)
    damaged, other = backups / "before-import-2026-01-01-080000.sqlite", of_another(backups / "aside.sqlite")
    damaged.write_bytes(b"Cid Onym" * 2000)
    (backups / "photos").mkdir()
    was = other.read_bytes()
    done = store.forget_owner("B", NOON, origin="page")
    assert done.left == (other, damaged)
    assert whole in done.books
    assert other.read_bytes() == was
    for path in (store.path, whole):
        data = path.read_bytes()
        assert not [name for name in (b"Bob Onym", b"Cid Onym", b"cid@x") if name in data]
        assert b"Ann Onym" in data
    with connected(store.path) as connection:
        assert connection.execute("SELECT owner, reach FROM owners ORDER BY board").fetchall() == [
            ("Ann Onym", "ann@one.example"),
            ("", ""),
            ("", ""),
        ]
        assert connection.execute("SELECT act FROM now").fetchall() == [(None,)]
    last = store.acts(1)[0]
    assert (last.sentence, last.origin) == ("the owner of board B is forgotten", "page")


def test_a_photo_that_is_copied_already_is_not_copied_again_and_new_ones_are(store, tmp_path):
    photos, copies = store.folder / "photos", tmp_path / "copies" / "photos"
    photos.mkdir()
    for name in ("a.jpg", "b.png"):
        (photos / name).write_bytes(name.encode())
        copy_book(store.path, tmp_path / "copies" / "mine.sqlite")
    assert names(copies, "*") == ["a.jpg", "b.png"]
    assert [(copies / name).read_bytes() for name in names(copies, "*")] == [b"a.jpg", b"b.png"]

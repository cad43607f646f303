"""The book in words: what an undo would change row by row, copies and what goes with them, owners who are forgotten."""

import datetime as dt
from pathlib import Path

import pytest

from estimator.log.book.backups import BookCopy, WouldPutBack
from estimator.log.book.history import ActRecord, RowInHistory, WouldUndo
from estimator.log.book.owners import Forgotten
from estimator.said.book import (
    act_words,
    cell_in_words,
    copy_words,
    forget_lines,
    forgotten_lines,
    put_back_lines,
    say_size,
    undo_lines,
    where_it_is,
)
from estimator.words.settings.schema import Driver, Kind, Settings, Stage

SHOP = Settings(
    stages={"strip": Stage("strip", label="Strip it")},
    kinds={"major": Kind("major", label="Full one")},
    drivers={
        "infills": Driver("infills", label="Let-in pieces"),
        "area": Driver("area", label="Area", unit="m2"),
    },
)
NAMES = {"26-001": "red log", "26-002": "tan gun"}


def act(number, sentence="an act", **more):
    return ActRecord(number, f"2026-06-{number:02}T12:00:00+00:00", "page", sentence, **more)


def undone(*rows, settings=False):
    return undo_lines(WouldUndo(act(4), rows, settings), SHOP, NAMES)


def test_a_new_row_goes_with_what_stands_in_it():
    hours = {"board": "26-001", "date": "2026-06-04", "stage": "strip", "hours": "4.5", "done": "yes"}
    assert undone(RowInHistory("hours", 2, None, hours)) == [
        "This row of hours goes: red log, Thu 4 June 2026, Strip it, 4½ hours, done."
    ]
    board = {
        "board": "26-003",
        "called": "plum egg",
        "kind": "major",
        "state": "on bench",
        "assessed_infills": "2",
        "assessed_area": "1.2 m2",
    }
    assert undone(RowInHistory("boards", 2, None, board)) == [
        "This board goes: plum egg, Full one, state on the go, let-in pieces, looked like 2, area, looked like 1.2 m²."
    ]
    assert undone(RowInHistory("notes", 2, None, {})) == ["This note goes: an empty one."]
    wait = {"board": "26-002", "from": "2026-06-01", "for": "owner", "struck": "x"}
    assert undone(RowInHistory("waits", 2, None, wait))[0].startswith("This wait goes: tan gun, ")


def test_what_was_changed_is_again_as_it_was():
    """Filled where it was empty, emptied, and another than before; the board and a column that stays are not said."""
    before = {"board": "26-001", "kind": "major", "infills": "", "length": "9'4", "hold_until": "2026-06-01"}
    after = {"board": "26-001", "kind": "major", "length": "9'6", "ready": "2026-06-04"}
    assert undone(RowInHistory("boards", 2, before, after)) == [
        "Board red log: Length is “9'4” again, not “9'6”.",
        "Board red log: Hold until is “Mon 1 June 2026” again.",
        "Board red log: Ready is empty again, not “Thu 4 June 2026”.",
    ]
    told = RowInHistory(
        "told", 2, {"board": "26-002", "price": "900"}, {"board": "26-002", "price": "950"}, whose=True
    )
    assert undone(told) == [
        "Telling, tan gun: Price is “900” again, not “950”.",
        "Telling, tan gun: its owner.",
    ]


@pytest.mark.parametrize(
    ("then", "now", "said"),
    [("", "wrong board", True), ("wrong board", "wrong board", False), ("x", "", False)],
)
def test_what_was_struck_out_is_read_again(then, now, said):
    row = RowInHistory("told", 2, {"board": "26-002", "struck": then}, {"board": "26-002", "struck": now})

    assert undone(row) == (["Telling, tan gun: it is read again."] if said else [])


def rows(sheet, many):
    return [
        RowInHistory(sheet, n, None, {"board": f"b{n}", **({"called": "gun"} if n == 1 else {})})
        for n in range(many)
    ]


def test_up_to_three_new_rows_are_said_one_by_one_and_more_are_counted_by_sheet():
    assert undone(*rows("notes", 3))[::2] == ["This note goes: b0.", "This note goes: b2."]
    assert undone(*rows("hours", 3), *rows("notes", 1)) == ["3 rows of hours go.", "1 note goes."]
    assert undone(*rows("boards", 5)) == ["5 boards go: b0, gun, b2, b3, b4."]
    assert undone(*rows("boards", 7)) == ["7 boards go: b0, gun, b2, b3, b4, and 2 more."]


def test_twelve_changed_rows_are_said_and_the_others_counted_and_settings_after_them():
    change = [
        RowInHistory("boards", n, {"board": f"b{n}", "length": "9'4"}, {"board": f"b{n}"}) for n in range(14)
    ]

    assert len(undone(*change[:12])) == 12
    assert undone(*change[:13])[12:] == ["So do 1 row more."]
    assert undone(*change, settings=True)[12:] == [
        "So do 2 rows more.",
        "The settings are again as they were before it.",
    ]
    assert undone(settings=True) == ["The settings are again as they were before it."]


@pytest.mark.parametrize(
    ("column", "cell", "said"),
    [
        ("board", "26-001", "red log"),
        ("board", "26-009", "26-009"),
        ("stage", "strip", "Strip it"),
        ("stage", "mop", "mop"),
        ("kind", "major", "Full one"),
        ("state", "finished", "ready"),
        ("hours", "4.5", "4½ hours"),
        ("hours", "1", "1 hour"),
        ("ready", "2026-06-04", "Thu 4 June 2026"),
        ("length", "9'6", "9'6"),
        ("found_area", "1.2 m2", "1.2 m²"),
        ("note", "soft at the tail", "soft at the tail"),
    ],
)
def test_a_cell_in_words(column, cell, said):
    assert cell_in_words(column, cell, SHOP, NAMES) == said


COPY = BookCopy(Path("x"), dt.date(2026, 6, 2), "import", 900)


def test_what_putting_a_copy_back_takes_away_and_brings_back():
    def said(gone=0, again=0, known=True):
        one = WouldPutBack(
            COPY, tuple(act(n) for n in range(1, gone + 1)), tuple(act(n) for n in range(1, again + 1)), known
        )
        first, *rest, last = put_back_lines(one)
        assert (
            first
            == "The book is then as on Tue 2 June 2026, before a spreadsheet was taken in. Your settings and photos stay."
        )
        assert last == "What is there now is kept as a copy first, so that it can be put back just so."
        return rest

    assert said() == ["No entry would be gone."]
    assert said(1) == ["1 entry would be gone:", "– Mon 1 June 2026: an act"]
    assert said(2, 3)[0] == "2 entries would be gone:"
    assert said(2, 3)[-1] == "3 entries would be there again."
    assert len(said(20)) == 21
    assert said(21)[-1] == "– and 1 earlier one."
    assert len(said(23)) == 22
    assert said(23)[-1] == "– and 3 earlier ones."
    assert said(known=False) == ["Which entries would be gone cannot be known: the book is damaged."]


@pytest.mark.parametrize(
    ("why", "said"),
    [("", "as it was before the first entry of that day"), ("import", "before a spreadsheet was taken in"),
     ("schema", "before this program brought the book up to date"), ("putback", "before an older copy was put back"), ("odd", "odd")],
)  # fmt: skip
def test_of_which_day_a_copy_is_and_why(why, said):
    assert copy_words(BookCopy(Path("x"), dt.date(2026, 6, 2), why, 1)) == f"Tue 2 June 2026, {said}"


def test_where_a_book_is_and_how_large():
    assert where_it_is(Path("/a/book"), 45_300, 1, "2026-06-02T08:00:00", 2_140_000, 0) == [
        "It is the file /a/book: 45 kB, 1 entry since Tue 2 June 2026.",
        "Its copies take 2.1 MB, photos nothing.",
    ]
    assert where_it_is(Path("b"), 0, 0, "", 0, 812)[0] == "It is the file b: nothing, no entries."
    assert [say_size(n) for n in (1, 999_499, 999_999, 1_000_000)] == ["1 kB", "999 kB", "1000 kB", "1.0 MB"]
    assert act_words(act(4, "4 hours on red")) == "Thu 4 June 2026: 4 hours on red"


def test_where_an_owner_was_forgotten_and_where_he_may_still_stand():
    book, copy, other = Path("book"), Path("c1"), Path("c2")
    done = [
        Forgotten("a", (book, copy), (Path("z.csv"),)),
        Forgotten("b", (book, copy, other), (Path("y.csv"), Path("z.csv"))),
    ]

    assert forgotten_lines(done) == [
        "Forgotten, in the book and in 2 copies of it.",
        "They may still stand in these, which stay as they are. Look into them yourself:", "– y.csv", "– z.csv",
    ]  # fmt: skip
    assert forgotten_lines([Forgotten("a", (book,), ())]) == [
        "Forgotten, in the book and in no copies of it."
    ]
    assert forget_lines(["red", "tan"])[0] == "Name and how to reach them are blanked on: red, tan."


def test_few_new_rows_are_said_one_by_one_however_many_were_changed():
    changed = [RowInHistory("boards", n, {"board": f"b{n}", "length": "9'4"}, {"board": f"b{n}"}) for n in range(3)]  # fmt: skip

    said = undone(*rows("notes", 2), *changed)
    assert said[:2] == ["This note goes: b0.", "This note goes: gun."]
    assert len(said) == 5

"""What is to become of each row that comes in: which row of the book it is, what differs, and what keeps it out."""

import pytest
from making.books import NOON, SETTINGS, book, rows_of, taken_in

from estimator.log.exchange.export import export_log
from estimator.log.exchange.importing import ImportChoices, import_files
from estimator.log.exchange.plan import RowIn, board_of
from estimator.log.exchange.questions import gone_question
from estimator.words.errors import UsageError
from estimator.words.problems import Place

BOARDS = [{"board": "A", "called": "red", "asked": "2026-04-01"}, {"board": "B", "called": "tan"}]
HOURS = [{"board": "A", "date": "2026-05-04", "stage": "strip", "hours": "4.5"}]


@pytest.fixture
def store(tmp_path):
    return book(tmp_path / "shop", boards=BOARDS, hours=HOURS)


def take(store, tmp_path, text, name="boards.csv", **how):
    return taken_in(store, tmp_path, text, name, **how)


@pytest.mark.parametrize(
    ("text", "added"),
    [
        ("board,called\n,red\n", []),  # without a number a board goes by its name
        ("called,asked\nred,2026-04-01\n", []),
        ("called,asked\nblue,2025-04-01\n", ["25-001"]),
        ("called,started,asked\nblue,2025-04-01,2024-12-30\n", ["24-001"]),
        ("board,called\n,blue\n", ["26-001"]),  # of the year in which it comes in
        ("board,called\n,blue\n,green\n", ["26-001", "26-002"]),
        ("board,called\n,\nC,blue\n", ["C"]),
        ("board,called\nboard,called\nC,blue\n", ["C"]),  # the names of the columns once more
        ("called,board\ncalled,C\n", ["C"]),  # one that is called so
    ],
)
def test_which_rows_are_new_boards_and_their_numbers(store, tmp_path, text, added):
    done = take(store, tmp_path, text)
    assert done.problems == ()
    assert [row["board"] for row in rows_of(store, "boards")] == ["A", "B", *added]
    names = {row["board"]: row.get("called") or row["board"] for row in rows_of(store, "boards")}
    assert done.boards == tuple(names[board] for board in added)


def test_of_two_boards_of_one_name_in_the_book_none_is_taken_for_that_of_the_file(tmp_path):
    store = book(tmp_path / "shop", boards=[{"board": "A", "called": "red"}, {"board": "B", "called": "red"}])
    done = take(store, tmp_path, "called,asked\nred,2026-04-01\n")
    assert dict(done.added) == {"boards": 1}
    assert "board A is called that too" in done.problems[0].wrong


def test_a_number_in_small_letters_is_that_of_the_board_and_is_to_be_written_as_it_was(store, tmp_path):
    (problem,) = take(store, tmp_path, "board,called\na,red\n").problems
    assert problem.wrong == "this is board A in the book, and a board keeps its number"
    done = take(store, tmp_path, "board,called\na,ruby\nB,plum\n", newer=True, good_rows=True)
    assert (dict(done.changed), done.left_out) == ({"boards": 1}, 1)
    assert [row["called"] for row in rows_of(store, "boards")] == ["red", "plum"]


def test_a_number_that_stands_twice_in_a_file_is_a_problem_of_the_second_row(store, tmp_path):
    done = take(store, tmp_path, "board,called\nC,blue\nc,green\n")
    assert (done.written, [p.where for p in done.problems]) == (False, ["boards.csv, line 3, board"])
    assert "this number stands in two rows" in done.problems[0].wrong
    assert dict(take(store, tmp_path, "board,called\nC,blue\nc,green\n", good_rows=True).added) == {
        "boards": 1
    }


def test_a_board_without_a_name_goes_by_its_number_and_columns_of_nothing_are_none(store, tmp_path):
    done = take(store, tmp_path, "board,Zeal,Akin\nC,,so\n", "boards.csv")
    assert done.written
    assert done.boards == ("C",)
    assert "Zeal" not in next(one for one in store.read()[0].sheets if one.sheet == "boards").rows[0][1]


def test_what_changes_is_said_by_the_board_the_day_and_both_readings(store, tmp_path):
    done = take(
        store, tmp_path, "board,date,stage,hours,note\nA,2026-05-04,strip,5,slow\n", "hours.csv", newer=True
    )
    (change,) = done.changes
    assert (change.row, change.sheet) == ("A 2026-05-04", "hours")
    assert (dict(change.before), dict(change.after)) == (
        {"hours": "4.5", "note": ""}, {"hours": "5", "note": "slow"},
    )  # fmt: skip


def test_what_was_wrong_in_the_book_before_keeps_no_other_row_out(tmp_path):
    bad = [*HOURS, {"board": "A", "date": "2026-05-05", "stage": "strip", "hours": "many"}]
    store = book(tmp_path / "shop", boards=BOARDS, hours=bad)
    done = take(store, tmp_path, "board,date,stage,hours\nB,2026-05-06,gloss,1\n", "hours.csv")
    assert (done.problems, done.written) == ((), True)


def test_of_corrected_rows_only_the_good_ones_are_taken(store, tmp_path):
    text = "board,called,asked\nA,ruby,2026-04-02\nB,tan,soon\n"
    done = take(store, tmp_path, text, newer=True)
    assert (done.written, len(done.problems)) == (False, 1)
    done = take(store, tmp_path, text, newer=True, good_rows=True)
    assert (done.written, dict(done.changed), done.left_out) == (True, {"boards": 2}, 0)  # but for that day
    assert rows_of(store, "boards")[0]["called"] == "ruby"


def test_a_row_that_is_the_book_s_with_less_in_it_is_no_other(tmp_path):
    store = book(
        tmp_path / "shop", boards=BOARDS,
        hours=[*HOURS, {**HOURS[0], "note": "deck"}, {**HOURS[0], "note": "bottom"}],
    )  # fmt: skip
    text = "board,date,stage,hours\n" + "A,2026-05-04,strip,4.5\n" * 4
    done = take(store, tmp_path, text, "hours.csv")
    assert (dict(done.skipped), dict(done.added)) == ({"hours": 3}, {"hours": 1})


def test_time_on_the_shop_is_compared_day_by_day(tmp_path):
    shop = {"board": "shop", "date": "2026-05-04", "hours": "2", "stage": "Tidy"}
    store = book(tmp_path / "shop", boards=BOARDS, hours=[*HOURS, shop])
    text = "board,date,stage,hours\nshop,2026-05-03,Tidy,1\nshop,2026-05-05,Tidy,1\n"
    done = take(store, tmp_path, text, "hours.csv")
    assert (done.problems, dict(done.added)) == ((), {"hours": 2})
    assert board_of("hours", shop) == "shop 2026-05-04"
    assert board_of("hours", HOURS[0]) == "A"
    assert board_of("money", {"board": "x", "boards": "A; B", "date": "2026-05-04"}) == "A; B"
    assert board_of("money", {"date": "2026-05-04"}) == " 2026-05-04"


def test_the_day_of_a_wait_is_that_from_which_it_goes():
    wait = RowIn("waits", Place("x"), {"from": "2026-05-04", "date": "2026-01-01"}, [], 0)
    assert wait.day == "2026-05-04"
    assert RowIn("hours", Place("x"), {"from": "2026-05-04", "date": "2026-01-01"}, [], 0).day == "2026-01-01"


def test_what_a_row_says_and_what_of_it_differs():
    row = RowIn(
        "boards",
        Place("x"),
        {"board": "A", "called": ""},
        [],
        0,
        was={"board": "A", "called": "red", "note": "n"},
    )
    assert (row.said, row.differs) == ({"board": "A"}, {})
    assert row.whole == {"board": "A", "called": "red", "note": "n"}
    row.mark = "2-abc"
    assert row.differs == {"called": ""}
    assert row.whole == {"board": "A", "called": "", "note": "n"}


def test_a_file_of_ours_puts_no_old_row_back_and_none_of_another_book(store, tmp_path):
    export_log(store, tmp_path / "out")
    other = book(tmp_path / "other", boards=[{"board": "A", "called": "plum"}])
    done = import_files(other.folder, [tmp_path / "out" / "boards.csv"], NOON, ImportChoices())
    assert (done.written, len(done.problems)) == (
        False,
        2,
    )  # its marks are of another book: a board by its number
    (sheet,) = (one for one in store.read()[0].sheets if one.sheet == "hours")
    with store.act("less", NOON) as act:
        act.strike(Place("book.sqlite", "hours", sheet.rows[1][0]), "wrong")
    again = import_files(store.folder, [tmp_path / "out" / "hours.csv"], NOON, ImportChoices())
    assert (again.written, dict(again.skipped)) == (False, {"hours": 1})


def test_a_book_that_changes_while_one_answers_is_not_written_over(store, tmp_path, monkeypatch):
    from estimator.log.exchange import importing

    kept = importing._kept_files

    def meanwhile(*given):
        with store.act("more", NOON) as act:
            act.append("hours", {"board": "B", "date": "2026-05-30", "stage": "gloss", "hours": "1"})
        return kept(*given)

    monkeypatch.setattr(importing, "_kept_files", meanwhile)
    with pytest.raises(UsageError, match="changed meanwhile"):
        take(store, tmp_path, "board,called\nC,blue\n")
    assert [row["board"] for row in rows_of(store, "boards")] == ["A", "B"]


def test_files_of_a_folder_are_kept_one_by_one_as_they_came(store, tmp_path):
    (tmp_path / "in").mkdir()
    for name, text in {
        "boards.csv": "board\nC\n",
        "hours.csv": "board,date,stage,hours\nC,2026-05-04,strip,1\n",
    }.items():
        (tmp_path / "in" / name).write_text(text, "utf-8")
    (tmp_path / "in" / "deeper").mkdir()
    done = import_files(store.folder, [tmp_path / "in"], NOON, ImportChoices())
    assert [path.name for path in done.kept] == [
        "import-2026-06-04-120000-1-boards.csv", "import-2026-06-04-120000-2-hours.csv",
    ]  # fmt: skip
    assert store.acts()[0].sentence == "2 rows from in"


def test_a_book_is_begun_by_files_only_where_there_is_no_log_yet(tmp_path):
    (tmp_path / "shop").mkdir()
    (tmp_path / "shop" / "workshop.toml").write_text(SETTINGS, "utf-8")
    (tmp_path / "shop" / "boards.csv").write_text("board,called\n", "utf-8")  # names and no row
    (tmp_path / "boards.csv").write_text("board,called\nC,blue\n", "utf-8")
    tried = import_files(tmp_path / "shop", [tmp_path / "boards.csv"], NOON, ImportChoices(only_try=True))
    assert (tried.written, tried.begun) == (False, False)
    done = import_files(tmp_path / "shop", [tmp_path / "boards.csv"], NOON, ImportChoices())
    assert (done.written, done.begun) == (True, True)


@pytest.mark.parametrize(
    ("number", "asks", "says"),
    [
        (1, "1 row of hours that the book has is not in a.csv, b.csv any more. Did you take it out on purpose?",
         ["no, it stays in the book", "yes, strike it out in the book too"]),
        (3, "3 rows of hours that the book has are not in a.csv, b.csv any more. Did you take them out on purpose?",
         ["no, they stay in the book", "yes, strike them out in the book too"]),
    ],
)  # fmt: skip
def test_rows_that_are_gone_are_asked_about_and_stay_unless_one_says_so(number, asks, says):
    question = gone_question("hours", number, ["a.csv", "b.csv"])
    assert (question.asks, [choice.says for choice in question.choices]) == (asks, says)
    assert [choice.answer for choice in question.choices] == ["keep", "strike"]
    assert (question.likely, question.needed, question.key) == ("keep", False, "gone:hours")
    assert question.takes("strike")
    assert not question.takes("hours")


def test_a_question_is_a_problem_where_it_stands_with_what_stands_there():
    from estimator.log.exchange.questions import ImportQuestion

    of = {
        "place": Place("a.csv", row=2),
        "asks": "?",
        "choices": (),
        "samples": ("3/4/26", "x"),
        "header": "In",
    }
    dates = ImportQuestion("dates:a", "dates", **of).problem
    column = ImportQuestion("column:a:In", "column", **of).problem
    assert (dates.found, dates.wrong, dates.where) == ("3/4/26", "that can be two days", "a.csv, line 2")
    assert (column.found, column.wrong) == ("", "it is not clear which of our columns “In” is")
    empty = ImportQuestion("blank:a", "blank", **{**of, "samples": ()}).problem
    assert (empty.found, empty.wrong) == ("", "it is not clear what a blank means in “In”")


def test_a_corrected_row_that_cannot_be_read_leaves_the_book_s_own(store, tmp_path):
    text = "board,date,stage,hours\nA,2026-05-04,strip,x\nB,2026-05-05,gloss,1\n"
    done = take(store, tmp_path, text, "hours.csv", newer=True, good_rows=True)
    assert (dict(done.changed), dict(done.added), done.left_out) == ({}, {"hours": 1}, 1)
    assert rows_of(store, "hours")[0]["hours"] == "4.5"

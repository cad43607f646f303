"""What becomes of rows that stand in a book already: by their marks, by their day, and by what only the book has of them."""

import pytest
from making.books import NOON, book, rows_of, taken_in

from estimator.log.exchange.export import export_log
from estimator.words.problems import Place

BOARDS = [
    {"board": "A", "called": "red", "asked": "2026-04-01", "note": "old glass"},
    {"board": "B", "called": "tan"},
]
HOURS = [
    {"board": "A", "date": "2026-05-04", "stage": "strip", "hours": "4.5", "note": "deck"},
    {"board": "A", "date": "2026-05-05", "stage": "strip", "hours": "2"},
    {"board": "B", "date": "2026-05-05", "stage": "gloss", "hours": "1"},
]


@pytest.fixture
def store(tmp_path):
    return book(tmp_path / "shop", boards=BOARDS, hours=HOURS)


def take(store, tmp_path, text, name="hours.csv", **how):
    return taken_in(store, tmp_path, text, name, **how)


def test_a_row_that_differs_is_not_taken_unless_the_file_is_newer(store, tmp_path):
    text = "board,called,asked\nA,red,2026-04-02\nC,blue,2026-05-01\n"
    done = take(store, tmp_path, text, "boards.csv")
    assert (done.written, done.left_out) == (False, 1)
    (problem,) = done.problems
    assert (problem.where, problem.found) == ("boards.csv, line 2, asked", "2026-04-02")
    assert problem.wrong == "the book says “2026-04-01” here, and the file “2026-04-02”"
    done = take(store, tmp_path, text, "boards.csv", good_rows=True)
    assert (done.written, dict(done.added), dict(done.changed), done.left_out) == (True, {"boards": 1}, {}, 1)
    assert [row.get("asked") for row in rows_of(store, "boards")] == ["2026-04-01", None, "2026-05-01"]
    done = take(store, tmp_path, text, "boards.csv", newer=True)
    assert (dict(done.changed), dict(done.skipped)) == ({"boards": 1}, {"boards": 1})
    assert rows_of(store, "boards")[0] == {**BOARDS[0], "asked": "2026-04-02"}


@pytest.mark.parametrize("whose", ["owner", "reach"])
def test_an_owner_is_never_said_where_file_and_book_differ(tmp_path, whose):
    store = book(tmp_path / "shop", boards=[{"board": "A", whose: "Ines"}])
    (problem,) = take(store, tmp_path, f"board,{whose}\nA,Odo\n", "boards.csv").problems
    assert problem.wrong == "the book says otherwise here"
    done = take(store, tmp_path, f"board,{whose}\nA,Odo\n", "boards.csv", newer=True)
    assert [(dict(one.before), dict(one.after)) for one in done.changes] == [({whose: "…"}, {whose: "…"})]
    assert rows_of(store, "boards")[0][whose] == "Odo"


def test_of_changed_rows_those_that_cannot_be_read_are_left_out_and_the_rest_taken(store, tmp_path):
    text = "board,date,stage,hours\nA,2026-05-04,strip,many\nA,2026-05-05,strip,3\n"
    assert not take(store, tmp_path, text, newer=True).written
    done = take(store, tmp_path, text, newer=True, good_rows=True)
    assert (done.written, dict(done.changed), done.left_out) == (True, {"hours": 1}, 1)
    assert [row["hours"] for row in rows_of(store, "hours")] == ["4.5", "3", "1"]
    assert [(problem.where, problem.found) for problem in done.problems] == [
        ("hours.csv, line 2, hours", "many")
    ]


def test_of_added_rows_those_that_cannot_be_read_are_left_out_and_the_rest_taken(store, tmp_path):
    text = "board,date,stage,hours\nB,2026-05-06,gloss,many\nB,2026-05-07,gloss,3\n"
    done = take(store, tmp_path, text, good_rows=True)
    assert (dict(done.added), done.left_out) == ({"hours": 1}, 1)
    assert [(row["date"], row["hours"]) for row in rows_of(store, "hours")][3:] == [("2026-05-07", "3")]


def told_book(tmp_path):
    told = [
        {"board": "A", "date": "2026-05-04", "hours_low": "40"},
        {"board": "B", "date": "2026-05-05", "hours_low": "9"},
    ]
    store = book(tmp_path / "shop", boards=BOARDS, told=told)
    export_log(store, tmp_path / "out")
    return store, (tmp_path / "out" / "told.csv").read_text("utf-8-sig")


def test_of_tellings_that_are_corrected_those_that_cannot_be_read_stay_as_they_were(tmp_path):
    store, text = told_book(tmp_path)
    text = text.replace("2026-05-04", "soon").replace(",9,", ",8,")
    done = take(store, tmp_path, text, "told.csv", newer=True, good_rows=True)
    assert (done.written, dict(done.changed), done.left_out) == (True, {"told": 1}, 1)
    said = [(row["board"], row["hours_low"], row.get("struck_out", "")) for row in rows_of(store, "told")]
    assert said == [("A", "40", ""), ("B", "9", "corrected in told.csv"), ("B", "8", "")]


def test_a_telling_that_cannot_be_read_keeps_all_out_where_good_rows_are_not_asked_for(tmp_path):
    store, text = told_book(tmp_path)
    done = take(store, tmp_path, text.replace(",40,", ",many,"), "told.csv", newer=True)
    assert (done.written, [problem.found for problem in done.problems]) == (False, ["many"])
    assert [row["hours_low"] for row in rows_of(store, "told")] == ["40", "9"]


def test_a_corrected_telling_is_read_with_the_rest_of_the_book_and_not_with_what_it_was(tmp_path):
    """One that says only its board, low end and mark is whole with the day that the book has of it."""
    store, text = told_book(tmp_path)
    header, first, *_ = text.splitlines()
    cells = dict(zip(header.split(","), first.split(","), strict=True))
    few = {name: cells[name] for name in ("board", "hours_low", "book_row")} | {"hours_low": "30"}
    done = take(store, tmp_path, f"{','.join(few)}\n{','.join(few.values())}\n", "told.csv", newer=True)
    assert (done.problems, dict(done.changed)) == ((), {"told": 1})
    assert rows_of(store, "told")[-1] == {"board": "A", "date": "2026-05-04", "hours_low": "30"}


def test_what_only_the_book_has_of_a_row_is_read_with_it(store, tmp_path):
    """The file says neither stage nor day of it: the row is whole with those of the book."""
    export_log(store, tmp_path / "out")
    header, first, *_ = (tmp_path / "out" / "hours.csv").read_text("utf-8-sig").splitlines()
    names, cells = header.split(","), first.split(",")
    kept = [at for at, name in enumerate(names) if name in {"board", "hours", "book_row"}]
    few = {names[at]: cells[at] for at in kept} | {"hours": "5"}
    done = take(store, tmp_path, f"{','.join(few)}\n{','.join(few.values())}\n", newer=True)
    assert (done.problems, done.written, dict(done.changed)) == ((), True, {"hours": 1})
    assert rows_of(store, "hours")[0] == {**HOURS[0], "hours": "5"}


def test_an_empty_cell_of_a_file_of_strangers_takes_nothing_out_of_the_book(store, tmp_path):
    done = take(store, tmp_path, "board,date,stage,hours,note\nA,2026-05-04,strip,5,\n", newer=True)
    assert dict(done.changed) == {"hours": 1}
    assert rows_of(store, "hours")[0] == {**HOURS[0], "hours": "5"}


def test_an_empty_cell_of_a_row_of_ours_is_emptied_in_the_book(store, tmp_path):
    export_log(store, tmp_path / "out")
    text = (tmp_path / "out" / "hours.csv").read_text("utf-8-sig")
    assert text.count("deck") == 1
    done = take(store, tmp_path, text.replace("deck", ""), newer=True)
    assert (dict(done.changed), dict(done.skipped)) == ({"hours": 1}, {"hours": 2})
    assert "note" not in rows_of(store, "hours")[0]


def test_where_the_file_is_newer_a_row_on_a_day_that_the_book_has_not_is_one_more(store, tmp_path):
    done = take(
        store, tmp_path, "board,date,stage,hours\nA,2026-05-04,strip,5\nA,2026-05-06,strip,1\n", newer=True
    )
    assert (dict(done.changed), dict(done.added)) == ({"hours": 1}, {"hours": 1})
    assert [row["hours"] for row in rows_of(store, "hours")] == ["5", "2", "1", "1"]


def test_rows_of_one_day_are_paired_by_their_stage(tmp_path):
    day = {"board": "A", "date": "2026-05-04"}
    store = book(
        tmp_path / "shop",
        boards=BOARDS,
        hours=[{**day, "stage": "strip", "hours": "4"}, {**day, "stage": "gloss", "hours": "1"}],
    )
    text = "board,date,stage,hours\nA,2026-05-04,gloss,1.5\nA,2026-05-04,strip,3\n"
    done = take(store, tmp_path, text, newer=True)
    assert (done.problems, dict(done.changed), dict(done.added)) == ((), {"hours": 2}, {})
    assert [(row["stage"], row["hours"]) for row in rows_of(store, "hours")] == [
        ("strip", "3"),
        ("gloss", "1.5"),
    ]


def test_the_one_row_that_is_left_of_a_day_is_that_of_the_book_whatever_its_stage(store, tmp_path):
    done = take(store, tmp_path, "board,date,stage,hours\nA,2026-05-04,gloss,4.5\n", newer=True)
    assert (done.problems, dict(done.changed), dict(done.added)) == ((), {"hours": 1}, {})
    assert rows_of(store, "hours")[0] == {**HOURS[0], "stage": "gloss"}


def test_two_rows_that_may_both_be_the_one_of_the_book_are_a_problem_and_left_out(store, tmp_path):
    text = "board,date,stage,hours\nA,2026-05-04,strip,5\nA,2026-05-04,strip,6\nB,2026-05-06,gloss,2\n"
    done = take(store, tmp_path, text, newer=True, good_rows=True)
    (problem,) = done.problems
    assert (problem.where, problem.cure) == (
        "hours.csv, line 2",
        "Correct it in a spreadsheet that was written out of the book: its marks tell rows apart.",
    )
    assert problem.wrong == (
        "board A: only in the book “A 2026-05-04 4.5 strip”, only in the file “A 2026-05-04 5 strip”"
    )
    assert (done.left_out, dict(done.added), dict(done.changed)) == (2, {"hours": 1}, {})


def test_a_row_that_may_be_one_of_the_book_is_a_problem_where_the_file_is_no_newer(store, tmp_path):
    done = take(store, tmp_path, "board,date,stage,hours\nA,2026-05-04,strip,5\n")
    (problem,) = done.problems
    assert problem.cure == "Correct the one or the other, or let the file win."
    assert (done.written, done.left_out) == (False, 1)


@pytest.mark.parametrize(
    ("days", "added"),
    [
        (("2026-05-02", "2026-05-03"), 2),
        (("2026-05-06", "2026-05-07"), 2),
        (("2026-05-03", "2026-05-04"), 0),
        (("2026-05-05", "2026-05-06"), 0),
    ],
)
def test_rows_of_the_book_on_other_days_than_those_of_the_file_say_nothing_against_it(
    store, tmp_path, days, added
):
    """From its first day to its last, both among them."""
    done = take(store, tmp_path, "board,date,stage,hours\n" + "".join(f"A,{day},gloss,3\n" for day in days))
    assert (sum(done.added.values()), bool(done.problems)) == (added, added == 0)


def test_rows_come_in_as_they_stand_in_their_file(store, tmp_path):
    rows = ["A,2026-06-01,strip,1", "B,2026-06-02,gloss,2", "A,2026-06-03,strip,3"]
    take(store, tmp_path, "board,date,stage,hours\n" + "\n".join(rows) + "\n")
    assert [(row["board"], row["hours"]) for row in rows_of(store, "hours")][3:] == [
        ("A", "1"),
        ("B", "2"),
        ("A", "3"),
    ]


def test_of_several_rows_that_differ_the_first_of_both_are_said(store, tmp_path):
    text = "board,date,stage,hours\nA,2026-05-04,strip,5\nA,2026-05-05,gloss,6\n"
    (problem,) = take(store, tmp_path, text).problems
    assert problem.wrong == (
        "board A: only in the book “A 2026-05-04 4.5 strip”, only in the file “A 2026-05-04 5 strip”"
    )


def test_a_file_without_our_marks_says_nothing_of_rows_that_it_has_not(store, tmp_path):
    done = take(store, tmp_path, "board,called\nB,plum\n", "boards.csv", newer=True)
    assert (dict(done.gone), done.questions, dict(done.changed)) == ({}, (), {"boards": 1})


def test_a_telling_that_was_struck_out_is_not_missed_in_a_file(tmp_path):
    store, text = told_book(tmp_path)
    (sheet,) = (one for one in store.read()[0].sheets if one.sheet == "told")
    with store.act("a slip", NOON) as act:
        act.strike(Place("book.sqlite", "told", sheet.rows[1][0]), "said of another board")
    done = take(store, tmp_path, text, "told.csv", newer=True)  # nor told again of one that has it as it was
    assert (done.written, dict(done.skipped)) == (False, {"told": 2})
    header, _, second = text.splitlines()
    done = take(store, tmp_path, f"{header}\n{second}\n", "told.csv", newer=True)
    assert (dict(done.gone), done.questions, done.problems) == ({}, (), ())


def test_a_change_of_money_is_said_by_its_boards_and_its_day(tmp_path):
    bought = {"date": "2026-05-04", "out": "20.00", "what": "resin", "boards": "A; B"}
    store = book(tmp_path / "shop", boards=BOARDS, money=[bought])
    done = take(
        store, tmp_path, "date,in,out,what,boards\n2026-05-04,,25,resin,A; B\n", "money.csv", newer=True
    )
    assert [(one.row, dict(one.before), dict(one.after)) for one in done.changes] == [
        ("A; B 2026-05-04", {"out": "20.00"}, {"out": "25.00"})
    ]


def test_of_rows_that_the_file_cannot_tell_apart_the_first_of_the_book_is_taken_for_the_first(tmp_path):
    store = book(tmp_path / "shop", boards=BOARDS, hours=[HOURS[0], {**HOURS[0], "note": "bottom"}])
    text = "board,date,stage,hours\nA,2026-05-04,strip,4.5\nA,2026-05-04,strip,5\n"
    done = take(store, tmp_path, text, newer=True)
    assert (dict(done.skipped), dict(done.changed), dict(done.added)) == ({"hours": 1}, {"hours": 1}, {})
    assert [(row["hours"], row["note"]) for row in rows_of(store, "hours")] == [
        ("4.5", "deck"),
        ("5", "bottom"),
    ]


def test_a_row_of_the_book_stands_for_one_row_of_the_file_that_says_less(store, tmp_path):
    text = "board,date,stage,hours,note\n" + "A,2026-05-04,strip,4.5,\n" * 2
    done = take(store, tmp_path, text)
    assert (done.problems, dict(done.skipped), dict(done.added)) == ((), {"hours": 1}, {"hours": 1})
    assert [row.get("note") for row in rows_of(store, "hours") if row["date"] == "2026-05-04"] == [
        "deck",
        None,
    ]


def test_a_row_beside_those_with_marks_is_one_more_though_it_says_the_same(store, tmp_path):
    export_log(store, tmp_path / "out")
    header, *rows = (tmp_path / "out" / "hours.csv").read_text("utf-8-sig").splitlines()
    again = rows[0].rpartition(",")[0] + ","
    done = take(store, tmp_path, "\n".join([header, *rows, again]) + "\n")
    assert (done.problems, dict(done.skipped), dict(done.added)) == ((), {"hours": 3}, {"hours": 1})


def test_a_corrected_row_with_an_empty_cell_has_there_what_the_book_has(store, tmp_path):
    done = take(store, tmp_path, "board,date,stage,hours\nA,2026-05-05,,3\n", newer=True)
    assert (done.problems, dict(done.changed)) == ((), {"hours": 1})
    assert rows_of(store, "hours")[1] == {**HOURS[1], "hours": "3"}


def test_what_only_the_file_says_is_said_against_nothing_in_the_book(store, tmp_path):
    (problem,) = take(store, tmp_path, "board,called,asked\nB,tan,2026-04-02\n", "boards.csv").problems
    assert (problem.where, problem.wrong) == (
        "boards.csv, line 2, asked",
        "the book says nothing here, and the file “2026-04-02”",
    )


def test_rows_of_money_that_differ_are_said_without_a_board(tmp_path):
    bought = {"date": "2026-05-04", "out": "20.00", "what": "resin", "boards": "A; B"}
    store = book(tmp_path / "shop", boards=BOARDS, money=[bought])
    (problem,) = take(
        store, tmp_path, "date,in,out,what,boards\n2026-05-04,,25,resin,A; B\n", "money.csv"
    ).problems
    assert problem.wrong == (
        "these rows: only in the book “A; B 2026-05-04 20.00 resin”, "
        "only in the file “A; B 2026-05-04 25.00 resin”"
    )


def test_a_telling_that_was_corrected_and_struck_out_in_one_file_is_told_again_and_struck_out(tmp_path):
    store, text = told_book(tmp_path)
    header, *rows = text.splitlines()
    names = header.split(",")
    if "struck_out" not in names:
        names = [*names[:-1], "struck_out", "book_row"]
        rows = [row.rpartition(",")[0] + ",," + row.rpartition(",")[2] for row in rows]
    cells = rows[0].split(",")
    cells[names.index("hours_low")], cells[names.index("struck_out")] = "30", "a slip"
    done = take(
        store,
        tmp_path,
        "\n".join([",".join(names), ",".join(cells), *rows[1:]]) + "\n",
        "told.csv",
        newer=True,
    )
    assert (done.problems, dict(done.changed)) == ((), {"told": 1})
    said = [(row["board"], row["hours_low"], row.get("struck_out", "")) for row in rows_of(store, "told")]
    assert said == [("A", "40", "corrected in told.csv"), ("B", "9", ""), ("A", "30", "a slip")]

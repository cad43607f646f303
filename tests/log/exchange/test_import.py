"""What comes into a book: all or nothing, what is there is skipped, what differs is a problem."""

import csv
import datetime as dt
import time

import pytest
import xlsxwriter
from making.books import NOON, SETTINGS, book

from estimator.log.book.store import BookStore
from estimator.log.exchange.export import export_log
from estimator.log.exchange.importing import ImportChoices, import_files, import_folder
from estimator.words.errors import UsageError
from estimator.words.settings.reader import parse_settings

LATER = NOON + dt.timedelta(days=1)
BOARDS = [{"board": "A", "called": "red", "owner": "Ann", "Zeal": "high"}, {"board": "B", "called": "tan"}]
HOURS = [
    {"board": "A", "date": "2026-05-04", "stage": "strip", "hours": "4.5"},
    {"board": "A", "date": "2026-05-05", "stage": "gloss", "hours": "2"},
    {"board": "B", "date": "2026-05-05", "stage": "strip", "hours": "3"},
]


def content(store):
    """The rows by sheet, as dictionaries of what is filled, without their numbers; and the columns."""
    out = {}
    for sheet in store.read()[0].sheets:
        header = sheet.rows[0][1]
        rows = [{n: c for n, c in zip(header, cells, strict=True) if c} for _, cells in sheet.rows[1:]]
        out[sheet.sheet] = (header, rows)
    return out


@pytest.fixture
def store(tmp_path):
    return book(tmp_path / "shop", boards=BOARDS, hours=HOURS)


def take(folder, *files, only_try=False, newer=False, good_rows=False):
    return import_files(folder, files, LATER, ImportChoices(only_try, newer, good_rows))


def out(store, tmp_path):
    export_log(store, tmp_path / "out", with_owners=True)
    return tmp_path / "out"


def edit(folder, sheet, old, new):
    path = folder / f"{sheet}.csv"
    text = path.read_text("utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), "utf-8")


def test_the_folders_own_files_go_into_a_new_book_and_stay(tmp_path):
    (tmp_path / "workshop.toml").write_text(SETTINGS, "utf-8")
    (tmp_path / "boards.csv").write_text("board,called,owner,Zeal\nA,red,Ann,high\nB,tan,,\n", "utf-8")
    (tmp_path / "hours.csv").write_text("board,date,stage,hours\nred,4.5.2026,Strip it,4½\n", "utf-8")
    done = import_folder(tmp_path, NOON, ImportChoices())
    assert (done.written, done.begun, dict(done.added)) == (True, True, {"boards": 2, "hours": 1})
    assert (tmp_path / "boards.csv").exists()
    rows = content(BookStore(tmp_path))
    assert rows["boards"][1] == BOARDS
    assert rows["hours"][1] == HOURS[:1]
    act = BookStore(tmp_path).acts()[0]
    assert (act.origin, act.sentence) == ("import", "3 rows from boards.csv, hours.csv")
    with pytest.raises(UsageError, match="there already"):
        import_folder(tmp_path, NOON, ImportChoices())


def test_a_file_of_the_folder_whose_columns_have_no_names_is_a_problem_and_nothing_is_written(tmp_path):
    (tmp_path / "workshop.toml").write_text(SETTINGS, "utf-8")
    (tmp_path / "boards.csv").write_text("board,called\nA,red\n", "utf-8")
    (tmp_path / "hours.csv").write_text("1,2,3\n4,5,6\n", "utf-8")
    done = import_folder(tmp_path, NOON, ImportChoices())
    assert [problem.wrong for problem in done.problems] == ["no row at its head names the columns"]
    assert not done.written
    assert not (tmp_path / "book.sqlite").exists()


def test_the_same_file_changes_nothing(store, tmp_path):
    before = store.revision()
    done = take(store.folder, out(store, tmp_path))
    assert (done.written, done.problems, dict(done.skipped)) == (False, (), {"boards": 2, "hours": 3})
    assert store.revision() == before


def test_a_corrected_row_is_a_problem_with_both_readings_unless_the_file_wins(store, tmp_path):
    files = out(store, tmp_path)
    edit(files, "hours", "strip,4.5", "strip,5.5")
    before = store.revision()
    done = take(store.folder, files)
    [problem] = done.problems
    assert problem.said() == 'hours.csv, line 2, hours: "5.5": the book says “4.5” here, and the file “5.5”.'
    assert (done.written, store.revision()) == (False, before)
    done = take(store.folder, files, newer=True)
    assert (done.written, dict(done.changed), dict(done.added)) == (True, {"hours": 1}, {})
    assert content(store)["hours"][1] == [{**HOURS[0], "hours": "5.5"}, *HOURS[1:]]
    assert store.acts()[0].origin == "import"


def test_nothing_is_written_where_one_row_is_wrong_but_the_good_rows_when_asked_for(store, tmp_path):
    files = tmp_path / "hours.csv"
    files.write_text(
        "board,date,stage,hours\nB,2026-05-05,strip,3\nB,2026-05-06,gloss,1\nB,2026-05-07,gloss,x\n"
    )
    done = take(store.folder, files)
    assert (done.written, len(done.problems), done.problems[0].where) == (
        False,
        1,
        "hours.csv, line 4, hours",
    )
    assert take(store.folder, files, only_try=True, good_rows=True).written is False
    assert len(content(store)["hours"][1]) == 3
    done = take(store.folder, files, good_rows=True)
    assert (done.written, dict(done.added), done.left_out) == (True, {"hours": 1}, 1)
    assert dict(done.skipped) == {"hours": 1}
    assert content(store)["hours"][1][-1]["date"] == "2026-05-06"


def test_rows_without_a_mark_compare_as_many_within_their_board(store, tmp_path):
    file = tmp_path / "hours.csv"
    head = "board,date,stage,hours\n"
    twice = "B,2026-05-05,strip,3\nB,2026-05-05,strip,3\n"
    file.write_text(head + twice)
    assert dict(take(store.folder, file).added) == {"hours": 1}
    done = take(store.folder, file)
    assert (done.written, dict(done.skipped)) == (False, {"hours": 2})
    file.write_text(head + "B,2026-05-05,strip,4\n")
    done = take(store.folder, file)
    assert (done.written, len(done.problems)) == (False, 1)
    assert (
        "only in the book “B 2026-05-05 3 strip”, only in the file “B 2026-05-05 4 strip”"
        in done.problems[0].wrong
    )
    done = take(store.folder, file, newer=True)  # and which of the two it is nobody can tell
    assert (done.written, done.problems[0].cure[:37]) == (False, "Correct it in a spreadsheet that was ")


def test_a_row_without_a_mark_that_differs_is_a_problem_unless_the_file_wins(store, tmp_path):
    file = tmp_path / "hours.csv"
    file.write_text("board,date,stage,hours\nA,2026-05-04,strip,5\n")
    done = take(store.folder, file)
    assert (done.written, done.changes, len(done.problems)) == (False, (), 1)
    assert content(store)["hours"][1] == HOURS
    assert dict(take(store.folder, file, newer=True).changed) == {"hours": 1}


HEAD = "board,date,stage,hours,note"
# rows of a newer file without marks, and the hours of board A that the book has then, with their days; None: refused
NEWER = {
    "one of its day": (["A,2026-05-04,strip,5"], [("04", "strip", "5"), ("05", "gloss", "2")]),
    "more said than before": (
        ["A,2026-05-04,strip,4.5,slow"],
        [("04", "strip", "4.5"), ("05", "gloss", "2")],
    ),
    "of another stage": (["A,2026-05-04,gloss,4.5"], [("04", "gloss", "4.5"), ("05", "gloss", "2")]),
    "of another day": (
        ["A,2026-05-03,strip,4.5", "A,2026-05-06,gloss,1"],
        [("04", "strip", "4.5"), ("05", "gloss", "2"), ("03", "strip", "4.5"), ("06", "gloss", "1")],
    ),
    "told apart by their stages": (
        ["A,2026-05-04,gloss,1", "A,2026-05-04,strip,5"],
        [("04", "strip", "5"), ("05", "gloss", "2"), ("04", "gloss", "1")],
    ),
    "told apart by nothing": (["A,2026-05-04,gloss,1", "A,2026-05-04,gloss,2"], None),
}


@pytest.mark.parametrize("case", NEWER)
def test_a_newer_file_fills_and_adds_and_never_strikes_out_what_it_lacks(store, tmp_path, case):
    rows, expected = NEWER[case]
    file = tmp_path / "hours.csv"
    file.write_text("\n".join([HEAD, *(f"{row}{',' * (4 - row.count(','))}" for row in rows)]) + "\n")
    done = take(store.folder, file, newer=True)
    assert dict(done.struck) == {}
    assert done.written == (expected is not None)
    there = [
        (r["date"][-2:], r["stage"], r["hours"]) for r in content(store)["hours"][1] if r["board"] == "A"
    ]
    assert there == (expected or [("04", "strip", "4.5"), ("05", "gloss", "2")])
    if expected:
        assert take(store.folder, file, newer=True).written is False


def test_a_file_of_another_month_says_nothing_against_the_months_before(store, tmp_path):
    file = tmp_path / "hours.csv"
    file.write_text("board,date,stage,hours\nA,2026-06-01,gloss,1\nA,2026-06-02,gloss,1\n")
    done = take(store.folder, file)
    assert (done.problems, dict(done.added)) == ((), {"hours": 2})


def test_an_empty_cell_says_nothing_unless_its_row_has_a_mark(store, tmp_path):
    file = tmp_path / "boards.csv"
    file.write_text("board,called,owner\nA,,\n")
    assert (take(store.folder, file).problems, take(store.folder, file).written) == ((), False)
    files = out(store, tmp_path)
    edit(files, "boards", "A,red,Ann", "A,,Ann")
    assert len(take(store.folder, files).problems) == 1
    assert take(store.folder, files, newer=True).written
    assert "called" not in content(store)["boards"][1][0]


def test_of_an_owner_only_that_it_is_another_is_said(store, tmp_path):
    files = out(store, tmp_path)
    edit(files, "boards", "A,red,Ann", "A,red,Bea")
    said = str(take(store.folder, files).as_dict()["changes"]) + take(store.folder, files).problems[0].wrong
    assert "Ann" not in said
    [change] = take(store.folder, files, newer=True).changes
    assert (change.before, change.after) == ({"owner": "…"}, {"owner": "…"})
    assert content(store)["boards"][1][0]["owner"] == "Bea"


def without(folder, sheet, begins):
    path = folder / f"{sheet}.csv"
    kept = [line for line in path.read_text("utf-8").splitlines(keepends=True) if not line.startswith(begins)]
    path.write_text("".join(kept), "utf-8")


def answered(store, files, **answers):
    answers = {f"gone:{sheet}": answer for sheet, answer in answers.items()}
    return import_files(store.folder, [files], LATER, ImportChoices(newer=True), answers)


def test_a_row_taken_out_of_our_own_file_is_asked_about_and_stays_where_nobody_answers(store, tmp_path):
    files = out(store, tmp_path)
    without(files, "hours", "A,2026-05-04")
    assert take(store.folder, files).questions == ()  # nothing is taken out unless the file is the newer one
    done = take(store.folder, files, newer=True)
    [question] = done.questions
    assert (question.key, question.needed, question.likely) == ("gone:hours", False, "keep")
    assert (done.problems, done.written, dict(done.gone)) == ((), False, {"hours": 1})
    assert not answered(store, files, hours="keep").written
    assert len(content(store)["hours"][1]) == 3
    done = answered(store, files, hours="strike")
    assert (done.written, dict(done.struck), dict(done.gone)) == (True, {"hours": 1}, {})
    assert content(store)["hours"][1] == HOURS[1:]
    assert store.acts(1)[0].sentence == "1 row from out"
    store.undo(None, LATER)
    assert content(store)["hours"][1] == HOURS


def test_a_row_written_since_a_file_went_out_is_not_asked_about(store, tmp_path):
    files = out(store, tmp_path)
    with store.act("more", NOON) as act:
        act.append("hours", {"board": "B", "date": "2026-05-30", "stage": "gloss", "hours": "1"})
    done = take(store.folder, files, newer=True)
    assert (done.questions, dict(done.gone)) == ((), {})


def test_a_board_is_struck_out_with_its_hours(store, tmp_path):
    files = out(store, tmp_path)
    without(files, "boards", "A,")
    done = answered(store, files, boards="strike")
    assert (done.written, {problem.place.sheet for problem in done.problems}) == (False, {"hours"})
    assert len(content(store)["boards"][1]) == 2
    without(files, "hours", "A,")
    assert dict(answered(store, files, boards="strike", hours="strike").struck) == {"boards": 1, "hours": 2}
    assert content(store)["boards"][1] == BOARDS[1:]


def test_what_was_told_is_struck_out_and_told_again_and_never_written_over(tmp_path):
    told = [{"board": "A", "date": "2026-05-04", "hours_low": "40"}]
    store = book(tmp_path / "shop", boards=BOARDS, told=told)
    files = out(store, tmp_path)
    edit(files, "told", ",40,", ",30,")
    assert len(take(store.folder, files).problems) == 1
    done = take(store.folder, files, newer=True)
    assert (done.problems, dict(done.changed)) == ((), {"told": 1})
    struck = {**told[0], "struck_out": "corrected in told.csv"}
    assert content(store)["told"][1] == [struck, {**told[0], "hours_low": "30"}]
    assert take(store.folder, files, newer=True).written is False


def test_a_telling_struck_out_in_the_file_is_struck_out_and_not_told_again(tmp_path):
    told = [{"board": "A", "date": "2026-05-04", "hours_low": "40"}]
    store = book(tmp_path / "shop", boards=BOARDS, told=told)
    files = out(store, tmp_path)
    path = files / "told.csv"
    rows = list(csv.reader(path.read_text("utf-8").splitlines()))
    if "struck_out" not in rows[0]:
        rows = [[*row[:-1], "", row[-1]] for row in rows]
        rows[0][-2] = "struck_out"
    rows[1][rows[0].index("struck_out")] = "said to the wrong one"
    path.write_text("".join(",".join(row) + "\n" for row in rows), "utf-8")
    assert take(store.folder, files, newer=True).written
    assert content(store)["told"][1] == [{**told[0], "struck_out": "said to the wrong one"}]


def test_a_file_is_kept_as_it_came_and_one_that_fails_is_not(store, tmp_path):
    file = tmp_path / "boards.csv"
    file.write_bytes(b"board;called\r\nC;blue\r\n")
    done = take(store.folder, file)
    assert [path.read_bytes() for path in done.kept] == [file.read_bytes()]
    assert done.kept[0].parent == store.folder / "backups"
    assert len(list((store.folder / "backups").glob("before-import-*.sqlite"))) == 1
    file.write_bytes(b"board;called;asked\r\nD;blue;soon\r\n")
    assert take(store.folder, file).kept == ()
    assert len(list((store.folder / "backups").glob("import-*"))) == 1


def test_nothing_is_kept_of_a_file_that_could_not_be_written_into_the_book(store, tmp_path, monkeypatch):
    def full(*_args, **_more):
        raise UsageError("The disk is full.", "Make room.")

    file = tmp_path / "boards.csv"
    file.write_bytes(b"board;called\r\nC;blue\r\n")
    monkeypatch.setattr(BookStore, "act", full)
    with pytest.raises(UsageError, match="full"):
        take(store.folder, file)
    assert list((store.folder / "backups").glob("import-*")) == []


def test_a_log_in_files_is_taken_into_a_book_first(tmp_path):
    (tmp_path / "workshop.toml").write_text(SETTINGS, "utf-8")
    (tmp_path / "boards.csv").write_text("board\nA\n", "utf-8")
    more = tmp_path / "more"
    more.mkdir()
    (more / "boards.csv").write_text("board\nB\n", "utf-8")
    with pytest.raises(UsageError, match="not in a book yet"):
        take(tmp_path, more)
    assert not (tmp_path / "book.sqlite").exists()


def test_a_board_keeps_its_number(store, tmp_path):
    files = out(store, tmp_path)
    edit(files, "boards", "B,tan", "C,tan")
    done = take(store.folder, files, newer=True)
    assert (done.written, [p.wrong for p in done.problems]) == (
        False,
        ["this is board B in the book, and a board keeps its number"],
    )


@pytest.mark.parametrize("name", ["old.xls", "OLD.XLS", "log.xlsx"])
def test_a_spreadsheet_of_the_old_kind_is_refused_before_it_is_read(store, tmp_path, name):
    file = tmp_path / name
    file.write_bytes(b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(600))
    done = take(store.folder, file)
    assert [problem.sentence() for problem in done.problems] == [
        (
            f"{name}: this is a spreadsheet of an older kind, or one with a password. "
            "Save it again as .xlsx or .ods, without a password."
        )
    ]


def test_a_file_of_more_than_60_million_bytes_is_not_read(store, tmp_path):
    file = tmp_path / "hours.csv"
    with file.open("wb") as large:
        large.truncate(60_000_001)
    begun = time.perf_counter()
    done = take(store.folder, file)
    assert [problem.wrong for problem in done.problems] == [
        "this file is larger than 60 million bytes, and is not read"
    ]
    assert time.perf_counter() - begun < 2


def test_sheets_that_only_together_span_more_than_can_be_read_are_a_problem(store, tmp_path):
    file = tmp_path / "wide.xlsx"
    with xlsxwriter.Workbook(str(file)) as made:
        for _ in range(3):
            page = made.add_worksheet()
            page.write(0, 0, "board")
            page.write(999_999, 1, "x")
    [problem] = take(store.folder, file).problems
    assert problem.said() == (
        "wide.xlsx, sheet Sheet1: this sheet reaches as far as B1000000, and nothing of the file is read."
    )


def test_a_cell_under_a_merged_one_is_not_taken_for_empty(store, tmp_path):
    file = tmp_path / "more.xlsx"
    with xlsxwriter.Workbook(str(file)) as made:
        page = made.add_worksheet("boards")
        page.write_row(0, 0, ["board", "called", "price_quoted"])
        page.write_row(1, 0, ["C", "blue", 200])
        page.write_row(2, 0, ["D", "tan one"])
        page.merge_range(1, 2, 2, 2, 200)
    done = take(store.folder, file)
    assert not done.written
    assert (
        'more.xlsx, sheet boards, cell C2: "200": this cell is merged as far as C3, and only the first of them counts.'
        in [problem.said() for problem in done.problems]
    )


def test_control_characters_are_left_out_and_said(store, tmp_path):
    file = tmp_path / "boards.csv"
    file.write_text(f"board,called,Zeal\nC,blu\x1b[31me,\x07high\n{'D,,' + 'x' * 99}\n")
    done = take(store.folder, file)
    assert not done.written
    assert {problem.wrong for problem in done.problems} == {
        "control characters stand in it, which are left out"
    }
    assert take(store.folder, file, good_rows=True).written
    assert content(store)["boards"][1][-2] == {"board": "C", "called": "blu[31me", "Zeal": "high"}


def test_a_quotation_mark_that_never_closes_loses_no_row_in_silence(store, tmp_path):
    file = tmp_path / "mine.csv"
    file.write_text(
        'Job no,Nickname,Started\nC,"blue,2026-05-04\n'
        + "".join(f"D{n},tan {n},2026-05-05\n" for n in range(200))
    )
    done = take(store.folder, file)
    assert [(p.place.row, p.wrong) for p in done.problems] == [
        (2, "a quotation mark opens in this row and does not close as it should")
    ]
    assert dict(done.added) == {"boards": 200}
    assert not done.written


def test_a_sheet_of_ours_under_another_title_is_known_by_its_marks(store, tmp_path):
    files = out(store, tmp_path)
    (files / "hours.csv").rename(files / "hours of May.csv")
    done = take(store.folder, files / "hours of May.csv")
    assert (done.problems, done.questions, dict(done.skipped)) == ((), (), {"hours": 3})


def test_two_columns_of_one_name_lose_nothing(store, tmp_path):
    file = tmp_path / "boards.csv"
    file.write_text("board,called,board,book_row,Zeal,Zeal\nC,blue,9,,a,b\n")
    assert take(store.folder, file).problems == ()
    assert content(store)["boards"][1][-1] == {
        "board": "C",
        "called": "blue",
        "board (theirs)": "9",
        "Zeal": "a",
        "Zeal 2": "b",
    }


def test_a_log_of_names_and_no_row_begins_a_book_and_a_file_without_rows_is_not_named_beside_others(tmp_path):
    for name, rows, bare, said in (("none", "", (), "0 rows from boards.csv, hours.csv"), ("one", "A,red\n", ("hours.csv",), "1 row from boards.csv")):  # fmt: skip
        shop = tmp_path / name
        shop.mkdir()
        (shop / "workshop.toml").write_text(SETTINGS, "utf-8")
        (shop / "boards.csv").write_text(f"board,called\n{rows}", "utf-8")
        (shop / "hours.csv").write_text("board,date,stage,hours\n", "utf-8")
        done = import_folder(shop, NOON, ImportChoices())
        assert (done.written, done.begun, done.bare) == (True, True, bare)
        assert [act.sentence for act in BookStore(shop).acts()] in ([said], [])


def test_an_answer_is_kept_where_no_row_is_new(store, tmp_path):
    file = tmp_path / "old.csv"
    file.write_text("Job No,Nickname,Shelf\nC,blue,left\n", "utf-8")
    assert take(store.folder, file).written
    assert not take(store.folder, file).written
    before = content(store)
    done = import_files(store.folder, [file], LATER, ImportChoices(), {"column:old:Shelf": "leave"})
    assert (done.written, dict(done.added), content(store)) == (True, {}, before)
    assert parse_settings(store.settings_text())[0].imports["old"].columns["Shelf"] == "leave"


def test_nothing_is_struck_out_for_a_file_that_does_not_win_whatever_was_answered(store, tmp_path):
    files = out(store, tmp_path)
    without(files, "hours", "A,2026-05-04")
    done = import_files(store.folder, [files], LATER, ImportChoices(), {"gone:hours": "strike"})
    assert (done.written, dict(done.struck), content(store)["hours"][1]) == (False, {}, HOURS)


def test_a_log_in_files_beside_a_book_holds_nothing_up(store, tmp_path):
    (store.folder / "boards.csv").write_text("board,called\nX,old\n", "utf-8")
    file = tmp_path / "boards.csv"
    file.write_text("board,called\nC,blue\n", "utf-8")
    assert take(store.folder, file).written
    assert [row["board"] for row in content(store)["boards"][1]] == ["A", "B", "C"]

"""Strangers' spreadsheets: what is clear is taken, what is not is asked, and nothing is guessed."""

import io

import pytest
import xlsxwriter
from making.books import NOON, SETTINGS

from estimator.log.exchange.importing import ImportChoices, import_files, open_questions
from estimator.log.exchange.strangers import guessed, words_of
from estimator.log.kept_in import store_of
from estimator.words.settings.reader import parse_settings

STAGED = "Job No,Name,Date In,Finished,Strip it (hrs),Gloss coat (hrs)\n"


def shop(folder):
    (folder / "workshop.toml").write_text(SETTINGS, "utf-8")
    return folder


def taken(folder, text, answers=None, name="old.csv"):
    """What was done with a csv file, and the rows that the book has then by sheet."""
    (folder / name).write_text(text, "utf-8")
    done = import_files(shop(folder), [folder / name], NOON, ImportChoices(), answers or {})
    if not done.written:
        return done, {}
    sheets = store_of(folder).read()[0].sheets
    return done, {
        s.sheet: [{n: c for n, c in zip(s.rows[0][1], cells, strict=True) if c} for _, cells in s.rows[1:]]
        for s in sheets
    }


# header, cells, and what the book has of the one board
CLEAR = {
    "our own names": ("board,called,length", "A,red,9'6", {"board": "A", "called": "red", "length": "9'6"}),
    "usual names": ("Job No,Customer,Phone", "A,Ann,12 34", {"board": "A", "owner": "Ann", "reach": "12 34"}),
    "feet in the header": ("Job No,Length (ft)", "A,9", {"board": "A", "length": "9'0"}),
    "centimetres in the header": ("Job No,Length [cm]", "A,290", {"board": "A", "length": "290 cm"}),
    "inches in the header": ("Job No,Width (in)", "A,22.5", {"board": "A", "width": "22 1/2 in"}),
    "hours in the header": ("Job No,Estimate (hrs)", "A,40", {"board": "A", "guess": "40"}),
    "days in the header": ("Job No,Estimate (days)", "A,2", {"board": "A", "guess": "13"}),
    "a point in numbers": ("Job No,Price", 'A,"1,234.5"', {"board": "A", "price_charged": "1234.50"}),
    "a comma in numbers": ("Job No;Price", "A;1.234,5", {"board": "A", "price_charged": "1234.50"}),
    "a space in numbers": ("Job No;Price", "A;1 234,5", {"board": "A", "price_charged": "1234.50"}),
    "a narrow space": ("Job No;Price", "A;1\u202f234,50", {"board": "A", "price_charged": "1234.50"}),
    "titles above": ("My boards,\n,\nJob No,Name", "A,red", {"board": "A", "called": "red"}),
    "tabs": ("Job No\tName", "A\tred", {"board": "A", "called": "red"}),
    "no number": ("Name,Date In", "red,2026-05-04", {"board": "26-001", "called": "red", "asked": "2026-05-04"}),
    "dates as the shop writes them": ("Job No,Finished", "A,3.5.2026", {"board": "A", "ready": "2026-05-03"}),
    "notes": ("Ticket,Remarks", "A,=1+1", {"board": "A", "note": "=1+1"}),
}  # fmt: skip


@pytest.mark.parametrize("case", CLEAR)
def test_what_is_clear_is_taken(tmp_path, case):
    header, cells, board = CLEAR[case]
    done, rows = taken(tmp_path, f"{header}\n{cells}\n")
    assert done.problems == ()
    assert rows["boards"] == [board]


def test_hours_beside_boards_are_read_as_both_and_sums_are_no_boards(tmp_path):
    text = f"{STAGED}A,red,2026-05-04,2026-05-20,4.5,2\nB,tan,2026-05-05,2026-05-21,3,1\nTotal,,,,7.5,3\n"
    done, rows = taken(tmp_path, text)
    assert done.problems == ()
    assert [(row["board"], row["stage"], row["hours"], row["date"]) for row in rows["hours"]] == [
        ("A", "strip", "4.5", "2026-05-20"),
        ("A", "gloss", "2", "2026-05-20"),
        ("B", "strip", "3", "2026-05-21"),
        ("B", "gloss", "1", "2026-05-21"),
    ]
    assert [row["board"] for row in rows["boards"]] == ["A", "B"]
    assert done.notes == ("1 row of old is a sum, and was passed over.",)
    again, _ = taken(tmp_path, text)
    assert (again.written, again.problems) == (False, ())


@pytest.mark.parametrize("answer", ["none", "not written down"])
def test_what_a_blank_means_is_asked(tmp_path, answer):
    text = f"{STAGED}A,red,2026-05-04,2026-05-20,4.5,\n"
    done, _ = taken(tmp_path, text)
    assert [problem.wrong for problem in done.problems] == ["it is not clear what an empty cell says here"]
    [question] = open_questions(tmp_path, [tmp_path / "old.csv"])
    assert question.choices == ("none", "not written down")
    _, rows = taken(tmp_path, text, {question.key: answer})
    assert [row["hours"] for row in rows["hours"]] == (["4.5", "0"] if answer == "none" else ["4.5"])


def test_an_unknown_column_is_a_problem_until_it_is_answered(tmp_path):
    text = "Job No,Name,Shelf\nA,red,left\nB,tan,right\n"
    done, _ = taken(tmp_path, text)
    assert [(p.found, p.where) for p in done.problems] == [("Shelf", "old.csv, line 1, Shelf")]
    [question] = open_questions(tmp_path, [tmp_path / "old.csv"])
    assert (question.samples, question.guess) == (("left", "right"), "")
    assert not (tmp_path / "book.sqlite").exists()
    _, rows = taken(tmp_path, text, {"Shelf": "leave"})
    assert rows["boards"][0] == {"board": "A", "called": "red", "Shelf": "left"}


def test_dates_that_can_be_two_days_are_asked(tmp_path):
    shop(tmp_path)
    (tmp_path / "workshop.toml").write_text(SETTINGS.replace('dates = "day-month"', ""), "utf-8")
    (tmp_path / "old.csv").write_text("Job No,Date In\nA,03/04/2026\n", "utf-8")
    [question] = open_questions(tmp_path, [tmp_path / "old.csv"])
    assert (question.asks, question.choices) == ("dates", ("day-month", "month-day"))
    how = ImportChoices()
    assert not import_files(tmp_path, [tmp_path / "old.csv"], NOON, how).written
    assert import_files(tmp_path, [tmp_path / "old.csv"], NOON, how, {"dates": "month-day"}).written
    assert "2026-03-04" in store_of(tmp_path).read()[0].sheets[0].rows[1][1]


@pytest.mark.parametrize(("header", "column"), [("Glass", ""), ("Custommer", "owner"), ("Lenght", "length")])
def test_a_slip_of_the_pen_is_asked_and_another_word_is_none_of_ours(header, column):
    assert guessed(header, words_of("boards", parse_settings(SETTINGS)[0])) == (column, False)


def test_a_spreadsheet_with_merged_titles_and_blank_columns(tmp_path):
    data = io.BytesIO()
    with xlsxwriter.Workbook(data) as made:
        page = made.add_worksheet("2025")
        page.merge_range(0, 0, 0, 4, "Everything that came in")
        for number, row in enumerate([["Job No", "", "Name", "Length"], ["A", "", "red", "9'6"]], 3):
            page.write_row(number, 1, row)
    (tmp_path / "old.xlsx").write_bytes(data.getvalue())
    done = import_files(shop(tmp_path), [tmp_path / "old.xlsx"], NOON, ImportChoices())
    assert (done.problems, dict(done.added)) == ((), {"boards": 1})


def test_a_file_without_names_is_a_problem(tmp_path):
    done, _ = taken(tmp_path, "1,2\n3,4\n")
    assert [problem.wrong for problem in done.problems] == ["no row at its head names the columns"]


def written_by_a_program(path, rows):
    """A spreadsheet of boards; a pair is a formula with the result that is stored."""
    with xlsxwriter.Workbook(str(path)) as made:
        sheet = made.add_worksheet("boards")
        for row, cells in rows:
            for column, cell in enumerate(cells):
                if isinstance(cell, tuple):
                    sheet.write_formula(row, column, cell[0], None, cell[1])
                else:
                    sheet.write(row, column, cell)


def test_a_formula_that_failed_is_no_empty_cell(tmp_path):
    file = tmp_path / "old.xlsx"
    names = ["board", "called", "assessed_area", "price_quoted"]
    written_by_a_program(file, [(0, names), (1, ["A", "red", ("=#REF!", "#REF!"), ("=1+1", "")])])

    done = import_files(shop(tmp_path), [file], NOON, ImportChoices())

    assert not done.written
    assert [problem.said() for problem in done.problems if "formula" in problem.wrong] == [
        'old.xlsx, sheet boards, cell C2: "#REF!": the formula comes to an error.',
        "old.xlsx, sheet boards, cell D2: the formula has no result in the file.",
    ]


def test_a_sheet_that_spans_more_than_can_be_read_is_a_problem_at_once(tmp_path):
    file = tmp_path / "old.xlsx"
    written_by_a_program(file, [(0, ["board"]), (1, ["A"]), (1_048_575, [""] * 16_383 + ["x"])])

    done = import_files(shop(tmp_path), [file], NOON, ImportChoices())

    assert not done.written
    assert "old.xlsx, sheet boards: this sheet reaches as far as XFD1048576" in done.problems[0].said()

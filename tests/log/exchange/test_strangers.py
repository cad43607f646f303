"""Strangers' spreadsheets: what is clear is taken, what is not is asked once, and nothing is guessed."""

import datetime as dt
import io

import pytest
import xlsxwriter
from making.books import NOON
from making.books import SETTINGS as OURS
from making.strangers import SETTINGS, STRANGERS, Stranger

from estimator.log.exchange.importing import ImportChoices, import_files
from estimator.log.kept_in import store_of
from estimator.log.reading import read_log
from estimator.words.settings.reader import parse_settings

TODAY = dt.date(2026, 6, 1)
NOW = dt.datetime(2026, 6, 1, 12, tzinfo=dt.UTC)
TRY = ImportChoices(only_try=True)


def workshop(tmp_path, settings=SETTINGS):
    folder = tmp_path / "shop"
    folder.mkdir(exist_ok=True)
    (folder / "workshop.toml").write_text(settings, "utf-8")
    return folder


def given(tmp_path, stranger: Stranger):
    path = tmp_path / stranger.name
    path.write_bytes(stranger.data())
    return [path]


def answered(folder, files, stranger):
    """The answers to all questions; some follow on others."""
    answers = {}
    while questions := [
        one for one in import_files(folder, files, NOW, TRY, answers).questions if one.key not in answers
    ]:
        for question in questions:
            assert question.takes(stranger.answers[question.key]), question
            answers[question.key] = stranger.answers[question.key]
    return answers


def log_in(folder):
    """The raw rows of a folder's book, its log, and the problems of that."""
    store = store_of(folder)
    raw, troubles = store.read()
    log, problems, _ = read_log(raw, troubles, parse_settings(store.settings_text())[0], today=TODAY)
    return raw, log, problems


def test_there_are_twenty_and_more():
    assert len(STRANGERS) >= 20
    assert {one.name.rpartition(".")[2] for one in STRANGERS} == {"csv", "xlsx", "ods"}


@pytest.mark.parametrize("stranger", STRANGERS, ids=lambda one: one.name)
def test_a_stranger_is_understood_asked_and_read(stranger, tmp_path):
    folder, files = workshop(tmp_path), given(tmp_path, stranger)
    first = import_files(folder, files, NOW, TRY)
    assert {question.key for question in first.questions} == stranger.asks
    answers = answered(folder, files, stranger)
    done = import_files(folder, files, NOW, ImportChoices(), answers)
    assert done.problems == ()
    columns = {one.column: one.ours or "leave" for of in done.columns.values() for one in of}
    assert columns == stranger.ours
    passed = [note for note in done.notes if note.startswith("Passed over")]
    assert bool(passed) == bool(stranger.sums)

    _, log, problems = log_in(folder)
    booked = {b.board: sum(e.hours for e in log.entries if e.board == b.board) for b in log.boards}
    assert problems == ()
    assert [
        (b.board, b.called, b.started, b.total_hours if b.total_hours is not None else booked[b.board])
        for b in log.boards
    ] == stranger.boards
    assert sorted((e.board, e.stage, e.hours) for e in log.entries) == sorted(stranger.hours)
    assert [path.read_bytes() for path in done.kept] == [files[0].read_bytes()]

    # the same shape asks nothing next month, and the same file changes nothing
    again = import_files(folder, files, NOW, ImportChoices())
    assert (again.questions, again.problems, again.written) == ((), (), False)
    assert sum(again.skipped.values()) == sum(done.added.values())
    remembered = parse_settings((folder / "workshop.toml").read_text("utf-8"))[0].imports
    assert bool(answers) == bool(remembered)


def read_boards(tmp_path, name):
    stranger = next(one for one in STRANGERS if one.name == name)
    folder, files = workshop(tmp_path), given(tmp_path, stranger)
    import_files(folder, files, NOW, ImportChoices(), answered(folder, files, stranger))
    return log_in(folder)[:2]


def test_lengths_widths_and_weights_take_the_unit_of_their_header(tmp_path):
    _, log = read_boards(tmp_path, "units.xlsx")
    assert log.boards[0].length_m == pytest.approx(2.9)
    assert log.boards[0].width_m == pytest.approx(22.5 * 0.0254)


def test_nine_point_six_is_what_was_answered(tmp_path):
    _, log = read_boards(tmp_path, "feet.xlsx")
    assert log.boards[0].length_m == pytest.approx(9.5 * 0.3048)
    assert log.boards[1].length_m == pytest.approx(6 * 0.3048)


def test_pounds_are_weighed_as_pounds(tmp_path):
    _, log = read_boards(tmp_path, "scales.xlsx")
    assert [one.weight_kg for one in log.weighings] == pytest.approx([18.5 * 0.45359237, 17 * 0.45359237])


@pytest.mark.parametrize(
    ("name", "prices"),
    [
        ("komma.csv", [1234.5, 850]),
        ("espace.csv", [1234.5, 2850]),
        ("thousands.csv", [1234, 2850.75]),
        ("either.csv", [1234]),
    ],
)
def test_money_in_three_languages(tmp_path, name, prices):
    _, log = read_boards(tmp_path, name)
    assert [board.price_charged for board in log.boards] == prices


def test_a_blank_is_what_was_answered(tmp_path):
    _, log = read_boards(tmp_path, "pieces.csv")
    assert [board.assessed.get("infills") for board in log.boards] == [2, None]
    assert [board.found for board in log.boards] == [
        {"infills": 3, "logos": 1},
        {"infills": 1, "logos": 2},
    ]


def test_hours_beside_a_board_lie_between_its_beginning_and_its_end(tmp_path):
    _, log = read_boards(tmp_path, "wide.xlsx")
    first = log.entries[0]
    assert (first.date, first.until) == (dt.date(2024, 1, 8), dt.date(2024, 2, 2))
    assert [e.hours for e in log.entries if e.board == "2" and e.stage == "strip"] == [0]


def test_what_is_none_of_ours_is_kept_by_its_name(tmp_path):
    raw, _ = read_boards(tmp_path, "glass.csv")
    [boards] = [sheet for sheet in raw.sheets if sheet.sheet == "boards"]
    header, *rows = [cells for _, cells in boards.rows]
    assert header[-2:] == ["Glass", "column F"]
    assert [row[-2:] for row in rows] == [["6 oz", ""], ["4 oz", "x"]]


def taken(tmp_path, text, answers=None, name="old.csv", settings=OURS):
    """What was done with a csv file, and the rows that the book has then by sheet."""
    folder = workshop(tmp_path, settings)
    (tmp_path / name).write_text(text, "utf-8")
    done = import_files(folder, [tmp_path / name], NOON, ImportChoices(), answers or {})
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
    "a point in numbers": ("Job No,Charged", 'A,"1,234.5"', {"board": "A", "price_charged": "1234.50"}),
    "a comma in numbers": ("Job No;Charged", "A;1.234,5", {"board": "A", "price_charged": "1234.50"}),
    "a space in numbers": ("Job No;Charged", "A;1 234,5", {"board": "A", "price_charged": "1234.50"}),
    "a narrow space": ("Job No;Charged", "A;1\u202f234,50", {"board": "A", "price_charged": "1234.50"}),
    "titles above": ("My boards,\n,\nJob No,Nickname", "A,red", {"board": "A", "called": "red"}),
    "tabs": ("Job No\tNickname", "A\tred", {"board": "A", "called": "red"}),
    "no number": ("Nickname,Started", "red,2026-05-04", {"board": "26-001", "called": "red", "started": "2026-05-04"}),
    "dates as the shop writes them": ("Job No,Completed", "A,3.5.2026", {"board": "A", "ready": "2026-05-03"}),
    "notes": ("Ticket,Remarks", "A,=1+1", {"board": "A", "note": "=1+1"}),
    "of two columns one is theirs": ("board,Job No,Nickname", "A,7,red", {"board": "A", "called": "red", "Job No": "7"}),
}  # fmt: skip


@pytest.mark.parametrize("case", CLEAR)
def test_what_is_clear_is_taken(tmp_path, case):
    header, cells, board = CLEAR[case]
    done, rows = taken(tmp_path, f"{header}\n{cells}\n")
    assert done.problems == ()
    assert rows["boards"] == [board]


# header, cells, and the keys of what is asked: nothing of this may be guessed
UNCLEAR = {
    "a name of the board or of its owner": ("Job No,Started,Name", "A,,red", {"column:old:Name"}),
    "a day of asking or of coming in": (
        "Job No,Nickname,Date In",
        "A,red,2026-05-04",
        {"column:old:Date In"},
    ),
    "a price named or charged": ("Job No,Nickname,Price", "A,red,12.50", {"column:old:Price"}),
    "a slip of the pen": ("Job No,Nickname,Custommer", "A,red,Ann", {"column:old:Custommer"}),
    "thousands or a part": ("Job No,Nickname,Charged", 'A,red,"1,234"', {"decimals:old"}),
    "thousands or a part, with a point": ("Job No;Nickname;Charged", "A;red;1.234", {"decimals:old"}),
    "feet and inches, or tenths": ("Job No,Nickname,Length (ft)", "A,red,9.6", {"feet:old:Length (ft)"}),
    "a usual name over other things": ("Job No,Nickname,Length", "A,red,long", {"column:old:Length"}),
    "none, or not written down": ("Job No,Nickname,Deposit", "A,red,5.50\nB,tan,", {"blank:old:Deposit"}),
    "a sheet with one column of ours": ("Job No,Tooth", "A,left", {"rows:old"}),
    "lengths in half of the rows": ("Job No,Nickname,Length", "A,red,9'6\nB,tan,long", {"column:old:Length"}),
    "a stage's name alone": ("Job No,Nickname,Started,Strip", "A,red,2026-05-04,6", {"column:old:Strip"}),
    "a number that stands twice": ("Job No,Nickname", "7,red\n7,tan", {"column:old:Job No"}),
}


@pytest.mark.parametrize("case", UNCLEAR)
def test_what_is_not_clear_is_asked_and_a_problem_where_nobody_answers(tmp_path, case):
    header, cells, asked = UNCLEAR[case]
    done, _ = taken(tmp_path, f"{header}\n{cells}\n")
    assert {question.key for question in done.questions} == asked
    assert not done.written
    assert len(done.problems) == len(asked)
    assert not list((tmp_path / "shop").glob("book*"))


def test_dates_that_can_be_two_days_are_asked(tmp_path):
    text, loose = "Job No,Started\nA,03/04/2026\n", OURS.replace('dates = "day-month"', "")
    done, _ = taken(tmp_path, text, settings=loose)
    [question] = done.questions
    assert [(one.answer, one.says) for one in question.choices] == [
        ("day-month", "3 April 2026"),
        ("month-day", "4 March 2026"),
    ]
    _, rows = taken(tmp_path, text, {"dates:old": "month-day"}, settings=loose)
    assert rows["boards"][0]["started"] == "2026-03-04"


def test_a_column_that_nobody_knows_is_a_note_and_no_problem(tmp_path):
    done, rows = taken(tmp_path, "Job No,Nickname,Shelf\nA,red,left\nB,tan,right\n")
    assert done.problems == ()
    assert done.notes == ("Kept as it stands, for it is none of ours: Shelf.",)
    [question] = done.questions
    assert (question.needed, question.likely, question.samples) == (False, "leave", ("left", "right"))
    assert rows["boards"][0] == {"board": "A", "called": "red", "Shelf": "left"}
    assert "[import." not in (tmp_path / "shop" / "workshop.toml").read_text("utf-8")


def test_a_sheet_that_is_like_none_of_ours_is_left_out_with_a_note(tmp_path):
    file = tmp_path / "old.xlsx"
    with xlsxwriter.Workbook(str(file)) as made:
        for title, rows in {
            "Jobs": [["Job no", "Nickname"], ["A", "red"]],
            "Dentist": [["Tooth", "Pain"], ["left", "much"]],
            "Empty": [["Job no", "Nickname"]],
        }.items():
            page = made.add_worksheet(title)
            for number, row in enumerate(rows):
                page.write_row(number, 0, row)
    done = import_files(workshop(tmp_path, OURS), [file], NOON, ImportChoices())
    assert (done.problems, dict(done.added)) == ((), {"boards": 1})
    assert done.notes == (
        "No row of the sheet “Empty” names columns, and it is left out.",
        "Nothing in the sheet “Dentist” is like a sheet of ours, and it is left out.",
    )


def test_without_answers_every_question_is_a_problem_with_its_place(tmp_path):
    stranger = next(one for one in STRANGERS if one.name == "days.csv")
    done = import_files(workshop(tmp_path), given(tmp_path, stranger), NOW, ImportChoices())
    [problem] = done.problems
    assert problem.sentence() == (
        'days.csv, line 2, Started: "03/04/2024": that can be two days. '
        "Answer it on a terminal, once; or write it under [import.NAME] in workshop.toml."
    )


def test_hours_beside_a_board_without_a_day_are_a_problem(tmp_path):
    rows = [["No", "Surfboard", "Strip hrs"], ["1", "log", "6"]]
    done = import_files(
        workshop(tmp_path), given(tmp_path, Stranger("nodays.csv", {"nodays": rows}, {})), NOW, TRY
    )
    assert [problem.said() for problem in done.problems] == [
        'nodays.csv, line 2, Strip hrs: "6": no day says when these hours were worked.'
    ]


def test_what_is_wrong_with_hours_beside_a_board_is_said_where_they_stand(tmp_path):
    rows = [
        ["Start", "No", "End", "Strip hrs", "Sand hrs"],
        [dt.date(2024, 1, 8), 1, dt.date(2024, 1, 9), 4, 2],
        [dt.date(2024, 1, 8), 2, dt.date(2024, 1, 9), "4 x", 2],
        *([dt.date(2024, n, 8), n, dt.date(2024, n, 9), 4, 2] for n in range(3, 13)),
    ]
    done = import_files(
        workshop(tmp_path), given(tmp_path, Stranger("jobs.xlsx", {"Jobs": rows}, {})), NOW, TRY
    )
    assert [problem.where for problem in done.problems] == ["jobs.xlsx, sheet Jobs, cell D3"]


def test_a_row_of_which_only_hours_are_wrong_is_taken_without_them(tmp_path):
    rows = [
        ["Start", "No", "End", "Strip hrs"],
        *([dt.date(2024, 1, 8), n, dt.date(2024, 1, 9), 4] for n in range(1, 12)),
        [dt.date(2024, 1, 8), 12, dt.date(2024, 1, 9), "4 x"],
    ]
    folder = workshop(tmp_path)
    files = given(tmp_path, Stranger("jobs.xlsx", {"Jobs": rows}, {}))
    done = import_files(folder, files, NOW, ImportChoices(good_rows=True))
    assert (dict(done.added), done.left_out) == ({"boards": 12, "hours": 11}, 1)
    assert log_in(folder)[2] == ()


def test_two_restorations_of_boards_of_one_name_keep_their_own_hours(tmp_path):
    rows = [
        ["Nickname", "Start", "Picked up", "Strip hrs"],
        ["egg", dt.date(2024, 1, 8), dt.date(2024, 1, 9), 4],
        ["egg", dt.date(2025, 1, 8), dt.date(2025, 1, 9), 5],
    ]
    folder = workshop(tmp_path)
    files = given(tmp_path, Stranger("jobs.xlsx", {"Jobs": rows}, {}))
    done = import_files(folder, files, NOW, ImportChoices())
    assert done.problems == ()
    _, log, _ = log_in(folder)
    assert [(e.board, e.hours) for e in log.entries] == [("24-001", 4), ("25-001", 5)]
    assert not import_files(folder, files, NOW, ImportChoices()).written


def test_a_spreadsheet_with_merged_titles_and_blank_columns(tmp_path):
    data = io.BytesIO()
    with xlsxwriter.Workbook(data) as made:
        page = made.add_worksheet("2025")
        page.merge_range(0, 0, 0, 4, "Everything that came in")
        for number, row in enumerate([["Job No", "", "Nickname", "Length"], ["A", "", "red", "9'6"]], 3):
            page.write_row(number, 1, row)
    (tmp_path / "old.xlsx").write_bytes(data.getvalue())
    done = import_files(workshop(tmp_path, OURS), [tmp_path / "old.xlsx"], NOON, ImportChoices())
    assert (done.problems, dict(done.added)) == ((), {"boards": 1})


def test_a_file_without_names_is_a_problem(tmp_path):
    done, _ = taken(tmp_path, "1,2\n3,4\n")
    assert [problem.wrong for problem in done.problems] == ["no row at its head names the columns"]


def test_a_file_like_no_log_is_a_problem(tmp_path):
    done, _ = taken(tmp_path, "Tooth,Pain\nleft,much\n")
    assert [problem.said() for problem in done.problems] == [
        "old.csv: nothing in it is like a sheet of a log."
    ]
    assert [question.key for question in done.questions] == ["rows:old"]


def test_a_row_of_a_text_with_more_cells_than_names_is_a_problem(tmp_path):
    done, _ = taken(tmp_path, "Job No,Charged,Remarks\nA,12.50,fine\nB,1,234.50,fine\n")
    assert [problem.said() for problem in done.problems] == [
        "old.csv, line 3: the row has 4 cells where the header has 3."
    ]


def test_a_heading_of_a_year_is_passed_over_and_a_number_alone_is_a_board(tmp_path):
    done, rows = taken(tmp_path, "Job No,Nickname,Charged\n2025,,\nMarch 2025,,\n101,,\n102,red,12.50\n")
    assert [row["board"] for row in rows["boards"]] == ["101", "102"]
    assert "Passed over in old: 2 headings." in done.notes


@pytest.mark.parametrize("cell", ["1.234", "1,234"])
def test_a_number_that_can_be_two_is_read_as_the_answer_that_was_chosen_says(tmp_path, cell):
    """Each answer means what stands beside it, whichever mark the sheet writes."""
    text = f"Job No;Nickname;Total hours\nA;red;{cell}\n"
    hours = {"1234": "1234", "1 and a part": "1.234"}
    places = [tmp_path / name for name in ("asked", "0", "1")]
    for place in places:
        place.mkdir()
    [question] = taken(places[0], text)[0].questions
    choices = {one.says: one.answer for one in question.choices}
    assert choices.keys() == hours.keys()
    for place, (words, kept) in zip(places[1:], hours.items(), strict=True):
        _, rows = taken(place, text, {"decimals:old": choices[words]})
        assert rows["boards"][0]["total_hours"] == kept


def test_a_sheet_that_was_left_out_once_is_not_asked_about_again(tmp_path):
    rows = {"Jobs": [["Job no", "Nickname"], ["1", "red"]], "Teeth": [["Job no", "Tooth"], ["1", "left"]]}
    folder, files = workshop(tmp_path), given(tmp_path, Stranger("mine.xlsx", rows, {}))
    assert [one.key for one in import_files(folder, files, NOW, TRY).questions] == ["rows:Teeth"]
    done = import_files(folder, files, NOW, ImportChoices(), {"rows:Teeth": "leave"})
    assert (done.problems, dict(done.added)) == ((), {"boards": 1})
    again = import_files(folder, files, NOW, ImportChoices())
    assert (again.questions, again.problems, again.written) == ((), (), False)
    kept = parse_settings((folder / "workshop.toml").read_text("utf-8"))[0].imports
    assert len(kept) == 1  # of the other sheet nothing was asked


def test_answers_that_are_remembered_already_change_nothing_though_they_are_given_again(tmp_path):
    text, answers = "Job No,Nickname,Price\nA,red,12.50\n", {"column:old:Price": "price_quoted"}
    first, rows = taken(tmp_path, text, answers)
    assert (first.written, rows["boards"][0]["price_quoted"]) == (True, "12.50")
    done, _ = taken_again(tmp_path, answers)
    assert (done.problems, done.written, done.questions) == ((), False, ())


def taken_again(tmp_path, answers):
    folder = tmp_path / "shop"
    before = (folder / "workshop.toml").read_text("utf-8")
    done = import_files(folder, [tmp_path / "old.csv"], NOON, ImportChoices(), answers)
    assert (folder / "workshop.toml").read_text("utf-8") == before
    return done, before

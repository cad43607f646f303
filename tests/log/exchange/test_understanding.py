"""What a sheet says of us: which rows and columns are clear, what is asked of the rest, and what is remembered."""

import datetime as dt

import pytest
from making.strangers import SETTINGS

from estimator.log.exchange.files_in import FoundTable
from estimator.log.exchange.numbers import mark_in, written_in
from estimator.log.exchange.strangers import ColumnWords, table_in
from estimator.log.exchange.understanding import allowed_of, say_target, shape_name, shape_of, understood
from estimator.log.exchange.usual_words import a_sum, stem, unit_in
from estimator.words.problems import Place
from estimator.words.settings.edit import with_import
from estimator.words.settings.reader import parse_settings
from estimator.words.settings.schema import Settings, Stage

DAY = dt.date(2024, 3, 4)
HEAD = ["No", "Nickname"]


def found(*rows, title="Jobs", words=None):
    """A sheet whose first row is its header."""
    table = FoundTable(
        title, Place("jobs.xlsx", title), [(n, row) for n, row in enumerate(rows, 1) if any(row)]
    )
    return table_in(table, words or ColumnWords(parse_settings(SETTINGS)[0]))


def asked(*rows, answers=None, settings=SETTINGS, title="Jobs"):
    words = ColumnWords(parse_settings(settings)[0])
    return understood(found(*rows, title=title, words=words), words, answers or {})


@pytest.mark.parametrize(
    ("header", "row", "title", "sheet"),
    [
        (["Job no", "Day", "What", "Time"], ["7", DAY, "strip", 3], "Diary", "hours"),
        (["Job no", "Day", "Time"], ["7", DAY, 3], "Diary", "boards"),
        (["Job no", "Tooth"], ["7", "left"], "Diary", ""),
        (["Job no", "Since", "Until", "Reason"], ["7", DAY, DAY, "drying"], "Waits", "waits"),
        (["Job no", "Since", "To", "Reason"], ["7", DAY, DAY, "drying"], "Rest", "waits"),
        (["Job no", "Day", "Weight (kg)"], ["7", DAY, 6.4], "Scales", "weights"),
        (["When", "Income", "Item"], [DAY, 100.5, "deposit"], "Till", "money"),
        (["When", "Expense", "Item"], [DAY, 100.5, "resin"], "Till", "money"),
        (["When", "Item"], [DAY, "resin"], "Till", ""),
        (["Income", "Item"], [100.5, "deposit"], "Till", ""),
        (["Income", "Expense"], [100.5, 20.5], "Till", ""),
        (["Nickname", "Customer"], ["red", "Ann"], "Jobs", "boards"),
        (["Customer", "Deadline"], ["Ann", DAY], "Jobs", "boards"),
        (["Deadline", "Remarks"], [DAY, "so"], "Jobs", ""),
        (["Tooth", "Pain"], ["left", "much"], "Jobs", ""),
        (["Customer", "Tooth"], ["Ann", "left"], "boards", ""),
        (["called", "Tooth"], ["red", "left"], "boards", "boards"),
        (["Board length", "Deadline"], ["9'6", DAY], "Jobs", "boards"),
        (["Job type", "Deadline"], ["major", DAY], "Jobs", "boards"),
    ],
)
def test_the_rows_of_a_sheet_are_of_the_sheet_whose_columns_it_has(header, row, title, sheet):
    assert asked(header, row, title=title).sheet == sheet


def test_what_rows_are_is_asked_and_an_answer_holds():
    rows = (["Job no", "Tooth"], ["7", "left"])
    (question,) = asked(*rows).questions
    assert (question.key, question.needed, question.likely) == ("rows:Jobs", True, "")
    assert asked(*rows, answers={"rows:Jobs": "hours"}).sheet == "hours"
    clear = (["Job no", "Day", "What", "Time"], ["7", DAY, "strip", 3])
    assert [asked(*clear, answers={"rows:Jobs": said}).sheet for said in ("boards", "leave", "")] == ["boards", "", "hours"]  # fmt: skip
    nine = ["Job no", *(f"Tooth {n}" for n in range(1, 9))]
    assert asked(nine, ["7", *"abcdefgh"]).questions[0].asks == (
        "What is each row of the sheet “Jobs”? "
        "Its columns are Job no, Tooth 1, Tooth 2, Tooth 3, Tooth 4, Tooth 5, Tooth 6, Tooth 7."
    )
    left = asked(*rows, answers={"rows:Jobs": "leave"})
    assert (left.sheet, left.questions, left.open) == ("", (), False)
    (nothing,) = asked(["Tooth", "Pain"], ["left", "much"]).questions
    assert (nothing.needed, nothing.likely) == (False, "leave")


@pytest.mark.parametrize(
    ("cells", "likely"),
    [
        (["03/04/2024", "25/04/2024"], "day-month"),
        (["03/04/2024", "04/25/2024"], "month-day"),
        (["03/04/2024", "25/04/2024", "04/25/2024"], ""),
        (["03/04/2024"], ""),
        (["03/04/2024", "03/03/2024", "03/04/2024"], ""),  # one day alone tells nothing
        (["03/03/2024", "25/04/2024"], None),  # can be one day alone
        (["3 April 2024", "2024-04-03"], None),
    ],
)
def test_a_day_that_can_be_two_is_asked_with_what_the_others_tell(cells, likely):
    # a cell that neither way reads keeps no column from being one of days
    rows = [[n, f"b{n}", cell] for n, cell in enumerate([*cells, *[DAY] * 30], 1)]
    of = [one for one in asked([*HEAD, "Started"], *rows).questions if one.about == "dates"]
    assert [one.likely for one in of] == ([] if likely is None else [likely])
    for one in of:
        assert str(one.place) == "jobs.xlsx, sheet Jobs, cell C2"
        assert one.samples == ("03/04/2024",)
        assert [(choice.answer, choice.says) for choice in one.choices] == [
            ("day-month", "3 April 2024"), ("month-day", "4 March 2024"),
        ]  # fmt: skip


@pytest.mark.parametrize(
    ("column", "cells", "decimals", "asks"),
    [
        ("Charged", ["1,234", "12.50"], ".", 0),
        ("Charged", ["1.234", "12,50"], ",", 0),
        ("Charged", ["1.234"], "", 1),
        ("Charged", ["1.234", "12,50", "12.50"], "", 1),
        ("Charged", ["12,50", "12.50"], "", 0),
        ("Remarks", ["1.234"], "", 0),
        ("Estimate (hrs)", ["1.234"], "", 0),
    ],
)
def test_thousands_are_told_by_other_cells_or_asked(column, cells, decimals, asks):
    of = asked([*HEAD, column], *([n, f"b{n}", cell] for n, cell in enumerate(cells)))
    assert of.decimals == decimals
    questions = [one for one in of.questions if one.about == "decimals"]
    assert len(questions) == asks
    for one in questions:
        assert (one.asks, one.samples, one.likely) == ("What is 1.234?", ("1.234",), "")
        assert [(choice.answer, choice.says) for choice in one.choices] == [
            (",", "1234"),
            (".", "1 and a part"),
        ]


@pytest.mark.parametrize(
    ("name", "cells", "says"),
    [
        ("Length", [9.6], ["9 ft 6 in", "9.6 ft"]),
        ("Length (ft)", ["9,6"], ["9 ft 6 in", "9.6 ft"]),
        ("Length", [9, 12.5], ["12 ft 5 in", "12.5 ft"]),
        ("Length", [3.5], ["3 ft 5 in", "3.5 ft"]),
        ("Length", [9], None),
        ("Length (m)", [3.1], None),
        ("Length (cm)", [290.5], None),
        ("Width (in)", [9.5], None),
    ],
)
def test_parts_of_a_foot_are_asked_about_and_nothing_else(name, cells, says):
    of = asked([*HEAD, name], *([n, f"b{n}", cell] for n, cell in enumerate(cells)))
    (*questions,) = (one for one in of.questions if one.about == "feet")
    assert [[choice.says for choice in one.choices] for one in questions] == ([says] if says else [])
    for one in questions:
        told = asked([*HEAD, name], [1, "b", cells[-1]], answers={one.key: one.choices[1].answer})
        assert (dict(told.feet), told.questions) == ({name: one.choices[1].answer}, ())


@pytest.mark.parametrize(
    ("name", "cells", "asks", "says"),
    [
        ("Deposit", ["5.50", ""], "“Deposit” is empty in 1 row. What does that mean?", "there was none"),
        (
            "Strip hrs",
            ["5", "", ""],
            "“Strip hrs” is empty in 2 rows. What does that mean?",
            "it was not done",
        ),
        (
            "Est foam pieces",
            ["2", ""],
            "“Est foam pieces” is empty in 1 row. What does that mean?",
            "there was none",
        ),
        ("Deposit", ["5.50", "2"], None, ""),
        ("Deposit", ["", ""], None, ""),
        ("Customer", ["Ann", ""], None, ""),
        ("Charged", ["5.50", ""], None, ""),
        ("Started", [DAY, ""], None, ""),
    ],
)
def test_a_blank_is_asked_about_where_it_can_mean_two_things(name, cells, asks, says):
    of = asked([*HEAD, name], *([n, f"b{n}", cell] for n, cell in enumerate(cells)))
    questions = [one for one in of.questions if one.about == "blank"]
    assert [one.asks for one in questions] == ([asks] if asks else [])
    for one in questions:
        assert str(one.place) == "jobs.xlsx, sheet Jobs, cell C3"
        assert [(choice.answer, choice.says) for choice in one.choices] == [
            ("none", says), ("unknown", "it was not written down"),
        ]  # fmt: skip


@pytest.mark.parametrize(
    ("header", "row", "ours"),
    [
        (["No", "Board", "Started"], [7, "red", DAY], {"No": "board", "Board": "called"}),
        (["No", "Board", "Nickname"], [7, "a", "red"], {"Board": "board", "Nickname": "called"}),
        (["No", "Nickname", "Shelf", ""], [7, "red", "left", "x"], {"Shelf": "leave", "column D": "leave"}),
        (["No", "Nickname", "Empty"], [7, "red", ""], {"Empty": "leave"}),
        (["No", "Nickname", "Strip"], [7, "red", 3], {"Strip": None}),
        (["No", "Nickname", "Strip", "Sanding", "Look it over"], [7, "red", 3, 4, 1],
         {"Strip": "hours strip", "Sanding": "hours sand", "Look it over": "hours look"}),
        (["No", "Nickname", "Strip", "Sanding"], [7, "red", 3, 4], {"Strip": None, "Sanding": None}),
        (["No", "Nickname", "Logos"], [7, "red", 3], {"Logos": None}),
        (["No", "Nickname", "Logos before"], [7, "red", 3], {"Logos before": "assessed_logos"}),
        (["No", "Nickname", "Logos found"], [7, "red", 3], {"Logos found": "found_logos"}),
        (["No", "Nickname", "Custommer"], [7, "red", "Ann"], {"Custommer": None}),
        (["No", "Nickname", "Started", "Start date"], [7, "red", DAY, DAY], {"Started": "started", "Start date": "leave"}),
        (["No", "Nickname", "Start", "Start date"], [7, "red", DAY, DAY], {"Start": None, "Start date": None}),
        (["No", "Nickname", "Due"], [7, "red", DAY], {"Due": None}),
        (["No", "Nickname", "Price (mk)"], [7, "red", 5.5], {"Price (mk)": "leave"}),
        (["No", "Job no", "Started"], [7, 8, DAY], {"No": None, "Job no": None}),
    ],
)  # fmt: skip
def test_what_a_column_is_where_that_is_clear(header, row, ours):
    of = asked(header, row)
    keys = {one.header for one in of.questions if one.about == "column" and one.needed}
    assert {name: of.ours.get(name) for name in ours} == ours
    assert keys == {name for name, target in ours.items() if target is None}


def test_of_a_column_of_nothing_nothing_is_said():
    of = asked([*HEAD, "Empty"], [7, "red", ""])
    assert (of.questions, of.notes, [one.ours for one in of.columns]) == ((), (), ["board", "called", ""])
    of = asked([*HEAD, "Shelf", "Bay"], [7, "red", "left", "b"])
    assert of.notes == ("Kept as they stand, for they are none of ours: Shelf, Bay.",)


def test_the_question_about_a_column_offers_what_it_may_be_and_what_was_answered_is_not_asked():
    (question,) = asked([*HEAD, "Due"], [7, "red", DAY]).questions
    assert [choice.answer for choice in question.choices] == ["wanted_by", "promised_last", "leave"]
    assert (question.likely, question.samples, question.needed) == ("wanted_by", ("2024-03-04",), True)
    assert question.takes("quoted")
    assert question.takes("hours strip")
    assert not question.takes("hours fly")
    told = asked([*HEAD, "Due"], [7, "red", DAY], answers={"column:Jobs:Due": "quoted"})
    assert (told.ours["Due"], told.questions) == ("quoted", ())
    odd = asked([*HEAD, "Due"], [7, "red", DAY], answers={"column:Jobs:Due": "tooth"})
    assert len(odd.questions) == 1
    one = asked(
        [*HEAD, "Start", "Start date"], [7, "red", DAY, DAY], answers={"column:Jobs:Start date": "started"}
    )
    assert (one.ours["Start date"], [question.header for question in one.questions]) == ("started", ["Start"])
    # what another column is already is not offered
    (two,) = asked([*HEAD, "Wanted by", "Due"], [7, "red", DAY, DAY]).questions
    assert [choice.answer for choice in two.choices] == ["promised_last", "leave"]
    assert two.likely == "leave"
    # a name of ours over what stands twice is what they are called, or no number
    (three,) = asked(["Board", "Started"], ["red", DAY], ["red", DAY]).questions
    assert [choice.answer for choice in three.choices] == ["called", "board", "leave"]


def test_what_was_answered_is_remembered_for_sheets_with_most_of_its_columns():
    rows = (
        [*HEAD, "Due", "Deposit", "Started"],
        [7, "red", DAY, "5,5", "03/04/2024"],
        [8, "tan", DAY, "", "03/04/2024"],
    )
    answers = {"column:Jobs:Due": "quoted", "blank:Jobs:Deposit": "none", "dates:Jobs": "month-day"}
    known = asked(*rows, answers=answers)
    assert known.questions == ()
    settings = with_import(SETTINGS, shape_of(known, "jobs"))
    again = asked(*rows, settings=settings, title="Next month")
    assert (again.ours, again.blanks, again.dates, again.questions) == (
        known.ours,
        {"Deposit": "none"},
        "month-day",
        (),
    )
    most = asked(["No", "Nickname", "Due", "Shelf"], [7, "red", DAY, ""], settings=settings)
    assert most.ours["Due"] == "quoted"
    half = asked(["No", "Due", "Shelf", "Customer"], [7, DAY, "", "Ann"], settings=settings)
    assert "Due" not in half.ours
    # of two the one with more of its columns, wherever it stands
    fewer = shape_of(asked(rows[0][:4], *(row[:4] for row in rows[1:]), answers={"column:Jobs:Due": "wanted_by", "blank:Jobs:Deposit": "none"}), "a")  # fmt: skip
    for first, second in ((fewer, shape_of(known, "jobs")), (shape_of(known, "jobs"), fewer)):
        both = with_import(with_import(SETTINGS, first), second)
        assert asked(*rows, settings=both).ours["Due"] == "quoted"
    over = asked(
        *rows, settings=settings, answers={"column:Jobs:Due": "asked"}
    )  # what is answered now goes before
    assert over.ours["Due"] == "asked"


def test_where_the_shop_says_how_it_writes_dates_nothing_is_asked():
    settings = SETTINGS.replace("[workshop]", '[workshop]\ndates = "day-month"')
    assert asked([*HEAD, "Started"], [7, "red", "03/04/2024"], settings=settings).questions == ()


@pytest.mark.parametrize(
    ("source", "title", "name"),
    [
        ("My jobs.xlsx", "2024", "my_jobs_2024"),
        ("jobs.csv", "jobs", "jobs"),
        ("2024.csv", "2024", "sheet_2024"),
        ("???.csv", "???", "sheet"),
    ],
)
def test_the_name_under_which_a_sheet_is_remembered(source, title, name):
    table = found(HEAD, [7, "red"], title=title)
    object.__setattr__(table, "place", Place(source, title))
    assert shape_name(table) == name


def test_a_column_of_ours_in_words_and_all_that_one_can_be():
    settings = parse_settings(SETTINGS)[0]
    said = {
        "hours strip": "hours of strip old glass",
        "assessed_infills": "foam pieces, as judged before work",
        "found_area": "area stripped, as it turned out",
        "later_logos": "logos, asked for since",
        "price_charged": "price charged",
    }
    assert {target: say_target(target, settings) for target in said} == said
    assert set(said) <= set(allowed_of("boards", settings))
    assert "hours strip" not in allowed_of("hours", settings)
    assert allowed_of("weights", settings)[:3] == ("board", "date", "weight")


@pytest.mark.parametrize(
    ("heading", "name", "unit"),
    [
        ("Hours: sanding", "sanding", "h"),
        ("# of boards", "# of boards", ""),
        ("(new) board", "(new) board", ""),
        ("Hours", "Hours", ""),
        ("Hourly rate", "Hourly rate", ""),
        ("Day", "Day", ""),
        ("Sand in", "Sand in", ""),
        ("Length in cm", "Length", "cm"),
    ],
)
def test_a_heading_without_its_unit(heading, name, unit):
    assert unit_in(heading) == (name, unit)


def test_how_a_sheet_writes_feet_and_thousands_is_remembered_and_that_it_is_left_out():
    rows = ([*HEAD, "Length", "Charged"], [7, "red", 9.6, "1.234"])
    answers = {"feet:Jobs:Length": "feet", "decimals:Jobs": ","}
    (feet,) = (one for one in asked(*rows).questions if one.about == "feet")
    answers[feet.key] = feet.choices[0].answer
    known = asked(*rows, answers=answers)
    assert known.questions == ()
    again = asked(*rows, settings=with_import(SETTINGS, shape_of(known, "jobs")), title="May")
    assert (again.questions, again.decimals, dict(again.feet)) == ((), ",", {"Length": answers[feet.key]})
    rows = (["Job no", "Tooth"], ["7", "left"])
    left = shape_of(asked(*rows, answers={"rows:Jobs": "leave"}), "teeth")
    again = asked(*rows, settings=with_import(SETTINGS, left), title="May")
    assert (again.sheet, again.questions) == ("", ())


@pytest.mark.parametrize("numbers", [[7, 7], [7, ""]])
def test_a_number_that_stands_twice_or_not_in_every_row_is_no_number(numbers):
    of = asked(
        ["Job no", "Nickname"],
        *([number, name] for number, name in zip(numbers, ["red", "tan"], strict=True)),
    )
    assert [question.key for question in of.questions] == ["column:Jobs:Job no"]


def test_a_column_is_what_nine_in_ten_of_its_cells_are():
    def deposit(good, bad):
        of = asked(
            [*HEAD, "Deposit"], *([n, f"b{n}", cell] for n, cell in enumerate(["5.50"] * good + bad, 1))
        )
        return of.ours.get("Deposit")

    assert (deposit(9, ["x"]), deposit(8, ["x"]), deposit(18, ["x", "y"])) == ("deposit", None, "deposit")


@pytest.mark.parametrize("cell", ["04/25/2024", "25/04/2024"])
def test_days_are_days_in_either_way_to_write_them(cell):
    assert asked([*HEAD, "Started"], [7, "red", cell]).ours["Started"] == "started"


@pytest.mark.parametrize(
    ("above", "strip"),
    [
        ([["", "", "Hours", "Money"]], "hours strip"),  # over several columns
        ([["", "", "Hours"]], None),  # a title
        ([["", "", "Hours", "Money"], []], None),  # not just above them
        ([["Old", "Old", "Old", "Old", "Old", "Old"]], None),  # one word, however often
    ],
)
def test_words_just_above_several_columns_say_what_they_hold(above, strip):
    of = asked(*above, [*HEAD, "Strip", "Charged"], [7, "red", 3, "5.50"], [8, "tan", 4, "6.50"])
    assert of.table.header_row == len(above) + 1
    assert of.ours.get("Strip") == strip


@pytest.mark.parametrize(
    ("rows", "kept", "sums", "headings"),
    [
        ([[7, "red", 5], [8, "tan", 6], ["", "", 11]], 2, (4,), ()),
        ([[7, "red", 5], ["", "", 5]], 2, (), ()),  # one row is no sum of the other
        ([[7, "red", 50], [8, "tan", 50], ["", "", 97]], 3, (), ()),
        ([[7, "red", 0], [8, "tan", 0], ["", "", "0"]], 3, (), ()),
        ([[7, "red", 5], [8, "tan", 6], ["Total", "", 12]], 2, (4,), ()),
        ([[7, "red", 5], ["No", "Nickname", "Hours"], [8, "tan", 6]], 2, (), ()),  # the header once more
        ([["2024", "", ""], [7, "red", 5]], 1, (), (2,)),
        ([["2024", "red", ""], [7, "red", 5]], 2, (), ()),
        ([[7, "red", 5, "and more"]], 1, (), ()),
    ],
)
def test_which_rows_are_rows_and_which_sum_up_or_head_others(rows, kept, sums, headings):
    table = found(["No", "Nickname", "Hours"], *rows)
    assert (len(table.rows), table.sums, table.headings, table.problems) == (kept, sums, headings, ())


def test_a_year_alone_is_a_number_where_there_are_two_columns():
    table = found(HEAD, [2024, ""], [7, "red"])
    assert (len(table.rows), table.headings) == (2, ())


def test_of_rows_alike_the_first_is_the_header():
    assert found(["Tooth", "Pain"], ["left", "much"], ["right", "little"]).header_row == 1


@pytest.mark.parametrize(
    ("word", "root"),
    [("shed", "shed"), ("doing", "doing"), ("glassing", "glass"), ("filling", "fill"), ("stripped", "strip"),
     ("glaze", "glaz"), ("glazed", "glaz"), ("bee", "bee"), ("sanding", "sand")],
)  # fmt: skip
def test_a_word_without_its_ending(word, root):
    assert stem(word) == root


@pytest.mark.parametrize(
    ("first", "is_one"),
    [("Total hours", True), ("Hours total", True), ("Sum", True), ("total of all hours", False),
     ("total rebuild", False), ("hours", False)],
)  # fmt: skip
def test_a_row_that_says_that_it_is_a_sum(first, is_one):
    assert a_sum(["", 3.0, first, "total"]) is is_one


def test_a_unit_is_a_word_of_its_own():
    assert unit_in("Workdays") == ("Workdays", "")
    assert unit_in("Work days") == ("Work", "days")


def test_of_numbers_that_can_be_two_the_first_is_told():
    assert written_in(["5.5", "1,234", "5,678", "12.50"]) == (frozenset("."), "1,234")
    assert mark_in("1.234,5") == ","
    assert mark_in("1,234,567") == "."
    assert mark_in("1.234.567") == ","


def test_of_two_stages_that_a_word_may_mean_it_is_the_first():
    words = ColumnWords(Settings(stages={"sand": Stage("sand"), "rub": Stage("rub", label="Sanding")}))
    assert [words.stage(one) for one in ("sanded", "rubbed", "surfing")] == ["sand", "rub", "surfing"]

"""Csv in the encodings, separators and quotation marks that programs write, and in those they break."""

import codecs
import time

import pytest

from estimator.log.columns import names_of_sheets
from estimator.log.csv_tables import any_rows, decoded, read_csv
from estimator.words.settings.schema import Settings

NAMES = names_of_sheets(Settings())
BOARDS = "board,called,length,note\nA,größe ½,9'4,ein – Strich\n"


def rows(text, sheet="boards"):
    data = text if isinstance(text, bytes) else text.encode()
    table, problems, notes = read_csv(data, NAMES[sheet], f"{sheet}.csv")
    return (
        [(number, table.named(cells)) for number, cells in table.rows],
        [problem.sentence() for problem in problems],
        [note.sentence() for note in notes],
    )


@pytest.mark.parametrize(
    "data",
    [
        BOARDS.encode(),
        codecs.BOM_UTF8 + BOARDS.encode(),
        BOARDS.encode("utf-16"),
        codecs.BOM_UTF16_BE + BOARDS.encode("utf-16-be"),
        BOARDS.encode("utf-16-le"),
        BOARDS.encode("utf-16-be"),
        BOARDS.encode("utf-32"),
        BOARDS.encode("cp1252"),
        BOARDS.replace("\n", "\r\n").encode(),
        BOARDS.replace("\n", "\r").encode(),
        BOARDS.replace(",", ";").encode(),
        BOARDS.replace(",", "\t").encode("utf-16"),
        BOARDS.replace(",", " , ").encode(),
        ("sep=;\n" + BOARDS.replace(",", ";")).encode(),
        BOARDS.rstrip("\n").encode(),
    ],
    ids=range(15),
)
def test_every_usual_encoding_separator_and_line_end_reads_the_same(data):
    [(_, cells)], problems, notes = rows(data)
    assert cells == {"board": "A", "called": "größe ½", "length": "9'4", "note": "ein – Strich"}
    assert (problems, notes) == ([], [])


def test_quotation_marks_as_the_standard_for_csv_has_them():
    # IETF RFC 4180, section 2: line ends of CRLF; item 6, fields with line breaks, double quotes and commas
    # stand between double quotes; item 7, a double quote in them is doubled
    text = 'board,called,note\r\n"aaa","b \r\nbb","ccc"\r\n"zzz","yyy","x""x, x"\r\n'
    read, problems, _ = rows(text)
    assert read == [
        (2, {"board": "aaa", "called": "b \nbb", "note": "ccc"}),
        (4, {"board": "zzz", "called": "yyy", "note": 'x"x, x'}),
    ]
    assert problems == []


def test_a_title_merged_headings_and_empty_rows_stand_above_the_names_of_the_columns():
    text = "Log of the shed,,,\n,,,\n,Dates,,\nBoard ID,ASKED,Finished,Notes\n,,,\nA,2026-01-02,,x\n , ,,\n"
    read, problems, _ = rows(text)
    assert read == [(6, {"board": "A", "asked": "2026-01-02", "note": "x"})]
    assert problems == []


def test_a_repeated_row_of_names_is_passed_over():
    assert rows("board,note\nA,x\nboard,note\nB,y\n")[0] == [
        (2, {"board": "A", "note": "x"}),
        (4, {"board": "B", "note": "y"}),
    ]


def test_a_row_has_the_cells_of_its_header_or_is_left_out():
    text = "board,length,width,\nA,9'4,22,\nB,9'4,22,5,x,,\nC,9'4\nD,9'4,22,,,,\nE\n"
    read, problems, _ = rows(text)
    assert [cells["board"] for _, cells in read] == ["A", "D"]
    assert problems == [
        (
            "boards.csv, line 3: the row has 5 cells where the header has 3. "
            "Put a cell that holds a comma between quotation marks."
        ),
        (
            "boards.csv, line 4: the row has 2 cells where the header has 3. "
            "Add the empty cells, so that each one stands under its name."
        ),
        (
            "boards.csv, line 6: the row has 1 cell where the header has 3. "
            "Add the empty cells, so that each one stands under its name."
        ),
    ]


@pytest.mark.parametrize(
    ("text", "line"),
    [
        ('board,note\nA,"x\nB,y\nC,z\n', 2),  # never closes
        ('board,note\nA,x\n"B,y\nC,z\nD,"w"\n', 3),  # closes at another row's mark
        ('board,note\nA,x\nB,"y\nC,"z"\nD,w\n', 3),
    ],
)
def test_an_open_quotation_mark_costs_its_own_row_only(text, line):
    read, problems, _ = rows(text)
    assert problems == [
        (
            f"boards.csv, line {line}: a quotation mark opens in this row and does not close as it should. "
            "Close it, write it twice where inches are meant, or take it out."
        )
    ]
    lines = text.splitlines()
    lost = lines.pop(line - 1)
    assert [cells["board"] for _, cells in read] == [one.split(",")[0] for one in lines[1:]]
    assert '"' in lost


def test_a_mark_that_closes_at_the_inches_of_the_next_row_swallows_no_row():
    text = 'board,called,kind,length,asked,note\nA,,,"6\'2,,\nB,,,6\'4",,\nC,,,,,"two lines,\nof a, note"\n'
    read, problems, _ = rows(text)
    assert [cells["board"] for _, cells in read] == ["B", "C"]
    assert [problem.split(":")[0] for problem in problems] == ["boards.csv, line 2"]


def test_inch_marks_are_kept_where_they_do_no_harm():
    assert rows('board,length\nA,9\'4"\nB,"9\'4"""\n')[0] == [
        (2, {"board": "A", "length": "9'4\""}),
        (3, {"board": "B", "length": "9'4\""}),
    ]


def test_columns_without_a_name_are_noted_and_unknown_ones_are_problems():
    _, problems, notes = rows("board,,called,colr,\nA,x,y,z,\nB,,,,\nC,x,,,\n")
    assert notes == [
        "boards.csv, line 1: column B has no name, and what stands in it is not read (rows: 2). Name it, or leave it."
    ]
    assert problems == [
        'boards.csv, line 1: "colr": boards has no column of this name, and it is not read. Rename it, or take it out.'
    ]


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (b"", "there is nothing in it. Write a first row with the names: board, date, stage, hours."),
        (b"\n ,\n\n", "there is nothing in it. Write a first row with the names: board, date, stage, hours."),
        (
            b"A,2026-01-02,strip,4\n",
            "no row at its head names the columns. Write a first row with the names: board, date, stage, hours.",
        ),
        (b"\x00\x01\x02\x03\xff", "this is not a text file. Save it from your program as csv."),
        (bytes(range(1, 30)) * 9, "this is not a text file. Save it from your program as csv."),
        (b"\x81\x8d\x8f", "this is not a text file. Save it from your program as csv."),
        (
            b"PK\x03\x04\x00\x00",
            "this is a spreadsheet under another name. Save it from your program as csv, or name it log.xlsx or log.ods.",
        ),
    ],
)
def test_what_is_no_table_is_one_problem(data, said):
    assert rows(data, "hours") == ([], [f"hours.csv: {said}"], [])


def test_a_header_alone_is_a_table_without_rows():
    assert rows("board,date,stage,hours\n", "hours") == ([], [], [])


def test_columns_that_must_be_there():
    read, problems, _ = rows("board,date,hours\nA,2026-01-02,3\n", "hours")
    assert read == []
    assert problems == ["hours.csv, line 1: there is no column “stage”. Add a column with the name stage."]


def test_text_is_not_taken_for_another_encoding():
    assert decoded(b"ab").text == "ab"
    assert decoded("日本".encode()).text == "日本"
    assert decoded(codecs.BOM_UTF16_LE + b"a") is None


def test_a_row_that_runs_on_for_too_long_has_a_forgotten_mark():
    note = "\n".join(f"line {n}" for n in range(100))
    table, problems, _ = read_csv(f'board,note\nA,"{note}"\nB,\n'.encode(), NAMES["boards"], "boards.csv")
    assert problems == []
    assert [cells[0] for _, cells in table.rows] == ["A", "B"]

    _, problems, _ = read_csv(f'board,note\nA,"{note}\nmore"\nB,\n'.encode(), NAMES["boards"], "boards.csv")
    assert problems[0].said() == (
        "boards.csv, line 2: a quotation mark opens in this row and does not close as it should."
    )


def test_time_grows_with_the_text_and_no_faster():
    def seconds(lines):
        # each row closes the mark of the one before and opens one more, so that any of them runs on to the end
        data = ('board,note\nA,"\n' + '",A",,"x\n' * lines).encode()
        start = time.process_time()
        _, problems, _ = read_csv(data, NAMES["boards"], "boards.csv")
        assert len(problems) > lines / 2
        return time.process_time() - start

    def soonest(lines):  # of a few: what else a machine does takes time too
        return min(seconds(lines) for _ in range(4))

    # 16 times as many lines; by the square it would be 256 times as long
    assert soonest(8000) < 60 * soonest(500)


@pytest.mark.parametrize(("header", "read_so"), [("board,called,kind,length,note", True), ("board,called,kind,length,aim,note", False)])  # fmt: skip
def test_lines_of_a_note_that_could_be_rows_are_rows_only_where_there_are_many_columns(header, read_so):
    row = "A,,,," + ("," if not read_so else "")
    text = (
        f'{header}\n{row}"one, two, three, four, five, six\nred, green, blue, tan, plum, grey"\nB{row[1:]}\n'
    )
    read, problems, _ = rows(text)
    assert [cells["board"] for _, cells in read] == (["A", "B"] if read_so else ["red", "B"])
    assert bool(problems) is not read_so


def test_where_one_column_is_named_its_cells_are_parted_by_commas():
    read, problems, _ = rows("board\nA\nB,x\nC\tx\n")
    assert [cells["board"] for _, cells in read] == ["A", "C\tx"]
    (problem,) = problems
    assert problem.startswith(
        "boards.csv, line 3: the row has 2 cells where the header has 1. Put a cell that holds a comma"
    )


@pytest.mark.parametrize(
    ("text", "second"),
    [
        ("Jobs of 2024\n\nby hand\nNo;Name\n1;red\n2;tan\n", ["No", "Name"]),  # most rows have no comma
        ("Jobs\nNo;Name\n1;red, tan\n2;a, b\n3;x;late\n", ["No", "Name"]),  # one row is wider
        (
            "Notes, for, 2024\nNo;Name\n1;red, tan\n2;a, b, c\n3;x, y, z, w\n",
            ["No", "Name"],
        ),  # as many, not alike
        ("No,Name\n1;2,red\n3;4,tan\n", ["No", "Name"]),
        ("No\tName\n1\tred, a\n2\ttan\n", ["No", "Name"]),
    ],
)
def test_of_a_stranger_s_text_the_separator_is_the_one_by_which_most_rows_are_alike(text, second):
    found, troubles = any_rows(text)
    assert troubles == []
    assert second in [cells for _, cells in found]


@pytest.mark.parametrize(
    ("data", "text"),
    [
        (b"board,note\nA,red\x1b[0m and much more that is all right\n", True),
        (b"board,note\nA,red\x00,and,much,more,that,shows,all,right\n", False),
        (b"board,note\nA," + b"\x1b" * 9 + b"x" * 137, False),  # 9 of 159 or 160
        (b"board,note\nA," + b"\x1b" * 8 + b"x" * 140, True),  # 8 of 161, less than 5 in 100
    ],
)
def test_a_few_control_characters_are_a_text_all_the_same_and_one_of_nothing_is_none(data, text):
    for more in (b"", b" "):  # of an even number of bytes or an odd one
        assert (decoded(data + more) is not None) is text


@pytest.mark.parametrize(("empty", "found"), [(39, [41]), (40, [])])
def test_the_names_of_columns_are_looked_for_in_the_first_forty_lines(empty, found):
    assert [number for number, _ in rows("\n" * empty + "board,note\nA,x\n")[0]] == found


@pytest.mark.parametrize(("separator", "named"), [(",", "comma"), (";", "semicolon"), ("\t", "tab")])
def test_a_cell_too_many_is_told_by_what_parts_the_cells_of_that_file(separator, named):
    text = "board,called,note\nA,red,x,y\n".replace(",", separator)
    assert rows(text)[1] == [
        (
            f"boards.csv, line 2: the row has 4 cells where the header has 3. "
            f"Put a cell that holds a {named} between quotation marks."
        )
    ]


def test_only_how_a_text_begins_says_whether_it_is_one():
    assert decoded(b"\x1b" * 600 + b"x" * 19_400) is None
    assert decoded(b"x" * 10_000 + b"\x1b" * 10_000) is not None


def test_what_stands_under_no_name_is_no_cell_too_many_and_empty_cells_count_where_some_are_missing():
    read, problems, notes = rows("board,called,note,,\nA,red,x,,y\nB,\n")
    assert [cells for _, cells in read] == [{"board": "A", "called": "red", "note": "x"}]
    assert [one.partition(", and")[0] for one in notes] == ["boards.csv, line 1: column E has no name"]
    assert [one.partition(". ")[0] for one in problems] == [
        "boards.csv, line 3: the row has 2 cells where the header has 3"
    ]

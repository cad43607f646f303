"""One row more, or a cell filled: every other byte of a csv file stays."""

import codecs

import pytest
from hypothesis import given
from hypothesis import strategies as st

from estimator.log.columns import names_of_sheets
from estimator.log.csv_tables import read_csv, with_cells, with_columns, with_row
from estimator.words.errors import UsageError
from estimator.words.settings.schema import Settings

NAMES = names_of_sheets(Settings())
COLUMNS = ["board", "called", "promised_first", "promised_last", "note"]
CODINGS = [
    (b"", "utf-8"),
    (codecs.BOM_UTF8, "utf-8"),
    (b"", "cp1252"),
    (codecs.BOM_UTF16_LE, "utf-16-le"),
    (codecs.BOM_UTF16_BE, "utf-16-be"),
    (codecs.BOM_UTF32_LE, "utf-32-le"),
]

words = st.text("abé½'7 ", max_size=6).map(str.strip)
risky = st.text("ab;,\t'\"é\n", max_size=8)


def quoted(text):
    return '"' + text.replace('"', '""') + '"'


def raw(draw, end, separator):
    """A cell as some program may write it: bare, between marks, with spaces around, over several lines."""
    if draw(st.booleans()):
        return draw(st.sampled_from(["", " "])) + quoted(draw(risky).replace("\n", end))
    return draw(st.sampled_from(["", " "])) + draw(words)


@st.composite
def files(draw):
    """Grid of raw cells with its header, how to join it to bytes, and how it begins."""
    end = draw(st.sampled_from(["\n", "\r\n", "\r"]))
    separator = draw(st.sampled_from([",", ";", "\t"]))
    mark, coding = draw(st.sampled_from(CODINGS))
    header = draw(st.permutations(COLUMNS))
    grid = []
    for number in range(draw(st.integers(0, 4))):
        cells = {name: raw(draw, end, separator) for name in header}
        cells["board"] = draw(st.sampled_from([f"26-{number}", quoted(f"26-{number}")]))
        for name in ("promised_first", "promised_last"):
            cells[name] = draw(st.sampled_from(["", " ", '""', "2026-05-04"]))
        grid.append([cells[name] for name in header])
    above = draw(st.sampled_from(["", f"Log of the shed{end}{end}", end]))
    blank = draw(st.sampled_from(["", end, f"{separator * 4}{end}"]))
    close = draw(st.sampled_from(["", end, end + end]))

    def joined(rows):
        lines = [separator.join(row) for row in [header, *rows]]
        first, *rest = lines
        return mark + (above + end.join([first, *(blank + line for line in rest)]) + close).encode(coding)

    return joined, grid, header


def table(data, sheet="boards"):
    read, problems, _ = read_csv(data, NAMES[sheet], f"{sheet}.csv")
    return [(number, read.named(cells)) for number, cells in read.rows], problems


@given(files(), st.fixed_dictionaries({"board": st.just("26-9"), "note": risky | words}))
def test_a_row_is_added_behind_the_bytes_that_are_there(file, cells):
    joined, grid, _ = file
    data = joined(grid)
    cells = {name: " ".join(text.split()) for name, text in cells.items()}
    try:
        changed = with_row(data, NAMES["boards"], "boards.csv", cells)
    except UsageError as error:  # é in a file of bare letters is UTF-8, and cp1252 has it too
        pytest.fail(str(error))
    before, problems = table(data)
    after, wrong = table(changed)

    assert changed.startswith(data)
    assert after[:-1] == before
    assert after[-1][1] == {name: text for name, text in cells.items() if text}
    assert wrong == problems


@given(files(), st.data())
def test_cells_are_filled_and_every_other_byte_stays(file, data):
    joined, grid, header = file
    before, _ = table(joined(grid))
    if not before:
        return
    line, cells = before[data.draw(st.integers(0, len(before) - 1))]
    at = next(i for i, row in enumerate(grid) if row[header.index("board")].strip('"') == cells["board"])
    wanted = data.draw(
        st.dictionaries(st.sampled_from(["promised_first", "promised_last"]), st.just("2026-06-12"))
    )
    expected = [list(row) for row in grid]
    for name, day in wanted.items():
        expected[at][header.index(name)] = day

    assert with_cells(joined(grid), NAMES["boards"], "boards.csv", line, wanted) == joined(expected)


@pytest.mark.parametrize(
    ("text", "added"),
    [
        ("board,date\nA,2026-01-02\n", "B,2026-02-03\n"),
        ("board,date\nA,2026-01-02", "\nB,2026-02-03"),
        ("board;Date;;price\r\nA;2026-01-02;;800\r\n", "B;2026-02-03;;\r\n"),
        ("date\tterms\tboard\r2026-01-02\t\tA\r", "2026-02-03\t\tB\r"),
        ("board,date", "\nB,2026-02-03"),
        ("board,date\r\nA,2026-01-02\n", "B,2026-02-03\n"),  # that of the last line
    ],
)
def test_separator_line_end_and_order_are_the_file_s_own(text, added):
    cells = {"board": "B", "date": "2026-02-03", "price": ""}

    assert with_row(text.encode(), NAMES["told"], "told.csv", cells).decode() == text + added


def test_letters_go_into_the_coding_of_the_file():
    old = "board,date,price,terms\nA,2026-01-02,1,fünf\n".encode("cp1252")
    cells = {"board": "A", "date": "2026-02-03", "terms": "große, \"zu'"}

    assert with_row(old, NAMES["told"], "told.csv", cells) == old + (
        'A,2026-02-03,,"große, ""zu\'"\n'.encode("cp1252")
    )
    with pytest.raises(UsageError) as caught:
        with_row(old, NAMES["told"], "told.csv", cells | {"terms": "日本"})
    assert str(caught.value) == (
        "told.csv is kept in a coding that has no 日本. Save it as UTF-8, or write it in other letters."
    )
    with pytest.raises(UsageError, match=r"has no '\\udc80'"):
        with_row(b"board,date,terms\n", NAMES["told"], "told.csv", cells | {"terms": "\udc80"})


def test_a_text_that_begins_with_a_quotation_mark_stands_between_others():
    old = b"board,note\nA,x\n"
    assert with_cells(old, NAMES["boards"], "boards.csv", 2, {"note": '"red" one'}) == (
        b'board,note\nA,"""red"" one"\n'
    )


def test_a_column_that_is_not_there_is_asked_for():
    for columns, said in (
        ("board,date", "no columns price, terms. Add them, with an empty cell in every row that is there."),
        ("board,price,terms", "no column date. Add it, with an empty cell in every row that is there."),
    ):
        cells = {"board": "A", "date": "2026-02-03", "price": "8", "terms": "x"}
        with pytest.raises(UsageError) as caught:
            with_row(f"{columns}\n".encode(), NAMES["told"], "told.csv", cells)
        assert str(caught.value) == f"told.csv has {said}"


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (b"A,2026-01-02\n", "weights.csv: no row at its head names the columns."),
        (b"\n", "weights.csv: there is nothing in it."),
        (b"PK\x03\x04\x00", "weights.csv: this is a spreadsheet under another name."),
    ],
)
def test_what_is_no_table_stays(data, said):
    with pytest.raises(UsageError, match=said):
        with_row(data, NAMES["weights"], "weights.csv", {"board": "A", "date": "2026-02-03"})


def test_a_row_that_would_be_read_otherwise_is_not_written():
    told = b"board,date,hours_low,hours_high,price,terms\n"
    with pytest.raises(UsageError) as caught:
        with_row(told, NAMES["told"], "told.csv", {"board": "A", "date": "2026-02-03", "terms": " x"})
    assert str(caught.value).startswith("told.csv stays as it is: with this written into it, other rows")
    with pytest.raises(UsageError, match="stays as it is"):
        with_row(told, NAMES["told"], "told.csv", {"board": "A", "date": "2026-02-03", "terms": "\0"})


def test_an_open_quotation_mark_swallows_no_row_to_come():
    old = b'board,date,weight\nA,2026-01-02,"8\n'
    changed = with_row(old, NAMES["weights"], "weights.csv", {"board": "B", "date": "2026-02-03"})

    assert changed == old + b"B,2026-02-03,\n"


def test_a_row_is_found_by_its_line_or_not_at_all():
    boards = b'board,note,promised_last\n\nA,"over\ntwo lines",\nB,,\n'
    names = NAMES["boards"]

    assert with_cells(boards, names, "boards.csv", 5, {"promised_last": "2026-06-12"}).endswith(
        b'lines",\nB,,2026-06-12\n'
    )
    for line in (1, 2, 4, 6, 60):
        with pytest.raises(UsageError, match=r"boards\.csv stays as it is"):
            with_cells(boards, names, "boards.csv", line, {"promised_last": "2026-06-12"})


def test_a_cell_that_would_be_read_otherwise_is_not_written():
    with pytest.raises(UsageError, match=r"boards\.csv stays as it is"):
        with_cells(b"board,note\nA,\n", NAMES["boards"], "boards.csv", 2, {"note": " x"})


@pytest.mark.parametrize(
    ("before", "after"),
    [
        (b"board,note\nA,x\nB,\n", b"board,note,ready,called\nA,x,,\nB,,,\n"),
        (b"board;note\r\nA;x", b"board;note;ready;called\r\nA;x;;"),  # no line end at the end
        (b'board,note\nA,"two\nlines, and ""more"""\nB,\n', b'board,note,ready,called\nA,"two\nlines, and ""more""",,\nB,,,\n'),
        (b"Our boards\n\nboard,note\nA,x\n\nboard,note\nB,y\n", b"Our boards\n\nboard,note,ready,called\nA,x,,\n\nboard,note,ready,called\nB,y,,\n"),
        (b"board,note,,\nA,x,,\nB,y\n", b"board,note,,,ready,called\nA,x,,,,\nB,y,,,,\n"),  # cells without a name
        (b"board,note\nA,x,,\nB,y\n", b"board,note,ready,called\nA,x,,\nB,y,,\n"),  # empty cells too many
    ],
)  # fmt: skip
def test_columns_are_added_and_all_rows_read_as_they_did(before, after):
    names = NAMES["boards"]
    assert with_columns(before, names, "boards.csv", ["ready", "called", "ready"]) == after
    assert with_columns(after, names, "boards.csv", ["ready"]) == after


def test_columns_are_not_added_where_a_row_would_read_otherwise():
    names = NAMES["boards"]
    with pytest.raises(UsageError, match=r"boards\.csv stays as it is"):
        with_columns(b"board,note,called\nA,x,red\nB\n", names, "boards.csv", ["ready"])

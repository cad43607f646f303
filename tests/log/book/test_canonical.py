"""The canonical text of a cell reads as what was typed, and no setting reads it anew."""

import datetime as dt
import itertools

import pytest
from hypothesis import given
from hypothesis import settings as hypothesis_settings
from hypothesis import strategies as st
from making.books import SETTINGS, placeless
from making.plans import TRADE

from estimator.log.book.canonical import Canon, NamesInBook, next_number
from estimator.log.book.schema import OWNERS, SHEETS, SIDES
from estimator.log.columns import csv_headers
from estimator.log.reading import read_log
from estimator.log.tables import RawLog, RawSheet
from estimator.words.errors import UsageError
from estimator.words.problems import Place
from estimator.words.settings.reader import parse_settings
from estimator.words.settings.schema import Modifier, Settings

KNOWN = parse_settings(SETTINGS)[0]
OTHER = parse_settings(
    SETTINGS.replace("6.5", "8").replace('"day-month"', '"month-day"').replace('"mk"', '"kr"')
)[0]
BOARDS = [{"board": "26-001", "called": "red nine-four"}, {"board": "26-002", "called": "tan"}]
FULL = {  # what makes each row one that is read, so that the cell that is looked at counts
    "boards": {"board": "26-003"},
    "hours": {"board": "26-001", "date": "2026-05-04", "stage": "strip", "hours": "2"},
    "told": {"board": "26-001", "date": "2026-05-04"},
    "waits": {"board": "26-001", "from": "2026-05-04", "for": "drying"},
    "weights": {"board": "26-001", "date": "2026-05-04", "weight": "8 kg"},
}


def raw(rows_by_sheet):
    """Raw sheets of rows by column, as a store has them."""
    sheets = []
    for sheet, rows in rows_by_sheet.items():
        header = list(dict.fromkeys(column for row in rows for column in row))
        grid = [(1, header)]
        grid += [(n, [row.get(name, "") for name in header]) for n, row in enumerate(rows, start=2)]
        sheets.append(RawSheet(sheet, Place("x", sheet), grid, 0))
    return RawLog(tuple(sheets))


def with_row(sheet, row):
    rows = {"boards": list(BOARDS)}
    rows.setdefault(sheet, []).append(row)
    return raw(rows)


def kept(sheet, column, value, settings=KNOWN):
    """What a book keeps of a cell."""
    names = NamesInBook()
    for board in BOARDS:
        names.add(board["board"], board["called"])
    return Canon(settings, names).cell(sheet, column, value)


def same_log(sheet, column, typed):
    """Whether the row reads the same as typed and as kept, by these settings; and the kept one by others too."""
    typed = typed.strip() if isinstance(typed, str) else typed  # as every store has it
    cell, readable = kept(sheet, column, typed)
    before, problems, _ = read_log(with_row(sheet, {**FULL[sheet], column: typed}), [], KNOWN)
    after, same, _ = read_log(with_row(sheet, {**FULL[sheet], column: cell}), [], KNOWN)
    assert placeless(after) == placeless(before), (sheet, column, typed, cell)
    wrong = [(p.place, p.wrong if isinstance(typed, str) else "") for p in problems]  # a text is no number
    assert [(p.place, p.wrong if isinstance(typed, str) else "") for p in same] == wrong, (typed, cell)
    if readable and not problems:
        anew, wrong, _ = read_log(with_row(sheet, {**FULL[sheet], column: cell}), [], OTHER)
        assert placeless(anew) == placeless(before), (sheet, column, typed, cell)
        assert wrong == ()
    return cell, readable


COLUMNS = [
    (sheet, column)
    for sheet, columns in SHEETS.items()
    if sheet in FULL
    for column in (*columns, *(f"{s}_{q}" for s in SIDES for q in KNOWN.quantities if sheet == "boards"))
]


def test_every_column_that_is_known_has_its_kind():
    for file, columns in csv_headers(KNOWN).items():
        sheet = file.removesuffix(".csv")
        amounts = {f"{side}_{name}" for side in SIDES for name in KNOWN.quantities}
        # struck_out came after version 1: a book keeps it by name, among the cells that it has no column for
        known = {*SHEETS[sheet], "struck_out", *(amounts | set(OWNERS) if sheet == "boards" else ())}
        assert set(columns) <= known, sheet
    kinds = set(itertools.chain.from_iterable(columns.values() for columns in SHEETS.values()))
    assert kinds == set(Canon(KNOWN, NamesInBook()).forms)


SPELT = {
    "date": [
        "12 June 2026",
        "2026-W24-5",
        "25/12/2026",
        "03/04/2026",
        "June 12, 2026",
        "20260612",
        "12/6/26",
    ],
    "hours": [
        "2,5",
        "2:20",
        "2h30",
        "4½",
        "about 9",
        "9 days",
        "half a day",
        "PT2H30M",
        "2 weeks",
        "45 min",
        "0",
    ],
    "range": ["60-80", "60 to 80 h", "9-12 days", "66", "about 9 days", "1½-2 days"],
    "length": [
        "9'6",
        "9-6",
        "9 ft 6 in",
        "290 cm",
        "2.9 m",
        "9.6",
        "9.6 ft",
        "9'4 1/2",
        "9'4 1/16",
        "114",
        "6'1 1/3",
    ],
    "width": ["22 1/2", "22.6", "57 cm", "22 5/8 in", "22 1/3", "570 mm"],
    "money": [
        "1800",
        "1,800.50",
        "€ 1.800,50",
        "1.800",
        "1800 mk",
        "240,5",
        "none",
        "0.125",
        "US$ 40",
        "1800.505",
    ],
    "odds": ["8/10", "8 in 10", "0.8", "80 %", "19 in 20", "2/3"],
    "weight": ["8.4 kg", "18 lb 6 oz", "18.5 lb", "8,4", "18 lb"],
    "word": [
        "Yes",
        "y",
        "no",
        "x",
        "Full job",
        "MAJOR",
        "on the bench",
        "hidden work",
        "Strip it",
        "gloss",
        "Drying",
    ],
    "name": ["Red Nine-Four", "26-001", "tan", "shop", "nobody", "?", "-", "–", "a  b", "12", " x "],
    "much": [
        "1.2",
        "1,2",
        "14 sq ft",
        "2 1/2",
        "none",
        "same",
        "?",
        "-1",
        "-½",
        "Damp",
        "2",
        "14 ft2",
        "3000 cm2",
    ],
}


@pytest.mark.parametrize(("sheet", "column"), COLUMNS)
def test_every_spelling_reads_the_same_from_every_column(sheet, column):
    for typed in itertools.chain.from_iterable(SPELT.values()):
        if (sheet, column) != ("boards", "board"):
            same_log(sheet, column, typed)


SCRIBBLE = st.text(alphabet="0123456789" * 2 + " .,:/'\"-–+()½⅝²’″%$£pthmsdwkegalbinqfour°", max_size=14)
TYPED = st.one_of(
    SCRIBBLE,
    st.sampled_from(sorted(itertools.chain.from_iterable(SPELT.values()))),
    st.builds(
        "{} {}".format,
        st.floats(0, 400).map(lambda x: f"{x:.4g}"),
        st.sampled_from(["h", "days", "kg", "lb", "m2", "ft2", "cm", "mk"]),
    ),
    st.dates(dt.date(1990, 1, 1), dt.date(2030, 1, 1)).map(lambda day: f"{day:%d/%m/%Y}"),
    st.floats(-10, 3000),
    st.integers(-3, 4000),
    st.booleans(),
    st.dates(dt.date(1990, 1, 1), dt.date(2030, 1, 1)),
    st.datetimes(dt.datetime(1990, 1, 1), dt.datetime(2030, 1, 1)),  # noqa: DTZ001  as a spreadsheet has them
    st.times(),
    st.timedeltas(dt.timedelta(0), dt.timedelta(days=30)),
)


@given(where=st.sampled_from(COLUMNS), typed=TYPED)
@hypothesis_settings(max_examples=400, deadline=None)
def test_whatever_is_typed_reads_the_same(where, typed):
    if where != ("boards", "board"):
        same_log(*where, typed)


@pytest.mark.parametrize(
    ("sheet", "column", "typed", "cell"),
    [
        ("hours", "hours", "9 days", "58.5 h to the nearest 6.5 h"),
        ("hours", "hours", "2:20", "2:20"),
        ("hours", "date", "03/04/2026", "2026-04-03"),
        ("hours", "board", "RED nine-four", "26-001"),
        ("hours", "stage", "Strip it", "strip"),
        ("boards", "length", "114 in", "9'6"),
        ("boards", "length", "9 ft 6 1/2", "9'6 1/2"),
        ("boards", "length", "290 cm", "290 cm"),
        ("boards", "width", "22.5", "22 1/2 in"),
        ("boards", "price_quoted", "1,800 mk", "1800.00"),
        ("boards", "assessed_area", "14 sq ft", "14 ft2"),
        ("boards", "assessed_area", "1,2", "1.2 m2"),
        ("boards", "assessed_area", "14.1234 sq ft", "14.1234 ft2"),
        ("boards", "assessed_wet", "yes", "soaked"),
        ("boards", "later_logos", "−1", "-1"),
        ("boards", "found_logos", "as thought", "same"),
        ("boards", "kind", "full JOB", "major"),
        ("boards", "guess", "9-12 days", "58.5-78"),
        ("told", "odds", "8/10", "0.8"),
        ("weights", "weight", "18 lb 8 oz", "18.5 lb"),
        ("money", "boards", "tan, red nine-four", "26-002; 26-001"),
    ],
)
def test_the_form_in_which_a_cell_is_kept(sheet, column, typed, cell):
    assert kept(sheet, column, typed) == (cell, True)


def test_what_cannot_be_read_is_kept_as_it_is():
    for sheet, column, typed in (
        ("hours", "hours", "2,5O"),
        ("hours", "date", "soon"),
        ("boards", "length", "9.6"),
    ):
        assert kept(sheet, column, typed) == (typed, False)


def test_a_cell_has_an_end():
    assert kept("boards", "note", "x" * 32_000)[0] == "x" * 32_000
    with pytest.raises(UsageError, match="32,001 letters"):
        kept("boards", "note", "x" * 32_001)


def test_a_number_is_the_next_of_its_year():
    assert next_number([], 2026) == "26-001"
    assert next_number(["26-009", "26-x", "25-100"], 2026) == "26-010"
    assert next_number(["26-1005", "26-999"], 2026) == "26-1006"


@pytest.mark.parametrize(
    ("sheet", "column", "value", "cell"),
    [
        ("money", "boards", "Shop", ("shop", True)),
        ("money", "boards", "red, 26-002; RED", ("26-001; 26-002", True)),
        ("money", "boards", "red, nobody's", ("red, nobody's", False)),
        ("hours", "board", "SHOP", ("shop", True)),
        ("hours", "board", "Red", ("26-001", True)),
        ("hours", "stage", "Look it  over", ("assess", True)),
        ("hours", "stage", "Sweeping  Up", ("Sweeping Up", True)),
        ("money", "boards", "Tan, Long", ("26-003", True)),  # one name
        ("boards", "later_logos", -2, ("-2", True)),
        ("boards", "later_logos", "- 2", ("-2", True)),
        ("boards", "later_wetness", "-1", ("-1", True)),
        ("boards", "assessed_wetness", "Wet", ("wet", True)),
        ("boards", "assessed_logos", "?", ("?", True)),
        ("boards", "found_logos", "As thought.", ("same", True)),
        (
            "boards",
            "assessed_logos",
            "as thought",
            ("as thought", True),
        ),  # only what turned out can be as thought
        ("boards", "later_logos", "as thought", ("as thought", True)),
        ("boards", "assessed_logos", "−1", ("−1", True)),  # less than nothing is no amount
        ("boards", "board", "-", ("-", True)),
        ("boards", "ready", "?", ("?", False)),
        ("boards", "note", "-", ("-", True)),
        ("boards", "guess", "50-70", ("50-70", True)),
        ("boards", "guess", "60", ("60", True)),
        ("boards", "guess", "60-61", ("60-61", True)),
    ],
)
def test_each_kind_of_cell_in_the_form_in_which_a_book_keeps_it(sheet, column, value, cell):
    names = NamesInBook()
    names.add("26-001", "red")
    names.add("26-002", "")
    names.add("26-003", "tan, long")
    assert Canon(TRADE, names).cell(sheet, column, value) == cell


def test_a_name_of_two_boards_means_neither_and_an_id_comes_first():
    names = NamesInBook()
    for board, called in (("26-001", "red"), ("26-002", "Red"), ("26-003", "26-001"), ("26-004", "tan")):
        names.add(board, called)
    assert [names.find(one) for one in ("red", "26-001", "TAN", "blue")] == ["", "26-001", "26-004", ""]


def test_a_number_is_spelt_as_it_was_first():
    names = NamesInBook()
    for board in ("A1", "a1"):
        names.add(board, "")
    assert (names.find("A1"), names.find("a1")) == ("A1", "A1")


def test_a_condition_without_grades_is_kept_as_yes_or_no():
    canon = Canon(Settings(modifiers={"nested": Modifier("nested")}), NamesInBook())
    kept = [canon.cell("boards", "found_nested", cell)[0] for cell in ("Y", "n", "1", 0, "done")]
    assert kept == ["yes", "no", "yes", "no", "yes"]

"""One cell at a time, whatever a spreadsheet made of it."""

import datetime as dt
import time

import pytest

from estimator.log.parse.cells import Row, one_line, yes_or_no
from estimator.log.tables import SheetTable
from estimator.words.measures import read_length_m
from estimator.words.money import read_money
from estimator.words.problems import Place


def row(**cells):
    table = SheetTable("boards", Place("boards.csv"), {name: at for at, name in enumerate(cells)})
    return Row(table, 2, cells, [], "iso", dt.date(2026, 10, 2), 6.5)


@pytest.mark.parametrize("cell", ["yes", "Y", True, 1.0, 1, "x", "✓", "done", "Done!"])
def test_words_for_yes(cell):
    assert yes_or_no(cell) is True


@pytest.mark.parametrize("cell", ["no", "N", False, 0.0, "not done", "not yet."])
def test_words_for_no(cell):
    assert yes_or_no(cell) is False


@pytest.mark.parametrize(
    ("cell", "text"),
    [
        (12.0, "12"),
        (12.5, "12.5"),
        ("two\nlines\t here", "two lines here"),
        (dt.datetime(2026, 3, 4, tzinfo=dt.UTC).replace(tzinfo=None), "2026-03-04"),
        (dt.date(2026, 3, 4), "2026-03-04"),
        (dt.datetime(2026, 3, 4, 14, 30, tzinfo=dt.UTC).replace(tzinfo=None), "2026-03-04 14:30:00"),
        (1e15, "1000000000000000.0"),
        (1e300, "1e+300"),
        ("red\x1b[31m\x00 nine\x9d-four\ufffe", "red[31m nine-four"),
    ],
)
def test_a_cell_as_one_line(cell, text):
    assert one_line(cell) == text


def test_a_yes_is_no_number_even_where_one_was_read_before():
    # yes and 1 are equal to a machine; what was read of the one must not stand for the other
    one, other = row(guess_low=1.0), row(guess_low=True)
    assert one.time("guess_low").hours == 1.0
    assert other.time("guess_low") is None
    assert [problem.sentence() for problem in other.problems] == [
        'boards.csv, line 2, guess_low: "yes": that is a yes or no. Write 2.5, 2:30 or 2h30, or days as 9 days.'
    ]


def test_a_reader_that_repeats_the_cell_is_not_printed_twice():
    wide = row(length="9.6")
    assert wide.read("length", read_length_m) is None
    assert wide.problems[0].said() == 'boards.csv, line 2, length: "9.6": that could be 9 ft 6 in or 9.6 ft.'


def test_dates_of_what_happened_may_not_be_to_come():
    later = row(ready="2026-10-03", wanted_by="2026-10-03", asked=dt.date(2026, 10, 2))
    assert later.date("wanted_by") == dt.date(2026, 10, 3)
    assert later.date("asked", past=True) == dt.date(2026, 10, 2)
    assert later.date("ready", past=True) is None
    assert len(later.problems) == 1


def test_a_column_that_is_not_there_is_an_empty_cell_and_its_problem_is_the_rows():
    bare = row(board="A")
    assert (bare.cell("note"), bare.text("note"), bare.yes_no("done")) == ("", "", None)
    bare.wrong("note", "it is missing", "Write it.")
    assert bare.problems[0].where == "boards.csv, line 2"


def test_a_cell_that_is_far_too_long_is_a_problem_at_once():
    name, note = "wave" * 1000, "so it was " * 3000
    long = row(board=name, note=note, total_hours="1" * 32_000, length="9'" * 400, price_quoted="1," * 9000)
    start = time.process_time()

    assert long.text("board") == name[:80]
    assert long.text("note") == note[:20_000]
    assert long.time("total_hours") is None
    assert long.read("length", read_length_m) is None
    assert long.read("price_quoted", read_money) is None
    assert time.process_time() - start < 1
    assert [problem.wrong for problem in long.problems] == [
        "that is 4,000 characters long, and only the first 80 are read",
        "that is 29,999 characters long, and only the first 20,000 are read",
        "that is far too long: it has 32,000 characters",
        "that is far too long: it has 800 characters",
        "that is far too long: it has 18,000 characters",
    ]
    assert all(problem.cure for problem in long.problems)


@pytest.mark.parametrize(
    ("column", "most"), [("board", 80), ("called", 80), ("note", 20_000), ("owner", 20_000)]
)
def test_a_text_is_whole_up_to_its_most_letters(column, most):
    just, over = row(**{column: "x" * most}), row(**{column: "x" * most + "y"})
    assert (just.text(column), just.problems) == ("x" * most, [])
    assert (over.text(column), len(over.problems)) == ("x" * most, 1)


def test_a_name_of_any_usual_length_is_whole():
    usual = row(
        board="26-014",
        called="the old red nine-four with the two broken fins, from the north side",
        note="x" * 5000,
    )

    assert [len(usual.text(column)) for column in ("board", "called", "note")] == [6, 67, 5000]
    assert usual.problems == []

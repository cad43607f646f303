"""What came in, in words: each file is named once."""

import datetime as dt
import json
from dataclasses import replace
from pathlib import Path

import pytest
from making.added import write_small

from estimator.cli.printing import plain_lines
from estimator.log.exchange.export import Exported
from estimator.log.exchange.importing import ImportChoices, Imported, import_folder
from estimator.log.exchange.plan import RowChange
from estimator.log.exchange.questions import ImportQuestion, KnownColumn, OfferedAnswer
from estimator.said.exchange import export_parts, import_parts, question_parts
from estimator.shop import Shop
from estimator.words.problems import Place, Problem

NOON = dt.datetime(2026, 5, 20, 12, tzinfo=dt.UTC)


def test_files_without_a_row_are_named_once(tmp_path):
    folder = write_small(tmp_path)
    with (folder / "hours.csv").open("a", encoding="utf-8") as file:
        file.write("26-003,2026-05-19,strip,2\n")
    for name, head in {"waits": "board,from,until,for", "weights": "board,date,weight"}.items():
        (folder / f"{name}.csv").write_text(f"{head}\n", "utf-8")
    done = import_folder(folder, NOON, ImportChoices())
    said = plain_lines(import_parts(done, only_try=False))

    assert said[0] == "boards.csv, hours.csv into a new book."
    assert said[-2:] == [
        "No row stands in waits.csv, weights.csv.",
        "The files stay where they are, and are no longer read.",
    ]
    assert "".join(said).count("weights.csv") == 1
    (act,) = Shop.open(folder).acts()
    assert act.sentence.endswith("from boards.csv, hours.csv")
    assert json.loads(json.dumps(done.as_dict(), default=str))["files"][-1] == "weights.csv"


BARE = Imported(("jobs.csv",), False, False, {}, {}, {}, {}, 0, ())
WRONG = Problem(Place("jobs.csv", row=3), "soon", "is no time", "Write 4½.")


def said(only_try=False, **more):
    return [getattr(part, "text", part) for part in import_parts(replace(BARE, **more), only_try=only_try)]


def change(n):
    return RowChange(Place("hours.csv"), "hours", f"row {n}", {"hours": "4"}, {"hours": ""})


def test_what_was_tried_and_what_was_done_are_told_apart():
    rows = {
        "added": {"boards": 2, "told": 0},
        "changed": {"hours": 1},
        "struck": {"notes": 3},
        "skipped": {"money": 1},
    }
    assert said(only_try=True, **rows) == [
        "jobs.csv, nothing written yet.", "Would be added: 2 boards.", "Would be changed: 1 row of hours.",
        "Would be struck out: 3 notes.", "There already: 1 line of money.",
    ]  # fmt: skip
    assert said(written=True, begun=True, kept=(Path("x"),), **rows)[:2] == [
        "jobs.csv into a new book.",
        "Added: 2 boards.",
    ]
    assert said(written=True)[0] == "jobs.csv into the book."


def test_where_nothing_was_written_why_is_said():
    assert said() == ["Nothing was written: all of jobs.csv is there already."]
    assert said(problems=(WRONG, WRONG))[0] == "Problems"
    assert said(problems=(WRONG, WRONG))[-1] == "Nothing was written: 2 problems."
    assert "Nothing was written: 2 problems." not in said(problems=(WRONG, WRONG), written=True)
    assert said(problems=(WRONG,), only_try=True)[-1] == "jobs.csv, nothing written yet."


def test_twelve_changes_and_boards_are_named_and_the_others_counted():
    changes = tuple(change(n) for n in range(14))
    assert said(only_try=True, changes=changes[:12])[1:13] == [
        f"hours, row {n}: hours 4, now empty" for n in range(12)
    ]
    assert "And 2 rows more." in said(only_try=True, changes=changes)
    assert "And 1 row more." in said(written=True, changes=changes[:13])
    assert "Changed rows" not in said(changes=changes)  # nothing was written
    names = tuple(f"b{n}" for n in range(13))
    assert said(only_try=True, boards=names[:12])[-1] == f"New boards: {', '.join(names[:12])}."
    assert said(only_try=True, boards=names)[-1] == f"New boards: {', '.join(names[:12])} and 1 more."
    assert not [line for line in said(written=True, boards=names) if "New boards" in line]


def test_what_was_left_out_what_is_gone_and_what_stays():
    lines = said(
        written=True,
        left_out=3,
        gone={"hours": 2, "boards": 0},
        notes=("Look at it.",),
        bare=("b.csv",),
        files=("a.csv", "b.csv"),
    )
    assert lines == [
        "a.csv into the book.", "Left out: 3 rows.", "In the book, no longer in a.csv, and kept: 2 rows of hours.", "Look at it.",
        "No row stands in b.csv.",
    ]  # fmt: skip
    assert said(written=True, begun=True)[-1] == "jobs.csv stays where it is, and is no longer read."
    assert (
        said(written=True, begun=True, files=("a", "b"))[-1]
        == "The files stay where they are, and are no longer read."
    )
    assert said(gone={"hours": 0}) == ["Nothing was written: all of jobs.csv is there already."]


def test_columns_of_a_stranger_s_sheet_stand_there_while_it_is_tried():
    columns = {
        "Jobs": (KnownColumn("Size", "length", "", ("9'6", "6'2")), KnownColumn("Smell", "", "", ("salty",)))
    }
    [head, table, *_] = import_parts(replace(BARE, columns=columns), only_try=True)

    assert head.text == "Columns of Jobs"
    assert table.rows == (("Size", "length", "9'6, 6'2"), ("Smell", "kept as it stands", "salty"))
    assert import_parts(replace(BARE, columns=columns), only_try=False)[0] != head


@pytest.mark.parametrize(
    ("files", "where"),
    [
        (("out/log.xlsx",), "out/log.xlsx"),
        (("out/boards.csv",), "out"),
        (("out/boards.csv", "out/hours.csv"), "out"),
    ],
)
@pytest.mark.parametrize(
    ("owners", "words"),
    [(True, "Owners and how to reach them are in it too."), (False, "Owners are not in it.")],
)
def test_what_went_out(files, where, owners, words):
    parts = export_parts(
        Exported(tuple(map(Path, files)), {"boards": 2, "hours": 0}, owners, ("smell",), (WRONG,))
    )

    assert parts[0].text == f"Written to {Path(where)}: 2 boards."
    assert parts[1:] == [
        words,
        "Columns that are yours alone went along as they are: smell.",
        WRONG.sentence(),
    ]


def test_a_question_is_asked_with_what_stands_there_and_its_answers_by_number():
    choices = (OfferedAnswer("day-month", "3 April"), OfferedAnswer("month-day", "4 March"))
    one = ImportQuestion("k", "column", Place("jobs.csv"), "What is Size?", choices, samples=("9'6", "6'2"))

    assert question_parts(one)[1:] == ["There stands: 9'6; 6'2", "1  3 April", "2  4 March"]
    assert question_parts(replace(one, about="dates"))[1:] == ["1  3 April", "2  4 March"]
    assert question_parts(replace(one, samples=()))[1:] == ["1  3 April", "2  4 March"]


@pytest.mark.parametrize(
    ("changes", "more"), [(12, []), (13, ["And 1 row more."]), (14, ["And 2 rows more."])]
)
def test_changes_beyond_the_twelfth_are_counted_and_where_there_is_none_nothing_is_said(changes, more):
    words = said(written=True, changes=tuple(map(change, range(changes))))

    assert [one for one in words if one.startswith("And ")] == more


def test_where_nothing_was_written_no_sheet_is_called_empty_and_files_that_are_kept_are_read_still():
    assert said(problems=(WRONG,), bare=("b.csv",))[-1] == "Nothing was written: 1 problem."
    assert said(only_try=True, bare=("b.csv",))[-1] == "No row stands in b.csv."
    assert said(written=True, begun=True, kept=(Path("x"),)) == ["jobs.csv into a new book."]


def test_a_spreadsheet_of_any_sort_is_named_itself():
    assert export_parts(Exported((Path("out/log.ods"),), {"boards": 2}, False, (), ()))[0].text == (
        f"Written to {Path('out/log.ods')}: 2 boards."
    )

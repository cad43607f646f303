"""A whole log from its folder: good files read the same, broken ones say all that is wrong, none ends in a crash."""

import datetime as dt
import shutil
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st
from making.folders import read_folder

from estimator.log.columns import csv_headers
from estimator.log.reading import with_redo
from estimator.words.records import Entry, Log
from estimator.words.settings.schema import Settings, Stage

LOGS = Path(__file__).resolve().parents[1] / "logs"
TODAY = dt.date(2026, 10, 2)


@pytest.mark.parametrize("name", sorted(path.name for path in (LOGS / "good").iterdir()))
def test_the_same_log_as_different_programs_write_it(name, shop):
    log, problems, _ = read_folder(LOGS / "good" / name, shop, today=TODAY)
    assert problems == ()
    assert [(b.board, b.called, b.kind, b.price_quoted, b.note) for b in log.boards] == [
        ("A", "größe acht", "major", 1800.0, "– done –"),
        ("B", "small one", "minor", 240.0, "½ a day"),
    ]
    assert (log.boards[0].assessed["infills"], log.boards[0].found, log.boards[0].state) == (
        2.5,
        {"infills": 4.0},
        "finished",
    )
    assert [(e.board, e.date.day, e.stage, e.hours, e.done) for e in log.entries] == [
        ("A", 3, "strip", 4.5, True),
        ("A", 4, "strip", 4.5, True),
        ("A", 10, "clean", 1.25, None),
        ("A", 11, "infill", 2.5, True),
        ("B", 12, "infill", 0.75, None),
    ]


def test_every_slip_in_a_notebook_is_said_at_once_and_all_good_rows_are_read(shop):
    log, problems, _ = read_folder(LOGS / "broken" / "notebook", shop, today=TODAY)
    said = (LOGS / "broken" / "notebook" / "said.txt").read_text("utf-8").splitlines()
    assert [problem.sentence() for problem in problems] == said
    assert [board.board for board in log.boards] == ["A", "B", "C", "F"]
    assert [entry.where.row for entry in log.entries] == [2, 5, 7, 9, 10, 11]
    assert len(log.told) == 1


def test_a_folder_without_a_log_is_day_one(read, tmp_path):
    found = read()
    assert (found.log, found.problems) == (Log(), [])
    assert found.notes[0] == "boards.csv: no boards are written down yet. Write one row for each board."
    assert read_folder(tmp_path / "nowhere", Settings())[0] == Log()


def test_boards_without_hours_and_headers_alone_are_a_log(read):
    assert read(boards="board\nA\n").problems == []
    found = read(boards="board\n", hours="board,date,stage,hours\n")
    assert (found.log.boards, found.log.entries, found.problems) == ((), (), [])


def test_hours_without_boards_are_one_problem_and_the_shop_keeps_its_own(read):
    found = read(
        hours="board,date,stage,hours\nA,2026-03-02,strip,1\nB,2026-03-02,strip,1\nshop,2026-03-03,,0\n"
    )
    assert found.problems == [
        "hours.csv: 2 rows on boards, and there is no sheet of boards. Write one row for each board in boards.csv."
    ]
    assert [entry.board for entry in found.log.entries] == ["shop"]


def test_without_boards_rows_on_no_board_stay_and_a_sheet_of_them_is_no_problem(read):
    found = read(
        hours="board,date,stage,hours\nshop,2026-03-03,,0\n",
        notes="board,date,note\n,2026-03-03,loose\nShop,2026-03-04,shop\nA,2026-03-05,lost\n",
        money="date,in,out,what,boards\n2026-03-03,,9,rent,\n2026-03-03,,8,resin,shop\n",
    )
    assert found.problems == [
        "notes.csv: 1 row on boards, and there is no sheet of boards. Write one row for each board in boards.csv."
    ]
    assert [note.text for note in found.log.notes] == ["loose", "shop"]
    assert 9.0 in [line.went_out for line in found.log.money]
    assert found.notes == sorted(found.notes, key=lambda note: note.partition(":")[0])


def test_a_file_that_cannot_be_opened_is_a_problem(read, monkeypatch):
    def refuse(path):
        raise PermissionError(path)

    monkeypatch.setattr(Path, "read_bytes", refuse)
    assert read(boards="board\nA\n").problems == [
        "boards.csv: this file cannot be opened. Close it in other programs, and see whether you may read it."
    ]


def test_without_today_no_date_is_too_late(read):
    texts = {
        "boards": "board,ready\nA,2027-03-02\n",
        "hours": "board,date,stage,hours\nA,2027-03-01,look,1\n",
    }
    assert read(today=None, **texts).problems == []
    assert [problem.split(":")[0] for problem in read(**texts).problems] == [
        "boards.csv, line 2, ready",
        "hours.csv, line 2, date",
    ]


def test_all_that_is_merely_missing_is_noted(read):
    found = read(
        boards="board,called,state,ready,length,total_hours,price_charged\n"
        ",red,finished,2026-03-05,,,900\n"
        "B,tan,finished,2026-03-05,9'6,12,\n"
        "C,blue,,,9'6,7,\n",
        hours="board,date,stage,hours\nred,2026-03-03,strip,2\nB,2026-03-03,strip,2\n",
        money="date,in,out,what,boards\n2026-03-06,,45,materials,B\n",
    )
    assert found.problems == []
    for note in (
        (
            "boards.csv: numbered here for want of an id: 26-001. Write them into the sheet, so that they stay when "
            "rows move."
        ),
        (
            'boards.csv, line 3, total_hours: "12": 10 h are not split by stage, 2 h are. Book them on stages if you '
            "know which."
        ),
        (
            "boards.csv: the usual width for the length stands in on 2 boards (B, C). Measure the widest place and write "
            "it in width."
        ),
        "boards.csv: no materials are written on 1 board (26-001) that is finished. Write what they cost, or 0.",
    ):
        assert note in found.notes


@pytest.mark.parametrize(
    ("more", "contradicted"), [("2026-03-07,,9,resin,\n", True), ("soon,9,,payment,A\n", False)]
)
def test_what_money_a_board_tells_is_held_against_rows_of_money_unless_one_is_lost(read, more, contradicted):
    found = read(
        boards="board,paid\nA,100\n", money=f"date,in,out,what,boards\n2026-03-06,50,,payment,A\n{more}"
    )
    assert [problem.split(":")[0] for problem in found.problems] == [
        "boards.csv, line 2, paid" if contradicted else "money.csv, line 3, date"
    ]


@pytest.mark.parametrize(("again", "stages"), [("", ["sand"]), ("resin", ["sand", "redo"])])
def test_what_was_done_again_has_a_stage_where_there_is_some(again, stages):
    log = Log(entries=(Entry("A", TODAY, "sand", 2.0), Entry("A", TODAY, "redo", 1.0, again=again)))
    assert list(with_redo(Settings(stages={"sand": Stage("sand")}), log).stages) == stages


def test_an_ambiguous_date_is_read_as_the_settings_say(read, shop):
    for style, day in (("day-month", dt.date(2026, 4, 3)), ("month-day", dt.date(2026, 3, 4))):
        chosen = replace(shop, workshop=replace(shop.workshop, dates=style))
        assert read(settings=chosen, boards="board,asked\nA,03/04/2026\n").log.boards[0].asked == day


def test_problems_stand_in_the_order_of_the_files_and_lines(read):
    found = read(
        boards="board,kind\n" + "".join(f"B{n},x\n" for n in range(12)),
        hours="board,date,stage,hours\n" + "Z,,,\n" * 12,
    )
    places = [problem.split(":")[0].split(", ") for problem in found.problems]
    lines = [(place[0], int(place[1].split()[1])) for place in places]
    assert lines == sorted(lines)
    assert len(lines) == 12 + 12 * 4


CELLS = st.one_of(
    st.sampled_from(
        [
            "",
            "?",
            "-",
            "same",
            "yes",
            "2,5",
            "2h30",
            "1e999",
            "-3",
            "nan",
            "26-001",
            "A",
            "shop",
            "strip",
            "2026-03-02",
            "03/04/2026",
            "9'4\"",
            '"',
            "=",
            "drying",
            "soaked",
            "9 days",
            "inf",
            "2026-02-30",
        ]
    ),
    st.text(max_size=8),
)
QUICK = settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])


@QUICK
@given(st.data())
def test_whatever_stands_in_the_cells_is_read_or_said(shop, tmp_path, data):
    import csv

    cells = 0
    for file, header in csv_headers(shop).items():
        columns = data.draw(st.lists(st.sampled_from(header), unique=True, max_size=8)) or list(header[:4])
        rows = data.draw(st.lists(st.lists(CELLS, min_size=len(columns), max_size=len(columns)), max_size=4))
        cells += sum(map(len, rows))
        with (tmp_path / file).open("w", encoding="utf-8", newline="") as out:
            csv.writer(out).writerows([columns, *rows])
    log, problems, notes = read_folder(tmp_path, shop, today=TODAY)
    assert len({board.board.casefold() for board in log.boards}) == len(log.boards)
    for entry in log.entries:
        assert entry.board == "shop" or entry.board in log.by_id
        assert entry.board == "shop" or entry.stage in shop.stages
        assert 0 <= entry.hours <= 24 * ((entry.last - entry.date).days + 1)
        assert entry.date <= entry.last <= TODAY
    for board in log.boards:
        assert all(
            value >= 0 for value in (*board.assessed.values(), *board.found.values(), *board.later.values())
        )
    assert all(problem.where and problem.wrong and problem.cure for problem in problems)
    assert all(problem.wrong[-1] != "." and problem.cure[-1] == "." for problem in problems)
    assert all(note.where and note.wrong for note in notes)


@QUICK
@given(st.sampled_from(["boards.csv", "hours.csv", "log.xlsx", "log.ods"]), st.binary(max_size=200))
@example("boards.csv", b'board\n"')
@example("boards.csv", b"\xff\xfe\x00")
@example("boards.csv", b"board,board\n,\n")
@example("log.xlsx", b"PK\x05\x06" + bytes(18))
@example("boards.csv", b"board,called\nA," + b"9" * 200_000 + b"\n")
def test_whatever_bytes_a_file_holds_nothing_crashes(shop, tmp_path, file, data):
    for old in filter(Path.is_file, tmp_path.iterdir()):
        old.unlink()
    (tmp_path / file).write_bytes(data)
    log, problems, notes = read_folder(tmp_path, shop)
    assert log.source == file
    assert len(problems) + len(notes) + len(log.boards) > 0


@QUICK
@given(st.data())
def test_bytes_changed_in_a_good_file_never_crash_it(shop, tmp_path, data):
    good = LOGS / "good" / data.draw(st.sampled_from(sorted(path.name for path in (LOGS / "good").iterdir())))
    for file in ("boards.csv", "hours.csv"):
        shutil.copy(good / file, tmp_path / file)
        written = bytearray((tmp_path / file).read_bytes())
        for _ in range(data.draw(st.integers(0, 4))):
            written[data.draw(st.integers(0, len(written) - 1))] = data.draw(st.integers(0, 255))
        (tmp_path / file).write_bytes(written)
    read_folder(tmp_path, shop, today=TODAY)


HOURS_ROWS = st.lists(
    st.tuples(
        st.sampled_from(["A", "B", "shop"]),
        st.dates(dt.date(2026, 1, 1), dt.date(2026, 9, 30)),
        st.integers(0, 5),
        st.sampled_from(["look", "clean", "strip", "infill", "logo", "redo"]),
        st.integers(0, 96).map(lambda quarters: quarters / 4),
        st.sampled_from([None, True, False]),
        st.text(st.characters(codec="utf-8", categories=["L", "N", "P", "S", "Zs"]), max_size=12).map(
            lambda text: " ".join(text.split())
        ),
    ),
    max_size=12,
)


@QUICK
@given(HOURS_ROWS, st.sampled_from([",", ";", "\t"]), st.sampled_from(["utf-8", "utf-8-sig", "utf-16"]))
def test_hours_that_were_written_come_back(shop, tmp_path, rows, separator, encoding):
    import csv

    (tmp_path / "boards.csv").write_text("board\nA\nB\n")
    with (tmp_path / "hours.csv").open("w", encoding=encoding, newline="") as out:
        writer = csv.writer(out, delimiter=separator)
        writer.writerow(["board", "date", "until", "stage", "hours", "done", "note"])
        for board, first, days, stage, hours, done, note in rows:
            last = first + dt.timedelta(days)
            writer.writerow(
                [
                    board,
                    first,
                    last if days else "",
                    stage,
                    hours,
                    {None: "", True: "yes", False: "no"}[done],
                    note,
                ]
            )
    log, _, _ = read_folder(tmp_path, shop)
    kept = [(e.board, e.date, (e.last - e.date).days, e.stage, e.hours, e.done, e.note) for e in log.entries]
    dashes = {"?", "-", "–", "—"}
    assert kept == [(*row[:-1], "" if row[-1] in dashes else row[-1]) for row in rows]

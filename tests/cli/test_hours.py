"""`hours`: the notebook's lines are said back and kept in one act; without a terminal nothing is asked, nor written."""

import csv
import io
import json

import pytest
import xlsxwriter
from click.testing import CliRunner

from estimator.cli import hours as hours_command
from estimator.cli.commands import cli
from estimator.log.notebook.page import A_DATE, A_LINE, A_TIME, Choice, Doubt
from estimator.log.starter import write_starter
from estimator.shop import Shop

BOARDS = """\
board,called,kind,length,asked,accepted,started
26-101,red,major,9-4,2026-05-01,2026-05-04,2026-05-20
26-102,blue seven-nine,major,7-9,2026-05-01,2026-05-04,2026-05-20
26-103,red nine-four,major,9-4,2026-05-01,2026-05-04,2026-05-20
"""
FRIDAY = (
    "Mon red strip 4. Blue 2nd col 1½. / Tue blue col 5 done. / Wed surf. / Thu red let in 3 pcs 4½, "
    "red nine-four gloss again, sanded through, about ¾"
)


@pytest.fixture
def folder(tmp_path):
    write_starter(tmp_path / "shop")
    (tmp_path / "shop" / "boards.csv").write_text(BOARDS, "utf-8")
    return tmp_path / "shop"


def run(folder, text, *words):
    options = ["--shop", str(folder), "--today", "2026-06-12"]
    return CliRunner().invoke(cli, ["hours", *words, *options], input=text, catch_exceptions=False)


def rows(folder):
    with (folder / "hours.csv").open(encoding="utf-8") as file:
        return [{name: cell for name, cell in row.items() if cell} for row in csv.DictReader(file)]


def test_a_week_is_said_back_and_kept(folder):
    result = run(folder, FRIDAY)

    assert result.exit_code == 0
    told = [" ".join(line.split()) for line in result.stdout.splitlines()]
    assert "Thu 11 June 2026 red nine-four Gloss coat about 0.75 again: sand-through" in told
    assert result.stdout.splitlines()[-1] == f"6 lines kept in {folder / 'hours.csv'}."
    assert rows(folder) == [
        {"board": "26-101", "date": "2026-06-08", "stage": "strip", "hours": "4"},
        {"board": "26-102", "date": "2026-06-08", "stage": "spray", "hours": "1.5", "note": "2nd col"},
        {"board": "26-102", "date": "2026-06-09", "stage": "spray", "hours": "5", "done": "yes"},
        {"board": "shop", "date": "2026-06-10", "hours": "0", "note": "away, surf"},
        {"board": "26-101", "date": "2026-06-11", "stage": "infill", "hours": "4.5", "note": "3 pcs"},
        {"board": "26-103", "date": "2026-06-11", "stage": "gloss", "hours": "about 0.75", "again": "sand-through"},
    ]  # fmt: skip
    shop = Shop.open(folder)
    assert shop.problems == ()
    assert [entry.hours for entry in shop.log.entries] == [4.0, 1.5, 5.0, 0.0, 4.5, 0.75]


def test_what_is_in_doubt_is_said_and_nothing_is_written(folder):
    before = (folder / "hours.csv").read_bytes()
    result = run(folder, "Mon red strip 4, grene sand 3")

    assert result.exit_code == 2
    assert "Which board is “grene”? (red" in result.stdout
    assert (
        result.stderr
        == "Nothing is written: 1 question first. Answer in the text itself, and send it again.\n"
    )
    assert (folder / "hours.csv").read_bytes() == before


def test_trying_writes_nothing(folder):
    before = (folder / "hours.csv").read_bytes()
    result = run(folder, FRIDAY, "--try")

    assert result.exit_code == 0
    assert "Strip old glass" in result.stdout
    assert (folder / "hours.csv").read_bytes() == before


def test_json_has_lines_doubts_and_the_file(folder):
    kept = json.loads(run(folder, "Mon red strip 4", "--json").stdout)
    assert kept["file"] == str(folder / "hours.csv")
    assert kept["lines"][0]["board"] == "26-101"
    assert kept["lines"][0]["span"] == [4, 15]

    asked = run(folder, "Tue ochre strip 4", "--json")
    assert asked.exit_code == 2
    said = json.loads(asked.stdout)
    assert (said["file"], said["lines"]) == (None, [])
    assert said["doubts"][0]["key"] == "board-4-17"


def test_another_week_and_a_file(folder, tmp_path):
    text = tmp_path / "week.txt"
    text.write_text("Mon red strip 4", "utf-8")
    assert run(folder, "", str(text), "--week", "2026-06-03").exit_code == 0
    assert rows(folder)[0]["date"] == "2026-06-01"
    wrong = run(folder, "", str(text), "--week", "some day")
    assert wrong.exit_code == 2
    assert wrong.stderr.startswith("--week: ")


def test_no_hours_are_refused(folder):
    result = run(folder, "\n")
    assert result.exit_code == 2
    assert result.stderr == "No hours are written there. Write them as: Mon red strip 4, blue sand 1½.\n"
    assert result.stdout == ""


def test_a_spreadsheet_stays_as_it_is_and_the_rows_are_said(folder):
    with xlsxwriter.Workbook(folder / "log.xlsx") as book:
        sheet = book.add_worksheet("boards")
        for at, row in enumerate(csv.reader(BOARDS.splitlines())):
            sheet.write_row(at, 0, row)
    before = (folder / "log.xlsx").read_bytes()
    result = run(folder, "Mon red strip 4")

    assert result.exit_code == 2
    assert "26-101  2026-06-08         strip  4" in result.stdout
    assert result.stderr == "log.xlsx stays as it is. Write the rows there yourself.\n"
    assert (folder / "log.xlsx").read_bytes() == before
    assert run(folder, "Mon red strip 4", "--json").stdout == ""


def test_all_lines_or_none_are_written(folder):
    before = "board,date,stage,hours,note\n26-101,2026-06-01,strip,1,café\n".encode("cp1252")
    (folder / "hours.csv").write_bytes(before)
    result = run(folder, "Mon red strip 4, blue col 3 (łuk)")  # of which windows-1252 has no ł
    assert result.exit_code == 2
    assert result.stderr.startswith("hours.csv ")
    assert (folder / "hours.csv").read_bytes() == before


def at_terminal(folder, monkeypatch, typed, *answers):
    """The command with somebody there, who gives these answers to what is asked."""
    text, said = folder.parent / "week.txt", iter(answers)
    text.write_text(typed, "utf-8")
    monkeypatch.setattr(hours_command, "somebody_there", lambda: True)
    monkeypatch.setattr(hours_command.click, "prompt", lambda *_, **__: next(said))
    options = ["--shop", str(folder), "--today", "2026-06-12"]
    return CliRunner().invoke(cli, ["hours", str(text), *options], catch_exceptions=False)


def test_a_terminal_is_asked_until_all_is_clear(folder, monkeypatch):
    result = at_terminal(
        folder, monkeypatch, "Mon red strip, ochre let in 2, red fair 3 4", "4½", "9", "3", "red fair 3½"
    )

    assert result.exit_code == 0, result.output
    assert "Write a number from 1 to 5." in result.stdout
    assert [(row["board"], row["stage"], row["hours"]) for row in rows(folder)] == [
        ("26-101", "strip", "4.5"), ("26-102", "infill", "2"), ("26-101", "reshape", "3.5"),
    ]  # fmt: skip


def test_done_with_no_hours_is_kept_with_the_hours_that_the_work_has(folder):
    assert run(folder, "Mon red strip 4, blue col 2").exit_code == 0
    result = run(folder, "Tue red strip done. Wed blue col 1. Thu blue col done")

    assert result.exit_code == 0, result.output
    _, *told, last = [line.split() for line in result.stdout.splitlines()]
    assert told == [
        ["Wed", "10", "June", "2026", "blue", "seven-nine", "Mask", "and", "spray", "1", "done"]
    ]  # what made a row
    assert last[:4] == ["1", "line", "kept", "in"]
    assert [(row["board"], row["date"], row["hours"], row.get("done")) for row in rows(folder)] == [
        ("26-101", "2026-06-08", "4", "yes"),
        ("26-102", "2026-06-08", "2", None),
        ("26-102", "2026-06-10", "1", "yes"),
    ]
    assert Shop.open(folder).problems == ()


def test_a_row_of_no_hours_is_never_written_for_work_that_is_done(folder, monkeypatch):
    text = folder.parent / "week.txt"
    text.write_text("Mon red strip done", "utf-8")
    monkeypatch.setattr(hours_command, "somebody_there", lambda: True)
    monkeypatch.setattr(hours_command.click, "prompt", lambda *_, **__: "0 h")
    options = ["--shop", str(folder), "--today", "2026-06-12"]
    result = CliRunner().invoke(cli, ["hours", str(text), *options], catch_exceptions=False)

    assert result.exit_code == 2
    assert "No hours are written of what is said to be done." in result.stderr
    assert rows(folder) == []


def test_the_command_asks_what_the_page_asks_and_a_board_may_be_chosen(folder, monkeypatch):
    result = at_terminal(folder, monkeypatch, "Mon gren sand 2, blue", "2")

    assert result.exit_code == 0, result.output
    offered = [
        line.split(maxsplit=1)[1] for line in result.stdout.splitlines() if line[:4].strip().isdecimal()
    ]
    assert offered[-1] == "leave it out"
    assert set(offered[:-1]) == {"red", "red nine-four", "blue seven-nine"}
    assert [row["hours"] for row in rows(folder)] == ["2"]


def test_one_time_on_several_boards_is_shared_in_the_command_too(folder, monkeypatch):
    result = at_terminal(folder, monkeypatch, "Mon red and blue strip 5", "1")

    assert result.exit_code == 0, result.output
    offered = [
        line.split(maxsplit=1)[1] for line in result.stdout.splitlines() if line[:4].strip().isdecimal()
    ]
    assert offered == ["shared evenly: 2½ h each", "all on red", "all on blue seven-nine", "leave it out"]
    assert "or write it anew" in result.stdout
    assert [(row["board"], row["hours"]) for row in rows(folder)] == [("26-101", "2.5"), ("26-102", "2.5")]


def test_what_is_of_no_hours_is_kept_as_a_note(folder):
    result = run(folder, "Mon red strip 4\nTue red 6.4 kg, soft at the tail")

    assert result.exit_code == 0, result.output
    told = [" ".join(line.split()) for line in result.stdout.splitlines()]
    assert "Tue 9 June 2026 red a note red 6.4 kg, soft at the tail" in told
    assert told[-1] == f"1 note kept in {folder / 'notes.csv'}."
    shop = Shop.open(folder)
    assert shop.problems == ()
    assert [(note.board, str(note.date), note.text) for note in shop.log.notes] == [
        ("26-101", "2026-06-09", "red 6.4 kg, soft at the tail")
    ]
    assert len(shop.log.entries) == 1


def test_notes_alone_are_kept_and_json_has_them(folder):
    kept = json.loads(run(folder, "Tue red 6.4 kg", "--json").stdout)
    assert kept["lines"] == []
    assert kept["notes"] == [{"board": "26-101", "date": "2026-06-09", "note": "red 6.4 kg", "span": [4, 14]}]
    assert kept["file"] == str(folder / "notes.csv")


def asked_at_a_terminal(folder, monkeypatch, text, *words, answers=()):
    """The lines in a file, and somebody who answers."""
    (folder.parent / "week.txt").write_text(text, "utf-8")
    said = iter(answers)
    monkeypatch.setattr(hours_command, "somebody_there", lambda: True)
    monkeypatch.setattr(hours_command.click, "prompt", lambda *_, **__: next(said))
    options = [str(folder.parent / "week.txt"), *words, "--shop", str(folder), "--today", "2026-06-12"]
    return CliRunner().invoke(cli, ["hours", *options], catch_exceptions=False)


def test_where_somebody_is_asked_the_week_that_was_named_holds_and_notes_are_kept(folder, monkeypatch):
    text = "Mon ochre strip 2\nTue red 6.4 kg"
    result = asked_at_a_terminal(folder, monkeypatch, text, "--week", "2026-06-03", answers=["1"])

    assert result.exit_code == 0, result.output
    assert [(row["date"], row["hours"]) for row in rows(folder)] == [("2026-06-01", "2")]
    shop = Shop.open(folder)
    assert [(note.board, str(note.date)) for note in shop.log.notes] == [("26-101", "2026-06-02")]


def test_for_a_program_and_for_a_try_nothing_is_asked_of_anybody(folder, monkeypatch):
    for option in ("--json", "--try"):
        result = asked_at_a_terminal(folder, monkeypatch, "Mon ochre strip 2", option)
        assert rows(folder) == []
        assert result.exit_code == (2 if option == "--json" else 0)


def test_where_a_time_may_be_typed_a_bare_number_is_none_of_the_list_or_a_choice(folder, monkeypatch):
    result = asked_at_a_terminal(folder, monkeypatch, "Mon red strip", answers=["7", "0", " 3 h "])
    assert result.exit_code == 0, result.output
    assert [row["hours"] for row in rows(folder)] == ["3"]
    assert "or hours, as 2 h" in result.stdout


def test_questions_are_counted_by_what_is_asked(folder):
    told = run(folder, "Mon ochre strip 4, ochre fair 2, plum strip 1").stderr
    assert told.startswith("Nothing is written: 3 questions first.")


def test_what_is_no_text_is_said_by_its_name(folder, tmp_path):
    (tmp_path / "week.bin").write_bytes(b"\xff\xfe\x00\x81")
    result = run(folder, "", str(tmp_path / "week.bin"))
    assert result.exit_code == 2
    assert result.stderr == f"{tmp_path / 'week.bin'} is no plain text. Save it as text in UTF-8.\n"


RED, BLUE = Choice("26-101", "red"), Choice("26-102", "blue")


@pytest.mark.parametrize(
    ("doubt", "typed", "answer", "heads"),
    [
        (Doubt("board", (4, 8), "gren", "Which board is “gren”?", (RED, BLUE)), ["0", "3", "blue", " 2 "], "26-102",
         ["Which board is “gren”?"]),
        (Doubt("hours", (4, 7), "red", "How long was it?", (RED, BLUE), A_TIME), ["9", "2"], "26-102",
         ["“red”: How long was it?", "  or hours, as 2 h"]),
        (Doubt("day", (0, 3), "Mun", "Which day?", (RED, BLUE), A_DATE), ["1"], "26-101",
         ["“Mun”: Which day?", "  or a day, as 2026-06-12"]),
        (Doubt("line", (0, 3), "red", "What is it?", (RED, BLUE), A_LINE), [" red strip 2 "], "red strip 2",
         ["“red”: What is it?", "  or write it anew"]),
    ],
)  # fmt: skip
def test_a_question_stands_with_all_its_answers_and_each_of_them_can_be_chosen(
    monkeypatch, capsys, doubt, typed, answer, heads
):
    left = list(typed)
    monkeypatch.setattr(hours_command.click, "prompt", lambda *_, **__: left.pop(0))

    assert (hours_command._answer(doubt), left) == (answer, [])
    question, *other = heads
    assert capsys.readouterr().out.splitlines() == [
        question, "  1  red", "  2  blue", *other, *["Write a number from 1 to 2."] * (len(typed) - 1),
    ]  # fmt: skip


def test_somebody_at_the_keys_is_told_how_to_end_and_a_file_is_read_without_a_word(folder, monkeypatch):
    class Keys(io.BytesIO):
        name = "<stdin>"

    monkeypatch.setattr(hours_command, "somebody_there", lambda: True)
    typed = run(folder, Keys(b"Mon red strip 4"), "--try")
    assert typed.stderr == "Write the hours of the week. An empty line with Ctrl-D ends them.\n"
    (folder.parent / "week.txt").write_text("Mon red strip 4", "utf-8")
    assert run(folder, "", str(folder.parent / "week.txt"), "--try").stderr == ""

"""`estimator notes` and `estimator money`: of the board and the days that are named, and of all where none are."""

import json

import pytest
from click.testing import CliRunner
from making.folders import SETTINGS, folder
from making.working_day import in_files

from estimator.cli.commands import cli


@pytest.fixture
def shop(tmp_path):
    in_files(tmp_path, sheets=("notes",))
    with (tmp_path / "notes.csv").open("a", encoding="utf-8") as file:
        file.write("26-001,2026-05-04,sand mixed with a little red,\n26-002,2026-05-05,sand and white,\n")
    return tmp_path


@pytest.mark.parametrize(
    ("words", "boards"),
    [
        (["sand"], ["26-001", "26-002"]),
        (["sand", "--board", "26-001"], ["26-001"]),
        (["sand", "--board", "green fish"], ["26-002"]),
        (["--board", "26-002"], ["26-002"]),
        (["white", "--board", "26-001"], []),
    ],
)
def test_notes_are_those_of_the_board_that_is_named(shop, words, boards):
    ran = CliRunner().invoke(cli, ["notes", *words, "--json", "--shop", str(shop)])

    assert ran.exit_code == 0, ran.output
    assert [note["board"] for note in json.loads(ran.stdout)["notes"]] == boards


def test_a_note_has_its_day_and_its_picture_and_one_of_a_later_day_is_not_known_yet(run, shop):
    with (shop / "notes.csv").open("a", encoding="utf-8") as file:
        file.write("26-001,2026-05-06,,fin.jpg\n")
    asked = ("notes", "--board", "red nine-four", "--shop", shop)

    assert json.loads(run(*asked, "--json").stdout)["notes"] == [
        {"board": "26-001", "date": "2026-05-04", "note": "sand mixed with a little red", "photo": ""},
        {"board": "26-001", "date": "2026-05-06", "note": "", "photo": "fin.jpg"},
    ]
    then = run(*asked, "--today", "2026-05-05").stdout.split()
    assert then[-6:] == ["sand", "mixed", "with", "a", "little", "red"]


MONEY = """\
date,in,out,what,board
2026-05-04,200,,deposit,26-001
2026-05-05,700.50,,payment,26-001
2026-05-06,,90.25,materials,26-002
"""


@pytest.mark.parametrize(
    ("days", "head", "sum_"),
    [
        ((), "Money", "In 900.50 kr, out 90.25 kr: 810.25 kr left."),
        (("--from", "2026-05-05"), "Money from Tue 5 May 2026", "In 700.50 kr, out 90.25 kr: 610.25 kr left."),
        (("--to", "2026-05-05"), "Money to Tue 5 May 2026", "In 900.50 kr, out 0 kr: 900.50 kr left."),
        (("--from", "2026-05-05", "--to", "2026-05-05"), "Money from Tue 5 May 2026 to Tue 5 May 2026",
         "In 700.50 kr, out 0 kr: 700.50 kr left."),
    ],
)  # fmt: skip
def test_money_of_the_days_that_are_named_both_of_them_included(run, tmp_path, days, head, sum_):
    shop = folder(tmp_path / "shop", f'[workshop]\ncurrency = "kr"\n{SETTINGS}', money=MONEY)
    asked = ("money", *days, "--today", "2026-06-01", "--shop", shop)

    said = run(*asked).stdout.splitlines()
    assert said[:2] == [head, sum_]
    assert any(line.startswith("red nine-four ") for line in said)
    told = json.loads(run(*asked, "--json").stdout)
    assert (told["in"], told["from"]) == (float(sum_.split()[1]), "2026-05-05" if "--from" in days else None)


def test_days_that_are_swapped_are_refused(run, tmp_path):
    swapped = ("money", "--from", "2026-05-05", "--to", "2026-05-04", "--shop", tmp_path)
    assert run(*swapped, exit_code=2).stderr == "2026-05-04 lies before 2026-05-05. Swap the two days.\n"

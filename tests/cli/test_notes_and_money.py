"""`estimator notes` on a terminal: of the board that is named, and of all where none is."""

import json

import pytest
from click.testing import CliRunner
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

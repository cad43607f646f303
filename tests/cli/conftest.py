"""The invented workshop written once, and commands run in it."""

import csv

import pytest
from click.testing import CliRunner

from estimator.cli.commands import cli
from estimator.demo.workshop import write_demo

IN_LINE = {
    "board": "26-900",
    "called": "tan nine-one",
    "kind": "major",
    "asked": "2026-09-20",
    "quoted": "2026-09-24",
    "accepted": "2026-09-28",
    "length": "9'1",
    "width": "22 3/4",
    "guess": "55",
    "assessed_sides_stripped": "2",
    "assessed_infills": "2",
    "assessed_brittle_glass": "crisp",
    "assessed_wetness": "damp",
    "assessed_sides_coated": "2",
    "assessed_gloss": "2",
}


@pytest.fixture(scope="session")
def demo_folder(tmp_path_factory):
    """The invented workshop with one more board in line, in a folder with a blank in its name."""
    folder = tmp_path_factory.mktemp("invented") / "my demo"
    write_demo(folder)
    boards = folder / "boards.csv"
    columns = boards.read_text("utf-8").partition("\n")[0].split(",")
    with boards.open("a", encoding="utf-8", newline="") as file:
        csv.DictWriter(file, columns, lineterminator="\n").writerow(IN_LINE)
    return folder


@pytest.fixture
def run(monkeypatch):
    """Runs a command and returns what click's runner saw; a mistake of ours shows its traceback."""
    monkeypatch.delenv("ESTIMATOR_SHOP", raising=False)

    def invoke(*words, exit_code=0):
        result = CliRunner().invoke(cli, [str(word) for word in words])
        if result.exception and not isinstance(result.exception, SystemExit):
            raise result.exception
        assert result.exit_code == exit_code, result.output
        return result

    return invoke

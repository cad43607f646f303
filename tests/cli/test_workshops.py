import json
import shlex
from pathlib import Path

import pytest

from estimator.cli.options import SharedOptions
from estimator.cli.workshops import one_folder
from estimator.demo.workshop import telling_board, write_demo
from estimator.shop import Shop
from estimator.words.errors import UsageError
from estimator.words.records import Board


def files_of(folder):
    return {path.name: path.read_bytes() for path in folder.iterdir() if path.is_file()}


def test_demo_writes_over_its_own_asks_it_and_draws_it(run, tmp_path):
    folder = tmp_path / "invented"
    write_demo(folder)
    before = files_of(folder)
    (folder / "boards.csv").unlink()

    lines = run("demo", folder).stdout.splitlines()

    assert lines[0].startswith("An invented workshop, Tarrish Sands Board Mending, is in ")
    assert any("8 times in 10; half take more than" in line for line in lines)
    assert lines[-4] == "What to try next"
    assert lines[-3] == f"estimator range --shop {folder} -q kind=major -q length=9-6 -q spray_colours=3"
    assert lines[-1].startswith("estimator sheet weigh ")
    assert {path.name for path in (folder / "reports").iterdir()} == {
        "range.png",
        "stages.png",
        "reasons.png",
        "range-26-029.pdf",
        "owner-26-029.pdf",
        "week-2026-W40.pdf",
    }
    assert files_of(folder) == before
    assert Shop.open(folder).problems == ()


def test_demo_leaves_any_other_folder_alone(run, tmp_path):
    (tmp_path / "mine.txt").write_text("mine")

    result = run("demo", tmp_path, exit_code=2)

    assert "neither empty nor an invented workshop" in result.stderr
    assert [path.name for path in tmp_path.iterdir()] == ["mine.txt"]


def test_demo_goes_into_demo_where_nothing_is_named(run, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("ESTIMATOR_SHOP", str(tmp_path / "the restorer's own"))

    kept = json.loads(run("demo", "--json").stdout)

    assert kept["folder"] == "demo"
    assert [path.name for path in tmp_path.iterdir()] == ["demo"]
    assert all(Path(path).is_file() for path in kept["files"])
    assert {"boards.csv", "workshop.toml", "range.png", "owner-26-029.pdf"} <= {
        Path(p).name for p in kept["files"]
    }
    assert kept["range"]["hours"]["low"] < kept["range"]["hours"]["high"]


def test_demo_is_looked_at_on_its_own_last_day(run, demo_folder):
    shop = Shop.open(demo_folder)

    assert shop.log.last_entry.isoformat() == "2026-09-30"
    assert run("check", "--shop", demo_folder).exit_code == 0


def test_new_writes_an_empty_workshop_that_answers_from_lent_rules(run, tmp_path):
    folder = tmp_path / "my boards"

    said = run("new", folder).stdout
    lines = said.splitlines()

    assert lines[0].startswith(f"An empty workshop is in {folder}: workshop.toml, boards.csv, hours.csv")
    assert "A full restoration of 9'6\", before you've written anything down" in lines
    assert any(line.startswith("Guessed: between ") for line in lines)
    assert any(line.startswith("All from rules of thumb (") for line in lines)
    assert f"estimator check --shop '{folder}'" in said


def test_what_new_says_to_try_works(run, tmp_path):
    folder = tmp_path / "boards"
    lines = run("new", folder).stdout.splitlines()
    line = lines[lines.index("Say more of a board:") + 1]

    said = run(*shlex.split(line.split("estimator ")[1])).stdout

    assert said.startswith("A board as you describe it, before opening\nGuessed: between ")
    assert run("check", "--shop", folder).exit_code == 0


def test_new_as_json(run, tmp_path):
    kept = json.loads(run("new", tmp_path / "boards", "--json").stdout)

    assert kept["folder"] == str(tmp_path / "boards")
    assert kept["range"]["rests_on"]["boards"] == 0
    assert kept["range"]["rests_on"]["lent"] == kept["range"]["rests_on"]["rules"] > 0


def test_new_needs_a_name_and_an_empty_folder(run, tmp_path):
    (tmp_path / "mine.txt").write_text("mine")

    assert "Name the folder" in run("new", exit_code=2).stderr
    assert "is not empty" in run("new", tmp_path, exit_code=2).stderr
    assert [path.name for path in tmp_path.iterdir()] == ["mine.txt"]


def test_one_folder_is_the_argument_or_the_option_or_the_usual_one(tmp_path, monkeypatch):
    named = SharedOptions(tmp_path, True, False, None, 0)
    by_environment = SharedOptions(tmp_path, False, False, None, 0)

    assert one_folder(None, named, Path("demo")) == tmp_path
    assert one_folder(None, by_environment, Path("demo")) == Path("demo")
    assert one_folder(tmp_path, named) == tmp_path
    monkeypatch.chdir(tmp_path.parent)
    assert one_folder(Path(tmp_path.name), named) == Path(tmp_path.name)
    with pytest.raises(UsageError, match="Two folders are named"):
        one_folder(tmp_path / "other", named)
    with pytest.raises(UsageError, match="No folder is named"):
        one_folder(None, by_environment)


def test_the_telling_board_is_in_line_and_guessed_to_be_the_most_work():
    boards = [
        Board("9", kind="major", state="finished", guess_low=90.0, guess_high=90.0),
        Board("2", kind="major", state="waiting"),
        Board("3", kind="major", state="waiting", guess_low=60.0, guess_high=60.0),
        Board("4", kind="minor", state="waiting", guess_low=20.0, guess_high=20.0),
    ]

    assert telling_board(boards).board == "3"
    assert telling_board(boards[:1]).board == "9"


def test_of_two_that_are_guessed_alike_the_one_is_telling_of_which_more_is_known_then_the_later():
    alike = {"kind": "major", "state": "waiting", "guess_low": 60.0, "guess_high": 60.0}
    more = {"infills": 1.0, "logos": 1.0}
    boards = [Board("5", **alike, assessed=more), Board("4", **alike, assessed=more), Board("6", **alike)]

    assert telling_board(boards).board == "5"


@pytest.mark.parametrize(("words", "kind"), [((), "files"), (("--book",), "book")])
def test_its_log_is_in_files_or_in_a_book_where_one_is_asked_for(run, tmp_path, monkeypatch, words, kind):
    written = []

    def write(kind):
        def note(place):
            written.append((kind, place))
            raise UsageError("So.")

        return note

    monkeypatch.setattr("estimator.demo.workshop.write_demo", write("files"))
    monkeypatch.setattr("estimator.demo.workshop.write_demo_book", write("book"))
    run("demo", tmp_path / "x", *words, exit_code=2)
    assert written == [(kind, tmp_path / "x")]

import json

import pytest
from making.records import RECORD, write_shop

from estimator.shop import Shop


@pytest.fixture
def looked_back(monkeypatch):
    """The record by hand in place of the workshop's own; what it was asked with."""
    asked = []

    def record(shop, *, progress=None, jobs=-1):
        asked.append(progress)
        return RECORD

    monkeypatch.setattr(Shop, "record", record)
    return asked


def test_the_page(demo_folder, run, looked_back):
    said = run("record", "--shop", demo_folder)

    assert said.stdout.startswith("Did I get it right?\n")
    assert "For a statistician" not in said.stdout
    assert len(looked_back) == 1
    assert looked_back[0] is not None  # told how far it is, whoever looks


def test_the_scores_when_asked_for(demo_folder, run, looked_back):
    assert "\nFor a statistician\n" in run("record", "--numbers", "--shop", demo_folder).stdout


def test_json_has_the_numbers_in_full(demo_folder, run, looked_back):
    assert json.loads(run("record", "--json", "--shop", demo_folder).stdout) == json.loads(
        json.dumps(RECORD.as_dict())
    )


def test_the_keys_of_json_that_others_read(demo_folder, run, looked_back):
    told = json.loads(run("record", "--json", "--shop", demo_folder).stdout)

    scores = {"held", "interval_score", "crps", "bias"}
    assert told.keys() >= {"boards", "dates", "raw", "against", "stretch", *scores}
    assert told["raw"].keys() >= scores
    assert told["boards"] == 32
    assert all(count.keys() >= {"odds", "held", "of", "band"} for count in told["held"])
    assert told["held"][1]["band"] == [21, 30]
    assert set(told["against"]) == {"own guess", "guess x usual", "median of past", "plain regression"}
    assert all(one.keys() >= {"interval_score", "crps", "held"} for one in told["against"].values())
    assert told["against"]["own guess"]["interval_score"] is None
    assert told["stretch"] == {"low": 1.01, "high": 1.11}


def test_a_figure(demo_folder, run, looked_back, tmp_path):
    said = run("record", "--figure", tmp_path / "record.svg", "--shop", demo_folder).stdout

    assert said.endswith(f"\nSaved as {tmp_path / 'record.svg'}.\n")
    assert "</svg>" in (tmp_path / "record.svg").read_text("utf-8")
    wrong = run("record", "--figure", tmp_path / "record.gif", "--shop", demo_folder, exit_code=2)
    assert "is neither .png nor .svg" in wrong.stderr


def test_a_workshop_looked_back_on_says_of_the_next_board_what_it_learned(tmp_path, run):
    write_shop(tmp_path, 12)
    hint = "Did past ranges hold? See for yourself:"
    next_board = ("range", "-q", "area=2", "--shop", tmp_path, "--today", "2025-04-01")
    assert hint in run(*next_board).stdout

    said = run("record", "--shop", tmp_path, "--today", "2025-03-31").stdout.splitlines()

    assert "Your last 12 boards" in said
    assert (
        "12 of 12 guesses equal what the board took: they look filled in afterwards, so they are not judged."
        in said
    )
    later = run(*next_board).stdout
    assert hint not in later
    moved = [line for line in later.splitlines() if "So says the record of Mon 31 March 2025." in line]
    learned = said[said.index("Ranges from now on") + 1]
    assert moved == (
        [] if learned.startswith("Ranges stay") else [f"{learned} So says the record of Mon 31 March 2025."]
    )
    assert "12 boards" in said[said.index("Ranges from now on") + 2]

"""`estimator quarter` from a folder to words, JSON and a drawing; what is kept is not made twice."""

import json

import pytest
from click.testing import CliRunner
from making.quarters import BOARDS, TODAY, write

from estimator.cli.commands import cli
from estimator.log.cache import kept
from estimator.shop import Shop

KEYS = """quarter boards hours income materials pay_per_hour kept by_kind in_hand owed suggestions"""
INSIDE = {
    "pay_per_hour": "all median low high",
    "kept": "hours dates",
    "by_kind": "kind boards hours income materials pay_per_hour before quarter change how_sure",
    "in_hand": "board called state hours_so_far hours hours_left ready price late",
    "suggestions": "change because how_sure",
    "charges": "driver unit hours mean_hours charge materials boards",
    "missing": "days no_price no_materials no_hours not_paid",
    "clock": "worked of_boards_made_ready both on_others on_no_board earlier undated",
    "till": "all deposits balances",
    "rules": "name verdict inside below above of",
    "went_over": "boards guessed took parts paid_by",
    "chart": "limit signal since boards",
}


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    return write(tmp_path_factory.mktemp("quarter") / "shop")


def run(folder, *words):
    return CliRunner().invoke(cli, [*map(str, words), "--shop", str(folder)], catch_exceptions=False)


@pytest.fixture(scope="module")
def said(folder):
    result = run(folder, "quarter", "2026-Q3", "--today", TODAY, "--json")
    assert result.exit_code == 0, result.output
    return json.loads(result.stdout, parse_constant=lambda name: pytest.fail(f"{name} is no JSON"))


def test_the_json_has_its_keys(said):
    assert set(KEYS.split()) <= set(said)
    for key, keys in INSIDE.items():
        inside = said[key] if isinstance(said[key], list) else [said[key]]
        assert inside, key
        assert all(set(keys.split()) <= set(one) for one in inside), key
    for part in said["kept"].values():
        assert {"held", "of"} <= set(part)
    assert (said["quarter"], said["boards"], said["hours"]) == ("2026-Q3", 6, 239.0)
    assert said["notes"] == []


def test_hours_over_add_up_and_no_suggestion_is_unsure(said):
    went = said["went_over"]

    assert sum(went["parts"].values()) == pytest.approx(went["took"] - went["guessed"])
    assert (went["took"], went["guessed"]) == (239.0, 225.0)
    assert 0 < len(said["suggestions"]) <= 3
    assert all(0.9 <= one["how_sure"] <= 1 for one in said["suggestions"])


def test_a_board_in_hand_is_forecast_from_what_was_known_at_the_quarters_end(said):
    (board,) = said["in_hand"]

    assert (board["board"], board["hours_so_far"]) == ("26-008", 6.0)  # its sanding came in October
    hours, left = board["hours"], board["hours_left"]
    assert hours["low"] <= hours["likely"] <= hours["high"]
    for end in ("low", "likely", "high"):
        assert left[end] == pytest.approx(hours[end] - 6.0)
    assert board["ready"]["low"] > "2026-09-30"


def test_looking_back_later_changes_nothing_that_came_after(folder, said, tmp_path):
    """Without what was written in October it is the same, but for the balance that was paid then."""
    boards = [
        (*board[:7], "", *board[8:13], 800, *board[14:]) if board[7] == "2026-10-05" else board
        for board in BOARDS
    ]
    known = write(tmp_path / "then", boards)
    rows = (known / "hours.csv").read_text("utf-8").splitlines()
    (known / "hours.csv").write_text("\n".join(r for r in rows if ",2026-10-" not in r) + "\n", "utf-8")
    shop = Shop.open(known, today=TODAY.replace(month=9, day=30))
    then = shop.quarter("2026-Q3", jobs=1).as_dict()

    assert then["in_hand"] == said["in_hand"]
    for key in (
        "boards",
        "hours",
        "income",
        "pay_per_hour",
        "kept",
        "waits",
        "turned_down",
        "charges",
        "year",
    ):
        assert then[key] == said[key], key
    assert then["owed"] == said["owed"] + 1800


def test_it_is_told_in_words_and_drawn(folder, said, tmp_path):
    drawing = tmp_path / "quarter.svg"
    result = run(folder, "quarter", "Q3 2026", "--today", TODAY, "--figure", drawing)

    assert result.exit_code == 0, result.output
    assert "It paid. 42 mk an hour on 6 boards; you want 42. After rent and power" in result.stdout
    assert result.stdout.rstrip().endswith(f"Saved as {drawing}.")
    text = drawing.read_text("utf-8")
    assert "<title>Hours have stayed as near to what ranges said as luck lets them." in text
    assert run(folder, "quarter", "2026-Q3", "--figure", tmp_path / "a.gif").exit_code == 2


@pytest.mark.parametrize("name", ["Q3", "2026", "2026-Q7", "summer"])
def test_what_is_no_quarter_is_refused_with_the_cure(folder, name):
    result = run(folder, "quarter", name, "--today", TODAY)

    assert result.exit_code == 2
    assert "is not a quarter of a year" in result.stderr
    assert "Write it as 2026-Q3." in result.stderr


def test_a_quarter_to_come_says_so_and_stops(folder, said):
    result = run(folder, "quarter", "2027-Q1", "--today", TODAY)

    assert result.exit_code == 0
    assert "January to March 2027, not begun yet" in result.stdout
    assert "It begins on Fri 1 January 2027: look back on it then." in result.stdout


def test_an_empty_workshop_answers_too(tmp_path):
    assert run(tmp_path / "new", "new").exit_code == 0
    result = run(tmp_path / "new", "quarter", "2026-Q3", "--today", TODAY)

    assert result.exit_code == 0
    assert "No board was made ready, so there is nothing to tell." in result.stdout


def test_money_in_another_currency_or_below_nothing_is_located_and_the_rest_counts(tmp_path):
    boards = [(*b[:10], {"26-002": "$1800", "26-003": "-1650"}.get(b[0], b[10]), *b[11:]) for b in BOARDS]
    folder = write(tmp_path / "mixed", boards, told=())
    problems = Shop.open(folder, today=TODAY).problems

    assert [p.where for p in problems] == [
        "boards.csv, line 5, price_charged",
        "boards.csv, line 6, price_charged",
    ]
    assert "the shop's money is mk" in problems[0].wrong
    assert "less than nothing" in problems[1].wrong


def test_what_the_record_keeps_is_kept(folder, said):
    """A quarter that is over has a record as of its end; what was forecast anew up to today stays."""
    run(folder, "record", "--today", TODAY)
    files = sorted((folder / ".estimator").glob("record-*.json")) + sorted(
        (folder / ".estimator").glob("dates-*.json")
    )
    before = [json.loads(kept(file)) for file in files]
    assert len(before) == 2

    assert run(folder, "quarter", "2026-Q1", "--today", TODAY).exit_code == 0
    after = [json.loads(kept(file)) for file in files]
    assert all(was.items() <= now.items() for was, now in zip(before, after, strict=True))
    assert before[0] == after[0]

"""The keys of `--json`, which others read: these stand, more may stand beside them."""

import json

import pytest
from click.testing import CliRunner
from making.added import write_small

from estimator.cli.commands import cli

RANGE = """board odds view hours quantiles stages reasons rests_on outside_experience alike ready materials price
look_next looked_so stretch"""
INSIDE = {
    "hours": "low likely high",
    "rests_on": "boards rules",
    "stages": "stage low likely high",
    "reasons": "stage driver hours",
    "outside_experience": "driver value seen_low seen_high how",
    "alike": "board called hours",
}
BENCH = "today log_up_to ring_today rung_already boards next_start touch_today leave weigh_again"
IN_BENCH = {
    "ring_today": "board why tell",
    "boards": "board on ready promised chance_kept",
    "next_start": "low likely high",
    "touch_today": "board stage why",
    "leave": "board until why",
}
MONEY = {"materials": "low likely high", "price": "for_target odds"}
ADDED = "hours price ready promises materials"
IN_ADDED = {
    "hours": "low likely high",
    "price": "for_target odds",
    "ready": "before after",
    "promises": "board before after chance_kept_before chance_kept_after",
}
OVERRUNS = "boards shares effects"
IN_OVERRUNS = {
    "boards": "board overrun guess surprise hidden asked_later pace",
    "shares": "driver part share low high",
    "effects": "driver part effect low high p_adjusted",
}
WEIGH = "board terms promises usual_mix_pay strip_first_value recommendation because"
IN_WEIGH = {
    "terms": "terms pay_per_hour chance_below_target chance_below_floor chance_of_loss price_for_target break_even_hours",
    "promises": "board before after chance_kept_before chance_kept_after",
}
LOOKS = "looks by_tool differently tests enough"
LOOKED_SO = "thing looked judged_with boards as_looked more less values"
CHECK = "problems notes boards hours_rows"
PROBLEM = "where found wrong cure"


@pytest.fixture(scope="module")
def demo(tmp_path_factory):
    from estimator.demo.workshop import write_demo

    folder = tmp_path_factory.mktemp("keys") / "demo"
    write_demo(folder)
    return folder


def printed(*words, exit_code=0):
    """The one object on stdout, read as strictly as JSON allows."""
    result = CliRunner().invoke(cli, [str(word) for word in words], catch_exceptions=False)
    assert result.exit_code == exit_code, result.output
    return json.loads(result.stdout, parse_constant=lambda name: pytest.fail(f"{name} is no JSON"))


def has_keys(found, keys):
    return set(keys.split()) <= set(found)


def test_range(demo):
    kept = printed(
        "range", "-q", "kind=major", "-q", "length=10-6", "-q", "infills=40", "--json", "--shop", demo
    )

    assert has_keys(kept, RANGE)
    assert "over" not in kept
    assert kept["outside_experience"]
    for key, keys in INSIDE.items():
        inside = kept[key] if isinstance(kept[key], list) else [kept[key]]
        assert inside
        assert all(has_keys(one, keys) for one in inside), key
    assert list(kept["quantiles"]) == [f"{p / 100:.2f}" for p in range(5, 100, 5)]
    assert list(kept["quantiles"].values()) == sorted(kept["quantiles"].values())
    assert kept["hours"]["low"] == pytest.approx(kept["quantiles"]["0.10"], rel=1e-9)
    assert kept["hours"]["high"] == pytest.approx(kept["quantiles"]["0.90"], rel=1e-9)
    assert {one["how"] for one in kept["outside_experience"]} <= {"beyond", "together"}


def test_money_of_a_range(demo):
    described = printed("range", "-q", "kind=major", "--odds", "9/10", "--json", "--shop", demo)
    by_guess = printed("range", "-q", "guess=40", "-q", "kind=?", "--json", "--shop", demo)

    for kept in (described, by_guess):
        assert all(has_keys(kept[key], keys) for key, keys in MONEY.items())
        assert 0 < kept["materials"]["low"] < kept["materials"]["likely"] < kept["materials"]["high"]
        assert kept["price"]["for_target"] > 42 * kept["hours"]["likely"]
    assert (described["price"]["odds"], by_guess["price"]["odds"]) == (0.9, 0.8)


def test_range_added(tmp_path):
    small = ("--shop", write_small(tmp_path), "--today", "2026-05-20")
    kept = printed("range", "26-003", "--add", "colours=1", "--json", *small)["added"]

    assert has_keys(kept, ADDED)
    for key, keys in IN_ADDED.items():
        inside = kept[key] if isinstance(kept[key], list) else [kept[key]]
        assert inside
        assert all(has_keys(one, keys) for one in inside), key
    assert has_keys(kept["ready"]["before"], "low likely high")
    assert kept["kept"] is None


def test_range_over(demo):
    kept = printed("range", "-q", "kind=major", "--over", "40", "--over", "72.5", "--json", "--shop", demo)

    assert list(kept["over"]) == ["40", "72.5"]
    assert all(0 <= chance <= 1 for chance in kept["over"].values())


def test_bench(demo):
    kept = printed("bench", "--json", "--shop", demo)
    # on the last day nothing is to be left alone; a week before, a gloss coat had to set
    kept["leave"] += printed("bench", "--json", "--shop", demo, "--today", "2026-09-22")["leave"]

    assert has_keys(kept, BENCH)
    for key, keys in IN_BENCH.items():
        inside = kept[key] if isinstance(kept[key], list) else [kept[key]]
        assert inside, key
        assert all(has_keys(one, keys) for one in inside), key
    assert {one["on"] for one in kept["boards"]} <= {"bench", "rack", "queue"}
    days = [one["ready"] for one in kept["boards"]]
    assert all(one["low"] <= one["likely"] <= one["high"] for one in days)  # ISO dates sort as text
    assert all(has_keys(one["promised"], "first last") for one in kept["boards"] if one["promised"])


def test_overruns(demo):
    kept = printed("overruns", "--json", "--shop", demo)

    assert has_keys(kept, OVERRUNS)
    for key, keys in IN_OVERRUNS.items():
        assert kept[key], key
        assert all(has_keys(one, keys) for one in kept[key]), key
    for one in kept["boards"]:
        assert one["guess"] + one["surprise"] + one["pace"] == pytest.approx(one["overrun"], abs=1e-12)
        assert one["hidden"] + one["asked_later"] == pytest.approx(one["surprise"], abs=1e-12)
    assert sum(one["share"] for one in kept["shares"]) == pytest.approx(1, abs=1e-9)


def test_looks(demo):
    kept = printed("looks", "--json", "--shop", demo)

    assert has_keys(kept, LOOKS)
    assert all(has_keys(one, "so ways") and has_keys(one["so"], LOOKED_SO) for one in kept["looks"])


def test_weigh(demo):
    board = next(
        row["board"] for row in printed("bench", "--json", "--shop", demo)["boards"] if row["on"] == "queue"
    )
    kept = printed("weigh", board, "--price", "2600", "--json", "--shop", demo)

    assert has_keys(kept, WEIGH)
    for key, keys in IN_WEIGH.items():
        assert kept[key], key
        assert all(has_keys(one, keys) for one in kept[key]), key
    assert [one["terms"] for one in kept["terms"]] == ["fixed", "ceiling", "open-first"]
    for one in kept["terms"]:
        assert list(one["pay_per_hour"]) == ["low", "likely", "high"]
        assert all(
            0 <= one[chance] <= 1
            for chance in ("chance_below_target", "chance_below_floor", "chance_of_loss")
        )
    assert isinstance(kept["recommendation"], str)
    assert len(kept["because"]) >= 2
    assert board not in [one["board"] for one in kept["promises"]]
    assert all(
        list(one[when])[:3] == ["low", "likely", "high"]
        for one in kept["promises"]
        for when in ("before", "after")
    )
    assert kept["strip_first_value"] < 0.1 * 2600


def test_check(demo, tmp_path):
    kept = printed("check", "--json", "--shop", demo)
    assert has_keys(kept, CHECK)
    assert kept["notes"]
    assert all(has_keys(one, PROBLEM) for one in kept["notes"])

    (tmp_path / "workshop.toml").write_text("[bench]\nplcaes = 3\n", "utf-8")
    kept = printed("check", "--json", "--shop", tmp_path, exit_code=1)
    assert has_keys(kept, CHECK)
    assert kept["problems"]
    assert all(has_keys(one, PROBLEM) for one in kept["problems"])

import json
import shutil
from dataclasses import replace

import pytest
from making.folders import folder
from making.verdicts import verdict

from estimator.cli.printing import plain_lines
from estimator.forecast.ranges import Spread
from estimator.record.rules.verdicts import SharedError, Verdicts
from estimator.said.rules import CALLED_WRONG, rule_parts, shared_words, verdict_words
from estimator.shop import Shop
from estimator.snapshot import Snapshot
from estimator.words.records import Accepted
from estimator.words.settings.reader import read_settings

KEYS = """name text odds low high share verdict looks inside below above of evidence log both suggested
worth_boards"""
STATISTICS = (
    "evidence",
    "prior",
    "posterior",
    "quantile",
    "e-value",
    "confidence",
    "interval",
    "percent",
    "bias",
)


def holding(**more):
    """A rule that holds, without its cases."""
    amounts = Spread(3.1, 3.9, 4.8)
    counts = {"inside": 9, "below": 1, "above": 1, "of": 11, "evidence": 0.2, "cases": ()}
    says = {"verdict": "holds", "log": amounts, "both": amounts, "suggested": (3.1, 4.8)}
    return verdict(**{**counts, **says, **more})


def lines(*verdicts, shared=None):
    return plain_lines(rule_parts(Verdicts(verdicts, shared)))


def test_a_wrong_rule_comes_with_what_the_log_says_and_how_to_keep_it():
    told = lines(holding(verdict="too low", inside=1, below=0, above=25, of=26, suggested=(5.3, 8.6)))

    assert told == [
        "Your rules of thumb, and how past boards went",
        "         you said    within  less  more",
        "sanding  3 to 4½ h  1 of 26     0    25  too low",
        "",
        "sanding: too low",
        "You said: “Sanding takes 3 to 4½ hours”.",
        "25 of 26 took longer.",
        "By your log it is 5½ to 8½ hours, 8 times in 10. Your words stay as they are; to keep this beside them:",
        "estimator rules --accept sanding",
        CALLED_WRONG,
    ]


def test_what_is_kept_already_is_not_suggested_again():
    wrong = holding(verdict="too low", inside=1, below=0, above=25, of=26, suggested=(5.3, 8.6))
    kept = lines(replace(wrong, accepted=(5.3, 8.6)))

    assert not [line for line in kept if "--accept" in line or line.startswith("By your log")]
    assert kept[-3:-1] == ["Kept beside your words", "sanding: 5½ to 8½ hours."]
    moved = lines(replace(wrong, accepted=(4.0, 6.0)))  # more boards have changed what the log says
    assert "estimator rules --accept sanding" in moved


def test_too_few_boards_say_how_many_would_do():
    told = lines(holding(verdict="not enough boards", inside=2, below=0, above=0, of=2, would_do=9))

    assert "sanding: 2 boards so far; if they go as you said, 9 in all would do." in told


def test_chances_are_counted_as_happened():
    chance = holding(
        form="chance", share=0.05, low=None, high=None, odds=None, suggested=None, inside=3, below=0
    )
    told = lines(chance)

    assert "sanding  1 in 20   3 of 11              holds" in told


@pytest.mark.parametrize(
    ("more", "words"),
    [
        ({"looks": "low"}, "holds, but misses lie above"),
        ({"lent": True, "verdict": "not enough boards", "looks": "high"}, "your boards take less"),
        ({"lent": True, "form": "chance", "share": 0.1, "looks": "low"}, "it happens more here"),
        ({"verdict": "too sure"}, "too sure of itself"),
    ],
)
def test_verdicts_in_words(more, words):
    assert verdict_words(holding(**more)) == words


def test_amounts_are_as_long_as_they_deserve():
    said = [
        holding(form="stage").said(13.4, 42.0),
        holding(form="rate").said(1.134, 1.96),
        holding(form="wait").said(0.3, 91.4),
        holding(form="factor").said(1.1234, 1.5),
    ]
    assert said == ["13 to 40 hours", "1.1 to 2 hours", "½ to 91 days", "1.12 to 1.5 times as long"]


def test_the_error_that_rules_share_is_said_only_when_sure():
    assert (
        shared_words(SharedError(-0.2, 0.5, 0.02, 0.03))
        == "Taken all together, your rules of thumb run a fifth high, and are wider than they need to be."
    )
    assert not shared_words(SharedError(0.2, 1.6, 0.9, 0.9))
    assert not shared_words(None)


def test_lent_rules_stand_apart():
    told = lines(holding(lent=True), holding(lent=True, name="other", of=0, inside=0, below=0, above=0))

    assert told[0] == "None of the rules of thumb is your own yet."
    assert "Lent rules of thumb, not yet yours" in told
    assert told[-1] == "On 1 lent rule of thumb your boards say nothing yet."
    assert lines() == ["There is no rule of thumb in workshop.toml."]


@pytest.fixture(scope="module")
def demo(demo_folder, tmp_path_factory):
    """The invented workshop, judged once."""
    folder = tmp_path_factory.mktemp("judged") / "demo"
    shutil.copytree(demo_folder, folder)
    return folder


def test_the_invented_workshop(demo, run):
    told = json.loads(run("rules", "--shop", demo, "--json").stdout)

    assert told["shared"].keys() >= {"lean", "scale"}
    assert all(set(KEYS.split()) <= rule.keys() for rule in told["rules"])
    accused = {r["name"] for r in told["rules"] if r["verdict"].startswith("too")}
    assert accused == {"drying when properly wet", "sanding a long board"}
    for rule in told["rules"]:
        for name in ("log", "both"):
            assert rule[name] is None or rule[name]["low"] < rule[name]["likely"] < rule[name]["high"]
        assert rule["suggested"] is None or rule["suggested"].keys() == {"low", "high"}
    kept = {path: path.stat().st_mtime_ns for path in (demo / ".estimator").glob("rules-*")}
    assert kept

    words = run("rules", "--shop", demo).stdout
    assert not [word for word in STATISTICS if word in words.casefold()]
    assert words == run("rules", "--shop", demo).stdout
    # the kept judgement is read, and no other is made
    assert {path: path.stat().st_mtime_ns for path in (demo / ".estimator").glob("rules-*")} == kept


def test_an_earlier_day_knows_fewer_cases(demo, run):
    early, late = (
        {r["name"]: r["of"] for r in json.loads(run("rules", "--shop", demo, "--json", *day).stdout)["rules"]}
        for day in (("--today", "2023-06-30"), ())
    )
    for name in ("sanding a long board", "start to ready", "drying when properly wet", "something nasty"):
        assert 0 < early[name] < late[name]


def test_accept_keeps_the_suggestion_beside_the_words(demo, run):
    before = (demo / "workshop.toml").read_text("utf-8")
    told = run("rules", "--accept", "sanding a long board", "--shop", demo).stdout

    rule = next(r for r in read_settings(demo)[0].rules if r.name == "sanding a long board")
    assert isinstance(rule.accepted, Accepted)
    assert (rule.low, rule.high) == (3.0, 4.5) < (rule.accepted.low, rule.accepted.high)
    assert rule.accepted.on.isoformat() == "2026-10-01"
    assert told.startswith("Kept beside sanding a long board, in workshop.toml: ")
    after = (demo / "workshop.toml").read_text("utf-8")
    assert set(before.splitlines()) <= set(after.splitlines())
    (demo / "workshop.toml").write_text(before, "utf-8")


def test_a_program_is_told_by_its_name_what_was_kept_and_on_which_day(run, tmp_path, monkeypatch):
    kept = []
    monkeypatch.setattr(Shop, "rule", lambda *_: None)
    monkeypatch.setattr(Shop, "rules", lambda _: Verdicts((holding(),), None))
    monkeypatch.setattr(Shop, "accept", lambda _, rule, on: kept.append((rule, str(on))) or holding())
    shop = ("--json", "--today", "2026-06-02", "--shop", folder(tmp_path / "shop"))

    assert json.loads(run("rules", "--accept", "sanding", *shop).stdout)["accepted"] == "sanding"
    assert json.loads(run("rules", *shop).stdout)["accepted"] is None
    assert kept == [("sanding", "2026-06-02")]


def test_what_cannot_be_accepted(demo, run):
    wrong = run("rules", "--accept", "sandng a long board", "--shop", demo, exit_code=2)
    assert "The nearest name known here is sanding a long board." in wrong.stderr
    none = run("rules", "--accept", "something nasty", "--shop", demo, exit_code=1)
    assert none.stderr.startswith('Nothing is suggested beside "something nasty"')


def test_a_rule_that_is_none_is_refused_before_any_is_judged(demo, run, monkeypatch):
    def judged(*_):
        raise AssertionError("worked for nothing")

    monkeypatch.setattr(Snapshot, "rules", judged)
    run("rules", "--accept", "sandng", "--shop", demo, exit_code=2)


def test_a_figure(demo, run, tmp_path):
    run("rules", "--figure", tmp_path / "rules.svg", "--shop", demo)

    assert "Sanding the filler coat" in (tmp_path / "rules.svg").read_text("utf-8")
    assert run("rules", "--figure", tmp_path / "rules.gif", "--shop", demo, exit_code=2).stderr


def test_before_the_first_board(run, tmp_path):
    run("new", tmp_path / "shop")
    told = run("rules", "--shop", tmp_path / "shop").stdout

    assert told.startswith("None of the rules of thumb is your own yet.")
    none = run("rules", "--figure", tmp_path / "a.png", "--shop", tmp_path / "shop", exit_code=2)
    assert none.stderr.startswith("None of the rules of thumb is your own yet.")

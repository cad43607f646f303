"""What each command asks of the workshop: every option arrives there, as it was meant; problems are counted."""

import datetime as dt

import pytest
from making.folders import BOARDS, SETTINGS, folder

from estimator.decide.otherwise import Habit
from estimator.shop import Shop
from estimator.words.errors import EstimatorError
from estimator.words.records import Told

JUNE = dt.date(2026, 6, 1)
RANGE = {"odds": 0.8, "view": None, "over": [], "dates": False}
WEIGH = {"price": None, "terms": None, "ceiling": None, "strip_fee": None}
TOLD = "told|green fish|--hours|8-12|--price|900|--terms|fixed"
ALL = {"hours": True, "first": True, "last": True}


class EnoughError(EstimatorError):
    """The command has asked what it asks."""


@pytest.fixture
def shop(tmp_path):
    return folder(tmp_path / "shop", f"[workshop]\nhours_in_a_day = 8\n{SETTINGS}")


@pytest.mark.parametrize(
    ("words", "method", "given", "named"),
    [
        ("range|green fish", "range", ("green fish",), {**RANGE, "change": {}}),
        ("range|green fish|-q|area=3|--view|opened|--odds|9/10|--over|2 days|--over|5|--dates", "range", ("green fish",),
         {"odds": 0.9, "view": "opened", "over": [16, 5], "dates": True, "change": {"area": "3"}}),
        ("range|-q|area=3|--view|opened|--odds|9/10|--over|2 days|--dates", "range", ({"area": "3"},),
         {"odds": 0.9, "view": "opened", "over": [16], "dates": True}),
        ("range|green fish|--add|area=1|--odds|9/10", "asked_since", ("green fish", {"area": "1"}), {"odds": 0.9}),
        ("range|green fish|--add|area=1|--keep", "agree", ("green fish", {"area": "1"}), {"odds": 0.8, "price": None}),
        ("range|green fish|--add|area=1|--odds|9/10|--keep|--agreed|150", "agree", ("green fish", {"area": "1"}),
         {"odds": 0.9, "price": 150.0}),
        ("weigh|green fish", "weigh", ("green fish",), WEIGH),
        ("weigh|green fish|--terms|open-first|--strip-fee|90", "weigh", ("green fish",),
         {**WEIGH, "terms": "open-first", "strip_fee": 90.0}),
        ("weigh|green fish|--decide|no|--why|too far", "decide", ("green fish", "no"), {"why": "too far", "for_love": False}),
        ("weigh|green fish|--decide|yes|--why|mine|--for-love", "decide", ("green fish", "yes"),
         {"why": "mine", "for_love": True}),
        ("quarter|2026-Q1", "quarter", ("2026-Q1",), {"progress": ...}),
        ("record|--numbers", "record", (), {"progress": ...}),
        ("rules", "rules", (), {}),
        ("rules|--accept|gloss", "accept", ("gloss",), {"on": JUNE}),
        ("money", "money", (None, None), {}),
        ("money|--from|2026-03-01|--to|2026-03-01", "money", (dt.date(2026, 3, 1), dt.date(2026, 3, 1)), {}),
        ("money|--to|2026-03-31", "money", (None, dt.date(2026, 3, 31)), {}),
        ("otherwise", "otherwise", (None,), {}),
        ("otherwise|--places|4", "otherwise", (Habit(places=4),), {}),
        ("otherwise|--strip-first", "otherwise", (Habit(strip_first=True),), {}),
        ("otherwise|--small-on|Mon", "otherwise", (Habit(small_on=0),), {}),
        ("otherwise|--days|Tue-Thu", "otherwise", (Habit(days=(1, 2, 3)),), {}),
        ("otherwise|--none|minor", "otherwise", (Habit(none="minor"),), {}),
        ("undo", "undo", (None,), {}),
        ("undo|3", "undo", (3,), {}),
        ("undo|--list", "acts", (20,), {}),
        ("hours|FILE", "read_hours", ("Mon red strip 1",), {"week": None}),
        ("hours|FILE|--week|2026-05-20", "read_hours", ("Mon red strip 1",), {"week": dt.date(2026, 5, 20)}),
        (f"{TOLD}|--first|2026-06-05|--last|2026-06-19|--odds|9/10|--because|late|--paid-by|half", "tell",
         (Told("green fish", JUNE, 8, 12, 900, "fixed", dt.date(2026, 6, 5), dt.date(2026, 6, 19), 0.9, "late", "half"),),
         ALL),
        ("told|green fish|--hours|1-2 days|--last|?|--price|?", "tell", (Told("green fish", JUNE, 8, 16),), {**ALL, "last": False}),
        ("told|green fish|--first|?|--hours|?", "tell", (Told("green fish", JUNE),), {**ALL, "first": False, "hours": False}),
        ("told|green fish|--terms|ceiling 950", "tell", (Told("green fish", JUNE, terms="ceiling 950"),), ALL),
    ],
)  # fmt: skip
def test_every_option_arrives_where_it_is_answered(
    run, shop, tmp_path, monkeypatch, words, method, given, named
):
    asked = []

    def record(opened, *places, **names):
        asked.append(
            (opened.today, places, {n: ... if n == "progress" and v else v for n, v in names.items()})
        )
        raise EnoughError("So.")

    (tmp_path / "week.txt").write_text("Mon red strip 1", "utf-8")
    monkeypatch.setattr(Shop, method, record)
    run(
        *words.replace("FILE", str(tmp_path / "week.txt")).split("|"),
        "--today",
        JUNE,
        "--shop",
        shop,
        exit_code=1,
    )

    assert asked == [(JUNE, given, named)]


@pytest.mark.parametrize(
    "words",
    [
        "bench", "weigh|green fish|--price|100", "looks", "notes", "money", "overruns", "quarter|2026-Q2", "record",
        "rules", "sheet|week", "told|green fish|--hours|8|--last|?", "hours|FILE", "range|green fish",
    ],
)  # fmt: skip
def test_whatever_is_answered_problems_in_the_log_are_counted_beside_it(run, tmp_path, words):
    shop = folder(tmp_path / "shop", boards=f"{BOARDS}26-004,odd one,soon,,waiting,,1\n")
    (tmp_path / "week.txt").write_text("Mon red strip 1", "utf-8")
    asked = words.replace("FILE", str(tmp_path / "week.txt")).split("|")
    ran = run(*asked, "--today", JUNE, "--shop", shop)

    assert ran.stderr == "1 problem in the log; `estimator check` lists them.\n"
    assert ran.stdout


def test_a_board_with_the_decision_that_is_kept_is_not_weighed_but_for_json(run, shop, monkeypatch):
    monkeypatch.setattr(Shop, "weigh", lambda *_, **__: pytest.fail("worked out for nothing"))
    said = run("weigh", "green fish", "--decide", "no", "--why", "x", "--today", JUNE, "--shop", shop).stdout
    assert said == f"Kept in {shop / 'boards.csv'}: green fish, no: “x”.\n"


def test_a_seed_that_is_named_is_the_workshop_s(run, shop, monkeypatch):
    seeds = []

    def looks(opened):
        seeds.append(opened.seed)
        raise EnoughError("So.")

    monkeypatch.setattr(Shop, "looks", looks)
    run("looks", "--seed", "7", "--shop", shop, exit_code=1)
    run("looks", "--shop", shop, exit_code=1)
    assert seeds == [7, 0]

"""What the worker leaves of looking back: which ranges are offered beside rules of thumb, and what is asked of a quarter."""

import datetime as dt
import json
from types import SimpleNamespace

import pytest
from making.quarters import known_of, reviewed, write
from making.records import RECORD
from making.verdicts import verdict

from estimator.counter import looking_back
from estimator.counter.looking_back import _asked, quarter_answer, record_answer, rules_answer
from estimator.decide.quarter.accounts import Owing
from estimator.decide.quarter.pay import Made
from estimator.record.rules.judging import Verdicts
from estimator.said.parts import Heading
from estimator.words.settings.schema import Settings

JUNE = dt.date(2026, 6, 30)


def test_a_range_is_offered_beside_rules_that_are_wrong_and_have_one_and_beside_no_other():
    wrong = verdict(name="sanding", verdict="too low", suggested=(5.3, 8.6), of=15)
    without = verdict(name="glossing", verdict="too sure", suggested=None)
    holds = verdict(name="stripping", verdict="holds", suggested=(2.0, 3.0))
    unsure = verdict(name="spraying", verdict="not enough boards", suggested=(1.0, 2.0))
    shop = SimpleNamespace(rules=lambda: Verdicts((holds, wrong, unsure, without), None))

    offers = [json.loads(offer) for offer in rules_answer(shop)["offers"]]

    assert offers == [["sanding", 5.3, 8.6, 15]]


def made(board, **more):
    return Made(
        **{
            "board": board,
            "called": "",
            "kind": "",
            "ended": JUNE,
            "hours": 9.0,
            "whole": True,
            "price": 900.0,
            "materials": 60.0,
            **more,
        }
    )


def owing(board, owed):
    return Owing(board, "", JUNE, collected=True, owed=owed)


@pytest.mark.parametrize(
    ("boards", "debts", "asked"),
    [
        ([made("a")], [], []),
        ([made("a", price=None)], [], [("price", "a")]),
        ([made("a", price=0.0, materials=0.0)], [], []),
        ([made("a", materials=None)], [], [("materials", "a")]),
        ([made("a", whole=False)], [], [("hours", "a")]),
        ([made("a", hours=0.0)], [], [("hours", "a")]),
        ([made("a", dated=False)], [], [("ready", "a")]),
        ([made("b", price=None, dated=False), made("a", materials=None)], [], [("price", "b"), ("ready", "b"), ("materials", "a")]),
        ([made("a")], [owing("a", 300.0), owing("z", 40.0)], [("paid", "a")]),  # z was made ready in another quarter
        ([made("a"), made("b")], [owing("a", 0.0), owing("b", None)], []),
    ],
)  # fmt: skip
def test_what_is_asked_before_a_quarter_is_counted(boards, debts, asked):
    days = (dt.date(2026, 5, 18), dt.date(2026, 5, 19))
    review = SimpleNamespace(made=boards, owing=debts, gaps=SimpleNamespace(days=days))

    assert list(_asked(review)) == [("day", "2026-05-18"), ("day", "2026-05-19"), *asked]


def test_a_quarter_comes_in_pieces_and_one_that_has_not_begun_in_two_sentences(tmp_path):
    workshop = known_of(write(tmp_path / "shop"))
    asked = []

    def answer(name):
        shop = SimpleNamespace(
            quarter=lambda name, **how: asked.append(how) or reviewed(workshop, name), settings=workshop[1]
        )
        return quarter_answer(shop, name, print)

    ahead, over = answer("2027-Q1"), answer("2026-Q3")
    assert ahead == {
        "head": ("January to March 2027, not begun yet",),
        "quarter": ("It begins on Fri 1 January 2027: look back on it then.",),
    }
    assert asked[0] == {"progress": print, "jobs": 1}
    assert over["head"] == ("July to September 2026",)
    assert [json.loads(one) for one in over["asked"]] == [
        ["day", "2026-07-21"], ["day", "2026-07-22"], ["paid", "26-004"], ["paid", "26-007"],
    ]  # fmt: skip
    assert "Away, didn't work, or not written down?" in over["gaps"]  # fields stand below it
    heads = {
        name: [part.text for part in over[name] if isinstance(part, Heading)]
        for name in ("quarter", "page two", "charges")
    }
    assert heads["quarter"][:2] == ["Did it pay?", "In time, and as told?"]
    assert "What I charge for what, guessed" not in heads["page two"]
    assert len(over["quarter drawing"]) == 2
    assert answer("2026-Q4")["head"] == ("October to December 2026, so far",)
    assert "gaps" in answer("2026-Q4")  # it runs, and can be looked at


def test_past_ranges_are_told_without_statistics_and_with_the_last_boards_as_a_table():
    found = record_answer(SimpleNamespace(record=lambda **_: RECORD, settings=Settings()), print)
    [table] = found["record table"]

    assert "For a statistician" not in [part.text for part in found["record"] if isinstance(part, Heading)]
    assert len(table.rows) == 21  # twenty, and one that is still open
    assert table.rows[-1][2:] == ("30", "still open")
    assert found["record drawing"]
    assert found["nearer drawing"]


def test_what_to_charge_stands_in_a_place_of_its_own(tmp_path, monkeypatch):
    workshop, asked = known_of(write(tmp_path / "shop")), []
    monkeypatch.setattr(looking_back, "page_two", lambda *_, charges: asked.append(charges) or ["two"])
    monkeypatch.setattr(looking_back, "charge_parts", lambda *_: ["charges"])
    found = quarter_answer(
        SimpleNamespace(quarter=lambda *_, **__: reviewed(workshop), settings=workshop[1]), "2026-Q3", print
    )

    assert (asked, found["page two"], found["charges"]) == ([False], ("two",), ("charges",))


def test_each_look_back_has_its_drawing_beside_its_words(monkeypatch):
    shop = SimpleNamespace(
        rules=lambda: Verdicts((), None), overruns=lambda: "o", looks=lambda: "l", settings="s"
    )
    for kind in ("rules", "overruns", "looks"):
        monkeypatch.setattr(looking_back, f"{kind}_drawings", lambda *given, kind=kind: (kind, *given))
    monkeypatch.setattr(looking_back, "overruns_parts", lambda *given: given)
    monkeypatch.setattr(looking_back, "looks_parts", lambda *given: given)

    assert rules_answer(shop)["rules drawing"] == ("rules", Verdicts((), None))
    assert looking_back.overruns_answer(shop) == {
        "overruns": ("o", "s"),
        "overruns drawing": ("overruns", "o"),
    }
    assert looking_back.looks_answer(shop) == {"looks": ("l", "s"), "looks drawing": ("looks", "l", "s")}


@pytest.mark.parametrize(("chart", "rows"), [("chart", (("rows of", ("drawn", "chart")),)), (None, ())])
def test_boards_of_a_quarter_stand_in_a_table_beside_their_drawing(monkeypatch, chart, rows):
    review = SimpleNamespace(
        quarter=SimpleNamespace(ahead=False),
        chart=chart,
        charges=(),
        made=(),
        owing=(),
        gaps=SimpleNamespace(days=()),
    )
    for name in ("headline", "gap_parts", "first_page", "quarter_drawings", "page_two", "charge_parts"):
        monkeypatch.setattr(looking_back, name, lambda *_, **__: ())
    monkeypatch.setattr(looking_back, "drawn_boards", lambda chart: ("drawn", chart))
    monkeypatch.setattr(looking_back, "table_of_landed", lambda boards: ("rows of", boards))
    shop = SimpleNamespace(quarter=lambda *_, **__: review, settings=Settings())

    assert quarter_answer(shop, "2026-Q3", print)["quarter table"] == rows

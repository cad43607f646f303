"""What was there before the log: what was understood of a board in hand, and where the next box begins."""

import datetime as dt
import re

import pytest
from making.counter import HOST
from making.diaries import TODAY, begun, boxes

from estimator.counter.forms import PageForm
from estimator.counter.pages import before_the_log as page
from estimator.words.records import Board


@pytest.fixture
def shop(tmp_path):
    return begun(tmp_path / "new")


@pytest.mark.parametrize(
    ("board", "said"),
    [
        (Board("a", owner="Ann"), "no day told"), (Board("a", "red", "Ann"), "Ann, no day told"),
        (Board("a", "red", "Ann", kind="major", length_m=2.8956, promised_last=dt.date(2026, 10, 20), guess_low=60.0, guess_high=60.0),
         "Ann, Full restoration, 9'6\" (2.90 m), told: by Tue 20 October 2026, your own guess 60 h"),
    ],
)  # fmt: skip
def test_what_was_understood_of_a_board_in_hand(shop, board, said):
    with shop.app.test_request_context("/", headers={"Host": HOST}):
        assert page._in_words(board) == said


def test_only_boards_in_hand_stand_among_those_promised(shop):
    lines = "Ines Calder, full 9'6, by 20 October, 60 h\nHal's red 9'1, full resto, told 5 September, 60-80 h"
    assert shop.send("/promised", shown="/promised", lines=lines).status_code == 303
    ines, hal = shop.shop.log.boards
    shop.send(f"/boards/{hal.board}/write/gave-back", shown=f"/boards/{hal.board}/write/gave-back", kept="0")
    main = shop.page("/promised").partition("<main")[2].partition("</main>")[0]

    assert "Ines Calder" in main
    assert f"/boards/{ines.board}" in main
    assert "red 9&#39;1" not in main


@pytest.mark.parametrize(("most", "status"), [(2, 303), (1, 422)])
def test_as_many_lines_as_may_be_go_in_at_once(shop, monkeypatch, most, status):
    monkeypatch.setattr(page, "MOST_LINES", most)

    assert (
        shop.send("/promised", shown="/promised", lines="Tam 5'10 ding, 9 h\nBo 6'1 ding, 9 h").status_code
        == status
    )


@pytest.mark.parametrize(("year", "status"), [(TODAY.year, 303), (TODAY.year + 1, 422), ("9" * 5000, 422)])
def test_a_diary_may_be_of_this_year_and_of_none_to_come(shop, year, status):
    answer = shop.send("/diary", shown="/diary", box=boxes()[0], year=str(year))
    assert (f"is no year. Write one from 1950 to {TODAY.year}." in answer.get_data(as_text=True)) == (
        status == 422
    )


def test_what_an_address_offers_is_one_of_what_there_is(shop):
    for query, rest, finish in (
        ("", "none", "gloss"),
        ("rest=unknown&finish=none", "unknown", "none"),
        ("rest=x&finish=x", "none", "gloss"),
    ):
        text = shop.page(f"/diary?{query}&year=20255")
        assert re.search(rf'name="rest" value="{rest}" checked', text)
        assert re.search(rf'name="finish" value="{finish}" checked', text)
        assert 'value="2025"' in text
    assert f'value="{TODAY.year}"' in shop.page("/diary")


def diary(shop, box, year="2025", **more):
    return shop.send("/diary", shown="/diary", box=box, year=year, **more)


def answers_to(answer):
    """Every doubt of a page answered with nobody knows."""
    return dict.fromkeys(
        re.findall(r'<fieldset class="choices" id="f-(doubt\.[^"]*)">', answer.get_data(as_text=True)), "?"
    )


@pytest.mark.parametrize(
    ("otherwise", "again"),
    [
        ({}, True),
        ({"called": "other"}, True),  # what it is called tells no board from another
        ({"owner": "Bo"}, False),
        ({"kind": "minor"}, False),
        ({"length": "9'1"}, False),
        ({"ready": "2025-02-04"}, False),
        ({"total_hours": "59"}, False),
        ({"found_infills": "2"}, False),
        ({"found_infills": ""}, False),
    ],
)
def test_the_very_same_board_is_one_of_which_all_that_a_diary_says_is_the_same(shop, otherwise, again):
    there = {"called": "red", "owner": "Ann", "kind": "major", "length": "9'6", "ready": "2025-02-03", "total_hours": "58.5", "found_infills": "1"}  # fmt: skip
    other = {"called": "tan", "owner": "Cy", "kind": "major", "length": "9'6", "ready": "2025-03-03", "total_hours": "60"}  # fmt: skip
    with shop.app.extensions["counter"].store.act(
        "boards", dt.datetime(2026, 9, 14, 8, tzinfo=dt.UTC)
    ) as act:
        act.append("boards", {"board": "25-001", **there})
        act.append("boards", {"board": "25-002", **other})
    with shop.app.test_request_context("/", headers={"Host": HOST}):
        [*doubts] = page._there_already({**there, **otherwise}, {})
        assert [(one.key, [choice.value for choice in one.choices]) for one in doubts] == (
            [("again-0-0", ["yes"])] if again else []
        )
        assert list(page._there_already({**there, **otherwise}, {"again-0-0": "yes"})) == []
        assert list(page._there_already({"ready": "soon"}, {})) == []


@pytest.mark.parametrize(
    ("ready", "year", "next_box"),
    [
        ("2 January 2025 to 3 February 2025", "2023", "2025"),
        ("2 January to 3 February", "2024", "2024"),
        ("", "2023", "2023"),
    ],
)
def test_the_next_box_begins_with_the_year_in_which_the_last_was_ready(shop, ready, year, next_box):
    box = f"red 9'6 full, strip both sides + 1 col, let in 1 pcs, {ready}, 9 days, 1200"
    answer = diary(shop, box, year)
    if answer.status_code == 422:
        answer = diary(shop, box, year, **answers_to(answer))

    assert f"year={next_box}&" in answer.headers["Location"]
    assert answer.headers["Location"].endswith("#f-box")


def test_answers_to_doubts_are_of_their_line_and_what_is_typed_wins(shop):
    form = PageForm(
        {
            "doubt.0.kind-0-5": ["major"],
            "doubt.0.owner-0-3": ["x"],
            "doubt.0.owner-0-3.other": ["Mara"],
            "doubt.0.length-6-9.other": ["9'6"],
            "doubt.0.none-1-2": [""],
            "doubt.1.kind-0-5": ["minor"],
            "doubt..kind-0-5": ["side"],
            "box": ["doubt.0.kind-0-5"],
        }
    )
    assert page._answers(form, "0") == {"kind-0-5": "major", "owner-0-3": "Mara", "length-6-9": "9'6"}
    assert page._answers(form, "1") == {"kind-0-5": "minor"}
    assert page._answers(form) == {"kind-0-5": "side"}


@pytest.mark.parametrize(("of", "typed"), [("", ""), ("2", "the line")])
def test_a_doubt_becomes_a_field_of_its_line(of, typed):
    from estimator.log.notebook.page import A_LINE, Choice, Doubt

    doubts = [
        Doubt("kind", (0, 4), "the line", "Which sort?", (Choice("major", "Full"), Choice("?", "Can't say"))),
        Doubt("owner", (5, 8), "the line", "Whose is it?", (), A_LINE),
    ]
    assert page._asked(doubts, of) == [
        {"name": f"doubt.{of}.kind-0-4", "asks": "Which sort?", "typed": typed, "choices": [("major", "Full"), ("?", "Can't say")], "free": False},
        {"name": f"doubt.{of}.owner-5-8", "asks": "Whose is it?", "typed": typed, "choices": [], "free": True},
    ]  # fmt: skip


def test_a_board_in_hand_is_called_by_its_short_name_else_by_its_owner(shop, monkeypatch):
    held = {}
    monkeypatch.setattr(page, "render_template", lambda _, **given: held.update(given) or "")
    with shop.app.extensions["counter"].store.act(
        "boards", dt.datetime(2026, 9, 14, 8, tzinfo=dt.UTC)
    ) as act:
        for number, cells in enumerate(({"called": "red", "owner": "Ann"}, {"owner": "Bo"}, {}), 1):
            act.append("boards", {"board": f"26-00{number}", "state": "waiting", **cells})
    shop.get("/promised")

    assert held["boards"] == [
        ("26-001", "red", "Ann, no day told"),
        ("26-002", "Bo", "no day told"),
        ("26-003", "26-003", "no day told"),
    ]


def test_whether_it_was_glossed_is_asked_where_there_is_gloss_to_lay(shop, tmp_path, monkeypatch):
    from making.counter import client
    from making.folders import folder

    held = {}
    monkeypatch.setattr(page, "render_template", lambda _, **given: held.update(given) or "")
    for visitor, asked in ((shop, True), (client(folder(tmp_path / "other"), today=TODAY), False)):
        visitor.get("/diary")
        assert held["gloss"] is asked


def test_only_a_line_of_ones_own_may_be_typed_beside_the_choices(shop):
    from estimator.log.notebook.page import A_DATE, A_LINE, Choice, Doubt

    doubts = [Doubt("x", (0, 1), "", "?", (Choice("a", "A"),), free) for free in (A_LINE, A_DATE, "")]

    assert [one["free"] for one in page._asked(doubts)] == [True, False, False]

"""The page of a board: which sheets there can be, the sentence that stands first, and where each part of its hours goes."""

import datetime as dt

import pytest
from making.counter import client
from making.folders import BOARDS, TODAY, folder

from estimator.counter.answer_files import AsOf, KeptAnswer
from estimator.counter.pages import board as page
from estimator.counter.pages.board import _rest, _sentence, _stages, papers_of
from estimator.said.parts import Heading
from estimator.words.records import Board

DAY = dt.date(2026, 6, 9)
RANGE = (
    Heading("red", 1), "Between 55 and 80 hours.", Heading("Hours by stage, each 8 times in 10"), "a table", "Neither adds up.", Heading("Why 66 hours"), "reasons",
    Heading("Boards like it"), "boards", "Did past ranges hold?",
)  # fmt: skip


def kept(**parts):
    return KeptAnswer(AsOf("r", "", 0), parts)


@pytest.mark.parametrize(
    ("state", "sheets"),
    [
        *((state, ("owner", "range", "weigh")) for state in ("asked", "waiting", "on bench", "stopped")),
        ("finished", ("handover", "range")), ("declined", ("range",)), ("withdrawn", ("range",)),
    ],
)  # fmt: skip
def test_the_sheets_that_there_can_be(state, sheets):
    assert papers_of(Board("a", state=state)) == sheets


@pytest.mark.parametrize(
    ("state", "found", "said"),
    [
        ("waiting", kept(sentence=("Not yet.", "Next: gloss.")), ["Not yet.", "Next: gloss."]), ("waiting", kept(), ["In line."]), ("waiting", None, ["In line."]),
        ("declined", kept(sentence=("Not yet.",)), ["I said no."]), ("finished", kept(sentence=("Not yet.",)), ["Ready since Mon 1 June."]),  # it was ready after that was worked out
    ],
)  # fmt: skip
def test_the_answer_on_the_telephone_stands_first(state, found, said):
    assert (
        _sentence(
            Board("a", state=state, ready=dt.date(2026, 6, 1) if state == "finished" else None), found, DAY
        )
        == said
    )


def test_each_part_of_its_hours_has_one_place():
    found = kept(range=RANGE)

    assert _stages(found) == [Heading("Hours by stage, each 8 times in 10"), "a table", "Neither adds up."]
    assert _rest(found) == [
        "Between 55 and 80 hours.",
        Heading("Why 66 hours"),
        "reasons",
        "Did past ranges hold?",
    ]
    assert (_stages(None), _rest(None), _rest(kept())) == ([], [], [])


@pytest.fixture(scope="module")
def told(tmp_path_factory):
    """A counter at two boards of which the second was told a day, and at one that is only asked for."""
    place = tmp_path_factory.mktemp("board") / "shop"
    told = "board,date,last,price\n26-002,2026-05-20,2026-06-20,900\n"
    return client(
        folder(place, boards=BOARDS + "26-004,gone,,,declined,,1\n26-005,asked,,,asked,,1\n", told=told),
        today=TODAY,
    )


@pytest.mark.parametrize(
    ("board", "papers", "weighs", "rows"),
    [
        ("26-001", ["owner", "range", "weigh"], True, 0), ("26-002", ["owner", "range", "weigh"], True, 1), ("26-004", ["range"], False, 0),
        ("26-005", ["owner", "range", "weigh"], True, 0),
    ],
)  # fmt: skip
def test_what_stands_on_the_page_is_of_that_board_alone(told, monkeypatch, board, papers, weighs, rows):
    held = {}
    monkeypatch.setattr(page, "render_template", lambda _, **given: held.update(given) or "")
    told.get(f"/boards/{board}")

    assert (held["papers"], held["weighs"], held["board"].board) == (papers, weighs, board)
    assert (held["alike"], held["parts"], held["found"]) == ([], {}, None)
    left = kept(range=RANGE)
    monkeypatch.setattr(told.app.extensions["counter"], "answer", lambda asked: (left, asked.about == board))
    told.get(f"/boards/{board}")
    assert (held["alike"], held["fresh"], held["parts"]) == (list(RANGE[7:9]), True, {"range": RANGE})
    assert (len(held["told"].rows) if held["told"] else 0) == rows

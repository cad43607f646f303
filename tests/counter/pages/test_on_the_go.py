"""On the go: under which heading a board stands, in which order, and by which letters it is found."""

import datetime as dt
import re

import pytest
from making.counter import client
from making.folders import TODAY, folder

from estimator.counter.answer_files import AsOf, KeptAnswer, PageQuestion
from estimator.counter.pages import on_the_go
from estimator.counter.pages.on_the_go import BoardLine, group_of, plain_letters
from estimator.words.records import Board

DAY = dt.date(2026, 5, 4)
BOARDS = """\
board,called,owner,state,ready,collected
a1,Tan gun,Zoë Ängström,on bench,,
a2,blue fish,Bo Marsh,waiting,,
a3,Apple log,Odo,finished,2026-05-04,
a4,plum egg,Odo,finished,2026-05-04,2026-05-09
a5,ink,Wen,declined,,
a6,sky,Wen,asked,,
a7,red,Wen,asked,,
a8,last,Wen,withdrawn,,
a9,Ant,Odo,finished,2026-05-02,
"""


@pytest.mark.parametrize(
    ("board", "group"),
    [
        *((Board("a", state=state), "boards-on") for state in ("waiting", "on bench", "stopped")),
        (Board("a", state="finished", ready=DAY), "boards-ready"), (Board("a", state="finished", collected=DAY), "boards-gone"),
        (Board("a", state="asked"), "boards-asked"), (Board("a", state="declined"), "boards-gone"), (Board("a", state="withdrawn"), "boards-gone"),
    ],
)  # fmt: skip
def test_under_which_heading_a_board_stands(board, group):
    assert group_of(board) == group


@pytest.mark.parametrize(
    ("typed", "found"),
    [
        ("zoe", True),
        ("GUN", True),
        ("ang tan", True),
        ("26-1", True),
        ("tan fish", False),
        ("", True),
        ("  ", True),
        ("xyz", False),
        ("not yet", False),
    ],
)
def test_each_word_that_is_typed_stands_in_its_name_owner_or_number(typed, found):
    assert BoardLine("26-101", "tan gun", "Zoë Ängström", "Not yet.").found_by(typed) == found


@pytest.fixture
def counter(tmp_path):
    return client(folder(tmp_path / "shop", boards=BOARDS, hours="board,date,stage,hours\n"), today=TODAY)


def listed(page):
    """The boards by heading, in their order."""
    parts = re.split(
        r"<(?:h2|summary)[^>]*>(?:<h2>)?([^<]+)</", page.partition("<main")[2].partition("</main>")[0]
    )[1:]
    return {
        head: re.findall(r'href="/boards/(\w+)"', body)
        for head, body in zip(parts[::2], parts[1::2], strict=True)
    }


def test_what_is_in_hand_or_ready_is_in_order_of_its_letters_and_what_is_gone_newest_first(
    counter, monkeypatch
):
    every = {
        "In hand": ["a2", "a1"],
        "Ready, not fetched": ["a9", "a3"],
        "Asked for": ["a6", "a7"],
        "Gone, or turned down": ["a8", "a5", "a4"],
    }
    found = {head: list(dict.fromkeys(boards)) for head, boards in listed(counter.page("/on-the-go")).items()}
    assert {head: boards for head, boards in found.items() if head in every} == every
    monkeypatch.setattr(on_the_go, "SEVERAL", 2)
    assert list(dict.fromkeys(listed(counter.page("/on-the-go"))["Gone, or turned down"])) == ["a8", "a5"]
    some = listed(counter.page("/on-the-go?find=wen"))
    assert [board for boards in some.values() for board in dict.fromkeys(boards)] == ["a6", "a7", "a8", "a5"]


def test_each_line_is_the_telephone_answer_of_its_own_board(counter):
    held = counter.app.extensions["counter"]
    as_of = AsOf.on(held.shop.snapshot(TODAY).digest, TODAY, 0)
    KeptAnswer(as_of, {"line a1": ("Not yet.", "Next: gloss."), "line a3": ("Not ours.",)}).save(
        PageQuestion("today"), held.folder
    )
    page = counter.page("/on-the-go")

    assert "Not yet. Next: gloss." in page
    assert "In line." in page  # nothing is worked out of a2
    assert "Ready since Mon 4 May." in page
    assert "Not ours." not in page  # it is not in hand any more


def test_letters_are_found_however_they_are_written_and_stay_in_their_box(counter, monkeypatch):
    assert plain_letters("Zoë Weiß \ufb01n \u00bd") == "zoe weiss fin 1\u20442"
    held = {}
    monkeypatch.setattr(on_the_go, "render_template", lambda _, **given: held.update(given) or "")
    counter.get("/on-the-go?find=" + "Apple+log" + "x" * 100)
    assert held["typed"] == "Apple log" + "x" * 91
    assert not any(held["groups"].values())
    counter.get("/on-the-go?find=Apple+log")
    assert [one.board for lines in held["groups"].values() for one in lines] == ["a3"]

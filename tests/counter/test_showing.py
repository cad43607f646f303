"""What templates show: where an action leads, which parts stand there, and what boards are called."""

import datetime as dt

import pytest
from making.counter import HOST, client
from making.working_day import MAY, in_a_book, in_files

from estimator.counter import showing
from estimator.counter.answer_files import AsOf, KeptAnswer
from estimator.counter.shapes import DrawingPart
from estimator.counter.showing import (
    address_of,
    after_heading,
    as_of_words,
    caption_of,
    kind_of,
    known_as,
    spoken,
    to_show,
    words_of,
)
from estimator.said.parts import Heading, Table
from estimator.words.actions import Action

RED = "26-001"
NAMELESS = (
    "26-001,red nine-four,Ines Calder,,major,9'4,,2026-04-06,,,,,,,\n"
    "26-002,,Odo Marsh,,minor,5'10,,2026-04-20,,,,,,,\n"
    "26-003,,,,minor,6'2,,2026-04-20,,,,,,,\n"
    "26-004,,Wen Lark,,minor,,,2026-04-20,,,,,,,\n"
)


@pytest.fixture(scope="module")
def counters(tmp_path_factory):
    """A counter at a book, and one at files, which it shows and does not write."""
    made = {}
    for name, fill in (("book", in_a_book), ("files", in_files)):
        folder = tmp_path_factory.mktemp(name) / "shop"
        folder.mkdir()
        fill(folder, NAMELESS)
        made[name] = client(folder, today=MAY).app
    return made


@pytest.fixture
def at_book(counters):
    with counters["book"].test_request_context("/", headers={"Host": HOST}):
        yield


@pytest.mark.parametrize(
    ("action", "address"),
    [
        (Action("bench"), "/"),
        (Action("record"), "/look-back"),
        (Action("range", RED), "/boards/26-001"),
        (Action("range"), ""),
        (Action("weigh up", RED), "/take-it-on/26-001"),
        (Action("weigh up"), ""),
        (Action("sheet", RED, {"kind": "owner"}), "/paper/owner/26-001"),
        (Action("sheet", fields={"kind": "quarter", "quarter": "2026-Q2"}), "/paper/quarter/2026-Q2"),
        (Action("sheet", fields={"kind": "week"}), "/paper/week"),
        (Action("sheet", RED), ""),
        (Action("tell", RED, {"last": "2026-07-01", "because": "late", "price": ""}), "/boards/26-001/write/told?last=2026-07-01&because=late"),
        (Action("tell"), ""),
        (Action("decide", RED, {"answer": "yes", "why": "", "for_love": True}), "/boards/26-001/write/weigh-up?answer=yes&for_love=yes"),
        (Action("decide", RED, {"answer": ("yes", "no")}), "/boards/26-001/write/weigh-up"),
        (Action("check"), ""),
    ],
)  # fmt: skip
def test_an_action_leads_to_the_page_that_does_it_or_nowhere(at_book, action, address):
    assert address_of(action) == address


def test_where_pages_write_nothing_no_action_leads_to_a_form(counters):
    with counters["files"].test_request_context("/", headers={"Host": HOST}):
        assert address_of(Action("tell", RED)) == ""
        assert address_of(Action("range", RED)) == "/boards/26-001"


def test_words_on_a_button(at_book):
    assert words_of(Action("decide", RED, {"for_love": True})) == "Take it for love"
    assert words_of(Action("decide", RED, {"for_love": False})) == "Keep a decision"


PARTS = ["before", Heading("One"), "a", Table(("",), (("x",),)), Heading("Two"), "b", Heading("One"), "c"]


def test_parts_after_a_heading_and_what_a_table_is_about():
    assert after_heading(PARTS, "One") == [Heading("One"), "a", PARTS[3], Heading("One"), "c"]
    assert after_heading(PARTS, "Two") == [Heading("Two"), "b"]
    assert after_heading(PARTS, "Three") == []
    assert [caption_of(PARTS, at) for at in (0, 3, 5, 8)] == ["", "One", "Two", "One"]
    assert [kind_of(one) for one in ("x", Heading(""), PARTS[3], DrawingPart("", 1, 1, ()), Action("bench"))] == [
        "text", "heading", "table", "drawing", "action",
    ]  # fmt: skip


def test_a_lead_stays_where_its_action_does(at_book):
    kept = [
        "See for yourself:",
        Action("record"),
        "All else. The cells to fill:",
        Action("check"),
        "Not a lead.",
        Action("check"),
    ]

    assert to_show(["The cells to fill:", Action("check"), "More."]) == ["More."]
    assert to_show([Action("check"), Heading("One"), Action("check")]) == [Heading("One")]
    assert to_show(kept) == ["See for yourself:", Action("record"), "All else.", "Not a lead."]


def test_a_board_without_a_short_name_is_called_by_its_owner(at_book):
    assert known_as("26-001", "red nine-four") == "red nine-four"
    assert known_as("26-002", "5'10 (26-002)") == known_as("26-002", "26-002") == "Odo Marsh's 5'10"
    assert known_as("26-002", "plum egg") == "plum egg"  # said so on purpose
    assert known_as("26-003", "6'2 (26-003)") == "6'2 (26-003)"  # nobody's
    assert known_as("26-004", "26-004") == "Wen Lark"
    assert known_as("26-099", "26-099") == "26-099"
    assert (
        spoken("1 hour on 5'10 (26-002), and 6'2 (26-003)") == "1 hour on Odo Marsh's 5'10, and 6'2 (26-003)"
    )
    assert spoken("red nine-four is ready") == "red nine-four is ready"
    assert spoken("red nine-four (again)") == "red nine-four (again)"  # it has a short name


@pytest.mark.parametrize(
    ("day", "when"),
    [
        (MAY - dt.timedelta(1), "Sun 3 May 2026"),
        (MAY, "before the last entry"),
        (None, "before the last entry"),
    ],
)
def test_of_when_an_older_answer_is(at_book, day, when):
    assert as_of_words(KeptAnswer(AsOf.on("r", day, 0), {})) == f"As of {when}; working it out."


def test_the_last_act_can_be_taken_back_from_every_page_and_of_files_none(counters):
    with counters["book"].test_request_context("/", headers={"Host": HOST}):
        counters["book"].preprocess_request()
        assert showing._undo() == {"act": "1", "label": "the log so far", "address": "/undo"}
    with counters["files"].test_request_context("/", headers={"Host": HOST}):
        assert showing._undo() is None


@pytest.mark.parametrize(("kind", "keep"), [("book", ""), ("files", "/book/keep")])
def test_what_every_page_has_round_it(counters, kind, keep):
    app = counters[kind]
    with app.test_request_context("/", headers={"Host": HOST, "Cookie": "evening=yes"}):
        app.preprocess_request()
        found = showing._on_every_page()
        assert found["foot"] == [("today", "/"), ("on-the-go", "/on-the-go"), ("new", "/new"), ("look-back", "/look-back")]  # fmt: skip
        assert (found["read_only"], found["keep_in_book"], found["evening"]) == (bool(keep), keep, True)
        assert found["gone"] is True  # nobody works anything out
        for gone in (True, False):
            app.extensions["counter"].worker = type("Slow", (), {"gone": gone})()
            assert showing._on_every_page()["gone"] is gone
        app.extensions["counter"].worker = None
    for cookie in ("evening=no", "x=yes"):
        with app.test_request_context("/", headers={"Host": HOST, "Cookie": cookie}):
            app.preprocess_request()
            assert showing._on_every_page()["evening"] is False

"""How many taps and boxes each job of a day takes, counted in a real browser at both widths; and that none needs script."""

import datetime as dt
import os
import shutil
from contextlib import contextmanager
from urllib.request import urlopen

import pytest
from making.browser import Hand, served
from making.working_day import MAY, AtOnce, as_written, in_a_book, in_files

from estimator.counter.app import create_app
from estimator.log.steps.enquiry import NewBoard, OwnerAnswered, QuestionsAnswered
from estimator.log.steps.hours import Found, HoursNow, StageDone
from estimator.log.steps.leaving import BoardReady
from estimator.log.steps.telling import ToldOwner
from estimator.log.store import Sent

FRIDAY = MAY + dt.timedelta(days=4)
RED, FISH, NEW = "26-001", "26-002", "26-003"
pytestmark = pytest.mark.skipif(
    shutil.which("chromedriver") is None and os.environ.get("BROWSER") != "must",
    reason="no browser is installed",
)


@contextmanager
def at_a_counter(driver, folder, fill):
    """A hand at a counter of these boards, and what is behind it."""
    folder.mkdir()
    fill(folder)
    clock = [MAY]
    app = create_app(folder, clock=lambda: clock[0], writes=True)
    held = app.extensions["counter"]
    held.worker = AtOnce(held)
    with served(app) as address:
        one = Hand(driver, address)
        one.shop, one.clock = held.shop, clock
        yield one


@pytest.fixture
def hand(driver, tmp_path):
    with at_a_counter(driver, tmp_path / "shop", in_files) as one:
        yield one


@pytest.fixture
def hand_at_a_book(driver, tmp_path):
    with at_a_counter(driver, tmp_path / "shop", in_a_book) as one:
        yield one


def do(hand, *steps):
    for step in steps:
        hand.shop.do(step, Sent(dt.datetime.combine(MAY, dt.time(8))))


def written(hand):
    return as_written(hand.shop.snapshot(MAY))


def test_an_enquiry_takes_eight_taps_a_name_and_a_number(hand):
    hand.open("/")
    hand.tap_words("New", "nav a")
    hand.type("owner", "Tam Ludd")
    hand.type("reach", "0000 11")
    hand.choose("kind", "major")
    hand.choose("feet", "9")
    hand.choose("inches", "6")
    hand.press("What would it be?")
    hand.at(f"/new/{NEW}")
    assert (hand.taps, hand.boxes) == (7, 2)  # 8 at most
    hand.driver.refresh()
    assert "Nothing is known of this one yet." in hand.text()
    assert written(hand).board(NEW).owner == "Tam Ludd"


def test_only_asked_takes_two_taps(hand):
    hand.open("/")
    hand.tap_words("New", "nav a")
    hand.press("Only asked: count it")
    hand.at("counted")
    assert hand.taps == 2
    assert written(hand).board(NEW).state == "declined"


def test_a_board_is_assessed_in_25_taps(hand):
    hand.open("/new")
    hand.type("owner", "Tam")
    hand.choose("kind", "major")
    hand.choose("feet", "9")
    hand.press("What would it be?")
    hand.at(f"/new/{NEW}")
    hand.taps = hand.boxes = 0
    hand.tap_words("Board here?")
    hand.type("width", "22 1/2 in")
    hand.choose("outline", "long")
    said = {
        "sides_stripped": "2", "infills": "2", "stringers": "0", "blocks": "?", "spray_colours": "2", "logos": "1",
        "pinlines": "0", "fins_mended": "1", "fin_boxes": "0", "fins_made": "0", "sides_coated": "2", "gloss": "2",
        "brittle_glass": "crisp", "wetness": "damp", "masking": "bands",
    }  # fmt: skip
    for name, value in said.items():
        hand.choose(f"looked.{name}", value)
    hand.type("guess", "60")
    hand.press("Work it out")
    hand.find("#answer")
    assert (hand.taps, hand.boxes) == (20, 2)  # 25 at most
    board = written(hand).board(NEW)
    assert (board.guess, board.assessed["wetness"], board.assessed["infills"]) == (60, 1, 2)
    assert "blocks" not in board.assessed


def test_what_an_owner_asks_for_since_takes_six_taps(hand):
    do(hand, ToldOwner(RED, hours="50-80", price="2000", last="2026-07-01"), HoursNow(RED, "strip", "4"))
    hand.open(f"/boards/{RED}")
    hand.tap_words("Something else", "summary")
    hand.tap_words("Asked for since")
    hand.choose("more.spray_colours", "1")
    hand.press("Work it out")
    if "The owner agreed" not in hand.text():
        hand.driver.refresh()
    hand.press("The owner agreed")
    hand.at(f"/boards/{RED}")
    assert (hand.taps, hand.boxes) == (5, 0)  # 6 at most
    assert written(hand).board(RED).later["spray_colours"] == 1


def test_as_i_thought_takes_one_tap(hand):
    looked = QuestionsAnswered(RED, {"infills": "2", "wetness": "damp", "brittle_glass": "crisp"})
    do(hand, looked, HoursNow(RED, "strip", "8"), StageDone(RED, "strip"))
    hand.open(f"/boards/{RED}")
    hand.press("Just as I thought")
    assert (hand.taps, hand.boxes) == (1, 0)
    assert (written(hand).board(RED).found["infills"], written(hand).board(RED).found["wetness"]) == (2, 1)


def test_hours_now_take_three_taps(hand):
    do(hand, HoursNow(RED, "strip", "4"))
    hand.open("/on-the-go")
    hand.tap_words("red nine-four", "a")
    hand.choose("hours", "2")
    hand.press("Write it")
    assert (hand.taps, hand.boxes) == (3, 0)
    assert [(e.stage, e.hours) for e in written(hand).log.entries] == [("strip", 4), ("strip", 2)]


def test_collected_and_paid_take_two_taps(hand):
    do(
        hand,
        ToldOwner(RED, hours="50-80", price="2000", last="2026-07-01"),
        HoursNow(RED, "strip", "4"),
        BoardReady(RED),
    )
    hand.open("/on-the-go")
    hand.tap_words("red nine-four", "a")
    hand.press("Collected and paid: 2,000")
    assert (hand.taps, hand.boxes) == (2, 0)
    assert (written(hand).board(RED).paid, written(hand).board(RED).collected) == (2000, MAY)


def test_friday_with_five_boards_and_sixteen_entries_takes_five_boxes_and_one_press(hand):
    for name in ("tan log", "club board", "teal egg"):
        do(hand, NewBoard(owner=name.split()[0], called=name, kind="major", length="9'6"))
    do(hand, *(OwnerAnswered(board, yes=True) for board in ("26-003", "26-004", "26-005", FISH)))
    hand.clock[0] = FRIDAY
    week = (
        "red strip 3, tan assess ½, club clean 1, fish clean 1",
        "tan clean 1½. red strip 2 done. egg clean ¾",
        "club strip 4, fish strip 1 done, egg strip 2",
        "tan strip 3. red let in 2 pcs 1½. club strip 1",
        "red reshape 1, fish let in 1, tan strip 1 done",
    )
    hand.open("/hours")
    for n, text in enumerate(week):
        hand.type(f"on-{MAY + dt.timedelta(days=n)}", text)
    hand.press("Write them down")
    hand.at("said=")
    assert (hand.taps, hand.boxes) == (6, 5)  # a tap into each box, and one press
    entries = hand.shop.snapshot(FRIDAY).whole_log.entries
    assert [e for e in entries if e.date == FRIDAY] != []
    assert len(entries) == 16
    assert len({entry.board for entry in entries}) == 5


def test_not_in_today_takes_two_taps(hand):
    hand.open("/")
    hand.tap_words("Not in", "summary")
    hand.press("Today")
    assert hand.taps == 2
    hand.press("Back in from today")
    assert hand.shop.snapshot(MAY).settings.bench.away == ()


def test_the_telephone_answer_takes_two_taps(hand):
    do(hand, HoursNow(RED, "strip", "4"))
    hand.open("/")
    hand.tap_words("On the go", "nav a")
    hand.tap_words("red nine-four", "a")
    hand.at(f"/boards/{RED}")
    assert (hand.taps, hand.boxes) == (2, 0)
    hand.driver.refresh()
    assert "Not yet. Ready by " in hand.find(".lead").text


def test_undo_takes_one_tap_and_friday_is_undone_by_it(hand_at_a_book):
    hand = hand_at_a_book
    hand.open("/hours")
    hand.type("page", "Mon red strip 4, red clean 1")
    hand.press("Write them down")
    assert len(hand.shop.snapshot(MAY).whole_log.entries) == 2
    hand.taps = 0
    hand.press("Undo: 2 lines of hours, 5 h")
    assert hand.taps == 1
    assert hand.shop.snapshot(MAY).whole_log.entries == ()


def test_what_is_asked_of_friday_is_answered_by_a_tap(hand):
    hand.open("/hours")
    hand.type("page", "Mon red strip 4. Red sand")
    hand.press("Write them down")
    hand.find("#asked")
    [box] = hand.driver.find_elements("css selector", "#asked input[name$='.other']")
    hand.type(box.get_attribute("name"), "1,5")
    hand.press("Write them down")
    assert [e.hours for e in hand.shop.snapshot(MAY).whole_log.entries] == [4, 1.5]


def test_the_line_of_the_eye_comes_as_it_is_tapped(hand):
    """Eight boards looked damp; every second one was wet."""
    for n in range(8):
        board = f"26-{n + 3:03}"
        do(hand, NewBoard(owner="Tam", kind="major", length="9'6"))
        do(hand, QuestionsAnswered(board, {"wetness": "damp"}), OwnerAnswered(board, yes=True))
        do(hand, HoursNow(board, "strip", "2", done=True), Found(board, {"wetness": ("damp", "wet")[n % 2]}))
    hand.open(f"/new/{FISH}?here=yes")
    said = "of your 8 boards that looked damp, 4 turned out wet"
    assert said not in hand.text()
    hand.choose("looked.wetness", "damp")
    assert said in hand.text()
    hand.choose("looked.wetness", "wet")
    assert said not in hand.text()


def test_the_five_jobs_of_a_day(hand):
    """Take in, hours, stage done, tell, print: with a thumb or a mouse, with script and without."""
    hand.open("/new")
    hand.type("owner", "Tam Ludd")
    hand.choose("kind", "minor")
    hand.choose("feet", "6")
    hand.press("What would it be?")
    hand.tap_words("Board here?")
    hand.choose("looked.infills", "1")
    hand.type("guess", "8")
    hand.press("Work it out")

    hand.open(f"/boards/{RED}")
    hand.choose("hours", "2")
    hand.choose("done", "yes")
    hand.press("Write it")
    hand.tap_words("Something else", "summary")
    hand.tap_words("I told the owner")
    hand.type("hours", "40-60")
    hand.type("price", "2000")
    hand.type("last", "2026-07-01")
    hand.press("Write it")
    log = written(hand).log
    assert [(e.hours, e.done) for e in log.entries] == [(2, True)]
    assert log.told[-1].price == 2000
    sheet = hand.with_words("The owner's sheet", "a").get_attribute("href")
    assert sheet.startswith(hand.address)
    with urlopen(sheet, timeout=60) as answer:
        assert answer.read(5) == b"%PDF-"

"""From an empty folder to the first free start, and a diary of thirty boards: in a real browser, taps and boxes counted."""

import os
import shutil

import pytest
from making.browser import Hand, served
from making.diaries import TODAY, boxes
from making.working_day import AtOnce

from estimator.counter.app import create_app
from estimator.counter.workplace import begin_if_empty

pytestmark = pytest.mark.skipif(
    shutil.which("chromedriver") is None and os.environ.get("BROWSER") != "must",
    reason="no browser is installed",
)


@pytest.fixture
def hand(driver, tmp_path):
    folder = tmp_path / "new"
    begin_if_empty(folder)
    app = create_app(folder, today=TODAY)
    with served(app) as address:
        one = Hand(driver, address)
        one.counter = app.extensions["counter"]
        yield one


def at_once(hand):
    hand.counter.worker = AtOnce(hand.counter)


def on(hand):
    hand.press("Write it and go on")


def test_eleven_questions_lead_from_an_empty_folder_to_the_first_free_start(hand):
    at_once(hand)
    hand.open("/setting-up")
    hand.tap_words("Begin")
    hand.type("fri", "4½")
    on(hand)
    hand.type("from1", "12 October")
    hand.type("to1", "25 October")
    on(hand)
    hand.type("places", "4")
    on(hand)
    for name, text in {"currency": "mk", "target": "55", "floor": "35"}.items():
        hand.type(name, text)
    on(hand)
    hand.type("overheads", "900")
    on(hand)
    hand.type("day", "6")
    on(hand)
    for name, value in {"colour": "filler", "sweeping": "yes", "ready": "hard", "two_pack": "no"}.items():
        hand.choose(name, value)
        on(hand)
    ends = {
        "strip": (5, 12),
        "first-colour": (14, 22),
        "next-colour": (10, 16),
        "infill": (1, 2),
        "sand": (3, 5),
    }
    for name, (low, high) in (ends | {"drying": (14, 56)}).items():
        hand.type(f"{name}.quickest", str(low))
        hand.type(f"{name}.slowest", str(high))
    on(hand)
    assert "Please look at these again" not in hand.text(), hand.text()[:700]
    hand.at("/promised")
    hand.tap_words("I have promised nothing")
    if "Next free start" not in hand.text():
        hand.driver.refresh()
    assert "A place is free now." in hand.text()
    assert "All from rules of thumb" in hand.text()
    assert (hand.taps, hand.boxes) == (38, 21)  # of them 12 boxes for six rules of thumb
    now = hand.counter.shop.snapshot(TODAY).settings
    assert (now.bench.places, now.bench.hours_by_weekday[4]) == (4, 4.5)
    assert sum(rule.own for rule in now.rules) == 6


def test_all_skipped_takes_a_tap_a_question(hand):
    at_once(hand)
    hand.open("/setting-up")
    hand.tap_words("Begin")
    for _ in range(11):
        hand.press("Skip")
    hand.tap_words("I have promised nothing")
    assert (hand.taps, hand.boxes) == (13, 0)
    if "Next free start" not in hand.text():
        hand.driver.refresh()
    assert "A place is free now." in hand.text()


def test_fourteen_boards_promised_are_one_box(hand):
    hand.open("/promised")
    names = ("Ines", "Odo", "Tam", "Wen", "Hal", "Mara", "Jo", "Bo", "Pim", "Sorrel", "Ede")
    lines = [f"{name}, full 9'{n}, by {n + 1} December, {50 + n} h" for n, name in enumerate(names)]
    lines += [
        f"{name}, full 9'1, by 1 November, 60 h, 20 h done, next sand" for name in ("Ulf", "Ada", "Kit")
    ]
    hand.type("lines", "\n".join(lines))
    hand.press("Write them")
    assert (hand.taps, hand.boxes) == (2, 1)
    assert len(hand.counter.shop.snapshot(TODAY).log.boards) == 14


@pytest.mark.parametrize("driver", ["phone"], indirect=True)  # its page is as long and as wide as the others
def test_a_diary_of_thirty_boards_takes_a_box_each(hand):
    hand.open("/diary?year=2025")
    asked = 0
    for text in boxes():
        hand.type("box", text)
        hand.press("Write it, and the next")
        if "how many?" in hand.text():
            asked += 1
            hand.choose("doubt..found_sides_coated-0-" + str(len(text)), "0.3")
            hand.press("Write it, and the next")
    assert asked == 10  # one for each small repair
    assert (hand.taps, hand.boxes) == (2 * 30 + 2 * asked, 30)
    log = hand.counter.shop.snapshot(TODAY).log
    assert len(log.boards) == 30
    at_once(hand)
    hand.open("/diary?year=2025")
    hand.driver.refresh()
    assert "30 boards in." in hand.text()
    assert "is now told to within" in hand.text()

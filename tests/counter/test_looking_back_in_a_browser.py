"""The evening side by thumb: a day explained, materials filled in, undone; a line of money; a setting changed."""

import datetime as dt
import os
import re
import shutil

import pytest
from making.browser import Hand, chromium, served
from making.quarters import BOARDS, TODAY, write
from making.worker_done import WorkerAtOnce

from estimator.counter.app import create_app
from estimator.log.exchange.importing import ImportChoices, import_folder
from estimator.sheets.layouts.letters import width_px

pytestmark = pytest.mark.skipif(
    shutil.which("chromedriver") is None and os.environ.get("BROWSER") != "must",
    reason="no browser is installed",
)
SHOWN = {"phone": "narrow", "laptop": "wide"}  # which of the two drawings is seen
SMALL = """
return [...document.querySelectorAll("a, button, summary, label:has(> input), select, textarea, input")]
  .filter((one) => !["hidden", "radio", "checkbox"].includes(one.type) && one.offsetParent && !one.closest("p, .skip"))
  .map((one) => [one.outerHTML.slice(0, 80), one.getBoundingClientRect().height])
  .filter(([, high]) => high > 1 && high < 55.5)
"""

LINES = """
return [...arguments[0].querySelectorAll("text")].map((one) => [one.textContent, parseFloat(getComputedStyle(one).fontSize),
  getComputedStyle(one).fontStyle === "italic", one.getComputedTextLength()]);
"""


@pytest.fixture(scope="module")
def counter(tmp_path_factory):
    place = tmp_path_factory.mktemp("shop") / "shop"
    write(place, boards=tuple((*b[:11], "", *b[12:]) if b[0] == "26-006" else b for b in BOARDS))
    import_folder(place, dt.datetime.combine(TODAY, dt.time(8)), ImportChoices())
    app = create_app(place, today=TODAY, worker=WorkerAtOnce(place))
    with served(app) as address:
        yield app.extensions["counter"], address


def test_the_evening_side_by_thumb(counter):
    held, address = counter
    with chromium("phone") as driver:
        hand = Hand(driver, address)

        def log():
            return held.shop.snapshot(TODAY).whole_log

        hand.open("/look-back?quarter=2026-Q3")
        hand.open("/look-back?quarter=2026-Q3")
        hand.choose("day.2026-07-21/2026-07-22", "did not work")
        hand.type("materials.26-006", "120")
        hand.press("Write this down")
        assert (hand.taps, hand.boxes) == (3, 1)
        assert log().by_id["26-006"].materials == 120.0
        assert "Materials for plum stub" not in hand.text()
        hand.tap_words("Rules of thumb", "summary")
        assert "square metre" in hand.text()
        hand.press("Undo: 1 empty day explained, 1 gap filled in")
        assert log().by_id["26-006"].materials is None

        hand.open("/money")
        hand.choose("way", "out")
        hand.type("amount", "412.50")
        hand.choose("what", "rent")
        hand.press("Write it")
        assert (hand.taps, hand.boxes) == (4, 1)
        assert [(m.went_out, m.what) for m in log().money] == [(412.5, "rent")]
        hand.open("/money")
        assert "Rent" in hand.find("#answer-money").text

        hand.open("/settings")
        hand.tap_words("Places, hours and days away")
        hand.at("/settings/bench")
        hand.type("places", "5")
        hand.press("Keep it so")
        assert (hand.taps, hand.boxes) == (3, 1)
        assert held.shop.settings.bench.places == 5

        for path in ("/look-back?quarter=2026-Q3", "/money", "/settings", "/settings/workshop", "/settings/stages/sand", "/settings-add/rules"):  # fmt: skip
            hand.open(path)
            wide, inner = driver.execute_script("return [document.documentElement.scrollWidth, innerWidth]")
            assert wide <= inner, path
            assert driver.execute_script(SMALL) == [], path
            assert not re.search(r"Traceback|undefined|\bNone\b", hand.text()), path
        assert driver.get_log("browser") == []


@pytest.mark.parametrize("width", ["phone", "laptop"])
def test_a_drawing_comes_when_it_is_unfolded(counter, width):
    _, address = counter
    with chromium(width) as driver:
        hand = Hand(driver, address)
        hand.open("/look-back?quarter=2026-Q3")
        hand.open("/look-back?quarter=2026-Q3")
        assert driver.find_elements("css selector", "svg") == []
        hand.tap_words("The quarter as a drawing", "summary")
        drawn = hand.find(f"#drawn-quarter .{SHOWN[width]} svg")
        assert drawn.is_displayed()
        assert "boards brought in" in drawn.find_element("css selector", "title").get_property("textContent")
        lines = driver.execute_script(LINES, drawn)
        assert any(re.search(r"\d", words) for words, *_ in lines)
        for words, size, slanted, wide in lines:  # as they were measured: else they run out of the drawing
            assert wide == pytest.approx(width_px(words, size, slanted=slanted), abs=1.5), words
        wide, inner = driver.execute_script("return [document.documentElement.scrollWidth, innerWidth]")
        assert wide <= inner
        assert driver.get_log("browser") == []

"""The page of the book in a real browser: an undo, a copy put back, a spreadsheet taken in, by hand."""

import base64
import datetime as dt
import os
import shutil
from pathlib import Path

import pytest
from making.books import NOON, book, log_of
from making.browser import Hand, chromium, served

from estimator.counter.app import create_app

pytestmark = pytest.mark.skipif(
    shutil.which("chromedriver") is None and os.environ.get("BROWSER") != "must",
    reason="no browser is installed",
)
JOBS = "Job no,Customer,Arrived,Size,Hours on it\n1,Ann,4/5/2026,9'6,12\n2,Bob,5/6/2026,6'2,?\n"
TARGETS = """
return [...document.querySelectorAll("main a, main button, main summary, main select, main input:not([type=hidden])")]
  .filter((one) => one.offsetParent && one.getClientRects().length && !["checkbox", "radio"].includes(one.type))
  .map((one) => [one.outerHTML.slice(0, 80), one.getBoundingClientRect().height])
  .filter(([, high]) => high > 1 && high < 55.5)
"""


@pytest.fixture
def store(tmp_path):
    """A book with three boards, one of a very long name, and an hour."""
    rows = [
        {"board": "A", "called": "red nine-four", "owner": "Ann Onym", "reach": "ann@one.example"},
        {"board": "B", "called": "Donaudampfschifffahrtselektrizitätenhauptbetriebswerk", "owner": "לוח"},
    ]
    kept = book(tmp_path / "shop", boards=rows)
    with kept.act("4½ hours on red nine-four, strip", NOON) as act:
        act.append("hours", {"board": "A", "date": "2026-06-04", "stage": "strip", "hours": "4.5"})
    return kept


def fits(driver):
    """Whether nothing is wider than the screen, and all that is pressed is large enough."""
    wide, inner = driver.execute_script("return [document.documentElement.scrollWidth, innerWidth]")
    assert wide <= inner
    assert driver.execute_script(TARGETS) == []
    assert [line for line in driver.get_log("browser") if line["level"] == "SEVERE"] == []


@pytest.mark.parametrize("width", ["phone", "laptop"])
def test_undo_put_back_and_a_spreadsheet_by_hand(store, tmp_path, width):
    file = tmp_path / "jobs.csv"
    file.write_text(JOBS, "utf-8")
    with served(create_app(store.folder, today=dt.date(2026, 6, 5))) as address, chromium(width) as driver:
        hand = Hand(driver, address)
        hand.open("/look-back")
        hand.tap_words("The book")
        hand.at("/book")
        assert "This row of hours goes: red nine-four, Thu 4 June 2026, Strip it, 4½ hours." in hand.text()
        shot(driver, f"book-{width}")
        fits(driver)
        hand.tap("main button.first")  # undo, one tap on the page
        hand.at("said=")
        assert "Taken back: 4½ hours on red nine-four, strip." in hand.text()
        assert log_of(store)[0].entries == ()

        hand.tap_words("Copies in the workshop")
        hand.press("Put it back …")
        assert "would be gone:" in hand.text()
        fits(driver)
        shot(driver, f"sure-{width}")
        hand.press("Put it back")
        assert "The book is as on" in hand.text()

        driver.find_element("css selector", "input[type=file]").send_keys(str(file))
        hand.press("Look at it")
        for _ in range(9):
            fits(driver)
            if "Only you know these" not in hand.text():
                break
            shot(driver, f"asks-{width}")
            for group in driver.find_elements("css selector", "fieldset.choices"):
                if not group.find_elements("css selector", "input:checked"):
                    hand._tap(group.find_element("css selector", "label"))
            hand.press("Go on")
        assert log_of(store)[0].by_id.keys() == {"A", "B"}  # nothing yet
        shot(driver, f"look-{width}")
        hand.press("Take it in")
        assert "Added: 2 boards" in hand.text()
        assert len(log_of(store)[0].boards) == 4


def shot(driver, name):
    """Keeps a picture of the page where BOOK_SHOTS names a folder, to be looked at."""
    if folder := os.environ.get("BOOK_SHOTS"):
        high = driver.execute_script("return document.documentElement.scrollHeight")
        wide = driver.execute_script("return innerWidth")
        clip = {"x": 0, "y": 0, "width": wide, "height": high, "scale": 1}
        picture = driver.execute_cdp_cmd(
            "Page.captureScreenshot", {"captureBeyondViewport": True, "clip": clip}
        )
        Path(folder, f"{name}.png").write_bytes(base64.b64decode(picture["data"]))

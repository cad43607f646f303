"""The pages that read, in a real browser at the width of a phone and of a laptop, with the worker beside the server."""

import os
import shutil
import socket
import subprocess
import sys
import time

import pytest
from making.browser import WIDTHS, chromium
from making.folders import folder

from estimator.counter.own_process import surroundings
from estimator.counter.serving import served_at

pytestmark = pytest.mark.skipif(
    shutil.which("chromedriver") is None and os.environ.get("BROWSER") != "must",
    reason="no browser is installed",
)
PAGES = (
    "/",
    "/on-the-go",
    "/boards/26-001",
    "/boards/26-003",
    "/take-it-on/26-003",
    "/look-back",
    "/hours",
    "/phones",
    "/book",
    "/nowhere",
)
LONGEST = 60  # seconds for an answer
BOARDS = """\
board,called,owner,accepted,started,state,price_quoted,promised_last,assessed_area
26-001,red nine-four,Ann,2026-05-04,2026-05-26,on bench,900,2026-06-12,2
26-002,Donaudampfschifffahrtselektrizitätenhauptbetriebswerkbauunterbeamtengesellschaft,לוח,2026-05-11,,waiting,900,2026-06-04,4
26-003,green fish,,,,asked,700,,1
"""
TARGETS = """
return [...document.querySelectorAll("a, button, summary, input:not([type=hidden]), select, textarea")]
  .filter((one) => one.offsetParent && !one.closest("p, li li, .skip") && one.getClientRects().length)
  .map((one) => [one.outerHTML.slice(0, 80), one.getBoundingClientRect().height])
  .filter(([, high]) => high > 1 && high < 55.5)
"""


@pytest.fixture(scope="module")
def address(tmp_path_factory):
    place = folder(tmp_path_factory.mktemp("shop") / "shop", boards=BOARDS)
    with socket.create_server(("127.0.0.1", 0)) as sock:
        port = sock.getsockname()[1]
    words = ["counter", "--shop", str(place), "--port", str(port), "--no-window", "--today", "2026-06-01"]
    process = subprocess.Popen(
        [sys.executable, "-m", "estimator", *words], stdout=subprocess.DEVNULL, env=surroundings()
    )
    end = time.monotonic() + 30
    while served_at(port) is None and time.monotonic() < end:
        time.sleep(0.05)
    yield f"http://127.0.0.1:{port}"
    process.terminate()
    assert process.wait(30) == 0


@pytest.fixture(scope="module", params=WIDTHS)
def browser(request):
    with chromium(request.param) as driver:
        yield driver


def waited(browser):
    """Waits until every answer on the page is one of now."""
    end = time.monotonic() + LONGEST
    while browser.find_elements("css selector", "[data-waiting]"):
        assert time.monotonic() < end, browser.page_source
        time.sleep(0.1)


@pytest.mark.parametrize("path", PAGES)
def test_a_page_fits_says_nothing_against_its_policy_and_has_large_targets(browser, address, path):
    browser.get(address + path)
    waited(browser)

    wide, inner = browser.execute_script("return [document.documentElement.scrollWidth, innerWidth]")
    assert wide <= inner
    assert [line for line in browser.get_log("browser") if "404" not in line["message"]] == []
    assert browser.execute_script(TARGETS) == []
    assert browser.execute_script("return document.fonts.check('16px Bitter')")
    for word in ("Traceback", "undefined", "None"):
        assert word not in browser.find_element("tag name", "body").text


def test_the_script_swaps_an_answer_in_and_leaves_the_rest_of_the_page(browser, address):
    browser.get(address + "/boards/26-001")
    waited(browser)
    shown = browser.find_element("css selector", ".lead").text

    assert shown.startswith("Not yet. Ready by ")
    assert browser.find_elements("css selector", "svg[role=img] title")


def test_three_letters_find_a_board(browser, address):
    browser.get(address + "/on-the-go")
    waited(browser)
    browser.find_element("id", "f-find").send_keys("gre")
    shown = [one.text for one in browser.find_elements("css selector", "[data-line]") if one.is_displayed()]

    assert len(shown) == 1
    assert "green fish" in shown[0]


def test_without_script_letters_find_a_board_and_a_link_looks_again(address):
    with chromium("phone", script=False) as browser:
        browser.get(address + "/on-the-go?find=ann")
        shown = browser.find_element("css selector", "main").text

        assert "red nine-four" in shown
        assert "green fish" not in shown


def press_for_light(browser):
    """Presses the button from the middle of the screen: the foot stands over what is at its end."""
    button = browser.find_element("css selector", "button[name=evening]")
    browser.execute_script("arguments[0].scrollIntoView({block: 'center'})", button)
    button.click()


def test_evening_light_is_a_press_away(browser, address):
    browser.get(address + "/on-the-go")
    press_for_light(browser)
    end = time.monotonic() + 10
    while browser.execute_script("return document.documentElement.className") != "evening":
        assert time.monotonic() < end
        time.sleep(0.1)
    paper = browser.execute_script("return getComputedStyle(document.body).backgroundColor")

    assert paper == "rgb(35, 38, 42)"
    assert browser.current_url == address + "/on-the-go"
    press_for_light(browser)

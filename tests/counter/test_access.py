"""Every page as those meet it who see little, use no mouse or set their own letters and colours: in a real browser.

axe-core 4 (Deque Systems) finds what a machine can find of the Web Content Accessibility Guidelines 2.2 (W3C), here with
its best practices, and with targets (2.5.8) and contrast of 7:1 (1.4.6), which it leaves out unless it is asked.
"""

import os
import shutil
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest
from making.all_pages import DAY, EVENING, NO_PAGES, RED, at_a_day, in_the_evening
from making.browser import WIDTHS, Hand, chromium, served
from making.counter import Visitor
from selenium.webdriver.common.action_chains import ActionChains
from selenium.webdriver.common.keys import Keys

CARRIES = Path(os.environ.get("AXE_CORE", ".axe"))  # where a package lies of which nothing else is used
AXE_CORE = CARRIES / "axe_playwright_python" / "axe.min.js"
pytestmark = pytest.mark.skipif(
    (shutil.which("chromedriver") is None or not AXE_CORE.is_file()) and os.environ.get("BROWSER") != "must",
    reason="no browser is installed, or no axe-core",
)
CHECKED = """
const [done] = arguments;
const more = {'target-size': {enabled: true}, 'color-contrast-enhanced': {enabled: true}};
axe.run(document, {rules: more, resultTypes: ['violations'], preload: false}).then((found) => done([found.passes.length, found.violations.map(
  (one) => one.id + ': ' + one.nodes.map((node) => node.html.slice(0, 150) + ' ' + node.failureSummary).join(' | '))]));
"""
OPEN_ALL = "for (const one of document.querySelectorAll('details')) one.open = true;"
FOOT_LAST = "for (const one of document.querySelectorAll('.foot')) one.style.position = 'static';"  # what it stands over now can be scrolled from under it
SIZE = "return performance.getEntriesByType('navigation')[0].decodedBodySize;"
MOST_BYTES = 60_000  # of a page with its drawings, before it is packed
SMALLEST = 320  # px wide: 1280 at 400 % (WCAG 2.2, 1.4.10)
SPACED = """
const sheet = new CSSStyleSheet();
sheet.replaceSync(`* { line-height: 1.5 !important; letter-spacing: .12em !important; word-spacing: .16em !important; }
  p { margin-bottom: 2em !important; }`);
document.adoptedStyleSheets = [sheet];
"""  # WCAG 2.2, 1.4.12
CUT_OFF = """
return [...document.querySelectorAll('main *, .below *, .foot *')].filter((one) => one.checkVisibility() && one.innerText
  && !one.closest('.unseen, svg, thead, legend') && getComputedStyle(one).overflow !== 'visible'
  && (one.scrollHeight > one.clientHeight + 2 || one.scrollWidth > one.clientWidth + 2)).map((one) => one.outerHTML.slice(0, 150));
"""
BEYOND = """
const wide = document.documentElement.clientWidth;
return [...(document.documentElement.scrollWidth > wide ? ['it scrolls sideways'] : []), ...[...document.querySelectorAll('body *')].filter(
  (one) => one.checkVisibility() && !one.closest('.unseen, .skip, thead, svg *') && one.getBoundingClientRect().right > wide + 1)
  .map((one) => one.outerHTML.slice(0, 150))];
"""
LOST = """
const words = getComputedStyle(document.body).color, seen = (colour) => colour === words;
const paper = getComputedStyle(document.body).backgroundColor;
const marks = [...document.querySelectorAll('svg path, svg text, svg line, svg polyline, svg polygon')].filter((one) => one.checkVisibility());
const lost = marks.filter((one) => !seen(getComputedStyle(one).fill) && !seen(getComputedStyle(one).stroke));
const flat = [...document.querySelectorAll('button, .button, input:not([type=hidden], [type=radio], [type=checkbox], [type=file]), textarea, select')]
  .filter((one) => one.checkVisibility() && getComputedStyle(one).borderBottomStyle === 'none');
const same = [...document.querySelectorAll('main *')].filter((one) => one.checkVisibility() && !one.children.length && one.innerText
  && getComputedStyle(one).color === paper && getComputedStyle(one).backgroundColor === 'rgba(0, 0, 0, 0)' && !one.closest('button, .button'));
return [marks.length, [...lost, ...flat, ...same].map((one) => one.outerHTML.slice(0, 150))];
"""


@pytest.fixture(scope="module")
def driver():
    with chromium() as one:
        yield one


@pytest.fixture(scope="module")
def counters(tmp_path_factory):
    """Two counters: their apps, addresses and pages."""
    top = tmp_path_factory.mktemp("shops")
    day, evening = at_a_day(top / "day"), in_the_evening(top / "evening")
    with served(day) as at_day, served(evening) as at_evening:
        yield ((day, at_day, DAY), (evening, at_evening, EVENING))


@pytest.fixture
def hand(driver, counters):
    set_width(driver, *WIDTHS["phone"])
    return Hand(driver, counters[0][1])


def set_width(driver, wide, high):
    size = {"width": wide, "height": high, "deviceScaleFactor": 1, "mobile": wide < 800}
    driver.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", size)


def opened(driver, address):
    """A page with all answers in it, and all that can be opened opened."""
    driver.get(address)
    if driver.find_elements("css selector", "[data-waiting]"):
        driver.get(address)  # it was worked out meanwhile
    driver.execute_script(OPEN_ALL)
    driver.execute_script(FOOT_LAST)


def set_media(driver, **features):
    said = [{"name": name.replace("_", "-"), "value": value} for name, value in features.items()]
    driver.execute_cdp_cmd("Emulation.setEmulatedMedia", {"features": said})


@pytest.fixture(scope="module")
def evening_ready(counters):
    """All that the evening's pages say, worked out while those of the day are looked at."""
    visitor = Visitor(counters[1][0])
    with ThreadPoolExecutor(1) as meanwhile:
        yield meanwhile.submit(lambda: [visitor.get(path).status_code for path in EVENING])


@pytest.fixture(scope="module")
def found(driver, counters, evening_ready):
    """What is wrong with any page, by what it was looked at for; and how many marks of drawings were seen."""
    script = AXE_CORE.read_text("utf-8")
    driver.execute_cdp_cmd("Page.addScriptToEvaluateOnNewDocument", {"source": script})
    wrong, marks = {"axe": [], "narrow": [], "spaced": [], "forced": [], "size": []}, 0
    for address, path in ((at, path) for _, at, paths in counters for path in paths):
        if path == EVENING[0]:
            evening_ready.result()
        set_width(driver, *WIDTHS["phone"])
        opened(driver, address + path)
        size = driver.execute_script(SIZE)
        wrong["size"] += [f"{path} {size}"] if not 1_000 < size < MOST_BYTES else []
        with_axe(driver, path + " (phone, by day)", wrong["axe"])
        set_media(driver, forced_colors="active")
        count, lost = driver.execute_script(LOST)
        marks += count
        wrong["forced"] += [f"{path} {one}" for one in lost]
        set_media(driver)
        set_width(driver, *WIDTHS["laptop"])
        driver.execute_script("document.documentElement.classList.add('evening')")
        with_axe(driver, path + " (laptop, in the evening)", wrong["axe"])
        set_width(driver, SMALLEST, 480)
        wrong["narrow"] += [f"{path} {one}" for one in driver.execute_script(BEYOND)]
        driver.execute_script(SPACED)
        wrong["spaced"] += [
            f"{path} {one}" for one in driver.execute_script(BEYOND) + driver.execute_script(CUT_OFF)
        ]
    set_width(driver, *WIDTHS["phone"])
    return wrong, marks


def with_axe(driver, where, wrong):
    """What axe finds on the page that is open."""
    passed, found = driver.execute_async_script(CHECKED)
    assert passed > 10, where
    wrong += [f"{where} {one}" for one in found]


def test_the_walk_goes_to_every_page(counters):
    app = counters[0][0]
    adapter = app.url_map.bind("localhost")
    walked_to = {adapter.match(path.partition("?")[0])[0] for path in (*DAY, *EVENING) if path != "/nowhere"}
    pages = {rule.endpoint for rule in app.url_map.iter_rules() if "GET" in rule.methods}

    assert pages - NO_PAGES == walked_to


@pytest.mark.parametrize("what", ["axe", "narrow", "spaced", "forced", "size"])
def test_nothing_is_wrong_with_any_page(found, what):
    """By axe; at 400 percent nothing lies beyond the side, and no words are cut off where letters stand apart; and
    where colours are forced nothing vanishes; no page is large."""
    wrong, marks = found

    assert not wrong[what], "\n".join(wrong[what])
    assert marks > 100


class Keyboard:
    """Hands that have a keyboard only."""

    def __init__(self, driver):
        self.driver = driver

    def press(self, *keys):
        ActionChains(self.driver).send_keys(*keys).perform()

    def at(self):
        """What has the focus, which must be seen."""
        one = self.driver.switch_to.active_element
        outline = one.value_of_css_property("outline-style"), one.value_of_css_property("outline-width")
        assert outline == ("solid", "3px") or one.get_attribute("id") in {"page", "errors"}, (
            one.get_attribute("outerHTML")
        )
        low, foot = self.driver.execute_script(
            "return [arguments[0].getBoundingClientRect(), document.querySelector('.foot').getBoundingClientRect()]"
            ".map((box, n) => n ? box.top : (box.top + box.bottom) / 2)",
            one,
        )
        assert one.tag_name == "a" or low < foot, "it stands behind the foot"
        return one

    def tab_to(self, css):
        """Tabs until something has the focus."""
        for _ in range(120):
            self.press(Keys.TAB)
            if self.driver.execute_script("return document.activeElement.matches(arguments[0])", css):
                return self.at()
            if self.driver.execute_script("return document.activeElement !== document.body"):
                self.at()
        raise AssertionError(f"no Tab leads to {css}")


def test_an_enquiry_and_hours_by_keyboard_alone(hand):
    driver, keys = hand.driver, Keyboard(hand.driver)
    hand.open("/new")
    keys.tab_to("a.skip")
    keys.press(Keys.ENTER)
    keys.tab_to("[name=owner]")
    keys.press("Sorrel")
    keys.tab_to("[name=kind]")
    keys.press(Keys.SPACE)
    keys.tab_to("[name=feet]")
    keys.press(Keys.SPACE, Keys.ARROW_RIGHT)
    keys.tab_to("button.first")
    keys.press(Keys.ENTER)
    hand.at("/new/26-0")
    assert hand.find("h1").text.startswith("Sorrel's ")

    hand.open(f"/boards/{RED}")
    keys.tab_to("[name=stage]")
    keys.press(Keys.SPACE)
    keys.tab_to("[name='hours.other']")
    keys.press("a lot")
    keys.tab_to("button.first")
    keys.press(Keys.ENTER)
    hand.find("#errors")
    assert keys.at().get_attribute("id") == "errors"
    keys.tab_to("#errors a")
    keys.press(Keys.ENTER)
    there = driver.execute_script("return location.hash.slice(1)")
    assert driver.find_element("id", there).is_displayed()
    keys.tab_to("[name='hours.other']")
    assert keys.at().get_attribute("value") == "a lot"
    keys.press(Keys.CONTROL + "a" + Keys.NULL, "1½")
    keys.tab_to("button.first")
    keys.press(Keys.ENTER)
    hand.at(f"/boards/{RED}")

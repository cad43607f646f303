"""A real browser at a counter that is served, which counts taps and boxes."""

import threading
from contextlib import contextmanager

from selenium import webdriver
from selenium.common.exceptions import WebDriverException
from selenium.webdriver import ActionChains
from selenium.webdriver.chrome.options import Options
from selenium.webdriver.chrome.service import Service
from selenium.webdriver.common.by import By
from selenium.webdriver.support.ui import WebDriverWait
from werkzeug.serving import make_server

WIDTHS = {"phone": (360, 740), "laptop": (1280, 800)}
PATIENCE = 30  # seconds
LOOKS = 0.03  # seconds between two looks at a page that one waits for
STILL = """
const [element, done] = arguments;
element.scrollIntoView({block: 'center'});
const where = () => Object.values(element.getBoundingClientRect().toJSON()).join();
let before = '', since = 0;
const look = () => {
  const now = where(), still = now === before && document.readyState === 'complete' && document.fonts.status === 'loaded';
  before = now;
  since = still ? since + 1 : 0;
  if (since > 2) done(true); else requestAnimationFrame(look);
};
look();
"""  # a hand taps what stands still: letters have come and no part of the page moves
WITH_WORDS = """
const [within, words] = arguments;
const seen = [...document.querySelectorAll(within)].filter((one) => one.innerText.includes(words) && one.checkVisibility());
return seen.sort((one, other) => one.innerText.length - other.innerText.length)[0] ?? null;
"""  # asked of the page at once: to ask each element for its text takes a way there and back
CHANGING = [WebDriverException]  # while one page goes and the next comes


@contextmanager
def served(app):
    """The address of an app that is served on this machine."""
    server = make_server("127.0.0.1", 0, app, threaded=True)
    thread = threading.Thread(target=server.serve_forever, daemon=True)
    thread.start()
    try:
        yield f"http://127.0.0.1:{server.server_port}"
    finally:
        server.shutdown()
        thread.join(5)


@contextmanager
def chromium(width="phone", *, script=True):
    """A browser of this width, with script or without."""
    options = Options()
    for word in ("--headless=new", "--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage"):
        options.add_argument(word)
    options.set_capability("goog:loggingPrefs", {"browser": "ALL"})  # what a page did against its policy
    wide, high = WIDTHS[width]
    options.add_argument(f"--window-size={wide},{high}")
    options.add_experimental_option(
        "mobileEmulation", {"deviceMetrics": {"width": wide, "height": high, "pixelRatio": 1}}
    )
    driver = webdriver.Chrome(options=options, service=Service("/usr/bin/chromedriver"))
    if not script:  # the pages' only script never comes
        driver.execute_cdp_cmd("Network.enable", {})
        driver.execute_cdp_cmd("Network.setBlockedURLs", {"urls": ["*counter.js*"]})
    try:
        yield driver
    finally:
        driver.quit()


class Hand:
    """A hand at the screen: it taps what it sees, types into boxes, and both are counted."""

    def __init__(self, driver, address):
        self.driver, self.address = driver, address
        self.taps = self.boxes = 0

    def open(self, path):
        """Opens a page and begins to count anew."""
        self.driver.get(self.address + path)
        self.taps = self.boxes = 0

    def _wait(self):
        return WebDriverWait(self.driver, PATIENCE, LOOKS, ignored_exceptions=CHANGING)

    def find(self, css):
        """Something on the page, once it is there."""
        return self._wait().until(lambda d: d.find_element(By.CSS_SELECTOR, css))

    def tap(self, css):
        """Taps something; it must be seen, and large enough for a thumb."""
        self._tap(self.find(css))

    def with_words(self, words, within="a, button, summary, label"):
        """What has these words on it, the shortest of several, once it is there."""
        return self._wait().until(lambda d: d.execute_script(WITH_WORDS, within, words))

    def tap_words(self, words, within="a, button, summary, label"):
        """Taps what has these words on it; where it was swapped just then, what came in its place."""
        for last in (False, False, True):
            try:
                return self._tap(self.with_words(words, within))
            except WebDriverException:
                if last:
                    raise
        return None

    def press(self, words, within="button"):
        """Taps a button that sends a form, and waits for the page that comes of it."""
        page = self.find("html")
        self.tap_words(words, within)
        self._wait().until(lambda _: _is_gone(page))
        self.find("main")

    def follow(self, words, within="a"):
        """Taps a way to another page, and waits for that."""
        self.press(words, within)

    def choose(self, name, value):
        """Taps the words of a choice."""
        self._tap(self.find(f'label:has(input[name="{name}"][value="{value}"])'))

    def type(self, name, text):
        """Taps a box and types into it."""
        box = self.find(f'[name="{name}"]')
        self._tap(box)
        self.boxes += 1
        for _ in range(5):  # on a busy machine keys may be lost on the way: a hand sees that, and types again
            box.clear()
            box.click()  # emptied, it is left
            ActionChains(self.driver).send_keys(text).perform()  # into what has the cursor, as keys go
            if (box.get_property("value") or "").replace("\r\n", "\n") == text:
                return
        raise AssertionError(f"{text!r} can't be typed into {name}: {box.get_property('value')!r}")

    def _tap(self, element):
        assert element.is_displayed()
        self.driver.execute_async_script(STILL, element)
        element.click()
        self.taps += 1

    def at(self, path):
        """Waits until a page is open."""
        self._wait().until(lambda d: path in d.current_url)

    def text(self):
        """What can be read on the page."""
        return self.driver.find_element(By.TAG_NAME, "body").text


def _is_gone(element):
    """Whether something is no longer on the page that is open."""
    try:
        element.is_enabled()
    except WebDriverException:
        return True
    return False

"""A phone at the other address of this machine: refused, let in by letters from the laptop, at work, and forgotten.

The counter runs as the command runs it, in a process of its own; only the home network is another loopback address.
"""

import datetime as dt
import os
import re
import shutil
import socket
import subprocess
import sys
from contextlib import contextmanager

import pytest
from making.books import log_of
from making.browser import Hand, chromium
from making.folders import TODAY, folder

from estimator.counter.own_process import surroundings
from estimator.counter.serving import served_at
from estimator.log.book.store import BookStore
from estimator.log.exchange.importing import ImportChoices, import_folder

pytestmark = pytest.mark.skipif(
    shutil.which("chromedriver") is None and os.environ.get("BROWSER") != "must",
    reason="no browser is installed",
)
HOME = "127.0.0.2"
SERVES = """
import datetime as dt, sys
from pathlib import Path
from estimator.counter import serving

serving.home_address = lambda: sys.argv[2]
serving.serve(
    Path(sys.argv[1]), lambda: dt.date.fromisoformat(sys.argv[4]), port=int(sys.argv[3]), phone=True, window=False
)
"""


@contextmanager
def served_for_phones(place):
    """The port at which a workshop is served, on both addresses."""
    with socket.create_server((HOME, 0)) as free:
        port = free.getsockname()[1]
    words = [sys.executable, "-c", SERVES, str(place), HOME, str(port), TODAY.isoformat()]
    process = subprocess.Popen(
        words, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, env=surroundings()
    )
    try:
        for line in process.stdout:
            if line.startswith("Phones find it"):
                break
        assert served_at(port), process.stderr.read() if process.poll() is not None else ""
        yield port
    finally:
        process.terminate()
        _, wrong = process.communicate(timeout=30)
    assert (process.returncode, wrong) == (0, "")


@pytest.fixture
def place(tmp_path):
    made = folder(tmp_path / "shop")
    import_folder(made, dt.datetime.combine(TODAY, dt.time(8)), ImportChoices())
    return made


def hours_of(place):
    """The hours in the book, by board and day."""
    return {(one.board, one.date, one.hours) for one in log_of(BookStore(place))[0].entries}


def test_a_phone_is_refused_let_in_writes_hours_and_is_forgotten(place):
    with (
        served_for_phones(place) as port,
        chromium("laptop") as at_laptop,
        chromium("phone") as at_phone,
    ):
        laptop, phone = Hand(at_laptop, f"http://127.0.0.1:{port}"), Hand(at_phone, f"http://{HOME}:{port}")
        phone.open("/on-the-go")
        assert "A phone that isn't known yet" in phone.text()
        assert "nine-four" not in phone.text()

        laptop.open("/book")
        laptop.press("Add a phone")
        letters = re.search(r"^([A-Z]{4}) ([A-Z]{4})$", laptop.text(), re.MULTILINE).expand(r"\1\2")
        assert f"http://{HOME}:{port}/let-in" in laptop.text()

        phone.open("/let-in")
        phone.type("letters", "AAAAAAAA")
        phone.press("Let this phone in")
        assert "Those are not the letters" in phone.text()
        phone.type("letters", letters.lower())
        phone.press("Let this phone in")
        assert phone.driver.current_url == f"http://{HOME}:{port}/"
        phone.open("/on-the-go")
        assert "red nine-four" in phone.text()
        assert "Phones are added at the laptop itself." in (phone.open("/phones"), phone.text())[1]

        phone.open("/hours")
        phone.type(f"on-{TODAY}", "red nine-four strip 4½")
        phone.press("Write them down")
        assert ("26-001", TODAY, 4.5) in hours_of(place)

        laptop.open("/book")
        assert f"at {HOME}" in laptop.text()
        laptop.press("Forget it")
        laptop.at("/book#phones")
        assert "No phone may come in yet." in laptop.text()
        phone.open("/on-the-go")
        assert "A phone that isn't known yet" in phone.text()
        assert "nine-four" not in phone.text()
        for hand in (laptop, phone):
            said = [line for line in hand.driver.get_log("browser") if line["level"] == "SEVERE"]
            assert [
                line for line in said if "401" not in line["message"] and "403" not in line["message"]
            ] == []

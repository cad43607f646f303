"""What is not clear is asked on a terminal, once; a real one, with a person who mistypes and one who gives up."""

import os
import pty
import select
import subprocess
import sys
import time

import pytest
from making.books import NOON, SETTINGS, book

from estimator.words.settings.reader import parse_settings

LIMIT = 20  # seconds
NO_MORE = "\x04"  # the end of what is typed
TEXT = "Ticket,Surfboard,Date in,Shelf,Hours\n7,egg,03/04/2026,left,12\n"


@pytest.fixture
def shop(tmp_path):
    store = book(tmp_path / "shop", SETTINGS.replace('dates = "day-month"', ""))
    (tmp_path / "mine.csv").write_text(TEXT, "utf-8")
    return store


def at_a_terminal(store, *arguments, answers):
    """What a terminal shows while the questions are answered one by one, and how it ended."""
    ours, theirs = pty.openpty()
    command = [sys.executable, "-m", "estimator", "import", *arguments, "--shop", str(store.folder)]
    with subprocess.Popen(command, stdin=theirs, stdout=theirs, stderr=theirs, close_fds=True) as running:
        os.close(theirs)
        shown, left, until = "", list(answers), time.monotonic() + LIMIT
        asked = 0
        while time.monotonic() < until:
            if not select.select([ours], [], [], 1)[0]:
                continue
            try:
                shown += os.read(ours, 4096).decode("utf-8", "replace")
            except OSError:  # the other end is closed
                break
            if shown.count("Which is it") > asked and shown.rstrip(" ").endswith(":") and left:
                asked = shown.count("Which is it")
                os.write(ours, left.pop(0).encode())
        os.close(ours)
        try:
            running.wait(5)
        except subprocess.TimeoutExpired:
            running.kill()
    return shown.replace("\r\n", "\n"), running.returncode


def boards(store):
    [raw] = [one for one in store.read()[0].sheets if one.sheet == "boards"]
    return [{n: c for n, c in zip(raw.rows[0][1], cells, strict=True) if c} for _, cells in raw.rows[1:]]


def test_each_thing_is_asked_once_and_remembered(shop, tmp_path):
    file = tmp_path / "mine.csv"
    shown, ended = at_a_terminal(shop, str(file), answers=["9\n", "accepted\n", "\n", "1\n"])
    assert ended == 0, shown
    assert "Which of our columns is “Date in”?" in shown
    assert "There stands: 03/04/2026" in shown
    assert "That is none of them." in shown
    assert "Which is it, 1, or the name of another column of ours [1]:" in shown  # of Shelf
    assert "Which day is 03/04/2026?" in shown
    assert boards(shop) == [
        {"board": "7", "called": "egg", "accepted": "2026-04-03", "total_hours": "12", "Shelf": "left"}
    ]
    remembered = parse_settings(shop.settings_text())[0].imports["mine"]
    assert (remembered.columns["Date in"], remembered.dates) == ("accepted", "day-month")

    file.write_text(f"{TEXT}8,fish,04/04/2026,right,3\n", "utf-8")
    shown, ended = at_a_terminal(shop, str(file), answers=[])
    assert (ended, "Which" in shown) == (0, False), shown
    assert boards(shop)[1]["accepted"] == "2026-04-04"
    shop.undo(None, NOON)
    shop.undo(None, NOON)
    assert (shop.read()[0].sheets, "[import." in shop.settings_text()) == ((), False)


def test_who_gives_up_has_written_nothing(shop, tmp_path):
    before = shop.revision()
    shown, ended = at_a_terminal(shop, str(tmp_path / "mine.csv"), answers=[NO_MORE])
    assert ended not in {0, None}
    assert "Traceback" not in shown
    assert shop.revision() == before


def test_trying_asks_and_writes_nothing(shop, tmp_path):
    before = shop.revision()
    shown, ended = at_a_terminal(
        shop, str(tmp_path / "mine.csv"), "--try", answers=["accepted\n", "leave\n", "2\n"]
    )
    assert ended == 0, shown
    assert "mine.csv, nothing written yet." in shown
    assert shop.revision() == before


def test_where_nobody_can_answer_what_is_unclear_is_a_problem(shop, tmp_path):
    command = [
        sys.executable,
        "-m",
        "estimator",
        "import",
        str(tmp_path / "mine.csv"),
        "--shop",
        str(shop.folder),
    ]
    done = subprocess.run(
        command, capture_output=True, text=True, encoding="utf-8", timeout=LIMIT, check=False
    )
    assert done.returncode == 1
    assert "it is not clear which of our columns “Date in” is" in done.stdout
    assert "Nothing was written: 1 problem." in done.stdout

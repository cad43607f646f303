"""`counter` hands over the folder, the day on which one looks, the port and whether phones and a window are wanted."""

import datetime as dt

import pytest

from estimator.cli.counter import read_port
from estimator.words.errors import UnreadableError


@pytest.fixture
def served(monkeypatch):
    """What a counter was to be served with."""
    calls = []

    def serve(folder, clock, **named):
        calls.append({"folder": folder, "day": clock(), **named})

    monkeypatch.setattr("estimator.counter.serving.serve", serve)
    return calls


@pytest.mark.parametrize(("text", "port"), [("1024", 1024), ("65535", 65535), ("8737", 8737)])
def test_a_port_that_anyone_may_open_is_read(text, port):
    """RFC 6335, section 6: system ports are 0 to 1023, and the last is 65535."""
    assert read_port(text) == port


@pytest.mark.parametrize(
    "text", ["1023", "65536", "0", "-8737", "87.5", "", "٨٧٣٧", "http", "100000", "9" * 5000]
)
def test_what_is_no_such_port_is_refused(text):
    with pytest.raises(UnreadableError):
        read_port(text)


@pytest.mark.parametrize(
    ("words", "differs"),
    [
        ([], {}),
        (["--port", "9000"], {"port": 9000}),
        (["--phone"], {"phone": True}),
        (["--no-window"], {"window": False}),
        (["--seed", "3"], {"seed": 3}),
        (["--today", "2026-06-01"], {"day": dt.date(2026, 6, 1)}),
    ],
)
def test_what_is_said_to_it_is_served(run, served, tmp_path, words, differs):
    run("counter", *words, "--shop", tmp_path)

    (call,) = served
    assert call.pop("say")
    usual = {
        "port": 8737,
        "phone": False,
        "window": True,
        "seed": 0,
        "day": dt.date.today(),
        "folder": tmp_path,
    }
    assert call == {**usual, **differs}


def test_the_invented_workshop_has_its_own_last_day(run, served, demo_folder):
    run("counter", "--shop", demo_folder)
    run("counter", "--today", "2026-06-01", "--shop", demo_folder)
    assert [call["day"] for call in served] == [None, dt.date(2026, 6, 1)]

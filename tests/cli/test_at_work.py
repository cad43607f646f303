"""What takes long says what it is doing: after a while, on stderr, in plain words with a count."""

import io
import re
import time

import pytest

from estimator.cli import at_work as module
from estimator.cli.at_work import DOING, at_work, hush
from estimator.cli.commands import cli
from estimator.sheets import pictures


class Screen(io.StringIO):
    def isatty(self):
        return True


@pytest.fixture
def quickly(monkeypatch):
    """Half a tenth of a second stands for two seconds."""
    for name in ("SILENT", "ON_SCREEN", "IN_A_FILE"):
        monkeypatch.setattr(module, name, 0.05)


def until(there):
    """Waits until it is there, ten seconds at most."""
    end = time.monotonic() + 10
    while not there():
        assert time.monotonic() < end
        time.sleep(0.01)


def test_a_file_gets_plain_lines(quickly):
    kept = io.StringIO()
    with at_work("Working out past boards anew", kept) as count:
        until(kept.getvalue)
        count(3, 12)
        until(lambda: "3 of 12" in kept.getvalue())
    assert kept.getvalue() == "Working out past boards anew …\nWorking out past boards anew: 3 of 12\n"


def test_a_screen_gets_one_line_that_goes_away(quickly):
    screen = Screen()
    with at_work("Looking back", screen) as count:
        count(9, 12)
        until(lambda: "9 of 12" in screen.getvalue())
        hush()
        said = screen.getvalue()
        assert said == "\rLooking back: 9 of 12\r" + " " * 21 + "\r"
    assert screen.getvalue() == said
    assert not re.search(r"[\u2500-\u259f\x1b\u2800-\u28ff]", said)  # no bar, no spinner


def test_what_is_quick_says_nothing():
    screen = Screen()
    with at_work("Looking back", screen) as count:
        count(9, 12)
    assert not screen.getvalue()


def test_the_line_goes_away_where_something_fails(quickly):
    screen = Screen()

    def fails():
        with at_work("Looking back", screen):
            until(screen.getvalue)
            raise RuntimeError("halfway")

    with pytest.raises(RuntimeError, match="halfway"):
        fails()
    assert screen.getvalue().endswith(" \r")


def test_every_command_has_its_words():
    assert set(cli.commands) == set(DOING)


def test_a_command_says_it_before_its_answer(quickly, run, demo_folder, monkeypatch):
    """On a pipe; the words go to stderr, and the answer stays as it is."""
    plain = run("settings", "bench", "--shop", demo_folder)
    from estimator.cli import settings_command

    def slowly(parts):
        time.sleep(0.3)
        return print_parts(parts)

    print_parts = settings_command.print_parts
    monkeypatch.setattr(settings_command, "print_parts", slowly)
    slow = run("settings", "bench", "--shop", demo_folder)
    assert slow.stdout == plain.stdout
    assert slow.stderr == f"{DOING['settings']} …\n"


@pytest.mark.parametrize(
    "words",
    [
        ("bench", "--ics", "no/a.ics"),
        ("overruns", "--figure", "no/a.png"),
        ("quarter", "2026-Q3", "--figure", "no/a.png"),
        ("range", "26-900", "--figure", "no/a.svg"),
        ("record", "--figure", "no/a.png"),
        ("rules", "--figure", "no/a.png"),
        ("sheet", "record", "--out", "no/a.pdf"),
        ("weigh", "26-900", "--figure", "no/a.png"),
    ],
)
def test_a_file_without_a_folder_is_refused_before_the_log_is_opened(words, run, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)  # where there is no workshop
    refused = run(*words, exit_code=2).stderr
    assert refused == (
        f"{words[-1]} cannot be written: there is no folder no. Name a file in a folder that is there.\n"
    )


@pytest.mark.parametrize("words", [("overruns", "26-9"), ("range", "26-9"), ("weigh", "26-9")])
def test_a_board_that_is_not_there_is_refused_before_anything_is_learned(words, run, tmp_path, monkeypatch):
    from making.folders import folder

    from estimator.as_of import LogAsOf

    monkeypatch.setattr(LogAsOf, "fit", property(lambda _: pytest.fail("learned for nothing")))
    shop = folder(tmp_path / "shop")
    refused = run(*words, "--shop", shop, "--today", "2026-06-01", exit_code=2).stderr
    assert refused.startswith('No board is called "26-9".')


def test_a_picture_may_be_written_anew(tmp_path):
    (tmp_path / "a.png").write_bytes(b"")
    pictures.refuse(tmp_path / "a.png")


def test_the_count_moves_four_times_a_second_on_a_screen_and_every_ten_seconds_in_a_file():
    assert (module.ON_SCREEN, module.IN_A_FILE) == (0.25, 10.0)


def test_on_a_screen_a_shorter_count_leaves_no_letter_of_the_longer_one_before(quickly):
    screen = Screen()
    with at_work("Looking", screen) as count:
        count(0, 105)
        until(lambda: "0 of 105" in screen.getvalue())
        count(0, 7)
        until(lambda: "0 of 7 " in screen.getvalue())
    assert screen.getvalue().startswith("\rLooking: 0 of 105\rLooking: 0 of 7  \r")

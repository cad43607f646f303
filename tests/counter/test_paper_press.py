"""Sheets printed in a process of their own: the right sheet of the right shop and day, or why not, in words."""

import datetime as dt
import io
import sys
from pathlib import Path
from types import SimpleNamespace

import pytest
from making.folders import TODAY, folder

from estimator import papers
from estimator.counter import paper_press
from estimator.counter.paper_press import main, printed
from estimator.words.errors import NoAnswerError, UsageError


@pytest.fixture
def opened(monkeypatch):
    """What was opened and asked for; each sheet's bytes say which it is."""
    asked = []

    def sheet(what):
        return lambda *given: (
            asked.append((what, *given[1:])) or SimpleNamespace(pdf=f"{what} {given[1:]}".encode)
        )

    monkeypatch.setattr(
        paper_press,
        "Shop",
        SimpleNamespace(open=lambda place, *, today, seed: asked.append((place, today, seed)) or "shop"),
    )
    monkeypatch.setattr(papers, "said_paper", sheet("said"))
    monkeypatch.setattr(papers, "paper_of", sheet("paper"))
    monkeypatch.setattr(
        papers, "check_asked", lambda kind, about, *, hours: asked.append(("checked", kind, about, hours))
    )
    return asked


DAY = dt.date(2026, 6, 9)


@pytest.mark.parametrize(
    ("kind", "about", "then"),
    [
        ("overruns", None, [("said", "overruns")]), ("looks", None, [("said", "looks")]),
        ("range", "26-001", [("checked", "range", "26-001", False), ("paper", "range", "26-001")]),
        ("week", None, [("checked", "week", None, False), ("paper", "week", None)]),
    ],
)  # fmt: skip
def test_each_sheet_is_made_of_its_own(opened, kind, about, then):
    printed(Path("shop"), 7, DAY, kind, about)

    assert opened == [(Path("shop"), DAY, 7), *then]


def run(monkeypatch, *words):
    out, wrong = io.BytesIO(), io.StringIO()
    monkeypatch.setattr(sys, "argv", ["press", *words])
    monkeypatch.setattr(sys, "stdout", SimpleNamespace(buffer=out))
    monkeypatch.setattr(sys, "stderr", wrong)
    code = 0
    try:
        main()
    except SystemExit as over:
        code = over.code
    return code, out.getvalue(), wrong.getvalue()


def test_words_of_the_command_line_are_read(opened, monkeypatch):
    assert run(monkeypatch, "shop", "7", "2026-06-09", "range", "26-001") == (
        0,
        b"paper ('range', '26-001')",
        "",
    )
    assert run(monkeypatch, "shop", "0", "", "week", "") == (0, b"paper ('week', None)", "")
    assert [one for one in opened if len(one) == 3 and isinstance(one[0], Path)] == [
        (Path("shop"), DAY, 7),
        (Path("shop"), None, 0),
    ]


@pytest.mark.parametrize("error", [UsageError("No such board."), NoAnswerError("No day is known.")])
def test_why_there_is_no_sheet_is_said_with_the_code_of_that_mistake(opened, monkeypatch, error):
    def refuse(*_, **__):
        raise error

    monkeypatch.setattr(papers, "check_asked", refuse)
    code, out, wrong = run(monkeypatch, "shop", "7", "", "range", "nobody")
    assert (code, out) == (error.exit_code, b"")
    assert code in {1, 2}
    assert wrong == str(error)


def test_the_calendar_is_of_the_day_on_which_one_looks(tmp_path):
    text = printed(folder(tmp_path / "shop"), 0, TODAY, "calendar", None)

    assert text.startswith(b"BEGIN:VCALENDAR")
    assert b"DTSTAMP:20260601" in text
    assert text.count(b"BEGIN:VEVENT") == 3

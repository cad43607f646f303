"""Sheets from the page: which there are, what is asked of the press, and what is said where it fails."""

import subprocess
from types import SimpleNamespace

import pytest
from making.counter import client
from making.folders import TODAY, folder

from estimator.counter.pages import paper


@pytest.fixture
def pressed(monkeypatch):
    """What the press was told; how it ends is set by the test."""
    held = SimpleNamespace(words=[], code=0, out=b"%PDF-", wrong=b"", late=False)

    def run(command, **how):
        held.words.append(command[3:])
        held.how = how
        if held.late:
            raise subprocess.TimeoutExpired(command, how["timeout"])
        return SimpleNamespace(returncode=held.code, stdout=held.out, stderr=held.wrong)

    monkeypatch.setattr(paper.subprocess, "run", run)
    return held


@pytest.fixture
def counter(tmp_path):
    return client(folder(tmp_path / "shop"), today=TODAY, seed=7)


@pytest.mark.parametrize(
    ("path", "kind", "about", "sort", "name"),
    [
        ("/paper/range/26-001", "range", "26-001", "application/pdf", "range-26-001.pdf"), ("/paper/week", "week", "", "application/pdf", "week.pdf"),
        ("/paper/quarter/2026-Q2", "quarter", "2026-Q2", "application/pdf", "quarter-2026-Q2.pdf"), ("/paper/looks", "looks", "", "application/pdf", "looks.pdf"),
        ("/paper/range/a~2fb", "range", "a/b", "application/pdf", "range-a-b-c14cdd.pdf"), ("/paper/range/ö1", "range", "ö1", "application/pdf", "range-?1.pdf"),
        ("/paper/calendar", "calendar", "", "text/calendar; charset=utf-8", "boards.ics"),
    ],
)  # fmt: skip
def test_a_sheet_is_asked_for_of_this_shop_and_day(counter, pressed, path, kind, about, sort, name):
    answer = counter.get(path)

    assert (answer.status_code, answer.content_type, answer.data) == (200, sort, b"%PDF-")
    assert answer.headers["Content-Disposition"] == f'inline; filename="{name}"'
    assert pressed.words == [(str(counter.app.extensions["counter"].folder), "7", "2026-06-01", kind, about)]
    assert pressed.how["timeout"] == 240
    assert pressed.how["env"]["OMP_NUM_THREADS"] == "1"  # it takes no core from the page


@pytest.mark.parametrize(
    "path",
    [
        "/paper/range",
        "/paper/week/26-001",
        "/paper/looks/x",
        "/paper/juggle",
        "/paper/range/a~00b",
        "/paper/range/a~0ab",
    ],
)
def test_what_is_no_sheet_is_not_asked_for(counter, pressed, path):
    assert counter.get(path).status_code == 404
    assert pressed.words == []


@pytest.mark.parametrize(
    ("ends", "said"),
    [
        ({"code": 1, "wrong": b"No such board."}, "No such board."), ({"code": 2, "wrong": b"No day is known."}, "No day is known."),
        ({"code": 1, "wrong": b"Traceback (most recent call last)"}, "This is our mistake"), ({"code": 1}, "This is our mistake"),
        ({"code": 3, "wrong": b"killed"}, "This is our mistake"), ({"late": True}, "That took too long."),
    ],
)  # fmt: skip
def test_where_there_is_no_sheet_it_is_said_why(counter, pressed, ends, said):
    vars(pressed).update(ends)
    answer = counter.get("/paper/week")

    assert answer.status_code == 404
    assert said in answer.get_data(as_text=True)
    assert "Traceback" not in answer.get_data(as_text=True)

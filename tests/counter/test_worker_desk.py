"""The server's side of the worker: what is handed on and what is not, and how often it is begun, by a clock of our own."""

import io
import json
import typing
from types import SimpleNamespace

import pytest

from estimator.counter import worker_desk
from estimator.counter.answer_files import AsOf, PageQuestion
from estimator.counter.worker_desk import WorkerDesk

BOARD, OTHER = PageQuestion("board", "26-001"), PageQuestion("board", "26-002")
NOW, LATER = AsOf("r1", "2026-06-09", 0), AsOf("r2", "2026-06-09", 0)


class Process:
    """A process that lives until it is told to end."""

    begun: typing.ClassVar[list] = []

    def __init__(self, command, **given):
        self.command, self.given, self.stdin, self.over, self.pid = (
            command,
            given,
            io.StringIO(),
            None,
            100 + len(self.begun),
        )
        self.begun.append(self)

    def poll(self):
        return self.over

    def lines(self):
        return [json.loads(line) for line in self.stdin.getvalue().splitlines()]


@pytest.fixture
def clock(monkeypatch):
    now = [1000.0]
    Process.begun = []
    monkeypatch.setattr(worker_desk, "time", SimpleNamespace(monotonic=lambda: now[0]))
    monkeypatch.setattr(worker_desk.subprocess, "Popen", Process)
    return now


def test_a_question_is_handed_on_as_it_is_and_not_again_within_two_seconds(clock, tmp_path):
    desk = WorkerDesk(tmp_path, 7)
    assert desk.pid is None
    for question, as_of in ((BOARD, NOW), (BOARD, NOW), (OTHER, NOW), (BOARD, LATER)):
        desk.ask(question, as_of)
    [process] = Process.begun
    clock[0] += 1.9
    desk.ask(BOARD, NOW)
    assert len(process.lines()) == 3
    clock[0] += 0.1
    desk.ask(BOARD, NOW)

    assert process.command[-3:] == ("estimator.counter.worker", str(tmp_path), "7")
    assert process.lines() == [
        {"kind": "board", "about": about, "day": "2026-06-09", "revision": revision}
        for about, revision in (("26-001", "r1"), ("26-002", "r1"), ("26-001", "r2"), ("26-001", "r1"))
    ]
    assert desk.pid == 100


def test_one_that_died_is_begun_again_and_asked_anew_five_times_a_minute(clock, tmp_path):
    desk = WorkerDesk(tmp_path, 0)
    for n in range(5):
        assert not desk.gone
        desk.ask(BOARD, NOW)
        assert len(Process.begun) == n + 1
        assert len(Process.begun[-1].lines()) == 1  # what the dead one was handed is handed on again
        Process.begun[-1].over = 1
    assert desk.gone
    desk.ask(BOARD, NOW)
    assert len(Process.begun) == 5
    clock[0] += 59.9
    assert desk.gone
    clock[0] += 0.1
    assert not desk.gone
    desk.ask(BOARD, NOW)
    assert len(Process.begun) == 6
    assert not desk.gone  # it lives


def test_what_cannot_be_begun_is_no_failure_of_the_page(clock, tmp_path, monkeypatch):
    def refuse(*_, **__):
        raise OSError("no such program")

    monkeypatch.setattr(worker_desk.subprocess, "Popen", refuse)
    desk = WorkerDesk(tmp_path, 0)
    for _ in range(5):
        assert not desk.gone
        desk.ask(BOARD, NOW)
    assert desk.gone


def test_once_closed_none_is_begun(clock, tmp_path):
    desk = WorkerDesk(tmp_path, 0)
    desk.close()
    desk.ask(BOARD, NOW)

    assert Process.begun == []


@pytest.mark.parametrize("stubborn", [False, True])
def test_at_the_end_the_worker_is_left_to_end_and_told_to_where_it_is_at_work(
    clock, tmp_path, monkeypatch, stubborn
):
    done = []

    def wait(_, seconds):
        done.append(("wait", seconds))
        if stubborn and seconds < 1:
            raise worker_desk.subprocess.TimeoutExpired("worker", seconds)

    monkeypatch.setattr(Process, "wait", wait, raising=False)
    monkeypatch.setattr(Process, "terminate", lambda _: done.append("told"), raising=False)
    desk = WorkerDesk(tmp_path, 0)
    desk.ask(BOARD, NOW)
    desk.close()

    assert Process.begun[0].stdin.closed
    assert done == [("wait", 0.2), *(["told", ("wait", 5)] if stubborn else [])]
    Process.begun[0].over = 0
    desk.ask(OTHER, NOW)
    assert len(Process.begun) == 1


def test_a_command_of_ones_own_is_begun_and_the_pipe_of_a_dead_one_is_closed(clock, tmp_path):
    desk = WorkerDesk(tmp_path, 0, ("other", "words"))
    desk.ask(BOARD, NOW)
    Process.begun[0].over = 1
    desk.ask(BOARD, NOW)

    assert [one.command for one in Process.begun] == [("other", "words")] * 2
    assert [one.stdin.closed for one in Process.begun] == [True, False]
    assert Process.begun[0].given["env"]["OMP_NUM_THREADS"] == "1"

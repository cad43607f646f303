"""Work among processes: done whole, by nothing but our own modules, and ended with the process that asked for it."""

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest
from joblib import parallel_config

from estimator.record.workers import each

SCRIPT = """
import os, signal, sys, time
from pathlib import Path
from estimator.cli.commands import stop_when_told
from estimator.record.workers import each


def work(folder, number, seconds):
    (Path(folder) / f"{number}.pid").write_text(str(os.getpid()))
    time.sleep(seconds)
    return number


if __name__ == "__main__":
    stop_when_told()
    folder, seconds = sys.argv[1], float(sys.argv[2])
    print(sorted(each(work, [(folder, n, seconds) for n in range(3)], jobs=2)))
"""


def start(tmp_path, seconds, cwd):
    """A process that shares out work which takes so long."""
    script, pids = tmp_path / "script" / "ask.py", tmp_path / "pids"
    for folder in (script.parent, pids):
        folder.mkdir()
    script.write_text(SCRIPT)
    paths = [path for path in sys.path if path]
    return subprocess.Popen(
        [sys.executable, str(script), str(pids), str(seconds)],
        cwd=cwd,
        env={**os.environ, "PYTHONPATH": os.pathsep.join(paths)},
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )


def test_all_is_done_and_an_error_comes_through():
    assert sorted(each(divmod, [(n, 2) for n in range(5)], jobs=2)) == [divmod(n, 2) for n in range(5)]
    assert list(each(divmod, [], jobs=2)) == []
    with pytest.raises(ZeroDivisionError):
        list(each(divmod, [(1, 1), (1, 0)], jobs=2))
    assert os.environ.get("PYTHONSAFEPATH") is None


@pytest.mark.parametrize("module", ["argparse", "joblib", "numpy"])
def test_python_files_in_the_folder_one_stands_in_are_not_run(tmp_path, module):
    workshop = tmp_path / "workshop"
    workshop.mkdir()
    (workshop / f"{module}.py").write_text(
        f"open({str(tmp_path / 'it ran')!r}, 'w').close()\nraise SystemExit(9)\n"
    )

    process = start(tmp_path, 0, workshop)
    out, error = process.communicate(timeout=60)

    assert out == "[0, 1, 2]\n", error
    assert not (tmp_path / "it ran").exists()


@pytest.mark.skipif(sys.platform == "win32", reason="there one process cannot tell another to stop")
@pytest.mark.parametrize("told", [signal.SIGTERM, signal.SIGINT, signal.SIGKILL])
def test_workers_end_with_the_process_that_is_told_to_stop_or_killed(tmp_path, told):
    process = start(tmp_path, 60, tmp_path)
    pids = tmp_path / "pids"
    until = time.monotonic() + 60
    while len(found := [one for one in pids.iterdir() if one.read_text()]) < 2 and time.monotonic() < until:
        time.sleep(0.05)
    workers = [int(one.read_text()) for one in found]
    process.send_signal(told)
    process.communicate(timeout=30)

    assert process.returncode != 0
    until = time.monotonic() + 10
    while any(map(alive, workers)) and time.monotonic() < until:
        time.sleep(0.05)
    assert len(workers) == 2
    assert [pid for pid in workers if alive(pid)] == []


def alive(pid):
    """Whether a process is still there, and no mere entry of one that has ended."""
    try:
        state = Path(f"/proc/{pid}/stat").read_text()
    except FileNotFoundError:
        return False
    return state.rpartition(")")[2].split()[0] != "Z"


@pytest.mark.parametrize("before", [None, "0"])
def test_what_stood_in_the_way_of_modules_stands_there_again(monkeypatch, before):
    """While it lasts Python is told to look for none; what it was told before comes back, also after an error."""
    if before is None:
        monkeypatch.delenv("PYTHONSAFEPATH", raising=False)
    else:
        monkeypatch.setenv("PYTHONSAFEPATH", before)

    assert list(each(os.environ.get, [("PYTHONSAFEPATH",)], jobs=1)) == ["1"]
    assert os.environ.get("PYTHONSAFEPATH") == before
    with pytest.raises(ZeroDivisionError):
        list(each(divmod, [(1, 0)], jobs=1))
    assert os.environ.get("PYTHONSAFEPATH") == before


def test_a_backend_that_hands_over_all_at_once_is_heard_at_its_end():
    with parallel_config(backend="multiprocessing"):
        assert sorted(each(divmod, [(7, 2), (9, 4)], jobs=2)) == [(2, 1), (3, 1)]

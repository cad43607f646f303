"""What a process of our own does when it is started oddly, cannot print, or is stopped."""

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest
from making.folders import folder

NOWHERE = "What was to be kept or saved is kept: don't ask for that twice. Make room first.\n"
ON_POSIX = pytest.mark.skipif(sys.platform == "win32", reason="as POSIX has it")


@pytest.fixture
def shop(tmp_path):
    return folder(tmp_path / "shop")


def process(*words, cwd=None, stdout=subprocess.PIPE, **more):
    """A process of ours; env: what else stands in its environment."""
    paths = os.pathsep.join(path for path in sys.path if path)
    env = {name: value for name, value in os.environ.items() if name != "ESTIMATOR_SHOP"}
    return subprocess.Popen(
        [sys.executable, "-m", "estimator", *map(str, words)],
        cwd=cwd, env={**env, "PYTHONPATH": paths, **more.pop("env", {})}, stdout=stdout, stderr=subprocess.PIPE,
        text=True, **more,
    )  # fmt: skip


TOLD = ["told", "green fish", "--hours", "8-12", "--last", "?", "--today", "2026-06-01"]


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="there is no such device")
@pytest.mark.parametrize("words", [TOLD, [*TOLD, "--json"]])
def test_a_full_disk_for_the_answer_loses_no_row_and_is_said(shop, words):
    with Path("/dev/full").open("w") as full:
        running = process(*words, "--shop", shop, stdout=full)
        _, error = running.communicate(timeout=60)

    assert (running.returncode, error) == (
        1,
        f"The answer cannot be printed: no space left on device. {NOWHERE}",
    )
    assert len((shop / "told.csv").read_text("utf-8").splitlines()) == 2


@ON_POSIX
def test_nowhere_to_print_to_is_said(shop):
    running = process(*TOLD, "--shop", shop, preexec_fn=lambda: os.close(1))
    _, error = running.communicate(timeout=60)

    assert (running.returncode, error) == (
        1,
        f"The answer cannot be printed: there is nowhere to print to. {NOWHERE}",
    )
    assert len((shop / "told.csv").read_text("utf-8").splitlines()) == 2


@ON_POSIX
def test_a_reader_that_has_gone_ends_it_quietly(shop):
    read, write = os.pipe()
    os.close(read)
    running = process(*TOLD, "--shop", shop, stdout=write)
    os.close(write)
    _, error = running.communicate(timeout=60)

    assert (running.returncode, error) == (1, "")


def test_a_backend_that_is_not_there_stops_no_picture(shop, tmp_path):
    running = process(
        "range",
        "green fish",
        "--shop",
        shop,
        "--figure",
        tmp_path / "a.svg",
        env={"MPLBACKEND": "of another program"},
    )
    _, error = running.communicate(timeout=100)

    assert running.returncode == 0, error
    assert (tmp_path / "a.svg").exists()


@pytest.mark.parametrize("module", ["click", "json", "numpy"])
def test_python_files_in_the_folder_one_stands_in_are_not_run(shop, module):
    (shop / f"{module}.py").write_text("open('it ran', 'w').close()\n")
    running = process(*TOLD, cwd=shop)
    _, error = running.communicate(timeout=60)

    assert running.returncode == 0, error
    assert not (shop / "it ran").exists()


@ON_POSIX
@pytest.mark.parametrize("slow", ["estimator.cli.commands", "estimator.shop"])
def test_stopped_while_it_is_still_starting_it_says_so_in_a_line(shop, tmp_path, slow):
    (tmp_path / "late").mkdir()
    (tmp_path / "late" / "sitecustomize.py").write_text(
        "import sys, time\n"
        "class Late:\n"
        "    def find_spec(self, name, path=None, target=None):\n"
        f"        if name == {slow!r}:\n"
        f"            open({str(tmp_path / 'now')!r}, 'w').close()\n"
        "            time.sleep(30)\n"
        "sys.meta_path.insert(0, Late())\n"
    )
    paths = os.pathsep.join([str(tmp_path / "late"), *filter(None, sys.path)])
    running = process(*TOLD, "--shop", shop, env={"PYTHONPATH": paths})
    until = time.monotonic() + 60
    while not (tmp_path / "now").exists() and time.monotonic() < until:
        time.sleep(0.02)
    running.send_signal(signal.SIGINT)
    _, error = running.communicate(timeout=60)

    assert (running.returncode, error) == (130, "\nStopped. What was kept before is whole.\n")

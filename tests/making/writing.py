"""Processes that write into a book, to be killed or run beside one another; each says which acts it knows to be kept."""

import os
import signal
import subprocess
import sys
import time

WRITES = """
import datetime as dt, sys
from estimator.log.book.store import BookStore

folder, name, many = sys.argv[1], sys.argv[2], int(sys.argv[3])
print("begun", flush=True)
for number in range(int(sys.argv[4]), many):
    key = f"{name}-{number}"
    store = BookStore(folder)
    with store.act(key, dt.datetime(2026, 6, 4), key=key, digest=key) as act:
        for half in (1, 2):
            act.append("hours", {"board": "A", "date": "2026-05-04", "stage": "strip", "hours": "0", "note": f"{key} {half}"})
        act.append("weights", {"board": "A", "date": "2026-05-04", "weight": "8 kg"})
    print(number, flush=True)
"""


def writer(folder, name, many, begin=0):
    """A process that does so many acts, each of two hours and a weight, and prints the number of each that is kept.

    It has begun when it is returned, however long a busy machine took.
    """
    env = {**os.environ, "PYTHONPATH": os.pathsep.join(path for path in sys.path if path)}
    words = [sys.executable, "-c", WRITES, str(folder), name, str(many), str(begin)]
    process = subprocess.Popen(words, stdout=subprocess.PIPE, text=True, env=env)
    assert process.stdout is not None
    assert process.stdout.readline() == "begun\n"
    return process


def killed_until_done(folder, many, pause):
    """Does so many acts by processes that are killed again and again, each act sent again until it is known.

    The last that is known is sent again too, as by somebody who did not hear that it was kept.
    pause: gives the seconds until the next kill, from when it has begun. Returns how many were killed. One that ends
    by itself must have done what it was to do.
    """
    known, kills = 0, 0
    while known < many:
        process = writer(folder, "w", many, max(known - 1, 0))
        time.sleep(pause())
        if process.poll() is None:
            process.kill()
            kills += 1
        said, _ = process.communicate()
        assert process.returncode in {0, -signal.SIGKILL}
        lines = [line for line in said.splitlines(keepends=True) if line.endswith("\n")]
        known = int(lines[-1]) + 1 if lines else known
    return kills

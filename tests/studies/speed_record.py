"""How much processor time the record takes the first time, on a shop of some two hundred boards.

Run from the top of the project: python tests/studies/speed_record.py
The invented workshop is played for a year or more longer than its own, until at least two hundred of its boards are
taken on, and written as csv; `estimator record` is then run twice as a process of its own, once with nothing kept and
once with all kept. Prints the boards, the processor time and the time by the clock; keeps it in
results/speed_record.md.
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from unittest import mock

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT / "tests"), str(ROOT)]

from studies.results import keeping

from estimator.demo import recipe, simulation, stories
from estimator.demo.workshop import SEED, write_demo
from estimator.shop import Shop

BOARDS = 200
WANTED = 80.0  # seconds of processor time


def longer(folder: Path) -> None:
    """Writes the invented workshop, begun so many years earlier that it has taken on enough boards."""
    jobs = list(stories.JOBS_A_YEAR)
    first = recipe.FIRST_DAY
    while sum(jobs) < BOARDS:
        jobs.insert(0, jobs[0])
        first = first.replace(year=first.year - 1)
    with (
        mock.patch.object(recipe, "FIRST_DAY", first),
        mock.patch.object(simulation, "FIRST_DAY", first),
        mock.patch.object(stories, "FIRST_DAY", first),
        mock.patch.object(stories, "JOBS_A_YEAR", tuple(jobs)),
    ):
        write_demo(folder, seed=SEED)


def timed(folder: Path) -> tuple[float, float]:
    """Seconds of processor time, children of it too, and by the clock, of one `record`."""
    before, begun = os.times(), time.perf_counter()
    subprocess.run(
        [sys.executable, "-m", "estimator", "record", "--shop", str(folder), "--json"],
        cwd=ROOT,
        check=True,
        capture_output=True,
    )
    after = os.times()
    spent = after.children_user + after.children_system - before.children_user - before.children_system
    return spent, time.perf_counter() - begun


def main() -> None:
    """Prints one line for each run."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name) / "shop"
        longer(folder)
        log = Shop.open(folder).log
        finished = sum(board.finished for board in log.boards)
        print(f"{len(log.boards)} boards, {finished} of them finished, {len(log.entries):,} rows of hours")
        cold, clock = timed(folder)
        print(
            f"record, nothing kept: {cold:.0f} s of processor time (wanted: {WANTED:.0f}), {clock:.0f} by the clock"
        )
        kept, clock = timed(folder)
        print(f"record, all kept: {kept:.1f} s of processor time, {clock:.1f} by the clock")


if __name__ == "__main__":
    with keeping("speed_record", str(SEED)):
        main()

"""Keeps what a study found, with the commit and the seeds it was found with, for documents to quote from."""

from __future__ import annotations

import subprocess
from collections.abc import Iterable
from pathlib import Path

RESULTS = Path(__file__).resolve().parent / "results"


def commit() -> str:
    """The short name of the commit that is checked out, with a plus where files of the project differ from it."""

    def git(*words: str) -> str:
        return subprocess.run(
            ["git", *words], cwd=RESULTS, capture_output=True, text=True, check=True
        ).stdout.strip()

    changed = git("status", "--porcelain", "--untracked-files=no", "--", "../../../estimator")
    return git("rev-parse", "--short", "HEAD") + ("+" if changed else "")


def keep(name: str, seeds: str, lines: Iterable[str], *, where: Path = RESULTS) -> Path:
    """Writes what a study prints to `results/NAME.md`, and says where.

    seeds: in words, as "1 to 40"; lines: as printed, kept in their columns
    """
    where.mkdir(exist_ok=True)
    file = where / f"{name}.md"
    text = "\n".join(["```", *lines, "```"])
    file.write_text(f"# {name}\n\nCommit {commit()}, seeds {seeds}.\n\n{text}\n", "utf-8")
    return file

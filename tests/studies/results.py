"""Keeps what a study found, with the commit, the command and the seeds, for documents to quote from."""

from __future__ import annotations

import contextlib
import io
import subprocess
import sys
from collections.abc import Iterable, Iterator
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
    said = " ".join(["python", f"tests/studies/{Path(sys.argv[0]).name}", *map(_quoted, sys.argv[1:])])
    file.write_text(f"# {name}\n\n`{said}`, commit {commit()}, seeds {seeds}.\n\n{text}\n", "utf-8")
    return file


def _quoted(word: str) -> str:
    """A word of a command as it is typed."""
    return f'"{word}"' if " " in word else word


class _Both(io.StringIO):
    """Prints what is written to it, and holds it."""

    def write(self, text: str) -> int:
        assert sys.__stdout__ is not None
        sys.__stdout__.write(text)
        sys.__stdout__.flush()
        return super().write(text)


@contextlib.contextmanager
def keeping(name: str, seeds: str, *, where: Path = RESULTS) -> Iterator[None]:
    """Prints as ever what is printed within, and keeps it in `results/NAME.md`; nothing where it ends in an error."""
    both = _Both()
    with contextlib.redirect_stdout(both):
        yield
    keep(name, seeds, both.getvalue().splitlines(), where=where)

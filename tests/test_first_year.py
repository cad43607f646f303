"""The first year as it is told in reports/first-year.md, typed again: what it shows is what is printed."""

import csv
import datetime as dt
import re
import shlex
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest
from click.testing import CliRunner

from estimator.cli.commands import cli

STORY = Path(__file__).resolve().parents[1] / "reports" / "first-year.md"
EVENING = re.compile(r"## \w+ (\d+ \w+ \d{4})")
NAMED = re.compile(r"`([\w-]+\.(?:csv|toml|txt))`:$")
REST = "…"
SAME_ROW = {
    "boards.csv": ("board",),
    "waits.csv": ("board", "from"),
}  # by what a row that is there already is known
COMMANDS = {
    "bench", "check", "export", "hours", "import", "money", "new", "otherwise", "quarter", "range", "record", "told",
    "undo", "weigh",
}  # fmt: skip


@dataclass(frozen=True)
class Typed:
    """A command of an evening, and the lines of its answer that are shown."""

    day: dt.date
    command: str
    shown: tuple[str, ...]


@dataclass(frozen=True)
class Written:
    """Lines that are written into a file."""

    file: str
    lines: tuple[str, ...]


def steps(text: str) -> Iterator[Typed | Written]:
    """What is done in a story, in order: a block of the console, or one behind a line that ends with a file's name."""
    day: dt.date | None = None
    block: list[str] | None = None
    before = language = ""
    for line in text.splitlines():
        if block is not None and not line.startswith("```"):
            block.append(line)
        elif block is not None:
            if language == "console":
                yield from _typed(day, block)
            else:
                named = NAMED.search(before)
                assert named, f"a block of {language} names no file; above it stands: {before}"
                yield Written(named[1], tuple(block))
            block = None
        elif line.startswith("```"):
            language, block = line[3:], []
        elif evening := EVENING.match(line):
            day = dt.datetime.strptime(evening[1], "%d %B %Y").date()  # noqa: DTZ007  a day has no time zone
        elif line:
            before = line


def _typed(day: dt.date | None, block: list[str]) -> Iterator[Typed]:
    assert day is not None
    assert block[0].startswith("$ ")
    starts = [n for n, line in enumerate(block) if line.startswith("$ ")]
    for start, end in zip(starts, [*starts[1:], len(block)], strict=True):
        yield Typed(day, block[start][2:], tuple(block[start + 1 : end]))


def write(file: Path, lines: tuple[str, ...]) -> None:
    """A text as it is; settings over those of the same names; rows behind the others, or into the row they are of."""
    if file.suffix == ".toml":
        text = file.read_text("utf-8")
        for line in lines:
            name = line.partition(" = ")[0]
            text, found = re.subn(rf"(?m)^{name} = .*$", line.replace("\\", r"\\"), text, count=1)
            assert found == 1, f"{name} stands {found} times in {file.name}"
        file.write_text(text, "utf-8")
    elif file.suffix == ".csv" and file.exists():
        _write_rows(file, lines)
    else:
        file.write_text("\n".join(lines) + "\n", "utf-8")


def _write_rows(file: Path, lines: tuple[str, ...]) -> None:
    with file.open(encoding="utf-8", newline="") as source:
        reader = csv.DictReader(source)
        columns, rows = list(reader.fieldnames or ()), list(reader)
    for new in csv.DictReader(lines):
        assert set(new) <= set(columns), f"{file.name} has no column {set(new) - set(columns)}"
        key = SAME_ROW.get(file.name, ())
        same = [row for row in rows if key and all(row[name] == new[name] for name in key)]
        if not same:
            rows.append(dict.fromkeys(columns, ""))
        (same or rows)[-1].update({name: cell for name, cell in new.items() if cell})
    with file.open("w", encoding="utf-8", newline="") as target:
        writer = csv.DictWriter(target, columns, lineterminator="\n")
        writer.writeheader()
        writer.writerows(rows)


def first_unprinted(shown: tuple[str, ...], printed: list[str]) -> str | None:
    """The first shown line that does not follow what was printed; … skips lines, and blank ones count for nothing.

    >>> first_unprinted(("a", "…", "c"), ["a", "b", "", "c"]), first_unprinted(("a", "c"), ["a", "b", "c"])
    (None, 'c')
    """
    lines, skips = iter([line.rstrip() for line in printed if line.strip()]), False
    for line in shown:
        if line == REST:
            skips = True
        elif skips:
            if line not in lines:  # goes on to the first like it
                return line
            skips = False
        elif next(lines, None) != line:
            return line
    left = None if skips else next(lines, None)
    return None if left is None else f"(not shown) {left}"


@pytest.fixture
def outside(tmp_path, monkeypatch):
    """An empty folder, in which one sits."""
    monkeypatch.delenv("ESTIMATOR_SHOP", raising=False)
    monkeypatch.chdir(tmp_path)
    return monkeypatch


def test_the_first_year_as_it_is_told(outside):
    seen = set()
    for step in steps(STORY.read_text("utf-8")):
        if isinstance(step, Written):
            write(Path(step.file), step.lines)
            continue
        program, *words = shlex.split(step.command)
        if program == "cd":
            outside.chdir(words[0])
            continue
        assert program == "estimator"
        seen.add(words[0])
        result = CliRunner().invoke(cli, [*words, "--today", step.day.isoformat()], catch_exceptions=False)
        missing = first_unprinted(step.shown, result.output.splitlines())
        assert missing is None, f"{step.day}, {step.command}\nnot printed there: {missing}\n\n{result.output}"
        assert result.exit_code == 0, result.output
    assert seen == COMMANDS


def test_a_line_that_is_not_printed_is_found():
    printed = ["one", "two", "", "three", "four"]
    assert first_unprinted(("…", "two", "three", "…"), printed) is None
    assert first_unprinted(("one", "two", "three", "four"), printed) is None
    assert first_unprinted(("…", "three", "two", "…"), printed) == "two"
    assert first_unprinted(("…", "5", "…"), printed) == "5"
    assert first_unprinted(("one", "…", "three"), printed) == "(not shown) four"

"""Faults put in, one at a time, by a machine or by hand: which of them do the tests find?

Run from the top of the project: python tests/studies/mutants.py [FAULTS] [SEED] [ROOM ...]

Draws so many places from the modules of the package, spread over its rooms, and at each does one of these: turns a
comparison round or lets it have its edge, drops a term, changes a number by a fifth (a whole one by one), swaps least
and most, drops a condition, swaps plus and minus or times and over. Docstrings, words that are printed and annotations
are left alone. The fault is put into a copy of the project; of the tests run those named after the module, then
those that speak of it, then all others of its room, until one fails. Prints each fault and the test that found it, and keeps that in
`tests/studies/results/mutants.md`. The project itself is never changed.

Or: python tests/studies/mutants.py [--map FOLDER] tests/studies/faults/one.json ...

Puts in faults that were thought of by hand: lists of file, old and new text, and why that would hurt. What found a
fault when it was first put in, or nothing, is written beside it as at_once, with the commit; for one that was not
found, later runs write what has found it since. Faults that were found are not put in again. All lists are summed up in
`tests/studies/results/faults.md`. With --map the tests that run through the changed lines come first, the quickest of
each file before the next, each fault in a fork of one process that has collected them all. FOLDER holds .coverage of a
run of pytest with --cov-context=test, and durations.txt, its output with --durations=0.
"""

from __future__ import annotations

import argparse
import ast
import json
import os
import random
import re
import shutil
import sqlite3
import subprocess
import sys
import tempfile
from collections import defaultdict
from collections.abc import Iterator, Mapping
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path
from typing import Any

TOP = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(TOP / "tests"))

from studies.forked import Forks, with_forks
from studies.results import commit, keep

LISTS = TOP / "tests" / "studies" / "faults"

TURNED = {
    ast.Lt: ast.LtE, ast.LtE: ast.Lt, ast.Gt: ast.GtE, ast.GtE: ast.Gt, ast.Eq: ast.NotEq, ast.NotEq: ast.Eq,
    ast.In: ast.NotIn, ast.NotIn: ast.In, ast.Is: ast.IsNot, ast.IsNot: ast.Is,
}  # fmt: skip
OTHER_WAY = {ast.Lt: ast.Gt, ast.LtE: ast.GtE, ast.Gt: ast.Lt, ast.GtE: ast.LtE}
SWAPPED = {ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Div, ast.Div: ast.Mult}
ENDS = {"min": "max", "max": "min", "minimum": "maximum", "maximum": "minimum"}
LEFT_ALONE = ("demo", "sheets", "cli")  # invented data, and drawings that pictures of their own are tests of
SECONDS, MOST_FILES = 400, 6
NO_TESTS = 5  # what pytest ends with where a module has no examples
ENOUGH_SECONDS = 150.0  # of tests that run through a fault, as long as they took when they were mapped
TOOK = re.compile(r"([0-9.]+)s (?:call|setup|teardown) +(.+)")
BROKEN: list[str] = []  # tests that fail without a fault


@dataclass(frozen=True)
class Fault:
    """One change: where, what it does, and the whole text of the module with it."""

    file: str
    line: int
    what: str
    text: str
    many: int = 1  # lines that it is of

    @property
    def lines(self) -> range:
        """The lines that are changed."""
        return range(self.line, self.line + self.many)


def places(tree: ast.Module) -> Iterator[tuple[ast.AST, str]]:
    """Nodes that can be changed, each with what to do there."""
    skipped = {id(n) for of in ast.walk(tree) if isinstance(of, ast.JoinedStr) for n in ast.walk(of)}
    for of in ast.walk(tree):
        for name in ("annotation", "returns"):
            if (said := getattr(of, name, None)) is not None:
                skipped |= {id(n) for n in ast.walk(said)}
        if isinstance(of, ast.Raise | ast.Assert):
            skipped |= {id(n) for n in ast.walk(of)}
    for node in ast.walk(tree):
        if id(node) in skipped:
            continue
        if isinstance(node, ast.Compare) and len(node.ops) == 1:
            yield node, "edge"
            if type(node.ops[0]) in OTHER_WAY:
                yield node, "turn"
        elif isinstance(node, ast.BinOp) and type(node.op) in SWAPPED:
            yield node, "swap"
            yield node, "drop right"
            if isinstance(node.op, ast.Add | ast.Mult):
                yield node, "drop left"
        elif isinstance(node, ast.Constant) and type(node.value) in {int, float} and node.value not in {0, 1}:
            yield node, "a fifth"
        elif isinstance(node, ast.Call) and _called(node.func) in ENDS and len(node.args) > 1:
            yield node, "ends"
        elif isinstance(node, ast.BoolOp):
            for at in range(len(node.values)):
                yield node, f"drop condition {at + 1}"


def _called(func: ast.expr) -> str:
    """The last part of the name of what is called."""
    return func.attr if isinstance(func, ast.Attribute) else func.id if isinstance(func, ast.Name) else ""


def changed(node: ast.AST, how: str) -> ast.AST:
    """What stands in the node's place."""
    if isinstance(node, ast.Compare):
        turned = TURNED if how == "edge" else OTHER_WAY
        return ast.Compare(node.left, [turned[type(node.ops[0])]()], node.comparators)
    if isinstance(node, ast.BinOp):
        if how == "swap":
            return ast.BinOp(node.left, SWAPPED[type(node.op)](), node.right)
        return node.left if how == "drop right" else node.right
    if isinstance(node, ast.Constant):
        return ast.Constant(node.value + 1 if isinstance(node.value, int) else 1.2 * node.value)
    if isinstance(node, ast.BoolOp):
        at = int(how.rsplit(" ", 1)[1]) - 1
        rest = [value for i, value in enumerate(node.values) if i != at]
        return rest[0] if len(rest) == 1 else ast.BoolOp(node.op, rest)
    assert isinstance(node, ast.Call)
    name = ENDS[_called(node.func)]
    func = (
        ast.Attribute(node.func.value, name, ast.Load())
        if isinstance(node.func, ast.Attribute)
        else ast.Name(name, ast.Load())
    )
    return ast.Call(func, node.args, node.keywords)


def fault_at(file: str, source: str, node: ast.expr, how: str) -> Fault:
    """The fault, its text cut into the source so that lines keep their places."""
    lines = source.splitlines(keepends=True)
    starts = [0]
    for line in lines:
        starts.append(starts[-1] + len(line.encode()))
    raw = source.encode()
    first = starts[node.lineno - 1] + node.col_offset
    last = starts[(node.end_lineno or node.lineno) - 1] + (node.end_col_offset or 0)
    old, new = raw[first:last].decode(), ast.unparse(ast.fix_missing_locations(changed(node, how)))
    text = (raw[:first] + f"({new})".encode() + raw[last:]).decode()
    ast.parse(text)
    return Fault(file, node.lineno, f"{' '.join(old.split())} -> {new}", text)


def faults(many: int, seed: int, rooms: list[str]) -> list[Fault]:
    """So many faults, room by room in turn, each in a place of its own."""
    dice = random.Random(seed)
    by_room: dict[str, list[tuple[str, ast.expr, str]]] = defaultdict(list)
    sources = {}
    for path in sorted((TOP / "estimator").rglob("*.py")):
        file = path.relative_to(TOP).as_posix()
        room = file.split("/")[1]
        if room.endswith(".py") or (room in LEFT_ALONE and not rooms) or (rooms and room not in rooms):
            continue
        sources[file] = path.read_text("utf-8")
        for node, how in places(ast.parse(sources[file])):
            assert isinstance(node, ast.expr)
            by_room[room].append((file, node, how))
    for some in by_room.values():
        dice.shuffle(some)
    found, used = [], set()
    while len(found) < many and any(by_room.values()):
        for room in sorted(by_room):
            while by_room[room] and len(found) < many:
                file, node, how = by_room[room].pop()
                if (file, node.lineno) in used:
                    continue
                used.add((file, node.lineno))
                found.append(fault_at(file, sources[file], node, how))
                break
    return found


def tests_of(file: str, top: Path) -> tuple[list[str], list[str]]:
    """Test files that concern a module: the first of those named after it or speaking of it; the others of its room."""
    module, stem = file.removesuffix(".py").replace("/", "."), Path(file).stem
    room = file.split("/")[1]
    own, others, near = [], [], []
    for path in sorted((top / "tests").rglob("test_*.py")):
        if "house" in path.parts or "studies" in path.parts or path.name == "test_papers.py":
            continue
        text = path.read_text("utf-8")
        if path.stem == f"test_{stem}" or path.stem.startswith(f"test_{stem}_"):
            own.append((not text.count(module), path))
        elif module in text:
            others.append((room not in path.parts, path))
        elif room in path.relative_to(top).parts and "browser" not in path.stem:
            near.append(path)
    ordered = [path for _, path in sorted(own)] + [path for _, path in sorted(others)]
    first = [path.relative_to(top).as_posix() for path in ordered[:MOST_FILES]]
    rest = [path.relative_to(top).as_posix() for path in [*ordered[MOST_FILES:], *near]]
    return first, rest


@dataclass(frozen=True)
class LinesRun:
    """Which tests run through a line, and how long each takes, in seconds."""

    lines: Path  # a file of coverage.py, which is a database
    took: Mapping[str, float]

    @classmethod
    def of(cls, folder: Path) -> LinesRun:
        """What a run of the tests has left in a folder."""
        took = defaultdict[str, float](float)
        for line in (folder / "durations.txt").read_text("utf-8").splitlines():
            if told := TOOK.match(line.strip()):
                took[told[2]] += float(told[1])
        return cls(folder / ".coverage", took)

    def tests(self, file: str, lines: range) -> set[str]:
        """The tests that run through any of these lines of a module."""
        query = (
            "SELECT context, numbits FROM line_bits JOIN context ON context.id = context_id "
            "JOIN file ON file.id = file_id WHERE path LIKE ?"
        )
        with closing(sqlite3.connect(self.lines)) as connection:
            rows = connection.execute(query, (f"%/{file}",)).fetchall()
        run = {
            context
            for context, bits in rows  # bit k of byte n stands for line 8 n + k
            if any(line // 8 < len(bits) and bits[line // 8] >> line % 8 & 1 for line in lines)
        }
        return {context.rpartition("|")[0] for context in run} - {""}

    def through(self, fault: Fault) -> list[str]:
        """Tests that run through a fault: the quickest of each file, then the next of each, up to so many seconds."""
        by_file = defaultdict[str, list[str]](list)
        for test in sorted(self.tests(fault.file, fault.lines), key=lambda one: self.took.get(one, 0.0)):
            by_file[test.partition("::")[0]].append(test)
        turns = sorted(
            (n, self.took.get(one, 0.0), one) for of in by_file.values() for n, one in enumerate(of)
        )
        chosen, spent = [], 0.0
        for _, seconds, test in turns:
            if spent + seconds <= ENOUGH_SECONDS:
                chosen.append(test)
                spent += seconds
        return chosen


@dataclass(frozen=True)
class NearTests:
    """The tests that run through a fault, each fault in a fork of a process that has collected them."""

    lines: LinesRun
    forks: Forks

    def first_failed(self, fault: Fault) -> str:
        """The first of them that fails on a fault; empty where none does."""
        stem = Path(fault.file).stem
        since = [
            test
            for test in self.forks.items
            if f"{Path(test.partition('::')[0]).stem}_".startswith(f"test_{stem}_")
            and test not in self.lines.took
        ]  # written since the lines were mapped
        tests = [*since, *self.lines.through(fault)]
        return self.forks.first_failed(tests, fault.file, fault.text, SECONDS) or "" if tests else ""


def found_by(fault: Fault, top: Path, near: NearTests | None) -> str:
    """The first test that fails on a fault; empty where none does."""
    if near is not None and (found := near.first_failed(fault)):
        return found
    path = top / fault.file
    before = path.read_text("utf-8")
    first, rest = tests_of(fault.file, top)
    for tests in ([*first, fault.file], rest):  # its own examples too
        while tests:
            try:
                path.write_text(fault.text, "utf-8")
                failed = first_failed(tests, top)
            except subprocess.TimeoutExpired:
                return f"the clock: no end in {SECONDS} seconds"
            finally:
                path.write_text(before, "utf-8")
            if not failed:
                break
            if not first_failed([failed], top):
                return failed
            BROKEN.append(failed)  # it fails without a fault too, and tells nothing
    return ""


def first_failed(tests: list[str], top: Path) -> str:
    """The first of the tests that fails; empty where none does."""
    env = {**os.environ, "PYTHONPATH": str(top), "OMP_NUM_THREADS": "1", "OPENBLAS_NUM_THREADS": "1"}
    words = [
        sys.executable,
        "-m",
        "pytest",
        "-n",
        "0",
        "-q",
        "-x",
        "--tb=no",
        "-p",
        "no:cacheprovider",
        *tests,
    ]
    if not set(tests) & set(BROKEN):
        words += [f"--deselect={one}" for one in BROKEN]
    ran = subprocess.run(
        words, cwd=top, env=env, capture_output=True, text=True, timeout=SECONDS, check=False
    )
    named = [line.split(" ")[1] for line in ran.stdout.splitlines() if line.startswith(("FAILED", "ERROR"))]
    return named[0] if named else "" if ran.returncode in {0, NO_TESTS} else tests[0]


def by_hand(one: Mapping[str, Any]) -> Fault | None:
    """A fault of a list; None where its place is no longer there."""
    source = (TOP / one["file"]).read_text("utf-8") if (TOP / one["file"]).exists() else ""
    if source.count(one["old"]) != 1:
        return None
    line = source[: source.index(one["old"])].count("\n") + 1
    text = source.replace(one["old"], one["new"])
    ast.parse(text)
    return Fault(one["file"], line, one["why"], text, one["old"].count("\n") + 1)


def run_list(file: Path, top: Path, near: NearTests | None) -> None:
    """Puts the faults of a list in that were not found yet, and writes beside each what finds it."""
    made: list[dict[str, Any]] = json.loads(file.read_text("utf-8"))
    for n, one in enumerate(made, 1):
        if one.get("at_once") or one.get("since"):
            continue
        fault = by_hand(one)
        if fault is None:
            print(f"{n}. {one['file']}: its place is gone: {one['why']}", flush=True)
            continue
        by = found_by(fault, top, near)
        if "at_once" in one:
            one["since"] = by
        else:
            one["at_once"], one["commit"] = by, commit()
        print(f"{n}. {fault.file}:{fault.line}  {one['why']}\n    {by or 'NOT FOUND'}", flush=True)
        file.write_text(json.dumps(made, indent=1, ensure_ascii=False) + "\n", "utf-8")


def summed_up() -> list[str]:
    """All lists in lines: how many were found at once, and each fault with what finds it."""
    heads, lines = [], []
    for file in sorted(LISTS.glob("*.json")):
        made = [one for one in json.loads(file.read_text("utf-8")) if "at_once" in one]
        at_once, since = (sum(bool(one.get(key)) for one in made) for key in ("at_once", "since"))
        commits = " ".join(sorted({one["commit"] for one in made}))
        heads.append(
            f"{file.stem}: {at_once} of {len(made)} found at once (at {commits}), {since} more since"
        )
        for one in made:
            found = f"found by {one['at_once']}"
            if not one["at_once"]:
                found = f"not found at once; since by {one['since']}" if one.get("since") else "NOT FOUND"
                found += f" ({one['note']})" if one.get("note") else ""
            lines += ["", f"{file.stem}: {one['file']}: {one['why']}", f"    {found}"]
    return [*heads, *lines]


def copied(folder: str) -> Path:
    """A copy of the project in a folder."""
    top = Path(folder) / "project"
    shutil.copytree(TOP, top, ignore=shutil.ignore_patterns(".git", ".venv", ".*_cache", "__pycache__"))
    return top


def run_drawn(words: list[str], top: Path, near: NearTests | None) -> None:
    """Puts in faults that a machine draws; words: how many, the seed, and rooms."""
    many, seed = (int(word) for word in (*words[:2], *("30", "1")[len(words) :]))
    said, found = [], 0
    for n, fault in enumerate(faults(many, seed, words[2:]), 1):
        by = found_by(fault, top, near)
        found += bool(by)
        said.append(f"{fault.file}:{fault.line}  {fault.what}")
        said.append(f"    {'found by ' + by if by else 'NOT FOUND'}")
        print("\n".join(said[-2:]), f"[{found} of {n}]", flush=True)
        keep("mutants", str(seed), [f"{found} of {n} found", "", *said])


def main() -> None:
    """Puts faults in and prints what finds them."""
    parser = argparse.ArgumentParser()
    parser.add_argument("words", nargs="*", help="faults, seed and rooms; or lists of faults")
    parser.add_argument("--map", type=Path, help="a folder with .coverage and durations.txt")
    given = parser.parse_args()
    words: list[str] = given.words
    lists = [Path(word).resolve() for word in words if word.endswith(".json")]

    def put_in(near: NearTests | None) -> None:
        for file in lists:
            run_list(file, top, near)
        if not lists:
            run_drawn(words, top, near)

    with tempfile.TemporaryDirectory() as folder:
        top = copied(folder)
        if given.map:
            lines = LinesRun.of(given.map.resolve())
            with_forks(top, lambda forks: put_in(NearTests(lines, forks)))
        else:
            put_in(None)
    if lists:
        keep("faults", "none, by hand", summed_up())


if __name__ == "__main__":
    main()

"""Faults put in by a machine, one at a time: which of them do the tests find?

Run from the top of the project: python tests/studies/mutants.py [FAULTS] [SEED] [ROOM ...]

Draws so many places from the modules of the package, spread over its rooms, and at each does one of these: turns a
comparison round or lets it have its edge, drops a term, changes a number by a fifth (a whole one by one), swaps least
and most, drops a condition, swaps plus and minus or times and over. Docstrings, words that are printed and annotations
are left alone. The fault is put into a copy of the project; of the tests run those named after the module, then
those that speak of it, then all others of its room, until one fails. Prints each fault and the test that found it, and keeps that in
`tests/studies/results/mutants.md`. The project itself is never changed.
"""

from __future__ import annotations

import ast
import os
import random
import shutil
import subprocess
import sys
import tempfile
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

TOP = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(TOP / "tests"))

from studies.results import keep

TURNED = {
    ast.Lt: ast.LtE, ast.LtE: ast.Lt, ast.Gt: ast.GtE, ast.GtE: ast.Gt, ast.Eq: ast.NotEq, ast.NotEq: ast.Eq,
    ast.In: ast.NotIn, ast.NotIn: ast.In, ast.Is: ast.IsNot, ast.IsNot: ast.Is,
}  # fmt: skip
OTHER_WAY = {ast.Lt: ast.Gt, ast.LtE: ast.GtE, ast.Gt: ast.Lt, ast.GtE: ast.LtE}
SWAPPED = {ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Div, ast.Div: ast.Mult}
ENDS = {"min": "max", "max": "min", "minimum": "maximum", "maximum": "minimum"}
LEFT_ALONE = ("demo", "sheets", "cli")  # invented data, and drawings that pictures of their own are tests of
SECONDS, MOST_FILES = 400, 6
BROKEN: list[str] = []  # tests that fail without a fault


@dataclass(frozen=True)
class Fault:
    """One change: where, what it does, and the whole text of the module with it."""

    file: str
    line: int
    what: str
    text: str


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


def found_by(fault: Fault, top: Path) -> str:
    """The first test that fails on a fault; empty where none does."""
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
    return named[0] if named else "" if ran.returncode == 0 else tests[0]


def main() -> None:
    """Puts faults in and prints what finds them."""
    many, seed = (int(word) for word in (*sys.argv[1:3], *("30", "1")[len(sys.argv) - 1 :]))
    said, found = [], 0
    with tempfile.TemporaryDirectory() as folder:
        top = Path(folder) / "project"
        shutil.copytree(TOP, top, ignore=shutil.ignore_patterns(".git", ".venv", ".*_cache", "__pycache__"))
        for n, fault in enumerate(faults(many, seed, sys.argv[3:]), 1):
            by = found_by(fault, top)
            found += bool(by)
            said.append(f"{fault.file}:{fault.line}  {fault.what}")
            said.append(f"    {'found by ' + by if by else 'NOT FOUND'}")
            print("\n".join(said[-2:]), f"[{found} of {n}]", flush=True)
            keep("mutants", str(seed), [f"{found} of {n} found", "", *said])


if __name__ == "__main__":
    main()

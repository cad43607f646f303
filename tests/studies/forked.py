"""Faults put in by forking: tests are collected once, and each fault is a process in which code objects are swapped.

To start Python, import the package and collect tests takes seconds; a hundred faults by hand take some five minutes
this way, and an hour with a run of pytest for each. Only what stands in functions can be swapped: a fault elsewhere in
a module is left to the slow way, and so is one that no test near it finds.
"""

from __future__ import annotations

import gc
import importlib
import json
import os
import select
import signal
import sys
import time
import types
from collections import defaultdict
from collections.abc import Callable, Sequence
from pathlib import Path

import pytest

NOT_COLLECTED = ("tests/test_papers.py", "tests/house")
HEAVY = ("scipy.stats", "scipy.optimize", "matplotlib.backends.backend_svg", "statsmodels.api", "joblib")
ENDED = "no end"


def code_objects(
    code: types.CodeType, found: dict[str, list[types.CodeType]]
) -> dict[str, list[types.CodeType]]:
    """All code within a module's code, by qualified name, in the order of its text."""
    for inner in code.co_consts:
        if isinstance(inner, types.CodeType):
            found.setdefault(inner.co_qualname, []).append(inner)
            code_objects(inner, found)
    return found


def swap(functions: Sequence[types.FunctionType], path: Path, text: str) -> int:
    """Gives functions of a module the code of another text of it; returns how many got other code."""
    old, new = (
        code_objects(compile(of, str(path), "exec", dont_inherit=True), {})
        for of in (path.read_text("utf-8"), text)
    )
    swapped = 0
    for function in functions:
        here = function.__code__
        pairs = zip(old.get(here.co_qualname, []), new.get(here.co_qualname, []), strict=False)
        for before, after in pairs:
            if here == before and before != after and len(before.co_freevars) == len(after.co_freevars):
                function.__code__ = after
                swapped += 1
                break
    return swapped


class Forks:
    """A plugin of pytest that forks for each fault instead of running the tests.

    work: what is to be done once the tests are collected; it may call `first_failed`
    """

    def __init__(self, top: Path, work: Callable[[Forks], None]) -> None:
        """Nothing is collected yet."""
        self.top, self.work = top, work
        self.items: dict[str, pytest.Item] = {}
        self.functions = defaultdict[str, list[types.FunctionType]](list)
        self.broken: set[str] = set()  # tests that fail without a fault
        self.sound: set[str] = set()
        self._failed = ""

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        """Keeps the first test that fails."""
        if report.failed:
            self._failed = self._failed or report.nodeid

    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        """Does the work in the place of the tests."""
        self.items = {item.nodeid: item for item in session.items}
        for path in sorted((self.top / "estimator").rglob("*.py")):
            if path.stem != "__main__":
                name = path.relative_to(self.top).with_suffix("").as_posix().replace("/", ".")
                importlib.import_module(name.removesuffix(".__init__"))
        for name in HEAVY:
            importlib.import_module(name)
        gc.collect()
        for function in gc.get_objects():
            if isinstance(function, types.FunctionType):
                self.functions[function.__code__.co_filename].append(function)
        gc.freeze()
        self.work(self)
        return True

    def first_failed(self, tests: Sequence[str], file: str, text: str, seconds: float) -> str | None:
        """The first of the tests that fails with another text of a module.

        Empty where none fails, ENDED where they don't end in time, None where the text differs in no function.
        """
        while True:
            tests = [test for test in tests if test not in self.broken]
            found = self._forked(tests, file, text, seconds)
            if not found or found == ENDED or found in self.sound:
                return found
            if self._forked([found], file, "", seconds):
                self.broken.add(found)
                continue
            self.sound.add(found)
            return found

    def _forked(self, tests: Sequence[str], file: str, text: str, seconds: float) -> str | None:
        """The same, of tests that may fail without a fault; an empty text is the module as it is."""
        reading, writing = os.pipe()
        child = os.fork()
        if child == 0:
            os.setsid()
            os.close(reading)
            silence = os.open(os.devnull, os.O_RDWR)
            for stream in range(3):
                os.dup2(silence, stream)
            os.write(writing, json.dumps(self._run(tests, file, text)).encode())
            os._exit(0)
        os.close(writing)
        told, end = b"", time.monotonic() + seconds
        while (left := end - time.monotonic()) > 0 and select.select([reading], [], [], left)[0]:
            piece = os.read(reading, 65536)
            if not piece:
                break
            told += piece
        os.close(reading)
        os.killpg(child, signal.SIGKILL)
        os.waitpid(child, 0)
        return json.loads(told) if told else ENDED

    def _run(self, tests: Sequence[str], file: str, text: str) -> str | None:
        """What the child does."""
        path = self.top / file
        if text and not swap(self.functions[str(path)], path, text):
            return None
        items = [self.items[test] for test in tests if test in self.items]
        for item, after in zip(items, [*items[1:], None], strict=True):
            item.config.hook.pytest_runtest_protocol(item=item, nextitem=after)
            if self._failed:
                break
        return self._failed


def with_forks(top: Path, work: Callable[[Forks], None]) -> None:
    """Collects the tests of a copy of the project, and does some work with forks of it."""
    os.chdir(top)
    os.environ.update(PYTHONPATH=str(top), OMP_NUM_THREADS="1", OPENBLAS_NUM_THREADS="1")
    sys.path.insert(0, str(top))
    options = "addopts=-q --import-mode=importlib --doctest-modules"
    words = ["-n", "0", "-q", "--tb=no", "-p", "no:cacheprovider", "-o", options]
    pytest.main([*words, *(f"--ignore={one}" for one in NOT_COLLECTED)], plugins=[Forks(top, work)])

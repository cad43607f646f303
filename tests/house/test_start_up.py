"""Help and a range from a saved fit start quickly: they import nothing heavy. Counted in modules, not seconds."""

import os
import re
import subprocess
import sys

import pytest

HEAVY = {"pandas", "scipy", "sklearn", "statsmodels", "matplotlib"}
MODULE = re.compile(r"import time:\s+\d+ \|\s+\d+ \|\s*(\S+)")  # a line of python -X importtime


def imported(*words, folder, exit_code=0):
    """The top packages that a process of `python -m estimator` imports, and what it printed."""
    env = {name: value for name, value in os.environ.items() if name != "ESTIMATOR_SHOP"}
    done = subprocess.run(
        [sys.executable, "-X", "importtime", "-m", "estimator", *map(str, words)],
        cwd=folder,
        env={**env, "PYTHONPATH": os.pathsep.join(path for path in sys.path if path)},
        capture_output=True,
        text=True,
        encoding="utf-8",
        check=False,
    )
    assert done.returncode == exit_code, done.stderr
    return {name.partition(".")[0] for name in MODULE.findall(done.stderr)}, done.stdout


@pytest.fixture(scope="module")
def demo(tmp_path_factory):
    from estimator.demo.workshop import write_demo

    folder = tmp_path_factory.mktemp("start") / "demo"
    write_demo(folder)
    return folder


@pytest.mark.parametrize(
    "words",
    [
        ["--help"],
        ["range", "--help"],
        ["check", "--help"],
        ["demo", "--help"],
        ["new", "-h"],
        ["rules", "-h"],
        ["record", "-h"],
        ["told", "-h"],
        ["bench", "-h"],
        ["overruns", "-h"],
        ["looks", "-h"],
        ["sheet", "-h"],
        ["settings", "-h"],
    ],
)
def test_help_imports_nothing_heavy(words, tmp_path):
    packages, said = imported(*words, folder=tmp_path)

    assert "estimator" in packages
    assert not packages & (HEAVY | {"numpy", "rich"})
    assert said.startswith("Usage: estimator")


def test_a_range_from_a_saved_fit_imports_nothing_heavy(demo):
    words = ("range", "-q", "kind=major", "-q", "length=9-6", "-q", "spray_colours=2", "--shop", demo)
    first, said = imported(*words, folder=demo.parent)
    packages, again = imported(*words, folder=demo.parent)

    assert "scipy" in first
    assert "numpy" in packages
    assert not packages & HEAVY
    assert again == said
    assert "8 times in 10; half take more than" in said


def test_check_reads_the_log_without_anything_heavy(demo):
    packages, said = imported("check", "--shop", demo, folder=demo.parent)

    # the week in the settings is held against the weeks as they came, with NumPy; no country is named in its settings
    assert not packages & (HEAVY | {"holidays"})
    assert "lines used" in said

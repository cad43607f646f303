"""One thread of linear algebra each, in two processes on two cores; and no test fails because a machine is busy."""

import os

import hypothesis
import pytest

from estimator.cli import at_work

for name in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS"):
    os.environ.setdefault(name, "1")
os.environ.setdefault("MPLBACKEND", "Agg")

at_work.SILENT = 600.0  # what a command says while it works is no part of its answer on a slow machine

hypothesis.settings.register_profile(
    "house", deadline=None, suppress_health_check=[hypothesis.HealthCheck.too_slow]
)
hypothesis.settings.load_profile("house")


@pytest.fixture
def settings():
    """A workshop by hand."""
    from making.ranges import SETTINGS

    return SETTINGS


@pytest.fixture
def answer():
    """An answer by hand."""
    from making.ranges import ANSWER

    return ANSWER

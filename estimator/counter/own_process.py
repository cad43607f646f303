"""How a module of ours is run in a process of its own: with this very Python, and one thread for arithmetic."""

from __future__ import annotations

import os
import sys

ONE_THREAD = ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS", "VECLIB_MAXIMUM_THREADS")


def running(module: str, *words: str) -> tuple[str, ...]:
    """The command that runs a module with these words."""
    return (sys.executable, "-m", module, *words)


def surroundings() -> dict[str, str]:
    """The environment of such a process: it finds our package where this one did."""
    path = os.pathsep.join(place for place in sys.path if place)
    return {**os.environ, **dict.fromkeys(ONE_THREAD, "1"), "MPLBACKEND": "Agg", "PYTHONPATH": path}

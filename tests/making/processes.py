"""What another process says."""

import os
import subprocess
import sys


def said_by_others(code):
    """What the code prints, each text once, in processes that keep sets in different orders."""
    return {
        subprocess.run(
            [sys.executable, "-c", code], env={**os.environ, "PYTHONHASHSEED": seed},
            check=True, capture_output=True, text=True,
        ).stdout
        for seed in ("1", "2")
    }  # fmt: skip

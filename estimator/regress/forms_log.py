"""Work multiplies: log hours are a straight line in log drivers and yes/no columns."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from estimator.regress.columns import Drivers
from estimator.regress.mixture import Mixture
from estimator.regress.shrinkage import Lines, learn_lines

Array = NDArray[np.float64]

RIDGES = 256
ALL_SD = 0.8  # of the log size that all slopes share; its middle is 1 / √columns, in units of noise
EACH_SD = 1.2  # of each slope's own log size


@dataclass(frozen=True)
class LogLinear:
    """Ridges drawn from their prior, a size for each slope, weighed by their evidence."""

    drivers: Drivers
    lines: Lines

    @property
    def left_out(self) -> Mixture:
        """Past rows, each foretold from the others."""
        return self.lines.left_out

    def at(self, X: Array) -> Mixture:
        """Log hours of new rows."""
        return self.lines.at(self.drivers.logs(X))


def learn_log_linear(drivers: Drivers, X: Array, t: Array) -> LogLinear:
    """The form, from rows X and log hours t."""
    columns = len(drivers.kept)
    z = np.random.default_rng(0).standard_normal((RIDGES, columns + 1))  # the same for every table
    sizes = np.exp(ALL_SD * z[:, :1] + EACH_SD * z[:, 1:]) / np.sqrt(max(columns, 1))
    return LogLinear(drivers, learn_lines(drivers.logs(X), t, sizes))

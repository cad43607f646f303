"""The reference class: past hours, whatever the drivers."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from estimator.regress.columns import Drivers
from estimator.regress.mixture import Mixture
from estimator.regress.shrinkage import Lines, learn_lines

Array = NDArray[np.float64]


@dataclass(frozen=True)
class ReferenceClass:
    """Log hours as one normal of which neither middle nor spread is known."""

    lines: Lines

    @property
    def left_out(self) -> Mixture:
        """Past rows, each foretold from the others."""
        return self.lines.left_out

    def at(self, X: Array) -> Mixture:
        """Log hours of new rows."""
        return self.lines.at(np.zeros((len(X), 1)))


def learn_reference_class(_drivers: Drivers, _X: Array, t: Array) -> ReferenceClass:
    """The form, from log hours t alone."""
    return ReferenceClass(learn_lines(np.zeros((len(t), 1)), t, np.ones((1, 1))))

"""The forms that are averaged, with what is believed of each before a row is seen."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from estimator.regress.columns import Drivers
from estimator.regress.forms_additive import learn_additive
from estimator.regress.forms_log import learn_log_linear
from estimator.regress.forms_process import learn_process
from estimator.regress.mixture import Mixture, joined
from estimator.regress.reference_class import learn_reference_class
from estimator.regress.stacking import shares_of, stretch_of

Array = NDArray[np.float64]

FEW = 300  # rows that the slowest form learns from, and that all are judged on
LEAST = 1e-3  # share of a form that is kept for new rows


class Form(Protocol):
    """What every form knows of past rows and says of new ones, in log hours."""

    @property
    def left_out(self) -> Mixture:
        """Past rows, each foretold from the others."""

    def at(self, X: Array) -> Mixture:
        """New rows."""


@dataclass(frozen=True)
class Recipe:
    """A form to be learned."""

    name: str
    before: float  # what its share is believed to be, against the others
    learn: Callable[[Drivers, Array, Array], Form]
    added: float = 0.0  # median hours added before the logarithm: luck then grows less than the work does
    most: int | None = None  # rows


RECIPES = (
    Recipe("product", 2.0, learn_log_linear),
    Recipe("bent", 4.0, learn_process, most=FEW),
    Recipe("sum", 1.5, learn_additive),
    Recipe("even sum", 1.5, learn_additive, added=1.0),
    Recipe("past", 0.2, learn_reference_class),
)


@dataclass(frozen=True)
class Averaged:
    """Forms with their shares, and how far their ranges are stretched."""

    names: tuple[str, ...]
    shares: Array  # (forms,)
    stretch: tuple[float, float]  # below and above the median
    forms: tuple[Form, ...]
    added: tuple[float, ...]  # hours, for each form

    def at(self, X: Array) -> Mixture:
        """Log hours of new rows, before the stretch."""
        kept = np.flatnonzero(self.shares >= LEAST)
        told = [self.forms[i].at(X).with_added(self.added[i]) for i in kept]
        return joined(told, self.shares[kept] / self.shares[kept].sum())


def learn_average(X: Array, y: Array) -> Averaged:
    """The average of all forms, from rows X and hours y, above 0; beyond 300 rows in no order."""
    t = np.log(y)
    drivers = Drivers.learn(X, t)
    median = float(np.median(y))
    added = tuple(recipe.added * median for recipe in RECIPES)
    forms = tuple(
        recipe.learn(drivers, X[: recipe.most], np.log(y[: recipe.most] + more))
        for recipe, more in zip(RECIPES, added, strict=True)
    )
    few = slice(0, FEW)
    told = [form.left_out.rows(few).with_added(more) for form, more in zip(forms, added, strict=True)]
    shares = shares_of(
        np.stack([m.log_density(t[few]) for m in told], axis=1), np.array([r.before for r in RECIPES])
    )
    stretch = stretch_of(joined(told, shares).chance_below(t[few]))
    return Averaged(tuple(r.name for r in RECIPES), shares, stretch, forms, added)

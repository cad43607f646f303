"""A scikit-learn regressor for tables of hours: several forms averaged by how they foretell rows left out."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Protocol, Self

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import ndtri
from sklearn.base import BaseEstimator, RegressorMixin
from sklearn.utils import Tags, check_random_state
from sklearn.utils.validation import check_is_fitted, validate_data

from estimator.regress.additive_form import learn_additive
from estimator.regress.log_forms import Drivers, learn_log_linear, learn_reference_class
from estimator.regress.mixture import Array, Mixture, joined
from estimator.regress.process_form import learn_process
from estimator.regress.stretch import learn_stretch

PRIOR_ROWS = 1.0  # rows' worth of belief in the shares held beforehand
ROUNDS = 500


def shares_of(log_densities: Array, beforehand: Array, worth: float = PRIOR_ROWS) -> Array:
    """Shares of forms, shape (forms,), that make rows left out likeliest (Yao et al. 2018, Bayesian Analysis 13:917).

    `log_densities` has shape (rows, forms); `beforehand` are shares believed in before, worth so many rows. By
    expectation and maximisation, which keeps every share above 0.
    """
    density = np.exp(log_densities - log_densities.max(axis=1, keepdims=True))
    shares = beforehand / beforehand.sum()
    held = worth * shares
    for _ in range(ROUNDS):
        part = density * shares
        new = held + (part / part.sum(axis=1, keepdims=True)).sum(axis=0)
        new /= new.sum()
        if np.abs(new - shares).max() < 1e-9:
            break
        shares = new
    return np.asarray(shares)


def stretch_of(chances: Array) -> tuple[float, float]:
    """How far ranges should reach below and above the median, as factors, from where past rows fell in theirs.

    `chances` are of hours below each row's own, foretold without it. Thirty rows' worth of belief in 1 is lent.
    """
    return learn_stretch(ndtri(np.clip(chances, 1e-9, 1 - 1e-9)))


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


FEWEST = 5  # rows
MOST = 5_000  # rows learned from; of more, so many are drawn
FARTHEST = 700.0  # log hours, so that hours stay finite


class HoursRegressor(RegressorMixin, BaseEstimator):  # type: ignore[misc]  # sklearn tells no types
    """Hours of work from a plain table, with ranges; made for some dozens of rows.

    Five forms are learned: log hours on a straight line in log drivers (`product`); the same with smooth bends
    (`bent`); a sum of positive rates times drivers, with luck in proportion (`sum`) or more even (`even sum`), in which
    columns of 0 and 1 are factors; and past hours whatever the drivers (`past`). They are averaged with the shares
    that best foretell each past row from the others, and the result is stretched by how those rows fell in their
    ranges. A range never reaches below 0, and its points never cross.

    Parameters
    ----------
    random_state : int, RandomState or None
        Of `sample` where it is given none of its own. Fitting leaves nothing to chance, except which rows are
        learned from where there are more than 5,000.

    Attributes
    ----------
    shares_ : dict
        Shares of the forms, by name.
    stretch_ : (float, float)
        How much further ranges reach below and above the median than the forms say, on a log scale.
    n_features_in_, feature_names_in_
        As everywhere in scikit-learn.

    Raises
    ------
    ValueError
        From `fit` for fewer than five rows, a driver or hours below 0, or anything that is not a number.

    Examples
    --------
    >>> import numpy as np
    >>> length_m = np.array([1.8, 2.0, 2.1, 2.4, 2.7, 2.8, 2.9, 3.0])
    >>> repairs = np.array([3, 0, 2, 5, 1, 4, 2, 6])
    >>> hours = np.array([7.5, 4.0, 7.0, 12.0, 7.5, 11.0, 9.0, 15.5])
    >>> model = HoursRegressor().fit(np.column_stack([length_m, repairs]), hours)
    >>> bool(9 < model.predict([[2.6, 3]])[0] < 11)
    True
    >>> low, high = model.predict_interval([[2.6, 3]], odds=0.8)[0]
    >>> bool(low < 10 < high)
    True
    """

    def __init__(self, random_state: Any = None) -> None:
        self.random_state = random_state

    def fit(self, X: ArrayLike, y: ArrayLike) -> Self:
        """The regressor itself, having learned from past rows.

        Parameters
        ----------
        X : array or table of numbers, shape (rows, columns)
            Drivers, 0 or more; sorts as columns of 0 and 1; somebody's own estimate may be one of them.
        y : array, shape (rows,)
            Hours (or minutes, days), 0 or more.
        """
        checked: Any = validate_data(self, X, y, dtype=np.float64, y_numeric=True, ensure_min_samples=FEWEST)
        X, y = _fitting(checked[0], checked[1], getattr(self, "feature_names_in_", None))
        self.learned_ = learn_average(X, y)
        self.shares_ = dict(zip(self.learned_.names, self.learned_.shares.tolist(), strict=True))
        self.stretch_ = self.learned_.stretch
        return self

    def predict(self, X: ArrayLike) -> Array:
        """Median hours of new rows, shape (rows,)."""
        return np.asarray(self.predict_quantiles(X, [0.5])[:, 0])

    def predict_interval(self, X: ArrayLike, odds: float = 0.8) -> Array:
        """Ranges that hold the hours of new rows with the chance `odds`, shape (rows, 2): low and high, in hours."""
        if not 0 < odds < 1:
            raise ValueError(f"odds are {odds:g}. Odds lie between 0 and 1; 0.8 is 8 in 10.")
        return self.predict_quantiles(X, [(1 - odds) / 2, (1 + odds) / 2])

    def predict_quantiles(self, X: ArrayLike, probs: ArrayLike) -> Array:
        """Hours that new rows stay under with the chances `probs`, shape (rows, len(probs))."""
        wanted = np.atleast_1d(np.asarray(probs, dtype=float))
        if wanted.ndim != 1 or not wanted.size or not ((wanted > 0) & (wanted < 1)).all():
            raise ValueError(
                f"probs are {np.array2string(wanted)}. Give chances between 0 and 1, such as [0.1, 0.5, 0.9]."
            )
        points = self._told(X).quantiles(np.append(wanted, 0.5))
        return self._hours(points[:, :-1], points[:, -1:])

    def sample(self, X: ArrayLike, size: int = 1000, random_state: Any = None) -> Array:
        """Hours drawn for new rows, shape (rows, size)."""
        chance = check_random_state(self.random_state if random_state is None else random_state)
        rng = np.random.default_rng(chance.randint(2**31 - 1))
        told = self._told(X)
        return self._hours(told.draws(size, rng), told.quantiles(np.array([0.5])))

    def _told(self, X: ArrayLike) -> Mixture:
        """Log hours of new rows, before the stretch."""
        check_is_fitted(self)
        rows: Any = validate_data(self, X, dtype=np.float64, reset=False)
        _refuse_negative(rows, getattr(self, "feature_names_in_", None))
        return self.learned_.at(rows)

    def _hours(self, log_hours: Array, median: Array) -> Array:
        """Hours of log hours, stretched about the median."""
        off = log_hours - median
        off = off * np.where(off < 0, *self.stretch_)
        return np.asarray(np.exp(np.clip(median + off, -FARTHEST, FARTHEST)))

    def __sklearn_tags__(self) -> Tags:
        """What scikit-learn should know: neither drivers nor hours go below 0."""
        tags = super().__sklearn_tags__()
        tags.input_tags.positive_only = True
        tags.target_tags.positive_only = True
        return tags


def _fitting(X: Array, y: Array, names: NDArray[np.object_] | None) -> tuple[Array, Array]:
    """Rows to learn from, hours above 0; stops at negative ones."""
    _refuse_negative(X, names)
    if (y < 0).any():
        row = int(y.argmin())
        raise ValueError(
            f"Negative values in data: the time in row {row + 1} is {y[row]:g}. "
            "Times are 0 or more; correct the row or leave it out."
        )
    if len(y) > FEW:  # in no order, so that the first rows stand for all
        some = np.random.default_rng(0).permutation(len(y))[:MOST]
        X, y = X[some], y[some]
    y = y.astype(np.float64)
    least = y[y > 0].min() / 2 if y.any() else np.finfo(float).tiny
    return X, np.maximum(y, least)  # no time at all: half of the least that was written


def _refuse_negative(X: Array, names: NDArray[np.object_] | None) -> None:
    """Stops at the first driver below 0."""
    if (X < 0).any():
        row, column = np.argwhere(X < 0)[0]
        name = f"column {names[column]}" if names is not None else f"column {column + 1}"
        raise ValueError(
            f"Negative values in data: {name} is {X[row, column]:g} in row {row + 1}. "
            "Drivers are amounts, 0 or more; measure from another zero or leave the column out."
        )

"""Mixtures of Student's t on log hours: all that the forms say, and all that is made of it, is one of these."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy.special import gammaln, logsumexp, ndtri, stdtr, stdtrit

Array = NDArray[np.float64]

BLOCK = 2_000_000  # numbers held at a time
PARTS = ("weight", "place", "scale", "spare", "added")
NOTHING = 20.0  # logs below the rest that count as no hours
ROUNDS = 100  # to find a point in
HALVING = 40  # from which round on bounds are halved alone: a Newton step may creep between bounds far apart
CLOSE = 1e-8  # of the chance outside; one more of Newton's steps follows


@dataclass(frozen=True)
class Mixture:
    """For each row a weighted sum of Student's t of log(hours + added); all have shape (rows, parts)."""

    weight: Array
    place: Array
    scale: Array
    spare: Array  # degrees of freedom
    added: Array  # hours, 0 or more; with more, chances of less than nothing go to no hours at all

    @classmethod
    def of(cls, weight: Array, place: Array, scale: Array, spare: Array | float) -> Mixture:
        """A mixture; arguments are spread over rows and parts."""
        return cls(*(np.asarray(a) for a in np.broadcast_arrays(weight, place, scale, spare, 0.0)))

    def with_added(self, hours: float) -> Mixture:
        """The same, said of log(hours + added)."""
        return replace(self, added=np.full(self.place.shape, hours))

    def _logs(self, t: Array) -> Array:
        """Logs of hours and what is added, from log hours, one for each row."""
        with np.errstate(divide="ignore"):
            return np.logaddexp(t[:, None], np.log(self.added))

    def log_density(self, t: Array) -> Array:
        """Log densities of log hours t, one for each row."""
        return np.asarray(logsumexp(self.log_parts(t), b=self.weight, axis=1))

    def log_parts(self, t: Array) -> Array:
        """Log densities of log hours t under each part, shape (rows, parts)."""
        logs = self._logs(t)
        z = (logs - self.place) / self.scale
        half = self.spare / 2
        norm = gammaln(half + 0.5) - gammaln(half) - 0.5 * np.log(self.spare * np.pi)
        return np.asarray(
            norm - (half + 0.5) * np.log1p(z**2 / self.spare) - np.log(self.scale) + t[:, None] - logs
        )

    def chance_below(self, t: Array) -> Array:
        """Chances that log hours stay under t, one for each row."""
        return np.asarray(
            (self.weight * stdtr(self.spare, (self._logs(t) - self.place) / self.scale)).sum(axis=1)
        )

    def quantiles(self, probs: Array) -> Array:
        """Log hours that rows stay under with the chances `probs`, shape (rows, len(probs))."""
        order = np.argsort(probs, kind="stable")
        rows, parts = self.weight.shape
        step = max(1, BLOCK // max(1, parts * len(probs)))
        out = np.empty((rows, len(probs)))
        for start in range(0, rows, step):
            some = slice(start, start + step)
            out[some] = np.maximum.accumulate(_solve(self.rows(some), probs[order]), axis=1)
        back = np.empty_like(order)
        back[order] = np.arange(len(order))
        return np.asarray(out[:, back])

    def rows(self, some: slice | NDArray[np.intp]) -> Mixture:
        """Some of the rows."""
        return Mixture(*(getattr(self, part)[some] for part in PARTS))

    def moved(self, by: Array) -> Mixture:
        """The same about places that lie further by so much, one number for each row."""
        return replace(self, place=self.place + by[:, None])

    def draws(self, size: int, rng: np.random.Generator) -> Array:
        """Log hours drawn for each row, shape (rows, size)."""
        ends = self.weight.cumsum(axis=1)
        u = rng.random((len(ends), size)) * ends[:, -1:]
        part = np.minimum((u[:, :, None] >= ends[:, None]).sum(axis=2), ends.shape[1] - 1)
        _, place, scale, spare, added = (np.take_along_axis(getattr(self, p), part, axis=1) for p in PARTS)
        return _less(place + scale * rng.standard_t(spare), added)


def _solve(m: Mixture, probs: Array) -> Array:
    """Points at rising chances: Newton's steps between bounds that close in, halving where they leave them."""
    shape = (len(m.place), len(probs))
    ends = [
        _less(m.place + m.scale * stdtrit(m.spare, p), m.added) for p in (probs[0] / 2, (1 + probs[-1]) / 2)
    ]
    low = np.repeat(ends[0].min(axis=1), shape[1])
    high = np.repeat(ends[1].max(axis=1), shape[1])
    middle = (m.weight * _less(m.place, m.added)).sum(axis=1)
    p = np.tile(probs, shape[0])
    t = np.clip(np.repeat(middle, shape[1]), low, high)
    row = np.repeat(np.arange(shape[0]), shape[1])
    open_ = np.arange(t.size)  # places of points not found yet
    for turn in range(ROUNDS):
        one, at, wanted = m.rows(row[open_]), t[open_], p[open_]
        below = one.chance_below(at)
        off = below - wanted
        low[open_] = np.where(off <= 0, at, low[open_])
        high[open_] = np.where(off >= 0, at, high[open_])
        normal = ndtri(np.clip(below, 1e-15, 1 - 1e-15))
        slope = np.exp(one.log_density(at) + normal**2 / 2) * np.sqrt(2 * np.pi)
        step = at - (normal - ndtri(wanted)) / np.maximum(slope, 1e-300)
        inside = (step > low[open_]) & (step < high[open_]) & (turn < HALVING)
        found = np.abs(off) <= CLOSE * np.minimum(wanted, 1 - wanted)
        t[open_] = np.where(inside, step, np.where(found, at, (low[open_] + high[open_]) / 2))
        open_ = open_[~found & (high[open_] - low[open_] > 1e-12 * (1 + np.abs(at)))]
        if not open_.size:
            break
    return np.asarray(t.reshape(shape))


def joined(mixtures: Sequence[Mixture], shares: Sequence[float] | Array) -> Mixture:
    """One mixture of several, each with its share."""
    weight = np.concatenate([m.weight * share for m, share in zip(mixtures, shares, strict=True)], axis=1)
    return Mixture(weight, *(np.concatenate([getattr(m, p) for m in mixtures], axis=1) for p in PARTS[1:]))


def _less(logs: Array, added: Array) -> Array:
    """Log hours of logs with something added; held where nothing is left."""
    with np.errstate(divide="ignore", over="ignore"):
        least = np.where(added > 0, np.exp(-NOTHING), 0.0)
        return np.asarray(logs + np.log(np.maximum(-np.expm1(np.log(added) - logs), least)))


def weights_of(evidence: Array, left_out: Array) -> tuple[Array, Array]:
    """Weights of parts by their evidence, shape (parts,), and with each row left out, shape (rows, parts).

    `evidence` holds log densities of all rows (parts,), `left_out` those of each row given the others (rows, parts):
    what is left of the evidence when a row is taken away is the one less the other.
    """
    without = evidence - left_out
    return (
        np.exp(evidence - logsumexp(evidence)),
        np.exp(without - logsumexp(without, axis=1, keepdims=True)),
    )

"""Mixtures of Student's t on log hours: all that the forms say, and all that is made of it, is one of these."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import gammaln, logsumexp, ndtri, stdtr, stdtrit

Array = NDArray[np.float64]

BLOCK = 2_000_000  # numbers held at a time
ROUNDS = 80


@dataclass(frozen=True)
class Mixture:
    """For each row a weighted sum of Student's t; all four have shape (rows, parts)."""

    weight: Array
    place: Array
    scale: Array
    spare: Array  # degrees of freedom

    @classmethod
    def of(cls, weight: Array, place: Array, scale: Array, spare: Array | float) -> Mixture:
        """A mixture; arguments are spread over rows and parts."""
        return cls(*(np.asarray(a) for a in np.broadcast_arrays(weight, place, scale, spare)))

    def log_density(self, t: Array) -> Array:
        """Log densities of log hours t, one for each row."""
        return np.asarray(logsumexp(self.log_parts(t), b=self.weight, axis=1))

    def log_parts(self, t: Array) -> Array:
        """Log densities of log hours t under each part, shape (rows, parts)."""
        z = (t[:, None] - self.place) / self.scale
        half = self.spare / 2
        norm = gammaln(half + 0.5) - gammaln(half) - 0.5 * np.log(self.spare * np.pi)
        return np.asarray(norm - (half + 0.5) * np.log1p(z**2 / self.spare) - np.log(self.scale))

    def chance_below(self, t: Array) -> Array:
        """Chances that log hours stay under t, one for each row."""
        return np.asarray(
            (self.weight * stdtr(self.spare, (t[:, None] - self.place) / self.scale)).sum(axis=1)
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

    def rows(self, some: slice) -> Mixture:
        """Some of the rows."""
        return Mixture(self.weight[some], self.place[some], self.scale[some], self.spare[some])

    def moved(self, by: Array) -> Mixture:
        """The same about places that lie further by so much, one number for each row."""
        return Mixture(self.weight, self.place + by[:, None], self.scale, self.spare)

    def draws(self, size: int, rng: np.random.Generator) -> Array:
        """Log hours drawn for each row, shape (rows, size)."""
        ends = self.weight.cumsum(axis=1)
        u = rng.random((len(ends), size)) * ends[:, -1:]
        part = np.minimum((u[:, :, None] >= ends[:, None]).sum(axis=2), ends.shape[1] - 1)
        place, scale, spare = (
            np.take_along_axis(a, part, axis=1) for a in (self.place, self.scale, self.spare)
        )
        return np.asarray(place + scale * rng.standard_t(spare))


def _solve(m: Mixture, probs: Array) -> Array:
    """Points at rising chances: Newton's steps between bounds that close in, halving where they leave them."""
    ends = [m.place + m.scale * stdtrit(m.spare, p) for p in (probs[0], probs[-1])]
    shape = (len(m.place), len(probs))
    low = np.broadcast_to(ends[0].min(axis=1)[:, None], shape).copy()
    high = np.broadcast_to(ends[1].max(axis=1)[:, None], shape).copy()
    wanted = ndtri(probs)
    mean = (m.weight * m.place).sum(axis=1)
    sd = np.sqrt((m.weight * (m.scale**2 + (m.place - mean[:, None]) ** 2)).sum(axis=1))
    t = np.clip(mean[:, None] + sd[:, None] * wanted, low, high)
    w, spare = m.weight[:, None], m.spare[:, None]
    for _ in range(ROUNDS):
        z = (t[:, :, None] - m.place[:, None]) / m.scale[:, None]
        below = (w * stdtr(spare, z)).sum(axis=2)
        off = below - probs
        low, high = np.where(off <= 0, t, low), np.where(off >= 0, t, high)
        if np.all(
            (np.abs(off) < 1e-9 * np.minimum(probs, 1 - probs)) | (high - low < 1e-12 * (1 + np.abs(t)))
        ):
            break
        norm = np.exp(gammaln((spare + 1) / 2) - gammaln(spare / 2)) / np.sqrt(spare * np.pi)
        density = (w * norm * (1 + z**2 / spare) ** (-(spare + 1) / 2) / m.scale[:, None]).sum(axis=2)
        normal = ndtri(np.clip(below, 1e-15, 1 - 1e-15))
        slope = density * np.sqrt(2 * np.pi) * np.exp(normal**2 / 2)
        step = t - (normal - wanted) / np.maximum(slope, 1e-300)
        t = np.where((step > low) & (step < high), step, (low + high) / 2)
    return np.asarray(t)


def joined(mixtures: Sequence[Mixture], shares: Sequence[float] | Array) -> Mixture:
    """One mixture of several, each with its share."""
    return Mixture(
        np.concatenate([m.weight * share for m, share in zip(mixtures, shares, strict=True)], axis=1),
        *(
            np.concatenate([getattr(m, name) for m in mixtures], axis=1)
            for name in ("place", "scale", "spare")
        ),
    )


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

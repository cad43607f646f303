"""Chance for the invented workshop: the same draws from the same seed, on every machine."""

from __future__ import annotations

import math
import random
from collections.abc import Mapping, Sequence
from statistics import NormalDist
from typing import TypeVar

Face = TypeVar("Face")

STANDARD = NormalDist()
STEPS = 2**52  # so many equally likely numbers between 0 and 1, neither of them among them


class Dice:
    """Draws named by words: `Dice(7, "job", 12)` throws the same whatever else has been thrown.

    Only the whole-number source of the standard library is used, whose sequence is promised never to change;
    every law is drawn from it by its inverse.

    >>> Dice(7, "job", 12).uniform(0, 1) == Dice(7, "job", 12).uniform(0, 1)
    True
    """

    def __init__(self, *words: object) -> None:
        self._source = random.Random(" ".join(map(str, words)))  # noqa: S311 - invented boards, no secrets

    def unit(self) -> float:
        """A number between 0 and 1, never 0 and never 1."""
        return (self._source.getrandbits(52) + 0.5) / STEPS

    def uniform(self, low: float, high: float) -> float:
        """A number anywhere between low and high."""
        return low + (high - low) * self.unit()

    def happens(self, chance: float) -> bool:
        """True so often."""
        return self.unit() < chance

    def normal(self, mean: float, sd: float) -> float:
        """A normal draw."""
        return mean + sd * STANDARD.inv_cdf(self.unit())

    def times(self, log_sd: float, log_mean: float = 0.0) -> float:
        """A lognormal factor: its median is exp(log_mean)."""
        return math.exp(self.normal(log_mean, log_sd))

    def poisson(self, mean: float) -> int:
        """A count with the given mean."""
        left, count, chance = self.unit(), 0, math.exp(-mean)
        while left > chance:
            left -= chance
            count += 1
            chance *= mean / count
        return count

    def pick(self, weights: Mapping[Face, float]) -> Face:
        """One of the keys, each as often as its weight says; the weights need not add up to 1."""
        left = self.unit() * sum(weights.values())
        for face, weight in weights.items():
            left -= weight
            if left < 0:
                return face
        return next(reversed(list(weights)))

    def count(self, weights: Sequence[float]) -> int:
        """0, 1, 2 …, each as often as its weight says."""
        return self.pick(dict(enumerate(weights)))

    def shuffled(self, faces: Sequence[Face]) -> list[Face]:
        """The same things in a drawn order."""
        keys = [self.unit() for _ in faces]
        return [faces[n] for n in sorted(range(len(faces)), key=keys.__getitem__)]

"""A drying board on the scales: it loses weight quickly, then slowly, and so tells when it will be dry.

The weight so many days after a board was hung up is that of the dry board, and of the water left in it, which falls as
exp(-(days / time)^power). A board is called dry so many such times after it was hung up; how many, and how much water
a board of each grade holds, past boards tell.
"""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from estimator.bench.wait_cases import DRYING, WaitCases
from estimator.bench.waits import WaitLaw
from estimator.model.quantities import as_it_turned_out
from estimator.model.saved_fit import Array
from estimator.words.records import Log, WeightReading
from estimator.words.settings.schema import Settings

SCALE_SD_KG = 0.1  # of one weighing, on a bathroom or luggage scale [invented]
TIMES, TIMES_APART, BOARDS_APART = (
    3.6,
    0.25,
    0.15,
)  # until dry; log-sd between shops and between boards [invented]
POWER, POWER_SD, POWER_LOW, POWER_HIGH = 0.8, 0.2, 0.4, 1.2  # [invented]
WATER_KG, WATER_SD = (0.3, 0.6, 1.8, 4.5), 0.5  # by grade from dry to soaked; as a share [invented]
UNKNOWN_WATER_KG = (1.5, 1.5)  # mean and sd where the grade is none of these
BOARD_KG, BOARD_SD_KG = 6.0, 4.0  # a dry board, whatever its length
TELLING_KG = 1.0  # of water or lost so far, from which on the scales tell anything
FEWEST = 3  # weighings of a past board from which it tells of its curve, and boards of a grade of its water
PARTICLES = 4  # times as many draws are weighed as are kept
POINTS, DRAWS = 25, 300  # of the grid on which past boards are judged, and of luck at each point
SEEN_KG = 3 * 2**0.5 * SCALE_SD_KG  # lost between two weighings: three times the error of their difference

Weighed = Sequence[tuple[float, float]]  # days since the board was hung up, and kilograms
PastBoard = tuple[int | None, float, tuple[tuple[float, float], ...]]  # grade, days to dry, weighings


@dataclass(frozen=True)
class Scales:
    """What past boards on the scales tell.

    times, times_sd: log of how many times the curve's own a board takes until it is dry, and how unsure that is
    water: by grade the mean and the sd of the water in kilograms
    boards: how many past boards it rests on
    """

    times: float = float(np.log(TIMES))
    times_sd: float = float(np.hypot(TIMES_APART, BOARDS_APART))
    water: Mapping[int, tuple[float, float]] | None = None
    boards: int = 0

    @classmethod
    def of(cls, log: Log, settings: Settings, *, seed: int = 0) -> Scales:
        """The scales of a shop, learned from the boards that it weighed until they were dry."""
        return cls.from_past(tuple(_past_boards(log, settings)), seed)

    @classmethod
    @lru_cache(maxsize=4)
    def from_past(cls, past: tuple[PastBoard, ...], seed: int = 0) -> Scales:
        """The same from the boards alone; asked about the same ones again, as on most days of a look back, at once."""
        water = _water(past)
        rng = np.random.default_rng([seed, 14])
        grid = np.log(TIMES) + TIMES_APART * np.linspace(-3, 3, POINTS)
        chance = -0.5 * ((grid - np.log(TIMES)) / TIMES_APART) ** 2
        for grade, days, weighed in past:
            luck = rng.standard_normal((2, DRAWS))
            times = np.exp(grid[:, None] + BOARDS_APART * luck[0])
            power = np.broadcast_to(_powers(luck[1]), times.shape)
            fits = _log_fit(weighed, days / times, power, _held(water, grade))
            chance = chance + np.logaddexp.reduce(fits, axis=1)
        share = np.exp(chance - chance.max())
        share /= share.sum()
        middle = float((share * grid).sum())
        spread = float((share * (grid - middle) ** 2).sum())
        return cls(middle, float(np.hypot(spread**0.5, BOARDS_APART)), water, len(past))

    def dry_after(
        self,
        law: WaitLaw,
        weighed: Weighed,
        rng: np.random.Generator,
        n: int,
        *,
        grade: int | None,
        wet_for: float = 0.0,
        season: float = 1.0,
    ) -> Array:
        """So many draws, (n,), of the days from hanging up to dry, of a board known to have been wet for `wet_for`.

        law: of the board's grade, in summer; season: how many times as long it dries now

        Without a weighing, and where there is so little water that the scales cannot tell, the law stands alone. The
        share of draws up to today is the chance that it is dry already. A fall of less than .5 % in three days, as
        one would wait for with a good scale, is a few hundredths of a kilogram: too little for one weighing to show.
        """
        held = _held(self.water, grade)
        if not weighed or not self.tell(weighed, grade):
            return wet_for + season * law.draw_given(wet_for / season, rng, n)
        days = wet_for + season * law.draw_given(wet_for / season, rng, PARTICLES * n)
        luck = rng.standard_normal((2, len(days)))
        time = days / np.exp(self.times + self.times_sd * luck[0])
        fits = _log_fit(weighed, time, _powers(luck[1]), held)
        share = np.exp(fits - fits.max())
        at = (np.arange(n) + rng.random()) / n
        return rng.permutation(
            days[np.searchsorted(share.cumsum() / share.sum(), at).clip(max=len(days) - 1)]
        )

    def tell(self, weighed: Weighed, grade: int | None) -> bool:
        """Whether a board holds enough water, or has lost enough so far, for the scales to tell anything."""
        held, _ = _held(self.water, grade)
        return max(held, _lost(weighed) if weighed else 0.0) >= TELLING_KG

    def weigh_again(self, dry: Array, weighed: Weighed, *, grade: int | None, today: int) -> int:
        """In how many days to weigh next: when a loss since the last weighing can be seen, or the board may be dry.

        dry: draws of the days from hanging up to dry; today: days since then. A board that was not weighed yet is
        weighed at once: 0; one that was weighed today not before tomorrow.
        """
        if not weighed:
            return 0
        last, _ = max(weighed)
        soonest = int(last >= today)
        first_dry = max(int(np.ceil(np.quantile(dry, 0.1))) - today, soonest)
        time, power = dry / np.exp(self.times), np.full(len(dry), POWER)
        water = max(_held(self.water, grade)[0], _lost(weighed))
        for days in range(soonest, first_dry):
            if water * (_left(last, time, power) - _left(today + days, time, power)).mean() >= SEEN_KG:
                return days
        return first_dry


def weighed_since(
    log: Log, board: str, first: dt.date, last: dt.date | None = None
) -> list[tuple[float, float]]:
    """The weighings of a board from a day on, in their order: days since then, and kilograms."""
    return _since((one for one in log.weighings if one.board == board), first, last)


def _since(
    weighings: Iterable[WeightReading], first: dt.date, last: dt.date | None
) -> list[tuple[float, float]]:
    """Weighings of one board between two days, the last of them perhaps still to come."""
    return sorted(
        (float((one.date - first).days), one.weight_kg)
        for one in weighings
        if first <= one.date and (last is None or one.date <= last)
    )


def _lost(weighed: Weighed) -> float:
    """Kilograms lost from the first weighing to the last."""
    return min(weighed)[1] - max(weighed)[1]


def _left(days: float | Array, time: Array, power: Array) -> Array:
    """The share of the water that is left after so many days."""
    left: Array = np.exp(-((days / time) ** power))
    return left


def _powers(luck: Array) -> Array:
    """Powers of the curve, from standard normal draws."""
    powers: Array = np.clip(POWER + POWER_SD * luck, POWER_LOW, POWER_HIGH)
    return powers


def _log_fit(weighed: Weighed, time: Array, power: Array, water: tuple[float, float]) -> Array:
    """How well curves fit the weighings, as a log: dry board and water, normal beforehand, are integrated out.

    time, power: of each curve, any shape
    """
    noise, board, held = (sd**-2.0 for sd in (SCALE_SD_KG, BOARD_SD_KG, water[1]))
    a = np.full(np.shape(time), board)
    b, c, x, y = (np.zeros(np.shape(time)) for _ in range(4))
    c, x, y = c + held, x + BOARD_KG * board, y + water[0] * held
    for days, kg in weighed:
        left = _left(days, time, power)
        a, b, c = a + noise, b + noise * left, c + noise * left**2
        x, y = x + noise * kg, y + noise * left * kg
    det = a * c - b**2
    fit: Array = 0.5 * (c * x**2 - 2 * b * x * y + a * y**2) / det - 0.5 * np.log(det)
    return fit


def _held(water: Mapping[int, tuple[float, float]] | None, grade: int | None) -> tuple[float, float]:
    """Mean and sd of the water in a board of a grade, in kilograms."""
    if grade is None or not 0 <= grade < len(WATER_KG):
        return UNKNOWN_WATER_KG
    return (water or {}).get(grade, (WATER_KG[grade], WATER_SD * WATER_KG[grade]))


def _past_boards(log: Log, settings: Settings) -> list[PastBoard]:
    """Boards that were weighed often enough until they were dry: grade, days, weighings."""
    cases = WaitCases(log, settings)
    stage = settings.stages.get(cases.drying)
    modifier = next(iter(stage.wait_by), "") if stage else ""
    of_board = defaultdict(list)
    for weighing in log.weighings:
        of_board[weighing.board].append(weighing)
    past: list[PastBoard] = []
    for stood in cases.for_cause(DRYING):
        weighed = _since(of_board[stood.board], stood.first, stood.until)
        if stood.until is not None and len(weighed) >= FEWEST and stood.most >= 1:
            grade = as_it_turned_out(log.by_id[stood.board]).get(modifier)
            days = (max(stood.fewest, 1.0) * stood.most) ** 0.5
            past.append((None if grade is None else round(grade), days, tuple(weighed)))
    return past


def _water(past: Sequence[PastBoard]) -> dict[int, tuple[float, float]]:
    """By grade how much water past boards held: what they lost, and the little that is left when a board is dry."""
    lost = defaultdict(list)
    for grade, _, weighed in past:
        if grade is not None:
            lost[grade].append(max(_lost(weighed), SCALE_SD_KG) / (1 - np.exp(-(TIMES**POWER))))
    return {
        grade: (float(np.mean(kg)), float(max(np.std(kg, ddof=1), WATER_SD * np.mean(kg) / 2)))
        for grade, kg in lost.items()
        if len(kg) >= FEWEST
    }

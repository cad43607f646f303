"""The money of a quarter as one batten, true to length: where it is sawn, and where the numbers of its pieces stand."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from estimator.decide.quarter.review import QuarterMoney
from estimator.sheets.layouts.letters import letters_px
from estimator.words.money import say_money

HIGH = 26.0  # pixels: how high the batten is
CLEAR = 6.0
SLANT = 4.0  # pixels by which a saw cut leans


@dataclass(frozen=True, slots=True)
class MoneyPiece:
    """A piece of the batten: its ends in pixels, what it is, whether it is missing, and where its number stands."""

    left: float
    right: float
    words: str
    short: bool
    number_at: float


def money_px(wide_px: float) -> float:
    """How high the drawing is, in pixels: the whole above the batten, numbers below, then a line for each piece."""
    return 1.4 * letters_px(wide_px) * 5 + HIGH + 4 * CLEAR


def money_pieces(money: QuarterMoney, currency: str, wide_px: float) -> tuple[float, tuple[MoneyPiece, ...]]:
    """Where the batten ends, in pixels, and its pieces: the longer of what came in and went out fills the width."""
    spent = money.materials + money.rent
    each = (wide_px - 2) / max(money.came_in, spent, 1.0)
    pieces = [("materials", 0.0, money.materials), ("rent and power", money.materials, money.rent)]
    pieces.append(("left", spent, money.left) if money.left >= 0 else ("short", money.came_in, -money.left))
    middles = [(begin + amount / 2) * each for _, begin, amount in pieces]
    return money.came_in * each, tuple(
        MoneyPiece(
            begin * each,
            (begin + amount) * each,
            f"{name} {say_money(amount, currency)}",
            name == "short",
            at,
        )
        for (name, begin, amount), at in zip(
            pieces, _apart(middles, wide_px, letters_px(wide_px)), strict=True
        )
    )


def _apart(middles: Sequence[float], wide: float, size: float) -> list[float]:
    """Places for the pieces' numbers, rising: each under the middle of its piece, or as near to it as there is room.

    >>> _apart([5.0, 6.0, 99.0], 100.0, 10.0)
    [5.0, 15.0, 95.0]
    """
    places: list[float] = []
    for at in middles:
        places.append(max(at, places[-1] + size if places else size / 2))
    most = wide - size / 2
    for n in reversed(range(len(places))):
        places[n] = min(places[n], most)
        most = places[n] - size
    return places

"""What a log of the invented workshop comes to, measured from its records alone."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass

import numpy as np

from estimator.demo.workshop import DemoShop
from estimator.words.records import FINISHED, WAITING, Board

KINDS = ("major", "partial", "minor")


@dataclass(frozen=True)
class Sized:
    """One finished board with its hours."""

    board: Board
    hours: float
    stages: dict[str, float]

    @property
    def days(self) -> int:
        return (self.board.ready - self.board.started).days

    @property
    def days_from_yes(self) -> int:
        return (self.board.ready - self.board.accepted).days

    @property
    def pay(self) -> float | None:
        if self.board.materials is None:
            return None
        return (self.board.price_charged - self.board.materials) / self.hours

    @property
    def materials_share(self) -> float | None:
        return None if self.board.materials is None else self.board.materials / self.board.price_charged


MEASURES = {
    "hours": lambda s: s.hours,
    "days": lambda s: s.days,
    "days from yes": lambda s: s.days_from_yes,
    "price": lambda s: s.board.price_quoted,
    "pay": lambda s: s.pay,
    "materials": lambda s: s.materials_share,
    "over the guess": lambda s: s.hours / s.board.guess,
}


def sized(shop: DemoShop) -> list[Sized]:
    """Finished boards; hours are those booked, or the total where there is one."""
    stages: dict[str, dict[str, float]] = defaultdict(lambda: defaultdict(float))
    for entry in shop.log.entries:
        stages[entry.board][entry.stage] += entry.hours
    return [
        Sized(board, board.total_hours or sum(stages[board.board].values()), dict(stages[board.board]))
        for board in shop.log.boards
        if board.state == FINISHED
    ]


def medians(boards: list[Sized]) -> dict[tuple[str, str], float]:
    """Median of each measure by kind."""
    return {
        (kind, name): float(
            np.median([v for s in boards if s.board.kind == kind if (v := measure(s)) is not None])
        )
        for kind in KINDS
        for name, measure in MEASURES.items()
    }


def in_hand(shop: DemoShop) -> tuple[int, int, int]:
    """How many boards are on the bench, on the rack to dry, and in line on the last day."""
    waiting = sum(board.state == WAITING for board in shop.log.boards)
    begun = {
        board.board
        for board in shop.log.boards
        if board.started and not board.ready and board.state != "withdrawn"
    }
    drying = {wait.board for wait in shop.log.waits if wait.cause == "drying" and wait.until is None} & begun
    looked_dry = {entry.board for entry in shop.log.entries if entry.note == "dry"}
    drying -= looked_dry
    return len(begun - drying), len(drying), waiting


def cases(shop: DemoShop) -> defaultdict[str, list[float]]:
    """What each rule of thumb speaks of, from the records, by the rule's name; hours, days, or 1 for yes."""
    boards = sized(shop)
    found: dict[str, list[float]] = defaultdict(list)
    further = defaultdict(float)
    for entry in shop.log.entries:
        if entry.stage == "spray" and entry.note in {"second colour", "third colour", "fourth colour"}:
            further[entry.board, entry.note] += entry.hours
    done = {s.board.board for s in boards}
    found["each further colour"] = [hours for (board, _), hours in further.items() if board in done]
    for s in boards:
        x = {**s.board.assessed, **s.board.found}
        long = 8.5 <= s.board.length_m / 0.3048 <= 10.5
        for name, stage, speaks, per in (
            ("first colour", "spray", x["spray_colours"] == 1, 1),
            ("strip a long board", "strip", long and x["sides_stripped"] == 2, 1),
            ("let in a piece", "infill", x.get("infills", 0) > 0, x.get("infills", 0)),
            ("glass a long board", "laminate", long and x["sides_stripped"] == 2, 1),
            ("redraw a logo", "logos", x["logos"] > 0, x["logos"]),
            ("new single fin", "fins", x["fins_made"] == 1, 1),
            ("sanding a long board", "sand", long and x["sides_coated"] == 2, 1),
        ):
            if speaks and stage in s.stages:
                found[name].append(s.stages[stage] / per)
        if s.board.kind == "major":
            if long and x["spray_colours"] == 2:
                found["long board in two colours"].append(s.hours)
            found["start to ready"].append(s.days)
            found["something nasty"].append(_hidden(s.board, shop))
    wet = {b.board for b in shop.log.boards if b.found.get("wetness", 0) >= 2}
    found["drying when properly wet"] = [
        (wait.until - wait.first).days
        for wait in shop.log.waits
        if wait.cause == "drying" and wait.until and wait.board in wet
    ]
    return found


def _hidden(board: Board, shop: DemoShop) -> bool:
    """Whether more work was found than was seen and asked for since; conditions are no work."""
    return any(
        value > board.assessed.get(name, 0.0) + board.later.get(name, 0.0)
        for name, value in board.found.items()
        if name not in shop.settings.modifiers
    )

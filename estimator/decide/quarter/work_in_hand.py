"""The work in hand at the end of a quarter: hours so far and to come, and by when each board will be ready."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from estimator.bench.outlook import Outlook
from estimator.bench.promises import Dates
from estimator.forecast.answers import answer
from estimator.forecast.calibration import UNSTRETCHED, Stretch
from estimator.forecast.ranges import Spread
from estimator.model.saved_fit import KnownBoard, SavedFit
from estimator.words.errors import NoAnswerError
from estimator.words.json_form import HIDDEN, JsonForm, json_fields, named
from estimator.words.records import IN_HAND, STOPPED, Log, WithName, price_told
from estimator.words.settings.schema import Settings


@dataclass(frozen=True, slots=True)
class WorkInHand(WithName, JsonForm):
    """A board that is taken on and not ready.

    so_far: hours booked; hours: of the whole board, 8 times in 10, None where neither rules nor log can tell
    ready: 8 times in 10, None where no date can be given; price: quoted
    on: where it stands as the bench has it: bench, rack or queue; empty where the days to come cannot be told
    told: last date of the first telling, None where none was; late: whether it is past
    """

    board: str
    called: str
    kind: str
    state: str
    so_far: float = field(metadata=named("hours_so_far"))
    hours: Spread | None
    ready: Dates | None
    price: float | None
    told: dt.date | None
    late: bool
    on: str = ""
    known: str = field(default="", metadata=HIDDEN)  # by what it is known without a short name

    @property
    def stopped(self) -> bool:
        """Whether it waits for an answer."""
        return self.state == STOPPED

    @property
    def left(self) -> Spread | None:
        """Hours still to work, 8 times in 10."""
        if self.hours is None:
            return None
        low, likely, high = (
            max(end - self.so_far, 0.0) for end in (self.hours.low, self.hours.likely, self.hours.high)
        )
        return Spread(low, likely, high)

    def _json(self) -> dict[str, Any]:
        # by hand: the hours still to work follow from those of the whole board
        said = json_fields(self)
        told = {name: said.pop(name) for name in ("ready", "price", "told", "late")}
        return {**said, "hours_left": self.left, **told}


@dataclass(frozen=True, slots=True)
class AllInHand:
    """All boards in hand; no_dates: why no dates can be given, empty where they can."""

    boards: tuple[WorkInHand, ...]
    no_dates: str = ""


def in_hand_of(
    log: Log,
    settings: Settings,
    fit: SavedFit,
    outlook: Outlook | None,
    *,
    today: dt.date,
    stretch: Stretch = UNSTRETCHED,
    seed: int = 0,
) -> tuple[WorkInHand, ...]:
    """The boards in hand, those ready soonest first, those without a date last.

    log, fit, outlook: as of `today`, the day that is looked at; outlook: None where the days to come cannot be told
    """
    booked: dict[str, float] = defaultdict(float)
    for entry in log.entries:
        booked[entry.board] += entry.hours
    known = {board.board: board for board in fit.boards}
    dates = _dates(outlook, today)
    stands = {} if outlook is None else {job.board: job.place for job in outlook.jobs}
    found = []
    for board in log.boards:
        if board.state not in IN_HAND:
            continue
        ready, told = dates.get(board.board, (None, None))
        found.append(
            WorkInHand(
                board=board.board,
                called=board.called,
                known=board.known,
                kind=board.kind,
                state=board.state,
                so_far=booked[board.board],
                hours=_hours(known.get(board.board), settings, fit, stretch, seed),
                ready=ready,
                price=price_told(board, log.told) if board.price_charged is None else board.price_charged,
                told=told,
                late=told is not None and told < today,
                on=stands.get(board.board, ""),
            )
        )
    return tuple(sorted(found, key=lambda b: (b.ready.high if b.ready else dt.date.max, b.board)))


def _hours(
    board: KnownBoard | None, settings: Settings, fit: SavedFit, stretch: Stretch, seed: int
) -> Spread | None:
    """Hours of the whole board; None where neither rules nor log can tell."""
    if board is None:
        return None
    try:
        said = answer(fit, board, settings, seed=seed, stretch=stretch)
    except NoAnswerError:
        return None
    return Spread(said.low, said.likely, said.high)


def _dates(outlook: Outlook | None, today: dt.date) -> Mapping[str, tuple[Dates, dt.date | None]]:
    """By board the days on which it will be ready, and the last date of the first telling."""
    if outlook is None or not outlook.boards:
        return {}
    try:
        ready = outlook.days.ready
    except NoAnswerError:
        return {}
    told = outlook.told
    return {
        board.board: (
            outlook.to_tell(board.board, ready[at], today),
            told[board.board].first_last if board.board in told else None,
        )
        for at, board in enumerate(outlook.boards)
    }

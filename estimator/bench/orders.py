"""In which order boards are worked, who is taken out of turn, and boards that nobody has asked for yet."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from estimator.bench.jobs import QUEUE, Job
from estimator.log.tellings import with_rows
from estimator.model.saved_fit import Array
from estimator.words.records import Board, Entry, Log, Told

RARELY = (0.5, 4.5)  # out of turn and in turn: one board in ten, worth five [invented]


def first_promised_first(
    promised: Sequence[dt.date | None], accepted: Sequence[dt.date | None]
) -> NDArray[np.int64]:
    """The rank of each board, 0 first, by the last date told; then by the day on which it was taken on.

    A board whose owner was told no date comes after those whose owners were.

    >>> told, taken = [None, dt.date(2026, 6, 1), dt.date(2026, 5, 1)], [dt.date(2026, 1, 1), None, None]
    >>> first_promised_first(told, taken).tolist()
    [2, 1, 0]
    """
    late = dt.date.max
    keys = [(p or late, a or late) for p, a in zip(promised, accepted, strict=True)]
    at = sorted(range(len(keys)), key=lambda i: keys[i])
    ranks = np.empty(len(keys), dtype=np.int64)
    ranks[at] = np.arange(len(keys))
    return ranks


def with_first(ranks: NDArray[np.int64], boards: Sequence[Board], first: Sequence[str]) -> NDArray[np.int64]:
    """The ranks of boards where some, by their ids, come before all others, in the order given.

    >>> with_first(np.array([0, 1, 2]), [Board("a"), Board("b"), Board("c")], ["c"]).tolist()
    [1, 2, 0]
    """
    at = sorted(
        range(len(boards)),
        key=lambda i: (first.index(boards[i].board) if boards[i].board in first else len(first), ranks[i]),
    )
    moved = np.empty(len(boards), dtype=np.int64)
    moved[at] = np.arange(len(boards))
    return moved


def first_days(tellings: Iterable[Told], boards: Iterable[Board]) -> list[dt.date | None]:
    """The last date of all that each board's owner was told first, None where none was.

    What an owner asks for later starts a promise of its own, but the board keeps its place in line: given anew, the
    place would be the last, and the day just worked out from the old place could not be kept.

    >>> may, june = dt.date(2026, 5, 4), dt.date(2026, 6, 1)
    >>> said = [Told("a", may, last=june), Told("a", june, last=dt.date(2026, 9, 1), because="asked later")]
    >>> first_days(said, [Board("a"), Board("b")])
    [datetime.date(2026, 6, 1), None]
    """
    boards = tuple(boards)
    first: dict[str, dt.date] = {}
    for telling in with_rows(tellings, boards):
        if telling.last is not None:
            first.setdefault(telling.board, telling.last)
    return [first.get(board.board) for board in boards]


def out_of_turn(boards: Iterable[Board]) -> Mapping[str, tuple[float, float]]:
    """By sort of job how many boards were begun before one that had been taken on earlier, and how many were not.

    Both are the weights of a beta law, with what is held beforehand. Boards that found nobody in line say nothing.

    >>> day = lambda n: dt.date(2026, 5, n)
    >>> first = Board("a", kind="major", accepted=day(1), started=day(20))
    >>> quick = Board("b", kind="minor", accepted=day(3), started=day(5))
    >>> out_of_turn([first, quick])["minor"]
    (1.5, 4.5)
    """
    known = [(b.kind, b.accepted, b.started or dt.date.max) for b in boards if b.accepted]
    weights: dict[str, list[float]] = defaultdict(lambda: [*RARELY])
    for kind, accepted, started in known:
        line = [begun for _, earlier, begun in known if earlier < accepted < begun]
        if line and started != dt.date.max:
            weights[kind][0 if max(line) > started else 1] += 1
    return {kind: (yes, no) for kind, (yes, no) in weights.items()}


LOOKED_BACK = 730  # days of which the comings count
SITTING = 2.25  # hours that a board has on one of its days [measured]
MOST = 16  # boards that are expected at most


@dataclass(frozen=True)
class Comings:
    """How boards came, and the past ones that others will be like.

    came, within: boards, and the days in which they came: their rate is a gamma law
    hours, days: of each past board, its hours and the days on which it was worked; kinds: its sort of job
    """

    came: int
    within: float
    hours: Array
    days: NDArray[np.int64]
    kinds: tuple[str, ...]

    @property
    def gap(self) -> float:
        """Days between one and the next, about."""
        return self.within / self.came

    def jobs(
        self, until: float, chances: Mapping[str, tuple[float, float]], n_draws: int, seed: int
    ) -> tuple[list[Job], NDArray[np.bool_]]:
        """Boards that come within so many days, and by job and draw whether they are taken out of turn.

        Each comes after the one before by an exponential gap, and is like a past board: its hours in as many
        sessions as days it was worked on. The first of them are the same for more days.
        """
        n = min(int(np.ceil(until / self.gap)), MOST)
        gaps, sorts, turns, rates = np.random.default_rng([seed, 17]).spawn(4)
        rate = rates.gamma(self.came, 1 / self.within, n_draws)
        comes = np.cumsum(gaps.exponential(1.0, (n, n_draws)) / rate, axis=0)
        like = sorts.integers(0, len(self.hours), (n, n_draws))
        yes, no = np.array([chances.get(kind, RARELY) for kind in self.kinds]).T
        ahead = turns.random((n, n_draws)) < (yes / (yes + no))[like]
        one = np.zeros((1, 1), dtype=bool)
        jobs = [
            Job(
                board=f"to come {i + 1}",
                stages=("work",),
                hours=self.hours[like[i]][None, :],
                waits=np.zeros((1, n_draws)),
                after=one,
                sessions=self.days[like[i]][None, :],
                rack=np.zeros(1, dtype=bool),
                free=np.zeros((1, n_draws)),
                seasonal=np.zeros(1, dtype=bool),
                place=QUEUE,
                first=comes[i],
            )
            for i in range(n)
        ]
        return jobs, ahead


def comings(log: Log, day: dt.date, left: Mapping[str, float], week: float) -> Comings | None:
    """How boards came in the two years before a day; None where none was taken on.

    left: hours still to work, about, of boards in hand, by id; week: hours of a week

    Boards in hand are among those that others will be like, for of the first ones only quick ones are finished. To the
    days since the first those are added in which one board is worked, for a shop has about as many as it can work; and
    no more are expected than that, whenever those in hand were written down.
    """
    rows: dict[str, list[Entry]] = defaultdict(list)
    for entry in log.entries:
        if entry.hours > 0:
            rows[entry.board].append(entry)
    taken = [b for b in log.boards if b.accepted and 0 < (day - b.accepted).days <= LOOKED_BACK]
    taken.sort(key=lambda b: (b.accepted or day, b.board))
    past = [b for b in taken if (b.finished and rows[b.board]) or left.get(b.board, 0.0) > 0]
    if not past or not week:
        return None
    hours = np.array([sum(e.hours for e in rows[b.board]) + left.get(b.board, 0.0) for b in past])
    days = np.array(
        [len({e.last for e in rows[b.board]}) + np.ceil(left.get(b.board, 0.0) / SITTING) for b in past]
    )
    since = max((day - min(b.accepted for b in taken if b.accepted)).days, 1)
    usual = 7 * float(hours.mean()) / week
    return Comings(
        len(taken),
        max(since + usual, len(taken) * usual),
        hours,
        days.astype(np.int64),
        tuple(b.kind for b in past),
    )

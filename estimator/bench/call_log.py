"""Whom it was said to ring, about what and on which days: for the first time only, never twice for the same reason."""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from estimator.bench.promises import IN_DANGER, BenchDay, Promise, Ring, Worse
from estimator.log.cache import change, kept
from estimator.log.steps.ringing import IN_TURN, AnsweredRing
from estimator.words.kept_form import result_from_json, result_to_json
from estimator.words.records import Board, Entry

MOST_A_DAY = 3  # owners to ring on one day because their date is in danger: more are not rung
A_WEEK = 7  # days by which a board became later from which it is spoken of first
DAYS_KEPT = 14  # days of which it is kept by when boards were to be ready

# board, reason, the day that it is about (the date told, ready since, waiting since), and the day on which it was said
Said = frozenset[tuple[str, str, str, str]]
NOTHING_SAID: Said = frozenset()


def rung_once(day: BenchDay, said: Said) -> tuple[BenchDay, Said]:
    """The day with only those to ring of whom it is the first time, the others beside them; and all that is said now.

    What was said on the same day is said again, so that a day asked twice answers the same; what was said on later
    days counts for nothing. Another date told, or another reason, is another matter.

    >>> from estimator.bench.promises import Ring
    >>> ring = Ring("26-014", "club board", "ready", about=dt.date(2026, 6, 8))
    >>> day = BenchDay(dt.date(2026, 6, 9), dt.date(2026, 6, 8), (), (ring,), (), (), None, dt.date(2026, 6, 16))
    >>> first, said = rung_once(day, NOTHING_SAID)
    >>> [one.board for one in rung_once(first, said)[0].ring]
    ['26-014']
    >>> next_day, _ = rung_once(replace(day, today=dt.date(2026, 6, 10)), said)
    >>> next_day.ring, next_day.rung_already[0].said
    ((), datetime.date(2026, 6, 9))
    """
    today = day.today.isoformat()
    now: list[Ring] = []
    already, later, more = [], [], set(said)
    for ring in day.ring:
        matter = (ring.board, ring.why, ring.about.isoformat() if ring.about else "")
        days = {one[3] for one in said if one[:3] == matter}
        before = [one for one in days if one < today]
        if before and today not in days:
            already.append(replace(ring, said=dt.date.fromisoformat(min(before))))
        elif ring.why == IN_DANGER and sum(one.why == IN_DANGER for one in now) >= MOST_A_DAY:
            later.append(ring)
        else:
            now.append(ring)
            more.add((*matter, today))
    return replace(day, ring=tuple(now), rung_already=tuple(already), ring_later=tuple(later)), frozenset(
        more
    )


def unanswered(day: BenchDay, answers: Iterable[AnsweredRing]) -> BenchDay:
    """The day with those to ring whose matter nobody has answered, three in danger at most: until then they stay.

    Another date told, or another reason, is another matter. What was answered stands under those rung already, with
    the day of the answer.

    >>> from estimator.bench.promises import Ring
    >>> ring = Ring("26-014", "club board", "ready", about=dt.date(2026, 6, 8))
    >>> day = BenchDay(dt.date(2026, 6, 9), dt.date(2026, 6, 8), (), (ring,), (), (), None, dt.date(2026, 6, 16))
    >>> rung = AnsweredRing("26-014", "ready", dt.date(2026, 6, 8), "told", dt.date(2026, 6, 9))
    >>> len(unanswered(day, []).ring), unanswered(day, [rung]).ring
    (1, ())
    """
    on = {}
    for one in answers:  # what is taken back is open again
        on[one.board, one.why, one.about] = one.on if one.answer != IN_TURN else None
    on = {matter: day for matter, day in on.items() if day}
    now: list[Ring] = []
    already, later = [], []
    for ring in (*day.ring, *day.ring_later, *day.rung_already):
        if (ring.board, ring.why, ring.about) in on:
            already.append(replace(ring, said=on[ring.board, ring.why, ring.about]))
        elif ring.why == IN_DANGER and sum(one.why == IN_DANGER for one in now) >= MOST_A_DAY:
            later.append(ring)
        else:
            now.append(replace(ring, said=None))
    return replace(day, ring=tuple(now), rung_already=tuple(already), ring_later=tuple(later))


def said_to_json(said: Iterable[tuple[str, str, str, str]]) -> str:
    """What was said, as JSON text."""
    return json.dumps(sorted(said))


def said_from_json(text: str) -> Said:
    """What a text says was said; of any other text nothing.

    >>> said_from_json('[["26-014", "ready", "2026-06-08", "2026-06-09"]]') == said_from_json("nonsense")
    False
    """
    try:
        rows = [tuple(row) for row in json.loads(text)]
        for *matter, day in rows:
            dt.date.fromisoformat(day)
            if len(matter) != 3 or not all(isinstance(one, str) for one in matter):
                return NOTHING_SAID
    except (ValueError, TypeError):
        return NOTHING_SAID
    return frozenset((board, why, about, day) for board, why, about, day in rows)


@dataclass(frozen=True, slots=True)
class LookedAt:
    """A board in hand as it was when one looked.

    ready: the day by which it was to be ready, 9 times in 10; found, later: what was written of it then
    why: what it stood for
    """

    ready: dt.date
    found: Mapping[str, float]
    later: Mapping[str, float]
    why: str

    @classmethod
    def of(cls, promise: Promise, board: Board | None) -> LookedAt:
        """A board as it is now."""
        known = Board(promise.board) if board is None else board
        return cls(promise.ready.high, dict(known.found), dict(known.later), promise.why)


Looked = Mapping[str, Mapping[str, LookedAt]]  # by ISO day and board


def became_later(
    day: BenchDay, boards: Sequence[Board], looked: Looked, entries: Sequence[Entry] = ()
) -> tuple[BenchDay, Looked]:
    """The day with the boards that became a week or more later since the last day looked at; and all looked at now.

    Dates, and what was written, are compared with the last day before this one on which the bench was asked.
    entries: all hours that are written down
    """
    by_id, today = {board.board: board for board in boards}, day.today.isoformat()
    now = {p.board: LookedAt.of(p, by_id.get(p.board)) for p in day.promises}
    last = max((one for one in looked if one < today), default=None)
    then = looked[last] if last is not None else {}
    worked = {
        entry.board
        for entry in entries
        if last is not None and (entry.until or entry.date).isoformat() >= last
    }
    worse = []
    for promise in day.promises:
        name = promise.board
        if name not in then or (late := (now[name].ready - then[name].ready).days) < A_WEEK:
            continue
        worse.append(
            Worse(
                name,
                promise.name,
                late,
                promise.ready.tell,
                _changed(then[name].found, now[name].found),
                later=_changed(then[name].later, now[name].later),
                why=now[name].why if now[name].why != then[name].why else "",
                before=tuple(p.name for p in day.promises if _came_before(p.board, name, then, now)),
                idle=bool(entries) and name not in worked and not then[name].why,
            )
        )
    kept = {**{one: looked[one] for one in sorted(looked)[-DAYS_KEPT:]}, today: now}
    return replace(day, worse=tuple(sorted(worse, key=lambda one: -one.days))), kept


def _changed(then: Mapping[str, float], now: Mapping[str, float]) -> dict[str, float]:
    """What was written anew, by name."""
    return {name: much for name, much in now.items() if then.get(name) != much}


def _came_before(other: str, name: str, then: Mapping[str, LookedAt], now: Mapping[str, LookedAt]) -> bool:
    """Whether another board is ready before this one that was not so, or was not there."""
    if now[other].ready >= now[name].ready:
        return False
    return other not in then or then[other].ready > then[name].ready


@dataclass(frozen=True, slots=True)
class _AllLookedAt:
    """What was looked at, as it is kept."""

    days: Looked


def looked_to_json(looked: Looked) -> str:
    """What was looked at, as JSON text."""
    return result_to_json(_AllLookedAt(looked))


def looked_from_json(text: str) -> Looked:
    """What a text says was looked at; of any other text nothing.

    >>> looked_from_json("nonsense")
    {}
    """
    try:
        return result_from_json(text, _AllLookedAt).days
    except ValueError:
        return {}


def remembered(
    day: BenchDay, boards: Sequence[Board], entries: Sequence[Entry], cache: Path, *, back: bool
) -> BenchDay:
    """The day beside what was said on days before: who became much later, and whom to ring for the first time.

    cache: where what is said today is kept for the days to come; back: one looks back, and nothing is kept
    """
    looked = cache / "looked.json"
    day, days = became_later(day, boards, looked_from_json(kept(looked)), entries)
    file, told = cache / "rung.json", [day]

    def rung(text: str) -> str:
        before = said_from_json(text)
        told[0], said = rung_once(day, before)
        return text if said == before else said_to_json(said)

    if back:
        rung(kept(file))
    else:
        change(looked, lambda _: looked_to_json(days))
        change(file, rung)
    return told[0]

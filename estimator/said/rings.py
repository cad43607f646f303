"""Whom to ring on a morning and what to say to each: a list in which nobody stands twice."""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection, Iterable
from dataclasses import dataclass

from estimator.bench.call_log import MOST_A_DAY
from estimator.bench.promises import ANSWER_DUE, IN_DANGER, IS_READY, SURE, BenchDay, Ring, Worse
from estimator.said.bench import SWAP, causes_of
from estimator.words.dates import say_exactly
from estimator.words.labels import label
from estimator.words.odds import say_chance, say_odds
from estimator.words.phrases import capital, say_count
from estimator.words.settings.schema import Settings


@dataclass(frozen=True, slots=True)
class ToRing:
    """A board whose owner to ring, and what to say in sentences.

    why, about: the matter that an answer ends, as of a Ring; why is empty where it only became later
    tell: the day to tell, where there is one
    """

    board: str
    name: str
    says: tuple[str, ...]
    why: str = ""
    about: dt.date | None = None
    tell: dt.date | None = None


def whom_to_ring(day: BenchDay, settings: Settings, settled: Collection[str] = ()) -> tuple[ToRing, ...]:
    """Those to ring: what became worse first, then the nearest day told that is in danger; then who waits for a word.

    Of what is worse or in danger three at most, each board once.
    settled: ids of boards about which somebody was told or answered today
    """
    rings = {ring.board: ring for ring in reversed(_in_danger(day))}
    worse = [one for one in day.worse if one.board not in settled][:MOST_A_DAY]
    first = [_became_later(one, rings.get(one.board), day, settings) for one in worse]
    there = {one.board for one in first}
    danger = [_danger(ring, day) for ring in _in_danger(day) if ring.board not in there]
    listed = [*first, *danger[: max(MOST_A_DAY - len(first), 0)]]
    there = {one.board for one in listed}
    waits = [
        _waits(ring, day.today) for ring in day.ring if ring.why != IN_DANGER and ring.board not in there
    ]
    return (*listed, *waits)


def rings_later(day: BenchDay, listed: Iterable[ToRing]) -> str:
    """How many more are in danger than those listed, and when the nearest of them is due; empty for none."""
    there = {one.board for one in listed}
    rest = [ring.about for ring in _in_danger(day) if ring.board not in there and ring.about]
    if not rest:
        return ""
    nearest = say_exactly(min(rest), day.today)
    if len(rest) == 1:
        return f"One more is in danger, due on {nearest}."
    return f"{len(rest)} more are in danger, none due before {nearest}."


def nobody_to_ring(day: BenchDay) -> str:
    """That nobody needs ringing."""
    return "Nobody else needs ringing today." if day.rung_already else "Nobody needs ringing today."


def _in_danger(day: BenchDay) -> list[Ring]:
    """Days told that are in danger, the nearest first."""
    found = [ring for ring in (*day.ring, *day.ring_later) if ring.why == IN_DANGER]
    return sorted(found, key=lambda ring: (ring.about or dt.date.max, ring.board))


def _became_later(one: Worse, ring: Ring | None, day: BenchDay, settings: Settings) -> ToRing:
    """A board that became later; with the day told, where that is in danger."""
    weeks = say_count(round(one.days / 7), "week")
    causes = ", ".join(cause.removeprefix("as ") for cause in causes_of(one, settings))
    news = f"It is {weeks} later than when you last looked{f': {causes}' if causes else ''}."
    tell = max(one.tell, day.today)
    told = _told(ring, day) if ring else []
    said = (news, *told, _say(tell, day.today))
    if ring is None:
        return ToRing(one.board, one.name, said, tell=tell)
    return ToRing(one.board, one.name, said, ring.why, ring.about, tell)


def _danger(ring: Ring, day: BenchDay) -> ToRing:
    """A day told that is in danger."""
    tell = max(ring.tell, day.today) if ring.tell else None
    said = (*_told(ring, day), *([_say(tell, day.today)] if tell else []))
    return ToRing(ring.board, ring.name, said, ring.why, ring.about, tell)


def _told(ring: Ring, day: BenchDay) -> Iterable[str]:
    """What was told, how it stands, and what comes of doing it first where that is the change of order that helps."""
    promise = day.promise_of(ring.board)
    if ring.about is None or promise is None:
        return
    by = say_exactly(ring.about, day.today)
    if ring.about < day.today:
        yield f"You told them by {by}, and that day is over."
        return
    chance = "" if promise.chance_kept is None else say_chance(promise.chance_kept)
    yield f"You told them by {by}. {capital(label('chance kept'))}: {chance}."
    if day.swap is not None and day.swap.board == ring.board:
        yield f"Done before all others: {say_chance(day.swap.after[ring.board])}. See “{SWAP}” below."


def _say(tell: dt.date, today: dt.date) -> str:
    """The day to say."""
    return f"Say: ready by {say_exactly(tell, today)}. That holds {say_odds(SURE)}."


def _waits(ring: Ring, today: dt.date) -> ToRing:
    """Who waits for a word: a board that is ready, or an answer that is due."""
    since = f" since {say_exactly(ring.about, today)}" if ring.about else ""
    said = {
        IS_READY: f"It {'has been' if since else 'is'} ready{since}. Say so, and ask when they will fetch it.",
        ANSWER_DUE: f"It {'has been waiting' if since else 'waits'} for its owner's answer{since}. Ask for it.",
    }
    return ToRing(ring.board, ring.name, (said.get(ring.why, f"{capital(ring.why)}."),), ring.why, ring.about)

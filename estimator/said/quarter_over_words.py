"""What made the boards of a quarter go over, what they stood for, and whether hours have changed, in words."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Sequence

from estimator.decide.control import FEWEST, average_run_length
from estimator.decide.review import Review, WentOver
from estimator.decide.stood import Stood
from estimator.decide.story import parts_story
from estimator.said.parts import Heading, Part
from estimator.words.dates import say_exactly
from estimator.words.labels import label
from estimator.words.money import say_money
from estimator.words.plain import capital, round_middle, say_count, say_hours, say_middle, say_small

NAMED = 5  # days, or boards, that are named
LONGEST = 3  # causes of waits that are told
CAUSES = {"owner": "an owner's answer", "away": "you being away", "queue": "a place"}


def over_parts(review: Review) -> list[Part]:
    """What made boards go over, what was hidden and who paid for it, and what they stood for."""
    parts: list[Part] = []
    if review.went_over is not None and review.went_over.boards:
        parts += _parts(review.went_over, review)
    parts += [*_stood(review.stood), *_chart(review)]
    return [Heading("Where it went over"), *parts] if parts else []


def _parts(went: WentOver, review: Review) -> Iterable[str]:
    """Hours over the guesses, in parts that add up."""
    boards = say_count(len(went.boards), "board")
    yield (
        f"{capital(boards)} took {say_middle(went.took)} hours; you had guessed {say_middle(went.guessed)}. "
        + parts_story(
            went.hours, round_middle(went.took) - round_middle(went.guessed), going="the boards going"
        )
    )
    if went.left_out:
        has = "has" if went.left_out == 1 else "have"
        yield f"{capital(say_count(went.left_out, 'board'))} {has} no guess, or hours are missing."
    if went.hid:
        hours = say_hours(sum(one.hours["hidden"] for one in went.hid))
        yield (
            f"{capital(label('hidden'))} on {say_small(len(went.hid))} of them, {hours}: "
            f"{names([one.name for one in went.hid])}."
        )
    paid = {"me": "you paid", "owner": "the owner paid", "half": "each paid half", "": "not written who paid"}
    if went.paid_by:
        said = ", ".join(f"{paid[who]} {times(n)}" for who, n in went.paid_by.items())
        yield f"Owners were told of hidden work {times(sum(went.paid_by.values()))}: {said}."
    if went.charged > 0:
        yield f"Above what was quoted, {say_money(went.charged, review.currency)} was charged on boards that hid work."


def _stood(stood: Sequence[Stood]) -> Iterable[str]:
    """The longest waits by cause."""
    if not stood:
        return
    said = []
    for one in stood[:LONGEST]:
        longest = f"longest {one.board}, {say_count(one.longest, 'day')}{'' if one.over else ' so far'}"
        days = f", {say_count(one.days, 'day')} within the quarter" if one.days else ""
        said.append(f"for {CAUSES.get(one.cause, one.cause)} {times(one.waits)}{days} ({longest})")
    yield f"Boards stood {'. '.join([said[0], *map(capital, said[1:])])}."


def _chart(review: Review) -> Iterable[str]:
    """Whether hours have changed against what was said, by more than luck."""
    chart = review.chart
    if chart is None or not chart.looked_at:
        return
    if not chart.enough:
        only = say_count(len(chart.boards), "board")
        yield f"Whether hours have changed is told from {FEWEST} boards on; only {only} yet."
    elif chart.signal:
        way = "longer" if chart.signal > 0 else "less"
        since = (
            f" from {say_exactly(dt.date.fromisoformat(chart.since), review.quarter.today)} on"
            if chart.since
            else ""
        )
        now = "; since then they have come back to it" if chart.back else ""
        yield f"Boards took {way} than ranges said, by more than luck,{since}{now}. Look for what has changed."
        if review.year.boards:
            years = average_run_length(0.0) / review.year.boards
            yield f"By luck alone that comes about once in {say_count(max(round(years), 1), 'year')} here."
    else:
        yield "Hours have stayed as near to what ranges said as luck lets them."


def names(all_of_them: Sequence[str], most: int = NAMED) -> str:
    """The first names, and how many more.

    >>> names(["red", "blue", "green"], 2)
    'red, blue and 1 more'
    """
    more = len(all_of_them) - most
    return ", ".join(all_of_them[:most]) + (f" and {more} more" if more > 0 else "")


def times(n: int) -> str:
    """So often.

    >>> times(1), times(3)
    ('once', 'three times')
    """
    return {1: "once", 2: "twice"}.get(n, f"{say_small(n)} times")

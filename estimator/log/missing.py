"""What is missing or odd in a log: notes, which never say that it cannot be used."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Callable, Iterator, Sequence

from estimator.log.checks import day_shares
from estimator.log.standing import some
from estimator.words.lengths import odd_length
from estimator.words.plain import say_count
from estimator.words.problems import Problem
from estimator.words.records import (
    DECLINED,
    FINISHED,
    ON_BENCH,
    SHOP,
    STOPPED,
    WAITING,
    WITHDRAWN,
    Board,
    Log,
)
from estimator.words.settings import Settings
from estimator.words.settings_values import SETTINGS_FILE

TAKEN_ON = frozenset({WAITING, ON_BENCH, STOPPED, FINISHED})
GIVEN_UP = frozenset({DECLINED, WITHDRAWN})

# which boards lack something, what is said of them, and the cure
LACKS: tuple[tuple[Callable[[Board, Settings], bool], str, str], ...] = (
    (
        lambda b, s: not b.kind and bool(s.kinds),
        "no kind is written on {boards}",
        "Write the sort of job; boards of one kind teach about one another.",
    ),
    (
        lambda b, _: b.guess is None and b.state not in GIVEN_UP,
        "no guess of your own is written on {boards}",
        "Write your own hours at the quote, before you look at ours.",
    ),
    (
        lambda b, _: b.accepted is None and b.state in TAKEN_ON,
        "no accepted date is written on {boards}; the date of the quote stands in",
        "Write the day on which the owner said yes.",
    ),
    (
        lambda b, _: b.finished and b.ready is None,
        "no ready date is written on {boards} that are finished",
        "Write the day on which the board was ready.",
    ),
    (
        lambda b, _: b.finished and b.price_quoted is None and b.price_charged is None,
        "no price is written on {boards} that are finished",
        "Write what you charged; else nothing can be said of the pay.",
    ),
    (
        lambda b, _: b.finished and b.materials is None,
        "no materials are written on {boards} that are finished",
        "Write what they cost, or 0.",
    ),
    (
        lambda b, s: b.finished and not b.found and bool(s.quantities),
        "hidden work not recorded on {boards} that are finished",
        "Write how it turned out, or “same” where it was just as you thought.",
    ),
    (
        lambda b, _: b.length_m is not None and odd_length(b.length_m),
        "an unusual length is written on {boards}",
        "Look whether it is right.",
    ),
)


def notes_on(log: Log, settings: Settings) -> list[Problem]:
    """All notes on a log: what is missing on boards, unusual days, rows that stand twice, stages unknown."""
    notes = []
    for lacks, wrong, cure in LACKS:
        without = [board for board in log.boards if lacks(board, settings)]
        if without:
            said = wrong.format(boards=_boards([board.board for board in without]))
            notes.append(Problem(_sheet(without[0].where), "", _agreed(said, len(without)), cure))
    return [*notes, *_given_up(log), *_days(log, settings), *_twice(log), *_stages(log, settings)]


def _boards(ids: Sequence[str]) -> str:
    """So many boards, the first of them by name."""
    return f"{say_count(len(ids), 'board')} ({some(ids)})"


def _agreed(said: str, boards: int) -> str:
    """The sentence with its verb in the singular where there is one board."""
    return said.replace(" that are finished", " that is finished") if boards == 1 else said


def _sheet(where: str) -> str:
    """The place of a sheet, from that of one of its rows."""
    return where.rpartition(", ")[0]


def _given_up(log: Log) -> Iterator[Problem]:
    """Declined boards with hours."""
    hours: defaultdict[str, float] = defaultdict(float)
    for entry in log.entries:
        if entry.board != SHOP and log.by_id[entry.board].state == DECLINED:
            hours[entry.board] += entry.hours
    booked = [board for board, sum_h in hours.items() if sum_h]
    if booked:
        wrong = f"{sum(hours.values()):g} h are booked on {_boards(booked)} that you declined"
        yield Problem(_sheet(log.by_id[booked[0]].where), "", wrong, "Look whether the state is right.")


def _days(log: Log, settings: Settings) -> Iterator[Problem]:
    """Work on days that the week leaves free, and days with much work on one board."""
    most = settings.bench.most_hours_a_day_on_one_board
    week = settings.bench.hours_by_weekday
    free: dict[dt.date, None] = {}
    on_one: defaultdict[tuple[str, dt.date], float] = defaultdict(float)
    place = ""
    for entry in log.entries:
        if entry.board == SHOP or not entry.hours:
            continue
        place = place or _sheet(entry.where)
        if entry.last == entry.date and len(week) == 7 and not week[entry.date.weekday()]:
            free[entry.date] = None
        for day, share in day_shares(entry):
            on_one[entry.board, day] += share
    if free:
        dates = some([str(day) for day in sorted(free)])
        wrong = f"work on {say_count(len(free), 'day')} that your week leaves free ({dates})"
        yield Problem(place, "", wrong, "Look whether the dates are right.")
    much = [f"{board} on {day}" for (board, day), hours in on_one.items() if hours > most + 1e-9]
    if much:
        wrong = f"more than {most:g} h a day on one board, {say_count(len(much), 'time')} ({some(much)})"
        yield Problem(place, "", wrong, "Look whether the hours are right.")


def _twice(log: Log) -> Iterator[Problem]:
    """Rows of hours that say the same as a row above."""
    seen = set()
    again = []
    for entry in log.entries:
        same = (entry.board, entry.date, entry.until, entry.stage, entry.hours, entry.note)
        if same in seen and entry.hours:
            again.append(entry.where)
        seen.add(same)
    if again:
        rows = some([where.rpartition(", ")[2] for where in again])
        say = "says" if len(again) == 1 else "say"
        wrong = f"{say_count(len(again), 'row')} {say} the same as a row above ({rows})"
        yield Problem(_sheet(again[0]), "", wrong, "Take out what was written twice.")


def _stages(log: Log, settings: Settings) -> Iterator[Problem]:
    """Stages that neither a rule of thumb nor the log tells anything about."""
    told = {rule.stage for rule in settings.rules} | {entry.stage for entry in log.entries if entry.hours}
    for name in settings.stages:
        if name not in told:
            wrong = "no rule of thumb speaks of this stage, and no hours are booked on it yet"
            cure = "Say a rule: of ten boards, the quickest takes how long, and the slowest?"
            yield Problem(f"{SETTINGS_FILE}, [stages.{name}]", "", wrong, cure)

"""Problems that only several rows together show, and notes on what is missing or odd."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence

from estimator.log.columns import LOOKED, TURNED_OUT
from estimator.log.parse.boards import some
from estimator.words.dates import A_DAY
from estimator.words.measures import odd_length
from estimator.words.phrases import say_count
from estimator.words.problems import NOWHERE, Place, Problem
from estimator.words.records import (
    DECLINED,
    FINISHED,
    ON_BENCH,
    SHOP,
    STOPPED,
    WAITING,
    WITHDRAWN,
    Board,
    Entry,
    Log,
    Wait,
)
from estimator.words.settings.schema import Settings, Stage
from estimator.words.settings.values import section_place

HOURS_IN_A_DAY = 24.0
LONG = 400  # days; hours of a row over more than that are spread over no calendar

Work = Sequence[tuple[str, tuple[str, ...]]]  # stages, and the quantities that say whether they happen


def problems_across(log: Log, settings: Settings) -> list[Problem]:
    """All problems that rows show when they are held against one another, and against their board."""
    rows = by_stage(log.entries)
    problems = list(_full_days(log.entries))
    work = [
        (name, stage.work or ((name,) if stage.sometimes else ())) for name, stage in settings.stages.items()
    ]
    for board in log.boards:
        if board.board in rows:
            problems += _against_quantities(board, rows[board.board], work)
    for entry in log.entries:
        problems += _against_dates(entry, log, settings)
    for wait in log.waits:
        problems += _wait_too_late(wait, log)
    return problems


def by_stage(entries: Iterable[Entry]) -> defaultdict[str, defaultdict[str, list[Entry]]]:
    """The rows of each board by stage; none of the shop's."""
    rows: defaultdict[str, defaultdict[str, list[Entry]]] = defaultdict(lambda: defaultdict(list))
    for entry in entries:
        if entry.board != SHOP:
            rows[entry.board][entry.stage].append(entry)
    return rows


def day_shares(entry: Entry) -> list[tuple[dt.date, float]]:
    """The hours of a row, spread evenly over the days that it covers; nothing where these are too many."""
    if entry.until is None:
        return [(entry.date, entry.hours)]
    days = (entry.until - entry.date).days + 1
    return [(entry.date + day * A_DAY, entry.hours / days) for day in range(days)] if days <= LONG else []


def _against_quantities(board: Board, rows: Mapping[str, list[Entry]], work: Work) -> Iterator[Problem]:
    """Hours where there was nothing to do, and nothing where there was."""
    values = {**board.wanted, **board.found}
    for stage, names in work:
        known = [values.get(name) for name in names]
        columns = [(TURNED_OUT if name in board.found else LOOKED) + name for name in names]
        if stage in rows:
            hours = sum(entry.hours for entry in rows[stage])
            if hours and known and all(value == 0 for value in known):
                first = next(entry for entry in rows[stage] if entry.hours)
                found = _listed([TURNED_OUT + name for name in names])
                wrong = f"{_listed(columns)} {'is' if len(columns) == 1 else 'are'} 0 but {hours:g} h booked"
                cure = f"Write how much there was in {found}, or move the hours to another stage."
                yield Problem(first.where, stage, wrong, cure)
        elif board.finished and board.total_hours is None and any(known):
            column, value = next((c, v) for c, v in zip(columns, known, strict=True) if v)
            wrong = f"{stage} has no hours (not written or not done?), and {column} is {value:.3g}"
            yield Problem(board.where, "", wrong, "Book the hours, or a row of 0 h where it was not done.")


def _listed(names: list[str]) -> str:
    """Names with an "and" before the last."""
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"


def _against_dates(entry: Entry, log: Log, settings: Settings) -> Iterator[Problem]:
    """Hours before the work on a board began, save for looking at it, and after it went."""
    board = log.by_id.get(entry.board)
    if not board or not entry.hours:
        return
    if board.started and entry.date < board.started and not _looking(settings.stages[entry.stage]):
        wrong = f"hours on {entry.date}, before the board is started ({board.started})"
        yield Problem(entry.where, "", wrong, "Correct the one date or the other.")
    if board.collected and entry.last > board.collected:
        wrong = f"hours on {entry.last}, after the board is collected ({board.collected})"
        yield Problem(entry.where, "", wrong, "Correct the one date or the other.")


def _wait_too_late(wait: Wait, log: Log) -> Iterator[Problem]:
    """A wait that begins when the board has gone."""
    gone = log.by_id[wait.board].collected
    if gone and wait.first > gone:
        wrong = f"a wait from {wait.first} on, after the board is collected ({gone})"
        yield Problem(wait.where, "", wrong, "Correct the one date or the other.")


def _looking(stage: Stage) -> bool:
    """Whether a stage comes before all others and has no quantity of work, as looking a board over does."""
    return not stage.after and not stage.work


def _full_days(entries: Iterable[Entry]) -> Iterator[Problem]:
    """Days with more hours than a day has, on all boards together; the place is that of its last row."""
    hours: defaultdict[dt.date, float] = defaultdict(float)
    spread = [(entry, day_shares(entry)) for entry in entries if entry.hours]
    for _, shares in spread:
        for day, share in shares:
            hours[day] += share
    full = {day for day, booked in hours.items() if booked > HOURS_IN_A_DAY + 1e-9}
    if not full:
        return
    places = defaultdict(list)
    for entry, shares in spread:
        for day, _ in shares:
            if day in full:
                places[day].append(entry.where)
    for day in sorted(full):
        rows = some([where.in_short for where in places[day]])
        wrong = f"{day} has {hours[day]:g} h in all ({rows})"
        cure = "Book them over several days with until, or put the sum in total_hours."
        yield Problem(places[day][-1], "", wrong, cure)


TAKEN_ON = frozenset({WAITING, ON_BENCH, STOPPED, FINISHED})
GIVEN_UP = frozenset({DECLINED, WITHDRAWN})


def _asked(board: Board) -> float:
    """The price of a board; more than any where none is written."""
    price = board.price_quoted if board.price_charged is None else board.price_charged
    return float("inf") if price is None else price


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
        "no ready date is written on {boards} that {are} finished",
        "Write the day on which the board was ready.",
    ),
    (
        lambda b, _: b.finished and b.price_quoted is None and b.price_charged is None,
        "no price is written on {boards} that {are} finished",
        "Write what you charged; else nothing can be said of the pay.",
    ),
    (
        lambda b, _: b.finished and b.materials is None,
        "no materials are written on {boards} that {are} finished",
        "Write what they cost, or 0.",
    ),
    (
        lambda b, _: (
            b.paid_on is not None and b.deposit is not None and (b.paid or 0.0) <= b.deposit < _asked(b)
        ),
        "a day of payment, but no more than the deposit, is written on {boards}",
        "Write in paid what was paid in all; or leave paid_on empty until the rest has come.",
    ),
    (
        lambda b, s: b.finished and not b.found and bool(s.quantities),
        "hidden work not recorded on {boards} that {are} finished",
        "Write how it turned out, or “same” where it was just as you thought.",
    ),
    (
        lambda b, _: (b.returned or 0.0) > max(b.paid or 0.0, b.deposit or 0.0, b.price_charged or 0.0),
        "more money was given back than was paid on {boards}",
        "Write in paid what was paid in all, and in returned what of that you gave back.",
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
            are = "is" if len(without) == 1 else "are"
            said = wrong.format(boards=_boards([board.board for board in without]), are=are)
            notes.append(Problem(without[0].where.whole_sheet, "", said, cure))
    return [
        *notes,
        *_given_up(log),
        *_days(log, settings),
        *_twice(log),
        *_money_twice(log),
        *_stages(log, settings),
    ]


def _boards(ids: Sequence[str]) -> str:
    """So many boards, the first of them by name."""
    return f"{say_count(len(ids), 'board')} ({some(ids)})"


def _given_up(log: Log) -> Iterator[Problem]:
    """Declined boards with hours."""
    hours: defaultdict[str, float] = defaultdict(float)
    for entry in log.entries:
        if entry.board != SHOP and log.by_id[entry.board].state == DECLINED:
            hours[entry.board] += entry.hours
    booked = [board for board, sum_h in hours.items() if sum_h]
    if booked:
        wrong = f"{sum(hours.values()):g} h are booked on {_boards(booked)} that you declined"
        yield Problem(log.by_id[booked[0]].where.whole_sheet, "", wrong, "Look whether the state is right.")


def _days(log: Log, settings: Settings) -> Iterator[Problem]:
    """Work on days that the week leaves free, and days with much work on one board."""
    most = settings.bench.most_hours_a_day_on_one_board
    week = settings.bench.hours_by_weekday
    free: dict[dt.date, None] = {}
    on_one: defaultdict[tuple[str, dt.date], float] = defaultdict(float)
    place = NOWHERE
    for entry in log.entries:
        if entry.board == SHOP or not entry.hours:
            continue
        place = entry.where.whole_sheet if place == NOWHERE else place
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
        same = (entry.board, entry.date, entry.until, entry.stage, entry.of, entry.hours, entry.note)
        if same in seen and entry.hours:
            again.append(entry.where)
        seen.add(same)
    yield from _said_twice(again)


def _money_twice(log: Log) -> Iterator[Problem]:
    """Rows of money that say the same as a row above."""
    seen = set()
    again = []
    for line in log.money:
        same = (line.date, line.came_in, line.went_out, line.what, line.boards, line.note)
        if same in seen:
            again.append(line.where)
        seen.add(same)
    yield from _said_twice(again)


def _said_twice(again: Sequence[Place]) -> Iterator[Problem]:
    """A note of rows of one sheet that say the same as a row above."""
    if again:
        rows = some([where.in_short for where in again])
        say = "says" if len(again) == 1 else "say"
        wrong = f"{say_count(len(again), 'row')} {say} the same as a row above ({rows})"
        yield Problem(again[0].whole_sheet, "", wrong, "Take out what was written twice.")


def _stages(log: Log, settings: Settings) -> Iterator[Problem]:
    """Stages that neither a rule of thumb nor the log tells anything about."""
    told = {rule.stage for rule in settings.rules} | {entry.stage for entry in log.entries if entry.hours}
    for name in settings.stages:
        if name not in told:
            wrong = "no rule of thumb speaks of this stage, and no hours are booked on it yet"
            cure = "Say a rule: of ten boards, the quickest takes how long, and the slowest?"
            yield Problem(section_place(f"stages.{name}"), "", wrong, cure)

"""Problems that only several rows together show."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence

from estimator.log.headers import LOOKED, TURNED_OUT
from estimator.log.standing import some
from estimator.words.dates import A_DAY
from estimator.words.problems import Problem
from estimator.words.records import SHOP, Board, Entry, Log, Wait
from estimator.words.settings import Settings, Stage

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
        rows = some([where.rpartition(", ")[2] for where in places[day]])
        wrong = f"{day} has {hours[day]:g} h in all ({rows})"
        cure = "Book them over several days with until, or put the sum in total_hours."
        yield Problem(places[day][-1], "", wrong, cure)

"""What a real notebook does to a log: lost pages, whole days, sums over several days, ends not written down.

Nothing here loses or adds an hour but by rounding to days. [invented]
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import replace

from estimator.log.demo_dice import Dice
from estimator.words.records import FINISHED, Board, Entry, Log, Wait
from estimator.words.units import convert

DAYS_ONLY = 2  # boards known by their days alone, among the first
FIRST_BOARDS = 40
LOST_PAGES, STAGES_LOST = (
    4,
    ("clean", "laminate", "filler"),
)  # boards whose total is kept without these stages
WHOLE_DAYS, LONG_STAGE = 3, 9.0  # stages of so many hours or more, written as whole days
SUMMED_UP = 6  # stages written as one sum over several days
FEWEST_SUMMED = 3  # entries that are worth summing up
END_NOT_WRITTEN = 0.2  # of dryings
MISTYPED_IN = 114  # 9'6"
MISTYPED_NOTE = "length was first written 9.6; on the tape it is 9 ft 6 in"

Stages = dict[tuple[str, str], list[Entry]]


def messy(dice: Dice, log: Log, day_hours: float) -> Log:
    """The same log as a real notebook would hold it. day_hours: hours that "a day" means."""
    boards = {board.board: board for board in log.boards}
    stages = _by_stage(log)
    finished = [board.board for board in log.boards if board.state == FINISHED]
    worn = dice.shuffled(finished)
    by_days = [name for name in worn if name in finished[:FIRST_BOARDS]][:DAYS_ONLY]
    lost = [name for name in worn if name not in by_days][:LOST_PAGES]
    totals = {
        name: sum(sum(row.hours for row in rows) for key, rows in stages.items() if key[0] == name)
        for name in worn
    }
    for name in by_days:
        days = max(1, round(totals[name] / day_hours))
        boards[name] = replace(boards[name], total_hours=days * day_hours, total_grain=day_hours)
    for name in lost:
        boards[name] = replace(boards[name], total_hours=totals[name])
    stages = {
        (name, stage): rows
        for (name, stage), rows in stages.items()
        if name not in by_days and not (name in lost and stage in STAGES_LOST)
    }
    may = [key for key in dice.shuffled(sorted(stages)) if key[0] in finished and key[0] not in lost]
    long = [key for key in may if sum(row.hours for row in stages[key]) >= LONG_STAGE][:WHOLE_DAYS]
    many = [
        key for key in may if key not in long and key[1] != "drying" and len(stages[key]) >= FEWEST_SUMMED
    ]
    stages |= {key: [_whole_days(stages[key], day_hours)] for key in long}
    stages |= {key: [_one_sum(stages[key])] for key in many[:SUMMED_UP]}
    return replace(
        log,
        boards=_mistyped(boards.values()),
        entries=tuple(row for rows in stages.values() for row in rows),
        waits=tuple(replace(wait, until=None) if _end_left_out(dice, wait) else wait for wait in log.waits),
    )


def _by_stage(log: Log) -> Stages:
    """Entries by board and stage."""
    stages: Stages = defaultdict(list)
    for entry in log.entries:
        stages[entry.board, entry.stage].append(entry)
    return dict(stages)


def _one_sum(rows: Sequence[Entry]) -> Entry:
    """Several entries of a stage as one over all their days."""
    first, last = rows[0], rows[-1]
    return replace(first, until=last.date, hours=sum(row.hours for row in rows), done=last.done, note="")


def _whole_days(rows: Sequence[Entry], day_hours: float) -> Entry:
    """A stage as so many whole days."""
    total = _one_sum(rows)
    return replace(total, hours=day_hours * max(1, round(total.hours / day_hours)), grain=day_hours)


def _end_left_out(dice: Dice, wait: Wait) -> bool:
    """Whether the day on which the foam was dry is told by the looks at it alone."""
    return wait.cause == "drying" and dice.happens(END_NOT_WRITTEN)


def _mistyped(boards: Iterable[Board]) -> tuple[Board, ...]:
    """The same boards; one length had to be mended."""
    rows = list(boards)
    length_m = convert(MISTYPED_IN, "in", "m")
    at = next((n for n, board in enumerate(rows) if board.length_m == length_m), None)
    if at is not None:
        rows[at] = replace(rows[at], note=f"{rows[at].note}; {MISTYPED_NOTE}")
    return tuple(rows)

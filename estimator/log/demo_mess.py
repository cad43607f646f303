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
LOST_PAGES, STAGES_LOST = 4, ("clean", "laminate", "filler")  # boards with a total but not these stages
WHOLE_DAYS, LONG_STAGE = 3, 9.0  # stages of so many hours or more, written as whole days
SUMMED_UP = 6  # stages written as one sum over several days
FEWEST_SUMMED = 3  # entries that are worth summing up
END_NOT_WRITTEN = 0.2  # of dryings
MISTYPED_IN = 114  # 9'6"
MISTYPED_NOTE = "length was first written 9.6; on the tape it is 9 ft 6 in"

Stages = dict[tuple[str, str], list[Entry]]


def messy(dice: Dice, log: Log, day_hours: float) -> Log:
    """The same log as a real notebook would hold it. day_hours: hours that "a day" means."""
    stages = _by_stage(log)
    finished = [board.board for board in log.boards if board.state == FINISHED]
    worn = dice.shuffled(finished)
    by_days = [name for name in worn if name in finished[:FIRST_BOARDS]][:DAYS_ONLY]
    lost = [name for name in worn if name not in by_days][:LOST_PAGES]
    boards = {board.board: board for board in log.boards}
    for name in (*by_days, *lost):
        boards[name] = _with_total(boards[name], stages, day_hours if name in by_days else None)
    stages = {
        (name, stage): rows
        for (name, stage), rows in stages.items()
        if name not in by_days and not (name in lost and stage in STAGES_LOST)
    }
    may = [key for key in dice.shuffled(sorted(stages)) if key[0] in finished and key[0] not in lost]
    long = [key for key in may if _hours(stages[key]) >= LONG_STAGE][:WHOLE_DAYS]
    may = [key for key in may if key not in long and key[1] != "drying" and len(stages[key]) >= FEWEST_SUMMED]
    stages |= {key: [_whole_days(stages[key], day_hours)] for key in long}
    stages |= {key: [_one_sum(stages[key])] for key in may[:SUMMED_UP]}
    looked_at = {name for name, stage in stages if stage == "drying"}
    return replace(
        log,
        boards=_mistyped(boards.values()),
        entries=tuple(row for rows in stages.values() for row in rows),
        waits=tuple(_without_end(dice, wait, looked_at) for wait in log.waits),
    )


def _hours(rows: Iterable[Entry]) -> float:
    """The hours of all rows."""
    return sum(row.hours for row in rows)


def _with_total(board: Board, stages: Stages, day_hours: float | None) -> Board:
    """The board with its hours in all; where `day_hours` is given, in whole days."""
    total = sum(_hours(rows) for (name, _), rows in stages.items() if name == board.board)
    if day_hours is None:
        return replace(board, total_hours=total)
    return replace(board, total_hours=day_hours * max(1, round(total / day_hours)), total_grain=day_hours)


def _by_stage(log: Log) -> Stages:
    """Entries by board and stage."""
    stages: Stages = defaultdict(list)
    for entry in log.entries:
        stages[entry.board, entry.stage].append(entry)
    return dict(stages)


def _one_sum(rows: Sequence[Entry]) -> Entry:
    """Several entries of a stage as one over all their days."""
    first, last = rows[0], rows[-1]
    return replace(first, until=last.date, hours=_hours(rows), done=last.done, note="")


def _whole_days(rows: Sequence[Entry], day_hours: float) -> Entry:
    """A stage as so many whole days."""
    total = _one_sum(rows)
    return replace(total, hours=day_hours * max(1, round(total.hours / day_hours)), grain=day_hours)


def _without_end(dice: Dice, wait: Wait, looked_at: set[str]) -> Wait:
    """The wait, now and then with the day on which the foam was dry told by the looks at it alone."""
    left_out = wait.cause == "drying" and dice.happens(END_NOT_WRITTEN) and wait.board in looked_at
    return replace(wait, until=None) if left_out else wait


def _mistyped(boards: Iterable[Board]) -> tuple[Board, ...]:
    """The same boards; one length had to be mended."""
    rows = list(boards)
    length_m = convert(MISTYPED_IN, "in", "m")
    at = next((n for n, board in enumerate(rows) if board.length_m == length_m), None)
    if at is not None:
        rows[at] = replace(rows[at], note=f"{rows[at].note}; {MISTYPED_NOTE}")
    return tuple(rows)

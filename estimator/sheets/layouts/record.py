"""What the figures of the record show, in words: the last boards, the misses by name, who has been nearer."""

from __future__ import annotations

from collections.abc import Sequence

from estimator.record.backtest.scores import luck_band
from estimator.record.backtest.track_record import ENOUGH, JudgedBoard, Rival, TrackRecord
from estimator.said.record_scores import COUNTED, no_nearer_words
from estimator.words.labels import label
from estimator.words.phrases import (
    capital,
    hours_in_figures,
    round_hours,
    round_middle,
    say_count,
    say_hours,
    say_middle,
)

LAST = 20  # boards that are drawn
ODDS = 0.8  # of the ranges that they are held against
NO_REASON = ("", "nothing")  # what cost the time, where nothing did
AVERAGE = "hours off on average"


def last_boards(record: TrackRecord, most: int = LAST) -> tuple[JudgedBoard, ...]:
    """The last `most` boards that count, and what is still open among or after them, in order of quote date."""
    counting = [i for i, board in enumerate(record.boards) if board.side is not None]
    first = counting[-most] if len(counting) > most else 0
    still_open = [i for i, board in enumerate(record.boards) if board.side is None]
    shown = {*counting[-most:], *(i for i in still_open[-most:] if i >= first)}
    return tuple(record.boards[i] for i in sorted(shown))


def heading(record: TrackRecord, most: int = LAST) -> str:
    """What the row of boards is; empty where no board counts yet."""
    judged = len(record.judged)
    if judged > most:
        return f"Your last {say_count(most, 'board')}, oldest first"
    if judged > 1:
        return f"Your {judged} boards so far, oldest first"
    return "Your one board so far" if judged else ""


def count_lines(record: TrackRecord, most: int = LAST) -> tuple[str, ...]:
    """How many of the last boards landed inside, and of all, with what luck alone allows; how many more it takes."""
    lines = []
    last = record.judged[-most:]
    if last:
        held = sum(board.side == 0 for board in last)
        lines.append(f"{held} of {len(last)} landed inside; {_luck(luck_band(len(last), ODDS))}.")
    if len(record.judged) > len(last):
        count = record.count(ODDS)
        lines.append(f"Of all {count.of:,}, {count.held:,} landed inside; {_luck(count.band)}.")
    if record.missing:
        more = say_count(record.missing, "more finished board")
        lines.append(f"{more} with a quote date would do.")
    return tuple(lines)


def _luck(band: tuple[int, int]) -> str:
    """What luck alone allows."""
    few, most = band
    return f"luck alone allows {few:,}" + (f" to {most:,}" if few != most else "")


def missed_words(board: JudgedBoard) -> str:
    """A board that missed: what it took, its range, and what cost the time, where something did.

    >>> missed_words(JudgedBoard("b7", "the red nine-four", "", "", 53.2, 66, 81, 97.2, 1, cost_time="wet"))
    'the red nine-four took 97 hours, longer than 55 to 80: wet foam'
    >>> missed_words(JudgedBoard("b8", "", "", "", 3.1, 4, 6.1, 2.9, -1))
    'b8 took 3 hours, just quicker than 3 to 6'
    """
    hours = board.so_far if board.hours is None else board.hours
    shown = say_hours(hours) if hours < 10 else f"{say_middle(hours)} hours"
    took = f"has taken {shown} so far" if board.hours is None else f"took {shown}"
    low, high = round_hours(board.low), round_hours(board.high)
    ends = f"{say_middle(low)} to {say_middle(high)}" if low != high else f"about {say_middle(low)}"
    way = "longer" if board.side == 1 else "quicker"
    at = round_middle(hours)
    just = "just " if (at <= high if board.side == 1 else at >= low) else ""  # where rounding hides it
    cost = f": {label(f'cost {board.cost_time}')}" if board.cost_time not in NO_REASON else ""
    return f"{board.name} {took}, {just}{way} than {ends}{cost}"


def open_words(boards: Sequence[JudgedBoard]) -> str:
    """The boards that may still land inside, by name; empty where there is none."""
    names = ", ".join(board.name for board in boards if board.side is None)
    return f"still open, in pencil: {names}" if names else ""


def against(record: TrackRecord) -> tuple[Rival, ...]:
    """The other ways of saying hours that there are boards enough to hold ours against."""
    return tuple(rival for rival in record.rivals if rival.of >= ENOUGH)


def nearer_heading(record: TrackRecord) -> str:
    """Who has been nearer; empty where nobody can be told from another yet."""
    no_better = [rival for rival in against(record) if round_hours(rival.gain) <= 0]
    if no_better:
        return no_nearer_words(no_better)
    return "These ranges have come nearest so far" if against(record) else ""


def rival_words(rival: Rival) -> str:
    """How far off another way of saying hours was on average, and ours, on the boards that both can be judged on.

    >>> rival_words(Rival("own guess", 30, 21, crps=9.1, ours=6.2, gain=2.9, gain_low=1, gain_high=4, chance=1))
    'Your own guess: 9 hours off; these ranges 6, nearer on 21 of 30 boards'
    """
    name = label(rival.name)
    ours = hours_in_figures(rival.ours) if round_hours(rival.ours) > 1 else say_hours(rival.ours)
    return (
        f"{capital(name)}: {say_hours(rival.crps)} off; "
        f"these ranges {ours}, nearer on {rival.nearer} of {say_count(rival.of, 'board')}"
    )


def record_title(record: TrackRecord) -> str:
    """What there is to see: whether ranges held as often as they should, lately and over all boards."""
    judged, last = record.judged, record.judged[-LAST:]
    if not judged:
        return "No finished board yet to hold a range against"
    if len(judged) < ENOUGH or record.missing:
        return "Too few boards yet to tell whether ranges hold"
    few, most = luck_band(len(last), ODDS)
    held, count = sum(board.side == 0 for board in last), record.count(ODDS)
    if not few <= held <= most:
        return f"Your last {len(last)} ranges were {_wrong(held > most)}"
    if not count.within:
        return f"Over all {say_count(count.of, 'board')} ranges were {_wrong(count.held > count.band[1])}"
    return "Ranges held about as often as they should"


def _wrong(wide: bool) -> str:
    """What is wrong with ranges outside what luck allows."""
    return "wider than they needed to be" if wide else "too tight"


def record_caption(record: TrackRecord) -> str:
    """The whole picture in words, for those who read it and for those who hear it read."""
    boards = last_boards(record)
    said = [f"{record_title(record)}.", *count_lines(record)]
    missed = "; ".join(missed_words(board) for board in boards if board.side)
    said += [f"{capital(words)}." for words in (missed, open_words(boards)) if words]
    if rivals := against(record):
        said += [f"{nearer_heading(record)}, in {AVERAGE}.", COUNTED]
        said += [f"{rival_words(rival)}." for rival in rivals]
    return " ".join(said)

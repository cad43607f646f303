"""What the figures of the record show, in words: the last boards, the misses by name, who has been nearer."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from estimator.record.backtest.scores import luck_band
from estimator.record.backtest.track_record import ENOUGH, JudgedBoard, Rival, TrackRecord
from estimator.said.record_scores import COUNTED, no_nearer_words
from estimator.sheets.layouts.letters import in_parts, width_px, wrapped
from estimator.sheets.layouts.standing import GOOD, SLIM
from estimator.sheets.layouts.tape import BLANK, FIRM, TAPE, FigureLayout
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
    no_better = [rival for rival in against(record) if round_hours(rival.off - rival.our_off) <= 0]
    if no_better:
        return no_nearer_words(no_better)
    return "These ranges have come nearest so far" if against(record) else ""


def rival_words(rival: Rival) -> str:
    """How far off another way of saying hours was on average, and ours, on the boards that both can be judged on.

    >>> both = {"off": 9.1, "our_off": 6.2, "closer": 21, "off_chance": 1.0}
    >>> rival_words(Rival("own guess", 30, 23, crps=9.1, ours=4.2, gain=4.9, gain_low=1, gain_high=4, chance=1, **both))
    'Your own guess: 9 hours off; these ranges 6, nearer on 21 of 30 boards'
    """
    name = label(rival.name)
    ours = hours_in_figures(rival.our_off) if round_hours(rival.our_off) > 1 else say_hours(rival.our_off)
    return (
        f"{capital(name)}: {say_hours(rival.off)} off; "
        f"these ranges {ours}, nearer on {rival.closer} of {say_count(rival.of, 'board')}"
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


NOTCH = 10.0  # pixels: how high a notch is
HALF = 5.5  # pixels: half its width
AIR = 3.0  # pixels between a row's words and its notches
CLEAR = 8.0  # pixels between one row and the words of the next
OURS, THEIRS = "these ranges", "the other way"


class NearerLayout(FigureLayout):
    """Who has been nearer, on a tape of hours: what is written and how high everything is."""

    def __init__(self, record: TrackRecord, wide_px: float) -> None:
        self.rivals = against(record)
        right = 1.04 * max((max(rival.off, rival.our_off, 1.0) for rival in self.rivals), default=1.0)
        super().__init__(-right * (BLANK + 2) / (wide_px - BLANK - 2), right, wide_px)
        self.heading = wrapped(nearer_heading(record), wide_px - 2, self.letters, bold=True)
        self.rows = [in_parts(rival_words(rival), wide_px - 2, self.letters) for rival in self.rivals]
        self.above = len(self.heading) * self.line + sum(map(self.row_px, range(len(self.rows)))) + CLEAR
        key = sum(width_px(words, self.letters) + 2 * HALF + CLEAR for words in (OURS, THEIRS)) + 2 * CLEAR
        self.key_beside = key + width_px(AVERAGE, self.letters) <= wide_px
        self.note = wrapped(COUNTED, wide_px - 2, self.letters)
        self.below = TAPE + CLEAR + self.line * (len(self.note) + (1 if self.key_beside else 2))

    def row_px(self, i: int) -> float:
        """The height of one row: its words, and a notch on each side of its line."""
        return len(self.rows[i]) * self.line + AIR + 2 * NOTCH + CLEAR


TALLEST = 96.0  # pixels: no board is drawn higher
GAP, WIDEST_GAP = 4.0, 16.0  # pixels between boards side by side: least, most
POST = 5.0  # pixels kept for the post that shows where a lying board stood
POST_HIGH = 1.6  # times as high as the board that lies beside it
BELOW_ROW = 6.0  # pixels between a row's floor and what is written below it


class RecordLayout(FigureLayout):
    """What is written and how high everything is, in pixels, from the top down."""

    def __init__(self, record: TrackRecord, wide_px: float, most: int, *, with_words: bool = True) -> None:
        super().__init__(0.0, wide_px, wide_px)
        boards = last_boards(record, most)
        self.heading = self._lines(heading(record, most), bold=True)
        self.tall, self.rows = in_rows(boards, wide_px)
        missed = [board for board in boards if board.side]
        self.sides = self._sides() if missed else ()
        self.counts = [in_parts(words, wide_px - 2, self.letters) for words in count_lines(record, most)]
        self.indent = width_px("20", self.letters) + BELOW_ROW
        self.missed = [self._lines(missed_words(board), self.indent) for board in missed]
        self.still_open = self._lines(open_words(boards))
        if not with_words:
            self.heading, self.counts, self.missed, self.still_open = (), [], [], ()
        lines = sum(map(len, (self.heading, *self.counts, *self.missed, self.still_open)))
        numbered = sum(any(board.side for board in row) for row in self.rows)
        self.high = (
            self.line * (lines + numbered + bool(self.sides))
            + sum(map(self.row_px, self.rows))
            + BELOW_ROW * (len(self.rows) + numbered + bool(self.sides) + 1)
            + 4
        )

    def row_px(self, row: Sequence[JudgedBoard]) -> float:
        """How high the boards of a row are, with some air above."""
        return (
            self.tall if any(not board.side for board in row) else POST_HIGH * self.tall / SLIM
        ) + BELOW_ROW

    def _lines(self, words: str, left: float = 0.0, *, bold: bool = False) -> tuple[str, ...]:
        """Words in lines that fit."""
        return wrapped(words, self.wide - left - 2, self.letters, bold=bold)

    def _sides(self) -> tuple[str, str]:
        """Which way is which, as long as fits."""
        ways = (("quicker than said", "took longer"), ("quicker", "longer"))
        for hatched in (", hatched", ""):
            quicker, longer = ways[0] if hatched else ways[1]
            sides = (f"lying left: {quicker}", f"lying right{hatched}: {longer}")
            if sum(width_px(words, self.letters) for words in sides) + WIDEST_GAP <= self.wide:
                return sides
        raise ValueError("The figure is too narrow for its words: give it at least 320 pixels.")


def in_rows(
    boards: Sequence[JudgedBoard], room_px: float
) -> tuple[float, tuple[tuple[JudgedBoard, ...], ...]]:
    """How high the boards can be, in pixels, and the rows they break into, as few as let them be seen well."""
    for count in range(1, len(boards) + 1):
        for high in np.arange(TALLEST, (GOOD if count < len(boards) else 1.0) - 1e-9, -1.0):
            rows = _broken(boards, float(high), room_px)
            if len(rows) <= count:
                return float(high), rows
    return 0.0, ()


def board_px(board: JudgedBoard, high: float) -> float:
    """How much room a board takes along the row, in pixels."""
    return high + POST if board.side else high / SLIM


def _broken(
    boards: Sequence[JudgedBoard], high: float, room_px: float
) -> tuple[tuple[JudgedBoard, ...], ...]:
    """The boards in rows, as words are in lines."""
    rows: list[list[JudgedBoard]] = []
    left = 0.0
    for board in boards:
        left -= GAP + board_px(board, high)
        if left < 0:
            rows.append([])
            left = room_px - board_px(board, high) - 2 * FIRM
        rows[-1].append(board)
    return tuple(map(tuple, rows))

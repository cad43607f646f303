"""How past ranges went: what `record` says, shows and draws."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from estimator.words.json_form import HIDDEN, JsonForm, json_fields
from estimator.words.records import WithName

ODDS = (0.5, 0.8, 0.95)  # at which ranges are counted
ENOUGH = 8  # boards of a sort, from which on the sort is judged on its own
OWN_GUESS, CORRECTED, MEDIAN, REGRESSION = RIVALS = (
    "own guess",
    "guess x usual",
    "median of past",
    "plain regression",
)


@dataclass(frozen=True, slots=True)
class Count:
    """How many ranges held that were to hold so often.

    held, below, above: boards inside the range, quicker, slower; they sum to `of`
    band: the fewest and the most that luck alone allows, 19 times in 20, if the odds are true
    pending: boards in hand whose range may still hold or be passed; not in `of`
    """

    odds: float
    held: int
    below: int
    above: int
    of: int
    band: tuple[int, int]
    pending: int = 0

    @property
    def within(self) -> bool:
        """Whether luck alone allows so many."""
        return self.band[0] <= self.held <= self.band[1]


@dataclass(frozen=True, slots=True)
class Scores:
    """How good ranges were: hours, the less the better, means over boards; None where no board was judged.

    interval_score: of the range at 8 in 10; crps: of the whole forecast
    bias: mean log of actual over likely hours; above 0 where boards took longer than half were to
    """

    held: tuple[Count, ...]
    interval_score: float | None
    crps: float | None
    bias: float | None


@dataclass(frozen=True, slots=True)
class Rival:
    """What another way of saying hours would have come to, on the boards that both can be judged on.

    of: those boards
    off, our_off: how many hours the middle was off, theirs and ours, on average: hours off count alike for all ways
    closer: on how many of them the middle of ours was off by less; off_chance: that it truly is, by luck of which
        boards came in
    crps, ours: the score of the whole range, hours, theirs and ours; nearer: on how many boards ours scored better
    gain: crps - ours, hours; gain_low, gain_high: its range, 8 in 10; chance: that ours truly scores better
    interval_score: at 8 in 10, None where it gives no range; held: its ranges, empty where it gives none
    """

    name: str = field(metadata=HIDDEN)
    of: int
    nearer: int
    crps: float
    ours: float
    gain: float
    gain_low: float
    gain_high: float
    chance: float
    interval_score: float | None = None
    our_interval_score: float | None = None
    held: tuple[Count, ...] = ()
    off: float = field(kw_only=True)
    our_off: float = field(kw_only=True)
    closer: int = field(kw_only=True)
    off_chance: float = field(kw_only=True)


@dataclass(frozen=True, slots=True)
class JudgedBoard(WithName):
    """One past board: what would have been said on its quote date, and what came.

    low, likely, high: hours at 8 in 10 as they would have been shown; hours: what it took, None while in hand
    side: -1 quicker than the range, 0 inside, 1 slower; None while it may still be either
    so_far: hours booked by now; cost_time: what cost the time, as written at hand-over
    guess: the restorer's own, None where none was written or it was remembered afterwards
    """

    board: str
    called: str
    kind: str
    quoted: str
    low: float
    likely: float
    high: float
    hours: float | None
    side: int | None
    so_far: float = 0.0
    finished: str = ""
    cost_time: str = ""
    guess: float | None = None
    wet: bool | None = None
    known: str = field(default="", metadata=HIDDEN)  # by what it is known without a short name


@dataclass(frozen=True, slots=True)
class Calibration:
    """How the restorer's own guesses went.

    of: finished boards with a guess made before; usual: the median of actual over guess; low, high: its 10 and 90 %
    within: how many took no more than a quarter more or less than guessed
    ranges, held: boards with a guessed low and high, and how many landed between; band: what 8 in 10 would allow
    truly: (low, high), how often such ranges hold, by how many did; right 19 times in 20; None without ranges
    too_narrow: how many times as wide his ranges would have to be, on the log scale, to hold 8 in 10; None below 8
    copied: guesses that equal what the board took, to the nearest half hour; suspicious: whether those are most of
        them, and five or more
    from_memory, undated: guesses left out because they were remembered afterwards, or have no quote date
    """

    of: int
    usual: float | None = None
    low: float | None = None
    high: float | None = None
    within: int = 0
    ranges: int = 0
    held: int = 0
    band: tuple[int, int] | None = None
    too_narrow: float | None = None
    copied: int = 0
    suspicious: bool = False
    from_memory: int = 0
    truly: tuple[float, float] | None = None
    undated: int = 0


@dataclass(frozen=True)
class TrackRecord(JsonForm):
    """The whole record, as of a day.

    shown: of ranges as they would have been shown, stretched as of then; raw: before the stretch
    stretch: (low, high), what ranges quoted from now on are stretched by; learned_from: from how many boards
    boards: every board that was forecast anew, in order of quote date
    groups: by sort of job ("kind major") and by how boards looked ("wet", "dry") the count at 8 in 10;
        below ENOUGH boards it says little
    told: what was said to owners as hours, by odds, first tellings only
    told_struck_out: how many tellings were struck out afterwards, and do not count
    left_out: why boards could not be judged, with counts and names
    missing: how many more finished boards it takes before the record says anything; 0 where it does
    dates: ready dates of the newest boards, as they would have been said on the day each was taken on
    raw_dates: the same before the stretch of dates
    stretch_of_dates: what ranges of dates said from now on are stretched by; dates_from: from how many boards
    dates_asked_later: boards whose dates do not count, as their owners asked for more later
    promises: boards ready by the last date of the first telling; None where no date was told
    taught: from how many boards hours are learned on that day, as a range counts them; None where nobody counted
    landed: every finished board in the order in which they were: id, ISO day, and where in the forecast as it would
        have been shown its hours landed, as a standard normal score; those too that do not count yet
    """

    as_of: str
    shown: Scores
    raw: Scores
    rivals: tuple[Rival, ...]
    stretch: tuple[float, float]
    learned_from: int
    boards: tuple[JudgedBoard, ...]
    calibration: Calibration
    groups: Mapping[str, Count] = field(default_factory=dict)
    told: tuple[Count, ...] = ()
    left_out: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    missing: int = 0
    dates: tuple[Count, ...] = ()
    promises: Count | None = None
    landed: tuple[tuple[str, str, float], ...] = ()
    raw_dates: tuple[Count, ...] = ()
    stretch_of_dates: tuple[float, float] = (1.0, 1.0)
    dates_from: int = 0
    dates_asked_later: tuple[str, ...] = ()
    taught: int | None = None
    told_struck_out: int = 0

    @property
    def judged(self) -> tuple[JudgedBoard, ...]:
        """The boards that count."""
        return tuple(board for board in self.boards if board.side is not None)

    def count(self, odds: float) -> Count:
        """How many shown ranges held at these odds."""
        return next(count for count in self.shown.held if abs(count.odds - odds) < 1e-9)

    def _json(self) -> dict[str, Any]:
        """The JSON of `record`, numbers unrounded."""
        # by hand: the scores of shown ranges stand on top, those before the stretch under "raw"
        return {
            "as_of": self.as_of,
            "boards": len(self.judged),
            **json_fields(self.shown),
            "dates": self.dates,
            "promises": self.promises,
            "raw": {**json_fields(self.raw), "dates": self.raw_dates},
            "against": {
                rival.name: {**json_fields(rival), "held": rival.held or None} for rival in self.rivals
            },
            "stretch": {"low": self.stretch[0], "high": self.stretch[1]},
            "learned_from": self.learned_from,
            "stretch_of_dates": {"low": self.stretch_of_dates[0], "high": self.stretch_of_dates[1]},
            "dates_learned_from": self.dates_from,
            "dates_asked_later": self.dates_asked_later,
            "groups": self.groups,
            "told": self.told,
            "told_struck_out": self.told_struck_out,
            "own_guesses": self.calibration,
            "left_out": self.left_out,
            "missing": self.missing,
            "each": self.boards,
        }

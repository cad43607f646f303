"""Shops played day by day by plain rules that know nothing of the bench's simulation, under one habit or another.

Boards come, take a place in the order in which they came, are worked on in that order, stand and come back.
"""

import datetime as dt
import random
from collections import Counter
from dataclasses import dataclass, field

import numpy as np

from estimator.bench.past_jobs import PastYear
from estimator.decide.otherwise import Habit, otherwise
from estimator.words.records import FINISHED, ON_BENCH, WAITING, Board, Entry, Log, Told, Wait
from estimator.words.settings.schema import Bench, Driver, Modifier, Settings, Stage

FIRST = dt.date(2025, 1, 6)  # a Monday
DAYS = 500
N = 60  # draws of luck
STAGES = ("strip", "drying", "infill", "spray", "laminate", "gloss", "polish")
SETTINGS = Settings(
    bench=Bench(places=3, hours_by_weekday=(6.0,) * 5 + (0.0, 0.0), most_hours_a_day_on_one_board=6.0),
    drivers={"pieces": Driver("pieces", known="strip")},
    modifiers={"wetness": Modifier("wetness", stages=("drying",), grades=("dry", "wet"), known="strip")},
    stages={
        name: Stage(
            name,
            drivers=("once",),
            after=(STAGES[i - 1],) if i else (),
            on="rack" if name == "drying" else "bench",
        )
        for i, name in enumerate(STAGES)
    },
)


@dataclass
class PieceOfWork:
    """Work on a stage, then days to stand; wait: the cause that is written down, or empty where it only sets."""

    stage: str
    hours: float
    days: int
    wait: str = ""


@dataclass
class PlayedBoard:
    """A board in a shop that is played."""

    name: str
    kind: str
    came: int
    pieces: list[PieceOfWork]
    told: int
    at: int = 0
    done: float = 0.0
    free: int = 0
    on_bench: bool = False
    begun: bool = False
    ready: int | None = None
    rows: list[tuple[int, str, float]] = field(default_factory=list)
    waits: list[tuple[str, int, int]] = field(default_factory=list)


def boards(luck: random.Random) -> list[PlayedBoard]:
    """Boards as they come, some of them small repairs."""
    made, day, n = [], -60, 0
    pace = luck.uniform(0.7, 1.3)
    while day < DAYS:
        small = luck.random() < 0.4
        n += 1
        if small:
            pieces = [
                PieceOfWork("infill", pace * luck.lognormvariate(1.0, 0.5), 1),
                PieceOfWork("laminate", pace * luck.lognormvariate(0.7, 0.4), 2),
                PieceOfWork("polish", pace * luck.lognormvariate(0.5, 0.4), 0),
            ]
        else:
            wet = luck.random() < 0.5
            asks = luck.random() < 0.3
            dries = round(luck.lognormvariate(3.0, 0.4)) if wet else 0
            answer = round(luck.lognormvariate(2.2, 0.6)) if asks else 0
            pieces = [
                PieceOfWork(
                    "strip",
                    pace * luck.lognormvariate(1.9, 0.4),
                    max(dries, answer),
                    "drying" if dries >= answer else "owner",
                ),
                PieceOfWork("infill", pace * luck.lognormvariate(1.5, 0.6), 1),
                PieceOfWork("spray", pace * luck.lognormvariate(2.2, 0.5), 1),
                PieceOfWork("laminate", pace * luck.lognormvariate(1.9, 0.3), 2),
                PieceOfWork("gloss", pace * luck.lognormvariate(1.5, 0.3), 6),
                PieceOfWork("polish", pace * luck.lognormvariate(1.5, 0.3), 0),
            ]
        hours = sum(piece.hours for piece in pieces)
        told = day + round((hours / 26 * 7 * luck.uniform(2, 4) + 14) * luck.uniform(0.8, 1.4))
        made.append(PlayedBoard(f"b{n:03}", "minor" if small else "major", day, pieces, told))
        day += max(1, round(luck.expovariate(1 / (9 if pace > 1 else 7))))
    return made


def hours_by_day(luck: random.Random) -> list[float]:
    """Hours at the bench: five days of the week, some lost."""
    return [
        0.0 if (day % 7) > 4 or luck.random() < 0.04 else max(0.0, luck.gauss(6, 1.2))
        for day in range(-63, DAYS + 400)
    ]


def play(
    all_boards: list[PlayedBoard], hours: list[float], later: Habit, since: int = 0
) -> list[PlayedBoard]:
    """The shop, day by day, as it always was worked, and from a day on under a habit."""
    shop = [PlayedBoard(b.name, b.kind, b.came, b.pieces, b.told, free=b.came) for b in all_boards]
    if later.days:
        weeks = [sum(hours[at : at + 7]) / len(later.days) for at in range(0, len(hours), 7)]
        moved = [weeks[at // 7] if at % 7 in later.days else 0.0 for at in range(len(hours))]
        hours = hours[: since + 63] + moved[since + 63 :]
    for at, today in enumerate(hours):
        day, left = at - 63, today
        habit = later if day >= since else Habit()
        places = habit.places or SETTINGS.bench.places
        live = [b for b in shop if b.ready is None and b.came <= day]
        for b in live:
            b.on_bench = b.on_bench and b.free < day + 1
        opens = [b for b in live if habit.strip_first and b.pieces[b.at].stage == "strip"]
        small = [b for b in live if habit.small_on is not None and b.kind == "minor"]
        line = [*opens, *small, *(b for b in live if b.begun), *(b for b in live if not b.begun)]
        turn = list({b.name: b for b in line}.values())
        if habit.small_on is not None and day % 7 != habit.small_on:
            turn = [b for b in turn if b.kind != "minor"]
        able = [b for b in turn if b.free <= day]
        for b in able:
            if b in opens:
                continue  # beside what stands on the bench
            if not b.on_bench and sum(one.on_bench for one in live) < places:
                b.on_bench = True
        for b in able:
            while (b.on_bench or b in opens) and b.ready is None and b.free <= day and left > 1e-9:
                piece = b.pieces[b.at]
                took = min(left, piece.hours - b.done)
                b.rows.append((day, piece.stage, took))
                b.begun, left, b.done = True, left - took, b.done + took
                if b.done < piece.hours - 1e-9:
                    break
                b.done, b.at, b.free = 0.0, b.at + 1, day + piece.days
                if piece.wait and piece.days:
                    b.waits.append((piece.wait, day, day + piece.days))
                if b in opens:
                    b.begun = False
                    opens.remove(b)
                if b.at == len(b.pieces):
                    b.ready, b.on_bench = day, False
    return shop


def log_of(shop: list[PlayedBoard]) -> Log:
    """What is written down of it."""
    day = lambda n: FIRST + dt.timedelta(days=n)  # noqa: E731
    rows, entries, waits, told = [], [], [], []
    for b in shop:
        if b.came >= DAYS:
            continue
        over = b.ready is not None and b.ready < DAYS
        state = FINISHED if over else ON_BENCH if b.rows else WAITING
        ready = day(b.ready) if over else None
        rows.append(
            Board(
                b.name,
                kind=b.kind,
                state=state,
                accepted=day(b.came),
                ready=ready,
                price_charged=100.0 if over else None,
            )
        )
        entries += [Entry(b.name, day(n), stage, took) for n, stage, took in b.rows if n < DAYS]
        waits += [Wait(b.name, day(first), day(last), cause) for cause, first, last in b.waits if last < DAYS]
        told.append(Told(b.name, day(b.came), first=day(b.told - 7), last=day(b.told), because="quote"))
    return Log(tuple(rows), tuple(sorted(entries, key=lambda e: e.date)), tuple(told), tuple(waits))


class GuessedLuck:
    """Luck about what was: hours by a quarter, waits by two fifths, on the log scale."""

    def __init__(self, log: Log) -> None:
        self.log = log

    def hours(self, board: Board):
        rng = np.random.default_rng(int.from_bytes(board.board.encode(), "big"))
        took = Counter()
        for entry in self.log.entries:
            if entry.board == board.board:
                took[entry.stage] += entry.hours
        return {stage: hours * np.exp(0.25 * rng.standard_normal(N)) for stage, hours in took.items()}

    def stood(self, _board: Board, stage: str):
        usual = {"infill": 1, "spray": 1, "laminate": 2, "gloss": 6}.get(stage, 0)
        return np.full(N, float(usual))

    def waited(self, board: Board, cause: str):
        rng = np.random.default_rng(int.from_bytes(f"{board.board}{cause}".encode()[:7], "big"))
        middle = {"drying": 20.0, "owner": 9.0}.get(cause, 7.0)
        return middle * np.exp(0.4 * rng.standard_normal(N))


def one_shop(seed, habits):
    """What is said and what is true, habit by habit, of one shop."""
    luck = random.Random(seed)
    made, hours = boards(luck), hours_by_day(luck)
    as_it_was = play(made, hours, Habit())
    log = log_of(as_it_was)
    last = log.last_entry
    assert last is not None
    year = PastYear.of(log, SETTINGS, last, GuessedLuck(log), N)
    first, end = (year.first - FIRST).days, (year.last - FIRST).days
    counted = [i for i, b in enumerate(as_it_was) if b.ready is not None and first <= b.ready <= end]
    said = []
    for habit in habits:
        one = otherwise(year, SETTINGS, habit)
        after = play(made, hours, habit, first)
        kept = [
            sum(shop[i].ready is not None and shop[i].ready <= shop[i].told for i in counted)
            for shop in (as_it_was, after)
        ]
        row = {
            "shop": seed,
            "habit": str({k: v for k, v in habit.as_dict().items() if v}),
            "boards": one.boards,
            "near": one.near,
            "truth": kept[1] - kept[0],
        }
        if one.asked is not None:
            row |= {
                "said": one.asked.kept - one.asked.kept_before,
                "low": one.asked.more_low,
                "high": one.asked.more_high,
            }
        said.append(row)
    return said

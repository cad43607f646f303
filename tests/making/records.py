"""Track records by hand; all boards are invented."""

import datetime as dt
from dataclasses import replace

from estimator.record.backtest.scores import luck_band
from estimator.record.backtest.track_record import Calibration, Count, JudgedBoard, Rival, Scores, TrackRecord

LENGTHS = ("six-two", "seven-four", "eight-two", "nine-four")
COLOURS = (
    "sand",
    "moss",
    "rust",
    "slate",
    "plum",
    "straw",
    "brick",
    "chalk",
    "olive",
    "coral",
    "tar",
    "lime",
)


def count(odds, held, below, above, pending=0):
    of = held + below + above
    return Count(odds, held, below, above, of, luck_band(of, odds), pending)


def board(number, **more):
    """A board that took 66 hours of 55 to 80."""
    plain = {
        "board": f"25-{number:03}",
        "called": f"{COLOURS[number % 12]} {LENGTHS[number % 4]}",
        "kind": "major" if number % 3 else "minor",
        "quoted": f"2025-{1 + number // 3 % 12:02}-{1 + number % 28:02}",
        "low": 53.2,
        "likely": 66.4,
        "high": 81.0,
        "hours": 66.0,
        "side": 0,
        "finished": "2026-01-15",
    }
    return JudgedBoard(**{**plain, **more})


def middle(off, our_off, closer, off_chance):
    """How far off the middles were."""
    return {"off": off, "our_off": our_off, "closer": closer, "off_chance": off_chance}


SLOW = {"hours": 97.2, "side": 1, "cost_time": "wet"}
QUICK = {"hours": 41.0, "side": -1}
JUST_OVER = {"hours": 81.2, "high": 80.6, "side": 1, "cost_time": "owner"}
IN_HAND = {"hours": None, "so_far": 88.4, "side": 1, "finished": ""}

BOARDS = (
    *(board(n) for n in range(10)),
    *(board(n, **SLOW) for n in (10, 11)),
    *(board(n) for n in range(12, 28)),
    board(28, **SLOW),
    board(29, **QUICK),
    board(30, **JUST_OVER),
    board(31, **IN_HAND),
    board(32, hours=None, side=None, so_far=30.0),
)

RIVALS = (
    Rival("own guess", 30, 24, 9.1, 5.0, 4.1, 0.9, 5.3, 0.99, **middle(9.1, 7.0, 21, 0.97)),
    Rival(
        "guess x usual",
        24,
        13,
        7.6,
        7.1,
        0.5,
        -0.4,
        1.4,
        0.76,
        41.0,
        36.0,
        (count(0.8, 19, 2, 3),),
        **middle(7.6, 7.1, 13, 0.76),
    ),
    Rival(
        "median of past",
        32,
        27,
        15.0,
        7.0,
        8.0,
        5.0,
        11.0,
        0.999,
        80.0,
        36.0,
        (count(0.8, 27, 2, 3),),
        **middle(15.0, 7.0, 27, 0.999),
    ),
    Rival(
        "plain regression",
        22,
        9,
        6.0,
        7.2,
        -1.2,
        -2.2,
        -0.2,
        0.08,
        33.0,
        37.0,
        (count(0.8, 17, 2, 3),),
        **middle(6.0, 7.2, 9, 0.08),
    ),
)

OWN = Calibration(
    of=30,
    usual=1.26,
    low=0.9,
    high=1.7,
    within=14,
    ranges=12,
    held=5,
    band=(7, 12),
    too_narrow=1.72,
    copied=2,
)

RECORD = TrackRecord(
    as_of="2026-02-01",
    shown=Scores((count(0.5, 16, 6, 10), count(0.8, 26, 1, 5, 1), count(0.95, 30, 0, 2, 1)), 36.1, 7.02, 0.051),
    raw=Scores((count(0.5, 15, 7, 10), count(0.8, 24, 2, 6, 1), count(0.95, 29, 0, 3, 1)), 37.4, 7.11, 0.049),
    rivals=RIVALS,
    stretch=(1.01, 1.11),
    learned_from=31,
    boards=BOARDS,
    calibration=OWN,
    groups={"kind major": count(0.8, 17, 1, 3), "kind minor": count(0.8, 9, 0, 2), "wet": count(0.8, 2, 0, 1), "dry": count(0.8, 24, 1, 4)},
    told=(count(0.8, 7, 0, 3),),
    left_out={
        "no quote date": ("fog six-two", "ink seven-four", "25-101", "25-102"),
        "still in hand": ("jade nine-two",),
    },
)  # fmt: skip

NONE_YET = TrackRecord(
    as_of="2026-02-01",
    shown=Scores((count(0.5, 0, 0, 0), count(0.8, 0, 0, 0), count(0.95, 0, 0, 0)), None, None, None),
    raw=Scores((count(0.5, 0, 0, 0), count(0.8, 0, 0, 0), count(0.95, 0, 0, 0)), None, None, None),
    rivals=(),
    stretch=(1.0, 1.0),
    learned_from=0,
    boards=(),
    calibration=Calibration(of=0),
    missing=8,
)


def with_last(missed, of=20):
    """The record with so many misses, all slower, among so many boards, and none before."""
    boards = (*(board(n) for n in range(of - missed)), *(board(n, **SLOW) for n in range(missed)))
    return replace(RECORD, boards=boards)


def write_shop(folder, boards):
    """A workshop with one stage, and one finished board a week, with a quote date and a guess that was copied."""
    settings = ['[drivers.area]\nlabel = "Area"', '[stages.strip]\ndrivers = ["once", "area"]']
    rules = [
        f'[[rules]]\nname = "{per}"\nstage = "strip"\nper = "{per}"\nlow = 1\nhigh = 4'
        for per in ("once", "area")
    ]
    rows, hours = ["board,quoted,started,ready,guess,assessed_area,found_area"], ["board,date,stage,hours"]
    for n in range(boards):
        quoted, ready = (dt.date(2025, 1, 6) + dt.timedelta(days=7 * n + more) for more in (0, 4))
        took = 3 + 4 * (n % 3) * (1.0, 1.4, 0.7, 1.9)[n % 4]
        rows.append(f"b{n},{quoted},{quoted},{ready},{took},{1 + n % 3},{1 + n % 3}")
        hours.append(f"b{n},{ready},strip,{took}")
    for name, lines in {"workshop.toml": settings + rules, "boards.csv": rows, "hours.csv": hours}.items():
        (folder / name).write_text("\n".join(lines) + "\n", "utf-8")

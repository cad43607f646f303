"""A workshop of four stages with every sort of rule, and eight boards with every sort of row."""

import datetime as dt

from estimator.words.records import FINISHED, ON_BENCH, Board, Entry, Log, Rule
from estimator.words.settings.schema import Driver, Modifier, Settings, Stage

DAY = dt.date(2026, 6, 30)

RULES = (
    Rule("square metre", stage="strip", per="area", low=2.0, high=4.5, odds=0.8),
    Rule("set-up", stage="strip", per="once", low=0.5, high=1.5, odds=0.8, source="starter"),
    Rule("square metre, said again", stage="strip", per="area", low=3.0, high=4.0, odds=0.5),
    Rule("colour", stage="spray", per="colours", low=5.0, high=12.0, odds=0.9),
    Rule("brittle", stage="strip", modifier="brittle", low=1.1, high=1.8, odds=0.8),
    Rule("brittle, said again", stage="strip", modifier="brittle", low=1.05, high=1.3, odds=0.8, source="shops"),
    Rule("masked", stage="infill", modifier="masking", low=0.7, high=0.95, odds=0.8),
    Rule("sanding", stage="sand", when={"area": (1.0, 2.0)}, low=2.0, high=7.0, odds=0.8),
    Rule("a board", low=12.0, high=40.0, odds=0.8),
    Rule(
        "many pieces", stage="infill", when={"pieces": (50, 60)}, board={"pieces": 55.0}, low=60.0, high=150.0,
        odds=0.8, source="starter",
    ),
)  # fmt: skip

SETTINGS = Settings(
    drivers={name: Driver(name) for name in ("area", "pieces", "colours")},
    modifiers={
        "brittle": Modifier("brittle", stages=("strip",), grades=("sound", "crisp", "brittle")),
        "masking": Modifier("masking", stages=("infill", "spray"), grades=("none", "some", "much")),
    },
    stages={
        "strip": Stage("strip", drivers=("once", "area")),
        "infill": Stage("infill", drivers=("pieces",), after=("strip",)),
        "spray": Stage("spray", drivers=("once", "colours"), after=("infill",)),
        "sand": Stage("sand", drivers=("area",), after=("spray",)),
    },
    rules=RULES,
)

# area, pieces, colours, brittle, masking (None: not known)
QUANTITIES = {
    "a": (2.0, 3, 2, 1, 0),
    "b": (1.2, 0, 1, 0, 2),  # one total
    "c": (1.5, 2, 0, 2, 1),  # one total, and its strip
    "d": (2.6, 4, 3, 0, 1),  # on the bench: strip finished, pieces in hand
    "e": (0.6, 1, 1, None, 2),
    "f": (0.0, 2, 0, 0, 0),  # one stage, as a total
    "g": (1.8, 0, 4, 2, 1),
    "h": (2.2, 5, 0, 1, 0),  # one total
}
TOTALS = {"b": 19.5, "c": 17.0, "f": 3.2, "h": 24.0}
HOURS = {
    "a": {"strip": 9.13, "infill": 5.21, "spray": 27.4, "sand": 4.37},
    "c": {"strip": 6.71},
    "d": {"strip": 8.53, "infill": 2.5},
    "e": {"strip": 3.91, "infill": 1.27, "spray": 9.83, "sand": 2.11},
    "g": {"strip": 12.31, "spray": 61.7, "sand": 3.03},
}
AGO = {"a": 900, "b": 700, "c": 500, "d": 0, "e": 200, "f": 120, "g": 60, "h": 30}  # days


def board(name, **fields):
    area, pieces, colours, brittle, masking = QUANTITIES[name]
    values = {"area": area, "pieces": pieces, "colours": colours, "brittle": brittle, "masking": masking}
    day = DAY - dt.timedelta(days=AGO[name])
    return Board(
        name,
        state=ON_BENCH if name == "d" else FINISHED,
        started=day,
        ready=None if name == "d" else day,
        assessed={q: float(v) for q, v in values.items() if v is not None},
        total_hours=TOTALS.get(name),
        **fields,
    )


def log(names="abcdefgh", order=tuple(SETTINGS.stages)):
    entries = [
        Entry(name, DAY - dt.timedelta(days=AGO[name]), stage, HOURS[name][stage])
        for name in names
        for stage in order
        if stage in HOURS.get(name, {})
    ]
    return Log(tuple(board(name) for name in names), tuple(entries))

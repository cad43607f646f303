"""The columns of a log kept as csv files, by file name, in the order in which they stand."""

from __future__ import annotations

from estimator.words.settings import Settings

BOARDS, HOURS, TOLD, WAITS, WEIGHTS = FILES = (
    "boards.csv",
    "hours.csv",
    "told.csv",
    "waits.csv",
    "weights.csv",
)
LOOKED, TURNED_OUT, ASKED_LATER = PREFIXES = ("assessed_", "found_", "later_")

_BEFORE = """board called owner reach kind aim wanted_by asked quoted accepted started ready collected paid_on
state outline cost_time length width"""
_AFTER = """guess guess_low guess_high from_memory price_quoted price_charged materials deposit paid
hold_until promised_first promised_last decided decided_why for_love total_hours total_grain note"""
_OTHERS = {
    HOURS: "board date until stage hours done note",
    TOLD: "board date hours_low hours_high price terms first last odds because paid_by",
    WAITS: "board from until for note",
    WEIGHTS: "board date weight",
}


def csv_headers(settings: Settings) -> dict[str, tuple[str, ...]]:
    """Every column that a log of this workshop may have: file name to column names.

    Each driver, modifier and sometimes-stage has three columns on `boards.csv`: as it looked, as it turned
    out, and what of it the owner added.

    >>> csv_headers(Settings())["weights.csv"]
    ('board', 'date', 'weight')
    >>> from estimator.words.settings import Driver
    >>> [c for c in csv_headers(Settings(drivers={"logos": Driver("logos")}))["boards.csv"] if "logos" in c]
    ['assessed_logos', 'found_logos', 'later_logos']
    """
    quantities = [prefix + name for name in settings.quantities for prefix in PREFIXES]
    boards = (*_BEFORE.split(), *quantities, *_AFTER.split())
    return {BOARDS: boards, **{file: tuple(columns.split()) for file, columns in _OTHERS.items()}}

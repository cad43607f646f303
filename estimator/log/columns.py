"""Names of columns: which sheets and columns a log has, in any spelling, and what is said of the rest."""

from __future__ import annotations

import difflib
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

from estimator.words.labels import LABELS
from estimator.words.settings.schema import Settings

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
    >>> from estimator.words.settings.schema import Driver
    >>> [c for c in csv_headers(Settings(drivers={"logos": Driver("logos")}))["boards.csv"] if "logos" in c]
    ['assessed_logos', 'found_logos', 'later_logos']
    """
    quantities = [prefix + name for name in settings.quantities for prefix in PREFIXES]
    boards = (*_BEFORE.split(), *quantities, *_AFTER.split())
    return {BOARDS: boards, **{file: tuple(columns.split()) for file, columns in _OTHERS.items()}}


# what else a restorer may write above a column, by file
ALSO: Mapping[str, Mapping[str, str]] = {
    BOARDS: {"finished": "ready", "id": "board", "board_id": "board", "notes": "note"},
    HOURS: {"day": "date", "notes": "note", "board_id": "board", "from": "date"},
    TOLD: {"day": "date", "low": "hours_low", "high": "hours_high", "board_id": "board"},
    WAITS: {"first": "from", "last": "until", "cause": "for", "notes": "note", "board_id": "board"},
}
HEADS = {LOOKED: "assessed", TURNED_OUT: "found", ASKED_LATER: "asked later"}
NEAR = 0.6  # likeness from which a name is offered as the one that was meant


@dataclass(frozen=True, slots=True)
class Names:
    """The columns that one sheet of a log may have.

    sheet: boards, hours, told, waits or weights
    known: plain spelling of each accepted name to the column's own name
    bare: plain spelling of a driver, modifier or sometimes-stage to its own name
    """

    sheet: str
    known: Mapping[str, str]
    bare: Mapping[str, str]

    def find(self, name: object) -> str:
        """The column that is meant, or an empty text."""
        return self.known.get(plain(name), "")

    def unknown(self, name: str) -> tuple[str, str]:
        """What is wrong with a name that is no column's, and the cure."""
        bare = self.bare.get(plain(name))
        if bare:
            return (
                "this name does not say whether as judged before work or as it turned out",
                f"Name it {LOOKED}{bare} or {TURNED_OUT}{bare}.",
            )
        close = difflib.get_close_matches(plain(name)[:60], self.known, n=1, cutoff=NEAR)
        wrong = f"{self.sheet} has no column of this name, and it is not read"
        if not close:
            return wrong, "Rename it, or take it out."
        return wrong, f"The nearest is {self.known[close[0]]}: rename it, or take it out."


@lru_cache(maxsize=10_000, typed=True)
def plain(name: object) -> str:
    """A name in small letters, with one underscore for any run of spaces, dots, hyphens and underscores.

    >>> plain(" Assessed  infills ")
    'assessed_infills'
    """
    return re.sub(r"[\s._-]+", "_", str(name).strip().casefold()).strip("_")


def names_of_sheets(settings: Settings) -> dict[str, Names]:
    """For each sheet of a log its columns in every accepted spelling, by the sheet's name.

    >>> names_of_sheets(Settings())["boards"].find("Finished")
    'ready'
    >>> names_of_sheets(Settings())["hours"].find("Notes"), names_of_sheets(Settings())["hours"].find("x")
    ('note', '')
    """
    bare = {
        plain(spelling): name
        for name in settings.quantities
        for spelling in (settings.quantity_label(name), name)
    }
    headers = csv_headers(settings)
    read = {}
    for file in FILES:
        known = dict(ALSO.get(file, {}))
        if file == BOARDS:
            for column, head in HEADS.items():
                for before in (column, head, LABELS[head]):
                    known |= {f"{plain(before)}_{spelt}": column + name for spelt, name in bare.items()}
        known |= {plain(column): column for column in headers[file]}
        sheet = file.removesuffix(".csv")
        read[sheet] = Names(sheet, known, bare if file == BOARDS else {})
    return read


def columns_of(header: Sequence[object], names: Names) -> tuple[dict[str, int], list[tuple[int, str, str]]]:
    """Where each known column stands, and (place, what is wrong, cure) for every other name.

    A column without a name is passed over; of two columns for the same thing the first counts.

    >>> names = names_of_sheets(Settings())["weights"]
    >>> columns_of(["Board", "Date", "wieght", ""], names)[0]
    {'board': 0, 'date': 1}
    >>> columns_of(["Board", "Date", "wieght", ""], names)[1][0][2]
    'The nearest is weight: rename it, or take it out.'
    """
    places: dict[str, int] = {}
    troubles = []
    for at, written in enumerate(header):
        column = names.find(written)
        if not plain(written):
            continue
        if not column:
            troubles.append((at, *names.unknown(str(written))))
        elif column in places:
            troubles.append(
                (at, f"two columns are read as {column}, and only the first counts", "Take one of them out.")
            )
        else:
            places[column] = at
    return places, troubles

"""Names of columns: which sheets and columns a log has, in any spelling, and what is said of the rest."""

from __future__ import annotations

import difflib
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

from estimator.words.labels import LABELS, MONEY_FOR
from estimator.words.records import (
    AGAIN,
    AIMS,
    BECAUSE,
    COST_TIME,
    DECISIONS,
    JUDGED_WITH,
    OUTLINES,
    PAID_BY,
    SHOP,
    STATES,
    TERMS,
    WAIT_CAUSES,
)
from estimator.words.settings.schema import Settings

BOARDS, HOURS, TOLD, WAITS, WEIGHTS, NOTES, MONEY = FILES = (
    "boards.csv",
    "hours.csv",
    "told.csv",
    "waits.csv",
    "weights.csv",
    "notes.csv",
    "money.csv",
)
LOOKED, TURNED_OUT, ASKED_LATER = PREFIXES = ("assessed_", "found_", "later_")

OUR_ROW = "book_row"  # a column of our own in what is exported: by it a row is known again

A_DATE = "a date, best as 2026-04-03"

# each column, and what stands in it; quantities of the settings come between the first two
_BEFORE: Mapping[str, str] = {
    "board": "its number; left empty, numbered by us",
    "called": "what you call it in the shop, as red nine-four",
    "owner": "whose it is; private",
    "reach": "how to reach the owner; private",
    "kind": "its sort of job, by a name under [kinds.NAME] in the settings",
    "aim": f"what it is for: {', '.join(AIMS)}",
    "wanted_by": f"the day the owner needs it by: {A_DATE}",
    "asked": f"the day you were asked: {A_DATE}. 03/04/2026 is two days, and is refused unless the setting dates "
    "says how you write it",
    "quoted": "the day you named a price",
    "accepted": "the day the owner said yes",
    "started": "the day work began",
    "ready": "the day it was ready, as the setting ready means it",
    "collected": "the day it was fetched",
    "paid_on": "the day it was paid",
    "state": f"{', '.join(STATES)}; left empty, worked out from dates and hours",
    "outline": f"its shape: {', '.join(OUTLINES)}",
    "cost_time": f"what cost the time: {', '.join(COST_TIME)}",
    "length": "9'6, 9-6, 9 ft 6 in, 290 cm or 2.9 m; a bare 9.6 can be two lengths, and is refused",
    "width": "22 1/2 in or 57 cm",
    "judged_with": f"with what it was judged before work: {', '.join(JUDGED_WITH)}",
}
_QUANTITIES: Mapping[str, str] = {
    LOOKED: "one column for each quantity and condition in the settings: how much of it there is, as judged before "
    "work; ? is can't see yet",
    TURNED_OUT: "the same, as it turned out in all; same where it was just as you thought",
    ASKED_LATER: "the same, what of it the owner added since; less with a minus, as -1",
}
_AFTER: Mapping[str, str] = {
    "guess": "your own hours at the quote, before you look at the range",
    "guess_low": "or the least of them",
    "guess_high": "and the most",
    "from_memory": "yes where you only remember the guess now; it is not judged then",
    "price_quoted": "the price you named",
    "price_charged": "the price you got in the end",
    "materials": "what its materials cost",
    "deposit": "what was paid beforehand",
    "paid": "what was paid in all",
    "returned": "what of that you gave back",
    "hold_until": "the day until which its place is held",
    "promised_first": "the day before which you first said it would not be ready",
    "promised_last": "the day by which you first said it would be",
    "decided": f"what you decided, once you weighed it up: {', '.join(DECISIONS)}",
    "decided_why": "your reason",
    "for_love": "yes where you took it for love, whatever it pays",
    "total_hours": "for boards without rows of hours: 52, or 9 days",
    "total_grain": "the step in which the total is written: a day, half a day; left empty, as it is written",
    "note": "anything",
}
_OTHERS: Mapping[str, Mapping[str, str]] = {
    HOURS: {
        "board": f"its number or short name; {SHOP} for time on no board",
        "date": "the day",
        "until": "the last day, where the row covers several",
        "stage": "a stage of the settings",
        "hours": "2.5, 2,5, 2:30, 2h30, 4½, about 9, half a day; 0 says that the stage was not done",
        "done": "yes when this finishes the stage; no to deny it, as when more of a finished stage is asked for",
        "again": f"why it was done again: {', '.join(AGAIN)}; they count in the whole, not in the stage's own",
        "note": "anything; on the shop with 0 hours, away or did not work explains a day",
    },
    TOLD: {
        "board": "its number or short name",
        "date": "the day you said it",
        "hours_low": "the fewest hours that you named",
        "hours_high": "the most",
        "price": "the price that you named",
        "terms": f"its sort: {', '.join(TERMS)}, or your own words",
        "first": "the day before which it is not ready",
        "last": "the day by which it is",
        "odds": "how often that is to hold, as 8/10",
        "because": f"why it was told: {', '.join(BECAUSE)}",
        "paid_by": f"who pays for what came on top: {', '.join(PAID_BY)}",
        "adds_hours": "hours that what its owner asked for since adds by itself; worked out by us",
        "adds_days": "and days",
        "struck_out": "why it was said by mistake; then it stays to be read, and does not count",
    },
    WAITS: {
        "board": "its number or short name",
        "from": "the day from which it stood",
        "until": "the day on which that was over; empty while it stands",
        "for": f"why: {', '.join(WAIT_CAUSES)}",
        "note": "anything",
    },
    WEIGHTS: {
        "board": "its number or short name",
        "date": "the day",
        "weight": "what the scales say, as 6.4 kg",
    },
    NOTES: {
        "board": f"its number or short name; {SHOP}, or empty, for a note on no board",
        "date": "the day",
        "note": "anything that you want to find again: a colour mix, laps, a tracing",
        "photo": "the name of its picture",
    },
    MONEY: {
        "date": "the day",
        "in": "what came in, as 350 or 350.50",
        "out": "or what went out",
        "what": f"for what: {', '.join(MONEY_FOR)}, or your own words",
        "boards": "for which board; what was bought for several, as 26-014; 26-015, is split between them; left empty, "
        "for none",
        "note": "anything",
    },
}


@dataclass(frozen=True, slots=True)
class ColumnHelp:
    """A column of a sheet, and what stands in it. name: ends in … where settings name the rest"""

    name: str
    says: str


def columns_manual() -> dict[str, tuple[ColumnHelp, ...]]:
    """What stands in each column of a log, by sheet, in the order of the empty sheets.

    >>> columns_manual()["weights"][2].says
    'what the scales say, as 6.4 kg'
    """
    quantities = {f"{prefix}…": says for prefix, says in _QUANTITIES.items()}
    tables = {BOARDS: {**_BEFORE, **quantities, **_AFTER}, **_OTHERS}
    return {
        file.removesuffix(".csv"): tuple(ColumnHelp(name, says) for name, says in table.items())
        for file, table in tables.items()
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
    boards = (*_BEFORE, *quantities, *_AFTER)
    return {BOARDS: boards, **{file: tuple(columns) for file, columns in _OTHERS.items()}}


# what else a restorer may write above a column, by file
ALSO: Mapping[str, Mapping[str, str]] = {
    BOARDS: {"finished": "ready", "id": "board", "board_id": "board", "notes": "note"},
    HOURS: {"day": "date", "notes": "note", "board_id": "board", "from": "date"},
    TOLD: {"day": "date", "low": "hours_low", "high": "hours_high", "board_id": "board"},
    WAITS: {"first": "from", "last": "until", "cause": "for", "notes": "note", "board_id": "board"},
    NOTES: {"day": "date", "notes": "note", "text": "note", "picture": "photo", "board_id": "board"},
    MONEY: {"day": "date", "for": "what", "board": "boards", "board_id": "boards", "notes": "note"},
}
HEADS = {LOOKED: "assessed", TURNED_OUT: "found", ASKED_LATER: "asked later"}
NEAR = 0.82  # likeness from which a name is offered: a slip of the pen, not another word (glass is no guess)


@dataclass(frozen=True, slots=True)
class Names:
    """The columns that one sheet of a log may have.

    sheet: boards, hours, told, waits, weights, notes or money
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
        alike = difflib.get_close_matches(plain(name)[:60], self.known, cutoff=NEAR)
        close = [one for one in alike if _near(plain(name), one)]
        wrong = f"{self.sheet} has no column of this name, and it is not read"
        if not close:
            return wrong, "Rename it, or take it out."
        return wrong, f"The nearest is {self.known[close[0]]}: rename it, or take it out."


def _near(name: str, known: str) -> bool:
    """Whether two names are near without what quantities have before them: assessed_glass is no assessed_gloss."""
    for prefix in PREFIXES:
        if name.startswith(prefix) and known.startswith(prefix):
            name, known = name.removeprefix(prefix), known.removeprefix(prefix)
    return difflib.SequenceMatcher(None, name, known).ratio() >= NEAR


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
        if plain(written) in {"", OUR_ROW}:
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

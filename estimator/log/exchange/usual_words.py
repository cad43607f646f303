"""What people write above the columns of their own spreadsheets, and the units that they write there."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping

# by sheet and column, what else stands above it; common practice, no source. A word under several columns is told
# apart by what stands below it, or asked about.
USUAL: Mapping[str, Mapping[str, tuple[str, ...]]] = {
    "boards": {
        "board": (
            "job no",
            "job number",
            "no",
            "number",
            "nr",
            "id",
            "ticket",
            "ref",
            "reference",
            "board no",
        ),
        "called": ("name", "board name", "nickname", "surfboard", "description"),
        "owner": ("customer", "client", "name", "owner name", "customer name", "client name", "belongs to"),
        "reach": ("phone", "tel", "telephone", "mobile", "email", "e mail", "contact", "contact details"),
        "kind": ("type", "job type", "type of job", "job", "work", "repair", "sort", "level"),
        "aim": ("purpose", "what for"),
        "wanted_by": ("due", "due date", "needed by", "deadline", "wanted", "by when"),
        "asked": (
            "enquiry",
            "inquiry",
            "enquired",
            "date in",
            "in",
            "received",
            "came in",
            "date",
            "first contact",
        ),
        "quoted": ("quote", "quote date", "date quoted", "priced on"),
        "accepted": ("agreed", "confirmed", "said yes", "date in", "in", "received", "dropped off", "date"),
        "started": ("start", "start date", "date started", "begun", "began", "date"),
        "ready": (
            "finish",
            "finish date",
            "date finished",
            "done",
            "complete",
            "completed",
            "end",
            "end date",
            "date",
        ),
        "collected": (
            "picked up",
            "pick up",
            "out",
            "date out",
            "returned to owner",
            "handed over",
            "fetched",
        ),
        "paid_on": ("paid", "date paid", "payment date"),
        "state": ("status", "stage", "where"),
        "outline": ("shape", "template"),
        "length": ("size", "board length", "long"),
        "width": ("wide", "board width"),
        "guess": (
            "estimate",
            "est",
            "est hours",
            "estimated hours",
            "hours estimated",
            "quoted hours",
            "hours quoted",
            "guessed hours",
            "hours guessed",
            "my guess",
        ),
        "price_quoted": (
            "quote",
            "quoted",
            "price",
            "estimate",
            "est",
            "est price",
            "estimated price",
            "quoted price",
        ),
        "price_charged": (
            "price",
            "charged",
            "charge",
            "invoice",
            "invoiced",
            "bill",
            "billed",
            "final price",
        ),
        "materials": (
            "material",
            "material cost",
            "materials cost",
            "cost of materials",
            "parts",
            "resin and cloth",
        ),
        "deposit": ("down payment", "paid up front"),
        "paid": ("paid in all", "total paid", "amount paid", "received"),
        "returned": ("refund", "refunded", "given back"),
        "promised_last": ("promised", "promised for", "promised by", "due", "due date"),
        "total_hours": (
            "hours",
            "total hours",
            "hours total",
            "time",
            "total time",
            "time taken",
            "hours worked",
            "actual hours",
            "hours actual",
            "hours spent",
            "labour",
            "labour hours",
        ),
        "note": ("notes", "comment", "comments", "remark", "remarks", "info"),
    },
    "hours": {
        "board": ("job", "job no", "job number", "board no", "board name", "surfboard", "which board", "ref"),
        "date": ("day", "when", "date worked"),
        "stage": ("work", "task", "what", "activity", "step", "job done", "work done", "did"),
        "hours": ("time", "hours worked", "time spent", "hours spent", "worked", "how long"),
        "note": ("notes", "comment", "comments", "remark", "remarks"),
    },
    "waits": {
        "board": ("job", "job no", "job number", "board no", "board name"),
        "from": ("start", "since", "from date", "began"),
        "until": ("end", "to", "until date", "ended"),
        "for": ("reason", "why", "cause", "waiting for"),
        "note": ("notes", "comment", "comments"),
    },
    "weights": {
        "board": ("job", "job no", "job number", "board no", "board name"),
        "date": ("day", "when", "weighed", "weighed on"),
        "weight": ("scales", "weighs"),
    },
    "notes": {
        "board": ("job", "job no", "job number", "board no", "board name"),
        "date": ("day", "when"),
        "note": ("notes", "comment", "comments", "text"),
    },
    "money": {
        "date": ("day", "when"),
        "in": ("income", "received", "money in", "credit"),
        "out": ("expense", "spent", "money out", "debit", "cost"),
        "what": ("item", "description", "for"),
        "boards": ("board", "job", "job no", "job number", "board no"),
        "note": ("notes", "comment", "comments"),
    },
}
ASSESSED = frozenset({"assessed", "looked", "estimated", "est", "expected", "before"})
FOUND = frozenset({"found", "actual", "real", "really", "after", "turned"})
SUMS = frozenset(
    {"total", "totals", "sum", "sums", "subtotal", "subtotals", "average", "averages", "avg", "mean"}
)
HOURLY = frozenset({"h", "days", "min"})

UNITS: Mapping[str, str] = {
    **dict.fromkeys(("h", "hr", "hrs", "hour", "hours"), "h"),
    **dict.fromkeys(("day", "days"), "days"),
    **dict.fromkeys(("min", "mins", "minutes"), "min"),
    **dict.fromkeys(("ft", "feet", "foot"), "ft"),
    **dict.fromkeys(("in", "inch", "inches"), "in"),
    **dict.fromkeys(("cm", "cms"), "cm"),
    **dict.fromkeys(("mm",), "mm"),
    **dict.fromkeys(("m", "metre", "metres", "meter", "meters"), "m"),
    **dict.fromkeys(("m2", "m²", "sqm", "sq m", "sq. m", "square metres", "square meters"), "m2"),
    **dict.fromkeys(("ft2", "ft²", "sqft", "sq ft", "sq. ft", "square feet", "square foot"), "ft2"),
    **dict.fromkeys(("kg", "kgs", "kilos"), "kg"),
    **dict.fromkeys(("lb", "lbs", "pounds"), "lb"),
}
AT_END = sorted((unit for unit in UNITS if unit not in {"day", "in", "m", "h"}), key=len, reverse=True)
SAME = {
    "hr": "hours",
    "hrs": "hours",
    "hour": "hours",
    "num": "no",
    "nr": "no",
    "estimated": "est",
    "qty": "no",
}
BRACKETS = re.compile(r"[(\[]([^()\[\]]*)[)\]]")
WORD = re.compile(r"[^\W_]+")


def words_of(text: object) -> tuple[str, ...]:
    """The words of a heading in small letters, abbreviations written out.

    >>> words_of("Est. Hrs:"), words_of("Job #")
    (('est', 'hours'), ('job', 'no'))
    """
    return tuple(SAME.get(word, word) for word in WORD.findall(str(text).casefold().replace("#", " no ")))


def stem(word: str) -> str:
    """A word without the ending of what is being done, so that sanding is sand.

    >>> stem("sanding"), stem("stripping"), stem("glazed"), stem("spray")
    ('sand', 'strip', 'glaz', 'spray')
    """
    for ending in ("ing", "ed"):
        if word.endswith(ending) and len(word) - len(ending) >= 3:
            word = word.removesuffix(ending)
            return word[:-1] if len(word) > 3 and word[-1] == word[-2] and word[-1] not in "sl" else word
    return word.removesuffix("e") if len(word) > 3 else word


def unit_in(text: str) -> tuple[str, str]:
    """A heading without its unit, and the unit; empty where it has none.

    >>> unit_in("Length (ft)"), unit_in("Strip hrs"), unit_in("Glass, sq ft"), unit_in("Hours: sanding"), unit_in("In")
    (('Length', 'ft'), ('Strip', 'h'), ('Glass', 'ft2'), ('sanding', 'h'), ('In', ''))
    """
    for inside in BRACKETS.findall(text):
        unit = UNITS.get(" ".join(inside.casefold().split()).rstrip("."))
        if unit:
            return " ".join(BRACKETS.sub(" ", text).split()), unit
    bare = " ".join(text.split())
    folded = bare.casefold().rstrip(".: ")
    for word in AT_END:
        head = folded.removesuffix(word)
        if head != folded and head and not head[-1].isalnum() and WORD.search(head):
            head = bare[: len(head)].rstrip(" ,.:-–/")
            return head.removesuffix(" in"), UNITS[word]
    for word in ("hours", "hrs", "hr"):
        rest = folded.removeprefix(word)
        if rest != folded and rest and not rest[0].isalnum() and WORD.search(rest):
            return bare[len(word) :].strip(" ,.:-–/"), "h"
    return bare, ""


def a_sum(cells: Iterable[object]) -> bool:
    """Whether the first words of a row say that it sums the others up.

    >>> a_sum(["", "Grand total:", 12.0]), a_sum(["26-014", "total rebuild"])
    (True, False)
    """
    first = next((words_of(cell) for cell in cells if isinstance(cell, str) and cell.strip()), ())
    return bool(first) and first[-1] in SUMS | {"hours"} and bool(set(first) & SUMS) and len(first) <= 2

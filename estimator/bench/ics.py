"""Days for any calendar program: whole-day events as RFC 5545 has them."""

from __future__ import annotations

import datetime as dt
import unicodedata
import uuid
from collections.abc import Iterable
from dataclasses import dataclass

from estimator.words.dates import A_DAY

OURS = uuid.UUID("6f0c9a52-3f7e-5b0e-9d0b-0e8f3a1c7d24")  # under which our events have their ids
LINE = 75  # octets, without the line's end (RFC 5545, 3.1)
END = "\r\n"


@dataclass(frozen=True, slots=True)
class Event:
    """Something on whole days, both included.

    key: what it is about, as a board's id: the same key is the same event, told anew
    """

    key: str
    first: dt.date
    last: dt.date
    summary: str
    description: str = ""


def calendar_text(events: Iterable[Event], *, on: dt.date) -> str:
    """The events as the text of a file for calendar programs.

    on: the day on which they are told; an event told again later takes the place of the earlier one

    Source: RFC 5545: whole days 3.6.1 (the end is the day after the last), texts 3.3.11, lines 3.1; ids RFC 9562, 5.5.

    >>> day = dt.date(2026, 10, 5)
    >>> text = calendar_text([Event("26-014", day, day, "Red nine-four ready")], on=day)
    >>> text.splitlines()[7:10]
    ['DTSTART;VALUE=DATE:20261005', 'DTEND;VALUE=DATE:20261006', 'SUMMARY:Red nine-four ready']
    """
    lines = ["BEGIN:VCALENDAR", "VERSION:2.0", "PRODID:-//estimator//bench//EN"]
    for event in events:
        lines += [
            "BEGIN:VEVENT",
            f"UID:{uuid.uuid5(OURS, event.key)}",
            f"DTSTAMP:{_day(on)}T000000Z",
            f"SEQUENCE:{on.toordinal()}",
            f"DTSTART;VALUE=DATE:{_day(event.first)}",
            f"DTEND;VALUE=DATE:{_day(event.last + A_DAY)}",
            f"SUMMARY:{_text(event.summary)}",
            *([f"DESCRIPTION:{_text(event.description)}"] if event.description else []),
            "TRANSP:TRANSPARENT",
            "END:VEVENT",
        ]
    return "".join(_folded(line) + END for line in [*lines, "END:VCALENDAR"])


def _day(day: dt.date) -> str:
    """A day in eight figures."""
    return day.isoformat().replace("-", "")


def _text(words: str) -> str:
    """Words as a TEXT value: signs with a meaning of their own are marked, line ends written out, others left out."""
    plain = words.replace("\r\n", "\n").replace("\r", "\n")
    plain = "".join(c for c in plain if c in "\n\t" or unicodedata.category(c) not in {"Cc", "Cs"})
    for sign in ("\\", ";", ","):
        plain = plain.replace(sign, f"\\{sign}")
    return plain.replace("\n", "\\n")


def _folded(line: str) -> str:
    """A line in pieces of at most 75 octets, each further one begun with a space; no letter is cut in two."""
    pieces, piece, room = [], "", LINE
    for letter in line:
        octets = len(letter.encode())
        if octets > room:
            pieces.append(piece)
            piece, room = "", LINE - 1
        piece += letter
        room -= octets
    return f"{END} ".join([*pieces, piece])

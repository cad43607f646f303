"""Days for any calendar program: whole-day events as RFC 5545 has them."""

from __future__ import annotations

import datetime as dt
import unicodedata
import uuid
from collections.abc import Iterable
from dataclasses import dataclass

from estimator.words.dates import A_DAY

OURS = uuid.UUID("6f0c9a52-3f7e-5b0e-9d0b-0e8f3a1c7d24")  # under which our events have their ids


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

    Source: RFC 5545: whole days 3.6.1 (the end is the day after the last); ids RFC 9562, 5.5.

    >>> day = dt.date(2026, 10, 5)
    >>> text = calendar_text([Event("26-014", day, day, "Red nine-four ready")], on=day)
    >>> text.splitlines()[7:10]
    ['DTSTART;VALUE=DATE:20261005', 'DTEND;VALUE=DATE:20261006', 'SUMMARY:Red nine-four ready']
    """
    import icalendar

    calendar = icalendar.Calendar()
    calendar.add("VERSION", "2.0")
    calendar.add("PRODID", "-//estimator//bench//EN")
    for event in events:
        entry = icalendar.Event()
        entry.add("UID", str(uuid.uuid5(OURS, event.key)))
        entry.add("DTSTAMP", dt.datetime.combine(on, dt.time(), dt.UTC))
        entry.add("SEQUENCE", on.toordinal())
        entry.add("DTSTART", event.first)
        entry.add("DTEND", event.last + A_DAY)
        entry.add("SUMMARY", _printable(event.summary))
        if event.description:
            entry.add("DESCRIPTION", _printable(event.description))
        entry.add("TRANSP", "TRANSPARENT")
        calendar.add_component(entry)
    text: bytes = calendar.to_ical(sorted=False)
    return text.decode()


def _printable(words: str) -> str:
    """Words without signs that no TEXT value may hold (RFC 5545, 3.3.11), each end of a line as one sign."""
    plain = words.replace("\r\n", "\n").replace("\r", "\n")
    return "".join(c for c in plain if c in "\n\t" or unicodedata.category(c) not in {"Cc", "Cs"})

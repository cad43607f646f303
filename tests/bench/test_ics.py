"""Calendar files, held against RFC 5545 itself, and read back by the library that wrote them."""

import datetime as dt
import hashlib
import re
import unicodedata
import uuid

import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from icalendar import Calendar

from estimator.bench.ics import OURS, Event, calendar_text

DAY = dt.date(2026, 10, 5)


def read(text):
    calendar = Calendar.from_ical(text)
    assert calendar["VERSION"] == "2.0"
    assert calendar["PRODID"]
    return [part for part in calendar.walk() if part.name == "VEVENT"]


def one(summary="Ready", description="", *, first=DAY, last=DAY, key="26-014", on=DAY):
    return calendar_text([Event(key, first, last, summary, description)], on=on)


def lines(text):
    assert text.endswith("\r\n")
    return text[:-2].split("\r\n")


# RFC 5545, 3.6.1, prints a whole-day event from 28 June to 8 July 2007, both included: DTEND is 9 July.
def test_the_end_of_whole_days_is_the_day_after_the_last():
    text = one(first=dt.date(2007, 6, 28), last=dt.date(2007, 7, 8))
    assert "DTSTART;VALUE=DATE:20070628" in lines(text)
    assert "DTEND;VALUE=DATE:20070709" in lines(text)
    (event,) = read(text)
    assert (event.decoded("dtstart"), event.decoded("dtend")) == (dt.date(2007, 6, 28), dt.date(2007, 7, 9))


def test_years_before_1000_have_four_figures_too():
    assert "DTSTART;VALUE=DATE:09990101" in one(first=dt.date(999, 1, 1), last=dt.date(999, 1, 1))


# RFC 5545, 3.3.11: the text in its example, and the signs that it marks.
def test_texts_are_marked():
    text = one("Final Review\nConference Room - 3B\nCome Prepared.")
    assert "SUMMARY:Final Review\\nConference Room - 3B\\nCome Prepared." in lines(text)
    assert "SUMMARY:9'4\"\\; red\\, blue: a\\\\b" in lines(one("9'4\"; red, blue: a\\b"))
    assert "SUMMARY:a\\nb\\nc" in lines(one("a\r\nb\rc"))
    assert "SUMMARY:ab" in lines(one("a\x00\x07b\ud800"))
    assert "DESCRIPTION:ab\\nc" in lines(one("Ready", "a\x07b\rc"))


def printed(words):
    """Words without signs that control a machine, but for tabs and the ends of lines."""
    return "".join(c for c in re.sub("\r\n?", "\n", words) if c in "\n\t" or unicodedata.category(c) != "Cc")


BOM = "\ufeff"  # at the head of a text it is no letter, but says how the text is kept


# RFC 5545, 3.1: lines end in CRLF; no line is longer than 75 octets without it; a further line begins with a space.
@given(st.text(max_size=300), st.text(max_size=40))
@example("\ufeffred", "")
def test_lines_are_folded_and_no_letter_is_lost(summary, description):
    text = one(summary, description)
    assert max(len(line.encode()) for line in lines(text)) <= 75
    assert not re.search(r"(?<!\r)\n|\r(?!\n)", text)
    unfolded = lines(text.replace("\r\n ", ""))
    assert all(re.match(r"[A-Z]+[;:]", line) for line in unfolded)
    (told,) = [line.removeprefix("SUMMARY:") for line in unfolded if line.startswith("SUMMARY:")]
    assert re.sub(r"\\(.)", lambda marked: {"n": "\n"}.get(marked[1], marked[1]), told) == printed(
        summary
    ).removeprefix(BOM)


WORDS = st.text(
    st.characters(exclude_categories=["Cc", "Cs"], include_characters="\n", exclude_characters=BOM),
    max_size=200,
)


@given(WORDS, WORDS, st.dates(dt.date(1990, 1, 1)), st.integers(0, 400))
def test_what_was_written_is_read_back(summary, description, first, days):
    first = min(first, dt.date(9990, 1, 1))
    last = first + dt.timedelta(days=days)
    (event,) = read(one(summary, description, first=first, last=last))
    assert str(event["SUMMARY"]) == summary
    assert str(event.get("DESCRIPTION", "")) == description
    assert event.decoded("dtstart") == first
    assert event.decoded("dtend") - event.decoded("dtstart") == dt.timedelta(days=days + 1)
    assert not event.errors


def test_the_same_board_is_the_same_event_told_anew():
    (early,), (late,) = read(one("a")), read(one("b", first=DAY, last=DAY, on=DAY + dt.timedelta(days=9)))
    (other,) = read(one("a", key="26-015"))
    assert early["UID"] == late["UID"] != other["UID"]
    assert late["SEQUENCE"] - early["SEQUENCE"] == 9
    assert late.decoded("dtstamp") - early.decoded("dtstamp") == dt.timedelta(days=9)
    assert early.decoded("dtstamp") == dt.datetime(2026, 10, 5, tzinfo=dt.UTC)
    assert early["TRANSP"] == "TRANSPARENT"  # the restorer is not busy all day


# RFC 9562, 5.5: an id made from a name has version 5 and needs neither host nor clock.
def test_ids_name_no_host_and_stay_the_same_on_every_machine():
    (event,) = read(one())
    digest = bytearray(hashlib.sha1(OURS.bytes + b"26-014", usedforsecurity=False).digest()[:16])
    digest[6], digest[8] = digest[6] & 0x0F | 0x50, digest[8] & 0x3F | 0x80
    assert event["UID"] == str(uuid.UUID(bytes=bytes(digest)))
    assert event["UID"] == "03ce7846-7a64-52d2-983e-8fc7f71203dd"  # what calendars of today hold
    assert "@" not in one()


def test_many_events_and_none():
    assert read(calendar_text([], on=DAY)) == []
    events = [Event(f"26-{n:03d}", DAY, DAY, str(n)) for n in range(30)]
    assert [str(event["SUMMARY"]) for event in read(calendar_text(events, on=DAY))] == [
        str(n) for n in range(30)
    ]
    assert calendar_text(events, on=DAY) == calendar_text(iter(events), on=DAY)


@pytest.mark.parametrize("description", ["", "8 in 10"])
def test_a_description_stands_only_where_there_is_one(description):
    assert ("DESCRIPTION:" in one(description=description)) == bool(description)

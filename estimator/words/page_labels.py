"""Headings, questions and names of fields on the page: with `labels`, the only words that a template may show."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

PAGE_LABELS: Mapping[str, str] = MappingProxyType(
    {
        # the foot
        "today": "Today",
        "on-the-go": "On the go",
        "new": "New",
        "look-back": "Look back",
        "foot": "Pages",
        "skip": "Straight to the page",
        # on every page
        "undo": "Undo",
        "working-it-out": "As of {when}; working it out.",
        "first-time": "Working it out for the first time. That takes up to half a minute.",
        "worker-gone": "It can't be worked out now: the part that does so has stopped, and does not start again.",
        "worker-gone-cure": "Close the counter and start it again. What is written down is safe.",
        "before-entry": "before the last entry",
        "earlier-day": "{day}",
        "look-again": "Look again",
        "evening": "Evening light",
        "daylight": "Daylight",
        "in-figures": "The same as a table",
        "errors": "Please look at these again",
        "not-sent": "Not sent yet. It goes out when the counter can be reached again.",
        "read-only": "The log is kept in files, so this page shows it and writes nothing.",
        "keep-in-book": "Keep it in a book from now on",
        "problems": "Something in the log can't be read",
        # when nothing can be shown
        "wrong": "That did not work",
        "not-found": "There is no such page",
        "not-found-cure": "Use the words at the foot.",
        "not-allowed": "That can't be done this way",
        "refused": "This was not sent from the counter's own page",
        "refused-cure": "Open the page again, and send it from there. What you typed is below, if there was any.",
        "too-large": "That is too large",
        "too-large-cure": "Up to 20 MB can be sent at once.",
        "took-too-long": "That took too long.",
        "our-mistake": "This is our mistake",
        "our-mistake-cure": "Nothing was written. Look again; if it stays so, close the counter and start it again.",
        "no-workshop": "The workshop can't be opened",
        # today, on the go, a board
        "find": "Find by three letters of owner or board",
        "find-button": "Find",
        "nobody-found": "No board has these letters.",
        "nobody-yet": "No board is written down yet.",
        "boards-asked": "Asked for",
        "boards-on": "On the go",
        "boards-ready": "Ready, not fetched",
        "boards-gone": "Gone, or turned down",
        "dates": "When it will be ready",
        "hours": "How many hours",
        "pay": "What it pays",
        "told": "What I told them",
        "what-comes-next": "What comes next",
        "something-else": "Something else",
        "left": "What is left, stage by stage",
        "photos": "Photos",
        "paper": "On paper",
        "quarter": "Quarter",
        "this-quarter": "This quarter so far",
        "earlier-quarter": "The quarter before",
        "sheets": "Sheets",
        "calendar": "The days for a calendar",
        "owner-sheet": "The owner's sheet",
        "range-sheet": "The workshop's sheet",
        "handover-sheet": "The sheet for the hand-over",
        "weigh-sheet": "The sheet of what it pays",
        "week-sheet": "This week's sheet",
        "rules-sheet": "Rules of thumb",
        "record-sheet": "Did I get it right?",
        "quarter-sheet": "The quarter",
        # looking back
        "year-before": "The same quarter a year before",
        "days-to": "{first} to {last}",
        "day-away": "Away",
        "day-did not work": "Didn't work",
        "day-not written down": "Worked, not written down",
        "day-by-day": "Answer day by day",
        "lacks-price": "Price of {board}",
        "lacks-materials": "Materials for {board}",
        "lacks-ready": "The day {board} was ready",
        "lacks-hours": "Hours are missing on {board}: write them there",
        "lacks-paid": "What was paid today for {board}, still owed",
        "write-missing": "Write this down",
        "nothing-yet": "Nothing to say yet.",
        "charges": "What I charge for what",
        "page two": "The quarter's second page",
        "record-below": "Did I get it right?",
        "overruns-below": "What made boards go over",
        "looks-below": "What my eye misses",
        "rules-below": "Rules of thumb",
        "keep-beside": "Keep this beside it",
        "rule-changed": "What your log says of this rule has changed meanwhile. Look at it again first.",
        "take-it-on": "Take it on?",
        "all-of-it": "All about it",
        # phones
        "phone-ask": "Eight letters from the laptop's screen",
        "phone-go": "Let this phone in",
        "phone-title": "A phone that isn't known yet",
        "phone-how": "On the laptop, choose “add a phone” and type the eight letters that it shows.",
        "phone-wrong": "Those are not the letters, or they are too old.",
        "phone-plain": "Nothing is encrypted on the way: use it only in a home network that you trust.",
        "phone-add": "Add a phone",
        "phone-show": "Point the phone's camera at the square, or type the address and the letters.",
        "phone-known": "Phones that may come in",
        "phone-none": "No phone may come in yet.",
        "phone-forget": "Forget it",
        "phone-off": "The counter was not started for phones.",
        "phone-here": "Phones are added at the laptop itself.",
        "phone-since": "Let in on {day}, at {host}",
        "phone-code": "A square code with the address and the letters",
        "phones": "Phones",
    }
)


def page_label(word: str) -> str:
    """What the page says for a key of a template.

    Raises KeyError for a key that has no words.

    >>> page_label("on-the-go")
    'On the go'
    """
    return PAGE_LABELS[word]

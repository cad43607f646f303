"""What stands on the forms of a working day: names of steps, questions, and words to choose from."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

# what a step is called on its button
STEP_NAMES: Mapping[str, str] = MappingProxyType(
    {
        "enquiry": "Somebody asks",
        "answers": "Board here: answer questions",
        "guess": "My own guess",
        "answered": "The owner said yes or no",
        "hours": "Write hours",
        "done": "Stage done",
        "again": "Doing it again",
        "found": "What did you find?",
        "weight": "Weigh-in",
        "asked since": "Asked for since",
        "told": "I told the owner",
        "struck": "Strike out what was told",
        "stopped": "Stopped",
        "going": "Going again",
        "deposit": "Deposit came",
        "ready": "It is ready",
        "collected": "Collected and paid",
        "gave back": "Given back half done",
        "weigh up": "Take it on?",
        "note": "Note or photo",
        "away": "Not in",
        "back": "Back in",
        "rung": "Whom to ring",
    }
)

# headings, buttons and lines of the forms
FORM_WORDS: Mapping[str, str] = MappingProxyType(
    {
        "write": "Write it",
        "rarely": "More, if it is needed",
        "other": "or typed",
        "after": "Look at this too",
        "new": "Somebody asks",
        "counted": "Counted: only asked.",
        "rough": "What it would be, roughly",
        "texts": "Texts to copy",
        "here": "Board here?",
        "first-guess": "Your own hours first: then you see how near each of you comes.",
        "work-out": "Work it out",
        "see-it": "Show it without my own hours",
        "seen": "A guess made after seeing ours is kept, and not judged.",
        "put-by": "Put by",
        "answer": "Hours, price and day",
        "tell": "I told the owner",
        "only-asked": "Only asked: count it",
        "agree": "The owner agreed",
        "agree-price": "What it adds to the price, or takes off",
        "since": "What does the owner ask for?",
        "another": "Ask about something else",
        "ring": "Whom to ring, and what to say",
        "look-once": "Look at these once",
        "look-once-why": "Rows came in from a file today. See that these days are right before you ring anybody.",
        "ring-told": "I told them",
        "ring-rang": "I rang",
        "ring-left it": "Leave it",
        "ring-do that one first": "Do that one first",
        "not-in": "Not in",
        "not-in-today": "Today",
        "not-in-till": "Till",
        "not-in-till-day": "The last day away",
        "not-in-unknown": "I don't know till when",
        "back-in": "Back in from today",
        "not-in-moves": "Whose dates move",
        "put-first": "What goes first",
        "in-turn": "Back in its turn: {name}",
        "now-hours": "Hours alone, by what was known before the last entry. The day and the price follow.",
        "week-hours": "Hours of the week",
        "whole-page": "A whole page, as the notebook has it",
        "whole-page-hint": "As in: Mon red strip 4, blue 2nd col 1½ done. Tue surf. Wed sweeping 1.",
        "bench-now": "On the bench:",
        "hours-of": "Hours of",
        "held": "Written already,",
        "to-ask": "What is meant here?",
        "nothing-yet": "Nothing is kept yet.",
        "read-so": "Read back",
        "write-them": "Write them down",
        "only-read": "Only read it back",
        "another-choice": "Or another",
        "other-days": "The other days",
        "week-before": "The week before",
        "week-after": "The week after",
        "week-end": "Before you put the pencil down",
        "week-end-since": "Hours of “{since}” are written after it.",
        "week-end-stage": "{board}: is “{stage}” finished?",
        "week-end-yes": "Finished",
        "week-end-no": "Not yet",
        "week-end-day": "Nothing is written of {day}. What was it?",
        "week-end-write": "Write that down",
        "hours-kept": "They stand under their days.",
        "hours-were-kept": "These were kept already. They stand under their days.",
    }
)

# what a field asks, by its name
FIELD_WORDS: Mapping[str, str] = MappingProxyType(
    {
        "owner": "Name",
        "reach": "Telephone, or how else to reach them",
        "called": "What you call the board",
        "kind": "Sort of job",
        "length": "Length",
        "width": "Width",
        "aim": "What for",
        "wanted_by": "Needed by",
        "photos": "Photos",
        "note": "Note",
        "text": "Note",
        "outline": "Shape",
        "judged_with": "Looked at",
        "guess": "Your own hours",
        "stage": "Stage",
        "hours": "Hours",
        "other_hours": "Other hours",
        "done": "And the stage is done",
        "not_needed": "It wasn't needed",
        "again": "Why again",
        "on": "Day, if not today",
        "weight": "Weight",
        "cause": "Why",
        "which": "What is over",
        "amount": "How much",
        "price": "Price",
        "price_more": "What it adds to the price",
        "terms": "Sort of price",
        "last": "Ready by",
        "first": "Not before",
        "because": "Why now",
        "paid_by": "Who pays for it",
        "said_yes": "The owner said yes",
        "why": "Why",
        "cost_time": "What cost the time",
        "materials": "Materials",
        "kept": "Kept of the money",
        "returned": "Given back of the money",
        "until": "Till",
        "answer": "What you decide",
        "for_love": "For love, whatever it pays",
        "yes": "Yes",
        "no_owner": "The owner dropped it",
        "no_me": "I said no",
        "told_hours": "Hours told",
        "more": "More",
        "less": "Less",
        "instead": "Instead",
    }
)

# what a choice is called, by field and value
CHOICE_WORDS: Mapping[str, Mapping[str, str]] = MappingProxyType(
    {
        "aim": {"ride": "to ride", "show": "to show", "sell": "to sell"},
        "outline": {"gun": "gun", "short": "short board", "fish": "fish", "long": "long board"},
        "judged_with": {
            "photos": "in photos",
            "in hand": "in hand",
            "scales": "on the scales",
            "opened": "opened up",
        },
        "cause": {
            "drying": "drying",
            "owner": "waiting for the owner",
            "parts": "parts",
            "artwork": "artwork",
            "curing": "setting",
            "weather": "weather",
            "away": "I'm away",
            "queue": "no room",
        },
        "again": {
            "paint": "paint lifted",
            "sand-through": "sanded through",
            "resin": "resin",
            "me": "my own doing",
            "owner": "the owner's wish",
            "yes": "another reason",
        },
        "because": {
            "quote": "a price for the same work",
            "hidden work": "hidden work",
            "asked later": "asked for since",
            "late": "it is late",
        },
        "paid_by": {"me": "I do", "owner": "the owner", "half": "half each"},
        "terms": {
            "fixed": "fixed price",
            "ceiling": "a price with a range",
            "open-first": "open it up first",
        },
        "answer": {"yes": "yes", "no": "no", "open-first": "open it up first"},
    }
)

CANT_SEE = "can't see yet"
NONE = "none"
AS_THOUGHT = "Just as I thought"


def form_word(key: str) -> str:
    """A heading, a button or a line of a form.

    >>> form_word("put-by")
    'Put by'
    """
    return FORM_WORDS[key]


def step_name(verb: str) -> str:
    """What a step is called on its button.

    >>> step_name("found")
    'What did you find?'
    """
    return STEP_NAMES[verb]


def choice(field: str, value: str) -> str:
    """What a value of a field is called; itself where it has no words.

    >>> choice("cause", "owner"), choice("kind", "x")
    ('waiting for the owner', 'x')
    """
    return CHOICE_WORDS.get(field, {}).get(value, value)

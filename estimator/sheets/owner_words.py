"""The sentences of an owner's copy, section by section; the same to paste into a message, as plain text."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

BLANK = "____"  # where there is a line to write on
CHANGES = (
    "What lies under the glass shows only when it is off: wet foam, rot, old repairs.",
    "Foam dries in its own time; resin and paint want the right weather; artwork and parts have to come.",
    "And you may ask for more.",
)
STOPS = "Work stops then, and we ask you first: nothing is added to the price without your yes."
CARE = (
    "It goes on hardening after you have it: until the day we name, no sun, no heat, nothing laid on it.",
    "Old damage may ghost through the new finish.",
    "Restoring can lower what a collectable board is worth: if you may sell it, ask someone who knows before we begin.",
)
LOGOS = "Logos may be redrawn: I have the right to ask for it, or their owner's leave."
LAW = "What a price or a date binds us to differs from place to place: local law decides."


def sections_of(facts: Mapping[str, Any]) -> list[dict[str, Any]]:
    """The eight sections: each a heading and its paragraphs, which may have a lead in bold and boxes to tick.

    facts: what `owner_sheet` found of a board
    """
    seen = facts["seen"]
    currency, ready = facts["currency"], facts["ready"]
    number = f"Number {facts['number']} in the workshop." if facts["number"] else ""
    looked = f"It looked like this: {'; '.join(seen.slower)}." if seen.slower else ""
    unseen = (*seen.unseen, *seen.unseen_slower)
    work = (
        f"Will be done: {'; '.join(seen.work)}." if seen.work else "",
        f"Won't be done: {', '.join(seen.none)}." if seen.none else "",
        f"Can't be seen yet: {', '.join(unseen)}." if unseen else "",
    )
    asks = f"We stop and ask before going past {BLANK} {currency}".strip() + "."
    price = _paragraph(
        asks, f"{facts['price']}." if facts["price"] else f"Price: {BLANK} {currency}".strip() + "."
    )
    deposit = (
        f"Deposit {BLANK} {currency}".strip() + " before work begins; the rest when you collect the board."
    )
    return [
        _section("1 Your board", _paragraph(_said(f"{facts['line'] or BLANK}.", number, looked))),
        _section("2 What will be done, and what won't", _paragraph(_said(*work) or BLANK)),
        _section(
            "3 The price",
            {**_paragraph(), "ticks": facts["terms"]},
            price,
            *([_paragraph(f"Hours of work: {facts['hours']}")] if facts["hours"] else []),
        ),
        {**_section("4 Expected ready by", _ready(ready)), "figure": ready["figure"]},
        _section("5 What could change it", _paragraph(" ".join(CHANGES)), _paragraph(lead=STOPS)),
        _section("6 Money, and when", _paragraph(" ".join(facts["money"]) or deposit)),
        _section(
            "7 Looking after it, and what it is worth",
            _paragraph(" ".join(CARE)),
            {**_paragraph(), "ticks": [{"on": False, "words": LOGOS}]},
        ),
        _section("8 Signed", _paragraph(f"{LAW} This stands until {facts['until'] or BLANK}.")),
    ]


def _ready(ready: Mapping[str, Any]) -> dict[str, Any]:
    """The day to go by, how often it holds, and what was told before."""
    if not ready["by"]:
        return _paragraph(f"{BLANK}.")
    yes = f", if you say yes by {ready['yes']}" if ready["yes"] else ""
    before = f"; not before {ready['not_before']}" if ready["not_before"] else ""
    odds = f", {ready['odds']}" if ready["odds"] else ""
    told = f"{ready['told']}." if ready["told"] else ""
    return _paragraph(_said(f"{odds}{yes}{before}.", told), ready["by"])


def _section(heading: str, *paragraphs: dict[str, Any]) -> dict[str, Any]:
    """A section without a picture."""
    return {"heading": heading, "paragraphs": list(paragraphs), "figure": None}


def _paragraph(words: str = "", lead: str = "") -> dict[str, Any]:
    """Words behind a lead, nothing to tick."""
    return {"lead": lead, "words": words, "ticks": []}


def _said(*sentences: str) -> str:
    """The sentences that there are, one after the other."""
    return " ".join(sentence for sentence in sentences if sentence)


def plain_text(data: Mapping[str, Any]) -> str:
    """An owner's copy as plain text, to paste into a message: all of its words, a line a paragraph.

    data: what `owner_sheet` made
    """
    head = [data["name"], data["workshop"], data["day"], *([f"For {data['owner']}"] if data["owner"] else [])]
    lines = [*head]
    for section in data["sections"]:
        lines += ["", section["heading"], *(line for one in section["paragraphs"] for line in _lines(one))]
        if section["figure"]:
            lines.append(section["figure"]["says"])
    return "\n".join([*lines, "", *(f"{who}: {BLANK}" for who in data["signed"]), ""])


def _lines(paragraph: Mapping[str, Any]) -> Iterable[str]:
    """A paragraph in lines, its boxes first."""
    yield from (f"[{'x' if one['on'] else ' '}] {one['words']}" for one in paragraph["ticks"])
    lead, words = paragraph["lead"], paragraph["words"]
    if lead or words:
        yield f"{lead}{'' if words[:1] in {',', ';', '.'} else ' '}{words}".strip()

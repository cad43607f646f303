"""The owner's copy, as plain data: what is done, the price, the day, what could change them, and who signs."""

from __future__ import annotations

import datetime as dt
import io
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from typing import Any

from estimator.bench.promises import SURE, Promise
from estimator.forecast.ranges import Range
from estimator.log.money import rest_to_pay
from estimator.said.owner import BLANK, care_sentence, price_sentences
from estimator.sheets.drawing.style import IN_PRINT
from estimator.sheets.figures.ready_dates import save_ten_on_calendar
from estimator.sheets.layouts.promises import ten_caption
from estimator.sheets.paper.board_facts import board_line, for_its_owner
from estimator.words.dates import say_day, say_exactly, the_date
from estimator.words.labels import label
from estimator.words.money import say_price, terms_and_ceiling
from estimator.words.odds import say_odds
from estimator.words.phrases import capital, say_range
from estimator.words.records import AIMS, TERMS, AgreedPrice, Board, Told, price_agreed, price_told
from estimator.words.settings.schema import Settings

CHANGES = (
    "What lies under the glass shows only when it is off: wet foam, rot, old repairs.",
    "Foam dries in its own time; resin and paint want the right weather; artwork and parts have to come.",
    "And you may ask for more.",
)
STOPS = "Work stops then, and we ask you first: nothing is added to the price without your yes."
CARE = (
    "Old damage may show faintly through the new finish.",
    "Restoring can lower what a collectable board is worth: if you may sell it, ask someone who knows before we begin.",
)
LOGOS = "If a logo is to be redrawn: I have the right to ask for it, or its owner's leave."
LAW = "What a price or a date binds us to differs from place to place: local law decides."


def sections_of(facts: Mapping[str, Any]) -> list[dict[str, Any]]:
    """The eight sections: each a heading and its paragraphs, which may have a lead in bold and boxes to tick.

    facts: what `owner_sheet` found of a board
    """
    currency, ready = facts["currency"], facts["ready"]
    number = f"Number {facts['number']} in the workshop." if facts["number"] else ""
    lead, *asks = facts["asks"]
    price = _paragraph(" ".join(asks), f"{lead.removesuffix('.')}{facts['parts']}.")
    deposit = (
        f"Deposit {BLANK} {currency}".strip() + " before work begins; the rest when you collect the board."
    )
    return [
        _section("1 Your board", _paragraph(_said(f"{facts['line'] or BLANK}.", number))),
        _section("2 What is to be done", _paragraph(_said(*facts["work"]) or BLANK)),
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
            _paragraph(" ".join((facts["care"], *CARE))),
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
    kept = "Of ten days that we name so, we keep nine." if ready["odds"] else ""
    told = f"{ready['told']}." if ready["told"] else ""
    return _paragraph(_said(f"{odds}{yes}{before}.", kept, told), ready["by"])


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


WIDE_PX = 700  # of the figure: the sheet's width with the figure's own margins
ZONE_PX = 44  # of the figure, which is smaller than others: room for its boards
AIM_WORDS = dict(zip(AIMS, ("to be ridden", "to be shown", "to be sold"), strict=True))


def owner_sheet(
    board: Board,
    settings: Settings,
    *,
    today: dt.date,
    promise: Promise | None = None,
    say_yes_by: dt.date | None = None,
    told: Sequence[Told] = (),
    hours: Range | None = None,
    ceiling: float | None = None,
) -> dict[str, Any]:
    """What the owner's copy says, in the order of the sheet.

    promise: when the board will be ready, None where none can tell; say_yes_by: for one not taken on, the day up to
    which that stands; told: what its owner was told, in order of day; hours: the range, only where it is to be
    said; ceiling: the higher end of a price with a range
    """
    currency = settings.workshop.currency
    terms, _ = terms_and_ceiling(next((telling.terms for telling in reversed(told) if telling.terms), ""))
    price = price_told(board, told)
    aim = AIM_WORDS.get(board.aim, "")
    ready = _ready_by(promise, say_yes_by, told, today)
    facts = {
        "line": capital(", ".join(words for words in (board_line(board, settings), aim) if words)),
        "number": board.board if board.called else "",
        "work": for_its_owner(board, settings),
        "asks": tuple(price_sentences(price, terms, ceiling, currency)),
        "terms": [{"words": label(f"terms {name}"), "on": name == terms} for name in TERMS]
        + ([] if terms in {"", *TERMS} else [{"words": terms, "on": True}]),
        "price": "" if price is None else say_price(price, currency),
        "parts": _parts(price_agreed(board, told), price, currency),
        "currency": currency,
        "hours": ""
        if hours is None
        else capital(f"{say_range(hours.low, hours.high)}, {say_odds(hours.odds)}."),
        "ready": ready,
        "care": care_sentence(dt.date.fromisoformat(ready["day"]) if ready["day"] else None, today),
        "money": _money(board, price, currency, today, price_agreed(board, told)),
        "until": say_day(board.hold_until) if board.hold_until and board.hold_until >= today else "",
    }
    return {
        "title": f"{board.name}: owner's copy",
        "name": board.name,
        "owner": board.owner,
        "workshop": settings.workshop.name,
        "day": say_day(today),
        "sections": sections_of(facts),
        "signed": ["Workshop, date", "Owner, date"],
        **{name: facts[name] for name in ("number", "price", "ready", "money", "until")},
    }


def _ready_by(
    promise: Promise | None, say_yes_by: dt.date | None, told: Sequence[Told], today: dt.date
) -> dict[str, Any]:
    """The one day to go by, 9 times in 10, the day before which it is not ready, and what was told before."""
    earlier = next((telling for telling in reversed(told) if telling.last is not None), None)
    if promise is None:
        last = None if earlier is None else earlier.last
        return {
            "by": "" if last is None else say_exactly(last, today),
            "day": "" if last is None else last.isoformat(),
            "odds": "",
            "yes": "",
            "not_before": "",
            "figure": None,
            "told": "",
            "stands": True,
        }
    by = max(promise.ready.tell, today)
    stands = earlier is not None and earlier.last == by
    before = ""
    if earlier is not None and earlier.last is not None:
        said = say_exactly(earlier.date, today)
        before = (
            f"So we told you on {said}"
            if stands
            else f"On {said} we told you by {say_exactly(earlier.last, today)}"
        )
    first = min(max(promise.ready.low, today), by)
    plain = replace(promise, told=None)
    picture = io.StringIO()
    save_ten_on_calendar(
        picture, plain, today, wide_px=WIDE_PX, zone_px=ZONE_PX, titled=False, palette=IN_PRINT
    )
    return {
        "by": say_exactly(by, today),
        "day": by.isoformat(),
        "odds": say_odds(SURE),
        "not_before": the_date(first, today) if first > today else "",
        "yes": "" if say_yes_by is None else say_exactly(say_yes_by, today),
        "told": before,
        "stands": stands,
        "figure": {"svg": picture.getvalue(), "says": ten_caption(plain, today)},
    }


def _parts(agreed: AgreedPrice | None, price: float | None, currency: str) -> str:
    """The old price and what was asked for since, behind the new one; empty where nothing was, at a price."""
    if agreed is None or agreed.now != price:
        return ""
    what = "more for what you asked for since" if agreed.extra > 0 else "less for what you no longer want"
    return f": {say_price(agreed.before, currency)}, and {say_price(abs(agreed.extra), currency)} {what}"


def _money(
    board: Board, price: float | None, currency: str, today: dt.date, agreed: AgreedPrice | None = None
) -> list[str]:
    """Deposit, what is paid, and the rest; empty where no money is written: then there are lines to fill."""
    lines = []
    if board.deposit is not None:
        lines.append(f"Deposit: {say_price(board.deposit, currency)}, before work begins.")
    if board.paid:
        lines.append(f"Paid by {say_exactly(today, today)}: {say_price(board.paid, currency)}.")
    if board.returned:
        lines.append(f"Given back: {say_price(board.returned, currency)}.")
    if price is not None and (board.paid or board.deposit) is not None:
        rest = max(rest_to_pay(board, price), 0.0)
        of = ""
        if agreed is not None and agreed.now == price:
            of = f" of {say_price(price, currency)}{_parts(agreed, price, currency)}"
        lines.append(
            f"The rest, {say_price(rest, currency)}{of}, when you collect the board."
            if rest
            else "All is paid."
        )
    return lines

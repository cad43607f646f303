"""The sheet for the day a board is fetched, as plain data: what was done and found, its price, how to look after it."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Sequence
from typing import Any

from estimator.log.money import rest_to_pay
from estimator.said.owner import BLANK, HARDENS, in_plain_words
from estimator.sheets.paper.board_facts import YES_NO, board_line, listed, wanted_work
from estimator.sheets.paper.owner_sheet import LAW
from estimator.words.dates import A_DAY, say_day, say_exactly
from estimator.words.money import say_price
from estimator.words.phrases import capital, inside, say_value
from estimator.words.records import LATE, QUOTE, Board, Entry, Told
from estimator.words.settings.schema import Settings

PAYS = {
    "me": "at no cost to you",
    "owner": "which you said you would pay",
    "half": "which we said we would share",
}
CAUSES = {"hidden work": "hidden work", "asked later": "what you asked for since", LATE: "it took us longer"}
CARE = "Until then no sun, no heat, no wax, and nothing laid on it or strapped over it."
DATA_SHEET = "That is common practice; where the data sheet of the resin asks for longer, that counts. Ask if in doubt."
AFTERWARDS = (
    "Keep it out of hot cars and lasting sun. Have a crack or a soft spot seen to before it is in the water again.",
    "Old damage may come to show faintly through the new finish.",
)
NOT_WRITTEN = "Nothing was written down of it."
AS_IT_LOOKED = "All was as it looked."
AS_TOLD = "just as we told you"


def handover_sheet(
    board: Board,
    settings: Settings,
    *,
    today: dt.date,
    told: Sequence[Told] = (),
    entries: Sequence[Entry] = (),
) -> dict[str, Any]:
    """What the sheet says, in its order; nothing of hours, of pay, or of other boards.

    told: what its owner was told; entries: the hours booked on it, which tell the day of the last coat
    """
    currency = settings.workshop.currency
    told = sorted((one for one in told if one.date <= today), key=lambda one: one.date)
    line = board_line(board, settings)
    number = f"Number {board.board} in the workshop." if board.called else ""
    work = "; ".join(wanted_work(board, settings))
    done = [f"{work}. All of it is done.", in_plain_words(work)] if work else [f"{BLANK}."]
    hard = hard_from(board, settings, entries, today)
    return {
        "title": f"{board.name}: hand-over",
        "name": board.name,
        "owner": board.owner,
        "workshop": settings.workshop.name,
        "day": say_day(today),
        "sections": [
            _section("1 Your board", " ".join(w for w in (capital(f"{line or BLANK}."), number) if w)),
            _section(
                "2 What was done", capital(" ".join(one for one in done if one)), _since(board, settings)
            ),
            _section("3 What nobody could see before", *_turned_out(board, settings)),
            _section(
                "4 What it came to", _price(board, told, currency, today), *_why(board, told, currency, today)
            ),
            _section("5 When it was ready", _ready(board, told, today)),
            _section("6 Paid, and owed", *_money(board, told, currency, today)),
            _section("7 Looking after it", *_care(hard, today), *AFTERWARDS),
            _section("8 Signed", f"The board was looked over together and handed over. {LAW}"),
        ],
        "signed": ["Workshop, date", "Owner, date"],
        "number": board.board if board.called else "",
        "hard": hard.isoformat(),
    }


def hard_from(board: Board, settings: Settings, entries: Iterable[Entry], today: dt.date) -> dt.date:
    """The day from which a board may be used as before: days after its last coat, or after it was ready.

    The last coat is the last work on a stage at the bench after which something has to set, as the settings say.
    """
    sets = {
        stage.name: stage for stage in settings.stages.values() if stage.on == "bench" and stage.wait_days[1]
    }
    coats = [entry for entry in entries if entry.board == board.board and entry.stage in sets and entry.hours]
    last = max(coats, key=lambda entry: entry.last, default=None)
    if last is None:
        return (board.ready or board.collected or today) + HARDENS
    return last.last + max(HARDENS, round(sets[last.stage].wait_days[1]) * A_DAY)


def _section(heading: str, *paragraphs: str) -> dict[str, Any]:
    """A section of the sheet, without boxes to tick and without a picture."""
    said = [{"lead": "", "words": words, "ticks": []} for words in paragraphs if words]
    return {"heading": heading, "paragraphs": said, "figure": None}


def _since(board: Board, settings: Settings) -> str:
    """What of it the owner asked for since."""
    more = [
        f"{inside(settings.quantity_label(name))}: {say_value(much, settings.drivers[name].unit)} more"
        if name in settings.drivers
        else inside(settings.quantity_label(name))
        for name, much in board.later.items()
        if much > 0 and not _from_outline(name, settings)
    ]
    return f"Of that you asked for since: {'; '.join(more)}." if more else ""


def _turned_out(board: Board, settings: Settings) -> list[str]:
    """What turned out otherwise than it looked, thing by thing."""
    if not board.found:
        return [NOT_WRITTEN]
    said = []
    for name, value in board.found.items():
        looked, out = board.assessed.get(name), value - board.later.get(name, 0.0)
        if looked is None or looked == out or _from_outline(name, settings):
            continue
        was, came = _value(name, looked, settings), _value(name, out, settings)
        said.append(f"{settings.quantity_label(name)}: {was} as it looked, {came} as it turned out.")
    return said or [AS_IT_LOOKED]


def _from_outline(name: str, settings: Settings) -> bool:
    """Whether it follows from other quantities, which are named themselves."""
    return name in settings.drivers and bool(settings.drivers[name].source)


def _value(name: str, value: float, settings: Settings) -> str:
    """A quantity in words."""
    if name in settings.drivers:
        return say_value(value, settings.drivers[name].unit)
    modifier = settings.modifiers.get(name)
    return say_value(value, grades=(modifier.grades if modifier else ()) or YES_NO)


def _came_to(board: Board, told: Sequence[Told]) -> float | None:
    """The price in the end: what was charged, else what was told last."""
    if board.price_charged is not None:
        return board.price_charged
    return next((one.price for one in reversed(told) if one.price is not None), board.price_quoted)


def _price(board: Board, told: Sequence[Told], currency: str, today: dt.date) -> str:
    """The price in the end against the one told first."""
    price = _came_to(board, told)
    if price is None:
        return f"{BLANK} {currency}".strip() + "."
    said = say_price(price, currency)
    first = next((one for one in told if one.price is not None), None)
    before = first.price if first is not None else board.price_quoted
    if before is None:
        return f"{said}."
    on = f" on {say_exactly(first.date, today)}" if first is not None else ""
    if before == price:
        return f"{said}, {AS_TOLD}{on}."
    way = "more" if price > before else "less"
    apart = say_price(abs(price - before), currency)
    return f"{said}. First we told you {say_price(before, currency)}{on}; that is {apart} {way}."


def _why(board: Board, told: Sequence[Told], currency: str, today: dt.date) -> list[str]:
    """Why it came to more or less: each later telling with its reason; a line to write on where none was kept."""
    first = next((one.price for one in told if one.price is not None), board.price_quoted)
    later = [one for one in told[1:] if one.because not in {"", QUOTE} and one.price is not None]
    said = []
    for one in later:
        pays = f", {PAYS[one.paid_by]}" if one.paid_by else ""
        then = say_price(one.price or 0.0, currency)
        said.append(f"{capital(CAUSES[one.because])}{pays}: told on {say_exactly(one.date, today)}, {then}.")
    price = _came_to(board, told)
    if not said and price is not None and first is not None and first != price:
        return [f"Why: {BLANK}{BLANK}."]
    return said


def _ready(board: Board, told: Sequence[Told], today: dt.date) -> str:
    """The day it was ready against the days told, and why it was told anew."""
    days = [one for one in told if one.last is not None]
    ready = board.ready or board.collected
    said = f"It was ready on {say_exactly(ready, today)}." if ready else f"It was ready on {BLANK}."
    if not days:
        return said
    first, last = days[0], days[-1]
    by = [f"we told you by {say_exactly(first.last or today, today)}"]
    if last.last != first.last:
        why = CAUSES.get(last.because, "")
        by.append(f"later by {say_exactly(last.last or today, today)}{f' ({why})' if why else ''}")
    return f"{said} {capital(listed(by))}."


def _money(board: Board, told: Sequence[Told], currency: str, today: dt.date) -> list[str]:
    """What was paid, and what is owed today."""
    price = _came_to(board, told)
    paid = board.paid if board.paid is not None else board.deposit
    lines = []
    if board.deposit:
        lines.append(f"Deposit: {say_price(board.deposit, currency)}.")
    if paid and paid != board.deposit:
        lines.append(f"Paid in all by {say_exactly(today, today)}: {say_price(paid, currency)}.")
    if board.returned:
        lines.append(f"Given back: {say_price(board.returned, currency)}.")
    if price is None:
        return [*lines, f"Owed: {BLANK} {currency}".strip() + "."]
    rest = rest_to_pay(board, price)
    if rest > 0:
        return [*lines, f"Owed: {say_price(rest, currency)}."]
    back = f" {say_price(-rest, currency)} go back to you." if rest < 0 else ""
    return [*lines, f"All is paid.{back}"]


def _care(hard: dt.date, today: dt.date) -> list[str]:
    """Until which day a board hardens, and what not to do before."""
    if hard <= today:
        return [f"The last coat has had its usual time to harden. {DATA_SHEET}"]
    return [f"It goes on hardening until {say_exactly(hard, today)}. {CARE} {DATA_SHEET}"]

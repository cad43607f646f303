"""The workshop's copy of a range, as plain data, with the usual cautions for the stages of the board."""

from __future__ import annotations

import datetime as dt
import io
import re
import textwrap
from collections.abc import Iterable, Sequence
from dataclasses import replace
from typing import Any

from estimator.forecast.described import WhatIf
from estimator.forecast.ranges import INK_FROM, Range, StageRange
from estimator.said.notes_and_money import note_words
from estimator.said.range import rests_on
from estimator.said.told import tell_owner
from estimator.sheets.drawing.style import IN_PRINT
from estimator.sheets.figures.range import save_range
from estimator.sheets.layouts.ranges import alt_text, drawing_of
from estimator.sheets.paper.board_facts import YES_NO, board_line, listed, tellings, to_do
from estimator.words.dates import say_day, say_exactly, the_date
from estimator.words.labels import label
from estimator.words.money import LENT, say_money, say_price, say_span
from estimator.words.odds import say_odds
from estimator.words.phrases import (
    capital,
    round_hours,
    say_hours,
    say_middle,
    say_range,
    say_stretch,
    say_value,
)
from estimator.words.records import Board, Note, Told
from estimator.words.settings.schema import Settings

TEXTS = {  # in the order in which they are printed
    "styrene": "Wet and curing resin gives off styrene: extraction or moving fresh air, the filters that its "
    "data sheet names, short spells, beds and food well away.",
    "catalyst": "Peroxide catalyst can blind, and can start a fire: goggles, gloves, little of it, cool and "
    "apart; never near acetone, accelerator or metal dust; wipe up spills at once, cloths outdoors.",
    "exotherm": "Mixed resin left in a pot heats itself: spread it thin in a metal tin outdoors, bin nothing "
    "until cold.",
    "solvents": "Solvents, paint and resin vapour burn: no flame, spark or heater, small amounts, cans shut, "
    "an extinguisher at hand.",
    "spraying": "Spray in a booth or what local rules put in its place: exhaust, earthing, no sparks, dry "
    "overspray cleared away.",
    "two-pack": "Two-pack paint holds isocyanates: they can leave you unable to breathe near them for life, "
    "and a filter mask is not enough. Best not to use it; else only in a booth under suction, with air-fed "
    "breathing kit until it has cleared, training and health checks.",
    "foam": "Some foams and glues hold isocyanates: read their data sheets before you pour or heat them.",
    "dust": "Foam, resin and glass dust: catch it at the tool, wear the mask that its data sheet names, sand "
    "wet where you can, change clothes, never sweep dry. In ducts, bags and rafters it can explode: clean "
    "often, earth the hose, no sparks or catalyst into the collector, out of the house at night.",
    "pigments": "Old colour may hold lead or chromates: test it or take it that it does; wet methods, no dry "
    "grinding, separate clothes, wash before you eat.",
    "heat": "Heat on foam, glass or paint makes poisonous fumes: as little as will do, outdoors; never burn "
    "foam.",
    "splinters": "Old glass cuts and splinters: gloves, eye protection, roll the waste inward.",
    "other": "Work that is not named here: read the data sheet of everything you use before you begin.",
}
LAST = (
    "These are reminders, not all there is to know. Local codes, each product's safety data sheet and licensed "
    "practice decide, for the waste as well."
)
_RESIN = ("styrene", "catalyst", "exotherm", "solvents")
_PAINT = ("solvents", "spraying", "two-pack")
_MEETS = {  # how a word of a stage's name begins, and what that work meets
    "assess": (),
    "clean": ("solvents", "heat"),
    "wax": ("solvents", "heat"),
    "dewax": ("solvents", "heat"),
    "strip": ("solvents", "dust", "pigments", "heat", "splinters"),
    "dry": (),
    "drying": (),
    "handover": (),
    "infill": (*_RESIN, "foam", "dust"),
    "foam": (*_RESIN, "foam", "dust"),
    "stringer": (*_RESIN, "foam", "dust"),
    "block": (*_RESIN, "foam", "dust"),
    "reshap": ("dust", "pigments"),
    "shap": ("dust", "pigments"),
    "fair": ("dust", "pigments"),
    "stain": _PAINT,
    "spray": _PAINT,
    "paint": _PAINT,
    "colour": _PAINT,
    "color": _PAINT,
    "graphic": _PAINT,
    "logo": _PAINT,
    "pinline": (*_RESIN, *_PAINT),
    "laminat": _RESIN,
    "glass": (*_RESIN, "dust"),
    "resin": _RESIN,
    "patch": (*_RESIN, "dust"),
    "fin": (*_RESIN, "dust", "splinters"),
    "fins": (*_RESIN, "dust", "splinters"),
    "filler": _RESIN,
    "hotcoat": _RESIN,
    "gloss": _RESIN,
    "sand": ("dust", "pigments"),
    "polish": ("dust",),
}
_WHOLE = frozenset({"fin", "fins", "wax", "dry", "fair"})  # words, not beginnings: "finish" is no fin


def cautions_for(stages: Iterable[str], two_pack: bool) -> tuple[str, ...]:
    """The cautions to print for a board with these stages, most of them one or two sentences, the general one last.

    stages: names or labels, the shop's own among them; a name that tells nothing brings a general caution
    two_pack: whether two-pack paint is used here

    Empty where no stage meets anything that hurts.

    >>> cautions_for(["assess", "handover"], two_pack=False)
    ()
    >>> [text[:15] for text in cautions_for(["polish"], two_pack=False)]
    ['Foam, resin and', 'These are remin']
    """
    met: set[str] = set()
    for stage in stages:
        met |= _met_by(stage)
    if two_pack and "other" in met:
        met.add("two-pack")  # a stage of the shop's own may be where it is sprayed
    if not two_pack:
        met.discard("two-pack")
    return (*(text for name, text in TEXTS.items() if name in met), LAST) if met else ()


def _met_by(stage: str) -> set[str]:
    """What a stage meets by the words of its name; "other" where not one is known."""
    words = [word for word in re.split(r"[^a-z]+", stage.lower()) if word]
    known = [
        hazards
        for word in words
        for start, hazards in _MEETS.items()
        if word == start or (start not in _WHOLE and word.startswith(start))
    ]
    met = {hazard for hazards in known for hazard in hazards}
    harmless = bool(known) and len(words) == 1
    return met or (set() if harmless else {"other"})


WIDE_PX = 680  # of the figure: the sheet's width with the figure's own margins
ZONE_PX = 48  # of the figure: room for its boards
NOTED, NOTE_LETTERS = 4, 160  # notes shown, and letters of each: the sheet stays one page


def range_sheet(
    board: Board,
    answer: Range,
    settings: Settings,
    *,
    today: dt.date,
    what_ifs: Sequence[WhatIf] = (),
    told: Sequence[Told] = (),
    noted: Sequence[Note] = (),
    weeks_apart: str = "",
) -> dict[str, Any]:
    """What the workshop's copy says of a board, in the order of the sheet.

    told: what its owner was told, in order of day; noted: the notes on it, in that order too
    weeks_apart: that the week in the settings is not the week as it came, a clause
    """
    drawing = replace(drawing_of(answer), alike=())
    picture = io.StringIO()
    save_range(picture, drawing, title="", wide_px=WIDE_PX, zone_px=ZONE_PX, palette=IN_PRINT)
    shown = [stage for stage in answer.stages if stage.high > 0 or stage.done]
    return {
        "title": f"{board.name}: workshop copy",
        "name": board.name,
        "workshop": settings.workshop.name,
        "day": say_day(today),
        "number": f"Board {board.board}" if board.called else "",
        "line": board_line(board, settings),
        "state": capital(f"{label(f'state {board.state}')}; {label(f'view {answer.view}')}"),
        "hours": _hours(answer),
        "pencil": drawing.pencil,
        "figure": {"svg": picture.getvalue(), "says": alt_text(drawing)},
        "rests": list(_rests(answer, today, weeks_apart)),
        "looked": list(_looked(board, settings)),
        "what_ifs": [_what_if(one, settings) for one in what_ifs],
        "stages": [_stage(stage, settings) for stage in shown],
        "seldom": _seldom(answer, shown, settings),
        "materials": list(_materials(board, answer, settings)),
        "told": list(tellings(told, today, settings.workshop.currency)),
        "noted": list(_noted(noted)),
        "cautions": list(
            cautions_for([stage.stage for stage in shown if not stage.done], settings.workshop.two_pack)
        ),
    }


def _hours(answer: Range) -> str:
    """The range in one line."""
    if answer.low == answer.high:
        return f"{say_middle(answer.likely)} hours, all booked"
    said = f"{say_range(answer.low, answer.high)}, {say_odds(answer.odds)}"
    return capital(f"guessed: {said}" if answer.boards < INK_FROM else said)


def _rests(answer: Range, today: dt.date, weeks_apart: str) -> Iterable[str]:
    """What the range rests on, by what it was moved, what it was like, when the board will be ready."""
    yield rests_on(answer)
    if moved := say_stretch(*answer.stretch):
        yield moved
    if answer.alike:
        like = [f"{one.called or one.board} ({say_middle(one.hours)})" for one in answer.alike]
        yield f"{capital(label('alike'))}: {listed(like)}."
    if answer.ready is not None:
        low, high = (the_date(max(day, today), today) for day in (answer.ready.low, answer.ready.high))
        when = f"about {low}" if low == high else f"between {low} and {high}"
        by = answer.ready.say_yes_by
        yes = f", if the owner says yes by {say_exactly(by, today)}" if by else ""
        yield f"Ready {when}, 8 times in 10{yes}; {tell_owner(answer.ready.tell, today)}."
        if weeks_apart:
            yield f"{capital(weeks_apart)}."


def _looked(board: Board, settings: Settings) -> Iterable[str]:
    """What there is to do as it looked or turned out, what makes it slower, and what can't be seen yet."""
    seen = to_do(board, settings)
    if seen.work:
        yield f"{capital(label('driver'))}: {'; '.join(seen.work)}."
    if seen.slower:
        yield f"{capital(label('modifier'))}: {'; '.join(seen.slower)}."
    if unseen := (*seen.unseen, *seen.unseen_slower):
        yield f"Can't see yet: {', '.join(unseen)}."


def _what_if(one: WhatIf, settings: Settings) -> dict[str, str]:
    """One change in words, and the hours that it adds."""
    name = settings.quantity_label(one.name)
    if one.name in settings.modifiers:
        grades = settings.modifiers[one.name].grades
        words = say_value(one.value, grades=grades or YES_NO)
        was = "" if one.was is None else f", not {say_value(one.was, grades=grades or YES_NO)}"
        what = f"{name}: {words}{was}" if grades else name
    elif one.name in settings.drivers:
        unit = settings.drivers[one.name].unit
        was = "" if one.was is None else f", not {say_value(one.was, unit)}"
        what = f"{name}: {say_value(one.value, unit)}{was}"
    else:
        what = name
    return {"what": what, "hours": f"{say_hours(one.hours)} more"}


def _stage(stage: StageRange, settings: Settings) -> dict[str, str]:
    """One row: what it is called, its hours, and what is booked on it."""
    low, high = round_hours(stage.low), round_hours(stage.high)
    if stage.done:
        hours = f"done, {say_middle(stage.so_far)}"
    elif high == 0:
        hours = "under ½"
    elif low == high:
        hours = f"about {say_middle(high)}"
    else:
        hours = f"{say_middle(low) if low else '0'} to {say_middle(high)}"
    booked = f"{say_middle(stage.so_far)} so far" if stage.so_far and not stage.done else ""
    return {"stage": settings.label(stage.stage), "hours": hours, "so_far": booked}


def _seldom(answer: Range, shown: Sequence[StageRange], settings: Settings) -> str:
    """The stages that hardly ever come, in one line."""
    names = [settings.label(stage.stage).lower() for stage in answer.stages if stage not in shown]
    return f"Seldom needed, but counted in the whole: {', '.join(names)}." if names else ""


def _noted(noted: Sequence[Note]) -> Iterable[str]:
    """The newest notes, long ones cut short, and how many others there are."""
    if len(noted) > NOTED:
        yield f"The newest {NOTED} of {len(noted)} notes."
    for note in noted[-NOTED:]:
        yield f"{say_day(note.date)}: {textwrap.shorten(note_words(note), NOTE_LETTERS, placeholder=' …')}"


def _materials(board: Board, answer: Range, settings: Settings) -> Iterable[str]:
    """What materials cost, as written or else as such boards need; and the price that pays what one wants."""
    currency = settings.workshop.currency
    if board.materials is not None:
        yield f"{say_price(board.materials, currency)}, as written in your log."
    elif answer.materials is not None:
        lent = LENT if answer.materials.lent else ""
        yield f"{say_span(answer.materials.low, answer.materials.high, currency)}{lent}."
    if answer.price is not None and answer.price.target:
        pays = f"pays you {say_price(answer.price.target)} an hour, {say_odds(answer.price.odds)}"
        yield f"{say_money(answer.price.for_target, currency)} {pays}."

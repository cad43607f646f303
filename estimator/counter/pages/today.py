"""Today: whom to ring and what to say, what to touch and why, what to leave; then every board in hand."""

from __future__ import annotations

from flask import Blueprint, render_template

from estimator.counter.answer_files import PageQuestion
from estimator.counter.kept_parts import PagePart
from estimator.counter.workplace import at_counter
from estimator.said.bench import ALL, LEAVE, SCALES, STILL_OPEN, TOUCH
from estimator.said.parts import Heading

page = Blueprint("today", __name__)
TODAY = PageQuestion("today")
HEAD, WORK, RACK, REST = "head", "work", "rack", "rest"  # places of the page, in its order
UNDER = {TOUCH: WORK, LEAVE: WORK, SCALES: RACK, ALL: ALL, STILL_OPEN: ALL}


@page.get("/")
def show() -> str:
    """The page that opens first."""
    found, fresh = at_counter().answer(TODAY)
    places: dict[str, list[PagePart]] = {place: [] for place in (HEAD, WORK, RACK, REST, ALL)}
    place = HEAD
    for part in found.parts.get("day", ()) if found else ():
        if isinstance(part, Heading):
            place = UNDER.get(part.text, HEAD if place == HEAD else REST)
        places[place].append(part)
    return render_template("today.html", found=found, fresh=fresh, places=places, all=places[ALL])

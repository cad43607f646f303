"""Today: whom to ring and what to say, what to touch and why, what to leave; then every board in hand."""

from __future__ import annotations

from flask import Blueprint, render_template

from estimator.counter.answer_files import PageQuestion
from estimator.counter.showing import after_heading
from estimator.counter.workplace import at_counter
from estimator.said.bench import ALL

page = Blueprint("today", __name__)
TODAY = PageQuestion("today")


@page.get("/")
def show() -> str:
    """The page that opens first."""
    found, fresh = at_counter().answer(TODAY)
    parts = found.parts.get("day", ()) if found else ()
    whole = after_heading(parts, ALL)
    first = [part for part in parts if not any(part is one for one in whole)]
    return render_template("today.html", found=found, fresh=fresh, first=first, all=whole)

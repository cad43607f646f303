"""Look back: the quarter that runs, or one that is over; below it what stands under looking back."""

from __future__ import annotations

import datetime as dt

from flask import Blueprint, current_app, render_template, request, url_for

from estimator.counter.answer_files import PageQuestion
from estimator.counter.workplace import at_counter
from estimator.words.dates import A_DAY
from estimator.words.errors import UnreadableError

page = Blueprint("look_back", __name__)
UNDER = ("money", "settings", "book", "setting_up", "phones")  # pages that stand under this one
SHEETS = ("rules", "record", "week")


def quarter_of(day: dt.date) -> str:
    """The name of the quarter that a day lies in.

    >>> quarter_of(dt.date(2026, 10, 1))
    '2026-Q4'
    """
    return f"{day.year}-Q{(day.month + 2) // 3}"


def before(quarter: str) -> str:
    """The quarter before one.

    >>> before("2026-Q1"), before("2026-Q4")
    ('2025-Q4', '2026-Q3')
    """
    first = dt.date(int(quarter[:4]), 3 * int(quarter[-1]) - 2, 1)
    return quarter_of(first - A_DAY)


def read_name(text: str, today: dt.date) -> str:
    """The name of the quarter that was asked for, else of the one before today's.

    Raises UnreadableError where it is none.
    """
    from estimator.words.dates import Quarter

    return Quarter.read(text, today).name if text else before(quarter_of(today))


@page.get("/look-back")
def show() -> str:
    """A quarter looked back on."""
    counter = at_counter()
    today = counter.now.today or dt.date.today()
    wrong = ""
    try:
        name = read_name(request.args.get("quarter", "")[:20], today)
    except UnreadableError as error:
        name, wrong = before(quarter_of(today)), str(error)
    found, fresh = counter.answer(PageQuestion("quarter", name))
    earlier = before(name) if int(name[:4]) > 1 else ""
    return render_template(
        "look_back.html",
        found=found,
        fresh=fresh,
        wrong=wrong,
        quarter=name,
        running=quarter_of(today),
        earlier=earlier,
        sheets=SHEETS,
        under=[
            (name, url_for(f"{name}.show")) for name in UNDER if f"{name}.show" in current_app.view_functions
        ],
    )

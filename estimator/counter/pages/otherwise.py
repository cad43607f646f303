"""Last year again, under another habit: one that may be better, or one that is chosen."""

from __future__ import annotations

from collections.abc import Iterator

from flask import Blueprint, render_template, request

from estimator.counter.answer_files import PageQuestion
from estimator.counter.step_forms import in_use
from estimator.counter.workplace import at_counter
from estimator.words.dates import WEEKDAYS
from estimator.words.page_labels import page_label
from estimator.words.phrases import inside, say_count
from estimator.words.settings.schema import Settings

page = Blueprint("otherwise", __name__)


def offered(settings: Settings) -> Iterator[tuple[str, str]]:
    """Habits to choose from: as the address spells each, and its words."""
    bench = settings.bench
    for places in (bench.places - 1, bench.places + 1):
        if places > 0:
            yield f"places-{places}", page_label("habit-places").format(boards=say_count(places, "board"))
    yield "strip", page_label("habit-strip")
    for day, hours in zip(WEEKDAYS, bench.hours_by_weekday, strict=True):
        if hours > 0:
            yield f"small-{day}", page_label("habit-small").format(day=day)
    for kind in in_use(settings.kinds):
        yield f"none-{kind}", page_label("habit-none").format(kind=inside(settings.kinds[kind].label or kind))


@page.get("/otherwise")
def show() -> str:
    """The year as it was, and under a habit."""
    counter = at_counter()
    habits = dict(offered(counter.now.settings))
    asked = request.args.get("habit", "")
    habit = asked if asked in habits else ""
    found, fresh = counter.answer(PageQuestion("otherwise", habit))
    return render_template("otherwise.html", found=found, fresh=fresh, habits=habits, habit=habit)

"""Last year again, under another habit: one that may be better, or one that is chosen."""

from __future__ import annotations

from collections.abc import Iterator

from flask import Blueprint, render_template, request

from estimator.counter.answer_files import PageQuestion
from estimator.counter.step_forms import in_use
from estimator.counter.workplace import at_counter
from estimator.decide.otherwise import Habit
from estimator.said.otherwise import habit_words
from estimator.words.phrases import capital
from estimator.words.settings.schema import Settings

page = Blueprint("otherwise", __name__)


def offered(settings: Settings) -> Iterator[Habit]:
    """Habits to choose from."""
    bench = settings.bench
    yield from (Habit(places=places) for places in (bench.places - 1, bench.places + 1) if places)
    yield Habit(strip_first=True)
    yield from (Habit(small_on=day) for day, hours in enumerate(bench.hours_by_weekday) if hours)
    yield from (Habit(none=kind) for kind in in_use(settings.kinds))


@page.get("/otherwise")
def show() -> str:
    """The year as it was, and under a habit."""
    counter = at_counter()
    settings = counter.now.settings
    habits = {one.spelt: capital(habit_words(one, settings)) for one in offered(settings)}
    asked = request.args.get("habit", "")
    habit = asked if asked in habits else ""
    found, fresh = counter.answer(PageQuestion("otherwise", habit))
    return render_template("otherwise.html", found=found, fresh=fresh, habits=habits, habit=habit)

"""A past year worked otherwise, as a restorer reads it: how near the replay comes, then what a habit changes."""

from __future__ import annotations

from collections.abc import Iterable

from estimator.decide.otherwise import LATE, SURE, Habit, OneBoard, Otherwise, UnderHabit
from estimator.said.parts import Heading, Part, Table
from estimator.words.dates import WEEKDAYS, WHOLE_DAYS, say_day, short_weekday
from estimator.words.money import say_money
from estimator.words.odds import say_odds
from estimator.words.phrases import capital, say_count
from estimator.words.settings.schema import Settings

MOST_HURT = 8  # named one by one


def otherwise_parts(said: Otherwise, settings: Settings) -> list[Part]:
    """Everything that `otherwise` says."""
    parts: list[Part] = [Heading("Last year, worked otherwise", level=1), _near(said)]
    if said.at_once > said.places:
        parts.append(_more_at_once(said))
    if not said.near_enough:
        few = "That is fewer than 3 in 4, so nothing is said of another habit."
        return [*parts, f"{few} Hours written day by day, and what boards waited for, bring it nearer."]
    if said.asked is not None:
        return [*parts, *_outcome(said.asked, settings)]
    tried = say_count(said.tried, "other habit")
    if said.suggested is None:
        none = f"None of {tried} would have kept more days for no less pay, {say_odds(SURE)}."
        return [*parts, f"{none} The way you work is as good as any of them."]
    return [*parts, f"Of {tried} one would have been better:", *_outcome(said.suggested, settings)]


def habit_words(habit: Habit, settings: Settings | None = None) -> str:
    """A habit in words.

    >>> habit_words(Habit(places=2, strip_first=True))
    '2 boards on the go at once, each board stripped as soon as it comes'
    >>> habit_words(Habit(small_on=4)), habit_words(Habit(days=(0, 1, 2, 3)))
    ('small repairs on Fridays only', 'work on Mon, Tue, Wed and Thu')
    """
    said = []
    if habit.places is not None:
        said.append(f"{say_count(habit.places, 'board')} on the go at once")
    if habit.strip_first:
        said.append("each board stripped as soon as it comes")
    if habit.small_on is not None:
        said.append(f"small repairs on {WHOLE_DAYS[habit.small_on]}s only")
    if habit.days:
        days = [WEEKDAYS[day] for day in habit.days]
        said.append(f"work on {' and '.join([', '.join(days[:-1]), days[-1]]) if len(days) > 1 else days[0]}")
    if habit.none:
        kind = None if settings is None else settings.kinds.get(habit.none)
        said.append(f"no more of “{kind.label if kind and kind.label else habit.none}”")
    return ", ".join(said)


def _near(said: Otherwise) -> str:
    """How near the replay comes."""
    return (
        f"Your log ends with the hours of {say_day(said.last)}. The year up to then, from {say_day(said.first)} on, "
        f"is worked once more as it was, with the hours, waits and days at work in your log: {said.near} of "
        f"{say_count(said.boards, 'board')} come out ready within a week of the day on which they were."
    )


def _more_at_once(said: Otherwise) -> str:
    """That the settings have fewer boards on the go at once than the log."""
    return (
        f"Your settings have {say_count(said.places, 'board')} on the go at once, but your log shows {said.at_once}, "
        "boards that dry not counted."
    )


def _outcome(one: UnderHabit, settings: Settings) -> Iterable[Part]:
    """What a habit would have changed."""
    money = settings.workshop.currency
    yield Heading(capital(habit_words(one.habit, settings)))
    yield (
        f"Days told that would have been kept: {one.kept} of {one.of}, where as it was {one.kept_before} are. "
        f"With other luck: {_more(one.more_low)} to {_more(one.more_high)}, 8 times in 10."
    )
    pay = (
        "the same"
        if abs(one.pay - one.pay_before) < 1
        else f"{say_money(one.pay, money)} instead of {say_money(one.pay_before, money)}"
    )
    yield f"Boards ready within the year would have brought, less materials, {pay}."
    yield _when(one.earlier)
    if one.hurt:
        named = [f"{board.name} ({_days_later(board)})" for board in one.hurt[:MOST_HURT]]
        rest = len(one.hurt) - len(named)
        more = f" and {rest} more" if rest else ""
        yield f"Ready more than {say_count(LATE, 'day')} later: {', '.join(named)}{more}."
    else:
        yield f"No board would have been ready more than {say_count(LATE, 'day')} later."
    rows = [
        (
            board.name,
            *(
                "" if day is None else short_weekday(day)
                for day in (board.told, board.was, board.replayed, board.otherwise)
            ),
        )
        for board in one.boards
    ]
    yield Table(("", "told", "was ready", "as it was", "otherwise"), tuple(rows))
    yield (
        "The hours are those that you worked, in another order. Luck is drawn from what the model says of the hours "
        "and waits of each board."
    )


def _more(many: int) -> str:
    return f"{many} more" if many > 0 else f"{-many} fewer" if many < 0 else "none more"


def _when(days: float) -> str:
    """By how much earlier or later boards are ready."""
    if abs(days) < 1:
        return "Half of the boards would have been ready no earlier and half no later."
    by = f"{say_count(round(abs(days)), 'day')} {'earlier' if days > 0 else 'later'}"
    return f"Half of the boards would have been ready {by} or more."


def _days_later(board: OneBoard) -> str:
    assert board.otherwise is not None
    assert board.replayed is not None
    return f"{say_count((board.otherwise - board.replayed).days, 'day')}"

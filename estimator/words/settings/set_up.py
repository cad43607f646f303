"""The eleven questions of setting up: what each asks, what stands there now, and the settings once it is answered."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Mapping
from contextlib import suppress
from dataclasses import dataclass
from typing import Any

from estimator.words.dates import WEEKDAYS, read_date
from estimator.words.errors import EstimatorError, UnreadableError
from estimator.words.measures import number
from estimator.words.money import read_money
from estimator.words.settings.changes import BENCH, with_days_away, with_values
from estimator.words.settings.own_rules import THUMBS, rule_of, thumbs_asked, with_own_rule
from estimator.words.settings.schema import Bench, Settings, Workshop
from estimator.words.settings.values import settable
from estimator.words.worked_time import read_worked_time

HOURS, MONEY, COUNT, WORD, ONE_OF, YES_NO = "hours", "money", "count", "word", "one-of", "yes-no"
AWAY_ROWS = 3  # times away that can be written at once
LONGEST_SIGN = 12  # letters of a money sign
FROM, TO = "from", "to"
LOW, HIGH = "quickest", "slowest"


@dataclass(frozen=True, slots=True)
class SetUpField:
    """A field of a question, and the setting that it fills.

    name: on the page; form: how it is read; choices: of one-of
    """

    name: str
    section: str
    key: str
    form: str
    choices: tuple[str, ...] = ()


# the questions, in the order in which they are asked; those without fields have a form of their own
WEEK, AWAY, RULES = "week", "away", "rules"
QUESTIONS: Mapping[str, tuple[SetUpField, ...]] = {
    WEEK: tuple(SetUpField(day.lower(), "bench", "hours_by_weekday", HOURS) for day in WEEKDAYS),
    AWAY: (),
    "places": (SetUpField("places", "bench", "places", COUNT),),
    "pay": (
        SetUpField("currency", "workshop", "currency", WORD),
        SetUpField("target", "workshop", "target_pay", MONEY),
        SetUpField("floor", "workshop", "floor_pay", MONEY),
    ),
    "rent": (SetUpField("overheads", "workshop", "overheads_a_month", MONEY),),
    "a-day": (SetUpField("day", "workshop", "hours_in_a_day", HOURS),),
    "colour": (SetUpField("colour", "workshop", "colour_on", ONE_OF, ("foam", "filler")),),
    "sweeping": (SetUpField("sweeping", "workshop", "hours_include_sweeping", YES_NO),),
    "ready": (SetUpField("ready", "workshop", "ready", ONE_OF, ("polished", "hard", "collected")),),
    "two-pack": (SetUpField("two_pack", "workshop", "two_pack", YES_NO),),
    RULES: (),
}
_LIMITS = {
    (section, field.name): (field.metadata.get("low"), field.metadata.get("high"))
    for section, kind in (("workshop", Workshop), ("bench", Bench))
    for field in settable(kind)
}


def questions_asked(settings: Settings) -> tuple[str, ...]:
    """The names of the questions that make sense in a workshop with these stages.

    >>> len(questions_asked(Settings()))
    10
    """
    return tuple(name for name in QUESTIONS if name != RULES or thumbs_asked(settings))


def stands_now(question: str, settings: Settings, today: dt.date) -> dict[str, str]:
    """What a question's fields hold as the settings are, by name; a rule of thumb that is only lent is left empty.

    >>> stands_now("places", Settings(), dt.date(2026, 6, 1))
    {'places': '3'}
    """
    if question == AWAY:
        rows = [away for away in settings.bench.away if away.last >= today]
        pairs = ((f"{FROM}{n}", f"{TO}{n}", away) for n, away in enumerate(rows, 1))
        return {
            name: day.isoformat()
            for first, last, away in pairs
            for name, day in ((first, away.first), (last, away.last))
        }
    if question == RULES:
        return {
            f"{name}.{end}": number(value)
            for name in thumbs_asked(settings)
            if (rule := rule_of(name, settings)) is not None
            for end, value in ((LOW, rule.low), (HIGH, rule.high))
        }
    if question == WEEK:
        hours = settings.bench.hours_by_weekday
        return {field.name: number(one) for field, one in zip(QUESTIONS[WEEK], hours, strict=True)}
    return {field.name: _shown(_value(field, settings)) for field in QUESTIONS[question]}


def answered(
    question: str, typed: Callable[[str], str], written: str, settings: Settings, today: dt.date
) -> str:
    """The text of the settings once a question is answered; the same text where nothing was changed.

    typed: what was typed into a field, by its name; settings: those of the text

    Raises UnreadableError at the first field that can't be read.
    """
    if question == AWAY:
        return _away(typed, written, settings, today)
    if question == RULES:
        return _rules(typed, written, settings, today)
    fields = QUESTIONS[question]
    if question == WEEK:
        week = tuple(_read(field, typed(field.name), settings) for field in fields)
        if week == settings.bench.hours_by_weekday:
            return written
        plain = [int(one) if one == int(one) else one for one in week]
        return with_values(written, BENCH, {"hours_by_weekday": plain})
    for field in fields:
        value = _read(field, typed(field.name), settings)
        if value != _value(field, settings):
            written = with_values(written, (field.section,), {field.key: value})
    return written


def _value(field: SetUpField, settings: Settings) -> Any:
    """What a field's setting is."""
    return getattr(settings.workshop if field.section == "workshop" else settings.bench, field.key)


def _shown(value: Any) -> str:
    """A value as it stands in a field."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    return value if isinstance(value, str) else number(value)


def _read(field: SetUpField, text: str, settings: Settings) -> Any:
    """What was typed into a field; raises UnreadableError with the field's name."""
    try:
        return _reader(field, text, settings)
    except EstimatorError as error:
        raise UnreadableError(error.wrong, error.cure, field=field.name) from error


def _reader(field: SetUpField, text: str, settings: Settings) -> Any:
    """The same, without the name."""
    if field.form == WORD:
        if len(text) > LONGEST_SIGN or not text.isprintable():
            raise UnreadableError("That is too long for a sign.", f"Write at most {LONGEST_SIGN} letters.")
        return text
    if field.form in {ONE_OF, YES_NO}:
        offered = field.choices or ("yes", "no")
        if text not in offered:
            raise UnreadableError("Nothing is chosen.", "Choose one, or skip the question.")
        return text == "yes" if field.form == YES_NO else text
    if not text and field.form == HOURS and field.key == "hours_by_weekday":
        return 0.0
    if not text:
        raise UnreadableError("Nothing is written.", "Write a number, or skip the question.")
    if field.form == HOURS:
        value = read_worked_time(text, settings.workshop.hours_in_a_day).hours
    else:
        value = read_money(text)
    if field.form == COUNT and value != int(value):
        raise UnreadableError(f"{text} is no whole number.", "Write for instance 3.")
    low, high = _LIMITS[field.section, field.key]
    if (low is not None and value < low) or (high is not None and value > high):
        raise UnreadableError(
            f"{text} can't be.", f"Write a number from {number(low or 0)} to {number(high or 0)}."
        )
    return int(value) if field.form == COUNT else value


def _away(typed: Callable[[str], str], written: str, settings: Settings, today: dt.date) -> str:
    """Days away that are still to come, as they were typed; those that are over stay."""
    before = [(away.first, away.last) for away in settings.bench.away if away.last >= today]
    days = []
    for n in range(1, len(before) + AWAY_ROWS + 1):
        first, last = typed(f"{FROM}{n}"), typed(f"{TO}{n}")
        if not first and not last:
            continue
        begin = _day(first, f"{FROM}{n}", settings, today)
        end = _day(last, f"{TO}{n}", settings, begin) if last else begin
        if end < begin:
            raise UnreadableError(
                "The last day is before the first.", "Swap them, or mend one.", field=f"{TO}{n}"
            )
        if end < today:
            raise UnreadableError("Those days are over.", "Write days to come.", field=f"{TO}{n}")
        days.append((begin, end))
    if days == before:
        return written
    over = [(away.first, away.last) for away in settings.bench.away if away.last < today]
    return with_days_away(written, [*over, *days])


def _day(text: str, name: str, settings: Settings, after: dt.date) -> dt.date:
    """A day; one without its year is the next such day from another on."""
    style = settings.workshop.dates
    for year in (after.year, after.year + 1):
        with suppress(EstimatorError):
            if (day := read_date(f"{text} {year}", style)) >= after:
                return day
    try:
        return read_date(text, style)
    except EstimatorError as error:
        raise UnreadableError(error.wrong, error.cure, field=name) from error


def _rules(typed: Callable[[str], str], written: str, settings: Settings, today: dt.date) -> str:
    """The rules of thumb that both ends were typed of, as the restorer's own."""
    for name in thumbs_asked(settings):
        low, high = f"{name}.{LOW}", f"{name}.{HIGH}"
        texts = typed(low), typed(high)
        if not any(texts):
            continue
        ends = [
            _end(text, field, THUMBS[name].days, settings)
            for text, field in zip(texts, (low, high), strict=True)
        ]
        if ends[0] >= ends[1]:
            wrong = "The quickest of ten takes less than the slowest."
            raise UnreadableError(wrong, "Swap the two, or mend one.", field=high)
        own = rule_of(name, settings)
        if own is None or [own.low, own.high] != ends:
            written = with_own_rule(written, name, ends[0], ends[1], today)
    return written


def _end(text: str, field: str, days: bool, settings: Settings) -> float:
    """An end of a range, in hours or in days."""
    try:
        if not text:
            raise UnreadableError("One of the two is missing.", "Write both, or neither.")
        plain = text.replace(" ", "").replace(",", ".", 1)
        if days and not plain.replace(".", "", 1).isdecimal():
            weeks = text.lower().rstrip(" s.").endswith(("w", "wk", "week"))
            value = read_worked_time(
                text, 1.4 if weeks else 1.0
            ).hours  # a week of five there is one of seven here
        else:
            value = read_worked_time(text, settings.workshop.hours_in_a_day).hours
    except EstimatorError as error:
        raise UnreadableError(error.wrong, error.cure, field=field) from error
    if value <= 0:
        raise UnreadableError("That takes some time.", "Write a number above 0.", field=field)
    return round(value, 3)

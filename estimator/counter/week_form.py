"""The week's hours as a form: one box a day and one for a whole page, and what is to be asked of what they hold."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass
from urllib.parse import quote, unquote

from estimator.counter.forms import PageForm
from estimator.counter.missing_days import empty_days
from estimator.counter.step_forms import ONE_OF, OTHER, PICK, FormField
from estimator.log.notebook.boxes import WHOLE, AskedOfBox, BoxesRead
from estimator.log.notebook.page import A_DATE, A_TIME, LEAVE, Doubt
from estimator.log.steps.missing import DAY_WAS
from estimator.log.steps.notebook_hours import NotebookHours, week_of
from estimator.log.steps.read_back import AsWritten
from estimator.log.steps.week_end import MOST, WeekEnded, open_stages
from estimator.said.hours import held_lines, held_notes
from estimator.words.dates import A_DAY, read_date, say_day
from estimator.words.errors import UnreadableError
from estimator.words.page_labels import page_label
from estimator.words.records import IN_HAND, WAITING
from estimator.words.step_labels import form_word

PAGE_BOX = "page"  # the box of a whole page
STAGE, DAY_WAS_FIELD = "stage.", "day."  # before what is asked at the end: a board and its stage, and a day
DAY_BOX, ASK = "on-", "ask-"  # before an ISO day, and before the name of what is asked
AT_ONCE = 8  # choices that have a button each: six boards, the shop, and none


@dataclass(frozen=True, slots=True)
class DayBox:
    """A day of the week: its name as a field, what stands above it, what the log holds of it, and what is typed.

    usual: whether it is a day on which one works, or something is written of it
    """

    name: str
    says: str
    held: tuple[str, ...]
    text: str
    usual: bool


def day_boxes(now: AsWritten, week: dt.date, today: dt.date, form: PageForm) -> tuple[DayBox, ...]:
    """The days of a week up to today."""
    boxes = []
    for day in week_of(week):
        if day > today:
            continue
        held = [entry for entry in now.log.entries if entry.date <= day <= entry.last]
        noted = held_notes((note for note in now.log.notes if note.date == day), now.log.boards)
        name = f"{DAY_BOX}{day.isoformat()}"
        text = _raw(form, name)
        usual = bool(text or held or noted or now.settings.bench.hours_by_weekday[day.weekday()])
        lines = (*held_lines(held, now.settings, now.log.boards), *noted)
        boxes.append(DayBox(name, say_day(day), lines, text, usual))
    return tuple(boxes)


def typed_page(form: PageForm) -> str:
    """What is typed into the box of a whole page."""
    return _raw(form, PAGE_BOX)


def _raw(form: PageForm, name: str) -> str:
    """What was typed, line by line as it was."""
    return next(iter(form.typed.get(name, [])), "").replace("\r\n", "\n")


def on_the_bench(now: AsWritten) -> tuple[str, ...]:
    """By what the boards are typed that hours are likely of."""
    return tuple(b.called or b.board for b in now.log.boards if b.state in IN_HAND and b.state != WAITING)


def week_asked(text: str, today: dt.date) -> dt.date:
    """The Monday of the week that an address asks for, never a later one than today's.

    >>> week_asked("2026-06-10", dt.date(2026, 6, 12)), week_asked("?", dt.date(2026, 6, 12))
    (datetime.date(2026, 6, 8), datetime.date(2026, 6, 8))
    """
    try:
        day = min(read_date(text), today) if text else today
    except UnreadableError:
        day = today
    return week_of(day)[0]


def step_of(form: PageForm, week: dt.date, today: dt.date, dates: str) -> NotebookHours:
    """The week as it was typed and answered; an answer that cannot be read is noted at its field.

    dates: how days are written here
    """
    days = [day for day in week_of(week) if day <= today]
    boxes = [("", typed_page(form)), *((day.isoformat(), _raw(form, f"{DAY_BOX}{day}")) for day in days)]
    answers = {}
    for field in form.typed:
        if field.startswith(ASK) and (name := field.removeprefix(ASK).removesuffix(OTHER)):
            answers[name] = _answer(form, name, dates)
    return NotebookHours(
        tuple(box for box in boxes if box[1].strip()),
        week.isoformat(),
        tuple((name, answer) for name, answer in answers.items() if answer),
    )


def _answer(form: PageForm, name: str, dates: str) -> str:
    """An answer: what was typed beside the choices, else the choice."""
    typed, chosen = form.text(f"{ASK}{name}{OTHER}"), form.text(f"{ASK}{name}")
    if not typed:
        return chosen
    if not name.startswith("day-"):
        return typed
    try:
        return read_date(typed, dates).isoformat()
    except UnreadableError as error:
        form.wrong(f"{ASK}{name}", str(error))
        return ""


def form_after(form: PageForm, read: BoxesRead) -> PageForm:
    """The form with its boxes as they were read: what was written anew stands in its place."""
    texts = {f"{DAY_BOX}{box.day}" if box.day else PAGE_BOX: [box.text] for box in read.boxes}
    form.typed = {**form.typed, **texts}
    return form


def questions_asked(read: BoxesRead) -> tuple[tuple[FormField, FormField | None], ...]:
    """A field for each question, and one beside it for the choices that have no button."""
    return tuple(_question(one) for one in read.asked)


def _question(one: AskedOfBox) -> tuple[FormField, FormField | None]:
    doubt, name = one.doubt, f"{ASK}{one.name}"
    choices = tuple((choice.value, choice.says) for choice in doubt.choices)
    first, rest = choices, choices[:0]
    if len(choices) > AT_ONCE:
        leave = tuple(choice for choice in choices if choice[0] == LEAVE)
        others = [choice for choice in choices if choice[0] != LEAVE]
        first, rest = (*others[: AT_ONCE - 1], *leave), tuple(others[AT_ONCE - 1 :])
    label = doubt.question if doubt.typed in doubt.question else f"“{_short(doubt.typed)}”: {doubt.question}"
    other = not rest and (doubt.what in WHOLE or doubt.free in {A_TIME, A_DATE})
    field = FormField(name, label, ONE_OF, first, hint=_known(doubt), other=other)
    return field, FormField(name + OTHER, form_word("another-choice"), PICK, rest) if rest else None


def _known(doubt: Doubt) -> str:
    """What is known of it already, in words."""
    text = doubt.known.get("text", "")
    said = f"“{_short(text)}”" if text and text != doubt.typed and text not in doubt.question else ""
    return ", ".join(filter(None, (doubt.known.get("day", ""), said)))


def _short(text: str, most: int = 80) -> str:
    """A piece of text on one line, cut where it is long.

    >>> _short("red  strip 4", 20), _short("red strip four and a half", 10)
    ('red strip 4', 'red strip …')
    """
    line = " ".join(text.split())
    return line if len(line) <= most else f"{line[:most]}…"


def carried(form: PageForm, read: BoxesRead) -> Mapping[str, str]:
    """Answers that were given and are not asked for any more, as the form goes on holding them."""
    open_ = {one.name for one in read.asked}
    return {
        field: form.text(field)
        for field in form.typed
        if field.startswith(ASK)
        and form.text(field)
        and field.removeprefix(ASK).removesuffix(OTHER) not in open_
    }


@dataclass(frozen=True, slots=True)
class WeekEndQuestion:
    """What is asked once a week is written: a field of choices; pre-chosen where the answer is likely.

    name: of the field; asks, hint: the question, and what it rests on; choices: value and words; first: chosen before
    """

    name: str
    asks: str
    choices: tuple[tuple[str, str], ...]
    hint: str = ""
    first: str = ""


def week_end_questions(now: AsWritten, week: dt.date, today: dt.date) -> tuple[WeekEndQuestion, ...]:
    """At most three: whether stages are over, then why days are empty."""
    days = week_of(week)
    asked = []
    for one in open_stages(now, days[0], min(days[-1], today)):
        label = now.settings.label
        asks = form_word("week-end-stage").format(board=now.board(one.board).name, stage=label(one.stage))
        choices = (("yes", form_word("week-end-yes")), ("no", form_word("week-end-no")))
        hint = form_word("week-end-since").format(since=label(one.since))
        asked.append(
            WeekEndQuestion(f"{STAGE}{one.stage}.{quote(one.board, '')}", asks, choices, hint, "yes")
        )
    was = tuple((kind, page_label(f"day-{kind}")) for kind in DAY_WAS)
    for empty in empty_days(now, days, today):
        asks = form_word("week-end-day").format(day=empty.words)
        asked.append(WeekEndQuestion(empty.field, asks, was))
    return tuple(asked[:MOST])


def week_ended(form: PageForm) -> WeekEnded:
    """What was answered of that."""
    stages, days = list[tuple[str, str, bool]](), dict[str, str]()
    for name in form.typed:
        if name.startswith(STAGE) and form.text(name):
            stage, _, board = name.removeprefix(STAGE).partition(".")
            stages.append((unquote(board), stage, form.text(name) == "yes"))
        elif name.startswith(DAY_WAS_FIELD):
            days[name.removeprefix(DAY_WAS_FIELD)] = form.text(name)
    return WeekEnded(tuple(stages), days)


def week_before(week: dt.date) -> dt.date:
    """The Monday before one."""
    return week - 7 * A_DAY

"""The forms of the steps of a working day, as data: what is asked, and what may be chosen."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Protocol

from estimator.forecast.looks import ENOUGH, Judgeable, looked_so
from estimator.log.steps.hours import not_found_yet, worked_on
from estimator.log.steps.leaving import owed
from estimator.log.steps.next_steps import next_stage
from estimator.log.steps.read_back import AsWritten
from estimator.log.steps.standing import standing
from estimator.said.looks import looked_words
from estimator.words.dates import say_day
from estimator.words.labels import LABELS
from estimator.words.measures import number
from estimator.words.money import say_price
from estimator.words.phrases import say_value, unit_sign
from estimator.words.records import (
    AGAIN,
    AIMS,
    BECAUSE,
    COST_TIME,
    DECISIONS,
    JUDGED_WITH,
    OUTLINES,
    PAID_BY,
    TERMS,
    WAIT_CAUSES,
    Board,
)
from estimator.words.settings.schema import Kind, Settings, Stage
from estimator.words.step_labels import AS_THOUGHT, CANT_SEE, FIELD_WORDS, NONE, choice, step_name

TEXT, LONG, NUMBER, MONEY, DAY, ONE_OF, PICK, TICK, PHOTOS, HIDDEN = (
    *("text", "long", "number", "money", "day", "one-of", "pick", "tick", "photos", "hidden"),
)
HOURS_TO_TAP = ("0.5", "1", "1.5", "2", "3", "4")
LOOKED, TURNED_OUT, MORE = "looked.", "found.", "more."
OTHER = ".other"  # after the name of a field: what is typed where no button says it
MANY = 3  # of a count, up to which it has a button


class Given(Protocol):
    """What was sent with a form."""

    def get(self, name: str, default: str = "") -> str: ...
    def getlist(self, name: str) -> Sequence[str]: ...
    def keys(self) -> Iterable[str]: ...


@dataclass(frozen=True, slots=True)
class FormField:
    """One thing that a form asks.

    kind: one of the words above; choices: values and what they are called; other: a box beside the buttons
    value: what stands in it, or is chosen; hint: what is known of it, in words
    eye: by choice, how past boards turned out that looked so
    """

    name: str
    label: str
    kind: str = TEXT
    choices: tuple[tuple[str, str], ...] = ()
    value: str = ""
    hint: str = ""
    other: bool = False
    eye: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class StepForm:
    """A form of a step: its fields, those that are rarely needed, and its buttons.

    buttons: name, value and words of each; one without a name says nothing more
    """

    verb: str
    name: str
    fields: tuple[FormField, ...] = ()
    rarely: tuple[FormField, ...] = ()
    buttons: tuple[tuple[str, str, str], ...] = (("", "", "Write it"),)

    def offered(self, given: Mapping[str, str]) -> StepForm:
        """The same with what is offered in some of its fields."""

        def filled(one: FormField) -> FormField:
            return replace(one, value=given[one.name]) if given.get(one.name) else one

        return replace(self, fields=tuple(map(filled, self.fields)), rarely=tuple(map(filled, self.rarely)))

    def with_given(self, given: Given) -> StepForm:
        """The same with what was sent in its fields."""

        def filled(one: FormField) -> FormField:
            typed = given.get(one.name + OTHER) if one.other else ""
            return replace(one, value=typed or given.get(one.name, ""))

        return replace(self, fields=tuple(map(filled, self.fields)), rarely=tuple(map(filled, self.rarely)))


def asked(name: str, kind: str = TEXT, **more: object) -> FormField:
    """A field under its own words."""
    return FormField(name, FIELD_WORDS[name], kind, **more)  # type: ignore[arg-type]


def one_of(name: str, words: Iterable[str], value: str = "", kind: str = ONE_OF) -> FormField:
    """A field of which one word is chosen."""
    return FormField(
        name, FIELD_WORDS[name], kind, tuple((word, choice(name, word)) for word in words), value
    )


ON = asked("on", DAY)
NOTE = asked("note", LONG)


def form_of(verb: str, now: AsWritten, board: Board, stage: str = "") -> StepForm:
    """The form of a step of a board; stage: that which is meant by default, of questions those that come first."""
    fields, rarely, buttons = _ALIKE[verb] if verb in _ALIKE else _FORMS[verb](now, board, stage)
    return StepForm(verb, step_name(verb), tuple(fields), tuple(rarely), buttons or (("", "", "Write it"),))


Made = tuple[Sequence[FormField], Sequence[FormField], tuple[tuple[str, str, str], ...]]


def _hours(now: AsWritten, board: Board, stage: str) -> Made:
    likely = list(dict.fromkeys(filter(None, (stage, *_in_hand(now, board), next_stage(now, board)))))
    stages = tuple((name, now.settings.label(name)) for name in likely[:MANY])
    others = tuple(
        (name, now.settings.label(name)) for name in in_use(now.settings.stages) if name not in likely[:MANY]
    )
    return (
        (
            FormField("stage", FIELD_WORDS["stage"], ONE_OF, stages, likely[0] if likely else ""),
            FormField("stage" + OTHER, "Another stage", PICK, others),
            _tapped_hours(),
            asked("done", TICK),
        ),
        (ON, NOTE),
        (),
    )


def _in_hand(now: AsWritten, board: Board) -> list[str]:
    """The stages that are begun and not done, the last first."""
    return [
        name
        for name, has in reversed(list(worked_on(now, board).items()))
        if not has.done and name in now.settings.stages
    ]


def _tapped_hours() -> FormField:
    """Hours by button, or typed."""
    choices = tuple((hours, say_value(float(hours))) for hours in HOURS_TO_TAP)
    return FormField("hours", FIELD_WORDS["hours"], ONE_OF, choices, other=True)


def _again(now: AsWritten, board: Board, stage: str) -> Made:
    names = tuple(
        (name, now.settings.label(name)) for name in worked_on(now, board) if name in now.settings.stages
    )
    return (
        (
            FormField("stage", FIELD_WORDS["stage"], ONE_OF, names, stage or (names[-1][0] if names else "")),
            one_of("again", AGAIN),
            _tapped_hours(),
        ),
        (ON, NOTE),
        (),
    )


def _done(now: AsWritten, board: Board, stage: str) -> Made:
    names = list(dict.fromkeys(filter(None, (stage, *_in_hand(now, board)))))
    begun = tuple((name, now.settings.label(name)) for name in names)
    others = tuple(
        (name, now.settings.label(name)) for name in in_use(now.settings.stages) if name not in names
    )
    return (
        (
            FormField("stage", FIELD_WORDS["stage"], ONE_OF, begun, names[0] if names else ""),
            FormField("stage" + OTHER, "Another stage", PICK, others),
            asked("not_needed", TICK),
        ),
        (ON,),
        (),
    )


def amount_field(prefix: str, name: str, settings: Settings, *, value: str = "", hint: str = "") -> FormField:
    """How much there is of a quantity: none, a few by button, more typed, can't see yet; a condition by its grades."""
    label, unknown = settings.quantity_label(name), ("?", CANT_SEE)
    if name in settings.modifiers:
        grades = settings.modifiers[name].grades or ("no", "yes")
        return FormField(prefix + name, label, ONE_OF, (*((g, g) for g in grades), unknown), value, hint)
    if name in settings.sometimes:
        return FormField(prefix + name, label, ONE_OF, (("no", "no"), ("yes", "yes"), unknown), value, hint)
    unit = settings.drivers[name].unit
    if unit:
        hint = "; ".join(filter(None, (hint, f"in {unit_sign(unit)}, or with its own unit")))
        return FormField(prefix + name, label, ONE_OF, (("0", NONE), unknown), value, hint, other=True)
    counts = tuple((str(n), str(n)) for n in range(1, MANY + 1))
    return FormField(prefix + name, label, ONE_OF, (("0", NONE), *counts, unknown), value, hint, other=True)


def questions_of(board: Board, settings: Settings, first: Sequence[str] = ()) -> list[str]:
    """What is asked of a board of its sort, best first; areas that follow from length and width are not.

    first: what would narrow its hours most, in that order
    """
    asks = settings.kinds[board.kind].asks if board.kind in settings.kinds else None
    names = [
        name
        for name in settings.quantities
        if (asks is None or name in asks)
        and not _retired(name, settings)
        and not _follows_from_faces(name, settings, asks)
        and name not in settings.sometimes
    ]
    return [*(name for name in first if name in names), *(name for name in names if name not in first)]


def eye_lines(boards: Iterable[Judgeable], settings: Settings) -> Mapping[str, Mapping[str, str]]:
    """How past boards turned out that looked so, by quantity and by choice; nothing where too few tell."""
    lines: dict[str, dict[str, str]] = defaultdict(dict)
    for so in looked_so(boards, settings):
        if so.judged_with or so.boards < ENOUGH or so.looked is None:
            continue
        if so.thing in settings.modifiers:
            value = dict(enumerate(settings.modifiers[so.thing].grades or ("no", "yes"))).get(
                int(so.looked), ""
            )
        elif so.thing in settings.drivers and settings.drivers[so.thing].unit and so.looked:
            continue  # how much is typed, and has no button
        else:
            value = ("no", "yes")[bool(so.looked)] if so.thing in settings.sometimes else number(so.looked)
        lines[so.thing][value] = looked_words(so, settings)
    return lines


def in_use(part: Mapping[str, Stage] | Mapping[str, Kind]) -> list[str]:
    """The names of what is not retired."""
    return [name for name, one in part.items() if not one.retired]


def _retired(name: str, settings: Settings) -> bool:
    """Whether a quantity is no longer asked for."""
    thing = settings.drivers.get(name) or settings.modifiers.get(name)
    return thing is not None and thing.retired


def _follows_from_faces(name: str, settings: Settings, asks: Sequence[str] | None) -> bool:
    """Whether an area follows from length, width and the number of faces, which is asked for in its place."""
    driver = settings.drivers.get(name)
    return bool(
        driver and driver.source and not (driver.times and asks is not None and driver.times not in asks)
    )


def _answers(now: AsWritten, board: Board, best: str) -> Made:
    row, eye = now.row(board).cells, eye_lines(now.log.boards, now.settings)
    fields = [
        replace(
            amount_field(LOOKED, name, now.settings, value=str(row.get(f"assessed_{name}", ""))),
            eye=eye.get(name, {}),
        )
        for name in questions_of(board, now.settings, best.split())
    ]
    about = [
        asked("width", value=row.get("width", "")),
        one_of("outline", OUTLINES, board.outline),
        one_of("judged_with", JUDGED_WITH, board.judged_with or "in hand"),
    ]
    return [*about, *fields], (), ()


def _guess(now: AsWritten, board: Board, _: str) -> Made:
    return (asked("guess", value=now.row(board).cells.get("guess", "")),), (), ()


def _found(now: AsWritten, board: Board, _: str) -> Made:
    names = not_found_yet(now, board)
    fields = [
        amount_field(TURNED_OUT, name, now.settings, hint=_looked(board, name, now.settings))
        for name in names
    ]
    return fields, (), (("as_thought", "yes", AS_THOUGHT), ("", "", "Write it; the rest is not known yet"))


def _looked(board: Board, name: str, settings: Settings) -> str:
    """What a quantity looked like, in words."""
    if name not in board.assessed:
        return f"{LABELS['assessed']}: {CANT_SEE}"
    grades = settings.modifiers[name].grades or ("no", "yes") if name in settings.modifiers else ()
    unit = settings.drivers[name].unit if name in settings.drivers else ""
    return f"{LABELS['assessed']}: {say_value(board.assessed[name], unit, grades)}"


def _since(now: AsWritten, board: Board, _: str) -> Made:
    fields = []
    for name in questions_of(board, now.settings):
        if name in now.settings.modifiers:
            continue
        steps = (("", "as it is"), ("-1", "one less"), ("1", "one more"), ("2", "two more"))
        fields.append(FormField(MORE + name, now.settings.quantity_label(name), ONE_OF, steps, other=True))
    return fields, (), (("", "", "Work it out"),)


def _told(now: AsWritten, board: Board, _: str) -> Made:
    earlier = any(telling.board == board.board for telling in now.log.told)
    fields = [
        FormField(
            "hours", FIELD_WORDS["told_hours"], hint="left empty, those worked out today; ? if you named none"
        ),
        asked("price", MONEY),
        asked("last", DAY, hint="left empty, the day worked out today"),
    ]
    if earlier:
        fields += [one_of("because", BECAUSE[1:]), one_of("paid_by", PAID_BY)]
    if board.state == "asked":
        fields.append(asked("said_yes", TICK))
    return fields, (one_of("terms", TERMS), asked("first", DAY), ON), ()


def _struck(now: AsWritten, board: Board, _: str) -> Made:
    said = [telling for telling in now.log.told if telling.board == board.board]
    days = tuple((t.date.isoformat(), say_day(t.date)) for t in reversed(said))
    field_of_day = FormField("on", "Told on", ONE_OF, days, days[0][0] if days else "")
    return (field_of_day, asked("why")), (), ()


def _stopped(now: AsWritten, board: Board, _: str) -> Made:
    stands = {wait.cause for wait in standing(now, board)}
    return (one_of("cause", [cause for cause in WAIT_CAUSES if cause not in stands]),), (NOTE, ON), ()


def _going(now: AsWritten, board: Board, _: str) -> Made:
    waits = standing(now, board)
    if len(waits) < 2:
        return (), (ON,), ()
    causes = tuple((wait.cause, choice("cause", wait.cause)) for wait in waits)
    return (FormField("cause", FIELD_WORDS["which"], ONE_OF, (("", "all of it"), *causes)),), (ON,), ()


def _ready(now: AsWritten, board: Board, _: str) -> Made:
    words = tuple((cause, LABELS[f"cost {cause}"]) for cause in COST_TIME)
    fields = [FormField("cost_time", FIELD_WORDS["cost_time"], ONE_OF, words), asked("materials", MONEY)]
    if any(name in board.assessed for name in not_found_yet(now, board)):
        fields.append(
            FormField("as_thought", "What isn't said yet turned out as I thought", TICK, value="yes")
        )
    return fields, (ON,), ()


def _collected(now: AsWritten, board: Board, _: str) -> Made:
    rest = owed(now, board)
    fields = [asked("amount", MONEY, value="" if rest is None else number(max(rest, 0.0)))]
    buttons = [("what", "both", step_name("collected")), ("what", "collected", "Collected, not paid yet")]
    buttons.append(("what", "paid", "Paid, not collected yet"))
    if board.collected:
        buttons = [("what", "paid", "Paid")]
    return fields, (ON,), tuple(buttons)


def _gave_back(_: AsWritten, board: Board, __: str) -> Made:
    paid = max(board.paid or 0.0, board.deposit or 0.0)
    hint = f"paid so far: {say_price(paid)}"
    return (asked("kept", MONEY, hint=hint), asked("returned", MONEY)), (asked("why"), ON), ()


# those that ask the same of every board
_ALIKE: Mapping[str, Made] = {
    "deposit": ((asked("amount", MONEY),), (ON,), ()),
    "answered": (
        (),
        (asked("why"), ON),
        (
            ("answer", "yes", "The owner said yes"),
            ("answer", "owner", FIELD_WORDS["no_owner"]),
            ("answer", "me", FIELD_WORDS["no_me"]),
        ),
    ),
    "weigh up": ((one_of("answer", DECISIONS), asked("why"), asked("for_love", TICK)), (), ()),
    "weight": ((asked("weight", hint="kilograms, or with its unit: 14 lb"),), (ON,), ()),
    "note": ((asked("text", LONG), asked("photos", PHOTOS)), (ON,), ()),
}
_FORMS: Mapping[str, Callable[[AsWritten, Board, str], Made]] = {
    "answers": _answers,
    "guess": _guess,
    "hours": _hours,
    "again": _again,
    "done": _done,
    "found": _found,
    "asked since": _since,
    "told": _told,
    "struck": _struck,
    "stopped": _stopped,
    "going": _going,
    "ready": _ready,
    "collected": _collected,
    "gave back": _gave_back,
}


def enquiry_form(settings: Settings) -> StepForm:
    """The form of somebody who asks."""
    kinds = tuple((name, settings.label(name)) for name in in_use(settings.kinds))
    feet = tuple((str(ft), f"{ft} ft") for ft in range(5, 12))
    inches = tuple((str(inch), str(inch)) for inch in range(12))
    return StepForm(
        "enquiry",
        step_name("enquiry"),
        (
            asked("owner"),
            asked("reach"),
            FormField("kind", FIELD_WORDS["kind"], ONE_OF, kinds),
            FormField(
                "feet",
                FIELD_WORDS["length"],
                ONE_OF,
                feet,
                other=True,
                hint="tap it, or type it as 9'6 or 290 cm",
            ),
            FormField("inches", "and inches", ONE_OF, inches),
            one_of("aim", AIMS),
        ),
        (asked("called"), asked("wanted_by", DAY), asked("photos", PHOTOS), NOTE),
        (("", "", "What would it be?"), ("only_asked", "yes", "Only asked: count it")),
    )

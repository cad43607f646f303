"""Settings as fields of a form: what stands in each, what may stand there, and what was typed as a value."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import MISSING, Field, dataclass
from typing import Any

from estimator.counter.forms import PageForm
from estimator.words.dates import WEEKDAYS, read_date
from estimator.words.errors import EstimatorError
from estimator.words.page_labels import PAGE_LABELS, page_label
from estimator.words.phrases import capital
from estimator.words.records import WAIT_CAUSES
from estimator.words.settings.manual import LABEL, SECTIONS
from estimator.words.settings.schema import ONCE, Settings
from estimator.words.settings.values import as_written, key_of, settable
from estimator.words.step_labels import choice

TEXT, NUMBER, YES_NO, ONE_OF, MANY, WEEK, LINES = (
    "text",
    "number",
    "yes-no",
    "one-of",
    "many",
    "week",
    "lines",
)
KINDS = {"float": NUMBER, "int": NUMBER, "bool": YES_NO, "tuple[float, ...]": WEEK}
MANY_OF = ("drivers", "after", "needs", "asks", "stages")
OWN_BUTTON = "retired"  # it has a button of its own
PART = {kind: heading.strip("[]").partition(".")[0] for heading, kind in SECTIONS.items()}
FILE_WORDS = [
    (re.compile(word), ours)
    for word, ours in (
        (
            r"^only where once is its one driver$",
            "sometimes is for a stage whose hours grow with set-up alone",
        ),
        (r"\bwait_days\b", "plain days"),
        (r"\bmodifier\b", "thing that makes it slower"),
        (r"\bdrivers\b", "what there is to do, as far as it is"),
        (r"\bdriver\b", "thing to do"),
        (r"\bonce\b(?=[: ]+(?:set-up|is its))", "set-up"),
        (r"; once: set-up time", "; set-up: time that is there whatever there is to do"),
        (r"; set-up: set-up time", "; set-up is there whatever there is to do"),
        (r"\[low, high\]", "from so much to so much"),
        (r"with from = \"outline\": ", "of what follows from the outline: "),
        (r"an empty cell means", "it means where nothing is said"),
        (r"; left out: all", ""),
        (r"; its name where left out", ""),
        (r"[,;] or empty$", "; may be left empty"),
        (r", or auto: the log, once", ", or the log once"),
        (r"; iso refuses it$", ""),
        (r" that the holidays library knows", ", as NZ"),
    )
]
A_NUMBER = re.compile(r"-?[0-9]+(?:[.,][0-9]+)?")
PAIR = re.compile(r"\s*(-?[0-9.,]+)\s*(?:to|-|–)\s*(-?[0-9.,]+)\s*")
TIMES = re.compile(r"\s*([0-9.,]*[0-9])\s*(?:times)?\s*[:, ]\s*([0-9.,]*[0-9])\s*")
SPAN = re.compile(r"(.+?)\s+(?:to|-|–)\s+(.+)|(\S+)")


@dataclass(frozen=True, slots=True)
class SettingField:
    """One setting as a form asks it.

    key: of the file; kind: one of the words above; text: what stands in it; usual: what holds where it is left empty
    choices: values and what they are called; chosen: those that are ticked
    """

    key: str
    kind: str
    label: str
    says: str
    text: str = ""
    choices: tuple[tuple[str, str], ...] = ()
    chosen: tuple[str, ...] = ()
    days: tuple[tuple[str, str], ...] = ()


def in_page_words(manual: str) -> str:
    """A manual text in the words of the page, where names of the file mean nothing.

    >>> in_page_words("instead of wait_days: one modifier, days by its grade")
    'Instead of plain days: one thing that makes it slower, days by its grade.'
    """
    for word, ours in FILE_WORDS:
        manual = word.sub(ours, manual)
    return capital(manual) + "."


def part_of(part: str) -> type:
    """The section of the settings of that name; raises KeyError for another."""
    return {name: kind for kind, name in PART.items()}[part]


def fields_of_part(part: str, table: Mapping[str, Any], settings: Settings) -> list[SettingField]:
    """The fields of a section; table: what stands in the file."""
    return [_field(f, table, settings) for f in settable(part_of(part)) if f.name != OWN_BUTTON]


def _field(f: Field[Any], table: Mapping[str, Any], settings: Settings) -> SettingField:
    key, kind = key_of(f.name), _kind(f)
    usual = _usual(f)
    there = table.get(key)
    value = usual if there is None else there
    says = in_page_words(str(f.metadata.get("manual", LABEL)))
    more = [_limits(f, kind), _how(f, kind), _left_empty(f, kind)]
    label = page_label("settings-called" if f.name == "label" else f"set-{key}")
    choices = _choices(f, kind, settings)
    return SettingField(
        key,
        kind,
        label,
        " ".join([*([says] if says != f"{label}." else []), *filter(None, more)]),
        "" if kind in {MANY, WEEK} else _shown(f, kind, value, settings),
        choices,
        tuple(map(str, [name for name, _ in choices] if value is None else value)) if kind == MANY else (),
        tuple(zip(WEEKDAYS, map(number_text, value), strict=False)) if kind == WEEK else (),
    )


def _kind(f: Field[Any]) -> str:
    """How a field is asked."""
    if f.metadata.get("choices"):
        return ONE_OF
    if f.name in MANY_OF:
        return MANY
    if str(f.type) in KINDS:
        return KINDS[str(f.type)]
    return TEXT if str(f.type) in {"str", "int | str", "tuple[float, float]"} else LINES


def _usual(f: Field[Any]) -> Any:
    """What holds where a setting is left out, as the file would say it."""
    value: Any = f.default if f.default_factory is MISSING else f.default_factory()
    if f.name == "wait_days":
        return dict(zip(("low", "high"), value, strict=True))
    return (
        [list(one) if isinstance(one, tuple) else one for one in value] if isinstance(value, tuple) else value
    )


def _choices(f: Field[Any], kind: str, settings: Settings) -> tuple[tuple[str, str], ...]:
    """What can be chosen."""
    if kind == YES_NO:
        return (("yes", page_label("settings-yes")), ("no", page_label("settings-no")))
    if kind == ONE_OF:
        says = {word: f"choice-{key_of(f.name)}-{word}" for word in f.metadata["choices"]}
        return tuple((word, PAGE_LABELS.get(key, word or "-")) for word, key in says.items())
    if kind != MANY:
        return ()
    if f.name == "needs":
        return tuple((cause, choice("cause", cause)) for cause in WAIT_CAUSES)
    if f.name in {"after", "stages"}:
        return tuple((name, settings.label(name)) for name in settings.stages)
    drivers = tuple((name, settings.quantity_label(name)) for name in settings.drivers)
    if f.name == "asks":
        return (*drivers, *((name, settings.quantity_label(name)) for name in settings.modifiers))
    return ((ONCE, settings.label(ONCE)), *drivers)


def _limits(f: Field[Any], kind: str) -> str:
    """From what to what a number may be."""
    low, high = f.metadata.get("low"), f.metadata.get("high")
    return f"{low:g} to {high:,.10g}." if kind in {NUMBER, WEEK} and None not in {low, high} else ""


def _how(f: Field[Any], kind: str) -> str:
    """How it is typed, where that does not show."""
    asked = kind == LINES or f.name == "wait_days"
    return page_label(f"settings-line-{key_of(f.name)}") if asked else ""


def _left_empty(f: Field[Any], kind: str) -> str:
    """What holds where it is left empty."""
    usual = _usual(f)
    if kind not in {TEXT, NUMBER} or usual in ("", None) or f.name == "wait_days":
        return ""
    return page_label("settings-usually").format(usual=as_written(usual).strip('"'))


def _shown(f: Field[Any], kind: str, value: Any, settings: Settings) -> str:
    """What stands in a setting, as it is typed."""
    if kind == YES_NO:
        return "yes" if value else "no"
    if kind == NUMBER:
        return number_text(value)
    if f.name == "wait_days":
        return _range_text([value["low"], value["high"]]) if any(value.values()) else ""
    if kind == LINES:
        return "\n".join(_lines(f.name, value, settings))
    return "" if value is None else str(value)


def number_text(value: Any) -> str:
    return f"{value:.10g}" if isinstance(value, int | float) else str(value)


def _range_text(ends: Sequence[Any]) -> str:
    return " to ".join(map(number_text, ends))


def _lines(name: str, value: Any, settings: Settings) -> Iterable[str]:
    """What stands in a setting of several lines."""
    if name == "away":
        yield from (f"{one['first']} to {one['last']}" for one in value)
    elif name == "grades":
        yield from value
    elif name == "requote":
        yield from (f"{number_text(times)}: {number_text(chance)}" for times, chance in value)
    elif name == "reopens":
        yield from (f"{settings.label(stage)}: {number_text(share)}" for stage, share in value.items())
    elif name == "usual":
        for thing, much in value.items():
            ends = much if isinstance(much, list) else [much, much]
            yield f"{settings.quantity_label(thing)}: {_range_text(ends)}"
    else:
        for thing, days in value.items():
            yield f"{settings.quantity_label(thing)}: {', '.join(map(_range_text, days))}"


def changed_values(part: str, table: Mapping[str, Any], settings: Settings, form: PageForm) -> dict[str, Any]:
    """The values of the file that a form says otherwise than it stands there; None where one is left out now.

    What is no value at all stays text: the reader of the file says what belongs there. A day that is none is noted.
    """
    changed: dict[str, Any] = {}
    fields = {key_of(f.name): f for f in settable(part_of(part))}
    for there in fields_of_part(part, table, settings):
        f = fields[there.key]
        if there.kind == WEEK:
            texts = [form.text(f"{there.key}.{n}") for n in range(len(there.days))]
            if texts != [text for _, text in there.days]:
                changed[there.key] = [number_of(text or "0") for text in texts]
        elif there.kind == MANY:
            ticked = tuple(form.texts(there.key))
            if set(ticked) != set(there.chosen):
                order = [
                    *(one for one in there.chosen if one in ticked),
                    *(one for one in ticked if one not in there.chosen),
                ]
                changed[there.key] = order
        else:
            typed = form.text(there.key).replace("\r\n", "\n")
            if typed != there.text:
                try:
                    changed[there.key] = _read(f, there.kind, typed, settings)
                except EstimatorError as error:
                    form.note(error, there.key)
    return changed


def _read(f: Field[Any], kind: str, typed: str, settings: Settings) -> Any:
    """What was typed as a value of the file."""
    if not typed and not f.metadata.get("choices"):
        return None
    if kind == YES_NO:
        return {"yes": True, "no": False}.get(typed, typed)
    if kind == NUMBER:
        return number_of(typed)
    if f.name == "sessions":
        return number_of(typed) if A_NUMBER.fullmatch(typed) else _named(typed, settings)
    if f.name == "wait_days":
        ends = PAIR.fullmatch(typed)
        return {"low": number_of(ends[1]), "high": number_of(ends[2])} if ends else typed
    if kind == LINES:
        return _of_lines(f.name, [line.strip() for line in typed.splitlines() if line.strip()], settings)
    return " ".join(typed.split())


def _of_lines(name: str, lines: Sequence[str], settings: Settings) -> Any:
    """What several lines say as a value of the file.

    Raises UnreadableError for a day that is none.
    """
    if name == "grades":
        return list(lines)
    if name == "away":
        return [_away(line, settings) for line in lines]
    if name == "requote":
        found = [TIMES.fullmatch(line) for line in lines]
        return [
            [number_of(one[1]), number_of(one[2])] if one else line
            for one, line in zip(found, lines, strict=True)
        ]
    parted = [
        (_named(head.strip(), settings), tail.strip())
        for head, _, tail in (line.rpartition(":") for line in lines)
    ]
    if name == "reopens":
        return {head: number_of(tail) for head, tail in parted}
    if name == "usual":
        return {head: _ends(tail) for head, tail in parted}
    return {head: [_ends(piece) for piece in tail.split(",")] for head, tail in parted}


def _away(line: str, settings: Settings) -> dict[str, Any]:
    """A time away: one day, or from one to another."""
    style, found = settings.workshop.dates, SPAN.fullmatch(line)
    first, last = (found[1] or found[3], found[2] or found[3]) if found else (line, line)
    return {"first": read_date(first, style), "last": read_date(last, style)}


def _ends(text: str) -> Any:
    """From so much to so much; one amount is both."""
    if ends := PAIR.fullmatch(text):
        return [number_of(ends[1]), number_of(ends[2])]
    one = number_of(text)
    return one if isinstance(one, str) else [one, one]


def number_of(text: str) -> int | float | str:
    """A number, or the text as it is where it is none."""
    plain = text.strip().replace(",", ".")
    if not A_NUMBER.fullmatch(plain):
        return text
    return float(plain) if "." in plain else int(plain)


def _named(text: str, settings: Settings) -> str:
    """The name of what goes by this label; the text itself where nothing does."""
    for part in (settings.drivers, settings.modifiers, settings.stages):
        for name in part:
            if text.casefold() in {
                name,
                settings.quantity_label(name).casefold(),
                settings.label(name).casefold(),
            }:
                return name
    return text

"""Values of the settings file, each read as its field wants it, with a problem where it is something else."""

from __future__ import annotations

import datetime as dt
import difflib
import math
import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import Field, dataclass, fields, replace
from typing import Any

from estimator.words.measures import printable
from estimator.words.problems import Place, Problem
from estimator.words.settings.schema import LENGTH, Settings

SETTINGS_FILE = "workshop.toml"
MOST = 1e9  # a number beyond this is a slip of the pen
LONGEST = 60  # letters of what was found that a message shows
CLOSE = 0.6  # likeness from which a name is offered as the one that was meant
PLAIN_NAME = re.compile(r"[a-z][a-z0-9_]*")

Pair = tuple[float, float]
Table = Mapping[str, Any]


@dataclass(frozen=True)
class SettingPath:
    """Where a value stands in the settings file, what it may be, and the problems found so far."""

    where: Place
    problems: list[Problem]
    low: float = -MOST
    high: float = MOST
    choices: tuple[str, ...] | None = None  # None: any text
    default: Any = None

    def at(self, key: str) -> SettingPath:
        """A place one step further in, with no limits of its own yet."""
        return SettingPath(replace(self.where, path=(*self.where.path, key)), self.problems)

    def wrong(self, found: Any, wrong: str, cure: str) -> None:
        """Keeps a problem of this place."""
        self.problems.append(Problem(self.where, shown(found), wrong, cure))

    def of(self, setting: Field[Any]) -> SettingPath:
        """The place of a field, by its key in the file, with the field's own limits."""
        kept, here = setting.metadata, self.at(key_of(setting.name))
        low, high = (kept.get(end) for end in ("low", "high"))
        return replace(
            here,
            low=-MOST if low is None else low,
            high=MOST if high is None else high,
            choices=kept.get("choices") or None,
            default=setting.default,
        )


def section_place(section: str, key: str = "") -> Place:
    """The place of a section of the settings file, or of a key in it."""
    return Place(SETTINGS_FILE, path=(f"[{section}]", key) if key else (f"[{section}]",))


def key_of(name: str) -> str:
    """A field's key in the file: `from` for the source of a driver, else its name."""
    return "from" if name == "source" else name


def shown(value: Any) -> str:
    """A value as it may stand in the file, cut short where it is long.

    >>> shown({"first": dt.date(2026, 8, 3), "odd": [True, "a"]})
    '{first = 2026-08-03, odd = [true, "a"]}'
    """
    text = printable(" ".join(value.split()) if isinstance(value, str) else as_written(value))
    return text if len(text) <= LONGEST else text[: LONGEST - 2] + " …"


def as_written(value: Any) -> str:
    """A value as the file writes it.

    >>> as_written((True, "a", 4.0, 0.25))
    '[true, "a", 4, 0.25]'
    """
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return f'"{" ".join(value.split())}"'
    if isinstance(value, Mapping):
        return "{" + ", ".join(f"{key} = {as_written(inner)}" for key, inner in value.items()) + "}"
    if isinstance(value, list | tuple):
        return "[" + ", ".join(map(as_written, value)) + "]"
    if isinstance(value, int) and abs(value) > MOST:
        return "a very large number"
    return f"{value:.10g}" if isinstance(value, float) else str(value)


def nearest(name: str, known: Iterable[str]) -> str:
    """The cure for an unknown name: the nearest one, or all where none is near.

    >>> nearest("stripp", ["strip", "sand"])
    'The nearest name known here is strip.'
    >>> nearest("x", ["strip", "sand"])
    'Known here: strip, sand.'
    >>> nearest("x", [])
    'There is none to name yet; leave it out.'
    """
    names = [one for one in known if one]
    close = difflib.get_close_matches(name[:LONGEST], names, n=1, cutoff=CLOSE)
    if close:
        return f"The nearest name known here is {close[0]}."
    return f"Known here: {', '.join(names)}." if names else "There is none to name yet; leave it out."


def text(value: Any, place: SettingPath) -> str | None:
    """A text, one of the choices where there are any; None and a problem for anything else."""
    if not isinstance(value, str):
        place.wrong(value, "a word or text belongs here", "Write it between quotation marks.")
    elif place.choices is not None and value not in place.choices:
        place.wrong(value, "that is not one of the words known here", nearest(value, place.choices))
    elif printable(value) != value:
        place.wrong(value, "control characters stand in it", "Type it anew.")
    else:
        return value
    return None


def number(value: Any, place: SettingPath) -> float | None:
    """A number within the place's limits; None and a problem for anything else."""
    if isinstance(value, bool) or not isinstance(value, int | float):
        place.wrong(value, "a number belongs here", "Write a plain number, such as 4 or 4.5.")
    elif not place.low <= value <= place.high:
        place.wrong(value, f"the number must be {_limits(value, place)}", _usual(place))
    else:
        return float(value)
    return None


def _limits(value: float, place: SettingPath) -> str:
    """The limits of a number in words."""
    if place.high < MOST:
        least = f"from {place.low:g} to" if place.low > -MOST else "no larger than"
        return f"{least} {place.high:,.10g}"
    return f"{place.low:g} or more" if -MOST < value < place.low else "no larger than a thousand million"


def _usual(place: SettingPath) -> str:
    """The cure for a number beyond its limits."""
    usual = place.default
    if isinstance(usual, int | float):
        return f"Mend it; where nothing is written it is {usual:g}."
    return "Mend the number."


def whole(value: Any, place: SettingPath) -> int | None:
    """A whole number within the place's limits."""
    if isinstance(value, float) and math.isfinite(value) and value != int(value):
        place.wrong(value, "a whole number belongs here", "Write it without a fraction.")
        return None
    read = number(value, place)
    return None if read is None else int(read)


def yes_no(value: Any, place: SettingPath) -> bool | None:
    """True or false."""
    if isinstance(value, bool):
        return value
    place.wrong(value, "yes or no belongs here", "Write true or false, without quotation marks.")
    return None


def day(value: Any, place: SettingPath) -> dt.date | None:
    """A date without a time of day."""
    if isinstance(value, dt.date) and not isinstance(value, dt.datetime):
        return value
    place.wrong(value, "a date belongs here", "Write it as 2026-08-03, without quotation marks.")
    return None


def words(value: Any, place: SettingPath) -> tuple[str, ...] | None:
    """A list of different words; a problem for each that is none, and None where it is no list."""
    if not isinstance(value, list):
        place.wrong(value, "a list of words belongs here", 'Write it as ["one", "two"].')
        return None
    read = [word for one in value if (word := text(one, place)) is not None]
    for word in dict.fromkeys(word for word in read if read.count(word) > 1):
        place.wrong(word, "the same word stands here twice", "Leave one of them out.")
    return tuple(dict.fromkeys(read))


def pair(value: Any, place: SettingPath) -> Pair | None:
    """[low, high], the first not above the second."""
    if not isinstance(value, list) or len(value) != 2:
        place.wrong(value, "two numbers belong here", "Write them as [low, high].")
        return None
    low, high = (number(one, place) for one in value)
    if low is None or high is None:
        return None
    if low > high:
        place.wrong(value, "the low end is above the high end", "Swap the two, or mend one.")
        return None
    return low, high


def pairs(value: Any, place: SettingPath) -> tuple[Pair, ...] | None:
    """A list of [low, high]."""
    if not isinstance(value, list):
        place.wrong(value, "a list of pairs belongs here", "Write it as [[low, high], [low, high]].")
        return None
    read = [pair(one, place) for one in value]
    return None if None in read else tuple(one for one in read if one is not None)


def section(value: Any, place: SettingPath, *, example: str) -> Table | None:
    """A table of keys."""
    if isinstance(value, Mapping):
        return value
    place.wrong(value, "a section with keys belongs here", f"Write it as {example}.")
    return None


def unknown_keys(table: Table, known: Iterable[str], place: SettingPath) -> None:
    """A problem for each key that nobody reads."""
    names = list(known)
    for key in table:
        if key not in names:
            place.at(shown(key)).wrong("", "no such key is known here", nearest(key, names))


READERS: Mapping[str, Callable[[Any, SettingPath], Any]] = {
    "str": text,
    "float": number,
    "int": whole,
    "bool": yes_no,
    "tuple[str, ...]": words,
    "tuple[str, ...] | None": words,
}


def settable(kind: type) -> tuple[Field[Any], ...]:
    """The fields of a section that are keys in the file: all with a manual text, and the label."""
    return tuple(f for f in fields(kind) if "manual" in f.metadata or f.name == "label")


def fields_of(
    kind: type, table: Table, place: SettingPath, readers: Mapping[str, Callable[[Any, SettingPath], Any]]
) -> dict[str, Any]:
    """What a section says, by field; what it leaves out or gets wrong is left to its default.

    A field is read by the reader for its name, if there is one, else by the one for the kind of value that it
    is declared as.
    """
    settings = settable(kind)
    unknown_keys(table, [key_of(f.name) for f in settings], place)
    read = {
        f.name: (readers.get(f.name) or READERS[str(f.type)])(table[key_of(f.name)], place.of(f))
        for f in settings
        if key_of(f.name) in table
    }
    return {name: value for name, value in read.items() if value is not None}


MOST_FEET = 40.0


def amount(value: Any, name: str, settings: Settings, place: SettingPath) -> float | None:
    """The value of a driver as a number, of a modifier or a sometimes-stage as its grade.

    A grade is written as its word, as yes or no, or as its number.
    """
    if name in settings.drivers:
        return number(value, replace(place, low=0.0, default=None))
    modifier = settings.modifiers.get(name)
    grades, highest = (modifier.grades, modifier.highest) if modifier else ((), 1)
    if isinstance(value, bool):
        return float(highest if value else 0)
    if isinstance(value, str):
        if value in grades:
            return float(grades.index(value))
        if value in {"yes", "no"}:
            return float(highest if value == "yes" else 0)
        place.wrong(value, f"{name} has no such grade", nearest(value, (*grades, "yes", "no")))
        return None
    return number(value, replace(place, low=0.0, high=float(highest), default=None))


def amounts(value: Any, name: str, settings: Settings, place: SettingPath) -> Pair | None:
    """[low, high] of a driver or modifier, each end as `amount` reads it."""
    if not isinstance(value, list) or len(value) != 2:
        place.wrong(value, "two values belong here", "Write them as [low, high].")
        return None
    low, high = (amount(one, name, settings, place) for one in value)
    if low is None or high is None:
        return None
    if low > high:
        place.wrong(value, "the low end is above the high end", "Swap the two, or mend one.")
        return None
    return low, high


def when(value: Any, place: SettingPath, settings: Settings) -> dict[str, Pair | frozenset[str]]:
    """Which boards the rule speaks of."""
    table = section(value, place, example='when = {kind = "major"}') or {}
    unknown_keys(table, (LENGTH, "kind", *settings.quantities), place)
    read: dict[str, Pair | frozenset[str]] = {}
    for name, wanted in table.items():
        here = place.at(name)
        found: Pair | frozenset[str] | None = None
        if name == "kind":
            kinds = words(
                [wanted] if isinstance(wanted, str) else wanted, replace(here, choices=tuple(settings.kinds))
            )
            found = frozenset(kinds) if kinds else None
            if kinds == () and wanted == []:
                here.wrong(wanted, "no kind is named", "Name one, or leave it out.")
        elif name == LENGTH or name in settings.quantities:
            found = _wanted(wanted, name, settings, here)
        if found is not None:
            read[name] = found
    return read


def _wanted(value: Any, name: str, settings: Settings, place: SettingPath) -> Pair | None:
    """The values that a board must have: one, [low, high], or neighbouring grades by their words."""
    if not isinstance(value, list):
        one = _one(value, name, settings, place)
        return None if one is None else (one, one)
    if name in settings.quantities and value and all(isinstance(word, str) for word in value):
        return _grades(value, name, settings, place)
    if name == LENGTH:
        return pair(value, replace(place, low=0.0, high=MOST_FEET))
    return amounts(value, name, settings, place)


def _one(value: Any, name: str, settings: Settings, place: SettingPath) -> float | None:
    """A single value: a length in feet, or a quantity."""
    if name == LENGTH:
        return number(value, replace(place, low=0.0, high=MOST_FEET))
    return amount(value, name, settings, place)


def _grades(value: list[Any], name: str, settings: Settings, place: SettingPath) -> Pair | None:
    """The least and the most of grades that lie side by side."""
    found = [amount(word, name, settings, place) for word in value]
    if None in found:
        return None
    steps = sorted({one for one in found if one is not None})
    if steps[-1] - steps[0] >= len(steps):
        place.wrong(value, "a grade between them is left out", "Name grades side by side, or make two rules.")
        return None
    return steps[0], steps[-1]


def board(value: Any, place: SettingPath, settings: Settings) -> dict[str, float]:
    """Usual quantities of the boards a rule means, by name."""
    table = section(value, place, example="board = {spray_colours = 2}") or {}
    unknown_keys(table, settings.quantities, place)
    read = {
        name: amount(given, name, settings, place.at(name))
        for name, given in table.items()
        if name in settings.quantities
    }
    return {name: found for name, found in read.items() if found is not None}

"""Rules of thumb as the settings file writes them, each checked against what it speaks of."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from types import MappingProxyType
from typing import Any

from estimator.words.problems import Place, Problem
from estimator.words.records import ABOUT, SOURCES, WAIT_CAUSES, Accepted, Rule
from estimator.words.settings.schema import Settings
from estimator.words.settings.values import (
    SETTINGS_FILE,
    SettingPath,
    Table,
    board,
    day,
    number,
    section,
    shown,
    text,
    unknown_keys,
    when,
    whole,
    words,
)

HIDDEN_WORK = "hidden work"
SUBJECTS = ("stage", "wait", "span", "chance")
DATES = ("asked", "quoted", "accepted", "started", "ready", "collected", "paid_on")  # in order
USUAL_ODDS, USUAL_WORTH = 0.8, 10.0
LEAST_ODDS, MOST_ODDS = 0.1, 0.995
MOST = 1e6  # hours or days in a range
ACCEPTED_KEYS = ("low", "high", "on", "boards", "source")

RULE_KEYS: Mapping[str, str] = MappingProxyType(
    {
        "name": "what you call it; each rule has a name of its own",
        "text": "the rule in your own words",
        "about": "hours, days or chance; hours where left out",
        "stage": "the stage it speaks of",
        "wait": 'or the wait it speaks of: a cause, or the stage it comes after; about = "days"',
        "span": 'or the dates it runs between, as ["started", "ready"]; about = "days"',
        "chance": 'or what may happen: "hidden work", sometimes-stage, yes/no modifier; about = "chance"',
        "per": "hours for one of this driver of the stage; once: its set-up time",
        "modifier": "instead: how many times as long each grade of this modifier makes it",
        "when": "the boards it speaks of: length_ft, kind, driver or modifier, each a value or [low, high]",
        "board": "such a board's usual quantities, used until you have one in the log",
        "low": "the low end of the range: hours, days, or times as long",
        "high": "the high end of the range",
        "odds": "how many of ten fall inside, as 0.8; 0.8 where left out",
        "share": "of a chance: how many of ten, as 0.4",
        "worth": "of a chance: how many boards it counts for; 10 where left out",
        "said": "the day you first said it; left out: before the log",
        "source": "own, starter (lent) or shops (pooled); own where left out",
        "accepted": "a range kept beside it, with low, high, on (a date) and boards",
    }
)  # fmt: skip


def read_rules(raw: Any, settings: Settings, problems: list[Problem]) -> tuple[Rule, ...]:
    """The rules that say something whole; a problem for each slip in the others.

    `settings` holds the drivers, modifiers, kinds and stages that rules may name.
    """
    if not isinstance(raw, list) or not all(isinstance(table, Mapping) for table in raw):
        place = SettingPath(Place(SETTINGS_FILE, path=("rules",)), problems)
        place.wrong("", "rules are not written one by one", "Begin each with a line [[rules]].")
        return ()
    rules = []
    for count, table in enumerate(raw, 1):
        name = table.get("name")
        named = isinstance(name, str) and name.strip()
        title = f'rule "{shown(name)}"' if named else f"[[rules]] number {count}"
        place = SettingPath(Place(SETTINGS_FILE, path=(title,)), problems)
        if not named:
            place.at("name").wrong(name or "", "the rule has no name", "Give it a short name of its own.")
        rule = _rule(table, place, settings)
        rules += [rule] if rule and named else []
    return tuple(rules)


def _rule(table: Table, place: SettingPath, settings: Settings) -> Rule | None:
    """One rule, or None with its problems kept."""
    before = len(place.problems)
    unknown_keys(table, RULE_KEYS, place)
    read: dict[str, Any] = {"name": table.get("name"), "where": place.where, "source": SOURCES[0]}
    for key, choices in {"text": None, "source": SOURCES}.items():
        if key in table:
            read[key] = text(table[key], replace(place.at(key), choices=choices))
    if table.get("said", "") != "":
        read["said"] = day(table["said"], place.at("said"))
    read |= _subject(table, place, settings)
    read |= _chance(table, place) if read["about"] == "chance" else _range(table, place)
    read["when"] = when(table.get("when", {}), place.at("when"), settings)
    read["board"] = board(table.get("board", {}), place.at("board"), settings)
    if "accepted" in table:
        read["accepted"] = _accepted(table["accepted"], place.at("accepted"))
    return Rule(**read) if len(place.problems) == before else None


def _subject(table: Table, place: SettingPath, settings: Settings) -> dict[str, Any]:
    """What the rule is about: at most one subject, and of a stage perhaps a driver or a modifier."""
    given = [key for key in SUBJECTS if table.get(key, "") != ""]
    if len(given) > 1:
        place.wrong("", f"it speaks of {' and '.join(given)} at once", "Keep one of them.")
    subject = given[0] if given else ""
    read: dict[str, Any] = {"about": _about(table, place, subject)}
    known = {
        "stage": tuple(settings.stages),
        "wait": tuple(dict.fromkeys((*WAIT_CAUSES, *settings.stages))),
        "chance": (
            HIDDEN_WORK,
            *settings.sometimes,
            *(name for name, modifier in settings.modifiers.items() if not modifier.grades),
        ),
    }
    if subject in known:
        read[subject] = text(table[subject], replace(place.at(subject), choices=known[subject]))
    elif subject == "span":
        read["span"] = _span(table["span"], place.at("span"))
    parts = [key for key in ("per", "modifier") if table.get(key, "") != ""]
    if len(parts) > 1:
        place.wrong("", "it speaks of per and modifier at once", "Keep one of them, or make two rules.")
    elif parts == ["per"]:
        read["per"] = _per(table["per"], place.at("per"), settings, read.get("stage"), subject)
    elif parts == ["modifier"]:
        read["modifier"] = _modifier(
            table["modifier"], place.at("modifier"), settings, read.get("stage"), subject
        )
    return read


def _about(table: Table, place: SettingPath, subject: str) -> str:
    """What the rule is about, as its subject wants it."""
    fits = {"wait": "days", "span": "days", "chance": "chance"}.get(subject, "hours")
    here = place.at("about")
    about = text(table.get("about", "hours"), replace(here, choices=ABOUT))
    if about is None or about == fits:
        return fits
    if subject:
        here.wrong(
            table.get("about", ""), f"with {subject} the rule is about {fits}", f'Write about = "{fits}".'
        )
    elif about == "days":
        here.wrong(
            about, "it does not say which days", 'Add wait = "drying", or span = ["started", "ready"].'
        )
    else:
        here.wrong(
            about, "it does not say what may happen", 'Add chance = "hidden work", or a sometimes-stage.'
        )
    return fits if subject else about


def _span(value: Any, place: SettingPath) -> tuple[str, str] | None:
    """Two dates of a board, the earlier first."""
    before = len(place.problems)
    dates = words(value, replace(place, choices=DATES))
    if dates is None or len(place.problems) > before:
        return None
    if len(dates) != 2 or DATES.index(dates[0]) > DATES.index(dates[1]):
        place.wrong(value, "a span runs from one date to a later one", 'Write it as ["started", "ready"].')
        return None
    return dates[0], dates[1]


def _per(value: Any, place: SettingPath, settings: Settings, stage: str | None, subject: str) -> str | None:
    """A driver of the rule's stage."""
    if subject != "stage":
        place.wrong(
            value, "it does not say of which stage", "Add the stage; `per` is one of its drivers, or once."
        )
        return None
    if stage is None:
        return None
    return text(value, replace(place, choices=settings.stages[stage].drivers))


def _modifier(
    value: Any, place: SettingPath, settings: Settings, stage: str | None, subject: str
) -> str | None:
    """A modifier that acts on the rule's stage, or on any where no stage is named."""
    if subject not in {"", "stage"}:
        place.wrong(value, f"a modifier has no say in a {subject}", "Leave it out, or speak of a stage.")
        return None
    name = text(value, replace(place, choices=tuple(settings.modifiers)))
    if name is None:
        return None
    acts_on = settings.modifiers[name].stages
    if not acts_on or (stage is not None and stage not in acts_on):
        slowed = f"it slows {', '.join(acts_on)}" if acts_on else "it slows no stage"
        place.wrong(value, slowed, f"Mend the rule, or the stages of [modifiers.{name}].")
        return None
    return name


def _range(table: Table, place: SettingPath) -> dict[str, Any]:
    """What any other rule has: low, high and odds; neither share nor worth."""
    for key in ("share", "worth"):
        if key in table:
            place.at(key).wrong(table[key], "only a rule about a chance has it", "Leave it out.")
    low, high = _ends(table, place)
    odds = _of_ten(table.get("odds", USUAL_ODDS), place.at("odds"))
    if odds is not None and not LEAST_ODDS <= odds <= MOST_ODDS:
        wrong = "so few of ten inside make no range" if odds < LEAST_ODDS else "nobody can be so sure"
        place.at("odds").wrong(table["odds"], wrong, f"Write a number from {LEAST_ODDS:g} to {MOST_ODDS:g}.")
    return {"low": low, "high": high, "odds": odds}


def _chance(table: Table, place: SettingPath) -> dict[str, Any]:
    """What a chance rule has: share and worth; neither low, high nor odds."""
    for key in ("low", "high", "odds"):
        if key in table:
            place.at(key).wrong(table[key], "a rule about a chance has a share instead", "Leave it out.")
    if "share" not in table:
        place.at("share").wrong("", "it does not say how many of ten", "Write share = 0.4 for four in ten.")
        return {}
    worth = _above_zero(table.get("worth", USUAL_WORTH), place.at("worth"))
    return {"share": _of_ten(table["share"], place.at("share")), "worth": worth}


def _ends(table: Table, place: SettingPath) -> tuple[float | None, float | None]:
    """The two ends of a range, the first below the second."""
    for key in ("low", "high"):
        if key not in table:
            place.at(key).wrong("", "the range has not both its ends", "Write low and high.")
    low, high = (_above_zero(table[key], place.at(key)) if key in table else None for key in ("low", "high"))
    if low is not None and high is not None and low >= high:
        ends = {"low": table["low"], "high": table["high"]}
        if low == high:
            place.wrong(
                ends,
                "the same number twice is no range",
                "Say what the quickest and the slowest of ten take.",
            )
        else:
            place.wrong(ends, "the low end is above the high end", "Swap the two, or mend one.")
    return low, high


def _above_zero(value: Any, place: SettingPath) -> float | None:
    """A number above zero that is no slip of the pen."""
    read = number(value, replace(place, high=MOST))
    if read is not None and read <= 0:
        place.wrong(value, "the number must be above 0", "Mend the number.")
        return None
    return read


def _of_ten(value: Any, place: SettingPath) -> float | None:
    """A share between never and always."""
    read = number(value, place)
    if read is not None and not 0 < read < 1:
        place.wrong(value, "it must lie between 0 and 1", "Write 0.8 for 8 in 10.")
        return None
    return read


def _accepted(value: Any, place: SettingPath) -> Accepted | None:
    """A range kept beside the rule."""
    table = section(value, place, example="accepted = {low = 2, high = 5, on = 2026-10-01, boards = 17}")
    if table is None:
        return None
    unknown_keys(table, ACCEPTED_KEYS, place)
    missing = [key for key in ACCEPTED_KEYS[:4] if key not in table]
    if missing:
        cure = "Leave it out, and keep anew what the log says: that writes all of it."
        place.wrong("", f"it lacks {' and '.join(missing)}", cure)
        return None
    if "source" in table:
        text(table["source"], replace(place.at("source"), choices=("log",)))
    low, high = _ends(table, place)
    on = day(table["on"], place.at("on"))
    boards = whole(table["boards"], replace(place.at("boards"), low=1))
    if low is None or high is None or on is None or boards is None:
        return None
    return Accepted(low, high, on, boards)

"""What the sections of the settings say of one another: names that clash, or that nothing answers to."""

from __future__ import annotations

import datetime as dt
from collections import Counter, defaultdict
from collections.abc import Iterable
from itertools import combinations, pairwise

from estimator.words.problems import Place, Problem
from estimator.words.records import Rule
from estimator.words.settings.schema import ONCE, Bench, Driver, Kind, Modifier, Settings, Stage
from estimator.words.settings.values import SETTINGS_FILE, nearest, section_place, shown

ASKED = "asked"
AREAS = ("m2", "ft2")
LONGEST_AWAY = 366  # days


def across(settings: Settings) -> list[Problem]:
    """Every problem between sections, and between rules."""
    return [
        *_away_for_good(settings.bench),
        *_names_used_twice(settings),
        *_drivers(settings),
        *(problem for modifier in settings.modifiers.values() for problem in _modifier(modifier, settings)),
        *(problem for kind in settings.kinds.values() for problem in _kind(kind, settings)),
        *(problem for stage in settings.stages.values() for problem in _stage(stage, settings)),
        *_cycles(settings),
        *_rules_of_one_name(settings.rules),
        *_rules_at_odds(settings.rules),
    ]


def _at(section: str, key: str = "") -> Place:
    """A place in the file."""
    return section_place(shown(section), key)


def _unknown(where: Place, names: Iterable[str], known: Iterable[str], what: str) -> list[Problem]:
    """A problem for each name that nothing answers to."""
    there = list(known)
    return [
        Problem(where, shown(name), f"there is no such {what}", nearest(name, there))
        for name in names
        if name not in there
    ]


def _away_for_good(bench: Bench) -> list[Problem]:
    """Days away that follow on one another for so long that no board could be promised."""
    ends: list[tuple[dt.date, dt.date]] = []
    for one in sorted(bench.away, key=lambda away: away.first):
        if ends and (one.first - ends[-1][1]).days <= 1:
            ends[-1] = ends[-1][0], max(ends[-1][1], one.last)
        else:
            ends.append((one.first, one.last))
    return [
        Problem(
            _at("bench", "away"),
            f"{first} to {last}",
            "for longer than a year no day is left to work, and no board can be promised",
            "Mend the dates, or take them out.",
        )
        for first, last in ends
        if (last - first).days >= LONGEST_AWAY
    ]


def _names_used_twice(settings: Settings) -> list[Problem]:
    """Drivers, modifiers and sometimes-stages share the columns of the log, so no two share a name."""
    parts = {
        "drivers": tuple(settings.drivers),
        "modifiers": tuple(settings.modifiers),
        "stages": settings.sometimes,
    }
    homes: dict[str, list[str]] = defaultdict(list)
    for part, names in parts.items():
        for name in names:
            homes[name].append(f"{part}.{name}")
    return [
        Problem(
            _at(used[-1]),
            name,
            f"[{used[0]}] has this name already, and both would fill the column assessed_{name}",
            "Give one of them another name.",
        )
        for name, used in homes.items()
        if len(used) > 1
    ]


def _drivers(settings: Settings) -> list[Problem]:
    """When each driver is known, and how it is worked out from the outline."""
    problems = []
    for driver in settings.drivers.values():
        section = f"drivers.{driver.name}"
        problems += _unknown(_at(section, "known"), [driver.known], (ASKED, *settings.stages), "stage")
        if driver.source and driver.unit not in AREAS:
            problems.append(
                Problem(
                    _at(section, "unit"),
                    driver.unit,
                    "what is worked out from the outline is an area",
                    'Write unit = "m2" or "ft2", or leave out `from`.',
                )
            )
        if driver.times:
            problems += _times(driver, settings)
    return problems


def _times(driver: Driver, settings: Settings) -> list[Problem]:
    """The driver that says how many faces an area from the outline has."""
    where = _at(f"drivers.{driver.name}", "times")
    problems = _unknown(where, [driver.times], settings.drivers, "driver")
    if not problems and settings.drivers[driver.times].source:
        problems.append(
            Problem(where, driver.times, "an area counts no faces", "Name a driver that is a count.")
        )
    if not driver.source:
        cure = 'Add from = "outline", or leave `times` out.'
        problems.append(Problem(where, driver.times, "only an area from the outline is so many faces", cure))
    return problems


def _modifier(modifier: Modifier, settings: Settings) -> list[Problem]:
    """What a modifier slows, by which grades, and when it is known."""
    section = f"modifiers.{modifier.name}"
    problems = _unknown(_at(section, "stages"), modifier.stages, settings.stages, "stage")
    problems += _unknown(_at(section, "known"), [modifier.known], (ASKED, *settings.stages), "stage")
    if len(modifier.grades) == 1:
        cure = "Name at least two, the mildest first, or leave grades out for yes or no."
        problems.append(
            Problem(_at(section, "grades"), modifier.grades[0], "one grade tells nothing apart", cure)
        )
    return problems


def _kind(kind: Kind, settings: Settings) -> list[Problem]:
    """What a kind of board asks, and usually has."""
    section = f"kinds.{kind.name}"
    known = (*settings.drivers, *settings.modifiers)
    problems = _unknown(_at(section, "asks"), kind.asks or (), known, "driver or modifier")
    if kind.asks is not None:
        problems += [
            Problem(
                _at(section, f"usual, {name}"),
                "",
                "this is not asked for the kind, so it is none",
                f"Add {name} to asks, or leave it out here.",
            )
            for name in kind.usual
            if name not in kind.asks
        ]
    return problems


def _stage(stage: Stage, settings: Settings) -> list[Problem]:
    """What a stage says of drivers, modifiers and other stages."""
    section = f"stages.{stage.name}"
    problems = _unknown(_at(section, "drivers"), stage.drivers, (*settings.drivers, ONCE), "driver")
    if not stage.drivers:
        cure = f'Name what its hours grow with, or write drivers = ["{ONCE}"].'
        problems.append(Problem(_at(section, "drivers"), "", "its hours grow with nothing", cure))
    problems += _unknown(_at(section, "after"), stage.after, settings.stages, "stage")
    if isinstance(stage.sessions, str):
        problems += _unknown(_at(section, "sessions"), [stage.sessions], settings.drivers, "driver")
    if stage.happens == "sometimes" and stage.work:
        cure = "Leave it out; the stage happens where one of its drivers is above 0."
        problems.append(
            Problem(_at(section, "happens"), stage.happens, "its drivers already say when it happens", cure)
        )
    others = [name for name in settings.stages if name != stage.name]
    problems += _unknown(_at(section, "reopens"), stage.reopens, others, "other stage")
    for name, days in stage.wait_by.items():
        where = _at(section, "wait_by")
        unknown = _unknown(where, [name], settings.modifiers, "modifier")
        problems += unknown
        if not unknown and len(days) != (grades := settings.modifiers[name].highest + 1):
            wrong = f"{name} has {grades} grades, and {len(days)} waits stand here"
            problems.append(
                Problem(where, "", wrong, "Write one [low, high] for each grade, the mildest first.")
            )
    if stage.wait_by and any(stage.wait_days):
        wrong = "the wait is given here and in wait_by"
        problems.append(Problem(_at(section, "wait_days"), "", wrong, "Keep one of the two."))
    return problems


def _cycles(settings: Settings) -> list[Problem]:
    """Stages that wait for one another in a ring, from the stage that stands first.

    Rings that share a step with one named before are not named: one slip makes many of them.
    """
    problems = []
    named: set[tuple[str, str]] = set()
    for first in settings.stages:
        ring = _ring(first, settings)
        steps = set(pairwise([*ring, *ring[:1]]))
        if ring and not steps & named:
            named |= steps
            problems.append(
                Problem(
                    _at(f"stages.{first}", "after"),
                    " after ".join([*ring, ring[0]]),
                    "these stages wait for one another without end",
                    "Take one of them out of `after`.",
                )
            )
    return problems


def _ring(first: str, settings: Settings) -> list[str]:
    """The shortest way from a stage along `after` back to it; empty where there is none."""
    ways = [[first]]
    seen: set[str] = set()
    while ways:
        way = ways.pop(0)
        for earlier in settings.stages[way[-1]].after:
            if earlier == first:
                return way
            if earlier in settings.stages and earlier not in seen:
                seen.add(earlier)
                ways.append([*way, earlier])
    return []


def _rules_of_one_name(rules: tuple[Rule, ...]) -> list[Problem]:
    """Names that several rules have."""
    counts = Counter(rule.name for rule in rules)
    return [
        Problem(
            Place(SETTINGS_FILE, path=(f'rule "{shown(name)}"',)),
            "",
            f"{count} rules have this name",
            "Give each its own.",
        )
        for name, count in counts.items()
        if count > 1
    ]


def _rules_at_odds(rules: tuple[Rule, ...]) -> list[Problem]:
    """Pairs of rules that speak of the very same thing in ranges that do not touch."""
    alike: dict[tuple[object, ...], list[Rule]] = defaultdict(list)
    for rule in rules:
        if rule.low is not None:
            subject = (rule.stage, rule.wait, rule.span, rule.per, rule.modifier)
            alike[(*subject, frozenset(rule.when.items()))].append(rule)
    return [
        Problem(
            second.where,
            f"{second.low:g} to {second.high:g}",
            f'rule "{first.name}" says {first.low:g} to {first.high:g} of the same, and both cannot be right',
            "Delete the one that is wrong, or say with `when` which boards each speaks of.",
        )
        for group in alike.values()
        for first, second in combinations(group, 2)
        if _apart(first, second)
    ]


def _apart(first: Rule, second: Rule) -> bool:
    """Whether two ranges have no number in common."""
    assert first.low is not None
    assert first.high is not None
    assert second.low is not None
    assert second.high is not None
    return first.high < second.low or second.high < first.low

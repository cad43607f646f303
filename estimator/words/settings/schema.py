"""The workshop's settings: frozen sections, each field with its default, its range and its manual text."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import cache
from typing import Any

from estimator.words.records import Rule

ONCE = "once"  # the set-up time of a stage, there whenever the stage happens
LENGTH = "length_ft"  # a board's length as `when` speaks of it


def setting(
    default: Any,
    manual: str,
    *,
    low: float | None = None,
    high: float | None = None,
    choices: tuple[str, ...] = (),
) -> Any:
    """A field of a settings section that carries its own manual.

    low, high: the least and the most that a number may be; choices: the words that a text may be.
    """
    metadata = {"manual": manual, "low": low, "high": high, "choices": choices}
    if default == {}:
        return field(default_factory=dict, metadata=metadata)
    return field(default=default, metadata=metadata)


@dataclass(frozen=True, slots=True)
class Workshop:
    """Who you are, what you want to earn, and what your words mean."""

    name: str = setting("My workshop", "the name that heads the sheets")
    currency: str = setting("", "the sign of your money, written after the amount")
    target_pay: float = setting(40.0, "pay an hour that you want, before rent", low=0, high=10_000)
    floor_pay: float = setting(25.0, "the least you'd take an hour, before rent", low=0, high=10_000)
    idle_hour: float = setting(
        0.0, "what an hour without a board is worth to you, up to the least you'd take", low=0, high=10_000
    )
    overheads_a_month: float = setting(0.0, "rent, power, insurance, a month", low=0, high=1e7)
    hours_in_a_day: float = setting(6.5, "hours that “a day” on a board means", low=0.5, high=24)
    ready: str = setting("hard", "when a board counts as ready", choices=("hard", "polished", "collected"))
    hours_include_sweeping: bool = setting(True, "whether written hours hold mixing, sweeping and talking")
    colour_on: str = setting("foam", "where graphics are sprayed", choices=("foam", "filler"))
    two_pack: bool = setting(False, "whether two-pack paint is used here")
    requote: tuple[tuple[float, float], ...] = setting(
        ((1.0, 0.95), (1.25, 0.7), (1.5, 0.4)),
        "how likely an owner takes a new price: pairs of times the old price, and the chance",
    )
    strip_fee_credited: bool = setting(True, "whether the fee for opening up counts towards the price")
    broken_promise_cost: float = setting(0.0, "what a newly broken promise costs you", low=0, high=1e6)
    dates: str = setting(
        "iso", "how 03/04/2026 is read; iso refuses it", choices=("iso", "day-month", "month-day")
    )
    backup_folder: str = setting(
        "", "a second place for copies of the book, as a stick or another disk; or empty"
    )


DUSTY, WET, SPRAY, QUIET = AIRS = ("dusty", "wet", "spray", "quiet")


@dataclass(frozen=True, slots=True)
class Away:
    """Days on which nobody works, both ends included."""

    first: dt.date
    last: dt.date


@dataclass(frozen=True, slots=True)
class Bench:
    """How many boards, how many hours, and when not."""

    places: int = setting(3, "boards on the go at once; drying boards don't count", low=1, high=50)
    hours_by_weekday: tuple[float, ...] = setting(
        (6.0, 6.0, 6.0, 6.0, 5.0, 0.0, 0.0), "hours at the bench, Monday first", low=0, high=24
    )
    hours_from: str = setting(
        "auto",
        "weeks as written here, as they came in the log, or auto: the log, once 26 of its weeks tell",
        choices=("auto", "log", "calendar"),
    )
    winter_drying: float = setting(
        1.35, "times as long that foam dries from October to March", low=0.2, high=5
    )
    most_hours_a_day_on_one_board: float = setting(4.5, "before something has to set", low=0.25, high=24)
    away: tuple[Away, ...] = setting((), "days away, each with a first and a last")
    holidays: str = setting("", "a country or region code that the holidays library knows, or empty")


RETIRED_SAYS = "whether it is no longer used: not asked and not expected; what is written of it stays"


@dataclass(frozen=True, slots=True)
class Driver:
    """A quantity of work known or guessed beforehand."""

    name: str
    label: str = ""
    unit: str = setting(
        "",
        "one of m2, ft2, m, ft, kg, lb, or empty for a count",
        choices=("", "m2", "ft2", "m", "ft", "kg", "lb"),
    )
    known: str = setting("asked", "when its value is sure: asked, or the stage whose end shows it")
    blank: str = setting("none", "what an empty cell means", choices=("none", "unknown"))
    source: str = setting(
        "",
        "outline: worked out from length and width where not given",
        choices=("", "outline"),
    )
    times: str = setting(
        "",
        'with from = "outline": the driver that says how many faces, as sides stripped do; empty: one face',
    )
    retired: bool = setting(False, RETIRED_SAYS)


@dataclass(frozen=True, slots=True)
class Modifier:
    """A yes/no or graded condition that multiplies the stages named."""

    name: str
    label: str = ""
    stages: tuple[str, ...] = setting((), "the stages that it slows")
    grades: tuple[str, ...] = setting((), "words for 0, 1, 2 …; empty: yes or no")
    known: str = setting("asked", "when its value is sure: asked, or the stage whose end shows it")
    blank: str = setting("none", "what an empty cell means", choices=("none", "unknown"))
    retired: bool = setting(False, RETIRED_SAYS)

    @property
    def highest(self) -> int:
        """The highest grade: 1 for yes or no."""
        return max(len(self.grades) - 1, 1)


@dataclass(frozen=True, slots=True)
class Kind:
    """A sort of job. `asks` None: every question is asked; else what is not named is none."""

    name: str
    label: str = ""
    asks: tuple[str, ...] | None = setting(None, "drivers asked for this kind; left out: all")
    usual: Mapping[str, tuple[float, float]] = setting(
        {},
        "what such a board usually has, [low, high] at 8 in 10, used until past boards of the kind say it",
    )
    retired: bool = setting(False, RETIRED_SAYS)


@cache
def _but_once(drivers: tuple[str, ...]) -> tuple[str, ...]:
    """Drivers other than `once`; asked for hundreds of thousands of times in a look back."""
    return tuple(d for d in drivers if d != ONCE)


@dataclass(frozen=True, slots=True)
class Stage:
    """A step of the work that hours are booked to."""

    name: str
    label: str = ""
    drivers: tuple[str, ...] = setting((ONCE,), "what its hours grow with; once: set-up time")
    after: tuple[str, ...] = setting((), "stages that must be finished before it")
    wait_days: tuple[float, float] = setting(
        (0.0, 0.0),
        "days that a board stands after it, low and high, 8 times in 10",
    )
    wait_by: Mapping[str, tuple[tuple[float, float], ...]] = setting(
        {}, "instead of wait_days: one modifier, days by its grade"
    )
    sessions: int | str = setting(1, "a number, or a driver: so many sessions, a night between")
    needs: tuple[str, ...] = setting((), "waits, by cause, that must be over before it starts")
    reopens: Mapping[str, float] = setting(
        {},
        "what is done once more, where it is finished, when this stage is opened again: shares of those stages' usual "
        "hours",
    )
    on: str = setting("bench", "bench, or rack: takes no place", choices=("bench", "rack"))
    air: str = setting(
        QUIET,
        "what it does to the air: dusty; wet, dust settles on it until it has set; spray; quiet",
        choices=AIRS,
    )
    happens: str = setting("always", "only where once is its one driver", choices=("always", "sometimes"))
    retired: bool = setting(False, RETIRED_SAYS)

    @property
    def work(self) -> tuple[str, ...]:
        """Its drivers other than `once`."""
        return _but_once(self.drivers)

    @property
    def sometimes(self) -> bool:
        """Whether it may or may not happen, whatever the drivers say."""
        return self.happens == "sometimes" and not self.work


POINT, COMMA = DECIMALS = (".", ",")  # what stands before the decimals of a number
FEET, TENTHS = "feet and inches", "tenths of a foot"


@dataclass(frozen=True, slots=True)
class ImportShape:
    """A spreadsheet that is not ours: how it is read, as you said when it first came."""

    name: str
    rows: str = setting(
        "",
        "what each of its rows is, by the name of one of our sheets; leave: nothing of ours",
        choices=("", "boards", "hours", "told", "waits", "weights", "notes", "money", "leave"),
    )
    columns: Mapping[str, str] = setting(
        {}, "each of its columns, and which of ours it is; leave: kept under its own name, and not read"
    )
    blanks: Mapping[str, str] = setting(
        {}, "what a blank in one of its columns means: none, or unknown where it was not written down"
    )
    feet: Mapping[str, str] = setting(
        {}, "what 9.6 means in a column of lengths: feet and inches, or tenths of a foot"
    )
    dates: str = setting("", "how it writes 3 April", choices=("", "day-month", "month-day"))
    decimals: str = setting("", "what stands before the decimals of its numbers", choices=("", *DECIMALS))


REDO = "redo"  # the stage of all that is done again
REDOING = Rule(  # common practice, no source
    "redoing",
    text="A sand-through or lifted paint costs 1 to 8 hours to put right",
    stage=REDO,
    per=ONCE,
    low=1.0,
    high=8.0,
    odds=0.8,
    source="starter",
)


@dataclass(frozen=True, slots=True)
class Settings:
    """All of workshop.toml. Mappings keep the order of the file; stages are in order of work."""

    workshop: Workshop = field(default_factory=Workshop)
    bench: Bench = field(default_factory=Bench)
    drivers: Mapping[str, Driver] = field(default_factory=dict)
    modifiers: Mapping[str, Modifier] = field(default_factory=dict)
    kinds: Mapping[str, Kind] = field(default_factory=dict)
    stages: Mapping[str, Stage] = field(default_factory=dict)
    imports: Mapping[str, ImportShape] = field(default_factory=dict)
    rules: tuple[Rule, ...] = ()

    @property
    def sometimes(self) -> tuple[str, ...]:
        """Names of the stages that may or may not happen."""
        return tuple(s.name for s in self.stages.values() if s.sometimes)

    @property
    def quantities(self) -> tuple[str, ...]:
        """Every name that has assessed_, found_ and later_ columns."""
        return (*self.drivers, *self.modifiers, *self.sometimes)

    def without_retired(self) -> Settings:
        """The same where no sort of job asks for what is retired, and nothing written of it is none of it.

        >>> drivers = {"logos": Driver("logos"), "fins": Driver("fins", retired=True)}
        >>> Settings(drivers=drivers, kinds={"major": Kind("major")}).without_retired().kinds["major"].asks
        ('logos',)
        """
        gone = {name for part in (self.drivers, self.modifiers) for name, one in part.items() if one.retired}
        if not gone:
            return self
        every = (*self.drivers, *self.modifiers)
        kinds = {
            name: replace(
                kind,
                asks=tuple(one for one in (every if kind.asks is None else kind.asks) if one not in gone),
                usual={one: ends for one, ends in kind.usual.items() if one not in gone},
            )
            for name, kind in self.kinds.items()
        }
        modifiers = {
            name: replace(one, blank="none") if one.retired else one for name, one in self.modifiers.items()
        }
        return replace(self, kinds=kinds, modifiers=modifiers)

    def with_redo(self) -> Settings:
        """The same with a stage for what is done again, where it has none; a rule of thumb that is lent speaks of it.

        >>> list(Settings(stages={"sand": Stage("sand")}).with_redo().stages)
        ['sand', 'redo']
        """
        if REDO in self.stages:
            return self
        stage = Stage(REDO, label="Do it again", after=tuple(self.stages)[:1], happens="sometimes")
        told = any(rule.stage == REDO for rule in self.rules)
        rules = self.rules if told else (*self.rules, REDOING)
        return replace(self, stages={**self.stages, REDO: stage}, rules=rules)

    def label(self, name: str) -> str:
        """What the restorer calls a driver, modifier, stage or kind; its name where there is no label.

        >>> Settings(stages={"strip": Stage("strip", label="Strip")}).label("strip")
        'Strip'
        """
        for named in (self.stages, self.drivers, self.modifiers, self.kinds):
            if name in named and named[name].label:
                return str(named[name].label)
        return "Set-up" if name == ONCE else name.replace("_", " ").capitalize()

    def quantity_label(self, name: str) -> str:
        """What the restorer calls a driver or modifier, also where a stage has the same name.

        >>> both = Settings(stages={"gloss": Stage("gloss", label="Gloss coat")},
        ...     drivers={"gloss": Driver("gloss", label="Sides to gloss")})
        >>> both.label("gloss"), both.quantity_label("gloss")
        ('Gloss coat', 'Sides to gloss')
        """
        named = self.drivers.get(name) or self.modifiers.get(name)
        return named.label if named and named.label else self.label(name)

"""What the log says of a board on the first day to come, and which stages a wait holds up."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, field

from estimator.bench.drying import Scales, Weighed
from estimator.words.records import Wait
from estimator.words.settings import Settings

OWNER, DRYING = "owner", "drying"


@dataclass(frozen=True)
class Seen:
    """What the log says of a board on day 0; it tells up to the day before.

    day: day 0; begun, ended: the first and the last day of each stage with hours; standing: what it waits for now
    met: causes of waits that are over, with the day on which the last of each began
    stopped: it waits for an answer of which no row tells
    judged: quantities as they looked
    weighed: days since it was hung up to dry, and kilograms; scales: what past boards on them tell
    """

    day: dt.date
    begun: Mapping[str, dt.date] = field(default_factory=dict)
    ended: Mapping[str, dt.date] = field(default_factory=dict)
    standing: tuple[Wait, ...] = ()
    met: Mapping[str, dt.date] = field(default_factory=dict)
    stopped: bool = False
    judged: Mapping[str, float] = field(default_factory=dict)
    weighed: Weighed = ()
    scales: Scales | None = None


def held_up(cause: str, settings: Settings) -> frozenset[str]:
    """The stages that cannot begin before a wait is over: those that need what it is for, else all on the bench.

    >>> from estimator.words.settings import Stage
    >>> stages = {"dry": Stage("dry", on="rack"), "logos": Stage("logos", needs=("artwork",)), "gloss": Stage("gloss")}
    >>> sorted(held_up("artwork", Settings(stages=stages))), sorted(held_up("owner", Settings(stages=stages)))
    (['logos'], ['gloss', 'logos'])
    """
    needing = {name for name, stage in settings.stages.items() if cause in stage.needs}
    return frozenset(needing or {name for name, stage in settings.stages.items() if stage.on != "rack"})

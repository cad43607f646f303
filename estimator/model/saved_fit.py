"""What was learned from a log, as numbers that print, compare and save as JSON text.

Reading it takes NumPy and the standard library alone, so that a range from a saved fit is quick.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from estimator.words.errors import EstimatorError
from estimator.words.json_form import json_fields, plain
from estimator.words.measures import face_area_m2, usual_width_m
from estimator.words.records import with_later

MODEL_VERSION = 6
SETTLED = 1.05  # R-hat above which chains have not met
UNPLANNED = "unplanned"  # hours booked on a stage whose drivers are all none: they have a rate of their own
DECIMALS = 5  # of parameter draws on the log scale: far below what can be known

Array = NDArray[np.float64]
Ints = NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class KnownBoard:
    """A board of the log as far as forecasts need it; see words.records.Board for the fields of the same name.

    hours: all its hours, where the board is finished and nothing is missing; else None
    booked: (stage, hours so far, done) for each stage with hours, in order of work
    coarse: by stage with hours, the variance on the log scale that comes from the step in which they are written
    taught: the stages whose rates this board's hours speak of
    counted: the stages in hand of which the fit knows that they take at least so long
    materials: what they cost, where that is written
    """

    board: str
    called: str = ""
    kind: str = ""
    state: str = ""
    length_m: float | None = None
    width_m: float | None = None
    outline: str = ""
    assessed: Mapping[str, float] = field(default_factory=dict)
    found: Mapping[str, float] = field(default_factory=dict)
    later: Mapping[str, float] = field(default_factory=dict)
    worked_out: tuple[str, ...] = ()
    guess: float | None = None
    hours: float | None = None
    booked: tuple[tuple[str, float, bool], ...] = ()
    coarse: Mapping[str, float] = field(default_factory=dict)
    taught: tuple[str, ...] = ()
    counted: tuple[str, ...] = ()
    materials: float | None = None
    judged_with: str = ""

    @property
    def name(self) -> str:
        """What the restorer calls it: the short name, else the id."""
        return self.called or self.board

    @property
    def face_m2(self) -> float | None:
        """Area of one face in m², by the usual width where it is not known; None without a length."""
        if self.length_m is None:
            return None
        width_m = usual_width_m(self.length_m) if self.width_m is None else self.width_m
        return face_area_m2(self.length_m, width_m, self.outline)

    @property
    def wanted(self) -> dict[str, float]:
        """Quantities as they were judged, with what the owner asked for since."""
        return with_later(self.assessed, self.later)

    @property
    def turned_out(self) -> dict[str, float]:
        """Found values where written, else the assessed ones with what was asked for since."""
        return {**self.wanted, **self.found}

    @property
    def as_first_asked(self) -> KnownBoard:
        """The board without what its owner asked for since."""
        found = {name: max(much - self.later.get(name, 0.0), 0.0) for name, much in self.found.items()}
        return replace(self, later={}, found=found)


@dataclass(frozen=True)
class Materials:
    """What was learned of materials: what a unit of each driver costs, a normal law of the logs, and a board's luck.

    drivers: "once", which every board has one of, and names of drivers
    log_cost: (n_drivers,), the likeliest; root: (n_drivers, n_drivers), of their variance; luck: log-sd
    free: share of boards that took none at all; the rest is said of those that took some
    per_hour: mean and sd of the log of materials an hour of work, for a board of which nothing else is known
    boards: finished boards that tell; without: those without materials written; unknown: with a quantity not known
    """

    drivers: tuple[str, ...]
    log_cost: Array
    root: Array
    luck: float
    free: float
    per_hour: tuple[float, float]
    boards: int = 0
    without: int = 0
    unknown: int = 0


@dataclass(frozen=True)
class SavedFit:
    """Draws of the model's numbers, the boards they came from, and which rules speak of what.

    stages: names in order of work
    parts: (stage, driver) of each rate; conditions: (stage, modifier) of each effect
    log_rate: (n_draws, n_parts), log hours per unit as of `as_of`
    effect: (n_draws, n_conditions), log factor per grade
    loading, noise: (n_draws, n_stages), share of the board's pace, and log-scale sd of what is left
    lean, scale: (n_draws,), how far own rules run low on the log scale, and how many times too sure they are
    untold: parts of which neither a rule nor a board tells
    chances: for stages that sometimes happen, or happened unplanned, the two weights of a beta law
    rules: for each rule that counts, its name, whether it is lent, and the stages that it speaks of ("" all)
    left_out: why rows of the log could not be used, with counts
    drawn_by: "chains", or "normal" where the normal approximation is as good
    spread: the largest ratio of spread over all chains to within them (R-hat); near 1 where they have met,
        0 where too few draws were kept to tell
    by_rules: stages of whose own hours the log tells hardly more than the rules of thumb, where it tells of boards
    materials: what they cost; None where no board tells, or nobody asked
    """

    as_of: str
    stages: tuple[str, ...]
    parts: tuple[tuple[str, str], ...]
    conditions: tuple[tuple[str, str], ...]
    log_rate: Array
    effect: Array
    loading: Array
    noise: Array
    lean: Array
    scale: Array
    untold: tuple[tuple[str, str], ...] = ()
    chances: Mapping[str, tuple[float, float]] = field(default_factory=dict)
    rules: tuple[tuple[str, bool, str], ...] = ()
    boards: tuple[KnownBoard, ...] = ()
    left_out: Mapping[str, int] = field(default_factory=dict)
    problems: int = 0
    drawn_by: str = "normal"
    spread: float = 1.0
    materials: Materials | None = None
    by_rules: tuple[str, ...] = ()
    version: int = MODEL_VERSION

    @property
    def n_draws(self) -> int:
        """How many draws of the numbers are kept."""
        return len(self.lean)

    @property
    def settled(self) -> bool:
        """Whether the chains that drew the numbers have met, so that drawn anew a range would be the same."""
        return self.spread <= SETTLED

    @cached_property
    def mean_rates(self) -> dict[tuple[str, str], float]:
        """Hours per unit of each part at its mean log rate."""
        return dict(zip(self.parts, np.exp(self.log_rate.mean(axis=0)).tolist(), strict=True))

    @cached_property
    def mean_effects(self) -> dict[str, list[tuple[str, float]]]:
        """By stage its conditions, each with its mean effect."""
        found: dict[str, list[tuple[str, float]]] = {}
        for (stage, name), effect in zip(self.conditions, self.effect.mean(axis=0).tolist(), strict=True):
            found.setdefault(stage, []).append((name, effect))
        return found

    def to_json(self) -> str:
        """The fit as JSON text; the same fit gives the same text."""
        said = _rounded(self) | {"materials": None if self.materials is None else _rounded(self.materials)}
        return json.dumps(plain(said), separators=(",", ":"))


def _rounded(result: SavedFit | Materials) -> dict[str, Any]:
    """Its fields, arrays to so many decimals as can be known."""
    said = json_fields(result)
    return {n: np.round(one, DECIMALS) if isinstance(one, np.ndarray) else one for n, one in said.items()}


_COLUMNS = {"log_rate": "parts", "effect": "conditions", "loading": "stages", "noise": "stages"}


def fit_from_json(text: str) -> SavedFit:
    """The fit that `to_json` wrote.

    Raises EstimatorError where the text is not a fit of this version; the cure is to fit anew.
    """
    try:
        read = json.loads(text)
        if read["version"] != MODEL_VERSION:
            raise EstimatorError(
                f"the saved fit is of version {read['version']}, this program writes {MODEL_VERSION}.",
                "Delete the folder .estimator; the next range fits anew.",
            )
        shapes = {name: (len(read["lean"]), len(read[columns])) for name, columns in _COLUMNS.items()}
        kept: dict[str, Any] = {
            name: np.array(read[name], dtype=float).reshape(shapes.get(name, len(read["lean"])))
            for name in (*_COLUMNS, "lean", "scale")
        }
        boards = tuple(
            KnownBoard(
                **{
                    **board,
                    "worked_out": tuple(board["worked_out"]),
                    "booked": tuple((s, h, d) for s, h, d in board["booked"]),
                    "taught": tuple(board["taught"]),
                    "counted": tuple(board["counted"]),
                }
            )
            for board in read["boards"]
        )
        return SavedFit(
            as_of=str(read["as_of"]),
            stages=tuple(read["stages"]),
            parts=tuple((s, d) for s, d in read["parts"]),
            conditions=tuple((s, m) for s, m in read["conditions"]),
            untold=tuple((s, d) for s, d in read["untold"]),
            chances={stage: (a, b) for stage, (a, b) in read["chances"].items()},
            by_rules=tuple(map(str, read["by_rules"])),
            rules=tuple((name, lent, stage) for name, lent, stage in read["rules"]),
            boards=boards,
            left_out=dict(read["left_out"]),
            problems=int(read["problems"]),
            drawn_by=str(read["drawn_by"]),
            spread=float(read["spread"]),
            materials=None if read["materials"] is None else _materials(read["materials"]),
            **kept,
        )
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError) as broken:
        raise EstimatorError(
            "the saved fit cannot be read.", "Delete the folder .estimator; the next range fits anew."
        ) from broken


def _materials(read: Mapping[str, Any]) -> Materials:
    """What was learned of materials, from JSON."""
    n = len(read["drivers"])
    mean, sd = read["per_hour"]
    return Materials(
        drivers=tuple(map(str, read["drivers"])),
        log_cost=np.array(read["log_cost"], dtype=float).reshape(n),
        root=np.array(read["root"], dtype=float).reshape(n, n),
        luck=float(read["luck"]),
        free=float(read["free"]),
        per_hour=(float(mean), float(sd)),
        boards=int(read["boards"]),
        without=int(read["without"]),
        unknown=int(read["unknown"]),
    )

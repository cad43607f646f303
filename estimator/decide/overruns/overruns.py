"""All boards that went over or under together: what `overruns` prints, shows and draws."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

from estimator.decide.overruns.parts import BoardOverrun, InAll, board_overruns
from estimator.decide.overruns.variance_shares import GoesWith, Share, goes_with
from estimator.log.names import board_named
from estimator.words.errors import NoAnswerError
from estimator.words.records import Board, Log, Rule
from estimator.words.settings.schema import Settings

OVERRUNS_VERSION = 1  # of what is kept of them


@dataclass(frozen=True)
class Overruns(InAll):
    """What made boards go over their guess, in order of the log, and what goes with it.

    left_out: by reason the names of finished boards that could not be judged
    not_recorded: names of those judged on which nothing is written of how they turned out
    """

    boards: tuple[BoardOverrun, ...] = ()
    goes_with: GoesWith = field(default_factory=GoesWith)
    left_out: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    not_recorded: tuple[str, ...] = ()

    @cached_property
    def by_stage(self) -> dict[str, dict[str, float]]:
        """By stage its parts in hours, over all boards whose hours are booked to stages."""
        sums: dict[str, dict[str, float]] = {}
        for board in self.boards:
            for stage, parts in board.stage_hours.items():
                has = sums.setdefault(stage, dict.fromkeys(parts, 0.0))
                for part, hours in parts.items():
                    has[part] += hours
        return sums

    def of(self, name: str, boards: Sequence[Board]) -> BoardOverrun:
        """The board with this id or short name; boards: of the log.

        Raises UsageError where the log has none, NoAnswerError where it cannot be judged.
        """
        wanted = board_named(name, boards, "Name a finished board with a guess.")
        found = next((board for board in self.boards if board.board == wanted.board), None)
        if found is None:
            reasons = [reason for reason, names in self.left_out.items() if wanted.name in names]
            why = reasons[0] if wanted.finished and reasons else "it is not finished"
            raise NoAnswerError(
                f"Nothing can be said of {wanted.name} yet: {why}.",
                "It takes a guess made before, and all hours of a finished board.",
            )
        return found

    def _json(self) -> dict[str, Any]:
        """The JSON of `overruns`, numbers unrounded: parts are logs of ratios, hours are hours."""
        # by hand: what goes with it is not an object of its own, and the hours follow from the boards
        w = self.goes_with
        return {
            "boards": self.boards,
            "shares": w.shares,
            "effects": w.effects,
            "parts": [_share("part", one) for one in w.parts],
            "drivers": [_share("driver", one) for one in w.drivers],
            "not_enough_boards": w.too_few,
            "cannot_be_told_apart": dict(w.alike),
            "could_find": w.could_find,
            "guessed": self.guessed,
            "took": self.took,
            "hours": self.hours,
            "by_stage": [{"stage": stage, **hours} for stage, hours in self.by_stage.items()],
            "left_out": self.left_out,
            "not_recorded": self.not_recorded,
        }


def _share(of: str, share: Share) -> dict[str, Any]:
    """A share of a part, or of a driver, all in all."""
    return {name: getattr(share, name) for name in (of, "share", "low", "high")}


def all_overruns(
    log: Log,
    settings: Settings,
    *,
    as_of: dt.date | None = None,
    rules: Sequence[Rule] | None = None,
    seed: int = 0,
) -> Overruns:
    """What made boards go over their guess, and what goes with it; arguments as for `board_overruns`.

    Raises NoAnswerError where the likeliest rates cannot be found.
    """
    from estimator.decide.overruns.expected_by_scope import turned_out_in_all

    found = board_overruns(log, settings, as_of=as_of, rules=rules, seed=seed)
    values = [turned_out_in_all(log.by_id[board.board]) for board in found.boards]
    return Overruns(
        found.boards,
        goes_with(found.boards, values, settings, found.doubt),
        found.left_out,
        found.not_recorded,
    )

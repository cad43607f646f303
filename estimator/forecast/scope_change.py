"""What an owner has asked for since: hours, materials and price of it, as differences on the same draws."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from estimator.forecast.calibration import UNSTRETCHED, Stretch
from estimator.forecast.draws import N_DRAWS, Drawn, Work, draw_hours
from estimator.forecast.views import default_view, work_of_board
from estimator.log.names import NOTHING_DONE, refuse_over
from estimator.log.parse.cells import AS_THOUGHT, read_more, readers, with_areas
from estimator.model.saved_fit import Array, KnownBoard, SavedFit
from estimator.words.errors import UnreadableError, UsageError
from estimator.words.settings.schema import Settings
from estimator.words.settings.values import nearest


@dataclass(frozen=True)
class More:
    """A board before its owner asked for more and after, by draw.

    before, after: work; drawn_before, drawn_after: hours, from the same draws
    """

    before: Work
    after: Work
    drawn_before: Drawn
    drawn_after: Drawn

    @property
    def hours(self) -> Array:
        """Hours that came on top, (n_draws,)."""
        return np.asarray(self.drawn_after.total - self.drawn_before.total)

    def on(self, stage: str) -> Array:
        """Hours that came on top on one stage, (n_draws,)."""
        hours = [
            drawn.hours[drawn.stages.index(stage)] if stage in drawn.stages else 0.0
            for drawn in (self.drawn_before, self.drawn_after)
        ]
        return np.broadcast_to(np.subtract(hours[1], hours[0]), self.drawn_after.total.shape)


def asked_since(
    board: KnownBoard, more: Mapping[str, object], settings: Settings
) -> tuple[KnownBoard, dict[str, float]]:
    """A board with what its owner has asked for since; and how much more that makes, by name, areas and all.

    more: values as they would stand in a later_ cell; what stands there already is not in them
    What was judged stays as it is, and so does hidden work: where a quantity is written as it turned out, all in all,
    that grows with what was asked for.

    Raises UsageError for a board that is over and a name that is no quantity, UnreadableError for its value.
    """
    refuse_over(board, NOTHING_DONE)
    read = readers(settings)
    amounts: dict[str, float] = {}
    for name, value in more.items():
        if name not in read:
            raise UsageError(f'"{name}" is nothing that an owner can ask more of.', nearest(name, [*read]))
        try:
            amounts[name] = _amount(name, value, board.turned_out.get(name, 0.0), settings)
            if amounts[name] < 0:
                _refuse_less(name, amounts[name], board, settings)
        except UnreadableError as error:
            raise UnreadableError(f"{name}={value}: {error.wrong}", error.cure) from None
    grown = with_areas(amounts, board.turned_out, settings, board.face_m2)
    _refuse_unknown_areas(amounts, grown, board, settings)
    return (
        replace(
            board,
            later={**board.later, **{q: board.later.get(q, 0.0) + much for q, much in grown.items()}},
            found={q: much + grown.get(q, 0.0) for q, much in board.found.items()},
        ),
        grown,
    )


def _refuse_unknown_areas(
    amounts: Mapping[str, float], grown: Mapping[str, float], board: KnownBoard, settings: Settings
) -> None:
    """Stops where faces were asked for and the area that they make cannot be told."""
    for name, driver in settings.drivers.items():
        if driver.source and amounts.get(driver.times) and name not in grown and name in board.turned_out:
            raise UnreadableError(
                f"{driver.times}={amounts[driver.times]:g}: {name} cannot be worked out from length and width",
                f"Write them down, or say it too, as {name}=1.2.",
            )


def _amount(name: str, value: object, there: float, settings: Settings) -> float:
    """How much more, from what would stand in its cell; there: how much there is already."""
    if value in ("?", "", None) or (isinstance(value, str) and value.casefold() in AS_THOUGHT):
        raise UnreadableError("that does not say how much more", "Write the number, as 1.")
    much = read_more(value, readers(settings)[name])  # type: ignore[arg-type]  # it refuses what it cannot read
    if name in settings.drivers:
        if not settings.drivers[name].unit and not much.is_integer():
            raise UnreadableError("there are only whole ones", "Write 1, 2 or 3.")
        return much
    highest = settings.modifiers[name].highest if name in settings.modifiers else 1
    if there + much > highest:
        raise UnreadableError(
            f"that comes on top of {there:g}, and {highest} is the most there is",
            f"Write {highest - there:g} at most.",
        )
    return much


def _refuse_less(name: str, less: float, board: KnownBoard, settings: Settings) -> None:
    """Stops where there is not so much to take off, or all of it is done."""
    there = board.turned_out.get(name)
    if there is None or there + less < -1e-9:
        known = "how much there is is not known" if there is None else f"there is only {there:g}"
        raise UnreadableError(
            f"that takes off more than there is: {known}",
            "Write the row first." if there is None else f"Write {-there:g} at most.",
        )
    done = {stage for stage, _, is_done in board.booked if is_done}
    its = stages_of(name, settings)
    if its and done.issuperset(its):
        stages = " and ".join(settings.label(stage) for stage in its)
        raise UnreadableError(
            f"nothing of it is left to take off: {stages} {'is' if len(its) == 1 else 'are'} finished",
            f"If another is wanted instead, that is doing it again: ask for {name}={-less:g}.",
        )


def stages_of(name: str, settings: Settings) -> tuple[str, ...]:
    """The stages whose hours hang on a driver or a condition, or the sometimes-stage itself, in order of work."""
    slowed = settings.modifiers[name].stages if name in settings.modifiers else ()
    return tuple(
        stage.name
        for stage in settings.stages.values()
        if name in stage.drivers or stage.name in slowed or (stage.sometimes and stage.name == name)
    )


def opened_again(board: KnownBoard, more: KnownBoard, settings: Settings) -> dict[str, float]:
    """By finished stage the share of its usual hours that is done once more, for what was asked for undoes it.

    board: as it stands; more: the same with what was asked for. Of several shares of a stage the largest counts: it is
    done again once.
    """
    grown = [q for q, much in more.later.items() if much > board.later.get(q, 0.0)]
    shares: dict[str, float] = {}
    for opened in {stage for q in grown for stage in stages_of(q, settings)}:
        for name, share in settings.stages[opened].reopens.items():
            shares[name] = max(share, shares.get(name, 0.0))
    return {stage: shares[stage] for stage, _, done in board.booked if done and stage in shares}


def with_redone(after: Work, before: Work, settings: Settings) -> Work:
    """The work with the quantities of what is done once more, for its materials."""
    values = dict(after.values)
    for driver in settings.drivers:
        shares = [share for name, share in after.redone.items() if driver in settings.stages[name].work]
        if shares and driver in values:
            values[driver] = values[driver] + max(shares) * before.values.get(driver, 0.0)
    return replace(after, values=values)


def draw_more(
    fit: SavedFit,
    board: KnownBoard,
    more: KnownBoard,
    settings: Settings,
    *,
    seed: int = 0,
    n_draws: int = N_DRAWS,
    stretch: Stretch = UNSTRETCHED,
) -> More:
    """A board as it stands and with more, on the same draws.

    stretch: of a board that is not begun

    Raises NoAnswerError as a range does.
    """
    view = default_view(board)

    def work(one: KnownBoard) -> Work:
        return work_of_board(fit, one, view, settings, np.random.default_rng([seed, 2]), n_draws)[0]

    before, after = work(board), work(more)
    if view == "now":
        after = replace(after, redone=opened_again(board, more, settings))
    first = draw_hours(fit, before, np.random.default_rng([seed, 3]), n_draws)
    second = draw_hours(fit, after, np.random.default_rng([seed, 3]), n_draws, before=before)
    if view == "before":
        first, second = first.stretched(stretch), second.stretched(stretch)
    return More(before, after, first, second)

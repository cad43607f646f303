"""What is known of a board from where one looks: before opening, opened up, finished, or now.

before: quantities as judged, with what the owner asked for since. opened: what the revealing stage shows, and all
that is sure when asked, as found. finished: all as found. now: what was found so far, and the hours booked. Seen from
any of them, quantities may lie beyond the most that the log has seen.
"""

from __future__ import annotations

from collections.abc import Container, Mapping

import numpy as np

from estimator.forecast.calibration import UNSTRETCHED, Stretch
from estimator.forecast.draws import N_DRAWS, Drawn, Work, draw_hours
from estimator.forecast.surprises import known_from, surprised
from estimator.log.stage_hours import followers
from estimator.model.saved_fit import UNPLANNED, Array, KnownBoard, SavedFit
from estimator.words.errors import NoRangeError
from estimator.words.measures import convert
from estimator.words.odds import z_of
from estimator.words.records import FINISHED, ON_BENCH, STOPPED, WITHDRAWN
from estimator.words.settings.schema import ONCE, Kind, Settings


def beyond_log(
    fit: SavedFit, board: KnownBoard, values: Mapping[str, float | Array], settings: Settings
) -> dict[str, float | Array]:
    """By driver the log of how many times the most of past boards there is, by draw; those within are left out."""
    found: dict[str, float | Array] = {}
    for driver, most in most_seen(fit, board, settings).items():
        times = np.log(np.maximum(np.asarray(values.get(driver, 0.0)) / most, 1.0))
        if times.max() > 0:
            found[driver] = times if np.ndim(times) else float(times)
    return found


def most_seen(fit: SavedFit, board: KnownBoard, settings: Settings) -> dict[str, float]:
    """By driver the most of it that any other board had whose hours tell of it; drivers that none had are left out."""
    of = {
        driver: {stage.name for stage in settings.stages.values() if driver in stage.drivers}
        for driver in settings.drivers
    }
    seen = dict.fromkeys(of, 0.0)
    for other in fit.boards:
        if other.board == board.board:
            continue
        taught, had = {*other.taught}, other.turned_out
        for driver, stages in of.items():
            if (much := had.get(driver, 0.0)) > seen[driver] and not taught.isdisjoint(stages):
                seen[driver] = much
    return {driver: most for driver, most in seen.items() if most > 0}


VIEWS = ("before", "opened", "finished")
ENOUGH_ALIKE = 5  # past boards of a kind; with fewer, the kind's usual quantities fill up


def revealing_stage(settings: Settings) -> str:
    """The earliest stage, in order of work, whose end shows what was hidden; empty where none does."""
    shown = {known_from(name, settings) for name in (*settings.drivers, *settings.modifiers)}
    return next((stage for stage in settings.stages if stage in shown), "")


def values_in(board: KnownBoard, view: str, settings: Settings) -> dict[str, float]:
    """A board's known quantities in a view; what is missing is not known."""
    if view == "before":
        return board.wanted
    if view == "finished":
        return board.turned_out
    shown = {"asked", revealing_stage(settings)}
    sure = {
        name: value
        for name, value in board.found.items()
        if name in settings.sometimes or known_from(name, settings) in shown
    }
    return {**board.wanted, **sure}


def default_view(board: KnownBoard) -> str:
    """The view of a range that was asked for without one: before, for a board not begun, else now."""
    begun = board.booked or board.hours or (board.found and board.state in {ON_BENCH, STOPPED})
    return "now" if board.state in {ON_BENCH, STOPPED, FINISHED, WITHDRAWN} and begun else "before"


def drawn_board(
    fit: SavedFit,
    board: KnownBoard,
    view: str,
    settings: Settings,
    *,
    seed: int = 0,
    n_draws: int = N_DRAWS,
    stretch: Stretch = UNSTRETCHED,
) -> tuple[Work, Drawn, tuple[str, ...]]:
    """What is to do on a board, its hours by draw, and which quantities are not known: the same draws for all that ask.

    stretch: used where one looks from before opening

    Raises NoAnswerError as work_of_board does.
    """
    work, unknown = work_of_board(fit, board, view, settings, np.random.default_rng([seed, 2]), n_draws)
    drawn = draw_hours(fit, work, np.random.default_rng([seed, 3]), n_draws)
    return work, drawn.stretched(stretch) if view == "before" else drawn, unknown


def work_of_board(
    fit: SavedFit,
    board: KnownBoard,
    view: str,
    settings: Settings,
    rng: np.random.Generator,
    n_draws: int = N_DRAWS,
) -> tuple[Work, tuple[str, ...]]:
    """What is to do on a board, and which quantities are not known (drawn from past boards of its kind).

    A board that is over has the hours that are booked, whatever is not known of it.

    Raises NoAnswerError where a quantity is not known and neither a past board nor the kind says what is usual, or
    where a stage that may happen has a rate of which neither a rule nor a board tells.
    """
    now = view == "now"
    values: dict[str, float | Array] = dict(values_in(board, "finished" if now else view, settings))
    values |= {
        stage: 1.0 for stage in settings.sometimes if stage not in values and board.later.get(stage, 0.0) > 0
    }
    booked = {stage: hours for stage, hours, _ in board.booked} if now else {}
    over = now and board.state in {FINISHED, WITHDRAWN}
    done = frozenset(stage for stage, _, is_done in board.booked if is_done or over) if now else frozenset()
    needed = [q for q in (*settings.drivers, *settings.modifiers) if q not in values and _used(q, settings)]
    unknown = () if over else tuple(needed)
    if unknown:
        values.update(_drawn(fit, board, unknown, values, settings, rng, n_draws))
    if not over:
        unsure = _unsure(board, view, done, settings)
        values.update(
            surprised(fit, board, unsure, settings, np.random.default_rng(rng.integers(2**63)), n_draws)
        )
    happening: dict[str, Array] = {}
    passed = _passed(board, booked, settings) if booked and not over else ()
    for stage in settings.stages.values():
        if (over and stage.name not in booked) or stage.name in passed:
            continue
        likely = np.asarray(
            _happening(fit, stage.name, values, settings, rng, n_draws, told=view == "finished")
        )
        if stage.name in booked:
            likely = np.ones(n_draws, dtype=bool)
        if likely.any():
            happening[stage.name] = likely
    for name in happening:
        if (name, UNPLANNED) in fit.parts:
            values[f"{name} {UNPLANNED}"] = np.where(np.asarray(_planned(name, values, settings)), 0.0, 1.0)
    _tellable(fit, happening.keys() - done, values, settings)
    coarse, counted = (board.coarse, frozenset(board.counted)) if now else ({}, frozenset[str]())
    beyond = {} if over else beyond_log(fit, board, values, settings)
    due = tuple(name for name in passed if _due(name, values, settings))
    return Work(values, happening, booked, done, coarse, counted, beyond, passed_by=due), unknown


def _passed(board: KnownBoard, booked: Container[str], settings: Settings) -> tuple[str, ...]:
    """Stages that a board was passed by, but for those of which its owner has asked for something since."""
    since = {name for name, much in board.later.items() if much > 0}
    stages = settings.stages
    return tuple(n for n in passed_by(booked, settings) if not since & {n, *stages[n].drivers})


def passed_by(booked: Container[str], settings: Settings) -> tuple[str, ...]:
    """Stages without hours after which others, that can only come later, have some: they are over, or not needed.

    booked: stages with hours

    >>> from estimator.words.settings.schema import Stage
    >>> stages = {"strip": Stage("strip"), "sand": Stage("sand", after=("strip",)), "gloss": Stage("gloss")}
    >>> passed_by({"sand"}, Settings(stages=stages))
    ('strip',)
    """
    return tuple(
        stage
        for stage, later in followers(settings.stages).items()
        if stage not in booked and any(name in booked for name in later)
    )


def _due(stage: str, values: Mapping[str, float | Array], settings: Settings) -> bool:
    """Whether a stage belongs to a board with these quantities for certain."""
    return not settings.stages[stage].sometimes and bool(np.all(_planned(stage, values, settings)))


def _unsure(board: KnownBoard, view: str, done: frozenset[str], settings: Settings) -> list[str]:
    """Quantities that were judged, and may still turn out otherwise from where one looks."""
    if view == "finished":
        return []
    sure = {"before": {"asked"}, "opened": {"asked", revealing_stage(settings)}}.get(view, {"asked", *done})
    return [
        q
        for q in (*settings.drivers, *settings.modifiers)
        if q in board.assessed
        and q not in board.worked_out
        and known_from(q, settings) not in sure
        and not (view == "now" and q in board.found)
    ]


def _used(name: str, settings: Settings) -> bool:
    """Whether any stage's hours hang on a quantity."""
    if name in settings.modifiers:
        return bool(settings.modifiers[name].stages)
    return any(name in stage.drivers for stage in settings.stages.values())


def _planned(stage: str, values: Mapping[str, float | Array], settings: Settings) -> Array | bool:
    """Whether a stage's own drivers make it happen, by draw."""
    work = settings.stages[stage].work
    if not work:
        return True
    there: Array | bool = np.any(np.broadcast_arrays(*(values.get(d, 0.0) for d in work)), axis=0)
    return there


def _happening(
    fit: SavedFit,
    stage: str,
    values: Mapping[str, float | Array],
    settings: Settings,
    rng: np.random.Generator,
    n_draws: int,
    *,
    told: bool,
) -> Array | bool:
    """Whether a stage happens, by draw; chances of what only sometimes happens, or unplanned, are drawn.

    told: all that there is to do is known, so that nothing unplanned comes
    """
    luck = np.random.default_rng(rng.integers(2**63))
    planned = np.broadcast_to(_planned(stage, values, settings), n_draws)
    sometimes = settings.stages[stage].sometimes
    if sometimes and stage in values:
        return np.full(n_draws, np.asarray(values[stage]) > 0)
    if not sometimes and (told or stage not in fit.chances):
        return planned
    yes, no = fit.chances.get(stage, (0.0, 1.0))
    comes = luck.random(n_draws) < luck.beta(max(yes, 1e-3), max(no, 1e-3), n_draws)
    return np.asarray(comes if sometimes else planned | comes)


def _tellable(
    fit: SavedFit, stages: frozenset[str] | set[str], values: Mapping[str, float | Array], settings: Settings
) -> None:
    """Refuses a board with work of which neither a rule nor a past board tells."""
    for stage, driver in fit.untold:
        there = driver == ONCE or np.any(np.asarray(values.get(driver, 0.0)) > 0)
        if stage in stages and there:
            work = "" if driver == ONCE else f" ({settings.quantity_label(driver)})"
            raise NoRangeError(
                f"it needs {settings.label(stage)}{work}, and neither a rule of thumb nor a "
                "past board says how long that takes.",
                f"Add a rule of thumb for stage {stage} to workshop.toml"
                + (f", or leave it out, as {driver}=0." if driver != ONCE else "."),
                field="known" if driver != ONCE else "",
            )


def _drawn(
    fit: SavedFit,
    board: KnownBoard,
    unknown: tuple[str, ...],
    values: Mapping[str, float | Array],
    settings: Settings,
    rng: np.random.Generator,
    n_draws: int,
) -> dict[str, float | Array]:
    """Unknown quantities by draw, all together from one past board of the kind, or as the kind usually has them."""
    derived = [
        q for q in unknown if q in settings.drivers and _can_derive(q, board, unknown, values, settings)
    ]
    wanted = [q for q in unknown if q not in derived]
    drawn: dict[str, float | Array] = {}
    if wanted:
        donors = [
            known
            for other in fit.boards
            if other.state == FINISHED
            and (not board.kind or other.kind == board.kind)
            and all(q in (known := other.turned_out) for q in wanted)
        ]
        usual = _usual(settings.kinds.get(board.kind), wanted, settings, rng, n_draws)
        if not donors and usual is None:
            raise NoRangeError(
                f"{', '.join(settings.quantity_label(q).lower() for q in wanted)} "
                f"{'is' if len(wanted) == 1 else 'are'} not known, and no past board says what is usual.",
                f"{_say_kind(board, settings)} what you see, for instance {wanted[0]}=1, "
                f"or {wanted[0]}=0 for none.",
                field="known",
            )
        pick = rng.integers(0, max(len(donors), 1), n_draws)
        from_usual = rng.random(n_draws) < max(ENOUGH_ALIKE - len(donors), 0) / ENOUGH_ALIKE
        for i, q in enumerate(wanted):
            given = np.array([d[q] for d in donors])[pick] if donors else np.zeros(n_draws)
            drawn[q] = given if usual is None else np.where(from_usual, usual[i], given)
            if q in board.later:
                highest = settings.modifiers[q].highest if q in settings.modifiers else np.inf
                drawn[q] = np.minimum(drawn[q] + board.later[q], highest)
    for q in derived:
        drawn[q] = _derive(q, board, {**values, **drawn}, settings)
    return drawn


def _say_kind(board: KnownBoard, settings: Settings) -> str:
    """How the cure begins: where no sort of job was named its usual quantities would fill up."""
    kinds = [kind.name for kind in settings.kinds.values() if kind.usual]
    return f"Name the sort of job, as kind={kinds[-1]}; or say" if kinds and not board.kind else "Say"


def _usual(
    kind: Kind | None, wanted: list[str], settings: Settings, rng: np.random.Generator, n_draws: int
) -> list[Array] | None:
    """What a board of the kind usually has, each quantity on its own; None where the kind does not say."""
    if kind is None or not all(q in kind.usual for q in wanted):
        return None
    drawn = []
    for q in wanted:
        low, high = kind.usual[q]
        value = (low + high) / 2 + (high - low) / (2 * z_of(0.8)) * rng.standard_normal(n_draws)
        value = np.maximum(value, 0.0)
        if q in settings.modifiers:
            value = np.minimum(np.round(value), settings.modifiers[q].highest)
        elif not settings.drivers[q].unit:
            value = np.round(value) if high == round(high) and low == round(low) else value
        drawn.append(value)
    return drawn


def _can_derive(
    name: str,
    board: KnownBoard,
    unknown: tuple[str, ...],
    values: Mapping[str, float | Array],
    settings: Settings,
) -> bool:
    """Whether a quantity follows from the outline and one other quantity that is known or drawn."""
    driver = settings.drivers[name]
    if driver.source != "outline" or board.length_m is None:
        return False
    return not driver.times or driver.times in values or driver.times in unknown


def _derive(
    name: str, board: KnownBoard, values: Mapping[str, float | Array], settings: Settings
) -> float | Array:
    """Face area from the outline, times what it goes with."""
    assert board.face_m2 is not None
    driver = settings.drivers[name]
    area = convert(board.face_m2, "m2", driver.unit or "m2")
    return area * values[driver.times] if driver.times else area

"""The value of a driver, a condition or a sometimes-stage of a board, as it turned out or as judged."""

from __future__ import annotations

from collections.abc import Collection, Container, Mapping

from estimator.log.stage_hours import StageHours
from estimator.words.records import Board, Rule, Values
from estimator.words.settings.schema import LENGTH, ONCE, Settings, Stage

FOOT = 0.3048  # metres; by definition


MORE = 1e-6  # units: found more than assessed


def as_it_turned_out(board: Board) -> dict[str, float]:
    """Found values where they were written or confirmed, else the assessed ones with what was asked for since.

    Unknown names are missing.

    >>> as_it_turned_out(Board("a", assessed={"infills": 2.0, "logos": 1.0}, found={"infills": 4.0}))
    {'infills': 4.0, 'logos': 1.0}
    """
    return {**board.wanted, **board.found}


def happens(stage: Stage, values: Values, *, booked: bool = False) -> bool | None:
    """Whether a stage happens on a board with these values; None where a value it hangs on is not known.

    A stage happens when any of its drivers other than set-up is above zero. One with set-up alone always
    happens, or, if it only sometimes does, where the board says so or hours are booked on it. One that is retired
    happens only where hours are booked on it.
    """
    if stage.retired and not booked:
        return False
    if stage.sometimes:
        return True if booked else (None if stage.name not in values else values[stage.name] > 0)
    if not stage.work:
        return True
    unknown = False
    for driver in stage.work:
        if driver not in values:
            unknown = True
        elif values[driver] > 0:
            return True
    return None if unknown else False


def work_of(stage: Stage, values: Values) -> dict[str, float] | None:
    """The quantities that make up a stage's hours, with 1 for set-up; None where one is not known.

    >>> work_of(Stage("strip", drivers=("once", "area")), {"area": 2.5})
    {'once': 1.0, 'area': 2.5}
    """
    try:
        return {driver: 1.0 if driver == ONCE else values[driver] for driver in stage.drivers}
    except KeyError:
        return None


def untold(board: Board, booked: Collection[str], settings: Settings) -> tuple[str, ...]:
    """What must be known before the hours of a board that are on no stage can be shared out among the other stages.

    booked: the stages that have hours of their own

    >>> shop = Settings(stages={"strip": Stage("strip", drivers=("once", "area")), "sand": Stage("sand")})
    >>> untold(Board("a", total_hours=30.0), (), shop), untold(Board("a", total_hours=30.0), ("strip",), shop)
    (('area',), ())
    """
    values = as_it_turned_out(board)
    missing: dict[str, None] = {}
    for stage in settings.stages.values():
        on = happens(stage, values)
        if (
            stage.name in booked or on is False or (on is None and stage.sometimes)
        ):  # not written that it happened
            continue
        if on is None or work_of(stage, values) is None:
            missing |= dict.fromkeys(driver for driver in stage.work if driver not in values)
    return tuple(missing)


def why_untaught(board: Board, booked: Collection[str], settings: Settings) -> tuple[str, ...] | None:
    """Why the hours of a finished board teach nothing: the quantities that are not known, none where it has no hours.

    booked: the stages that have hours of their own

    None where some of its hours teach.
    """
    values = as_it_turned_out(board)
    missing: dict[str, None] = {}
    for name in booked:
        stage = settings.stages[name]
        if happens(stage, values, booked=True) is False or work_of(stage, values) is not None:
            return None
        missing |= dict.fromkeys(driver for driver in stage.work if driver not in values)
    if board.total_hours:
        rest = untold(board, booked, settings)
        if not rest:
            return None
        missing |= dict.fromkeys(rest)
    return tuple(missing)


def speaks_of(rule: Rule, board: Board, values: Values) -> bool:
    """Whether a rule's `when` holds for a board; what is not known does not hold.

    >>> speaks_of(Rule("r", when={"length_ft": (8.5, 10.5)}), Board("a", length_m=2.9), {})
    True
    """
    for name, wanted in rule.when.items():
        if isinstance(wanted, frozenset):
            if board.kind not in wanted:
                return False
            continue
        value = values.get(name)
        if name == LENGTH:
            value = None if board.length_m is None else board.length_m / FOOT
        if value is None or not wanted[0] - 1e-9 <= value <= wanted[1] + 1e-9:
            return False
    return True


def hidden_work(board: Board, settings: Settings) -> bool | None:
    """Whether more was found than could be seen, beyond what the owner asked for since; None where nothing tells.

    >>> from estimator.words.settings.schema import Driver
    >>> shop = Settings(drivers={"infills": Driver("infills")})
    >>> hidden_work(Board("a", assessed={"infills": 2.0}, found={"infills": 4.0}), shop)
    True
    """
    names = (*settings.drivers, *settings.sometimes)
    told = [n for n in names if n in board.found and (n in board.assessed or n in settings.sometimes)]
    if not told:
        return None
    return any(board.found[n] > board.assessed.get(n, 0.0) + board.later.get(n, 0.0) + MORE for n in told)


def modifiers_of(stage: str, settings: Settings) -> tuple[str, ...]:
    """The conditions that slow a stage, in the order of the settings."""
    return tuple(m.name for m in settings.modifiers.values() if stage in m.stages)


def typical_grades(boards: tuple[Board, ...], settings: Settings) -> Mapping[str, float]:
    """The mean grade of each condition over the boards on which it is known; 0 where it is known of none."""
    known: dict[str, list[float]] = {name: [] for name in settings.modifiers}
    for board in boards:
        values = as_it_turned_out(board)
        for name, grades in known.items():
            if name in values:
                grades.append(values[name])
    return {name: sum(grades) / len(grades) if grades else 0.0 for name, grades in known.items()}


def whole_hours(
    board: Board,
    worked: tuple[StageHours, ...],
    settings: Settings,
    not_done: Container[tuple[str, str]] = (),
) -> float | None:
    """All hours of a finished board; None where it is not finished or a stage that happened has no hours.

    not_done: (board, stage) of which the log says that nothing was done
    """
    if not board.finished:
        return None
    booked = sum(has.hours for has in worked)
    if board.total_hours:
        return max(board.total_hours, booked)
    has_hours = {has.stage for has in worked}
    values = as_it_turned_out(board)
    missing = any(
        stage.work
        and stage.name not in has_hours
        and (board.board, stage.name) not in not_done
        and happens(stage, values)
        for stage in settings.stages.values()
    )
    return None if missing or not booked else booked

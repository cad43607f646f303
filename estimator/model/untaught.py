"""Finished boards whose hours teach nothing yet, and which cells to fill so that they do."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from estimator.log.columns import TURNED_OUT
from estimator.log.parse.boards import some
from estimator.model.quantities import why_untaught
from estimator.words.phrases import inside, say_count
from estimator.words.problems import Problem
from estimator.words.records import Board, Log
from estimator.words.settings.schema import Settings


@dataclass(frozen=True, slots=True)
class Untaught:
    """Finished boards that teach nothing yet. boards: how many; why: each reason with all boards by name."""

    boards: int
    why: tuple[Problem, ...]


def untaught(log: Log, settings: Settings) -> Untaught:
    """Finished boards of whose hours nothing can be learned: there are none, or nobody wrote what there was to do."""
    booked: dict[str, set[str]] = {}
    for entry in log.entries:
        if entry.hours:
            booked.setdefault(entry.board, set()).add(entry.stage)
    blank: list[Board] = []
    bare: list[Board] = []
    missing: set[str] = set()
    for board in log.boards:
        reason = why_untaught(board, booked.get(board.board, ()), settings) if board.finished else None
        if reason:
            blank.append(board)
            missing |= set(reason)
        elif reason is not None:
            bare.append(board)
    why = []
    if blank:
        names = [name for name in settings.quantities if name in missing]
        unknown = some([inside(settings.quantity_label(name)) for name in names])
        wrong = f"{_teach(blank)} nothing yet ({_ids(blank)}): nobody wrote how much there was of {unknown}"
        why.append(Problem(blank[0].where.whole_sheet, "", wrong, _to_fill(names, settings)))
    if bare:
        on = "it" if len(bare) == 1 else "them"
        wrong = f"{_teach(bare)} nothing yet ({_ids(bare)}): no hours are written on {on}"
        cure = "Write the hours by stage, or their sum in total_hours."
        why.append(Problem(bare[0].where.whole_sheet, "", wrong, cure))
    return Untaught(len(blank) + len(bare), tuple(why))


def _teach(boards: Sequence[Board]) -> str:
    """So many boards teach, and whether it is one."""
    return f"{say_count(len(boards), 'board')} {'teaches' if len(boards) == 1 else 'teach'}"


def _ids(boards: Sequence[Board]) -> str:
    """All boards by their ids."""
    return ", ".join(board.board for board in boards)


def _to_fill(names: Sequence[str], settings: Settings) -> str:
    """Which cells to fill: those that are never taken as none; of the others what there was.

    names: quantities that are not known
    """
    drivers = settings.drivers
    asked = dict.fromkeys(drivers[n].times if n in drivers and drivers[n].times else n for n in names)
    never = [n for n in asked if n in drivers and drivers[n].blank == "unknown"]
    cells = " and ".join(f"{TURNED_OUT}{name}" for name in never or list(asked)[:1])
    rest = (
        " Of the rest write what there was: what stays empty beside it counts as none."
        if len(asked) > 1
        else ""
    )
    return f"Fill in {cells}, with 0 where there was none.{rest}"

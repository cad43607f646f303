"""Past boards as tables, for those who read figures rather than a drawing."""

from __future__ import annotations

from collections.abc import Sequence
from statistics import NormalDist

from estimator.decide.quarter.control_chart import Landed
from estimator.record.backtest.track_record import JudgedBoard
from estimator.said.parts import Table
from estimator.words.phrases import range_in_figures, say_middle

SIDES = {-1: "quicker", 0: "inside", 1: "longer", None: "still open"}


def table_of_ranges(boards: Sequence[JudgedBoard]) -> Table:
    """What was said of each board, what it took, and to which side it fell."""
    rows = tuple(
        (
            one.name,
            range_in_figures(one.low, one.high),
            say_middle(one.so_far if one.hours is None else one.hours),
            SIDES[one.side],
        )
        for one in boards
    )
    return Table(("", "said", "took", "it fell"), rows, right=(1, 2), boards=tuple(b.board for b in boards))


def table_of_landed(boards: Sequence[Landed]) -> Table:
    """Of ten boards like each one, how many would have been quicker.

    >>> table_of_landed([Landed("7", "plum stub", "2026-08-01", 0.0), Landed("8", "", "2026-08-02", 3.0)]).rows
    (('plum stub', '5'), ('8', '10'))
    """
    rows = tuple((one.name, str(round(10 * NormalDist().cdf(one.score)))) for one in boards)
    return Table(("", "of ten like it, quicker"), rows, right=(1,), boards=tuple(b.board for b in boards))

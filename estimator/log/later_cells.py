"""What an owner has asked for since, kept in the board's own row."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from estimator.log.headers import ASKED_LATER, TURNED_OUT
from estimator.log.own_row import Cells, fill_own_row
from estimator.log.tellings import number
from estimator.words.records import Board
from estimator.words.settings import Settings

DECIMALS = 6  # of a sum, so that a tenth and two are three


@dataclass(frozen=True, slots=True)
class KeptMore:
    """Cells as they were written, by column; file: None where they are for the restorer to write, as notes say."""

    file: Path | None
    cells: Cells
    notes: tuple[str, ...] = ()

    def as_dict(self) -> dict[str, Any]:
        """As JSON."""
        return {
            "file": None if self.file is None else str(self.file),
            "cells": dict(self.cells),
            "notes": list(self.notes),
        }


def keep_more(
    folder: Path, settings: Settings, board: Board, more: Mapping[str, float], grown: Mapping[str, float]
) -> KeptMore:
    """Adds what was asked for to what stands in the board's `later_` cells of `boards.csv`.

    What is written as it turned out, all in all, grows with it, so that nothing of it is taken for hidden work. All
    else in the file stays byte for byte, and a spreadsheet is never written.

    board: as it was read; more: by name; grown: the same, with the areas that it makes

    Raises UsageError where the file has no column for it, or cannot be written.
    """

    def cells(row: Cells | None) -> Cells:
        wanted = {ASKED_LATER + name: _sum(board.later.get(name, 0.0), much) for name, much in more.items()}
        for name, much in grown.items():
            written = name in more if row is None else bool(row.get(TURNED_OUT + name))
            if written and much and name in board.found:
                wanted[TURNED_OUT + name] = _sum(board.found[name], much)
        return wanted

    return KeptMore(*fill_own_row(folder, settings, board, cells))


def _sum(there: float, more: float) -> str:
    """A cell with so much more in it."""
    return number(round(there + more, DECIMALS))

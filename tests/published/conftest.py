"""Published tables from shared/, as arrays by column name."""

import csv
from pathlib import Path

import numpy as np
import pytest

SHARED = Path(__file__).resolve().parents[2] / "shared"


@pytest.fixture
def published():
    """`published("mpv_delivery")["cases"]`: a column of shared/mpv_delivery.csv, as numbers where it holds them."""

    def read(name):
        with (SHARED / f"{name}.csv").open(newline="", encoding="utf-8") as file:
            head, *rows = csv.reader(file)
        return {
            column: as_numbers(cells) for column, cells in zip(head, zip(*rows, strict=True), strict=True)
        }

    return read


def as_numbers(cells):
    try:
        return np.array([float(cell) for cell in cells])
    except ValueError:
        return np.array(cells)

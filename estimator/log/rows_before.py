"""Rows that a file of the log had when it was read before, and has no longer: said, for nothing else would tell."""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from pathlib import Path

from estimator.log.cache import CACHE, change, kept
from estimator.log.columns import Names
from estimator.log.tables import RawSheet, shown
from estimator.words.phrases import say_count
from estimator.words.problems import Problem

ROWS = "rows.json"  # in the cache: of each sheet its rows as they were when there were most of them
NAMED = 5  # rows that are named one by one
DAYS = ("date", "from")  # columns with the day of a row, by our names


def row_names(sheet: RawSheet, names: Names) -> list[str]:
    """Of each row of a sheet what it goes by: its board, and its day where the sheet has one."""
    if sheet.head < 0:
        return []
    found = [names.find(cell) for cell in sheet.rows[sheet.head][1]]
    of = next((at for name in ("board", "boards", "called") for at, n in enumerate(found) if n == name), -1)
    day = next((at for at, name in enumerate(found) if name in DAYS), -1)
    return [
        " ".join(text for at in (of, day) if 0 <= at < len(cells) and (text := shown(cells[at])))
        for _, cells in sheet.rows[sheet.head + 1 :]
    ]


def fewer_rows(folder: Path, sheets: Sequence[RawSheet], names: Mapping[str, Names]) -> tuple[Problem, ...]:
    """A note for each sheet that has fewer rows than when it was read before; what it has is kept for the next time.

    A sheet that has fewer is held against what it had until it has as many again.
    """
    now = {str(sheet.place): row_names(sheet, names[sheet.sheet]) for sheet in sheets}
    before: dict[str, list[str]] = {}

    def kept_rows(text: str) -> str:
        before.update(_held(text))
        most = {at: rows if len(rows) >= len(before.get(at, ())) else before[at] for at, rows in now.items()}
        return json.dumps({**before, **most}, ensure_ascii=False)

    change(folder / CACHE / ROWS, kept_rows)
    return tuple(_notes(sheets, now, before))


def rows_as_read(folder: Path) -> Mapping[str, Sequence[str]]:
    """Of each sheet of a folder's own files, by its place, the rows that it had when it was last read."""
    return _held(kept(folder / CACHE / ROWS))


def _held(text: str) -> dict[str, list[str]]:
    """What was kept; nothing where that is something else."""
    try:
        held = json.loads(text or "{}")
        return {str(at): [str(row) for row in rows] for at, rows in held.items()}
    except (ValueError, TypeError, AttributeError):
        return {}


def _notes(
    sheets: Iterable[RawSheet], now: Mapping[str, list[str]], before: Mapping[str, list[str]]
) -> Iterator[Problem]:
    for sheet in sheets:
        was, is_ = before.get(str(sheet.place), []), now[str(sheet.place)]
        if len(is_) < len(was):
            cure = "If they went by mistake, write them again. Nothing else was changed."
            yield Problem(sheet.place, "", fewer_words(was, is_), cure)


def fewer_words(was: Sequence[str], now: Sequence[str]) -> str:
    """How many rows fewer there are, and which are no longer there.

    >>> fewer_words(["A 2026-05-04", "B 2026-05-05", "B 2026-05-05"], ["A 2026-05-04"])
    '2 rows fewer than when it was read before: no longer there are B 2026-05-05 (2)'
    """
    gone = Counter(was) - Counter(now)
    named = [
        f"{shown(name) or 'a row without a name'}{f' ({n})' if n > 1 else ''}" for name, n in gone.items()
    ]
    more = f" and {len(named) - NAMED} more" if len(named) > NAMED else ""
    fewer = say_count(len(was) - len(now), "row")
    verb = "is" if gone.total() == 1 else "are"
    return (
        f"{fewer} fewer than when it was read before: no longer there {verb} {', '.join(named[:NAMED])}{more}"
    )

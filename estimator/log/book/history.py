"""What was done to a book, and how the last of it is taken back."""

from __future__ import annotations

import datetime as dt
import json
import sqlite3
from collections.abc import Mapping
from dataclasses import dataclass, replace

from estimator.log.book.act import begin_act, change_settings, speaks_of
from estimator.log.book.opening import new_revision
from estimator.log.book.schema import TAKEN_BACK
from estimator.words.errors import UsageError
from estimator.words.json_form import JsonForm

STRUCK_OUT = ("told", "struck_out")  # which stood among cells of columns that are not known
FIRST = "Take that back first, or correct the row by hand."


@dataclass(frozen=True, slots=True)
class ActRecord(JsonForm):
    """One act as the book keeps it.

    at: ISO 8601; origin: from where it came, one of ORIGINS; sentence: what was done
    undone: whether a later act took it back; undo_of: the act that this one took back, None where it is no undo
    """

    id: int
    at: str
    origin: str
    sentence: str
    undone: bool = False
    undo_of: int | None = None


@dataclass(frozen=True, slots=True)
class RowInHistory(JsonForm):
    """A row of the book before and after an act, its filled cells by column.

    before: None where the act added it; whose: whether its owner was changed, of which no more is kept
    """

    sheet: str
    row: int
    before: Mapping[str, str] | None
    after: Mapping[str, str]
    whose: bool = False


@dataclass(frozen=True, slots=True)
class WouldUndo(JsonForm):
    """What taking an act back would do.

    rows: that it would put back; settings: whether the settings go back too
    refused: why it cannot be taken back, empty where it can
    """

    act: ActRecord
    rows: tuple[RowInHistory, ...]
    settings: bool
    refused: str = ""


Key = tuple[str, str, int, str]  # table, sheet, row, and which piece of it

ACTS = (
    "SELECT id, at, origin, sentence, EXISTS (SELECT 1 FROM acts AS later WHERE later.undo_of = acts.id), undo_of "
    "FROM acts "
)

# of an act: it was taken back, or it took another back
CAME_TO_NOTHING = "a.id = {0} AND a.undo_of IS NOT NULL OR a.undo_of = {0}"


def acts_of(connection: sqlite3.Connection, most: int, before: int | None = None) -> tuple[ActRecord, ...]:
    """The acts of a book, the newest first, so many of them; before: only those with a lower number."""
    below = 2**62 if before is None else before
    rows = connection.execute(f"{ACTS} WHERE id < ? ORDER BY id DESC LIMIT ?", (below, most))
    return tuple(_record(row) for row in rows)


def _record(row: tuple[int, str, str, str, int, int | None]) -> ActRecord:
    """An act of a row of ACTS."""
    return ActRecord(*row[:4], bool(row[4]), row[5])


def take_back(
    connection: sqlite3.Connection, number: int | None, at: dt.datetime, origin: str, toml: str
) -> ActRecord:
    """Takes an act back, by an act of its own: rows that it added are struck out, others get their cells again.

    number: which; None: the newest that is neither an undo nor undone; toml: the settings as they stand

    Raises UsageError where there is no such act, and where it cannot be taken back.
    """
    act = _wanted(connection, number)
    changed, settings = _possible(connection, act, toml)
    undo = begin_act(connection, at, origin, f"taken back: {act.sentence}", act.id)
    for key, (before, after) in changed.items():
        _put_back(connection, key, before, after)
    if settings:
        change_settings(connection, undo, settings[1], settings[0])
    connection.execute("UPDATE now SET revision = ?", (new_revision(),))
    return act


def would_take_back(connection: sqlite3.Connection, number: int | None, toml: str) -> WouldUndo:
    """What `take_back` would do, and whether it can; nothing is written.

    Raises UsageError where there is no such act.
    """
    act = _wanted(connection, number, any_of_them=True)
    rows, settings, refused = _rows_of(connection, act.id), _settings_of(connection, act.id), ""
    try:
        _possible(connection, _wanted(connection, act.id), toml)
    except UsageError as error:
        refused = str(error)
    return WouldUndo(act, rows, settings is not None, refused)


def _rows_of(connection: sqlite3.Connection, act: int) -> tuple[RowInHistory, ...]:
    """The rows that an act wrote, each once, with all that lies in other tables of it."""
    found: dict[tuple[str, int], RowInHistory] = {}
    for (what, sheet, row, part), (before, after) in _changes(connection, act).items():
        there = found.get((sheet, row), RowInHistory(sheet, row, {}, {}))
        if what == "owners":
            found[sheet, row] = replace(there, whose=True)
            continue
        was = before if isinstance(before, Mapping) else {part: before} if part else None
        now = after if isinstance(after, Mapping) else {part: after}
        new = there.before is None or (what == sheet and was is None)
        found[sheet, row] = replace(
            there,
            before=None if new else {**(there.before or {}), **_filled(was or {})},
            after={**there.after, **_filled(now)},
        )
    return tuple(found.values())


def _filled(cells: Mapping[str, object]) -> dict[str, str]:
    """The cells of a row in which something stands."""
    return {name: str(cell) for name, cell in cells.items() if cell}


def _settings_of(connection: sqlite3.Connection, act: int) -> tuple[str, str] | None:
    """The settings before and after an act; None where it left them."""
    found: tuple[str, str] | None = connection.execute(
        "SELECT before, after FROM settings_changes WHERE act = ?", (act,)
    ).fetchone()
    return found


def _possible(
    connection: sqlite3.Connection, act: ActRecord, toml: str
) -> tuple[dict[Key, tuple[object, object]], tuple[str, str] | None]:
    """What an act changed, and its settings; raises UsageError where it cannot be taken back."""
    changed = _changes(connection, act.id)
    own = {(sheet, row) for _, sheet, row, _ in changed}
    for key, (before, after) in changed.items():
        what, sheet, row, _ = key
        if what == "owners" and before is not None:
            raise UsageError(
                f"“{act.sentence}” cannot be taken back: whose a board is was changed, and of that only the last "
                "is kept.",
                "Write it anew.",
            )
        if _later(connection, key, act.id):
            raise _since(connection, act, sheet, row)
        if what == "boards" and before is None:
            _alone(connection, act, own, row)
        if what == "boards" and isinstance(before, Mapping) and isinstance(after, Mapping):
            _free_number(connection, act, before, after)
    settings = _settings_of(connection, act.id)
    if settings and settings[1] != toml:
        raise UsageError(
            f"“{act.sentence}” cannot be taken back: the settings were changed since.", "Change them by hand."
        )
    return changed, settings


def _wanted(connection: sqlite3.Connection, number: int | None, *, any_of_them: bool = False) -> ActRecord:
    """The act that is to be taken back; any_of_them: also one that cannot be."""
    if number is None:
        row = connection.execute(
            f"{ACTS} WHERE undo_of IS NULL AND id NOT IN (SELECT undo_of FROM acts WHERE undo_of IS NOT NULL) "
            "ORDER BY id DESC LIMIT 1"
        ).fetchone()
        if row is None:
            raise UsageError("There is nothing to take back.")
        return _record(row)
    row = connection.execute(f"{ACTS} WHERE id = ?", (number,)).fetchone()
    if row is None:
        raise UsageError(f"There is no act {number}.", "Look at the list of them.")
    act = _record(row)
    if any_of_them:
        return act
    if act.undone:
        raise UsageError(f"“{act.sentence}” was taken back already.")
    if act.undo_of is not None:
        raise UsageError(f"“{act.sentence}” took something back, and stays.", "Do the thing itself again.")
    return act


def _changes(connection: sqlite3.Connection, act: int) -> dict[Key, tuple[object, object]]:
    """What an act changed: what stood there before, None where nothing did, and after it."""
    found: dict[Key, tuple[object, object]] = {}
    for what, sheet, row, part, before, after in connection.execute(
        "SELECT what, sheet, row, part, before, after FROM changes WHERE act = ? ORDER BY id", (act,)
    ):
        key = (what, sheet, row, part)
        first = found[key][0] if key in found else None if before is None else json.loads(before)
        found[key] = (first, json.loads(after))
    return found


def _later(connection: sqlite3.Connection, key: Key, act: int) -> bool:
    """Whether a row of an act was written by a later one that stands."""
    _, sheet, row, _ = key
    [(more,)] = connection.execute(
        "SELECT EXISTS (SELECT 1 FROM changes WHERE sheet = ?1 AND row = ?2 AND act > ?3 AND NOT EXISTS "
        f"(SELECT 1 FROM acts AS a WHERE {CAME_TO_NOTHING.format('changes.act')}))",
        (sheet, row, act),
    )
    return bool(more)


def _since(connection: sqlite3.Connection, act: ActRecord, sheet: str, row: int) -> UsageError:
    """The error of an act whose row was changed since, with what changed it."""
    later = connection.execute(
        "SELECT sentence FROM acts JOIN changes ON changes.act = acts.id "
        "WHERE sheet = ? AND row = ? AND acts.id > ? AND NOT EXISTS "
        f"(SELECT 1 FROM acts AS a WHERE {CAME_TO_NOTHING.format('changes.act')}) ORDER BY acts.id DESC LIMIT 1",
        (sheet, row, act.id),
    ).fetchone()
    by = f", by “{later[0]}”" if later else ""
    return UsageError(
        f"“{act.sentence}” cannot be taken back: its row of {sheet} was changed since{by}.", FIRST
    )


def _alone(
    connection: sqlite3.Connection,
    act: ActRecord,
    own: set[tuple[str, int]],
    row: int,
) -> None:
    """Raises UsageError where rows other than an act's own speak of a board that it added."""
    [(board,)] = connection.execute("SELECT board FROM boards WHERE id = ?", (row,))
    for sheet, number in speaks_of(connection, board):
        if (sheet, number) not in own:
            raise UsageError(
                f"“{act.sentence}” cannot be taken back: rows of {sheet} speak of board {board}.",
                "Take those back first, or strike them out.",
            )


def _free_number(
    connection: sqlite3.Connection,
    act: ActRecord,
    before: Mapping[str, object],
    after: Mapping[str, object],
) -> None:
    """Raises UsageError where a board that was struck out would come back beside another of its number."""
    if before["struck"] is None and after["struck"] is not None:
        query = "SELECT 1 FROM boards WHERE struck IS NULL AND board = ? COLLATE NOCASE"
        if connection.execute(query, (before["board"],)).fetchone():
            raise UsageError(
                f"“{act.sentence}” cannot be taken back: there is another board {before['board']} now."
            )


def _of_version_2(cells: object) -> object:
    """The cells of a telling as they are kept now, where they were written down by version 1.

    >>> _of_version_2({"price": "900.00", "struck": "wrong board"})
    {'price': '900.00', 'struck': None, 'struck_out': 'wrong board'}
    >>> _of_version_2({"price": "900.00", "struck": None})
    {'price': '900.00', 'struck': None}
    """
    if not isinstance(cells, Mapping) or "struck_out" in cells or cells["struck"] in {None, TAKEN_BACK}:
        return cells
    return {**cells, "struck": None, "struck_out": cells["struck"]}


def _put_back(connection: sqlite3.Connection, key: Key, before: object, after: object) -> None:
    """Puts back what stood there."""
    what, sheet, row, part = key
    if what == "others" and (sheet, part) == STRUCK_OUT:  # where version 1 had it
        what, before, after = sheet, {part: before}, {part: after}
    elif what == "told":
        before, after = _of_version_2(before), _of_version_2(after)
    if what == "amounts":
        connection.execute(
            "UPDATE amounts SET written = ? WHERE board = ? AND side || '_' || what = ?",
            (before or "", row, part),
        )
    elif what == "others":
        connection.execute(
            "UPDATE others SET written = ? WHERE row = ? AND name = ? AND sheet = ?",
            (before or "", row, part, sheet),
        )
    elif what == "owners":  # written for the first time, else it is refused
        connection.execute("UPDATE owners SET owner = '', reach = '' WHERE board = ?", (row,))
    elif before is None:
        connection.execute(f"UPDATE {sheet} SET struck = ? WHERE id = ?", (TAKEN_BACK, row))
    elif isinstance(before, Mapping) and isinstance(after, Mapping):
        names_then = dict.fromkeys((*before, *after))
        other = {name: before.get(name) for name in names_then if before.get(name) != after.get(name)}
        if other:
            names = ", ".join(f'"{name}" = ?' for name in other)
            connection.execute(
                f"UPDATE {sheet} SET {names} WHERE id = ?",
                (*other.values(), row),
            )

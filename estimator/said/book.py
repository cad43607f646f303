"""The book itself: where it lies, what an undo or a copy put back would change, and where an owner may still stand."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import suppress
from pathlib import Path
from types import MappingProxyType

from estimator.log.book.backups import BookCopy, WouldPutBack
from estimator.log.book.history import ActRecord, RowInHistory, WouldUndo
from estimator.log.book.owners import Forgotten
from estimator.log.steps.hours import exact_hours
from estimator.log.steps.read_back import column_in_words
from estimator.log.steps.standing import waits_for
from estimator.said.exchange import NAMES
from estimator.words.dates import say_day
from estimator.words.labels import LABELS
from estimator.words.phrases import capital, say_count, unit_sign
from estimator.words.settings.schema import Settings

MOST_ROWS = 12  # of an act that are said one by one
FEW_NEW = 3  # new rows that are still said one by one
MOST_NAMES = 5  # of boards that go
MOST_ACTS = 20  # that would be gone, said one by one
OF_COPIES = {
    "": "as it was before the first entry of that day",
    "import": "before a spreadsheet was taken in",
    "schema": "before this program brought the book up to date",
    "putback": "before an older copy was put back",
}
UNSAID = ("board", "struck")  # said otherwise
PLAIN = {
    "board",
    "called",
    "owner",
    "kind",
    "length",
    "date",
    "stage",
    "hours",
    "for",
    "note",
    "what",
}  # say what they are


def say_size(size: int) -> str:
    """How much room something takes.

    >>> say_size(0), say_size(812), say_size(45_300), say_size(2_140_000)
    ('nothing', '1 kB', '45 kB', '2.1 MB')
    """
    if not size:
        return "nothing"
    return f"{size / 1e6:.1f} MB" if size >= 1e6 else f"{max(1, round(size / 1e3))} kB"


def where_it_is(path: Path, size: int, acts: int, first: str, copies: int, photos: int) -> list[str]:
    """Where a book lies and how large it is; copies, photos: bytes that they take; first: when its first act was."""
    since = f" since {say_day(dt.datetime.fromisoformat(first).date())}" if first else ""
    entries = say_count(acts, "entry") if acts != 1 else "1 entry"
    return [
        f"It is the file {path}: {say_size(size)}, {entries}{since}.",
        f"Its copies take {say_size(copies)}, photos {say_size(photos)}.",
    ]


def copy_words(copy: BookCopy) -> str:
    """Of which day a copy is, and why it was made.

    >>> copy_words(BookCopy(Path("x"), dt.date(2026, 6, 12), "import", 900))
    'Fri 12 June 2026, before a spreadsheet was taken in'
    """
    return f"{say_day(copy.day)}, {OF_COPIES.get(copy.why, copy.why)}"


def act_words(act: ActRecord) -> str:
    """An act with its day."""
    return f"{say_day(dt.datetime.fromisoformat(act.at).date())}: {act.sentence}"


def undo_lines(
    would: WouldUndo, settings: Settings, names: Mapping[str, str] = MappingProxyType({})
) -> list[str]:
    """What taking an act back would change, row by row; names: what boards are called, by their ids."""
    new = [row for row in would.rows if row.before is None]
    many = len(new) > FEW_NEW
    rows = [row for row in would.rows if row.before is not None] if many else would.rows
    lines = list(_many_go(new)) if many else []
    lines += [line for row in rows[:MOST_ROWS] for line in _row_lines(row, settings, names)]
    if len(rows) > MOST_ROWS:
        lines.append(f"So do {say_count(len(rows) - MOST_ROWS, 'row')} more.")
    if would.settings:
        lines.append("The settings are again as they were before it.")
    return lines


def _many_go(rows: Sequence[RowInHistory]) -> Iterator[str]:
    """How many rows of each sheet go, as after an import; boards by name as far as those can be taken in."""
    for sheet in dict.fromkeys(row.sheet for row in rows):
        here = [row.after for row in rows if row.sheet == sheet]
        goes = "goes" if len(here) == 1 else "go"
        called = (
            [cells.get("called") or cells.get("board", "") for cells in here] if sheet == "boards" else []
        )
        if len(called) > MOST_NAMES:
            called[MOST_NAMES:] = [f"and {len(called) - MOST_NAMES} more"]
        yield f"{say_count(len(here), NAMES.get(sheet, sheet))} {goes}{': ' if called else ''}{', '.join(called)}."


def _row_lines(row: RowInHistory, settings: Settings, names: Mapping[str, str]) -> Iterator[str]:
    """What becomes of one row."""
    name = NAMES.get(row.sheet, row.sheet)
    if row.before is None:
        yield f"This {name} goes: {', '.join(_in_words(row.after, settings, names)) or 'an empty one'}."
        return
    of = row.after.get("board") or row.before.get("board", "")
    of = names.get(of, of)
    head = f"{capital(name)} {of}".strip() if row.sheet == "boards" else f"{capital(name)}, {of}".strip(", ")
    if row.after.get("struck") and not row.before.get("struck"):
        yield f"{head}: it is read again."
    for column in dict.fromkeys((*row.before, *row.after)):
        then, now = row.before.get(column, ""), row.after.get(column, "")
        if then != now and column not in UNSAID:
            words = capital(column_in_words(column, settings))
            then, now = (cell and cell_in_words(column, cell, settings, names) for cell in (then, now))
            again = f"“{then}”" if then else "empty"
            yield f"{head}: {words} is {again} again{f', not “{now}”' if now else ''}."
    if row.whose:
        yield f"{head}: its owner."


def _in_words(cells: Mapping[str, str], settings: Settings, names: Mapping[str, str]) -> Iterator[str]:
    """The cells of a row, each under its column where it does not speak for itself."""
    for column, cell in cells.items():
        if column == "struck" or (column == "board" and cells.get("called")):
            continue
        if column == "done":
            yield column
            continue
        words = cell_in_words(column, cell, settings, names)
        yield words if column in PLAIN else f"{column_in_words(column, settings)} {words}"


def cell_in_words(column: str, cell: str, settings: Settings, names: Mapping[str, str]) -> str:
    """A cell of the book as it is said: a board by its name, a day, a stage, hours.

    >>> from estimator.words.settings.schema import Stage
    >>> at = Settings(stages={"strip": Stage("strip", label="Strip it")})
    >>> cells = {"board": "26-014", "date": "2026-06-04", "stage": "strip", "hours": "4.5"}
    >>> [cell_in_words(column, cell, at, {"26-014": "red log"}) for column, cell in cells.items()]
    ['red log', 'Thu 4 June 2026', 'Strip it', '4½ hours']
    """
    if column == "board":
        return names.get(cell, cell)
    if column in {"stage", "kind"}:
        return settings.label(cell) if cell in {*settings.stages, *settings.kinds} else cell
    if column == "for":
        return waits_for(cell)
    if column == "state":
        return LABELS.get(f"state {cell}", cell)
    with suppress(ValueError):
        return exact_hours(float(cell)) if column == "hours" else say_day(dt.date.fromisoformat(cell))
    amount, _, unit = cell.rpartition(" ")
    return f"{amount} {unit_sign(unit)}".strip()


def put_back_lines(would: WouldPutBack) -> list[str]:
    """What putting a copy back would take away, newest first, and what it would bring back."""
    gone, again = would.gone, would.again
    lines = [f"The book is then as on {copy_words(would.copy)}. Your settings and photos stay."]
    if not would.known:
        lines.append("Which entries would be gone cannot be known: the book is damaged.")
    elif gone:
        lines.append(f"{capital(say_entries(gone))} would be gone:")
        lines += [f"– {act_words(act)}" for act in gone[:MOST_ACTS]]
        if len(gone) > MOST_ACTS:
            lines.append(f"– and {say_count(len(gone) - MOST_ACTS, 'earlier one')}.")
    else:
        lines.append("No entry would be gone.")
    if again:
        lines.append(f"{capital(say_entries(again))} would be there again.")
    lines.append("What is there now is kept as a copy first, so that it can be put back just so.")
    return lines


def say_entries(acts: Sequence[ActRecord]) -> str:
    """How many entries."""
    return say_count(len(acts), "entry")


def forget_lines(boards: Iterable[str]) -> list[str]:
    """What forgetting an owner does; boards: what his are called."""
    return [
        f"Name and how to reach them are blanked on: {', '.join(boards)}.",
        "The boards, their hours and their money stay.",
        "They are blanked in the copies at hand too, and nobody can take that back.",
        "Names that you wrote into notes or short names are not found: look for them yourself.",
    ]


def forgotten_lines(done: Sequence[Forgotten]) -> list[str]:
    """Where an owner was forgotten, and where he may still stand."""
    books = {path for one in done for path in one.books}
    left = sorted({path for one in done for path in one.left})
    lines = [f"Forgotten, in the book and in {say_count(len(books) - 1, 'copy')} of it."]
    if left:
        lines.append("They may still stand in these, which stay as they are. Look into them yourself:")
        lines += [f"– {path}" for path in left]
    return lines

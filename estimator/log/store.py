"""A workshop's log, read from its folder: which files hold it, all good rows, every problem, and notes."""

from __future__ import annotations

import datetime as dt
import hashlib
from collections import defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

from estimator.log.checks import notes_on, problems_across
from estimator.log.columns import BOARDS, FILES, HOURS, names_of_sheets, plain
from estimator.log.csv_tables import read_csv
from estimator.log.parse.boards import Draft, draft_of, some, with_hours, with_ids
from estimator.log.parse.cells import Row, readers
from estimator.log.parse.entries import Ids, Lost, entry_of, stage_names, told_of, wait_of, weighing_of
from estimator.log.tables import MUST, SheetTable, unopened
from estimator.log.workbooks import read_workbook
from estimator.words.phrases import say_count
from estimator.words.problems import Problem, in_order
from estimator.words.records import SHOP, Entry, Log
from estimator.words.settings.schema import Settings
from estimator.words.settings.values import SETTINGS_FILE

WORKBOOKS = ("log.xlsx", "log.ods")


@dataclass(frozen=True, slots=True)
class Sources:
    """The files that are read, and those that lie beside them unread.

    workbook: the spreadsheet, or None where the log is kept in csv
    tables: csv files by sheet; beside a spreadsheet only those that a sheet may be added to
    """

    workbook: Path | None
    tables: Mapping[str, Path]
    unread: tuple[str, ...]

    @property
    def names(self) -> tuple[str, ...]:
        """The names of the files that are read, in the order in which they are."""
        first = (self.workbook,) if self.workbook else ()
        return tuple(path.name for path in (*first, *self.tables.values()))


def log_files(folder: Path) -> Sources:
    """The files of a folder's log: log.xlsx, else log.ods, else csv; names in any case.

    told.csv, waits.csv and weights.csv are read beside a spreadsheet too. A folder that is not there or
    cannot be looked into has none.
    """
    try:
        files = sorted(path for path in folder.iterdir() if path.is_file())
        paths = {path.name.casefold(): path for path in reversed(files)}
    except OSError:
        paths = {}
    books = [paths[name] for name in WORKBOOKS if name in paths]
    tables = {file.removesuffix(".csv"): paths[file] for file in FILES if file in paths}
    beside = []
    if books:
        beside = [tables.pop(file.removesuffix(".csv")).name for file in (BOARDS, HOURS) if file in paths]
    unread = (*(book.name for book in books[1:]), *beside)
    return Sources(books[0] if books else None, tables, unread)


def log_digest(folder: Path) -> str:
    """SHA-256, in hexadecimal, of the bytes of the settings file and of the log's files.

    Nothing is parsed. A file that cannot be read counts by its name alone.
    """
    digest = hashlib.sha256()
    for name in (SETTINGS_FILE, *log_files(folder).names):
        try:
            data = (folder / name).read_bytes()
        except OSError:
            data = b""
        for piece in (name.encode(), data):
            digest.update(len(piece).to_bytes(8, "big"))
            digest.update(piece)
    return digest.hexdigest()


Problems = list[Problem]


def read_log(
    folder: Path, settings: Settings, *, today: dt.date | None = None
) -> tuple[Log, tuple[Problem, ...], tuple[Problem, ...]]:
    """The log in a workshop folder, the problems and the notes.

    Read are log.xlsx, else log.ods, else boards.csv and hours.csv; told, waits and weights are sheets or csv
    files. All good rows are in the log and every bad one among the problems: a row without a board, day,
    stage or hours that can be made out is left out; any other cell that cannot be read is not known. Notes
    say what is merely missing. A folder without a log has an empty one, which a note says.

    today: dates of what has happened that lie after it are problems; None: not looked at

    >>> log, problems, notes = read_log(Path("no such folder"), Settings())
    >>> log.boards, problems, notes[0].wrong
    ((), (), 'no boards are written down yet')
    """
    sources = log_files(folder)
    tables, problems, notes = _tables(sources, settings)
    notes += _which(sources)
    style, a_day = settings.workshop.dates, settings.workshop.hours_in_a_day
    rows = {
        sheet: [
            Row(table, number, table.named(cells), problems, style, today, a_day)
            for table in tables[sheet]
            for number, cells in table.rows
        ]
        for sheet in MUST
    }
    if not rows["boards"]:
        notes.append(Problem(BOARDS, "", "no boards are written down yet", "Write one row for each board."))
        problems += _without_boards(tables, rows)
    read = readers(settings)
    drafts, numbered = with_ids([draft_of(row, settings, read) for row in rows["boards"]])
    ids = Ids.of(draft.board for draft in drafts)
    stages = stage_names(settings)
    booked = [entry_of(row, ids, stages) for row in rows["hours"]]
    entries = tuple(entry for entry in booked if isinstance(entry, Entry))
    boards, totals = with_hours(drafts, entries)
    log = Log(
        boards=boards,
        entries=entries,
        told=tuple(told for row in rows["told"] if (told := told_of(row, ids))),
        waits=tuple(wait for row in rows["waits"] if (wait := wait_of(row, ids))),
        weighings=tuple(weighing for row in rows["weights"] if (weighing := weighing_of(row, ids))),
        source=", ".join(sources.names),
        partial=frozenset((lost.board, lost.stage) for lost in booked if isinstance(lost, Lost)),
    )
    settings = with_redo(settings, log)
    problems += problems_across(log, settings)
    notes += [*numbered, *totals, *_usual_widths(drafts), *notes_on(log, settings)]
    return log, in_order(problems), in_order(notes)


def with_redo(settings: Settings, log: Log) -> Settings:
    """The settings with a stage for what was done again, where the log has such hours."""
    return settings.with_redo() if any(entry.again for entry in log.entries) else settings


def _tables(
    sources: Sources, settings: Settings
) -> tuple[defaultdict[str, list[SheetTable]], Problems, Problems]:
    """All tables of a log by sheet, the spreadsheet's before those of csv files."""
    names = names_of_sheets(settings)
    tables: defaultdict[str, list[SheetTable]] = defaultdict(list)
    problems: Problems = []
    notes: Problems = []
    if sources.workbook:
        sheets, wrong, more = read_workbook(sources.workbook, names)
        problems += wrong
        notes += more
        for sheet, table in sheets.items():
            tables[sheet].append(table)
    for sheet, path in sources.tables.items():
        try:
            data = path.read_bytes()
        except OSError:
            problems.append(unopened(path.name))
            continue
        table, wrong, more = read_csv(data, names[sheet], path.name)
        tables[sheet].append(table)
        problems += wrong
        notes += more
    return tables, problems, notes


def _which(sources: Sources) -> Iterator[Problem]:
    """A note of the files that were read, and of other logs that lie there."""
    if sources.names:
        beside = f"; unread beside it: {', '.join(sources.unread)}" if sources.unread else ""
        cure = "Keep one log, and move the other away." if sources.unread else ""
        yield Problem(sources.names[0], "", f"the log is {', '.join(sources.names)}{beside}", cure)


def _without_boards(
    tables: defaultdict[str, list[SheetTable]], rows: dict[str, list[Row]]
) -> Iterator[Problem]:
    """A problem for each sheet with rows on boards where no boards are written; only the shop's rows stay."""
    for sheet, written in rows.items():
        shop = [row for row in written if plain(row.text("board")) == SHOP]
        if len(written) > len(shop):
            wrong = f"{say_count(len(written) - len(shop), 'row')} on boards, and there is no sheet of boards"
            yield Problem(tables[sheet][0].place, "", wrong, "Write one row for each board in boards.csv.")
        rows[sheet] = shop


def _usual_widths(drafts: list[Draft]) -> Iterator[Problem]:
    """A note of how many areas rest on the width that such boards usually have."""
    boards = [draft.board.board for draft in drafts if draft.usual_width]
    if boards:
        which = f"{say_count(len(boards), 'board')} ({some(boards)})"
        wrong = f"the usual width for the length stands in on {which}"
        yield Problem(drafts[0].row.table.place, "", wrong, "Measure the widest place and write it in width.")

"""An import: all or nothing, in one act; the folder's own log into a new book, or files into the book."""

from __future__ import annotations

import datetime as dt
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import count
from pathlib import Path
from types import MappingProxyType

from estimator.log.book.act import BookAct
from estimator.log.book.backups import BACKUPS
from estimator.log.book.schema import SHEETS
from estimator.log.book.store import BookStore
from estimator.log.columns import names_of_sheets
from estimator.log.exchange.files_in import Incoming, as_ours, incoming, tables_of
from estimator.log.exchange.marks import row_marks
from estimator.log.exchange.merge import GONE, Merge
from estimator.log.exchange.plan import MergePlan, RowChange
from estimator.log.exchange.questions import STRIKE, ImportQuestion, KnownColumn, gone_question
from estimator.log.exchange.rows_gone import rows_gone
from estimator.log.exchange.strangers import ColumnWords, ForeignTable, table_in
from estimator.log.exchange.translation import sheets_of
from estimator.log.exchange.understanding import shape_name, shape_of, understood
from estimator.log.files import write_whole
from estimator.log.kept_in import store_of
from estimator.log.store import IMPORT, Act, FileStore
from estimator.log.tables import RawLog
from estimator.words.actions import Action
from estimator.words.errors import SettingsError, UsageError
from estimator.words.json_form import JsonForm
from estimator.words.phrases import say_count
from estimator.words.problems import THE_BOOK, Place, Problem, in_order
from estimator.words.settings.edit import with_import
from estimator.words.settings.reader import parse_settings
from estimator.words.settings.schema import ImportShape, Settings

NO_ANSWERS: Mapping[str, str] = MappingProxyType({})


@dataclass(frozen=True, slots=True)
class ImportChoices:
    """How an import goes about what is not clear.

    only_try: nothing is written; newer: where a row differs, the file wins; good_rows: bad rows are left out
    """

    only_try: bool = False
    newer: bool = False
    good_rows: bool = False


@dataclass(frozen=True, slots=True)
class Imported(JsonForm):
    """What an import did, or would do.

    written: whether it did; begun: whether the book is a new one
    added, changed, struck, skipped: rows by sheet; left_out: how many were not taken
    gone: rows by sheet that were in a file of ours when it was written, are no longer, and stay in the book
    problems: what is wrong; where there are any, nothing is written unless the good rows alone were asked for
    questions: what is not clear; those that need an answer are among the problems too
    columns: what each column of a stranger's sheet is taken for, by the sheet's title
    boards: what new boards are called; changes: what becomes of rows that are there
    notes: what else is to be known; kept: the files as they came, in the folder of copies
    bare: files of which it is known that no row stands in them, unless that is so of all
    """

    files: tuple[str, ...]
    written: bool
    begun: bool
    added: Mapping[str, int]
    changed: Mapping[str, int]
    struck: Mapping[str, int]
    skipped: Mapping[str, int]
    left_out: int
    problems: tuple[Problem, ...]
    notes: tuple[str, ...] = ()
    kept: tuple[Path, ...] = ()
    gone: Mapping[str, int] = field(default_factory=dict)
    questions: tuple[ImportQuestion, ...] = ()
    columns: Mapping[str, tuple[KnownColumn, ...]] = field(default_factory=dict)
    boards: tuple[str, ...] = ()
    changes: tuple[RowChange, ...] = ()
    bare: tuple[str, ...] = ()

    @property
    def filled(self) -> tuple[str, ...]:
        """The files in which something stands, by which the import is named."""
        return tuple(name for name in self.files if name not in self.bare)


@dataclass(slots=True)
class Arrived:
    """What stands in files: sheets of which all columns are known, and what is wrong, to be known, or to be asked."""

    sheets: list[Incoming] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    questions: list[ImportQuestion] = field(default_factory=list)
    columns: dict[str, tuple[KnownColumn, ...]] = field(default_factory=dict)
    shapes: list[ImportShape] = field(default_factory=list)


def import_folder(folder: Path, at: dt.datetime, how: ImportChoices) -> Imported:
    """The folder's own csv or spreadsheet into a new book; the files stay as they are.

    Raises UsageError where there is a book already, or no log; SettingsError where the settings cannot be used.
    """
    if (folder / THE_BOOK).exists():
        raise UsageError(f"{folder / THE_BOOK} is there already.", "Name the files that are to go into it.")
    reading = FileStore(folder).held()
    settings = _settings(reading.settings_text())
    raw, problems = reading.read()
    if not raw.source:
        raise UsageError(f"There is no log in {folder}.", "Name the files that are to go into a book.")
    names = names_of_sheets(settings)
    arrived = Arrived([], list(problems))
    for sheet in raw.sheets:
        if sheet.head >= 0:
            arrived.sheets.append(incoming(sheet, names[sheet.sheet]))
        else:
            arrived.problems.append(
                Problem(sheet.place, "", "no row at its head names the columns", "Name them.")
            )
    return bring_in(folder, raw.source.split(", "), arrived, at, how, settings)


def import_files(
    folder: Path,
    files: Sequence[Path],
    at: dt.datetime,
    how: ImportChoices,
    answers: Mapping[str, str] = NO_ANSWERS,
) -> Imported:
    """Files into the book of a folder, which is made where the folder has no log yet; see bring_in.

    answers: to questions, by their keys; each that needs one and is left open is a problem. Those about columns are
    kept in the settings, by the same act.

    Raises UsageError where the folder's own log is not in a book yet.
    """
    text = store_of(folder).settings_text()
    settings = _settings(text)
    arrived = _arrived(files, settings, answers)
    for shape in arrived.shapes:
        text = with_import(text, shape)
    toml = text if arrived.shapes else ""
    if STRIKE not in answers.values():
        arrived.notes += rows_gone(folder, files, names_of_sheets(settings))
    return bring_in(folder, files, arrived, at, how, settings, keep=files, toml=toml, answers=answers)


def _arrived(files: Iterable[Path], settings: Settings, answers: Mapping[str, str]) -> Arrived:
    """What stands in files, as far as it is clear from itself, from answers, and from what the settings remember."""
    arrived, names, words = Arrived(), names_of_sheets(settings), ColumnWords(settings)
    for file in files:
        tables, wrong = tables_of(file, names)
        arrived.problems += wrong
        strangers = []
        for table in tables:
            if ours := as_ours(table, names):
                arrived.sheets.append(ours)
                arrived.problems += ours.problems
            else:
                strangers.append(table)
        read = [(table, table_in(table, words)) for table in strangers]
        unread = [table for table, known in read if known is None]
        for table in unread if len(unread) == len(tables) else ():
            cure = "Write above each column what stands in it, in one of the first rows."
            arrived.problems.append(Problem(table.place, "", "no row at its head names the columns", cure))
        for table in unread if len(unread) < len(tables) else ():
            arrived.notes.append(f"No row of the sheet “{table.title}” names columns, and it is left out.")
        before = len(arrived.sheets), len(arrived.problems)
        for known in filter(None, (known for _, known in read)):
            _stranger(known, words, answers, arrived)
        if len(strangers) == len(tables) > len(unread) and before == (
            len(arrived.sheets),
            len(arrived.problems),
        ):
            cure = "Write above each column what stands in it."
            unlike = Problem(Place(file.name), "", "nothing in it is like a sheet of a log", cure)
            arrived.problems.append(unlike)
    return arrived


def _stranger(table: ForeignTable, words: ColumnWords, answers: Mapping[str, str], arrived: Arrived) -> None:
    """Adds a stranger's sheet to what arrived, or the questions about it."""
    title = next(
        t for n in count(1) if (t := f"{table.title} {n}" if n > 1 else table.title) not in arrived.columns
    )
    known = understood(replace(table, title=title), words, answers)
    arrived.columns[title] = known.columns
    arrived.questions += known.questions
    arrived.notes += known.notes
    arrived.problems += [question.problem for question in known.questions if question.needed]
    if known.open:
        return
    if known.sheet:
        sheets, problems = sheets_of(known, words)
        arrived.sheets += sheets
        arrived.problems += [*table.problems, *problems]
        passed = {"sum": len(table.sums), "heading": len(table.headings)}
        said = [say_count(number, what) for what, number in passed.items() if number]
        if said:
            arrived.notes.append(f"Passed over in {title}: {' and '.join(said)}.")
    if any(key.split(":")[1:2] == [title] for key in answers):
        shape = shape_of(known, shape_name(table))
        if words.settings.imports.get(shape.name) != shape:
            arrived.shapes.append(shape)


def _settings(text: str) -> Settings:
    """The settings; raises SettingsError where they cannot be used."""
    settings, wrong = parse_settings(text)
    if wrong:
        raise SettingsError(wrong)
    return settings


def bring_in(
    folder: Path,
    names: Iterable[Path | str],
    arrived: Arrived,
    at: dt.datetime,
    how: ImportChoices,
    settings: Settings,
    *,
    keep: Sequence[Path] = (),
    toml: str = "",
    answers: Mapping[str, str] = NO_ANSWERS,
) -> Imported:
    """Sheets into the book of a folder: all in one act, or, where anything is wrong, nothing.

    names: of the files, for what is said; keep: files that are kept as they came; toml: the settings as they shall be,
    where they change too; answers: to questions about rows that are gone

    Raises UsageError where the folder's own log is not in a book yet, or it cannot be written.
    """
    book = BookStore(folder) if (folder / THE_BOOK).exists() else None
    if book is None and keep and any(len(s.rows) > s.head + 1 for s in FileStore(folder).read()[0].sheets):
        raise UsageError(
            f"The log of {folder} is not in a book yet.", "Take it into one first.", action=Action("import")
        )
    before = book.held() if book else None
    merge = Merge(
        before.read()[0] if before else RawLog(), row_marks(book.path) if book else {}, settings, at.date()
    )
    strikes = [sheet for sheet in SHEETS if how.newer and answers.get(f"gone:{sheet}") == STRIKE]
    plan = merge.of(arrived.sheets, newer=how.newer, good_rows=how.good_rows, gone=strikes)
    problems = in_order([*arrived.problems, *plan.problems])
    said = [Path(name).name for name in names]
    bare = _bare(said, arrived)
    gone = {sheet: len(numbers) for sheet, numbers in plan.gone.items() if sheet not in strikes}
    asked = [gone_question(sheet, number, said) for sheet, number in gone.items() if how.newer]
    anything = bool(
        plan.added or plan.changed or plan.told or plan.struck or toml or (book is None and not keep)
    )
    writes = anything and not how.only_try and (how.good_rows or not problems)
    done = Imported(
        tuple(said),
        written=writes,
        begun=writes and book is None,
        added=Counter(row.sheet for row in plan.added),
        changed=Counter(row.sheet for row in (*plan.changed, *plan.told)),
        struck=Counter(sheet for sheet, _ in plan.struck),
        skipped=plan.skipped,
        left_out=len(set(plan.left_out)),
        problems=problems,
        notes=tuple(arrived.notes),
        gone=gone,
        questions=tuple({question.key: question for question in (*arrived.questions, *asked)}.values()),
        columns=arrived.columns,
        boards=tuple(
            row.cells.get("called") or row.cells["board"] for row in plan.added if row.sheet == "boards"
        ),
        changes=merge.changes(),
        bare=bare,
    )
    if not writes:
        return done
    kept = _kept_files(folder, keep, at)
    rows = len(plan.added) + len(plan.changed) + len(plan.told) + len(plan.struck)
    label = f"{say_count(rows, 'row')} from {', '.join(done.filled)}"

    def write(act: Act) -> None:
        if book and before and book.revision() != before.revision():
            raise UsageError("The book was changed meanwhile.", "Ask for it again.")
        _write(plan, act)
        if toml:
            act.settings(toml)

    try:
        if book is None:
            BookStore.create(folder, label=label, at=at, fill=write, origin=IMPORT)
        else:
            book.before_import(at)
            with book.act(label, at, origin=IMPORT) as act:
                write(act)
    except BaseException:
        for path in kept:
            path.unlink(missing_ok=True)
        raise
    return replace(done, kept=kept)


def _bare(names: Iterable[str], arrived: Arrived) -> tuple[str, ...]:
    """Files that hold the names of columns and no row; none where that is so of all."""
    rows: dict[str, bool] = {}
    for sheet in arrived.sheets:
        source = sheet.raw.place.source
        rows[source] = rows.get(source, False) or len(sheet.raw.rows) > sheet.raw.head + 1
    wrong = {problem.place.source for problem in arrived.problems}
    bare = tuple(name for name in names if not rows.get(name, True) and name not in wrong)
    return bare if any(rows.values()) else ()


def _write(plan: MergePlan, act: Act) -> None:
    """Writes what is planned: boards first, which the other rows speak of."""
    assert isinstance(act, BookAct)
    for sheet, names in plan.headings.items():
        filled = {
            name
            for row in (*plan.added, *plan.changed, *plan.told)
            if row.sheet == sheet
            for name in row.cells
            if row.cells[name]
        }
        act.headings(sheet, [name for name in names if name in filled])
    order = list(SHEETS)
    for row in sorted(plan.added, key=lambda row: order.index(row.sheet)):
        act.append(row.sheet, {name: cell for name, cell in row.cells.items() if cell})
    for row in plan.changed:
        act.fill(Place(THE_BOOK, row.sheet, row.there), row.said, {})
    for row in plan.told:  # what was told is never written over
        place = Place(THE_BOOK, row.sheet, row.there)
        if row.differs.keys() == {"struck_out"}:
            act.strike(place, row.differs["struck_out"])
        else:
            act.strike(place, f"corrected in {row.place.source}")
            act.append(row.sheet, {name: cell for name, cell in row.whole.items() if cell})
    for sheet, number in sorted(plan.struck, key=lambda row: order.index(row[0]), reverse=True):
        act.strike(Place(THE_BOOK, sheet, number), GONE)


def _kept_files(folder: Path, files: Iterable[Path], at: dt.datetime) -> tuple[Path, ...]:
    """Copies of files as they came, in the folder of copies.

    Raises UsageError where they cannot be written.
    """
    kept: list[Path] = []
    place = folder / BACKUPS
    try:
        place.mkdir(exist_ok=True)
        for file in files:
            for one in sorted(file.iterdir()) if file.is_dir() else (file,):
                if one.is_file():
                    name = f"import-{at:%Y-%m-%d-%H%M%S}-{len(kept) + 1}-{one.name}"
                    write_whole(place / name, one.read_bytes())
                    kept.append(place / name)
    except OSError as error:
        for path in kept:
            path.unlink(missing_ok=True)
        cure = "See whether the disk is full, and whether you may write there."
        raise UsageError(f"{place} cannot be written, and without a copy nothing else is.", cure) from error
    return tuple(kept)

"""An import: all or nothing, in one act; the folder's own log into a new book, or files into the book."""

from __future__ import annotations

import datetime as dt
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from types import MappingProxyType

from estimator.log.book.act import BookAct
from estimator.log.book.backups import BACKUPS
from estimator.log.book.schema import SHEETS
from estimator.log.book.store import BookStore
from estimator.log.columns import names_of_sheets
from estimator.log.exchange.files_in import FoundTable, Incoming, as_ours, incoming, tables_of
from estimator.log.exchange.marks import row_marks
from estimator.log.exchange.merge import GONE, Merge, MergePlan
from estimator.log.exchange.strangers import ColumnQuestion, understood
from estimator.log.files import write_whole
from estimator.log.kept_in import store_of
from estimator.log.store import IMPORT, Act, FileStore
from estimator.log.tables import RawLog
from estimator.words.actions import Action
from estimator.words.errors import SettingsError, UsageError
from estimator.words.json_form import JsonForm
from estimator.words.phrases import say_count
from estimator.words.problems import THE_BOOK, Place, Problem, in_order
from estimator.words.settings.reader import parse_settings
from estimator.words.settings.schema import Settings

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
    problems: what is wrong; where there are any, nothing is written unless the good rows alone were asked for
    notes: what else is to be known; kept: the files as they came, in the folder of copies
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


@dataclass(slots=True)
class Arrived:
    """What stands in files: sheets of which all columns are known, and what is wrong or to be known."""

    sheets: list[Incoming] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)


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

    answers: to questions about columns, by their keys; each that is left open is a problem

    Raises UsageError where the folder's own log is not in a book yet.
    """
    settings, arrived = _settings(store_of(folder).settings_text()), Arrived()
    for table in _arrived(files, settings, arrived):
        seen = understood(table, settings, answers)
        arrived.sheets += seen.sheets
        arrived.problems += [*seen.problems, *(question.problem for question in seen.questions)]
        arrived.notes += seen.notes
    return bring_in(folder, files, arrived, at, how, settings, keep=files)


def open_questions(
    folder: Path, files: Sequence[Path], answers: Mapping[str, str] = NO_ANSWERS
) -> tuple[ColumnQuestion, ...]:
    """What has to be asked about files before they can be read; answers: what was asked already."""
    settings = _settings(store_of(folder).settings_text())
    asked = [understood(table, settings, answers) for table in _arrived(files, settings, Arrived())]
    return tuple({question.key: question for one in asked for question in one.questions}.values())


def _arrived(files: Iterable[Path], settings: Settings, arrived: Arrived) -> list[FoundTable]:
    """The tables that have not our own form; those that have are added to what arrived."""
    names, strangers = names_of_sheets(settings), []
    for file in files:
        tables, wrong = tables_of(file, names)
        arrived.problems += wrong
        for table in tables:
            if ours := as_ours(table, names):
                arrived.sheets.append(ours)
            else:
                strangers.append(table)
    return strangers


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
) -> Imported:
    """Sheets into the book of a folder: all in one act, or, where anything is wrong, nothing.

    names: of the files, for what is said; keep: files that are kept as they came; toml: the settings as they shall be,
    where they change too

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
    plan = merge.of(arrived.sheets, newer=how.newer, good_rows=how.good_rows)
    problems = in_order([*arrived.problems, *plan.problems])
    said = [Path(name).name for name in names]
    anything = bool(plan.added or plan.changed or plan.struck or toml or (book is None and not keep))
    writes = anything and not how.only_try and (how.good_rows or not problems)
    done = Imported(
        tuple(said),
        written=writes,
        begun=writes and book is None,
        added=Counter(row.sheet for row in plan.added),
        changed=Counter(row.sheet for row in plan.changed),
        struck=Counter(sheet for sheet, _ in plan.struck),
        skipped=plan.skipped,
        left_out=len(set(plan.left_out)),
        problems=problems,
        notes=tuple(arrived.notes),
    )
    if not writes:
        return done
    kept = _kept_files(folder, keep, at)
    label = f"{say_count(len(plan.added) + len(plan.changed), 'row')} from {', '.join(said)}"

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


def _write(plan: MergePlan, act: Act) -> None:
    """Writes what is planned: boards first, which the other rows speak of."""
    assert isinstance(act, BookAct)
    for sheet, names in plan.headings.items():
        filled = {
            name
            for row in (*plan.added, *plan.changed)
            if row.sheet == sheet
            for name in row.cells
            if row.cells[name]
        }
        act.headings(sheet, [name for name in names if name in filled])
    order = list(SHEETS)
    for row in sorted(plan.added, key=lambda row: order.index(row.sheet)):
        act.append(row.sheet, {name: cell for name, cell in row.cells.items() if cell})
    for row in plan.changed:
        act.fill(Place(THE_BOOK, row.sheet, row.there), row.cells, {})
    for sheet, number in plan.struck:
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

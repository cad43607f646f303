"""A log as files for other programs."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from estimator.log.book.salvage import SalvagedBook
from estimator.log.exchange.marks import Marks, row_marks
from estimator.log.exchange.rows import sheets_out, unknown_columns
from estimator.log.exchange.writing import write_sheets
from estimator.log.store import Store
from estimator.words.errors import SettingsError, UsageError
from estimator.words.json_form import JsonForm
from estimator.words.problems import THE_BOOK, Problem
from estimator.words.settings.reader import parse_settings


@dataclass(frozen=True, slots=True)
class Exported(JsonForm):
    """What was written out.

    rows: how many, by sheet; with_owners: whether owners and how to reach them are among it
    unknown: columns that nobody here knows, and that may say anything; problems: sheets that could not be read
    """

    files: tuple[Path, ...]
    rows: Mapping[str, int]
    with_owners: bool
    unknown: tuple[str, ...]
    problems: tuple[Problem, ...]


def export_log(store: Store | SalvagedBook, target: Path, *, with_owners: bool = False) -> Exported:
    """Writes all sheets of a log, as it stands now, to a spreadsheet or into a folder of csv.

    Raises UsageError where that is not possible, SettingsError where the settings cannot be used.
    """
    reading = store.held()
    settings, wrong = parse_settings(reading.settings_text())
    if wrong:
        raise SettingsError(wrong)
    raw, problems = reading.read()
    if not raw.sheets and problems:
        raise UsageError(problems[0].said(), problems[0].cure)
    book = store.folder / THE_BOOK
    marks: Marks = row_marks(book) if raw.source == THE_BOOK else {}
    sheets = sheets_out(raw, settings, marks, with_owners=with_owners)
    files = write_sheets(sheets, target, store.folder)
    rows = {sheet.name: len(sheet.rows) for sheet in sheets}
    return Exported(files, rows, with_owners, tuple(unknown_columns(sheets, settings)), tuple(problems))

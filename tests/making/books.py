"""Books of a small workshop, made quickly."""

import csv
import datetime as dt
import io
from dataclasses import replace

from estimator.log.book.store import BookStore
from estimator.log.exchange.importing import ImportChoices, import_files
from estimator.log.reading import read_log
from estimator.words.problems import NOWHERE
from estimator.words.settings.reader import parse_settings

SETTINGS = """
[workshop]
currency = "mk"
hours_in_a_day = 6.5
dates = "day-month"
[drivers.area]
label = "Area"
unit = "m2"
[drivers.logos]
label = "Logos"
[modifiers.wet]
label = "How wet"
grades = ["dry", "damp", "soaked"]
[kinds.major]
label = "Full job"
asks = ["area", "logos"]
[stages.strip]
label = "Strip it"
drivers = ["area"]
[stages.gloss]
label = "Gloss coat"
drivers = ["once"]
"""
NOON = dt.datetime(2026, 6, 4, 12, tzinfo=dt.UTC)


def book(folder, settings=SETTINGS, **sheets):
    """A book in a new folder; sheets: rows as dictionaries of cells by column."""
    folder.mkdir(exist_ok=True)
    (folder / "workshop.toml").write_text(settings, "utf-8")

    def rows(act):
        for sheet, cells in sheets.items():
            for row in cells:
                act.append(sheet, row)

    return BookStore.create(folder, label="the log so far", at=NOON, fill=rows)


def rows_in(texts):
    """The rows of csv texts by sheet, without their empty cells."""
    return {
        name.removesuffix(".csv"): [
            {k: v for k, v in row.items() if v} for row in csv.DictReader(io.StringIO(text))
        ]
        for name, text in texts.items()
    }


def log_of(store, settings=None, today=None):
    """The log that a store holds, its problems and notes."""
    known = settings or parse_settings(store.settings_text())[0]
    return read_log(*store.read(), known, today=today)


def placeless(log):
    """The records of a log without where they stand."""
    sheets = (log.boards, log.entries, log.told, log.waits, log.weighings)
    return [[replace(record, where=NOWHERE) for record in sheet] for sheet in sheets]


def taken_in(store, folder, text, name, **how):
    """What an import of one file with this text did."""
    (folder / name).write_text(text, "utf-8")
    return import_files(store.folder, [folder / name], NOON, ImportChoices(**how))


def rows_of(store, sheet):
    """The rows of a sheet of a book, each with the cells that are filled."""
    (found,) = (one for one in store.read()[0].sheets if one.sheet == sheet)
    header = found.rows[0][1]
    return [{n: c for n, c in zip(header, cells, strict=True) if c} for _, cells in found.rows[1:]]

"""A log as it stands, read from texts in memory, and what a step would write into it."""

import datetime as dt
from types import SimpleNamespace

from estimator.log.columns import names_of_sheets
from estimator.log.csv_tables import raw_csv
from estimator.log.reading import read_log
from estimator.log.starter import starter_text
from estimator.log.steps.read_back import AsWritten
from estimator.log.tables import RawLog
from estimator.words.settings.reader import parse_settings

MAY = dt.date(2026, 5, 4)  # a Monday
TRADE = parse_settings(starter_text())[0]


def written(settings=TRADE, settings_text="", *, doubted=False, **sheets):
    """The log that these texts are, by sheet; it has no problems unless something of it is doubted."""
    names = names_of_sheets(settings)
    raw = RawLog(
        tuple(raw_csv(text.encode(), names[sheet], f"{sheet}.csv")[0] for sheet, text in sheets.items())
    )
    log, problems, _ = read_log(raw, (), settings)
    assert doubted or [problem.sentence() for problem in problems] == []
    return AsWritten(log, settings, raw, settings_text, "revision")


def filled(cells):
    """The cells in which something stands."""
    return {column: cell for column, cell in cells.items() if cell}


def planned(step, now, day=MAY):
    """What a step would write: rows by sheet, their filled cells alone; and fills, by sheet and line."""
    plan = step.plan(now, day)
    return SimpleNamespace(
        label=plan.label,
        board=plan.board,
        rows=[(sheet, filled(cells)) for sheet, cells in plan.rows],
        fills={
            f"{row.place.source.removesuffix('.csv')} {row.place.row}": dict(cells)
            for row, cells in plan.fills
        },
        notes=plan.notes,
        settings=plan.settings,
    )

"""A workshop's log, read from raw sheets: all good rows, every problem, and notes."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable, Iterator

from estimator.log.checks import notes_on, problems_across
from estimator.log.columns import BOARDS, names_of_sheets, plain
from estimator.log.money import against_lines, told_by_lines, with_money
from estimator.log.parse.boards import Draft, draft_of, some, with_hours, with_ids
from estimator.log.parse.cells import Row, readers
from estimator.log.parse.entries import (
    Ids,
    Lost,
    entry_of,
    money_of,
    note_of,
    stage_names,
    told_of,
    wait_of,
    weighing_of,
)
from estimator.log.tables import MUST, RawLog, SheetTable, headed
from estimator.words.money import money_in
from estimator.words.phrases import say_count
from estimator.words.problems import Place, Problem, in_order
from estimator.words.records import SHOP, Entry, Log
from estimator.words.settings.schema import Settings


def read_log(
    raw: RawLog, troubles: Iterable[Problem], settings: Settings, *, today: dt.date | None = None
) -> tuple[Log, tuple[Problem, ...], tuple[Problem, ...]]:
    """The log that raw sheets hold, the problems and the notes.

    All good rows are in the log and every bad one among the problems: a row without a board, day, stage or hours that
    can be made out is left out; any other cell that cannot be read is not known. Notes say what is merely missing.
    Without sheets the log is an empty one, which a note says.

    troubles: what was wrong before a cell was read
    today: dates of what has happened that lie after it are problems; None: not looked at

    >>> log, problems, notes = read_log(RawLog(), [], Settings())
    >>> log.boards, problems, notes[0].wrong
    ((), (), 'no boards are written down yet')
    """
    names = names_of_sheets(settings)
    tables: defaultdict[str, list[SheetTable]] = defaultdict(list)
    problems, notes = list(troubles), list(raw.notes)
    for sheet in raw.sheets:
        table, wrong, more = headed(sheet, names[sheet.sheet])
        tables[sheet.sheet].append(table)
        problems += wrong
        notes += more
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
        notes.append(
            Problem(Place(BOARDS), "", "no boards are written down yet", "Write one row for each board.")
        )
        problems += _without_boards(tables, rows)
    read = readers(settings)
    drafts, numbered = with_ids([draft_of(row, settings, read) for row in rows["boards"]])
    ids = Ids.of(draft.board for draft in drafts)
    stages, read_amount = stage_names(settings), money_in(settings.workshop.currency)
    booked = [entry_of(row, ids, stages) for row in rows["hours"]]
    entries = tuple(entry for entry in booked if isinstance(entry, Entry))
    boards, totals = with_hours(drafts, entries)
    tellings = [told for row in rows["told"] if (told := told_of(row, ids))]
    log = Log(
        boards=boards,
        entries=entries,
        told=tuple(told for told in tellings if not told.struck),
        struck=tuple(told for told in tellings if told.struck),
        waits=tuple(wait for row in rows["waits"] if (wait := wait_of(row, ids))),
        weighings=tuple(weighing for row in rows["weights"] if (weighing := weighing_of(row, ids))),
        notes=tuple(note for row in rows["notes"] if (note := note_of(row, ids))),
        money=tuple(line for row in rows["money"] if (line := money_of(row, ids, read_amount))),
        source=raw.source,
        partial=frozenset((lost.board, lost.stage) for lost in booked if isinstance(lost, Lost)),
    )
    if len(log.money) == len(rows["money"]):  # else a board may lack what a lost row tells
        _against_money(drafts, log)
    settings = with_redo(settings, log)
    problems += problems_across(log, settings)
    notes += [*numbered, *totals, *_usual_widths(drafts), *notes_on(with_money(log), settings)]
    return log, in_order(problems), in_order(notes)


def _against_money(drafts: list[Draft], log: Log) -> None:
    """A problem for each money cell of a board that rows of money contradict."""
    told = told_by_lines(log.money)
    for draft in drafts:
        board = log.by_id.get(draft.board.board)
        if board is not None and board.board in told:
            for column, wrong in against_lines(board, told[board.board]):
                draft.row.wrong(column, wrong, "Correct the one or the other, or leave this cell empty.")


def with_redo(settings: Settings, log: Log) -> Settings:
    """The settings with a stage for what was done again, where the log has such hours."""
    return settings.with_redo() if any(entry.again for entry in log.entries) else settings


def _without_boards(
    tables: defaultdict[str, list[SheetTable]], rows: dict[str, list[Row]]
) -> Iterator[Problem]:
    """A problem for each sheet with rows on boards where no boards are written; only the shop's rows stay."""
    for sheet, written in rows.items():
        shop = [row for row in written if _of_no_board(sheet, row)]
        if len(written) > len(shop):
            wrong = f"{say_count(len(written) - len(shop), 'row')} on boards, and there is no sheet of boards"
            yield Problem(tables[sheet][0].place, "", wrong, "Write one row for each board in boards.csv.")
        rows[sheet] = shop


def _of_no_board(sheet: str, row: Row) -> bool:
    """Whether a row is on no board."""
    named = row.text("boards" if sheet == "money" else "board")
    return plain(named) == SHOP or (sheet in {"notes", "money"} and not named)


def _usual_widths(drafts: list[Draft]) -> Iterator[Problem]:
    """A note of how many areas rest on the width that such boards usually have."""
    boards = [draft.board.board for draft in drafts if draft.usual_width]
    if boards:
        which = f"{say_count(len(boards), 'board')} ({some(boards)})"
        wrong = f"the usual width for the length stands in on {which}"
        yield Problem(drafts[0].row.table.place, "", wrong, "Measure the widest place and write it in width.")

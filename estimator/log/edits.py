"""What is written to a log: a telling is one row more; other edits fill cells of a board's own row."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from estimator.log.columns import ASKED_LATER, BOARDS, TURNED_OUT, names_of_sheets
from estimator.log.names import NOTHING_TO_DECIDE, refuse_over
from estimator.log.parse.cells import DASHES, one_line
from estimator.log.store import Act, Store, changed_meanwhile
from estimator.log.tables import RawLog, headed
from estimator.log.tellings import (
    first_tellings,
    of_dates,
    with_rows,
)
from estimator.words.dates import FIRST_YEAR, LAST_YEAR, say_day
from estimator.words.errors import UsageError
from estimator.words.json_form import HIDDEN, JsonForm, json_fields, named
from estimator.words.measures import number
from estimator.words.problems import Place
from estimator.words.records import (
    ASKED,
    BECAUSE,
    DECISIONS,
    FINISHED,
    QUOTE,
    Accepted,
    Board,
    Told,
)
from estimator.words.settings.edit import with_accepted
from estimator.words.settings.schema import Settings

Cells = Mapping[str, str]


@dataclass(frozen=True, slots=True)
class OwnRow:
    """A row as it was read, mostly a board's own: its place, its filled cells by column, and its sheet's columns."""

    place: Place
    cells: Cells
    columns: frozenset[str]

    def before(self, columns: Iterable[str]) -> Cells:
        """What stands in these cells, and what says whose row it is: by which it is known that nothing changed."""
        return {column: self.cells.get(column, "") for column in ("board", *columns)}


def own_row(raw: RawLog, settings: Settings, board: Board) -> OwnRow:
    """A board's own row in raw sheets, from which the board was read.

    Raises UsageError where there is none, or it is another board's.
    """
    row = row_at(raw, settings, "boards", board.where)
    if one_line(row.cells.get("board", "")).casefold() in {"", board.board.casefold()}:
        return row
    raise changed_meanwhile(board.where if board.where.source else Place(BOARDS))


def row_at(raw: RawLog, settings: Settings, name: str, where: Place) -> OwnRow:
    """A row of a sheet in raw sheets, by its place; name: of the sheet.

    Raises UsageError where there is none.
    """
    names = names_of_sheets(settings)[name]
    for sheet in raw.sheets:
        if sheet.sheet == name and sheet.place == where.whole_sheet:
            table, _, _ = headed(sheet, names)
            cells = next((cells for number, cells in table.rows if number == where.row), None)
            if cells is not None:
                by_column = {column: str(cell) for column, cell in table.named(cells).items()}
                return OwnRow(where, by_column, frozenset(table.columns))
    raise changed_meanwhile(where if where.source else Place(f"{name}.csv"))


def fill_own_row(
    act: Act, row: OwnRow, cells: Cells, folder: Path
) -> tuple[Path | None, Cells, tuple[str, ...]]:
    """Writes cells into a board's own row; all else stays as it is.

    cells: what to write by column, empty for none
    Returns the file, None where nothing was written, since the row is in a spreadsheet: then notes name the cells;
    the cells that were written; the notes.

    Raises UsageError where there is no column for a cell, or the row was changed meanwhile.
    """
    if act.by_hand:
        named = ", ".join(f"{column} {cell}" for column, cell in cells.items() if cell)
        note = f"{act.by_hand} stays as it is. Write into the board's row there yourself: {named}."
        return None, cells, (note,)
    act.fill(row.place, cells, row.before(cells))
    there = {column: cell for column, cell in cells.items() if cell or column in row.columns}
    return folder / row.place.source, there, ()


NO_MORE_TOLD = "there is nothing more to tell of it"


@dataclass(frozen=True, slots=True)
class KeptTelling(JsonForm):
    """A telling as it was written down.

    name: what the board is called in the shop; file: where the row stands
    judged: the telling that the board is judged on from now on, with what its owner's wishes add
    in_row: whether that is the day in the board's own row, which nobody kept as told
    promised: columns of the board's own row that got the dates; notes: what was left as it is, in words
    """

    told: Told
    name: str
    file: Path
    judged: Told
    promised: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    in_row: bool = False

    def _json(self) -> dict[str, Any]:
        """The row by column, None where nothing was told, and `file`, `judged`, `promised`, `notes` beside it."""
        # by hand: it is a row of the sheet, not an object within one
        row = {column: getattr(self.told, column) for column in cells_of(self.told)}
        return {
            **{column: None if value == "" else value for column, value in row.items()},
            "file": self.file,
            "judged": self.judged == self.told,
            "judged_last": self.judged.last,
            "promised": self.promised,
            "notes": self.notes,
        }


def checked(said: Told, board: Board, earlier: Sequence[Told]) -> Told:
    """What is said of a board, under its id and with a reason: where none is given, "quote" for the first telling.

    earlier: all that was told of it before

    Raises UsageError for a board that is over, a telling anew without a reason, a day before that of another
    telling, and hours or dates that nobody can have told.
    """
    refuse_over(board, NO_MORE_TOLD)
    last = max((telling.date for telling in earlier), default=said.date)
    if said.date < last:
        raise UsageError(
            f"The owner of {board.name} was told on {say_day(last)}, and no telling is put before another.",
            f"Keep it under that day, as {last}, or a later one.",
            field="day",
        )
    if earlier and not said.because:
        raise UsageError(
            f"The owner of {board.name} was told already, on {say_day(last)}.",
            f"Say why you tell it anew: {', '.join(BECAUSE[1:])} or {BECAUSE[0]}.",
            field="because",
        )
    if said.hours_high == 0:
        raise UsageError("Zero hours can't be told.", "Write 55-80, or ? where hours were not spoken of.")
    if said.first and said.last and said.last < said.first:
        raise UsageError(f"The last day, {said.last}, lies before the first, {said.first}.", "Swap the two.")
    gone = [day for day in (said.first, said.last) if day and day < said.date]
    if gone:
        raise UsageError(f"{say_day(gone[0])} is over on {say_day(said.date)}.", "Mend the date.")
    words = one_line(said.terms)
    return replace(
        said, board=board.board, because=said.because or QUOTE, terms="" if words in DASHES else words
    )


def keep_telling(
    store: Store, row: OwnRow, told: Told, board: Board, earlier: Sequence[Told], at: dt.datetime
) -> KeptTelling:
    """Writes one telling under those of the log; all of it, or nothing.

    The dates of a board's first telling go into its own row too, where it has no dates yet and is in no spreadsheet.

    row: the board's own; earlier: all that was told of it before; at: when it is written

    Raises UsageError where nothing is told, or days that no log has; where the row cannot be written so that it reads
    back, or the files cannot be.
    """
    refuse_what_is_no_telling(told)
    with store.act(f"what the owner of {board.name} was told", at) as act:
        return _put_telling(act, store.folder, row, told, board, earlier)


def _put_telling(
    act: Act, folder: Path, row: OwnRow, told: Told, board: Board, earlier: Sequence[Told]
) -> KeptTelling:
    """A telling as one row more of an act, with what it gives the board's own row."""
    notes = []
    promised: tuple[str, ...] = ()
    place = act.append("told", cells_of(told))
    if act.by_hand:
        notes.append(f"{act.by_hand} stays as it is; the row is in {place.source} beside it.")
    if not earlier:
        promised, more = _promised(act, row, told)
        notes += more
    said = with_rows([*earlier, told], [board]) if of_dates(told) else (*earlier, told)
    judged = first_tellings(said)[told.board]
    in_row = len(said) > len(earlier) + 1 and first_tellings(said, of_dates)[told.board] == judged
    return KeptTelling(told, board.name, folder / place.source, judged, promised, tuple(notes), in_row)


def refuse_what_is_no_telling(told: Told) -> None:
    """Raises UsageError where a row would say nothing, or would not be read again."""
    if told.first and told.last and told.last < told.first:
        wrong = f"It is ready by {told.last}, which lies before the first day, {told.first}."
        raise UsageError(wrong, "Say both days, or neither.", field="last")
    if all(one in {None, ""} for one in (told.hours_low, told.price, told.terms, told.first, told.last)):
        raise UsageError("Neither hours, nor a price, nor a day is told.", "Say one of them.")
    for day in (told.date, told.first, told.last):
        if day and not FIRST_YEAR <= day.year <= LAST_YEAR:
            wrong = f"{say_day(day)} is in no log: days from {FIRST_YEAR} to {LAST_YEAR} are read."
            raise UsageError(wrong, "Mend the year.")


def _promised(act: Act, row: OwnRow, told: Told) -> tuple[tuple[str, ...], list[str]]:
    """The columns of the board's row that got the dates of the first telling, and notes."""
    dates = {"promised_first": told.first, "promised_last": told.last}
    days = {column: day.isoformat() for column, day in dates.items() if day}
    if not days:
        return (), []
    if act.by_hand:
        return (), [f"Put the dates into {' and '.join(days)} of the board's row there yourself."]
    file = row.place.source
    if dates.keys() & row.cells.keys():
        return (), [f"The board's row in {file} has dates already, and keeps them."]
    there = {column: day for column, day in days.items() if column in row.columns}
    absent = [column for column in days if column not in there]
    if there:
        act.fill(row.place, there, row.before(dates))
    return tuple(there), [f"{file} has no column {' or '.join(absent)}, and stays without."] if absent else []


def cells_of(told: Told) -> Mapping[str, str]:
    """The cells of a telling by column, so that they read back as they are."""
    price = number(told.price)
    if len(price.partition(".")[2]) == 3:  # 1.800 could be read as 1800
        price += "0"
    return {
        "board": told.board,
        "date": told.date.isoformat(),
        "hours_low": number(told.hours_low),
        "hours_high": number(told.hours_high),
        "price": price,
        "terms": told.terms,
        "first": told.first.isoformat() if told.first else "",
        "last": told.last.isoformat() if told.last else "",
        "odds": number(told.odds),
        "because": told.because,
        "paid_by": told.paid_by,
        "adds_hours": number(told.adds_hours),
        "adds_days": number(told.adds_days),
    }


STILL_ASKED = "It is still asked for in your log, until you write declined into its state."


@dataclass(frozen=True, slots=True)
class Decision(JsonForm):
    """Yes, no or open-first, in the restorer's own words why, and whether the board is taken for love."""

    answer: str = field(metadata=named("decided"))
    why: str = field(default="", metadata=named("decided_why"))
    for_love: bool = False

    @classmethod
    def of(cls, board: Board) -> Decision | None:
        """What a board's row says; None where nothing was decided."""
        return cls(board.decided, board.decided_why, board.for_love) if board.decided else None

    @property
    def cells(self) -> dict[str, str]:
        """Its cells by column."""
        return {
            "decided": self.answer,
            "decided_why": self.why,
            "for_love": "yes" if self.for_love else "",
        }

    def _json(self) -> dict[str, Any]:
        # by hand: no reason given is None
        return {**json_fields(self), "decided_why": self.why or None}


@dataclass(frozen=True, slots=True)
class KeptDecision(JsonForm):
    """A decision as it was written down.

    file: whose row has it, None where it is for the restorer to write; before: what stood there
    notes: what was left as it is, in words
    """

    board: str
    name: str = field(metadata=HIDDEN)
    decision: Decision
    file: Path | None
    before: Decision | None = None
    notes: tuple[str, ...] = ()

    def _json(self) -> dict[str, Any]:
        # by hand: what was decided is not an object within it
        said = json_fields(self)
        return {"board": said.pop("board"), **said.pop("decision").as_dict(), **said}


def decision_of(board: Board, answer: str, why: str, *, for_love: bool) -> Decision:
    """A decision on a board as it can be kept.

    Raises UsageError for a board that is ready, for another answer, for no reason, and for love where the answer is no.

    >>> decision_of(Board("26-001"), "yes", " that  shape", for_love=True)
    Decision(answer='yes', why='that shape', for_love=True)
    """
    refuse_over(board, NOTHING_TO_DECIDE, states={FINISHED})
    if answer not in DECISIONS:
        raise UsageError(
            f'"{answer}" is no decision.', f"Write {', '.join(DECISIONS[:-1])} or {DECISIONS[-1]}."
        )
    words = one_line(why)
    if words in DASHES or not words:
        raise UsageError(
            "A decision without its reason teaches nothing.", "Say why, as “that shape”.", field="why"
        )
    if for_love and answer == "no":
        raise UsageError("A board that is turned down is not taken for love.", "Leave one of them out.")
    return Decision(answer, words, for_love)


def keep_decision(
    store: Store, row: OwnRow, board: Board, decision: Decision, at: dt.datetime
) -> KeptDecision:
    """Writes a decision into the board's own row; a spreadsheet is never written: then the notes name the cells.

    Raises UsageError where there is no place for it, or it cannot be written.
    """
    with store.act(f"decision on {board.name}: {decision.answer}", at) as act:
        file, _, notes = fill_own_row(act, row, decision.cells, store.folder)
    if decision.answer == "no" and board.state == ASKED:
        notes = (*notes, STILL_ASKED)
    return KeptDecision(board.board, board.name, decision, file, Decision.of(board), notes)


DECIMALS = 6  # of a sum, so that a tenth and two are three


@dataclass(frozen=True, slots=True)
class KeptMore(JsonForm):
    """Cells as they were written, by column; file: None where they are for the restorer to write, as notes say.

    told: what its owner was told of it, None where that was not kept
    """

    file: Path | None
    cells: Cells
    notes: tuple[str, ...] = ()
    told: KeptTelling | None = None


def keep_more(
    store: Store,
    row: OwnRow,
    board: Board,
    more: Mapping[str, float],
    grown: Mapping[str, float],
    at: dt.datetime,
    *,
    told: Told | None = None,
    earlier: Sequence[Told] = (),
) -> KeptMore:
    """Adds what was asked for to what stands in the board's `later_` cells, and what its owner was told, in one act.

    What is written as it turned out, all in all, grows with it, so that nothing of it is taken for hidden work. A
    spreadsheet is never written: then the notes name the cells.

    board: as it was read; more: by name; grown: the same, with the areas that it makes
    told: what its owner was told of it, None where that is not kept; earlier: all that was told of it before

    Raises UsageError where there is no column for it, or it cannot be written.
    """
    with store.act(f"what the owner of {board.name} asks for since", at) as act:
        cells = later_cells(row, board, more, grown, by_hand=bool(act.by_hand))
        file, written, notes = fill_own_row(act, row, cells, store.folder)
        said = None
        if told is not None and not act.by_hand:
            said = _put_telling(act, store.folder, row, told, board, earlier)
        return KeptMore(file, written, notes, said)


def later_cells(
    row: OwnRow,
    board: Board,
    more: Mapping[str, float],
    grown: Mapping[str, float],
    *,
    by_hand: bool = False,
) -> dict[str, str]:
    """The cells of what was asked for, on top of what stands there; what turned out in all grows with it.

    more: by name; grown: the same, with the areas that it makes; by_hand: the restorer writes them, and areas follow
    """
    cells = {ASKED_LATER + name: _sum(board.later.get(name, 0.0), much) for name, much in more.items()}
    for name, much in grown.items():
        written = name in more if by_hand else bool(row.cells.get(TURNED_OUT + name))
        if written and much and name in board.found:
            cells[TURNED_OUT + name] = _sum(board.found[name], much)
    return cells


def keep_accepted(
    store: Store, rule: str, accepted: Accepted, at: dt.datetime, key: str = "", digest: str = ""
) -> None:
    """Keeps a range beside the rule of that name in the settings; all else in them stays as it was written.

    key, digest: as `Store.act` has them

    Raises UsageError where there is no such rule, or the settings cannot be written.
    """
    with store.act(f"range beside the rule {rule}", at, key, digest) as act:
        act.settings(with_accepted(store.settings_text(), rule, accepted))


def _sum(there: float, more: float) -> str:
    """A cell with so much more in it."""
    return number(round(there + more, DECIMALS))

"""Hours as they were read from a notebook, what is to be asked of them, and what was kept."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence

from estimator.log.booking import KeptHours, hours_cells, note_cells
from estimator.log.notebook.page import A_LINE, A_TIME, Doubt, HoursLine, NotebookPage, NoteLine
from estimator.said.parts import Heading, Part, Table
from estimator.words.dates import WEEKDAYS, say_day
from estimator.words.phrases import say_count, say_value
from estimator.words.records import SHOP, Board, Entry, Note
from estimator.words.settings.schema import Settings

MOST_SAID = 7  # answers to a question, in a sentence


def read_parts(page: NotebookPage, settings: Settings, boards: Iterable[Board]) -> list[Part]:
    """The lines read back, then what is to be asked."""
    there = page.lines or page.notes
    parts: list[Part] = [lines_table(page.lines, settings, boards, page.notes)] if there else []
    if page.doubts:
        parts += [Heading("To ask"), *(asked(doubt) for doubt in by_key(page.doubts))]
    return parts or ["Nothing is read there."]


def by_key(doubts: Iterable[Doubt]) -> tuple[Doubt, ...]:
    """Each question once, however often its answer is needed."""
    return tuple({doubt.key: doubt for doubt in reversed(tuple(doubts))}.values())[::-1]


def asked(doubt: Doubt) -> str:
    """A question with its answers, as a sentence; what was typed before it where it does not repeat that itself."""
    answers = [choice.says for choice in doubt.choices]
    if len(answers) > MOST_SAID:
        answers = [*answers[: MOST_SAID - 1], "…", answers[-1]]
    answers += {A_TIME: ["or the hours"], A_LINE: ["or write it anew"]}.get(doubt.free, [])
    typed = "" if doubt.typed in doubt.question else f"“{doubt.typed}”: "
    offered = f" ({'; '.join(answers)})" if answers else ""
    return f"{typed}{doubt.question}{offered}"


def lines_table(
    lines: Sequence[HoursLine], settings: Settings, boards: Iterable[Board], notes: Sequence[NoteLine] = ()
) -> Table:
    """Lines of hours as a table, one row each, and the notes under them."""
    names = _names(boards)
    rows = []
    for line in lines:
        rest = ", ".join(word for word in (_again(line), _done(line), line.note) if word)
        stage = line.stage if line.board == SHOP else settings.label(line.stage)
        board = names.get(line.board, line.board)
        hours = line.written if line.written.startswith("about") else say_value(line.hours)
        rows.append((_days(line), board, stage, hours, rest))
    rows += [(say_day(one.date), names.get(one.board, one.board), "a note", "", one.note) for one in notes]
    on = (*(line.board for line in lines), *(note.board for note in notes))
    ids = tuple("" if board == SHOP else board for board in on)
    return Table(("", "board", "work", "hours", ""), tuple(rows), right=(3,), boards=ids)


def read_table(
    lines: Sequence[HoursLine], settings: Settings, boards: Iterable[Board], notes: Sequence[NoteLine] = ()
) -> Table:
    """Lines of hours and notes as they were read, the board first."""
    table = lines_table(lines, settings, boards, notes)
    rows = tuple((board, days, *rest) for days, board, *rest in table.rows)
    return Table(("", "day", *table.head[2:]), rows, right=table.right, boards=table.boards)


def held_lines(entries: Iterable[Entry], settings: Settings, boards: Iterable[Board]) -> tuple[str, ...]:
    """What the log holds of a day already, a line each, as a notebook has it."""
    names = _names(boards)
    return tuple(_held(one, settings, names) for one in entries)


def held_notes(notes: Iterable[Note], boards: Iterable[Board]) -> tuple[str, ...]:
    """What was noted on a day already, a line each."""
    names = _names(boards)
    return tuple(f"{names.get(note.board, note.board)}, a note: {note.text}" for note in notes if note.text)


def _names(boards: Iterable[Board]) -> dict[str, str]:
    """What boards are called, and the shop, by id."""
    return {board.board: board.name for board in boards} | {SHOP: "the shop"}


def _held(one: Entry, settings: Settings, names: Mapping[str, str]) -> str:
    line = HoursLine(
        one.board, one.date, one.of or one.stage, one.hours, one.until, one.done, one.again, one.note
    )
    days = _days(line) if line.until else ""
    if line.away:
        return ", ".join(filter(None, (line.note or "nothing", days)))
    board = names.get(line.board, line.board)
    stage = line.stage if line.board == SHOP else settings.label(line.stage)
    hours = f"{stage} {say_value(line.hours)}".strip()
    rest = ", ".join(filter(None, (hours, _again(line), _done(line), line.note, days)))
    return f"{board}: {rest}"


def _days(line: HoursLine) -> str:
    """The day, or the first and the last."""
    if not line.until:
        return say_day(line.date)
    return f"{WEEKDAYS[line.date.weekday()]} {line.date.day} to {say_day(line.until)}"


def _again(line: HoursLine) -> str:
    """That it was done again, and why."""
    return "" if not line.again else "again" if line.again == "yes" else f"again: {line.again}"


def _done(line: HoursLine) -> str:
    """Whether the work is finished."""
    return {None: "", True: "done", False: "not done"}[line.done]


def kept_parts(kept: KeptHours) -> list[Part]:
    """What was written, and where."""
    hours = f"{say_count(len(kept.lines), 'line')} kept in {kept.file}."
    notes = f"{say_count(len(kept.notes), 'note')} kept in {kept.notes_file}."
    return [*([hours] if kept.lines or not kept.notes else []), *([notes] if kept.notes else [])]


def rows_to_copy(lines: Iterable[HoursLine], notes: Iterable[NoteLine] = ()) -> Iterator[Part]:
    """The rows for sheets that are written by hand."""
    for rows in ([hours_cells(line) for line in lines], [note_cells(note) for note in notes]):
        if rows:
            yield Table(tuple(rows[0]), tuple(tuple(row.values()) for row in rows))

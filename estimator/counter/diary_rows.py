"""A diary's box made whole: what follows from the sort of job, and what is asked so that its hours can teach."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Mapping
from dataclasses import replace

from estimator.log.columns import LOOKED, TURNED_OUT
from estimator.log.notebook.diary import DiaryBox
from estimator.log.notebook.page import A_LINE, Choice, Doubt
from estimator.log.reading import read_log
from estimator.log.steps.read_back import column_in_words
from estimator.log.tables import RawLog, RawSheet
from estimator.model.quantities import why_untaught
from estimator.words.labels import label
from estimator.words.phrases import capital
from estimator.words.problems import Place
from estimator.words.records import Board
from estimator.words.settings.schema import Driver, Settings

CANT_SAY = "?"
AS_MUCH = {
    "sides_coated": "sides_stripped"
}  # what is stripped is filled and sanded anew; common practice, no source
GLOSSED = {"gloss": "sides_coated"}
SIDES = (("0", "None"), ("0.3", "A small part"), ("1", "One side"), ("2", "Both sides"))
COUNTS = (("0", "None"), *((str(n), str(n)) for n in range(1, 5)))
STEPS = 8  # of filling in, each of which may make the next possible
COLUMNS = (
    "owner",
    "called",
    "kind",
    "length",
    "started",
    "ready",
    "collected",
    "total_hours",
    "price_charged",
)
UNSAID = ("state",)


def made_whole(
    box: DiaryBox,
    settings: Settings,
    today: dt.date,
    answers: Mapping[str, str],
    *,
    whole: bool = True,
    glossed: bool = True,
) -> DiaryBox:
    """The same box with what its sort of job always has, and a doubt for what must be known before its hours can teach.

    answers: to doubts of an earlier reading, by their keys
    glossed: whether what was sanded was glossed too, where the box doesn't say: diaries seldom do
    whole: whether what a box doesn't mention wasn't done; such boards usually have some of it: then it is asked
    """
    cells, doubts = dict(box.cells), list(box.doubts)
    if not cells.get("total_hours") or doubts:
        return replace(box, cells=cells, doubts=tuple(doubts))
    for _ in range(STEPS):
        asked = _lacks(cells, settings, today, box.text, whole=whole, glossed=glossed)
        told = {doubt.what: answer for doubt in asked if (answer := answers.get(doubt.key, ""))}
        cells |= told
        if not told:
            doubts += asked
            break
    cells = {column: cell for column, cell in cells.items() if cell != CANT_SAY}
    return replace(box, cells=cells, doubts=tuple(doubts))


def board_of(cells: Mapping[str, str], settings: Settings, today: dt.date) -> Board | None:
    """The board that a row makes; None where it makes none."""
    head, row = list(cells), [*cells.values()]
    sheet = RawSheet("boards", Place("diary"), [(1, ["board", *head]), (2, ["diary", *row])], 0)
    log, _, _ = read_log(RawLog((sheet,), "diary"), (), settings, today=today)
    return next(iter(log.boards), None)


def _lacks(
    cells: dict[str, str], settings: Settings, today: dt.date, text: str, *, whole: bool, glossed: bool
) -> list[Doubt]:
    """What is asked, after what follows by itself was filled in; nothing where its hours teach, or can't."""
    span = (0, len(text))
    if "kind" not in cells:
        kinds = tuple(Choice(name, settings.label(name)) for name in settings.kinds)
        return [
            Doubt("kind", span, text, "What sort of job was it?", (*kinds, Choice(CANT_SAY, "Can't say")))
        ]
    kind = settings.kinds.get(cells["kind"])
    usual = kind.usual if kind else {}
    for name, (low, high) in usual.items():
        driver = settings.drivers.get(name)
        if driver and driver.blank == "unknown" and low == high:
            cells.setdefault(TURNED_OUT + name, f"{low:g}")
    for name, other in (AS_MUCH | (GLOSSED if glossed else {})).items():
        asked = kind is None or kind.asks is None or name in kind.asks
        if name in settings.drivers and asked and (much := cells.get(TURNED_OUT + other)):
            cells.setdefault(TURNED_OUT + name, much)
    missing = _missing(cells, settings, today)
    if whole and (none := [name for name in missing if _may_be_none(name, usual, settings)]):
        cells |= {TURNED_OUT + name: "0" for name in none}
        missing = _missing(cells, settings, today)
    questions = (_asked(settings.drivers[name], missing, cells, settings, text) for name in missing)
    return list({one.what: one for one in questions if one is not None}.values())


def _may_be_none(name: str, usual: Mapping[str, tuple[float, float]], settings: Settings) -> bool:
    """Whether a board on which something isn't mentioned had none of it: not where such boards usually have some."""
    driver = settings.drivers[name]
    return driver.blank == "none" and not driver.source and usual.get(name, (0.0, 0.0))[0] <= 0


def _missing(cells: Mapping[str, str], settings: Settings, today: dt.date) -> tuple[str, ...]:
    """The amounts that have to be known before the hours can teach, and of which nobody has said that he can't say."""
    unsaid = {TURNED_OUT + name: CANT_SAY for name, one in settings.drivers.items() if not one.source}
    said = {column: cell for column, cell in cells.items() if cell != CANT_SAY}
    board = board_of({**unsaid, **said}, settings, today)
    missing = (why_untaught(board, (), settings) or ()) if board else ()
    return tuple(name for name in missing if cells.get(TURNED_OUT + name) != CANT_SAY)


def _asked(
    driver: Driver, missing: tuple[str, ...], cells: Mapping[str, str], settings: Settings, text: str
) -> Doubt | None:
    """The question after an amount; None where another's answer is wanted first, or nothing can be asked."""
    span = (0, len(text))
    if driver.source:
        if driver.times in missing or "length" in cells:
            return None
        return Doubt("length", span, text, "How long is it?", (Choice(CANT_SAY, "Can't say"),), A_LINE)
    offered = SIDES if driver.name.startswith("sides_") else COUNTS
    choices = tuple(Choice(value, words) for value, words in (*offered, (CANT_SAY, "Can't say")))
    question = f"{settings.quantity_label(driver.name)}: how many?"
    return Doubt(TURNED_OUT + driver.name, span, text, question, choices, A_LINE)


def said_of(cells: Mapping[str, str], settings: Settings) -> Iterator[tuple[str, str]]:
    """A row as it was understood, for people: what each cell is called, and what stands in it."""
    for column in (*COLUMNS, *(name for name in cells if name not in COLUMNS)):
        cell = cells.get(column, "")
        if not cell or column in UNSAID:
            continue
        if column == "kind":
            cell = settings.label(cell)
        if column.startswith(TURNED_OUT):
            words = f"{settings.quantity_label(column.removeprefix(TURNED_OUT))}, {label('found')}"
        elif column.startswith(LOOKED):
            words = f"{settings.quantity_label(column.removeprefix(LOOKED))}, {label('assessed')}"
        else:
            words = column_in_words(column, settings)
        yield capital(words), cell

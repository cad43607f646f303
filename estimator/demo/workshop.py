"""The invented workshop: typed into a folder, or made as records with the truth beside them."""

from __future__ import annotations

import csv
import datetime as dt
import io
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path

from estimator.demo.notebook import board_of, entries_of, messy, shop_entries, told_of, waits_of, weighings_of
from estimator.demo.recipe import LAST_DAY, Dice, InventedJob
from estimator.demo.stories import Story, draw_story, stories
from estimator.demo.texts import demo_text, is_demo
from estimator.log.columns import (
    ASKED_LATER,
    BOARDS,
    HOURS,
    LOOKED,
    TOLD,
    TURNED_OUT,
    WAITS,
    WEIGHTS,
    csv_headers,
)
from estimator.log.edits import cells_of
from estimator.log.parse.boards import IN_ORDER, state_from
from estimator.log.starter import write_workshop
from estimator.words.errors import UsageError
from estimator.words.measures import convert
from estimator.words.records import WAITING, Board, Entry, Log, Wait, WeightReading
from estimator.words.settings.reader import parse_settings
from estimator.words.settings.schema import Settings
from estimator.words.settings.values import SETTINGS_FILE

Cells = dict[str, str]

PLAIN = (
    "board",
    "called",
    "owner",
    "reach",
    "kind",
    "aim",
    "outline",
    "cost_time",
    "decided",
    "decided_why",
    "note",
)
DATES = (*IN_ORDER, "wanted_by", "paid_on", "hold_until", "promised_first", "promised_last")
MONEY = ("price_quoted", "price_charged", "materials", "deposit", "paid")
YES_OR_EMPTY = ("from_memory", "for_love")
NOT_SEEN = "?"


def rows_of(log: Log, settings: Settings) -> dict[str, list[Cells]]:
    """The rows of each csv file: file name to cells by column; a column left out is empty.

    Boards hold what was written, not the areas that follow from the outline.
    """
    booked = {entry.board for entry in log.entries}
    return {
        BOARDS: [_board(board, settings, hours=board.board in booked) for board in log.boards],
        HOURS: [_entry(entry) for entry in log.entries],
        TOLD: [dict(cells_of(told)) for told in log.told],
        WAITS: [_wait(wait) for wait in log.waits],
        WEIGHTS: [_weighing(weighing) for weighing in log.weighings],
    }


def feet_and_inches(length_m: float) -> str:
    """A length in feet and inches, to the eighth of an inch.

    >>> feet_and_inches(112.5 * 0.0254), feet_and_inches(3.048)
    ("9'4 1/2", "10'0")
    """
    feet, inches = divmod(round(8 * convert(length_m, "m", "in")), 12 * 8)
    return f"{feet}'{_eighths(inches)}"


def _eighths(eighths: int) -> str:
    """So many eighths of an inch, as on a tape measure."""
    whole, part = divmod(eighths, 8)
    up = math.gcd(part, 8)
    return f"{whole} {part // up}/{8 // up}" if part else str(whole)


def _number(value: float | None) -> str:
    """A number as short as it goes."""
    return "" if value is None else f"{value:.10g}"


def _date(day: dt.date | None) -> str:
    """A day, ISO 8601."""
    return day.isoformat() if day else ""


def _worked(hours: float | None, grain: float | None) -> str:
    """Hours, or days where they were written in days."""
    if hours is None or grain is None:
        return _number(hours)
    days = round(hours / grain)
    return f"{days} day{'s' if days > 1 else ''}"


def _board(board: Board, settings: Settings, *, hours: bool) -> Cells:
    """The row of a board."""
    dates = {name: getattr(board, name) for name in DATES}
    happened = [name for name in IN_ORDER if dates[name]]
    follows = state_from(happened, hours=hours) == board.state
    inches = None if board.width_m is None else round(8 * convert(board.width_m, "m", "in"))
    return {
        **{name: getattr(board, name) for name in PLAIN},
        **{name: _date(day) for name, day in dates.items()},
        **{name: _number(getattr(board, name)) for name in MONEY},
        **{name: "yes" if getattr(board, name) else "" for name in YES_OR_EMPTY},
        **_quantities(board, settings),
        "state": "" if follows else board.state,
        "length": "" if board.length_m is None else feet_and_inches(board.length_m),
        "width": "" if inches is None else _eighths(inches),
        "guess": _number(board.guess_low),
        "total_hours": _worked(board.total_hours, board.total_grain),
    }


def _quantities(board: Board, settings: Settings) -> Cells:
    """The cells of all that there is to do on a board."""
    cells = {}
    looked = any(value and name not in board.worked_out for name, value in board.assessed.items())
    for name in settings.quantities:
        asked_for = name in settings.drivers or name in settings.modifiers
        if looked and asked_for and name not in board.assessed:
            cells[LOOKED + name] = NOT_SEEN
        elif board.assessed.get(name) and name not in board.worked_out:
            cells[LOOKED + name] = _quantity(name, board.assessed[name], settings)
        elif looked and name in settings.modifiers and settings.modifiers[name].blank == "unknown":
            cells[LOOKED + name] = _quantity(name, 0.0, settings)
        for head, values in ((TURNED_OUT, board.found), (ASKED_LATER, board.later)):
            if name in values:
                cells[head + name] = _quantity(name, values[name], settings)
    return cells


def _quantity(name: str, value: float, settings: Settings) -> str:
    """One value: a number, the word of a grade, or yes and no."""
    if name in settings.drivers:
        return _number(value)
    grades = settings.modifiers[name].grades if name in settings.modifiers else ()
    return (grades or ("no", "yes"))[int(value)]


def _entry(entry: Entry) -> Cells:
    """The row of an entry."""
    return {
        "board": entry.board,
        "date": _date(entry.date),
        "until": _date(entry.until),
        "stage": entry.of or entry.stage,
        "hours": _worked(entry.hours, entry.grain),
        "done": {True: "yes", False: "no", None: ""}[entry.done],
        "again": entry.again,
        "note": entry.note,
    }


def _wait(wait: Wait) -> Cells:
    """The row of a wait."""
    return {
        "board": wait.board,
        "from": _date(wait.first),
        "until": _date(wait.until),
        "for": wait.cause,
        "note": wait.note,
    }


def _weighing(weighing: WeightReading) -> Cells:
    """The row of a weigh-in."""
    return {
        "board": weighing.board,
        "date": _date(weighing.date),
        "weight": f"{_number(weighing.weight_kg)} kg",
    }


SEED = 1414  # of some two thousand the one that has most to show: a long full restoration asked about, another in
# line, three of ten told days in danger, no rule wrong by luck, and a habit of his guesses that can be found
MADE_FROM_IT = {".estimator", "reports"}  # folders that commands make beside the files


@dataclass(frozen=True, slots=True)
class DemoShop:
    """An invented workshop with what no restorer ever sees.

    log: what is written down, up to the last day
    settings: the demo's own, with a stage for what was done again
    truth: by board id the job as it truly is: hours by stage, difficulty, all that was found
    coming: boards asked about on the last day, looked at in full, in no queue; their truth stands in `truth`
    """

    log: Log
    settings: Settings
    truth: Mapping[str, InventedJob] = field(repr=False)
    coming: tuple[Board, ...] = ()


def demo_settings() -> Settings:
    """The settings of the invented workshop."""
    settings, _ = parse_settings(demo_text())
    return settings


def make_shop(seed: int = SEED, *, coming: int = 0, tidy: bool = False) -> DemoShop:
    """An invented workshop by the recipe; another seed makes another one, the same seed the same.

    coming: so many further boards to forecast, which the log does not hold
    tidy: without what a real notebook does to a log (lost pages, whole days)

    >>> shop = make_shop()
    >>> len(shop.log.boards) > 140, shop.log.last_entry
    (True, datetime.date(2026, 9, 30))
    """
    settings = demo_settings()
    told = stories(seed)
    entries = [entry for story in told for entry in entries_of(Dice(seed, "done", story.board), story)]
    log = Log(
        boards=tuple(board_of(Dice(seed, "row", story.board), story, settings) for story in told),
        entries=tuple(entries),
        told=tuple(telling for story in told for telling in told_of(story)),
        waits=tuple(wait for story in told for wait in waits_of(story)),
        weighings=tuple(w for story in told for w in weighings_of(Dice(seed, "scales", story.board), story)),
    )
    if not tidy:
        log = messy(Dice(seed, "mess"), log, settings.workshop.hours_in_a_day)
    later = [_to_come(seed, number) for number in range(coming)]
    return DemoShop(
        log=_in_order(log, shop_entries(Dice(seed, "days"))),
        settings=settings.with_redo(),
        truth={story.board: story.job for story in (*told, *later)},
        coming=tuple(board_of(Dice(seed, "row", story.board), story, settings) for story in later),
    )


def _to_come(seed: int, number: int) -> Story:
    """A board asked about on the last day."""
    story = draw_story(Dice(seed, "coming", number), LAST_DAY)
    return replace(story, board=f"coming-{number:03d}")


def _in_order(log: Log, on_no_board: list[Entry]) -> Log:
    """The rows in the order in which they were written: by day."""
    return replace(
        log,
        entries=tuple(sorted([*log.entries, *on_no_board], key=lambda row: (row.date, row.board))),
        told=tuple(sorted(log.told, key=lambda row: (row.date, row.board))),
        waits=tuple(sorted(log.waits, key=lambda row: (row.first, row.board))),
        weighings=tuple(sorted(log.weighings, key=lambda row: (row.date, row.board))),
    )


def demo_texts(seed: int = SEED) -> dict[str, str]:
    """The files of the invented workshop, the settings last: name to text, the same on every machine."""
    settings = demo_settings()
    rows = rows_of(make_shop(seed).log, settings)
    texts = {}
    headers = csv_headers(settings)
    for file, its_rows in rows.items():
        text = io.StringIO()
        writer = csv.DictWriter(text, headers[file], restval="", lineterminator="\n")
        writer.writeheader()
        writer.writerows(its_rows)
        texts[file] = text.getvalue()
    return {**texts, SETTINGS_FILE: demo_text()}


def write_demo(folder: Path, *, seed: int = SEED) -> list[Path]:
    """Writes the invented workshop into a new or empty folder, or over an earlier one; the files in order.

    Either all of them are written or none.

    Raises
    ------
    UsageError
        If the folder holds anything else, or cannot be written.
    """
    texts = demo_texts(seed)
    try:
        if folder.exists() and not _may_write(folder, set(texts)):
            raise UsageError(
                f"{folder} is neither empty nor an invented workshop.", "Name a new folder, or an empty one."
            )
        write_workshop(folder, texts)
    except OSError as error:
        raise UsageError(f"{folder} cannot be written.", "Name a folder that you may write in.") from error
    return [folder / name for name in texts]


def _may_write(folder: Path, names: set[str]) -> bool:
    """Whether nothing that is not ours stands in the folder."""
    if not folder.is_dir():
        return False
    there = {path.name for path in folder.iterdir()}
    return not there or (there <= names | MADE_FROM_IT and is_demo(folder))


def telling_board(boards: Sequence[Board]) -> Board:
    """The board that shows most: in line, and the one that the restorer takes for the most work."""
    return max(
        boards,
        key=lambda b: (b.state == WAITING, b.guess or 0.0, len(b.assessed), b.board),
    )

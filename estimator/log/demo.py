"""The invented workshop: written to a folder, or made as records with the truth beside them."""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path

from estimator.log.demo_boards import board_of
from estimator.log.demo_diary import entries_of, shop_entries, told_of, waits_of, weighings_of
from estimator.log.demo_dice import Dice
from estimator.log.demo_files import rows_of
from estimator.log.demo_mess import messy
from estimator.log.demo_recipe import LAST_DAY, Job
from estimator.log.demo_stories import Story, draw_story, stories
from estimator.log.headers import csv_headers
from estimator.log.starter import is_demo, settings_text, write_all
from estimator.words.errors import UsageError
from estimator.words.records import Board, Entry, Log
from estimator.words.settings import Settings
from estimator.words.settings_file import parse_settings
from estimator.words.settings_values import SETTINGS_FILE

SEED = 4563  # of some thousand the one whose figures lie nearest to what the recipe comes to on average
MADE_FROM_IT = {".estimator", "reports"}  # folders that commands make beside the files


@dataclass(frozen=True, slots=True)
class DemoShop:
    """An invented workshop with what no restorer ever sees.

    log: what is written down, up to the last day
    settings: the demo's own
    truth: by board id the job as it truly is: hours by stage, difficulty, all that was found
    coming: boards asked about on the last day, looked at in full, in no queue; their truth stands in `truth`
    """

    log: Log
    settings: Settings
    truth: Mapping[str, Job] = field(repr=False)
    coming: tuple[Board, ...] = ()


def demo_settings() -> Settings:
    """The settings of the invented workshop."""
    settings, _ = parse_settings(settings_text("demo"))
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
        settings=settings,
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
    shop = make_shop(seed)
    rows = rows_of(shop.log, shop.settings)
    texts = {}
    for file, columns in csv_headers(shop.settings).items():
        text = io.StringIO()
        writer = csv.DictWriter(text, columns, restval="", lineterminator="\n")
        writer.writeheader()
        writer.writerows(rows[file])
        texts[file] = text.getvalue()
    return {**texts, SETTINGS_FILE: settings_text("demo")}


def write_demo(folder: Path, *, seed: int = SEED) -> list[Path]:
    """Writes the invented workshop into a new or empty folder, or over an earlier one; the files in order.

    All of them are written apart first and then moved into place, so that none is ever half there.

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
        write_all(folder, texts)
    except OSError as error:
        raise UsageError(f"{folder} cannot be written.", "Name a folder that you may write in.") from error
    return [folder / name for name in texts]


def _may_write(folder: Path, names: set[str]) -> bool:
    """Whether nothing that is not ours stands in the folder."""
    if not folder.is_dir():
        return False
    there = {path.name for path in folder.iterdir()}
    return not there or (there <= names | MADE_FROM_IT and is_demo(folder))

"""Sheets out of a book and back into it, through a spreadsheet program and without one, and what that costs.

Run from the top of the project: python tests/studies/study_exchange.py
First an invented workshop, all its sheets, is written out as .xlsx and .ods; LibreOffice opens each, saves it as .xlsx
and as .ods, and what it saved is imported: nothing may change. Then one cell of each sheet is corrected in what the
program saved: one row of that sheet may change, and no other. Then the same with 1,000 boards and 20,000 hours, with
the times of export and import as .xlsx, .ods and csv. Kept in results/exchange.md.
"""

from __future__ import annotations

import datetime as dt
import re
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from typing import TypeVar

sys.path[:0] = [str(Path(__file__).resolve().parents[1]), str(Path(__file__).resolve().parents[2])]

from making.spreadsheet_program import FLAT, PROGRAM, saved_again
from studies.results import keep
from studies.study_book import large

from estimator.demo.workshop import demo_settings, demo_texts, make_shop, rows_of
from estimator.log.book.store import BookStore
from estimator.log.exchange.export import export_log
from estimator.log.exchange.importing import ImportChoices, Imported, import_files
from estimator.log.store import Act
from estimator.words.settings.values import SETTINGS_FILE

NOON = dt.datetime(2026, 10, 4, 12, tzinfo=dt.UTC)
SEED = 1
NEWER = ImportChoices(newer=True)
GOOD_ROWS = ImportChoices(good_rows=True)  # the workshops put together have worked more than a day holds
TABLE = re.compile(r'<table:table table:name="(\w+)".*?</table:table>', re.DOTALL)
A_NUMBER = re.compile(r'office:value="(\d+(?:\.\d+)?)"')
A_DAY = re.compile(r'office:date-value="(\d{4}-\d\d-\d\d)')
Result = TypeVar("Result")
LINES: list[str] = []


def say(line: str) -> None:
    """Prints a line, and keeps it."""
    print(line, flush=True)
    LINES.append(line)


def timed(work: Callable[[], Result]) -> tuple[Result, float]:
    """What is worked out, and how many seconds it took."""
    began = time.perf_counter()
    return work(), time.perf_counter() - began


def workshop_book(folder: Path) -> BookStore:
    """The invented workshop as a book, every sheet of it."""
    folder.mkdir()
    (folder / SETTINGS_FILE).write_text(demo_texts()[SETTINGS_FILE], "utf-8")
    rows = rows_of(make_shop(SEED).log, demo_settings())

    def fill(act: Act) -> None:
        for name, of in rows.items():
            for row in of:
                act.append(name.removesuffix(".csv"), {column: cell for column, cell in row.items() if cell})
        act.append("notes", {"board": "shop", "date": "2026-05-04", "note": "=two parts\nand  of another"})
        act.append(
            "weights", {"board": rows["boards.csv"][-1]["board"], "date": "2026-05-04", "weight": "6.4 kg"}
        )

    return BookStore.create(folder, label="the workshop", at=NOON, fill=fill)


def outcome(done: Imported) -> str:
    """What an import did, in a few words."""
    changed = sum(done.changed.values()) + sum(done.added.values()) + sum(done.struck.values())
    return (
        f"{sum(done.skipped.values()):,} rows there already, {changed} changed, {len(done.problems)} problems"
    )


def unchanged(store: BookStore, files: list[Path], place: Path, name: str) -> list[Path]:
    """Says what comes of files that the program saved again, as both kinds."""
    made = []
    for kind in ("xlsx", "ods"):
        again, seconds = timed(lambda kind=kind: saved_again(files, kind, place / f"{name} {kind}"))
        say(f"{name}: opened and saved as .{kind} in {seconds / len(files):.1f} s a file")
        for before, after in zip(files, again, strict=True):
            done, seconds = timed(lambda after=after: import_files(store.folder, [after], NOON, NEWER))
            say(f"  {before.suffix} to .{kind}: {outcome(done)}, in {seconds:.2f} s")
            for change in done.changes[:5]:
                say(f"    {change.where}: {dict(change.before)} became {dict(change.after)}")
            for problem in done.problems[:5]:
                say(f"    {problem.sentence()}")
        made += again
    return made


def corrections(store: BookStore, file: Path, place: Path) -> None:
    """Corrects one cell of each sheet in what the program saved, and says which rows that changes."""
    [flat] = saved_again([file], FLAT, place / "flat")
    text = flat.read_text("utf-8")
    for table in TABLE.finditer(text):
        sheet, body = table[1], table[0]
        cell = next(iter(A_NUMBER.finditer(body)), None) or next(iter(A_DAY.finditer(body)), None)
        if cell is None:
            say(f"  {sheet}: it has neither a number nor a day to correct")
            continue
        new = (
            str(float(cell[1]) + 1)
            if "-" not in cell[1]
            else (dt.date.fromisoformat(cell[1]) - dt.timedelta(1)).isoformat()
        )
        begin, end = (table.start() + at for at in cell.span(1))
        one = place / f"corrected {sheet}.{FLAT}"
        one.write_text(f"{text[:begin]}{new}{text[end:]}", "utf-8")
        for kind in ("xlsx", "ods"):
            [after] = saved_again([one], kind, place / f"corrected {kind}")
            done = import_files(store.folder, [after], NOON, NEWER)
            where = ", ".join(f"{change.sheet} {change.row} {dict(change.after)}" for change in done.changes)
            say(f"  {sheet}, {cell[1]} corrected to {new}, saved as .{kind}: {outcome(done)}: {where}")
            if done.written:
                store.undo(None, NOON)


def main() -> None:
    """All of it."""
    version = subprocess.run(
        [str(PROGRAM), "--version"], capture_output=True, text=True, check=True
    ).stdout.split()
    say(f"{' '.join(version[:2])}, without a window")
    with tempfile.TemporaryDirectory() as folder:
        place = Path(folder)
        store = workshop_book(place / "shop")
        files = [place / "ours.xlsx", place / "theirs.ods"]
        for file in files:
            export_log(store, file, with_owners=True)
        again = unchanged(store, files, place, "invented workshop")
        say("one cell of each sheet corrected:")
        corrections(store, again[0], place)
        many = large(place / "large")
        out = [place / "many.xlsx", place / "much.ods", place / "much"]
        for target in out:
            _, seconds = timed(lambda target=target: export_log(many, target, with_owners=True))
            new = place / f"new {target.name}"
            new.mkdir()
            (new / SETTINGS_FILE).write_text(many.settings_text(), "utf-8")
            done, into_new = timed(
                lambda new=new, target=target: import_files(new, [target], NOON, GOOD_ROWS)
            )
            again_done, into_same = timed(
                lambda target=target: import_files(many.folder, [target], NOON, NEWER)
            )
            say(
                f"1,000 boards and 20,000 hours as {target.suffix or 'csv'}: written in {seconds:.1f} s, into a new book in "
                f"{into_new:.1f} s ({sum(done.added.values()):,} rows, {len(done.problems)} problems), into the same in "
                f"{into_same:.1f} s ({outcome(again_done)})"
            )
        unchanged(many, out[:2], place, "1,000 boards and 20,000 hours")
    keep("exchange", str(SEED), LINES)


if __name__ == "__main__":
    main()

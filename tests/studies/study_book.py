"""The book: what an act, a reading, an export and an import cost, and what kills and writers at once leave of it.

Run from the top of the project: python tests/studies/study_book.py [ACTS]
Prints the time of an act (wanted: 60 ms) in a small and in a large book, of reading 20,000 hours and 1,000 boards
(wanted: 1.5 s), of all that out into spreadsheets and into a new book, and the sizes of the files; then does ACTS acts (1,000) by processes that are killed at random moments,
and twice as many by two processes at once, and counts what is lost or doubled. Killing a process is no proof against
power loss: what the system has taken over is written there, whoever is killed. Kept in results/book.md.
"""

from __future__ import annotations

import datetime as dt
import random
import sqlite3
import statistics
import sys
import tempfile
import time
from collections import Counter
from pathlib import Path

sys.path[:0] = [str(Path(__file__).resolve().parents[1]), str(Path(__file__).resolve().parents[2])]

from making.books import book, log_of
from making.writing import killed_until_done, writer
from studies.results import keep

from estimator.demo.workshop import demo_settings, demo_texts, make_shop, rows_of
from estimator.log.book.store import BookStore
from estimator.log.exchange.export import export_log
from estimator.log.exchange.importing import ImportChoices, import_files
from estimator.log.store import Act
from estimator.words.settings.values import SETTINGS_FILE

NOON = dt.datetime(2026, 6, 4, 12, tzinfo=dt.UTC)
LATER = dt.datetime(2030, 1, 1, tzinfo=dt.UTC)  # after all days of the invented workshops
BOARDS, HOURS = 1_000, 20_000


LINES: list[str] = []  # that were said


def say(line: str) -> None:
    """Prints a line, and keeps it."""
    LINES.append(line)
    print(line, flush=True)


def large(folder: Path) -> BookStore:
    """A book of so many boards and hours, made of invented workshops one after another."""
    folder.mkdir()
    (folder / SETTINGS_FILE).write_text(demo_texts()[SETTINGS_FILE], "utf-8")

    def rows(act: Act) -> None:
        count = {"boards": 0, "hours": 0}
        there: dict[str, None] = {}
        for seed in range(100):
            of = rows_of(make_shop(seed).log, demo_settings())
            for sheet, most in (("boards", BOARDS), ("hours", HOURS)):
                for row in of[f"{sheet}.csv"]:
                    if count[sheet] < most:
                        board = row["board"] if row["board"] == "shop" else f"{seed}/{row['board']}"
                        if sheet == "boards":
                            there[board] = None
                        elif board != "shop" and board not in there:  # of a board beyond so many
                            board = list(there)[count[sheet] % BOARDS]
                        own = {"called": ""} if sheet == "boards" else {}
                        act.append(
                            sheet,
                            {name: cell for name, cell in {**row, **own, "board": board}.items() if cell},
                        )
                        count[sheet] += 1
            if count == {"boards": BOARDS, "hours": HOURS}:
                return

    began = time.perf_counter()
    store = BookStore.create(folder, label="all of it", at=NOON, fill=rows)
    say(f"written in one act: {time.perf_counter() - began:.1f} s, with making it up")
    return store


def timed(store: BookStore, what: str) -> None:
    """Prints the time of 100 acts, a day's copy apart, and of reading after each."""
    acts, reads, board = [], [], log_of(store)[0].boards[0].board
    for number in range(101):
        began = time.perf_counter()
        with store.act("an act", NOON, key=f"{what}-{number}", digest="x") as act:
            act.append("hours", {"board": board, "date": "2026-05-04", "stage": "strip", "hours": "0"})
        acts.append(1000 * (time.perf_counter() - began))
    for _ in range(5):
        with store.act("an act", NOON) as act:
            act.append("hours", {"board": board, "date": "2026-05-04", "stage": "strip", "hours": "0"})
        began = time.perf_counter()
        raw, _ = store.read()
        reads.append(time.perf_counter() - began)
    began = time.perf_counter()
    store.held()
    again = time.perf_counter() - began
    began = time.perf_counter()
    log_of(store)
    whole = time.perf_counter() - began
    began = time.perf_counter()
    BookStore(store.folder)
    opened = time.perf_counter() - began
    sizes = ", ".join(f"{len(sheet.rows) - 1:,} {sheet.sheet}" for sheet in raw.sheets)
    say(f"{what}: {sizes}; the file has {store.path.stat().st_size / 1e6:.1f} MB")
    say(
        f"  an act {statistics.median(acts[1:]):.1f} ms, the slowest of 100 {max(acts[1:]):.1f} ms, the first of a day "
        f"{acts[0]:.1f} ms"
    )
    say(
        f"  raw sheets after a change {statistics.median(reads):.2f} s, asked again {again * 1000:.1f} ms, the whole "
        f"log as records {whole:.2f} s, opened {opened * 1000:.0f} ms"
    )


def out_and_in(store: BookStore, top: Path) -> None:
    """Says how long all of it takes out into files, and from there into a new book."""
    for name in ("out.xlsx", "out.ods", "out"):
        began = time.perf_counter()
        files = export_log(store, top / name, with_owners=True).files
        out = time.perf_counter() - began
        new = top / f"new-{name}"
        new.mkdir()
        (new / SETTINGS_FILE).write_text(store.settings_text(), "utf-8")
        began = time.perf_counter()
        done = import_files(new, [top / name], LATER, ImportChoices(good_rows=True))
        size = sum(file.stat().st_size for file in files) / 1e6
        kind = name.removeprefix("out") or " csv"
        say(
            f"all of it as{kind}: out {out:.1f} s, {size:.1f} MB; into a new book {time.perf_counter() - began:.1f} s, "
            f"{sum(done.added.values()):,} rows, {done.left_out} left out"
        )


def lost(folder: Path, names: list[str]) -> str:
    """How many acts are lost, doubled or torn."""
    store = BookStore(folder)
    log, _, _ = log_of(store)
    acts = Counter(act.sentence for act in store.acts(1_000_000))
    halves = Counter(entry.note for entry in log.entries)
    gone = sum(not acts[name] for name in names)
    twice = sum(acts[name] > 1 for name in names) + sum(many > 1 for many in halves.values())
    torn = sum(halves[f"{name} 1"] != halves[f"{name} 2"] for name in names)
    return f"{len(names):,} acts, {gone} lost, {twice} doubled, {torn} torn; {len(log.weighings):,} weights"


def main() -> None:
    """Measures, then kills."""
    many = int(sys.argv[1]) if len(sys.argv) > 1 else 1_000
    say(f"SQLite {sqlite3.sqlite_version}")
    with tempfile.TemporaryDirectory() as top:
        timed(book(Path(top) / "small", boards=[{"board": "A"}]), "small")
        store = large(Path(top) / "large")
        timed(store, "large")
        out_and_in(store, Path(top))
        dice = random.Random(0)
        folder = book(Path(top) / "kills", boards=[{"board": "A"}]).folder
        kills = killed_until_done(folder, many, lambda: dice.uniform(0.02, 0.25))
        say(f"{kills} kills: {lost(folder, [f'w-{n}' for n in range(many)])}")
        folder = book(Path(top) / "two", boards=[{"board": "A"}]).folder
        began = time.perf_counter()
        for process in [writer(folder, name, many) for name in "ab"]:
            process.communicate()
        names = [f"{name}-{n}" for name in "ab" for n in range(many)]
        say(f"two at once: {lost(folder, names)}, in {time.perf_counter() - began:.0f} s")
    keep("book", "0", LINES)


if __name__ == "__main__":
    main()

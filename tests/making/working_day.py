"""A workshop in this trade over any kind of store, and the steps of its days."""

import csv
import datetime as dt
from types import SimpleNamespace

from estimator.counter.answer_files import KeptAnswer
from estimator.counter.answers import answered
from estimator.log.book.store import BookStore
from estimator.log.columns import csv_headers
from estimator.log.starter import starter_text
from estimator.log.store import PAGE, FileStore, Sent
from estimator.shop import Shop
from estimator.words.settings.reader import parse_settings
from estimator.working_day import as_written

MAY = dt.date(2026, 5, 4)  # a Monday
COLUMNS = (
    "board,called,owner,reach,kind,length,width,asked,quoted,accepted,started,ready,collected,paid_on,state\n"
)
BOARDS = (
    "26-001,red nine-four,Ines Calder,,major,9'4,22 1/2 in,2026-04-06,2026-04-07,2026-04-08,,,,,\n"
    "26-002,green fish,Odo Marsh,,minor,5'10,,2026-04-20,,,,,,,\n"
)


def in_files(folder, boards=BOARDS, *, sheets=()):
    """A folder of csv files; boards has a few of its columns only, other sheets none or all."""
    settings, _ = parse_settings(starter_text())
    (folder / "workshop.toml").write_text(starter_text(), "utf-8")
    (folder / "boards.csv").write_text(COLUMNS + boards, "utf-8")
    for name, columns in csv_headers(settings).items():
        if name.removesuffix(".csv") in sheets:
            (folder / name).write_text(",".join(columns) + "\n", "utf-8")
    return FileStore(folder)


def in_a_book(folder, boards=BOARDS, *, sheets=()):
    """The same rows in a book."""
    (folder / "workshop.toml").write_text(starter_text(), "utf-8")
    columns = COLUMNS.strip().split(",")

    def rows(act):
        for row in csv.reader(boards.splitlines()):
            act.append("boards", dict(zip(columns, row, strict=True)))

    return BookStore.create(
        folder, label="the log so far", at=dt.datetime.combine(MAY, dt.time(8)), fill=rows
    )


STORES = {"files": in_files, "book": in_a_book}


def opened(kind, tmp_path, **given):
    """The workshop, and what does a step on a day: a number of days after MAY, or a day."""
    folder = tmp_path / "shop"
    folder.mkdir(parents=True)
    shop = Shop(STORES[kind](folder, **given), today=MAY)

    def do(step, on=0, key=""):
        day = MAY + dt.timedelta(days=on) if isinstance(on, int) else on
        return shop.do(step, Sent(dt.datetime.combine(day, dt.time(12)), key, PAGE))

    def now(on=0):
        return shop.snapshot(MAY + dt.timedelta(days=on) if isinstance(on, int) else on)

    return SimpleNamespace(
        shop=shop, do=do, now=now, folder=folder, board=lambda name, on=400: as_written(now(on)).board(name)
    )


class AtOnce:
    """Whoever works answers out, while one waits."""

    gone = False

    def __init__(self, counter):
        self.counter = counter

    def ask(self, question, as_of):
        """Works an answer out, and leaves it."""
        now = self.counter.shop.snapshot(as_of.looked_from)
        KeptAnswer(as_of, *answered(now, question, lambda *_: None)).save(question, self.counter.folder)

    def close(self):
        """Nothing."""

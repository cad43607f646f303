"""A shop that stays open: it sees what others write, several may ask it at once, and a snapshot never changes."""

import datetime as dt
import os
import subprocess
import sys
import threading
from concurrent.futures import ThreadPoolExecutor

import pytest
from making.folders import HOURS, SETTINGS, TODAY, folder

from estimator.log.store import FileReading
from estimator.model import fit as model
from estimator.shop import Shop
from estimator.words.errors import SettingsError, UsageError
from estimator.words.records import Told

A_DAY = dt.timedelta(days=1)


@pytest.fixture
def place(tmp_path):
    return folder(tmp_path / "shop")


def answers(asked):
    """What is said of a workshop, as text."""
    said = asked.range("26-002", dates=True).as_dict(), asked.bench().as_dict()
    return repr((*said, asked.problems, asked.notes, len(asked.boards), asked.overruns().as_dict()))


def write_hours(place, more="26-001,2026-05-27,gloss,2,\n"):
    with (place / "hours.csv").open("a", encoding="utf-8") as file:
        file.write(more)


def test_a_shop_sees_at_its_next_question_what_another_wrote(place):
    shop = Shop.open(place, today=TODAY)
    before = answers(shop)
    write_hours(place)
    assert len(shop.log.entries) == 3
    assert len(shop.hours) == 3
    assert answers(shop) == answers(Shop.open(place, today=TODAY)) != before
    (place / "workshop.toml").write_text(SETTINGS.replace("places = 1", "places = 2"), "utf-8")
    assert shop.settings.bench.places == 2


def test_the_day_goes_on_with_the_log_where_none_was_given(place):
    shop = Shop.open(place)
    assert shop.today == dt.date(2026, 5, 30)
    write_hours(place, "shop,2026-06-03,,1,\n")
    assert shop.today == dt.date(2026, 6, 4)
    assert shop.snapshot(TODAY).today == TODAY


def test_a_snapshot_says_the_same_whatever_is_written(place):
    shop = Shop.open(place, today=TODAY)
    held = shop.snapshot()
    late = shop.snapshot(TODAY + 3 * A_DAY)  # not asked yet
    told = answers(held)
    shop.tell(Told("26-003", TODAY))
    write_hours(place)
    (place / "workshop.toml").write_text("nonsense", "utf-8")
    assert answers(held) == told
    assert len(late.log.entries) == 2
    with pytest.raises(SettingsError):
        shop.range("26-001")
    with pytest.raises(SettingsError):
        Shop.open(place)


def test_what_nobody_changed_is_not_worked_out_again(place, monkeypatch):
    reads, true = [], FileReading.read
    monkeypatch.setattr(FileReading, "read", lambda self: reads.append(1) or true(self))
    shop = Shop.open(place, today=TODAY)
    first = answers(shop)
    assert answers(shop) == first
    assert len(reads) == 1
    write_hours(place)
    assert answers(shop) != first
    assert len(reads) == 2


def test_dates_that_the_bench_kept_are_said_from_then_on(place):
    shop = Shop.open(place, today=TODAY)
    held = shop.snapshot()
    assert held.range("26-001").ready is shop.range("26-001").ready is None
    Shop.open(place, today=TODAY).bench()  # of another process
    assert shop.range("26-001").ready is not None
    assert held.range("26-001").ready is None


def test_each_part_is_worked_out_once_however_many_ask_at_once(place, monkeypatch):
    fits, true = [], model.fit
    monkeypatch.setattr(model, "fit", lambda *args, **options: fits.append(1) or true(*args, **options))
    shop = Shop.open(place, today=TODAY)
    with ThreadPoolExecutor(8) as pool:
        said = set(pool.map(lambda _: repr(shop.range("26-001").as_dict()), range(8)))
    assert (len(said), len(fits)) == (1, 1)


TELLS = """
import datetime as dt, sys
from estimator.cli.commands import cli

for n in range(3):
    try:
        cli(["told", "26-002", "--hours", f"{20 + n}-{40 + n}", "--because", "hidden work" if n else "quote",
             "--shop", sys.argv[1], "--today", "2026-06-01"])
    except SystemExit as end:
        assert not end.code, end.code
"""


def test_eight_threads_ask_while_a_command_writes_and_nothing_is_lost(place):
    shop = Shop.open(place, today=TODAY)
    seen, errors, over = {}, [], threading.Event()

    def ask():
        while True:
            last = over.is_set()
            try:
                now = shop.snapshot()
                rows = len(now.log.told)
                bench = now.bench().as_dict()  # first: with it, a range says when, too
                said = repr((rows, now.range("26-002").as_dict(), bench))
                seen.setdefault((rows, now.digest), set()).add(said)
            except Exception as error:  # noqa: BLE001  shown below, whatever it is
                errors.append(error)
            if last:
                return

    threads = [threading.Thread(target=ask) for _ in range(8)]
    for thread in threads:
        thread.start()
    # as many threads of linear algebra as here, for sums in another order move the last digits of a fit
    path = {**os.environ, "PYTHONPATH": ":".join(path for path in sys.path if path)}
    done = subprocess.run(
        [sys.executable, "-c", TELLS, str(place)], env=path, check=False, capture_output=True, text=True
    )
    with ThreadPoolExecutor(4) as pool:  # and four of the same process at once
        list(
            pool.map(
                lambda n: shop.tell(Told("26-001", TODAY, 5, 9 + n, because="late"), hours=False), range(4)
            )
        )
    over.set()
    for thread in threads:
        thread.join()
    assert done.returncode == 0, done.stderr
    assert errors == []
    assert len(shop.log.told) == 7
    assert sorted(told.hours_high for told in shop.log.told) == [9, 10, 11, 12, 40, 41, 42]
    assert max(rows for rows, _ in seen) == 7
    # of one state of the log all threads say the same, and what one says who opens it then
    assert {len(said) for said in seen.values()} == {1}
    fresh = Shop.open(place, today=TODAY).snapshot()
    again = repr((7, fresh.range("26-002").as_dict(), fresh.bench().as_dict()))
    assert seen[7, fresh.digest] == {again}


def test_a_writer_and_an_asker_of_one_board_do_not_both_win(place):
    first, second = (Shop.open(place, today=TODAY).snapshot() for _ in range(2))
    board = first.log.by_id["26-002"]
    rows = [one.own_row(board) for one in (first, second)]
    assert rows[0] == rows[1]
    (place / "boards.csv").write_text(
        (place / "boards.csv").read_text("utf-8").replace("assessed_area", "decided,decided_why,assessed_area")
        .replace(",2\n", ",,,2\n").replace(",4\n", ",,,4\n").replace(",1\n", ",,,1\n"), "utf-8",
    )  # fmt: skip
    shop = Shop.open(place, today=TODAY)
    assert shop.decide("26-002", "yes", why="that shape").before is None
    assert shop.decide("26-002", "no", why="no room").before.answer == "yes"
    with pytest.raises(UsageError, match="No board is called"):
        shop.decide("26-009", "no", why="no room")


def test_hours_are_read_as_they_were_written(place):
    assert Shop.open(place).hours["hours"].tolist() == [5, 1]
    assert HOURS.count("\n") == 3


def test_what_was_worked_out_once_is_read_and_not_worked_out_again(place, monkeypatch):
    """Another look at the same log runs no days through, and learns nothing."""

    def all_said():
        shop = Shop.open(place, today=TODAY)
        said = answers(shop), shop.weigh("26-003", price=900.0).as_dict(), shop.promise("26-002")
        return repr((*said, shop.range("26-002", dates=True).as_dict(), shop.morning().as_dict()))

    first = all_said()

    def never(*_args, **_kwargs):
        raise AssertionError("worked out again")

    monkeypatch.setattr("estimator.bench.outlook.simulate", never)
    monkeypatch.setattr("estimator.decide.overruns.overruns.board_overruns", never)
    monkeypatch.setattr(model, "fit", never)
    assert all_said() == first
    write_hours(place)
    with pytest.raises(AssertionError, match="again"):
        all_said()

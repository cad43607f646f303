"""A workshop folder looked back on: what is kept, what is not done twice, and what it changes."""

import datetime as dt
import json
import re

import pytest
from making.rules import rules

from estimator.forecast.calibration import (
    DATES,
    HOURS,
    Stretch,
    stretch_file,
    stretches_from_json,
    stretches_to_json,
)
from estimator.log.cache import keep
from estimator.log.cache import kept as kept_text
from estimator.record.backtest.replay import Replay
from estimator.shop import Shop
from estimator.words.errors import NoAnswerError
from estimator.words.records import Told

SETTINGS = """
[drivers.area]
label = "Area"
[stages.strip]
drivers = ["once", "area"]
[stages.sand]
drivers = ["area"]
after = ["strip"]
""" + rules(metre=(1, 4), sanding=(0.7, 3))
FIRST = dt.date(2025, 1, 6)


def hours_of(i):
    return 3.0 + 2.0 * (1 + i % 3) * (1.0, 1.3, 0.8, 1.6)[i % 4]


def write(folder, n):
    boards = ["board,quoted,started,ready,kind,guess,assessed_area,found_area"]
    hours = ["board,date,stage,hours"]
    for i in range(n):
        quoted = FIRST + dt.timedelta(days=14 * i)
        ready = quoted + dt.timedelta(days=7)
        boards.append(f"b{i},{quoted},{quoted},{ready},,{hours_of(i):.0f},{1 + i % 3},{1 + i % 3}")
        hours.append(f"b{i},{quoted},strip,{hours_of(i):.2f}")
        hours.append(f"b{i},{ready},sand,{1.5 * (1 + i % 3):.2f}")
    (folder / "workshop.toml").write_text(SETTINGS, "utf-8")
    (folder / "boards.csv").write_text("\n".join(boards) + "\n", "utf-8")
    (folder / "hours.csv").write_text("\n".join(hours) + "\n", "utf-8")
    return folder


@pytest.fixture
def made(monkeypatch):
    """The boards that were forecast anew."""
    boards, true = [], Replay.forecast

    def counting(self, board, near=None):
        boards.append(board.board)
        return true(self, board, near)

    monkeypatch.setattr(Replay, "forecast", counting)
    return boards


def record(folder, today=None):
    return Shop.open(folder, today=today).record(jobs=1)


def test_a_record_is_worked_out_once_and_a_new_board_costs_one_forecast(tmp_path, made):
    write(tmp_path, 12)
    first = record(tmp_path)
    assert len(made) == 12
    assert record(tmp_path).as_dict() == first.as_dict()
    assert len(made) == 12
    write(tmp_path, 13)
    more = record(tmp_path)
    assert made[12:] == ["b12"]
    assert len(more.boards) == 13
    assert more.boards[:12] == first.boards


def test_a_changed_row_of_the_past_is_noticed(tmp_path, made):
    write(tmp_path, 12)
    record(tmp_path)
    file = tmp_path / "hours.csv"
    file.write_text(
        file.read_text("utf-8").replace("b5,", "b5,", 1).replace(f"strip,{hours_of(5):.2f}", "strip,19.00", 1)
    )
    made.clear()
    record(tmp_path)
    assert set(made) <= {f"b{i}" for i in range(12)}
    assert 0 < len(made) < 12


def test_a_range_takes_the_newest_record_and_says_of_what_day(tmp_path):
    write(tmp_path, 20)
    described = {"area": 2}
    before = Shop.open(tmp_path).range(described)
    assert (before.stretch, before.stretch_day) == ((1.0, 1.0), "")
    seen = record(tmp_path)
    after = Shop.open(tmp_path).range(described)
    assert after.stretch == seen.stretch
    assert after.stretch_day == seen.as_of
    assert after.likely == pytest.approx(before.likely)
    assert after.high != before.high


def test_an_earlier_day_takes_the_record_of_its_time(tmp_path):
    write(tmp_path, 20)
    early = FIRST + dt.timedelta(days=150)
    record(tmp_path, early)
    record(tmp_path)
    kept = stretches_from_json(kept_text(stretch_file(tmp_path / ".estimator")))
    assert [s.day for s in kept] == [early.isoformat(), "2025-10-07"]
    assert Shop.open(tmp_path, today=early).range({"area": 2}).stretch_day == early.isoformat()
    assert Shop.open(tmp_path, today=early - dt.timedelta(days=1)).range({"area": 2}).stretch_day == ""


def test_looking_from_an_earlier_day_knows_no_later_board(tmp_path):
    write(tmp_path, 12)
    early = FIRST + dt.timedelta(days=50)
    shop = Shop.open(tmp_path, today=early)
    seen = shop.record(jobs=1)
    assert [b.board for b in seen.boards] == ["b0", "b1", "b2", "b3"]
    assert seen.learned_from == 4
    assert {b.board for b in shop.fit().boards} == {"b0", "b1", "b2", "b3"}


def test_the_work_in_hand_of_a_quarter_is_as_of_its_last_day_whenever_it_is_read(tmp_path):
    """Read on the day itself or weeks later, before anything else was asked: the same board, hours and dates."""
    said = []
    for day in (dt.date(2025, 9, 30), dt.date(2025, 10, 1), dt.date(2025, 11, 20)):
        folder = tmp_path / str(day)
        folder.mkdir()
        write(
            folder, 20
        )  # the last one is taken on the day before the quarter ends, and begun four days later
        for file, was, now in (
            ("boards.csv", "quoted,", "quoted,accepted,"),
            ("boards.csv", "b19,2025-09-29,2025-09-29,", "b19,2025-09-29,2025-09-29,2025-10-03,"),
            ("hours.csv", "b19,2025-09-29,", "b19,2025-10-03,"),
        ):
            text = (folder / file).read_text("utf-8").replace(was, now, 1)
            if now == "quoted,accepted,":
                text = re.sub(r"(?m)^(b(?!19)\d+,)([^,]+,)", r"\1\2\2", text)
            (folder / file).write_text(text, "utf-8")
        said.append(Shop.open(folder, today=day).quarter("2025-Q3", jobs=1).in_hand)
    assert [board.board for board in said[0]] == ["b19"]
    assert said[0] == said[1] == said[2]
    range_ = Shop.open(tmp_path / "2025-11-20", today=dt.date(2025, 9, 30)).range("b19")
    assert range_.stretch != (1.0, 1.0)
    assert range_.high == said[0][0].hours.high


def test_a_rule_said_after_a_day_is_not_known_on_it_though_nothing_else_was_written_since(tmp_path):
    write(tmp_path, 20)
    late = SETTINGS.replace("[[rules]]", "[[rules]]\nsaid = 2026-01-10", 1)
    (tmp_path / "workshop.toml").write_text(late, "utf-8")
    before, on = (Shop.open(tmp_path, today=dt.date(2026, 1, day)) for day in (9, 10))
    assert len(on.known[1]) - len(before.known[1]) == 1


@pytest.mark.parametrize("spoilt", ["", "nonsense", "[]", '{"k": 3}'])
def test_a_spoilt_cache_is_made_anew(tmp_path, made, spoilt):
    write(tmp_path, 9)
    record(tmp_path)
    (file,) = (tmp_path / ".estimator").glob("record-*.json")
    file.write_text(spoilt, "utf-8")
    made.clear()
    record(tmp_path)
    assert len(made) == 9
    assert json.loads(kept_text(file))


def test_a_folder_that_cannot_be_written_has_a_record_too(tmp_path):
    write(tmp_path, 9)
    (tmp_path / ".estimator").write_text("in the way", "utf-8")
    assert len(record(tmp_path).boards) == 9


def test_an_empty_workshop_says_how_many_boards_it_takes(tmp_path):
    write(tmp_path, 0)
    seen = record(tmp_path)
    assert (seen.missing, seen.boards, seen.stretch) == (8, (), (1.0, 1.0))
    assert not stretch_file(tmp_path / ".estimator").exists()


def in_hand(folder, n=12, area=3):
    """Boards finished, and one taken on that waits; and a day to look from."""
    write(folder, n)
    day = FIRST + dt.timedelta(days=14 * (n - 1) + 8)
    file = folder / "boards.csv"
    head, *rows = file.read_text("utf-8").splitlines()
    rows = [row.replace(",", ",,", 1) for row in rows]
    rows.append(f"w,{day},{day},,,,,{area},")
    file.write_text("\n".join([head.replace(",", ",accepted,", 1), *rows]) + "\n", "utf-8")
    return day


def days_of(ready):
    return ready.low, ready.likely, ready.high


def test_a_board_in_hand_has_the_dates_that_the_bench_says(tmp_path):
    day = in_hand(tmp_path)
    (promise,) = Shop.open(tmp_path, today=day).bench().promises
    said = Shop.open(tmp_path, today=day).range("w", dates=True).ready
    assert promise.board == "w"
    assert days_of(said) == days_of(promise.ready)
    assert said.say_yes_by is None


def test_a_described_board_comes_after_those_ahead_of_it(tmp_path):
    day = in_hand(tmp_path)
    shop = Shop.open(tmp_path, today=day)
    behind, ahead = (shop.range(which, dates=True).ready for which in ({"area": 3}, "w"))
    assert behind.say_yes_by == day + dt.timedelta(days=7)
    assert behind.likely > ahead.likely


def test_dates_are_said_only_where_the_bench_was_worked_out_for_this_log_and_day(tmp_path):
    day = in_hand(tmp_path)
    assert Shop.open(tmp_path, today=day).range("w").ready is None
    (promise,) = Shop.open(tmp_path, today=day).bench().promises
    assert days_of(Shop.open(tmp_path, today=day).range("w").ready) == days_of(promise.ready)
    assert Shop.open(tmp_path, today=day + dt.timedelta(days=1)).range("w").ready is None
    with (tmp_path / "hours.csv").open("a", encoding="utf-8") as file:
        file.write(f"w,{day},strip,0.5\n")
    assert Shop.open(tmp_path, today=day).range("w").ready is None


def test_a_bench_without_boards_is_empty(tmp_path):
    write(tmp_path, 12)
    for day in (None, dt.date(2025, 7, 1)):
        assert Shop.open(tmp_path, today=day).bench().promises == ()


def test_a_workshop_without_a_log_says_that_no_day_is_known(tmp_path):
    write(tmp_path, 0)
    with pytest.raises(NoAnswerError, match="No day is known"):
        Shop.open(tmp_path).bench()
    assert Shop.open(tmp_path, today=FIRST).bench().promises == ()


def test_dates_left_out_of_a_telling_are_those_of_the_bench(tmp_path):
    day = in_hand(tmp_path)
    (promise,) = Shop.open(tmp_path, today=day).bench().promises
    shop = Shop.open(tmp_path, today=day)
    shop.tell(Told("w", day))
    (told,) = Shop.open(tmp_path, today=day).log.told
    assert (told.first, told.last) == (promise.ready.low, promise.ready.high)


def taught(folder, day, low, high, of=DATES):
    """A record of an earlier day that taught so much."""
    text = stretches_to_json([Stretch(low, high, (day - dt.timedelta(days=1)).isoformat(), of)])
    keep(stretch_file(folder / ".estimator"), text)


def test_what_the_record_of_dates_taught_moves_boards_in_line_and_new_ones(tmp_path):
    day = in_hand(tmp_path)
    with (tmp_path / "boards.csv").open("a", encoding="utf-8") as file:
        file.write(f"x,{day},{day},{day},,,,3,\n")
    with (tmp_path / "hours.csv").open("a", encoding="utf-8") as file:
        file.write(f"x,{day},strip,0.5\n")

    def seen():
        shop = Shop.open(tmp_path, today=day)
        promises = {p.board: p for p in shop.bench().promises}
        return promises["w"], promises["x"], shop.range({"area": 3}, dates=True).ready

    (line, begun, new), _ = seen(), taught(tmp_path, day, 1.0, 1.6)
    (moved, as_it_was, new_moved) = seen()
    assert (line.on, begun.on) == ("queue", "bench")
    assert moved.ready.likely == line.ready.likely
    assert moved.ready.low == line.ready.low
    assert moved.ready.high > line.ready.high
    assert max(moved.points) > max(line.points)
    assert as_it_was == begun
    assert new_moved.likely == new.likely
    assert new_moved.high > new.high
    assert days_of(Shop.open(tmp_path, today=day).range("w").ready) == days_of(moved.ready)


def test_the_chance_of_a_day_told_rests_on_the_same_days_as_the_range(tmp_path):
    day = in_hand(tmp_path, area=40)
    (plain,) = Shop.open(tmp_path, today=day).bench().promises
    Shop.open(tmp_path, today=day).tell(Told("w", day, last=plain.ready.high), hours=False)
    before = Shop.open(tmp_path, today=day).bench().promises[0].chance_kept
    taught(tmp_path, day, 1.6, 1.6)
    (promise,) = Shop.open(tmp_path, today=day).bench().promises
    assert promise.chance_kept < before
    assert before >= 0.9
    Shop.open(tmp_path, today=day).tell(Told("w", day, last=promise.ready.high, because="late"), hours=False)
    assert Shop.open(tmp_path, today=day).bench().promises[0].chance_kept >= 0.9


def test_dates_that_were_worked_out_before_the_record_are_not_said_after_it(tmp_path):
    day = in_hand(tmp_path)
    Shop.open(tmp_path, today=day).bench()
    assert Shop.open(tmp_path, today=day).range("w").ready is not None
    taught(tmp_path, day, 1.0, 1.6)
    assert Shop.open(tmp_path, today=day).range("w").ready is None


def test_hours_have_a_stretch_of_their_own_that_moves_no_dates(tmp_path):
    day = in_hand(tmp_path)
    plain = Shop.open(tmp_path, today=day).range("w", dates=True)
    taught(tmp_path, day, 1.4, 1.4, HOURS)
    said = Shop.open(tmp_path, today=day).range("w", dates=True)
    assert said.high > plain.high
    assert days_of(said.ready) == days_of(plain.ready)
    taught(tmp_path, day, 1.4, 1.4)
    said = Shop.open(tmp_path, today=day).range("w", dates=True)
    assert (said.high, said.stretch) == (plain.high, (1.0, 1.0))


def test_a_record_keeps_what_it_taught_of_dates_beside_what_it_taught_of_hours(tmp_path):
    write(tmp_path, 12)
    file = tmp_path / "boards.csv"
    head, *rows = file.read_text("utf-8").splitlines()
    rows = [",".join([*row.split(",")[:2], row.split(",")[1], *row.split(",")[2:]]) for row in rows]
    file.write_text("\n".join([head.replace("quoted,", "quoted,accepted,"), *rows]) + "\n", "utf-8")
    hours = tmp_path / "hours.csv"
    lines = hours.read_text("utf-8").splitlines()
    later = [lines[0], *(shifted(line) for line in lines[1:])]
    hours.write_text("\n".join(later) + "\n", "utf-8")
    seen = record(tmp_path)
    kept = stretches_from_json(kept_text(stretch_file(tmp_path / ".estimator")))
    assert {one.of: (one.low, one.high) for one in kept} == {
        HOURS: seen.stretch,
        DATES: seen.stretch_of_dates,
    }
    assert seen.dates_from > 5
    assert seen.stretch_of_dates != (1.0, 1.0)
    told = seen.as_dict()
    assert told["stretch_of_dates"] == dict(zip(("low", "high"), seen.stretch_of_dates, strict=True))
    assert [count["odds"] for count in told["raw"]["dates"]] == [count["odds"] for count in told["dates"]]


def shifted(line):
    """A row of hours, that of the first day a day later."""
    board, date, stage, hours = line.split(",")
    day = dt.date.fromisoformat(date) + dt.timedelta(days=stage == "strip")
    return f"{board},{day},{stage},{hours}"


def test_a_small_wish_after_months_late_does_not_wash_the_record(tmp_path):
    """Told by a day; hidden work makes it late; half a square metre more excuses the days of that alone."""
    day = in_hand(tmp_path)
    first = day + dt.timedelta(days=3)
    Shop.open(tmp_path, today=day).tell(Told("w", day, last=first), hours=False)
    shop = Shop.open(tmp_path, today=day)
    nothing = shop.tell(Told("w", day, last=day + dt.timedelta(120), because="asked later"), hours=False)
    assert (nothing.told.adds_days, nothing.judged.last) == (None, first)
    file = tmp_path / "boards.csv"
    head, *rows = file.read_text("utf-8").splitlines()
    rows = [f"{row},{20 if row.startswith('w,') else ''}" for row in rows]
    file.write_text("\n".join([f"{head},later_area", *rows]) + "\n", "utf-8")
    shop = Shop.open(tmp_path, today=day)
    kept = shop.tell(Told("w", day, last=day + dt.timedelta(120), because="asked later"), hours=False)
    assert 0 < kept.told.adds_days < 30
    assert kept.judged.last == first + dt.timedelta(days=kept.told.adds_days)
    (promise,) = Shop.open(tmp_path, today=day).bench().promises
    assert promise.told.first_last == kept.judged.last

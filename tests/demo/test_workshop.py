"""The invented workshop: the same bytes each time, whole or not at all, and a log that hangs together."""

import datetime as dt
import hashlib
import os
import re
from collections import defaultdict
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from making.folders import read_folder

from estimator.demo import workshop
from estimator.demo.recipe import FIRST_DAY, LAST_DAY, Dice
from estimator.demo.simulation import PLACES, SQUEEZED_IN, open_days, times_away
from estimator.demo.texts import demo_text, is_demo
from estimator.demo.workshop import DemoShop, demo_texts, make_shop, write_demo, write_demo_book
from estimator.shop import Shop
from estimator.words.errors import UsageError
from estimator.words.problems import NOWHERE
from estimator.words.records import FINISHED, ON_BENCH, SHOP, STOPPED, WAITING

DATA = Path(__file__).resolve().parents[2] / "data" / "demo"
FILES = ["boards.csv", "hours.csv", "told.csv", "waits.csv", "weights.csv", "workshop.toml"]


@pytest.fixture(scope="module")
def shop():
    return make_shop()


@pytest.fixture(scope="module")
def tidy():
    return make_shop(tidy=True)


def hours_by_stage(shop: DemoShop):
    hours = defaultdict(lambda: defaultdict(float))
    for entry in shop.log.entries:
        hours[entry.board][entry.stage] += entry.hours
    return hours


def test_the_committed_demo_is_what_is_written_each_time(tmp_path):
    written = write_demo(tmp_path / "one")

    assert [path.name for path in written] == FILES
    assert sorted(path.name for path in DATA.iterdir() if path.name != ".estimator") == FILES
    for path, again in zip(written, write_demo(tmp_path / "two"), strict=True):
        assert path.read_bytes() == again.read_bytes() == (DATA / path.name).read_bytes()


def test_chance_is_the_same_on_every_machine():
    dice = Dice(7, "job")

    assert dice.unit() == 0.40073035172789007
    assert dice.normal(0, 1) == pytest.approx(-1.84511833039297, rel=1e-12)
    assert (dice.poisson(1.6), dice.pick({"a": 0.2, "b": 0.8}), dice.count((1, 1))) == (0, "a", 0)
    assert dice.shuffled("abc") == ["c", "b", "a"]


def test_chance_agrees_with_another_mersenne_twister():
    # Matsumoto & Nishimura (1998), ACM TOMACS 8:3-30, as NumPy has it, started from the words and their SHA-512
    words = b"7 job"
    seed = int.from_bytes(words + hashlib.sha512(words).digest(), "big")
    key = [seed >> shift & 0xFFFFFFFF for shift in range(0, seed.bit_length(), 32)]
    first, second = np.frombuffer(np.random.RandomState(key).bytes(8), dtype="<u4").tolist()

    assert Dice(7, "job").unit() == ((first | second >> 12 << 32) + 0.5) / 2**52


def test_dice_follow_the_laws_they_are_named_for():
    dice = Dice("laws")
    throws = 20_000
    poisson = [dice.poisson(2.6) for _ in range(throws)]
    times = sorted(dice.times(0.6) for _ in range(throws))

    assert sum(poisson) / throws == pytest.approx(2.6, abs=0.05)
    assert sum((n - 2.6) ** 2 for n in poisson) / throws == pytest.approx(2.6, abs=0.12)
    assert times[throws // 2] == pytest.approx(1.0, abs=0.03)
    assert times[throws // 10] == pytest.approx(0.4635, abs=0.02)  # exp(-.6 * 1.2816)
    assert sum(dice.pick({"a": 1, "b": 3}) == "b" for _ in range(throws)) / throws == pytest.approx(
        0.75, abs=0.015
    )
    assert sorted(dice.shuffled("abcde")) == list("abcde")


def test_check_finds_no_problem_and_reads_what_was_made(tmp_path, shop):
    write_demo(tmp_path)

    log, problems, notes = read_folder(tmp_path, shop.settings, today=LAST_DAY)

    assert problems == ()
    assert notes
    assert [replace(board, where=NOWHERE) for board in log.boards] == list(shop.log.boards)
    for rows in ("entries", "told", "waits", "weighings"):
        assert [replace(row, where=NOWHERE) for row in getattr(log, rows)] == list(getattr(shop.log, rows))


def test_a_folder_of_its_own_is_made_whole_again(tmp_path):
    write_demo(tmp_path)
    (tmp_path / "hours.csv").unlink()
    (tmp_path / "reports").mkdir()
    (tmp_path / ".estimator").mkdir()
    assert is_demo(tmp_path)

    write_demo(tmp_path)

    assert (tmp_path / "hours.csv").read_bytes() == (DATA / "hours.csv").read_bytes()


@pytest.mark.parametrize(
    ("file", "row"), [("told.csv", "26-029,2026-10-01\n"), ("workshop.toml", "\n"), ("boards.csv", "mine\n")]
)
def test_what_somebody_wrote_into_it_is_refused_and_stays(tmp_path, file, row):
    write_demo(tmp_path)
    with (tmp_path / file).open("a") as own:
        own.write(row)
    before = {path.name: path.read_bytes() for path in tmp_path.iterdir()}

    with pytest.raises(UsageError) as refused:
        write_demo(tmp_path)

    assert str(refused.value) == (
        f"{tmp_path / file} is no longer as it was invented, and it stays. Name a new folder, or an empty one."
    )
    assert {path.name: path.read_bytes() for path in tmp_path.iterdir()} == before


@pytest.mark.parametrize(
    ("name", "text"),
    [("letters.txt", "dear"), ("workshop.toml", "[workshop]\nname = 'mine'\n"), ("boards.csv", "board\n")],
)
def test_a_folder_that_holds_anything_else_is_refused_and_left_alone(tmp_path, name, text):
    (tmp_path / name).write_text(text)

    with pytest.raises(UsageError) as refused:
        write_demo(tmp_path)

    assert refused.value.exit_code == 2
    assert str(refused.value) == (
        f"{tmp_path} is neither empty nor an invented workshop. Name a new folder, or an empty one."
    )
    assert [(path.name, path.read_text()) for path in tmp_path.iterdir()] == [(name, text)]
    assert not is_demo(tmp_path)


def test_a_demo_with_a_book_beside_it_is_refused(tmp_path):
    write_demo(tmp_path)
    (tmp_path / "book.sqlite").touch()

    with pytest.raises(UsageError):
        write_demo(tmp_path)


def test_nothing_is_half_written(tmp_path, monkeypatch):
    to_disk, calls = os.fsync, []

    def full_disk(handle):
        calls.append(handle)
        if len(calls) == 4:
            raise OSError("no space left")
        return to_disk(handle)

    own = tmp_path / "own"
    write_demo(own)
    (own / "boards.csv").unlink()
    monkeypatch.setattr(os, "fsync", full_disk)
    for folder in (tmp_path / "new", own):
        calls.clear()
        with pytest.raises(UsageError):
            write_demo(folder)

    assert not (tmp_path / "new").exists()
    assert sorted(path.name for path in own.iterdir()) == sorted({*FILES} - {"boards.csv"})


def test_a_file_in_the_way_is_refused(tmp_path):
    (tmp_path / "demo").touch()

    with pytest.raises(UsageError):
        write_demo(tmp_path / "demo")
    assert not is_demo(tmp_path / "demo")


def test_another_seed_is_another_shop_and_the_same_seed_the_same():
    one, again, other = make_shop(11, coming=2), make_shop(11, coming=2), make_shop(12, coming=2)

    assert one.log == again.log
    assert one.coming == again.coming
    assert one.truth == again.truth
    assert one.log.boards != other.log.boards
    assert one.coming != other.coming
    assert demo_texts(11)["boards.csv"] != demo_texts(12)["boards.csv"]


def test_boards_to_come_are_asked_about_and_their_truth_is_kept(tidy):
    many = make_shop(coming=40)

    assert len(many.coming) == 40
    assert make_shop(coming=3).coming == many.coming[:3]
    for board in many.coming:
        truth = many.truth[board.board]
        assert (board.state, board.found) == ("asked", {})
        assert board.assessed["spray_colours"] == truth.assessed["spray_colours"]
        assert board.board not in many.log.by_id
        assert sum(truth.hours.values()) > 5


def test_entries_add_up_to_the_true_hours(tidy):
    booked = hours_by_stage(tidy)
    finished = [board.board for board in tidy.log.boards if board.state == FINISHED]

    assert len(finished) > 90
    for board in finished:
        true = tidy.truth[board].hours
        assert booked[board].keys() == true.keys()
        for stage, hours in true.items():
            assert booked[board][stage] == max(0.25, round(4 * hours) / 4)


def test_the_notebooks_mess_loses_no_hour_but_by_rounding_to_days(shop, tidy):
    booked, true = hours_by_stage(shop), hours_by_stage(tidy)
    by_days = [board for board in shop.log.boards if board.total_grain]
    lost = [board for board in shop.log.boards if board.total_hours and not board.total_grain]
    in_days = [entry for entry in shop.log.entries if entry.grain]

    assert (len(by_days), len(lost), len(in_days)) == (2, 4, 3)
    for board in by_days:
        assert board.board not in booked
        assert abs(board.total_hours - sum(true[board.board].values())) <= 6.5 / 2
    for board in lost:
        assert board.total_hours == sum(true[board.board].values())
        assert sum(booked[board.board].values()) < 0.95 * board.total_hours
    for entry in in_days:
        assert entry.hours % 6.5 == 0
        assert abs(entry.hours - true[entry.board][entry.stage]) <= 6.5 / 2
        booked[entry.board][entry.stage] = true[entry.board][entry.stage]
    whole = true.keys() - {board.board for board in (*by_days, *lost)}
    assert {board: booked[board] for board in whole} == {board: true[board] for board in whole}


def test_what_else_a_notebook_does(shop, tidy):
    finished = [board for board in shop.log.boards if board.state == FINISHED]
    dropped = [board for board in shop.log.boards if board.state == "withdrawn" and board.started]
    open_ends = [wait for wait in shop.log.waits if wait.cause == "drying" and not wait.until]
    dryings = [wait for wait in shop.log.waits if wait.cause == "drying"]
    over_days = [
        entry for entry in shop.log.entries if entry.until and entry.board != SHOP and not entry.grain
    ]

    assert len(dropped) == 1
    assert 2 <= sum(not board.found for board in finished) <= 0.15 * len(finished)
    assert sum("9.6" in board.note for board in shop.log.boards) == 1
    assert [board.length_m for board in shop.log.boards if "9.6" in board.note] == [pytest.approx(2.8956)]
    assert len(over_days) == 6
    assert 0.08 < len(open_ends) / len(dryings) < 0.35
    assert any(entry.done for entry in shop.log.entries)
    unseen = [b for b in shop.log.boards if b.kind == "major" and b.guess and "wetness" not in b.assessed]
    assert unseen


def test_truth_holds_what_the_rows_say(shop):
    for board in shop.log.boards:
        true = shop.truth[board.board]
        areas = board.worked_out | {"glass_stripped"}
        assert board.kind == true.kind
        assert board.length_m == pytest.approx(true.length_in * 0.0254)
        for name, value in board.found.items():
            assert value == true.found[name]
        if board.guess:
            assert {n: v for n, v in board.assessed.items() if n not in areas} == {
                n: true.assessed[n] for n in board.assessed if n not in areas
            }
            assert board.assessed["face_area"] == pytest.approx(true.assessed["face_area"], rel=0.08)


def test_no_two_boards_are_called_alike(shop):
    called = [board.called for board in shop.log.boards]

    assert len(set(called)) == len(called)
    assert all(re.fullmatch(r"[a-z]+ [a-z]+(-[a-z]+)?", name) for name in called)


def test_names_are_invented(shop):
    for board in shop.log.boards:
        assert re.fullmatch(r"Owner \d{3}", board.owner)
        assert board.reach == ""
        assert re.match(r"unknown maker [A-F](;|$)", board.note)
        assert re.fullmatch(r"2[2-6]-\d{3}", board.board)


def test_dates_stand_in_their_order_and_in_the_years_of_the_log(shop):
    for b in shop.log.boards:
        days = [
            day for day in (b.asked, b.quoted, b.accepted, b.started, b.ready, b.collected, b.paid_on) if day
        ]
        assert days == sorted(days)
        assert days[0] >= FIRST_DAY
        assert days[-1] <= LAST_DAY
    assert shop.log.last_entry == LAST_DAY


def test_every_wait_ends_after_it_begins(shop):
    assert {wait.cause for wait in shop.log.waits} == {"drying", "artwork", "owner"}
    for wait in shop.log.waits:
        assert wait.until is None or wait.until > wait.first


def test_a_drying_without_an_end_is_bounded_by_looks_at_it(shop):
    looks = defaultdict(list)
    for entry in shop.log.entries:
        if entry.stage == "drying":
            looks[entry.board].append((entry.date, entry.note))
    for wait in shop.log.waits:
        if wait.cause != "drying":
            continue
        if wait.board not in looks:  # hung up so late that nobody has looked at it yet, or gone
            assert wait.until or shop.log.by_id[wait.board].state == ON_BENCH
            continue
        if shop.log.by_id[wait.board].state == "withdrawn":  # given up and handed back wet
            assert wait.until
            assert (wait.until, "dry") not in looks[wait.board]
            continue
        said = [note for _, note in sorted(looks[wait.board])]
        assert all(note == "still wet" for note in said[:-1])
        if wait.until:
            assert max(looks[wait.board]) == (wait.until, "dry")
        elif shop.log.by_id[wait.board].state == FINISHED:
            assert said[-1] == "dry"
            assert max(looks[wait.board])[0] > wait.first


def test_drying_boards_get_lighter(shop):
    weights = defaultdict(list)
    for weighing in shop.log.weighings:
        weights[weighing.board].append((weighing.date, weighing.weight_kg))
    falls = [min(rows)[1] - max(rows)[1] for rows in weights.values() if len(rows) > 1]
    dryings = {wait.board for wait in shop.log.waits if wait.cause == "drying"}

    assert weights.keys() <= dryings
    assert 0.5 < len(weights) / len(dryings) < 0.8
    assert min(falls) > -0.3  # the scales err by .1 kg
    assert sorted(falls)[len(falls) // 2] > 0.5


def test_days_off_are_those_of_the_settings(shop):
    assert times_away() == [
        (away.first, away.last) for away in shop.settings.bench.away if away.first <= LAST_DAY
    ]


def test_nobody_works_on_a_free_day_nor_too_long_on_one_board(tidy):
    a_day, on_one, boards = defaultdict(float), defaultdict(float), defaultdict(set)
    for entry in tidy.log.entries:
        a_day[entry.date] += entry.hours
        on_one[entry.board, entry.date] += entry.hours
        if entry.hours and entry.stage != "drying":
            boards[entry.date].add(entry.board)
    worked = {day for day, hours in a_day.items() if hours}
    missed = {entry.date for entry in tidy.log.entries if entry.note == "did not work"}

    assert worked <= set(open_days()) - missed
    assert max(on_one.values()) <= tidy.settings.bench.most_hours_a_day_on_one_board
    assert 5.0 < sum(a_day.values()) / len(worked) < 6.5
    # a board that is finished or hung up makes room on the next day only
    assert max(map(len, boards.values())) <= PLACES + SQUEEZED_IN
    assert tidy.settings.bench.places == PLACES


def test_no_stage_begins_before_those_that_must_be_finished(tidy):
    first, last = {}, {}
    for entry in tidy.log.entries:
        key = entry.board, entry.stage
        first[key] = min(first.get(key, entry.date), entry.date)
        last[key] = max(last.get(key, entry.date), entry.date)
    pairs = 0
    for (board, stage), begun in first.items():
        if board == SHOP:
            continue
        for before in tidy.settings.stages[stage].after:
            if (board, before) in last:
                pairs += 1
                assert last[board, before] <= begun, (board, stage, before)
    assert pairs > 1000


def test_needed_waits_are_over_before_the_work(tidy):
    logos = {}
    for entry in tidy.log.entries:
        if entry.stage == "logos":
            logos[entry.board] = min(logos.get(entry.board, entry.date), entry.date)
    artwork = {wait.board: wait.until for wait in tidy.log.waits if wait.cause == "artwork"}

    assert sum(board in logos for board in artwork) > 10
    assert all(artwork[board] and artwork[board] <= day for board, day in logos.items() if board in artwork)


def test_tellings_are_mondays_and_the_first_is_the_promise(shop):
    told = defaultdict(list)
    for telling in shop.log.told:
        told[telling.board].append(telling)
        assert all(day.weekday() == 0 for day in (telling.first, telling.last) if day)
    assert {telling.because for telling in shop.log.told} == {"quote", "hidden work", "asked later", "late"}
    for board in shop.log.boards:
        if not board.accepted:
            assert board.board not in told
            continue
        first = told[board.board][0]
        assert (first.because, first.price, first.date) == ("quote", board.price_quoted, board.accepted)
        assert (first.first, first.last) == (board.promised_first, board.promised_last)
        late = [telling for telling in told[board.board] if telling.because == "late"]
        assert len(late) <= 1
        assert all(telling.date > board.promised_last for telling in late)
        over = (board.ready or LAST_DAY) - board.promised_last
        if over > dt.timedelta(weeks=5) and board.state == FINISHED:
            assert late or any(telling.because == "asked later" for telling in told[board.board])


def test_money_hangs_together(shop):
    for board in shop.log.boards:
        if board.price_charged:
            assert board.price_charged >= board.price_quoted
            assert board.price_charged % 10 == board.price_quoted % 10 == 0
        if board.deposit:
            assert board.deposit == pytest.approx(board.price_quoted / 3, abs=5)
        if board.paid_on:
            assert board.paid == board.price_charged
    said = {"half": "hidden work", "me": "hidden work", "owner": "asked later", "": ""}
    for telling in shop.log.told:
        assert telling.because == said[telling.paid_by] or not telling.paid_by


def test_what_is_unfinished_is_left_so(shop):
    states = [board.state for board in shop.log.boards]
    waiting = [board for board in shop.log.boards if board.state == WAITING]

    assert 3 <= states.count(ON_BENCH) + states.count(STOPPED) <= 6
    assert 5 <= len(waiting) <= 10
    assert all(board.promised_last and not board.started and not board.price_charged for board in waiting)
    assert states.count("declined") + states.count("withdrawn") - 1 in range(25, 36)


def test_as_a_book_it_holds_the_same_rows_in_one_act_of_its_last_day(tmp_path, monkeypatch):
    texts = {
        "boards.csv": "board,called,kind,accepted\n26-001,red gun,major,2026-09-01\n26-002,,,\n",
        "hours.csv": "board,date,stage,hours\n26-001,2026-09-03,strip,2.5\n",
        "workshop.toml": demo_text(),
    }
    monkeypatch.setattr(workshop, "demo_texts", lambda _seed: texts)
    files = write_demo_book(tmp_path / "shop")
    shop = Shop.open(tmp_path / "shop")

    assert [path.name for path in files] == ["workshop.toml", "book.sqlite"]
    assert [path.name for path in tmp_path.glob("shop/*.*")].count("boards.csv") == 0
    assert [(b.board, b.called) for b in shop.log.boards] == [("26-001", "red gun"), ("26-002", "")]
    assert [(e.board, e.stage, e.hours) for e in shop.log.entries] == [("26-001", "strip", 2.5)]
    assert [(act.sentence, act.at[:10]) for act in shop.acts()] == [("the invented workshop", "2026-09-30")]
    with pytest.raises(UsageError, match="is not empty"):
        write_demo_book(tmp_path / "shop")

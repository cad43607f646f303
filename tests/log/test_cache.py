"""What is kept is known again, shared with others, and goes when it is old."""

import datetime as dt
import os
import time
from concurrent.futures import ThreadPoolExecutor

import pytest

from estimator.log import cache
from estimator.log.cache import MOST, OLD, YOUNG, change, clear_old, keep, kept, kept_result
from estimator.words.records import Accepted


def aged(path, seconds):
    at = time.time() - seconds
    os.utime(path, (at, at))


@pytest.mark.parametrize("text", ["", "a", "two\nlines\n", "größe"])
def test_what_is_kept_comes_back(tmp_path, text):
    file = tmp_path / ".estimator" / "fit-1.json"
    assert not kept(file)
    keep(file, text)
    assert kept(file) == text


def test_what_anyone_else_wrote_is_not_trusted(tmp_path):
    file = tmp_path / "fit-1.json"
    keep(file, '{"rate": 1.0}')
    whole = file.read_text("utf-8")
    for wrong in ('{"rate": 1.0}', whole.replace("1.0", "2.0"), whole[:-1], whole[3:], "\xff"):
        file.write_bytes(wrong.encode("latin-1"))
        assert not kept(file)
    (tmp_path / "fit-2.json").write_text(whole, "utf-8")  # kept for another log
    assert not kept(tmp_path / "fit-2.json")


def test_age_clears_and_never_the_newest_of_a_kind(tmp_path):
    for name, age in {
        "fit-1-a.json": OLD + 9, "fit-1-b.json": OLD + 5, "fit-2-c.json": 60, "rung.json": 3 * OLD,
        "rules-a.json": 2 * OLD, "bench-0-a.json": OLD - 60, "bench-0-b.json": 5, "other.txt": 9 * OLD,
    }.items():  # fmt: skip
        (tmp_path / name).write_text("")
        aged(tmp_path / name, age)
    clear_old(tmp_path)
    assert sorted(path.name for path in tmp_path.iterdir()) == [
        "bench-0-a.json", "bench-0-b.json", "fit-2-c.json", "other.txt", "rules-a.json", "rung.json",
    ]  # fmt: skip


def test_many_of_a_kind_go_from_the_oldest_on_but_none_that_others_may_be_reading(tmp_path):
    for n in range(MOST + 10):
        (tmp_path / f"fit-{n}.json").write_text("")
        aged(tmp_path / f"fit-{n}.json", n * YOUNG / (MOST + 5.5))
    clear_old(tmp_path)
    assert len(list(tmp_path.iterdir())) == MOST + 6  # the last four alone are older than young


def test_another_log_does_not_push_out_what_this_one_keeps(tmp_path):
    keep(tmp_path / "fit-0-all-aaa.json", "one")
    keep(tmp_path / "fit-0-all-bbb.json", "two")
    assert (kept(tmp_path / "fit-0-all-aaa.json"), kept(tmp_path / "fit-0-all-bbb.json")) == ("one", "two")


def test_nothing_is_lost_where_many_change_one_file(tmp_path):
    file = tmp_path / ".estimator" / "rung.json"

    def add(n):
        change(file, lambda text: f"{text}{n},")

    with ThreadPoolExecutor(8) as pool:
        list(pool.map(add, range(80)))
    assert sorted(kept(file).split(",")) == sorted(["", *map(str, range(80))])


def test_a_folder_that_cannot_be_written_keeps_nothing_and_says_nothing(tmp_path):
    (tmp_path / ".estimator").write_text("in the way")
    file = tmp_path / ".estimator" / "rung.json"
    keep(file, "x")
    assert not kept(file)
    assert change(file, lambda text: f"{text}x") == "x"


def test_parts_that_a_broken_process_left_go_after_a_day(tmp_path):
    for name, age in {".estimator-1.part": 2 * cache.A_DAY, ".estimator-2.part": 60}.items():
        (tmp_path / name).write_text("")
        aged(tmp_path / name, age)
    clear_old(tmp_path)
    assert [path.name for path in tmp_path.iterdir()] == [".estimator-2.part"]


def test_a_full_disk_leaves_nothing_behind(tmp_path):
    # the most that a file may have stands for what is left on the disk: POSIX, setrlimit, RLIMIT_FSIZE
    resource = pytest.importorskip("resource")
    least, most = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (4096, most))
    try:
        for _ in range(3):
            keep(tmp_path / "fit-1.json", "x" * 100_000)
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, (least, most))

    assert list(tmp_path.iterdir()) == []


def test_what_anyone_else_wrote_is_not_changed_but_written_anew(tmp_path):
    file = tmp_path / "stretch-2.json"
    for wrong in (
        '[{"low": -1, "high": 1.2, "day": "2026-09-30", "of": "hours"}]',
        "[" * 100_000,
        "{}",
        "\0",
    ):
        file.write_text(wrong, "utf-8")
        assert change(file, lambda text: f"{text}mine") == "mine"
        assert change(file, lambda text: f"{text} too") == "mine too"
    assert kept(file) == "mine too"


HOUR = 3600.0


def test_what_is_older_than_thirty_days_goes_when_something_is_kept(tmp_path):
    for name, hours in {"fit-a.json": 1, "fit-b.json": 29 * 24, "fit-c.json": 31 * 24}.items():
        (tmp_path / name).write_text("")
        aged(tmp_path / name, hours * HOUR)
    keep(tmp_path / "bench-a.json", "x")
    assert sorted(path.name for path in tmp_path.iterdir()) == ["bench-a.json", "fit-a.json", "fit-b.json"]


@pytest.mark.parametrize(("minutes", "stay"), [(50, 62), (70, 60)])
def test_sixty_of_a_kind_stay_and_all_of_the_last_hour(tmp_path, minutes, stay):
    for n in range(62):
        (tmp_path / f"fit-{n}.json").write_text("")
        aged(tmp_path / f"fit-{n}.json", 60 * minutes - n)
    clear_old(tmp_path)
    left = {path.name for path in tmp_path.iterdir()}
    assert len(left) == stay
    assert "fit-61.json" in left


def test_a_result_is_worked_out_once_and_again_where_what_is_kept_is_of_another_make(tmp_path):
    file, first = tmp_path / "kept-1.json", Accepted(1.5, 2.5, dt.date(2026, 6, 4), 7)
    assert kept_result(file, Accepted, lambda: first) == first
    assert kept_result(file, Accepted, lambda: 1 / 0) == first
    keep(file, '{"odd": 1}')
    other = Accepted(3.0, 4.0, dt.date(2026, 6, 5), 8)
    assert kept_result(file, Accepted, lambda: other) == other
    assert kept_result(file, Accepted, lambda: 1 / 0) == other

import json
import time
from dataclasses import replace

import icalendar
import pytest
from making.folders import folder
from making.mornings import EMPTY, FISH, MORNING, TODAY, dates, day

from estimator.cli.bench import save_calendar
from estimator.shop import Shop
from estimator.words.errors import UsageError


@pytest.fixture
def made(monkeypatch):
    """The morning by hand in place of the workshop's own."""
    monkeypatch.setattr(Shop, "bench", lambda _shop: MORNING)


def events(path):
    """The events of a saved calendar by their text, read by a library of calendars."""
    calendar = icalendar.Calendar.from_ical(path.read_bytes())
    return {"".join(event["SUMMARY"]): event for event in calendar.walk("VEVENT")}


def test_the_page(demo_folder, run, made):
    said = run("bench", "--shop", demo_folder).stdout

    assert said.startswith("Tue 9 June 2026\nYour log tells up to Mon 8 June.\n\nRing\n")
    assert "\nTouch today\nclub board  Sand " in said  # the stage as the demo's settings label it


def test_json_has_it_in_full(demo_folder, run, made):
    told = json.loads(run("bench", "--json", "--shop", demo_folder).stdout)

    assert told == MORNING.as_dict()
    club = told["boards"][0]
    assert club["ready"] == {
        "low": "2026-06-12",
        "likely": "2026-06-19",
        "high": "2026-06-26",
        "tell": "2026-06-26",
    }
    assert club["promised"] == {"first": None, "last": "2026-06-06"}  # what it is judged on
    assert told["ring_today"][0] == {
        "board": "26-009",
        "why": "date in danger",
        "tell": "2026-07-14",
        "about": "2026-06-05",
    }


def test_a_calendar_has_each_board_on_the_day_to_tell_its_owner(demo_folder, run, made, tmp_path):
    file = tmp_path / "ready.ICS"
    said = run("bench", "--ics", file, "--shop", demo_folder).stdout
    saved = events(file)

    assert said.endswith(f"\nSaved as {file}.\n")
    assert len(saved) == len(MORNING.promises)
    club = saved["club board: ready by, 9 times in 10"]
    assert club.decoded("DTSTART") == day("06-26")
    assert club.decoded("DTEND") == day("06-27")  # RFC 5545, 3.6.1: the day after the last
    assert str(club["DESCRIPTION"]) == "You told the owner by Sat 20 June 2026."
    assert "DESCRIPTION" not in saved["plum egg: ready by, 9 times in 10"]
    assert "26-020: ready by, 9 times in 10" in saved


def test_a_figure_of_all_boards_in_hand(demo_folder, run, made, tmp_path):
    file, calendar = tmp_path / "ready.svg", tmp_path / "ready.ics"
    said = run("bench", "--figure", file, "--ics", calendar, "--shop", demo_folder).stdout

    assert said.endswith(f"\nSaved as {calendar}.\n\nSaved as {file}.\n")
    assert "</svg>" in file.read_text("utf-8")
    wrong = run("bench", "--figure", tmp_path / "ready.gif", "--shop", demo_folder, exit_code=2)
    assert "is neither .png nor .svg" in wrong.stderr


def test_days_away_are_drawn_too(demo_folder, run, made, tmp_path, monkeypatch):
    drawn = []
    monkeypatch.setattr("estimator.sheets.pictures.save_bench_picture", lambda *given: drawn.append(given))
    run("bench", "--figure", tmp_path / "ready.png", "--shop", demo_folder)

    ((file, morning, away),) = drawn
    assert (file, morning) == (tmp_path / "ready.png", MORNING)
    assert (day("2026-12-21"), day("2027-01-03")) in away


def test_saved_another_day_the_same_entry_moves(tmp_path):
    first, second = tmp_path / "a.ics", tmp_path / "b.ICS"
    later = replace(FISH, called="green fish, the old one", ready=dates("06-20", "06-24", "06-30"))
    save_calendar(first, MORNING)
    save_calendar(second, replace(MORNING, today=day("06-10"), promises=(later,)))

    before = events(first)["green fish: ready by, 9 times in 10"]
    after = events(second)["green fish, the old one: ready by, 9 times in 10"]
    assert after["UID"] == before["UID"]
    assert after["SEQUENCE"] > before["SEQUENCE"]
    assert after.decoded("DTSTART") == day("06-30")


def test_no_day_of_a_calendar_is_over_and_no_board_makes_an_empty_one(tmp_path):
    late = replace(FISH, ready=dates("06-01", "06-02", "06-03"))
    save_calendar(tmp_path / "late.ics", replace(MORNING, promises=(late,)))
    save_calendar(tmp_path / "none.ics", EMPTY)

    (event,) = events(tmp_path / "late.ics").values()
    assert event.decoded("DTSTART") == TODAY
    assert events(tmp_path / "none.ics") == {}


def test_nothing_but_a_calendar_is_written_over(demo_folder, run, made, tmp_path):
    boards = tmp_path / "boards.csv"
    boards.write_text("board\n26-001\n", "utf-8")

    wrong = run("bench", "--ics", boards, "--shop", demo_folder, exit_code=2)
    assert wrong.stderr.endswith(f"{boards} is no .ics file. Name a file that ends in .ics.\n")
    assert boards.read_text("utf-8") == "board\n26-001\n"
    nowhere = run("bench", "--ics", tmp_path / "none" / "x.ics", "--shop", demo_folder, exit_code=2)
    assert "cannot be written" in nowhere.stderr


def test_a_workshop_without_hours_in_its_week_is_told_so(tmp_path, run):
    run("new", tmp_path / "mine")
    settings = tmp_path / "mine" / "workshop.toml"
    text = settings.read_text("utf-8")
    week = next(line for line in text.splitlines() if line.startswith("hours_by_weekday"))
    settings.write_text(text.replace(week, "hours_by_weekday = [0, 0, 0, 0, 0, 0, 0]"), "utf-8")
    (tmp_path / "mine" / "boards.csv").write_text(
        "board,kind,length,accepted,assessed_infills\n26-001,minor,9'1,2026-09-28,2\n", "utf-8"
    )

    refused = run("bench", "--shop", tmp_path / "mine", "--today", "2026-10-01", exit_code=1)
    assert "hours_by_weekday" in refused.stderr
    assert not refused.stdout


def test_the_invented_workshop_s_own_morning(demo_folder, run):
    said = run("bench", "--shop", demo_folder).stdout

    assert "All boards in hand\n" in said
    assert "tan nine-one" in said
    assert "Next free start\n" in said
    assert run("bench", "--shop", demo_folder).stdout == said


def test_an_empty_bench_says_when_the_next_board_could_begin(tmp_path, run):
    run("new", tmp_path / "mine")

    said = run("bench", "--shop", tmp_path / "mine", "--today", "2026-10-01").stdout.splitlines()
    assert "No board is in hand." in said
    assert said[said.index("Next free start") + 1] == "A place is free now."
    saturday = run("bench", "--shop", tmp_path / "mine", "--today", "2026-10-03").stdout
    assert "Mon 5 October, 8 times in 10." in saturday  # no hours on a Saturday


def test_a_calendar_that_cannot_be_written_leaves_the_earlier_one_whole(tmp_path, monkeypatch):
    def full_disk(*_):
        raise OSError("no space left")

    (file := tmp_path / "days.ics").write_bytes(b"as it was")
    monkeypatch.setattr("os.fsync", full_disk)
    with pytest.raises(UsageError, match="cannot be written"):
        save_calendar(file, MORNING)

    assert {path.name: path.read_bytes() for path in tmp_path.iterdir()} == {"days.ics": b"as it was"}


SHAPES = [
    "", "null", "1", '"a"', "[]", "{}", "[[]]", '[["a", "b", "c", "2026-06-01"], 3]', '{"2026-05-01": {"26-001": [3, 4]}}',
    '{"2026-05-01": {"26-001": ["2026-05-09", {"area": "x"}]}}', '[{"low": -1, "high": 1, "day": "2026-01-01", "of": "hours"}]',
    f'{{"k": {"[" * 5000}{"]" * 5000}}}', '{"k": {"board": "26-001", "hours": [1e999]}}', "9" * 5000, "\ud800",
]  # fmt: skip


def test_whatever_stands_in_the_cache_the_answer_is_the_same(tmp_path, run):
    def asked(shop):
        return [
            run(*words, "--today", "2026-06-02", "--shop", shop, "--json").stdout
            for words in (["bench"], ["range", "green fish"])
        ]

    clean = folder(tmp_path / "clean")
    wanted = asked(clean)
    files = [path.name for path in (clean / ".estimator").glob("*.json")]
    assert {"rung.json", "looked.json"} <= set(files)
    for n, shape in enumerate(SHAPES):
        spoilt = folder(tmp_path / str(n))
        (spoilt / ".estimator").mkdir()
        for name in {*files, "stretch-2.json", "record-6.json", "dates-6.json", "acts.json"}:
            (spoilt / ".estimator" / name).write_text(shape, "utf-8", errors="replace")
        assert asked(spoilt) == wanted, shape


def test_a_name_of_thousands_of_letters_is_drawn_in_no_time(tmp_path, run):
    shop = folder(tmp_path / "shop")
    boards = shop / "boards.csv"
    boards.write_text(boards.read_text("utf-8").replace("green fish", "w" * 4000), "utf-8")
    start = time.process_time()

    run("range", "26-003", "--figure", tmp_path / "a.svg", "--today", "2026-06-02", "--shop", shop)
    run("bench", "--figure", tmp_path / "b.svg", "--today", "2026-06-02", "--shop", shop)

    assert time.process_time() - start < 15  # it was 83 seconds
    assert "that is 4,000 characters long" in run("check", "--shop", shop, exit_code=1).stdout

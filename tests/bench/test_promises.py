"""What `bench` gives: the same from a folder as by hand, whatever else lies in it; and as JSON."""

import datetime as dt
import json
from dataclasses import replace

import pytest
from making.folders import BOARDS, HOURS, SETTINGS, TODAY, folder
from making.mornings import CLUB, EGG, EMPTY, LOG, MORNING

from estimator.bench.promises import (
    IN_DANGER,
    BenchDay,
    Dates,
    Ring,
    Swap,
    Worse,
    worth_a_call,
)
from estimator.shop import Shop
from estimator.words.errors import SettingsError
from estimator.words.kept_form import result_from_json, result_to_json
from estimator.words.odds import short_chance


def bench(path, settings=SETTINGS, **sheets):
    return Shop.open(folder(path, settings, **sheets), today=TODAY).bench()


@pytest.fixture(scope="module")
def day(tmp_path_factory):
    return bench(tmp_path_factory.mktemp("bench") / "plain")


# ---- from a folder


def test_a_board_with_one_stage_left_and_two_in_line(day):
    red, club, fish = sorted(day.promises, key=lambda p: p.board)
    # a gloss coat of about two hours on Monday, then three to five days to set
    assert (red.on, red.next_stage, red.why) == ("bench", "gloss", "")
    assert dt.timedelta(3) <= red.ready.low - TODAY <= red.ready.high - TODAY <= dt.timedelta(7)
    assert red.chance_kept > 0.95
    # about 14 hours, so from Monday to Wednesday, and two hours of gloss on top: never by Thursday
    assert (club.on, club.next_stage) == ("queue", "strip")
    assert club.chance_kept < 0.05
    assert [ring.board for ring in day.ring] == ["26-002"]
    assert fish.told is None
    assert fish.chance_kept is None
    assert day.last_entry == dt.date(2026, 5, 29)
    assert day.log_up_to == dt.date(2026, 5, 29)


def test_a_range_of_a_board_in_hand_says_the_dates_of_the_bench(day, tmp_path):
    shop = Shop.open(folder(tmp_path / "same"), today=TODAY)
    assert shop.promise("26-003") == next(p for p in day.promises if p.board == "26-003")
    assert shop.promise("26-009") is None
    said = shop.range("26-003", dates=True).ready
    ready = shop.promise("26-003").ready
    assert (said.low, said.likely, said.high) == (ready.low, ready.likely, ready.high)


def test_other_short_names_change_nothing_but_the_names(day, tmp_path):
    other = bench(tmp_path / "named", boards=BOARDS.replace("red nine-four", "plum egg"))
    assert {p.name for p in other.promises} == {"plum egg", "club board", "green fish"}
    plain = json.dumps(day.as_dict())
    assert json.dumps(other.as_dict()) == plain.replace("red nine-four", "plum egg")


def test_rows_in_another_order_change_nothing(day, tmp_path):
    head, *rows = BOARDS.splitlines()
    other = bench(tmp_path / "mixed", boards="\n".join([head, *rows[::-1]]))
    assert [p.board for p in other.promises] == [p.board for p in day.promises]
    for one, two in zip(other.promises, day.promises, strict=True):
        assert abs(one.ready.high - two.ready.high) <= dt.timedelta(1)
        assert (one.chance_kept or 0) == pytest.approx(two.chance_kept or 0, abs=0.03)


def test_a_board_that_is_finished_and_fetched_is_not_in_hand(day, tmp_path):
    more = BOARDS.replace("assessed_area", "assessed_area,ready,collected")
    more = "".join(f"{line}{',,' if i else ''}\n" for i, line in enumerate(more.splitlines()))
    more += "23-001,old gun,2023-03-03,2023-03-10,finished,,,2023-03-20,2023-03-21\n"
    other = bench(tmp_path / "more", boards=more)
    assert json.dumps(other.as_dict()) == json.dumps(day.as_dict())


# ---- whom to ring, morning after morning


def test_nobody_is_rung_twice_for_the_same_reason(tmp_path):
    path = folder(tmp_path / "shop")

    def asked(n, told=None):
        if told:
            rows = f"board,date,last,because\n26-002,2026-05-11,2026-06-04,quote\n{told}\n"
            (path / "told.csv").write_text(rows, "utf-8")
        said = Shop.open(path, today=TODAY + dt.timedelta(n)).bench()
        return [ring.board for ring in said.ring], [
            (ring.board, str(ring.said)) for ring in said.rung_already
        ]

    first, then = (["26-002"], []), ([], [("26-002", "2026-06-01")])
    assert [asked(0), asked(1), asked(0), asked(3)] == [first, then, first, then]
    assert asked(-4) == first  # looking back, nothing had been said, and nothing is kept of it
    assert asked(1) == then
    # another day is told, and is in danger too: another matter
    assert asked(3, "26-002,2026-06-04,2026-06-05,late") == first
    assert asked(4) == ([], [("26-002", "2026-06-04")])


def test_where_nothing_can_be_kept_every_morning_is_the_first(tmp_path):
    path = folder(tmp_path / "shop")
    (path / ".estimator").write_text("a file, no folder", "utf-8")
    for n in (0, 1):
        said = Shop.open(path, today=TODAY + dt.timedelta(n)).bench()
        assert ([ring.board for ring in said.ring], said.rung_already) == (["26-002"], ())


# ---- what is wrong in the log is said where it stands, and the rest answers


def test_rows_that_cannot_be_are_located_and_the_bench_goes_on(day, tmp_path):
    path = folder(
        tmp_path / "spoilt",
        boards=BOARDS.replace("promised_last", "promised_first,promised_last").replace(
            ",2026-06-12,", ",2026-06-20,2026-06-12,"
        ).replace(",2026-06-04,", ",,2026-06-04,").replace("waiting,,1", "waiting,,,1"),
        hours=HOURS + "26-001,2026-07-01,gloss,1,\n",
        waits="board,from,until,for\n26-001,2026-05-28,2026-05-20,owner\n",
    )  # fmt: skip
    shop = Shop.open(path, today=TODAY)
    assert [(p.where, p.wrong) for p in shop.problems] == [
        ("boards.csv, line 2, promised_last", "promised_last lies before promised_first (2026-06-20)"),
        ("hours.csv, line 4, date", "that day is still to come (today is 2026-06-01)"),
        ("waits.csv, line 2, until", "until lies before the first day (2026-05-28)"),
    ]
    said = shop.bench()
    assert [p.board for p in said.promises] == [p.board for p in day.promises]
    assert {p.board for p in said.promises if p.told} == {"26-002"}


def test_a_board_of_which_nothing_can_be_told_is_left_out_with_its_reason(tmp_path):
    untold = SETTINGS.replace('drivers = ["once"]\nafter', 'drivers = ["once", "shine"]\nafter')
    untold = untold.replace("[stages.strip]", '[drivers.shine]\nlabel = "Shine"\n[stages.strip]')
    boards = BOARDS.replace("assessed_area", "assessed_area,assessed_shine").replace(",4\n", ",4,2\n")
    boards = boards.replace(",2\n26-002", ",2,0\n26-002").replace(",,1\n", ",,1,0\n")
    said = bench(tmp_path / "untold", untold, boards=boards)
    assert [p.board for p in said.promises] == ["26-001", "26-003"]
    assert "Shine" in said.left_out["26-002"]
    assert said.names == {"26-002": "club board"}
    assert [ring.board for ring in said.ring] == []


def test_no_place_and_no_hours_are_refused_where_they_stand(tmp_path):
    with pytest.raises(SettingsError) as refused:
        bench(tmp_path / "places", SETTINGS.replace("places = 1", "places = 0"))
    assert "places" in refused.value.problems[0].where
    with pytest.raises(SettingsError) as refused:
        bench(tmp_path / "hours", SETTINGS.replace("[6, 6, 6, 6, 6, 0, 0]", "[0, 0, 0, 0, 0, 0, 0]"))
    assert "hours_by_weekday" in refused.value.problems[0].where


def test_stages_that_wait_for_one_another_are_refused_where_they_stand(tmp_path):
    ring = SETTINGS.replace('drivers = ["area"]', 'drivers = ["area"]\nafter = ["gloss"]')
    with pytest.raises(SettingsError) as refused:
        bench(tmp_path / "ring", ring)
    assert "after" in refused.value.problems[0].where


# ---- as JSON


@pytest.mark.parametrize("made", [MORNING, EMPTY])
def test_a_morning_that_is_kept_reads_back(made):
    assert result_from_json(result_to_json(made), BenchDay) == made


def test_a_promise_in_full():
    kept = CLUB.as_dict()
    assert kept["promised"] == {"first": None, "last": "2026-06-06"}  # the first telling
    assert kept["told_last"]["last"] == "2026-06-20"
    assert (kept["chance_kept"], kept["chance_of_told_last"]) == (CLUB.chance_first, CLUB.chance_kept)
    assert EGG.as_dict()["promised"] is EGG.as_dict()["told_last"] is None
    assert (LOG.name, CLUB.name) == ("26-020", "club board")


def test_a_change_of_order_gains_what_it_gives_less_what_it_takes():
    assert Swap("a", "a", {"a": 0.4, "b": 0.9}, {"a": 0.8, "b": 0.7}).gain == pytest.approx(0.2)
    assert MORNING.swap.gain == pytest.approx(0.72 - 0.41 + 0.81 - 0.98 + 0.92 - 0.93)


def test_an_empty_bench_has_every_key_too():
    empty, full = EMPTY.as_dict(), MORNING.as_dict()
    assert empty.keys() == full.keys()
    assert empty["change_of_order"] is empty["last_entry"] is None
    assert isinstance(EMPTY, BenchDay)


def test_two_boards_of_which_the_same_is_said_are_rung_alike():
    said = {chance: short_chance(chance) for chance in (0.56, 0.6, 0.64)}
    assert set(said.values()) == {"6 in 10"}
    assert {worth_a_call(chance) for chance in said} == {False}
    assert worth_a_call(0.54)
    assert short_chance(0.54) == "5 in 10"


def test_the_day_to_tell_is_never_before_the_sure_one_and_is_handed_on():
    low, likely, high = (dt.date(2026, 6, n) for n in (11, 12, 20))

    assert Dates(low, likely, high).tell == Dates(low, likely, high, likely).tell == high
    later = dt.date(2026, 6, 26)
    said = replace(CLUB, ready=Dates(low, likely, high, later)).said_ready
    assert (said.low, said.likely, said.high, said.tell) == (low, likely, high, later)


def test_a_promise_is_judged_by_what_was_first_told_and_its_owner_goes_by_what_was_told_last():
    made = replace(CLUB, chance_kept=0.41, chance_first=0.07).as_dict()

    assert (made["chance_kept"], made["chance_of_told_last"]) == (0.07, 0.41)
    assert (made["promised"]["last"], made["told_last"]["last"]) == ("2026-06-06", "2026-06-20")


def test_a_day_in_full_has_what_became_later_whom_to_ring_another_day_and_no_day_without_a_record():
    worse = Worse("26-012", "green fish", 37, dt.date(2026, 8, 21), {"wetness": 3.0})
    later = Ring("26-020", "log", IN_DANGER, dt.date(2026, 7, 1), dt.date(2026, 6, 20))
    made = replace(MORNING, worse=(worse,), ring_later=(later,), weeks_apart="").as_dict()

    assert [(one["board"], one["days"]) for one in made["became_later"]] == [("26-012", 37)]
    assert [one["board"] for one in made["ring_later"]] == ["26-020"]
    assert [one["board"] for one in made["ring_today"]] == ["26-009", "26-011", "26-004", "26-021"]
    assert (made["stretch_of_dates"]["day"], made["weeks_apart"]) == (None, None)

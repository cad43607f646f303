"""Every command, sheet and calendar names the same day to tell for a board, and the same price and hours."""

import datetime as dt
import json
import shutil
from dataclasses import replace
from xml.sax.saxutils import escape

import icalendar
import pytest

from estimator.bench.calendar import Calendar
from estimator.decide.quarter.review import review_of
from estimator.papers import paper_of
from estimator.sheets.layouts.promises import ten_caption
from estimator.shop import Shop
from estimator.words.dates import Quarter, say_exactly, short_exactly
from estimator.words.money import say_price
from estimator.words.phrases import say_range
from estimator.words.records import price_told

ASKED = "26-900"  # one more in line, and nothing told of it


@pytest.fixture(scope="module")
def shop(demo_folder, tmp_path_factory):
    """A folder of its own: days are told in it."""
    folder = tmp_path_factory.mktemp("one day") / "shop"
    shutil.copytree(demo_folder, folder)
    return folder


def morning(run, shop):
    return json.loads(run("bench", "--json", "--shop", shop).stdout)


def few(boards):
    """The first board of each place, and one whose day told stands."""
    stands = [b for b in boards if b["told_last"] and b["told_last"]["last"] == b["ready"]["tell"]]
    first = {b["on"]: b for b in reversed(boards)}
    return [*stands[:1], *first.values()]


def line(text, start):
    """The first line that begins so."""
    return next(one for one in text.splitlines() if one.lstrip().startswith(start))


def test_all_that_names_a_day_names_the_same_day(shop, run, tmp_path):
    said = run("bench", "--ics", tmp_path / "days.ics", "--shop", shop).stdout
    day = morning(run, shop)
    today = dt.date.fromisoformat(day["today"])
    calendar = {
        str(one["SUMMARY"]): one.decoded("DTSTART")
        for one in icalendar.Calendar.from_ical((tmp_path / "days.ics").read_bytes()).walk("VEVENT")
    }
    assert day["boards"]
    bench = Calendar.of(Shop.open(shop).settings.bench)
    all_boards = said.partition("All boards in hand")[2]
    for board in day["boards"]:
        name = board["called"] or board["board"]
        tell, told = dt.date.fromisoformat(board["ready"]["tell"]), board["told_last"]
        assert board["ready"]["tell"] >= board["ready"]["high"]
        assert bench.works(tell) or (told and told["last"] == tell.isoformat()), board
        assert short_exactly(tell, today) in line(all_boards, name)
        assert calendar[f"{name}: ready by, 9 times in 10"] == tell
    for board in few(day["boards"]):
        tell = dt.date.fromisoformat(board["ready"]["tell"])
        ranged = json.loads(run("range", board["board"], "--json", "--shop", shop).stdout)
        assert ranged["ready"]["tell"] == tell.isoformat()
        words = " ".join(run("range", board["board"], "--shop", shop).stdout.split())
        assert f"tell the owner: ready by {say_exactly(tell, today)}, 9 times in 10" in words
        owner = json.loads(run("sheet", "owner", board["board"], "--json", "--shop", shop).stdout)
        assert owner["ready_by"] == tell.isoformat()
    rung = {one["board"]: one["tell"] for one in day["ring_today"] if one["tell"]}
    assert rung
    assert rung == {b["board"]: b["ready"]["tell"] for b in day["boards"] if b["board"] in rung}


def test_what_is_kept_as_told_is_that_day_and_then_stands(shop, run, tmp_path):
    """26-900 is told by the day that the bench names; told once, no answer names another."""
    by = {one["board"]: one["ready"]["tell"] for one in morning(run, shop)["boards"]}[ASKED]
    kept = json.loads(run("told", ASKED, "--hours", "?", "--price", "2600", "--json", "--shop", shop).stdout)
    assert by in json.dumps(kept)
    assert {one["board"]: one["ready"]["tell"] for one in morning(run, shop)["boards"]}[ASKED] == by
    weighed = json.loads(run("weigh", ASKED, "--json", "--shop", shop).stdout)
    ranged = json.loads(run("range", ASKED, "--json", "--shop", shop).stdout)
    assert weighed["ready"]["tell"] == ranged["ready"]["tell"] == by
    assert {name: weighed["hours"][name] for name in ("low", "likely", "high")} == pytest.approx(
        ranged["hours"]
    )
    assert weighed["price"] == 2600.0
    run("sheet", "owner", ASKED, "--out", tmp_path / "a.txt", "--shop", shop)
    paper = (tmp_path / "a.txt").read_text("utf-8")
    today = dt.date.fromisoformat(morning(run, shop)["today"])
    assert f"{say_exactly(dt.date.fromisoformat(by), today)}, 9 times in 10" in paper
    assert "2,600" in paper


def test_paper_and_pictures_name_that_day_too(shop, run, tmp_path):
    """The workshop's copy, the pictures of a day, and what is weighed, of one board in line."""
    day = morning(run, shop)
    today = dt.date.fromisoformat(day["today"])
    board = next(one for one in day["boards"] if one["on"] == "queue")
    tell = say_exactly(dt.date.fromisoformat(board["ready"]["tell"]), today)

    opened = Shop.open(shop)
    away = [(one.first, one.last) for one in opened.settings.bench.away]
    copy = json.dumps(paper_of(opened, "range", board["board"]).data, default=str, ensure_ascii=False)
    assert f"tell the owner: ready by {tell}, 9 times in 10" in copy
    weighed = run("weigh", board["board"], "--price", "2600", "--shop", shop).stdout
    assert f"This one will be ready by {tell}, 9 times in 10." in " ".join(weighed.split())
    run("range", board["board"], "--dates", "--figure", tmp_path / "a.svg", "--shop", shop)
    drawn = (tmp_path / "a-dates.svg").read_text("utf-8")
    promise = opened.snapshot().promise(board["board"])
    assert promise.ready.tell.isoformat() == board["ready"]["tell"]
    assert escape(ten_caption(promise, today, away)) in drawn
    run("bench", "--figure", tmp_path / "b.svg", "--shop", shop)
    assert escape(board["called"]) in (tmp_path / "b.svg").read_text("utf-8")


def test_the_quarter_names_that_day_for_what_is_in_hand(shop):
    """Looked back on from the day of the bench, without a record."""
    snapshot = Shop.open(shop).snapshot()
    promises = {one.board: one.ready for one in snapshot.morning().promises}
    known = replace(snapshot.known_then([]), now=snapshot.known[0], record=None, notes=[])
    review = review_of(Quarter.read("2026-Q4", snapshot.looking_from()), known, seed=0)

    assert {one.board for one in review.in_hand} == set(promises)
    for one in review.in_hand:
        assert (one.ready.low, one.ready.high, one.ready.tell) == (
            promises[one.board].low,
            promises[one.board].high,
            promises[one.board].tell,
        )


def test_hours_and_prices_of_a_board_are_the_same_in_every_answer(shop, run):
    """The range, the workshop's copy, what is weighed, the bench and the quarter; the price that was told, on paper."""
    opened = Shop.open(shop)
    snapshot = opened.snapshot()
    day = snapshot.morning()
    known = replace(snapshot.known_then([]), now=snapshot.known[0], record=None, notes=[])
    in_hand = {one.board: one for one in review_of(Quarter.read("2026-Q4", day.today), known, seed=0).in_hand}
    told = snapshot.known[0].told
    for board in few([one.as_dict() for one in day.promises]):
        name, left = board["board"], board["hours_left"]
        said = json.loads(run("range", name, "--json", "--shop", shop).stdout)
        weighed = json.loads(run("weigh", name, "--price", "2600", "--json", "--shop", shop).stdout)
        hours = said["hours"]
        assert {one: weighed["hours"][one] for one in hours} == pytest.approx(hours)
        assert [one.hours.as_dict() for one in [in_hand[name]]] == [pytest.approx(hours)]
        fixed = next(one for one in weighed["terms"] if one["terms"] == "fixed")
        assert fixed["price_for_target"] == pytest.approx(said["price"]["for_target"])
        assert in_hand[name].left.likely == pytest.approx(left, rel=0.1, abs=1.0)
        copy = json.dumps(paper_of(opened, "range", name).data, default=str, ensure_ascii=False)
        assert say_range(hours["low"], hours["high"]) in copy.casefold()
        price = price_told(snapshot.known[0].by_id[name], told)
        assert in_hand[name].price == price
        if price is not None:
            assert say_price(price) in json.dumps(paper_of(opened, "owner", name).data, default=str)
            assert json.loads(run("weigh", name, "--json", "--shop", shop).stdout)["price"] == price

"""What is answered on Today: one board first, and what that costs the others; not in, and whose dates that moves."""

import datetime as dt
import json
import re
from types import SimpleNamespace
from urllib.parse import parse_qs

import pytest
from making.counter import HOST, client
from making.working_day import MAY, AtOnce, in_a_book

from estimator.bench.promises import IN_DANGER, IS_READY
from estimator.counter.pages import day_steps as day_steps_of
from estimator.log.steps.enquiry import OwnerAnswered, QuestionsAnswered
from estimator.log.steps.hours import HoursNow
from estimator.log.steps.telling import ToldOwner
from estimator.log.store import Sent

RED, FISH = "26-001", "26-002"
LOOKS = {
    "sides_stripped": "2",
    "infills": "2",
    "wetness": "dry",
    "brittle_glass": "crisp",
    "spray_colours": "1",
}


@pytest.fixture(scope="module")
def counter(tmp_path_factory):
    """Red, begun and told a day that can be kept; and green fish, told one that only just can't."""
    folder = tmp_path_factory.mktemp("day") / "shop"
    folder.mkdir()
    in_a_book(folder)
    counter = client(folder, today=MAY)
    held = counter.app.extensions["counter"]
    for step in (
        QuestionsAnswered(RED, LOOKS),
        QuestionsAnswered(
            FISH, {"infills": "1", "wetness": "dry", "brittle_glass": "sound", "glass_stripped": "0.2 m2"}
        ),
        OwnerAnswered(FISH, yes=True),
        ToldOwner(RED, hours="40-60", price="2000", last="2026-06-19"),
        ToldOwner(FISH, hours="8-14", price="600", last="2026-05-14"),
        HoursNow(RED, "strip", "3"),
        HoursNow(FISH, "strip", "1"),
    ):
        held.shop.do(step, Sent(dt.datetime.combine(MAY, dt.time(8))))
    held.worker = AtOnce(held)
    return counter


def today(counter):
    """The text of the page once its answers are there."""
    counter.page("/")
    page = counter.page("/")
    assert "data-waiting" not in page
    return re.sub(r"\s+", " ", page)


def test_only_whom_one_rings_for_a_date_in_danger_has_a_new_one_to_be_told(counter, monkeypatch):
    """The day that is to be told stands in the address to which the button of green fish leads; red is ready."""
    rings = (
        json.dumps([FISH, "green fish", IN_DANGER, "2026-05-14", "2026-05-21"]),
        json.dumps([RED, "red nine-four", IS_READY, "2026-05-11", ""]),
    )
    answer = SimpleNamespace(parts={"rings": rings})
    held = SimpleNamespace(answer=lambda _: (answer, True), clock=lambda: None, writes=True, store=None)
    monkeypatch.setattr(day_steps_of, "at_counter", lambda: held)
    with counter.app.test_request_context("/", headers={"Host": HOST}):
        fish, red = day_steps_of.day_steps().rings

    assert fish.told.partition("?")[0].endswith(f"/{FISH}/write/told")
    assert parse_qs(fish.told.partition("?")[2]) == {"last": ["2026-05-21"], "because": ["late"]}
    assert (red.told, red.why) == ("", IS_READY)


def test_one_first_moves_the_order_says_what_it_costs_and_is_taken_back(counter):
    assert "What goes first" not in today(counter)
    sent = {"why": IN_DANGER, "about": "2026-05-14", "answer": "do that one first"}
    assert counter.send(f"/rung/{FISH}", **sent).status_code == 303
    page = today(counter)
    said = page.partition("What goes first</h2>")[2].partition("</section>")[0]
    assert "Green fish goes first: ready by " in said
    assert "Red nine-four" in said or "It costs the others no day." in said
    assert "you put it first" in page
    assert "Back in its turn: green fish" in said

    assert counter.send(f"/rung/{FISH}", **{**sent, "answer": "in its turn again"}).status_code == 303
    assert "What goes first" not in today(counter)


def test_not_in_says_whose_dates_move_until_one_is_back(counter):
    assert counter.send("/not-in", until="till", until_day="2026-05-06").status_code == 303
    said = today(counter).partition("Whose dates move</h2>")[2].partition("</section>")[0]
    assert "<p>Not in till Wed 6 May 2026.</p>" in said
    assert "later; " in said

    assert counter.send("/not-in", back="yes").status_code == 303
    assert "Whose dates move" not in today(counter)

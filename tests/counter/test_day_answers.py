"""What is answered on Today: one board first, and what that costs the others; not in, and whose dates that moves."""

import datetime as dt
import re

import pytest
from making.counter import client
from making.working_day import MAY, AtOnce, in_a_book

from estimator.bench.promises import IN_DANGER
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

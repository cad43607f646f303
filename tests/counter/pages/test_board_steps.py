"""Steps as a board's page offers them, and what becomes of a form that is too long."""

import datetime as dt

import pytest
from making.counter import HOST, client
from making.working_day import MAY, in_a_book

from estimator.counter.pages import new, setting_up
from estimator.counter.pages.board_steps import board_steps
from estimator.log.steps.enquiry import OwnGuess
from estimator.log.steps.hours import HoursNow
from estimator.log.steps.leaving import BoardReady, CollectedAndPaid
from estimator.log.steps.telling import ToldOwner
from estimator.log.store import Sent

RED, FISH = "26-001", "26-002"


@pytest.fixture
def counter(tmp_path):
    (tmp_path / "shop").mkdir()
    in_a_book(tmp_path / "shop")
    return client(tmp_path / "shop", today=MAY)


def do(counter, *steps):
    for step in steps:
        counter.app.extensions["counter"].shop.do(step, Sent(dt.datetime.combine(MAY, dt.time(8))))


def offered(counter, board=RED):
    with counter.app.test_request_context("/", headers={"Host": HOST}):
        return board_steps(board)


def test_what_is_owed_is_paid_and_fetched_by_one_press_and_once_fetched_there_is_none(counter):
    do(
        counter,
        ToldOwner(RED, hours="40-60", price="2000", last="2026-07-01"),
        HoursNow(RED, "strip", "4"),
        BoardReady(RED),
    )
    [press] = [one for one in offered(counter).likely if one.shape == "press"]
    assert (press.words, dict(press.hidden)) == (
        "Collected and paid: 2,000",
        {"amount": "2000", "what": "both"},
    )
    assert [one.words for one in offered(counter).likely if one.shape == "way"][-1] == "Collected and paid"
    do(counter, CollectedAndPaid(RED, paid=False))
    assert not [one for one in offered(counter).likely if one.shape == "press"]


def test_where_pages_write_nothing_no_step_is_offered(counter):
    counter.app.extensions["counter"]._writes = False
    steps = offered(counter)

    assert (steps.likely, steps.others) == ((), ())


def test_what_is_too_long_is_not_written(counter):
    path = f"/boards/{RED}/write/hours"
    assert counter.send(path, path, stage="strip", hours="2", note="x" * 32_001).status_code == 422
    assert counter.app.extensions["counter"].shop.snapshot(MAY).whole_log.entries == ()


@pytest.mark.parametrize(
    ("guess", "query", "opened"), [(False, "", False), (False, "?seen=yes", True), (True, "", True)]
)
def test_the_answer_is_open_once_the_own_guess_is_in_or_by_wish(counter, monkeypatch, guess, query, opened):
    held = {}
    monkeypatch.setattr(new, "render_template", lambda _, **given: held.update(given) or "")
    if guess:
        do(counter, OwnGuess(FISH, "9"))
    counter.get(f"/new/{FISH}{query}")

    assert (held["open_answer"], held["seen"], held["asked"]) == (opened, bool(query), True)


@pytest.mark.parametrize(("question", "number"), [("week", 1), ("away", 2)])
def test_questions_are_numbered_from_one_on(counter, monkeypatch, question, number):
    held = {}
    monkeypatch.setattr(setting_up, "render_template", lambda _, **given: held.update(given) or "")
    counter.get(f"/setting-up/{question}")

    assert held["number_of"] == number
    assert held["all"] >= 10

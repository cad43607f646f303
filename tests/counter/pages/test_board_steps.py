"""Steps as a board's page offers them, and what becomes of a form that is too long."""

import datetime as dt
from types import SimpleNamespace

import pytest
from making.counter import HOST, client
from making.working_day import MAY, in_a_book

from estimator.counter.answer_files import AsOf, KeptAnswer
from estimator.counter.pages import board_steps as page
from estimator.counter.pages import new, setting_up
from estimator.counter.pages.board_steps import board_steps
from estimator.counter.step_questions import since_about
from estimator.counter.workplace import Counter
from estimator.log.steps.enquiry import OwnGuess, QuestionsAnswered
from estimator.log.steps.hours import HoursNow
from estimator.log.steps.leaving import BoardReady, CollectedAndPaid
from estimator.log.steps.standing import Stopped
from estimator.log.steps.telling import ToldOwner
from estimator.log.store import Sent
from estimator.words.actions import Action

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


def answering(monkeypatch, parts, fresh):
    """Pages that are given this answer; what each question was, and what a page is given to show."""
    asked, held = [], {}
    found = None if parts is None else KeptAnswer(AsOf("r", "2026-05-04", 0), parts)
    monkeypatch.setattr(Counter, "answer", lambda _, question: asked.append(question) or (found, fresh))
    for module in (new, page):
        monkeypatch.setattr(module, "render_template", lambda _, **given: held.update(given) or "")
    return asked, held


FIGURES = ('["hours", "50-80"]', '["price", "1900"]', '["last", "2026-07-01"]')


@pytest.mark.parametrize(
    ("fresh", "offered"), [(True, ["50-80", "1900", "2026-07-01"]), (False, ["", "", ""])]
)
def test_only_figures_of_now_are_offered_to_tell(counter, monkeypatch, fresh, offered):
    asked, held = answering(monkeypatch, {"told": FIGURES, "best": ("logos", "infills")}, fresh)
    monkeypatch.setattr(new, "hours_at_once", lambda *_: SimpleNamespace(best=("infills",)))
    counter.get(f"/new/{FISH}?seen=yes")

    assert [held["told_form"].text(name) for name in ("hours", "price", "last")] == offered
    assert [(one.kind, one.about) for one in asked if one.kind == "enquiry"] == [("enquiry", FISH)]
    assert held["fresh"] is fresh
    assert (
        held["at_once"] is None
    ) is fresh  # what is worked out at once stands in only till the answer is there


@pytest.mark.parametrize(
    ("path", "here"),
    [(f"/new/{FISH}", False), (f"/new/{FISH}?here=yes", True), (f"/new/{FISH}?seen=yes", False)],
)
def test_the_board_is_here_by_wish(counter, monkeypatch, path, here):
    _, held = answering(monkeypatch, None, False)
    counter.get(path)

    assert held["here"] is here
    assert held["found"] is None


def test_a_board_that_was_looked_at_or_guessed_is_here(counter, monkeypatch):
    do(counter, OwnGuess(FISH, "9"))
    _, held = answering(monkeypatch, None, False)
    counter.get(f"/new/{FISH}")
    assert held["here"] is True


def test_a_board_that_was_looked_at_is_here_and_its_answer_stays_shut(counter, monkeypatch):
    counter.send(f"/new/{FISH}", f"/new/{FISH}?here=yes", put_by="yes", **{"looked.logos": "1"})
    _, held = answering(monkeypatch, None, False)
    counter.get(f"/new/{FISH}")
    assert (held["here"], held["open_answer"], held["seen"]) == (True, False, False)


def test_a_guess_that_is_none_stays_typed_and_the_answer_stays_as_it_was(counter, monkeypatch):
    _, held = answering(monkeypatch, None, False)
    answer = counter.send(f"/new/{FISH}", "/on-the-go", guess="a while", seen="yes", **{"looked.logos": "1"})

    assert answer.status_code == 422
    assert held["guess_field"].value == "a while"
    assert [one.value for one in held["questions"].fields if one.name == "looked.logos"] == ["1"]
    assert (held["here"], held["seen"], held["open_answer"]) == (True, True, True)


SINCE = f"/boards/{RED}/write/asked-since?more.spray_colours=1"


@pytest.mark.parametrize(
    ("fresh", "price", "carried"),
    [(True, "180", {"shown.extra": "-180", "shown.last": "2026-07-09"}), (False, "", {})],
)
def test_only_figures_of_now_are_agreed_on(counter, monkeypatch, fresh, price, carried):
    """An extra that is less than nothing is shown without its sign, for a price is typed so."""
    asked, held = answering(monkeypatch, {"figures": ('["extra", "-180"]', '["last", "2026-07-09"]')}, fresh)
    counter.get(SINCE)

    assert (held["form"].text("price"), held["carried"]) == (price, carried)
    assert held["more"] == {"more.spray_colours": "1"}
    assert held["fresh"] is fresh
    assert [(one.kind, one.about) for one in asked if one.kind == "since"] == [
        ("since", f'["{RED}", {{"spray_colours": "1"}}]')
    ]


def test_where_nothing_is_asked_for_since_nothing_is_worked_out(counter, monkeypatch):
    asked, held = answering(monkeypatch, {}, False)
    counter.get(f"/boards/{RED}/write/asked-since?more.spray_colours=")

    assert (held["more"], held["found"], held["fresh"], held["carried"]) == ({}, None, True, {})
    assert [one for one in asked if one.kind == "since"] == []


@pytest.mark.parametrize("notes", [(), ("Look at the nose.",)])
def test_after_a_step_its_board_says_what_is_to_be_said_once_there_is_something(counter, notes):
    with counter.app.test_request_context("/", headers={"Host": HOST}):
        if notes:
            counter.app.extensions["said"] = {"k1": notes}
        assert page.to_board(RED, "k1").headers["Location"] == f"/boards/{RED}" + (
            "?said=k1" if notes else ""
        )
        assert page.to_board(RED).headers["Location"] == f"/boards/{RED}"
    with counter.app.test_request_context("/?said=k1", headers={"Host": HOST}):
        assert board_steps(RED).said == notes


def test_where_a_telling_is_typed_what_is_told_is_worked_out(counter, monkeypatch):
    asked, _ = answering(monkeypatch, None, False)
    counter.get(f"/boards/{RED}/write/told")
    counter.get(f"/boards/{RED}/write/note")

    assert [(one.kind, one.about) for one in asked if one.kind == "telling"] == [("telling", RED)]


def test_what_was_found_as_thought_is_one_press_once_the_board_was_looked_at(counter):
    do(counter, ToldOwner(RED, hours="40-60", price="2000", last="2026-07-01"), HoursNow(RED, "strip", "4"))
    found = [
        one for one in (*offered(counter).likely, *offered(counter).others) if one.address.endswith("/found")
    ]
    assert all(one.shape == "way" for one in found)


def test_each_way_leads_to_its_own_form(counter):
    ways = {one.words: one.address for one in offered(counter).others}

    assert ways
    assert [words for words, address in ways.items() if address.startswith("/take-it-on")] == (
        ["Take it on?"] if "Take it on?" in ways else []
    )
    with counter.app.test_request_context("/", headers={"Host": HOST}):
        for verb, address in {
            "weigh up": f"/take-it-on/{RED}",
            "answers": f"/new/{RED}?here=yes",
            "guess": f"/new/{RED}?here=yes",
            "asked since": f"/boards/{RED}/write/asked-since",
            "ready": f"/boards/{RED}/write/ready",
        }.items():
            assert page._way(Action(verb, RED)).address == address
        assert (
            page._way(Action("done", RED, {"stage": "strip"})).address
            == f"/boards/{RED}/write/done?stage=strip"
        )


@pytest.mark.parametrize(("more", "about"), [({"b": "1", "a": "2"}, '["x", {"a": "2", "b": "1"}]'), ({}, '["x", {}]'), ({"ü": "1"}, '["x", {"ü": "1"}]')])  # fmt: skip
def test_what_is_asked_for_since_is_one_question_in_whatever_order_it_is_typed(more, about):
    assert since_about("x", more) == about


def test_what_is_likely_is_pressed_where_nothing_has_to_be_said_with_it(counter):
    def likely():
        return [(one.shape, one.words, dict(one.hidden), one.address.rpartition("/")[2]) for one in offered(counter).likely]  # fmt: skip

    hours = ("form", "Write hours", {}, "hours")
    assert likely() == [hours, ("way", "Deposit came", {}, "deposit")]
    do(counter, QuestionsAnswered(RED, {"infills": "2"}), HoursNow(RED, "strip", "4"))
    assert likely() == [hours, ("press", "Strip old glass: stage done", {"stage": "strip"}, "done")]
    do(counter, HoursNow(RED, "strip", "1", done=True))
    assert likely() == [
        ("press", "What did you find? Just as I thought", {"as_thought": "yes"}, "found"),
        ("way", "Weigh-in", {}, "weight"),
        ("way", "What did you find?", {}, "found"),  # where it turned out otherwise
    ]
    do(counter, Stopped(RED, "parts"))
    assert likely() == [("press", "Going again", {}, "going"), ("way", "I told the owner", {}, "told")]
    do(counter, Stopped(RED, "owner"))  # which of the two goes on?
    assert likely() == [("way", "Going again", {}, "going"), ("way", "I told the owner", {}, "told")]


def test_what_costs_nothing_is_fetched_by_its_form(counter):
    do(counter, ToldOwner(RED, hours="4", price="0", last="2026-07-01"), HoursNow(RED, "strip", "4"), BoardReady(RED))  # fmt: skip

    assert [one.shape for one in offered(counter).likely if one.address.endswith("/collected")] == ["way"]


@pytest.mark.parametrize(
    ("best", "at_once", "first"),
    [
        (("logos", "infills"), ("pinlines",), ["logos", "infills"]),
        ((), ("pinlines", "logos"), ["pinlines", "logos"]),
        ((), None, ["wetness"]),  # as rules of thumb say
    ],
)
def test_what_is_asked_first_is_what_was_worked_out_else_what_was_learned_last(
    counter, monkeypatch, best, at_once, first
):
    _, held = answering(monkeypatch, {"best": best}, False)
    monkeypatch.setattr(new, "hours_at_once", lambda *_: at_once and SimpleNamespace(best=at_once))
    counter.get(f"/new/{FISH}")
    names = [one.name for one in held["questions"].fields if one.name.startswith("looked.")]

    assert names[: len(first)] == [f"looked.{name}" for name in first]


def test_hours_at_once_are_of_the_form_and_of_what_is_written_where_it_is_silent(counter, monkeypatch):
    given = []
    do(counter, QuestionsAnswered(FISH, {"infills": "1", "logos": "2"}))
    answering(monkeypatch, None, False)
    monkeypatch.setattr(new, "hours_at_once", lambda _, cells: given.append(cells))
    counter.get(f"/new/{FISH}/hours?looked.infills=3&looked.logos=")

    assert given == [{"kind": "minor", "length": "5'10", "infills": "3", "logos": "2"}]


@pytest.mark.parametrize(
    ("fields", "notes", "where"),
    [
        ({}, (), f"/new/{FISH}#answer"),
        ({}, ("Look again.",), f"/new/{FISH}?said=k#answer"),
        ({"put_by": "yes"}, ("Look again.",), "/"),
    ],
)
def test_after_questions_were_answered_one_sees_the_answer_or_puts_the_board_by(
    counter, monkeypatch, fields, notes, where
):
    monkeypatch.setattr(new, "take", lambda *_: object())
    counter.app.extensions["said"] = {"k": notes}

    assert counter.send(f"/new/{FISH}", "/on-the-go", key="k", **fields).headers["Location"] == where


@pytest.mark.parametrize(
    ("fields", "where"), [({}, "/new/26-009"), ({"only_asked": "yes"}, "/new?counted=yes")]
)
def test_who_asks_gets_a_rough_answer_unless_it_is_only_to_be_counted(counter, monkeypatch, fields, where):
    taken = []
    monkeypatch.setattr(
        new, "take", lambda *given: taken.append(given[:2]) or SimpleNamespace(board="26-009")
    )

    assert counter.send("/new", "/on-the-go", owner="Tam", **fields).headers["Location"] == where
    assert taken == [("enquiry", "")]


@pytest.mark.parametrize("path", ["/new", f"/new/{FISH}"])
def test_of_somebody_who_asks_nothing_too_long_is_written_and_nobody_is_counted(counter, monkeypatch, path):
    monkeypatch.setattr(new, "take", lambda *_: pytest.fail("taken"))
    answer = counter.send(path, "/on-the-go", called="x" * 32_001, only_asked="yes")

    assert answer.status_code == 422
    assert "Counted" not in answer.get_data(as_text=True)

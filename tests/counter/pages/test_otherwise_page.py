"""Last year under another habit, on its page."""

import html

import pytest
from making.counter import client
from making.folders import TODAY, folder
from making.worker_done import WorkerAtOnce

from estimator.counter.answer_files import PageQuestion
from estimator.counter.pages import otherwise
from estimator.counter.pages.otherwise import offered
from estimator.decide.otherwise import Otherwise, UnderHabit
from estimator.said.otherwise import otherwise_parts
from estimator.snapshot import Snapshot
from estimator.words.settings.schema import Bench, Kind, Settings

YEAR = {
    "first": TODAY.replace(year=TODAY.year - 1),
    "last": TODAY,
    "boards": 31,
    "near": 27,
    "tried": 8,
    "places": 3,
    "at_once": 3,
}


@pytest.fixture
def visitor(tmp_path):
    one = client(folder(tmp_path / "shop"), today=TODAY)
    held = one.app.extensions["counter"]
    held.worker = WorkerAtOnce(tmp_path / "shop")
    return one


def said(visitor, path):
    visitor.page(path)
    return html.unescape(visitor.page(path))


def asked_for(habit):
    more = {
        "kept": 21,
        "kept_before": 22,
        "of": 31,
        "more_low": -1,
        "more_high": 2,
        "sure": 0.3,
        "earlier": 0.0,
    }
    return UnderHabit(habit=habit, pay=100.0, pay_before=100.0, boards=(), hurt=(), **more)


def test_a_log_without_a_finished_board_says_so(visitor):
    assert "A past year can be worked otherwise once" in said(visitor, "/otherwise")


def test_a_habit_is_chosen_and_what_it_would_have_changed_is_said(visitor, monkeypatch):
    def otherwise(_self, habit=None):
        return Otherwise(**YEAR, asked=habit and asked_for(habit), suggested=None)

    monkeypatch.setattr(Snapshot, "otherwise", otherwise)
    assert "None of 8 other habits would have kept more days" in said(visitor, "/otherwise")
    text = said(visitor, "/otherwise?habit=strip")
    assert "Days told that would have been kept: 21 of 31, where as it was 22 are." in text
    assert 'aria-current="page">Each board stripped as soon as it comes<' in text


def test_fewer_boards_at_once_in_the_settings_than_in_the_log_are_said_with_both_numbers(
    visitor, monkeypatch
):
    for near in (27, 3):  # the replay near, and not
        year = {**YEAR, "near": near, "at_once": 5}
        found = Otherwise(**year, asked=None, suggested=None)
        monkeypatch.setattr(Snapshot, "otherwise", lambda _self, _habit=None, found=found: found)
        text = "".join(
            otherwise_parts(found, visitor.app.extensions["counter"].shop.settings)[n] for n in (1, 2)
        )
        assert (
            "Your settings have 3 boards on the go at once, but your log shows 5, boards that dry not counted."
            in text
        )
    assert "but your log shows 5" in said(visitor, "/otherwise")


@pytest.mark.parametrize(
    "odd", ["places-0", "places-99", "none-", "none-gun", "small-x", "<b>", "strip-first"]
)
def test_what_is_no_habit_on_offer_is_the_page_without_one(visitor, monkeypatch, odd):
    asked = []
    monkeypatch.setattr(
        Snapshot,
        "otherwise",
        lambda _self, habit=None: asked.append(habit) or Otherwise(**YEAR, asked=None, suggested=None),
    )
    visitor.page(f"/otherwise?habit={odd}")
    assert asked == [None]


def test_it_stands_under_look_back(visitor):
    assert 'href="/otherwise"' in visitor.page("/look-back")


@pytest.mark.parametrize(
    ("places", "spelt"),
    [
        (3, ["places-2", "places-4", "strip", "small-Mon", "small-Thu", "none-major"]),
        (1, ["places-2", "strip", "small-Mon", "small-Thu", "none-major"]),
    ],
)
def test_habits_on_offer_are_one_place_less_and_more_each_working_day_and_each_sort_in_use(places, spelt):
    shop = Settings(
        bench=Bench(places=places, hours_by_weekday=(6.0, 0.0, 0.0, 2.0, 0.0, 0.0, 0.0)),
        kinds={"major": Kind("major"), "old": Kind("old", retired=True)},
    )

    assert [habit.spelt for habit in offered(shop)] == spelt


@pytest.mark.parametrize(("asked", "habit"), [("strip", "strip"), ("places-99", ""), ("", "")])
def test_the_habit_that_is_marked_is_one_on_offer_and_the_one_that_is_answered(
    visitor, monkeypatch, asked, habit
):
    held, questions = {}, []
    monkeypatch.setattr(otherwise, "render_template", lambda _, **given: held.update(given) or "")
    one = visitor.app.extensions["counter"]
    monkeypatch.setattr(one, "answer", lambda question: questions.append(question) or (None, False))
    visitor.get(f"/otherwise?habit={asked}")

    assert (held["habit"], held["found"], held["fresh"]) == (habit, None, False)
    assert questions == [PageQuestion("otherwise", habit)]
    assert held["habits"]["strip"] == "Each board stripped as soon as it comes"

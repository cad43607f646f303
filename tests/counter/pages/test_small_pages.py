"""Thin pages: which habits are on offer, where one is asked about, and what a button carries."""

import datetime as dt
from types import SimpleNamespace

import pytest
from making.counter import HOST, client
from making.folders import TODAY, folder
from making.working_day import MAY, in_a_book

from estimator.counter.answer_files import AsOf, KeptAnswer, PageQuestion
from estimator.counter.forms import PageForm
from estimator.counter.pages import before_the_log, day_steps, take_it_on, today
from estimator.counter.pages.book_files import _answers as answers_of_import
from estimator.counter.pages.look_back import RangeOffer, read_quarter_asked
from estimator.counter.pages.otherwise import offered
from estimator.counter.pages.undo import last_act
from estimator.log.store import IMPORT, PAGE
from estimator.said.bench import ALL, LEAVE, SCALES, STILL_OPEN, TOUCH
from estimator.said.parts import Heading
from estimator.words.errors import UnreadableError
from estimator.words.records import Accepted, Rule
from estimator.words.settings.changes import with_values
from estimator.words.settings.schema import Bench, Kind, Settings

NOON = dt.datetime.combine(MAY, dt.time(12))


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


@pytest.mark.parametrize(
    ("text", "day", "name"),
    [("", "2026-10-12", "2026-Q3"), ("", "2026-01-01", "2025-Q4"), ("2026-Q2", "2026-10-12", "2026-Q2")],
)
def test_the_quarter_before_today_s_is_looked_back_on_unless_another_is_asked_for(text, day, name):
    assert read_quarter_asked(text, dt.date.fromisoformat(day)).name == name
    with pytest.raises(UnreadableError):
        read_quarter_asked("summer", MAY)


@pytest.mark.parametrize(
    ("there", "kept"),
    [
        (None, False),
        ((9.1234567, 14.5, 21), True),
        ((9.12345, 14.5, 21), True),
        ((9.2, 14.5, 21), False),
        ((9.1234567, 14.7, 21), False),
        ((9.1234567, 14.5, 20), False),
    ],
)
def test_a_range_is_kept_already_where_it_stands_beside_the_rule_with_as_many_boards(there, kept):
    rule = Rule("r", accepted=there and Accepted(there[0], there[1], MAY, there[2]))
    offer = RangeOffer(9.1234567, 14.5, 21)

    assert offer.is_kept(rule) == kept
    assert offer.spelt == "9.12346-14.5-21"


def test_answers_to_doubts_go_by_their_line_and_what_is_typed_beside_a_choice_comes_first():
    form = PageForm({"doubt.0.kind-0-5": ["major"], "doubt.0.owner-0-4": [""], "doubt.0.owner-0-4.other": [" Mara "], "doubt.1.kind-0-5": ["minor"], "doubt.0.next-1-2": ["sand"],
                     "doubt.0.next-1-2.other": ["gloss"], "x": ["y"]})  # fmt: skip

    assert before_the_log._answers(form, "0") == {
        "kind-0-5": "major",
        "owner-0-4": "Mara",
        "next-1-2": "gloss",
    }
    assert before_the_log._answers(form, "1") == {"kind-0-5": "minor"}
    assert before_the_log._answers(form) == {}


def test_what_was_answered_of_a_file_goes_on_and_what_is_typed_comes_first():
    form = PageForm(
        {
            "known": ['["a", "1"]', "spoilt", '["b"]', "3"],
            "key.0": ["c"],
            "answer.0": ["2"],
            "key.1": ["d"],
            "answer.1": ["3"],
            "other.1": ["4"],
            "key.2": ["e"],
        }
    )

    assert answers_of_import(form) == {"a": "1", "c": "2", "d": "4"}


@pytest.fixture(scope="module")
def counter(tmp_path_factory):
    return client(folder(tmp_path_factory.mktemp("small") / "shop"), today=TODAY)


def shown(monkeypatch, module):
    """What a page hands to its template."""
    held = {}
    monkeypatch.setattr(module, "render_template", lambda _, **given: held.update(given) or "")
    return held


def test_each_part_of_the_morning_stands_in_its_place(counter, monkeypatch):
    day = (
        Heading("Mon 1 June 2026", 1),
        "tells",
        Heading(TOUCH),
        "t",
        Heading(LEAVE),
        "l",
        Heading(SCALES),
        "s",
        Heading(ALL),
        "a",
        Heading(STILL_OPEN),
        "o",
        Heading("Next free start"),
        "n",
    )
    held = counter.app.extensions["counter"]
    as_of = AsOf.on(held.shop.snapshot(TODAY).digest, TODAY, 0)
    KeptAnswer(as_of, {"day": day}).save(PageQuestion("today"), held.folder)
    given = shown(monkeypatch, today)
    with counter.app.test_request_context("/", headers={"Host": HOST}):
        today.show()

    words = {
        place: [part for part in parts if isinstance(part, str)] for place, parts in given["places"].items()
    }
    assert words == {"head": ["tells"], "work": ["t", "l"], "rack": ["s"], "rest": ["n"], ALL: ["a", "o"]}
    assert given["all"] == given["places"][ALL]
    assert given["fresh"]


@pytest.mark.parametrize(
    ("query", "about", "errors"),
    [
        ("", "26-003", []),
        ("?price=640", '["26-003", 640.0]', []),
        ("?price=", "26-003", []),
        ("?price=lots", "26-003", ["price"]),
    ],
)
def test_a_board_is_weighed_at_the_price_that_is_asked_about(counter, monkeypatch, query, about, errors):
    asked, parts = [], ("The answer.", "A fact.", Heading("What it pays"), "42 an hour")
    held = counter.app.extensions["counter"]
    monkeypatch.setattr(
        held,
        "answer",
        lambda question: (
            asked.append(question)
            or (KeptAnswer(AsOf("r", "", 0), {"weigh": (Heading("x", 1), *parts)}), True)
        ),
    )
    given = shown(monkeypatch, take_it_on)
    with counter.app.test_request_context(f"/take-it-on/26-003{query}", headers={"Host": HOST}):
        take_it_on.show("26-003")

    assert asked == [PageQuestion("weigh", about)]
    assert [one.field for one in given["form"].errors] == errors
    assert (given["first"], given["rest"]) == ((Heading("x", 1), "The answer.", "A fact."), parts[2:])
    assert counter.get("/take-it-on/nobody").status_code == 404


@pytest.fixture
def at_a_book(tmp_path):
    (tmp_path / "shop").mkdir()
    in_a_book(tmp_path / "shop")
    return client(tmp_path / "shop", today=MAY)


def noted(store, words, at=NOON, origin=PAGE):
    with store.act(words, at, origin=origin) as act:
        act.append("notes", {"board": "26-001", "date": MAY.isoformat(), "note": words})


def test_the_newest_act_that_stands_is_offered_to_be_taken_back(at_a_book):
    held = at_a_book.app.extensions["counter"]
    for words in ("one", "two", "three"):
        noted(held.store, words)
    labels = []
    for _ in range(3):
        offer = last_act(held)
        labels.append(offer.label)
        held.store.undo(int(offer.act), NOON)

    assert labels == ["three", "two", "one"]
    assert last_act(SimpleNamespace(store=object())) is None


@pytest.mark.parametrize(
    ("origin", "at", "undone", "today_"),
    [
        (IMPORT, NOON, False, True),
        (PAGE, NOON, False, False),
        (IMPORT, NOON - dt.timedelta(1), False, False),
        (IMPORT, NOON, True, False),
    ],
)
def test_rows_of_a_file_came_in_today_where_they_did_and_are_still_there(
    at_a_book, origin, at, undone, today_
):
    store = at_a_book.app.extensions["counter"].store
    noted(store, "rows", at, origin)
    if undone:
        store.undo(None, NOON)
    with at_a_book.app.test_request_context("/", headers={"Host": HOST}):
        assert day_steps.came_in_today() == today_


@pytest.mark.parametrize(
    ("first", "last", "away"), [(0, 0, True), (-2, 0, True), (0, 3, True), (1, 3, False), (-3, -1, False)]
)
def test_today_is_a_day_away_from_the_first_to_the_last(at_a_book, first, last, away):
    held = at_a_book.app.extensions["counter"]
    days = {"first": MAY + dt.timedelta(first), "last": MAY + dt.timedelta(last)}
    with held.store.act("away", NOON) as act:
        act.settings(with_values(held.store.settings_text(), ("bench",), {"away": [days]}))
    with at_a_book.app.test_request_context("/", headers={"Host": HOST}):
        assert day_steps.day_steps().away == away

"""What is answered on Today: which step a form becomes, whom to ring and with what, and rows that came in today."""

import datetime as dt
import json

import pytest
from making.books import NOON, book
from making.counter import HOST, client
from making.working_day import MAY, in_a_book, in_files

from estimator.counter.answer_files import AsOf, KeptAnswer
from estimator.counter.pages import day_steps as page
from estimator.counter.workplace import Counter
from estimator.log.store import IMPORT, PAGE

RED = "26-001"


@pytest.fixture
def counter(tmp_path):
    (tmp_path / "shop").mkdir()
    in_a_book(tmp_path / "shop")
    return client(tmp_path / "shop", today=MAY)


@pytest.fixture
def taken(monkeypatch):
    """The steps that forms become, and their until; each is done."""
    held = []

    def take(verb, board, form):
        held.append((verb, board, form.text("until")))
        return object()

    monkeypatch.setattr(page, "take", take)
    return held


@pytest.mark.parametrize(
    ("fields", "step"),
    [
        ({"until": ""}, ("away", "", "")),
        ({"until": "unknown"}, ("away", "", "unknown")),
        ({"until": "till", "until_day": "2026-05-08"}, ("away", "", "2026-05-08")),
        ({"until": "unknown", "until_day": "2026-05-08"}, ("away", "", "unknown")),
        ({"back": "yes"}, ("back", "", "")),
        ({"back": "no", "until": ""}, ("away", "", "")),
    ],
)
def test_not_in_is_till_a_day_today_or_open_and_back_is_back(counter, taken, fields, step):
    answer = counter.send("/not-in", "/", **fields)

    assert (answer.status_code, answer.headers["Location"]) == (303, "/")
    assert taken == [step]


def test_till_a_day_without_the_day_is_asked_for_it_and_nothing_is_taken(counter, taken):
    answer = counter.send("/not-in", "/", until="till", until_day="")

    assert answer.status_code == 422
    assert "The last day away" in answer.get_data(as_text=True)
    assert taken == []


@pytest.mark.parametrize("noted", [(), ("Rows in line move.",)])
def test_what_is_to_be_said_after_not_in_is_said_on_today(counter, monkeypatch, noted):
    def take(verb, board, form):
        if noted:
            page.at_counter()
            counter.app.extensions.setdefault("said", {})[form.key] = noted
        return object()

    monkeypatch.setattr(page, "take", take)
    answer = counter.send("/not-in", "/", until="")

    assert answer.headers["Location"].startswith("/?said=") == bool(noted)
    assert ("Rows in line move." in counter.page(answer.headers["Location"])) == bool(noted)


def steps(counter, path="/"):
    with counter.app.test_request_context(path, headers={"Host": HOST}):
        return page.day_steps()


def found_of(**parts):
    return KeptAnswer(AsOf("r", "2026-05-04", 0), {name: tuple(one) for name, one in parts.items()})


@pytest.mark.parametrize("fresh", [True, False])
def test_whom_to_ring_is_offered_with_the_day_to_tell_where_there_is_one(counter, monkeypatch, fresh):
    rings = [
        json.dumps([RED, "red nine-four", "late", "2026-05-06", "2026-07-01", "You told them.", "Say so."]),
        json.dumps(["26-002", "green fish", "", "2026-05-09", ""]),
    ]
    found = found_of(
        rings=rings,
        firsts=[json.dumps([RED, "red nine-four", "first", "2026-05-07"])],
        after=["in danger"],
        costs=["moves tan"],
        away=["moves blue"],
    )
    monkeypatch.setattr(Counter, "answer", lambda *_: (found, fresh))
    seen = steps(counter)

    assert [(one.board, one.name, one.why, one.about, one.tell, one.says) for one in seen.rings] == [
        (RED, "red nine-four", "late", "2026-05-06", "2026-07-01", ("You told them.", "Say so.")),
        ("26-002", "green fish", "", "2026-05-09", "", ()),
    ]
    assert [one.told for one in seen.rings] == [f"/boards/{RED}/write/told?last=2026-07-01&because=late", ""]
    [first] = seen.firsts
    assert (first.board, first.why, first.about, first.tell, first.told) == (
        RED,
        "first",
        "2026-05-07",
        "",
        "",
    )
    assert (seen.after, seen.costs, seen.moves) == (("in danger",), ("moves tan",), ("moves blue",))
    assert (seen.found, seen.fresh, seen.writes, seen.away, seen.imported) == (
        found,
        fresh,
        True,
        False,
        False,
    )


@pytest.mark.parametrize(("day", "away"), [(-1, False), (0, True), (2, True), (3, False)])
def test_today_is_a_day_away_from_its_first_to_its_last(counter, day, away):
    counter.send("/not-in", "/", until="till", until_day="2026-05-06")  # from Monday 4 to Wednesday 6 May
    counter.app.extensions["counter"].clock = lambda: MAY + dt.timedelta(days=day)

    assert steps(counter).away is away


@pytest.mark.parametrize(
    ("origin", "at", "undone", "came"),
    [
        (IMPORT, NOON, False, True),
        (IMPORT, NOON, True, False),
        (PAGE, NOON, False, False),
        (IMPORT, NOON - dt.timedelta(days=1), False, False),
    ],
)
def test_rows_came_in_today_where_a_file_was_taken_in_today_and_not_taken_back(
    tmp_path, origin, at, undone, came
):
    store = book(tmp_path / "shop", boards=[{"board": "A", "called": "red"}])
    with store.act("1 row from hours.csv", at, origin=origin) as act:
        act.append("hours", {"board": "A", "date": "2026-06-04", "stage": "strip", "hours": "4"})
    if undone:
        store.undo(None, NOON)
    visitor = client(store.folder, today=NOON.date())
    with visitor.app.test_request_context("/", headers={"Host": HOST}):
        assert page.came_in_today() is came


def test_in_files_nothing_came_in(tmp_path):
    (tmp_path / "shop").mkdir()
    in_files(tmp_path / "shop")
    visitor = client(tmp_path / "shop", today=MAY)
    with visitor.app.test_request_context("/", headers={"Host": HOST}):
        assert page.came_in_today() is False


def test_what_goes_first_and_whom_to_ring_are_called_as_boards_are_on_pages(counter, monkeypatch):
    found = found_of(
        rings=[json.dumps(["26-002", "26-002", "late", "", ""])],
        firsts=[json.dumps([RED, "red", "first", ""])],
    )
    monkeypatch.setattr(Counter, "answer", lambda *_: (found, True))
    monkeypatch.setattr(page, "known_as", lambda board, name: f"{name} of {board}")
    seen = steps(counter)

    assert [one.name for one in (*seen.rings, *seen.firsts)] == ["26-002 of 26-002", "red of 26-001"]


def test_an_answer_that_is_too_long_is_not_taken(counter, taken):
    assert counter.send(f"/rung/{RED}", "/", why="x" * 32_001).status_code == 422
    assert taken == []
    assert counter.send(f"/rung/{RED}", "/", why="late").status_code == 303
    assert taken == [("rung", RED, "")]

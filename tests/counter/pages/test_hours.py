"""The page of a week: the weeks beside it, and how large its box is."""

import datetime as dt
from types import SimpleNamespace

import pytest
from making.counter import HOST, client
from making.working_day import in_a_book

from estimator.counter.forms import PageForm
from estimator.counter.pages import hours
from estimator.words.settings.changes import with_values


@pytest.fixture
def counter(tmp_path):
    (tmp_path / "shop").mkdir()
    in_a_book(tmp_path / "shop")
    return tmp_path / "shop"


@pytest.mark.parametrize(
    ("today", "week", "before", "after"),
    [
        ("2026-06-12", "2026-06-08", "2026-06-01", ""), ("2026-06-14", "2026-06-08", "2026-06-01", ""), ("2026-06-15", "2026-06-08", "2026-06-01", "2026-06-15"),
        ("2026-07-30", "2026-06-08", "2026-06-01", "2026-06-15"),
    ],
)  # fmt: skip
def test_the_week_before_and_the_one_after_up_to_today_s(counter, monkeypatch, today, week, before, after):
    held, day = {}, dt.date.fromisoformat(today)
    monkeypatch.setattr(hours, "render_template", lambda _, **given: held.update(given) or "")
    app = client(counter, today=day).app
    with app.test_request_context("/hours", headers={"Host": HOST}):
        hours._shown(PageForm({"page": ["a\nb\nc"]}), dt.date.fromisoformat(week))

    assert held["before"] == f"/hours?week={before}"
    assert held["after"] == (f"/hours?week={after}" if after else "")
    assert (held["week"], held["rows"]) == (week, 6)
    with app.test_request_context("/hours", headers={"Host": HOST}):
        hours._shown(PageForm({"page": ["\n" * 9]}), dt.date.fromisoformat(week))
    assert held["rows"] == 11


def test_once_the_week_is_written_it_is_asked_and_once_that_is_answered_no_more(counter, monkeypatch):
    held = {}
    app = client(counter, today=dt.date(2026, 6, 12)).app
    monkeypatch.setattr(hours, "_shown", lambda *_, said, ends: held.update(said=said, ends=ends) or "")
    with app.app_context():
        hours.keep_said("k", ["Kept."])
    for query, ends in (("?said=k", True), ("?said=k&ended=k", False), ("?said=other", False), ("", False)):
        with app.test_request_context(f"/hours{query}", headers={"Host": HOST}):
            hours.show()
        assert held["ends"] == ends


def test_where_the_end_of_a_week_could_not_be_kept_it_is_asked_again(counter, monkeypatch):
    held, visitor = {}, client(counter, today=dt.date(2026, 6, 12))
    monkeypatch.setattr(hours, "_shown", lambda _, week, **more: held.update(more, week=week) or "")
    monkeypatch.setattr(hours, "take_step", lambda *_: None)

    assert visitor.send("/hours/end", "/on-the-go", week="2026-06-08").status_code == 422
    assert held == {"ends": True, "week": dt.date(2026, 6, 8)}


@pytest.mark.parametrize(
    ("again", "first"),
    [
        (False, "5 hours on red. They stand under their days."),
        (True, "These were kept already. They stand under their days."),
    ],
)
def test_after_hours_were_kept_it_is_said_what_and_what_else_there_is_to_say(
    counter, monkeypatch, again, first
):
    visitor, taken = client(counter, today=dt.date(2026, 6, 12)), []
    found = SimpleNamespace(label="5 hours on red", notes=("Look at Tuesday.",), again=again)
    monkeypatch.setattr(hours, "take_step", lambda step, _: taken.append(step) or found)
    answer = visitor.send("/hours", "/on-the-go", week="2026-06-03", page="red strip 5", key="k")

    assert (answer.status_code, answer.location) == (303, "/hours?week=2026-06-01&said=k")
    assert visitor.app.extensions["said"]["k"] == (first, "Look at Tuesday.")
    assert [(one.boxes, one.week) for one in taken] == [((("", "red strip 5"),), "2026-06-01")]
    ended = visitor.send("/hours/end", "/on-the-go", week="2026-06-03", key="e")
    assert ended.location == "/hours?week=2026-06-01&said=e&ended=e"
    assert visitor.app.extensions["said"]["e"] == ("5 hours on red.",)


@pytest.mark.parametrize(("text", "typed"), [("xyz strip 2", True), ("  ", False)])
def test_what_is_only_to_be_read_is_not_kept(counter, monkeypatch, text, typed):
    held, visitor = {}, client(counter, today=dt.date(2026, 6, 12))
    monkeypatch.setattr(hours, "take_step", lambda *_: pytest.fail("kept"))
    monkeypatch.setattr(hours, "render_template", lambda _, **given: held.update(given) or "")
    answer = visitor.send("/hours", "/on-the-go", week="2026-06-08", page=text, only_read="yes")

    assert (answer.status_code, held["typed"], bool(held["questions"])) == (422, typed, typed)
    visitor.get("/hours")
    assert (held["typed"], held["questions"], held["carried"], held["ends"]) == (False, (), {}, ())


def test_what_is_asked_stands_as_a_question_and_not_as_an_error_too(counter, monkeypatch):
    def refuse(_, form):
        form.wrong("", "Which board is that?")
        form.wrong("page", "Nobody works so long.")

    held, visitor = {}, client(counter, today=dt.date(2026, 6, 12))
    monkeypatch.setattr(hours, "take_step", refuse)
    monkeypatch.setattr(hours, "render_template", lambda _, **given: held.update(given) or "")
    visitor.send("/hours", "/on-the-go", week="2026-06-08", page="xyz strip 2")

    assert [one.field for one in held["form"].errors] == ["page"]
    assert len(held["questions"]) == 1


@pytest.mark.parametrize(("writes", "ends", "asked"), [(True, True, 3), (True, False, 0), (False, True, 0)])
def test_what_is_open_of_a_week_is_asked_at_its_end_where_pages_write(
    counter, monkeypatch, writes, ends, asked
):
    held, app = {}, client(counter, today=dt.date(2026, 6, 12), writes=writes).app
    monkeypatch.setattr(hours, "render_template", lambda _, **given: held.update(given) or "")
    with app.test_request_context("/hours", headers={"Host": HOST}):
        hours._shown(PageForm({}), dt.date(2026, 6, 8), ends=ends, said=("Kept.",))

    assert (len(held["ends"]), held["writes"], held["said"]) == (asked, writes, ("Kept.",))


def test_what_is_too_long_is_no_end_of_a_week(counter, monkeypatch):
    visitor = client(counter, today=dt.date(2026, 6, 12))
    monkeypatch.setattr(hours, "take_step", lambda *_: pytest.fail("taken"))
    long = {"day.2026-06-10": "x" * 32_001}

    assert visitor.send("/hours/end", "/on-the-go", week="2026-06-08", **long).status_code == 422


def test_a_week_is_read_as_this_workshop_writes_its_days_and_names_what_is_on_the_bench(counter, monkeypatch):
    held, asked, read = {}, [], hours.step_of
    visitor = client(counter, today=dt.date(2026, 6, 12))
    monkeypatch.setattr(hours, "step_of", lambda *given: asked.append(given[1:]) or read(*given))
    monkeypatch.setattr(hours, "on_the_bench", lambda _: ("red nine-four",))
    monkeypatch.setattr(hours, "take_step", lambda *_: pytest.fail("taken"))
    monkeypatch.setattr(hours, "render_template", lambda _, **given: held.update(given) or "")
    store = visitor.app.extensions["counter"].store
    with store.act("how days are written", dt.datetime(2026, 6, 12, 8, tzinfo=dt.UTC)) as act:
        act.settings(with_values(store.settings_text(), ("workshop",), {"dates": "month-day"}))
    long = visitor.send("/hours", "/on-the-go", week="2026-06-10", page="x" * 32_001)

    assert (long.status_code, held["bench"]) == (422, ("red nine-four",))
    assert asked == [(dt.date(2026, 6, 8), dt.date(2026, 6, 12), "month-day")]

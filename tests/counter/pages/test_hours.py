"""The page of a week: the weeks beside it, and how large its box is."""

import datetime as dt

import pytest
from making.counter import HOST, client
from making.working_day import in_a_book

from estimator.counter.forms import PageForm
from estimator.counter.pages import hours


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

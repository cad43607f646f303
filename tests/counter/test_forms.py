"""A form: its errors at the field and in a list with what was typed, its key, and the act that it becomes."""

import pytest
from flask import Blueprint, render_template_string, url_for
from making.all_pages import RED, at_a_day
from making.counter import Visitor
from making.folders import TODAY, folder

from estimator.counter.app import create_app
from estimator.counter.forms import PageForm, done
from estimator.words.worked_time import read_worked_time

TEMPLATE = """{% extends "base.html" %}{% from "parts.html" import hidden, line, number with context %}
{% block main %}<form method="post">{{ hidden(form) }}{{ number(form, "hours", "Hours") }}{{ line(form, "note", "Note") }}</form>{% endblock %}"""


def shop_with_a_form(path, **given):
    """A counter with one page more, on which hours are written."""
    app = create_app(folder(path / "shop"), today=TODAY, **given)
    page = Blueprint("written", __name__)

    @page.get("/written")
    def show():
        return render_template_string(TEMPLATE, form=PageForm.blank(hours="2"))

    @page.post("/written")
    def write():
        form = PageForm.sent()
        hours = form.read("hours", lambda text: read_worked_time(text, 8.0).hours)
        if not form.errors:
            row = {
                "board": "26-001",
                "date": "2026-06-01",
                "stage": "gloss",
                "hours": f"{hours}",
                "note": form.text("note"),
            }
            form.write("hours on 26-001", lambda act: act.append("hours", row))
        if form.errors:
            return render_template_string(TEMPLATE, form=form), 422
        return done(url_for("written.show"))

    app.register_blueprint(page)
    return Visitor(app)


@pytest.fixture
def counter(tmp_path):
    return shop_with_a_form(tmp_path, writes=True)


def rows(counter):
    return (counter.app.extensions["counter"].folder / "hours.csv").read_text("utf-8").splitlines()[3:]


def test_a_form_offers_what_is_known_and_becomes_one_act(counter):
    assert 'value="2"' in counter.page("/written")
    answer = counter.send("/written", "/written", hours="2:30", note="")

    assert (answer.status_code, answer.location) == (303, "/written")
    assert rows(counter) == ["26-001,2026-06-01,gloss,2.5,"]


def test_what_is_wrong_stands_at_the_field_and_in_the_list_and_what_was_typed_stays(counter):
    answer = counter.send("/written", "/written", hours="<b>soon", note='say "hi"')
    page = answer.get_data(as_text=True)

    assert answer.status_code == 422
    assert '<a href="#f-hours">&#34;&lt;b&gt;soon&#34;' in page
    assert 'id="e-hours"' in page
    assert 'value="&lt;b&gt;soon"' in page
    assert 'value="say &#34;hi&#34;"' in page
    assert rows(counter) == []


def test_the_same_form_sent_twice_is_one_act_and_another_one_is_another(counter):
    for _ in range(2):
        assert counter.send("/written", "/written", key="k", hours="2", note="").status_code == 303
    assert len(rows(counter)) == 1

    counter.send("/written", "/written", key="k", hours="3", note="")
    counter.send("/written", "/written", key="l", hours="3", note="")
    assert len(rows(counter)) == 3


def test_each_page_has_a_key_of_its_own(counter):
    pages = [counter.page("/written").split('name="key" value="')[1].split('"')[0] for _ in range(2)]

    assert pages[0] != pages[1]


def test_a_log_in_files_is_shown_and_never_written(tmp_path):
    counter = shop_with_a_form(tmp_path)
    answer = counter.send("/written", "/written", hours="2", note="")

    assert answer.status_code == 422
    assert "writes nothing" in answer.get_data(as_text=True)
    assert rows(counter) == []


def test_an_old_token_does_not_lose_what_was_typed(counter):
    answer = counter.send("/written", "/written", token="0" * 64, hours="2", note="keep <this>")

    assert answer.status_code == 403
    assert "keep &lt;this&gt;" in answer.get_data(as_text=True)
    assert rows(counter) == []


@pytest.mark.parametrize(
    ("verb", "field"),
    [
        *(("hours", "hours.other"), ("again", "hours.other"), ("hours", "on"), ("collected", "amount")),
        *(("told", name) for name in ("hours", "price", "first", "last", "on")),
    ],
)
def test_what_cannot_be_read_is_named_at_its_field(tmp_path, verb, field):
    visitor = Visitor(at_a_day(tmp_path / "shop"))
    path = f"/boards/{RED}/write/{verb}"
    answer = visitor.send(path, path, **{"stage": "strip", "again": "mine", field: "no such thing"})
    text, at = answer.get_data(as_text=True), field.removesuffix(".other")

    assert answer.status_code == 422
    assert f'<a href="#f-{at}">' in text
    assert f'id="e-{at}"' in text
    assert f'id="f-{at}"' in text
    assert "no such thing" in text.partition("<form")[2]

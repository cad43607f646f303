"""A form: its errors at the field and in a list with what was typed, its key, and the act that it becomes."""

import pytest
from flask import Blueprint, render_template_string, url_for
from making.all_pages import RED, at_a_day
from making.counter import HOST, Visitor
from making.folders import TODAY, folder

from estimator.counter.app import create_app
from estimator.counter.forms import PageForm, done
from estimator.words.errors import UsageError
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


def form_sent(app, path="/written", key="k", **typed):
    with app.test_request_context(
        path, method="POST", headers={"Host": HOST}, data={"token": "t", "key": key, **typed}
    ):
        form = PageForm.sent()
        return form, form.own_key, form.digest


def test_a_form_is_what_was_typed_without_its_token_and_key(counter):
    form, key, digest = form_sent(counter.app, hours=[" 2 ", "3"], note="")

    assert dict(form.typed) == {"hours": [" 2 ", "3"], "note": [""]}
    assert (form.text("hours"), form.texts("hours"), form.text("no such"), form.texts("no such")) == (
        "2",
        ["2", "3"],
        "",
        [],
    )
    assert key == f"k:{digest[:16]}"
    assert form_sent(counter.app, key="", hours="2")[1] == ""


def test_the_same_form_is_one_key_and_any_other_fields_texts_or_address_another(counter):
    keys = [
        form_sent(counter.app, path, **typed)[1:]
        for path, typed in (
            ("/written", {"hours": "2", "note": "x"}), ("/written", {"hours": "3", "note": "x"}), ("/written", {"hours": "2"}),
            ("/other", {"hours": "2", "note": "x"}), ("/written", {"hours": "x", "note": "2"}),
        )
    ]  # fmt: skip

    assert len(set(keys)) == 5
    assert form_sent(counter.app, note="x", hours="2")[1:] == keys[0]


@pytest.mark.parametrize(("longest", "said"), [((32_000,), False), ((32_001,), True), ((3, 32_001), True)])
def test_what_is_longer_than_a_cell_is_said_at_its_field(counter, longest, said):
    form, *_ = form_sent(counter.app, note=["x" * n for n in longest], hours="2")

    assert [one.field for one in form.errors] == (["note"] if said else [])
    assert form.error_at("note") == ("That is longer than 32,000 characters." if said else "")


@pytest.mark.parametrize(
    ("typed", "ticked"),
    [("yes", True), ("on", True), ("no", False), ("off", False), ("", False), (None, False)],
)
def test_a_box_is_ticked_by_whatever_does_not_deny_it(typed, ticked):
    assert PageForm({} if typed is None else {"box": [typed]}).ticked("box") == ticked


def test_an_error_stands_at_the_field_that_it_names_where_there_is_one():
    form = PageForm({"hours": ["2"], "price": ["x"]})
    form.note(UsageError("One.", field="price"), "hours")
    form.note(UsageError("Two.", field="elsewhere"), "hours")
    form.note(UsageError("Three.", field="price"))
    form.note(UsageError("Four."))

    assert [(one.field, one.said.split()[0]) for one in form.errors] == [
        ("price", "One."),
        ("hours", "Two."),
        ("price", "Three."),
        ("", "Four."),
    ]
    assert form.error_at("price") == "One. Three."


def test_what_is_offered_stands_in_a_form_with_a_key_of_its_own():
    one, other = PageForm.blank(hours="2"), PageForm.blank()

    assert (one.text("hours"), one.errors, dict(other.typed)) == ("2", [], {})
    assert len({one.key, other.key, ""}) == 3

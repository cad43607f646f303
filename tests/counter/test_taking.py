"""A form of a step: at which field an error stands, of when it is, and what is said after it."""

import datetime as dt
import io

import pytest
from making.counter import HOST, client
from making.working_day import MAY, in_files

from estimator.counter.forms import PageForm
from estimator.counter.taking import (
    MOST_SAID,
    TypedIn,
    field_of,
    keep_said,
    kept_photos,
    said_after,
    sent_now,
)
from estimator.words.errors import UnreadableError, UsageError


@pytest.fixture(scope="module")
def app(tmp_path_factory):
    folder = tmp_path_factory.mktemp("taking") / "shop"
    folder.mkdir()
    in_files(folder)
    return client(folder, today=MAY).app


@pytest.mark.parametrize(
    ("column", "field"),
    [
        ("assessed_infills", "looked.infills"),
        ("found_infills", "found.infills"),
        ("later_infills", "more.infills"),
        *(("in", "way"), ("out", "way"), ("date", "on"), ("length", "feet"), ("called", "called")),
        *(("price", "price"), ("", "")),
    ],
)
def test_an_error_of_a_column_stands_at_the_field_that_asks_for_it(column, field):
    assert field_of(column) == field


def test_a_form_is_of_the_day_that_pages_are_of_and_of_the_hour_that_it_is(app):
    with app.test_request_context("/", headers={"Host": HOST}):
        before = dt.datetime.now().astimezone().time()
        sent = sent_now("k")

    assert (sent.day, sent.key, sent.origin) == (MAY, "k", "page")
    assert before <= sent.at.time() <= dt.datetime.now().astimezone().time() or before.hour == 23


def test_what_is_to_be_said_is_kept_by_form_and_of_too_many_the_oldest_goes(app):
    with app.app_context():
        for n in range(MOST_SAID + 1):
            keep_said(f"k{n}", [f"note {n}"])
        assert said_after("k0") == ()
        assert said_after("k1") == ("note 1",)
        assert said_after(f"k{MOST_SAID}") == (f"note {MOST_SAID}",)
        keep_said("k1", ["another", "one more"])
        assert said_after("k1") == ("another", "one more")


def test_what_stands_in_a_form_is_read_without_blanks_around_it():
    typed = TypedIn(PageForm({"on": [" 2026-05-01 "], "board": [" a", "b "], "empty": ["  "]}))

    assert (typed.get("on"), typed.get("empty", "x"), typed.get("no such", "y")) == ("2026-05-01", "x", "y")
    assert list(typed.getlist("board")) == ["a", "b"]
    assert list(typed.keys()) == ["on", "board", "empty"]


def test_photos_are_kept_only_where_pages_write_and_only_pictures(app):
    def sent(*files):
        return app.test_request_context(
            "/", method="POST", headers={"Host": HOST}, data={"photos": list(files)}
        )

    counter = app.extensions["counter"]
    with sent():
        assert kept_photos() == []  # none came, nothing is refused
    with sent((io.BytesIO(b"x"), "a.jpg")), pytest.raises(UsageError):
        kept_photos()
    counter._writes = True
    with sent((io.BytesIO(b"no picture"), "a.jpg")), pytest.raises(UnreadableError) as told:
        kept_photos()
    counter._writes = None
    assert told.value.field == "photos"
    assert not (counter.folder / "photos").exists() or not list((counter.folder / "photos").iterdir())

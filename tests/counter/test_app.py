"""The app: pages are packed where that is worth it, and what can't be shown says why, in words, under its own number."""

import gzip

import pytest
from flask import Response
from making.counter import HOST, client
from making.folders import TODAY, folder

from estimator.counter.app import BoardId, create_app, packed
from estimator.log.book.opening import DamagedBookError
from estimator.words.errors import NoAnswerError, UsageError
from estimator.words.page_labels import page_label


@pytest.fixture(scope="module")
def app(tmp_path_factory):
    return create_app(folder(tmp_path_factory.mktemp("app") / "shop"), today=TODAY)


@pytest.mark.parametrize(
    ("size", "kind", "status", "accepted", "smaller"),
    [
        (2_000, "text/html", 200, "gzip, br", True),
        (1_999, "text/html", 200, "gzip", False),
        (9_000, "text/css", 200, "gzip", True),
        (9_000, "text/javascript", 200, "gzip", True),
        (9_000, "application/pdf", 200, "gzip", False),
        (9_000, "text/html", 404, "gzip", False),
        (9_000, "text/html", 200, "", False),
        (9_000, "text/html", 200, "gzip;q=0", False),
    ],
)
def test_what_is_worth_it_is_packed_for_who_can_unpack_it(app, size, kind, status, accepted, smaller):
    text = b"x" * size
    with app.test_request_context("/", headers={"Host": HOST, "Accept-Encoding": accepted}):
        answer = packed(Response(text, status=status, content_type=kind))

    assert (answer.content_encoding == "gzip") == smaller
    assert (gzip.decompress(answer.data) if smaller else answer.data) == text
    assert ("Accept-Encoding" in answer.vary) == (kind != "application/pdf" and status == 200)


@pytest.mark.parametrize(
    ("error", "status", "head", "way"),
    [
        (UsageError("There is no such board."), 404, "wrong", False),
        (NoAnswerError("Nothing speaks of it."), 503, "no-workshop", False),
        (DamagedBookError("It is damaged."), 503, None, True),
    ],
)
def test_what_cannot_be_answered_is_said_under_its_own_number(app, error, status, head, way):
    def fails():
        raise error

    before, app.view_functions["light.here"] = app.view_functions["light.here"], fails
    answer = app.test_client().get("/here", headers={"Host": HOST})
    app.view_functions["light.here"] = before
    page = answer.get_data(as_text=True).partition("<main")[2].partition("</main>")[0]

    assert answer.status_code == status
    assert head is None or page_label(head).replace("'", "&#39;") in page
    assert ('href="/book"' in page) == way


@pytest.mark.parametrize(
    ("path", "method", "status", "head"),
    [
        ("/nowhere", "GET", 404, "not-found"),
        ("/light", "GET", 405, "not-allowed"),
        ("/light", "POST", 403, "refused"),
    ],
)
def test_what_is_refused_says_why(app, path, method, status, head):
    answer = app.test_client().open(path, method=method, headers={"Host": HOST})

    assert answer.status_code == status
    assert page_label(head).replace("'", "&#39;") in answer.get_data(as_text=True)


@pytest.mark.parametrize(
    ("origin", "shown"), [("http://localhost", True), ("http://elsewhere.example", False)]
)
def test_what_was_typed_is_given_back_to_our_own_page_alone_and_without_its_token(app, origin, shown):
    data = {"token": "t" * 64, "key": "k" * 9, "note": "keep this", "empty": ""}
    page = (
        app.test_client()
        .post("/new", data=data, headers={"Host": HOST, "Origin": origin})
        .get_data(as_text=True)
    )

    assert ("keep this" in page) == shown
    assert "t" * 64 not in page
    assert "k" * 9 not in page


def test_the_day_is_the_one_given_else_that_of_the_clock(tmp_path):
    place, days = folder(tmp_path / "shop"), [TODAY]
    for given, first, then in (
        ({"today": TODAY, "clock": lambda: None}, TODAY, TODAY),
        ({"clock": lambda: days[-1]}, TODAY, None),
    ):
        held = create_app(place, **given).extensions["counter"]
        assert held.clock() == first
        days.append(None)
        assert held.clock() == then
        days.pop()


def test_odd_names_in_an_address_come_out_as_they_are():
    assert BoardId.spelled("a\x01~b") == "a~01~7eb"
    ids = BoardId(None)
    assert [ids.to_python(name) for name in ("a~2fb", "a~zz", "26-001", "~7e")] == [
        "a/b",
        "a~zz",
        "26-001",
        "~",
    ]


def test_phones_come_in_only_where_the_counter_has_a_home(tmp_path):
    place = folder(tmp_path / "shop")
    alone, home = (
        client(place, today=TODAY, port=80).app,
        client(place, today=TODAY, home="192.0.2.7", port=80).app,
    )

    assert (alone.extensions["guard"].known, "phones" in alone.extensions) == (None, False)
    assert home.extensions["guard"].known == home.extensions["phones"].may
    assert home.config["HOME"] == "192.0.2.7:80"
    assert home.extensions["guard"].hosts == ("127.0.0.1", "localhost", "192.0.2.7")


def test_what_does_not_change_is_kept_by_a_browser_for_a_year(app):
    assert app.config["SEND_FILE_MAX_AGE_DEFAULT"] == 31_536_000


def test_a_mistake_of_ours_leaves_where_it_was_and_nothing_that_was_typed(app, caplog):
    def deep(left):
        if left:
            deep(left - 1)
        raise ValueError("red 9'6 of Ann")

    before, app.view_functions["light.here"] = app.view_functions["light.here"], lambda: deep(9)
    answer = app.test_client().get("/here", headers={"Host": HOST})
    app.view_functions["light.here"] = before

    assert answer.status_code == 500
    assert page_label("our-mistake").replace("'", "&#39;") in answer.get_data(as_text=True)
    [line] = [one.getMessage() for one in caplog.records if one.name == "estimator.counter"]
    assert line.startswith("ValueError at test_app.py:")
    assert line.count("test_app.py:") == 6  # the last six, where it happened
    assert "Ann" not in line + answer.get_data(as_text=True)

"""Every route with odd arguments says something in words and never fails; text of the log is text everywhere."""

import warnings
from urllib.parse import quote

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from making.counter import HOST, client
from making.folders import TODAY, folder
from making.worker_done import WorkerAtOnce

BOOK_FORMS = ("undo", "keep", "second-place", "forget", "put-back", "import")
METHODS = ("GET", "HEAD", "OPTIONS", "POST", "PUT", "DELETE", "PATCH", "TRACE")
MARKUP = "<script>alert(1)</script>\"'><img src=x onerror=alert(2)>"
LONG = "w" * 80
RTL = "לוח אדום"
HOSTILE = f"""\
board,called,owner,accepted,started,state,promised_last,assessed_area
26-001,{MARKUP.replace('"', '""').join('""')},Ann </title>,2026-05-04,2026-05-26,on bench,2026-06-12,2
../../x?y#z,{LONG},{RTL},2026-05-11,,waiting,2026-06-04,4
26-003,{RTL},{{{{ 7 * 7 }}}},2026-05-18,,asked,,1
"""
ODD = st.text(st.characters(codec="utf-8", exclude_characters="\r\n"), max_size=40)


@pytest.fixture(scope="module")
def counter(tmp_path_factory):
    place = folder(tmp_path_factory.mktemp("shop") / "shop", boards=HOSTILE.replace('"<', '"<'))
    return client(place, today=TODAY, worker=WorkerAtOnce(place))


def routes(app):
    return [(rule.endpoint, sorted(rule.arguments), str(rule)) for rule in app.url_map.iter_rules()]


def test_the_walk_finds_the_pages(counter):
    found = {rule for _, _, rule in routes(counter.app)}

    assert {"/", "/on-the-go", "/boards/<board:board>", "/take-it-on/<board:board>", "/look-back"} <= found


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.data())
def test_no_route_fails_whatever_it_is_asked(counter, data):
    _, arguments, rule = data.draw(st.sampled_from(routes(counter.app)))
    if rule.startswith("/paper"):
        return  # a process each: below
    path = rule
    for name in arguments:
        converter = next(one for one in ("board:", "path:", "") if f"<{one}{name}>" in path)
        value = quote(data.draw(ODD) or "x", safe="/" if converter == "path:" else "")
        path = path.replace(f"<{converter}{name}>", value)
    query = "&".join(
        f"{quote(k, safe='')}={quote(v, safe='')}"
        for k, v in data.draw(st.dictionaries(ODD, ODD, max_size=2)).items()
    )
    known = data.draw(st.sampled_from(["", "quarter=", "find=", "letters="]))
    extra = f"{known}{quote(data.draw(ODD), safe='')}" if known else ""
    method = data.draw(st.sampled_from(METHODS))
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", ResourceWarning)
        answer = counter.browser.open(
            f"{path}?{query}&{extra}",
            method=method,
            headers={"Host": HOST, "Origin": f"http://{HOST}"},
            buffered=True,
        )

    assert answer.status_code < 500, (method, path)


@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    path=st.sampled_from(
        ["/light", "/let-in", "/phones/add", "/phones/forget", "/hours", "/hours/end", "/not-in", "/new"]
        + [f"/book/{name}" for name in BOOK_FORMS]
    ),
    fields=st.dictionaries(
        ODD
        | st.sampled_from(
            ["week", "page", "on-2026-06-01", "until", "feet", "stage.strip.26-001", "day.2026-06-01"]
        ),
        ODD,
        max_size=3,
    ),
)
def test_no_form_fails_whatever_is_typed(counter, path, fields):
    assert counter.send(path, **fields).status_code < 500


@pytest.mark.parametrize(
    "name", ["a/b", "..", ".", "a~b", "50%", "a?b#c", "日本", " x ", "~2f", "a\\b", "zoë"]
)
def test_an_id_comes_out_of_its_address_as_it_went_in(counter, name):
    from flask import url_for

    with counter.app.test_request_context(headers={"Host": HOST}):
        address = url_for("board.show", board=name)
        path = address.partition("?")[0]
        assert "/.." not in path
        adapter = counter.app.url_map.bind(HOST)
        from urllib.parse import unquote

        assert adapter.match(unquote(path)) == ("board.show", {"board": name})


@pytest.mark.parametrize(
    "path", ["/", "/on-the-go", "/boards/26-001", "/boards/26-003", "/take-it-on/26-003", "/look-back"]
)
def test_text_of_the_log_is_text_everywhere(counter, path):
    page = counter.page(path)
    title = page.partition("<title>")[2].partition("</title>")[0]

    assert "<script>alert" not in page
    assert "<img src=x" not in page
    assert "</title>" not in page.partition("</title>")[2]
    assert "49" not in page or "7 * 7" in page or path != "/on-the-go"
    assert not any(word in title for word in ("Ann", "alert", RTL, LONG))


def test_the_odd_board_has_a_page_and_is_found_by_letters(counter):
    page = counter.page("/on-the-go?find=" + quote("לוח"))

    assert LONG in page
    assert counter.page("/boards/~2e~2e~2f~2e~2e~2fx~3fy~23z").count(LONG) >= 1
    assert "{{ 7 * 7 }}" in counter.page("/on-the-go")


def test_an_error_page_tells_no_version_and_no_traceback(counter):
    counter.app.config["PROPAGATE_EXCEPTIONS"] = False

    def fails():
        raise RuntimeError("secret of Ann")

    counter.app.view_functions["light.here"], before = fails, counter.app.view_functions["light.here"]
    answer = counter.get("/here")
    counter.app.view_functions["light.here"] = before
    page = answer.get_data(as_text=True)

    assert answer.status_code == 500
    assert "our mistake" in page
    for told in ("Traceback", "RuntimeError", "secret", "werkzeug", "Werkzeug", "Flask", "estimator/"):
        assert told not in page
    assert "Server" not in answer.headers or "Werkzeug" not in answer.headers["Server"]


def test_the_log_line_of_a_mistake_names_no_owner(counter, caplog):
    def fails():
        raise RuntimeError("Ann 555")

    counter.app.view_functions["light.here"], before = fails, counter.app.view_functions["light.here"]
    counter.get("/here")
    counter.app.view_functions["light.here"] = before

    assert "RuntimeError at " in caplog.text
    assert "Ann" not in caplog.text


@pytest.mark.parametrize(
    ("path", "status"),
    [
        ("/paper/juggle", 404),
        ("/paper/week/x", 404),
        ("/paper/owner", 404),
        ("/paper/range/nobody", 404),
        ("/boards/nobody", 404),
    ],
)
def test_what_is_not_there_is_said(counter, path, status):
    assert counter.get(path).status_code == status


def test_a_sheet_is_a_pdf_and_the_calendar_a_calendar(counter):
    sheet, days = counter.get("/paper/range/26-001"), counter.get("/paper/calendar")

    assert (sheet.status_code, sheet.content_type, sheet.data[:5]) == (200, "application/pdf", b"%PDF-")
    assert days.content_type.startswith("text/calendar")
    assert days.data.startswith(b"BEGIN:VCALENDAR")


def test_a_workshop_that_cannot_be_read_is_said_in_words(tmp_path):
    place = folder(tmp_path / "shop", settings="[bench]\nplaces = many\n")
    answer = client(place, today=TODAY).get("/")

    assert answer.status_code == 503
    assert "workshop.toml" in answer.get_data(as_text=True)


def test_what_is_too_large_is_refused(counter):
    answer = counter.browser.post(
        "/light",
        data=b"x" * (21 * 1024 * 1024),
        headers={
            "Host": HOST,
            "Origin": f"http://{HOST}",
            "Content-Type": "application/x-www-form-urlencoded",
        },
        buffered=True,
    )

    assert answer.status_code == 413

"""What a page of elsewhere could try: every route that writes refuses a foreign host, a foreign origin and no token."""

import html

import pytest
from making.counter import HOST, client
from making.folders import TODAY, folder

from estimator.counter.safety import POLICY, Guard, kept_secret, own_hosts
from estimator.words.page_labels import page_label


@pytest.fixture
def counter(tmp_path):
    return client(folder(tmp_path / "shop"), today=TODAY)


def writing(app):
    """An address of every route that takes a form."""
    with app.test_request_context(headers={"Host": HOST}):
        for rule in app.url_map.iter_rules():
            if "POST" in rule.methods:
                yield app.url_map.bind(HOST).build(
                    rule.endpoint, dict.fromkeys(rule.arguments, "26-001"), method="POST"
                )


def test_every_form_needs_our_host_our_origin_and_a_token(counter):
    paths = list(writing(counter.app))

    assert "/light" in paths
    for path in paths:
        assert counter.send(path, headers={"Host": "elsewhere.example"}).status_code == 421, path
        assert counter.send(path, headers={"Origin": "http://elsewhere.example"}).status_code == 403, path
        assert counter.send(path, headers={"Origin": "null"}).status_code == 403, path
        assert counter.send(path, headers={"Origin": ""}).status_code == 403, path
        assert counter.send(path, token="").status_code == 403, path
        assert counter.send(path, token="0" * 64).status_code == 403, path


@pytest.mark.parametrize("theirs", ["", "x"])
def test_a_form_without_the_cookie_that_its_token_belongs_to_is_refused(counter, theirs):
    """However right its token is: somebody else's page may have it."""
    token = counter.page("/").split('name="token" value="')[1][:64]
    held = counter.app.extensions["guard"]
    for one in ("", token, held.token(theirs)):
        answer = counter.app.test_client().post(
            "/light",
            data={"token": one, "evening": "yes"},
            headers={"Host": HOST, "Origin": f"http://{HOST}"},
        )
        assert answer.status_code == 403


def test_a_form_with_all_three_is_taken(counter):
    answer = counter.send("/light", evening="yes", back="/")

    assert (answer.status_code, answer.location) == (303, "/")
    assert 'class="evening"' in counter.page("/")


def test_a_token_is_another_visitors_no_more(counter):
    other = client(counter.app.extensions["counter"].folder, today=TODAY)
    theirs = other.send("/light").status_code
    stolen = counter.send("/light", token=other.page("/").split('name="token" value="')[1][:64]).status_code

    assert (theirs, stolen) == (303, 403)


@pytest.mark.parametrize(
    "host", ["evil.example", "localhost.evil.example", "127.0.0.1.evil.example", "", "[::1"]
)
def test_a_name_that_is_not_ours_gets_nothing(counter, host):
    answer = counter.get("/", Host=host)

    assert answer.status_code == 421
    assert page_label("refused") in html.unescape(answer.get_data(as_text=True))
    assert "nine-four" not in answer.get_data(as_text=True)


@pytest.mark.parametrize(
    ("host", "ours"),
    [
        ("127.0.0.1:4217", True),
        ("LOCALHOST:4217", True),
        ("127.0.0.1:4218", False),
        ("127.0.0.1:42170", False),
        ("127.0.0.1:", False),
        ("127.0.0.1", False),
        ("elsewhere.example:4217", False),
    ],
)
def test_another_port_of_this_machine_is_another_s(host, ours):
    """A page that another program serves beside ours is not ours; without a port one is asked at 80."""
    assert Guard(("127.0.0.1", "localhost"), 4217, b"").our_host(host) is ours
    assert Guard(("127.0.0.1",), 80, b"").our_host("127.0.0.1")


def test_every_answer_says_what_may_load(counter):
    for path in ("/", "/nowhere", "/static/counter.css"):
        headers = counter.get(path).headers
        assert headers["Content-Security-Policy"] == POLICY
        assert (headers["X-Content-Type-Options"], headers["X-Frame-Options"]) == ("nosniff", "DENY")
        for name in ("Referrer-Policy", "Cross-Origin-Opener-Policy", "Cross-Origin-Resource-Policy"):
            assert headers[name] == "same-origin"
    assert POLICY.startswith(
        "default-src 'none'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'; "
    )
    assert "unsafe" not in POLICY


def test_pages_are_kept_by_no_browser_and_what_never_changes_is(counter):
    assert counter.get("/").headers["Cache-Control"] == "no-store"
    assert "no-store" not in counter.get("/static/counter.css").headers.get("Cache-Control", "")


def test_cookies_go_out_with_our_own_pages_alone(counter):
    """Each for a year, and once; of a page that isn't there none is given."""
    assert "Set-Cookie" not in counter.get("/nowhere").headers
    cookie = counter.get("/").headers["Set-Cookie"]

    assert cookie.startswith("counter-0=")
    assert {"Max-Age=31536000", "HttpOnly", "Path=/", "SameSite=Strict"} <= set(cookie.split("; "))
    assert "Set-Cookie" not in counter.get("/on-the-go").headers


@pytest.mark.parametrize(
    "back", ["//evil.example", "http://evil.example", "/\\evil.example", "javascript:alert(1)"]
)
def test_nobody_is_sent_elsewhere(counter, back):
    assert counter.send("/light", back=back).location == "/"


def test_a_page_has_nothing_inline(counter):
    page = counter.page("/")

    assert "<style" not in page
    assert " style=" not in page
    assert "<script>" not in page
    assert " onclick" not in page


def test_a_secret_is_the_same_after_a_restart_and_for_nobody_else_to_read(tmp_path):
    secret = kept_secret(tmp_path / "room")

    assert len(secret) == 32
    assert kept_secret(tmp_path / "room") == secret
    assert kept_secret(tmp_path / "other") != secret
    file = tmp_path / "room" / "secret"
    assert file.stat().st_mode & 0o777 == 0o600
    file.write_bytes(secret[:31])  # the disk was full
    assert len(new := kept_secret(tmp_path / "room")) == 32
    assert kept_secret(tmp_path / "room") == new != secret
    (tmp_path / "file").write_text("", "utf-8")
    assert len(kept_secret(tmp_path / "file")) == 32  # where nothing can be written


def test_counters_of_two_ports_have_two_cookies_and_names_are_ours_in_any_case():
    assert [Guard((), port, b"").cookie for port in (None, 4217, 8737)] == ["counter-0", "counter-4217", "counter-8737"]  # fmt: skip
    assert own_hosts(["Bench.Local", "localhost"]) == ("127.0.0.1", "localhost", "bench.local")


def test_how_much_a_form_may_hold_and_that_looking_needs_no_token(counter):
    config = counter.app.config

    assert (config["MAX_CONTENT_LENGTH"], config["MAX_FORM_MEMORY_SIZE"], config["MAX_FORM_PARTS"]) == (
        20_971_520,
        2_097_152,
        2_000,
    )
    for method in ("HEAD", "OPTIONS"):
        answer = counter.app.test_client().open("/", method=method, headers={"Host": HOST})
        assert answer.status_code == 200

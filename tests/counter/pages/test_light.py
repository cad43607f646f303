"""Evening light and daylight as a browser was told, and the word that the counter is there."""

import pytest
from making.counter import client
from making.folders import TODAY, folder


@pytest.fixture(scope="module")
def app(tmp_path_factory):
    return client(folder(tmp_path_factory.mktemp("light") / "shop"), today=TODAY).app


@pytest.mark.parametrize(
    ("typed", "kept"), [("yes", "yes"), ("no", "no"), ("", "no"), ("on", "no"), (None, "no")]
)
def test_a_browser_keeps_for_a_year_what_it_was_told_and_goes_back_to_its_page(app, typed, kept):
    from making.counter import Visitor

    visitor = Visitor(app)
    answer = visitor.send(
        "/light", back="/look-back?open=rules", **({} if typed is None else {"evening": typed})
    )
    [cookie] = [one for one in answer.headers.getlist("Set-Cookie") if one.startswith("evening=")]

    assert (answer.status_code, answer.location) == (303, "/look-back?open=rules")
    assert cookie.split("; ")[0] == f"evening={kept}"
    assert "Max-Age=31536000" in cookie
    assert ('class="evening"' in visitor.page("/on-the-go")) == (kept == "yes")


def test_whoever_asks_is_told_which_workshop_is_served_and_nothing_else(app):
    from making.counter import Visitor

    assert Visitor(app).get("/here").headers["X-Counter"] == ""
    app.config["PLACE"] = "a1b2"
    answer = Visitor(app).get("/here")

    assert (answer.status_code, answer.data, answer.headers["X-Counter"]) == (204, b"", "a1b2")


@pytest.mark.parametrize("back", ["//x.example", "/\\x.example", "https://x.example", "x.example", ""])
def test_one_is_led_to_no_other_machine(app, back):
    from making.counter import Visitor

    assert Visitor(app).send("/light", back=back, evening="yes").location == "/"

"""Take it on?: at which price a board is weighed up, and where each part of the answer stands."""

import pytest
from making.counter import HOST, client
from making.folders import TODAY, folder

from estimator.counter.answer_files import AsOf, KeptAnswer, PageQuestion
from estimator.counter.pages import take_it_on
from estimator.said.parts import Heading


@pytest.fixture(scope="module")
def counter(tmp_path_factory):
    return client(folder(tmp_path_factory.mktemp("take") / "shop"), today=TODAY)


@pytest.mark.parametrize(
    ("query", "about", "errors"),
    [
        ("", "26-003", []),
        ("?price=640", '["26-003", 640.0]', []),
        ("?price=1640.50", '["26-003", 1640.5]', []),
        ("?price=", "26-003", []),
        ("?price=lots", "26-003", ["price"]),
    ],
)
def test_a_board_is_weighed_at_the_price_that_is_asked_about(monkeypatch, counter, query, about, errors):
    asked, parts = [], ("The answer.", "A fact.", Heading("What it pays"), "42 an hour")
    held = counter.app.extensions["counter"]
    monkeypatch.setattr(
        held,
        "answer",
        lambda question: (
            asked.append(question)
            or (KeptAnswer(AsOf("r", "", 0), {"weigh": (Heading("x", 1), *parts)}), True)
        ),
    )
    given = {}
    monkeypatch.setattr(take_it_on, "render_template", lambda _, **more: given.update(more) or "")
    with counter.app.test_request_context(f"/take-it-on/26-003{query}", headers={"Host": HOST}):
        take_it_on.show("26-003")

    assert asked == [PageQuestion("weigh", about)]
    assert [one.field for one in given["form"].errors] == errors
    assert (given["first"], given["rest"]) == ((Heading("x", 1), "The answer.", "A fact."), parts[2:])
    assert counter.get("/take-it-on/nobody").status_code == 404


@pytest.mark.parametrize("fresh", [True, False])
def test_an_answer_without_headings_stands_at_the_top_and_its_drawing_beside_it(monkeypatch, counter, fresh):
    found = KeptAnswer(AsOf("r", "", 0), {"weigh": ("Yes.", "A fact."), "pay": ("ten boards",)})
    given = {}
    monkeypatch.setattr(take_it_on, "render_template", lambda _, **more: given.update(more) or "")
    for answer in (found, None):
        monkeypatch.setattr(counter.app.extensions["counter"], "answer", lambda _, one=answer: (one, fresh))
        counter.get("/take-it-on/26-002?price=%20%20")
        shown = (("Yes.", "A fact."), (), ("ten boards",)) if answer else ((), (), ())
        assert (given["first"], given["rest"], given["pay"]) == shown
        assert (given["board"].board, given["found"], given["fresh"]) == ("26-002", answer, fresh)

"""The last act of the book, as every page offers to take it back."""

import datetime as dt
from types import SimpleNamespace

from making.counter import client
from making.working_day import MAY, in_a_book

from estimator.counter.pages.undo import last_act

NOON = dt.datetime.combine(MAY, dt.time(12))


def at_a_book(tmp_path, *acts):
    """A visitor at a book in which these acts were written, each a note."""
    (tmp_path / "shop").mkdir()
    in_a_book(tmp_path / "shop")
    visitor = client(tmp_path / "shop", today=MAY)
    for words in acts:
        with visitor.app.extensions["counter"].store.act(words, NOON) as act:
            act.append("notes", {"board": "26-001", "date": MAY.isoformat(), "note": words})
    return visitor


def test_the_newest_act_that_stands_is_offered_to_be_taken_back(tmp_path):
    held = at_a_book(tmp_path, "one", "two", "three").app.extensions["counter"]
    labels = []
    for _ in range(3):
        offer = last_act(held)
        labels.append(offer.label)
        held.store.undo(int(offer.act), NOON)

    assert labels == ["three", "two", "one"]
    assert last_act(SimpleNamespace(store=object())) is None


def test_the_act_that_the_button_names_is_taken_back_once_and_from_the_page(tmp_path):
    visitor = at_a_book(tmp_path, "one", "two")
    store = visitor.app.extensions["counter"].store
    answer = visitor.send("/undo", "/", act="2")  # not the newest

    assert (answer.status_code, answer.location) == (303, "/")
    assert [(act.id, act.undo_of, act.undone, act.origin) for act in store.acts(3)] == [
        (4, 2, False, "page"),
        (3, None, False, "command"),
        (2, None, True, "command"),
    ]
    assert visitor.send("/undo", "/", act="2").status_code == 422
    assert len(store.acts(9)) == 4


def test_a_button_that_names_no_act_takes_back_the_newest(tmp_path):
    visitor = at_a_book(tmp_path, "one", "two")
    store = visitor.app.extensions["counter"].store
    for odd, undone in (("", 3), ("x", 2)):
        assert visitor.send("/undo", "/", act=odd).status_code == 303
        assert store.acts(1)[0].undo_of == undone

"""What an owner reads: work counted, what nobody can see yet, the price by its sort, and how long a board hardens."""

import datetime as dt

import pytest

from estimator.said.owner import (
    care_sentence,
    in_plain_words,
    one_of_them,
    price_sentences,
    say_condition,
    say_unseen,
    say_work,
    work_sentences,
)


@pytest.mark.parametrize(
    ("price", "terms", "ceiling", "said"),
    [
        (900.0, "fixed", None, ["900 mk.", "It changes only if we ask you, and you say yes."]),
        (None, "fixed", None, ["____ mk.", "It changes only if we ask you, and you say yes."]),
        (900.0, "ceiling", 1200.0, ["Between 900 mk and 1,200 mk, by the work that it takes.", "We stop and ask before going past 1,200 mk."]),
        (None, "ceiling", None, ["Between ____ mk and ____ mk, by the work that it takes.", "We stop and ask before going past ____ mk."]),
        (900.0, "open-first", None, ["900 mk."]),
        (None, "open-first", None, ["Price: ____ mk."]),
        (900.0, "", None, ["900 mk.", "If it is a price with a range: we stop and ask before going past ____ mk."]),
        (None, "", None, ["Price: ____ mk.", "If it is a price with a range: we stop and ask before going past ____ mk."]),
    ],
)  # fmt: skip
def test_a_price_is_said_by_its_sort(price, terms, ceiling, said):
    assert list(price_sentences(price, terms, ceiling, "mk")) == said
    assert [line.replace(" mk", "") for line in said] == list(price_sentences(price, terms, ceiling, ""))


def test_what_is_to_be_done_and_what_is_not_promised():
    assert list(work_sentences(["2 logos", "strip it"], ["pinlines"], ["how many blocks"], ["soaked foam"])) == [
        "To be done: 2 logos; strip it.",
        "Not asked for: pinlines. If it turns out to need some of that, we ask you first.",
        "Can't be seen yet: how many blocks.",
        "What we saw: soaked foam.",
        ("In plain words: to strip is to take off the old skin of glass cloth and resin; a block is the piece of wood at the nose or the tail; "
        "a pinline is a thin painted line."),
    ]  # fmt: skip
    assert list(work_sentences([], [], [], [])) == []
    assert list(work_sentences(["2 logos"], [], [], ["stringer"])) == [
        "To be done: 2 logos.",
        "What we saw: stringer.",
    ]
    assert in_plain_words("restrip") == ""


@pytest.mark.parametrize(
    ("name", "value", "unit", "said"),
    [
        ("Logos", 2.0, "", "2 logos"), ("Logos", 1.0, "", "1 logo"), ("Logos", 0.99, "", "part of a logo"), ("Logos", 1.5, "", "1½ logos"),
        ("Old glass", 2.0, "m2", "old glass"),
    ],
)  # fmt: skip
def test_work_is_counted_as_an_owner_counts(name, value, unit, said):
    assert say_work(name, value, unit) == said


@pytest.mark.parametrize(
    ("many", "one"),
    [
        ("fin boxes", "fin box"),
        ("patches", "patch"),
        ("dishes", "dish"),
        ("bodies", "body"),
        ("glass", "glass"),
        ("noses", "nose"),
        ("glasses", "glass"),
    ],
)
def test_one_of_many(many, one):
    assert one_of_them(many) == one


def test_what_makes_it_slower_and_what_cannot_be_seen():
    grades = ("dry", "damp", "soaked")
    assert [say_condition("Wet foam", value, grades) for value in (0, 1, 2)] == [
        "",
        "damp foam",
        "soaked foam",
    ]
    assert (say_condition("Masking", 2, ("none", "bands", "curves")), say_condition("In a rush", 1, ())) == (
        "",
        "in a rush",
    )
    assert say_unseen("Old glass", condition=False, unit="m2") == "how much old glass"
    assert say_unseen("Masking", condition=True) == ""


def test_a_board_hardens_for_three_weeks():
    today = dt.date(2026, 6, 9)
    head = "It goes on hardening for three weeks after it is ready: no sun, no heat, nothing laid on it "

    assert (
        care_sentence(dt.date(2026, 6, 12), today)
        == f"{head}until Fri 3 July, if it is ready on Fri 12 June."
    )
    assert care_sentence(None, today) == f"{head}in that time."

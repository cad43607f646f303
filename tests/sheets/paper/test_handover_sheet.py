"""The sheet for the day a board is fetched: its sentences, its sums, and what is kept off it."""

import datetime as dt
import re
from dataclasses import replace

import pytest
from making.read_pdf import read
from making.sheets import BARE, COATS, FETCHED, HIDDEN, SETTINGS, TODAY, TOLD, of_handover

from estimator.said.owner import HARDENS
from estimator.sheets.paper.handover_sheet import hard_from
from estimator.sheets.paper.owner_sheet import plain_text
from estimator.sheets.paper.typesetting import pdf

FORBIDDEN = re.compile(r"\bhours?\b|\ban hour\b|\bpay an\b|guess|estimat|\bppm\b", re.IGNORECASE)


def lines(**more):
    return plain_text(of_handover(**more)).splitlines()


def test_what_was_done_and_what_nobody_saw():
    said = lines()

    assert any(line.startswith("2 sides to strip;") and "3 colours to spray" in line for line in said)
    assert "Of that you asked for since: colours to spray: 1 more." in said
    assert "Foam pieces to let in: it looked like 3, and turned out 5." in said
    assert "Wet foam: it looked damp, and turned out wet." in said
    assert not any("Colours to spray: looked" in line for line in said)  # asked for since, not hidden
    assert "Nothing was written down of it." in lines(board=replace(FETCHED, found={}))
    assert "All was as it looked." in lines(board=replace(FETCHED, found=FETCHED.assessed, later={}))


def test_what_it_came_to_against_what_was_told_and_why():
    said = lines()

    first = next(one for one in TOLD if one.price is not None)
    assert (
        f"2,980 mk. First we told you {first.price:,.0f} mk on Wed 1 July; that is {2980 - first.price:,.0f} mk more."
        in said
    )
    assert "Hidden work, which we said we would share: told on Wed 9 September, 2,980 mk." in said
    assert any(
        line.startswith("It was ready on Fri 9 October. We told you by Mon 12 October") for line in said
    )
    bare = lines(told=TOLD[:1])
    assert any(line.startswith("Why: ____") for line in bare)  # nobody kept why


@pytest.mark.parametrize(
    ("paid", "deposit", "owed"),
    [
        (860.0, 860.0, "Owed: 2,120 mk."),
        (None, 860.0, "Owed: 2,120 mk."),
        (None, None, "Owed: 2,980 mk."),
        (2980.0, 860.0, "All is paid."),
        (3000.0, None, "All is paid. 20 mk go back to you."),
    ],
)
def test_paid_and_owed_add_up_to_the_price(paid, deposit, owed):
    assert owed in lines(board=replace(FETCHED, paid=paid, deposit=deposit))


def test_the_day_until_which_it_is_spared():
    """Three weeks after the last coat, as the owner's copy says; longer where the settings say that it waits longer."""
    gloss = SETTINGS.stages["gloss"]
    wait = max(HARDENS.days, round(gloss.wait_days[1]))
    hard = COATS[1].date + dt.timedelta(wait)

    assert hard_from(FETCHED, SETTINGS, COATS, TODAY) == hard
    assert any("data sheet of the resin" in line for line in lines())
    assert any("It goes on hardening until" in line for line in lines(today=hard - dt.timedelta(1)))
    assert any("has had its usual time to harden" in line for line in lines(today=hard))
    assert hard_from(FETCHED, SETTINGS, (), TODAY) == dt.date(2026, 10, 30)  # three weeks after it was ready


def test_paper_and_message_say_the_same_sentences_and_nothing_of_the_workshop_s_own():
    data = of_handover()
    sheet = read(pdf("handover", data, TODAY))
    text = plain_text(data)

    assert len(sheet.pages) == 1
    for line in filter(None, (line.replace(": ____", "") for line in text.splitlines())):
        assert " ".join(line.split()) in sheet.words, line
    assert FORBIDDEN.search(text) is None
    assert FORBIDDEN.search(plain_text(of_handover(BARE, told=(), entries=()))) is None
    assert HIDDEN.price == FETCHED.price_charged

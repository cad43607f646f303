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
from estimator.words.records import Board, Entry, Told
from estimator.words.settings.schema import Stage

FORBIDDEN = re.compile(r"\bhours?\b|\ban hour\b|\bpay an\b|guess|estimat|\bppm\b", re.IGNORECASE)


def lines(**more):
    return plain_text(of_handover(**more)).splitlines()


def test_what_was_done_and_what_nobody_saw():
    said = lines()

    assert any(line.startswith("2 sides to strip;") and "3 colours to spray" in line for line in said)
    assert "Of that you asked for since: colours to spray: 1 more." in said
    assert "Foam pieces to let in: 3 as it looked, 5 as it turned out." in said
    assert "Wet foam: damp as it looked, wet as it turned out." in said
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


DAY = dt.timedelta(1)
FIRST, SECOND, THIRD = dt.date(2026, 7, 1), dt.date(2026, 8, 5), dt.date(2026, 9, 9)
PLAIN = Board("26-040", called="red nine-four", ready=dt.date(2026, 9, 25), state="finished")


def section(number, board=PLAIN, **more):
    """The paragraphs of one section."""
    made = of_handover(board, **{"told": (), "entries": (), **more})
    return [one["words"] for one in made["sections"][number - 1]["paragraphs"]]


def told(day, price=None, because="", **more):
    return Told("26-040", day, price=price, because=because, **more)


@pytest.mark.parametrize(
    ("board", "tellings", "said"),
    [
        ({}, (), ["____ mk."]),
        ({"price_charged": 900.0}, (), ["900 mk."]),
        ({"price_quoted": 900.0}, (), ["900 mk, just as we told you."]),
        ({"price_quoted": 900.0, "price_charged": 860.0}, (), ["860 mk. First we told you 900 mk; that is 40 mk less.", "Why: ________."]),
        ({"price_quoted": 1.0}, (told(FIRST, 900.0, "quote"),), ["900 mk, just as we told you on Wed 1 July."]),
        # told last is what it came to where nothing else was charged; each later telling with its reason
        (
            {"price_quoted": 1.0},
            (told(THIRD, 990.0, "late", paid_by="me"), told(FIRST, 900.0, "quote"), told(SECOND, 950.0, "asked later", paid_by="owner")),
            [
                "990 mk. First we told you 900 mk on Wed 1 July; that is 90 mk more.",
                "What you asked for since, which you said you would pay: told on Wed 5 August, 950 mk.",
                "It took us longer, at no cost to you: told on Wed 9 September, 990 mk.",
            ],
        ),
        # a telling without a price is no reason for one, and a second quote neither
        (
            {"price_charged": 800.0},
            (told(FIRST, 900.0), told(SECOND, None, "hidden work"), told(THIRD, 800.0, "quote")),
            ["800 mk. First we told you 900 mk on Wed 1 July; that is 100 mk less.", "Why: ________."],
        ),
        ({}, (told(FIRST, 900.0, "hidden work"), told(SECOND, None, "late")), ["900 mk, just as we told you on Wed 1 July."]),
        # what is told tomorrow is not said today, what is told today is
        ({"price_quoted": 900.0}, (told(TODAY + DAY, 990.0, "late"),), ["900 mk, just as we told you."]),
        ({"price_quoted": 900.0}, (told(TODAY, 990.0, "late"),), ["990 mk, just as we told you on Thu 1 October."]),
    ],
)  # fmt: skip
def test_the_price_is_held_against_the_one_told_first_and_why(board, tellings, said):
    assert section(4, replace(PLAIN, **board), told=tellings) == said


@pytest.mark.parametrize(
    ("board", "tellings", "said"),
    [
        ({"ready": None}, (), "It was ready on ____."),
        ({"ready": None, "collected": dt.date(2026, 9, 28)}, (), "It was ready on Mon 28 September."),
        ({"collected": dt.date(2026, 9, 28)}, (), "It was ready on Fri 25 September."),
        ({}, (told(FIRST, 900.0),), "It was ready on Fri 25 September."),
        (
            {},
            (told(FIRST, last=dt.date(2026, 9, 18)), told(SECOND, last=dt.date(2026, 9, 18)), told(THIRD, 900.0)),
            "It was ready on Fri 25 September. We told you by Fri 18 September.",
        ),
        (
            {},
            (told(FIRST, last=dt.date(2026, 9, 18)), told(SECOND, last=dt.date(2026, 9, 21)), told(THIRD, last=dt.date(2026, 9, 28), because="late")),
            "It was ready on Fri 25 September. We told you by Fri 18 September and later by Mon 28 September (it took us longer).",
        ),
        (
            {},
            (told(FIRST, last=dt.date(2026, 9, 18)), told(SECOND, last=dt.date(2026, 9, 21))),
            "It was ready on Fri 25 September. We told you by Fri 18 September and later by Mon 21 September.",
        ),
        (
            {},
            (told(FIRST, last=dt.date(2026, 9, 18)), told(SECOND, last=dt.date(2026, 9, 14))),
            "It was ready on Fri 25 September. We told you by Fri 18 September and later by Mon 14 September.",
        ),
    ],
)  # fmt: skip
def test_the_day_it_was_ready_is_held_against_the_days_told(board, tellings, said):
    assert section(5, replace(PLAIN, **board), told=tellings) == [said]


@pytest.mark.parametrize(
    ("money", "said"),
    [
        ({}, ["Owed: 900 mk."]),
        ({"price_charged": None}, ["Owed: ____ mk."]),
        ({"price_charged": None, "deposit": 300.0}, ["Deposit: 300 mk.", "Owed: ____ mk."]),
        ({"deposit": 300.0}, ["Deposit: 300 mk.", "Owed: 600 mk."]),
        ({"deposit": 300.0, "paid": 300.0}, ["Deposit: 300 mk.", "Owed: 600 mk."]),
        ({"deposit": 300.0, "paid": 899.5}, ["Deposit: 300 mk.", "Paid in all by Thu 1 October: 899.5 mk.", "Owed: 0.5 mk."]),
        ({"paid": 900.0}, ["Paid in all by Thu 1 October: 900 mk.", "All is paid."]),
        ({"paid": 950.0}, ["Paid in all by Thu 1 October: 950 mk.", "All is paid. 50 mk go back to you."]),
        ({"paid": 950.0, "returned": 50.0}, ["Paid in all by Thu 1 October: 950 mk.", "Given back: 50 mk.", "All is paid."]),
        ({"paid": 0.0, "returned": 0.0}, ["Owed: 900 mk."]),
    ],
)  # fmt: skip
def test_what_was_paid_and_what_is_owed(money, said):
    assert section(6, replace(PLAIN, **{"price_charged": 900.0, **money})) == said


@pytest.mark.parametrize(
    ("found", "later", "said"),
    [
        ({}, {}, ["Nothing was written down of it."]),
        ({"infills": 3.0}, {}, ["All was as it looked."]),
        ({"infills": 5.0}, {"infills": 2.0}, ["All was as it looked."]),  # asked for since
        ({"infills": 6.0}, {"infills": 2.0}, ["Foam pieces to let in: 3 as it looked, 4 as it turned out."]),
        ({"infills": 2.0}, {}, ["Foam pieces to let in: 3 as it looked, 2 as it turned out."]),
        ({"glass_stripped": 9.0, "logos": 1.0}, {}, ["All was as it looked."]),  # an area of the outline; not judged
        (
            {"wetness": 3.0, "infills": 4.0},
            {},
            ["Wet foam: damp as it looked, soaked as it turned out.", "Foam pieces to let in: 3 as it looked, 4 as it turned out."],
        ),
    ],
)  # fmt: skip
def test_what_turned_out_otherwise_than_it_looked(found, later, said):
    assessed = {"infills": 3.0, "glass_stripped": 2.0, "wetness": 1.0}
    board = replace(PLAIN, assessed=assessed, found=found, later=later)

    assert section(3, board) == said


def test_of_the_work_done_what_was_asked_for_since_is_named_and_no_less_nor_an_area():
    later = {"spray_colours": 1.0, "logos": -1.0, "glass_stripped": 0.4, "stain": 1.0}
    board = replace(PLAIN, assessed={"spray_colours": 1.0}, later=later)

    assert section(2, board) == [
        "2 colours to spray. All of it is done.",
        "Of that you asked for since: colours to spray: 1 more; stains and base coat.",
    ]
    assert section(2, PLAIN) == ["____."]


SETS = replace(
    SETTINGS,
    stages={
        "fill": Stage("fill", wait_days=(0.0, 1.0)),
        "gloss": Stage("gloss", wait_days=(3.0, 30.4)),
        "dry": Stage("dry", on="rack", wait_days=(5.0, 40.0)),
        "sand": Stage("sand"),
    },
)


def worked(stage, day, hours=1.0, board="26-040", **more):
    return Entry(board, dt.date(2026, 9, day), stage, hours, **more)


@pytest.mark.parametrize(
    ("entries", "board", "hard"),
    [
        # three weeks after the last coat, or as long as the settings say that it waits
        ([worked("fill", 10)], {}, "2026-10-01"),
        ([worked("gloss", 10)], {}, "2026-10-10"),
        ([worked("gloss", 10), worked("fill", 14)], {}, "2026-10-05"),
        ([worked("fill", 14), worked("gloss", 10)], {}, "2026-10-05"),
        ([worked("fill", 10, until=dt.date(2026, 9, 15)), worked("fill", 12)], {}, "2026-10-06"),
        # no coat: sanding, the rack, another board, no hours
        ([worked("fill", 10), worked("sand", 20), worked("dry", 21), worked("fill", 22, board="26-041")], {}, "2026-10-01"),
        ([worked("fill", 10), worked("fill", 20, hours=0.0)], {}, "2026-10-01"),
        # without a coat from the day it was ready, else fetched, else today
        ([worked("sand", 20)], {"collected": dt.date(2026, 9, 30)}, "2026-10-16"),
        ([], {"ready": None, "collected": dt.date(2026, 9, 30)}, "2026-10-21"),
        ([], {"ready": None}, "2026-10-22"),
    ],
)  # fmt: skip
def test_it_hardens_from_the_last_coat(entries, board, hard):
    assert hard_from(replace(PLAIN, **board), SETS, entries, TODAY) == dt.date.fromisoformat(hard)


def test_it_is_hard_on_the_very_day():
    after = [section(7, settings=SETS, entries=[worked("fill", day)])[0] for day in (10, 11)]

    assert after[0].startswith("The last coat has had its usual time to harden.")
    assert after[1].startswith("It goes on hardening until Fri 2 October. Until then no sun")


def test_the_head_names_the_board_its_number_and_its_owner():
    named, bare = of_handover(PLAIN, told=(), entries=()), of_handover(BARE, told=(), entries=())

    assert (named["title"], named["number"], named["hard"]) == (
        "red nine-four: hand-over",
        "26-040",
        "2026-10-16",
    )
    assert named["sections"][0]["paragraphs"][0]["words"] == "____. Number 26-040 in the workshop."
    assert (bare["title"], bare["number"]) == ("b1: hand-over", "")
    assert bare["sections"][0]["paragraphs"][0]["words"] == "____."

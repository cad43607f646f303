"""What an owner is told, asks for since, and what is struck out: each cell of the telling and of the board's own row."""

import datetime as dt
from types import SimpleNamespace

import pytest
from making.plans import MAY, planned, written

from estimator.log.steps.telling import (
    AskedSince,
    DecisionMade,
    ShownAgreement,
    StruckOut,
    ToldOwner,
    figures_of,
    told_label,
)
from estimator.words.errors import EstimatorError, UsageError
from estimator.words.records import Board, Told

HEAD = (
    "board,called,asked,quoted,accepted,state,price_quoted,promised_first,promised_last,assessed_logos,later_logos,"
    "found_logos\n"
)
ASKED = "a,red,2026-04-20,,,,,,,1,,\n"
TAKEN = "a,red,2026-04-20,2026-04-21,2026-04-22,,900,2026-06-01,2026-06-12,1,,\n"
TOLD = "board,date,hours_low,hours_high,price,first,last,because\n"


def shop(row=ASKED, told=""):
    return written(boards=HEAD + row, told=TOLD + told)


def test_all_that_is_told_stands_in_its_row_and_a_first_telling_in_the_board_s_too():
    step = ToldOwner(
        "red", hours="50-70", price="1,200", terms="fixed", first="2026-06-01", last="2026-06-12", odds="9/10",
        paid_by="owner", said_yes=True, on="2026-05-02",
    )  # fmt: skip
    plan = planned(step, shop())
    row = {
        "board": "a",
        "date": "2026-05-02",
        "hours_low": "50",
        "hours_high": "70",
        "price": "1200",
        "terms": "fixed",
        "first": "2026-06-01",
        "last": "2026-06-12",
        "odds": "0.9",
        "because": "quote",
        "paid_by": "owner",
    }
    assert plan.rows == [("told", row)]
    assert plan.fills == {
        "boards 2": {
            "promised_first": "2026-06-01",
            "promised_last": "2026-06-12",
            "quoted": "2026-05-02",
            "price_quoted": "1200",
            "accepted": "2026-05-02",
            "state": "",
        }
    }
    assert plan.label == "told the owner of red: ready by Fri 12 June 2026, for 1,200"


@pytest.mark.parametrize(
    ("row", "told", "step", "fills"),
    [
        (ASKED, "", ToldOwner("a", hours="9"), {"quoted": "2026-05-04"}),
        (ASKED, "", ToldOwner("a", last="2026-06-12"), {"promised_last": "2026-06-12", "quoted": "2026-05-04"}),
        (ASKED, "a,2026-05-01,5,9,,,,quote\n", ToldOwner("a", price="900", because="late"), {}),
        (ASKED.replace("-20,,", "-20,2026-04-25,"), "", ToldOwner("a", price="900"), {"price_quoted": "900"}),
        (ASKED.replace(",,,,1", ",900,2026-06-20,,1"), "", ToldOwner("a", price="950", last="2026-07-01"), {"quoted": "2026-05-04"}),
        (ASKED.replace(",,,,1", ",,,2026-06-20,1"), "", ToldOwner("a", first="2026-06-01", last="2026-07-01"), {"quoted": "2026-05-04"}),
        (ASKED.replace("-20,,,", "-20,,2026-05-01,"), "", ToldOwner("a", price="900", said_yes=True), {"price_quoted": "900"}),
        (ASKED, "a,2026-05-01,5,9,,,,quote\n", ToldOwner("a", price="9", because="late", said_yes=True), {"accepted": "2026-05-04", "state": ""}),
    ],
)  # fmt: skip
def test_the_board_s_own_row_gets_what_was_told_first_where_it_is_empty(row, told, step, fills):
    assert planned(step, shop(row, told)).fills == ({"boards 2": fills} if fills else {})


def test_hours_hold_eight_times_in_ten_unless_they_were_not_spoken_of():
    [(_, row)] = planned(ToldOwner("a", hours="50-70"), shop()).rows
    assert (row["odds"], row["hours_low"], row["hours_high"]) == ("0.8", "50", "70")
    [(_, row)] = planned(ToldOwner("a", hours=" ? ", price="900"), shop()).rows
    assert not {"odds", "hours_low", "hours_high"} & row.keys()
    [(_, row)] = planned(ToldOwner("a", hours="?", price="900", odds="9/10"), shop()).rows
    assert row["odds"] == "0.9"  # that was said of the day
    [(_, row)] = planned(ToldOwner("a", hours="9", last="?"), shop()).rows
    assert "last" not in row


@pytest.mark.parametrize(
    ("hours", "last", "asked"),
    [
        ("", "", (True, True, True, False)),
        ("?", "", (False, True, True, False)),
        ("50-70", "?", (True, False, False, False)),
    ],
)
def test_what_was_not_spoken_of_is_not_worked_out_either(hours, last, asked):
    seen = []

    def filled_in(said, *, hours, first, last, earlier):
        seen.append((hours, first, last, earlier))
        return said

    now = shop()
    object.__setattr__(now, "answers", SimpleNamespace(filled_in=filled_in))
    planned(ToldOwner("a", hours=hours, price="900", last=last), now)
    assert seen == [asked]
    told = shop(told="a,2026-05-01,5,9,,,,quote\n")
    object.__setattr__(told, "answers", SimpleNamespace(filled_in=filled_in))
    planned(ToldOwner("a", price="900", because="late"), told)
    assert seen[-1][-1] is True


@pytest.mark.parametrize("field", ["hours", "price", "first", "last"])
def test_what_cannot_be_read_is_said_at_its_field(field):
    with pytest.raises(EstimatorError) as caught:
        ToldOwner("a", **{field: "soonish"}).plan(shop(), MAY)
    assert caught.value.field == field


def test_a_telling_in_one_line_names_only_what_was_told():
    red = Board("a", called="red")
    assert told_label(red, Told("a", MAY)) == "told the owner of red"
    assert told_label(red, Told("a", MAY, price=0.0)) == "told the owner of red, for 0"
    assert told_label(red, Told("a", MAY, first=MAY)) == "told the owner of red"
    by = Told("a", MAY, last=dt.date(2026, 6, 12))
    assert told_label(red, by) == "told the owner of red: ready by Fri 12 June 2026"


def shown(**more):
    """What was shown of two more logos: 4 hours, 3 days, and 90 on top."""
    return {"grown.logos": "2", "hours_low": "55", "hours_high": "75", "adds_hours": "4", "adds_days": "3",
            "last": "2026-06-15", "extra": "90", **more}  # fmt: skip


@pytest.mark.parametrize(
    ("price", "more", "price_then"),
    [
        ("", {}, "990"),
        ("70.5", {}, "970.5"),
        ("70", {"less": "yes"}, "830"),
        ("", {"less": "yes", "extra": "-90"}, "810"),
        ("", {"extra": ""}, None),
        ("0", {}, "900"),
    ],
)
def test_what_is_agreed_to_is_the_price_so_far_and_what_was_shown_on_top(price, more, price_then):
    step = AskedSince("red", {"logos": "2"}, price=price, worked_out=shown(**more))
    plan = planned(step, shop(TAKEN, "a,2026-04-21,50,70,900,2026-06-01,2026-06-12,quote\n"))
    row = {
        "board": "a",
        "date": "2026-05-04",
        "hours_low": "55",
        "hours_high": "75",
        "last": "2026-06-15",
        "odds": "0.8",
        "because": "asked later",
        "paid_by": "owner",
        "adds_hours": "4",
        "adds_days": "3",
    }
    assert plan.rows == [("told", row | ({"price": price_then} if price_then else {}))]
    assert plan.fills == {"boards 2": {"later_logos": "2"}}
    assert plan.label == "red: asked for since: logos to redraw"


def test_more_of_one_thing_and_another_instead_are_one_agreement():
    step = AskedSince(
        "a",
        {"logos": "2"},
        {"pinlines": "1"},
        price="?",
        worked_out=shown(**{"grown.pinlines": "1", "grown.gloss_area": "0.5"}),
    )
    plan = planned(step, shop(TAKEN))
    assert plan.fills == {"boards 2": {"later_logos": "2", "later_pinlines": "1"}}
    assert plan.label == "red: asked for since: logos to redraw, pinlines"


def test_what_was_not_shown_is_worked_out_and_why_nothing_is_told_is_noted():
    asked, now = [], shop(TAKEN)

    def agreement(board, more, *, price, on):
        asked.append((board, more, price, on))
        return ShownAgreement({"logos": 2.0}, {"logos": 2.0}, None, ("No price was told.",))

    object.__setattr__(now, "answers", SimpleNamespace(agreement=agreement))
    plan = planned(AskedSince("red", {"logos": "2", "pinlines": " "}, price="70.50"), now)
    assert (plan.rows, plan.fills, plan.notes) == (
        [],
        {"boards 2": {"later_logos": "2"}},
        ("No price was told.",),
    )
    planned(AskedSince("red", {"logos": "2"}, {"stringers": "1"}, price="?"), now)
    assert asked == [
        ("a", {"logos": "2"}, 70.5, MAY),
        ("a", {"logos": "2", "stringers": "1"}, None, MAY),
    ]


def test_what_is_asked_for_is_added_to_what_stands_there_and_nothing_is_told_where_that_was_not():
    row = TAKEN.replace(",1,,\n", ",1,2,4\n")
    plan = planned(AskedSince("a", {"logos": "2"}, price="?", worked_out=shown()), shop(row))
    assert (plan.rows, plan.fills) == ([], {"boards 2": {"later_logos": "4", "found_logos": "6"}})
    first = planned(
        AskedSince("a", {"logos": "2"}, worked_out=shown()), shop(TAKEN.replace("2026-06-01,2026-06-12", ","))
    )
    assert first.fills == {
        "boards 2": {"later_logos": "2", "promised_last": "2026-06-15"}
    }  # it is told first of all


@pytest.mark.parametrize(
    ("step", "why"),
    [
        (AskedSince("a"), "Nothing is asked for"),
        (AskedSince("a", {"logos": " "}), "Nothing is asked for"),
        (AskedSince("a", {"logos": "1"}, {"logos": "1"}), "logos is asked for twice"),
        (AskedSince("a", {"logos": "1"}), "Nothing can be worked out here"),
        (AskedSince("a", {"logos": "1"}, on="2026-05-05", worked_out=shown()), "is still to come"),
    ],
)
def test_what_cannot_be_asked_for(step, why):
    with pytest.raises(UsageError, match=why):
        step.plan(shop(TAKEN), MAY)


def test_what_is_shown_of_an_agreement_is_carried_as_texts():
    told = Told("a", MAY, 55.0, 75.0, price=990.0, last=dt.date(2026, 6, 15), adds_hours=4.5, adds_days=3.0)
    agreement = ShownAgreement({"logos": 2.0}, {"logos": 2.0, "area": 0.25}, told)
    assert figures_of(agreement, less=False, extra=90.0) == {
        "grown.logos": "2",
        "grown.area": "0.25",
        "hours_low": "55",
        "hours_high": "75",
        "adds_hours": "4.5",
        "adds_days": "3",
        "last": "2026-06-15",
        "extra": "90",
    }
    bare = ShownAgreement({"logos": 2.0}, {"logos": 2.0}, None)
    assert figures_of(bare, less=True, extra=None) == {"grown.logos": "2", "less": "yes"}


THREE = (
    "a,2026-04-21,50,70,900,2026-06-01,2026-06-12,quote\n"
    "a,2026-04-25,60,80,950,,2026-06-20,late\n"
    "a,2026-04-25,60,90,,,2026-06-25,late\n"
    "b,2026-04-30,1,2,5,,,quote\n"
)
OTHER = "b,tan,2026-04-20,,,,,,,,,\n"


@pytest.mark.parametrize(
    ("on", "fills"),
    [
        ("", {"told 4": {"struck_out": "wrong board"}}),  # of one day the last
        ("2026-04-25", {"told 4": {"struck_out": "wrong board"}}),
        (
            "2026-04-21",
            {
                "told 2": {"struck_out": "wrong board"},
                "boards 2": {"promised_first": "", "promised_last": "2026-06-20", "price_quoted": "950"},
            },
        ),
    ],
)
def test_the_telling_of_the_day_is_struck_out_and_the_next_takes_its_place(on, fills):
    plan = planned(StruckOut("red", " wrong  board ", on), shop(TAKEN + OTHER, THREE))
    assert plan.fills == fills
    when = "Tue 21 April 2026" if on == "2026-04-21" else "Sat 25 April 2026"
    assert plan.label == f"struck out what the owner of red was told on {when}: wrong board"


UNSORTED = """\
board,date,hours_low,hours_high,price,first,last,because,adds_days
a,2026-04-27,60,80,950,,2026-06-20,asked later,4
a,2026-04-21,50,70,900,2026-06-01,2026-06-12,quote,
a,2026-04-23,50,70,930,,2026-06-18,late,
"""


def test_tellings_are_told_apart_by_their_days_in_whatever_order_they_stand():
    now = written(boards=HEAD + TAKEN, told=UNSORTED)
    assert planned(StruckOut("a", "x"), now).fills == {"told 2": {"struck_out": "x"}}
    first = planned(StruckOut("a", "x", "2026-04-21"), now).fills
    # what its owner asked for on the 27th moves no day that stands in the row
    assert first["boards 2"] == {"promised_first": "", "promised_last": "2026-06-18", "price_quoted": "930"}


@pytest.mark.parametrize(
    "told",
    [
        "a,2026-04-25,50,70,,,2026-06-12,quote\n",  # the row has a first day that this did not tell
        "a,2026-04-25,50,70,910,2026-06-01,2026-06-13,quote\n",
        "a,2026-04-25,50,70,,2026-06-02,2026-06-12,quote\n",
    ],
)
@pytest.mark.parametrize("price", ["900", ""])
def test_cells_of_the_row_that_the_telling_did_not_fill_stay(told, price):
    row = TAKEN.replace("2026-04-22", "").replace(",900,", f",{price},")
    assert list(planned(StruckOut("a", "x"), shop(row, told)).fills) == ["told 2"]


def test_the_day_of_the_quote_goes_with_its_telling_unless_the_owner_said_yes():
    quoted = TAKEN.replace("2026-04-22", "")
    two = THREE.splitlines(keepends=True)
    [cells] = [c for row, c in planned(StruckOut("a", "x", "2026-04-21"), shop(quoted, two[0] + two[1])).fills.items() if "boards" in row]  # fmt: skip
    assert cells["quoted"] == "2026-04-25"
    [cells] = [c for row, c in planned(StruckOut("a", "x"), shop(quoted, two[0])).fills.items() if "boards" in row]  # fmt: skip
    assert cells == {"promised_first": "", "promised_last": "", "price_quoted": "", "quoted": ""}


@pytest.mark.parametrize(
    ("why", "on", "said"),
    [
        ("", "", "struck out with its reason"),
        ("?", "", "struck out with its reason"),
        ("x", "2026-04-22", "was told nothing on Wed 22 April 2026"),
    ],
)
def test_what_cannot_be_struck_out(why, on, said):
    with pytest.raises(UsageError, match=said):
        StruckOut("a", why, on).plan(shop(TAKEN + OTHER, THREE), MAY)


@pytest.mark.parametrize(
    ("row", "answer", "cells"),
    [
        (ASKED, "no", {"decided": "no", "decided_why": "no room", "for_love": "", "state": "declined"}),
        (ASKED, "yes", {"decided": "yes", "decided_why": "no room", "for_love": ""}),
        (TAKEN, "no", {"decided": "no", "decided_why": "no room", "for_love": ""}),
        (
            TAKEN.replace("-22,,", "-22,stopped,"),
            "no",
            {"decided": "no", "decided_why": "no room", "for_love": ""},
        ),
        (
            ASKED.replace("-20,,,", "-20,,,withdrawn"),
            "no",
            {"decided": "no", "decided_why": "no room", "for_love": "", "state": "declined"},
        ),
    ],
)
def test_a_no_ends_a_board_that_is_only_asked_for(row, answer, cells):
    assert planned(DecisionMade("a", answer, "no room"), shop(row)).fills == {"boards 2": cells}
    love = planned(DecisionMade("a", "yes", "that shape", for_love=True), shop(row))
    assert love.fills["boards 2"]["for_love"] == "yes"


@pytest.mark.parametrize(("price", "then"), [("", None), ("70", None)])
def test_where_no_price_was_named_none_comes_of_what_is_shown_on_top(price, then):
    step = AskedSince("red", {"logos": "2"}, price=price, worked_out=shown())
    plan = planned(
        step, shop(TAKEN.replace(",900,", ",,"), "a,2026-04-21,50,70,,2026-06-01,2026-06-12,quote\n")
    )
    [(_, row)] = plan.rows
    assert (row.get("price"), row["hours_low"], row["because"]) == (then, "55", "asked later")

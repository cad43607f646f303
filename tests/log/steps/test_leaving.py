"""Deposits, boards ready, fetched, paid and given back: each cell and each line of money, by hand."""

import pytest
from making.plans import MAY, planned, written

from estimator.log.steps.leaving import BoardReady, CollectedAndPaid, DepositCame, GaveItBack, agreed, owed
from estimator.words.errors import EstimatorError, UsageError

HEAD = "board,called,accepted,started,ready,collected,state,price_quoted,price_charged,deposit,paid,paid_on\n"
HOURS = "board,date,stage,hours\na,2026-05-01,sand,3\n"
MONEY = "date,in,out,what,boards,note\n"


def shop(row, **more):
    return written(boards=f"{HEAD}{row}\n", **{"hours": HOURS, **more})


@pytest.mark.parametrize(
    ("row", "told", "price", "rest"),
    [
        ("a,red,2026-05-01,,,,,900,,,,", "", 900.0, 900.0),
        ("a,red,2026-05-01,,,,,900,,300,,", "", 900.0, 600.0),
        ("a,red,2026-05-01,,,,,900,,300,500,", "", 900.0, 400.0),  # the deposit is in what was paid
        ("a,red,2026-05-01,,,,,900,,600,500,", "", 900.0, 300.0),
        ("a,red,2026-05-01,,,,,900,,300,,", "a,2026-05-02,950.50", 950.5, 650.5),
        ("a,red,2026-05-01,,,,,900,800,300,,", "a,2026-05-02,950.50", 800.0, 500.0),
        ("a,red,2026-05-01,,,,,900,0,,,", "", 0.0, 0.0),
        ("a,red,2026-05-01,,,,,900,,,1000,", "", 900.0, -100.0),
        ("a,red,2026-05-01,,,,,,,300,,", "", None, None),
    ],
)
def test_what_is_still_owed_of_the_price_that_is_gone_by(row, told, price, rest):
    now = shop(row, told=f"board,date,price\n{told}\n") if told else shop(row)
    [board] = now.log.boards
    assert (agreed(now, board), owed(now, board)) == (price, rest)


@pytest.mark.parametrize(
    ("row", "step", "cells"),
    [
        (
            "a,red,2026-05-01,2026-05-01,,,on bench,900,,200,,",
            CollectedAndPaid("a"),
            {"collected": "2026-05-04", "state": "", "ready": "2026-05-04", "paid": "900", "paid_on": "2026-05-04",
             "price_charged": "900"},
        ),
        (
            "a,red,2026-05-01,2026-05-01,2026-05-02,,,900,,200,,",
            CollectedAndPaid("a", on="2026-05-03"),
            {"collected": "2026-05-03", "state": "", "paid": "900", "paid_on": "2026-05-03", "price_charged": "900"},
        ),
        (
            "a,red,2026-05-01,2026-05-01,2026-05-02,,,900,850,200,,",
            CollectedAndPaid("a", "649.99", collected=False),
            {"paid": "849.99"},
        ),
        (
            "a,red,2026-05-01,2026-05-01,2026-05-02,,,900,850,200,,",
            CollectedAndPaid("a", "650", collected=False),
            {"paid": "850", "paid_on": "2026-05-04"},
        ),
        (
            "a,red,2026-05-01,2026-05-01,2026-05-02,,,900,,,,",
            CollectedAndPaid("a", "400", collected=False),
            {"paid": "400", "price_charged": "900"},
        ),
        (
            "a,red,2026-05-01,2026-05-01,2026-05-02,,,,,200,,",
            CollectedAndPaid("a", "450", collected=False),
            {"paid": "650", "paid_on": "2026-05-04", "price_charged": "650"},
        ),
        (
            "a,red,2026-05-01,2026-05-01,2026-05-02,,,900,,200,,",
            CollectedAndPaid("a", paid=False),
            {"collected": "2026-05-04", "state": ""},
        ),
        (
            "a,red,2026-04-01,2026-04-01,2026-04-02,2026-04-03,,900,,200,500,2026-04-03",
            CollectedAndPaid("a", collected=False),
            {"paid": "900", "paid_on": "2026-05-04", "price_charged": "900"},
        ),
    ],
)  # fmt: skip
def test_a_board_that_is_fetched_or_paid(row, step, cells):
    plan = planned(step, shop(row, doubted=True))
    assert plan.fills == {"boards 2": cells}
    assert plan.rows == []
    said = {(True, True): "collected and paid", (True, False): "collected", (False, True): "paid"}
    assert plan.label == f"red {said[step.collected, step.paid]}"


def test_what_comes_is_a_line_of_money_and_what_the_columns_alone_told_before_it():
    row = "a,red,2026-04-20,2026-05-01,2026-05-02,,,900,,200.50,,"
    plan = planned(CollectedAndPaid("a"), shop(row, money=MONEY))
    assert plan.rows == [
        ("money", {"date": "2026-04-20", "what": "deposit", "boards": "a", "in": "200.5"}),
        ("money", {"date": "2026-05-04", "what": "payment", "boards": "a", "in": "699.5"}),
    ]
    told = f"{MONEY}2026-04-20,200.50,,deposit,a,\n"
    [line] = planned(CollectedAndPaid("a", "100"), shop(row, money=told)).rows
    assert line[1]["in"] == "100"


@pytest.mark.parametrize(
    ("row", "step", "why"),
    [
        ("a,red,2026-05-01,,2026-05-02,,,900,,,,", CollectedAndPaid("a", collected=False, paid=False), "Neither fetched nor paid"),
        ("a,red,,,,,asked,900,,,,", CollectedAndPaid("a"), "Red was never begun"),
        ("a,red,2026-05-01,,2026-05-02,,,900,,,900,2026-05-03", CollectedAndPaid("a"), "was paid on Sun 3 May 2026"),
        ("a,red,2026-05-01,,2026-05-02,,,,,,,", CollectedAndPaid("a"), "No price is written for red"),
        ("a,red,2026-05-01,,2026-05-02,,,900,,,,", DepositCame("a", "5"), "that's no deposit any more"),
        ("a,red,2026-05-01,,2026-05-02,,,900,,,,", BoardReady("a"), "has been ready since Sat 2 May 2026"),
        ("a,red,,,,,asked,900,,,,", BoardReady("a"), "Red was never begun"),
        ("a,red,2026-05-01,,,,on bench,900,,,,", BoardReady("a", "glas"), '"glas" is no reason known here'),
        ("a,red,2026-05-01,,2026-05-02,,,900,,,,", GaveItBack("a", "5"), "it isn't half done"),
        ("a,red,,,,,asked,900,,,,", GaveItBack("a", "5"), "was never taken on"),
        ("a,red,2026-05-01,,,,on bench,900,,300,,", GaveItBack("a", "0", "300.01"), "more than the 300 that was paid"),
        ("a,red,2026-05-01,,,,on bench,900,,300,,", GaveItBack("a", "199.99", "100"), "don't add up to it"),
    ],
)  # fmt: skip
def test_what_cannot_have_happened_is_refused(row, step, why):
    with pytest.raises(UsageError, match=why):
        step.plan(shop(row), MAY)


def test_a_board_whose_row_says_finished_and_no_day_gets_its_day_and_is_fetched():
    row = "a,red,2026-05-01,2026-05-01,,,finished,900,,200,,"
    assert planned(BoardReady("a", on="2026-05-03"), shop(row)).fills == {
        "boards 2": {"ready": "2026-05-03", "state": ""}
    }
    fetched = planned(CollectedAndPaid("a", paid=False), shop(row)).fills["boards 2"]
    assert fetched == {"collected": "2026-05-04", "state": "", "ready": "2026-05-04"}
    for step, why in (
        (DepositCame("a", "5"), "no deposit any more"),
        (GaveItBack("a", "5"), "isn't half done"),
    ):
        with pytest.raises(UsageError, match=why):
            step.plan(shop(row), MAY)


@pytest.mark.parametrize(
    ("row", "step", "cells"),
    [
        ("a,red,,,,,asked,900,,,,", DepositCame("a", "200.50"), {"deposit": "200.5", "accepted": "2026-05-04", "state": ""}),
        ("a,red,,,,,asked,900,,,,", DepositCame("a", "9", on="2026-05-02"), {"deposit": "9", "accepted": "2026-05-02", "state": ""}),
        ("a,red,2026-04-30,,,,,900,,100.25,,", DepositCame("a", "50"), {"deposit": "150.25"}),
    ],
)  # fmt: skip
def test_a_deposit_is_a_yes_of_its_day_where_none_was_said(row, step, cells):
    assert planned(step, shop(row)).fills == {"boards 2": cells}


def test_a_board_that_is_ready_names_its_day_what_cost_the_time_and_its_materials():
    now = shop("a,red,2026-05-01,2026-05-01,,,on bench,900,,,,")
    plan = planned(BoardReady("a", "foam", materials="38.5049", on="2026-05-03"), now)
    assert plan.fills == {
        "boards 2": {"ready": "2026-05-03", "state": "", "cost_time": "foam", "materials": "38.5"}
    }
    waits = "board,from,until,for\na,2026-05-01,2026-05-02,parts\n"
    assert planned(BoardReady("a"), shop("a,red,2026-05-01,2026-05-01,,,,900,,,,", waits=waits)).fills == {
        "boards 2": {"ready": "2026-05-04", "state": ""}
    }
    stands = waits.replace("2026-05-02", "") + "a,2026-05-03,,owner\n"
    with pytest.raises(UsageError, match="Red has stood since Fri 1 May 2026"):
        BoardReady("a").plan(shop("a,red,2026-05-01,2026-05-01,,,,900,,,,", waits=stands), MAY)


@pytest.mark.parametrize(
    ("step", "field"),
    [
        (GaveItBack("a", "lots", "5"), "kept"),
        (GaveItBack("a", "5", "lots"), "returned"),
        (GaveItBack("a", "", "5"), "kept"),
        (BoardReady("a", materials="lots"), "materials"),
        (DepositCame("a", "lots"), "amount"),
    ],
)
def test_money_that_cannot_be_read_is_said_at_its_field(step, field):
    with pytest.raises(EstimatorError) as caught:
        step.plan(shop("a,red,2026-05-01,2026-05-01,,,on bench,900,,300,,"), MAY)
    assert caught.value.field == field


def test_hours_are_needed_unless_they_are_written_in_all():
    empty = "board,date,stage,hours\n"
    with pytest.raises(UsageError, match="No hours are written on red"):
        BoardReady("a").plan(shop("a,red,2026-05-01,,,,on bench,900,,,,", hours=empty), MAY)
    total = written(boards="board,accepted,state,total_hours\na,2026-05-01,on bench,12\n", hours=empty)
    assert planned(BoardReady("a"), total).fills["boards 2"]["ready"] == "2026-05-04"


def test_as_thought_it_turned_out_is_written_when_it_is_ready():
    boards = (
        "board,kind,accepted,state,assessed_infills,assessed_logos,later_logos,assessed_wetness,found_infills\n"
        "a,major,2026-05-01,on bench,2,1,2,?,5\n"
    )
    now = written(boards=boards, hours=HOURS.replace("hours\n", "hours,done\n").replace("3\n", "3,yes\n"))
    found = planned(BoardReady("a", found_as_thought=True), now).fills["boards 2"]
    assert (found["found_logos"], found["found_spray_colours"]) == ("3", "same")
    assert "found_infills" not in found  # that is written already
    assert "found_wetness" not in found  # nobody thought anything of it
    assert not [name for name in planned(BoardReady("a"), now).fills["boards 2"] if name.startswith("found_")]


@pytest.mark.parametrize(
    ("kept", "returned", "cells", "lines"),
    [
        ("260", "40", {"paid": "300", "returned": "40"}, [("refund", "", "40")]),
        ("400", "", {"paid": "400", "returned": "0"}, [("payment", "100", "")]),
        ("0", "300", {"paid": "300", "returned": "300"}, [("refund", "", "300")]),
        ("330", "20", {"paid": "350", "returned": "20"}, [("payment", "50", ""), ("refund", "", "20")]),
    ],
)
def test_what_is_kept_and_given_back_adds_up_to_what_was_paid(kept, returned, cells, lines):
    waits = "board,from,until,for\na,2026-05-01,,parts\na,2026-05-01,2026-05-02,owner\na,2026-05-02,,drying\n"
    money = f"{MONEY}2026-05-01,300,,deposit,a,\n"
    now = shop("a,red,2026-05-01,2026-05-01,,,on bench,900,,300,,", waits=waits, money=money)
    plan = planned(GaveItBack("a", kept, returned, "moving", on="2026-05-03"), now)
    assert plan.fills == {
        "boards 2": {
            "state": "withdrawn",
            "collected": "2026-05-03",
            "decided_why": "moving",
            "paid_on": "2026-05-03",
            **cells,
        },
        "waits 2": {"until": "2026-05-03"},
        "waits 4": {"until": "2026-05-03"},
    }
    assert [(c["what"], c.get("in", ""), c.get("out", ""), c["date"]) for _, c in plan.rows] == [
        (*line, "2026-05-03") for line in lines
    ]

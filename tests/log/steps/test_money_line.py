"""Money that comes in and goes out: the line, and what it makes of the board's own columns, to the coin."""

import datetime as dt

import pytest
from making.plans import planned, written
from making.working_day import MAY, opened

from estimator.log.steps.money_line import MoneyWritten
from estimator.log.steps.telling import ToldOwner
from estimator.words.errors import UsageError

RED, FISH = "26-001", "26-002"


@pytest.fixture(params=["files", "book"])
def day(request, tmp_path):
    day = opened(request.param, tmp_path, sheets=("money",))
    day.do(ToldOwner(RED, hours="50-70", price="2000", last="2026-07-17"))
    return day


def lines(day):
    return [(m.date, m.what, m.came_in, m.went_out, m.boards) for m in day.now(400).whole_log.money]


def test_a_board_is_paid_on_the_day_on_which_the_last_coin_came_and_not_before(day):
    day.do(MoneyWritten("in", "300", "deposit", (RED,)), 1)
    assert (day.board(RED).deposit, day.board(RED).paid, day.board(RED).paid_on) == (300.0, None, None)
    day.do(MoneyWritten("in", "1500", "payment", (RED,)), 2)
    assert (day.board(RED).paid, day.board(RED).paid_on) == (1800.0, None)
    day.do(MoneyWritten("in", "199.99", "payment", (RED,)), 3)
    assert (day.board(RED).paid, day.board(RED).paid_on) == (1999.99, None)
    day.do(MoneyWritten("in", "0.01", "payment", (RED,)), 4)
    assert (day.board(RED).paid, day.board(RED).paid_on) == (2000.0, MAY + dt.timedelta(days=4))
    day.do(MoneyWritten("in", "50", "payment", (RED,)), 9)  # paid it stays since then
    assert (day.board(RED).paid, day.board(RED).paid_on) == (2050.0, MAY + dt.timedelta(days=4))
    assert [came for _, _, came, _, _ in lines(day)] == [300.0, 1500.0, 199.99, 0.01, 50.0]


def test_what_is_given_back_adds_up_and_takes_nothing_off_what_was_paid(day):
    day.do(MoneyWritten("in", "2000", "payment", (RED,)), 1)
    day.do(MoneyWritten("out", "150", "refund", (RED,)), 2)
    day.do(MoneyWritten("out", "50.50", "refund", (RED,)), 3)

    board = day.board(RED)
    assert (board.paid, board.returned, board.paid_on) == (2000.0, 200.5, MAY + dt.timedelta(days=1))


def test_materials_of_two_boards_are_one_line_and_no_owner_s_money(day):
    done = day.do(MoneyWritten("out", "90", "materials", (RED, FISH)), 1)

    assert done.label == "90 out, materials, red nine-four, green fish"
    assert lines(day) == [(MAY + dt.timedelta(days=1), "materials", 0.0, 90.0, (RED, FISH))]
    assert day.board(RED).paid is day.board(FISH).paid is None


HEAD = "board,called,accepted,started,ready,price_quoted,deposit,paid,returned,materials\n"
LINES = "date,in,out,what,boards\n"


@pytest.mark.parametrize(
    ("row", "money", "step", "cells", "before"),
    [
        ("2026-04-01,2026-04-02,2026-04-20,900,,,40,", "", MoneyWritten("out", "10", "refund", ("a",)), {"returned": "50"}, [("2026-04-20", "refund", "", "40")]),
        ("2026-04-01,2026-04-02,2026-04-20,900,,,,", "2026-04-21,,30,refund,a\n", MoneyWritten("out", "20", "refund", ("a",)), {"returned": "50"}, []),
        ("2026-04-01,2026-04-02,,900,,,,", "2026-04-21,200.5,,deposit,a\n", MoneyWritten("in", "100", "deposit", ("a",)), {"deposit": "300.5"}, []),
        ("2026-04-01,2026-04-02,,900,,,,", "2026-04-21,500,,payment,a\n", MoneyWritten("in", "100", "", ("a",)), {"paid": "600"}, []),
        ("2026-04-01,2026-04-02,,900,,0,,", "", MoneyWritten("in", "10", "deposit", ("a",)), {"deposit": "10", "paid": "10"}, []),
        ("2026-04-01,2026-04-02,,900,,,,", "", MoneyWritten("in", "90", "payment", ("a", "b")), None, []),
        ("2026-04-01,2026-04-02,2026-04-20,900,,,,50", "", MoneyWritten("out", "9", "", ("a", "b")), {"materials": ""}, [("2026-04-20", "materials", "", "50")]),
        ("2026-04-01,2026-04-02,,900,,,,50", "", MoneyWritten("in", "9", "materials", ("a",)), {"materials": ""}, [("2026-04-02", "materials", "", "50")]),
        ("2026-04-01,2026-04-02,2026-04-20,900,,,,50", "", MoneyWritten("out", "9", "materials", ("a",), on="2026-04-10"), {"materials": ""}, [("2026-04-10", "materials", "", "50")]),
        ("2026-04-01,2026-04-02,,900,,,,0", "", MoneyWritten("out", "9", "materials", ("a",)), {"materials": ""}, []),
        ("2026-04-01,2026-04-02,,900,,,,50", "", MoneyWritten("out", "9", "postage", ("a",)), None, []),
    ],
)  # fmt: skip
def test_a_line_makes_both_its_board_s_cells_and_lines_of_what_they_alone_told(
    row, money, step, cells, before
):
    now = written(boards=f"{HEAD}a,red,{row}\nb,tan,2026-04-01,,,,,,,\n", money=LINES + money)
    plan = planned(step, now)
    assert plan.fills == ({} if cells is None else {"boards 2": cells})
    assert [(c["date"], c["what"], c.get("in", ""), c.get("out", "")) for _, c in plan.rows[:-1]] == before
    assert plan.rows[-1][1][step.way] == step.amount


@pytest.mark.parametrize(
    ("step", "label", "what", "boards"),
    [
        (MoneyWritten("in", "1200", " Deposit ", ("a", " a", "")), "1,200 in, deposit, red", "deposit", "a"),
        (MoneyWritten("out", "9.5", " Tape, blue "), "9.50 out, Tape, blue", "Tape, blue", ""),
        (MoneyWritten("out", "9", "", ("b", "a")), "9 out, tan, red", "", "b; a"),
        (MoneyWritten("out", "9", "wax", ("a", "b", "c")), "9 out, wax, 3 boards", "wax", "a; b; c"),
    ],
)
def test_a_line_is_called_by_what_it_was_for_and_names_each_board_once(step, label, what, boards):
    now = written(boards="board,called\na,red\nb,tan\nc,puce\n")
    plan = planned(step, now)
    assert (plan.label, plan.rows[-1][1].get("what", ""), plan.rows[-1][1].get("boards", "")) == (
        label,
        what,
        boards,
    )


@pytest.mark.parametrize(
    ("step", "field"),
    [
        (MoneyWritten("", "3"), "way"),
        (MoneyWritten("in", "0"), "amount"),
        (MoneyWritten("in", "3", "payment", ("nobody's",)), "boards"),
    ],
)
def test_what_is_wrong_is_said_at_its_field(day, step, field):
    with pytest.raises(UsageError) as caught:
        day.do(step)
    assert caught.value.field == field

"""Money of boards: a workshop's spring by hand to the penny, the same by fractions, and what must not matter.

By hand: five boards, one drum of resin for all, 431.07, split evenly as nothing is known of what each uses. 43107 pennies
are 8621 each and 2 over, which go to the first two by name, blue and green: 86.22 each, 86.21 the others.
Red: 200 deposit, 350.50 and 449.50 paid, 60 given back, own cloth 31.40: paid 1,000 and 940 kept, spent 117.61.
"""

import datetime as dt
import random
from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from estimator.decide.quarter.accounts import owing, till_of
from estimator.decide.quarter.lost_time import given_back
from estimator.decide.quarter.pay import hours_of, made_ready
from estimator.decide.weigh.worth import overhead_an_hour
from estimator.log.history import as_it_stood, last_day
from estimator.log.money import (
    lines_between,
    money_between,
    of_owners,
    paid_for,
    payments,
    price_kept,
    rent_a_month,
    rest_to_pay,
    spent_on,
    split,
    told_by_columns,
    told_by_lines,
    with_agreed_prices,
    with_money,
)
from estimator.words.records import Board, Log, MoneyLine, Note, Told
from estimator.words.settings.schema import Bench, Settings, Workshop

FIVE = ("red", "green", "blue", "white", "grey")


def day(month, number):
    return dt.date(2026, month, number)


def row(when, came_in=0.0, out=0.0, what="materials", boards=()):
    return MoneyLine(when, came_in, out, what, boards)


LINES = (
    row(day(3, 1), out=450.0, what="rent"),
    row(day(3, 2), 200.0, what="deposit", boards=("red",)),
    row(day(3, 20), out=431.07, boards=FIVE),
    row(day(4, 1), out=450.0, what="rent"),
    row(day(4, 9), out=31.40, what="cloth", boards=("red",)),
    row(day(4, 10), 350.50, what="payment", boards=("red",)),
    row(day(5, 1), out=480.0, what="rent"),
    row(day(5, 4), out=85.25, what="sander"),
    row(day(5, 20), 449.50, what="payment", boards=("red",)),
    row(day(5, 21), out=60.0, what="refund", boards=("red",)),
    row(day(6, 2), 25.0, what="old racks"),
)
BOARDS = (
    Board("red", state="finished", price_quoted=1000.0, accepted=day(3, 2), ready=day(5, 18)),
    Board("green", state="finished", price_charged=400.0, ready=day(5, 1), paid=150.0, paid_on=day(5, 2)),
    Board("blue", state="on bench", price_quoted=700.0, deposit=100.0, accepted=day(4, 1)),
    Board("white", state="withdrawn", accepted=day(3, 1)),
    Board("grey", state="waiting", materials=50.0),
)
LOG = Log(boards=BOARDS, money=LINES)
BY_HAND = {"blue": 86.22, "green": 86.22, "grey": 86.21, "red": 86.21, "white": 86.21}


def of(sums, name):
    [found] = [one for one in sums if one.name == name]
    return found.came_in, found.out, found.left


def test_by_hand_what_each_board_was_paid_and_cost():
    by_id = with_money(LOG).by_id
    red = by_id["red"]
    assert (red.deposit, red.paid, red.returned, red.materials) == (200.0, 1000.0, 60.0, 117.61)
    assert (by_id["green"].paid, by_id["green"].materials) == (150.0, 86.22)
    assert (by_id["white"].materials, by_id["blue"].deposit) == (86.21, 100.0)
    # not over yet: it may take more than was bought so far
    assert (by_id["blue"].materials, by_id["grey"].materials) == (None, 50.0)


@pytest.mark.parametrize(
    ("line", "owner"),
    [
        (row(day(4, 1), 200.0, what="deposit", boards=("red",)), True),
        (row(day(4, 1), 200.0, what="my own words", boards=("red",)), True),
        (row(day(4, 1), out=50.0, what="refund", boards=("red",)), True),
        (row(day(4, 1), 25.0, what="materials", boards=("red",)), False),  # a supplier's
        (row(day(4, 1), out=25.0, what="materials", boards=("red",)), False),
        (row(day(4, 1), 200.0, what="payment"), False),
    ],
)
def test_what_a_supplier_gives_back_is_no_owner_s_money(line, owner):
    assert of_owners(line) is owner


def test_what_a_supplier_gives_back_makes_a_board_s_materials_less_and_its_payment_no_more():
    back = (row(day(4, 1), out=90.0, boards=("red",)), row(day(4, 2), 25.0, boards=("red",)))
    told = told_by_lines(back)["red"]

    assert (told.paid, told.deposit, told.spent) == (None, None, 65.0)
    assert spent_on(back) == {"red": 65.0}


def test_by_hand_the_whole_spring():
    sums = money_between(LOG, Settings())
    # in: 200 + 350.50 + 449.50 + 25 of rows; 150 and 100 of the columns of green and blue
    # out: 450 + 450 + 480, 431.07, 31.40, 85.25, 60
    assert (sums.in_all.came_in, sums.in_all.out, sums.in_all.left) == (1275.0, 1987.72, -712.72)
    assert [one.name for one in sums.by_what] == [
        *("deposit", "payment", "refund", "materials", "rent"),
        *("cloth", "old racks", "sander"),
    ]
    assert of(sums.by_what, "rent") == (0.0, 1380.0, -1380.0)
    assert of(sums.by_what, "deposit") == (300.0, 0.0, 300.0)
    assert of(sums.by_board, "red") == (1000.0, 177.61, 822.39)
    assert of(sums.by_board, "white") == (0.0, 86.21, -86.21)
    assert (sums.no_board.came_in, sums.no_board.out) == (25.0, 1465.25)
    assert sums.undated == ()


def test_by_hand_between_two_days_both_included():
    april = money_between(LOG, Settings(), day(4, 1), day(4, 30))
    assert (april.in_all.came_in, april.in_all.out) == (450.5, 481.4)
    assert of(april.by_board, "blue") == (100.0, 0.0, 100.0)
    one_day = money_between(LOG, Settings(), day(5, 20), day(5, 20))
    assert (one_day.in_all.came_in, one_day.in_all.out) == (449.5, 0.0)
    kept = april.as_dict()
    assert (kept["from"], kept["in"], kept["out"], kept["left"]) == ("2026-04-01", 450.5, 481.4, -30.9)
    assert kept["by_board"][0] == {"board": "red", "in": 350.5, "out": 31.4, "left": 319.1}


def test_what_was_bought_on_the_first_day_and_on_the_last_is_its_board_s():
    """Cloth of 31.40 for red on 9 April; the drum of 431.07 of 20 March, of which each of five boards bears a fifth."""
    cloth = money_between(LOG, Settings(), day(4, 9), day(4, 9))
    drum = money_between(LOG, Settings(), day(3, 20), day(3, 20))
    both = money_between(LOG, Settings(), day(3, 20), day(4, 9))

    assert of(cloth.by_board, "red") == (0.0, 31.4, -31.4)
    assert sorted(one.out for one in drum.by_board) == [86.21, 86.21, 86.21, 86.22, 86.22]
    assert of(both.by_board, "red")[1] == pytest.approx(31.4 + of(drum.by_board, "red")[1])
    between = money_between(LOG, Settings(), day(3, 21), day(4, 8))
    assert [one.out for one in between.by_board] == [0.0]


def test_by_hand_the_till_of_a_quarter_and_what_is_owed():
    log, settings = with_money(LOG), Settings()
    made = made_ready(log, settings, hours_of(log, settings))
    till = till_of(log, settings, made, (day(4, 1), day(6, 30)))
    assert (till.deposits, till.balances, till.returned, till.other) == (100.0, 950.0, 60.0, 25.0)
    assert till.all == 1015.0
    assert till_of(log, settings, made, (day(3, 1), day(3, 31))).other == 0.0
    assert {one.board: one.price for one in made} == {"red": 940.0, "green": 400.0}
    assert {one.board: one.materials for one in made} == {"red": 117.61, "green": 86.22}
    assert {one.board: one.owed for one in owing(log.by_id, made)} == {"green": 250.0}


def test_rent_by_rows_of_whole_months_and_what_an_hour_carries():
    assert rent_a_month(LOG, day(5, 30)) is None  # May is not over
    assert rent_a_month(LOG, day(5, 31)) == rent_a_month(LOG, day(6, 29)) == 460.0
    assert rent_a_month(LOG, day(6, 30)) == 345.0  # June was not paid
    settings = Settings(
        workshop=Workshop(overheads_a_month=100.0), bench=Bench(hours_by_weekday=(6,) * 5 + (0, 0))
    )
    by_setting = overhead_an_hour(replace(LOG, money=()), settings, day(5, 31))
    by_rows = overhead_an_hour(LOG, settings, day(5, 31))
    assert by_rows.an_hour == pytest.approx(4.6 * by_setting.an_hour)


def test_the_same_by_fractions():
    by_fractions = {name: Fraction(43107, 100) / 5 for name in FIVE}
    by_fractions["red"] += Fraction("31.40")
    found = spent_on(LINES)
    assert sum(Fraction(str(much)) for much in found.values()) == Fraction("431.07") + Fraction("31.40")
    assert all(abs(Fraction(str(found[name])) - by_fractions[name]) < Fraction(1, 100) for name in FIVE)
    assert {**found, "red": round(found["red"] - 31.40, 2)} == BY_HAND


def test_a_drum_goes_by_what_each_is_expected_to_use():
    uses = {"red": 120.0, "green": 60.0, "blue": 60.0, "white": 30.0, "grey": 30.0}
    drum = [row(day(3, 20), out=300.0, boards=FIVE)]
    assert spent_on(drum, uses) == uses
    assert spent_on(drum, {**uses, "grey": float("nan")}) == dict.fromkeys(sorted(FIVE), 60.0)
    assert spent_on([*drum, row(day(3, 21), 30.0, boards=FIVE)], uses)["red"] == 108.0  # a part was sent back


@given(
    st.integers(-(10**7), 10**7), st.lists(st.one_of(st.none(), st.floats(0, 1e6)), min_size=1, max_size=8)
)
def test_parts_add_up_and_lie_within_a_coin(pennies, weights):
    parts = split(pennies, weights)
    assert sum(parts) == pennies
    if None not in weights and any(weights):
        whole = sum(map(Fraction, weights))
        shares = [pennies * Fraction(weight) / whole for weight in weights]
        assert all(abs(part - share) < 1 for part, share in zip(parts, shares, strict=True))


@pytest.mark.parametrize(
    ("pennies", "parts"), [(100, [14, 29, 57]), (101, [14, 29, 58]), (-101, [-14, -29, -58]), (7, [1, 2, 4])]
)
def test_coins_that_are_left_go_where_most_was_cut_off(pennies, parts):
    """Of 100 by one, two and four: 14 2/7, 28 4/7 and 57 1/7; of 101 it is 3/7, 6/7 and 5/7 that are cut."""
    assert split(pennies, [1.0, 2.0, 4.0]) == parts
    assert split(7, [0.0, 0.0]) == [4, 3]


def test_more_than_was_spent_that_a_supplier_gives_back_is_no_cost_below_nought():
    back = (row(day(4, 2), 25.0, boards=("a",)),)
    assert with_money(Log((board(state="finished"),), money=back)).boards[0].materials == 0.0


@pytest.mark.parametrize("seed", range(5))
def test_neither_the_order_of_rows_nor_a_row_in_two_matters(seed):
    dice = random.Random(seed)
    uses = {name: dice.uniform(10, 99) for name in FIVE}
    lines = []
    for line in LINES:
        part = dice.randint(0, round(100 * (line.came_in + line.went_out))) / 100
        came_in, out = (part, 0.0) if line.came_in else (0.0, part)
        rest = replace(line, came_in=round(line.came_in - came_in, 2), went_out=round(line.went_out - out, 2))
        lines += [replace(line, came_in=came_in, went_out=out), rest]
    lines = [line for line in lines if line.came_in or line.went_out]
    dice.shuffle(lines)
    moved = replace(LOG, money=tuple(lines))
    assert with_money(moved, uses).boards == with_money(LOG, uses).boards
    whole = money_between(moved, Settings(), uses=uses)
    assert whole == money_between(LOG, Settings(), uses=uses)
    # and what a board took in neighbouring spans adds up to what it took in all
    cut = dt.date(2026, 3, 1) + dt.timedelta(days=dice.randint(0, 90))
    before = money_between(moved, Settings(), None, cut, uses)
    after = money_between(moved, Settings(), cut + dt.timedelta(days=1), None, uses)
    for name in FIVE:
        parts = [one.left for some in (before, after) for one in some.by_board if one.name == name]
        assert sum(map(Fraction, map(str, parts))) == Fraction(str(of(whole.by_board, name)[2]))


def test_what_is_written_later_is_not_known_earlier():
    noted = Note("red", day(5, 1), "mix")
    log = as_it_stood(replace(LOG, notes=(noted,)), Settings(), day(4, 9))
    assert [line.date for line in log.money] == [day(3, 1), day(3, 2), day(3, 20), day(4, 1), day(4, 9)]
    assert log.notes == ()
    assert as_it_stood(replace(LOG, notes=(noted,)), Settings(), day(5, 1)).notes == (noted,)
    assert with_money(log).by_id["red"].paid == 200.0
    assert last_day(LOG) == day(6, 2)


def test_a_fetched_board_without_a_price_cost_what_was_paid():
    paid = (row(day(5, 1), 320.0, what="payment", boards=("a",)),)
    fetched = Board("a", state="finished", collected=day(5, 1))
    assert with_money(Log((fetched,), money=paid)).by_id["a"].price_charged == 320.0
    told = (Told("a", day(4, 1), price=350.0),)
    for log in (
        Log((fetched,), told=told, money=paid),
        Log((replace(fetched, price_quoted=350.0),), money=paid),
        Log((replace(fetched, collected=None),), money=paid),
    ):
        assert with_money(log).by_id["a"].price_charged is None


def test_a_board_given_back_of_which_only_money_has_a_day():
    rows = (
        row(day(4, 1), 300.0, what="deposit", boards=("a",)),
        row(day(4, 20), out=40.25, what="refund", boards=("a",)),
    )
    log = with_money(Log((Board("a", state="withdrawn"),), money=rows))
    (one,) = given_back(log, Settings())
    assert (one.ended, one.charged, one.returned, one.kept) == (day(4, 20), 300.0, 40.25, 259.75)


def test_the_rest_to_pay_is_no_crumb_of_a_penny():
    assert rest_to_pay(Board("a", paid=0.1 + 0.2), 0.3) == 0.0
    assert rest_to_pay(Board("a", paid=0.3), 0.1 + 0.2) == 0.0
    assert rest_to_pay(Board("a", deposit=300.0, returned=100.0), 900.0) == 600.0
    assert rest_to_pay(Board("a", paid_on=day(5, 1)), 900.0) == 0.0
    assert rest_to_pay(Board("a"), 900.0) == 900.0


HEAD = "board,state,ready,price_quoted,deposit,paid,returned,materials\n"


@pytest.mark.parametrize(
    ("cells", "said"),
    [
        (",,,,", []),
        (",200,1000,60,117.40", []),
        (",150,,,", ['deposit: "150": rows of money come to 200']),
        (",,900,,", ['paid: "900": rows of money come to 1000']),
        (",,,0,", ['returned: "0": rows of money come to 60']),
        (",,,,117", ['materials: "117": rows of money come to 117.4']),
    ],
)
def test_a_column_that_rows_contradict_is_a_problem(read, cells, said):
    found = read(
        boards=f"{HEAD}a,finished,2026-05-18{cells.replace(',', ',1000,', 1)}\n",
        money="date,in,out,what,boards\n2026-03-02,200,,deposit,a\n2026-05-20,800,,,a\n"
        "2026-05-21,,60,refund,a\n2026-04-09,,117.40,cloth,a\n",
    )
    rows = "(money.csv, line 2 and others). Correct the one or the other, or leave this cell empty."
    assert found.problems == [f"boards.csv, line 2, {one} {rows}" for one in said]


def test_a_row_to_come_contradicts_nothing(read):
    sheets = {
        "boards": f"{HEAD}a,finished,2026-05-18,1000,200,1000,,\n",
        "money": "date,in,out,what,boards\n2026-03-02,200,,deposit,a\n2026-05-20,800,,,a\n",
    }
    assert read(**sheets).problems == []
    (late,) = read(**sheets, today=day(5, 19)).problems
    assert late.startswith("money.csv, line 3, date")


def test_what_is_shared_and_written_too_is_a_problem(read):
    found = read(
        boards=f"{HEAD}a,finished,2026-05-18,,,,,40\nb,finished,2026-05-18,,,,,\nc,finished,2026-05-18,,,,,0\n",
        money='date,in,out,what,boards\n2026-03-02,,80,,"a, b, c"\n',
    )
    assert found.problems == [
        (
            f'boards.csv, line {line}, materials: "{cell}": rows of money tell it too, and share it with other boards '
            "(money.csv, line 2). Correct the one or the other, or leave this cell empty."
        )
        for line, cell in ((2, 40), (4, 0))
    ]


def test_rows_that_stand_twice_are_noted(read):
    row = "2026-03-02,,80,rent,\n"
    found = read(
        boards=f"{HEAD}a,asked,,,,,,\n", money=f"date,in,out,what,boards\n{row}2026-03-03,,80,rent,\n{row}"
    )
    said = "money.csv: 1 row says the same as a row above (line 4). Take out what was written twice."
    assert said in found.notes
    assert found.problems == []


def board(**more):
    return Board("a", **more)


@pytest.mark.parametrize(
    ("one", "paid"),
    [
        (board(), 0.0),
        (board(deposit=200.0), 200.0),
        (board(deposit=200.0, paid=900.0), 900.0),  # the deposit is in it
        (board(deposit=200.0, paid=150.0), 200.0),
        (board(price_quoted=900.0, deposit=200.0), 200.0),
        (board(price_quoted=900.0, paid_on=day(5, 1)), 900.0),
        (board(price_quoted=900.0, price_charged=850.0, paid_on=day(5, 1)), 850.0),
        (board(price_quoted=900.0, paid_on=day(5, 1), deposit=200.0, state="withdrawn"), 200.0),
        (board(price_charged=300.0, paid_on=day(5, 1), state="withdrawn"), 300.0),
        (board(price_quoted=900.0, paid=900.0, returned=50.0), 900.0),
    ],
)
def test_what_was_paid_for_a_board(one, paid):
    assert paid_for(one) == paid


@pytest.mark.parametrize(
    ("one", "kept"),
    [
        (board(returned=50.0), None),
        (board(price_quoted=900.0, returned=0.0), 900.0),
        (board(price_quoted=900.0, price_charged=0.0), 0.0),
        (board(price_quoted=900.0, price_charged=850.0, paid=850.0, returned=50.0), 800.0),
        (board(price_quoted=900.0, paid=950.0, returned=80.0), 870.0),
        (board(price_quoted=900.0, paid=700.0, returned=50.0), 850.0),
        (board(price_quoted=900.0, returned=50.0), 850.0),
    ],
)
def test_what_is_kept_of_a_price(one, kept):
    assert price_kept(one) == kept


@pytest.mark.parametrize(
    ("one", "came", "went"),
    [
        (board(), [], []),
        (board(quoted=day(3, 1), accepted=day(3, 2), deposit=200.0), [(day(3, 2), 200.0, "deposit")], []),
        (board(quoted=day(3, 1), deposit=200.0), [(day(3, 1), 200.0, "deposit")], []),
        (
            board(accepted=day(3, 2), deposit=200.0, paid=900.0, paid_on=day(5, 1)),
            [(day(3, 2), 200.0, "deposit"), (day(5, 1), 700.0, "payment")],
            [],
        ),
        (board(deposit=200.0, paid=200.0), [(None, 200.0, "deposit")], []),
        (
            board(state="finished", ready=day(4, 1), collected=day(4, 3), paid=900.0, paid_on=day(4, 9), returned=50.0),
            [(day(4, 9), 900.0, "payment")],
            [(day(4, 3), -50.0, "refund")],
        ),
        (board(state="finished", ready=day(4, 1), returned=50.0), [], [(day(4, 1), -50.0, "refund")]),
        (board(paid_on=day(4, 9), returned=50.0), [], [(day(4, 9), -50.0, "refund")]),
        (board(state="withdrawn", asked=day(3, 1), accepted=day(3, 5), returned=50.0), [], [(day(3, 5), -50.0, "refund")]),
    ],
)  # fmt: skip
def test_what_columns_alone_tell_of_an_owner_s_money_and_its_day(one, came, went):
    log = Log((one,))
    told = [(p.day, p.amount, p.what) for p in payments(log, Settings())]
    assert told == came + went
    for back, some in ((False, came), (True, went)):
        alone = [(p.day, p.amount, p.what) for p in told_by_columns(log, one, Settings(), went=back)]
        assert alone == some


def test_rows_hide_what_columns_tell_of_the_same_way_alone():
    one = board(accepted=day(3, 2), deposit=200.0, paid=900.0, paid_on=day(5, 1), returned=50.0)
    came, went = (
        row(day(3, 9), 300.0, what="deposit", boards=("a",)),
        row(day(6, 1), out=20.0, what="refund", boards=("a",)),
    )
    bought = row(day(3, 9), out=9.0, boards=("a",))
    assert told_by_columns(Log((one,), money=(came,)), one, Settings()) == []
    assert [p.amount for p in told_by_columns(Log((one,), money=(came,)), one, Settings(), went=True)] == [
        -50.0
    ]
    assert [p.amount for p in told_by_columns(Log((one,), money=(went, bought)), one, Settings())] == [
        200.0,
        700.0,
    ]
    assert told_by_columns(Log((one,), money=(went, bought)), one, Settings(), went=True) == []
    assert [p.amount for p in payments(Log((one,), money=(came, bought)), Settings())] == [300.0, -50.0]


def test_money_line_by_line_is_that_of_rows_and_of_columns_without_rows():
    def lines(first=None, last=None):
        found = lines_between(LOG, Settings(), first, last)
        return [(line.date, line.came_in, line.went_out, line.what) for line in found]

    assert len(lines()) == 13
    assert lines(day(4, 1), day(5, 1)) == [
        (day(4, 1), 0.0, 450.0, "rent"),
        (day(4, 1), 100.0, 0.0, "deposit"),  # of blue's columns
        (day(4, 9), 0.0, 31.4, "cloth"),
        (day(4, 10), 350.5, 0.0, "payment"),
        (day(5, 1), 0.0, 480.0, "rent"),
    ]
    assert lines(last=day(3, 1)) == [(day(3, 1), 0.0, 450.0, "rent")]
    came = (row(day(3, 9), 300.0, what="deposit", boards=("a",)),)
    both = Log((board(paid_on=day(5, 1), deposit=200.0, returned=50.0),), money=came)
    assert [
        (line.date, line.what, line.came_in, line.went_out) for line in lines_between(both, Settings())
    ] == [
        (day(3, 9), "deposit", 300.0, 0.0),
        (day(5, 1), "refund", 0.0, 50.0),
    ]


def test_boards_whose_payment_has_no_day_or_whose_materials_have_no_row_are_named():
    boards = (
        board(paid=900.0),
        Board("b", paid=900.0, paid_on=day(5, 1)),
        Board("c", materials=9.0),
        Board("d", materials=9.0),
    )
    sums = money_between(Log(boards, money=(row(day(4, 1), out=9.0, boards=("d",)),)), Settings())
    assert sums.undated == ("a", "c")


def test_rent_is_that_of_twelve_months_at_most_and_what_comes_back_is_taken_off():
    rows = [row(dt.date(2025 + n // 12, n % 12 + 1, 1), out=100.0 + n, what="rent") for n in range(14)]
    assert rent_a_month(Log(money=tuple(rows)), dt.date(2026, 2, 28)) == 107.5  # 102 to 113
    back = row(day(2, 9), 12.0, what="rent")
    assert rent_a_month(Log(money=(*rows, back)), dt.date(2026, 2, 28)) == 106.5
    assert rent_a_month(Log(money=tuple(rows[:3])), dt.date(2025, 3, 31)) == 101.0
    assert rent_a_month(Log(money=tuple(rows[:2])), dt.date(2025, 2, 28)) is None
    assert rent_a_month(Log(), dt.date(2025, 2, 28)) is None


def test_a_price_that_grew_by_agreement_is_the_one_charged_where_none_is_written():
    told = (
        Told("a", day(4, 1), price=950.0, because="asked later"),
        Told("b", day(4, 1), price=950.0, because="late"),
    )
    boards = (board(price_quoted=900.0), Board("b", price_quoted=900.0), Board("c", price_quoted=900.0))
    assert [b.price_charged for b in with_agreed_prices(Log(boards, told=told)).boards] == [950.0, None, None]
    charged = (board(price_quoted=900.0, price_charged=880.0),)
    assert with_agreed_prices(Log(charged, told=told)).boards[0].price_charged == 880.0
    free = (board(price_quoted=900.0, price_charged=0.0),)
    assert with_agreed_prices(Log(free, told=told)).boards[0].price_charged == 0.0

"""Rows of money through a whole workshop: what it learns, weighs, reviews and prints of them."""

import datetime as dt
import json
from fractions import Fraction

import pytest
from click.testing import CliRunner
from making.folders import SETTINGS, folder

from estimator.cli.commands import cli
from estimator.model.materials import expected_uses
from estimator.papers import paper_of
from estimator.shop import Shop

PRICED = f'{SETTINGS}\n[workshop]\ntarget_pay = 40\nfloor_pay = 25\ncurrency = "mk"\n'
AREAS = {"26-001": 1, "26-002": 2, "26-003": 3, "26-004": 1, "26-005": 4, "26-006": 2}
SPENT = {"26-001": "30.10", "26-002": "52.25", "26-003": "77.40"}
DRUM = ("26-004", "26-005", "26-006")  # the last is on the bench
HEAD = (
    "board,called,quoted,accepted,started,ready,collected,price_quoted,deposit,paid,materials,assessed_area\n"
)
HOURS = "board,date,stage,hours,done\n" + "".join(
    f"{board},2026-05-{at + 1:02d},strip,{3.5 * area},yes\n{board},2026-05-{at + 2:02d},gloss,2,yes\n"
    for at, (board, area) in enumerate(AREAS.items())
    if board != "26-006"
)
MONEY = "date,in,out,what,boards,note\n"


def boards_csv(money=True):
    rows = []
    for at, (board, area) in enumerate(AREAS.items()):
        ready = f"2026-05-{20 + at}" if board != "26-006" else ""
        own = f"100,{area * 200},{SPENT.get(board, '')}" if money else ",,"
        rows.append(
            f"{board},board {at + 1},2026-04-01,2026-04-0{at + 1},2026-05-0{at + 1},{ready},{ready},"
            f"{area * 200},{own},{area}\n"
        )
    return HEAD + "".join(rows)


def rows_of_money(drum="", shuffled=False):
    rows = []
    for at, (board, area) in enumerate(AREAS.items()):
        rows += [f"2026-04-0{at + 1},100,,deposit,{board},\n"]
        rows += [f"2026-05-{20 + at},{area * 200 - 100},,payment,{board},\n"]
        if board in SPENT:
            rows.append(f"2026-05-0{at + 1},,{SPENT[board]},materials,{board},\n")
    rows += [f"2026-04-20,,{drum},materials,{';'.join(DRUM)},\n"] if drum else []
    return MONEY + "".join(reversed(rows) if shuffled else rows)


def opened(path, **sheets):
    sheets = {"boards": boards_csv(money=False), "hours": HOURS, **sheets}
    return Shop.open(folder(path, PRICED, **sheets), today=dt.date(2026, 6, 30))


@pytest.fixture(scope="module")
def by_columns(tmp_path_factory):
    return opened(tmp_path_factory.mktemp("columns") / "shop", boards=boards_csv())


@pytest.fixture(scope="module")
def by_rows(tmp_path_factory):
    return opened(tmp_path_factory.mktemp("rows") / "shop", money=rows_of_money())


@pytest.fixture(scope="module")
def with_drum(tmp_path_factory):
    return opened(tmp_path_factory.mktemp("drum") / "shop", money=rows_of_money("240.07"))


def test_rows_and_columns_that_say_the_same_answer_the_same(by_columns, by_rows):
    assert by_columns.problems == by_rows.problems == ()
    one, other = by_columns.fit(), by_rows.fit()
    assert one.materials.boards == other.materials.boards == 3
    assert one.materials.log_cost.tolist() == other.materials.log_cost.tolist()
    one, other = by_columns.quarter("2026-Q2", jobs=1), by_rows.quarter("2026-Q2", jobs=1)
    assert other.pay == one.pay
    assert other.money == one.money
    assert (other.owing, other.owed) == (one.owing, one.owed)
    # by columns without a day of payment what was paid for ready boards is on no day, and the 300 of the one on the bench
    assert one.till.undated == 200 * (1 + 2 + 3 + 1 + 4) - 500
    assert other.till.all == one.till.all + one.till.undated + 300
    sums = by_rows.money()
    assert sums.in_all.came_in == 200 * sum(AREAS.values())
    assert sums.in_all.out == 159.75


def test_a_drum_is_split_by_what_its_boards_are_expected_to_use(by_rows, with_drum):
    fit, known = with_drum.fit(), with_drum.snapshot().known[0].by_id
    uses = expected_uses(fit, with_drum.log, with_drum.settings)
    assert uses == expected_uses(
        by_rows.fit(), by_rows.log, by_rows.settings
    )  # those who shared it teach none of it
    whole = sum(Fraction(uses[board]) for board in DRUM)
    parts = {board: Fraction("240.07") * Fraction(uses[board]) / whole for board in DRUM}
    by_board = {one.name: one.out for one in with_drum.money().by_board}
    assert sum(Fraction(str(by_board[board])) for board in DRUM) == Fraction("240.07")
    assert all(abs(Fraction(str(by_board[board])) - parts[board]) < Fraction(1, 100) for board in DRUM)
    assert by_board["26-004"] < by_board["26-006"] < by_board["26-005"]
    # what is learned, looked back on and summed is one and the same figure
    learned = {board.board: board.materials for board in fit.boards}
    assert {b: known[b].materials for b in AREAS} == learned
    assert learned["26-005"] == by_board["26-005"]
    assert learned["26-006"] is None  # on the bench: it may take more
    assert fit.materials.boards == 5
    made = {one.board: one.materials for one in with_drum.quarter("2026-Q2", jobs=1).made}
    assert {board: learned[board] for board in made} == made


def test_as_of_an_earlier_day_only_what_was_paid_by_then_counts(with_drum):
    early = Shop.open(with_drum.folder, today=with_drum.log.by_id["26-002"].ready)
    then = early.snapshot().known[0].by_id
    assert (then["26-001"].paid, then["26-005"].paid) == (200.0, 100.0)
    assert (then["26-001"].materials, then["26-004"].materials) == (30.1, None)


def test_the_papers_say_what_rows_say(tmp_path):
    money = (
        f"{MONEY}2026-04-01,100,,deposit,26-001,\n2026-05-01,60.55,,payment,26-001,\n"
        "2026-05-02,300,,payment,26-002,\n2026-05-03,120,,deposit,26-006,\n2026-05-04,200.25,,,26-006,\n"
        "2026-05-24,500,,payment,26-004,\n2026-05-25,,250.50,refund,26-004,\n"
    )
    notes = "board,date,note,photo\n26-006,2026-05-02,3 of white to 1 of blue,mix.jpg\n26-001,2026-05-01,two laps,\n"
    shop = opened(tmp_path / "shop", money=money, notes=notes)
    owner = paper_of(shop, "owner", "26-006").text()
    assert "Deposit: 120 mk, before work begins." in owner
    assert "320.25 mk." in owner
    assert "The rest, 79.75 mk, when you collect the board." in owner
    handed = paper_of(shop, "handover", "26-001").text()
    assert "160.55 mk." in handed
    assert "Owed: 39.45 mk." in handed
    too_much = paper_of(shop, "handover", "26-002").text()
    assert "All is paid." not in too_much  # 300 of 400
    back = paper_of(shop, "handover", "26-004").text()
    assert "Given back: 250.5 mk." in back
    assert "All is paid. 49.5 mk go back to you." in back  # 500 of 200 paid: 300 too much, 250.50 given back
    assert paper_of(shop, "range", "26-006").data["noted"] == [
        "Sat 2 May 2026: 3 of white to 1 of blue (mix.jpg)"
    ]
    assert paper_of(shop, "range", "26-006").pdf().startswith(b"%PDF")


def run(shop, *words, exit_code=0):
    result = CliRunner().invoke(cli, [*words, "--shop", str(shop.folder), "--today", "2026-06-30"])
    assert result.exit_code == exit_code, result.output
    return result.output


def test_the_commands(tmp_path):
    notes = (
        "board,date,note,photo\n26-002,2026-05-09,Pâle BLUE on the deck,\n26-001,2026-05-02,3 of white to 1 of blue,mix.jpg\n"
        ",2026-05-03,new drum of resin,\n"
    )
    money = f"{MONEY}2026-04-01,100,,deposit,26-001,\n2026-04-30,,450.5,rent,,\n2026-05-02,,10.03,resin,26-001,\n2026-05-02,,20.07,resin,26-002,\n"
    shop = opened(tmp_path / "shop", money=money, notes=notes)
    found = json.loads(run(shop, "notes", "BLUE", "--json"))["notes"]
    assert [(note["board"], note["date"]) for note in found] == [
        ("26-001", "2026-05-02"),
        ("26-002", "2026-05-09"),
    ]
    assert found[0] == {
        "board": "26-001",
        "date": "2026-05-02",
        "note": "3 of white to 1 of blue",
        "photo": "mix.jpg",
    }
    assert (
        run(shop, "notes", "pale", "blue").split("\n")[-2] == "Sat 9 May 2026  board 2  Pâle BLUE on the deck"
    )
    assert "3 of white" in run(shop, "notes", "--board", "board 1")
    assert run(shop, "notes", "blue", "drum") == "No such note is written down.\n"
    april = json.loads(run(shop, "money", "--from", "2026-04-01", "--to", "2026-04-30", "--json"))
    assert (april["in"], april["out"], april["left"]) == (100, 450.5, -350.5)
    assert april["no_board"] == {"in": 0, "out": 450.5, "left": -450.5}
    assert run(shop, "money").splitlines()[1:] == [
        "In 100 mk, out 480.60 mk: 380.60 mk more went out than came in.",
        "",
        "By what for",
        "          in     out",
        "Deposit  100       ·",
        "Rent       ·  450.50",
        "Resin      ·   30.10",
        "",
        "By board",
        "              in     out",
        "board 1      100   10.03",
        "board 2        ·   20.07",
        "on no board    ·  450.50",
    ]
    assert "before" in run(shop, "money", "--from", "2026-05-01", "--to", "2026-04-30", exit_code=2)
    assert "No money" in run(shop, "money", "--to", "2026-03-30")

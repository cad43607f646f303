"""What made the boards of a quarter go over, and what was charged for what they hid."""

from dataclasses import replace
from types import SimpleNamespace

import pytest
from making.quarters import TODAY, known_of, write

from estimator.decide.overruns.overruns import Overruns
from estimator.decide.overruns.parts import BoardOverrun
from estimator.decide.quarter.review import Known, _went_over, review_of
from estimator.log.history import as_it_stood
from estimator.words.dates import Quarter
from estimator.words.records import Board, Log


def over(board, hid):
    """A board that was guessed at 30 hours, looked like 32, hid so many and took 40."""
    return BoardOverrun(board, "", "", "", 30.0, 40.0, 32.0, 32.0 + hid, 32.0 + hid)


@pytest.fixture(scope="module")
def went(tmp_path_factory):
    log, settings = known_of(write(tmp_path_factory.mktemp("over") / "shop"))
    charged = {"26-002": 1700.0, "26-005": None, "26-006": 1300.0}
    boards = (replace(b, price_charged=charged.get(b.board, b.price_charged)) for b in log.boards)
    log = replace(log, boards=tuple(boards))
    quarter = Quarter.read("2026-Q3", TODAY)
    overruns = Overruns(
        (
            over("26-002", 3.0),
            over("26-003", 5.0),
            over("26-005", 0.3),
            over("26-006", 0.0),
            over("25-002", 9.0),
        )
    )
    then = as_it_stood(log, settings, quarter.end)
    return review_of(quarter, Known(log, then, settings, settings.rules, overruns=overruns)).went_over


def test_charged_is_what_boards_that_hid_work_brought_above_the_quote(went):
    """150 more on one and 100 less on the other; the 100 more of one that hid nothing, and no price, do not count."""
    assert went.charged == pytest.approx(150.0 - 100.0)


def test_only_the_quarter_s_own_boards_are_in_it(went):
    assert [one.board for one in went.boards] == ["26-002", "26-003", "26-005", "26-006"]
    assert went.left_out == 2
    assert went.paid_by == {"owner": 1}


def test_a_board_hid_work_from_half_an_hour_on_and_the_most_stands_first(went):
    assert all(one.hours["hidden"] >= 0.5 for one in went.hid)
    assert [one.board for one in went.hid] == ["26-003", "26-002"]


def test_of_a_board_without_a_quote_or_without_a_price_nothing_was_charged_above_the_quote():
    boards = (
        Board("a", price_charged=900.0),
        Board("b", price_quoted=900.0),
        Board("c", price_quoted=900.0, price_charged=970.0),
    )
    overruns = Overruns(tuple(over(name, 3.0) for name in "abc"))
    known = Known(Log(boards), Log(boards), SimpleNamespace(), (), overruns=overruns)
    made = [SimpleNamespace(board=name) for name in "abcd"]

    assert (_went_over(known, made).charged, _went_over(known, made).left_out) == (70.0, 1)
    assert _went_over(replace(known, overruns=None), made) is None

"""A board as it would be with something else on it has no date: the one worked out is of the board as it is."""

from making.working_day import opened


def test_days_worked_out_of_a_board_are_not_those_of_the_board_as_it_would_be(tmp_path):
    shop = opened("files", tmp_path).shop
    now = shop.snapshot()
    assert now.range("26-001").ready is None
    promise = now.bench().promise_of("26-001")
    assert promise is not None

    assert now.range("26-001").ready == promise.said_ready
    assert now.range("26-001", change={"infills": 2}).ready is None

"""A board out of a diary: fetched and paid where that is long ago."""

import datetime as dt

import pytest
from making.diaries import TODAY, begun

from estimator.log.steps.setting_up import DiaryBoard
from estimator.log.store import Sent


@pytest.mark.parametrize(
    ("ready", "gone"),
    [("2026-09-07", False), ("2026-07-16", False), ("2026-07-15", True), ("2025-05-03", True)],
)
def test_what_was_ready_two_months_ago_is_fetched_and_paid(tmp_path, ready, gone):
    """Looked at on 14 September: sixty days back is 16 July."""
    shop = begun(tmp_path / "new").shop
    cells = {"called": "red", "kind": "minor", "ready": ready, "total_hours": "6", "price_charged": "140"}
    shop.do(DiaryBoard(cells), Sent(dt.datetime.combine(TODAY, dt.time(9)), "one"))
    [board] = shop.log.boards

    assert board.ready.isoformat() == ready
    assert (board.collected, board.paid) == ((board.ready, 140.0) if gone else (None, None))

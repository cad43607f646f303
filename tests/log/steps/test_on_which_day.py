"""On which day something happened, and whether anything can still happen to a board."""

import datetime as dt

import pytest
from making.plans import MAY

from estimator.log.steps.money_line import MoneyWritten
from estimator.log.steps.standing import Noted
from estimator.log.steps.writing import digest_of, in_the_shop, on_day
from estimator.words.errors import UnreadableError, UsageError
from estimator.words.records import Board
from estimator.words.settings.schema import Settings, Workshop


@pytest.mark.parametrize(
    ("typed", "day"), [("", MAY), (" ", MAY), ("2026-05-04", MAY), ("2026-05-03", MAY - dt.timedelta(1))]
)
def test_it_was_today_or_before(typed, day):
    assert on_day(typed, MAY, Settings()) == day


def test_it_is_never_tomorrow_and_is_read_as_the_shop_writes_days():
    with pytest.raises(UsageError, match="Tue 5 May 2026 is still to come") as caught:
        on_day("2026-05-05", MAY, Settings())
    assert caught.value.field == "on"
    with pytest.raises(UnreadableError) as caught:
        on_day("soon", MAY, Settings())
    assert caught.value.field == "on"
    assert on_day("03/04/2026", MAY, Settings(workshop=Workshop(dates="day-month"))) == dt.date(2026, 4, 3)
    assert on_day("03/04/2026", MAY, Settings(workshop=Workshop(dates="month-day"))) == dt.date(2026, 3, 4)


@pytest.mark.parametrize(
    ("board", "why"),
    [
        (Board("a", state="asked"), None),
        (Board("a", state="stopped"), None),
        (Board("a", state="finished", ready=MAY), None),
        (Board("a", state="finished", ready=MAY, collected=MAY), "a was fetched on Mon 4 May 2026"),
        (Board("a", state="declined"), "You said no to a, and nothing more is done on it"),
        (Board("a", state="withdrawn"), "The owner of a dropped it, and nothing more is done on it"),
    ],
)
def test_nothing_happens_to_a_board_that_is_gone(board, why):
    if why is None:
        assert in_the_shop(board) is board
        return
    with pytest.raises(UsageError, match=why) as caught:
        in_the_shop(board)
    assert caught.value.cure == "If that is not so, take that back first."


def test_a_form_is_known_again_by_all_that_it_says():
    same = digest_of(Noted("a", "x"))
    assert digest_of(Noted("a", "x")) == same
    others = (
        Noted("a", "y"),
        Noted("b", "x"),
        Noted("a", "x", ("p",)),
        Noted("a", "x", on="2026-05-04"),
        MoneyWritten("in", "5"),
    )
    assert len({same, *map(digest_of, others)}) == 6

"""Ready dates against what came, counted by hand."""

import datetime as dt

from estimator.record.dates import date_counts, promises_kept
from estimator.record.replay import Forecast
from estimator.words.records import FINISHED, WAITING, Board, Log, Told

FIRST = dt.date(2026, 1, 5)
DAYS = tuple(float(n) for n in range(1, 40))  # 10 % at day 4, 90 % at day 36
LATER = FIRST + dt.timedelta(days=70)


def after(days):
    return FIRST + dt.timedelta(days=days)


def board(name, days):
    ready = None if days is None else after(days)
    return Board(name, accepted=FIRST, ready=ready, state=WAITING if days is None else FINISHED)


def counted(*days, today=LATER):
    boards = tuple(board(f"b{i}", n) for i, n in enumerate(days))
    return date_counts(Log(boards), {b.board: Forecast(b.board, DAYS) for b in boards}, today)


def eight_in_ten(*days, today=LATER):
    one = next(count for count in counted(*days, today=today) if count.odds == 0.8)
    return one.below, one.held, one.above, one.pending


def test_both_ends_belong_to_the_range():
    assert eight_in_ten(3, 4, 20, 36, 37) == (1, 3, 1, 0)


def test_of_ten_one_may_be_in_hand():
    assert eight_in_ten(*[20] * 9, None, today=after(36)) == (0, 9, 0, 1)
    assert eight_in_ten(*[20] * 9, None, today=after(37)) == (0, 9, 1, 0)


def test_a_quarter_not_nine_tenths_ready_counts_only_what_is_late():
    assert counted(*[20] * 8, None, today=after(30)) == ()
    assert eight_in_ten(*[20] * 8, None, today=after(60)) == (0, 0, 1, 0)


def test_no_forecast_counts_nothing():
    assert date_counts(Log((board("a", 5),)), {}, LATER) == ()
    assert date_counts(Log((board("a", 5),)), {"a": Forecast("a", (), why="so")}, LATER) == ()


def kept(days, *told, today=LATER, row=None):
    one = board("a", days)
    if row is not None:
        one = Board("a", accepted=FIRST, ready=one.ready, state=one.state, promised_last=after(row))
    rows = tuple(Told("a", after(on), last=after(last), because=why) for on, last, why in told)
    count = promises_kept(Log((one,), told=rows), today)
    return None if count is None else (count.held, count.above, count.pending)


def test_a_promise_is_kept_by_the_first_telling():
    assert kept(20, (0, 20, "quote")) == (1, 0, 0)
    assert kept(21, (0, 20, "quote"), (10, 30, "late")) == (0, 1, 0)


def test_what_the_owner_asked_for_later_starts_anew():
    assert kept(21, (0, 20, "quote"), (10, 30, "asked later")) == (1, 0, 0)


def test_the_row_of_a_board_stands_in():
    assert kept(20, row=20) == (1, 0, 0)
    assert kept(21, row=20) == (0, 1, 0)
    assert kept(21, (0, 25, "quote"), row=20) == (1, 0, 0)


def test_a_promise_in_hand_is_open_until_its_date_has_passed():
    assert kept(None, (0, 20, "quote"), today=after(20)) == (0, 0, 1)
    assert kept(None, (0, 20, "quote"), today=after(21)) == (0, 1, 0)


def test_nothing_told_is_nothing_kept():
    assert kept(20) is None

"""What a look back leaves in its cache."""

from estimator.record.backtest.replay import Forecast
from estimator.record.backtest.run import MOST_KEPT, newest_of_each


def test_looking_back_from_an_earlier_day_leaves_the_forecasts_of_later_boards():
    late = {f"late {n}": Forecast(f"26-{n:03d}", (float(n),)) for n in range(40)}
    early = {f"early {n}": Forecast(f"26-{n:03d}", (float(n),)) for n in range(3)}
    assert newest_of_each({**late, **early}) == {**late, **early}


def test_of_one_board_the_newest_stay():
    days = {f"day {n}": Forecast("26-001", (float(n),)) for n in range(10)}
    other = {"other": Forecast("26-002", (1.0,))}
    kept = newest_of_each({**days, **other})
    assert list(kept) == [*list(days)[-MOST_KEPT:], "other"]

import datetime as dt
import math

import numpy as np
import pytest
from making.overruns import LAST_DAY, RATES, log, settings

from estimator.decide.overruns import expected_by_scope as usual
from estimator.decide.overruns.expected_by_scope import before_later, usual_then
from estimator.model.matrices import layout_of
from estimator.model.stage_sums import Numbers
from estimator.words.records import FINISHED, Board, Log

SHOP = settings()
LAYOUT = layout_of(SHOP)
SURE = 1e-9


def numbers(drift=0.0, noise=0.3):
    """The rates that the made workshop has, one draw."""
    n = len(SHOP.stages)
    return Numbers(
        log_rate=np.log([[RATES[part]] for part in LAYOUT.parts]),
        effect=np.full((len(LAYOUT.conditions), 1), 0.25),
        loading=np.full((n, 1), 0.1),
        noise=np.full((n, 1), noise),
        drift=np.array([[drift], [2 * drift], [0.0], [0.0]]),
        lean=np.zeros(1),
        scale=np.ones(1),
    )


def plan(**work):
    cells = [
        ("strip", {"once": 1.0, "area": 2.0}, {"brittle": 1.0}),
        ("infill", {"pieces": 3.0}, {}),
        ("spray", {"colours": 1.0}, {}),
    ]
    return {"looked": cells[:1], "before": cells[:2], "in all": cells}


@pytest.mark.parametrize("years", [0.0, -2.0])
def test_the_median_of_the_sum_at_the_board_s_own_date(years):
    """Worked out plainly (L. F. Fenton 1960): log A - v/2 + the stages' drifts, weighted by their means, times years."""
    drift, noise = -0.08, 0.3
    found = usual._hours(LAYOUT, {"a": plan()}, {"a": years}, numbers(drift, noise))["a"]
    medians = {"strip": (1 + 3 * 2) * math.exp(0.25), "infill": 4.5, "spray": 12.0}
    of = {"strip": drift, "infill": 2 * drift, "spray": 0.0}
    for names, hours in (
        (["strip"], found.looked),
        (["strip", "infill"], found.before),
        (list(medians), found.in_all),
    ):
        mean = {name: medians[name] * math.exp(noise**2 / 2) for name in names}
        total = sum(mean.values())
        v = math.log(1 + sum(a**2 for a in mean.values()) * math.expm1(noise**2) / total**2)
        drifting = sum(mean[name] * of[name] for name in names) / total
        assert math.fsum(hours.values()) == pytest.approx(
            math.exp(math.log(total) - v / 2 + drifting * years), rel=SURE
        )
        then = {name: medians[name] * math.exp(of[name] * years) for name in names}
        for name in names:
            assert hours[name] / math.fsum(hours.values()) == pytest.approx(
                then[name] / sum(then.values()), rel=SURE
            )


def test_hours_of_a_board_are_as_old_as_its_hours():
    as_of = LAST_DAY
    whole = log(6)
    (has,) = (one for name, one in _worked(whole).items() if name == "b02")
    middle = LAST_DAY - dt.timedelta(days=40)
    assert usual._years(whole.by_id["b02"], has, as_of) == pytest.approx(-40 / 365.25)
    told = Board("t", state=FINISHED, started=middle, ready=LAST_DAY)
    assert usual._years(told, (), as_of) == pytest.approx(-20 / 365.25)
    assert usual._years(Board("t", state=FINISHED), (), as_of) == 0.0
    assert usual._years(told, (), None) == 0.0


def _worked(whole):
    from estimator.log.stage_hours import stage_hours

    return stage_hours(whole.entries, whole.by_id, SHOP.stages)


def test_what_was_asked_for_since_comes_off_with_the_area_that_follows_from_it():
    board = Board(
        "a", assessed={"sides": 1.0, "area": 1.2}, found={"sides": 2.0, "area": 2.4, "pieces": 1.0},
        later={"sides": 1.0, "pieces": 3.0},
    )  # fmt: skip
    assert before_later(board, SHOP) == {"sides": 1.0, "area": 1.2, "pieces": 0.0}


def test_many_boards_go_in_parcels(monkeypatch):
    plans, years = {name: plan() for name in "abcde"}, dict.fromkeys("abcde", 0.0)
    whole = usual._hours(LAYOUT, plans, years, numbers())
    monkeypatch.setattr(usual, "AT_ONCE", 2)
    assert usual._hours(LAYOUT, plans, years, numbers()) == whole


def test_the_same_seed_says_the_same():
    whole = log(6)
    assert usual_then(whole, SHOP, whole.boards, seed=3) == usual_then(whole, SHOP, whole.boards, seed=3)
    assert usual_then(Log(), SHOP, []) == {}


def test_where_the_rough_sum_has_no_hours_the_board_keeps_its_own():
    """Leaving a board out is told by a ratio of two approximations, and of nothing there is none."""
    doubt = np.zeros((3, 1))

    def hours(strip, spray):
        return usual.ExpectedHours(*[{"strip": strip, "spray": spray}] * 3, doubt)

    whole = hours(4.0, 12.0)
    assert usual._times(whole, hours(0.0, 0.0), hours(0.0, 0.0)).in_all == whole.in_all
    half = usual._times(whole, hours(0.0, 6.0), hours(0.0, 12.0)).in_all
    assert half["strip"] / half["spray"] == pytest.approx(4 / 6)
    assert math.fsum(half.values()) == pytest.approx(8.0)
    plain = usual._times(whole, hours(2.0, 6.0), hours(4.0, 12.0)).in_all
    assert plain == pytest.approx({"strip": 2.0, "spray": 6.0})

"""How near a job is told with boards more: foretold, and as it comes out when those boards are really written."""

import datetime as dt
from dataclasses import replace

import numpy as np
import pytest
from making.diaries import TODAY, begun, boxes
from studies.study_more_boards import MAKINGS, first_of

from estimator.counter.diary_rows import made_whole
from estimator.forecast.views import drawn_board
from estimator.log.notebook.diary import DiaryReader
from estimator.log.steps.setting_up import DiaryBoard
from estimator.log.store import Sent
from estimator.model.fit import fit, fit_quickly, known_board
from estimator.record import more_boards
from estimator.record.more_boards import DRAWS, FEWEST, half_width, how_near, usual_job
from estimator.working_day import as_written

SHOPS = 4


@pytest.fixture(scope="module")
def shop(tmp_path_factory):
    """Thirty boards of a diary; of small repairs a small part was sanded."""
    shop = begun(tmp_path_factory.mktemp("more") / "new").shop
    reader = DiaryReader(shop.settings, TODAY)
    for n, text in enumerate(boxes()):
        box = reader.read(text, year=2025)
        first = made_whole(box, shop.settings, TODAY, {})
        answers = {doubt.key: "0.3" for doubt in first.doubts}
        whole = made_whole(box, shop.settings, TODAY, answers)
        assert not whole.doubts
        shop.do(DiaryBoard(whole.cells), Sent(dt.datetime.combine(TODAY, dt.time(9)), f"box {n}"))
    return shop


def near(shop, many, seed=0):
    log = as_written(shop.snapshot(TODAY)).log
    return how_near(replace(log, boards=log.boards[:many]), shop.settings, shop.settings.rules, seed=seed)


def test_too_few_boards_are_counted_and_no_more(shop):
    assert near(shop, FEWEST - 1).within is None
    assert near(shop, FEWEST - 1).boards == FEWEST - 1


def test_the_sort_that_is_spoken_of_is_the_largest_with_some_boards(shop):
    assert near(shop, 30).kind == "major"


def test_boards_that_teach_nothing_are_counted_apart(shop):
    log = as_written(shop.snapshot(TODAY)).log
    bare = replace(log.boards[0], found={}, assessed={})
    seen = how_near(replace(log, boards=(bare, *log.boards[1:6])), shop.settings, shop.settings.rules)
    assert (seen.boards, seen.untaught) == (5, 1)


def test_the_same_log_and_seed_say_the_same(shop):
    assert near(shop, 8) == near(shop, 8)


def of_one_truth(shop, log, known, truth):
    """The same boards with the hours that they would have if one draw of the rates were the truth."""
    boards = []
    for n, board in enumerate(log.boards):
        seen = replace(known_board(board), booked=())
        _, drawn, _ = drawn_board(known, seen, "finished", shop.settings, seed=100 * truth + n)
        boards.append(replace(board, total_hours=round(float(drawn.total[truth]), 2)))
    return replace(log, boards=tuple(boards))


def test_what_is_foretold_comes_out_on_average(shop):
    """Ten boards of made-up shops, whose rates the lent rules allow; then the twenty more are really written."""
    log = as_written(shop.snapshot(TODAY)).log
    known = fit_quickly(replace(log, boards=()), shop.settings, rules=shop.settings.rules).fit
    foretold, came = [], []
    for truth in range(SHOPS):
        told = of_one_truth(shop, log, known, truth)
        ten = replace(told, boards=told.boards[:10])
        foretold.append(how_near(ten, shop.settings, shop.settings.rules).then)
        came.append(how_near(told, shop.settings, shop.settings.rules).within)
    assert np.mean(foretold) == pytest.approx(np.mean(came), rel=0.35)  # four shops are few


def test_more_boards_tell_nearer_than_few(shop):
    few, many = near(shop, 6), near(shop, 30)
    assert many.within < 0.9 * few.within or few.kind != many.kind
    assert np.isfinite(many.then)
    assert 0.6 * many.within < many.then < 1.15 * many.within


def test_a_log_of_many_rows_is_told_as_near_as_a_range_of_it(monkeypatch):
    """Forty boards with hours by stage are more rows than the quick way of learning draws by chains."""
    diary = MAKINGS["as believed"](60002)
    log, rules = first_of(diary.log, 40), diary.settings.rules
    monkeypatch.setattr(more_boards, "TIMES", 1)
    seen = how_near(log, diary.settings, rules)
    learned = fit(log, diary.settings, rules=rules, n_draws=DRAWS)
    quick = fit_quickly(log, diary.settings, rules=rules).fit
    _, job = usual_job(learned, log.boards, diary.settings, 0)
    within, otherwise = (half_width(one, job, diary.settings, 0) for one in (learned, quick))
    assert seen.within == pytest.approx(within)
    assert otherwise != pytest.approx(within, rel=0.01)  # else this test tells nothing

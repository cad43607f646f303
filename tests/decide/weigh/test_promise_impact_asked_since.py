"""What an owner asks for since: money and dates beside what a hand works out, on the same draws."""

import datetime as dt
from dataclasses import replace

import numpy as np
import pytest
from making.fits import SETTINGS, made_fit

from estimator.bench.calendar import capacity_of
from estimator.bench.jobs import BENCH, in_order, with_more_first
from estimator.bench.outlook import Hand, Outlook
from estimator.bench.promises import Dates
from estimator.bench.waits import Waits
from estimator.decide.weigh.promise_impact import Added, _job_with, added, dates_with, wishes_add
from estimator.forecast.scope_change import asked_since, draw_more
from estimator.model.saved_fit import KnownBoard, Materials
from estimator.words.errors import NoAnswerError
from estimator.words.records import ASKED, ON_BENCH, WAITING, Board, Entry, Log
from estimator.words.settings.schema import Bench, Workshop

MONDAY = dt.date(2026, 10, 5)
JUDGED = {"area": 1.0, "pieces": 0.8, "colours": 1.0, "brittle": 0.0, "masking": 0.0}  # 17.7 hours
EVERY_DAY = Bench(places=1, most_hours_a_day_on_one_board=6.0, hours_by_weekday=(6.0,) * 7)
SHOP = replace(  # nothing is hidden, so no owner is asked
    SETTINGS,
    bench=EVERY_DAY,
    workshop=Workshop(target_pay=40.0),
    drivers={name: replace(driver, known="asked") for name, driver in SETTINGS.drivers.items()},
    modifiers={name: replace(modifier, known="asked") for name, modifier in SETTINGS.modifiers.items()},
)
COSTS = Materials(
    ("once", "area", "pieces", "colours"), np.log([30.0, 50.0, 8.0, 40.0]), np.zeros((4, 4)), 0.0, 0.0, (1.6, 0.3), 31
)  # fmt: skip
EXACT = replace(made_fit(loading=0.0, noise=1e-9), materials=COSTS)
BOARD = KnownBoard("1", called="red fish", state=WAITING, assessed=JUDGED)
NEW = KnownBoard("9", called="new egg", state=ASKED, assessed=JUDGED)


def said(board=BOARD, fit=EXACT, settings=SHOP, odds=0.8, **more):
    then, grown = asked_since(board, more, settings)
    return added(fit, board, then, grown, settings, odds=odds)


def outlook(*boards, fit=EXACT, entries=(), told=(2, 9), n=60, shop=SHOP):
    rows = tuple(
        Board(b.board, b.called, state=b.state, accepted=MONDAY - dt.timedelta(20 - i), assessed=b.assessed, later=b.later,
              started=MONDAY - dt.timedelta(3) if b.state == ON_BENCH else None,
              promised_last=MONDAY + dt.timedelta(told[i]))
        for i, b in enumerate(boards)
    )  # fmt: skip
    fit = replace(fit, boards=(*boards, NEW))
    log = Log(boards=(*rows, Board("9", "new egg")), entries=entries)
    hand = Hand(log, shop, fit, Waits.fitted(log, shop, fit, seed=0), MONDAY, 0, n)
    return Outlook.of(hand, capacity_of(log, shop.bench, MONDAY, seed=0))


def dates(here, board=BOARD, **more):
    then, _ = asked_since(board, more, SHOP)
    return dates_with(here, board, then, MONDAY)


def day(n):
    """The day after so many whole days at the bench: the last of them."""
    return MONDAY + dt.timedelta(n - 1)


# ---- hours and money


def test_hours_materials_and_price_are_what_a_hand_adds_up():
    told = said(colours=2, area=0.5)

    assert told.hours.as_dict() == pytest.approx({"low": 17.5, "likely": 17.5, "high": 17.5})
    assert told.in_all.likely == pytest.approx(17.7 + 17.5)
    assert (told.materials.low, told.materials.high) == pytest.approx((105.0, 105.0))
    assert told.price.for_target == pytest.approx(40 * 17.5 + 105)
    assert (told.price.odds, told.price.target, told.materials.lent) == (0.8, 40.0, False)
    assert told.what == {"colours": 2.0, "area": 0.5}


def test_materials_that_are_written_already_are_for_what_was_to_do_before():
    told = said(replace(BOARD, materials=240.0), colours=1)

    assert told.materials.likely == pytest.approx(40.0)


def test_nothing_more_costs_nothing():
    told = said(colours=0)

    assert not any([*told.hours.as_dict().values(), told.materials.high, told.price.for_target])


def test_the_price_of_what_is_added_goes_with_its_own_draws_and_not_with_two_ranges():
    unsure = replace(made_fit(n=200, unsure=0.1, loading=0.3, noise=0.4), materials=COSTS)
    told = said(fit=unsure, colours=1)
    wider = said(fit=unsure, colours=1, odds=0.95)

    # two ranges apart would differ by tens of hours either way
    assert 0 < told.hours.low < told.hours.likely < told.hours.high < 25
    assert wider.hours.low < told.hours.low
    assert wider.price.for_target > told.price.for_target > 40 * told.hours.likely


def test_where_no_board_tells_of_materials_they_go_by_the_hours():
    told = said(fit=replace(EXACT, materials=None), colours=1)
    free = said(
        fit=replace(EXACT, materials=None),
        settings=replace(SHOP, workshop=Workshop(target_pay=0.0)),
        colours=1,
    )

    assert told.materials.lent
    assert told.materials.low / (told.materials.low + 320) == pytest.approx(0.08, abs=0.003)
    assert (free.materials.high, free.price.for_target) == (0.0, 0.0)


# ---- dates


def test_two_days_of_work_make_the_board_two_days_later():
    ready, moved = dates(outlook(BOARD), area=4)  # 12 hours

    assert ready.before == Dates(day(3), day(3), day(3))
    assert ready.after == Dates(day(5), day(5), day(5))
    assert ready.later.as_dict() == {"low": 2.0, "likely": 2.0, "high": 2.0}
    assert ready.say_yes_by is None
    assert moved == ()


def test_a_board_behind_it_moves_with_it_and_its_promise_breaks():
    other = replace(BOARD, board="2", called="club board")
    _, moved = dates(outlook(BOARD, other, told=(2, 6)), area=4)

    (one,) = moved
    assert (one.board, one.name, one.before.high, one.after.high) == ("2", "club board", day(6), day(8))
    assert (one.kept_before, one.told) == (1.0, day(7))
    assert one.kept_after < 0.1  # in a few draws it is taken out of turn
    assert one.as_dict()["chance_kept_after"] == one.kept_after


def test_nothing_more_moves_nobody():
    other = replace(BOARD, board="2")
    ready, moved = dates(outlook(BOARD, other), area=0)

    assert ready.before == ready.after
    assert ready.later.as_dict() == {"low": 0.0, "likely": 0.0, "high": 0.0}
    assert moved == ()


def test_more_of_a_finished_stage_is_worked_before_what_comes_next():
    begun = replace(BOARD, state=ON_BENCH, found=JUDGED, booked=(("strip", 4.0, True),))
    entries = (Entry("1", MONDAY - dt.timedelta(3), "strip", 4.0, done=True),)
    here = outlook(begun, entries=entries)
    ready, _ = dates(here, begun, area=4)

    assert here.jobs[0].place == BENCH
    assert (said(begun, area=4).finished, said(begun, colours=1).finished) == (("strip",), ())
    assert ready.before.likely == day(3)  # 13.7 hours
    assert ready.after.likely == day(5)  # 25.7 hours


def test_more_of_a_board_that_is_all_done_is_worked_too():
    stages = [("strip", 4.0), ("infill", 1.5), ("spray", 12.0), ("check", 0.5)]
    done = replace(BOARD, state=ON_BENCH, found=JUDGED, booked=tuple((s, h, True) for s, h in stages))
    entries = tuple(Entry("1", MONDAY - dt.timedelta(3), s, h, done=True) for s, h in stages)
    ready, _ = dates(outlook(done, entries=entries), done, colours=1)

    assert ready.after.likely == day(2)  # 8 hours


def test_a_board_that_is_not_taken_on_waits_behind_all_others_until_its_owner_says_yes():
    ready, moved = dates(outlook(BOARD), NEW, area=4)

    assert ready.say_yes_by == MONDAY + dt.timedelta(7)
    assert ready.before.likely == day(7 + 3)
    assert ready.after.likely == day(7 + 5)
    assert moved == ()


def test_the_board_as_it_stands_has_the_days_of_the_bench():
    unsure = replace(made_fit(n=50, unsure=0.1, chances={"stain": (1.0, 9.0)}), materials=COSTS)
    other = replace(BOARD, board="2")
    hiding = replace(SHOP, drivers=SETTINGS.drivers, modifiers=SETTINGS.modifiers)  # then owners are asked
    here = outlook(BOARD, other, fit=unsure, n=300, shop=hiding)
    ready, moved = dates(here, colours=1)

    assert ready.before == here.dates(here.days.ready[0])
    assert [one.before for one in moved] == [here.dates(here.days.ready[1])]
    assert ready.later.low >= 0
    kept, _ = asked_since(BOARD, {"colours": 1}, SHOP)
    after = outlook(kept, other, fit=unsure, n=300, shop=hiding)
    assert ready.after == after.dates(after.days.ready[0])


def test_a_board_of_which_no_date_can_be_given_is_refused():
    endless = replace(BOARD, assessed={})
    with pytest.raises(NoAnswerError):
        dates(outlook(endless), endless, colours=1)


def test_a_board_in_hand_that_is_left_out_is_not_taken_for_one_to_come():
    here = replace(outlook(BOARD), boards=(), jobs=(), left_out={"1": "red fish can never be finished"})
    with pytest.raises(NoAnswerError, match="never be finished"):
        dates(here, colours=1)


def test_what_comes_first_is_waited_for_by_all_that_has_hours():
    job = outlook(BOARD).jobs[0]
    more = with_more_first(job, "strip again", np.full(job.n_draws, 2.0))

    assert more.stages == ("strip again", *job.stages)
    assert more.hours.sum(axis=0) == pytest.approx(job.hours.sum(axis=0) + 2.0)
    assert more.after[1:, 0].tolist() == job.hours.any(axis=1).tolist()
    assert np.array_equal(more.after[1:, 1:], job.after)
    assert not more.after[0].any()
    in_order(more)


def test_as_json():
    ready, moved = dates(outlook(BOARD, replace(BOARD, board="2")), area=4)
    told = replace(said(area=4), ready=ready, promises=moved).as_dict()

    assert list(told) == [
        "what",
        "hours",
        "hours_in_all",
        "materials",
        "price",
        "ready",
        "promises",
        "finished_stages",
        "reopened",
        "stages_by_rules",
        "kept",
    ]
    assert list(told["ready"]) == ["before", "after", "days_later", "say_yes_by"]
    assert [promise["board"] for promise in told["promises"]] == ["2"]
    assert Added.as_dict(said())["ready"] is None


# ---- what a wish adds to a board on which it is written already


def test_a_wish_adds_the_days_between_with_it_and_without_it_on_the_same_draws():
    """Two colours more, 12 hours at 6 a day: two days; the board with them stands in hand."""
    more, _ = asked_since(BOARD, {"colours": 2}, SHOP)
    before, _ = dates(outlook(BOARD), colours=2)
    hours, days = wishes_add(outlook(more), more, MONDAY)

    assert days == before.later.likely > 0
    assert hours == pytest.approx(said(colours=2).hours.likely, abs=0.01)
    assert wishes_add(outlook(BOARD), BOARD, MONDAY) == (None, None)


def test_a_wish_of_a_board_behind_another_adds_no_more_than_its_own_days():
    other = replace(BOARD, board="2", called="green log")
    more, _ = asked_since(BOARD, {"colours": 2}, SHOP)

    assert wishes_add(outlook(other, more), more, MONDAY) == wishes_add(outlook(more), more, MONDAY)


def test_stages_told_by_rules_are_named_where_they_have_hours_on_top():
    fit = replace(EXACT, by_rules=("strip", "spray"))

    assert said(fit=fit, colours=1).by_rules == ("spray",)
    assert said(fit=fit, area=1, colours=1).by_rules == ("strip", "spray")
    assert said(fit=fit, pieces=1).by_rules == ()


def test_what_is_no_longer_wanted_adds_no_days_and_no_hours():
    less, _ = asked_since(replace(BOARD, assessed={**JUDGED, "colours": 3.0}), {"colours": -2}, SHOP)

    assert wishes_add(outlook(less), less, MONDAY) == (0.0, 0.0)


def test_a_wish_adds_even_chances_of_hours_and_not_their_mean():
    unsure = replace(made_fit(n=50, unsure=0.3, loading=0.4, noise=0.6), materials=COSTS)
    more, _ = asked_since(BOARD, {"colours": 2}, SHOP)
    drawn = draw_more(unsure, more.as_first_asked, more, SHOP, seed=0, n_draws=60).hours
    hours, _ = wishes_add(outlook(more, fit=unsure), more, MONDAY)

    assert hours == pytest.approx(np.median(drawn), abs=0.006)
    assert abs(np.mean(drawn) - np.median(drawn)) > 0.5


# ---- what is done again, and boards behind others

AGAIN = replace(
    SHOP,
    stages={
        **SHOP.stages,
        "infill": replace(SHOP.stages["infill"], wait_days=(3.0, 3.0)),
        "spray": replace(SHOP.stages["spray"], reopens={"strip": 1.0, "infill": 0.5}),
    },
)
STRIPPED = replace(BOARD, state=ON_BENCH, found=JUDGED, booked=(("strip", 4.0, True), ("infill", 1.5, True)))
WORKED = tuple(
    Entry("1", MONDAY - dt.timedelta(3), stage, hours, done=True) for stage, hours, _ in STRIPPED.booked
)


def test_what_is_done_again_is_said_with_its_share_its_hours_and_its_materials():
    """All of 4 of stripping, half of the 1.2 of letting in; a colour at 40, 1 m2 at 50, .4 pieces at 8."""
    told = said(STRIPPED, settings=AGAIN, colours=1)

    assert [(one.stage, one.share) for one in told.reopened] == [("strip", 1.0), ("infill", 0.5)]
    assert [one.hours.likely for one in told.reopened] == pytest.approx([4.0, 0.6])
    assert told.finished == ()
    assert told.materials.likely == pytest.approx(40 + 50 + 0.5 * 0.8 * 8)
    unsure = replace(made_fit(n=50, loading=0.3, noise=0.4), materials=COSTS)
    one, wider = (said(STRIPPED, unsure, AGAIN, odds, colours=1).reopened[0].hours for odds in (0.8, 0.95))
    assert wider.low < one.low < one.high < wider.high


def test_what_is_done_again_is_done_in_order_of_work_and_stands_again_as_it_did():
    here = outlook(STRIPPED, entries=WORKED, shop=AGAIN)
    then, _ = asked_since(STRIPPED, {"colours": 1}, AGAIN)
    job = _job_with(here, here.boards[0], STRIPPED, then, 0)

    assert job.stages[:2] == ("strip", "infill")
    assert job.hours[:2].mean(axis=1) == pytest.approx([4.0, 0.6])
    assert not job.waits[0].any()
    assert 2.0 < np.median(job.waits[1]) < 4.0


def test_the_second_board_in_line_moves_itself_and_not_the_one_before_it():
    other = replace(BOARD, board="2", called="club board")
    ready, moved = dates(outlook(other, BOARD), area=4)

    assert (ready.before.likely, ready.after.likely) == (day(6), day(8))
    assert all(one.board == "2" and one.before.likely == one.after.likely == day(3) for one in moved)


def test_days_later_are_those_between_which_8_draws_in_10_lie():
    unsure = replace(made_fit(n=50, unsure=0.3, loading=0.4, noise=0.6), materials=COSTS)
    here = outlook(BOARD, fit=unsure, n=300)
    more, _ = asked_since(BOARD, {"colours": 2}, SHOP)
    after = outlook(more, fit=unsure, n=300)
    later = after.days.ready[0] - here.days.ready[0]
    ready, _ = dates_with(here, BOARD, more, MONDAY)
    low, likely, high = np.quantile(later, [0.1, 0.5, 0.9])

    assert ready.later.as_dict() == {"low": low, "likely": likely, "high": high}
    assert low < likely < high < np.quantile(later, 0.95)
    assert wishes_add(after, more, MONDAY)[1] == likely


def test_a_wish_of_a_board_behind_one_that_is_begun_adds_its_own_days():
    """Two colours, 16 hours: behind another board; and where all in all is written as found, with them in it."""
    begun = replace(BOARD, board="2", state=ON_BENCH, found=JUDGED, booked=(("strip", 4.0, True),))
    entries = (Entry("2", MONDAY - dt.timedelta(3), "strip", 4.0, done=True),)
    more, _ = asked_since(BOARD, {"colours": 2}, SHOP)
    plain = outlook(begun, BOARD, entries=entries)
    ready, _ = dates_with(plain, BOARD, more, MONDAY)

    assert wishes_add(outlook(begun, more, entries=entries), more, MONDAY) == (16.0, ready.later.likely)
    found = replace(STRIPPED, found={**JUDGED, "colours": 3.0}, later={"colours": 2.0})
    assert wishes_add(outlook(found, entries=WORKED), found, MONDAY)[0] == 16.0

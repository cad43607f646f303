"""The record that forecasts make: counted, scored and held against others; slowly and by hand."""

import datetime as dt
import math
from dataclasses import replace
from statistics import NormalDist

import numpy as np
import pytest

from estimator.record.backtest.replay import GRID, Forecast
from estimator.record.backtest.track import Then, to_forecast, track_record
from estimator.record.backtest.track_record import CORRECTED, MEDIAN, OWN_GUESS
from estimator.regress.stretch import learn_stretch
from estimator.words.records import ASKED, DECLINED, FINISHED, ON_BENCH, WAITING, Board, Entry, Log, Told
from estimator.words.settings.schema import Settings

NORMAL = NormalDist()
FIRST = dt.date(2023, 1, 2)
TODAY = dt.date(2026, 10, 1)
SPREAD = 0.3


def day(n):
    return FIRST + dt.timedelta(days=n)


def lognormal(middle, spread=SPREAD):
    return tuple(middle * math.exp(spread * NORMAL.inv_cdf(p)) for p in GRID)


def shop(z, *, gap=30, lasts=10, spread=SPREAD, rivals=None, **fields):
    """One board each `gap` days; the j-th took exp(.3 z_j) times the 20 hours that were its middle."""
    boards, entries, forecasts, hours = [], [], {}, {}
    for j, at in enumerate(z):
        name = f"b{j}"
        ready = day(gap * j + lasts)
        boards.append(
            Board(name, quoted=day(gap * j), accepted=day(gap * j), started=day(gap * j), ready=ready,
                  state=FINISHED, **fields)
        )  # fmt: skip
        hours[name] = 20 * math.exp(SPREAD * at)
        entries.append(Entry(name, ready, "strip", hours[name]))
        forecasts[name] = Forecast(name, lognormal(20.0, spread), rivals or {})
    return Log(tuple(boards), tuple(entries)), forecasts, hours


def record(z, today=TODAY, **options):
    log, forecasts, hours = shop(z, **options)
    return track_record(log, Settings(), forecasts, hours, today=today)


def test_boards_are_counted_where_they_landed():
    # 10 and 90 % points lie at z = 1.2816; no board is finished before another is quoted, so nothing is stretched
    seen = record([0.0, -1.2, 1.2, -1.5, 1.5, 1.6, 3.0, 0.5], gap=1, lasts=80)
    count = seen.count(0.8)
    assert (count.below, count.held, count.above, count.of) == (1, 4, 3, 8)
    assert [b.side for b in seen.boards] == [0, 0, 0, -1, 1, 1, 1, 0]
    assert count.band == (4, 8)
    assert count.within
    assert seen.raw == seen.shown
    assert seen.missing == 0


def test_scores_are_those_of_the_closed_forms():
    z = [0.0, -1.2, 1.2, -1.5, 1.8]
    seen = record(z, gap=1, lasts=80)
    low, high = 20 * math.exp(-SPREAD * 1.2815516), 20 * math.exp(SPREAD * 1.2815516)
    took = [20 * math.exp(SPREAD * at) for at in z]
    scores = [high - low + 10 * max(low - y, 0) + 10 * max(y - high, 0) for y in took]
    assert seen.raw.interval_score == pytest.approx(np.mean(scores), rel=1e-5)
    assert seen.raw.bias == pytest.approx(SPREAD * np.mean(z), abs=1e-9)

    def crps(y):  # lognormal: Baran & Lerch (2015), Quarterly Journal of the RMS 141
        omega = math.log(y / 20) / SPREAD
        mean = 20 * math.exp(SPREAD**2 / 2)
        return y * (2 * NORMAL.cdf(omega) - 1) - 2 * mean * (
            NORMAL.cdf(omega - SPREAD) + NORMAL.cdf(SPREAD / math.sqrt(2)) - 1
        )

    assert seen.raw.crps == pytest.approx(np.mean([crps(y) for y in took]), rel=5e-3)


def test_ranges_are_stretched_by_what_was_finished_before_the_quote_and_by_nothing_else():
    z = np.clip(
        1.5 * np.random.default_rng(3).standard_normal(40), -2.8, 2.8
    ).tolist()  # the grid ends at .9975
    seen = record(z)
    log, _, _ = shop(z)
    for j, (board, shown) in enumerate(zip(log.boards, seen.boards, strict=True)):
        before = [z[i] for i, other in enumerate(log.boards) if other.ready < board.quoted]
        assert len(before) == j
        low, high = learn_stretch(before)
        assert shown.low == pytest.approx(20 * math.exp(-SPREAD * low * 1.2815516), rel=1e-3)
        assert shown.high == pytest.approx(20 * math.exp(SPREAD * high * 1.2815516), rel=1e-3)
        assert shown.likely == pytest.approx(20)
    assert seen.stretch == pytest.approx(learn_stretch(z), rel=2e-3)
    assert seen.learned_from == 40
    assert [name for name, *_ in seen.landed] == [b.board for b in log.boards]
    assert seen.landed[-1][2] == pytest.approx(z[-1] / learn_stretch(z[:-1])[z[-1] > 0], abs=0.01)


def test_a_stretch_mends_ranges_that_are_too_narrow():
    z = np.random.default_rng(8).standard_normal(120)
    narrow = record(z.tolist(), spread=SPREAD / 1.5, gap=10)
    assert narrow.raw.held[1].held / 120 < 0.7
    assert narrow.shown.held[1].held > narrow.raw.held[1].held + 6
    assert narrow.shown.interval_score < 0.96 * narrow.raw.interval_score


def test_boards_of_a_quarter_that_is_not_nine_tenths_finished_do_not_flatter():
    log, forecasts, hours = shop([0.0] * 20, gap=4)
    last = log.boards[-1]
    slow = [replace(last, board=f"s{i}", quoted=last.quoted, ready=None, state=ON_BENCH) for i in range(2)]
    log = replace(
        log, boards=(*log.boards, *slow), entries=(*log.entries, Entry("s0", day(90), "strip", 60.0))
    )
    forecasts |= {b.board: Forecast(b.board, lognormal(20.0)) for b in slow}
    seen = track_record(log, Settings(), forecasts, hours, today=TODAY)
    # 2023's first quarter holds boards 0 to 19 and both slow ones: 20 of 22 finished, so it counts
    assert seen.count(0.8).of == 21
    assert seen.count(0.8).above == 1  # the one past its range already
    assert seen.count(0.8).pending == 1
    third = replace(slow[1], board="s2")
    log = replace(log, boards=(*log.boards, third))
    forecasts["s2"] = Forecast("s2", lognormal(20.0))
    seen = track_record(log, Settings(), forecasts, hours, today=TODAY)
    assert [b.board for b in seen.judged] == ["s0"]
    assert len(seen.left_out["quoted in a quarter with boards still in hand"]) == 20
    assert len(seen.left_out["still in hand"]) == 2
    assert seen.missing == 8
    assert seen.learned_from == 20  # they teach all the same


def test_what_cannot_be_judged_is_counted_and_named():
    log, forecasts, hours = shop([0.0] * 9)
    boards = (
        *log.boards,
        Board("u", called="no day", state=FINISHED, ready=day(5)),
        Board("v", called="no hours", quoted=day(3), state=FINISHED, ready=day(9)),
        Board("w", called="no words", quoted=day(3), state=FINISHED, ready=day(9)),
        Board("x", quoted=day(3), state=ASKED),
        Board("y", quoted=day(3), state=DECLINED),
    )
    forecasts |= {"v": Forecast("v", lognormal(9.0)), "w": Forecast("w", (), why="nothing tells")}
    seen = track_record(replace(log, boards=boards), Settings(), forecasts, hours, today=TODAY)
    assert seen.left_out == {
        "no quote date": ("no day",),
        "hours are missing": ("no hours",),
        "nothing told of it yet on its quote date": ("no words",),
    }
    assert seen.count(0.8).of == 9


def test_sorts_and_wetness_are_counted_apart():
    log, forecasts, hours = shop([0.0, 2.0, -2.0, 0.1])
    wet = [(1, "major"), (3, "major"), (0, "minor"), (2, "minor")]
    boards = tuple(
        replace(b, kind=kind, assessed={"wetness": float(grade)})
        for b, (grade, kind) in zip(log.boards, wet, strict=True)
    )
    seen = track_record(replace(log, boards=boards), Settings(), forecasts, hours, today=TODAY)
    told = {name: (c.below, c.held, c.above) for name, c in seen.groups.items()}
    assert told == {"kind major": (0, 1, 1), "kind minor": (1, 1, 0), "wet": (0, 1, 1), "dry": (1, 1, 0)}


def test_who_was_nearer_is_told_by_hours_off_on_the_same_boards():
    z = np.random.default_rng(5).standard_normal(30).tolist()
    seen = record(z, guess_low=12.0, guess_high=12.0, rivals={MEDIAN: lognormal(20.0, 0.9)})
    rivals = {r.name: r for r in seen.rivals}
    assert set(rivals) == {OWN_GUESS, MEDIAN}
    took = [20 * math.exp(SPREAD * at) for at in z]
    assert rivals[OWN_GUESS].crps == pytest.approx(np.mean([abs(y - 12.0) for y in took]), rel=1e-6)
    assert rivals[OWN_GUESS].interval_score is None
    assert rivals[OWN_GUESS].held == ()
    wide = rivals[MEDIAN]
    assert wide.ours == pytest.approx(seen.shown.crps)
    assert wide.gain == pytest.approx(wide.crps - wide.ours)
    assert wide.gain_low < wide.gain < wide.gain_high
    # the middles are the same, so that both are as many hours off, though the wide range scores worse
    assert wide.off == wide.our_off == pytest.approx(np.mean([abs(y - 20.0) for y in took]), rel=1e-3)
    assert (wide.closer, wide.nearer > 15) == (0, True)
    assert rivals[OWN_GUESS].off == pytest.approx(rivals[OWN_GUESS].crps)
    assert wide.chance > 0.99
    assert wide.held[1].held >= seen.count(0.8).held
    assert wide.our_interval_score == pytest.approx(seen.shown.interval_score)


def test_a_rival_that_says_the_same_is_neither_nearer_nor_further():
    log, forecasts, hours = shop([0.3, -0.2, 0.9, -1.1], gap=1, lasts=80, rivals={CORRECTED: lognormal(20.0)})
    (same,) = track_record(log, Settings(), forecasts, hours, today=TODAY).rivals
    assert (same.gain, same.nearer) == (0.0, 0)


def test_guesses_remembered_afterwards_are_no_rival():
    seen = record([0.1] * 12, guess_low=20.0, guess_high=20.0, from_memory=True)
    assert seen.rivals == ()
    assert seen.boards[0].guess is None


def test_copied_guesses_are_no_rival_and_are_noticed():
    log, forecasts, hours = shop([0.3, -0.2, 0.9, -1.1, 0.4, 0.0])
    boards = tuple(replace(b, guess_low=hours[b.board], guess_high=hours[b.board]) for b in log.boards)
    seen = track_record(replace(log, boards=boards), Settings(), forecasts, hours, today=TODAY)
    assert seen.calibration.suspicious
    assert seen.rivals == ()


def test_what_was_told_is_judged_as_it_was_told_first():
    log, forecasts, hours = shop([0.0] * 4)
    told = (
        Told("b0", day(0), 15.0, 25.0, odds=0.8),
        Told("b0", day(5), 30.0, 90.0, odds=0.8, because="late"),  # a second telling washes nothing
        Told("b1", day(30), 5.0, 10.0),
        Told(
            "b1", day(31), 15.0, 25.0, because="asked later"
        ),  # nothing is known of what it adds, so nothing is excused
        Told("b2", day(60), 5.0, 10.0, odds=0.9),
        Told("b3", day(90), price=900.0),
    )
    seen = track_record(replace(log, told=told, struck=told[:3]), Settings(), forecasts, hours, today=TODAY)
    assert [(c.odds, c.held, c.above, c.of) for c in seen.told] == [(0.8, 1, 1, 2), (0.9, 0, 1, 1)]
    assert seen.told_struck_out == 3
    excused = tuple(replace(t, adds_hours=15.0) if t.because == "asked later" else t for t in told)
    seen = track_record(replace(log, told=excused), Settings(), forecasts, hours, today=TODAY)
    assert [(c.odds, c.held, c.above, c.of) for c in seen.told] == [(0.8, 2, 0, 2), (0.9, 0, 1, 1)]


def test_a_board_in_hand_past_what_was_told_has_missed_already():
    log, forecasts, hours = shop([0.0] * 9)
    boards = (*log.boards, *(Board(n, quoted=day(300), started=day(300), state=ON_BENCH) for n in ("p", "q")))
    told = (Told("p", day(300), 15.0, 25.0), Told("q", day(300), 15.0, 25.0))
    log = replace(log, boards=boards, told=told, entries=(*log.entries, Entry("p", day(310), "strip", 26.0)))
    forecasts |= {n: Forecast(n, lognormal(20.0)) for n in ("p", "q")}
    (count,) = track_record(log, Settings(), forecasts, hours, today=TODAY).told
    assert (count.above, count.of, count.pending) == (1, 1, 1)


def test_only_boards_taken_on_and_quoted_are_forecast():
    boards = (
        Board("a", quoted=day(0), state=FINISHED),
        Board("b", quoted=day(0), state=WAITING),
        Board("c", quoted=day(0), state=ASKED),
        Board("d", state=FINISHED),
    )
    assert [b.board for b in to_forecast(Log(boards))] == ["a", "b"]


def test_json_keeps_the_names_that_others_call():
    told = record([0.1] * 9, guess_low=20.0, guess_high=20.0, rivals={MEDIAN: lognormal(20.0)}).as_dict()
    assert told["boards"] == 9
    assert [h["odds"] for h in told["held"]] == [0.5, 0.8, 0.95]
    assert {"odds", "held", "of", "band"} <= told["held"][0].keys()
    assert {"held", "interval_score", "crps", "bias"} <= told["raw"].keys()
    assert {"interval_score", "crps", "held"} <= told["against"]["own guess"].keys()
    assert told["against"]["own guess"]["interval_score"] is None
    assert set(told["stretch"]) == {"low", "high"}
    assert isinstance(told["dates"], list)


@pytest.mark.parametrize("n", [0, 1, 7])
def test_too_few_boards_say_how_many_more_would_do(n):
    seen = record([0.0] * n)
    assert seen.missing == 8 - n
    assert (seen.learned_from, seen.shown.crps is None) == (n, n == 0)
    # each landed in the middle, and "no stretch" counts for 30 boards: a factor's square is 30 / (30 + n)
    assert seen.stretch == pytest.approx(((30 / (30 + n)) ** 0.5,) * 2, rel=1e-6)


@pytest.mark.parametrize(
    ("hours", "so_far", "side"),
    [
        (13.5, 0.0, -1),
        (13.7, 0.0, 0),
        (29.3, 0.0, 0),
        (29.5, 0.0, 1),
        (None, 13.5, None),
        (None, 29.3, None),
        (None, 29.5, 1),
    ],
)
def test_a_board_in_hand_is_on_a_side_once_it_is_past_the_end(hours, so_far, side):
    """20 hours, 8 in 10 within 13.6 and 29.4."""
    points = np.array(lognormal(20.0))
    then = Then(Board("a"), points, points, hours, so_far, None, {})

    assert then.range(0.8) == pytest.approx(
        (20 * math.exp(-0.3 * 1.28155), 20 * math.exp(0.3 * 1.28155)), rel=1e-4
    )
    assert then.side(0.8) == side


def test_two_boards_make_a_rival_and_one_does_not():
    assert [len(record([0.1] * n, rivals={MEDIAN: lognormal(24.0)}).rivals) for n in (1, 2)] == [0, 1]


@pytest.mark.parametrize(("lasts", "moved"), [(9, True), (10, False)])
def test_what_was_finished_on_the_evening_before_the_quote_moves_the_range(lasts, moved):
    _, second = record([2.5, 0.0], gap=10, lasts=lasts).boards
    factor = learn_stretch([2.5])[1] if moved else 1.0

    assert second.high == pytest.approx(20 * math.exp(SPREAD * factor * 1.2815516), rel=1e-3)
    assert learn_stretch([2.5])[1] > 1.02


def test_what_came_after_the_day_of_the_record_teaches_nothing_and_is_not_booked_yet():
    """Finished on days 10, 40 and 70; on day 50 two are. One in hand has five hours by then, and 26 later."""
    log, forecasts, hours = shop([2.0, -1.0, 1.5])
    seen = track_record(log, Settings(), forecasts, hours, today=day(50))
    assert seen.stretch == pytest.approx(learn_stretch([2.0, -1.0]), rel=2e-3)

    log, forecasts, hours = shop([0.0] * 9, gap=4)
    more = (Entry("p", day(70), "strip", 5.0), Entry("p", day(90), "strip", 26.0))
    slow = Board("p", quoted=day(3), started=day(3), state=ON_BENCH)
    log = replace(log, boards=(*log.boards, slow), entries=(*log.entries, *more))
    forecasts["p"] = Forecast("p", lognormal(20.0))
    by_80 = track_record(log, Settings(), forecasts, hours, today=day(80))
    assert [one.so_far for one in by_80.boards if one.board == "p"] == [5.0]
    assert (by_80.count(0.8).of, by_80.count(0.8).pending) == (9, 1)  # nine of ten are nine tenths
    assert track_record(log, Settings(), forecasts, hours, today=day(90)).count(0.8).above == 1


def test_a_board_is_shown_with_what_cost_its_time_how_it_looked_and_when_it_was_finished():
    """Grade 2 is wet; boards teach in the order in which they were finished."""
    log, forecasts, hours = shop([0.0, 0.5], cost_time="wet foam", assessed={"wetness": 2.0})
    first, second = log.boards
    log = replace(log, boards=(replace(first, ready=day(60)), second))
    seen = track_record(log, Settings(), forecasts, hours, today=TODAY)

    assert [(b.cost_time, b.wet, b.finished) for b in seen.boards] == [
        ("wet foam", True, day(60).isoformat()), ("wet foam", True, day(40).isoformat())
    ]  # fmt: skip
    assert seen.groups["wet"].of == 2
    assert [name for name, *_ in seen.landed] == ["b1", "b0"]

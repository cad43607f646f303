"""From settings and a log to what was learned: odd logs, what is counted, what is kept of the boards."""

import datetime as dt
import math
from dataclasses import replace

import numpy as np
import pytest
from making import small_shop
from scipy.stats import truncnorm
from studies.shops import simulate
from studies.study_ranges import one, work_of

from estimator.forecast.answers import answer
from estimator.forecast.draws import Work, draw_hours
from estimator.log.stage_hours import stage_hours
from estimator.model.fit import Learned, fit, fit_quickly, known_board
from estimator.model.matrices import coarseness, table_of
from estimator.model.posterior import Corrected, Posterior
from estimator.model.quantities import whole_hours
from estimator.model.saved_fit import KnownBoard
from estimator.words.errors import NoAnswerError
from estimator.words.records import FINISHED, ON_BENCH, SHOP, WITHDRAWN, Board, Entry, Log, Rule
from estimator.words.settings.schema import Driver, Modifier, Settings, Stage

DAY = dt.date(2026, 5, 4)
SETTINGS = Settings(
    drivers={"area": Driver("area"), "colours": Driver("colours")},
    stages={"strip": Stage("strip", drivers=("once", "area")), "spray": Stage("spray", drivers=("colours",))},
    rules=(
        Rule("set-up", stage="strip", per="once", low=0.5, high=2.0, odds=0.8),
        Rule("metre", stage="strip", per="area", low=2.0, high=5.0, odds=0.8),
        Rule("colour", stage="spray", per="colours", low=4.0, high=12.0, odds=0.8),
    ),
)


def shop(*boards):
    """Boards as (area, colours, hours on strip, hours on spray), all finished; hours of None are no row."""
    return Log(
        tuple(
            Board(f"b{i}", state=FINISHED, assessed={"area": float(a), "colours": float(c)})
            for i, (a, c, *_) in enumerate(boards)
        ),
        tuple(
            Entry(f"b{i}", DAY + dt.timedelta(days=i), stage, hours)
            for i, (_, _, *took) in enumerate(boards)
            for stage, hours in zip(("strip", "spray"), took, strict=True)
            if hours is not None
        ),
    )


def told(fitted, values=None, settings=SETTINGS, **fields):
    board = KnownBoard("new", assessed={"area": 2.0, "colours": 1.0} if values is None else values, **fields)
    return answer(fitted, board, settings)


def sound(said):
    assert 0 < said.low <= said.likely <= said.high < math.inf
    assert math.fsum(r.hours for r in said.reasons) == pytest.approx(said.likely, rel=1e-9)
    return said


# ---- seeds


def test_the_same_log_and_seed_give_the_same_fit_to_the_byte():
    log = small_shop.log()
    first, again, other = (fit(log, small_shop.SETTINGS, seed=s, n_draws=64).to_json() for s in (1, 1, 2))

    assert first == again
    assert first != other


def test_another_seed_hardly_moves_a_range():
    log = small_shop.log()
    ranges = [told(fit(log, small_shop.SETTINGS, seed=s), small_shop.log().boards[0].assessed, small_shop.SETTINGS)
              for s in range(3)]  # fmt: skip

    for name in ("low", "likely", "high"):
        points = [getattr(r, name) for r in ranges]
        assert max(points) / min(points) < 1.05, name


# ---- odd logs


def test_no_log_rests_on_rules_and_on_their_shared_error():
    """At no boards every draw is of the prior: log rate = centre + lean + scale × sd × standard normal."""
    fitted = fit(Log(), SETTINGS)
    sd = math.sqrt(0.2**2 + (SETTINGS.rules[0].spread * math.exp(math.log(1.5) + 0.4**2)) ** 2)

    assert (fitted.as_of, fitted.boards) == ("", ())
    assert np.exp(np.median(fitted.log_rate, axis=0)) == pytest.approx(
        [1.0, math.sqrt(10), math.sqrt(48)], rel=0.08
    )
    assert fitted.log_rate[:, 0].std() == pytest.approx(sd, rel=0.12)
    assert np.median(fitted.lean) == pytest.approx(0.0, abs=0.03)
    assert np.median(fitted.scale) == pytest.approx(1.5, rel=0.08)
    assert sound(told(fitted)).boards == 0


def test_a_factor_without_a_log_is_as_its_rule_says():
    """A normal kept above nothing, mixed over the rules' shared error, in closed form by quadrature."""
    rule = Rule("f", stage="strip", modifier="brittle", low=1.0, high=1.8, odds=0.8)
    settings = replace(
        SETTINGS, modifiers={"brittle": Modifier("brittle", stages=("strip",))}, rules=(*SETTINGS.rules, rule)
    )
    fitted = fit(Log(), settings, n_draws=4096)
    rng = np.random.default_rng(1)
    middle = rule.centre + 0.2 * rng.standard_normal(200_000)
    sd = rule.omega * np.exp(math.log(1.5) + 0.4 * rng.standard_normal(200_000))
    exact = truncnorm.rvs(-middle / sd, np.inf, middle, sd, random_state=rng)
    at = [0.1, 0.25, 0.5, 0.75, 0.9]

    assert np.quantile(fitted.effect[:, 0], at) == pytest.approx(np.quantile(exact, at), abs=0.05)


def test_one_board_moves_the_rates_towards_it_and_no_further():
    before, after = (told(fit(log, SETTINGS)) for log in (Log(), shop((2, 1, 20, 30))))

    assert before.likely < sound(after).likely < 50


def test_boards_that_are_all_the_same_leave_some_doubt():
    said = sound(told(fit(shop(*[(2, 1, 8, 7)] * 15), SETTINGS)))

    assert said.low < 15 < said.high
    assert said.high / said.low > 1.1


def test_quantities_that_always_go_together_are_told_together():
    """Colours as many as square metres: what each takes is not known, what both take is."""
    log = shop(*[(a, a, 4.0 * a, None) for a in (1, 2, 3, 1, 2, 3, 2, 1, 3, 2)])
    settings = replace(SETTINGS, stages={"strip": Stage("strip", drivers=("area", "colours"))}, rules=())
    fitted = fit(log, settings)

    assert sound(told(fitted, {"area": 2.0, "colours": 2.0}, settings)).likely == pytest.approx(8.0, rel=0.1)
    apart = np.exp(fitted.log_rate)
    assert apart.sum(axis=1).std() < 0.5 * apart.std(axis=0).min()


def test_where_no_quantity_is_known_only_the_rules_tell():
    log = shop((2, 1, 20, 30), (1, 1, 20, 30))
    blind = replace(log, boards=tuple(replace(b, assessed={}) for b in log.boards))
    fitted = fit(blind, SETTINGS)

    assert fitted.left_out == {"quantity not known": 4}
    assert fitted.boards[0].taught == ()
    assert sound(told(fitted)).likely == pytest.approx(told(fit(Log(), SETTINGS)).likely, rel=0.03)


def test_where_nothing_is_finished_the_rules_tell_and_hours_so_far_only_lengthen():
    log = shop((2, 1, 20, None), (1, 1, 3, None))
    open_ = replace(log, boards=tuple(replace(b, state=ON_BENCH) for b in log.boards))

    by_rules = told(fit(Log(), SETTINGS)).likely
    assert sound(told(fit(open_, SETTINGS))).likely > by_rules
    little = replace(open_, entries=tuple(replace(e, hours=0.01) for e in open_.entries))
    likely = [told(fit(little, SETTINGS, seed=seed)).likely for seed in range(4)]
    assert np.mean(likely) == pytest.approx(by_rules, rel=0.03)


@pytest.mark.parametrize("hours", [0.01, 5000.0])
def test_hours_out_of_all_proportion_are_borne(hours):
    log = shop((2, 1, 8, 7), (1, 2, 5, 15), (3, 1, hours, hours), (2, 2, 7, 14))
    said = sound(told(fit(log, SETTINGS)))

    assert 2 < said.likely < 500


@pytest.mark.parametrize("factor", [1e-3, 1e3])
def test_a_shop_of_other_size_without_rules_is_the_same_shop(factor):
    boards = [(2, 1, 8, 7), (1, 2, 5, 15), (3, 1, 11, 6), (2, 2, 7, 14), (1, 1, 4, 9)]
    settings = replace(SETTINGS, rules=())
    # steps finer than any that entries are written in
    plain, grown = (
        told(
            fit(shop(*[(a, c, s * f + 1e-5 * f, p * f + 1e-5 * f) for a, c, s, p in boards]), settings),
            settings=settings,
        )
        for f in (1.0, factor)
    )

    assert (grown.low, grown.likely, grown.high) == pytest.approx(
        tuple(factor * x for x in (plain.low, plain.likely, plain.high)), rel=0.12
    )


def test_forty_boards_of_one_stage_and_a_stage_that_nobody_has_done():
    log = shop(*[(1 + i % 4, 0, 3.0 * (1 + i % 4) * (1.1 if i % 2 else 0.9), None) for i in range(40)])
    no_rules = replace(SETTINGS, rules=())
    fitted = fit(log, no_rules)

    assert fitted.untold == (("spray", "colours"),)
    assert sound(told(fitted, {"area": 2.0, "colours": 0.0})).likely == pytest.approx(6.0, rel=0.1)
    with pytest.raises(NoAnswerError, match="Spray"):
        told(fitted)
    assert sound(told(fit(log, SETTINGS))).likely > 9  # a rule tells of it


def test_many_rows_are_told_by_the_normal_approximation_and_alike():
    """Just above and just below the number of rows at which chains stop."""
    few, many = (simulate(2, n, 1, most_boards=900) for n in (600, 900))
    totals = []
    for shop_ in (few, many):
        fitted = fit(shop_.log, shop_.settings)
        totals.append(draw_hours(fitted, work_of(shop_, 0), np.random.default_rng(1)).total)

    assert np.quantile(totals[0], [0.1, 0.5, 0.9]) == pytest.approx(
        np.quantile(totals[1], [0.1, 0.5, 0.9]), rel=0.06
    )


def test_totals_alone_are_never_told_by_the_normal_approximation(monkeypatch):
    """However many: what each stage takes of them stays skew, and ranges came out half as high again."""
    totals = simulate(4, 60, 1, totals_only=True)
    plain = fit(totals.log, totals.settings, n_draws=64)
    monkeypatch.setattr("estimator.model.fit.MANY_ROWS", 20)

    assert fit(totals.log, totals.settings, n_draws=64).to_json() == plain.to_json()


# ---- what is counted


def test_rules_that_became_terms_are_counted_with_their_stage():
    fitted = fit(small_shop.log(), small_shop.SETTINGS, n_draws=16)

    assert set(fitted.rules) == {(r.name, r.source != "own", r.stage) for r in small_shop.RULES}


def test_rules_given_stand_in_for_the_settings_own():
    fitted = fit(Log(), SETTINGS, rules=SETTINGS.rules[:1], n_draws=16)

    assert [name for name, *_ in fitted.rules] == ["set-up"]
    assert fitted.untold == (("strip", "area"), ("spray", "colours"))


MAYBE = replace(SETTINGS, stages={**SETTINGS.stages, "stain": Stage("stain", happens="sometimes")})


@pytest.mark.parametrize(
    ("fields", "hours", "more"),
    [
        ({}, 3.0, (1, 0)),  # booked
        ({}, None, (0, 1)),  # other stages were booked, this one was not
        ({"found": {"stain": 1.0}}, None, (1, 0)),
        ({"found": {"stain": 0.0}}, None, (0, 1)),
        ({"state": ON_BENCH, "found": {"stain": 1.0}}, None, (0, 0)),  # not finished
    ],
)
def test_how_often_a_sometimes_stage_happens_is_one_in_ten_worth_five_boards_then_the_log(
    fields, hours, more
):
    log = shop((2, 1, 8, 7))
    board = replace(log.boards[0], **fields)
    extra = () if hours is None else (Entry("b0", DAY, "stain", hours),)
    fitted = fit(Log((board,), (*log.entries, *extra)), MAYBE, n_draws=16)

    assert fitted.chances == {"stain": (0.5 + more[0], 4.5 + more[1])}


def test_a_rule_of_chance_stands_in_for_one_in_ten():
    rule = Rule("c", about="chance", chance="stain", share=0.3, worth=20)

    assert fit(Log(), replace(MAYBE, rules=(*SETTINGS.rules, rule)), n_draws=16).chances == {
        "stain": (6.0, 14.0)
    }


def test_a_total_alone_says_nothing_of_a_sometimes_stage():
    log = Log((Board("t", state=FINISHED, assessed={"area": 2.0, "colours": 0.0}, total_hours=9.0),))

    assert fit(log, MAYBE, n_draws=16).chances == {"stain": (0.5, 4.5)}


def test_unplanned_hours_count_against_the_boards_that_had_none_planned():
    log = shop((2, 0, 8, 3.0), (2, 0, 8, None), (2, 0, 8, None), (2, 1, 8, 7))

    assert fit(log, SETTINGS, n_draws=16).chances == {"spray": (1.5, 6.5)}


# ---- boards in hand


def test_a_board_in_hand_weighs_once_on_what_is_told_of_it():
    """Fit with its hours so far, and on the pace alone after; or fit without them, and on all after: the same.

    Its spray has run to twice what the one past board says, so that counting it twice would show.
    """
    past = shop((2, 1, 7, 8))
    board = Board("now", state=ON_BENCH, assessed={"area": 2.0, "colours": 1.0})
    strip, spray = (
        Entry("now", DAY + dt.timedelta(days=n), s, h) for n, s, h in ((1, "strip", 8.0), (1, "spray", 14.0))
    )
    whole = Log((*past.boards, board), (*past.entries, replace(strip, done=True), spray))
    without = replace(whole, entries=whole.entries[:-1])
    stages = {s: np.ones(1, dtype=bool) for s in SETTINGS.stages}
    booked = {"strip": 8.0, "spray": 14.0}

    fits = {
        name: [fit(log, SETTINGS, seed=seed, n_draws=2048) for seed in (1,)]
        for name, log in (("with", whole), ("without", without))
    }

    def left(name, counted):
        work = Work(board.assessed, stages, booked, frozenset({"strip"}), counted=frozenset(counted))
        drawn = [draw_hours(fitted, work, np.random.default_rng(1), 40_960).hours[1] for fitted in fits[name]]
        return np.quantile(np.concatenate(drawn) - booked["spray"], [0.25, 0.5, 0.75])

    once, after, twice = left("with", ["spray"]), left("without", []), left("with", [])
    assert once == pytest.approx(after, rel=0.08)
    assert np.all(twice > 1.25 * once)
    assert fit(whole, SETTINGS, n_draws=16).boards[-1].counted == ("spray",)


def test_a_stage_in_hand_of_unknown_quantity_is_not_counted():
    board = Board("now", state=ON_BENCH, assessed={"area": 2.0})
    entries = (Entry("now", DAY, "strip", 8.0), Entry("now", DAY, "spray", 2.0))

    assert fit(Log((board,), entries), SETTINGS, n_draws=16).boards[0].counted == ("strip",)


# ---- boards as forecasts need them


def test_a_board_is_kept_with_its_hours_and_with_what_it_taught():
    log = shop((2, 1, 8, 7.5), (1, 0, 4, None))
    boards = (
        replace(log.boards[0], called="red", kind="major", length_m=2.8, guess_low=10.0, guess_high=40.0),
        replace(log.boards[1], state=ON_BENCH, guess_low=9.0, guess_high=9.0, from_memory=True),
    )
    first, second = fit(Log(boards, log.entries), SETTINGS, n_draws=16).boards

    assert (first.called, first.kind, first.length_m, first.guess) == ("red", "major", 2.8, 20.0)
    assert (first.hours, first.taught) == (15.5, ("strip", "spray"))
    assert first.booked == (("strip", 8.0, True), ("spray", 7.5, True))
    assert first.coarse == {"strip": coarseness(8.0, 1, 0.5), "spray": coarseness(7.5, 1, 0.5)}
    assert (second.hours, second.taught, second.guess) == (None, (), None)
    assert second.booked == (("strip", 4.0, False),)


def board_hours(board, *hours, not_done=()):
    log = Log((board,), tuple(Entry("b", DAY, s, h) for s, h in hours))
    worked = stage_hours(log.entries, log.by_id, SETTINGS.stages).get("b", ())
    return whole_hours(board, worked, SETTINGS, {("b", s) for s in not_done})


B = Board("b", state=FINISHED, assessed={"area": 2.0, "colours": 1.0})


@pytest.mark.parametrize(
    ("board", "hours", "not_done", "whole"),
    [
        (B, [("strip", 5), ("spray", 9)], [], 14),
        (B, [("strip", 5)], [], None),  # sprayed, but not written down
        (B, [("strip", 5)], ["spray"], 5),  # it says so: not sprayed
        (replace(B, assessed={"area": 2.0, "colours": 0.0}), [("strip", 5)], [], 5),
        (replace(B, assessed={"area": 2.0}), [("strip", 5)], [], 5),  # nobody knows of colours
        (replace(B, total_hours=30.0), [], [], 30),
        (replace(B, total_hours=30.0), [("strip", 5)], [], 30),
        (replace(B, total_hours=3.0), [("strip", 5)], [], 5),
        (B, [], [], None),
        (replace(B, state=ON_BENCH), [("strip", 5), ("spray", 9)], [], None),
        (replace(B, state=WITHDRAWN), [("strip", 5), ("spray", 9)], [], None),
    ],
)
def test_all_hours_of_a_board_are_known_where_it_is_finished_and_nothing_is_missing(
    board, hours, not_done, whole
):
    assert board_hours(board, *hours, not_done=not_done) == whole


def test_a_board_that_is_not_in_the_log_is_seen_the_same_way():
    board = replace(B, found={"area": 3.0}, later={"colours": 1.0}, worked_out=frozenset({"area"}))
    known = known_board(board)

    assert known.turned_out == {"area": 3.0, "colours": 2.0}
    assert (known.later, known.worked_out, known.booked, known.hours) == (
        {"colours": 1.0},
        ("area",),
        (),
        None,
    )


def test_the_day_of_the_fit_is_that_of_the_last_entry_or_the_day_asked_for():
    log = shop((2, 1, 8, 7))
    later = Log(log.boards, (*log.entries, Entry(SHOP, DAY + dt.timedelta(days=3), "strip", 1.0)))

    assert fit(log, SETTINGS, n_draws=16).as_of == DAY.isoformat()
    assert fit(later, SETTINGS, n_draws=16).as_of == (DAY + dt.timedelta(days=3)).isoformat()
    early = DAY - dt.timedelta(days=5)
    assert fit(later, SETTINGS, n_draws=16, as_of=early).as_of == early.isoformat()


# ---- does it learn


def test_a_shop_that_grew_quicker_is_told_as_it_is_now():
    """Hours fell by a third over two years; a fit to all boards alike would stand at about 10 of 8."""
    boards = [(2, 0, 12 * (2 / 3) ** (i / 59), None) for i in range(60)]
    log = shop(*boards)
    slow = replace(
        log,
        entries=tuple(replace(e, date=DAY + dt.timedelta(days=12 * i)) for i, e in enumerate(log.entries)),
    )
    likely = told(fit(slow, SETTINGS), {"area": 2.0, "colours": 0.0}).likely

    assert 7.6 < likely < 8.9


@pytest.mark.parametrize("seed", [11, 12, 13])
@pytest.mark.parametrize(
    "case", [{"n_boards": 25}, {"n_boards": 60, "totals_only": True}], ids=["stages", "totals"]
)
def test_ranges_hold_on_simulated_shops(case, seed):
    """Eight in ten of sixty boards each, within what luck and shared rates allow; not much wider than an oracle's."""
    ours, oracle, below, above = one(case, seed)

    assert 0.6 <= 1 - below - above <= 0.95
    assert max(below, above) <= 0.3
    assert ours <= 1.5 * oracle


def test_the_fit_says_how_its_draws_were_come_by():
    log = shop((2, 1, 8, 7), (1, 2, 5, 15), (3, 1, 11, 6), (2, 2, 7, 14))
    by_chains, by_rules = fit(log, SETTINGS), fit(Log(), SETTINGS)

    assert by_chains.drawn_by == "chains"
    assert 1 <= by_chains.spread < 1.1
    assert by_chains.n_draws > fit(log, SETTINGS, n_draws=64).n_draws == 64
    assert (by_rules.drawn_by, by_rules.spread) == ("normal", 1.0)


def test_a_fit_that_cannot_be_found_names_the_board_that_is_furthest_out_of_line(monkeypatch):
    def nowhere(density, close):
        raise NoAnswerError("no fit: the search ended.", "Mend all problems.")

    monkeypatch.setattr("estimator.model.levels.normal_posterior", nowhere)
    for hours, said in ((4000.0, "4,000"), (0.002, "0.002")):  # too many, or too few
        log = shop((2, 1, 8, 7), (1, 2, 5, 15), (3, 1, hours, 6), (2, 2, 7, 14))
        with pytest.raises(NoAnswerError) as told:
            fit(log, SETTINGS)
        assert told.value.cure.endswith(f"Furthest out of line are {said} h of board {log.boards[2].board}.")


def test_hours_are_kept_whole_only_where_none_are_lost_and_none_are_missing():
    """Of b0 a row of hours could not be read; b1 has its total; spraying of b2 is written as not done."""
    log = shop((2, 1, 8, 7), (2, 1, 8, None), (2, 1, 8, 0.0), (2, 1, 8, None))
    boards = (log.boards[0], replace(log.boards[1], total_hours=20.0), *log.boards[2:])
    log = replace(log, boards=boards, partial=frozenset({("b0", "strip"), ("b1", "strip")}))

    assert [board.hours for board in fit(log, SETTINGS, n_draws=16).boards] == [None, 20.0, 8.0, None]


def test_a_small_log_keeps_twice_as_many_draws():
    assert fit(shop((2, 1, 8, 7)), SETTINGS).n_draws == 2048


# ---- without drawing: what chains are asked for, and what is made of their draws


@pytest.fixture
def chained(monkeypatch):
    """What chains were asked for; the normal approximation is drawn in their place, and they cannot tell how they met."""
    asked = []

    def drawn(density, posterior, n, rng, **how):
        asked.append((n, how["patience"], how["judged"], density.noise.stop))
        return Corrected(posterior.draws(n, rng), math.nan)

    monkeypatch.setattr("estimator.model.fit.drawn", drawn)
    return asked


def test_chains_are_patient_and_judged_by_what_forecasts_are_made_of(chained):
    fitted = fit(shop((2, 1, 8, 7)), SETTINGS, n_draws=16)

    assert chained == [(16, 2, slice(7), 7)]  # three rates, two loadings, two noises
    assert (fitted.drawn_by, fitted.spread) == ("chains", 0.0)


FACTOR = Rule("f", stage="strip", modifier="wet", low=1.1, high=1.5, odds=0.8)
STAGE = Rule("s", stage="strip", low=4.0, high=9.0, odds=0.8, board={"area": 2.0})


@pytest.mark.parametrize(
    ("log", "rules", "by"),
    [
        (Log(), (), "normal"),
        (Log(), (FACTOR,), "chains"),
        (Log(), (STAGE,), "chains"),
        (
            replace(
                shop((2, 1, 8, None)), boards=(replace(shop((2, 1, None, None)).boards[0], state=ON_BENCH),)
            ),
            (),
            "chains",
        ),
    ],
)
@pytest.mark.usefixtures("chained")
def test_rules_on_rates_alone_need_no_chains(log, rules, by):
    """Not so a factor, a rule on a whole stage, and hours of a stage in hand."""
    settings = replace(
        SETTINGS, modifiers={"wet": Modifier("wet", stages=("strip",))}, rules=(*SETTINGS.rules, *rules)
    )
    fitted = fit(log, settings, n_draws=16)

    assert (fitted.drawn_by, fitted.by_rules) == (by, ())


@pytest.mark.usefixtures("chained")
def test_rates_are_those_of_the_weeks_to_come(monkeypatch):
    def rates(level):
        monkeypatch.setattr("estimator.model.likelihood.Density.level_to_come", lambda *_: np.full(16, level))
        return fit(shop((2, 1, 8, 7)), SETTINGS, n_draws=16).log_rate

    assert rates(0.7) == pytest.approx(rates(0.0) + 0.7)


@pytest.mark.usefixtures("chained")
def test_a_total_teaches_its_stages_and_hours_are_as_coarse_as_their_own_step():
    log = shop((2, 1, 8, 7), (2, 1, None, None), (2, 0, 6, None))
    boards = (log.boards[0], replace(log.boards[1], total_hours=20.0), log.boards[2])
    entries = tuple(replace(e, grain=0.25) if e.board == "b2" else e for e in log.entries)
    first, total, fine = fit(Log(boards, entries), SETTINGS, n_draws=16).boards

    assert [one.taught for one in (first, total, fine)] == [
        ("strip", "spray"),
        ("strip", "spray"),
        ("strip",),
    ]
    assert fine.coarse == {"strip": coarseness(6.0, 1, 0.25)}
    assert first.coarse["strip"] == coarseness(8.0, 1, 1.0)


def test_a_search_begins_from_a_fit_of_the_same_rates_and_quarters_alone(monkeypatch):
    """Of one quarter there are as many numbers as of two with one rate fewer; rates by name must be the same ones."""

    class FromThereError(Exception):
        pass

    class AfreshError(Exception):
        pass

    def refuse(error):
        raise error

    log = shop((2, 1, 8, 7))
    layout = table_of(log, SETTINGS).layout
    size = 3 + 3 * 2 + 7 + 1
    monkeypatch.setattr("estimator.model.fit.likeliest_near", lambda *_: refuse(FromThereError))
    monkeypatch.setattr("estimator.model.fit._normal", lambda *_: refuse(AfreshError))
    for of, numbers, begun in (
        (layout, size, FromThereError),
        (layout, size + 1, AfreshError),
        (replace(layout, parts=layout.parts[::-1]), size, AfreshError),
    ):
        near = Learned(None, of, Posterior(np.zeros(numbers), np.eye(numbers), 0.0))
        with pytest.raises(begun):
            fit_quickly(log, SETTINGS, near=near)
    with pytest.raises(AfreshError):
        fit_quickly(log, SETTINGS)

import datetime as dt
import math
from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest

from estimator.demo.workshop import make_shop
from estimator.forecast.ranges import Spread
from estimator.model.fit import fit
from estimator.model.likelihood import Density
from estimator.model.matrices import table_of
from estimator.model.posterior import normal_posterior
from estimator.model.priors import terms_of
from estimator.record.rules.cases import Case
from estimator.record.rules.judging import (
    CaseDraws,
    Whole,
    _judged,
    _quarter,
    _shared,
    _shares,
    amounts,
    amounts_of_days,
    find,
    judge,
    suggested,
    together_of_days,
    without,
    worth_boards,
)
from estimator.record.rules.verdicts import Verdicts
from estimator.words.kept_form import result_from_json, result_to_json
from estimator.words.records import FINISHED, Accepted, Board, Entry, Log, Rule
from estimator.words.settings.schema import Driver, Modifier, Settings, Stage

DAY = dt.date(2026, 3, 2)
RULES = (
    Rule("metre", stage="strip", per="area", low=2.0, high=3.0, odds=0.8),
    Rule("low", stage="sand", low=1.0, high=1.4, odds=0.8),
    Rule("lent", stage="sand", low=1.0, high=1.4, odds=0.8, source="starter"),
    Rule("unseen", stage="infill", per="pieces", low=1.0, high=2.0, odds=0.8),
    Rule("brittle", modifier="brittle", low=1.1, high=1.5, odds=0.8),
    Rule("board", low=5.0, high=20.0, odds=0.8),
    Rule("weeks", about="days", span=("started", "ready"), low=20.0, high=60.0, odds=0.8),
    Rule("hidden", about="chance", chance="hidden work", share=0.3, worth=10.0),
)
SETTINGS = Settings(
    drivers={name: Driver(name) for name in ("area", "pieces")},
    modifiers={"brittle": Modifier("brittle", stages=("strip",))},
    stages={
        "strip": Stage("strip", drivers=("once", "area")),
        "infill": Stage("infill", drivers=("pieces",), after=("strip",)),
        "sand": Stage("sand", drivers=("once",), after=("infill",)),
    },
    rules=RULES,
)


def made_log(boards=24):
    rng = np.random.default_rng(5)
    rows, entries = [], []
    for n in range(boards):
        area, brittle = float(rng.uniform(1, 4)), float(n % 2)
        had = {"area": area, "pieces": 0.0, "brittle": brittle}
        start = DAY + dt.timedelta(days=7 * n)
        rows.append(
            Board(f"b{n}", state=FINISHED, started=start, ready=start + dt.timedelta(days=int(rng.integers(25, 50))),
                  assessed=had, found=had)
        )  # fmt: skip
        strip = (0.5 + 2.5 * area) * 1.3**brittle * np.exp(0.15 * rng.standard_normal())
        sand = 3.0 * np.exp(0.15 * rng.standard_normal())
        entries += [Entry(f"b{n}", start, "strip", float(strip)), Entry(f"b{n}", start, "sand", float(sand))]
    return Log(boards=tuple(rows), entries=tuple(entries))


@pytest.fixture(scope="module")
def judged():
    log = made_log()
    return judge(log, SETTINGS, fit(log, SETTINGS, n_draws=128), jobs=1)


def of(verdicts, name):
    return next(verdict for verdict in verdicts.rules if verdict.name == name)


def test_every_rule_is_judged_in_the_order_of_the_settings(judged):
    assert [verdict.name for verdict in judged.rules] == [rule.name for rule in RULES]
    assert {v.name: v.verdict for v in judged.rules} == {
        "metre": "holds",
        "low": "too low",
        "lent": "not enough boards",
        "unseen": "not enough boards",
        "brittle": "holds",
        "board": "holds",
        "weeks": "holds",
        "hidden": "not enough boards",  # never, on 24 boards of two quarters
    }
    for verdict in judged.rules:
        if verdict.form != "chance":
            assert verdict.inside + verdict.below + verdict.above == verdict.of


def test_a_lent_rule_is_never_accused_but_its_looks_are_told(judged):
    own, lent = of(judged, "low"), of(judged, "lent")

    assert (own.inside, own.above, own.of) == (lent.inside, lent.above, lent.of) == (0, 24, 24)
    assert own.evidence == lent.evidence > 1e6
    assert (lent.lent, lent.looks, own.lent, own.looks) == (True, "low", False, None)


def test_the_log_alone_does_not_know_the_rule(judged):
    log, both = of(judged, "low").log, of(judged, "low").both

    assert log.likely == pytest.approx(3.0, rel=0.1)
    assert log.low < log.likely < log.high
    assert both.likely <= log.likely * 1.02
    assert of(judged, "unseen").log is None
    assert of(judged, "unseen").both.low < 1.5 < of(judged, "unseen").both.high
    assert of(judged, "unseen").would_do == 9
    assert of(judged, "brittle").log.likely == pytest.approx(1.3, rel=0.1)


def test_no_board_no_verdict_but_what_the_rule_says():
    verdicts = judge(Log(), SETTINGS, fit(Log(), SETTINGS, n_draws=64))

    assert {(v.verdict, v.of, v.evidence) for v in verdicts.rules} == {("not enough boards", 0, 1.0)}
    assert all(v.log is None and v.suggested is None for v in verdicts.rules)


def test_the_order_of_the_log_does_not_matter():
    log = made_log(10)
    turned = replace(log, boards=log.boards[::-1], entries=log.entries[::-1])
    one, other = (judge(way, SETTINGS, fit(way, SETTINGS, n_draws=64), jobs=1) for way in (log, turned))

    for a, b in zip(one.rules, other.rules, strict=True):
        assert (a.verdict, a.inside, a.below, a.above) == (b.verdict, b.inside, b.below, b.above)
        assert a.evidence == pytest.approx(b.evidence)


def test_an_accepted_range_is_never_a_prior():
    log = made_log(6)
    kept = tuple(
        replace(r, accepted=Accepted(50.0, 90.0, DAY, 30)) if r.about != "chance" else r for r in RULES
    )
    one, other = (fit(log, replace(SETTINGS, rules=rules), n_draws=32) for rules in (RULES, kept))

    assert one.to_json() == other.to_json()


def test_kept_verdicts_read_back_equal(judged):
    for made in (judged, Verdicts((), None)):
        assert result_from_json(result_to_json(made), Verdicts) == made


@pytest.mark.parametrize("name", ["metre", "low", "brittle", "board"])
def test_a_fit_begun_from_the_whole_ends_where_one_from_scratch_does(name):
    log = made_log(12)
    rule = next(r for r in RULES if r.name == name)
    whole = Whole.of(log, SETTINGS, fit(log, SETTINGS, n_draws=16))
    quick = without(whole, rule, n_draws=4000)

    others = [r for r in RULES if r.name != name]
    table = table_of(log, SETTINGS)
    density = Density(table, terms_of(table, log, SETTINGS, others))
    slow = density.numbers(normal_posterior(density).draws(4000, np.random.default_rng(3)))
    for field in ("log_rate", "effect", "noise", "loading"):
        a, b = getattr(quick, field), getattr(slow, field)
        spread = b.std(axis=1)
        assert np.abs(a.mean(axis=1) - b.mean(axis=1)).max() < 0.1 * spread.max(), field
        assert a.std(axis=1) == pytest.approx(spread, rel=0.15), field


def cases(*amounts):
    return [Case(f"b{n}", amount, 0) for n, amount in enumerate(amounts)]


def test_a_suggested_range_lies_between_the_cases_and_the_fit():
    rule = Rule("r", stage="sand", low=1.0, high=2.0, odds=0.8)
    # of nine cases the type-6 quantiles at .1 and .9 are the least and the most (Hyndman & Fan 1996)
    low, high = suggested(rule, cases(*range(1, 10)), Spread(2.0, 4.0, 6.0))

    assert low == pytest.approx(1.0 ** (9 / 17) * 2.0 ** (8 / 17))
    assert high == pytest.approx(9.0 ** (9 / 17) * 6.0 ** (8 / 17))
    assert suggested(rule, cases(1.0, 2.0), Spread(2.0, 4.0, 6.0)) is None
    assert suggested(rule, cases(1.0, 2.0, 3.0), None) is None


def test_days_by_the_log_hold_as_often_as_they_say():
    rule = Rule("r", about="days", wait="drying", low=5.0, high=12.0, odds=0.8)
    rng, held = np.random.default_rng(4), 0
    for _ in range(400):
        days = 20 * np.exp(0.5 * rng.standard_normal(9))
        said = amounts_of_days(rule, cases(*days[:8]))
        held += said.low <= days[8] <= said.high
    assert 0.75 * 400 <= held <= 0.87 * 400
    assert amounts_of_days(rule, cases(3.0, 4.0)) is None


def test_days_of_three_cases_by_hand():
    """10, 20 and 40 days: logs about log 20 with squares 2 (log 2)² = .9609, and 4 cases of log-sd .5 beforehand.

    Student's t at .9 for 6 degrees of freedom is 1.4398 (printed tables): sqrt(1.9609 / 6 · 4 / 3) · 1.4398 = .9504.
    """
    rule = Rule("r", about="days", wait="drying", low=5.0, high=12.0, odds=0.8)
    said = amounts_of_days(rule, cases(10.0, 20.0, 40.0))

    assert said.likely == pytest.approx(20.0)
    assert (said.low, said.high) == pytest.approx((20 / math.exp(0.9504), 20 * math.exp(0.9504)), rel=1e-4)


@pytest.mark.parametrize(
    ("lean", "scale", "likely", "reach"), [(0.0, 1.0, 14.650, 0.6542), (0.1, 2.0, 18.089, 0.6795)]
)
def test_a_rule_on_days_and_three_cases_together_by_hand(lean, scale, likely, reach):
    """A rule of 10 days with log-sd .3, and cases of 10, 20 and 40.

    Their variance is (4 · .3² + .9609) / 6 = .22015, so that they weigh 3 / .22015 = 13.627; the rule 1 / .3² = 11.111
    or, held to be twice as unsure, 2.778. The middle is the weighed mean of log 10 + lean and log 20; the next case
    lies about it with .22015 and 1 over both weights: at .9 the normal law has 1.2816.
    """
    z = 1.2815515655446004
    rule = Rule(
        "r", about="days", wait="owner", low=10 / math.exp(0.3 * z), high=10 * math.exp(0.3 * z), odds=0.8
    )
    said = together_of_days(rule, cases(10.0, 20.0, 40.0), lean, scale)

    assert said.likely == pytest.approx(likely, rel=1e-4)
    assert math.log(said.high / said.likely) == pytest.approx(reach, abs=1e-4)
    assert math.log(said.likely / said.low) == pytest.approx(reach, abs=1e-4)


def test_what_a_rule_is_worth():
    # a rule as wide as one board's hours spread is worth one board, if it is held to be right
    z = 1.2815515655446004
    rule = Rule("r", stage="sand", low=float(np.exp(-0.3 * z)), high=float(np.exp(0.3 * z)), odds=0.8)
    drawn = CaseDraws({}, {}, {"sand": np.zeros(2)}, {"sand": np.full(2, 0.3)})
    case = Case("a", 1.0, 0, work=(("sand", {"once": 1.0}, {}),))

    assert worth_boards(rule, [case], drawn, 1.0) == pytest.approx(1.0)
    assert worth_boards(rule, [case], drawn, 2.0) == pytest.approx(0.25)
    assert worth_boards(rule, [replace(case, weight=0.5)], drawn, 1.0) == pytest.approx(4.0)
    assert worth_boards(Rule("c", about="chance", share=0.4, worth=10.0), [], drawn, 1.0) == 10.0


def test_of_a_whole_board_each_stage_s_own_luck_counts_by_the_square_of_its_share():
    """Stripping is 3 hours of 4, sanding 1. What all share: 3/4 of .2 and 1/4 of .6 make .3, squared .09.

    Luck of their own: 9/16 of .4² and 1/16 of .8² make .13. Together .22; the rule has .3² = .09.
    """
    z = 1.2815515655446004
    rule = Rule("b", low=10 / math.exp(0.3 * z), high=10 * math.exp(0.3 * z), odds=0.8)
    drawn = CaseDraws(
        {("strip", "once"): np.log([3.0, 3.0]), ("sand", "once"): np.zeros(2)},
        {},
        {"strip": np.full(2, 0.2), "sand": np.full(2, 0.6)},
        {"strip": np.full(2, 0.4), "sand": np.full(2, 0.8)},
    )
    case = Case("a", 4.0, 0, work=(("strip", {"once": 1.0}, {}), ("sand", {"once": 1.0}, {})))

    assert worth_boards(rule, [case], drawn, 1.0) == pytest.approx(22 / 9)


def test_lent_and_own_are_found_alike_but_for_the_blame():
    seen = [Case("a", 9.0, 1)] * 20
    own, lent = RULES[1], RULES[2]

    assert find(own, seen, 8).verdict == "too low"
    assert (find(lent, seen, 8).verdict, find(lent, seen, 8).looks) == ("not enough boards", "low")


@pytest.mark.parametrize("seed", [4563, 2])
def test_of_an_invented_workshop_s_own_rules_the_wrong_two_are_accused(seed):
    # which two are wrong is how the workshop is made: they say a third of the days and half of the hours
    shop = make_shop(seed)
    own = replace(shop.settings, rules=tuple(r for r in shop.settings.rules if r.own and r.form != "board"))
    verdicts = judge(shop.log, own, fit(shop.log, own, n_draws=64))
    accused = {v.name: v.verdict for v in verdicts.rules if v.accused}

    assert accused == {"drying when properly wet": "too low", "sanding a long board": "too low"}


def test_how_often_it_happens_by_the_cases_alone_and_with_the_rule():
    """One case in which it did: a share of law 2x, whose points are roots; the rule's is a half, worth two boards."""
    rule = Rule("r", about="chance", chance="hidden work", share=0.5, worth=2.0)
    roots = [0.1**0.5, 0.5**0.5, 0.9**0.5]
    alone, both = _shares(rule, [Case("a", 1.0, 0)])
    none, of_rule = _shares(rule, [])

    assert [alone.low, alone.likely, alone.high] == pytest.approx(roots)
    assert [both.low, both.likely, both.high] == pytest.approx(roots)
    assert (none, [of_rule.low, of_rule.likely, of_rule.high]) == (None, pytest.approx([0.1, 0.5, 0.9]))
    other, _ = _shares(rule, [Case("a", 0.0, 0)])
    assert other.likely == pytest.approx(1 - roots[1])


@pytest.mark.parametrize(
    ("rule", "told"),
    [
        (Rule("own", stage="strip", low=1.0, high=2.0, odds=0.8), True),
        (Rule("lent", stage="strip", low=1.0, high=2.0, odds=0.8, source="starter"), False),
        (Rule("days", about="days", wait="owner", low=1.0, high=2.0, odds=0.8), False),
    ],
)
def test_own_rules_of_hours_alone_share_an_error(rule, told):
    learned = SimpleNamespace(lean=np.array([-0.1, 0.2, 0.3]), scale=np.array([0.9, 1.2, 1.5]))
    shared = _shared(replace(SETTINGS, rules=(rule,)), learned)

    assert (shared is not None) is told
    if told:
        assert (shared.lean, shared.scale) == (0.2, 1.2)
        assert (shared.runs_low, shared.too_sure) == pytest.approx((2 / 3, 2 / 3))


def test_a_factor_said_of_one_stage_is_read_from_that_and_of_none_from_all():
    drawn = CaseDraws({}, {("strip", "brittle"): np.log(np.full(9, 1.2)), ("sand", "brittle"): np.log(np.full(9, 2.0)),
                           ("strip", "wet"): np.zeros(9)}, {}, {})  # fmt: skip
    rule = Rule("r", stage="strip", modifier="brittle", low=1.1, high=1.5, odds=0.8)

    said = amounts(rule, [], drawn)
    assert (said.low, said.high) == pytest.approx((1.2, 1.2))
    both = amounts(replace(rule, stage=""), [], drawn)
    assert (both.low, both.high) == pytest.approx((1.2, 2.0))
    assert amounts(replace(rule, modifier="masking"), [], drawn) is None


def test_of_many_cases_some_are_looked_at_from_the_first_to_the_last():
    """Forty boards of an hour, then forty of three."""
    drawn = CaseDraws({("sand", "once"): np.zeros(9)}, {}, {"sand": np.zeros(9)}, {"sand": np.full(9, 1e-9)})
    many = [Case(f"b{n}", 1.0, 0, work=(("sand", {"once": 1.0 if n < 40 else 3.0}, {}),)) for n in range(80)]
    said = amounts(Rule("r", stage="sand", low=1.0, high=2.0, odds=0.8), many, drawn)

    assert (said.low, said.high) == pytest.approx((1.0, 3.0))


def fitted(**more):
    """Of a fit what a verdict reads: own rules run low by .2 of its draws' mean, and are held twice as wide."""
    plain = {
        "parts": (("sand", "once"),), "conditions": (), "stages": ("sand", "strip"), "log_rate": np.zeros((3, 1)), "effect": np.zeros((3, 0)),
        "loading": np.zeros((3, 2)), "noise": np.full((3, 2), [0.3, 0.5]), "lean": np.array([0.0, 0.1, 0.5]), "scale": np.array([1.5, 2.0, 4.0]),
    }  # fmt: skip
    return SimpleNamespace(**(plain | more))


OWNER = Rule("owner", about="days", wait="owner", low=5.0, high=12.0, odds=0.8)
SEEN = [
    Case("a", 10.0, 0), Case("b", 20.0, 1), Case("c", 4.0, -1), Case("d", 40.0, 1), Case("e", 8.0, 0), Case("f", 15.0, 1),
]  # fmt: skip


@pytest.mark.parametrize(("source", "lean", "scale"), [("own", 0.2, 2.0), ("starter", 0.0, 1.0)])
def test_a_verdict_counts_its_cases_to_each_side_and_an_own_rule_is_as_unsure_as_own_rules_were_found(
    source, lean, scale
):
    rule = replace(OWNER, source=source, accepted=Accepted(6.0, 30.0, DAY, 9))
    said = _judged(rule, SEEN, fitted(), None, rules=8, seed=0)

    assert (said.inside, said.below, said.above, said.of) == (2, 1, 3, 6)
    assert said.cases == (("a", 10.0), ("b", 20.0), ("c", 4.0), ("d", 40.0), ("e", 8.0), ("f", 15.0))
    assert said.sides == (0, 1, -1, 1, 0, 1)
    assert (said.lent, said.accepted, said.conflict) == (source == "starter", (6.0, 30.0), None)
    assert said.both == together_of_days(rule, SEEN, lean, scale)
    assert said.log == amounts_of_days(rule, SEEN)
    assert said.worth_boards == worth_boards(rule, SEEN, CaseDraws.of(fitted()), scale)
    assert said.suggested == suggested(rule, SEEN, said.log)


def test_of_a_chance_what_happened_is_counted_and_no_range_is_suggested():
    rule = Rule("hidden", about="chance", chance="hidden work", share=0.3, worth=10.0)
    happened = [Case("a", 1.0, 0), Case("b", 0.0, 0), Case("c", 1.0, 0)]
    said = _judged(rule, happened, fitted(), None, rules=8, seed=0)

    assert (said.inside, said.of, said.suggested) == (2, 3, None)


def test_a_share_is_drawn_to_the_side_that_the_rule_says():
    """A quarter, worth four boards, is a beta law of 1 and 3: below x lies 1 - (1 - x)³."""
    _, of_rule = _shares(Rule("r", about="chance", chance="hidden work", share=0.25, worth=4.0), [])

    assert [of_rule.low, of_rule.likely, of_rule.high] == pytest.approx(
        [1 - (1 - p) ** (1 / 3) for p in (0.1, 0.5, 0.9)]
    )


def test_of_a_factor_the_fit_s_own_range_is_suggested():
    rule = Rule("r", modifier="brittle", low=1.1, high=1.5, odds=0.8)

    assert suggested(rule, cases(1.1, 1.2, 1.3), Spread(1.2, 1.5, 2.0)) == (1.2, 2.0)
    assert suggested(rule, cases(1.1, 1.2), Spread(1.2, 1.5, 2.0)) is None


@pytest.mark.parametrize(("stage", "worth"), [("sand", 1.0), ("strip", 25 / 9), ("", 17 / 9)])
def test_a_rule_without_a_case_counts_for_boards_of_its_stage_or_of_all(stage, worth):
    """Its log-sd is .3; a board's is .3 when sanding, .5 when stripping, and .17 is the mean of both squared."""
    z = 1.2815515655446004
    rule = Rule("r", stage=stage, low=math.exp(-0.3 * z), high=math.exp(0.3 * z), odds=0.8)

    assert worth_boards(rule, [], CaseDraws.of(fitted()), 1.0) == pytest.approx(worth)


@pytest.mark.parametrize(
    ("day", "quarter"),
    [("2026-01-01", (2026, 0)), ("2026-03-31", (2026, 0)), ("2026-04-01", (2026, 1)), ("2025-12-31", (2025, 3))],
)  # fmt: skip
def test_cases_of_a_quarter_are_told_from_those_of_the_next(day, quarter):
    assert _quarter(Case("a", 1.0, 0, day=dt.date.fromisoformat(day))) == quarter
    assert _quarter(Case("a", 1.0, 0)) == (0, 0)


def test_a_lent_rule_of_too_few_boards_looks_as_an_own_one_does():
    """Four of five lie above: too few to say, it looks low; three lie above and below: it looks narrow."""
    for sides in ((0, 1, 1, 1, 1), (1, 1, -1)):
        seen = [Case(f"b{n}", 1.0, side) for n, side in enumerate(sides)]
        own, lent = find(RULES[1], seen, 8), find(RULES[2], seen, 8)
        assert own.verdict == "not enough boards"
        assert lent == own
        assert own.looks

import datetime as dt
import math
from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest

from estimator.bench import waits
from estimator.bench.wait_cases import WaitCase
from estimator.bench.waits import Waits, _limits
from estimator.demo.stories import stories
from estimator.demo.workshop import make_shop
from estimator.words.records import FINISHED, ON_BENCH, Board, Entry, Log, Rule, Wait
from estimator.words.settings.schema import Bench, Driver, Modifier, Settings, Stage

MAY = dt.date(2026, 5, 4)
SETTINGS = Settings(
    bench=Bench(winter_drying=1.5),
    drivers={"pieces": Driver("pieces")},
    modifiers={"wetness": Modifier("wetness", stages=("drying",), grades=("dry", "damp", "wet"))},
    stages={
        "strip": Stage("strip"),
        "drying": Stage(
            "drying", after=("strip",), on="rack", wait_by={"wetness": ((0, 0), (5, 16), (14, 45))}
        ),
        "logos": Stage("logos", after=("drying",), needs=("artwork",)),
        "gloss": Stage("gloss", after=("logos",), wait_days=(3, 10)),
    },
)


def learned(waits=(), boards=(), entries=(), rules=(), **more):
    log = Log(boards=tuple(boards), entries=tuple(entries), waits=tuple(waits))
    return Waits.of(log, replace(SETTINGS, rules=tuple(rules)), **more)


def middle(law):
    return float(np.exp(np.median(law.log_median)))


def dried(days, *, wet=2, month=5):
    """Boards that dried for so many days each, one hung up a month."""
    boards = [Board(f"b{n}", state=FINISHED, found={"wetness": wet}) for n in range(len(days))]
    first = dt.date(2026, month, 4)
    rows = [
        Wait(b.board, first, first + dt.timedelta(days=d), "drying")
        for b, d in zip(boards, days, strict=True)
    ]
    return {"boards": boards, "waits": rows}


# ---- before any is seen


def test_without_a_log_the_settings_ranges_stand():
    waits = learned()
    assert middle(waits.after("drying", 1)) == pytest.approx(math.sqrt(5 * 16), rel=0.05)
    assert middle(waits.after("drying", 2)) == pytest.approx(math.sqrt(14 * 45), rel=0.05)
    assert middle(waits.after("gloss")) == pytest.approx(math.sqrt(30), rel=0.05)
    assert waits.after("gloss", 2) is waits.after("gloss")  # it goes by no grade
    assert waits.after("gloss").cases == 0


def test_a_range_of_no_days_and_a_stage_without_one_are_no_wait():
    waits = learned(n_draws=7)
    for law in (waits.after("drying", 0), waits.after("strip"), waits.after("strip", 1)):
        assert law.draw(np.random.default_rng(0), 7).tolist() == [0.0] * 7


# Common practice, no source: messages come within 2 to 21 days, 8 times in 10.
@pytest.mark.parametrize("cause", ["owner", "artwork", "parts", "weather"])
def test_of_a_cause_nothing_is_known_but_what_is_common(cause):
    assert middle(learned().cause(cause)) == pytest.approx(math.sqrt(42), rel=0.1)


def test_lent_rules_on_a_cause_are_held_beforehand_and_own_ones_heard_besides():
    lent = Rule("l", about="days", wait="owner", low=1.0, high=14.0, odds=0.8, source="starter")
    own = Rule("o", about="days", wait="owner", low=1.0, high=3.0, odds=0.8)
    assert middle(learned(rules=[lent]).cause("owner")) == pytest.approx(math.sqrt(14), rel=0.1)
    assert middle(learned(rules=[lent]).cause("parts")) > 6
    assert middle(learned(rules=[lent, own]).cause("owner")) < 0.75 * math.sqrt(14)
    unsure = learned(rules=[lent, own], scale=4.0).cause("owner")
    assert middle(learned(rules=[lent, own]).cause("owner")) < middle(unsure)
    leans = learned(rules=[own], lean=0.5).cause("owner")
    assert middle(learned(rules=[own]).cause("owner")) < middle(leans)


@pytest.mark.parametrize(
    ("rule", "stage", "moves"),
    [
        ({"wait": "drying", "when": {"wetness": (2.0, 2.0)}}, ("drying", 2), True),
        ({"wait": "drying"}, ("drying", 1), True),
        ({"wait": "gloss"}, ("gloss", None), True),
        ({"wait": "gloss"}, ("drying", 1), False),
        ({"wait": "drying", "when": {"wetness": (0.0, 0.0)}}, ("drying", 2), False),
        ({"wait": "gloss", "when": {"kind": frozenset({"major"})}}, ("gloss", None), False),
        ({"span": ("started", "ready")}, ("drying", 2), False),
    ],
)
def test_rules_on_days_speak_of_the_waits_that_they_name(rule, stage, moves):
    said = Rule("r", about="days", low=1.0, high=2.0, odds=0.8, source="starter", **rule)
    assert (middle(learned(rules=[said]).after(*stage)) < 0.95 * middle(learned().after(*stage))) == moves


# ---- from the log


def test_boards_that_dried_tell_of_their_grade_and_a_little_of_the_others():
    waits = learned(**dried([10, 11, 12, 10, 11, 9, 10, 12, 13, 10]))
    assert middle(waits.after("drying", 2)) == pytest.approx(10.5, rel=0.1)
    assert middle(waits.after("drying", 1)) < 0.85 * math.sqrt(5 * 16)
    assert waits.after("drying", 2).cases == 10
    assert waits.after("drying", 1).cases == 0
    assert waits.after("drying").cases == 10
    assert waits.cause("drying") is waits.after("drying")


def test_a_board_whose_grade_is_not_known_tells_nothing():
    unknown = dried([10, 11])
    unknown["boards"] = [Board("b0", found={"wetness": 2.0}), Board("b1")]
    assert learned(**unknown).after("drying", 2).cases == 1


@pytest.mark.parametrize(("month", "winter"), [(3, True), (4, False), (9, False), (10, True)])
def test_days_are_those_of_summer_whatever_the_month(month, winter):
    assert SETTINGS.bench.winter_drying == 1.5
    days = 33 if winter else 22
    law = learned(**dried([days] * 30, month=month)).after("drying", 2)
    assert middle(law) == pytest.approx(21.7, rel=0.04)


def test_where_the_grade_is_not_known_each_counts_as_often_as_boards_had_it():
    boards = [Board(f"b{n}", found={"wetness": float(n < 17)}) for n in range(27)]
    law = learned(boards=boards, n_draws=4000).after("drying")
    dry = np.isneginf(law.log_median).mean()
    assert dry == pytest.approx((10 + 1) / 30, abs=0.03)
    assert (np.exp(law.log_median) > 20).mean() < 0.08  # hardly any were wet


def test_a_rule_on_drying_speaks_of_the_stage_that_dries_by_any_name():
    strip = replace(SETTINGS.stages["strip"], wait_by=SETTINGS.stages["drying"].wait_by)
    said = Rule("r", about="days", wait="drying", low=1.0, high=2.0, odds=0.8, source="starter")
    shop = replace(SETTINGS, stages={"strip": strip, "gloss": Stage("gloss", wait_days=(3, 10))})
    plain, ruled = (Waits.of(Log(), replace(shop, rules=rules)) for rules in ((), (said,)))
    assert middle(ruled.after("strip", 2)) < 0.95 * middle(plain.after("strip", 2))
    assert (ruled.after("gloss").log_median == plain.after("gloss").log_median).all()


def test_whole_days_are_more_than_a_day_less():
    assert _limits(WaitCase("a", MAY, 8, 8)) == (7, 8, True)
    assert _limits(WaitCase("a", MAY, 4, 12, sure=False)) == (3, 12, False)
    assert _limits(WaitCase("a", MAY, 5, math.inf), 2.0) == (2, math.inf, True)
    assert _limits(WaitCase("a", MAY, 0, 0)) == (0, 0.5, True)


def test_the_same_day_is_less_than_a_day():
    law = learned(**dried([0] * 20)).after("drying", 2)
    assert middle(law) < 2


# ---- how often


def test_how_often_a_cause_is_met_counts_boards_that_could_meet_it():
    boards = [Board(f"b{n}", state=FINISHED) for n in range(10)] + [Board("open", state=ON_BENCH)]
    entries = [Entry(f"b{n}", MAY, "logos", 2.0) for n in range(4)] + [Entry("open", MAY, "logos", 2.0)]
    rows = [Wait(b, MAY, MAY, "artwork") for b in ("b0", "b1", "b1", "b2", "open")]
    rows.append(Wait("b9", MAY, MAY, "parts"))
    waits = learned(rows, boards, entries)
    assert waits.chance("artwork") == (1 + 3, 1 + 1)
    assert waits.chance("parts") == (0.2 + 1, 1.8 + 9)
    assert waits.chance("owner") == (0.3, 1.7 + 10)


def test_the_owner_s_answer_goes_with_hidden_work():
    seen, hid = ({"assessed": {"pieces": 1.0}, "found": {"pieces": n}} for n in (1.0, 3.0))
    boards = [Board(f"b{n}", state=FINISHED, **(hid if n < 4 else seen)) for n in range(10)]
    waits = learned([Wait("b0", MAY, MAY, "owner"), Wait("b1", MAY, MAY, "owner")], boards)
    assert waits.chance("owner", hidden=True) == (1 + 2, 1 + 2)
    assert waits.chance("owner", hidden=False) == (0.1, 1.9 + 6)
    assert waits.chance("owner") == (0.3 + 2, 1.7 + 8)
    assert waits.chance("artwork", hidden=True) == (1, 1)


def test_where_no_waits_are_written_at_all_nobody_knows_how_often():
    boards = [Board(f"b{n}", state=FINISHED) for n in range(50)]
    assert learned(boards=boards).chance("owner") == (0.3, 1.7)


# ---- the invented workshop


def test_the_same_seed_gives_the_same_waits():
    shop = make_shop(3)
    a, b, c = (Waits.of(shop.log, shop.settings, seed=seed, n_draws=20) for seed in (1, 1, 2))
    assert (a.after("gloss").log_median == b.after("gloss").log_median).all()
    assert (a.after("gloss").log_median != c.after("gloss").log_median).any()
    one, other = (learned().cause(cause).log_median for cause in ("parts", "weather"))
    assert abs(np.corrcoef(one, other)[0, 1]) < 0.2  # each wait has luck of its own


def test_true_waits_are_found_again_though_boards_queue():
    """Three invented workshops; `tests/studies/study_waits.py` has many, and closer bounds."""
    ratio = {"gloss": [], "artwork": [], 1: [], 2: []}
    for seed in (1, 2, 3):
        shop, rng = make_shop(seed), np.random.default_rng(seed)
        waits = Waits.of(shop.log, shop.settings)
        told = [story for story in stories(seed) if story.course]
        true = {
            "gloss": [math.ceil(s.waits.hardening) for s in told if "gloss" in s.job.hours],
            "artwork": [max(1, round(s.waits.artwork)) for s in told if s.waits.artwork],
        }
        for wet in (1, 2):
            true[wet] = [
                round(s.waits.drying) for s in told if s.waits.drying and s.job.found["wetness"] == wet
            ]
        laws = {"gloss": waits.after("gloss"), "artwork": waits.cause("artwork")}
        laws |= {wet: waits.after("drying", wet) for wet in (1, 2)}
        for what, law in laws.items():
            days = np.ceil(law.draw(rng, 4000))
            ratio[what].append(np.exp(np.log(days).mean() - np.log(np.maximum(true[what], 1)).mean()))
    assert {what: 0.85 < np.mean(found) < 1.18 for what, found in ratio.items()} == dict.fromkeys(ratio, True)


def test_what_is_held_beforehand_of_a_message_is_lent_and_own_words_are_heard_beside_it(monkeypatch):
    """By hand what is learned from; of each the first is the owner's answer."""
    given = []

    def learn(lent, seen, said, *, shops_apart, **more):
        if shops_apart == waits.CAUSES_APART:
            given.append((lent, [one.centre for one in said]))
        return truly(lent, seen, said, shops_apart=shops_apart, **more)

    truly = waits.learn
    monkeypatch.setattr(waits, "learn", learn)
    own = Rule("mine", about="days", wait="owner", low=1.0, high=4.0, odds=0.8)
    lent = Rule("lent", about="days", wait="owner", low=9.0, high=16.0, odds=0.8, source="starter")
    held = [waits.Lent(lent.centre, lent.spread)]
    for rules, expected in (
        ([own], ([waits.UNKNOWN], [own.centre])),
        ([lent], (held, [])),
        ([own, lent], (held, [own.centre])),
        ([replace(lent, wait="parts")], ([waits.UNKNOWN], [])),
        ([replace(own, when={"kind": frozenset({"minor"})})], ([waits.UNKNOWN], [])),
    ):
        given.clear()
        learned(rules=rules)
        assert given[0] == expected


def test_a_wait_that_may_be_none_is_a_wait():
    stages = {**SETTINGS.stages, "gloss": replace(SETTINGS.stages["gloss"], wait_days=(0, 6))}
    made = Waits.of(Log(), replace(SETTINGS, stages=stages))

    assert 0 < middle(made.after("gloss")) < 6
    assert middle(made.after("drying", 0)) == 0.0


def test_own_rules_on_days_are_taken_as_the_fit_of_hours_found_them():
    """A third of a log low and four times too sure, by the middles of the draws."""
    own = Rule("o", about="days", wait="owner", low=1.0, high=3.0, odds=0.8)
    fit = SimpleNamespace(lean=np.array([0.1, 0.3, 0.9]), scale=np.array([2.0, 4.0, 9.0]))
    made = Waits.fitted(Log(), replace(SETTINGS, rules=(own,)), fit)

    assert (
        made.cause("owner").log_median == learned(rules=[own], lean=0.3, scale=4.0).cause("owner").log_median
    ).all()
    assert made.cause("the moon") is made.cause("parts")


def test_a_gap_that_is_only_gathered_teaches_too():
    """Gloss on Monday, polish on Thursday, with hours to spare on Wednesday."""
    stages = {**SETTINGS.stages, "polish": Stage("polish", after=("gloss",))}
    rows = [("a", 0, "gloss"), ("b", 2, "strip"), ("a", 3, "polish")]
    entries = tuple(Entry(name, MAY + dt.timedelta(n), stage, 2.0) for name, n, stage in rows)
    log = Log((Board("a", state=ON_BENCH), Board("b", state=ON_BENCH)), entries)

    assert Waits.of(log, replace(SETTINGS, stages=stages)).after("gloss").cases == 1

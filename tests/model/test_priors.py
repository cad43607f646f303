"""Which rule lands where, and where rates stand that no rule speaks of."""

import datetime as dt
import math
from dataclasses import replace

import numpy as np
import pytest
from making import small_shop

from estimator.model.likelihood import Density
from estimator.model.matrices import table_of
from estimator.model.posterior import normal_posterior
from estimator.model.priors import CASES, FACTOR, FACTOR_SD, WIDE, terms_of, untold_parts
from estimator.words.records import FINISHED, Board, Entry, Log, Rule
from estimator.words.settings.schema import Driver, Modifier, Settings, Stage

DAY = dt.date(2026, 5, 4)


def told(settings=small_shop.SETTINGS, log=None, rules=None):
    log = Log() if log is None else log
    table = table_of(log, settings)
    return terms_of(table, log, settings, rules), table


def by_part(terms, table, values):
    return dict(zip(table.layout.parts, values, strict=True))


def rule(name="r", low=2.0, high=8.0, odds=0.8, **fields):
    return Rule(name, low=low, high=high, odds=odds, **fields)


# ---- rates


def test_a_rule_on_a_rate_is_its_prior():
    terms, table = told()
    named = by_part(terms, table, terms.rate_rule)
    own = by_part(terms, table, terms.rate_own)
    by = {r.name: r for r in small_shop.RULES}

    assert named == {
        ("strip", "once"): "set-up", ("strip", "area"): "square metre", ("infill", "pieces"): "",
        ("spray", "once"): "", ("spray", "colours"): "colour", ("sand", "area"): "",
    }  # fmt: skip
    assert {part: own[part] for part, name in named.items() if name} == {
        ("strip", "once"): 0.0, ("strip", "area"): 1.0, ("spray", "colours"): 1.0
    }  # fmt: skip
    for part, name in named.items():
        if name:
            assert by_part(terms, table, terms.rate_centre)[part] == by[name].centre
            assert by_part(terms, table, terms.rate_sd)[part] == by[name].omega


def test_rules_beside_the_rates_are_second_ones_and_those_on_stages_and_boards():
    terms, _ = told(log=small_shop.log())
    others = terms.others

    assert set(others.names) == {
        "square metre, said again",
        "brittle, said again",
        "sanding",
        "a board",
        "many pieces",
    }
    own = dict(zip(others.names, others.own, strict=True))
    assert own == {
        "square metre, said again": 1, "brittle, said again": 0, "sanding": 1, "a board": 1, "many pieces": 0
    }  # fmt: skip
    # each averages what it speaks of
    whole = others.of_rows.sum(axis=1) + others.of_rates.sum(axis=1) + others.of_effects.sum(axis=1)
    assert whole == pytest.approx(np.ones(5))


def test_a_rule_is_never_held_surer_than_fifteen_in_a_hundred():
    sure = rule(low=3.99, high=4.01, stage="strip", per="area")
    terms, table = told(rules=[sure])

    assert by_part(terms, table, terms.rate_sd)["strip", "area"] == 0.15


def test_rules_of_days_and_chances_are_no_terms_of_hours():
    rules = [
        Rule("w", about="days", wait="drying", low=3, high=9, odds=0.8),
        Rule("c", about="chance", chance="hidden work", share=0.4, worth=10),
    ]
    terms, _ = told(rules=rules)

    assert terms.others.names == ()
    assert set(terms.rate_rule) == {""}


def test_the_rules_given_stand_in_for_the_settings_own():
    terms, _ = told(rules=[])

    assert set(terms.rate_rule) == {""}


# ---- conditions


def test_a_factor_lands_on_its_stage_or_on_all_stages_that_the_condition_slows():
    one, table = told(rules=[rule(stage="spray", modifier="masking", low=1.1, high=1.5)])
    all_, _ = told(rules=[rule(modifier="masking", low=1.1, high=1.5)])
    at = {c: i for i, c in enumerate(table.layout.conditions)}

    assert one.condition_ruled[[at["infill", "masking"], at["spray", "masking"]]].tolist() == [0, 1]
    assert all_.condition_ruled[[at["infill", "masking"], at["spray", "masking"]]].tolist() == [1, 1]
    assert one.condition_centre[at["spray", "masking"]] == pytest.approx(math.log(1.1 * 1.5) / 2)
    assert (one.condition_centre[at["strip", "brittle"]], one.condition_sd[at["strip", "brittle"]]) == (
        FACTOR, FACTOR_SD
    )  # fmt: skip


def test_a_factor_below_one_speeds_up():
    terms, table = told()
    at = table.layout.conditions.index(("infill", "masking"))

    assert terms.condition_sign[at] == -1
    assert terms.condition_centre[at] == pytest.approx(-math.log(0.7 * 0.95) / 2)
    assert terms.condition_own[at] == -1  # a lean to longer makes it less quick


# ---- rates that no rule speaks of


def plain(**stages):
    drivers = {d for parts in stages.values() for d in parts if d != "once"}
    return Settings(
        drivers={d: Driver(d) for d in sorted(drivers)},
        stages={s: Stage(s, drivers=parts) for s, parts in stages.items()},
    )


def finished(name, total=None, **values):
    return Board(name, state=FINISHED, assessed={k: float(v) for k, v in values.items()}, total_hours=total)


def test_without_a_rule_a_rate_stands_at_the_median_of_hours_a_unit_shared_by_its_parts():
    """Hours over quantity and over the number of parts: 8/(2 2), 12/(1 2), 30/(3 2) and set-up at half of the hours."""
    settings = plain(strip=("once", "area"))
    boards = [finished("a", area=2), finished("b", area=1), finished("c", area=3), finished("d", area=4)]
    entries = [Entry(n, DAY, "strip", h) for n, h in (("a", 8.0), ("b", 12.0), ("c", 30.0))]
    terms, table = told(settings, Log(tuple(boards), tuple(entries)))
    centre = by_part(terms, table, np.exp(terms.rate_centre))

    assert centre == pytest.approx({("strip", "area"): 5.0, ("strip", "once"): 6.0})
    assert terms.rate_sd.tolist() == [WIDE, WIDE]


def test_a_part_that_is_none_does_not_share():
    settings = plain(strip=("area", "patches"))
    log = Log((finished("a", area=2, patches=0),), (Entry("a", DAY, "strip", 8.0),))
    terms, table = told(settings, log)
    centre = by_part(terms, table, terms.rate_centre)

    assert math.exp(centre["strip", "area"]) == pytest.approx(4.0)
    assert math.isnan(centre["strip", "patches"])
    assert untold_parts(table.layout, terms) == (("strip", "patches"),)


def test_a_total_is_shared_evenly_by_its_stages():
    settings = plain(strip=("area",), sand=("once", "area"), spray=("colours",))
    terms, table = told(settings, Log((finished("a", 24.0, area=2, colours=0),)))
    centre = by_part(terms, table, np.exp(terms.rate_centre))

    assert centre["strip", "area"] == pytest.approx(24 / 2 / 2)
    assert centre["sand", "once"] == pytest.approx(24 / 2 / 2)
    assert centre["sand", "area"] == pytest.approx(24 / 2 / 2 / 2)
    assert untold_parts(table.layout, terms) == (("spray", "colours"),)


def test_a_rate_that_a_rule_speaks_of_does_not_heed_the_log():
    settings = replace(plain(strip=("area",)), rules=(rule(stage="strip", per="area"),))
    log = Log((finished("a", area=2),), (Entry("a", DAY, "strip", 800.0),))
    terms, _ = told(settings, log)

    assert np.exp(terms.rate_centre) == pytest.approx([4.0])


def test_unplanned_work_is_never_untold():
    settings = plain(strip=("area",))
    log = Log((replace(finished("a", area=0), state="on bench"),), (Entry("a", DAY, "strip", 1.0),))
    terms, table = told(settings, log)

    assert ("strip", "unplanned") in table.layout.parts
    assert ("strip", "unplanned") not in untold_parts(table.layout, terms)


# ---- rules on stages and boards


def test_a_rule_on_a_stage_tells_of_its_rates_where_nothing_else_does():
    settings = plain(strip=("area",), check=("once",), spray=("colours",))
    settings = replace(
        settings,
        rules=(
            rule("s", stage="strip", low=4.0, high=9.0, board={"area": 2.0}),
            rule("c", stage="check", low=0.5, high=2.0),
        ),
    )
    terms, table = told(settings)
    centre = by_part(terms, table, np.exp(terms.rate_centre))

    assert centre["strip", "area"] == pytest.approx(3.0)
    assert centre["check", "once"] == pytest.approx(1.0)
    assert untold_parts(table.layout, terms) == (("spray", "colours"),)


def test_a_rule_on_a_board_tells_of_all_that_happens_on_it():
    settings = plain(strip=("area",), sand=("area",), spray=("colours",))
    settings = replace(settings, rules=(rule(low=5.0, high=20.0, board={"area": 2.0}),))
    terms, table = told(settings)
    centre = by_part(terms, table, np.exp(terms.rate_centre))

    assert centre["strip", "area"] == pytest.approx(2.5)
    assert untold_parts(table.layout, terms) == (("spray", "colours"),)


def test_a_stage_that_sometimes_happens_is_none_of_a_typical_board_unless_it_says_so():
    settings = plain(strip=("area",))
    settings = replace(
        settings,
        stages={**settings.stages, "stain": Stage("stain", happens="sometimes")},
        rules=(
            rule(low=5.0, high=20.0, board={"area": 2.0}),
            rule("again", board={"area": 2.0, "stain": 1.0}),
        ),
    )
    terms, table = told(settings)
    stages = [[table.layout.stages[s] for s in terms.typical.stage.tolist()]]

    assert terms.others.names == ("r", "again")
    assert stages == [["strip", "strip", "stain"]]


def test_a_rule_on_boards_of_which_nothing_is_known_says_nothing():
    terms, _ = told(replace(plain(strip=("area",)), rules=(rule(low=5.0, high=20.0),)))

    assert terms.others.names == ()


def test_of_a_board_of_which_it_is_not_known_whether_a_stage_happens_a_rule_on_boards_says_nothing():
    settings = replace(plain(strip=("area",), spray=("colours",)), rules=(rule(low=5.0, high=20.0),))
    terms, _ = told(settings, Log((finished("a", area=2), finished("b", area=3, colours=1))))

    assert terms.typical.work.toarray().tolist() == [[3.0, 0.0], [0.0, 1.0]]


def test_a_rule_on_a_board_where_no_stage_has_quantities_needs_none():
    terms, table = told(replace(plain(all=("once",)), rules=(rule(low=5.0, high=20.0),)))

    assert terms.others.names == ("r",)
    assert untold_parts(table.layout, terms) == ()


def test_past_boards_that_match_stand_before_typical_quantities():
    said = rule(stage="strip", when={"area": (1.0, 3.0)}, board={"area": 30.0})
    settings = replace(plain(strip=("area",)), rules=(said,))
    past = Log((finished("a", area=1), finished("b", area=2), finished("c", area=9)))
    with_past, _ = told(settings, past)
    without, _ = told(settings)

    assert with_past.typical.work.toarray().tolist() == [[1.0], [2.0]]
    assert without.typical.work.toarray().tolist() == [[30.0]]


def test_when_alone_says_quantities_too():
    settings = replace(plain(strip=("area",)), rules=(rule(stage="strip", when={"area": (1.0, 3.0)}),))

    assert told(settings)[0].typical.work.toarray().tolist() == [[2.0]]


def test_of_many_boards_a_rule_is_averaged_over_some():
    settings = replace(plain(strip=("area",)), rules=(rule(stage="strip"),))
    boards = tuple(finished(f"b{i}", area=1 + i % 7) for i in range(5 * CASES + 3))
    terms, _ = told(settings, Log(boards))

    assert 0.8 * CASES <= terms.typical.n_rows <= CASES
    assert terms.typical.work.toarray().mean() == pytest.approx(4.0, abs=0.3)


def test_the_boards_that_a_rule_is_averaged_over_are_taken_from_all_of_the_log():
    """The first half has an area of 1, the second one of 7."""
    settings = replace(plain(strip=("area",)), rules=(rule(stage="strip"),))
    boards = tuple(finished(f"b{i}", area=1 if i < 150 else 7) for i in range(300))

    assert told(settings, Log(boards))[0].typical.work.toarray().mean() == pytest.approx(4.0)


def test_a_rule_on_a_stage_that_sometimes_happens_speaks_of_boards_as_if_it_did():
    settings = plain(strip=("area",))
    stages = {**settings.stages, "stain": Stage("stain", happens="sometimes")}
    settings = replace(settings, stages=stages, rules=(rule("stain", stage="stain"),))
    terms, _ = told(settings, Log((finished("a", area=1), finished("b", area=2, stain=0))))

    assert terms.typical.work.toarray().tolist() == [[0.0, 1.0], [0.0, 1.0]]


def test_a_condition_that_is_not_known_of_a_typical_board_is_as_is_usual():
    said = rule(stage="strip", when={"area": (1.0, 3.0)})
    settings = replace(
        plain(strip=("area",)), modifiers={"wet": Modifier("wet", stages=("strip",))}, rules=(said,)
    )
    past = Log((finished("a", area=1, wet=2), finished("b", area=9, wet=1), finished("c", area=2)))

    assert told(settings, past)[0].typical.grades.toarray().tolist() == [[2.0], [1.5]]


def test_where_the_log_has_hours_of_a_rate_a_rule_on_the_stage_does_not_move_where_it_stands():
    """Four hours a metre by the log, two by the rule on the stage: the rule is heard besides."""
    said = rule("s", stage="strip", low=2.0, high=8.0, board={"area": 2.0})
    settings = replace(plain(strip=("area",), sand=("area",)), rules=(said,))
    log = Log(
        (replace(finished("a", area=2), state="on bench"),), (Entry("a", DAY, "strip", 8.0, done=True),)
    )
    terms, table = told(settings, log)

    assert math.exp(by_part(terms, table, terms.rate_centre)["strip", "area"]) == pytest.approx(4.0)
    assert terms.others.names == ("s",)


# ---- what rules make of the fit


def mode_of(settings, log):
    table = table_of(log, settings)
    density = Density(table, terms_of(table, log, settings))
    found = normal_posterior(density)
    return density.numbers(found.mode[:, None]), table


@pytest.mark.parametrize("source", ["own", "starter"])
def test_the_surer_of_two_rules_gives_way_less(source):
    log = Log((finished("a", area=2),), (Entry("a", DAY, "strip", 40.0),))
    rates = []
    for reach in (1.2, 2.0, 4.0):
        said = rule(stage="strip", per="area", low=5 / reach, high=5 * reach, source=source)
        numbers, _ = mode_of(replace(plain(strip=("area",)), rules=(said,)), log)
        rates.append(float(np.exp(numbers.log_rate[0, 0])))

    assert 5 < rates[0] < rates[1] < rates[2] < 20


@pytest.mark.parametrize("told", ["own", "starter"])
def test_own_rules_share_their_error_and_lent_ones_another(told):
    """Four rules run low by half on the log; the fifth, of which there is no log, is moved if it is of their sort."""
    parts = {f"s{i}": ("once",) for i in range(5)}
    moved = {}
    for source in ("own", "starter"):
        rules = tuple(
            rule(s, stage=s, per="once", low=2 / 1.3, high=2 * 1.3, source=source if s == "s4" else told)
            for s in parts
        )
        boards = tuple(finished(f"b{j}") for j in range(8))
        entries = tuple(Entry(b.board, DAY, s, 4.0) for b in boards for s in list(parts)[:4])
        numbers, _ = mode_of(replace(plain(**parts), rules=rules), Log(boards, entries))
        moved[source] = float(numbers.log_rate[4, 0]) - math.log(2)

    other = "own" if told == "starter" else "starter"
    assert moved[told] > 0.1
    assert moved[other] == pytest.approx(0.0, abs=1e-6)


def test_two_rules_on_one_rate_meet_between_and_make_it_surer():
    def fitted(*ranges):
        rules = tuple(
            rule(f"r{i}", lo, hi, stage="strip", per="area", source="starter")
            for i, (lo, hi) in enumerate(ranges)
        )
        settings = replace(plain(strip=("area",)), rules=rules)
        table = table_of(Log(), settings)
        density = Density(table, terms_of(table, Log(), settings))
        found = normal_posterior(density)
        sd = density.rate_sd[0, 0] * math.sqrt((found.root @ found.root.T)[0, 0])
        return float(density.numbers(found.mode[:, None]).log_rate[0, 0]), sd

    low, high, both = fitted((1, 4)), fitted((4, 16)), fitted((1, 4), (4, 16))
    assert both[0] == pytest.approx((low[0] + high[0]) / 2, abs=1e-6)
    assert both[1] == pytest.approx(low[1] / math.sqrt(2), rel=1e-4)

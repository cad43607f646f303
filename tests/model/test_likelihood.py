"""The density against differences, against a slow quadrature in plain Python, and against what must not matter."""

import datetime as dt
import math
from dataclasses import replace

import numpy as np
import pytest
from making import plainly, small_shop
from making.plainly import Row

from estimator.model.likelihood import Density
from estimator.model.matrices import table_of
from estimator.model.priors import terms_of
from estimator.words.records import FINISHED, Board, Entry, Log, Rule
from estimator.words.settings.schema import Driver, Modifier, Settings, Stage

FT2 = 10.7639104167  # square feet in a square metre


def density_of(log, settings):
    table = table_of(log, settings)
    return Density(table, terms_of(table, log, settings))


def anywhere(density, n=5, seed=3):
    """Places, (size, n), near where the search begins."""
    return density.start()[:, None] + 0.7 * np.random.default_rng(seed).standard_normal((density.size, n))


def alone(names):
    """The same workshop with only these rules."""
    return replace(small_shop.SETTINGS, rules=tuple(r for r in small_shop.RULES if r.name in names))


# ---- gradient

CASES = {
    "stage rows": ("ae", small_shop.SETTINGS),
    "a board on the bench": ("d", small_shop.SETTINGS),
    "totals": ("bfh", small_shop.SETTINGS),
    "what is left of a total": ("c", small_shop.SETTINGS),
    "all of these": ("abcdefgh", small_shop.SETTINGS),
    "no boards": ("", small_shop.SETTINGS),
    "no rules": ("abcdefgh", alone([])),
    **{rule.name: ("abg", alone([rule.name])) for rule in small_shop.RULES},
}


@pytest.mark.parametrize("case", CASES)
def test_the_gradient_is_that_of_the_value(case):
    names, settings = CASES[case]
    density = density_of(small_shop.log(names), settings)
    x, step = anywhere(density), 1e-5
    gradient = density.value_and_gradient(x)[1]
    for i in range(density.size):
        moved = np.zeros((density.size, 1))
        moved[i] = step
        above, below = (density.value_and_gradient(x + d)[0] for d in (moved, -moved))

        assert (above - below) / (2 * step) == pytest.approx(gradient[i], rel=1e-5, abs=1e-6)


def test_columns_do_not_touch_one_another():
    density = density_of(small_shop.log(), small_shop.SETTINGS)
    x = anywhere(density)
    together = density.value_and_gradient(x)
    one_by_one = [density.value_and_gradient(x[:, [i]]) for i in range(x.shape[1])]

    assert together[0] == pytest.approx([value[0] for value, _ in one_by_one], rel=1e-12)
    assert together[1] == pytest.approx(
        np.hstack([gradient for _, gradient in one_by_one]), rel=1e-9, abs=1e-9
    )


# ---- a slow computation


def years(name):
    return -small_shop.AGO[name] / 365.25


def rows_said_plainly():
    """The rows of the small workshop, written down from its figures by hand."""
    usual = {"brittle": (1 + 0 + 2 + 0 + 0 + 2 + 1) / 7, "masking": (0 + 2 + 1 + 1 + 2 + 0 + 1 + 0) / 8}
    wanted = [
        *[("a", s) for s in small_shop.HOURS["a"]], *[("e", s) for s in small_shop.HOURS["e"]], *[("g", s) for s in ("strip", "spray", "sand")],
        ("c", "strip"), ("d", "strip"), ("b", "strip spray sand"), ("c", "infill sand"), ("f", "infill"),
        ("h", "strip infill sand"), ("d", "infill"),
    ]  # fmt: skip
    rows = []
    for name, told in wanted:
        a, p, c, brittle, masking = small_shop.QUANTITIES[name]
        booked = small_shop.HOURS.get(name, {})
        hours = booked.get(told)
        if hours is None:
            hours = small_shop.TOTALS[name] - sum(booked.values())
        grades = {
            "brittle": usual["brittle"] if brittle is None else brittle,
            "masking": usual["masking"] if masking is None else masking,
        }
        work = {
            "strip": {"once": 1.0, "area": a},
            "infill": {"pieces": p},
            "spray": {"once": 1.0, "colours": c},
            "sand": {"area": a},
        }
        in_hand = (name, told) == ("d", "infill")
        rows.append(
            Row(name, hours, {s: work[s] for s in told.split()}, grades, years(name), in_hand=in_hand)
        )
    return rows


def test_the_likelihood_is_the_integral_over_each_board_s_pace():
    density = density_of(small_shop.log(), alone([]))
    rows = rows_said_plainly()

    assert density.table.n_rows == len(rows) - 1  # and one stage in hand
    x = anywhere(density, 4)
    ours = density.value_and_gradient(x)[0]
    slow = [
        plainly.log_likelihood(rows, plainly.numbers_of(density, x[:, i])) - 0.5 * (x[:, i] ** 2).sum()
        for i in range(4)
    ]
    assert np.diff(ours) == pytest.approx(np.diff(slow), abs=1e-8)
    # the constant that is left out is that of the rows' normals
    assert slow[0] - ours[0] == pytest.approx(-0.5 * (len(rows) - 1) * math.log(2 * math.pi), abs=1e-8)


def test_rounding_widens_a_row_and_nothing_else():
    """Hours written to the whole: their steps' variance, each entry's own, on the log scale."""
    days = [dt.date(2026, 1, day) for day in (5, 6, 7)]
    entries = [
        *(Entry("a", day, "strip", 2.0) for day in days),
        Entry("a", days[2], "sand", 1.0),
        Entry("b", days[0], "strip", 11.0),
    ]
    boards = tuple(Board(n, state=FINISHED, assessed={"area": a}) for n, a in (("a", 1.5), ("b", 2.0)))
    settings = Settings(
        drivers={"area": Driver("area")},
        stages={"strip": Stage("strip", drivers=("area",)), "sand": Stage("sand", drivers=("area",))},
    )
    density = density_of(Log(boards, tuple(entries)), settings)
    rows = [
        Row("a", 6.0, {"strip": {"area": 1.5}}, {}, -1 / 365.25, 3 * 1 / (12 * 36)),
        Row("a", 1.0, {"sand": {"area": 1.5}}, {}, 0.0, 1 / 12),
        Row("b", 11.0, {"strip": {"area": 2.0}}, {}, -2 / 365.25, 1 / (12 * 121)),
    ]
    x = anywhere(density, 3)
    ours = density.value_and_gradient(x)[0] + 0.5 * (x**2).sum(axis=0)
    slow = [plainly.log_likelihood(rows, plainly.numbers_of(density, x[:, i])) for i in range(3)]

    assert np.diff(ours) == pytest.approx(np.diff(slow), abs=1e-8)


def told_plainly(numbers, rows):
    """What the rules beside the rates say, written down by hand."""
    by = {rule.name: rule for rule in small_shop.RULES}
    area = lambda n: small_shop.QUANTITIES[n][0]  # noqa: E731
    sand = [
        math.log(plainly.median("sand", Row("", 1, {"sand": {"area": area(n)}}, {}), numbers))
        for n in small_shop.QUANTITIES
        if 1 <= area(n) <= 2
    ]
    boards = []
    for name, (a, p, c, *_) in small_shop.QUANTITIES.items():
        stages = {}
        if a:
            stages |= {"strip": {"once": 1.0, "area": a}, "sand": {"area": a}}
        if p:
            stages["infill"] = {"pieces": p}
        if c:
            stages["spray"] = {"once": 1.0, "colours": c}
        grades = {"d": {"brittle": 0, "masking": 1}}.get(name) or next(
            r.grades for r in rows if r.board == name
        )
        boards.append(plainly.of_row(Row(name, 1, stages, grades), numbers)[0])
    usual = next(r.grades for r in rows if r.board == "e")["brittle"]
    assert usual == pytest.approx(6 / 7)
    many = plainly.median("infill", Row("", 1, {"infill": {"pieces": 55.0}}, {"masking": 7 / 8}), numbers)
    log_told = plainly.log_of_told
    return (
        log_told(by["sanding"], sand, numbers)
        + log_told(by["a board"], boards, numbers)
        + log_told(by["many pieces"], [math.log(many)], numbers)
        + log_told(by["square metre, said again"], [numbers["rate"]["strip", "area"]], numbers)
        + log_told(by["brittle, said again"], [numbers["effect"]["strip", "brittle"]], numbers)
    )


def test_the_whole_density_is_that_of_the_formulas():
    density = density_of(small_shop.log(), small_shop.SETTINGS)
    rows, by = rows_said_plainly(), {rule.name: rule for rule in small_shop.RULES}
    rated = {
        ("strip", "area"): by["square metre"], ("strip", "once"): by["set-up"], ("spray", "colours"): by["colour"]
    }  # fmt: skip
    slowed = {("strip", "brittle"): by["brittle"], ("infill", "masking"): by["masked"]}
    centres = dict(zip(density.table.layout.parts, density.centre[:, 0].tolist(), strict=True))
    x = anywhere(density, 6)
    slow = []
    for i in range(6):
        numbers = plainly.numbers_of(density, x[:, i])
        said = plainly.log_likelihood(rows, numbers) + told_plainly(numbers, rows)
        said += plainly.log_prior_of_shared(density, x[:, i], numbers)
        for part, log_rate in numbers["rate"].items():
            said += plainly.log_prior_of_rate(log_rate, rated.get(part), numbers, centres[part])
        for condition, effect in numbers["effect"].items():
            said += plainly.log_prior_of_effect(effect, slowed.get(condition), numbers)
        slow.append(said)

    assert np.diff(density.value_and_gradient(x)[0]) == pytest.approx(np.diff(slow), abs=1e-6)


# ---- what must not matter


def by_name(density, x):
    """The value at numbers given by name, wherever they stand in the vector."""
    layout, at = density.table.layout, np.zeros((density.size, 1))
    for names, place in (
        (layout.parts, density.rate),
        (layout.conditions, density.condition),
        *(
            ((*((kind, s) for s in layout.stages),), getattr(density, kind))
            for kind in ("loading", "noise", "drift")
        ),
    ):
        at[place, 0] = [x[name] for name in names]
    at[density.shared, 0], at[density.quarter, 0] = x["shared"], x["quarters"]
    return float(density.value_and_gradient(at)[0][0])


def numbers_by_name(density, seed):
    rng, layout = np.random.default_rng(seed), density.table.layout
    names = [
        *layout.parts, *layout.conditions,
        *((kind, s) for kind in ("loading", "noise", "drift") for s in layout.stages),
    ]  # fmt: skip
    return {name: -0.5 + 0.4 * rng.standard_normal() for name in names} | {
        "shared": 0.5 * rng.standard_normal(7),
        "quarters": rng.standard_normal(density.table.to_quarter.shape[0]),
    }


def test_the_order_of_boards_rows_and_stages_is_nothing():
    plain = density_of(small_shop.log(), small_shop.SETTINGS)
    stages = dict(reversed(small_shop.SETTINGS.stages.items()))
    turned = density_of(small_shop.log("hbdcfage"), replace(small_shop.SETTINGS, stages=stages))
    places = [numbers_by_name(plain, seed) for seed in range(5)]

    assert [by_name(turned, x) for x in places] == pytest.approx(
        [by_name(plain, x) for x in places], rel=1e-11
    )


def renamed(name):
    return name if name in {"", "once"} else f"{name} of another"


def test_names_are_nothing():
    settings = small_shop.SETTINGS
    log = small_shop.log()
    stages = {
        renamed(s.name): replace(s, name=renamed(s.name), after=tuple(map(renamed, s.after)))
        for s in settings.stages.values()
    }
    other = replace(
        settings,
        stages=stages,
        modifiers={
            m.name: replace(m, stages=tuple(map(renamed, m.stages))) for m in settings.modifiers.values()
        },
        rules=tuple(replace(r, stage=renamed(r.stage)) for r in settings.rules),
    )
    moved = Log(
        tuple(replace(b, board=renamed(b.board)) for b in log.boards),
        tuple(replace(e, board=renamed(e.board), stage=renamed(e.stage)) for e in log.entries),
    )
    plain, named = density_of(log, settings), density_of(moved, other)
    x = anywhere(plain)

    assert named.value_and_gradient(x)[0] == pytest.approx(plain.value_and_gradient(x)[0], rel=1e-12)


def in_feet(rules, settings):
    """The same workshop whose areas are in square feet."""
    changed = []
    for rule in rules:
        when = {q: tuple(FT2 * v for v in w) if q == "area" else w for q, w in rule.when.items()}
        by = 1 / FT2 if rule.per == "area" else 1.0
        changed.append(replace(rule, when=when, low=rule.low * by, high=rule.high * by))
    return replace(settings, rules=tuple(changed))


def test_a_driver_s_unit_changes_its_rates_and_nothing_else():
    log = small_shop.log()
    feet = replace(
        log,
        boards=tuple(
            replace(b, assessed={q: v * (FT2 if q == "area" else 1) for q, v in b.assessed.items()})
            for b in log.boards
        ),
    )
    metric = density_of(log, small_shop.SETTINGS)
    imperial = density_of(feet, in_feet(small_shop.RULES, small_shop.SETTINGS))
    x = anywhere(metric)
    ours, theirs = metric.value_and_gradient(x), imperial.value_and_gradient(x)

    assert np.diff(theirs[0]) == pytest.approx(np.diff(ours[0]), abs=1e-9)
    assert theirs[1] == pytest.approx(ours[1], rel=1e-9, abs=1e-9)
    change = metric.numbers(x).log_rate - imperial.numbers(x).log_rate
    scaled = np.array([math.log(FT2) if d == "area" else 0.0 for _, d in metric.table.layout.parts])
    assert change == pytest.approx(np.repeat(scaled[:, None], x.shape[1], axis=1), abs=1e-12)


def test_one_stage_told_as_a_total_is_that_stage():
    day = dt.date(2026, 3, 2)
    settings = Settings(
        drivers={"area": Driver("area"), "colours": Driver("colours")},
        stages={"strip": Stage("strip", drivers=("area",)), "spray": Stage("spray", drivers=("colours",))},
    )
    plain = Board("a", state=FINISHED, started=day, ready=day, assessed={"area": 2.0, "colours": 0.0})
    last = Entry("z", dt.date(2026, 9, 1), "spray", 7.1)
    other = Board("z", state=FINISHED, assessed={"area": 0.0, "colours": 1.0})
    by_stage = density_of(Log((plain, other), (Entry("a", day, "strip", 6.3), last)), settings)
    by_total = density_of(Log((replace(plain, total_hours=6.3), other), (last,)), settings)
    x = anywhere(by_stage)

    for stages, total in zip(by_stage.value_and_gradient(x), by_total.value_and_gradient(x), strict=True):
        assert total == pytest.approx(stages, rel=1e-10, abs=1e-10)


def test_hours_and_rules_in_minutes_change_rates_alone():
    """A clock that runs sixty times as fast moves every log rate by log 60."""
    log = small_shop.log()
    minutes = Log(
        tuple(replace(b, total_hours=b.total_hours and 60 * b.total_hours) for b in log.boards),
        tuple(replace(e, hours=60 * e.hours) for e in log.entries),
    )
    rules = tuple(
        r if r.form == "factor" else replace(r, low=60 * r.low, high=60 * r.high) for r in small_shop.RULES
    )
    hours, sixtieth = (
        density_of(log, small_shop.SETTINGS), density_of(minutes, replace(small_shop.SETTINGS, rules=rules))
    )  # fmt: skip
    x = anywhere(hours)

    assert sixtieth.numbers(x).log_rate - hours.numbers(x).log_rate == pytest.approx(
        np.full((len(hours.table.layout.parts), x.shape[1]), math.log(60)), abs=1e-12
    )
    assert np.diff(sixtieth.value_and_gradient(x)[0]) == pytest.approx(
        np.diff(hours.value_and_gradient(x)[0]), abs=1e-8
    )


# ---- bounds


def test_far_astray_there_is_no_density_and_no_warning():
    density = density_of(small_shop.log(), small_shop.SETTINGS)
    value, _ = density.value_and_gradient(np.full((density.size, 2), 1e4))

    assert not np.any(value > 0)


# ---- where it begins, and what it lets be


def one_rate(days=(), rules=()):
    """A shop of one stage that wet foam slows; a row of eight hours on each of these days."""
    settings = Settings(
        drivers={"area": Driver("area")},
        modifiers={"wet": Modifier("wet", stages=("strip",))},
        stages={"strip": Stage("strip", drivers=("area",))},
        rules=tuple(rules),
    )
    boards = tuple(
        Board(f"b{n}", state=FINISHED, assessed={"area": 2.0, "wet": 0.0}) for n in range(len(days))
    )
    rows = tuple(Entry(b.board, day, "strip", 8.0) for b, day in zip(boards, days, strict=True))
    return density_of(Log(boards, rows), settings)


@pytest.mark.parametrize(("years", "sd"), [(0.0, 0.0), (1.0, 0.075), (3.0, 0.1125)])
def test_a_trend_is_believed_by_half_after_a_year_of_log(years, sd):
    last = dt.date(2026, 5, 4)
    density = one_rate([last - dt.timedelta(days=round(years * 365.25)), last])

    assert density.drift_sd == pytest.approx(sd, rel=2e-3)
    assert one_rate().drift_sd == 0.0


def test_a_factor_of_hardly_anything_has_somewhere_to_begin_and_none_is_tried_beyond_all_reason():
    rule = Rule("f", stage="strip", modifier="wet", low=1.0001, high=1.0002, odds=0.8)
    density = one_rate(rules=[rule])
    start = density.start()

    assert start[density.condition] == pytest.approx([math.log(0.05)])
    far = start.copy()
    far[density.condition] = 50.0
    assert density.numbers(far[:, None]).effect[0, 0] == pytest.approx(math.exp(3.0))
    usual = one_rate(rules=[replace(rule, low=1.2, high=1.5)])
    assert usual.start()[usual.condition] == pytest.approx([math.log(math.log(1.2 * 1.5) / 2)])


def test_weeks_to_come_are_partly_like_the_last_quarter_and_as_wide_as_quarters_are():
    """Levels of quarters have a correlation of .8: what comes next spreads by the root of .36 of how much they move."""
    density = one_rate([dt.date(2026, 5, 4)])
    x = np.zeros((density.size, 40_000))
    luck = density.level_to_come(x, np.random.default_rng(1))
    x[density.quarter] = 1.0
    drawn_back = density.level_to_come(x, np.random.default_rng(1)) - luck

    assert luck.std() == pytest.approx(0.05 * 0.6, rel=0.02)
    assert drawn_back == pytest.approx(-0.05 * 0.2)
    assert not one_rate().level_to_come(np.zeros((one_rate().size, 9)), np.random.default_rng(1)).any()

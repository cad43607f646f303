"""Parts of the model against published examples, and against identities that published theorems state."""

import datetime as dt
import math

import numpy as np
import pytest

from estimator.forecast.answers import outside
from estimator.forecast.draws import Work, draw_hours
from estimator.model.likelihood import Density
from estimator.model.matrices import table_of
from estimator.model.priors import terms_of
from estimator.model.saved_fit import KnownBoard, SavedFit
from estimator.model.stage_sums import Numbers, sums
from estimator.words.records import FINISHED, WITHDRAWN, Board, Entry, Log, Rule
from estimator.words.settings.schema import Driver, Modifier, Settings, Stage

DAY = dt.date(2026, 5, 4)


def density_of(log, settings):
    table = table_of(log, settings)
    return Density(table, terms_of(table, log, settings))


def at(density, log_rate, loading, noise):
    """The vector, (size, 1), at which the model's numbers are these, the same for all stages."""
    x = np.zeros((density.size, 1))
    x[density.rate, 0] = (np.asarray(log_rate) - density.centre[:, 0]) / density.rate_sd[:, 0]
    for i, (name, wanted) in enumerate({"loading": loading, "noise": noise}.items()):
        step = np.zeros_like(x)
        step[density.shared.start + i] = 1.0
        base, moved = (np.log(getattr(density.numbers(v), name)[0, 0]) for v in (0 * x, step))
        x[density.shared.start + i] = (math.log(wanted) - base) / (moved - base)
    found = density.numbers(x)
    assert found.log_rate[:, 0] == pytest.approx(np.asarray(log_rate))
    assert (found.loading[0, 0], found.noise[0, 0]) == pytest.approx((loading, noise))
    return x


def log_likelihood(density, log_rate, loading, noise):
    """The density less the parameters' own standard normals: rows and rules alone, up to a constant."""
    x = at(density, log_rate, loading, noise)
    return float(density.value_and_gradient(x)[0][0] + 0.5 * (x**2).sum())


# ---- a shared pace is a random effect
#
# Dyestuff: six batches, five samples each. O. L. Davies & P. L. Goldsmith (1972), Statistical Methods in Research
# and Production; G. E. P. Box & G. C. Tiao (1973), Bayesian Inference in Statistical Analysis, 5.1.2. Estimates as
# printed for lme4 (D. Bates): REML variances 1764.05 and 2451.25, criterion 319.6542768, ML between 1388.3333.
# Batches stand for boards and samples for stages; yields stand for log hours, moved and scaled.

MIDDLE, SCALE = 1500.0, 100.0
SAMPLES = ("one", "two", "three", "four", "five")


@pytest.fixture
def dyestuff(published):
    """Log-scale yields by batch, and the density of the boards that they make."""
    t = published("dyestuff")
    logs = {str(batch): (t["Yield"][t["Batch"] == batch] - MIDDLE) / SCALE for batch in np.unique(t["Batch"])}
    entries = [
        Entry(batch, DAY, stage, math.exp(z))
        for batch, values in logs.items()
        for stage, z in zip(SAMPLES, values, strict=True)
    ]
    settings = Settings(stages={name: Stage(name) for name in SAMPLES})
    boards = tuple(Board(batch, state=FINISHED, ready=DAY) for batch in logs)
    return logs, density_of(Log(boards, tuple(entries)), settings)


def restricted(density, between, within):
    """Minus twice the log likelihood of the yields with the mean integrated out, and the mean's best value.

    The log likelihood is a parabola in the mean, so three points give it exactly.
    """
    means = np.array([0.0, 0.5, 1.0])
    numbers = math.sqrt(between) / SCALE, math.sqrt(within) / SCALE
    a, b, c = np.polyfit(means, [log_likelihood(density, [m] * 5, *numbers) for m in means], 2)
    n = density.table.n_rows
    top = c - b * b / (4 * a) - 0.5 * n * math.log(2 * math.pi) + 0.5 * math.log(2 * math.pi / (-2 * a))
    return -2 * (top - (n - 1) * math.log(SCALE)), MIDDLE - SCALE * b / (2 * a)


def test_a_pace_shared_by_stages_has_the_random_effects_likelihood(dyestuff):
    _, density = dyestuff
    criterion, mean = restricted(density, 1764.05, 2451.25)

    assert criterion == pytest.approx(319.6542768, abs=1e-6)
    assert mean == pytest.approx(1527.5, abs=1e-6)


def test_the_published_variances_are_where_that_likelihood_is_highest(dyestuff):
    _, density = dyestuff
    best = restricted(density, 1764.05, 2451.25)[0]
    for between, within in [(1.01, 1), (0.99, 1), (1, 1.01), (1, 0.99)]:
        assert restricted(density, 1764.05 * between, 2451.25 * within)[0] > best + 1e-5

    # maximum likelihood: the gradient less the parameters' own normals is 0 there
    x = at(density, [(1527.5 - MIDDLE) / SCALE] * 5, math.sqrt(1388.3333) / SCALE, math.sqrt(2451.25) / SCALE)
    slope = (density.value_and_gradient(x)[1] + x)[density.shared, 0]
    assert slope[:2] == pytest.approx([0, 0], abs=1e-5)


def test_a_board_s_pace_is_learned_from_its_finished_stages(dyestuff):
    """Published batch effects, shrunk by .78253: -17.607 .391 28.562 -23.085 56.733 -44.995."""
    logs, _ = dyestuff
    fit = SavedFit(
        as_of="",
        stages=(*SAMPLES, "next"),
        parts=tuple((stage, "once") for stage in (*SAMPLES, "next")),
        conditions=(),
        log_rate=np.full((1, 6), (1527.5 - MIDDLE) / SCALE),
        effect=np.zeros((1, 0)),
        loading=np.full((1, 6), math.sqrt(1764.05) / SCALE),
        noise=np.array([[math.sqrt(2451.25) / SCALE] * 5 + [1e-9]]),
        lean=np.zeros(1),
        scale=np.ones(1),
    )
    paces = []
    for values in logs.values():
        booked = dict(zip(SAMPLES, np.exp(values), strict=True))
        happening = {stage: np.ones(20_000, dtype=bool) for stage in fit.stages}
        drawn = draw_hours(fit, Work({}, happening, booked, frozenset(SAMPLES)), np.random.default_rng(3))
        paces.append(SCALE * np.log(drawn.hours[5]) + MIDDLE - 1527.5)
    means = np.mean(paces, axis=1)

    # the same luck for every batch, so what is left of it is one number
    assert means - means.mean() == pytest.approx([-17.607, 0.391, 28.562, -23.085, 56.733, -44.995], abs=1e-3)
    assert means.mean() == pytest.approx(0, abs=0.5)
    assert np.std(paces, axis=1) == pytest.approx([math.sqrt(1764.05 * (1 - 0.78253))] * 6, rel=0.02)


# ---- a rule is worth past boards


def test_a_rule_on_a_board_s_hours_counts_as_one_past_board_as_unsure_as_it():
    """Conditional means: Bedrick, Christensen & Johnson (1996), J. Am. Stat. Assoc. 91:1450-1460.

    A range told for a board at given quantities enters as a past board of that size would whose hours are the
    range's middle. The delivery table's settings; identity, no printed number.
    """
    settings = Settings(
        drivers={"cases": Driver("cases"), "distance": Driver("distance")},
        stages={"deliver": Stage("deliver", drivers=("once", "cases", "distance"))},
    )
    loading, noise = 0.15, 0.2
    reach = math.exp(1.2815515655446004 * math.hypot(loading, noise))
    size = {"cases": 5.0, "distance": 200.0}
    told = Rule(
        "r",
        board=size,
        when={"cases": (4.9, 5.1)},
        low=14 / reach,
        high=14 * reach,
        odds=0.8,
        source="starter",
    )
    past = (
        Board("a", state=FINISHED, ready=DAY, assessed={"cases": 7, "distance": 560}, total_hours=16.68),
        Board("b", state=FINISHED, ready=DAY, assessed={"cases": 3, "distance": 220}, total_hours=11.5),
    )
    as_board = Board("r", state=FINISHED, ready=DAY, assessed=size, total_hours=14.0)
    by_rule = density_of(Log(past), Settings(drivers=settings.drivers, stages=settings.stages, rules=(told,)))
    by_board = density_of(Log((*past, as_board)), settings)
    places = np.log([[2.5, 1.6, 0.014], [2.0, 1.0, 0.02], [6.0, 0.4, 0.001]])
    rule, board, neither = (
        [log_likelihood(density, rates, loading, noise) for rates in places]
        for density in (by_rule, by_board, density_of(Log(past), settings))
    )

    assert np.diff(rule) == pytest.approx(np.diff(board), abs=1e-9)
    assert np.abs(np.diff(rule) - np.diff(neither)).max() > 0.5


def test_a_told_range_as_a_lognormal():
    """A. O'Hagan et al. (2006), Uncertain Judgements: median 20 h and 90 % point 32 h (arithmetic; pinned)."""
    rule = Rule("r", low=20 * 20 / 32, high=32.0, odds=0.8)

    assert rule.centre == pytest.approx(2.995732, abs=5e-7)
    assert rule.spread == pytest.approx(0.366746, abs=5e-7)
    assert math.exp(rule.centre + rule.spread**2 / 2) == pytest.approx(21.3913, abs=5e-5)


# ---- a sum of stages


@pytest.fixture
def two_stages():
    settings = Settings(stages={"a": Stage("a"), "b": Stage("b")})
    log = Log((Board("x", state=FINISHED, ready=DAY, total_hours=3.3),))
    return density_of(log, settings)


def test_a_sum_of_lognormals_has_their_mean_and_variance(two_stages):
    """L. F. Fenton (1960), IRE Trans. Communications Systems 8:57-67; two LN(0, 1) (moments: identity)."""
    numbers = two_stages.numbers(at(two_stages, [0.0, 0.0], 1e-9, 1.0))
    s = sums(two_stages.table.cells, numbers)
    mu, sigma = float(s.log_median[0, 0]), math.sqrt(s.variance[0, 0])

    assert (mu, sigma) == pytest.approx((0.883090, 0.787473), abs=5e-7)
    assert math.exp(mu + sigma**2 / 2) == pytest.approx(3.2974425, abs=5e-8)
    assert math.expm1(sigma**2) * math.exp(2 * mu + sigma**2) == pytest.approx(9.3415485, abs=5e-8)


def test_a_board_s_range_is_that_of_the_sum_itself():
    """The exact 5, 50 and 95 % points of the same sum, by convolution: .7269 2.4432 8.6356."""
    fit = SavedFit(
        as_of="",
        stages=("a", "b"),
        parts=(("a", "once"), ("b", "once")),
        conditions=(),
        log_rate=np.zeros((1, 2)),
        effect=np.zeros((1, 0)),
        loading=np.full((1, 2), 1e-9),
        noise=np.ones((1, 2)),
        lean=np.zeros(1),
        scale=np.ones(1),
    )
    n = 400_000
    work = Work({}, {"a": np.ones(n, dtype=bool), "b": np.ones(n, dtype=bool)}, {}, frozenset())
    total = draw_hours(fit, work, np.random.default_rng(1), n).total
    low, middle, high = np.quantile(total, [0.05, 0.5, 0.95])

    # five standard errors of a quantile of so many draws
    assert low == pytest.approx(0.7269, abs=0.008)
    assert middle == pytest.approx(2.4432, abs=0.02)
    assert high == pytest.approx(8.6356, abs=0.11)


# ---- outside past experience
#
# D. C. Montgomery, E. A. Peck & G. G. Vining (2012), Introduction to Linear Regression Analysis, section 3.8 and
# Examples 3.13 and 3.14 (from memory; the distances themselves are checked with the least squares): three points
# farther from the 25 deliveries than any of these is, and the delivery of 8 cases over 275 feet.

INSIDE, HIDDEN = [(8, 275)], [(20, 250), (28, 500), (8, 1200)]


@pytest.mark.parametrize("point", INSIDE + HIDDEN)
def test_a_mix_never_seen_is_said_where_each_quantity_was(published, point):
    t = published("mpv_delivery")
    settings = Settings(
        drivers={"cases": Driver("cases"), "distance": Driver("distance")},
        stages={"deliver": Stage("deliver", drivers=("once", "cases", "distance"))},
    )
    boards = tuple(
        KnownBoard(str(i), assessed={"cases": c, "distance": d}, taught=("deliver",))
        for i, (c, d) in enumerate(zip(t["cases"].tolist(), t["distance_ft"].tolist(), strict=True))
    )
    no_rates = np.zeros((1, 3))
    fit = SavedFit(
        "", ("deliver",), tuple(("deliver", d) for d in ("once", "cases", "distance")), (), no_rates,
        np.zeros((1, 0)), np.ones((1, 1)), np.ones((1, 1)), np.zeros(1), np.ones(1), boards=boards,
    )  # fmt: skip
    values = {"cases": float(point[0]), "distance": float(point[1])}
    here = KnownBoard("", assessed=values)
    said = outside(fit, here, Work(values, {}, {}, frozenset()), settings)

    assert {o.how for o in said} == ({"together"} if point in HIDDEN else set())
    for o in said:
        seen = t["cases" if o.driver == "cases" else "distance_ft"]
        assert (o.value, o.seen_low, o.seen_high) == (values[o.driver], seen.min(), seen.max())


def test_stages_in_hand_are_the_censored_lognormal_of_the_motors(published):
    """Motorette lives above 150 °C, log life on 1000/(273.2 + °C), unfinished tests censored.

    W. Nelson & G. J. Hahn (1972), Technometrics 14:247-276, as fitted in the reference output of R's survival
    package (tests/r_sas): -10.471, 8.322, scale .604, log likelihood -145.9, on the scale of log lives -24.47.
    """
    motors = published("motors")
    hot = motors["temp"] > 150
    inverse = 1000 / (273.2 + motors["temp"][hot])
    failed = motors["cens"][hot] == 1
    day = dt.date(2026, 1, 5)
    boards, entries = [], []
    for i, (hours, done, heat) in enumerate(zip(motors["time"][hot], failed, inverse, strict=True)):
        boards.append(Board(f"m{i}", state=FINISHED if done else WITHDRAWN, assessed={"heat": float(heat)}))
        entries.append(Entry(f"m{i}", day, "life", float(hours), grain=1e-9, done=bool(done)))
    settings = Settings(
        modifiers={"heat": Modifier("heat", stages=("life",), grades=("a", "b", "c"))},
        stages={"life": Stage("life")},
    )
    log = Log(tuple(boards), tuple(entries))
    table = table_of(log, settings)
    density = Density(table, terms_of(table, log, settings))
    numbers = Numbers(
        *(np.array([[value]]) for value in (-10.471, 8.322, 1e-9, 0.604, 0.0)),
        np.zeros(1),
        np.ones(1),
        level=np.zeros((1, 1)),
    )

    value = float(density._rows(numbers)[0][0]) - failed.sum() / 2 * math.log(2 * math.pi)

    assert (int(failed.sum()), len(inverse)) == (17, 30)
    assert value == pytest.approx(-24.47, abs=0.01)
    assert value - np.log(motors["time"][hot][failed]).sum() == pytest.approx(-145.9, abs=0.05)

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from making.overruns import drivers, went

from estimator.decide.overruns.parts import THREE
from estimator.decide.overruns.variance_shares import (
    UNEXPLAINED,
    _around,
    _between,
    _groups,
    adjusted,
    chosen,
    could_find,
    goes_with,
    lmg,
)
from estimator.words.settings.schema import Driver, Modifier, Settings

BOARDS, VALUES = went(80)
SHOP = drivers()


@pytest.fixture(scope="module")
def found():
    return goes_with(BOARDS, VALUES, SHOP)


def by_name(shares):
    return {(s.driver, s.part): s for s in shares}


def test_everything_adds_up_to_the_whole(found):
    parts, whole = {s.part: s.share for s in found.parts}, {s.driver: s.share for s in found.drivers}
    cells = by_name(found.shares)

    assert sum(parts.values()) == pytest.approx(1, abs=1e-12)
    assert sum(whole.values()) == pytest.approx(1, abs=1e-12)
    assert sorted(whole) == ["d0", "d1", "d2", UNEXPLAINED]
    assert found.could_find == could_find(80, 3, 4)  # three drivers, of the whole and of three parts
    for part in THREE:
        assert sum(s.share for (_, p), s in cells.items() if p == part) == pytest.approx(
            parts[part], abs=1e-12
        )
    for name, share in whole.items():
        assert sum(cells[name, part].share for part in THREE) == pytest.approx(share, abs=1e-12)


def test_parts_have_their_covariance_with_the_whole(found):
    rows = np.array([[getattr(b, part) for part in THREE] for b in BOARDS])
    whole = rows.sum(axis=1)
    for j, share in enumerate(found.parts):
        plain = np.cov(rows[:, j], whole)[0, 1] / whole.var(ddof=1)
        assert share.share == pytest.approx(plain, abs=1e-12)
        assert share.low < share.share < share.high


def test_drivers_have_the_adjusted_r2_in_all(found):
    rows = np.array([[v["d0"], v["d1"], v["d2"], b.overrun] for v, b in zip(VALUES, BOARDS, strict=True)])
    r2 = lmg(np.cov(rows.T)[None]).sum()

    assert 1 - found.drivers[-1].share == pytest.approx(float(adjusted(r2, 80, 3)), abs=1e-9)


def test_the_driver_that_makes_guesses_low_is_named_and_noise_is_not(found):
    sure = {(e.driver, e.part) for e in found.effects if e.p_adjusted < 0.05}
    assert {("d0", "overrun"), ("d0", "guess")} <= sure
    assert {driver for driver, _ in sure} == {"d0"}
    effect = next(e for e in found.effects if (e.driver, e.part) == ("d0", "guess"))
    assert effect.low < 0.25 < effect.high
    shares = by_name(found.drivers)
    assert shares["d0", "overrun"].low > 0.2
    assert shares["d1", "overrun"].low == shares["d2", "overrun"].low == 0.0
    of_d0 = {e.part: e.effect for e in found.effects if e.driver == "d0"}
    assert sum(of_d0[part] for part in THREE) == pytest.approx(of_d0["overrun"], abs=1e-12)


def test_ranges_hold_their_shares(found):
    for share in (*found.parts, *found.drivers, *found.shares):
        assert share.low <= share.share <= share.high


def test_the_order_of_boards_does_not_matter(found):
    turned = goes_with(BOARDS[::-1], VALUES[::-1], SHOP)
    for was, now in zip(
        (*found.drivers, *found.shares, *found.parts),
        (*turned.drivers, *turned.shares, *turned.parts),
        strict=True,
    ):
        assert (now.driver, now.part) == (was.driver, was.part)
        assert [now.share, now.low, now.high] == pytest.approx([was.share, was.low, was.high], abs=1e-9)


def test_units_change_effects_and_no_share(found):
    tenfold = [{**v, "d0": 10 * v["d0"]} for v in VALUES]
    other = goes_with(BOARDS, tenfold, SHOP)
    for was, now in zip(found.drivers, other.drivers, strict=True):
        assert [now.share, now.low, now.high] == pytest.approx([was.share, was.low, was.high], abs=1e-9)
    for was, now in zip(found.effects, other.effects, strict=True):
        assert now.effect == pytest.approx(was.effect / (10 if was.driver == "d0" else 1), abs=1e-12)
        assert now.p_adjusted == pytest.approx(was.p_adjusted, abs=1e-9)


def test_what_is_not_known_of_usual_hours_makes_ranges_of_parts_wider_and_none_of_drivers(found):
    rng = np.random.default_rng(1)
    off = rng.standard_normal((60, 1, 1)) * np.array([b.guess for b in BOARDS])[None, :, None]
    doubt = off * np.array([0.3, 0.0, -0.3])
    unsure = goes_with(BOARDS, VALUES, SHOP, doubt)

    for was, now in zip(found.parts, unsure.parts, strict=True):
        assert now.share == was.share
        grown = (now.high - now.low) / (was.high - was.low)
        assert grown == pytest.approx(1) if was.part == "surprise" else grown > 1.2
    assert unsure.drivers == found.drivers
    for was, now in zip(found.shares, unsure.shares, strict=True):
        grown = (now.high - now.low) / (was.high - was.low)
        assert grown == pytest.approx(1) if was.part == "surprise" or was.share == 0 else grown > 1.01, was
    was, now = ({(e.driver, e.part): e for e in one.effects} for one in (found, unsure))
    whole, part = ("d0", "overrun"), ("d0", "guess")
    assert (now[whole].low, now[whole].high) == (was[whole].low, was[whole].high)  # no usual hours are in it
    assert now[part].p_adjusted > was[part].p_adjusted


def test_few_boards_say_nothing_and_how_many_would_do():
    some, values = went(29)
    found = goes_with(some, values, SHOP)
    assert [(few.driver, few.would_do) for few in found.too_few] == [("d0", 30), ("d1", 30), ("d2", 30)]
    assert found.effects == ()
    assert len(found.parts) == 3
    assert [s.share for s in found.drivers] == [1.0]
    assert sum(s.share for s in found.shares) == pytest.approx(1, abs=1e-12)

    assert len(goes_with(some[:8], values[:8], SHOP).parts) == 3
    few = goes_with(some[:7], values[:7], SHOP)
    assert few.parts == few.shares == few.drivers == ()
    assert goes_with([], [], SHOP).parts == ()


def test_many_drivers_are_told_of_one_for_every_ten_boards():
    some, values = went(47, k=6)
    found = goes_with(some, values, drivers(6))
    assert len(found.drivers) == 4 + 1
    assert sorted(few.would_do for few in found.too_few) == [50, 60]

    many, values = went(200, k=14)
    assert len(goes_with(many, values, drivers(14)).drivers) == 12 + 1


def test_conditions_and_what_can_hide_come_first():
    shop = Settings(
        drivers={"size": Driver("size"), "inside": Driver("inside", known="strip")},
        modifiers={"wet": Modifier("wet"), "never": Modifier("never")},
    )
    rng = np.random.default_rng(2)
    values = [
        {
            "size": float(rng.random()),
            "inside": float(rng.integers(3)),
            "wet": float(rng.integers(2)),
            "never": 0.0,
        }
        for _ in range(30)
    ]
    kept, too_few, alike = chosen(values, shop, 30)
    assert list(kept) == ["wet", "inside", "size"] or list(kept) == ["inside", "wet", "size"]
    assert too_few == ()
    assert alike == {}


def test_a_level_needs_five_boards():
    values = [{"d0": float(j < 4), "d1": 1.0, "d2": float(j % 2)} for j in range(40)]
    kept, too_few, _ = chosen(values, drivers(), 40)
    assert list(kept) == ["d2"]
    assert [(few.driver, few.boards, few.would_do) for few in too_few] == [("d0", 4, 50)]
    five = [{"d0": float(j < 5), "d1": 1.0, "d2": float(j % 2)} for j in range(40)]
    assert list(chosen(five, drivers(), 40)[0]) == ["d2", "d0"]


def test_what_too_few_boards_tell_takes_no_place_from_others():
    """A condition and what is inside come first, whatever tells more boards apart; on three boards the glass was wet."""
    shop = Settings(
        drivers={"size": Driver("size"), "sides": Driver("sides"), "inside": Driver("inside", known="strip")},
        modifiers={"wet": Modifier("wet"), "brittle": Modifier("brittle")},
    )
    rng = np.random.default_rng(4)
    values = [
        {"size": float(rng.random()), "sides": float(j % 2), "inside": float(j % 5 == 0), "wet": float(j % 10 == 0),
         "brittle": float(j % 4 == 1)}
        for j in range(30)
    ]  # fmt: skip
    kept, too_few, alike = chosen(values, shop, 30)

    assert list(kept) == ["brittle", "inside", "size"]
    assert [(few.driver, few.boards, few.would_do) for few in too_few] == [("wet", 3, 50), ("sides", 15, 40)]
    assert alike == {}


def test_a_driver_that_falls_as_another_rises_cannot_be_told_from_it():
    rng = np.random.default_rng(5)
    values = [
        {
            "d0": 9.0 - float(n) + 0.1 * float(rng.random()),
            "d1": float(n),
            "d2": float(rng.random()) - 0.02 * n,
        }
        for n in np.maximum(rng.integers(0, 9, 60), 5)
    ]
    assert chosen(values, drivers(), 60)[2] in ({"d0": "d1"}, {"d1": "d0"})


def test_drivers_that_go_together_are_told_apart_from_none():
    rng = np.random.default_rng(3)
    values = [
        {"d0": float(x), "d1": 2 * float(x) + 0.01 * float(rng.random()), "d2": float(rng.random())}
        for x in rng.random(60)
    ]
    kept, _, alike = chosen(values, drivers(), 60)
    assert set(kept) == {"d2", *({"d0", "d1"} - set(alike))}
    assert len(alike) == 1
    assert set(alike.values()) <= {"d0", "d1"}


def test_an_area_that_follows_from_sides_goes_by_the_sides():
    shop = Settings(
        drivers={"sides": Driver("sides"), "area": Driver("area", source="outline", times="sides", unit="m2")}
    )
    kept, _, _ = chosen([{"sides": float(j % 3), "area": float(j)} for j in range(40)], shop, 40)
    assert list(kept) == ["sides"]


def test_boards_that_went_alike_have_no_shares():
    same = [replace(BOARDS[0], board=str(j)) for j in range(40)]
    assert goes_with(same, VALUES[:40], SHOP).parts == ()


def test_an_unknown_value_counts_as_the_mean():
    some = [
        {name: at for name, at in v.items() if not (j < 3 and name == "d1")} for j, v in enumerate(VALUES)
    ]
    mean = np.mean([v["d1"] for v in some if "d1" in v])
    kept, _, _ = chosen(some, SHOP, 80)
    assert kept["d1"][:3] == pytest.approx([mean] * 3)


def test_a_share_below_nought_is_said_as_it_is():
    """What was hidden made up for what the guess had left out."""
    made = []
    for j, board in enumerate(BOARDS[:40]):
        up = 0.3 * math.sin(j)
        made.append(
            replace(
                board,
                looked=40 * math.exp(up),
                in_all=40 * math.exp(0.7 * up),
                took=40 * math.exp(0.7 * up + 0.05 * math.cos(j)),
            )
        )
    parts = {s.part: s for s in goes_with(made, VALUES[:40], SHOP).parts}
    assert parts["surprise"].share < 0
    assert parts["surprise"].low < parts["surprise"].high < 0
    assert sum(s.share for s in parts.values()) == pytest.approx(1)


def test_more_boards_than_are_left_out_one_by_one():
    left_out = _groups(np.array([board.overrun for board in went(450)[0]]))
    assert sorted(np.concatenate(left_out).tolist()) == list(range(450))
    assert len(left_out) == 200
    many, values = went(450)
    found = goes_with(many, values, SHOP)
    share = next(s for s in found.drivers if s.driver == "d0")
    assert 0.02 < share.high - share.low < 0.2


def test_a_driver_that_one_board_alone_tells_apart_needs_more_boards():
    """Without that board the third driver would be the sum of the two others."""
    some, _ = went(40)
    values = [{"d0": float(j < 8), "d1": float(8 <= j < 16), "d2": float(j < 16)} for j in range(40)]
    values[39]["d2"] = 3.0
    found = goes_with(some, values, drivers())

    assert len(found.drivers) == 2 + 1
    assert [few.would_do for few in found.too_few] == [200]


@settings(max_examples=8, deadline=None)
@given(st.integers(8, 70), st.integers(1, 5), st.integers(0, 10_000))
def test_whatever_drivers_there_are_shares_add_up(n, k, seed):
    """Counts with few levels, some of them copies, sums or the same on all boards."""
    rng = np.random.default_rng(seed)
    x = rng.integers(0, rng.integers(1, 4, k) + 1, (n, k)).astype(float)
    if k > 2:
        x[:, 2] = x[:, 0] + x[:, 1] * rng.integers(0, 2)
        x[0, 2] += rng.integers(0, 2)
    some, _ = went(n, seed=seed)
    found = goes_with(some, [{f"d{i}": row[i] for i in range(k)} for row in x.tolist()], drivers(k))

    for shares in (found.parts, found.drivers, found.shares):
        assert sum(s.share for s in shares) == pytest.approx(1, abs=1e-9)
        assert all(s.low <= s.share <= s.high for s in shares)
    assert all(
        math.isfinite(e.low) and math.isfinite(e.high) and 0 <= e.p_adjusted <= 1 for e in found.effects
    )
    assert all(few.would_do > n for few in found.too_few)


def test_a_small_part_of_which_few_boards_tell_is_not_said_to_be_nearly_all():
    """A share of .03, give or take .08: even on the log of share over rest alone its range would end at .33."""
    low, high = _between(0.03, 0.08)
    assert high == pytest.approx(0.03 + 2 * 0.08)
    assert 0 < low < 0.01

    low, high = _between(0.97, 0.08)
    assert low == pytest.approx(0.97 - 2 * 0.08)
    assert 0.99 < high < 1

    low, high = _between(0.5, 0.1)
    assert math.log(high / (1 - high)) == pytest.approx(0.4)
    assert low + high == pytest.approx(1.0)


@pytest.mark.parametrize(
    ("share", "free", "spread", "ends"),
    [
        (0.25, 0.25, 0.2, (0.09, 0.49)),  # on the root .5, give or take .2
        (0.25, 0.25, 0.8, (0.0, 1.0)),
        (0.81, 0.81, 0.36, (0.49, 1.0)),
        (0.019, 0.019, 0.001, (0.0, None)),  # so little may be none
        (0.0, -0.03, 0.02, (0.0, 0.04)),
        (0.3, 0.25, 0.01, (0.24010, 0.3)),
    ],
)
def test_a_driver_s_range_is_even_on_its_root_and_within_nought_and_one(share, free, spread, ends):
    low, high = _around(share, free, spread)

    assert low == pytest.approx(ends[0], abs=1e-4)
    assert ends[1] is None or high == pytest.approx(ends[1], abs=1e-4)

"""What anybody in the trade would expect. Common practice, no source, unless a line says otherwise.

Asked of both workshops that are shipped, on their first day: rules of thumb and no past board.
"""

import numpy as np
import pytest

from estimator.demo.texts import demo_text
from estimator.forecast.answers import answer
from estimator.log.starter import starter_text
from estimator.model.fit import fit
from estimator.model.quantities import happens
from estimator.model.saved_fit import KnownBoard
from estimator.words.errors import UnreadableError
from estimator.words.measures import convert, face_area_m2, odd_length, read_length_m
from estimator.words.records import Log
from estimator.words.settings.reader import parse_settings
from estimator.words.settings.schema import Bench
from estimator.words.worked_time import read_range_hours, read_worked_time

A_LONG_BOARD = {"face_area": 1.333, "sides_stripped": 2.0, "glass_stripped": 2.666, "coated_area": 2.666} | {
    "sides_coated": 2.0, "gloss": 2.0, "gloss_area": 2.666, "infills": 2.0, "logos": 1.0,
}  # fmt: skip


@pytest.fixture(scope="module", params=["starter", "demo"])
def shop(request):
    """Settings and what they say before any board; the name of the workshop."""
    settings, problems = parse_settings({"starter": starter_text, "demo": demo_text}[request.param]())
    assert problems == ()
    return settings, fit(Log(), settings, n_draws=600)


def hours(shop, odds=0.8, **changed):
    """The range of a long board restored all over, with some quantities changed."""
    settings, saved = shop
    nothing = dict.fromkeys(settings.quantities, 0.0)
    board = KnownBoard("x", kind="major", assessed={**nothing, **A_LONG_BOARD, **changed})
    return answer(saved, board, settings, odds=odds)


def stage(found, name):
    """The likely hours of a stage; 0 where it does not happen."""
    return next((s.likely for s in found.stages if s.stage == name), 0.0)


# ---- days and hours


def test_two_to_three_days_for_a_first_colour_are_12_to_21_hours_at_6_or_7_a_day():
    assert read_range_hours("2 to 3 days", 6) == (12, 18)
    assert read_range_hours("2 to 3 days", 7) == (14, 21)
    assert read_worked_time("2 days", 6.5).hours == 13  # another couple of days for the next


def test_spraying_a_first_colour_takes_two_to_three_days(shop):
    assert 12 <= stage(hours(shop, spray_colours=1), "spray") <= 21


def test_each_next_colour_takes_another_couple_of_days_and_not_three(shop):
    """Three colours: six or seven days, not three times three; days of 6 to 7 hours."""
    first, three = (stage(hours(shop, spray_colours=n), "spray") for n in (1, 3))

    assert 12 - 2 <= (three - first) / 2 <= 14 + 2
    assert 6 * 6 - 2 <= three <= 7 * 7
    assert three < 2.8 * first


# ---- the bench


def test_two_or_three_boards_at_once(shop):
    settings, _ = shop

    assert Bench().places == settings.bench.places == 3
    for wrong in ("0", "-1"):
        _, problems = parse_settings(f"[bench]\nplaces = {wrong}\n")
        assert [p.found for p in problems] == [wrong]


def test_drying_takes_the_rack_and_not_the_bench(shop):
    settings, _ = shop

    assert [s.name for s in settings.stages.values() if s.on == "rack"] == ["drying"]
    damp, soaked = settings.stages["drying"].wait_by["wetness"][1::2]
    assert damp[0] <= 7 <= damp[1]
    assert soaked[0] >= 30


@pytest.mark.parametrize("name", ["laminate", "filler", "gloss"])
def test_two_sides_are_two_sessions_and_two_nights(shop, name):
    settings, _ = shop
    sides = settings.stages[name].sessions

    assert sides in settings.stages[name].drivers
    assert sides in {"sides_stripped", "sides_coated", "gloss"}
    assert settings.stages[name].wait_days[1] >= 1


def test_gloss_hardens_three_to_ten_days_before_it_is_polished(shop):
    settings, _ = shop

    assert settings.stages["gloss"].wait_days == (3, 10)
    assert settings.stages["polish"].after == ("gloss",)


# ---- no work, no hours


@pytest.mark.parametrize(
    ("none", "gone"),
    [
        ({"sides_stripped": 0, "glass_stripped": 0}, ["strip", "reshape"]),
        ({"gloss": 0, "gloss_area": 0}, ["gloss", "polish"]),  # a sanded finish
        ({"spray_colours": 0}, ["spray"]),
        ({"logos": 0}, ["logos"]),
        ({"infills": 0}, ["infill"]),
    ],
)
def test_what_is_not_there_takes_no_hours(shop, none, gone):
    settings, _ = shop
    with_all = hours(shop, spray_colours=1)
    without = hours(shop, **{"spray_colours": 1, **none})

    assert all(stage(with_all, name) > 0 for name in gone)
    assert {s.stage for s in with_all.stages} - {s.stage for s in without.stages} >= set(gone)
    assert without.likely < with_all.likely
    values = {**dict.fromkeys(settings.quantities, 0.0), **A_LONG_BOARD, "spray_colours": 1.0, **none}
    assert not any(happens(settings.stages[name], values) for name in gone)


# ---- more work, more hours


@pytest.mark.parametrize(
    "more",
    [
        {"spray_colours": 1},
        {"infills": 3},
        {"logos": 2},
        {"pinlines": 1},
        {"fins_made": 1},
        {"glass_stripped": 3.0},
        {"brittle_glass": 1},
        {"brittle_glass": 2},
    ],
)
def test_more_work_or_more_brittle_glass_never_takes_fewer_hours(shop, more):
    before, after = hours(shop), hours(shop, **more)

    assert (after.low, after.likely, after.high) > (before.low, before.likely, before.high)
    assert after.likely - before.likely > 0.05


def test_surer_odds_are_a_wider_range(shop):
    ranges = [hours(shop, odds) for odds in (0.5, 0.8, 0.9, 0.95)]

    assert (np.diff([r.low for r in ranges]) < 0).all()
    assert (np.diff([r.high for r in ranges]) > 0).all()


# ---- sizes


def test_a_nine_six():
    """9'6" is 114 inches, 2.8956 m (by definition)."""
    assert read_length_m("9'6\"") == pytest.approx(2.8956, abs=1e-12)
    assert convert(114, "in", "m") == pytest.approx(2.8956, abs=1e-12)


def test_boards_are_mostly_five_to_ten_feet():
    assert [read_length_m(f"{feet} ft") for feet in (3, 13)] == pytest.approx([0.9144, 3.9624])
    for feet in ("2.9", "13.1"):
        with pytest.raises(UnreadableError):
            read_length_m(f"{feet} ft")
    assert [odd_length(convert(feet, "ft", "m")) for feet in (4.9, 5, 10, 10.5, 10.6)] == [
        True,
        False,
        False,
        False,
        True,
    ]


def test_the_face_of_a_long_board():
    """9'4" by 22 1/2", a long outline: 14.35 square feet, 1.333 m2 (arithmetic)."""
    area_m2 = face_area_m2(convert(112, "in", "m"), convert(22.5, "in", "m"), "long")

    assert area_m2 == pytest.approx(1.333, abs=5e-4)
    assert convert(area_m2, "m2", "ft2") == pytest.approx(14.35, abs=5e-3)


def test_four_and_six_ounce_cloth_by_the_square_metre():
    """Ounces to the square yard: 136 and 203 g/m2 (NIST SP 811, B.8, from memory: 33.90575 g/m2 an ounce)."""
    yard_m2 = convert(36 * 36, "in2", "m2")

    assert [round(convert(oz, "oz", "g") / yard_m2) for oz in (4, 6)] == [136, 203]
    assert convert(1, "oz", "g") / yard_m2 == pytest.approx(33.90575, abs=5e-6)

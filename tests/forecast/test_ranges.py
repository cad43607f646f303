"""The JSON of a range, key by key, and the day to tell an owner."""

import datetime as dt
import json

from estimator.forecast.ranges import (
    Alike,
    Cost,
    LookNext,
    Outside,
    Price,
    Range,
    Ready,
    Reason,
    StageRange,
)

OCTOBER = [dt.date(2026, 10, n) for n in range(1, 9)]


def test_an_owner_is_never_told_a_day_before_the_range_ends():
    days = OCTOBER[:3]

    assert Ready(*days).tell == OCTOBER[2]
    assert Ready(*days, tell=OCTOBER[1]).tell == OCTOBER[2]
    assert Ready(*days, tell=OCTOBER[4]).tell == OCTOBER[4]


def whole(**more):
    plain = {
        "board": "26-014",
        "odds": 0.8,
        "view": "now",
        "low": 1.0,
        "likely": 2.0,
        "high": 3.0,
        "quantiles": {"0.05": 0.5},
        "stages": (StageRange("strip", 4.0, 5.0, 6.0, 7.0, True),),
        "reasons": (Reason("strip", "once", 8.0),),
        "boards": 9,
        "rules": 10,
        "lent": 11,
        "unused": 12,
        "outside": (Outside("area", 13.0, 14.0, 15.0, "beyond"),),
        "alike": (Alike("26-001", "red", 16.0, "wet"),),
        "over": {"40": 0.17},
        "guess": 18.0,
        "chance_beyond_guess": 0.19,
        "unknown": ("a",),
        "worked_out": ("b",),
        "taken_as_none": ("c",),
        "stretch": (1.2, 1.3),
        "stretch_day": "2026-09-30",
        "ready": Ready(*OCTOBER[:3], OCTOBER[3], OCTOBER[4]),
        "materials": Cost(20.0, 21.0, 22.0, lent=True),
        "price": Price(23.0, 0.8, 24.0),
        "widened": 1.4,
        "by_rules": ("d",),
        "settled": False,
        "passed_by": ("e",),
        "look_next": (LookNext("f", 25.0),),
    }
    return json.loads(json.dumps(Range(**{**plain, **more}).as_dict()))


def test_each_number_of_a_range_stands_under_its_own_name():
    assert whole() == {
        "board": "26-014",
        "odds": 0.8,
        "view": "now",
        "hours": {"low": 1.0, "likely": 2.0, "high": 3.0},
        "quantiles": {"0.05": 0.5},
        "stages": [{"stage": "strip", "low": 4.0, "likely": 5.0, "high": 6.0, "so_far": 7.0, "done": True}],
        "reasons": [{"stage": "strip", "driver": "once", "hours": 8.0}],
        "rests_on": {"boards": 9, "rules": 10, "lent": 11, "unused": 12},
        "outside_experience": [
            {"driver": "area", "value": 13.0, "seen_low": 14.0, "seen_high": 15.0, "how": "beyond"}
        ],
        "widened": 1.4,
        "stages_by_rules": ["d"],
        "settled": False,
        "stages_passed_by": ["e"],
        "alike": [{"board": "26-001", "called": "red", "hours": 16.0, "differs": "wet"}],
        "over": {"40": 0.17},
        "guess": 18.0,
        "chance_beyond_guess": 0.19,
        "unknown": ["a"],
        "worked_out": ["b"],
        "taken_as_none": ["c"],
        "ready": {
            "low": "2026-10-01",
            "likely": "2026-10-02",
            "high": "2026-10-03",
            "say_yes_by": "2026-10-04",
            "tell": "2026-10-05",
        },
        "materials": {"low": 20.0, "likely": 21.0, "high": 22.0, "lent": True},
        "price": {"for_target": 23.0, "odds": 0.8, "target": 24.0},
        "look_next": [{"driver": "f", "narrows_hours": 25.0}],
        "looked_so": None,
        "stretch": {"low": 1.2, "high": 1.3, "day": "2026-09-30"},
    }


def test_what_was_not_asked_for_has_no_key_and_what_is_not_known_is_null():
    bare = whole(over={}, stretch_day="", ready=None, materials=None, price=None)

    assert not {"over", "added"} & bare.keys()
    assert bare["stretch"]["day"] is bare["ready"] is bare["materials"] is bare["price"] is None

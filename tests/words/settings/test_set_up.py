"""Setting up: what stands in each field, and the settings once it is answered; what cannot be is said at its field."""

import datetime as dt

import pytest
from making.plans import TRADE

from estimator.log.starter import starter_text
from estimator.words.errors import EstimatorError
from estimator.words.settings.own_rules import rule_of, thumbs_asked
from estimator.words.settings.reader import parse_settings
from estimator.words.settings.schema import Modifier, Settings
from estimator.words.settings.set_up import QUESTIONS, answered, questions_asked, stands_now

TODAY = dt.date(2026, 6, 10)  # a Wednesday


def answer(question, typed, text=""):
    """The text of the settings with an answer, and what it says."""
    settings = parse_settings(text)[0]
    then = answered(question, lambda name: typed.get(name, ""), text, settings, TODAY)
    return then, parse_settings(then)[0]


WEEK = dict(zip(("mon", "tue", "wed", "thu", "fri"), ("8", "8", "7½", "8", "4"), strict=True))


def test_the_hours_of_a_week_are_written_as_they_are_and_nought_where_nothing_is():
    text, settings = answer("week", WEEK)
    assert settings.bench.hours_by_weekday == (8, 8, 7.5, 8, 4, 0, 0)
    assert "hours_by_weekday = [8, 8, 7.5, 8, 4, 0, 0]" in text
    assert answer("week", WEEK, text)[0] is text
    assert stands_now("week", settings, TODAY) == {
        **WEEK,
        "wed": "7.5",
        "sat": "0",
        "sun": "0",
    }


@pytest.mark.parametrize(
    ("question", "typed", "of", "value"),
    [
        ("places", {"places": "4"}, "bench.places", 4),
        ("places", {"places": "50"}, "bench.places", 50),
        ("places", {"places": "1"}, "bench.places", 1),
        ("pay", {"currency": "mk", "target": "55.50", "floor": "0"}, "workshop.target_pay", 55.5),
        ("pay", {"currency": "mk", "target": "55", "floor": "0"}, "workshop.floor_pay", 0),
        ("pay", {"currency": "mk", "target": "55", "floor": "0"}, "workshop.currency", "mk"),
        ("rent", {"overheads": "480"}, "workshop.overheads_a_month", 480),
        ("a-day", {"day": "7:30"}, "workshop.hours_in_a_day", 7.5),
        ("colour", {"colour": "filler"}, "workshop.colour_on", "filler"),
        ("sweeping", {"sweeping": "no"}, "workshop.hours_include_sweeping", False),
        ("ready", {"ready": "collected"}, "workshop.ready", "collected"),
        ("two-pack", {"two_pack": "yes"}, "workshop.two_pack", True),
    ],
)
def test_each_answer_fills_its_own_setting(question, typed, of, value):
    text, settings = answer(question, typed)
    section, key = of.split(".")
    assert getattr(getattr(settings, section), key) == value
    if question == "places":
        assert text == f"\n[bench]\nplaces = {value}\n" or f"places = {value}\n" in text
    assert answer(question, typed, text)[0] == text
    shown = {True: "yes", False: "no"}
    now = stands_now(question, settings, TODAY)
    assert list(now) == [field.name for field in QUESTIONS[question]]
    if isinstance(value, bool):
        assert list(now.values()) == [shown[value]]


@pytest.mark.parametrize(
    ("question", "typed", "field"),
    [
        ("places", {"places": "2.5"}, "places"),
        ("places", {"places": "0"}, "places"),
        ("places", {"places": "51"}, "places"),
        ("places", {}, "places"),
        ("week", {**WEEK, "fri": "25"}, "fri"),
        ("week", {**WEEK, "fri": "x"}, "fri"),
        ("pay", {"currency": "a long sign of money", "target": "5", "floor": "5"}, "currency"),
        ("pay", {"currency": "", "target": "5", "floor": "10001"}, "floor"),
        ("a-day", {"day": "0.25"}, "day"),
        ("colour", {"colour": "glass"}, "colour"),
        ("two-pack", {}, "two_pack"),
        ("away", {"from1": "2026-06-20", "to1": "2026-06-19"}, "to1"),
        ("away", {"from1": "2026-06-01", "to1": "2026-06-09"}, "to1"),
        ("away", {"to1": "2026-06-19"}, "from1"),
        ("away", {"from1": "soon"}, "from1"),
    ],
)
def test_what_cannot_be_is_said_at_its_field(question, typed, field):
    with pytest.raises(EstimatorError) as caught:
        answer(question, typed)
    assert caught.value.field == field
    assert caught.value.cure


AWAY = """[bench]
away = [{first = 2026-05-01, last = 2026-06-09}, {first = 2026-06-08, last = 2026-06-10}, {first = 2026-08-03, last = 2026-08-14}]
"""


def days(settings):
    return [(one.first.isoformat()[5:], one.last.isoformat()[5:]) for one in settings.bench.away]


def test_days_away_that_are_over_stay_and_are_not_shown():
    shown = stands_now("away", parse_settings(AWAY)[0], TODAY)
    assert shown == {"from1": "2026-06-08", "to1": "2026-06-10", "from2": "2026-08-03", "to2": "2026-08-14"}
    assert answer("away", shown, AWAY)[0] is AWAY
    _, settings = answer("away", {"from2": "2026-08-03", "to2": "2026-08-12", "from4": "2026-12-24"}, AWAY)
    assert days(settings) == [("05-01", "06-09"), ("08-03", "08-12"), ("12-24", "12-24")]
    assert days(answer("away", {}, AWAY)[1]) == [("05-01", "06-09")]
    assert days(answer("away", {"from5": "2026-12-24"}, AWAY)[1])[-1] == (
        "12-24",
        "12-24",
    )  # three more than there are


@pytest.mark.parametrize(
    ("typed", "found"),
    [
        ({"from1": "10 June"}, ("2026-06-10", "2026-06-10")),
        ({"from1": "9 June", "to1": "11 June 2027"}, ("2027-06-09", "2027-06-11")),
        ({"from1": "24 Dec", "to1": "3 Jan"}, ("2026-12-24", "2027-01-03")),
        ({"from1": "2026-06-08", "to1": "2026-06-10"}, ("2026-06-08", "2026-06-10")),
    ],
)
def test_a_day_without_its_year_is_the_next_of_that_name(typed, found):
    [one] = answer("away", typed)[1].bench.away
    assert (one.first.isoformat(), one.last.isoformat()) == found


@pytest.mark.parametrize(
    ("typed", "ends"),
    [
        ({"infill.quickest": "½", "infill.slowest": "3"}, (0.5, 3)),
        ({"infill.quickest": "30 min", "infill.slowest": "1 day"}, (0.5, 6.5)),
        ({"infill.quickest": "", "infill.slowest": ""}, None),
    ],
)
def test_a_rule_of_thumb_is_his_own_once_both_ends_are_said(typed, ends):
    text, settings = answer("rules", typed, starter_text())
    own = rule_of("infill", settings)
    assert (own and (own.low, own.high)) == ends
    assert (text == starter_text()) is (ends is None)
    if own:
        assert (own.said, own.source, own.odds, own.stage, own.per) == (
            TODAY,
            "own",
            0.8,
            "infill",
            "infills",
        )
        again, _ = answer("rules", stands_now("rules", settings, TODAY), text)
        assert again == text
        assert stands_now("rules", settings, TODAY) == {
            "infill.quickest": f"{own.low:g}",
            "infill.slowest": f"{own.high:g}",
        }


@pytest.mark.parametrize(
    ("typed", "low", "high"),
    [
        (("3", "9,5"), 3, 9.5),
        (("3 days", "2 weeks"), 3, 14),
        (("1 w", "3 wk"), 7, 21),
    ],
)
def test_drying_is_in_days_and_a_week_has_seven(typed, low, high):
    _, settings = answer("rules", {"drying.quickest": typed[0], "drying.slowest": typed[1]}, starter_text())
    own = rule_of("drying", settings)
    assert (own.low, own.high, own.about, own.wait) == (low, high, "days", "drying")


@pytest.mark.parametrize(
    ("typed", "field"),
    [
        ({"infill.quickest": "3"}, "infill.slowest"),
        ({"infill.slowest": "3"}, "infill.quickest"),
        ({"infill.quickest": "3", "infill.slowest": "3"}, "infill.slowest"),
        ({"infill.quickest": "4", "infill.slowest": "3"}, "infill.slowest"),
        ({"infill.quickest": "0", "infill.slowest": "3"}, "infill.quickest"),
        ({"drying.quickest": "x", "drying.slowest": "3"}, "drying.quickest"),
    ],
)
def test_a_rule_of_thumb_has_two_ends_of_which_the_first_is_less(typed, field):
    with pytest.raises(EstimatorError) as caught:
        answer("rules", typed, starter_text())
    assert caught.value.field == field


def test_only_rules_of_the_work_that_there_is_are_asked():
    assert len(thumbs_asked(TRADE)) == 6
    assert len(questions_asked(TRADE)) == 11
    assert thumbs_asked(Settings()) == ()
    wet = {"wetness": Modifier("wetness", grades=("dry", "damp"))}
    other = Settings(stages=TRADE.stages, drivers=TRADE.drivers, modifiers=wet)
    assert thumbs_asked(other) == ("strip", "first-colour", "next-colour", "infill", "sand")
    assert "strip" not in thumbs_asked(Settings(stages=TRADE.stages, modifiers=TRADE.modifiers))


def test_other_ends_of_his_own_rule_take_the_place_of_those_that_he_said_before():
    text, _ = answer("rules", {"infill.quickest": "1", "infill.slowest": "3"}, starter_text())
    for low, high in (("1", "4"), ("2", "4")):
        text, settings = answer("rules", {"infill.quickest": low, "infill.slowest": high}, text)
        own = rule_of("infill", settings)
        assert (own.low, own.high) == (float(low), float(high))
        assert [rule.name for rule in settings.rules].count(own.name) == 1

"""The questions of setting up, one by one: what stands there now, what an answer writes, what is refused and where."""

import datetime as dt
import tomllib
from dataclasses import replace

import pytest

from estimator.log.starter import starter_text
from estimator.words.errors import UnreadableError
from estimator.words.settings.reader import parse_settings
from estimator.words.settings.schema import Away, Bench, Settings
from estimator.words.settings.set_up import answered, questions_asked, stands_now

TODAY = dt.date(2026, 6, 10)  # a Wednesday
STARTER = starter_text()
WEEK = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")


def read(text):
    settings, problems = parse_settings(text)
    assert problems == ()
    return settings


def given(question, typed, written=STARTER):
    """The settings' text once a question is answered with these fields, the others empty."""
    return answered(question, lambda name: typed.get(name, ""), written, read(written), TODAY)


def kept(question, typed, written=STARTER):
    return tomllib.loads(given(question, typed, written))


def away(*days):
    rows = ", ".join(f"{{first = {first}, last = {last}}}" for first, last in days)
    return f"[bench]\naway = [{rows}]\n"


def test_rules_of_thumb_are_asked_only_where_there_is_work_for_them():
    assert questions_asked(read(STARTER))[-1] == "rules"
    assert questions_asked(Settings()) == (
        *("week", "away", "places", "pay", "rent", "a-day", "colour", "sweeping", "ready", "two-pack"),
    )


def test_what_stands_there_is_said_as_it_would_be_typed():
    settings = read(STARTER)
    at_work = replace(settings, workshop=replace(settings.workshop, target_pay=42.5, two_pack=True))

    assert stands_now("week", Settings(), TODAY) == dict(
        zip(WEEK, ("6", "6", "6", "6", "5", "0", "0"), strict=True)
    )
    assert stands_now("pay", at_work, TODAY)["target"] == "42.5"
    assert stands_now("two-pack", at_work, TODAY) == {"two_pack": "yes"}
    assert stands_now(
        "sweeping", replace(at_work, workshop=replace(at_work.workshop, hours_include_sweeping=False)), TODAY
    ) == {"sweeping": "no"}
    assert stands_now("rules", settings, TODAY) == {}  # all are lent


def test_days_away_that_are_over_are_not_shown_and_one_that_ends_today_is():
    days = [Away(dt.date(2026, 6, day), dt.date(2026, 6, last)) for day, last in ((1, 9), (8, 10), (20, 21))]
    settings = Settings(bench=Bench(away=tuple(days)))

    assert stands_now("away", settings, TODAY) == {
        "from1": "2026-06-08", "to1": "2026-06-10", "from2": "2026-06-20", "to2": "2026-06-21",
    }  # fmt: skip


def test_a_week_is_written_as_it_was_typed_and_a_day_left_empty_has_no_hours():
    typed = dict(zip(WEEK, ("7", "7", "6,5", "6 h 30", "", "3", ""), strict=True))

    assert kept("week", typed)["bench"]["hours_by_weekday"] == [7, 7, 6.5, 6.5, 0, 3, 0]
    assert "[7, 7, 6.5, 6.5, 0, 3, 0]" in given("week", typed)


@pytest.mark.parametrize(
    ("question", "typed", "section", "there"),
    [
        ("places", {"places": "2"}, "bench", {"places": 2}),
        (
            "pay",
            {"currency": "kr", "target": "1,200", "floor": "900.50"},
            "workshop",
            {"currency": "kr", "target_pay": 1200.0, "floor_pay": 900.5},
        ),
        ("rent", {"overheads": "0"}, "workshop", {"overheads_a_month": 0.0}),
        ("a-day", {"day": "6 h 30"}, "workshop", {"hours_in_a_day": 6.5}),
        ("colour", {"colour": "filler"}, "workshop", {"colour_on": "filler"}),
        ("sweeping", {"sweeping": "no"}, "workshop", {"hours_include_sweeping": False}),
        ("ready", {"ready": "collected"}, "workshop", {"ready": "collected"}),
        ("two-pack", {"two_pack": "yes"}, "workshop", {"two_pack": True}),
    ],
)
def test_an_answer_is_its_setting_and_no_other(question, typed, section, there):
    before, after = tomllib.loads(STARTER), kept(question, typed)

    assert {key: after[section][key] for key in there} == there
    assert [type(after[section][key]) for key in there] == [type(value) for value in there.values()]
    assert {**after, section: {**after[section], **dict.fromkeys(there)}} == {
        **before,
        section: {**before[section], **dict.fromkeys(there)},
    }


@pytest.mark.parametrize("question", questions_asked(read(STARTER)))
def test_what_stands_there_sent_as_it_is_changes_nothing(question):
    settings = read(STARTER)
    there = stands_now(question, settings, TODAY)

    assert answered(question, lambda name: there.get(name, ""), STARTER, settings, TODAY) == STARTER


@pytest.mark.parametrize(
    ("question", "typed", "field", "wrong"),
    [
        ("week", {"mon": "25"}, "mon", "25 can't be."),
        ("week", {"mon": "6", "tue": "lots"}, "tue", ""),
        ("places", {"places": ""}, "places", "Nothing is written."),
        ("places", {"places": "2.5"}, "places", "2.5 is no whole number."),
        ("places", {"places": "0"}, "places", "0 can't be."),
        ("places", {"places": "51"}, "places", "51 can't be."),
        ("pay", {"currency": "kr", "target": "", "floor": "5"}, "target", "Nothing is written."),
        ("pay", {"currency": "thirteen kro", "target": "30", "floor": "x"}, "floor", ""),
        ("pay", {"currency": "thirteen krow", "target": "30", "floor": "5"}, "currency", "That is too long for a sign."),
        ("pay", {"currency": "k\tr", "target": "30", "floor": "5"}, "currency", "That is too long for a sign."),
        ("a-day", {"day": ""}, "day", "Nothing is written."),
        ("colour", {"colour": ""}, "colour", "Nothing is chosen."),
        ("colour", {"colour": "yes"}, "colour", "Nothing is chosen."),
        ("two-pack", {"two_pack": "foam"}, "two_pack", "Nothing is chosen."),
        ("away", {"from1": "2026-06-20", "to1": "2026-06-19"}, "to1", "The last day is before the first."),
        ("away", {"from2": "2026-06-01", "to2": "2026-06-09"}, "to2", "Those days are over."),
        ("away", {"to1": "2026-06-20"}, "from1", ""),
        ("away", {"from1": "soon"}, "from1", ""),
        ("away", {"from1": "2026-06-20", "to1": "late"}, "to1", ""),
        ("rules", {"strip.quickest": "4"}, "strip.slowest", "One of the two is missing."),
        ("rules", {"strip.slowest": "4"}, "strip.quickest", "One of the two is missing."),
        ("rules", {"sand.quickest": "4", "sand.slowest": "4"}, "sand.slowest", "The quickest of ten takes less than the slowest."),
        ("rules", {"infill.quickest": "0", "infill.slowest": "4"}, "infill.quickest", "That takes some time."),
        ("rules", {"infill.quickest": "1", "infill.slowest": "many"}, "infill.slowest", ""),
    ],
)  # fmt: skip
def test_what_cannot_be_is_said_at_its_field(question, typed, field, wrong):
    with pytest.raises(UnreadableError) as caught:
        given(question, typed)

    assert caught.value.field == field
    assert caught.value.wrong == wrong or not wrong
    assert caught.value.cure


def test_days_away_are_added_those_over_stay_and_the_last_of_them_may_be_today():
    written = away(("2026-05-01", "2026-05-04"), ("2026-06-20", "2026-06-21"))
    typed = {"from1": "2026-06-20", "to1": "2026-06-22", "from3": "2026-06-08", "to3": "2026-06-10"}

    rows = kept("away", typed, written)["bench"]["away"]
    assert [(str(row["first"]), str(row["last"])) for row in rows] == [
        ("2026-05-01", "2026-05-04"),
        ("2026-06-08", "2026-06-10"),
        ("2026-06-20", "2026-06-22"),
    ]
    assert given("away", {"from1": "2026-06-20", "to1": "2026-06-21"}, written) == written
    assert kept("away", {}, written)["bench"]["away"] == [
        {"first": dt.date(2026, 5, 1), "last": dt.date(2026, 5, 4)}
    ]


def test_a_time_away_that_ends_today_can_be_taken_back_and_stands_once():
    written = away(("2026-06-08", "2026-06-10"))

    assert given("away", {"from1": "2026-06-08", "to1": "2026-06-10"}, written) == written
    assert kept("away", {}, written)["bench"]["away"] == []
    assert kept("away", {"from1": "2026-06-08", "to1": "2026-06-12"}, written)["bench"]["away"] == [
        {"first": dt.date(2026, 6, 8), "last": dt.date(2026, 6, 12)}
    ]


def test_three_times_away_can_be_written_beside_those_that_are_there():
    written = away(("2026-06-20", "2026-06-21"))
    typed = {"from1": "2026-06-20", "to1": "2026-06-21", "from4": "2026-08-03", "from5": "2026-09-03"}

    rows = kept("away", typed, written)["bench"]["away"]
    assert [(str(row["first"]), str(row["last"])) for row in rows] == [
        ("2026-06-20", "2026-06-21"),
        ("2026-08-03", "2026-08-03"),  # one day
    ]


@pytest.mark.parametrize(
    ("first", "last", "there"),
    [
        ("10 June", "", ("2026-06-10", "2026-06-10")),  # today is still to come
        ("9 June", "", ("2027-06-09", "2027-06-09")),
        ("20 Dec", "3 Jan", ("2026-12-20", "2027-01-03")),
        ("9 June", "11 June 2027", ("2027-06-09", "2027-06-11")),
        ("20 Dec 2027", "3 Jan", ("2027-12-20", "2028-01-03")),  # counted from the first
        ("3 Jan", "4 Jan", ("2027-01-03", "2027-01-04")),
    ],
)
def test_a_day_without_its_year_is_the_next_one(first, last, there):
    rows = kept("away", {"from1": first, "to1": last})["bench"]["away"]

    assert [(str(row["first"]), str(row["last"])) for row in rows] == [there]


@pytest.mark.parametrize(
    ("name", "typed", "ends"),
    [
        ("let in a piece", {"infill.quickest": "1,5", "infill.slowest": "3 h 20"}, (1.5, 3.333)),
        ("let in a piece", {"infill.quickest": "½", "infill.slowest": "1 day"}, (0.5, 6.5)),
        ("each further colour", {"next-colour.quickest": "45 min", "next-colour.slowest": "2"}, (0.75, 2)),
        ("drying when properly wet", {"drying.quickest": "5", "drying.slowest": "1.5 weeks"}, (5, 10.5)),
        ("drying when properly wet", {"drying.quickest": "1 week", "drying.slowest": "12 days"}, (7, 12)),
        ("drying when properly wet", {"drying.quickest": "2 w", "drying.slowest": "3wk"}, (14, 21)),
    ],
)
def test_a_rule_of_thumb_has_the_ends_that_were_typed(name, typed, ends):
    (rule,) = [one for one in kept("rules", typed)["rules"] if one["name"] == name]

    assert (rule["low"], rule["high"]) == pytest.approx(ends)
    assert rule["source"] == "own"
    assert rule["said"] == TODAY
    assert rule["odds"] == 0.8


def test_a_rule_said_again_as_it_is_keeps_the_day_on_which_it_was_said():
    typed = {"infill.quickest": "1", "infill.slowest": "3"}
    first = given("rules", typed).replace("said = 2026-06-10", "said = 2025-01-02")

    assert "said = 2025-01-02" in first
    assert given("rules", typed, first) == first
    assert "said = 2025-01-02" not in given("rules", {**typed, "infill.slowest": "3.5"}, first)
    assert stands_now("rules", read(first), TODAY) == {"infill.quickest": "1", "infill.slowest": "3"}


def test_a_number_that_cannot_be_is_said_with_the_least_and_the_most():
    with pytest.raises(UnreadableError) as caught:
        given("places", {"places": "51"})
    assert caught.value.cure == "Write a number from 1 to 50."

"""Each key that is read by a reader of its own: the least and the most that it takes, and what stands where it is wrong."""

import datetime as dt

import pytest

from estimator.words.settings.reader import parse_settings
from estimator.words.settings.schema import Away, Bench, Settings

WET = "[modifiers.wet]\n[stages.a]\nwait_by = "
KIND = '[drivers.d]\n[kinds.k]\nasks = ["d"]\nusual = '


def wrong(written):
    """The one thing that is wrong: where in the file, and what."""
    (problem,) = parse_settings(written)[1]
    return problem.where.removeprefix("workshop.toml, "), problem.wrong


@pytest.mark.parametrize(
    ("value", "where", "what"),
    [
        ("[]", "requote", "pairs of a price and a chance belong here"),
        ("3", "requote", "pairs of a price and a chance belong here"),
        ("[3]", "requote", "pairs of a price and a chance belong here"),
        ("[[1]]", "requote", "pairs of a price and a chance belong here"),
        ("[[1, 0.9], [1, 0.9, 2]]", "requote", "pairs of a price and a chance belong here"),
        ("[[1, 1.1]]", "requote", "the number must be from 0 to 1"),
        ("[[1, -0.1]]", "requote", "the number must be from 0 to 1"),
        ("[[101, 0.5]]", "requote", "the number must be from 0 to 100"),
        ("[[-1, 0.5]]", "requote", "the number must be from 0 to 100"),
        ('[[1, 0.9], ["a", 0.5]]', "requote", "a number belongs here"),
    ],
)
def test_prices_and_their_chances_that_are_none(value, where, what):
    written = f"[workshop]\nrequote = {value}"
    assert wrong(written) == (f"[workshop], {where}", what)
    assert parse_settings(written)[0].workshop.requote == Settings().workshop.requote


def test_prices_and_their_chances_up_to_the_ends():
    read, problems = parse_settings("[workshop]\nrequote = [[0, 0], [100, 1]]")
    assert (read.workshop.requote, problems) == (((0.0, 0.0), (100.0, 1.0)), ())


@pytest.mark.parametrize(
    ("value", "what"),
    [
        ("3", "seven numbers belong here, Monday first"),
        ("[1, 2, 3, 4, 5, 6]", "seven numbers belong here, Monday first"),
        ("[1, 2, 3, 4, 5, 6, 7, 8]", "seven numbers belong here, Monday first"),
        ("[0, 0, 0, 0, 0, 0, 0]", "a week without an hour finishes no board"),
        ("[25, 0, 0, 0, 0, 0, 0]", "the number must be from 0 to 24"),
        ("[-1, 0, 0, 0, 0, 0, 1]", "the number must be from 0 to 24"),
        ('["a", 0, 0, 0, 0, 0, 1]', "a number belongs here"),
    ],
)
def test_a_week_that_is_none_is_the_usual_one(value, what):
    written = f"[bench]\nhours_by_weekday = {value}"
    assert wrong(written) == ("[bench], hours_by_weekday", what)
    assert parse_settings(written)[0].bench.hours_by_weekday == Bench().hours_by_weekday


def test_a_week_of_one_hour_and_a_day_of_all_of_them_are_weeks():
    for week in ([0, 0, 0, 0, 0, 0, 1], [24, 0, 0, 0, 0, 0, 0]):
        read, problems = parse_settings(f"[bench]\nhours_by_weekday = {week}")
        assert (read.bench.hours_by_weekday, problems) == (tuple(map(float, week)), ())


GOOD = "{first = 2026-09-03, last = 2026-09-04}"
KEPT = (Away(dt.date(2026, 9, 3), dt.date(2026, 9, 4)),)


@pytest.mark.parametrize(
    ("value", "where", "what", "kept"),
    [
        ("3", "away", "a list belongs here", ()),
        (f"[3, {GOOD}]", "away, number 1", "a section with keys belongs here", KEPT),
        (f"[{GOOD}, {{first = 2026-08-03}}]", "away, number 2, last", "a date belongs here", KEPT),
        (f'[{{first = "x", last = 2026-08-03}}, {GOOD}]', "away, number 1, first", "a date belongs here", KEPT),
        (f"[{{first = 2026-08-03, last = 2026-08-02}}, {GOOD}]", "away, number 1",
         "the last day comes before the first", KEPT),
        ('[{first = 2026-09-03, last = 2026-09-04, why = "x"}]', "away, number 1, why", "no such key is known here", KEPT),
    ],
)  # fmt: skip
def test_days_away_that_are_none_take_no_others_with_them(value, where, what, kept):
    written = f"[bench]\naway = {value}"
    assert wrong(written) == (f"[bench], {where}", what)
    assert parse_settings(written)[0].bench.away == kept


@pytest.mark.parametrize(
    ("value", "what", "kept"),
    [
        ('"XX"', "that is no country or region known here", ""),
        ("3", "a word or text belongs here", ""),
        ('""', None, ""),
        ('"DE"', None, "DE"),
        ('"GB-SCT"', None, "GB-SCT"),
    ],
)
def test_public_holidays_are_those_of_a_country_that_is_known(value, what, kept):
    read, problems = parse_settings(f"[bench]\nholidays = {value}")
    assert [problem.wrong for problem in problems] == ([what] if what else [])
    assert read.bench.holidays == kept


@pytest.mark.parametrize(
    ("value", "where", "what", "kept"),
    [
        ("3", "", "a section with keys belongs here", (0, 0)),
        ("{low = 1}", "", "the wait has not both its ends", (0, 0)),
        ("{high = 1}", "", "the wait has not both its ends", (0, 0)),
        ("{low = 1, high = 3, odd = 1}", ", odd", "no such key is known here", (1, 3)),
        ("{low = 3, high = 1}", "", "the low end is above the high end", (0, 0)),
        ("{low = 0, high = 3651}", "", "the number must be from 0 to 3,650", (0, 0)),
        ("{low = -1, high = 3}", "", "the number must be from 0 to 3,650", (0, 0)),
    ],
)
def test_a_wait_that_is_none(value, where, what, kept):
    written = f"[stages.a]\nwait_days = {value}"
    assert wrong(written) == (f"[stages.a], wait_days{where}", what)
    assert parse_settings(written)[0].stages["a"].wait_days == kept


@pytest.mark.parametrize("ends", [(0, 3650), (2, 2), (0, 0)])
def test_a_wait_up_to_ten_years_and_of_one_length_may_stand(ends):
    read, problems = parse_settings("[stages.a]\nwait_days = {{low = {}, high = {}}}".format(*ends))
    assert (read.stages["a"].wait_days, problems) == (ends, ())


@pytest.mark.parametrize(
    ("value", "where", "what"),
    [
        ("3", "", "a section with keys belongs here"),
        ("{wet = [[0, 1], [1, 2]], b = [[0, 1], [1, 2]]}", "", "one modifier belongs here"),
        ("{wet = 3}", ", wet", "a list of pairs belongs here"),
        ("{wet = [[0, 1], [1, 3651]]}", ", wet", "the number must be from 0 to 3,650"),
        ("{wet = [[0, 1], [2, 1]]}", ", wet", "the low end is above the high end"),
        ("{wet = [[0, 1], [2]]}", ", wet", "two numbers belong here"),
    ],
)
def test_waits_by_grade_that_are_none(value, where, what):
    assert wrong(WET + value) == (f"[stages.a], wait_by{where}", what)
    assert parse_settings(WET + value)[0].stages["a"].wait_by == {}


@pytest.mark.parametrize(
    ("value", "what", "kept"),
    [
        ("1", None, 1), ("100", None, 100), ("0", "the number must be from 1 to 100", 1),
        ("101", "the number must be from 1 to 100", 1), ("1.5", "a whole number belongs here", 1), ("2.0", None, 2),
    ],
)  # fmt: skip
def test_sessions_are_from_one_to_a_hundred(value, what, kept):
    read, problems = parse_settings(f"[stages.a]\nsessions = {value}")
    assert [problem.wrong for problem in problems] == ([what] if what else [])
    assert read.stages["a"].sessions == kept


@pytest.mark.parametrize(
    ("value", "what", "kept"),
    [
        ("{a = 0.3}", None, {"a": 0.3}),
        ("{a = 1}", None, {"a": 1.0}),
        ("{a = 0}", None, {}),
        ("{a = 1.1}", "the number must be from 0 to 1", {}),
        ("{a = -0.1}", "the number must be from 0 to 1", {}),
        ('{a = "x"}', "a number belongs here", {}),
        ("3", "a section with keys belongs here", {}),
        ("{b = 0.3}", "there is no such other stage", {"b": 0.3}),  # itself
        ("{c = 0.3}", "there is no such other stage", {"c": 0.3}),
    ],
)
def test_what_is_done_once_more_is_a_share_of_another_stage(value, what, kept):
    read, problems = parse_settings(f"[stages.a]\n[stages.b]\nreopens = {value}")
    assert [problem.wrong for problem in problems] == ([what] if what else [])
    assert read.stages["b"].reopens == kept


@pytest.mark.parametrize(
    ("value", "where", "what"),
    [
        ("3", "", "a section with keys belongs here"),
        ("{d = [5, 1]}", ", d", "the low end is above the high end"),
        ("{d = [1]}", ", d", "two values belong here"),
        ("{d = [-1, 1]}", ", d", "the number must be 0 or more"),
        ("{e = [1, 2]}", ", e", "no such key is known here"),
    ],
)
def test_what_a_kind_usually_has_that_is_none(value, where, what):
    assert wrong(KIND + value) == (f"[kinds.k], usual{where}", what)
    assert parse_settings(KIND + value)[0].kinds["k"].usual == {}


def test_what_a_kind_usually_has():
    read, problems = parse_settings(KIND + "{d = [1, 5]}")
    assert (read.kinds["k"].usual, problems) == ({"d": (1.0, 5.0)}, ())


@pytest.mark.parametrize(
    ("written", "where", "what", "kept"),
    [
        ("columns = 3", "columns", "a section with keys belongs here", ({}, {}, {})),
        ('columns = {A = "board", B = 3}', "columns, B", "a word or text belongs here", ({"A": "board"}, {}, {})),
        ("blanks = 3", "blanks", "a section with keys belongs here", ({}, {}, {})),
        ('blanks = {A = "none", B = "odd"}', "blanks, B", "that is not one of the words known here",
         ({}, {"A": "none"}, {})),
        ('feet = {A = "tenths of a foot", B = "x"}', "feet, B", "that is not one of the words known here",
         ({}, {}, {"A": "tenths of a foot"})),
    ],
)  # fmt: skip
def test_what_the_columns_of_a_stranger_mean_is_kept_but_for_what_is_no_answer(written, where, what, kept):
    assert wrong(f"[import.o]\n{written}") == (f"[import.o], {where}", what)
    shape = parse_settings(f"[import.o]\n{written}")[0].imports["o"]
    assert (shape.columns, shape.blanks, shape.feet) == kept


@pytest.mark.parametrize(
    ("written", "found"),
    [
        ("[bench]\nplaces = 2 3", "this line cannot be read"),
        ("[bench]\nplaces = 4,5", "a comma stands in a number"),
        ("[bench]\nplaces = -4,5", "a comma stands in a number"),
        ("[bench]\naway = [1, 2", "a list has no end"),
        ("[bench]\naway = [1,", "the file ends in the middle of a value"),
        ('[workshop]\nname = """here', "a text has no end"),
        ("[bench]\n\u00a7 = 2", "this line cannot be read"),
    ],
)
def test_a_line_that_cannot_be_read(written, found):
    (problem,) = parse_settings(written)[1]
    assert problem.wrong == found

"""Each key that is read by a reader of its own: the least and the most that it takes, and what stands where it is wrong."""

import datetime as dt

import pytest

from estimator.words.problems import Place
from estimator.words.settings.reader import parse_settings
from estimator.words.settings.schema import Away, Bench, Driver, Modifier, Settings, Stage
from estimator.words.settings.values import (
    SettingPath,
    amount,
    amounts,
    board,
    day,
    nearest,
    number,
    pair,
    pairs,
    shown,
    text,
    when,
    whole,
    words,
)

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


def read_by(reader, value, *more, **limits):
    """What a reader makes of a value, and what is wrong with it."""
    place = SettingPath(Place("workshop.toml", path=("[x]", "key")), [], **limits)
    return reader(value, *more, place), [(one.wrong, one.cure) for one in place.problems]


MEND = "Mend the number."


@pytest.mark.parametrize(
    ("reader", "value", "limits", "wrong", "cure"),
    [
        (number, True, {}, "a number belongs here", "Write a plain number, such as 4 or 4.5."),
        (number, "4", {}, "a number belongs here", "Write a plain number, such as 4 or 4.5."),
        (number, 1.01, {"low": 0.0, "high": 1.0}, "the number must be from 0 to 1", MEND),
        (number, -0.01, {"low": 0.0, "high": 1.0, "default": 0.25}, "the number must be from 0 to 1",
         "Mend it; where nothing is written it is 0.25."),
        (number, 6, {"high": 5.0}, "the number must be no larger than 5", MEND),
        (number, 1.5, {"low": 2.0}, "the number must be 2 or more", MEND),
        (number, 2e9, {"low": 2.0}, "the number must be no larger than a thousand million", MEND),
        (number, -2e9, {"low": 2.0}, "the number must be no larger than a thousand million", MEND),
        (whole, 2.5, {}, "a whole number belongs here", "Write it without a fraction."),
        (whole, -2.5, {}, "a whole number belongs here", "Write it without a fraction."),
        (whole, float("inf"), {"high": 9.0}, "the number must be no larger than 9", MEND),
        (day, dt.datetime(2026, 8, 3, tzinfo=dt.UTC), {}, "a date belongs here",
         "Write it as 2026-08-03, without quotation marks."),
        (text, "x", {"choices": ()}, "that is not one of the words known here",
         "There is none to name yet; leave it out."),
        (text, "re", {"choices": ("red", "tan")}, "that is not one of the words known here",
         "The nearest name known here is red."),
        (text, "a\x07b", {}, "control characters stand in it", "Type it anew."),
        (pair, [1, 2, 3], {}, "two numbers belong here", "Write them as [low, high]."),
        (pair, [2, 1], {}, "the low end is above the high end", "Swap the two, or mend one."),
        (pairs, [[1, 2], [1]], {}, "two numbers belong here", "Write them as [low, high]."),
    ],
)  # fmt: skip
def test_a_value_that_is_none_is_told_what_belongs_there(reader, value, limits, wrong, cure):
    assert read_by(reader, value, **limits) == (None, [(wrong, cure)])


@pytest.mark.parametrize(
    ("reader", "value", "limits", "read"),
    [
        (number, 0, {"low": 0.0, "high": 1.0}, 0.0),
        (number, 1, {"low": 0.0, "high": 1.0}, 1.0),
        (number, -1e9, {}, -1e9),
        (number, 1e9, {}, 1e9),
        (whole, 3.0, {}, 3),
        (day, dt.date(2026, 8, 3), {}, dt.date(2026, 8, 3)),
        (text, "anything", {}, "anything"),
        (text, "", {"choices": ("", "red")}, ""),
        (words, [], {}, ()),
        (pair, [2, 2], {}, (2.0, 2.0)),
        (pairs, [[1, 2], [0, 3]], {}, ((1.0, 2.0), (0.0, 3.0))),
        (pairs, [], {}, ()),
    ],
)
def test_a_value_up_to_its_ends_is_read(reader, value, limits, read):
    assert read_by(reader, value, **limits) == (read, [])


def test_a_word_that_stands_there_twice_is_said_once_and_counts_once():
    twice = ("the same word stands here twice", "Leave one of them out.")
    assert read_by(words, ["a", "b", "a", "c", "b", "a"]) == (("a", "b", "c"), [twice, twice])
    assert read_by(words, ["a", "a"]) == (("a",), [twice])


@pytest.mark.parametrize(
    ("value", "said"),
    [
        ("a" * 60, "a" * 60),
        ("a" * 61, "a" * 58 + " …"),
        (True, "true"),
        (False, "false"),
        (-(10**10), "a very large number"),
        (10**9, "1000000000"),
        (1234567.125, "1234567.125"),
        (["a  b", 0.5], '["a b", 0.5]'),
    ],
)
def test_a_value_is_shown_as_the_file_writes_it(value, said):
    assert shown(value) == said


def test_the_nearest_name_is_offered_and_no_empty_one():
    assert nearest("x", ["", "strip", "sand"]) == "Known here: strip, sand."
    assert nearest("strap", ["sand", "strip"]) == "The nearest name known here is strip."


KNOWN = Settings(
    drivers={"area": Driver("area")},
    modifiers={
        "wet": Modifier("wet", stages=("sand",), grades=("dry", "damp", "soaked")),
        "old": Modifier("old", stages=("sand",)),
    },
    stages={"sand": Stage("sand"), "redo": Stage("redo", happens="sometimes")},
)


@pytest.mark.parametrize(
    ("name", "value", "read"),
    [
        ("area", 2.5, 2.5),
        ("area", 0, 0.0),
        ("wet", "dry", 0.0),
        ("wet", "soaked", 2.0),
        ("wet", True, 2.0),
        ("wet", "yes", 2.0),
        ("wet", "no", 0.0),
        ("wet", False, 0.0),
        ("wet", 1, 1.0),
        ("old", True, 1.0),
        ("old", "yes", 1.0),
        ("redo", True, 1.0),
        ("redo", 1, 1.0),
    ],
)
def test_amounts_are_read_as_numbers_as_grades_and_as_yes_and_no(name, value, read):
    place = SettingPath(Place("workshop.toml"), [])
    assert (amount(value, name, KNOWN, place), place.problems) == (read, [])


@pytest.mark.parametrize(
    ("name", "value", "wrong", "cure"),
    [
        ("area", -0.5, "the number must be 0 or more", MEND),
        ("wet", 3, "the number must be from 0 to 2", MEND),
        ("redo", 2, "the number must be from 0 to 1", MEND),
        ("wet", "damb", "wet has no such grade", "The nearest name known here is damp."),
        ("old", "x", "old has no such grade", "Known here: yes, no."),
    ],
)
def test_amounts_that_are_none(name, value, wrong, cure):
    place = SettingPath(Place("workshop.toml"), [], default=7.0)
    assert amount(value, name, KNOWN, place) is None
    assert [(one.wrong, one.cure) for one in place.problems] == [(wrong, cure)]


@pytest.mark.parametrize(
    ("value", "read", "wrong"),
    [
        ({"wet": ["damp", "soaked"]}, {"wet": (1.0, 2.0)}, None),
        ({"wet": ["soaked", "damp", "damp"]}, {"wet": (1.0, 2.0)}, None),
        ({"wet": ["dry", "soaked"]}, {}, "a grade between them is left out"),
        ({"wet": ["dry", "x"]}, {}, "wet has no such grade"),
        ({"wet": "damp"}, {"wet": (1.0, 1.0)}, None),
        ({"wet": [1, 2]}, {"wet": (1.0, 2.0)}, None),
        ({"wet": ["damp", 2]}, {"wet": (1.0, 2.0)}, None),
        ({"wet": [2, "damp"]}, {}, "the low end is above the high end"),
        ({"wet": ["dry", "dry", "soaked"]}, {}, "a grade between them is left out"),
        ({"wet": []}, {}, "two values belong here"),
        ({"area": [2, 2]}, {"area": (2.0, 2.0)}, None),
        ({"area": [3, 2]}, {}, "the low end is above the high end"),
        ({"area": 0}, {"area": (0.0, 0.0)}, None),
        ({"length_ft": [6, 40]}, {"length_ft": (6.0, 40.0)}, None),
        ({"length_ft": [6, 41]}, {}, "the number must be from 0 to 40"),
        ({"length_ft": 41}, {}, "the number must be from 0 to 40"),
        ({"length_ft": -1}, {}, "the number must be from 0 to 40"),
        ({"length_ft": 9.5}, {"length_ft": (9.5, 9.5)}, None),
        ({"kind": "major"}, {}, "that is not one of the words known here"),
        ({"kind": []}, {}, "no kind is named"),
        ({"odd": 3}, {}, "no such key is known here"),
        (3, {}, "a section with keys belongs here"),
    ],
)
def test_which_boards_a_rule_speaks_of(value, read, wrong):
    place = SettingPath(Place("workshop.toml"), [])
    assert when(value, place, KNOWN) == read
    assert [one.wrong for one in place.problems] == ([wrong] if wrong else [])


def test_usual_quantities_of_the_boards_that_a_rule_means():
    place = SettingPath(Place("workshop.toml"), [])
    given = {"area": 2, "wet": "damp", "redo": True, "old": "x", "odd": 3}
    assert board(given, place, KNOWN) == {"area": 2.0, "wet": 1.0, "redo": 1.0}
    assert [one.wrong for one in place.problems] == ["no such key is known here", "old has no such grade"]
    assert amounts([1, "soaked"], "wet", KNOWN, place) == (1.0, 2.0)

"""Settings as fields: how each is asked, what stands in it, and what was typed as a value of the file."""

import datetime as dt

import pytest

from estimator.counter.forms import PageForm
from estimator.counter.setting_fields import changed_values, fields_of_part, in_page_words, number_of, part_of
from estimator.words.settings.schema import Driver, Kind, Modifier, Settings, Stage, Workshop

SHOP = Settings(
    workshop=Workshop(dates="day-month"),
    drivers={"infills": Driver("infills", label="Let-in pieces"), "logos": Driver("logos", label="Logos")},
    modifiers={"wet": Modifier("wet", label="Wet foam", grades=("dry", "damp"))},
    kinds={"major": Kind("major", label="Full one")},
    stages={"strip": Stage("strip", label="Strip it"), "sand": Stage("sand", label="Sand")},
)


def fields(part, table=()):
    return {one.key: one for one in fields_of_part(part, dict(table), SHOP)}


def changed(part, table=(), **typed):
    """What a form of this part changes where some of its fields are typed otherwise."""
    form = {}
    for one in fields(part, table).values():
        if one.days:
            form |= {f"{one.key}.{n}": [text] for n, (_, text) in enumerate(one.days)}
        elif one.kind == "many":
            form[one.key] = list(one.chosen)
        else:
            form[one.key] = [one.text]
    sent = PageForm(
        {**form, **{name: text if isinstance(text, list) else [text] for name, text in typed.items()}}
    )
    return changed_values(part, dict(table), SHOP, sent), [one.field for one in sent.errors]


@pytest.mark.parametrize(
    ("part", "key", "kind", "text"),
    [
        ("workshop", "name", "text", "My workshop"), ("workshop", "target_pay", "number", "40"), ("workshop", "two_pack", "yes-no", "no"),
        ("workshop", "hours_include_sweeping", "yes-no", "yes"), ("workshop", "ready", "one-of", "hard"), ("workshop", "requote", "lines", "1: 0.95\n1.25: 0.7\n1.5: 0.4"),
        ("bench", "hours_by_weekday", "week", ""), ("bench", "away", "lines", ""), ("bench", "places", "number", "3"), ("bench", "winter_drying", "number", "1.35"),
        ("stages", "drivers", "many", ""), ("stages", "wait_days", "text", ""), ("stages", "sessions", "text", "1"), ("stages", "wait_by", "lines", ""),
        ("kinds", "asks", "many", ""), ("kinds", "usual", "lines", ""), ("modifiers", "grades", "lines", ""), ("drivers", "unit", "one-of", ""),
    ],
)  # fmt: skip
def test_how_a_setting_is_asked_and_what_holds_where_it_is_left_out(part, key, kind, text):
    found = fields(part)[key]

    assert (found.kind, found.text) == (kind, text)
    assert "retired" not in fields(part)  # it has a button of its own


@pytest.mark.parametrize(
    ("part", "table", "key", "text"),
    [
        (
            "bench",
            {"away": [{"first": dt.date(2026, 8, 3), "last": dt.date(2026, 8, 16)}]},
            "away",
            "2026-08-03 to 2026-08-16",
        ),
        ("stages", {"wait_days": {"low": 2, "high": 4.5}}, "wait_days", "2 to 4.5"),
        ("stages", {"wait_days": {"low": 0, "high": 0}}, "wait_days", ""),
        ("stages", {"reopens": {"sand": 0.3}}, "reopens", "Sand: 0.3"),
        ("stages", {"wait_by": {"wet": [[0, 0], [2, 6]]}}, "wait_by", "Wet foam: 0 to 0, 2 to 6"),
        (
            "kinds",
            {"usual": {"infills": [1, 3], "logos": 2}},
            "usual",
            "Let-in pieces: 1 to 3\nLogos: 2 to 2",
        ),
        ("modifiers", {"grades": ["dry", "damp"]}, "grades", "dry\ndamp"),
        ("workshop", {"two_pack": True}, "two_pack", "yes"),
        ("workshop", {"target_pay": 1234.5}, "target_pay", "1234.5"),
    ],
)
def test_what_stands_in_the_file_stands_in_its_field(part, table, key, text):
    assert fields(part, table)[key].text == text


def test_what_may_be_chosen_and_what_is():
    found = fields("stages", {"drivers": ["infills"], "after": ["strip"]})
    assert [value for value, _ in found["drivers"].choices] == ["once", "infills", "logos"]
    assert found["drivers"].chosen == ("infills",)
    assert found["after"].choices == (("strip", "Strip it"), ("sand", "Sand"))
    kinds = fields("kinds")["asks"]
    assert [value for value, _ in kinds.choices] == ["infills", "logos", "wet"]
    assert kinds.chosen == ("infills", "logos", "wet")  # left out, all are asked
    assert fields("kinds", {"asks": []})["asks"].chosen == ()
    assert dict(fields("workshop")["two_pack"].choices) == {"yes": "yes", "no": "no"}
    assert fields("bench", {"hours_by_weekday": [6, 6, 6, 6, 4.5, 0, 0]})["hours_by_weekday"].days[4:6] == (
        ("Fri", "4.5"),
        ("Sat", "0"),
    )
    assert "drying" in [value for value, _ in found["needs"].choices]


def test_from_what_to_what_a_number_may_be_and_what_holds_where_it_is_empty_is_said():
    bench, shop = fields("bench"), fields("workshop")

    assert bench["places"].says.endswith("1 to 50. Left empty, it is 3.")
    assert "0 to 24." in bench["hours_by_weekday"].says
    assert "Left empty" not in bench["hours_by_weekday"].says
    assert "0 to 10,000,000." in shop["overheads_a_month"].says
    assert "Left empty" not in shop["backup_folder"].says  # nothing holds there
    assert "Left empty" not in shop["two_pack"].says
    assert "Left empty" not in fields("stages")["wait_days"].says
    assert shop["name"].says == "The name that heads the sheets. Left empty, it is My workshop."
    assert (fields("drivers")["label"].label, fields("drivers")["label"].says) == ("What you call it", "")
    assert fields("drivers")["unit"].says.startswith("One of m2, ft2, m, ft, kg, lb, or empty for a count.")
    assert "A line each" in shop["requote"].says
    assert "From so many to so many days" in fields("stages")["wait_days"].says
    with pytest.raises(KeyError):
        part_of("colours")


@pytest.mark.parametrize(
    ("part", "table", "typed", "values"),
    [
        ("bench", {}, {}, {}),
        ("bench", {}, {"places": "4", "winter_drying": "1,5"}, {"places": 4, "winter_drying": 1.5}),
        ("bench", {"places": 4}, {"places": ""}, {"places": None}),
        ("bench", {}, {"hours_by_weekday.0": "5"}, {"hours_by_weekday": [5, 6, 6, 6, 5, 0, 0]}),
        ("bench", {}, {"away": "3/8/2026 - 4/8/2026"}, {"away": [{"first": dt.date(2026, 8, 3), "last": dt.date(2026, 8, 4)}]}),
        ("workshop", {}, {"two_pack": "perhaps"}, {"two_pack": "perhaps"}),
        ("workshop", {}, {"requote": "1: 0.95\r\n1.25: 0.7\r\n1.5: 0.4"}, {}),
        ("stages", {}, {"wait_days": "2-4"}, {"wait_days": {"low": 2, "high": 4}}), ("stages", {}, {"sessions": "1,5"}, {"sessions": 1.5}),
        ("kinds", {}, {"usual": "infills: 1,5 - 3"}, {"usual": {"infills": [1.5, 3]}}), ("stages", {}, {"reopens": "wet foam: 1"}, {"reopens": {"wet": 1}}),
        ("bench", {}, {"places": "many"}, {"places": "many"}),
        ("bench", {}, {"hours_by_weekday.4": "3,5", "hours_by_weekday.0": ""}, {"hours_by_weekday": [0, 6, 6, 6, 3.5, 0, 0]}),
        ("bench", {}, {"away": "3/8/2026 to 16 August 2026\r\n\r\n2026-12-24"},
         {"away": [{"first": dt.date(2026, 8, 3), "last": dt.date(2026, 8, 16)}, {"first": dt.date(2026, 12, 24), "last": dt.date(2026, 12, 24)}]}),
        ("workshop", {}, {"two_pack": "yes", "hours_include_sweeping": "no"}, {"two_pack": True, "hours_include_sweeping": False}),
        ("workshop", {}, {"name": "  Tide  and Foam "}, {"name": "Tide and Foam"}),
        ("workshop", {}, {"requote": "1 times: 0.9\n1.5, 0.3\nmuch"}, {"requote": [[1, 0.9], [1.5, 0.3], "much"]}),
        ("stages", {}, {"sessions": "2"}, {"sessions": 2}), ("stages", {}, {"sessions": "logos"}, {"sessions": "logos"}),
        ("stages", {}, {"sessions": "Let-in pieces"}, {"sessions": "infills"}),
        ("stages", {}, {"wait_days": "2 to 4"}, {"wait_days": {"low": 2, "high": 4}}), ("stages", {}, {"wait_days": "2–4,5"}, {"wait_days": {"low": 2, "high": 4.5}}),
        ("stages", {}, {"wait_days": "soon"}, {"wait_days": "soon"}),
        ("stages", {}, {"reopens": "Sand: 0.3\nstrip it: 1"}, {"reopens": {"sand": 0.3, "strip": 1}}),
        ("stages", {}, {"wait_by": "Wet foam: 0 to 0, 2 to 6, 9"}, {"wait_by": {"wet": [[0, 0], [2, 6], [9, 9]]}}),
        ("kinds", {}, {"usual": "Let-in pieces: 1 to 3\nlogos: 2\nnobody: few"}, {"usual": {"infills": [1, 3], "logos": [2, 2], "nobody": "few"}}),
        ("modifiers", {"grades": ["dry"]}, {"grades": "none\n two words "}, {"grades": ["none", "two words"]}),
        ("drivers", {"unit": "m2"}, {"unit": ""}, {"unit": ""}),
        ("stages", {"drivers": ["logos", "once"]}, {"drivers": ["once", "infills", "logos"]}, {"drivers": ["logos", "once", "infills"]}),
        ("stages", {"drivers": ["logos", "once"]}, {"drivers": ["once", "logos"]}, {}), ("stages", {"drivers": ["logos", "once"]}, {"drivers": ["once"]}, {"drivers": ["once"]}),
    ],
)  # fmt: skip
def test_what_was_typed_is_a_value_of_the_file_and_what_stays_is_none(part, table, typed, values):
    assert changed(part, table, **typed) == (values, [])


@pytest.mark.parametrize("typed", ["some day", "2026-08-03 to some day"])
def test_a_day_that_is_none_is_said_at_its_field(typed):
    assert changed("bench", away=typed) == ({}, ["away"])


@pytest.mark.parametrize(
    ("text", "number"),
    [
        ("4", 4),
        ("-4", -4),
        ("4,5", 4.5),
        (" 4.50 ", 4.5),
        ("4.5.1", "4.5.1"),
        ("x", "x"),
        ("", ""),
        ("1,000", 1.0),
    ],
)
def test_a_number_or_the_text_as_it_is(text, number):
    found = number_of(text)

    assert (found, type(found)) == (number, type(number))


@pytest.mark.parametrize(
    ("manual", "said"),
    [
        ("the drivers of a modifier", "The what there is to do, as far as it is of a thing that makes it slower."),
        ("a code, or empty", "A code; may be left empty."), ("another disk; or empty", "Another disk; may be left empty."),
        ("only where once is its one driver", "Sometimes is for a stage whose hours grow with set-up alone."),
        ("instead of wait_days: one modifier, days by its grade", "Instead of plain days: one thing that makes it slower, days by its grade."),
        ("drivers asked for this kind; left out: all", "What there is to do, as far as it is asked for this kind."),
        ("what its hours grow with; once: set-up time", "What its hours grow with; set-up is there whatever there is to do."),
        ("usually, [low, high] at 8 in 10", "Usually, from so much to so much at 8 in 10."),
        ('with from = "outline": the driver that says how many faces', "Of what follows from the outline: the thing to do that says how many faces."),
        ("what an empty cell means", "What it means where nothing is said."), ("what you call it; its name where left out", "What you call it."),
        ("weeks as written, or auto: the log, once 26 tell", "Weeks as written, or the log once 26 tell."),
        ("how 03/04/2026 is read; iso refuses it", "How 03/04/2026 is read."), ("a code that the holidays library knows", "A code, as NZ."),
    ],
)  # fmt: skip
def test_names_of_the_file_are_in_the_words_of_the_page(manual, said):
    assert in_page_words(manual) == said

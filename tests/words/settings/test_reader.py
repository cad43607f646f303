"""workshop.toml as a whole: what a bare one means, where a broken one breaks, and that nothing else is raised."""

import datetime as dt
import pickle
from pathlib import Path

import pytest
import tomlkit
from hypothesis import given, settings
from hypothesis import strategies as st

from estimator.demo.texts import demo_text
from estimator.words.actions import Action
from estimator.words.errors import EstimatorError, UsageError
from estimator.words.problems import Place, Problem
from estimator.words.settings.reader import parse_settings, read_settings
from estimator.words.settings.schema import Away, Driver, Settings, Stage

BARE = """
[drivers.cases]
[drivers.miles]
[stages.all]
drivers = ["once", "cases", "miles"]
"""


def said(written):
    """The problems of a settings text, each as its sentence and cure."""
    return [problem.sentence() for problem in parse_settings(written)[1]]


def test_a_bare_workshop_of_one_stage_and_two_drivers_is_whole():
    read, problems = parse_settings(BARE)

    assert problems == ()
    assert read == Settings(
        drivers={"cases": Driver("cases"), "miles": Driver("miles")},
        stages={"all": Stage("all", drivers=("once", "cases", "miles"))},
    )


def test_what_is_retired_is_asked_of_no_sort_of_job_and_is_none_where_nothing_is_written():
    read, problems = parse_settings(
        """
[drivers.logos]
[drivers.fins]
retired = true
[modifiers.wet]
stages = ["all"]
blank = "unknown"
retired = true
[modifiers.old]
stages = ["all"]
blank = "unknown"
[kinds.major]
usual = {fins = [1, 2], logos = [1, 3]}
[kinds.minor]
asks = ["fins", "wet", "logos"]
[stages.all]
drivers = ["once", "logos", "fins"]
"""
    )

    assert problems == ()
    assert {name: kind.asks for name, kind in read.kinds.items()} == {
        "major": ("logos", "old"),
        "minor": ("logos",),
    }
    assert read.kinds["major"].usual == {"logos": (1.0, 3.0)}
    assert {name: one.blank for name, one in read.modifiers.items()} == {"wet": "none", "old": "unknown"}
    assert read.drivers["fins"].retired


def test_an_empty_file_is_all_defaults():
    assert parse_settings("") == (Settings(), ())


def test_every_kind_of_value_is_read():
    read, problems = parse_settings(
        """
[workshop]
name = "Here"
target_pay = 50
two_pack = true
requote = [[1, 0.9], [2, 0.1]]
[bench]
places = 2
hours_by_weekday = [1, 2, 3, 4, 5, 6, 7.5]
away = [{first = 2026-08-03, last = 2026-08-03}]
[drivers.face]
unit = "m2"
from = "outline"
[drivers.sides]
blank = "unknown"
[drivers.glass]
label = "Glass"
unit = "ft2"
from = "outline"
times = "sides"
known = "strip"
[modifiers.wet]
stages = ["strip"]
grades = ["dry", "damp", "soaked"]
[kinds.small]
asks = ["glass", "wet"]
usual = {glass = [0, 2.5], wet = ["dry", "damp"]}
[stages.strip]
drivers = ["glass"]
wait_by = {wet = [[0, 0], [5, 16], [14, 45]]}
sessions = "sides"
needs = ["artwork"]
on = "rack"
[stages.rest]
after = ["strip"]
wait_days = {low = 1, high = 2.5}
happens = "sometimes"
"""
    )

    assert problems == ()
    assert read.workshop.name == "Here"
    assert read.workshop.target_pay == 50.0
    assert read.workshop.two_pack is True
    assert read.workshop.requote == ((1.0, 0.9), (2.0, 0.1))
    assert read.bench.places == 2
    assert read.bench.hours_by_weekday == (1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 7.5)
    assert read.bench.away == (Away(dt.date(2026, 8, 3), dt.date(2026, 8, 3)),)
    assert read.drivers["glass"] == Driver(
        "glass", label="Glass", unit="ft2", known="strip", source="outline", times="sides"
    )
    assert read.drivers["sides"].blank == "unknown"
    assert read.modifiers["wet"].grades == ("dry", "damp", "soaked")
    assert read.kinds["small"].asks == ("glass", "wet")
    assert read.kinds["small"].usual == {"glass": (0.0, 2.5), "wet": (0.0, 1.0)}
    assert read.stages["strip"] == Stage(
        "strip",
        drivers=("glass",),
        wait_by={"wet": ((0.0, 0.0), (5.0, 16.0), (14.0, 45.0))},
        sessions="sides",
        needs=("artwork",),
        on="rack",
    )
    assert read.stages["rest"].wait_days == (1.0, 2.5)
    assert read.sometimes == ("rest",)
    assert read.quantities == ("face", "sides", "glass", "wet", "rest")


@pytest.mark.parametrize(
    ("written", "sentence"),
    [
        (
            "[workshop]\nname = Tarrish\n",
            (
                'workshop.toml, line 2: "name = Tarrish": this line cannot be read. Write [section], or key = value; '
                "a text stands between quotation marks, a list between [ and ]."
            ),
        ),
        (
            "[workshop]\ntarget_pay = 42,5 # what I want\n",
            (
                'workshop.toml, line 2: "target_pay = 42,5 # what I want": a comma stands in a number. '
                "Write 42.5 with a point."
            ),
        ),
        (
            '[workshop]\nname = "here\n',
            'workshop.toml, line 2: "name = "here": a text has no end. End it with a quotation mark.',
        ),
        (
            "[bench]\nplaces = 2\nplaces = 3\n",
            (
                'workshop.toml, line 3: "places = 3": this name was given before. '
                "Keep one of the two, with all that belongs to it."
            ),
        ),
        (
            "[drivers.a]\n[drivers.a]\n",
            (
                'workshop.toml, line 2: "[drivers.a]": this name was given before. '
                "Keep one of the two, with all that belongs to it."
            ),
        ),
        (
            "[bench]\naway = [{first = 2026-02-30, last = 2026-03-02}]",
            (
                'workshop.toml, line 2: "away = [{first = 2026-02-30, last = 2026-03-02}]": there is no such day. '
                "Write a day of the calendar, as 2026-08-03."
            ),
        ),
        (
            "[bench]\nhours_by_weekday = [6, 6,",
            (
                'workshop.toml, line 2: "hours_by_weekday = [6, 6,": the file ends in the middle of a value. '
                "Finish it, or close its bracket."
            ),
        ),
        ("a = " + "[" * 9999, "workshop.toml: lists stand in lists without end. Mend the brackets."),
        ("a = " + "9" * 9999, "workshop.toml: a number in it is too long to read. Mend the number."),
    ],
)
def test_a_file_that_breaks_off_says_where(written, sentence):
    assert parse_settings(written)[0] == Settings()
    assert said(written) == [sentence]


@pytest.mark.parametrize(
    ("written", "sentence"),
    [
        (
            "[benhc]\nplaces = 3",
            "workshop.toml, [benhc]: no such section is known here. The nearest name known here is bench.",
        ),
        (
            "bench = 3",
            (
                'workshop.toml, [bench]: "3": a section with keys belongs here. '
                "Write it as [bench] with its keys below it."
            ),
        ),
        (
            "stages = 3",
            (
                'workshop.toml, [stages]: "3": a section with keys belongs here. '
                "Write it as [stages.NAME] with its keys below it."
            ),
        ),
        (
            "[stages]\nstrip = 3",
            (
                'workshop.toml, [stages.strip]: "3": a section with keys belongs here. '
                "Write it as [stages.NAME] with its keys below it."
            ),
        ),
        (
            "[rules]\nname = 1",
            "workshop.toml, rules: rules are not written one by one. Begin each with a line [[rules]].",
        ),
        (
            "[drivers.Glass]",
            (
                'workshop.toml, [drivers.Glass]: "Glass": that is not a plain lower-case word. '
                "Use letters a to z, figures and _, a letter first; its label may be anything."
            ),
        ),
        (
            "[kinds.shop]",
            (
                'workshop.toml, [kinds.shop]: "shop": this name is kept for something else. '
                "Choose another; its label may be anything."
            ),
        ),
    ],
)
def test_sections_that_are_none(written, sentence):
    assert said(written) == [sentence]


@pytest.mark.parametrize(
    "name", ["once", "shop", "kind", "length", "length_ft", "width", "guess", "unplanned"]
)
@pytest.mark.parametrize("part", ["drivers", "modifiers", "kinds", "stages"])
def test_some_names_are_kept(name, part):
    assert len(said(f"[{part}.{name}]")) == 1


def test_all_problems_are_shown_at_once_and_by_place():
    written = """
[workshop]
target_pay = "42"
floor_pay = -3
[bench]
places = 2.5
[stages.strip]
after = ["clena"]
[stages.clean]
"""
    places = [problem.where for problem in parse_settings(written)[1]]

    assert places == [
        "workshop.toml, [bench], places",
        "workshop.toml, [stages.strip], after",
        "workshop.toml, [workshop], floor_pay",
        "workshop.toml, [workshop], target_pay",
    ]


def test_a_value_with_a_problem_falls_back_to_its_default():
    read, problems = parse_settings('[workshop]\ntarget_pay = "42"\nfloor_pay = 20')

    assert len(problems) == 1
    assert (read.workshop.target_pay, read.workshop.floor_pay) == (40.0, 20.0)


def test_read_settings_is_the_file_of_the_folder(tmp_path):
    (tmp_path / "workshop.toml").write_bytes(b"\xef\xbb\xbf" + BARE.replace("\n", "\r\n").encode())

    assert read_settings(tmp_path) == parse_settings(BARE)


@pytest.mark.parametrize("made", [False, True])
def test_without_a_settings_file_there_is_no_workshop(tmp_path, made):
    folder = tmp_path / "nowhere"
    if made:
        folder.mkdir()
    with pytest.raises(UsageError) as caught:
        read_settings(folder)

    assert str(caught.value) == (
        f"There is no workshop here: {folder} has no workshop.toml. "
        "Name the folder of yours, or begin a new one."
    )
    assert caught.value.field == "folder"
    assert caught.value.action == Action("new", fields={"folder": ""})
    assert caught.value.exit_code == 2


def test_the_folder_that_one_stands_in_is_this_folder(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    with pytest.raises(UsageError, match="no workshop here: this folder has no"):
        read_settings(Path())


def test_other_letters_than_utf8_are_located(tmp_path):
    (tmp_path / "workshop.toml").write_bytes('# ours\n[workshop]\nname = "Köhler"\n'.encode("latin-1"))

    assert read_settings(tmp_path) == (
        Settings(),
        (
            Problem(
                Place("workshop.toml", row=3),
                'name = "K',
                "there is a letter after this that is not written in UTF-8",
                "Save the file again with the encoding UTF-8.",
            ),
        ),
    )


def test_settings_can_be_sent_to_another_process():
    read, _ = parse_settings(demo_text())

    assert pickle.loads(pickle.dumps(read)) == read


def check_nothing_else_is_raised(written):
    try:
        read, problems = parse_settings(written)
    except EstimatorError:
        return
    assert isinstance(read, Settings)
    for problem in problems:
        assert problem.where.startswith("workshop.toml")
        assert problem.wrong
        assert problem.cure.endswith(".")


@given(st.text())
def test_any_text_gives_settings_or_problems(written):
    check_nothing_else_is_raised(written)


LINES = demo_text().splitlines()


@settings(deadline=None, max_examples=60)
@given(
    st.integers(0, len(LINES) - 1),
    st.sampled_from(["", "x", '"', "= 3", "[[rules]]", "[stages.strip]", "a = {"]),
)
def test_a_slip_in_one_line_gives_settings_or_problems(at, instead):
    check_nothing_else_is_raised("\n".join([*LINES[:at], instead, *LINES[at + 1 :]]))


KEYS = """workshop bench drivers modifiers kinds stages rules area strip wet name label unit known blank from times
grades asks usual after wait_days wait_by sessions needs on happens about stage wait span chance per modifier
when board low high odds share worth said source accepted length_ft kind away first last requote"""
NAMES = st.sampled_from(KEYS.split())
SCALARS = st.one_of(
    NAMES,
    st.booleans(),
    st.integers(-10, 10),
    st.floats(),
    st.integers(),
    st.dates(),
    st.datetimes(),
    st.sampled_from(["once", "outline", "hidden work", "days", "chance", "hours", "m2", "dry", "drying"]),
)
VALUES = st.recursive(
    SCALARS,
    lambda inner: st.one_of(st.lists(inner, max_size=3), st.dictionaries(NAMES, inner, max_size=4)),
    max_leaves=12,
)


@settings(deadline=None)
@given(st.dictionaries(NAMES, VALUES, max_size=6))
def test_any_keys_and_values_give_settings_or_problems(tree):
    check_nothing_else_is_raised(tomlkit.dumps(tree))


@settings(deadline=None)
@given(st.lists(st.dictionaries(NAMES, VALUES, max_size=8), max_size=3))
def test_any_rules_give_settings_or_problems(rules):
    check_nothing_else_is_raised(BARE + tomlkit.dumps({"rules": rules}))

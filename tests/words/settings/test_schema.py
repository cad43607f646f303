"""Values of the settings file that are not what their key wants: the whole text of each problem."""

from dataclasses import fields

import pytest

from estimator.words.records import Rule
from estimator.words.settings.reader import parse_settings
from estimator.words.settings.schema import Bench, Driver, Kind, Modifier, Settings, Stage, Workshop


def said(written):
    return [problem.sentence() for problem in parse_settings(written)[1]]


@pytest.mark.parametrize(
    ("written", "sentence"),
    [
        (
            "[workshop]\ntarget_pya = 1",
            (
                "workshop.toml, [workshop], target_pya: no such key is known here. "
                "The nearest name known here is target_pay."
            ),
        ),
        (
            '[workshop]\ntarget_pay = "42"',
            (
                'workshop.toml, [workshop], target_pay: "42": a number belongs here. '
                "Write a plain number, such as 4 or 4.5."
            ),
        ),
        (
            "[workshop]\ntarget_pay = true",
            (
                'workshop.toml, [workshop], target_pay: "true": a number belongs here. '
                "Write a plain number, such as 4 or 4.5."
            ),
        ),
        (
            "[workshop]\nfloor_pay = -3",
            (
                'workshop.toml, [workshop], floor_pay: "-3": the number must be from 0 to 10,000. '
                "Mend it; where nothing is written it is 25."
            ),
        ),
        (
            "[workshop]\nhours_in_a_day = nan",
            (
                'workshop.toml, [workshop], hours_in_a_day: "nan": the number must be from 0.5 to 24. '
                "Mend it; where nothing is written it is 6.5."
            ),
        ),
        (
            "[workshop]\nbroken_promise_cost = inf",
            (
                'workshop.toml, [workshop], broken_promise_cost: "inf": the number must be from 0 to 1,000,000. '
                "Mend it; where nothing is written it is 0."
            ),
        ),
        (
            "[workshop]\ncurrency = 3",
            (
                'workshop.toml, [workshop], currency: "3": a word or text belongs here. '
                "Write it between quotation marks."
            ),
        ),
        (
            '[workshop]\nready = "pollished"',
            (
                'workshop.toml, [workshop], ready: "pollished": that is not one of the words known here. '
                "The nearest name known here is polished."
            ),
        ),
        (
            '[workshop]\ntwo_pack = "no"',
            (
                'workshop.toml, [workshop], two_pack: "no": yes or no belongs here. '
                "Write true or false, without quotation marks."
            ),
        ),
        (
            "[workshop]\nrequote = [[1, 0.9], [2]]",
            (
                'workshop.toml, [workshop], requote: "[[1, 0.9], [2]]": pairs of a price and a chance belong here. '
                "Write them as [[1, 0.95], [1.5, 0.4]]."
            ),
        ),
        (
            "[workshop]\nrequote = [[1, 1.2]]",
            'workshop.toml, [workshop], requote: "1.2": the number must be from 0 to 1. Mend the number.',
        ),
        (
            "[bench]\nplaces = 2.5",
            'workshop.toml, [bench], places: "2.5": a whole number belongs here. Write it without a fraction.',
        ),
        (
            "[bench]\nhours_by_weekday = [6, 6]",
            (
                'workshop.toml, [bench], hours_by_weekday: "[6, 6]": seven numbers belong here, Monday first. '
                "Write them as [6, 6, 6, 6, 5, 0, 0]."
            ),
        ),
        (
            "[bench]\nhours_by_weekday = [6, 6, 25, 6, 6, 0, 0]",
            'workshop.toml, [bench], hours_by_weekday: "25": the number must be from 0 to 24. Mend the number.',
        ),
        (
            "[bench]\nhours_by_weekday = [0, 0, 0, 0, 0, 0, 0]",
            (
                'workshop.toml, [bench], hours_by_weekday: "[0, 0, 0, 0, 0, 0, 0]": a week without an hour '
                "finishes no board. Write the hours of an ordinary week."
            ),
        ),
        (
            "[bench]\naway = 2026-08-03",
            (
                'workshop.toml, [bench], away: "2026-08-03": a list belongs here. '
                "Write it as [{first = 2026-08-03, last = 2026-08-16}]."
            ),
        ),
        (
            '[bench]\nholidays = "GB-SCO"',
            (
                'workshop.toml, [bench], holidays: "GB-SCO": that is no country or region known here. '
                "The nearest code known here is GB-SCT."
            ),
        ),
        (
            '[bench]\nholidays = "gb"',
            (
                'workshop.toml, [bench], holidays: "gb": that is no country or region known here. '
                "The nearest code known here is GB."
            ),
        ),
        (
            '[bench]\nholidays = "gb-sct"',
            (
                'workshop.toml, [bench], holidays: "gb-sct": that is no country or region known here. '
                "The nearest code known here is GB-SCT."
            ),
        ),
        (
            '[bench]\nholidays = "the whole coast"',
            (
                'workshop.toml, [bench], holidays: "the whole coast": that is no country or region known here. '
                "Write a country as GB, a region as GB-SCT, or leave it empty."
            ),
        ),
        (
            '[bench]\nholidays = "MC-7"',
            (
                'workshop.toml, [bench], holidays: "MC-7": that is no country or region known here. '
                "The nearest code known here is MC."
            ),
        ),
        (
            "[bench]\nholidays = 3",
            (
                'workshop.toml, [bench], holidays: "3": a word or text belongs here. '
                "Write it between quotation marks."
            ),
        ),
        (
            "[bench]\naway = [3]",
            (
                'workshop.toml, [bench], away, number 1: "3": a section with keys belongs here. '
                "Write it as {first = 2026-08-03, last = 2026-08-16}."
            ),
        ),
        (
            "[bench]\naway = [{first = 2026-08-16, last = 2026-08-03}]",
            (
                'workshop.toml, [bench], away, number 1: "{first = 2026-08-16, last = 2026-08-03}": '
                "the last day comes before the first. Swap the two, or mend one."
            ),
        ),
        (
            '[bench]\naway = [{first = 2026-08-03, last = 2026-08-16}, {first = "1 May", last = 2026-05-02}]',
            (
                'workshop.toml, [bench], away, number 2, first: "1 May": a date belongs here. '
                "Write it as 2026-08-03, without quotation marks."
            ),
        ),
        (
            "[bench]\naway = [{first = 2026-08-03T10:00:00, last = 2026-08-16}]",
            (
                'workshop.toml, [bench], away, number 1, first: "2026-08-03 10:00:00": a date belongs here. '
                "Write it as 2026-08-03, without quotation marks."
            ),
        ),
        (
            "[bench]\naway = [{first = 2026-08-03}]",
            (
                "workshop.toml, [bench], away, number 1, last: a date belongs here. "
                "Write it as 2026-08-03, without quotation marks."
            ),
        ),
        (
            '[drivers.a]\nunit = "sqm"',
            (
                'workshop.toml, [drivers.a], unit: "sqm": that is not one of the words known here. '
                "Known here: m2, ft2, m, ft, kg, lb."
            ),
        ),
        (
            '[drivers.a]\nfrom = "out line"',
            (
                'workshop.toml, [drivers.a], from: "out line": that is not one of the words known here. '
                "The nearest name known here is outline."
            ),
        ),
        (
            "[stages.a]\nafter = [3]",
            (
                'workshop.toml, [stages.a], after: "3": a word or text belongs here. '
                "Write it between quotation marks."
            ),
        ),
        (
            '[stages.b]\n[stages.a]\nafter = "b"',
            'workshop.toml, [stages.a], after: "b": a list of words belongs here. Write it as ["one", "two"].',
        ),
        (
            '[stages.b]\n[stages.a]\nafter = ["b", "b"]',
            'workshop.toml, [stages.a], after: "b": the same word stands here twice. Leave one of them out.',
        ),
        (
            "[stages.a]\nwait_days = {low = 3, high = 1}",
            (
                'workshop.toml, [stages.a], wait_days: "[3, 1]": the low end is above the high end. '
                "Swap the two, or mend one."
            ),
        ),
        (
            "[stages.a]\nwait_days = {low = 3}",
            (
                'workshop.toml, [stages.a], wait_days: "{low = 3}": the wait has not both its ends. '
                "Write it as wait_days = {low = 1, high = 3}."
            ),
        ),
        (
            "[stages.a]\nwait_days = [1, 3]",
            (
                'workshop.toml, [stages.a], wait_days: "[1, 3]": a section with keys belongs here. '
                "Write it as wait_days = {low = 1, high = 3}."
            ),
        ),
        (
            "[stages.a]\nwait_days = {low = -1, high = 3}",
            'workshop.toml, [stages.a], wait_days: "-1": the number must be from 0 to 3,650. Mend the number.',
        ),
        (
            "[modifiers.m]\n[stages.a]\nwait_by = {m = [[0, 1], [2]]}",
            'workshop.toml, [stages.a], wait_by, m: "[2]": two numbers belong here. Write them as [low, high].',
        ),
        (
            "[modifiers.m]\n[modifiers.n]\n[stages.a]\nwait_by = {m = [[0, 1], [2, 3]], n = [[0, 1], [2, 3]]}",
            (
                'workshop.toml, [stages.a], wait_by: "{m = [[0, 1], [2, 3]], n = [[0, 1], [2, 3]]}": '
                "one modifier belongs here. Name one, with [low, high] for each of its grades."
            ),
        ),
        (
            "[stages.a]\nsessions = 0",
            (
                'workshop.toml, [stages.a], sessions: "0": the number must be from 1 to 100. '
                "Mend it; where nothing is written it is 1."
            ),
        ),
        (
            '[stages.a]\nneeds = ["artwrok"]',
            (
                'workshop.toml, [stages.a], needs: "artwrok": that is not one of the words known here. '
                "The nearest name known here is artwork."
            ),
        ),
        (
            '[stages.a]\non = "floor"',
            (
                'workshop.toml, [stages.a], on: "floor": that is not one of the words known here. '
                "Known here: bench, rack."
            ),
        ),
        (
            "[drivers.a]\n[kinds.k]\nusual = {a = 3}",
            'workshop.toml, [kinds.k], usual, a: "3": two values belong here. Write them as [low, high].',
        ),
        (
            '[modifiers.m]\ngrades = ["dry", "wet"]\n[kinds.k]\nusual = {m = ["dry", "damp"]}',
            'workshop.toml, [kinds.k], usual, m: "damp": m has no such grade. Known here: dry, wet, yes, no.',
        ),
        (
            "[drivers.glass]\n[kinds.k]\nusual = {glas = [1, 2]}",
            (
                "workshop.toml, [kinds.k], usual, glas: no such key is known here. "
                "The nearest name known here is glass."
            ),
        ),
    ],
)
def test_a_value_that_is_not_what_its_key_wants(written, sentence):
    assert said(written) == [sentence]


def test_long_values_are_cut_short():
    (problem,) = parse_settings(f"[bench]\naway = '{'long ' * 40}'")[1]

    assert problem.found == "long " * 11 + "lon …"


def test_true_and_false_and_yes_and_no_are_grades():
    written = """
[modifiers.two]
[modifiers.three]
grades = ["dry", "damp", "wet"]
[kinds.k]
usual = {two = [false, true], three = ["no", "yes"]}
[kinds.j]
usual = {three = [false, true]}
"""
    read, problems = parse_settings(written)

    assert problems == ()
    assert read.kinds["k"].usual == {"two": (0.0, 1.0), "three": (0.0, 2.0)}
    assert read.kinds["j"].usual == {"three": (0.0, 2.0)}


@pytest.mark.parametrize(
    "line",
    [
        "name = 3",
        'target_pay = "42"',
        "floor_pay = -3",
        "two_pack = 0",
        'ready = "dry"',
        "requote = 3",
        "requote = []",
        'requote = [["a", 0.5]]',
        "requote = [[1, 2]]",
        "requote = [[1, 0.9], [2, nan]]",
    ],
)
def test_a_slip_in_the_workshop_leaves_the_default(line):
    assert parse_settings(f"[workshop]\n{line}")[0].workshop == Workshop()


@pytest.mark.parametrize(
    "line",
    [
        "places = 2.5",
        'places = "3"',
        "hours_by_weekday = 6",
        "hours_by_weekday = [6, 6]",
        'hours_by_weekday = [6, 6, 6, 6, 6, 6, "x"]',
        "hours_by_weekday = [0, 0, 0, 0, 0, 0, 0]",
        "away = 3",
        "away = [3]",
        "away = [{first = 2026-08-03}]",
        "away = [{first = 2026-08-16, last = 2026-08-03}]",
    ],
)
def test_a_slip_in_the_bench_leaves_the_default(line):
    assert parse_settings(f"[bench]\n{line}")[0].bench == Bench()


@pytest.mark.parametrize(
    "line",
    [
        "after = 3",
        "wait_days = 3",
        "wait_days = {low = 3}",
        'wait_days = {low = 3, high = "x"}',
        "wait_days = {low = 3, high = 1}",
        "wait_by = 3",
        "wait_by = {m = 3, n = 3}",
        "wait_by = {m = 3}",
        "wait_by = {m = [[0, 0], [3, 2]]}",
        "sessions = 0",
        "sessions = 1.5",
        "needs = 3",
        'on = "shelf"',
    ],
)
def test_a_slip_in_a_stage_leaves_the_default(line):
    assert parse_settings(f"[modifiers.m]\n[modifiers.n]\n[stages.a]\n{line}")[0].stages == {"a": Stage("a")}


@pytest.mark.parametrize(
    "line",
    [
        "usual = 3",
        "usual = {d = 3}",
        'usual = {d = [1, "x"]}',
        "usual = {d = [2, 1]}",
        "usual = {e = [1, 2]}",
    ],
)
def test_a_slip_in_a_kind_leaves_nothing_usual(line):
    assert parse_settings(f"[drivers.d]\n[kinds.k]\n{line}")[0].kinds["k"].usual == {}


@pytest.mark.parametrize(
    "written",
    [
        "[workshop]\nfloor_pay = 0\nhours_in_a_day = 24",
        "[workshop]\nfloor_pay = 10000\nhours_in_a_day = 0.5",
        "[workshop]\nrequote = [[0, 0], [100, 1]]",
        "[bench]\nplaces = 1",
        "[bench]\nplaces = 50.0",
        "[bench]\naway = [{first = 2026-08-03, last = 2026-08-03}]",
        "[stages.a]\nwait_days = {low = 3, high = 3}",
        "[stages.a]\nwait_by = {}",
    ],
)
def test_the_ends_of_what_is_allowed(written):
    read, problems = parse_settings(written)

    assert problems == ()
    assert read != Settings()


@pytest.mark.parametrize(
    ("number", "wrong"),
    [
        ("-0.5", "the number must be 0 or more"),
        ("1e12", "the number must be no larger than a thousand million"),
        ("1" + "0" * 400, "the number must be no larger than a thousand million"),
        ("nan", "the number must be no larger than a thousand million"),
    ],
)
def test_a_quantity_is_none_or_more(number, wrong):
    (problem,) = parse_settings(f"[drivers.d]\n[kinds.k]\nusual = {{d = [{number}, 2e9]}}")[1][:1]

    assert (problem.wrong, problem.cure) == (wrong, "Mend the number.")


def test_a_condition_has_as_many_grades_as_words_and_two_without():
    assert [
        Modifier("m", grades=grades).highest
        for grades in ((), ("dry", "wet"), ("dry", "damp", "wet", "soaked"))
    ] == [1, 1, 3]


def test_a_stage_comes_sometimes_where_no_quantity_says_when():
    stages = {
        "stain": Stage("stain", happens="sometimes"),
        "none": Stage("none", drivers=(), happens="sometimes"),
        "logos": Stage("logos", drivers=("once", "logos"), happens="sometimes"),
        "sand": Stage("sand"),
    }
    settings = Settings(drivers={"logos": Driver("logos")}, modifiers={"wet": Modifier("wet")}, stages=stages)
    assert settings.sometimes == ("stain", "none")
    assert settings.quantities == ("logos", "wet", "stain", "none")
    assert stages["logos"].work == ("logos",)


def test_what_is_no_longer_used_is_not_asked_not_usual_and_none_where_nothing_is_written():
    settings = Settings(
        drivers={"logos": Driver("logos"), "fins": Driver("fins", retired=True)},
        modifiers={
            "wet": Modifier("wet", blank="unknown", retired=True),
            "old": Modifier("old", blank="unknown"),
        },
        kinds={
            "major": Kind("major", usual={"fins": (1.0, 2.0), "logos": (1.0, 3.0)}),
            "minor": Kind("minor", asks=("fins", "wet")),
        },
    )
    then = settings.without_retired()
    assert {name: kind.asks for name, kind in then.kinds.items()} == {"major": ("logos", "old"), "minor": ()}
    assert then.kinds["major"].usual == {"logos": (1.0, 3.0)}
    assert {name: one.blank for name, one in then.modifiers.items()} == {"wet": "none", "old": "unknown"}
    kept = Settings(drivers={"logos": Driver("logos")}, kinds={"major": Kind("major")})
    assert kept.without_retired() is kept


def test_what_is_done_again_has_a_stage_and_a_rule_unless_the_settings_have_their_own():
    own = Rule("mine", stage="redo", per="once", low=2.0, high=3.0)
    bare = Settings(stages={"look": Stage("look"), "sand": Stage("sand")})
    assert (bare.with_redo().stages["redo"].after, [rule.name for rule in bare.with_redo().rules]) == (
        ("look",),
        ["redoing"],
    )
    assert bare.with_redo().sometimes == ("redo",)
    (lent,) = bare.with_redo().rules
    assert (lent.per, lent.low, lent.high, lent.odds, lent.own) == ("once", 1.0, 8.0, 0.8, False)
    told = Settings(stages=bare.stages, rules=(own,)).with_redo()
    assert ([*told.stages], told.rules) == (["look", "sand", "redo"], (own,))
    there = Settings(stages={"redo": Stage("redo")})
    assert there.with_redo() is there


def test_a_thing_goes_by_the_first_label_that_it_has_else_by_its_name():
    settings = Settings(
        stages={"gloss": Stage("gloss"), "sand": Stage("sand", label="Sand it")},
        drivers={
            "gloss": Driver("gloss", label="Sides to gloss"),
            "sand": Driver("sand", label="Sides to sand"),
        },
        modifiers={"wet": Modifier("wet", label="Wet foam")},
        kinds={"major": Kind("major", label="Full"), "wet": Kind("wet", label="A wet one")},
    )
    assert settings.label("wet") == "Wet foam"
    assert [settings.label(name) for name in ("gloss", "sand", "major", "once", "pin_line")] == [
        *("Sides to gloss", "Sand it", "Full", "Set-up", "Pin line"),
    ]  # fmt: skip
    assert [settings.quantity_label(name) for name in ("gloss", "sand", "major")] == [
        "Sides to gloss",
        "Sides to sand",
        "Full",
    ]


def test_what_holds_where_nothing_is_written():
    bench, shop = Bench(), Workshop()
    assert (bench.places, bench.hours_by_weekday, bench.winter_drying, bench.most_hours_a_day_on_one_board) == (
        *(3, (6, 6, 6, 6, 5, 0, 0), 1.35, 4.5),
    )  # fmt: skip
    assert (shop.target_pay, shop.floor_pay, shop.idle_hour, shop.overheads_a_month, shop.hours_in_a_day) == (
        40,
        25,
        0,
        0,
        6.5,
    )
    assert (shop.ready, shop.colour_on, shop.dates, shop.hours_include_sweeping, shop.two_pack) == (
        "hard",
        "foam",
        "iso",
        True,
        False,
    )
    assert shop.requote == ((1.0, 0.95), (1.25, 0.7), (1.5, 0.4))
    assert (shop.strip_fee_credited, shop.broken_promise_cost) == (True, 0)
    one = Stage("x")
    assert (one.drivers, one.wait_days, one.sessions, one.on, one.air, one.happens) == (
        ("once",),
        (0, 0),
        1,
        "bench",
        "quiet",
        "always",
    )
    assert (Driver("x").known, Driver("x").blank, Modifier("x").blank, Kind("x").asks) == (
        "asked",
        "none",
        "none",
        None,
    )
    assert (bench.hours_from, bench.away, bench.holidays, shop.name, shop.currency, shop.backup_folder) == (
        *("auto", (), "", "My workshop", "", ""),
    )  # fmt: skip
    assert (one.after, one.wait_by, one.needs, one.reopens, one.retired) == ((), {}, (), {}, False)
    assert (Driver("x").unit, Driver("x").source, Driver("x").times, Modifier("x").known) == (
        "",
        "",
        "",
        "asked",
    )


def test_how_small_and_how_large_a_number_may_be_and_which_words_a_text():
    numbers, texts = {}, {}
    for kind in (Workshop, Bench, Driver, Modifier, Stage):
        for one in fields(kind):
            if one.metadata.get("high") is not None:
                numbers[one.name] = (one.metadata["low"], one.metadata["high"])
            if one.metadata.get("choices"):
                texts[one.name] = one.metadata["choices"]

    assert numbers == {
        "target_pay": (0, 10_000), "floor_pay": (0, 10_000), "idle_hour": (0, 10_000), "overheads_a_month": (0, 1e7),
        "hours_in_a_day": (0.5, 24), "broken_promise_cost": (0, 1e6), "places": (1, 50), "hours_by_weekday": (0, 24),
        "winter_drying": (0.2, 5), "most_hours_a_day_on_one_board": (0.25, 24),
    }  # fmt: skip
    assert texts == {
        "ready": ("hard", "polished", "collected"), "colour_on": ("foam", "filler"),
        "dates": ("iso", "day-month", "month-day"), "hours_from": ("auto", "log", "calendar"),
        "unit": ("", "m2", "ft2", "m", "ft", "kg", "lb"), "blank": ("none", "unknown"), "source": ("", "outline"),
        "on": ("bench", "rack"), "air": ("dusty", "wet", "spray", "quiet"), "happens": ("always", "sometimes"),
    }  # fmt: skip

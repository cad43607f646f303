"""What sections say of one another: names that clash or that nothing answers to, rings of stages, rules at odds."""

import pytest

from estimator.words.settings.reader import parse_settings


def said(written):
    return [problem.sentence() for problem in parse_settings(written)[1]]


@pytest.mark.parametrize(
    ("written", "sentence"),
    [
        (
            '[stages.strip]\n[drivers.a]\nknown = "stripp"',
            (
                'workshop.toml, [drivers.a], known: "stripp": there is no such stage. '
                "The nearest name known here is strip."
            ),
        ),
        (
            '[stages.s]\nhappens = "sometimes"\n[kinds.k]\nasks = ["s"]',
            (
                'workshop.toml, [kinds.k], asks: "s": there is no such driver or modifier. '
                "There is none to name yet; leave it out."
            ),
        ),
        (
            '[drivers.a]\nfrom = "outline"',
            (
                "workshop.toml, [drivers.a], unit: what is worked out from the outline is an area. "
                'Write unit = "m2" or "ft2", or leave out `from`.'
            ),
        ),
        (
            '[drivers.a]\nunit = "ft"\nfrom = "outline"',
            (
                'workshop.toml, [drivers.a], unit: "ft": what is worked out from the outline is an area. '
                'Write unit = "m2" or "ft2", or leave out `from`.'
            ),
        ),
        (
            "[drivers.glass]\n[kinds.k]\nasks = []\nusual = {glass = [0, 1]}",
            (
                "workshop.toml, [kinds.k], usual, glass: this is not asked for the kind, so it is none. "
                "Add glass to asks, or leave it out here."
            ),
        ),
        (
            "[modifiers.wet]\n[stages.a]\nwait_by = {wet = [[0, 1], [1, 2], [2, 3]]}",
            (
                "workshop.toml, [stages.a], wait_by: wet has 2 grades, and 3 waits stand here. "
                "Write one [low, high] for each grade, the mildest first."
            ),
        ),
        (
            '[drivers.sides]\n[drivers.a]\ntimes = "sides"',
            (
                'workshop.toml, [drivers.a], times: "sides": only an area from the outline is so many faces. '
                'Add from = "outline", or leave `times` out.'
            ),
        ),
        (
            '[drivers.sides]\n[drivers.a]\nunit = "m2"\nfrom = "outline"\ntimes = "side"',
            (
                'workshop.toml, [drivers.a], times: "side": there is no such driver. '
                "The nearest name known here is sides."
            ),
        ),
        (
            '[drivers.a]\nunit = "m2"\nfrom = "outline"\ntimes = "a"',
            'workshop.toml, [drivers.a], times: "a": an area counts no faces. Name a driver that is a count.',
        ),
        (
            '[stages.strip]\n[modifiers.m]\nstages = ["stripp"]',
            (
                'workshop.toml, [modifiers.m], stages: "stripp": there is no such stage. '
                "The nearest name known here is strip."
            ),
        ),
        (
            '[modifiers.m]\nknown = "strip"',
            'workshop.toml, [modifiers.m], known: "strip": there is no such stage. Known here: asked.',
        ),
        (
            '[modifiers.m]\ngrades = ["dry"]',
            (
                'workshop.toml, [modifiers.m], grades: "dry": one grade tells nothing apart. '
                "Name at least two, the mildest first, or leave grades out for yes or no."
            ),
        ),
        (
            '[drivers.glass]\n[modifiers.wet]\n[kinds.k]\nasks = ["glass", "wett"]',
            (
                'workshop.toml, [kinds.k], asks: "wett": there is no such driver or modifier. '
                "The nearest name known here is wet."
            ),
        ),
        (
            "[drivers.glass]\n[drivers.fins]\n[kinds.k]\nasks = ['glass']\nusual = {fins = [0, 1]}",
            (
                "workshop.toml, [kinds.k], usual, fins: this is not asked for the kind, so it is none. "
                "Add fins to asks, or leave it out here."
            ),
        ),
        (
            '[drivers.glass]\n[stages.a]\ndrivers = ["once", "gloss"]',
            (
                'workshop.toml, [stages.a], drivers: "gloss": there is no such driver. '
                "The nearest name known here is glass."
            ),
        ),
        (
            "[stages.a]\ndrivers = []",
            (
                "workshop.toml, [stages.a], drivers: its hours grow with nothing. "
                'Name what its hours grow with, or write drivers = ["once"].'
            ),
        ),
        (
            '[stages.clean]\n[stages.strip]\nafter = ["claen"]',
            (
                'workshop.toml, [stages.strip], after: "claen": there is no such stage. '
                "The nearest name known here is clean."
            ),
        ),
        (
            '[stages.a]\nsessions = "sides"',
            (
                'workshop.toml, [stages.a], sessions: "sides": there is no such driver. '
                "There is none to name yet; leave it out."
            ),
        ),
        (
            '[drivers.d]\n[stages.a]\ndrivers = ["once", "d"]\nhappens = "sometimes"',
            (
                'workshop.toml, [stages.a], happens: "sometimes": its drivers already say when it happens. '
                "Leave it out; the stage happens where one of its drivers is above 0."
            ),
        ),
        (
            "[modifiers.wet]\n[stages.a]\nwait_by = {wte = [[0, 1], [1, 2]]}",
            (
                'workshop.toml, [stages.a], wait_by: "wte": there is no such modifier. '
                "The nearest name known here is wet."
            ),
        ),
        (
            '[modifiers.wet]\ngrades = ["a", "b", "c"]\n[stages.a]\nwait_by = {wet = [[0, 1], [1, 2]]}',
            (
                "workshop.toml, [stages.a], wait_by: wet has 3 grades, and 2 waits stand here. "
                "Write one [low, high] for each grade, the mildest first."
            ),
        ),
        (
            "[modifiers.wet]\n[stages.a]\nwait_days = {low = 0, high = 1}\nwait_by = {wet = [[0, 1], [1, 2]]}",
            "workshop.toml, [stages.a], wait_days: the wait is given here and in wait_by. Keep one of the two.",
        ),
        (
            "[drivers.a]\n[modifiers.a]",
            (
                'workshop.toml, [modifiers.a]: "a": [drivers.a] has this name already, and both would fill the '
                "column assessed_a. Give one of them another name."
            ),
        ),
        (
            '[drivers.a]\n[stages.a]\nhappens = "sometimes"',
            (
                'workshop.toml, [stages.a]: "a": [drivers.a] has this name already, and both would fill the '
                "column assessed_a. Give one of them another name."
            ),
        ),
    ],
)
def test_names_that_clash_or_that_nothing_answers_to(written, sentence):
    assert said(written) == [sentence]


@pytest.mark.parametrize(
    "written",
    [
        "[drivers.gloss]\n[stages.gloss]\ndrivers = ['gloss']",
        "[drivers.nowhere]\n[stages.a]",
        "[drivers.sides]\n[drivers.a]\nunit = 'm2'\nfrom = 'outline'\ntimes = 'sides'\n[stages.s]\nsessions = 'sides'",
        "[stages.a]\nhappens = 'always'",
        "[modifiers.wet]\n[stages.a]\nwait_days = {low = 0, high = 0}\nwait_by = {wet = [[0, 1], [1, 2]]}",
        "[modifiers.idle]",
        "[drivers.sides]\nunit = 'm'\n[drivers.a]\nunit = 'm2'\nfrom = 'outline'\ntimes = 'sides'",
        "[kinds.k]\nasks = []",
        "[modifiers.m]\ngrades = ['dry', 'wet']",
        "[drivers.a]\nunit = 'ft2'\nfrom = 'outline'",
        "[stages.s]\n[drivers.d]\nknown = 's'\n[modifiers.m]\nknown = 's'\nstages = ['s']",
        (
            "[stages.a]\n[stages.b]\n[[rules]]\nname = 'x'\nstage = 'a'\nlow = 1\nhigh = 2\n"
            "[[rules]]\nname = 'y'\nstage = 'b'\nlow = 3\nhigh = 4"
        ),
        (
            "[bench]\naway = [{first = 2026-01-01, last = 2026-06-30}, {first = 2026-01-05, last = 2026-01-06}, "
            "{first = 2026-07-02, last = 2027-01-31}]"
        ),
    ],
)
def test_what_is_no_problem(written):
    assert said(written) == []


def test_rings_of_stages_are_named_each_once():
    written = """
[stages.a]
after = ["b"]
[stages.b]
after = ["c"]
[stages.c]
after = ["a", "d"]
[stages.d]
after = ["c"]
[stages.e]
after = ["e", "a"]
"""
    wrong = "these stages wait for one another without end. Take one of them out of `after`."

    assert said(written) == [
        f'workshop.toml, [stages.a], after: "a after b after c after a": {wrong}',
        f'workshop.toml, [stages.c], after: "c after d after c": {wrong}',
        f'workshop.toml, [stages.e], after: "e after e": {wrong}',
    ]


def test_one_slip_that_closes_many_rings_is_named_once():
    written = """
[stages.a]
after = ["e"]
[stages.b]
after = ["a"]
[stages.c]
after = ["a"]
[stages.d]
after = ["b", "c"]
[stages.e]
after = ["d"]
"""

    assert [line.partition(": these")[0] for line in said(written)] == [
        'workshop.toml, [stages.a], after: "a after e after d after b after a"'
    ]


STAGE = """
[drivers.area]
[kinds.big]
[stages.strip]
drivers = ["once", "area"]
"""


def two_rules(first, second):
    return (
        STAGE
        + f'[[rules]]\nname = "one"\nstage = "strip"\n{first}\n[[rules]]\nname = "two"\nstage = "strip"\n{second}'
    )


@pytest.mark.parametrize("more", ['per = "area"\n', 'per = "once"\n', "", 'when = {kind = "big"}\n'])
def test_two_rules_of_the_same_that_do_not_touch_are_both_named(more):
    assert said(two_rules(more + "low = 1\nhigh = 2", more + "low = 2.5\nhigh = 4")) == [
        (
            'workshop.toml, rule "two": "2.5 to 4": rule "one" says 1 to 2 of the same, and both cannot be right. '
            "Delete the one that is wrong, or say with `when` which boards each speaks of."
        )
    ]


def test_two_lent_rules_are_held_against_each_other_the_higher_one_first():
    (found,) = said(
        two_rules('source = "starter"\nlow = 2.5\nhigh = 4', 'source = "starter"\nlow = 1\nhigh = 2')
    )
    assert found.startswith('workshop.toml, rule "two": "1 to 2": rule "one" says 2.5 to 4 of the same')


@pytest.mark.parametrize(
    ("first", "second"),
    [
        ('about = "days"\nwait = "drying"', 'about = "days"\nwait = "curing"'),
        ('about = "days"\nspan = ["started", "ready"]', 'about = "days"\nspan = ["asked", "ready"]'),
        ('stage = "strip"\nmodifier = "wet"', 'stage = "strip"\nmodifier = "sun"'),
        ('stage = "strip"', 'modifier = "wet"'),
    ],
)
def test_rules_of_other_waits_other_dates_or_another_condition_may_lie_apart(first, second):
    wet = '[modifiers.wet]\nstages = ["strip"]\n[modifiers.sun]\nstages = ["strip"]\n'
    rules = (
        f'[[rules]]\nname = "{n}"\n{one}\nlow = {n}\nhigh = {n}.5\n' for n, one in ((1, first), (2, second))
    )
    assert said(STAGE + wet + "".join(rules)) == []


@pytest.mark.parametrize(
    ("first", "second"),
    [
        ("low = 1\nhigh = 2", "low = 2\nhigh = 4"),
        ("low = 2\nhigh = 4", "low = 1\nhigh = 2"),
        ('per = "area"\nlow = 1\nhigh = 2', 'per = "once"\nlow = 3\nhigh = 4'),
        ("low = 1\nhigh = 2", 'when = {kind = "big"}\nlow = 3\nhigh = 4'),
        ("low = 1\nhigh = 2\nwhen = {area = 1}", "low = 3\nhigh = 4\nwhen = {area = 2}"),
    ],
)
def test_two_rules_that_touch_or_speak_of_different_things_may_stand(first, second):
    assert said(two_rules(first, second)) == []


def test_of_three_rules_of_the_same_the_first_and_the_last_are_held_against_each_other_too():
    rules = (
        f'[[rules]]\nname = "{name}"\nstage = "strip"\nlow = {low}\nhigh = {high}\n'
        for name, low, high in (("x", 1, 3), ("y", 2, 6), ("z", 5, 8))
    )
    assert [line.partition(" of the same")[0] for line in said(STAGE + "".join(rules))] == [
        'workshop.toml, rule "z": "5 to 8": rule "x" says 1 to 3'
    ]


def test_chances_of_the_same_are_no_ranges_that_could_lie_apart():
    rules = (
        f'[[rules]]\nname = "{name}"\nabout = "chance"\nchance = "redo"\nshare = {share}\nworth = 5\n'
        for name, share in (("x", 0.1), ("y", 0.9))
    )
    assert said(STAGE + '[stages.redo]\nhappens = "sometimes"\n' + "".join(rules)) == []


def test_every_rule_has_a_name_of_its_own():
    written = two_rules("low = 1\nhigh = 2", "low = 2\nhigh = 3").replace('"two"', '"one"')

    assert said(written) == ['workshop.toml, rule "one": 2 rules have this name. Give each its own.']


def test_days_away_for_longer_than_a_year_leave_no_day_to_promise():
    slip = "{first = 2026-08-03, last = 2036-08-16}"
    row_by_row = "{first = 2027-01-01, last = 2027-09-01}, {first = 2026-08-03, last = 2026-12-31}"
    cure = "Mend the dates, or take them out."
    wrong = "for longer than a year no day is left to work, and no board can be promised"
    for written, found in {
        slip: "2026-08-03 to 2036-08-16",
        row_by_row: "2026-08-03 to 2027-09-01",
        "{first = 2026-08-03, last = 9999-12-31}": "2026-08-03 to 9999-12-31",
        f"{{first = 2026-12-21, last = 2027-01-03}}, {slip}": "2026-08-03 to 2036-08-16",
    }.items():
        assert said(f"[bench]\naway = [{written}]") == [
            f'workshop.toml, [bench], away: "{found}": {wrong}. {cure}'
        ]


def test_days_away_with_a_day_to_work_between_may_be_many():
    a_year = "{first = 2026-01-01, last = 2026-12-31}, {first = 2027-01-02, last = 2027-12-31}"
    assert said(f"[bench]\naway = [{a_year}]") == []


@pytest.mark.parametrize(
    ("away", "long"),
    [
        (["2026-01-01/2027-01-01"], False),  # 366 days
        (["2026-01-01/2027-01-02"], True),
        (["2026-01-01/2026-06-30", "2026-07-01/2027-01-02"], True),
        (["2026-01-01/2026-06-30", "2026-07-02/2027-01-02"], False),  # a day to work between
        (["2026-01-01/2027-01-02", "2026-03-01/2026-03-02"], True),  # one that lies within the other
        (["2026-07-01/2027-01-02", "2026-01-01/2026-06-30"], True),  # in any order
    ],
)
def test_more_than_a_year_away_is_counted_from_its_first_day_to_its_last(away, long):
    days = ", ".join("{{first = {}, last = {}}}".format(*one.split("/")) for one in away)
    assert bool(said(f"[bench]\naway = [{days}]")) is long

"""Rules of thumb in the settings file: what each form means, and the whole text of each problem."""

import datetime as dt

import pytest

from estimator.words.problems import Place
from estimator.words.records import Accepted, Rule
from estimator.words.settings.reader import parse_settings

SHOP = """
[drivers.area]
[drivers.pieces]
[modifiers.wet]
stages = ["strip"]
grades = ["dry", "damp", "wet"]
[modifiers.sun]
stages = ["strip"]
[modifiers.idle]
[kinds.major]
[kinds.minor]
[stages.clean]
[stages.strip]
drivers = ["once", "area"]
[stages.redo]
happens = "sometimes"
[[rules]]
name = "r"
"""
RANGE = "low = 1\nhigh = 2\n"


def only_rule(written):
    read, problems = parse_settings(SHOP + written)

    assert problems == ()
    (rule,) = read.rules
    return rule


def said(written):
    read, problems = parse_settings(SHOP + written)

    assert read.rules == ()
    return [problem.sentence() for problem in problems]


@pytest.mark.parametrize(
    ("written", "form"),
    [
        (RANGE, "board"),
        ('stage = "strip"\n' + RANGE, "stage"),
        ('stage = "strip"\nper = "area"\n' + RANGE, "rate"),
        ('stage = "strip"\nper = "once"\n' + RANGE, "rate"),
        ('stage = "strip"\nmodifier = "wet"\n' + RANGE, "factor"),
        ('modifier = "wet"\n' + RANGE, "factor"),
        ('about = "days"\nwait = "drying"\n' + RANGE, "wait"),
        ('about = "days"\nwait = "strip"\n' + RANGE, "wait"),
        ('about = "days"\nspan = ["started", "ready"]\n' + RANGE, "span"),
        ('about = "chance"\nchance = "hidden work"\nshare = 0.4', "chance"),
        ('about = "chance"\nchance = "redo"\nshare = 0.1\nworth = 5', "chance"),
        ('about = "chance"\nchance = "sun"\nshare = 0.1', "chance"),
    ],
)
def test_forms(written, form):
    assert only_rule(written).form == form


def test_a_rule_with_everything():
    rule = only_rule(
        """
text = "As I say it"
about = "hours"
stage = "strip"
per = "area"
when = {kind = "major", length_ft = [8.5, 10.5], area = 2, wet = ["wet", "damp"], sun = false, redo = "no"}
board = {area = 2.5, wet = "damp", pieces = 1, redo = "no"}
low = 2.5
high = 4
odds = 0.7
said = 2023-05-01
source = "shops"
[rules.accepted]
low = 3
high = 5
on = 2026-10-01
boards = 17
source = "log"
"""
    )

    assert rule == Rule(
        name="r",
        text="As I say it",
        about="hours",
        stage="strip",
        per="area",
        when={
            "kind": frozenset({"major"}),
            "length_ft": (8.5, 10.5),
            "area": (2.0, 2.0),
            "wet": (1.0, 2.0),
            "sun": (0.0, 0.0),
            "redo": (0.0, 0.0),
        },
        board={"area": 2.5, "wet": 1.0, "pieces": 1.0, "redo": 0.0},
        low=2.5,
        high=4.0,
        odds=0.7,
        said=dt.date(2023, 5, 1),
        source="shops",
        accepted=Accepted(3.0, 5.0, dt.date(2026, 10, 1), 17),
        where=Place("workshop.toml", path=('rule "r"',)),
    )


def test_what_is_left_out():
    rule = only_rule('said = ""\n' + RANGE)

    assert (rule.odds, rule.source, rule.said, rule.when, rule.board, rule.accepted) == (
        0.8,
        "own",
        None,
        {},
        {},
        None,
    )
    chance = only_rule('about = "chance"\nchance = "redo"\nshare = 0.1')
    assert (chance.share, chance.worth, chance.low, chance.high, chance.odds) == (0.1, 10.0, None, None, None)


def test_kinds_may_be_a_list():
    assert only_rule('when = {kind = ["major", "minor"]}\n' + RANGE).when == {
        "kind": frozenset({"major", "minor"})
    }


R = 'workshop.toml, rule "r"'
NO_WORD = "that is not one of the words known here"


@pytest.mark.parametrize(
    ("written", "sentences"),
    [
        ("lo = 1\n" + RANGE, [f"{R}, lo: no such key is known here. The nearest name known here is low."]),
        ("low = 1", [f"{R}, high: the range has not both its ends. Write low and high."]),
        (
            "low = 2\nhigh = 2.0",
            [
                (
                    f'{R}: "{{low = 2, high = 2}}": the same number twice is no range. '
                    "Say what the quickest and the slowest of ten take."
                )
            ],
        ),
        (
            "low = 3\nhigh = 2",
            [f'{R}: "{{low = 3, high = 2}}": the low end is above the high end. Swap the two, or mend one.'],
        ),
        ("low = 0\nhigh = 2", [f'{R}, low: "0": the number must be above 0. Mend the number.']),
        ("odds = 80\n" + RANGE, [f'{R}, odds: "80": it must lie between 0 and 1. Write 0.8 for 8 in 10.']),
        ("odds = 1.0\n" + RANGE, [f'{R}, odds: "1": it must lie between 0 and 1. Write 0.8 for 8 in 10.']),
        (
            "odds = 0.999\n" + RANGE,
            [f'{R}, odds: "0.999": nobody can be so sure. Write a number from 0.1 to 0.995.'],
        ),
        (
            "odds = 0.01\n" + RANGE,
            [f'{R}, odds: "0.01": so few of ten inside make no range. Write a number from 0.1 to 0.995.'],
        ),
        (
            'stage = "strpi"\n' + RANGE,
            [f'{R}, stage: "strpi": {NO_WORD}. The nearest name known here is strip.'],
        ),
        (
            'stage = "strip"\nper = "aera"\n' + RANGE,
            [f'{R}, per: "aera": {NO_WORD}. The nearest name known here is area.'],
        ),
        (
            'stage = "clean"\nper = "area"\n' + RANGE,
            [f'{R}, per: "area": {NO_WORD}. Known here: once.'],
        ),
        (
            'per = "area"\n' + RANGE,
            [
                (
                    f'{R}, per: "area": it does not say of which stage. '
                    "Add the stage; `per` is one of its drivers, or once."
                )
            ],
        ),
        (
            'modifier = "wat"\n' + RANGE,
            [f'{R}, modifier: "wat": {NO_WORD}. The nearest name known here is wet.'],
        ),
        (
            'stage = "clean"\nmodifier = "wet"\n' + RANGE,
            [f'{R}, modifier: "wet": it slows strip. Mend the rule, or the stages of [modifiers.wet].'],
        ),
        (
            'modifier = "idle"\n' + RANGE,
            [f'{R}, modifier: "idle": it slows no stage. Mend the rule, or the stages of [modifiers.idle].'],
        ),
        (
            'about = "days"\nwait = "drying"\nmodifier = "wet"\n' + RANGE,
            [f'{R}, modifier: "wet": a modifier has no say in a wait. Leave it out, or speak of a stage.'],
        ),
        (
            'about = "chance"\nchance = "redo"\nshare = 0.1\nmodifier = "sun"',
            [f'{R}, modifier: "sun": a modifier has no say in a chance. Leave it out, or speak of a stage.'],
        ),
        (
            "low = 1\nhigh = 1000001",
            [f'{R}, high: "1000001": the number must be no larger than 1,000,000. Mend the number.'],
        ),
        (
            'about = "days"\nspan = ["asked", "started", "ready"]\n' + RANGE,
            [
                (
                    f'{R}, span: "["asked", "started", "ready"]": a span runs from one date to a later one. '
                    'Write it as ["started", "ready"].'
                )
            ],
        ),
        (
            'stage = "strip"\nper = "area"\nmodifier = "wet"\n' + RANGE,
            [f"{R}: it speaks of per and modifier at once. Keep one of them, or make two rules."],
        ),
        (
            'stage = "strip"\nwait = "drying"\n' + RANGE,
            [f"{R}: it speaks of stage and wait at once. Keep one of them."],
        ),
        (
            'wait = "drying"\n' + RANGE,
            [f'{R}, about: with wait the rule is about days. Write about = "days".'],
        ),
        (
            'about = "days"\nwait = "dryng"\n' + RANGE,
            [f'{R}, wait: "dryng": {NO_WORD}. The nearest name known here is drying.'],
        ),
        (
            'about = "days"\nstage = "strip"\n' + RANGE,
            [f'{R}, about: "days": with stage the rule is about hours. Write about = "hours".'],
        ),
        (
            'about = "days"\n' + RANGE,
            [
                (
                    f'{R}, about: "days": it does not say which days. '
                    'Add wait = "drying", or span = ["started", "ready"].'
                )
            ],
        ),
        (
            'about = "days"\nspan = ["ready", "started"]\n' + RANGE,
            [
                (
                    f'{R}, span: "["ready", "started"]": a span runs from one date to a later one. '
                    'Write it as ["started", "ready"].'
                )
            ],
        ),
        (
            'about = "days"\nspan = ["begun", "ready"]\n' + RANGE,
            [
                (
                    f'{R}, span: "begun": {NO_WORD}. '
                    "Known here: asked, quoted, accepted, started, ready, collected, paid_on."
                )
            ],
        ),
        (
            'about = "chance"\nshare = 0.4',
            [
                (
                    f'{R}, about: "chance": it does not say what may happen. '
                    'Add chance = "hidden work", or a sometimes-stage.'
                )
            ],
        ),
        (
            'about = "chance"\nchance = "redo"',
            [f"{R}, share: it does not say how many of ten. Write share = 0.4 for four in ten."],
        ),
        (
            'about = "chance"\nchance = "redo"\nshare = 1\nworth = 0',
            [
                f'{R}, share: "1": it must lie between 0 and 1. Write 0.8 for 8 in 10.',
                f'{R}, worth: "0": the number must be above 0. Mend the number.',
            ],
        ),
        (
            'about = "chance"\nchance = "wet"\nshare = 0.2',
            [f'{R}, chance: "wet": {NO_WORD}. Known here: hidden work, redo, sun, idle.'],
        ),
        (
            'about = "chance"\nchance = "redo"\nshare = 0.2\nodds = 0.8\n' + RANGE,
            [
                f'{R}, high: "2": a rule about a chance has a share instead. Leave it out.',
                f'{R}, low: "1": a rule about a chance has a share instead. Leave it out.',
                f'{R}, odds: "0.8": a rule about a chance has a share instead. Leave it out.',
            ],
        ),
        ("share = 0.4\n" + RANGE, [f'{R}, share: "0.4": only a rule about a chance has it. Leave it out.']),
        ("worth = 4\n" + RANGE, [f'{R}, worth: "4": only a rule about a chance has it. Leave it out.']),
        (
            'said = "May"\nsource = "log"\n' + RANGE,
            [
                f'{R}, said: "May": a date belongs here. Write it as 2026-08-03, without quotation marks.',
                f'{R}, source: "log": {NO_WORD}. Known here: own, starter, shops.',
            ],
        ),
        (
            'when = {kind = "majr", length = 9}\n' + RANGE,
            [
                f'{R}, when, kind: "majr": {NO_WORD}. The nearest name known here is major.',
                f"{R}, when, length: no such key is known here. The nearest name known here is length_ft.",
            ],
        ),
        (
            'when = {length_ft = [9, 8], area = -1, wet = ["dry", "wet"], sun = "maybe", pieces = "two"}\n'
            + RANGE,
            [
                f'{R}, when, area: "-1": the number must be 0 or more. Mend the number.',
                f'{R}, when, length_ft: "[9, 8]": the low end is above the high end. Swap the two, or mend one.',
                f'{R}, when, pieces: "two": a number belongs here. Write a plain number, such as 4 or 4.5.',
                f'{R}, when, sun: "maybe": sun has no such grade. Known here: yes, no.',
                (
                    f'{R}, when, wet: "["dry", "wet"]": a grade between them is left out. '
                    "Name grades side by side, or make two rules."
                ),
            ],
        ),
        (
            'when = {length_ft = ["8", "9"]}\n' + RANGE,
            [
                f'{R}, when, length_ft: "8": a number belongs here. Write a plain number, such as 4 or 4.5.',
                f'{R}, when, length_ft: "9": a number belongs here. Write a plain number, such as 4 or 4.5.',
            ],
        ),
        (
            "when = {kind = []}\n" + RANGE,
            [f'{R}, when, kind: "[]": no kind is named. Name one, or leave it out.'],
        ),
        (
            "board = {wet = 3, peices = 1}\n" + RANGE,
            [
                f"{R}, board, peices: no such key is known here. The nearest name known here is pieces.",
                f'{R}, board, wet: "3": the number must be from 0 to 2. Mend the number.',
            ],
        ),
        (
            RANGE + "accepted = {low = 2, high = 4}",
            [
                f"{R}, accepted: it lacks on and boards. Leave it out, and keep anew what the log says: that writes all of it."
            ],
        ),
        (
            RANGE + 'accepted = {low = 4, high = 2, on = 2026-01-01, boards = 0, source = "own"}',
            [
                (
                    f'{R}, accepted: "{{low = 4, high = 2}}": the low end is above the high end. '
                    "Swap the two, or mend one."
                ),
                f'{R}, accepted, boards: "0": the number must be 1 or more. Mend the number.',
                f'{R}, accepted, source: "own": {NO_WORD}. Known here: log.',
            ],
        ),
    ],
)
def test_a_rule_that_does_not_say_one_whole_thing(written, sentences):
    assert said(written) == sentences


def test_rules_without_a_name_are_counted():
    read, problems = parse_settings("[[rules]]\nlow = 1\nhigh = 2\n[[rules]]\nname = 3\nlow = 1\nhigh = 2")

    assert read.rules == ()
    assert [problem.sentence() for problem in problems] == [
        "workshop.toml, [[rules]] number 1, name: the rule has no name. Give it a short name of its own.",
        'workshop.toml, [[rules]] number 2, name: "3": the rule has no name. Give it a short name of its own.',
    ]


def test_in_a_shop_without_kinds_no_kind_can_be_named():
    _, problems = parse_settings('[[rules]]\nname = "r"\nlow = 1\nhigh = 2\nwhen = {kind = "major"}')

    assert [problem.sentence() for problem in problems] == [
        f'{R}, when, kind: "major": {NO_WORD}. There is none to name yet; leave it out.'
    ]


def test_rules_that_are_no_sections():
    _, problems = parse_settings("rules = [3]")

    assert [problem.sentence() for problem in problems] == [
        "workshop.toml, rules: rules are not written one by one. Begin each with a line [[rules]]."
    ]


@pytest.mark.parametrize("odds", [0.1, 0.5, 0.995])
def test_the_ends_of_what_odds_may_be(odds):
    assert only_rule(f"odds = {odds}\n" + RANGE).odds == odds

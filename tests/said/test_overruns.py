import re
from dataclasses import replace

import pytest

from estimator.cli.printing import plain_lines
from estimator.decide.overruns.overruns import Overruns
from estimator.decide.overruns.parts import BoardOverrun, StageOverrun
from estimator.decide.overruns.variance_shares import Effect, GoesWith, Share, TooFew
from estimator.said.overruns import NOT_THE_CAUSE, board_parts, in_one_sentence, overruns_parts
from estimator.words.settings.schema import Driver, Modifier, Settings, Stage

SHOP = Settings(
    drivers={
        "infills": Driver("infills", label="Foam pieces to let in"),
        "area": Driver("area", label="Old glass", unit="m2"),
    },
    modifiers={
        "brittle": Modifier("brittle", label="Brittle glass", grades=("sound", "crisp", "brittle")),
        "rush": Modifier("rush", label="In a rush"),
    },
    stages={"strip": Stage("strip", label="Strip old glass"), "infill": Stage("infill", label="Let in foam")},
)
RED = BoardOverrun(
    "26-014", "red nine-four", "major", "", 52.0, 71.0, 60.5, 66.0, 70.0,
    (StageOverrun("strip", 24.0, 20.0, 0.03, 0.0, -0.1), StageOverrun("infill", 46.0, 51.0, 0.057, 0.0588, 0.1142)),
)  # fmt: skip
FISH = BoardOverrun("26-015", "green fish", "minor", "", 10.0, 8.0, 9.0, 9.0, 9.0)
NOTHING = GoesWith(
    parts=(
        Share("", "guess", 0.61, 0.5, 0.7),
        Share("", "surprise", -0.05, -0.1, 0.0),
        Share("", "pace", 0.44, 0.3, 0.55),
    ),
    effects=(
        Effect("infills", "overrun", 0.1, -0.1, 0.2, 0.6),
        Effect("brittle", "overrun", 0.1, -0.1, 0.2, 0.6),
    ),
    too_few=(TooFew("area", 3, 90), TooFew("rush", 9, 60)),
)
STATISTICS = (
    "prior",
    "posterior",
    "quantile",
    "confidence",
    "interval",
    "percent",
    "%",
    "variance",
    "significan",
    "lmg",
    "regress",
    "overrun",
)


def lines(found):
    return plain_lines(overruns_parts(found, SHOP))


@pytest.mark.parametrize(
    ("boards", "said"),
    [((RED, RED, FISH), "Two of them went over."), ((FISH, FISH, FISH, RED), "One of them went over.")],
)
def test_those_that_took_more_than_was_said_are_counted(boards, said):
    assert in_one_sentence(Overruns(boards))[1] == said


def test_what_made_boards_go_over_comes_first_in_one_sentence_and_adds_up():
    told = lines(Overruns((RED, FISH)))

    assert told[0] == "What made boards go over"
    assert told[1] == (
        "2 boards took 79 hours; you said 62. 17 hours over: guesses too low added 8, hidden work 5½, "
        "what was asked for since 3½."
    )
    assert told[2] == "One of them went over."
    assert told[3:10] == [
        "                    hours",
        "the guess itself       +8",
        "hidden work           +5½",
        "asked for since       +3½",
        "boards' own going       ·",
        "                      ---",
        "more than you said    +17",
    ]


def test_boards_and_stages():
    told = lines(Overruns((RED, FISH)))

    at = told.index("Board by board")
    assert told[at + 2].split() == ["red", "nine-four", "52", "71", "+9", "+5½", "+3½", "+1"]
    stages = told[told.index("By stage, in hours") :]
    assert (
        stages[1]
        == "From 1 board with hours by stage. A guess is of the whole board and can't be told by stage."
    )
    assert [line.split()[-3:] for line in stages[3:5]] == [["+3½", "+3½", "+7"], ["+2", "·", "−6"]]


def test_how_much_goes_with_each_part_in_ten_parts_of_what_differs():
    told = lines(Overruns((RED, FISH), NOTHING))

    at = next(i for i, line in enumerate(told) if "Of ten parts of that difference" in line)
    assert told[at + 2].split()[-4:] == ["6", "5", "to", "7"]
    assert not any("−" in line for line in told[at : at + 5])  # what evens out the others has no part in it
    assert sum(float(line.split()[-4].replace("½", ".5")) for line in told[at + 2 : at + 4]) == 10


def test_where_nothing_goes_with_it_that_is_said_and_no_driver_is_named():
    told = lines(Overruns((RED, FISH), NOTHING))

    at = told.index("What goes with it")
    assert (
        told[at + 1]
        == "Of 2 things that you write down about boards, nothing goes with it by more than luck explains."
    )
    assert "is found 8 times in 10" not in told[at + 2]
    able = lines(Overruns((RED, FISH), replace(NOTHING, could_find=0.19)))
    assert able[at + 2] == (
        "From 2 boards a thing that makes a fifth of the difference is found 8 times in 10; one that makes less may "
        "be there and not show."
    )
    assert "Not enough boards to say" in told
    assert "You have 2. In a rush: 60 would do; old glass: 90 would do." in told


@pytest.mark.parametrize(
    ("driver", "part", "slope", "said"),
    [
        ("infills", "overrun", 0.1, "Foam pieces to let in: each one more goes with 3½ hours more"),
        ("area", "guess", -0.1, "Old glass: each m² more goes with 3 hours less"),
        ("brittle", "surprise", 0.1, "Brittle glass: each step goes with 3½ hours more"),
        ("rush", "pace", 0.5, "In a rush: yes goes with 20 hours more"),
    ],
)
def test_what_goes_with_it_is_told_in_hours(driver, part, slope, said):
    effects = (Effect(driver, part, slope, slope - 0.04, slope + 0.04, 0.001),)
    drivers = (Share(driver, "overrun", 0.3, 0.1, 0.5), Share("unexplained", "overrun", 0.7, 0.5, 0.9))
    told = lines(Overruns((RED, FISH), GoesWith(NOTHING.parts, drivers, (), effects)))

    (line,) = [one for one in told if "that you'd call" in one]
    assert line.startswith(said)
    where = {
        "overrun": "",
        "guess": "; it lies in the guess itself",
        "pace": "; it lies in boards' own going",
    }
    hidden = "; it lies in hidden work, and what was asked for since"
    assert line.endswith(f" on a board that you'd call 31{where.get(part, hidden)}.")
    assert any(one.endswith(NOT_THE_CAUSE) for one in told)
    assert told[-1].split()[:5] == ["nothing", "that", "was", "looked", "at"]


def test_the_story_and_the_stages_of_one_board():
    told = plain_lines(board_parts(RED, SHOP))

    assert told[0] == "red nine-four"
    assert told[1].startswith(
        "The red nine-four took 71 hours; you said 52. 19 hours over: a low guess added 9"
    )
    assert told[-2].split() == ["Strip", "old", "glass", "24", "20", "+2", "·", "−6"]
    assert (
        plain_lines(board_parts(FISH, SHOP))[-1]
        == "Its hours are not booked to stages, so they can't be told apart."
    )


def test_boards_that_could_not_be_judged_are_counted_and_named():
    out = {"the guess is from memory": ("a", "b", "c", "d"), "hours are missing": ("e",)}
    told = lines(Overruns((RED,), left_out=out, not_recorded=("red nine-four",)))

    assert "The guess is from memory: 4 boards (a, b, c …)." in told
    assert "Hours are missing: 1 board (e)." in told
    assert (
        told[-1] == "How it turned out is not written, so no hidden work can show: 1 board (red nine-four)."
    )


def test_no_guesses_say_so():
    told = lines(Overruns(left_out={"no guess of your own is written": ("a",)}))

    assert (
        told[1]
        == "No finished board can be judged yet: it takes a guess made before, all its hours, and what there was to do."
    )
    assert told[-1] == "No guess of your own is written: 1 board (a)."


def test_alike_drivers_are_said_to_go_together():
    told = lines(Overruns((RED, FISH), GoesWith(alike={"area": "infills"})))
    assert "Old glass can't be told from foam pieces to let in: on your boards the two go together." in told


def test_nobody_is_blamed_and_no_statistics_are_talked():
    effects = (Effect("brittle", "pace", 0.2, 0.1, 0.3, 0.001),)
    slow = replace(RED, took=150.0, stages=())
    told = "\n".join(lines(Overruns((slow, FISH), replace(NOTHING, effects=effects)))).casefold()

    assert not [word for word in STATISTICS if word in told]
    assert not re.search(r"you were|your fault|too slow|mistake", told)


def test_the_five_that_went_over_most_are_named_the_worst_first_and_none_that_did_not():
    boards = [replace(RED, board=f"b{n}", called=f"gun {n}", took=52.0 + n) for n in (0, 3, 9, 5, 7, 4, 1)]
    told = lines(
        Overruns((*boards, FISH, replace(RED, board="hardly", called="hardly", guessed=52.0, took=52.4)))
    )
    at = told.index("Board by board")

    assert [" ".join(line.split()[:4]) for line in told[at + 2 : at + 7]] == [
        "gun 9 52 61", "gun 7 52 59", "gun 5 52 57", "gun 4 52 56", "gun 3 52 55",
    ]  # fmt: skip
    assert "Board by board" not in lines(Overruns((FISH,)))


def test_of_few_boards_it_is_said_how_many_it_takes():
    none = replace(NOTHING, parts=())
    said = "How much of what differs between boards goes with each takes"
    few = [line for line in lines(Overruns((RED, FISH), none)) if line.startswith(said)]
    many = [line for line in lines(Overruns((RED,) * 60, none)) if line.startswith(said)]

    assert (len(few), many) == (1, [])
    assert not [line for line in lines(Overruns((RED, FISH), NOTHING)) if line.startswith(said)]


@pytest.mark.parametrize(
    ("slope", "low", "high", "said"),
    [
        (0.1, 0.06, 0.14, "3½ hours more (2 to 4½) on"),
        (0.1, 0.1, 0.1, "3½ hours more on"),
        (0.005, 0.001, 0.02, "less than ½ hour more (less than ½ to ½) on"),
        (-0.1, -0.14, -0.06, "3 hours less (2 to 4) on"),
        (0.0317, 0.02, 0.05, "1 hour more (½ to 1½) on"),
    ],
)
def test_what_one_more_goes_with_is_said_with_its_range(slope, low, high, said):
    effects = (Effect("infills", "overrun", slope, low, high, 0.001),)
    told = lines(Overruns((RED, FISH), GoesWith(NOTHING.parts, (), (), effects)))

    assert said in next(line for line in told if "that you'd call" in line)


def test_an_effect_is_told_once_by_the_part_that_shows_it_and_the_surest_first():
    effects = (
        Effect("infills", "overrun", 0.1, 0.06, 0.14, 0.001), Effect("infills", "surprise", 0.2, 0.1, 0.3, 0.03),
        Effect("brittle", "overrun", 0.1, 0.06, 0.14, 0.01), Effect("area", "overrun", 0.1, 0.06, 0.14, 0.05),
    )  # fmt: skip
    told = [
        line
        for line in lines(Overruns((RED, FISH), GoesWith(NOTHING.parts, (), (), effects)))
        if "that you'd call" in line
    ]

    assert [line.partition(":")[0] for line in told] == ["Brittle glass", "Foam pieces to let in"]
    assert told[1].endswith("; it lies in hidden work, and what was asked for since.")


@pytest.mark.parametrize(("share", "shown"), [(0.025, True), (0.024, False)])
def test_what_makes_next_to_nothing_of_the_difference_has_no_line(share, shown):
    effects = (Effect("infills", "overrun", 0.1, 0.06, 0.14, 0.001),)
    drivers = (
        Share("brittle", "overrun", share, 0.0, 0.1),
        Share("infills", "overrun", 0.3, 0.1, 0.5),
        Share("unexplained", "overrun", 0.7, 0.5, 0.9),
    )
    told = lines(Overruns((RED, FISH), GoesWith(NOTHING.parts, drivers, (), effects)))

    assert [line.split()[0] for line in told if line.startswith(("Brittle", "Foam pieces to let in  "))] == [
        "Foam",
        *(["Brittle"] if shown else []),
    ]


def test_stages_are_shown_from_an_hour_on_the_largest_first_eight_at_most():
    by_stage = {
        f"s{n}": {"hidden": float(n) / 2, "asked_later": 0.0, "pace": -float(n) / 2} for n in range(11)
    }
    found = replace_by_stage(Overruns((RED, FISH)), by_stage)
    told = lines(found)
    at = told.index("By stage, in hours")

    assert [line.split()[0] for line in told[at + 3 : at + 11]] == [
        "S10",
        "S9",
        "S8",
        "S7",
        "S6",
        "S5",
        "S4",
        "S3",
    ]
    small = {"s": {"hidden": 0.99, "asked_later": 0.0, "pace": -0.99}}
    assert "By stage, in hours" not in lines(replace_by_stage(Overruns((RED, FISH)), small))


def replace_by_stage(found, by_stage):
    """The same with hours by stage given by hand."""
    held = type("Held", (Overruns,), {"by_stage": property(lambda _: by_stage)})
    return held(found.boards, found.goes_with, found.left_out, found.not_recorded)


@pytest.mark.parametrize(
    ("names", "said"), [("abc", "3 boards (a, b, c)."), ("abcd", "4 boards (a, b, c …).")]
)
def test_three_that_could_not_be_judged_are_named(names, said):
    assert f"Hours are missing: {said}" in lines(
        Overruns((RED,), left_out={"hours are missing": tuple(names)})
    )


def test_a_board_that_took_what_was_said_did_not_go_over():
    just = replace(FISH, took=10.0)
    assert in_one_sentence(Overruns((RED, just, FISH)))[1] == "One of them went over."


@pytest.mark.parametrize(("boards", "said"), [(7, True), (8, False)])
def test_a_part_of_none_has_no_line_and_eight_boards_are_enough(boards, said):
    zero = replace(
        NOTHING, parts=(*NOTHING.parts[:1], Share("", "surprise", 0.0, -0.1, 0.1), *NOTHING.parts[2:])
    )
    told = lines(Overruns((RED, FISH), zero))
    at = next(i for i, line in enumerate(told) if "Of ten parts of that difference" in line)
    assert [line.split("  ")[0] for line in told[at + 2 : at + 4]] == [
        "the guess itself",
        "boards' own going",
    ]
    assert told[at + 4] == ""
    few = lines(Overruns((RED,) * boards, replace(NOTHING, parts=())))
    assert any(line.startswith("How much of what differs") for line in few) == said


@pytest.mark.parametrize(
    ("hidden", "later", "pace", "shown"),
    [(1.0, 0.0, 0.0, True), (0.0, 0.0, -1.0, True), (0.0, -1.0, 0.0, True), (0.9, 0.9, -0.9, False)],
)
def test_a_stage_has_a_line_from_an_hour_more_or_less_of_any_part(hidden, later, pace, shown):
    by_stage = {"strip": {"hidden": hidden, "asked_later": later, "pace": pace}}
    assert ("By stage, in hours" in lines(replace_by_stage(Overruns((RED, FISH)), by_stage))) == shown


def test_hours_are_told_on_the_middle_board_of_those_guessed_and_each_thing_is_counted_once():
    effects = (
        Effect("infills", "overrun", 0.1, 0.06, 0.14, 0.001),
        Effect("infills", "pace", 0.1, 0.06, 0.14, 0.2),
        Effect("brittle", "overrun", 0.1, 0.06, 0.14, 0.2),
    )
    boards = (RED, FISH, replace(FISH, guessed=20.0, took=50.0))
    told = lines(Overruns(boards, GoesWith(NOTHING.parts, (), (), effects, could_find=0.5)))
    at = told.index("What goes with it")

    assert told[at + 1].endswith(" on a board that you'd call 20.")
    assert told[at + 2].startswith("Of 2 things that you write down about boards, luck alone would show one")
    assert told[at + 3].startswith("From 3 boards a thing that makes half of the difference is found")


def test_things_that_as_many_boards_would_do_for_are_named_together():
    few = (TooFew("rush", 9, 90), TooFew("infills", 2, 60), TooFew("area", 3, 90))
    told = lines(Overruns((RED, FISH), GoesWith(too_few=few)))
    assert "You have 2. Foam pieces to let in: 60 would do; in a rush, old glass: 90 would do." in told
    assert "Not enough boards to say" in told
    alike = lines(Overruns((RED, FISH), GoesWith(alike={"area": "infills"})))
    assert "What can't be told apart" in alike
    assert "Not enough boards to say" not in alike
    both = lines(Overruns((RED, FISH), GoesWith(too_few=few, alike={"area": "infills"})))
    assert "Not enough boards to say" in both
    assert "What can't be told apart" not in both

"""What the eye misses: counted by hand from a small log, and no oftener accused than luck allows."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.stats import beta, binomtest
from statsmodels.stats.multitest import multipletests

from estimator.cli.printing import plain_lines
from estimator.decide.looks import LESS, MORE, RIGHT, SURE, holm, looks_of
from estimator.forecast.looks import ENOUGH, looked_so, worth_saying
from estimator.said.looks import looks_parts
from estimator.words.records import FINISHED, Board
from estimator.words.settings.schema import Driver, Kind, Modifier, Settings, Stage

GRADES = ("dry", "damp", "wet", "soaked")
SETTINGS = Settings(
    drivers={
        "infills": Driver("infills", label="Foam pieces", known="strip"),
        "loose": Driver("loose", label="Loose glass", unit="m2", known="strip"),
        "logos": Driver("logos", label="Logos"),  # known when asked: no matter of the eye
    },
    modifiers={"wet": Modifier("wet", label="Wet foam", grades=GRADES, known="strip", blank="unknown")},
    kinds={"touch_up": Kind("touch_up", asks=("logos",))},
)


def boards(looked, *outcomes, thing="wet", **fields):
    """Boards that looked so, one for each outcome."""
    return [
        Board(f"{thing}{looked}-{i}", state=FINISHED, assessed={thing: looked}, found={thing: out}, **fields)
        for i, out in enumerate(outcomes)
    ]


DAMP = boards(1, *[2] * 9, *[1] * 8, 0)
DRY = boards(0, *[0] * 29, 1)


def printed(some, settings=SETTINGS):
    return plain_lines(looks_parts(looks_of(some, settings), settings))


def test_of_eighteen_damp_nine_were_wet():
    found = looks_of([*DAMP, *DRY, *boards(2, 2, 3)], SETTINGS)

    damp = next(look for look in found.looks if look.so.looked == 1)
    more, less = damp.ways
    assert (damp.so.boards, damp.so.as_looked, damp.so.more, damp.so.less) == (18, 8, 9, 1)
    assert (more.way, more.boards, less.way, less.boards) == (MORE, 9, LESS, 1)
    # Clopper & Pearson (1934), by the beta law of another library
    assert more.low == pytest.approx(beta.ppf(0.025, 9, 10))
    assert more.high == pytest.approx(beta.ppf(0.975, 10, 9))
    # three ways are possible: damp more, damp less, dry more; only two boards looked wet
    assert found.tests == 3
    assert more.p_adjusted == pytest.approx(3 * binomtest(9, 18, 1 - RIGHT, alternative="greater").pvalue)
    assert [look.so.looked for look in found.differently] == [1]


def test_it_is_said_in_words():
    said = printed([*DAMP, *DRY, *boards(2, 2, 3)])

    assert said[0] == "What your eye misses"
    assert "Wet foam: of your 18 boards that looked damp, 9 turned out wet, 1 dry." in said
    assert any("8 times in 10" in line and "fewer than 1 in 20 logs" in line for line in said)
    assert "damp             18             8     9     1  more: 3 to 7 in 10" in said
    assert "Not enough boards to say: wet, only 2 boards." in said
    assert printed([])[1].startswith("Nothing can be said yet")
    assert printed(DRY)[1].startswith("Nothing to look at differently")


def test_what_was_asked_for_since_is_no_miss_and_what_is_not_asked_was_not_judged():
    wished = boards(2, *[3] * 9, thing="infills", later={"infills": 1.0})
    not_asked = boards(0, *[2] * 9, thing="infills", kind="touch_up")

    (only,) = looked_so([*wished, *not_asked, *boards(1, *[4] * 9, thing="logos")], SETTINGS)

    assert (only.thing, only.boards, only.as_looked) == ("infills", 9, 9)


def test_a_measured_amount_is_as_it_looked_within_a_tenth():
    (some,) = looked_so(boards(0.5, 0.54, 0.46, 0.7, 0.2, thing="loose"), SETTINGS)

    assert (some.looked, some.as_looked, some.more, some.less, some.values) == (1.0, 2, 1, 1, ())


def test_it_is_split_by_what_it_was_judged_with():
    photos = boards(1, *[2] * 8, 1, judged_with="photos")
    scales = boards(1, *[1] * 10, judged_with="scales")
    said = printed([*photos, *scales, *boards(1, 2, judged_with="in hand")])

    at = said.index("By what it was judged with")
    rows = [line.split("  ") for line in said[at + 2 : at + 4]]
    assert [(row[0], row[1].strip()) for row in rows] == [
        ("Wet foam", "from photos"),
        ("Wet foam", "on the scales"),
    ]
    assert "more: 5 to 10 in 10" in said[at + 2]
    assert said[at + 4] == "Not enough boards to say: wet foam in hand, only 1 board."


def test_a_range_says_the_line_that_concerns_the_board_where_it_is_worth_saying():
    board = Board("new", assessed={"wet": 1.0, "infills": 2.0})
    pieces = boards(2, *[2] * 9, 3, thing="infills")

    line = worth_saying(board, [*DAMP, *pieces], SETTINGS)

    assert line is not None
    assert (line.thing, line.boards, line.more) == ("wet", 18, 9)
    assert worth_saying(board, DAMP[: ENOUGH - 1], SETTINGS) is None  # too few
    assert worth_saying(board, pieces, SETTINGS) is None  # right often enough
    assert worth_saying(Board("new", assessed={"wet": 1.0}, found={"wet": 2.0}), DAMP, SETTINGS) is None
    assert worth_saying(board, DAMP, SETTINGS, unsaid=("wet",)) is None
    by_photo = Board("new", assessed={"wet": 1.0}, judged_with="photos")
    photos = boards(1, *[2] * 6, 1, 1, judged_with="photos")
    same_tool = worth_saying(by_photo, [*DAMP, *photos], SETTINGS)
    assert same_tool is not None
    assert (same_tool.boards, same_tool.more) == (8, 6)


def test_holm_is_that_of_another_library():
    rng = np.random.default_rng(3)
    for n in (1, 2, 7, 30):
        chances = rng.uniform(size=n) ** 2
        assert holm(list(chances)) == pytest.approx(multipletests(chances, method="holm")[1])


def test_an_eye_that_is_right_eight_times_in_ten_is_hardly_ever_accused():
    """400 logs of 60 boards, three looks: luck alone may accuse one in twenty, and 36 of 400 is beyond that."""
    rng = np.random.default_rng(11)
    accused = 0
    for _ in range(400):
        some = []
        for looked in (0.0, 1.0, 2.0):
            some += boards(looked, *(looked + (rng.uniform(size=20) < 1 - RIGHT)))
        accused += bool(looks_of(some, SETTINGS).differently)
    assert 0 < accused <= 400 * SURE + 3 * (400 * SURE * (1 - SURE)) ** 0.5


def test_where_nothing_is_to_mend_it_says_what_a_wrong_look_would_be():
    """An eye that is right eight times in ten is wrong two times in ten: no oftener is an accusation."""
    said = " ".join(printed(DRY))

    assert "none of your looks goes wrong more often than 2 times in 10, once luck is allowed for" in said


def ways(some, settings=SETTINGS):
    """By how it looked in which ways it could turn out otherwise."""
    return {look.so.looked: [way.way for way in look.ways] for look in looks_of(some, settings).looks}


def test_nothing_turns_out_above_the_highest_grade_nor_below_none_and_eight_boards_are_enough():
    """Soaked is the highest of the grades; a stage that may happen is there or not; of counts there is no highest."""
    maybe = Settings(stages={"stain": Stage("stain", happens="sometimes")})

    assert ENOUGH == 8
    assert ways([*boards(3, *[3] * 8), *boards(2, *[2] * 8), *boards(0, *[0] * 8)]) == {
        0: [MORE],
        2: [MORE, LESS],
        3: [LESS],
    }
    assert ways(boards(3, *[3] * 7)) == {3: []}
    assert ways(boards(4, *[4] * 8, thing="infills")) == {4: [MORE, LESS]}
    stained = [*boards(1, *[1] * 8, thing="stain"), *boards(0, *[0] * 8, thing="stain")]
    assert ways(stained, maybe) == {0: [MORE], 1: [LESS]}


def test_of_what_was_judged_with_a_tool_eight_boards_are_enough_too():
    def spans(n):
        return [
            len(one.ways) for one in looks_of(boards(1, *[2] * n, judged_with="photos"), SETTINGS).by_tool
        ]

    assert (spans(7), spans(8)) == ([0], [2])


def test_two_things_at_most_are_to_be_looked_at_differently_each_once_the_surest_first():
    """Of eight that looked so all turned out otherwise, of nine, of twelve: the more the surer."""
    pieces, loose = boards(1, *[2] * 9, thing="infills"), boards(1, *[2] * 8, thing="loose")
    damp, wet = boards(1, *[2] * 8), boards(2, *[3] * 12)

    found = looks_of([*pieces, *loose, *damp, *wet], SETTINGS).differently

    assert [(look.so.thing, look.so.looked) for look in found] == [("wet", 2), ("infills", 1)]
    assert [look.surest.way for look in found] == [MORE, MORE]


def test_a_look_is_accused_below_one_in_twenty_and_boards_count_once_whatever_they_were_judged_with():
    """Of eight that looked soaked four were not: luck does so 5.6 times in a hundred; four more from photos, 1.9."""
    half = [*boards(3, *[2] * 4), *boards(3, *[3] * 4)]
    found = looks_of(half, SETTINGS)
    (look,) = found.looks

    assert (found.tests, found.differently) == (1, ())
    assert look.surest.p_adjusted == pytest.approx(binomtest(4, 8, 0.2, alternative="greater").pvalue)
    photos = [replace(one, board=f"p{n}", judged_with="photos") for n, one in enumerate(half)]
    both = looks_of([*half, *photos], SETTINGS)
    assert (both.tests, len(both.looks), both.looks[0].so.boards, len(both.by_tool)) == (1, 1, 16, 1)
    assert [(one.so.thing, one.so.looked) for one in both.differently] == [("wet", 3)]

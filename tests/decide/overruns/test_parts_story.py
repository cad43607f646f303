import datetime as dt
import math
import re
from types import SimpleNamespace

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from estimator.decide.overruns.parts import (
    PARTS,
    BoardOverrun,
    StageOverrun,
    _overrun,
    board_story,
    named_stages,
    parts_story,
    say_over,
    shown_over,
)
from estimator.words.phrases import say_middle
from estimator.words.records import Board
from estimator.words.settings.schema import Settings, Stage

SHOP = Settings(
    stages={"strip": Stage("strip", label="Strip old glass"), "infill": Stage("infill", label="Let in foam")}
)
FIGURE = re.compile(r"(\d[\d,]*)(½)?|()(½)")
RED = BoardOverrun(
    "26-014", "red nine-four", "major", "", 52.0, 71.0, 60.5, 66.0, 70.0,
    (
        StageOverrun("strip", 20.0, 21.0, 0.06, 0.0, 0.01),
        StageOverrun("infill", 50.0, 50.0, math.log(66 / 60.5) - 0.06, math.log(70 / 66), math.log(71 / 70) - 0.01),
    ),
)  # fmt: skip


def test_the_story_of_a_board():
    assert board_story(RED, SHOP) == (
        "The red nine-four took 71 hours; you said 52. 19 hours over: a low guess added 9, "
        "hidden work (strip old glass, let in foam) 5½, what was asked for since (let in foam) 3½, slower going 1."
    )


def test_a_board_without_a_short_name_goes_by_its_number():
    plain = BoardOverrun("26-014", "", "", "", 1.0, 0.5, 1.0, 1.0, 1.0)
    assert (
        board_story(plain, SHOP)
        == "Board 26-014 took ½ hour; you said 1. ½ hour under: quicker going saved ½."
    )
    hour = BoardOverrun("26-015", "", "", "", 3.0, 1.0, 3.0, 3.0, 3.0)
    assert (
        board_story(hour, SHOP)
        == "Board 26-015 took 1 hour; you said 3. 2 hours under: quicker going saved 2."
    )
    assert (say_over(20, 23), say_over(23, 20)) == (
        "3 hours less than you said",
        "3 hours more than you said",
    )


def test_just_as_it_was_said():
    nothing = dict.fromkeys(PARTS, 0.0)
    assert parts_story(nothing, 0.0) == "Just as you said."
    evened = {**nothing, "guess": -3.0, "hidden": 3.0}
    assert parts_story(evened, 0.0) == "As you said, all in all: hidden work added 3; a high guess saved 3."


def test_less_work_than_it_looked():
    story = parts_story({"guess": 0.0, "hidden": -4.0, "asked_later": 0.0, "pace": 0.0}, -4.0)
    assert story == "4 hours under: less to do than it looked saved 4."


def test_stages_are_named_only_where_an_hour_lies_on_them():
    assert named_stages(RED, "hidden", SHOP) == ["strip old glass", "let in foam"]
    assert named_stages(RED, "pace", SHOP) == []  # log(71/70) of some 61 hours: .87 of an hour
    assert named_stages(BoardOverrun("a", "", "", "", 9, 10, 9, 9, 9), "pace", SHOP) == []


@pytest.mark.parametrize(
    ("shares", "named"),
    [
        ((0.25, 0.65, 0.1), ["b", "a"]),  # the larger first; what carries a tenth is not worth a name
        ((0.5, 0.9, -0.4), ["b", "a"]),  # nor what went the other way
        ((0.22, 0.24, 0.26, 0.28), ["d", "c", "b"]),  # three at most
    ],
)
@pytest.mark.parametrize("before", [60.0, 26.0])
def test_the_stages_that_carry_most_of_a_part_are_named(shares, named, before):
    """All that went otherwise than judged at 40 hours was hidden work, more of it or less, on these stages."""
    stages = tuple(
        StageOverrun(stage, 10.0, 10.0, share * math.log(before / 40), 0.0, 0.0)
        for stage, share in zip("abcd", shares, strict=False)
    )
    board = BoardOverrun("x", "", "", "", 40.0, before, 40.0, before, before, stages)
    assert named_stages(board, "hidden", Settings(stages={s: Stage(s) for s in "abcd"})) == named


hours = st.floats(0.3, 400)


@given(hours, hours, hours, st.floats(0, 60), hours)
@example(9.0, 1.0, 4.5, 0.0, 4.5)  # 14 less and 10 more would come to 4 less: it is 4½
@example(14.0, 30.0, 30.0, 0.0, 9.5)  # both parts of ten and more: one is shown to the half
def test_the_figures_add_up_and_nobody_is_blamed(guessed, looked, before, later, took):
    board = BoardOverrun("a", "", "", "", guessed, took, looked, before, before + later)
    story = board_story(board, SHOP)
    said = re.sub(r"^.*?(?:hours? (?:over|under)|you said|all in all)", "", story.split(". ", 1)[1])
    over = shown_over(took, guessed)

    ways = [way for way in said.removesuffix(".").split(";") if way]
    summed = sum(sum(figures(way)) * (1 if " added " in way else -1) for way in ways)
    assert summed == pytest.approx(over, abs=1e-9)
    assert all((" added " in way) != (" saved " in way) for way in ways)
    assert over == 0 or f"{say_middle(abs(over))} hour" in story
    assert "you were" not in story
    assert not re.search(r"-\d", story)


def figures(text):
    return [
        float((whole or "0").replace(",", "")) + (0.5 if half or alone else 0)
        for whole, half, _, alone in FIGURE.findall(text)
    ]


@pytest.mark.parametrize(
    ("booked", "stages"), [({"strip": 30.0, "infill": 10.0}, 2), ({"strip": 30.0}, 0), ({}, 0)]
)
def test_parts_are_told_by_stage_only_where_all_hours_are_booked_to_stages(booked, stages):
    """Forty hours in all."""
    usual = SimpleNamespace(
        looked={"strip": 20.0, "infill": 8.0},
        before={"strip": 22.0, "infill": 9.0},
        in_all={"strip": 22.0, "infill": 10.0},
    )
    said = _overrun(Board("a", ready=dt.date(2026, 5, 4)), 25.0, 40.0, booked, usual, SHOP)

    assert (said.looked, said.before, said.in_all, said.took, said.guessed) == (28.0, 31.0, 32.0, 40.0, 25.0)
    assert (len(said.stages), said.ready) == (stages, "2026-05-04")


def test_of_each_stage_its_parts_and_what_is_usual_of_all_that_turned_out_in_order_of_work():
    """30 as it looked, 31 without what was asked for since, 38 in all, 40 taken: glossing fell away, sanding came on."""
    shop = Settings(stages={stage: Stage(stage) for stage in ("strip", "infill", "sand", "gloss")})
    usual = SimpleNamespace(
        looked={"strip": 20.0, "infill": 8.0, "gloss": 2.0},
        before={"strip": 22.0, "infill": 9.0},
        in_all={"strip": 25.0, "infill": 9.0, "sand": 4.0},
    )
    stages = _overrun(Board("a"), 25.0, 40.0, {"strip": 30.0, "infill": 10.0}, usual, shop).stages
    hidden, later, pace = math.log(31 / 30), math.log(38 / 31) / 7, math.log(40 / 38) / 2

    assert [(s.stage, s.usual, s.took) for s in stages] == [
        ("strip", 25.0, 30.0), ("infill", 9.0, 10.0), ("sand", 4.0, 0.0), ("gloss", 0.0, 0.0)
    ]  # fmt: skip
    assert [s.hidden for s in stages] == pytest.approx([2 * hidden, hidden, 0.0, -2 * hidden])
    assert [s.asked_later for s in stages] == pytest.approx([3 * later, 0.0, 4 * later, 0.0])
    assert [s.pace for s in stages] == pytest.approx([5 * pace, pace, -4 * pace, 0.0])

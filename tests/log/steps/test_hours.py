"""Hours now, and what they say of the board; a stage done, done again or not needed; what was found."""

import pytest
from making.plans import MAY, planned, written

from estimator.log.steps.hours import Found, HoursNow, StageDone, looked_over, not_found_yet, shown_now
from estimator.words.errors import UsageError
from estimator.words.settings.schema import Driver, Kind, Modifier, Settings, Stage

BOARDS = "board,called,accepted,started,ready,state\n"


@pytest.mark.parametrize(
    ("stage", "so"),
    [
        (Stage("look"), True),
        (Stage("clean", after=("look",)), False),
        (Stage("fins", drivers=("made",)), False),
        (Stage("sand", drivers=("once", "area"), after=("look",)), False),
    ],
)
def test_a_board_is_looked_over_before_all_else_and_however_much_there_is_to_do(stage, so):
    assert looked_over(stage) is so


@pytest.mark.parametrize(
    ("row", "stage", "cells"),
    [
        ("a,red,,,,", "assess", {"state": "asked"}),
        ("a,red,,,,", "strip", {"started": "2026-05-03"}),
        ("a,red,2026-05-01,,,", "assess", None),
        ("a,red,2026-05-01,,,", "strip", {"started": "2026-05-03"}),
        ("a,red,2026-05-01,,,stopped", "strip", {"started": "2026-05-03", "state": ""}),
        ("a,red,2026-05-01,2026-05-02,,stopped", "strip", None),
        ("a,red,2026-05-01,2026-05-03,,", "strip", None),
        ("a,red,2026-05-01,2026-05-04,,", "strip", {"started": "2026-05-03"}),  # written late
        ("a,red,2026-05-01,2026-05-04,,stopped", "strip", {"started": "2026-05-03"}),
        ("a,red,2026-05-01,2026-05-04,,", "assess", None),
        ("a,red,2026-04-01,,2026-05-02,", "strip", None),
    ],
)
def test_what_hours_of_sunday_written_on_monday_say_of_the_board(row, stage, cells):
    plan = planned(HoursNow("red", stage, "2", on="2026-05-03"), written(boards=f"{BOARDS}{row}\n"))
    assert plan.fills == ({} if cells is None else {"boards 2": cells})
    assert plan.rows == [("hours", {"board": "a", "date": "2026-05-03", "stage": stage, "hours": "2"})]


RED = f"{BOARDS}a,red,2026-05-01,2026-05-01,,\n"


def test_all_that_is_typed_of_hours_stands_in_their_row():
    now = written(boards=RED, hours="board,date,stage,hours\na,2026-05-01,sand,2\n")
    first = planned(HoursNow("a", "Sand", "9½", on="2026-05-02", until="2026-05-03", note="dusty"), now)
    assert first.rows == [
        (
            "hours",
            {
                "board": "a",
                "date": "2026-05-02",
                "until": "2026-05-03",
                "stage": "sand",
                "hours": "9½",
                "note": "dusty",
            },
        )
    ]
    again = planned(HoursNow("a", "sand", "1", again="sand-through"), now)
    assert again.rows[0][1]["again"] == "sand-through"
    assert "done" not in again.rows[0][1]
    done = planned(HoursNow("a", "sand", "1", done=True), now)
    assert (done.label, done.rows[0][1]["done"]) == ("1 hour on red, sand, done", "yes")
    shop = planned(HoursNow("shop", "sweeping", "¾", note="all of it"), now)
    assert shop.rows == [
        (
            "hours",
            {
                "board": "shop",
                "date": "2026-05-04",
                "stage": "sweeping",
                "hours": "¾",
                "note": "all of it",
            },
        )
    ]
    assert (shop.label, shop.board, shop.fills) == ("¾ hour on no board, sweeping", "", {})


HOURS = """\
board,date,until,stage,hours,done
a,2026-05-02,,strip,1,
a,2026-04-28,2026-05-04,strip,9,
a,2026-05-02,2026-05-03,strip,2,
a,2026-05-03,,strip,0,
a,2026-05-03,,sand,1,no
a,2026-05-03,,gloss,1,yes
"""


@pytest.mark.parametrize(("stage", "line"), [("strip", 4), ("sand", 6)])
def test_a_stage_is_done_with_its_last_hours_also_where_that_was_denied(stage, line):
    plan = planned(StageDone("red", stage), written(boards=RED.replace("05-01", "04-01"), hours=HOURS))
    assert (plan.fills, plan.rows) == ({f"hours {line}": {"done": "yes"}}, [])


@pytest.mark.parametrize(
    ("step", "why"),
    [
        (StageDone("a", "gloss"), "Gloss coat is done on red already"),
        (StageDone("a", "logos"), "Redraw logos: no hours are written on red"),
        (StageDone("a", "gloss", needed=False), "Gloss coat: 1 hour are written on red"),
        (StageDone("a", "sand", needed=False), "Sand: 1 hour are written on red"),
        (HoursNow("a", "logos", "1", again="me"), "Redraw logos was not done on red yet"),
        (HoursNow("a", "sand", "1", again="bored"), '"bored" is no reason known here'),
        (HoursNow("a", "sand", "0"), "no hours are no work"),
        (HoursNow("a", "", "1"), "No stage is named"),
    ],
)
def test_what_cannot_be_said_of_a_stage(step, why):
    with pytest.raises(UsageError, match=why):
        step.plan(written(boards=RED.replace("05-01", "04-01"), hours=HOURS), MAY)


def test_a_stage_that_is_not_needed_is_a_row_of_no_hours_on_its_day():
    plan = planned(
        StageDone("a", "logos", needed=False, on="2026-05-03"),
        written(boards=RED.replace("05-01", "04-01"), hours=HOURS),
    )
    assert (plan.label, plan.fills) == ("red: redraw logos not needed", {})
    assert plan.rows == [("hours", {"board": "a", "date": "2026-05-03", "stage": "logos", "hours": "0"})]


WORK = Settings(
    drivers={
        "sides": Driver("sides"),
        "area": Driver("area", unit="m2", source="outline", times="sides"),
        "pieces": Driver("pieces", label="Foam pieces", known="strip"),
        "logos": Driver("logos"),
    },
    modifiers={"wet": Modifier("wet", stages=("infill",), known="strip")},
    kinds={"minor": Kind("minor", asks=("pieces",))},
    stages={
        "strip": Stage("strip", drivers=("once", "area")),
        "infill": Stage("infill", drivers=("pieces",), after=("strip",)),
        "stain": Stage("stain", happens="sometimes"),
    },
)
LOOKED = (
    "board,kind,state,length,assessed_sides,assessed_area,assessed_pieces,assessed_logos,assessed_wet,"
    "assessed_stain,later_pieces,found_logos\n"
)
STRIPPED = "board,date,stage,hours,done\na,2026-05-01,strip,3,yes\n"


@pytest.mark.parametrize(
    ("row", "hours", "shown", "not_yet"),
    [
        # length, an area that was measured, all known; nothing is done yet
        ("a,,on bench,9'4,2,1.5,1,2,no,,,", "", "sides area logos", "sides area logos"),
        ("a,,on bench,9'4,2,,1,2,no,,,", "", "sides area logos", "sides logos"),  # the area follows
        ("a,,on bench,,2,,1,2,no,,,", "", "sides area logos", "sides logos"),
        ("a,,on bench,9'4,2,1.5,1,2,no,,,2", "", "sides area logos", "sides area"),  # the logos are written
        ("a,,on bench,9'4,2,1.5,1,2,no,,,", STRIPPED, "sides area pieces logos wet", "sides area pieces logos wet"),
        ("a,minor,on bench,9'4,,,1,,no,,,", STRIPPED, "sides area pieces logos wet", "pieces wet"),
        ("a,,finished,9'4,2,,1,2,no,,,", STRIPPED, "sides area pieces logos wet stain", "sides pieces logos wet"),
        ("a,,finished,9'4,2,,1,2,no,yes,,", STRIPPED, "sides area pieces logos wet stain", "sides pieces logos wet stain"),
        ("a,,on bench,9'4,2,1.5,1,2,no,,,", STRIPPED.replace("yes", ""), "sides area logos", "sides area logos"),
    ],
)  # fmt: skip
def test_what_can_be_known_by_now_and_is_not_written(row, hours, shown, not_yet):
    sheets = {"boards": f"{LOOKED}{row}\n"} | ({"hours": hours} if hours else {})
    now = written(WORK, doubted=True, **sheets)
    [board] = now.log.boards
    assert (shown_now(now, board), not_found_yet(now, board)) == (shown.split(), not_yet.split())


def test_as_thought_is_what_it_looked_like_and_what_was_asked_for_on_top():
    now = written(WORK, boards=f"{LOOKED}a,,on bench,,2,1.5,3.25,?,no,,2,\n", hours=STRIPPED)
    plan = planned(Found("a", {"sides": " 1 "}, as_thought=True), now)
    assert plan.fills == {
        "boards 2": {"found_sides": "1", "found_area": "same", "found_pieces": "5.25", "found_wet": "same"}
    }
    assert plan.label == "a: 1 thing found"
    assert plan.notes == ("Not known beforehand, so say how it turned out: logos.",)
    with pytest.raises(UsageError, match='"side" is nothing that a board has'):
        Found("a", {"side": "1", "area": "2"}).plan(now, MAY)
    with pytest.raises(UsageError, match="Say what you found"):
        Found("a", {"sides": " "}).plan(now, MAY)
    nothing = written(WORK, boards=f"{LOOKED}a,,on bench,,?,?,3,?,?,,,\n")
    with pytest.raises(UsageError, match="nothing of it was looked at before"):
        Found("a", as_thought=True).plan(nothing, MAY)

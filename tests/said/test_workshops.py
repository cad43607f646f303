"""A workshop that was just written, and what to try first."""

from pathlib import Path

from making.ranges import ANSWER
from making.ranges import SETTINGS as SHOP

from estimator.said.parts import Action, Heading
from estimator.said.workshops import demo_parts, new_parts
from estimator.words.records import Board, Log


def test_the_invented_workshop_and_what_to_try():
    log = Log(boards=(Board("a"), Board("26-014", "tan gun", state="on bench")))
    parts = list(demo_parts(ANSWER, SHOP, log, log.boards[1], Path("/there/reports"), None))

    assert (
        parts[0] == "An invented workshop, My workshop, is in /there. It has 2 boards. This one is on the go:"
    )
    assert parts[1] == Heading("tan gun, before opening", 1)
    actions = [part for part in parts if isinstance(part, Action)]
    assert actions[-2:] == [
        Action("range", fields={"known": {"kind": "major", "length": "9-6", "spray_colours": "3"}}),
        Action("sheet", "26-014", {"kind": "weigh"}),
    ]
    assert "Or look at the pictures and sheets in /there/reports, and print the others too:" in parts


def test_an_empty_workshop_and_what_to_do_next():
    parts = list(new_parts(ANSWER, {"kind": "major"}, [Path("/new/workshop.toml"), Path("/new/boards.csv")]))

    assert parts[0] == "An empty workshop is in /new: workshop.toml, boards.csv."
    assert parts[2:4] == [
        "Between 55 and 80 hours, 8 times in 10; half take more than 66.",
        "From 31 of your boards and 4 rules of thumb.",
    ]
    assert [part for part in parts if isinstance(part, Action)] == [
        Action("range", fields={"known": {"kind": "major", "spray_colours": "2", "infills": "?"}}), Action("check"),
    ]  # fmt: skip

"""A new board, what it looked like, the restorer's own guess, and the owner's answer: each cell by hand."""

import pytest
from making.plans import MAY, filled, planned, written

from estimator.log.steps.enquiry import NewBoard, OwnerAnswered, OwnGuess, QuestionsAnswered
from estimator.words.errors import UsageError

HEAD = (
    "board,called,kind,asked,accepted,started,ready,state,guess,from_memory,assessed_infills,assessed_logos\n"
)
ASKED = "26-007,red,major,2026-04-20,,,,,,,2,\n"


def shop(rows=ASKED, **more):
    return written(boards=HEAD + rows, **more)


def test_all_that_is_typed_of_an_enquiry_stands_in_its_row():
    step = NewBoard(
        owner=" Tam Ludd ", reach=" 0000 11", called=" tan ", kind="major", length="9'6 ", width=" 22 in", aim="show",
        wanted_by="2026-08-01", photos=("p.jpg", "q.jpg"), note=" dinged ", on="2025-12-30",
    )  # fmt: skip
    plan = planned(step, shop())
    row = {
        "board": "25-001",
        "called": "tan",
        "owner": "Tam Ludd",
        "reach": "0000 11",
        "kind": "major",
        "length": "9'6",
        "width": "22 in",
        "aim": "show",
        "wanted_by": "2026-08-01",
        "asked": "2025-12-30",
        "judged_with": "photos",
        "note": "dinged",
    }
    assert plan.rows == [
        ("boards", row),
        ("notes", {"board": "25-001", "date": "2025-12-30", "photo": "p.jpg"}),
        ("notes", {"board": "25-001", "date": "2025-12-30", "photo": "q.jpg"}),
    ]
    assert (plan.label, plan.board) == ("new: tan, full restoration", "25-001")


@pytest.mark.parametrize(
    ("step", "label", "cells"),
    [
        (NewBoard(owner="Tam"), "new: 26-008", {"owner": "Tam"}),
        (NewBoard(owner="Tam", length="9'6"), "new: 9'6 (26-008)", {"owner": "Tam", "length": "9'6"}),
        (NewBoard(only_asked=True), "only asked: 26-008", {"state": "declined"}),
        (NewBoard(called="tan", kind="odd"), "new: tan", {"called": "tan", "kind": "odd"}),
    ],
)
def test_a_new_board_is_called_by_what_is_known_of_it(step, label, cells):
    plan = planned(step, shop())
    assert plan.label == label
    assert plan.rows == [("boards", {"board": "26-008", "asked": "2026-05-04", **cells})]


HOURS = "board,date,stage,hours\n"


@pytest.mark.parametrize(
    ("row", "hours", "why"),
    [
        (ASKED, "", ""),
        (ASKED, "26-007,2026-05-01,assess,1\n", ""),  # looked over
        (
            ASKED,
            "26-007,2026-05-01,assess,1\n26-007,2026-05-02,strip,1\n26-007,2026-05-01,sand,1\n",
            "Strip old glass has hours",
        ),
        (ASKED.replace(",,,,,,,2", ",2026-04-21,,,,,,2"), "", ""),
        (ASKED.replace(",,,,,,,2", ",,,2026-04-21,,,,2"), "", "it is over"),
        (ASKED.replace(",,,,,,,2", ",,,,declined,,,2"), "", "it is over"),
        (ASKED.replace(",,,,,,,2", ",,,,withdrawn,,,2"), "", "it is over"),
        (ASKED.replace(",,,,,,,2", ",2026-04-21,,,stopped,,,2"), "", ""),
    ],
)
@pytest.mark.parametrize("step", [QuestionsAnswered("red", {"infills": "3"}), OwnGuess("red", "9")])
def test_what_it_looked_like_stays_once_work_has_begun_or_it_is_over(row, hours, why, step):
    now = shop(row, hours=HOURS + hours, doubted=True)
    if why:
        with pytest.raises(UsageError, match=f"Red: {why}, and what it looked like before stays as it is"):
            step.plan(now, MAY)
    else:
        assert step.plan(now, MAY).fills


@pytest.mark.parametrize(
    ("said", "cell"),
    [("none", "0"), ("No", "0"), ("-", "0"), ("?", "?"), (" 1½ ", "1½"), ("yes", "yes"), ("0", "0")],
)
def test_an_answer_stands_as_it_was_given_and_none_of_it_is_nought(said, cell):
    plan = planned(QuestionsAnswered("red", {"logos": said}), shop())
    assert plan.fills == {"boards 2": {"assessed_logos": cell}}


def test_only_what_is_new_is_written_and_counted():
    step = QuestionsAnswered(
        "red", {"infills": "2", "logos": "1", "pinlines": " "}, {"kind": "minor", "called": "red", "length": " 9'4 "}
    )  # fmt: skip
    plan = planned(step, shop())
    assert plan.fills == {"boards 2": {"assessed_logos": "1", "kind": "minor", "length": "9'4"}}
    assert plan.label == "red: 3 questions answered"
    for same in (QuestionsAnswered("red", {"infills": "2"}), QuestionsAnswered("red", {}, {"called": ""})):
        with pytest.raises(UsageError, match="Nothing new of red is said"):
            same.plan(shop(), MAY)
    for odd in (QuestionsAnswered("red", {"infils": "2"}), QuestionsAnswered("red", {}, {"owner": "Tam"})):
        with pytest.raises(UsageError, match="is nothing that"):
            odd.plan(shop(), MAY)


GUESSED = ASKED.replace(",,,,,,,2", ",,,,,60,,2")
TOLD = "board,date,price\n26-007,2026-05-01,900\n26-007,2026-05-02,950\n"


@pytest.mark.parametrize(
    ("rows", "told", "guess", "seen", "cells"),
    [
        (ASKED, "", " 60 ", False, {"guess": "60", "from_memory": ""}),
        (ASKED, "", "60", True, {"guess": "60", "from_memory": "yes"}),
        (ASKED, TOLD, "60", False, {"guess": "60", "from_memory": ""}),
        (GUESSED, "", "50-70", False, {"guess": "50-70", "from_memory": ""}),
        (GUESSED, TOLD, "50-70", False, None),
        (GUESSED, TOLD.replace("26-007", "26-006"), "50-70", False, {"guess": "50-70", "from_memory": ""}),
    ],
)
def test_a_guess_may_be_mended_until_its_owner_is_told(rows, told, guess, seen, cells):
    other = "26-006,tan,major,2026-04-01,,,,,,,,\n"
    now = shop(rows + other, **({"told": told} if told else {}))
    with_questions = QuestionsAnswered("red", {"logos": "1"}, guess=guess, seen=seen)
    if cells is None:
        for step in (OwnGuess("red", guess, seen), with_questions):
            with pytest.raises(UsageError, match="stands, and its owner was told on Fri 1 May 2026"):
                step.plan(now, MAY)
        same = planned(QuestionsAnswered("red", {"logos": "1"}, guess="60"), now)
        assert same.fills == {"boards 2": {"assessed_logos": "1"}}  # the same is no other
        return
    assert planned(OwnGuess("red", guess, seen), now).fills == {"boards 2": cells}
    both = planned(with_questions, now)
    assert both.fills == {"boards 2": {"assessed_logos": "1", **{k: c for k, c in cells.items() if c}}}
    assert both.label == "red: 1 question answered"


@pytest.mark.parametrize(
    ("step", "cells", "label"),
    [
        (OwnerAnswered("red", yes=True), {"accepted": "2026-05-04", "state": ""}, "the owner said yes"),
        (OwnerAnswered("red", yes=True, on="2026-05-02"), {"accepted": "2026-05-02", "state": ""}, "the owner said yes"),
        (OwnerAnswered("red", yes=False, why=" too dear "), {"state": "withdrawn", "decided_why": "too dear"}, "owner dropped it"),
        (OwnerAnswered("red", yes=False), {"state": "withdrawn"}, "owner dropped it"),
        (OwnerAnswered("red", yes=False, mine=True, why="no room"), {"state": "declined", "decided_why": "no room", "decided": "no"}, "I said no"),
    ],
)  # fmt: skip
def test_a_yes_has_its_day_and_a_no_is_the_owner_s_or_mine(step, cells, label):
    plan = planned(step, shop())
    assert (plan.fills, plan.rows, plan.label) == ({"boards 2": cells}, [], f"red: {label}")


@pytest.mark.parametrize("cells", [",2026-04-21,,,,,,2", ",,,,declined,,,2", ",,,2026-04-21,,,,2"])
@pytest.mark.parametrize("yes", [True, False])
def test_only_a_board_that_is_asked_for_waits_for_an_answer(cells, yes):
    with pytest.raises(UsageError, match="Red isn't waiting for a yes any more"):
        OwnerAnswered("red", yes=yes).plan(shop(ASKED.replace(",,,,,,,2", cells)), MAY)


def test_a_guess_was_made_before_ours_was_seen_unless_that_is_said():
    assert planned(OwnGuess("red", "9"), shop()).fills["boards 2"]["from_memory"] == ""
    assert "from_memory" not in filled(planned(QuestionsAnswered("red", guess="9"), shop()).fills["boards 2"])

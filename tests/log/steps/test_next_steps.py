"""What is offered first for a board, by where it stands; and that all that is offered can be written."""

import datetime as dt
from types import SimpleNamespace

import pytest
from making.plans import written
from making.working_day import STORES, opened

from estimator.log.steps.enquiry import OwnerAnswered, OwnGuess, QuestionsAnswered
from estimator.log.steps.hours import Found, HoursNow, StageDone
from estimator.log.steps.leaving import BoardReady, CollectedAndPaid
from estimator.log.steps.next_steps import next_stage, next_steps
from estimator.log.steps.standing import GoingAgain, Stopped
from estimator.log.steps.telling import ToldOwner
from estimator.words.records import ON_BENCH, Board, Entry, Log
from estimator.words.settings.schema import Driver, Settings, Stage

RED, FISH = "26-001", "26-002"


@pytest.fixture(params=list(STORES))
def day(request, tmp_path):
    return opened(request.param, tmp_path)


def likely(day, board):
    steps = day.shop.next_steps(board)
    return [(one.verb, one.fields.get("stage", "")) for one in steps.likely]


def others(day, board):
    return {one.verb for one in day.shop.next_steps(board).others}


def test_a_board_goes_through_the_shop(day):
    seen = [likely(day, FISH)]
    for step in (
        QuestionsAnswered(
            FISH,
            {
                "infills": "1",
                "wetness": "damp",
                "brittle_glass": "sound",
                "glass_stripped": "0.1 m2",
                "sides_coated": "0.3",
            },
        ),
        OwnGuess(FISH, "12"),
        ToldOwner(FISH, hours="10-15", price="640", last="2026-06-12"),
        OwnerAnswered(FISH, yes=True),
        HoursNow(FISH, "clean", "1"),
        HoursNow(FISH, "strip", "2"),
        StageDone(FISH, "strip"),
        Found(FISH, as_thought=True),
        Stopped(FISH, "drying"),
        GoingAgain(FISH),
        HoursNow(FISH, "infill", "2", done=True),
        HoursNow(FISH, "handover", "1", done=True),
        BoardReady(FISH),
        CollectedAndPaid(FISH),
    ):
        day.do(step)
        seen.append(likely(day, FISH))
    assert seen == [
        [("answers", ""), ("guess", "")],
        [("guess", ""), ("told", "")],
        [("told", ""), ("weigh up", "")],
        [("deposit", ""), ("answered", "")],
        [("hours", "assess"), ("deposit", "")],
        [("hours", "clean"), ("done", "clean")],
        [("hours", "strip"), ("done", "strip")],
        [("found", ""), ("weight", "")],
        [("weight", ""), ("hours", "drying")],
        [("going", ""), ("weight", "")],
        [("weight", ""), ("hours", "drying")],
        [("hours", "reshape"), ("stopped", "")],
        [("ready", ""), ("told", "")],
        [("collected", ""), ("note", "")],
        [("note", "")],
    ]


def test_all_else_stands_under_something_else(day):
    assert others(day, FISH) == {
        "note",
        "answered",
        "weigh up",
        "hours",
        "weight",
        "asked since",
        "told",
        "deposit",
    }
    day.do(HoursNow(RED, "strip", "2"))
    assert others(day, RED) == {
        "note", "again", "found", "weight", "asked since", "told", "stopped", "deposit", "ready", "collected", "gave back",
    }  # fmt: skip


WORK = Settings(
    drivers={"mended": Driver("mended"), "boxes": Driver("boxes")},
    stages={
        "strip": Stage("strip", drivers=("once",)),
        "fins": Stage("fins", drivers=("mended", "boxes"), after=("strip",)),
        "gloss": Stage("gloss", drivers=("once",), after=("fins",)),
    },
)


@pytest.mark.parametrize(
    ("assessed", "stage"),
    [
        ({"mended": 1.0, "boxes": 0.0}, "fins"),
        ({"mended": 0.0, "boxes": 2.0}, "fins"),
        ({"mended": 0.0, "boxes": 0.0}, "gloss"),
        ({"mended": 0.0}, "fins"),
        ({}, "fins"),
        ({"mended": 0.0, "boxes": 0.0, "later": {"boxes": 2.0}}, "fins"),
        ({"mended": 1.0, "boxes": 0.0, "found": {"mended": 0.0}}, "gloss"),
    ],
)
def test_a_stage_comes_next_unless_nothing_at_all_makes_it(assessed, stage):
    later, found = (assessed.pop(name, {}) for name in ("later", "found"))
    board = Board("a", state=ON_BENCH, assessed=assessed, later=later, found=found)
    log = Log((board,), (Entry("a", dt.date(2026, 5, 4), "strip", 3.0, done=True),))

    assert next_stage(SimpleNamespace(settings=WORK, log=log), board) == stage


HEAD = "board,called,accepted,started,ready,collected,state,price_quoted,paid,guess,assessed_logos\n"
STRIPPED = "board,date,stage,hours,done\na,2026-04-02,strip,3,yes\n"
WAITS = "board,from,until,for\n"
TOLD = "board,date,price\na,2026-04-01,900\n"
WHOLE_WAY = {"note", "hours", "done", "again", "found", "weight", "asked since", "told", "stopped", "deposit", "ready", "collected", "gave back"}  # fmt: skip


@pytest.mark.parametrize(
    ("row", "sheets", "likely", "all_of_them"),
    [
        (",,,,,900,,,", {}, ["answers", "guess"], {"note", "answers", "guess", "answered", "weigh up", "hours", "weight", "asked since", "told", "deposit"}),
        (",,,,,900,,60,1", {"told": TOLD}, ["deposit", "answered"], {"note", "answers", "guess", "answered", "weigh up", "hours", "weight", "asked since", "told", "struck", "deposit"}),
        (",,,,,900,,,1", {"told": TOLD}, ["guess", "deposit"], {"note", "answers", "guess", "answered", "weigh up", "hours", "weight", "asked since", "told", "struck", "deposit"}),
        (",,,,,900,,60,1", {"told": TOLD.replace("a,", "b,")}, ["told", "weigh up"], {"note", "answers", "guess", "answered", "weigh up", "hours", "weight", "asked since", "told", "deposit"}),
        (",,,,declined,900,,60,1", {"told": TOLD}, [], {"note", "struck"}),
        (",,,,declined,900,,60,1", {"hours": STRIPPED}, [], {"note"}),
        ("2026-04-01,2026-04-01,,,finished,900,900,60,1", {"hours": STRIPPED}, ["collected", "found"], {"note", "hours", "again", "found", "weight", "ready", "collected"}),
        ("2026-04-01,2026-04-01,2026-04-20,,,900,900,60,1", {"hours": STRIPPED}, ["collected", "found"], {"note", "hours", "again", "found", "weight", "collected"}),
        ("2026-04-01,,,,waiting,900,,60,1", {"hours": STRIPPED.replace("strip", "assess")}, ["hours", "stopped"], WHOLE_WAY - {"again", "found"} | {"answers", "guess"}),
        ("2026-04-01,2026-04-01,,,,900,,60,1", {}, ["hours", "stopped"], WHOLE_WAY - {"done", "again", "found"} | {"answers", "guess"}),
        (",,,,withdrawn,900,,60,1", {}, [], {"note"}),
        ("2026-04-01,2026-04-01,2026-04-20,,,900,,60,1", {"hours": STRIPPED}, ["collected", "found"], {"note", "hours", "again", "found", "weight", "collected"}),
        ("2026-04-01,2026-04-01,2026-04-20,2026-04-21,,900,500,60,1", {"hours": STRIPPED}, ["collected", "found"], {"note", "found", "collected"}),
        ("2026-04-01,2026-04-01,2026-04-20,2026-04-21,,900,900,60,1", {"hours": STRIPPED}, ["found", "note"], {"note", "found"}),
        ("2026-04-01,2026-04-01,,,,900,,60,1", {"hours": STRIPPED}, ["found", "weight"], WHOLE_WAY),
        ("2026-04-01,2026-04-01,,,,900,,60,1", {"hours": STRIPPED, "waits": WAITS + "a,2026-04-03,,drying\n"}, ["going", "weight"], WHOLE_WAY | {"going"}),
        ("2026-04-01,2026-04-01,,,,900,,60,1", {"hours": STRIPPED, "waits": WAITS + "a,2026-04-03,,parts\n"}, ["going", "told"], WHOLE_WAY | {"going"}),
        ("2026-04-01,2026-04-01,,,stopped,900,,60,1", {"hours": STRIPPED}, ["going", "told"], WHOLE_WAY | {"going"}),
        ("2026-04-01,2026-04-01,,,,900,,60,1", {"hours": STRIPPED, "waits": WAITS + "a,2026-04-03,2026-04-04,parts\n"}, ["found", "weight"], WHOLE_WAY),
        ("2026-04-01,,,,,900,,60,1", {}, ["hours", "deposit"], {"note", "answers", "guess", "hours", "weight", "asked since", "told", "stopped", "deposit", "ready", "collected", "gave back"}),
    ],
)  # fmt: skip
def test_where_a_board_stands_says_what_can_be_written_of_it(row, sheets, likely, all_of_them):
    now = written(boards=f"{HEAD}a,red,{row}\nb,tan,,,,,,,,,\n", doubted=True, **sheets)
    steps = next_steps(now, now.board("a"))
    assert [one.verb for one in steps.likely] == likely
    assert {one.verb for one in (*steps.likely, *steps.others)} == all_of_them | set(likely)
    assert not {one.verb for one in steps.others} & set(likely)
    assert {one.board for one in (*steps.likely, *steps.others)} == {"a"}


@pytest.mark.parametrize(
    ("rows", "stage"),
    [
        ([], "strip"),
        ([("strip", 2.0)], "fins"),
        ([("strip", 2.0), ("fins", 0.0)], "gloss"),  # not needed
        ([("gloss", 1.0)], ""),  # what comes before it is passed
        ([("strip", 2.0), ("redo", 1.0)], "fins"),
        ([("strip", 0.0)], "fins"),
    ],
)
def test_the_next_stage_lies_behind_the_last_that_has_hours(rows, stage):
    board = Board("a", state=ON_BENCH, assessed={"mended": 1.0})
    entries = tuple(Entry("a", dt.date(2026, 5, 4), name, hours) for name, hours in rows)
    settings = WORK.with_redo() if any(name == "redo" for name, _ in rows) else WORK

    assert next_stage(SimpleNamespace(settings=settings, log=Log((board,), entries)), board) == stage


@pytest.mark.parametrize(
    ("rows", "stage"), [("02,sand,3,no 10,strip,2,no", "strip"), ("02,sand,3,no 02,strip,2,no", "sand")]
)
def test_the_stage_that_was_worked_on_last_is_gone_on_with_and_of_one_day_the_later_one(rows, stage):
    hours = STRIPPED.splitlines()[0] + "".join(f"\na,2026-04-{row}" for row in rows.split())
    now = written(boards=f"{HEAD}a,red,2026-04-01,2026-04-01,,,,900,,60,1\n", hours=hours)
    assert [one.fields["stage"] for one in next_steps(now, now.board("a")).likely] == [stage, stage]


def test_how_a_board_turned_out_may_be_mended_when_it_is_gone_and_all_is_written():
    boards = (
        "board,accepted,ready,collected,price_quoted,paid,assessed_mended,found_mended,found_boxes\n"
        "a,2026-04-01,2026-04-20,2026-04-21,900,900,1,1,0\n"
    )
    now = written(WORK, boards=boards, doubted=True)
    steps = next_steps(now, now.board("a"))
    assert ([one.verb for one in steps.likely], [one.verb for one in steps.others]) == (["note"], ["found"])


def test_no_stage_is_next_that_comes_only_sometimes_or_is_no_longer_used():
    stages = {
        "strip": Stage("strip"),
        "stain": Stage("stain", happens="sometimes"),
        "wax": Stage("wax", retired=True),
        "sand": Stage("sand"),
    }
    board = Board("a", state=ON_BENCH)
    log = Log((board,), (Entry("a", dt.date(2026, 5, 4), "strip", 3.0, done=True),))

    assert next_stage(SimpleNamespace(settings=Settings(stages=stages), log=log), board) == "sand"

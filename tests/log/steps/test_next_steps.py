"""What is offered first for a board, by where it stands; and that all that is offered can be written."""

import datetime as dt
from types import SimpleNamespace

import pytest
from making.working_day import STORES, opened

from estimator.log.steps.enquiry import OwnerAnswered, OwnGuess, QuestionsAnswered
from estimator.log.steps.hours import Found, HoursNow, StageDone
from estimator.log.steps.leaving import BoardReady, CollectedAndPaid
from estimator.log.steps.next_steps import next_stage
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
    ],
)
def test_a_stage_comes_next_unless_nothing_at_all_makes_it(assessed, stage):
    board = Board("a", state=ON_BENCH, assessed=assessed)
    log = Log((board,), (Entry("a", dt.date(2026, 5, 4), "strip", 3.0, done=True),))

    assert next_stage(SimpleNamespace(settings=WORK, log=log), board) == stage

"""A board out of a diary: fetched and paid where that is long ago."""

import datetime as dt

import pytest
from making.diaries import TODAY, begun
from making.plans import MAY, planned, written

from estimator.log.notebook.promised import PromisedLine
from estimator.log.steps.setting_up import DiaryBoard, PromisedBefore, SettingAnswered, hours_before
from estimator.log.store import Sent
from estimator.words.errors import UsageError
from estimator.words.records import Rule
from estimator.words.settings.reader import parse_settings
from estimator.words.settings.schema import Driver, Kind, Settings, Stage


@pytest.mark.parametrize(
    ("ready", "gone"),
    [("2026-09-07", False), ("2026-07-16", False), ("2026-07-15", True), ("2025-05-03", True)],
)
def test_what_was_ready_two_months_ago_is_fetched_and_paid(tmp_path, ready, gone):
    """Looked at on 14 September: sixty days back is 16 July."""
    shop = begun(tmp_path / "new").shop
    cells = {"called": "red", "kind": "minor", "ready": ready, "total_hours": "6", "price_charged": "140"}
    shop.do(DiaryBoard(cells), Sent(dt.datetime.combine(TODAY, dt.time(9)), "one"))
    [board] = shop.log.boards

    assert board.ready.isoformat() == ready
    assert (board.collected, board.paid) == ((board.ready, 140.0) if gone else (None, None))


BOARDS = """\
board,called,accepted,collected
25-004,Red,2025-04-01,
25-005,"red, 2",2025-04-01,
26-001,tan,2026-04-01,2026-04-20
26-007,blue,2026-04-01,
"""


@pytest.mark.parametrize(
    ("cells", "row", "label"),
    [
        ({"called": "tan", "ready": "2025-11-03", "note": ""}, {"board": "25-006", "called": "tan", "ready": "2025-11-03", "collected": "2025-11-03"}, "tan"),
        ({"called": "blue", "collected": "2025-11-03"}, {"board": "25-006", "called": "blue, 2", "collected": "2025-11-03"}, "blue, 2"),
        ({"called": "RED", "started": "2024-11-03"}, {"board": "24-001", "called": "RED, 3", "started": "2024-11-03"}, "RED, 3"),
        ({"length": "9'6"}, {"board": "26-008", "length": "9'6"}, "9'6"),
        ({"kind": "minor"}, {"board": "26-008", "kind": "minor"}, "26-008"),
        ({"ready": "2026-01-03", "collected": "2025-12-30"}, {"board": "26-008", "ready": "2026-01-03", "collected": "2025-12-30"}, "26-008"),
        (
            {"ready": "2026-01-03", "price_charged": "140", "paid": "90"},
            {"board": "26-008", "ready": "2026-01-03", "price_charged": "140", "paid": "90", "collected": "2026-01-03"},
            "26-008",
        ),
    ],
)  # fmt: skip
def test_a_board_of_a_diary_is_numbered_by_its_year_and_takes_no_name_that_is_in_use(cells, row, label):
    plan = planned(DiaryBoard(cells), written(boards=BOARDS))
    assert (plan.rows, plan.board, plan.label) == (
        [("boards", row)],
        row["board"],
        f"from the diary: {label}",
    )


WORK = Settings(
    drivers={name: Driver(name) for name in ("area", "pieces", "stringers", "patches")},
    kinds={"major": Kind("major", usual={"area": (1.0, 3.0), "pieces": (1.0, 1.0), "patches": (0.0, 2.0)})},
    stages={
        "look": Stage("look"),
        "strip": Stage("strip", drivers=("once", "area"), after=("look",)),
        "stringer": Stage("stringer", drivers=("stringers",), after=("strip",)),
        "infill": Stage("infill", drivers=("pieces", "stringers"), after=("strip",)),
        "patch": Stage("patch", drivers=("once", "patches"), after=("infill",)),
        "stain": Stage("stain", after=("infill",), happens="sometimes"),
        "sand": Stage("sand", after=("infill",)),
    },
    rules=(
        Rule("a", stage="strip", per="once", low=1.0, high=4.0, odds=0.8),
        Rule("b", stage="strip", per="area", low=1.0, high=4.0, odds=0.8),
        Rule("c", stage="infill", per="pieces", low=2.0, high=8.0, odds=0.8),
        Rule("d", stage="sand", low=9.0, high=90.0, odds=0.8),
    ),
)


def before(next_stage, hours="22 h", kind="major"):
    line = PromisedLine("x", {"kind": kind}, hours=hours, next_stage=next_stage)
    return hours_before(line, "26-001", WORK, MAY)


def test_hours_that_a_board_has_already_are_shared_as_is_usual_by_the_stages_before_the_next():
    """By middles of the rules: looking 1 h, stripping 2 + 2 x 2 = 6 h, one piece 4 h; of 22 h that is 2, 12 and 8."""
    rows = before("sand")
    assert [(row["stage"], row["hours"]) for row in rows] == [
        ("look", "2 h to the nearest 22 h"),
        ("strip", "12 h to the nearest 22 h"),
        ("infill", "8 h to the nearest 22 h"),
    ]
    assert {(row["board"], row["date"], row["until"], row["done"]) for row in rows} == {
        ("26-001", "2026-04-06", "2026-05-03", "yes")
    }
    assert [row["stage"] for row in before("strip")] == ["look"]
    assert [row["hours"] for row in before("sand", kind="odd")] == [
        "22 h to the nearest 22 h"
    ]  # only looking is sure
    assert before("") == before("look") == before("polish") == []
    with pytest.raises(UsageError, match="It is begun, and has no hours"):
        before("sand", hours="")


def test_boards_that_were_promised_before_are_numbered_one_after_another_each_with_its_hours():
    lines = (
        PromisedLine("x", {"called": "green", "promised_last": "2026-06-01"}),
        PromisedLine("y", {"called": "puce"}, hours="2 h", next_stage="clean"),
    )
    plan = planned(PromisedBefore(lines), written(boards=BOARDS))
    assert [(sheet, cells["board"], cells.get("stage", "")) for sheet, cells in plan.rows] == [
        ("boards", "26-008", ""),
        ("boards", "26-009", ""),
        ("hours", "26-009", "assess"),
    ]
    assert (plan.label, plan.board) == ("promised before: 2 boards", "26-008")
    with pytest.raises(UsageError, match="No board is written"):
        PromisedBefore(()).plan(written(boards=BOARDS), MAY)


def test_an_answer_of_setting_up_that_changes_nothing_writes_nothing():
    text = "[bench]\nplaces = 2\n"
    now = written(settings_text=text)
    assert (
        planned(SettingAnswered("places", {"places": "4"}, "how many"), now).settings
        == "[bench]\nplaces = 4\n"
    )
    assert (
        planned(SettingAnswered("places", {"places": "4"}, "how many"), now).label == "setting up: how many"
    )
    same = written(parse_settings(text)[0], text)
    assert planned(SettingAnswered("places", {"places": "2"}, "how many"), same).settings is None

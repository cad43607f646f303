"""What was missing, written in one go: each day and each gap, and where an error stands."""

import pytest
from making.plans import MAY, planned, written

from estimator.log.steps.missing import MissingWritten
from estimator.words.errors import EstimatorError, UsageError

BOARDS = """\
board,called,accepted,started,ready,collected,state,price_quoted,price_charged,materials,paid,paid_on
a,red,2026-04-01,2026-04-01,2026-04-20,,,900,,,,
b,tan,2026-04-01,2026-04-01,,,,500,,,,
"""


@pytest.fixture(scope="module")
def now():
    return written(boards=BOARDS)


def test_each_day_gets_a_row_of_no_hours_and_each_gap_its_own_cell(now):
    step = MissingWritten(
        {"2026-05-01": "away", "2026-04-27/2026-04-29": "did not work", "2026-04-30": " "},
        {"a": {"price": "850.50", "materials": "60", "paid": "400"}, "b": {"ready": "2026-05-02", "price": ""}},
    )  # fmt: skip
    plan = planned(step, now)
    assert plan.rows == [
        ("hours", {"board": "shop", "date": "2026-05-01", "hours": "0", "note": "away"}),
        (
            "hours",
            {
                "board": "shop",
                "date": "2026-04-27",
                "until": "2026-04-29",
                "hours": "0",
                "note": "did not work",
            },
        ),
    ]
    assert [dict(cells) for _, cells in step.plan(now, MAY).fills] == [
        {"price_charged": "850.5"},
        {"materials": "60"},
        {"paid": "400", "price_charged": "900"},
        {"ready": "2026-05-02"},
    ]
    assert plan.label == "2 empty days explained, 4 gaps filled in"
    assert plan.board == ""


def test_one_kind_of_answer_is_enough(now):
    assert planned(MissingWritten({"2026-05-04": "not written down"}), now).label == "1 empty day explained"
    one = planned(MissingWritten({}, {"b": {"price": "500"}}), now)
    assert (one.label, one.rows) == ("1 gap filled in", [])
    for nothing in (MissingWritten(), MissingWritten({"2026-05-04": ""}, {"a": {"paid": " "}})):
        with pytest.raises(UsageError, match="Nothing is answered yet"):
            nothing.plan(now, MAY)


@pytest.mark.parametrize(
    ("step", "field", "why"),
    [
        (MissingWritten({"2026-05-05": "away"}), "day.2026-05-05", "still to come"),
        (MissingWritten({"2026-05-03/2026-05-05": "away"}), "day.2026-05-03/2026-05-05", "still to come"),
        (MissingWritten({"2026-05-01": "ill"}), "day.2026-05-01", '"ill" is no answer here'),
        (MissingWritten({}, {"a": {"ready": "2026-05-05"}}), "ready.a", "still to come"),
        (MissingWritten({}, {"a": {"paid": "lots"}}), "paid.a", "lots"),
        (MissingWritten({}, {"a": {"price": "x"}}), "price.a", "x"),
        (MissingWritten({}, {"a": {"weight": "6"}}), "weight.a", '"weight" is nothing that is asked here'),
    ],
)
def test_what_is_wrong_is_said_at_its_field(now, step, field, why):
    with pytest.raises(EstimatorError, match=why) as caught:
        step.plan(now, MAY)
    assert caught.value.field == field

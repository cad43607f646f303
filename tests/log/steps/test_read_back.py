"""Whether what is to be written reads back: what refuses it, what is only noted, and what does not concern it."""

import datetime as dt

import pytest
from making.plans import MAY, TRADE, written

from estimator.log.edits import row_at
from estimator.log.steps.read_back import ActPlan, column_in_words, refuse_unreadable
from estimator.words.errors import UsageError

BOARDS = "board,called,accepted,started,assessed_infills,note\na,red,2026-05-01,2026-05-01,0,\nb,Tan,2026-05-01,2026-05-01,,x\n"
HOURS = "board,date,until,stage,hours\nb,2026-05-04,,strip,20\nb,2026-05-01,2026-05-03,strip,3\n"


def hours(**cells):
    return ActPlan(
        "x",
        cells.get("board", "a"),
        (("hours", {"board": "a", "date": "2026-05-04", "stage": "strip", "hours": "2", **cells}),),
    )


@pytest.mark.parametrize(
    ("plan", "field", "said"),
    [
        (hours(), None, None),
        (hours(hours="4"), None, None),
        (hours(hours="4.5"), "", "2026-05-04 has 24.5 h in all"),  # with those of the other board
        (hours(hours="x"), "hours", 'Hours "x"'),
        (hours(stage="stirp"), "stage", 'Stage "stirp"'),
        (hours(date="2026-05-05"), "date", "still to come"),
        (hours(until="2026-05-03"), "until", "until lies before the first day"),
        (ActPlan("x", "c", (("boards", {"board": "c", "called": "Red"}),)), "called", "board a is called that too"),
        (ActPlan("x", "c", (("boards", {"board": "c", "called": "tan"}),)), "called", "board b is called that too"),
        (ActPlan("x", "", (("money", {"date": "2026-05-04", "out": "5", "what": "materials", "boards": "a; b"}),)), None, None),
        (ActPlan("x", "c", (("boards", {"board": "c", "called": "blue"}),)), None, None),
        (ActPlan("x", "c", (("boards", {"board": "c", "length": "9.6"}),)), "length", 'Length "9.6"'),
        (ActPlan("x", "a", (("money", {"date": "2026-05-04", "in": "5", "what": "rent", "boards": "a"}),)), "boards", "rent is for no board"),
        (ActPlan("x", "a", (("waits", {"board": "a", "from": "2026-05-04", "for": "mood"}),)), "for", 'For "mood"'),
    ],
)  # fmt: skip
def test_a_cell_that_would_not_read_is_refused_at_its_field(plan, field, said):
    now = written(boards=BOARDS, hours=HOURS)
    if said is None:
        assert refuse_unreadable(now, plan, MAY) == ()
        return
    with pytest.raises(UsageError) as caught:
        refuse_unreadable(now, plan, MAY)
    assert said in str(caught.value)
    assert caught.value.field == field


@pytest.mark.parametrize("day", ["2026-05-01", "2026-05-02", "2026-05-03"])
def test_each_day_of_a_row_over_several_days_is_held_against_what_it_has_of_it(day):
    """60 hours over three days are 20 a day: four more fill it, and half an hour above that is refused."""
    over_days = "board,date,until,stage,hours\nb,2026-05-01,2026-05-03,strip,60\n"
    now = written(boards=BOARDS, hours=over_days)
    assert refuse_unreadable(now, hours(date=day, hours="4"), MAY) == ()
    with pytest.raises(UsageError, match=f"{day} has 24.5 h in all"):
        refuse_unreadable(now, hours(date=day, hours="4.5"), MAY)


def test_a_cell_that_is_filled_is_held_against_its_own_row():
    now = written(boards=BOARDS, hours=HOURS)
    row = now.row(now.board("a"))
    assert refuse_unreadable(now, ActPlan("x", "a", fills=((row, {"ready": "2026-05-04"}),)), MAY) == ()
    with pytest.raises(UsageError, match="ready lies before started") as caught:
        refuse_unreadable(now, ActPlan("x", "a", fills=((row, {"ready": "2026-04-01"}),)), MAY)
    assert caught.value.field == "ready"
    tan = now.row(now.board("b"))
    with pytest.raises(UsageError, match="board a is called that too"):
        refuse_unreadable(now, ActPlan("x", "b", fills=((tan, {"called": "RED"}),)), MAY)
    both = ((row, {"accepted": "2026-03-30", "started": "2026-04-01"}), (row, {"ready": "2026-04-02"}))
    assert refuse_unreadable(now, ActPlan("x", "a", fills=both), MAY) == ()


def test_rows_of_any_board_and_any_sheet_are_held_against_what_is_filled():
    """Of a plan that names no board, too; what another sheet has is noted, or refused where it contradicts the cell."""
    waits = "board,from,until,for\na,2026-05-03,,parts\n"
    money = "date,in,out,what,boards\n2026-05-01,,90,materials,a; b\n"
    now = written(boards=BOARDS, hours=HOURS, waits=waits, money=money)
    done = row_at(now.raw, now.settings, "hours", now.log.entries[1].where)
    assert refuse_unreadable(now, ActPlan("x", fills=((done, {"done": "yes"}),)), MAY) == ()
    row = now.row(now.board("a"))
    [note] = refuse_unreadable(now, ActPlan("x", "a", fills=((row, {"collected": "2026-05-02"}),)), MAY)
    assert "a wait from 2026-05-03 on, after the board is collected" in note
    with pytest.raises(UsageError, match="rows of money tell it too, and share it") as caught:
        refuse_unreadable(now, ActPlan("x", "a", fills=((row, {"materials": "38"}),)), MAY)
    assert caught.value.field == "materials"


def test_hours_where_nothing_was_to_be_done_are_noted_and_what_was_wrong_before_is_not():
    [note] = refuse_unreadable(written(boards=BOARDS, hours=HOURS), hours(stage="infill"), MAY)
    assert note.startswith("Foam pieces to let in, looked like is 0 but 2 h booked. Write how much there was")
    wrong = BOARDS.replace("a,red,2026-05-01,2026-05-01", "a,red,2026-05-01,2026-04-01")
    assert refuse_unreadable(written(boards=wrong, hours=HOURS, doubted=True), hours(), MAY) == ()


def test_nothing_to_write_is_nothing_to_look_at():
    assert refuse_unreadable(written(boards=BOARDS), ActPlan("x", settings="nonsense"), MAY) == ()


@pytest.mark.parametrize(
    ("column", "words"),
    [
        ("wanted_by", "wanted by"),
        ("assessed_infills", "foam pieces to let in, looked like"),
        ("found_wetness", "wet foam, turned out"),
        ("later_logos", "logos to redraw, asked for since"),
        ("", ""),
    ],
)
def test_a_column_as_a_field_is_called(column, words):
    assert column_in_words(column, TRADE) == words


def test_more_notes_stand_behind_the_others():
    assert ActPlan("x", notes=("a",)).noting(["b", "c"]).notes == ("a", "b", "c")
    assert dt.date(2026, 5, 4) == MAY

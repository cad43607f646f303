import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from making.overruns import LAST_DAY, log, settings

from estimator.decide.overruns import expected_by_scope
from estimator.decide.overruns.expected_by_scope import ExpectedHours
from estimator.decide.overruns.parts import (
    FROM_MEMORY,
    NO_GUESS,
    NO_HOURS,
    NOT_KNOWN,
    PARTS,
    board_overruns,
    logarithmic_mean,
    split,
)
from estimator.words.records import FINISHED, Board, Entry, Log

SHOP = settings()
FEW, MANY = log(9), log(44)


@pytest.fixture(scope="module")
def few():
    return board_overruns(FEW, SHOP)


@pytest.fixture(scope="module")
def many():
    return board_overruns(MANY, SHOP)


def changed(whole, **boards):
    """The log with other boards in place of those of that id."""
    return Log(tuple(boards.get(b.board, b) for b in whole.boards), whole.entries)


def test_all_that_should_add_up_does(few, many):
    for found in (few, many):
        for board in found.boards:
            assert board.guess + board.hidden + board.asked_later + board.pace == pytest.approx(
                board.overrun, abs=1e-12
            )
            assert board.hidden + board.asked_later == pytest.approx(board.surprise, abs=1e-12)
            assert math.fsum(board.hours.values()) == pytest.approx(board.took - board.guessed, abs=1e-9)
            for part in PARTS[1:]:
                if board.stages:
                    assert math.fsum(getattr(s, part) for s in board.stages) == pytest.approx(
                        getattr(board, part), abs=1e-12
                    )
                    by_stage = math.fsum(hours[part] for hours in board.stage_hours.values())
                    assert by_stage == pytest.approx(board.hours[part], abs=1e-9)


def test_what_is_not_known_of_usual_hours_moves_between_parts_and_never_the_overrun(few, many):
    """Of the hours taken and guessed nothing is in doubt: where usual hours are more, the guess was lower and the
    board's own going quicker by as much; the first board turned out as it looked."""
    for found in (few, many):
        assert found.doubt.shape[1:] == (len(found.boards), 3)
        assert np.abs(found.doubt.sum(axis=2)).max() < 1e-12
        assert found.doubt[:, :, 0].std(axis=0).min() > 0.01
        assert np.abs(found.doubt[:, 0, 1]).max() < 1e-12


def test_each_board_has_the_parts_that_it_was_made_with(many):
    same, total, asked, again, *_ = many.boards
    assert same.hidden == same.asked_later == 0.0
    assert total.stages == ()
    assert asked.asked_later > 0.3
    moved = {s.stage for s in asked.stages if abs(s.asked_later) > 0.02}
    assert moved == {"strip", "spray"}  # a colour, and a side whose area comes with it
    assert [s.stage for s in again.stages if s.hidden > 0.02 and s.stage == "redo"] == ["redo"]
    assert again.hidden > 0.03
    assert (
        np.corrcoef([b.hidden for b in many.boards], [hidden_pieces(b.board) for b in many.boards])[0, 1]
        > 0.6
    )


def hidden_pieces(name):
    board = MANY.by_id[name]
    return board.found["pieces"] - board.assessed["pieces"]


@pytest.mark.parametrize("whole", [FEW, MANY], ids=["few", "many"])
def test_guesses_doubled_shift_the_guess_alone(whole, few, many):
    before = few if whole is FEW else many
    doubled = {
        b.board: replace(b, guess_low=2 * b.guess_low, guess_high=2 * b.guess_high) for b in whole.boards
    }
    for was, now in zip(before.boards, board_overruns(changed(whole, **doubled), SHOP).boards, strict=True):
        assert now.guess == pytest.approx(was.guess - math.log(2), abs=1e-12)
        assert (now.hidden, now.asked_later, now.pace) == (was.hidden, was.asked_later, was.pace)


def test_the_order_of_boards_does_not_matter(many):
    turned = board_overruns(Log(MANY.boards[::-1], MANY.entries), SHOP).boards[::-1]
    for was, now in zip(many.boards, turned, strict=True):
        assert [getattr(now, part) for part in PARTS] == pytest.approx(
            [getattr(was, part) for part in PARTS], abs=0.02
        )


def test_units_of_what_there_is_to_do_do_not_matter(many):
    feet = 1 / 0.09290304
    others = board_overruns(log(44, per_area=feet), settings("ft2"))
    for was, now in zip(many.boards, others.boards, strict=True):
        assert [getattr(now, part) for part in PARTS] == pytest.approx(
            [getattr(was, part) for part in PARTS], abs=0.02
        )


def test_a_small_log_does_not_hold_a_board_against_itself(few):
    """A board of three times the hours moves its own usual hours where it is counted, and not where it is not."""
    thrice = Log(
        FEW.boards, tuple(replace(e, hours=3 * e.hours) if e.board == "b04" else e for e in FEW.entries)
    )
    many_thrice = Log(
        MANY.boards, tuple(replace(e, hours=3 * e.hours) if e.board == "b04" else e for e in MANY.entries)
    )
    was, now = few.boards[4], board_overruns(thrice, SHOP).boards[4]

    assert now.board == was.board == "b04"
    assert now.overrun == pytest.approx(was.overrun + math.log(3))
    assert abs(now.guess - was.guess) < 0.05  # it is .11 where the board is counted
    assert board_overruns(many_thrice, SHOP).boards[4].pace > 0.7


def test_what_cannot_be_judged_is_counted_and_named():
    boards = {b.board: b for b in FEW.boards}
    other = changed(
        FEW,
        b00=replace(boards["b00"], guess_low=None, guess_high=None),
        b04=replace(boards["b04"], from_memory=True),
        b05=replace(boards["b05"], state="on bench", ready=None),
        b06=replace(boards["b06"], assessed={}, found={"sides": 1.0}),
        b07=replace(boards["b07"], found={}),
    )
    other = replace(other, entries=tuple(e for e in other.entries if (e.board, e.stage) != ("b08", "strip")))
    found = board_overruns(other, SHOP)

    assert {b.board for b in found.boards} == {"b01", "b02", "b03", "b07"}
    assert found.left_out == {
        NO_GUESS: ("board 0",),
        FROM_MEMORY: ("board 4",),
        NO_HOURS: ("board 8",),
        NOT_KNOWN: ("board 6",),
    }
    assert found.not_recorded == ("board 7",)
    assert next(b for b in found.boards if b.board == "b07").hidden == 0.0


def test_named_as_not_recorded_is_a_judged_board_of_which_nobody_wrote_how_it_turned_out(monkeypatch):
    """Of three guessed at 10 that took 15, one is written as it was found; of the last usual hours are not known."""
    boards = [
        Board(name, called=f"the {name}", state=FINISHED, ready=LAST_DAY, guess_low=10.0, guess_high=10.0,
              total_hours=15.0, found=found)
        for name, found in (("a", {"pieces": 2.0}), ("b", {}), ("c", {}))
    ]  # fmt: skip
    ten = ExpectedHours({"strip": 10.0}, {"strip": 12.0}, {"strip": 12.0}, np.array([[0.1], [0.7], [0.3]]))
    monkeypatch.setattr(expected_by_scope, "usual_then", lambda *_, **__: {"a": ten, "b": ten, "c": None})
    found = board_overruns(Log(tuple(boards)), SHOP)

    assert found.not_recorded == ("the b",)
    assert found.left_out == {NOT_KNOWN: ("the c",)}
    assert [(b.board, b.guessed, b.looked, b.in_all, b.took) for b in found.boards] == [
        ("a", 10.0, 10.0, 12.0, 15.0),
        ("b", 10.0, 10.0, 12.0, 15.0),
    ]
    # more usual hours as it looked: a lower guess; more in all: more of a surprise, and quicker going
    assert found.doubt == pytest.approx(np.array([[[0.1, 0.2, -0.3]] * 2]))


def test_an_empty_log_says_nothing():
    assert board_overruns(Log(), SHOP).boards == ()
    assert board_overruns(Log((Board("a", state="asked", guess_low=3, guess_high=3),)), SHOP).left_out == {}


def test_one_board_alone_is_judged_by_rules_of_thumb():
    alone = Board(
        "a", state=FINISHED, ready=LAST_DAY, assessed={"sides": 1.0, "area": 1.0, "pieces": 0.0, "colours": 1.0},
        found={"pieces": 2.0}, guess_low=12.0, guess_high=12.0, total_hours=25.0,
    )  # fmt: skip
    (found,) = board_overruns(Log((alone,)), SHOP).boards

    assert found.looked == pytest.approx(
        16, rel=0.25
    )  # 1 + 3 + 12, by rules that may run low or high together
    assert found.hidden == pytest.approx(math.log(19 / 16), rel=0.3)
    assert found.stages == ()


def test_a_stage_that_was_not_done_does_no_harm():
    """A row of no hours says that a stage was not done, though there was work for it."""
    entries = [e for e in FEW.entries if (e.board, e.stage) != ("b04", "strip")]
    nothing = Entry("b04", LAST_DAY, "strip", 0.0)
    found = board_overruns(Log(FEW.boards, (*entries, nothing)), SHOP).boards[4]

    strip = next(s for s in found.stages if s.stage == "strip")
    assert strip.took == 0.0
    assert strip.pace < 0
    assert math.fsum(s.pace for s in found.stages) == pytest.approx(found.pace, abs=1e-12)


def test_a_total_with_some_stages_beside_it_is_not_split():
    beside = replace(FEW.boards[4], total_hours=90.0)
    found = board_overruns(changed(FEW, b04=beside), SHOP).boards[4]
    assert (found.took, found.stages) == (90.0, ())


def test_hours_that_nobody_planned_are_hidden_work():
    boards = {b.board: b for b in FEW.boards}
    bare = replace(
        boards["b04"],
        assessed={**boards["b04"].assessed, "pieces": 0.0},
        found={**boards["b04"].found, "pieces": 0.0},
    )
    entries = (
        *(e for e in FEW.entries if (e.board, e.stage) != ("b04", "infill")),
        Entry("b04", LAST_DAY, "infill", 3.0),
    )
    found = board_overruns(Log(changed(FEW, b04=bare).boards, entries), SHOP).boards[4]

    assert next(s for s in found.stages if s.stage == "infill").hidden > 0
    assert [s.hidden for s in found.stages if s.stage != "infill"] == pytest.approx(
        [0.0] * (len(found.stages) - 1), abs=0.02
    )


hours = st.dictionaries(st.sampled_from("abcde"), st.floats(0.25, 500), min_size=1)


@given(hours, hours)
def test_a_split_adds_up_to_the_log_of_the_ratio(after, before):
    parts = split(after, before)
    whole = math.log(math.fsum(after.values()) / math.fsum(before.values()))

    assert math.fsum(parts.values()) == pytest.approx(whole, abs=1e-9)
    assert set(parts) == {*after, *before}
    back = split(before, after)
    assert [back[name] for name in parts] == pytest.approx([-at for at in parts.values()], abs=1e-9)


@given(st.floats(1e-3, 1e4), st.floats(1e-3, 1e4))
def test_the_logarithmic_mean_lies_between_the_geometric_and_the_arithmetic(a, b):
    mean = logarithmic_mean(a, b)
    assert math.sqrt(a * b) * (1 - 1e-9) <= mean <= (a + b) / 2 * (1 + 1e-9)
    assert mean == pytest.approx(logarithmic_mean(b, a), rel=1e-9)


def test_a_board_that_lost_hours_is_left_out_unless_its_total_is_written_and_its_day_is_kept():
    lost = replace(FEW, partial=frozenset({("b04", "strip"), ("b05", "strip")}))
    total = replace(FEW.boards[5], total_hours=200.0)
    found = board_overruns(replace(changed(lost, b05=total), partial=lost.partial), SHOP)

    assert found.left_out == {NO_HOURS: ("board 4",)}
    by_id = {board.board: board for board in found.boards}
    assert by_id["b05"].took == 200.0
    assert by_id["b06"].ready == FEW.by_id["b06"].ready.isoformat()
    undated = board_overruns(changed(FEW, b06=replace(FEW.boards[6], ready=None)), SHOP)
    assert {board.board: board.ready for board in undated.boards}["b06"] == ""

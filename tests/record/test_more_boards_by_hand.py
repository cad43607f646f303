"""Which boards teach, which job is the usual one, and what is asked of it: by hand, without a fit."""

import datetime as dt
from types import SimpleNamespace

import numpy as np
import pytest

from estimator.record import more_boards
from estimator.record.more_boards import how_near, usual_job
from estimator.words.errors import NoAnswerError
from estimator.words.records import FINISHED, Board, Entry, Log
from estimator.words.settings.schema import Driver, Kind, Modifier, Settings, Stage

DAY = dt.date(2026, 5, 4)
SETTINGS = Settings(
    drivers={
        "pieces": Driver("pieces"),
        "sides": Driver("sides"),
        "area": Driver("area", unit="m2"),
    },
    modifiers={
        "wet": Modifier("wet", stages=("strip",), grades=("dry", "damp", "wet")),
        "rush": Modifier("rush", stages=("strip",)),
    },
    kinds={
        "minor": Kind("minor", usual={"pieces": (1.0, 2.0), "sides": (0.2, 0.4)}),
        "major": Kind("major", usual={"area": (1.0, 2.5), "wet": (1.0, 2.0), "rush": (0.0, 1.0)}),
        "touch_up": Kind("touch_up"),
    },
    stages={"strip": Stage("strip", drivers=("once", "area", "pieces"))},
)
LIKELY = {"minor": 9.0, "major": 40.0, "touch_up": 2.0}


@pytest.fixture
def asked(monkeypatch):
    """What was asked for as a usual job, by sort; each sort has its own likely hours."""
    seen = {}

    def described(values, _settings):
        seen[values["kind"]] = {name: value for name, value in values.items() if name != "kind"}
        return values["kind"]

    def answer(_known, job, *_, **__):
        if LIKELY[job] is None:
            raise NoAnswerError("nothing tells", "")
        return SimpleNamespace(likely=LIKELY[job], low=LIKELY[job] - 3, high=LIKELY[job] + 5)

    monkeypatch.setattr(more_boards, "described", described)
    monkeypatch.setattr(more_boards, "answer", answer)
    return seen


def of(*kinds):
    return [Board(f"b{n}", kind=kind, state=FINISHED) for n, kind in enumerate(kinds)]


@pytest.mark.parametrize(
    ("kinds", "kind"),
    [
        (["minor"] * 9 + ["major"] * 3, "major"),  # the largest of which there are three boards
        (["minor"] * 9 + ["major"] * 2, "minor"),
        (
            ["minor"] * 2 + ["major"] * 2 + ["touch_up"],
            "minor",
        ),  # of no sort three: the commonest, the first of two
        (["minor", "major", "major"], "major"),
        (["touch_up"] * 3 + ["minor"] * 3, "minor"),
    ],
)
def test_the_usual_job_is_the_largest_sort_of_which_there_are_three_boards(asked, kinds, kind):
    assert usual_job(None, of(*kinds), SETTINGS, 0) == (kind, kind)


def test_a_sort_of_which_nothing_tells_is_passed_over(asked, monkeypatch):
    monkeypatch.setitem(LIKELY, "major", None)

    assert usual_job(None, of(*["minor"] * 3, *["major"] * 3), SETTINGS, 0) == ("minor", "minor")
    assert usual_job(None, of(*["major"] * 3), SETTINGS, 0) is None
    assert usual_job(None, of("major"), Settings(), 0) is None


def test_it_has_what_such_boards_have_in_the_middle(asked):
    """Counts are rounded, half up, and parts of one stay; measures keep theirs; grades and yes or no are the lower."""
    usual_job(None, of(*["minor"] * 3, *["major"] * 3), SETTINGS, 0)

    assert asked == {
        "minor": {"pieces": "2", "sides": "0.3"},
        "major": {"area": "1.75 m2", "wet": "damp", "rush": "no"},
    }


@pytest.fixture
def learned(monkeypatch):
    """Fits that do nothing but keep the log that they were of; each range then is so much narrower."""
    logs = []

    def fit(log, *_, **__):
        logs.append(log)
        return SimpleNamespace(n_draws=4, of=len(logs))

    monkeypatch.setattr(more_boards, "fit", fit)
    monkeypatch.setattr(more_boards, "half_width", lambda known, *_: 12.0 if known.of == 1 else known.of)
    monkeypatch.setattr(
        more_boards,
        "drawn_board",
        lambda *_, **__: (None, SimpleNamespace(total=np.array([10.126, 0.1, 10.126, 0.1])), ()),
    )
    return logs


def test_twenty_more_are_added_to_those_that_are_written_six_times_over(asked, learned):
    """The half widths with more are 2, 3 … 7, on average 4.5; by now it is 12."""
    turns = []
    boards = tuple(
        Board(
            f"b{n}",
            kind="minor",
            state=FINISHED,
            total_hours=9.0,
            called=f"no {n}",
            assessed=SEEN,
            found=SEEN,
        )
        for n in range(5)
    )
    near = how_near(Log(boards=boards), SETTINGS, (), breathe=lambda *at: turns.append(at))

    assert (near.boards, near.untaught, near.kind, near.within, near.more, near.then) == (
        *(5, 0, "minor"),
        *(12.0, 20, 4.5),
    )
    assert turns == [(n, 6) for n in range(6)]
    assert [len(one.boards) for one in learned] == [5, *[25] * 6]
    for one in learned[1:]:
        assert one.boards[:5] == boards
        assert {board.called for board in one.boards[5:]} == {""}
        assert len({board.board for board in one.boards}) == 25
        assert len({board.total_hours for board in one.boards[5:]}) == 1  # one draw of the rates is the truth
    assert {board.total_hours for one in learned[1:] for board in one.boards[5:]} == {10.13, 0.25}


SEEN = {"pieces": 1.0, "sides": 0.0, "area": 1.0, "wet": 0.0, "rush": 0.0}


def test_below_five_boards_that_teach_nothing_is_fitted(asked, learned):
    """Four teach, one by its rows alone; two finished ones do not, for of one nothing was written of what there was to
    do, and of one that it took no hours; one is in hand.
    """
    good = [
        Board(f"b{n}", kind="minor", state=FINISHED, total_hours=9.0, assessed=SEEN, found=SEEN)
        for n in range(3)
    ]
    rows, none = (
        Board(name, kind="minor", state=FINISHED, assessed=SEEN, found=SEEN) for name in ("rows", "none")
    )
    bare = Board("bare", kind="minor", state=FINISHED, total_hours=9.0)
    in_hand = Board("hand", kind="minor", state="on the bench", total_hours=None)
    entries = tuple(
        Entry(name, DAY, "strip", hours) for name, hours in (("hand", 3.0), ("rows", 3.0), ("none", 0.0))
    )
    near = how_near(Log(boards=(*good, rows, none, bare, in_hand), entries=entries), SETTINGS, ())

    assert (near.boards, near.untaught, near.within, near.then) == (4, 2, None, None)
    assert learned == []

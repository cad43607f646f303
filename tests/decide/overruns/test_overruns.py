"""What made boards go over, by stage and of one board, from boards by hand."""

import datetime as dt
import math
from types import SimpleNamespace

import pytest

from estimator.decide.overruns import overruns
from estimator.decide.overruns.overruns import Overruns, all_overruns
from estimator.decide.overruns.parts import BoardOverrun, BoardOverruns
from estimator.decide.overruns.variance_shares import GoesWith, Share
from estimator.words.errors import NoAnswerError
from estimator.words.records import FINISHED, Board, Log


def board(name, **stages):
    return SimpleNamespace(board=name, stage_hours=stages)


def test_a_stage_has_the_parts_of_all_boards():
    """Stripping: 1 + 2 h of hidden work, 0.5 - 2 h of pace; only the second board was glossed."""
    found = Overruns(
        (
            board("a", strip={"hidden": 1.0, "pace": 0.5}),
            board("b", strip={"hidden": 2.0, "pace": -2.0}, gloss={"hidden": 0.0, "pace": 0.25}),
            board("c"),
        )
    )

    assert found.by_stage == {"strip": {"hidden": 3.0, "pace": -1.5}, "gloss": {"hidden": 0.0, "pace": 0.25}}


def test_of_one_board_it_is_that_board_s_own_or_says_why_there_is_none():
    found = Overruns((board("a"), board("b")), left_out={"no guess was made before": ("tan",)})
    log = [Board("a", state=FINISHED), Board("b", "blue", state=FINISHED)]
    log += [Board("c", "tan", state=FINISHED), Board("d", "red")]

    assert found.of("blue", log).board == "b"
    with pytest.raises(NoAnswerError, match="Nothing can be said of tan yet: no guess was made before"):
        found.of("tan", log)
    with pytest.raises(NoAnswerError, match="Nothing can be said of red yet: it is not finished"):
        found.of("red", log)


def test_each_figure_stands_in_json_by_its_name():
    goes = GoesWith(
        parts=(Share("", "guess", 0.5, 0.4, 0.6),),
        drivers=(Share("pieces", "overrun", 0.3, 0.1, 0.45),),
        shares=(Share("pieces", "guess", 0.2, 0.1, 0.3),),
        alike={"sides": "area"},
        could_find=0.16,
    )
    boards = tuple(
        BoardOverrun(name, "", "", "", 20.0, took, 22.0, 24.0, 25.0)
        for name, took in (("a", 30.0), ("b", 26.0))
    )
    told = Overruns(boards, goes, {"hours are missing": ("tan",)}, ("red",)).as_dict()

    assert [(one["board"], one["guessed"], one["took"], one["overrun"]) for one in told["boards"]] == [
        ("a", 20.0, 30.0, pytest.approx(math.log(1.5))), ("b", 20.0, 26.0, pytest.approx(math.log(1.3)))
    ]  # fmt: skip
    first = told["boards"][0]
    assert [first[part] for part in ("guess", "surprise", "pace", "hidden", "asked_later")] == pytest.approx(
        [math.log(of) for of in (22 / 20, 25 / 22, 30 / 25, 24 / 22, 25 / 24)]
    )
    assert told["parts"] == [{"part": "guess", "share": 0.5, "low": 0.4, "high": 0.6}]
    assert told["drivers"] == [{"driver": "pieces", "share": 0.3, "low": 0.1, "high": 0.45}]
    assert told["shares"] == [{"driver": "pieces", "part": "guess", "share": 0.2, "low": 0.1, "high": 0.3}]
    assert (told["guessed"], told["took"], told["could_find"]) == (40.0, 56.0, 0.16)
    assert sum(told["hours"].values()) == pytest.approx(16.0)
    assert (told["cannot_be_told_apart"], told["left_out"], told["not_recorded"]) == (
        {"sides": "area"}, {"hours are missing": ["tan"]}, ["red"]
    )  # fmt: skip


def test_what_goes_with_it_is_asked_of_the_boards_judged_as_they_turned_out(monkeypatch):
    """As of the day and by the rules asked for; of "a" two pieces were found, of "b" nobody wrote any."""
    log = Log((Board("a", assessed={"pieces": 1.0}, found={"pieces": 2.0}), Board("b")))
    asked, goes = [], []
    found = BoardOverruns(
        (SimpleNamespace(board="b"), SimpleNamespace(board="a")), {"x": ("c",)}, ("d",), "doubt"
    )
    monkeypatch.setattr(overruns, "board_overruns", lambda *_, **how: asked.append(how) or found)
    monkeypatch.setattr(overruns, "goes_with", lambda *args: goes.append(args) or GoesWith(could_find=0.3))
    day = dt.date(2026, 5, 4)
    said = all_overruns(log, "settings", as_of=day, rules=("mine",), seed=7)

    assert asked == [{"as_of": day, "rules": ("mine",), "seed": 7}]
    assert goes == [(found.boards, [{}, {"pieces": 2.0}], "settings", "doubt")]
    assert (said.boards, said.goes_with.could_find, said.left_out, said.not_recorded) == (
        found.boards, 0.3, {"x": ("c",)}, ("d",)
    )  # fmt: skip

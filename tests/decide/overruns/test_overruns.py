"""What made boards go over, by stage and of one board, from boards by hand."""

from types import SimpleNamespace

import pytest

from estimator.decide.overruns.overruns import Overruns
from estimator.words.errors import NoAnswerError
from estimator.words.records import FINISHED, Board


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

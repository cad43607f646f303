"""How a mistake is said, how a command ends with it, and that of several problems the rest are counted."""

import pytest

from estimator.words.actions import Action
from estimator.words.errors import (
    EstimatorError,
    NeverReadyError,
    NoAnswerError,
    NoRangeError,
    SettingsError,
    UnreadableError,
    UsageError,
)
from estimator.words.problems import Place, Problem


@pytest.mark.parametrize(
    ("error", "said", "code"),
    [
        (EstimatorError("So it is"), "So it is.", 1),
        (EstimatorError("So it is.", "Mend it."), "So it is. Mend it.", 1),
        (EstimatorError("Is it so?", "Mend it."), "Is it so? Mend it.", 1),
        (UsageError("There is none", "Name one."), "There is none. Name one.", 2),
        (UnreadableError("is no time", "Write 2:30.", found='"soon"'), '"soon" is no time. Write 2:30.', 1),
        (NoRangeError("it needs Gloss", "Say so."), "No range for this board: it needs Gloss. Say so.", 1),
        (NeverReadyError("26-1", "never ends", "Say so."), "board 26-1 never ends. Say so.", 1),
    ],
)
def test_a_mistake_is_a_sentence_and_its_cure(error, said, code):
    assert (str(error), error.exit_code) == (said, code)


def test_what_no_answer_there_is_is_said_of_a_board_by_its_name():
    assert NoAnswerError("no hours").of("red") == "red: no hours"
    assert NoRangeError("it needs Gloss").of("red") == "red: it needs Gloss"
    assert NeverReadyError("26-1", "never ends").of("red") == "red never ends"


@pytest.mark.parametrize(
    ("many", "said", "checks"),
    [
        (1, 'workshop.toml, line 1: "x": that is wrong. Mend it.', False),
        (2, 'workshop.toml, line 1: "x": that is wrong. (and 1 more). Mend it.', True),
        (4, 'workshop.toml, line 1: "x": that is wrong. (and 3 more). Mend it.', True),
    ],
)
def test_of_several_problems_of_the_settings_the_first_is_said_and_the_others_counted(many, said, checks):
    problems = tuple(
        Problem(Place("workshop.toml", row=n), "x", "that is wrong", "Mend it.") for n in range(1, many + 1)
    )
    error = SettingsError(problems)
    assert str(error) == said
    assert (error.action == Action("check")) is checks
    assert error.problems == problems

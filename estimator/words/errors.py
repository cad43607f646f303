"""The exceptions that a user can cause. Anything else that is raised is our mistake.

EstimatorError            exit code 1
  UsageError              exit code 2: wrong use, or no workshop there
  SettingsError           workshop.toml cannot be used
  UnreadableError         a text in a cell or an option that is not what it should be
  NoAnswerError           all is well formed, but no honest answer can be given
    NoRangeError          no hours of one board
    NeverReadyError       no day of one board
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from estimator.words.actions import Action

if TYPE_CHECKING:
    from estimator.words.problems import Problem


class EstimatorError(Exception):
    """One sentence that says what is wrong, and one that says what to do.

    A clause without a full stop, as a problem's `wrong` is, gets one when it is shown.
    field: the name of what was asked that is missing or wrong, where it is one; action: what to do next, where it is
    one thing. An interface says how either is typed, or shows it.

    >>> str(UnreadableError("that is not a time", "Write 2:30."))
    'that is not a time. Write 2:30.'
    """

    exit_code = 1

    def __init__(self, wrong: str, cure: str = "", *, field: str = "", action: Action | None = None) -> None:
        self.wrong = wrong
        self.cure = cure
        self.field = field
        self.action = action
        stop = "" if wrong.endswith((".", "!", "?")) else "."
        super().__init__(f"{wrong}{stop} {cure}".strip())


class UsageError(EstimatorError):
    """A command or a call used in a way that it does not offer, or a missing workshop."""

    exit_code = 2


class UnreadableError(EstimatorError):
    """A text that does not say what it should: hours, a length, a date, money, odds.

    says: what is wrong; found: what was read, in quotation marks, where the sentence begins with it

    >>> UnreadableError("is no time", found='"soon"').wrong
    '"soon" is no time'
    """

    def __init__(
        self, says: str, cure: str = "", *, found: str = "", field: str = "", action: Action | None = None
    ) -> None:
        self.says, self.found = says, found
        super().__init__(f"{found} {says}" if found else says, cure, field=field, action=action)


class SettingsError(EstimatorError):
    """The settings file has problems; all of them are in `problems`."""

    def __init__(self, problems: tuple[Problem, ...]) -> None:
        self.problems = problems
        more = f" (and {len(problems) - 1} more)" if len(problems) > 1 else ""
        first = problems[0]
        action = Action("check") if len(problems) > 1 else None
        super().__init__(first.said() + more, first.cure, action=action)


class NoAnswerError(EstimatorError):
    """The question is clear, but rules and log together cannot answer it."""

    def of(self, name: str) -> str:
        """What is wrong, said of a board by its name."""
        return f"{name}: {self.wrong}"


class NoRangeError(NoAnswerError):
    """Neither rules nor log tell the hours of a board.

    >>> NoRangeError("it needs Gloss").of("the red nine-four")
    'the red nine-four: it needs Gloss'
    """

    def __init__(self, why: str, cure: str = "", *, field: str = "") -> None:
        self.why = why
        super().__init__(f"No range for this board: {why}", cure, field=field)

    def of(self, name: str) -> str:
        """Why there is none, said of a board by its name."""
        return f"{name}: {self.why}"


class NeverReadyError(NoAnswerError):
    """A board has no end; why: goes on where its name begins the sentence.

    >>> NeverReadyError("26-014", "can never be finished").of("the red nine-four")
    'the red nine-four can never be finished'
    """

    def __init__(self, board: str, why: str, cure: str = "", *, action: Action | None = None) -> None:
        self.why = why
        super().__init__(f"board {board} {why}", cure, action=action)

    def of(self, name: str) -> str:
        """What is wrong, said of a board by its name."""
        return f"{name} {self.why}"

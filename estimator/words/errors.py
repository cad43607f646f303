"""The exceptions that a user can cause. Anything else that is raised is our mistake.

EstimatorError            exit code 1
  UsageError              exit code 2: wrong use, or no workshop there
  SettingsError           workshop.toml cannot be used
  UnreadableError         a text in a cell or an option that is not what it should be
  NoAnswerError           all is well formed, but no honest answer can be given
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from estimator.words.problems import Problem


class EstimatorError(Exception):
    """One sentence that says what is wrong, and one that says what to do.

    A clause without a full stop, as a problem's `wrong` is, gets one when it is shown.

    >>> str(UnreadableError("that is not a time", "Write 2:30."))
    'that is not a time. Write 2:30.'
    """

    exit_code = 1

    def __init__(self, wrong: str, cure: str = "") -> None:
        self.wrong = wrong
        self.cure = cure
        stop = "" if wrong.endswith((".", "!", "?")) else "."
        super().__init__(f"{wrong}{stop} {cure}".strip())


class UsageError(EstimatorError):
    """A command or a call used in a way that it does not offer, or a missing workshop."""

    exit_code = 2


class UnreadableError(EstimatorError):
    """A text that does not say what it should: hours, a length, a date, money, odds."""


class SettingsError(EstimatorError):
    """The settings file has problems; all of them are in `problems`."""

    def __init__(self, problems: tuple[Problem, ...]) -> None:
        self.problems = problems
        more = f" (and {len(problems) - 1} more; `estimator check` lists them)" if len(problems) > 1 else ""
        first = problems[0]
        super().__init__(first.said() + more, first.cure)


class NoAnswerError(EstimatorError):
    """The question is clear, but rules and log together cannot answer it."""

"""The board that is meant by a name; and that nothing more can be said of one that is over."""

from __future__ import annotations

from collections.abc import Container, Sequence
from difflib import get_close_matches
from typing import Protocol, TypeVar

from estimator.words.actions import Action
from estimator.words.errors import UsageError
from estimator.words.phrases import capital
from estimator.words.records import DECLINED, FINISHED, IN_HAND, WITHDRAWN
from estimator.words.settings.values import nearest


class Named(Protocol):
    """A board, as the log or a saved fit holds it."""

    @property
    def board(self) -> str: ...
    @property
    def called(self) -> str: ...
    @property
    def name(self) -> str: ...
    @property
    def state(self) -> str: ...


B = TypeVar("B", bound=Named)
OVER = {
    FINISHED: "{} is ready",
    DECLINED: "you said no to {}",
    WITHDRAWN: "the owner of {} dropped it",
}
MEND_ROW = "If that is not so, mend its row on the boards sheet first."
NOTHING_DONE = "nothing more is done on it"
NOTHING_TO_DECIDE = "there is nothing left to decide"
NO_ROW = "Write a row for it on the boards sheet first."


def board_named(name: str, boards: Sequence[B], otherwise: str = NO_ROW) -> B:
    """The board with this id; else that with this short name, of several the latest.

    otherwise: what to do where no board is like it, and none is in hand

    Raises UsageError where there is none, with the nearest names.

    >>> from estimator.words.records import Board
    >>> boards = [Board("26-014", called="red"), Board("26-015", called="red")]
    >>> board_named("red", boards, "").board, board_named("26-014", boards, "").board
    ('26-015', '26-014')
    """
    by_name = {b.called: b for b in boards if b.called} | {b.board: b for b in boards}
    if name not in by_name:
        in_hand = [b.name for b in boards if b.state in IN_HAND]
        close = get_close_matches(name, by_name, n=1) or in_hand
        raise UsageError(f'No board is called "{name}".', nearest(name, close) if close else otherwise)
    return by_name[name]


def refuse_over(
    board: Named,
    so: str,
    cure: str = MEND_ROW,
    *,
    states: Container[str] = frozenset(OVER),
    action: Action | None = None,
) -> None:
    """Raises UsageError for a board that is over: how it ended, what follows, and what to do.

    so: what follows, a clause; states: the ends that matter

    >>> from estimator.words.records import Board
    >>> refuse_over(Board("a", state=DECLINED), "there is nothing left to decide")
    Traceback (most recent call last):
    estimator.words.errors.UsageError: You said no to a, and there is nothing left to decide. If that is not so, ...
    """
    if board.state in OVER and board.state in states:
        ended = capital(OVER[board.state].format(board.name))
        raise UsageError(f"{ended}, and {so}.", cure, action=action)

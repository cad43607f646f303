"""The board that is meant by a name."""

from __future__ import annotations

from collections.abc import Sequence
from difflib import get_close_matches
from typing import Protocol, TypeVar

from estimator.words.errors import UsageError
from estimator.words.records import IN_HAND
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

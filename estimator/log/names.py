"""The board that is meant by a name; and that nothing more can be said of one that is over."""

from __future__ import annotations

from collections.abc import Container, Iterable, Sequence
from difflib import get_close_matches
from typing import Protocol, TypeVar

from estimator.log.notebook.tokens import TENS, UNITS, Token, listed, tokens_of
from estimator.log.notebook.vocabulary import SMALL, Phrase, words_of
from estimator.words.actions import Action
from estimator.words.errors import UsageError
from estimator.words.phrases import capital
from estimator.words.records import ASKED, DECLINED, FINISHED, IN_HAND, WITHDRAWN
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


_FIGURES = {**UNITS, **TENS}
PLAIN = listed("mr mrs ms miss dr board boards long short the old new big little")


def length_words(token: Token) -> list[str]:
    """A token as the words of a name; 9'4 is nine four."""
    if token.kind == "number" and "'" in token.plain:
        return [piece for piece in token.plain.split("'") if piece]
    return [token.plain]


def in_figures(name: Phrase) -> Phrase:
    """Nine-four as 9 4."""
    return tuple(str(_FIGURES[word]) if word in _FIGURES else word for word in name)


def parts_of(name: Phrase, taken: Container[str] = ()) -> Iterable[Phrase]:
    """What of a name may stand for it: runs of its words; never a lone number, or a word that says a stage."""
    for start in range(len(name)):
        for end in range(start + 1, len(name) + 1):
            part = name[start:end]
            if part == name:
                continue
            numbers = [word for word in part if word in _FIGURES]
            cut = (start > 0 and name[start - 1] in _FIGURES and part[0] in _FIGURES) or (
                end < len(name) and name[end] in _FIGURES and part[-1] in _FIGURES
            )
            if cut or set(part) <= SMALL | PLAIN or (len(part) == 1 and part[0] in taken):
                continue
            if len(part) == 1 and numbers:
                continue
            yield part
            if numbers:
                yield in_figures(part)


def board_named(name: str, boards: Sequence[B], otherwise: str = NO_ROW) -> B:
    """The board with this id; else that with this short name, of several the latest; else the one it is a part of.

    A part of a short name stands for it where only one board can be meant: of those asked for or in hand, else of all.

    otherwise: what to do where no board is like it, and none is asked for or in hand

    Raises UsageError where there is none, with the nearest names, and where a part can mean several.

    >>> from estimator.words.records import Board
    >>> boards = [Board("26-014", called="red"), Board("26-015", called="red"), Board("26-016", called="green fish")]
    >>> [board_named(one, boards, "").board for one in ("red", "26-014", "green")]
    ['26-015', '26-014', '26-016']
    """
    by_name = {b.called: b for b in boards if b.called} | {b.board: b for b in boards}
    if name in by_name:
        return by_name[name]
    meant = _meant(name, boards)
    if len(meant) > 1:
        names = [_typed(b) if [_typed(c) for c in meant].count(_typed(b)) == 1 else b.board for b in meant]
        raise UsageError(
            f'"{name}" can be {", ".join(names[:-1])} or {names[-1]}.', "Write more of its name, or its id."
        )
    if meant:
        return meant[0]
    there = [_typed(b) for b in boards if b.state in IN_HAND] or [
        _typed(b) for b in boards if b.state == ASKED
    ]
    close = get_close_matches(name, by_name, n=1) or there
    raise UsageError(f'No board is called "{name}".', nearest(name, close) if close else otherwise)


def _typed(board: Named) -> str:
    """By what a board can be asked for."""
    return board.called or board.board


def _meant(name: str, boards: Sequence[B]) -> list[B]:
    """The boards that a name may mean which is no id and no short name to the letter."""
    words = tuple(word for token in tokens_of(name) if not token.joins for word in length_words(token))
    called = {b.board: words_of(b.called) for b in boards if b.called}
    whole = [
        b for b in boards if b.board in called and words in {called[b.board], in_figures(called[b.board])}
    ]
    if whole:
        return whole[-1:]
    part = [b for b in boards if b.board in called and words in set(parts_of(called[b.board]))]
    return [b for b in part if b.state == ASKED or b.state in IN_HAND] or part


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

"""What is asked of a board that is thought over: its price, and what was named of the terms."""

from __future__ import annotations

import math
from dataclasses import dataclass

from estimator.words.errors import UsageError
from estimator.words.records import FINISHED, TERMS, WITHDRAWN, Board


@dataclass(frozen=True, slots=True)
class Question:
    """A price, and terms, ceiling and fee for opening up where they were named; odds: of ranges, and of prices.

    from_log: whether the price is the one quoted in the log
    """

    price: float
    terms: str | None = None
    ceiling: float | None = None
    strip_fee: float | None = None
    odds: float = 0.8
    from_log: bool = False


def question_of(
    board: Board,
    price: float | None,
    terms: str | None = None,
    ceiling: float | None = None,
    strip_fee: float | None = None,
    odds: float = 0.8,
) -> Question:
    """The question, its price the one quoted in the log where none is named.

    Raises UsageError for a board that is over, for no price, money that is less than nothing or without end, and
    terms that there are not.

    >>> question_of(Board("26-014", price_quoted=1800.0), None).price
    1800.0
    """
    if board.state == FINISHED:
        raise UsageError(
            f"{board.name} is ready, and there is nothing left to decide.",
            f"See what it took with estimator range {board.board}.",
        )
    if board.state == WITHDRAWN and board.started:
        raise UsageError(
            f"The owner of {board.name} dropped it when it was begun.",
            "Mend its row on the boards sheet first, if it is to go on.",
        )
    if terms is not None and terms not in TERMS:
        raise UsageError(f'"{terms}" are no terms.', f"Write {', '.join(TERMS[:-1])} or {TERMS[-1]}.")
    asked = board.price_quoted if price is None else price
    if asked is None:
        raise UsageError(
            f"No price is named for {board.name}, and none is in the log.", "Write --price 3400."
        )
    for name, amount in (("price", asked), ("ceiling", ceiling), ("fee for opening up", strip_fee)):
        if amount is not None and not 0 <= amount < math.inf:
            raise UsageError(f"A {name} of {amount:,g} is no money to ask.", "Write it as 3400.")
    if not asked:
        raise UsageError("A price of nothing pays nothing.", "Write --price 3400.")
    return Question(asked, terms, ceiling, strip_fee, odds, from_log=price is None)

"""Notes that were found, and money from one day to another, as a restorer reads them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from estimator.log.money import InAndOut, MoneySums
from estimator.said.parts import Heading, Part, Table
from estimator.words.dates import say_day
from estimator.words.money import say_price
from estimator.words.phrases import capital, say_count
from estimator.words.records import SHOP, Board, MoneyLine, Note


def note_parts(notes: Iterable[Note], boards: Mapping[str, Board]) -> list[Part]:
    """The notes as a table; boards: by id."""
    found = list(notes)
    if not found:
        return ["No such note is written down."]
    rows = tuple((say_day(note.date), board_words(note.board, boards), note_words(note)) for note in found)
    return [Table(("", "", "note"), rows, boards=tuple("" if n.board == SHOP else n.board for n in found))]


def board_words(board: str, boards: Mapping[str, Board]) -> str:
    """What a board is called; its id where it has no short name."""
    return boards[board].name if board in boards else board


def note_words(note: Note) -> str:
    """A note, and its picture."""
    return f"{note.text} ({note.photo})" if note.text and note.photo else note.text or note.photo


def money_parts(sums: MoneySums, boards: Mapping[str, Board], currency: str) -> list[Part]:
    """What came in and went out, by what it was for and by board; boards: by id."""
    days = [
        f"{way} {say_day(day)}" for way, day in (("from", sums.first), ("to", sums.last)) if day is not None
    ]
    head = Heading(" ".join(["Money", *days]), level=1)
    if not sums.by_what:
        return [head, "No money is written down in these days."]
    of_all = sums.in_all
    came, went, left = (_coins(much, currency) for much in (of_all.came_in, of_all.out, abs(of_all.left)))
    rest = "more went out than came in" if of_all.left < 0 else "left"
    parts: list[Part] = [
        head,
        f"In {came}, out {went}: {left} {rest}.",
        Heading("By what for"),
        _table([(capital(one.name), one) for one in sums.by_what], ()),
    ]
    by_board = [(board_words(one.name, boards), one) for one in sums.by_board]
    ids = [one.name for one in sums.by_board]
    if sums.no_board.came_in or sums.no_board.out:
        by_board.append(("on no board", sums.no_board))
        ids.append("")
    parts += [Heading("By board"), _table(by_board, tuple(ids))]
    if sums.undated:
        names = ", ".join(board_words(board, boards) for board in sums.undated[:3])
        more = f" and {len(sums.undated) - 3} more" if len(sums.undated) > 3 else ""
        parts.append(f"Not counted, because no day is written: money of {names}{more}.")
    return parts


def line_parts(lines: Sequence[MoneyLine], boards: Mapping[str, Board], most: int) -> list[Part]:
    """Lines of money, the newest first; boards: by id; most: that are shown."""
    if not lines:
        return ["No money is written down in these days."]
    rows = tuple(
        (
            say_day(line.date),
            _coins(line.came_in) if line.came_in else "",
            _coins(line.went_out) if line.went_out else "",
            line.what,
            ", ".join(board_words(board, boards) for board in line.boards),
            line.note,
        )
        for line in list(reversed(lines))[:most]
    )
    table = Table(("", "in", "out", "for what", "boards", "note"), rows, right=(1, 2))
    rest = len(lines) - most
    return (
        [table, f"And {say_count(rest, 'earlier line')}; all of them are in the file."]
        if rest > 0
        else [table]
    )


def _table(rows: list[tuple[str, InAndOut]], boards: tuple[str, ...]) -> Table:
    """Sums as a table, those of nothing as a dot."""
    cells = tuple(
        (name, *(_coins(much) if much else "·" for much in (one.came_in, one.out))) for name, one in rows
    )
    return Table(("", "in", "out"), cells, right=(1, 2), boards=boards)


def _coins(amount: float, currency: str = "") -> str:
    """An amount to the last coin: two decimals, or none.

    >>> _coins(1350.5), _coins(40.0, "mk")
    ('1,350.50', '40 mk')
    """
    return say_price(amount, currency) if amount == round(amount) else f"{amount:,.2f} {currency}".strip()

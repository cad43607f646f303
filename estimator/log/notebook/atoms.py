"""A text in atoms: each piece taken for a board, a stage, a time, a day, a remark or a mark between."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Sequence

from estimator.log.notebook.atom import (
    BOARD,
    COMMA,
    DAY,
    END_OF_LINE,
    LIST_NUMBER,
    LITTLE,
    QUERY,
    REMARK,
    STOP,
    TIME,
    Atom,
    Glossary,
)
from estimator.log.notebook.counted import (
    amount_at,
    left_over,
)
from estimator.log.notebook.days_named import FoundDay, day_at
from estimator.log.notebook.tokens import (
    LINE_END,
    NUMBER,
    NUMBER_WORDS,
    WORD,
    Token,
    listed,
    tokens_of,
)
from estimator.log.notebook.vocabulary import (
    AGAINST,
    DITTO,
    DONE,
    STAGE,
    Meaning,
)
from estimator.words.dates import A_DAY

_DITTO_MARKS = frozenset('"-')
_LIKE = listed("as than like")
_PARTS_OF_A_DAY = listed("morning afternoon evening")
_TO = frozenset({"-", "to", "till", "until", "through", "thru"})


def atoms_of(text: str, known: Glossary, near: dt.date) -> tuple[Atom, ...]:
    """The atoms of a text, in order; near: a day by which years and months that are not written are chosen."""
    tokens = tokens_of(text)
    return tuple(_atoms(text, tokens, known, near))


def _atoms(text: str, tokens: Sequence[Token], known: Glossary, near: dt.date) -> Iterator[Atom]:
    """The atoms one by one."""
    place = 0
    last = ""  # kind of the atom before
    fresh = True  # at the beginning of a line
    entries = 0  # of a list with numbers
    while place < len(tokens):
        if last in {"", END_OF_LINE} and _is_entry(tokens, place, entries + 1):
            entries += 1
            span = (tokens[place].start, tokens[place + 1].end)
            yield Atom(LIST_NUMBER, span, text[slice(*span)])
            place, last = place + 2, LIST_NUMBER
            continue
        atom, behind = _at(text, tuple(tokens), place, known, near, fresh)
        if last == BOARD and tokens[place].plain == "one" and _goes_on(tokens, place):
            span = (tokens[place].start, tokens[place].end)  # the red one
            atom, behind = Atom(LITTLE, span, text[slice(*span)]), place + 1
        lead = tokens[place - 1].plain if place else ""
        place, last = behind, atom.kind
        if atom.kind == DAY and atom.day and not atom.day.wrong:
            atom, place = _with_until(
                text, tuple(tokens), atom, place, known, near, fresh, led=lead == "between"
            )
            if atom.day and atom.day.days:
                near = atom.day.days[0]
        yield atom
        fresh = atom.kind in {END_OF_LINE, STOP} or (fresh and atom.kind in {LITTLE, COMMA})


def _is_entry(tokens: Sequence[Token], place: int, number: int) -> bool:
    """Whether a number at the beginning of a line counts the entries of a list: 1. red strip 3"""
    row = tokens[place : place + 3]
    if len(row) < 3 or row[0].plain != str(number) or row[1].plain not in {".", ")"} or row[1].apart:
        return False
    return row[2].apart and row[2].kind == WORD


def _goes_on(tokens: Sequence[Token], place: int) -> bool:
    """Whether the one of the red one is no hour: words follow, or the stands before it."""
    behind = tokens[place + 1] if place + 1 < len(tokens) else None
    led = any(token.plain == "the" for token in tokens[max(place - 3, 0) : place])
    follows = (
        behind is not None
        and behind.kind in {WORD, NUMBER}
        and behind.plain not in {"hour", "h", "hr", "and"}
    )
    return led or follows


def _with_until(
    text: str,
    tokens: tuple[Token, ...],
    atom: Atom,
    place: int,
    known: Glossary,
    near: dt.date,
    fresh: bool,
    *,
    led: bool,
) -> tuple[Atom, int]:
    """Mon-Wed, Mon to Wed, Mon and Tue: a day with the last that it covers."""
    if place + 1 >= len(tokens):
        return atom, place
    if tokens[place].plain in _TO or (led and tokens[place].plain == "and"):  # between Mon and Wed
        last = day_at(tokens, place + 1, near, known.style, first=True)
        if last is None or last.whole_week or last.wrong:
            return atom, place
        span = (atom.span[0], tokens[last.end - 1].end)
        return Atom(DAY, span, text[slice(*span)], day=atom.day, until=last), last.end
    listed: list[FoundDay] = []
    while place + 1 < len(tokens):
        between = tokens[place]
        tight = between.plain in {"/", "+"} and not between.apart
        bare = fresh and between.kind == WORD and between.plain != "and"  # Mon Tue Wed
        if not (between.plain in {"and", "&"} or tight or bare or (between.plain == "," and fresh)):
            break
        also = day_at(tokens, place + (not bare), near, known.style, first=True)
        if also is None or also.whole_week or also.wrong:
            break
        listed.append(also)
        place = also.end
    if not listed:
        return atom, place
    span = (atom.span[0], tokens[place - 1].end)
    return Atom(DAY, span, text[slice(*span)], day=atom.day, listed=tuple(listed)), place


def _at(
    text: str, tokens: tuple[Token, ...], place: int, known: Glossary, near: dt.date, fresh: bool
) -> tuple[Atom, int]:
    """The atom that begins at a place, and the place behind it."""
    token = tokens[place]

    def made(kind: str, end: int, **more: object) -> tuple[Atom, int]:
        span = (token.start, tokens[end - 1].end)
        return Atom(kind, span, text[slice(*span)], **more), end  # type: ignore[arg-type]

    if token.kind == LINE_END:
        return made(END_OF_LINE, place + 1)
    if token.plain in {"(", "["} and (closed := _closed(tokens, place)):
        inner = tokens[place + 1 : closed - 1]
        if not _says_itself(text, inner, known, near):
            return made(REMARK, closed, note=True)
        return made(LITTLE, place + 1)
    if token.plain == "per" and [t.plain for t in tokens[place + 1 : place + 2]] == ["day"]:
        return made(QUERY, place + 2)
    options: list[tuple[int, int, tuple[Atom, int]]] = []  # end, rank, atom
    name = known.names.at(tokens, place)
    if name:
        rank = 5 if name.exact else 4 if name.end > place + 1 else 1
        options.append((name.end, rank, made(BOARD, name.end, boards=name)))
    like = place > 0 and tokens[place - 1].plain in _LIKE  # the same as yesterday
    if token.plain in {"today", "yesterday"} and not like:
        options.append((place + 1, 4, made(DAY, place + 1, shift=0 if token.plain == "today" else -1)))
    if token.plain == "this" and [
        t.plain for t in tokens[place + 1 : place + 2] if t.plain in _PARTS_OF_A_DAY
    ]:
        options.append((place + 2, 4, made(DAY, place + 2, shift=0, part_of_day=True)))
    if token.plain in _DITTO_MARKS and (ditto := _ditto_marks(tokens, place)):
        options.append((ditto, 4, made(DITTO, ditto, meaning=Meaning(DITTO))))
    if not like and (
        day := day_at(tokens, place, near, known.style, first=fresh and _more_figures(tokens, place))
    ):
        options.append((day.end, 4, made(DAY, day.end, day=day)))
    if phrase := known.vocabulary.at(tokens, place):
        meaning, end = phrase
        options.append((end, 2, made(meaning.of, end, meaning=meaning, note=meaning.kept)))
    if amount := amount_at(text, tokens, place, known):
        kind, end, more = amount
        options.append((end, 3, made(kind, end, **more)))
    if token.plain == "since" and place + 1 < len(tokens):
        since = day_at(tokens, place + 1, near, known.style, first=True)
        if since and not since.whole_week:
            options.append((since.end, 4, made(DAY, since.end, day=since, since=True)))
    if token.plain == "." and place and not token.apart and known.names.slip(tokens[place - 1].plain):
        return made(LITTLE, place + 1)  # tang. sand 3
    if options:
        return max(options, key=lambda option: option[:2])[2]
    return made(left_over(tokens, place), place + 1)


def _ditto_marks(tokens: Sequence[Token], place: int) -> int:
    """The place behind marks that say the same as above: Tue " 2, Tue -"- 2; 0 where they open or close words."""
    before = tokens[place - 1] if place else None
    if before is not None and before.kind in {WORD, NUMBER} and not tokens[place].apart:
        return 0
    at = place
    while at < len(tokens) and tokens[at].plain in _DITTO_MARKS:
        at += 1
    marked = any(token.plain == '"' for token in tokens[place:at])
    ends = at == len(tokens) or tokens[at].apart or tokens[at].kind == LINE_END
    return at if marked and ends else 0


def _closed(tokens: Sequence[Token], place: int) -> int:
    """The place behind the bracket that closes the one at a place, on the same line; 0 for none."""
    shut = {"(": ")", "[": "]"}[tokens[place].plain]
    depth = 0
    for at in range(place, len(tokens)):
        if tokens[at].kind == LINE_END:
            return 0
        depth += (tokens[at].plain == tokens[place].plain) - (tokens[at].plain == shut)
        if depth == 0:
            return at + 1
    return 0


def _says_itself(text: str, inner: Sequence[Token], known: Glossary, near: dt.date) -> bool:
    """Whether what stands in brackets is a board, a stage, a time, a day, done, or again, and no remark."""
    says = [atom.kind for atom in _atoms(text, inner, known, near) if atom.kind != LITTLE]
    if says and set(says) <= {BOARD, STAGE, TIME, DAY, DONE, AGAINST, COMMA}:
        return True
    return AGAINST in says or (says[:1] == [DONE] and (len(says) == 1 or says[1] == COMMA))


def _more_figures(tokens: Sequence[Token], place: int) -> bool:
    """Whether a time may still come on the line behind a figure that can be a day."""
    for token in tokens[place + 1 :]:
        if token.kind == LINE_END:
            return False
        if token.kind == NUMBER or token.plain in NUMBER_WORDS | {":"}:
            return True
    return place + 1 >= len(tokens) or tokens[place + 1].kind == LINE_END


def shifted(today: dt.date, days: int) -> dt.date:
    """The day so many days from today."""
    return today + days * A_DAY

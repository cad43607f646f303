"""A text in atoms: each piece taken for a board, a stage, a time, a day, a remark or a mark between."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from estimator.log.notebook.amounts import FoundDay, FoundSpan, FoundTime, clock_at, day_at, time_at
from estimator.log.notebook.mentions import BoardNames, Mention
from estimator.log.notebook.page import Span
from estimator.log.notebook.tokens import (
    LINE_END,
    MARK,
    NUMBER,
    NUMBER_WORDS,
    ORDINAL,
    WORD,
    Token,
    listed,
    tokens_of,
)
from estimator.log.notebook.vocabulary import (
    AGAINST,
    COUNTED,
    DAY_OFF,
    DITTO,
    DONE,
    MEASURES,
    NO_BOARD,
    PARTS,
    SMALL,
    STAGE,
    TO_COME,
    UNSURE_COUNTS,
    Meaning,
    Vocabulary,
)
from estimator.words.dates import A_DAY

BOARD, TIME, SPAN_OF_TIME, COUNT, DAY, REMARK, UNKNOWN, PART, LITTLE = (
    "board",
    "time",
    "span of time",
    "count",
    "day",
    "remark",
    "unknown",
    "part",
    "small",
)
COMMA, STOP, END_OF_LINE, COLON, QUERY = "comma", "stop", "end of line", "colon", "query"
SEPARATORS = frozenset({COMMA, STOP, END_OF_LINE, COLON})

_COMMAS = frozenset({",", "+", "&", "-"})
_MANIFOLD = listed("each apiece per every twice")  # 2 h each: of how many?
_HEDGES = listed("think maybe perhaps probably possibly guess reckon")  # 3 I think: not sure of the hours
_STOPS = frozenset({".", ";", "/", "|", "!"})
_SHORT_FORMS = listed(
    "col cols lam lams approx ca c hr hrs h min mins mon tue tues wed thu thur thurs fri sat sun pcs pc no st w bd nr"
)
_NUMBERED = listed("grit no number coat side layer step page size p nr # fin day x")  # coat 2
_MONEY = frozenset("£$€")
_TO = frozenset({"-", "to", "till", "until", "through", "thru"})


@dataclass(frozen=True, slots=True)
class Atom:
    """A piece of text and what it is taken for.

    meaning: of a phrase; of: the boards, the time, the day; number, noun: what is counted
    note: whether it is kept as a remark, whatever else it says; lead: whether a figure or a part of a board leads it
    """

    kind: str
    span: Span
    text: str
    meaning: Meaning | None = None
    boards: Mention | None = None
    time: FoundTime | None = None
    clock: FoundSpan | None = None
    day: FoundDay | None = None
    until: FoundDay | None = None
    since: bool = False
    shift: int | None = None  # days from today, where the text says today or yesterday
    number: float = 0.0
    noun: str = ""
    sure: bool = True
    note: bool = False


@dataclass(frozen=True, slots=True)
class Glossary:
    """All that the reader knows words by. style: how dates are written; hours_in_a_day: what a day is"""

    names: BoardNames
    vocabulary: Vocabulary
    style: str
    hours_in_a_day: float
    drivers: frozenset[str]


def atoms_of(text: str, known: Glossary, near: dt.date) -> tuple[Atom, ...]:
    """The atoms of a text, in order; near: a day by which years and months that are not written are chosen."""
    tokens = tokens_of(text)
    return tuple(_atoms(text, tokens, known, near))


def _atoms(text: str, tokens: Sequence[Token], known: Glossary, near: dt.date) -> Iterator[Atom]:
    """The atoms one by one."""
    place = 0
    last = ""  # kind of the atom before
    fresh = True  # at the beginning of a line
    while place < len(tokens):
        atom, behind = _at(text, tuple(tokens), place, known, near, fresh)
        if last == BOARD and tokens[place].plain == "one" and _goes_on(tokens, place):
            span = (tokens[place].start, tokens[place].end)  # the red one
            atom, behind = Atom(LITTLE, span, text[slice(*span)]), place + 1
        place, last = behind, atom.kind
        if atom.kind == DAY and atom.day and not atom.day.wrong:
            atom, place = _with_until(text, tuple(tokens), atom, place, known, near, fresh)
            if atom.day and atom.day.days:
                near = atom.day.days[0]
        yield atom
        fresh = atom.kind in {END_OF_LINE, STOP} or (fresh and atom.kind in {LITTLE, COMMA})


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
    text: str, tokens: tuple[Token, ...], atom: Atom, place: int, known: Glossary, near: dt.date, fresh: bool
) -> tuple[Atom, int]:
    """Mon-Wed, Mon to Wed, Mon and Tue: a day with the last that it covers."""
    if place + 1 >= len(tokens):
        return atom, place
    between = tokens[place]
    tight = between.plain in {"/", "+"} and not between.apart
    listed = between.plain == "," and fresh
    last = None
    if between.plain in _TO or between.plain in {"and", "&"} or tight or listed:
        last = day_at(tokens, place + 1, near, known.style, first=True)
    if last is not None and not last.whole_week and not last.wrong:
        span = (atom.span[0], tokens[last.end - 1].end)
        return Atom(DAY, span, text[slice(*span)], day=atom.day, until=last), last.end
    return atom, place


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
        if not _says_itself(inner, known):
            return made(REMARK, closed, note=True)
        return made(LITTLE, place + 1)
    options: list[tuple[int, int, tuple[Atom, int]]] = []  # end, rank, atom
    name = known.names.at(tokens, place)
    if name:
        rank = 5 if name.exact else 4 if name.end > place + 1 else 1
        options.append((name.end, rank, made(BOARD, name.end, boards=name)))
    if token.plain in {"today", "yesterday"}:
        options.append((place + 1, 4, made(DAY, place + 1, shift=0 if token.plain == "today" else -1)))
    if day := day_at(tokens, place, near, known.style, first=fresh and _more_figures(tokens, place)):
        options.append((day.end, 4, made(DAY, day.end, day=day)))
    if phrase := known.vocabulary.at(tokens, place):
        meaning, end = phrase
        options.append((end, 2, made(meaning.of, end, meaning=meaning, note=meaning.kept)))
    if amount := _amount(text, tokens, place, known):
        kind, end, more = amount
        options.append((end, 3, made(kind, end, **more)))
    if token.plain == "since" and place + 1 < len(tokens):
        since = day_at(tokens, place + 1, near, known.style, first=True)
        if since and not since.whole_week:
            options.append((since.end, 4, made(DAY, since.end, day=since, since=True)))
    if options:
        return max(options, key=lambda option: option[:2])[2]
    return made(_left(tokens, place), place + 1)


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


def _says_itself(inner: Sequence[Token], known: Glossary) -> bool:
    """Whether what stands in brackets is a board, a stage, a time, done, or again, and no remark."""
    inside = tuple(inner)
    if not inside:
        return False
    time = time_at(inside, 0, known.hours_in_a_day)
    if time and time.end == len(inside):
        return True
    name = known.names.at(inside, 0)
    if name and name.end == len(inside):
        return True
    phrase = known.vocabulary.at(inside, 0)
    return bool(phrase and phrase[1] == len(inside) and phrase[0].of in {DONE, AGAINST, STAGE})


def _more_figures(tokens: Sequence[Token], place: int) -> bool:
    """Whether a time may still come on the line behind a figure that can be a day."""
    for token in tokens[place + 1 :]:
        if token.kind == LINE_END:
            return False
        if token.kind == NUMBER or token.plain in NUMBER_WORDS | {":"}:
            return True
    return place + 1 >= len(tokens) or tokens[place + 1].kind == LINE_END


def _amount(
    text: str, tokens: tuple[Token, ...], place: int, known: Glossary
) -> tuple[str, int, dict[str, object]] | None:
    """A time, a span of time, or what is counted: 4½, 2-4pm, 3 pcs, coat 2."""
    token = tokens[place]
    at = place + 1
    if token.plain in {"no", "nr"} and at + 1 < len(tokens) and tokens[at].plain == ".":
        at += 1
    if token.plain in _MONEY and at < len(tokens) and (price := time_at(tokens, at, known.hours_in_a_day)):
        return COUNT, price.end, {"number": 0.0, "note": True}
    if token.plain in _NUMBERED and at < len(tokens) and tokens[at].kind == NUMBER:
        after = time_at(tokens, at, known.hours_in_a_day)
        if after and after.bare:
            sure = token.plain not in {"coat", "side", "layer", "fin", "day", "no"}
            return COUNT, after.end, {"number": after.time.hours, "note": True, "sure": sure}
    if clock := clock_at(tokens, place, text):
        spaced = any(t.apart for t in tokens[place + 1 : clock.end] if t.kind != WORD)
        if clock.hours is not None or not spaced:
            return SPAN_OF_TIME, clock.end, {"clock": clock}
    time = time_at(tokens, place, known.hours_in_a_day)
    if not time:
        return None
    behind = tokens[time.end] if time.end < len(tokens) else None
    part = time.end == place + 1 and token.kind == WORD and time.text in {"1/2", "1/4"}
    if part and behind is not None and behind.kind not in {MARK, LINE_END}:
        return None  # half the deck
    figure = time.text.replace(".", "").replace(",", "").isdecimal()
    if figure and behind is not None and behind.plain in MEASURES:
        return COUNT, time.end + 1, {"number": time.time.hours, "note": True}
    one = (
        time.time.hours == 1 or behind is None or behind.plain.endswith("s") or behind.plain in UNSURE_COUNTS
    )
    if time.bare and behind is not None and behind.plain in COUNTED and one:
        ended = time.end + 1
        noun = behind.plain
        sure = noun not in UNSURE_COUNTS or time.time.hours == 1
        says = known.vocabulary.phrases.get((noun,))
        meaning = says if says and says.of == STAGE else None
        more: dict[str, object] = {"noun": COUNTED[noun], "sure": sure, "meaning": meaning}
        return COUNT, ended, {"number": time.time.hours, "note": True, **more}
    spoken = token.kind == WORD and behind is not None and behind.kind == WORD
    if (
        time.bare
        and spoken
        and _left(tokens, time.end) in {UNKNOWN, PART}
        and not _known(tokens, time.end, known)
    ):
        return COUNT, time.end, {"number": time.time.hours, "note": True, "sure": False}
    if time.bare and behind is not None and behind.kind == WORD and _things(behind, tokens, time.end, known):
        return COUNT, time.end, {"number": time.time.hours, "note": True, "sure": False}
    return TIME, time.end, {"time": time}


def _known(tokens: tuple[Token, ...], place: int, known: Glossary) -> bool:
    """Whether a phrase or a name begins at a place."""
    return bool(known.vocabulary.at(tokens, place) or known.names.at(tokens, place))


def _hedges(tokens: Sequence[Token], place: int) -> bool:
    """Whether a word of doubt is about a number: maybe 4, or 3 I think at the end of a clause."""
    behind = tokens[place + 1] if place + 1 < len(tokens) else None
    if behind is not None and (behind.kind == NUMBER or behind.plain in NUMBER_WORDS):
        return True
    before = [
        token
        for token in tokens[max(place - 3, 0) : place]
        if token.plain not in {"i", "h", "hr", "hrs", "hours", ","}
    ]
    ends = behind is None or behind.kind in {MARK, LINE_END}
    return ends and bool(before) and (before[-1].kind == NUMBER or before[-1].plain in NUMBER_WORDS)


def _things(word: Token, tokens: tuple[Token, ...], place: int, known: Glossary) -> bool:
    """Whether a word that nobody knows may be what a figure before it counts: 3 bubbles."""
    if word.plain in SMALL | PARTS or known.vocabulary.at(tokens, place) or known.names.at(tokens, place):
        return word.plain in {"sides", "rails", "coats", "edges", "pieces", "pcs"}
    return word.plain.endswith("s") and not word.plain.endswith(("ss", "us", "is", "ous"))


def _left(tokens: Sequence[Token], place: int) -> str:
    """What a token is that says none of all this."""
    token = tokens[place]
    if token.kind == WORD:
        if token.plain in _MANIFOLD:
            return QUERY
        if token.plain in _HEDGES and _hedges(tokens, place):
            return QUERY
        if token.plain in {"and", "then"}:
            return COMMA
        return LITTLE if token.plain in SMALL else PART if token.plain in PARTS else UNKNOWN
    if token.kind == ORDINAL:
        return PART
    if token.kind == NUMBER:
        return UNKNOWN
    if token.plain == "?":
        return QUERY
    if token.plain in {":", "="}:
        return COLON
    if token.plain in _COMMAS:
        within = token.plain == "-" and not token.apart and place and tokens[place - 1].kind != LINE_END
        return LITTLE if within else COMMA
    if token.plain in _STOPS:
        before = tokens[place - 1] if place else None
        short = token.plain == "." and before is not None and before.plain in _SHORT_FORMS and not token.apart
        return LITTLE if short else STOP
    return LITTLE


def shifted(today: dt.date, days: int) -> dt.date:
    """The day so many days from today."""
    return today + days * A_DAY


OF_STAGE, OF_AGAIN, OF_DONE, OF_AWAY, OF_SHOP, OF_DITTO, OF_TO_COME = (
    STAGE,
    AGAINST,
    DONE,
    DAY_OFF,
    NO_BOARD,
    DITTO,
    TO_COME,
)

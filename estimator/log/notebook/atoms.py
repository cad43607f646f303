"""A text in atoms: each piece taken for a board, a stage, a time, a day, a remark or a mark between."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

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
    BY_GRIT,
    COUNTED,
    DAY_OFF,
    DITTO,
    DONE,
    GRITS,
    MEASURES,
    NO_BOARD,
    PARTS,
    SMALL,
    STAGE,
    STATE,
    TO_COME,
    UNSURE_COUNTS,
    Meaning,
    Vocabulary,
)
from estimator.words.dates import A_DAY
from estimator.words.worked_time import WorkedTime

BOARD, TIME, SPAN_OF_TIME, COUNT, DAY, REMARK, UNKNOWN, PART, LITTLE, LIST_NUMBER = (
    "board",
    "time",
    "span of time",
    "count",
    "day",
    "remark",
    "unknown",
    "part",
    "small",
    "number of a list",
)
COMMA, STOP, END_OF_LINE, COLON, QUERY = "comma", "stop", "end of line", "colon", "query"
SEPARATORS = frozenset({COMMA, STOP, END_OF_LINE, COLON})

_COMMAS = frozenset({",", "+", "&", "-"})
_MANIFOLD = listed("each apiece per every twice lots times x")  # 2 h each: of how many?
_HEDGES = listed(
    "think maybe perhaps probably possibly guess reckon sure unsure than least"
)  # 3 I think: not sure of the hours
_STOPS = frozenset({".", ";", "/", "|", "!"})
_SHORT_FORMS = listed(
    "col cols lam lams approx ca c hr hrs h min mins mon tue tues wed thu thur thurs fri sat sun pcs pc no st w bd nr"
)
_ORDINALS = listed("first second third fourth fifth last other far near")
_OF_WHICH = listed("of incl including")
_NUMBERED = listed("grit no number coat side layer step page size p nr # fin day x")  # coat 2
_MONEY = frozenset({*"£$€", "paid", "cost", "costs", "price"})
_MOST_TIMES = 12  # that nobody counts beyond
_SO_MANY = listed("few several some many")
_DITTO_MARKS = frozenset('"-')
_LIKE = listed("as than like")
_PARTS_OF_A_DAY = listed("morning afternoon evening")
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
    listed: tuple[FoundDay, ...] = ()  # days behind the first, named one by one
    since: bool = False
    shift: int | None = None  # days from today, where the text says today or yesterday
    part_of_day: bool = False  # this morning: today, or the day of the box
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
    if amount := _amount(text, tokens, place, known):
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
    return made(_left(tokens, place), place + 1)


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
    if token.kind == NUMBER and (counted := _so_many_of(tokens, place)):
        return COUNT, counted, {"number": 0.0, "note": True}
    if token.kind == NUMBER and (times := _so_many_times(tokens, place, known)):
        return times
    if token.plain in _OF_WHICH and (part := _part_of_the_time(tokens, place, known)):
        return COUNT, part, {"number": 0.0, "note": True}
    first_of = place > 0 and (tokens[place - 1].kind == ORDINAL or tokens[place - 1].plain in _ORDINALS)
    if token.plain in _NUMBERED and at < len(tokens) and tokens[at].kind == NUMBER and not first_of:
        after = time_at(tokens, at, known.hours_in_a_day)
        if after and after.bare:
            sure = token.plain not in {"coat", "side", "layer", "fin", "day", "no"}
            paper = BY_GRIT if token.plain == "grit" else None
            return (
                COUNT,
                after.end,
                {"number": after.time.hours, "note": True, "sure": sure, "meaning": paper},
            )
    if clock := clock_at(tokens, place, text):
        inner = tokens[place + 1 : clock.end]
        spaced = any(t.joins and (t.apart or after.apart) for t, after in pairwise(inner))
        if clock.hours is not None or not spaced:
            return SPAN_OF_TIME, clock.end, {"clock": clock}
    time = time_at(tokens, place, known.hours_in_a_day)
    if not time:
        return None
    if token.kind == NUMBER and token.text.startswith(","):
        return COUNT, time.end, {"number": time.time.hours, "note": True, "sure": False}  # ,5 or , 5
    behind = tokens[time.end] if time.end < len(tokens) else None
    if token.plain in GRITS and time.end == place + 2 and tokens[place + 1].kind == NUMBER:
        return COUNT, place + 1, {"number": float(token.plain), "note": True, "meaning": BY_GRIT}  # 220 ¾
    part = time.end == place + 1 and token.kind == WORD and time.text in {"1/2", "1/4"}
    if part and behind is not None and behind.kind not in {MARK, LINE_END}:
        return None  # half the deck
    figure = time.text.replace(".", "").replace(",", "").isdecimal()
    inches = behind is not None and behind.plain == '"' and not behind.apart  # 4" from the tail
    if figure and behind is not None and (behind.plain in MEASURES or inches):
        paper = BY_GRIT if behind.plain == "grit" else None
        return COUNT, time.end + 1, {"number": time.time.hours, "note": True, "meaning": paper}
    if time.bare and time.time.hours > 1 and _several_of_a_stage(tokens, time.end, known):
        return COUNT, time.end, {"number": time.time.hours, "note": True, "sure": False}
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


def _part_of_the_time(tokens: tuple[Token, ...], place: int, known: Glossary) -> int:
    """The place behind what says of how much of the hours it was: of which 1 on the rails; 0 where it doesn't."""
    words = [token.plain for token in tokens[place : place + 2]]
    at = place + (2 if words == ["of", "which"] else 1 if words[0] in {"incl", "including"} else 0)
    at += at < len(tokens) and at > place and tokens[at].plain == "."
    if at == place or at >= len(tokens) or not time_at(tokens, at, known.hours_in_a_day):
        return 0
    while (
        at < len(tokens)
        and tokens[at].kind != LINE_END
        and not (tokens[at].kind == MARK and tokens[at].plain in _STOPS | _COMMAS | {"(", ")"})
    ):
        at += 1
    return at


def _so_many_of(tokens: Sequence[Token], place: int) -> int:
    """The place behind one of several that are counted: 3 of 5; 0 where it is none."""
    row = tokens[place : place + 3]
    whole = len(row) == 3 and row[1].plain == "of" and row[0].plain.isdecimal() and row[2].plain.isdecimal()
    return place + 3 if whole else 0


def _so_many_times(
    tokens: tuple[Token, ...], place: int, known: Glossary
) -> tuple[str, int, dict[str, object]] | None:
    """A time that stands so many times, 2 x 45 min, or things that do: 2x fin boxes; None where it is neither."""
    many, at = tokens[place].plain, place + 2
    if at >= len(tokens) or tokens[place + 1].plain not in {"x", "×"} or not many.isdecimal():
        return None
    if not 1 < int(many) <= _MOST_TIMES:
        return None
    if (one := time_at(tokens, at, known.hours_in_a_day)) and not one.bare and not one.time.grain:
        hours = int(many) * one.time.hours
        time = FoundTime(WorkedTime(hours, about=one.time.about), f"{hours:g} h", False, one.end)
        return TIME, one.end, {"time": time}
    if tokens[at].kind == WORD:
        return COUNT, at, {"number": float(many), "note": True}
    return None


def _several_of_a_stage(tokens: tuple[Token, ...], place: int, known: Glossary) -> bool:
    """Whether what is counted is named by a stage's words: 2 gloss coats, 3 fin boxes."""
    phrase = known.vocabulary.at(tokens, place)
    if phrase is None or phrase[0].of != STAGE or phrase[1] < place + 2:
        return False
    last = tokens[phrase[1] - 1].plain
    return last in COUNTED and last.endswith("s")


def _known(tokens: tuple[Token, ...], place: int, known: Glossary) -> bool:
    """Whether a phrase or a name begins at a place."""
    return bool(known.vocabulary.at(tokens, place) or known.names.at(tokens, place))


def _hedges(tokens: Sequence[Token], place: int) -> bool:
    """Whether a word of doubt is about a number: maybe 4, or 3 I think at the end of a clause."""
    behind = tokens[place + 1] if place + 1 < len(tokens) else None
    if tokens[place].plain == "sure" and (not place or tokens[place - 1].plain != "not"):
        return False
    counted = NUMBER_WORDS | (
        {"a", "an", "half"} if tokens[place].plain in {"than", "least"} else frozenset()
    )
    if behind is not None and (behind.kind == NUMBER or behind.plain in counted):
        return True
    if tokens[place].plain in {"than", "least"}:
        return False
    before = [
        token
        for token in tokens[max(place - 3, 0) : place]
        if token.plain not in {"i", "h", "hr", "hrs", "hours", ",", "not"}
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
        if token.plain in {"hours", "hrs"} and place and tokens[place - 1].plain in _SO_MANY:
            return QUERY  # a few hours glossing
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


OF_STAGE, OF_AGAIN, OF_DONE, OF_AWAY, OF_SHOP, OF_DITTO, OF_TO_COME, OF_STATE = (
    STAGE,
    AGAINST,
    DONE,
    DAY_OFF,
    NO_BOARD,
    DITTO,
    TO_COME,
    STATE,
)

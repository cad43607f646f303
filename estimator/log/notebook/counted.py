"""What a figure in a text counts: hours, a span of them, pieces, or nothing of these; and what is left over."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from estimator.log.notebook.amounts import FoundTime, clock_at, time_at
from estimator.log.notebook.atom import (
    COLON,
    COMMA,
    COUNT,
    LITTLE,
    PART,
    QUERY,
    SPAN_OF_TIME,
    STOP,
    TIME,
    UNKNOWN,
    Glossary,
)
from estimator.log.notebook.tokens import (
    LINE_END,
    MARK,
    NUMBER,
    NUMBER_WORDS,
    ORDINAL,
    WORD,
    Token,
    listed,
)
from estimator.log.notebook.vocabulary import (
    BY_GRIT,
    COUNTED,
    GRITS,
    MEASURES,
    PARTS,
    SMALL,
    STAGE,
    UNSURE_COUNTS,
)
from estimator.words.worked_time import WorkedTime

_COMMAS = frozenset({",", "+", "&", "-"})
_MANIFOLD = listed("each apiece daily per every twice lots times x")  # 2 h each: of how many?
_HEDGES = listed(
    "think maybe perhaps probably possibly guess reckon sure unsure than least"
)  # 3 I think: not sure of the hours
_STOPS = frozenset({".", ";", "/", "|", "!"})
_SHORT_FORMS = listed(
    "col cols lam lams approx ca c hr hrs h min mins mon tue tues wed thu thur thurs fri sat sun pcs pc no st w bd nr"
)
_ORDINALS = listed("first second third fourth fifth last other far near")  # side
_OF_WHICH = listed("of incl including")
_NUMBERED = listed("grit no number coat side layer step page size p nr # fin day x")  # coat 2
_MONEY = frozenset({*"£$€", "paid", "cost", "costs", "price"})
_MOST_TIMES = 12  # that nobody counts beyond
_SO_MANY = listed("few several some many")


def amount_at(
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
    if token.plain in GRITS and behind is not None and behind.plain == "paper":
        return COUNT, time.end + 1, {"number": float(token.plain), "note": True, "meaning": BY_GRIT}
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
        and left_over(tokens, time.end) in {UNKNOWN, PART}
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
        for token in tokens[max(place - 4, 0) : place]
        if token.plain not in {"i", "h", "hr", "hrs", "hours", ",", "not"}
    ]
    ends = behind is None or behind.kind in {MARK, LINE_END}
    return ends and bool(before) and (before[-1].kind == NUMBER or before[-1].plain in NUMBER_WORDS)


def _things(word: Token, tokens: tuple[Token, ...], place: int, known: Glossary) -> bool:
    """Whether a word that nobody knows may be what a figure before it counts: 3 bubbles."""
    if word.plain in SMALL | PARTS or known.vocabulary.at(tokens, place) or known.names.at(tokens, place):
        return word.plain in {"sides", "rails", "coats", "edges", "pieces", "pcs"}
    return word.plain.endswith("s") and not word.plain.endswith(("ss", "us", "is", "ous"))


def left_over(tokens: Sequence[Token], place: int) -> str:
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

"""Lines of a notebook that are of no hours: what was found, weighed, told, paid, ordered, or is waited for."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterator, Sequence
from itertools import pairwise

from estimator.log.notebook.atom import (
    BOARD,
    COUNT,
    DAY,
    LITTLE,
    OF_AGAIN,
    OF_AWAY,
    OF_DITTO,
    OF_DONE,
    OF_SHOP,
    OF_STAGE,
    OF_STATE,
    OF_TO_COME,
    QUERY,
    REMARK,
    SEPARATORS,
    SPAN_OF_TIME,
    TIME,
    UNKNOWN,
    Atom,
)
from estimator.log.notebook.page import NoteLine
from estimator.log.notebook.tokens import listed
from estimator.log.notebook.vocabulary import DOINGS, VERB_ENDINGS
from estimator.words.records import SHOP

# words behind which a stage is what is spoken of, not what was done; common practice, no source
_SPEAKS = listed(
    "told texted emailed messaged wrote showed sent promised quoted says said thinks happy waiting wait awaiting await "
    "paid deposit dep collected collects collecting collect coming picking ordered arrived delivered posted enquiry "
    "looks looking seems measured measures leave leaving mix mixed ready too"
)
# what is found, and how the weather was
_FINDS = listed(
    "water soft soggy damp rot rotten delam delaminated crack cracks cracked crease creased snapped dent dents hole "
    "holes mould mouldy rust rusty bubbles brittle waterlogged yellowed sound resting tacky rain rained raining humid "
    "humidity frost fog windy cold hot brown twist wide"
)
_UNITS = listed("kg g lb lbs oz ml l litres mm cm inch inches ft feet % degrees deg °")
_PLACED = listed(
    "no without in at near by round around under behind along beside over above below from for of on to the a an"
)
_PUTS_RIGHT = listed("cross crossed scrap scrapped strike wrong mistake delete instead actually meant")
_NEVER = frozenset({TIME, SPAN_OF_TIME, QUERY, OF_DITTO, OF_DONE, OF_AGAIN, OF_AWAY, REMARK})


def is_of_no_hours(atoms: Sequence[Atom]) -> bool:
    """Whether words say something that takes no hours, and no work whose hours may have been forgotten.

    Sure only where they speak of something: told, waiting for, 6.4 kg, water in the nose. Work that stands there as
    something done, gun stripped, soft at the tail, is not.
    """
    says = [atom for atom in atoms if atom.kind not in SEPARATORS]
    beside = {id(one) for pair in pairwise(atoms) for one in _things(*pair)}
    if any(atom.text.casefold() in _PUTS_RIGHT for atom in says):
        return False
    if any(atom.kind in _NEVER and not _no_time(says, at) for at, atom in enumerate(says)):
        return False
    spoken = next((at for at, atom in enumerate(says) if _speaks(atom) or _runs_out(says, at)), len(says))
    found = any(_finds(atom) for atom in says)
    if spoken == len(says) and not found:
        return False
    work = any(
        (atom.kind == OF_STAGE and not (id(atom) in beside or _is_place(says, at) or _is_subject(says, at)))
        or (atom.kind == OF_SHOP and not _speaks(atom))
        or _is_work(atom)
        for at, atom in enumerate(says[:spoken])
    )
    return not work and not any(_begins_work(*pair, beside) for pair in pairwise(_without_little(atoms)))


def _without_little(atoms: Sequence[Atom]) -> list[Atom]:
    """Atoms that say something, and the marks between them."""
    return [atom for atom in atoms if atom.kind != LITTLE]


def _begins_work(before: Atom, atom: Atom, beside: set[int]) -> bool:
    """Whether a clause begins with work: told the owner, sanded the tail."""
    if before.kind not in SEPARATORS:
        return False
    if atom.kind != OF_STAGE:
        return _is_work(atom)
    dries = atom.meaning is not None and atom.meaning.value == ("drying",)
    return not dries and id(atom) not in beside and _words(atom)[-1] not in _NOUNS


def _words(atom: Atom) -> list[str]:
    return atom.text.casefold().split()


def _speaks(atom: Atom) -> bool:
    """Whether something is spoken of, ordered or to come."""
    if atom.kind == OF_TO_COME:
        return True
    return atom.kind in {UNKNOWN, LITTLE, OF_SHOP, COUNT} and _words(atom)[0] in _SPEAKS


def _runs_out(says: Sequence[Atom], at: int) -> bool:
    """Whether something is used up: out of acetone, low on cloth."""
    return [atom.text.casefold() for atom in says[at : at + 2]] in (["out", "of"], ["low", "on"])


def _finds(atom: Atom) -> bool:
    """Whether something was found, weighed or measured."""
    if atom.kind == COUNT:
        return _unit(atom) in _UNITS
    return atom.kind == OF_STATE or (atom.kind == UNKNOWN and _words(atom)[0] in _FINDS)


def _is_place(says: Sequence[Atom], at: int) -> bool:
    """Whether a stage's word says where: round the fin box, in the stringer."""
    before = says[at - 1] if at else None
    return before is not None and (before.kind == COUNT or before.text.casefold() in _PLACED)


def _things(first: Atom, second: Atom) -> Iterator[Atom]:
    """Of two pieces side by side the one that names a thing of which the other speaks: fin box cracked."""
    for thing, other in ((first, second), (second, first)):
        if thing.kind == OF_STAGE and _words(thing)[-1] in _NOUNS and (_finds(other) or _speaks(other)):
            yield thing


_NOUNS = listed(
    "fin fins finbox box boxes foam resin patch stringer glass block tape lap laps paint logo logos"
)


def _is_subject(says: Sequence[Atom], at: int) -> bool:
    """Whether a stage's word is what is spoken of: stringer looks sound; drying, leave it; weighed 6.4 kg."""
    stage, behind = says[at], says[at + 1 :]
    word = stage.text.casefold()
    if stage.meaning is not None and stage.meaning.value == ("drying",):
        rests = word == "drying" and any(atom.text.casefold() in _STAYS for atom in behind)
        weight = next((n for n, one in enumerate(behind) if one.kind == COUNT and _unit(one) in _WEIGHTS), -1)
        return rests or (weight >= 0 and all(one.kind in {BOARD, LITTLE} for one in behind[:weight]))
    return not word.endswith(VERB_ENDINGS) and bool(behind) and behind[0].text.casefold() in _IS


def _unit(atom: Atom) -> str:
    """What a figure is counted in."""
    text = _words(atom)[-1]
    return "inch" if text.endswith('"') else text.lstrip("0123456789.,½¼¾'’")


def _no_time(says: Sequence[Atom], at: int) -> bool:
    """Whether a figure, or a word for a day off, is none beside these words: 6.4 kg, was 6.6; coming Sat 10.30."""
    atom, before = says[at], says[:at]
    if atom.kind == OF_AWAY:
        waits = any(_words(one)[0] in {"waiting", "wait"} for one in before)
        return waits or (_words(atom)[0] == "no" and any(one.kind == BOARD for one in says))
    if atom.kind == OF_AGAIN:
        return any(_speaks(one) for one in before)  # waiting for the owner
    if atom.kind != TIME:
        return False
    last = before[-1] if before else None
    if last is not None and (last.kind == DAY or last.text.casefold() == "at"):
        return bool(_OF_THE_CLOCK.fullmatch(atom.text)) and any(_words(one)[0] in _COMES for one in before)
    weighed = next((n for n in range(at - 1, -1, -1) if says[n].kind == COUNT), -1)
    between = says[weighed + 1 : at]
    return (
        weighed >= 0
        and _unit(says[weighed]) in _WEIGHTS
        and bool(between)
        and all(one.text.casefold() in _FROM for one in between)
    )


_WEIGHTS = listed("kg g lb lbs oz")
_FROM = listed("was from down up not now last")
_COMES = listed("coming collect collecting collects picking calling")
_OF_THE_CLOCK = re.compile(r"[0-9]{1,2}[.:][0-9]{2}")
_STAYS = listed("leave till until still")
_IS = listed("looks looking seems is was feels")


_SHORT = 4  # letters of shed, red and bed, which are no verbs


def _is_work(atom: Atom) -> bool:
    """Whether a word that nobody knows may be something that was done, whose hours were forgotten."""
    word = atom.text.casefold()
    does = word in DOINGS or (word.endswith(VERB_ENDINGS) and len(word) > _SHORT)
    return atom.kind == UNKNOWN and does and word not in _FINDS | _SPEAKS


def board_named(atoms: Sequence[Atom]) -> Atom | None:
    """The first board that words name for sure."""
    named = (atom for atom in atoms if atom.kind == BOARD and atom.boards and len(atom.boards.boards) == 1)
    return next(named, None)


def note_of(atoms: Sequence[Atom], text: str, day: dt.date, above: Atom | None) -> NoteLine:
    """The note that keeps words as they were typed, on the board that they name.

    above: the board that stands above
    """
    named = board_named(atoms) or above
    on = named.boards.boards if named and named.boards else ()
    span = (atoms[0].span[0], atoms[-1].span[1])
    words = " ".join(text[slice(*span)].split())
    return NoteLine(on[0] if len(on) == 1 else SHOP, day, words, span)


def leading_day(atoms: Sequence[Atom]) -> Atom | None:
    """The day that a line begins with; one that stands further on is spoken of."""
    first = next((atom for atom in atoms if atom.kind not in SEPARATORS | {LITTLE}), None)
    return first if first is not None and first.kind == DAY else None

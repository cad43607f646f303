"""What a writer puts right while writing: 3, no, 4; 3 not 4; 2 + 1½; 4 less ½ for lunch."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

from estimator.log.notebook.amounts import FoundTime
from estimator.log.notebook.atom import (
    COUNT,
    LITTLE,
    OF_AWAY,
    OF_STAGE,
    PART,
    QUERY,
    SEPARATORS,
    TIME,
    UNKNOWN,
    Atom,
)
from estimator.log.notebook.tokens import listed
from estimator.log.notebook.vocabulary import BY_GRIT, GRITS
from estimator.words.worked_time import WorkedTime

STRUCK = "struck out"  # kind of an atom that another one takes the place of

_INSTEAD = re.compile(
    r"(?:(?:no|nope|sorry|oops|er|wait|actually|i mean|i meant|make (?:that|it)|or rather|rather|correction|"
    r"scratch that|strike that|should be|should read)(?: |$))+"
)
_TAKEN_BACK = re.compile(
    r"\b(?:make (?:that|it)|scratch (?:that|this)|strike (?:that|this)|ignore (?:that|this)|i mean|i meant|"
    r"or rather|correction|oops|sorry)\b|\bnot [0-9½¼¾.,/ ]+ (?:as|like)\b",
    re.IGNORECASE,
)
_NO_FIGURE = re.compile(r"no [0-9.,]+", re.IGNORECASE)
_A_DAYS_WORK = 14  # hours
_BECAUSE = listed("because cos though although but which where")
_PLUS = frozenset({"+", "plus", "and another", "then another", "plus another", "another"})
_MINUS = listed("minus less")
_LATER = listed("after before later in this")
_SANDED = frozenset({"sand", "polish", "reshape", "filler", "gloss"})
_COUNTED_STAGES = listed(
    "col cols colour colours color colors logo logos fin fins pinline pinlines infill infills in"
)


def put_right(atoms: Sequence[Atom], text: str) -> tuple[Atom, ...]:
    """The atoms of a line, in which of two times that stand for one the right one is left."""
    row = list(atoms)
    at = 0
    while at < len(row):
        row[at : at + 3] = _no_number(row[at : at + 3])
        then = next((to for to in range(at + 1, len(row)) if row[to].kind == TIME), 0)
        if row[at].kind != TIME or not then or any(a.time or a.boards or a.day for a in row[at + 1 : then]):
            at += 1
            continue
        first, second = row[at], row[then]
        words = " ".join(re.findall(r"[^\W\d_]+|\+", text[first.span[1] : second.span[0]].casefold()))
        between = row[at + 1 : then]
        if _INSTEAD.fullmatch(words):
            row[at:then] = [replace(one, kind=STRUCK) for one in row[at:then]]
        elif words == "not":
            row[at + 1 : then + 1] = [replace(one, kind=STRUCK) for one in row[at + 1 : then + 1]]
        elif (
            words in _PLUS | _MINUS
            and _ends(row[then + 1 :], words)
            and (summed := _summed(first, second, words))
        ):
            span = (first.span[0], second.span[1])
            row[at : then + 1] = [Atom(TIME, span, text[slice(*span)], time=summed)]
            continue
        elif not between and second.text.casefold() == "a day":
            row[then] = replace(second, kind=QUERY)  # 3 a day: of each of several
        elif not between and _counts(row[:at], first, second):
            row[at] = _counted(first)
        elif {one.kind for one in between} <= {UNKNOWN, LITTLE} and _names_paper(first):
            row[at] = replace(_counted(first), meaning=BY_GRIT)
        at += 1
    return tuple(row)


def _no_number(atoms: Sequence[Atom]) -> list[Atom]:
    """A time, and behind it no and a figure, which is no number of anything there: 4, no 5."""
    found = list(atoms)
    marks = [atom.kind for atom in atoms[1:-1]]
    if len(atoms) < 2 or atoms[0].kind != TIME or any(kind not in SEPARATORS for kind in marks):
        return found
    last = atoms[-1]
    if last.kind == COUNT and _NO_FIGURE.fullmatch(last.text) and 0 < last.number <= _A_DAYS_WORK:
        time = FoundTime(WorkedTime(last.number), f"{last.number:g}", True, 0)
        return [
            *(replace(one, kind=STRUCK) for one in atoms[:-1]),
            replace(last, kind=TIME, time=time, note=False),
        ]
    return found


def as_reasons(atoms: Sequence[Atom]) -> tuple[Atom, ...]:
    """Atoms in which what stands behind because, though and the like is a remark, where no time is in it."""
    row = list(atoms)
    for at, atom in enumerate(row):
        if atom.text.casefold() not in _BECAUSE or not any(one.kind == TIME for one in row[:at]):
            continue
        clause = _clause(row[at:])
        if not any(one.time or one.clock or one.day for one in clause):
            row[at : at + len(clause)] = [one if one.kind == LITTLE else one.as_remark() for one in clause]
    return tuple(row)


def takes_back(atoms: Sequence[Atom], text: str) -> bool:
    """Whether words take back what stands before them, and it is not known what."""
    said = " ".join(text[slice(*atom.span)] for atom in atoms if atom.kind != STRUCK)
    return bool(_TAKEN_BACK.search(said))


def _counted(atom: Atom) -> Atom:
    """A figure that is no time but counts something."""
    return replace(atom, kind=COUNT, number=atom.time.time.hours if atom.time else 0.0, note=True)


def _names_paper(atom: Atom) -> bool:
    """Whether a bare figure is a grit, longer than any day: 220 ¾."""
    return bool(atom.time and atom.time.bare and atom.time.time.hours > _A_DAYS_WORK and atom.text in GRITS)


def _ends(behind: Sequence[Atom], sign: str) -> bool:
    """Whether the second of two times belongs to no other work: it ends there, or the words say what was taken off."""
    kind = behind[0].kind if behind else ""
    clause = _clause(behind)
    if sign in _MINUS:
        return not any(atom.kind == OF_STAGE or atom.boards for atom in clause)
    if kind in {PART, LITTLE} and behind[0].text.casefold() in _LATER:
        return {atom.kind for atom in clause} <= {PART, LITTLE, UNKNOWN}  # 1 after tea
    return kind in SEPARATORS | {"", "done", OF_AWAY}


def _clause(atoms: Sequence[Atom]) -> Sequence[Atom]:
    """Atoms up to a mark."""
    return atoms[: next((at for at, atom in enumerate(atoms) if atom.kind in SEPARATORS), len(atoms))]


def _summed(first: Atom, second: Atom, sign: str) -> FoundTime | None:
    """One time for two; None where a day's grain is in them, or less than nothing would be left."""
    assert first.time
    assert second.time
    one, other = first.time.time, second.time.time
    hours = one.hours - other.hours if sign in _MINUS else one.hours + other.hours
    if one.grain or other.grain or hours <= 0:
        return None
    return FoundTime(WorkedTime(hours, about=one.about or other.about), f"{hours:g}", False, second.time.end)


def _counts(before: Sequence[Atom], first: Atom, second: Atom) -> bool:
    """Whether the first of two figures counts or names a grit: let in 3 5h, col 4 1½, sand 120 2."""
    assert first.time
    assert second.time
    stage = next((atom for atom in reversed(before) if atom.kind != LITTLE), None)
    if not first.time.bare or stage is None or stage.kind != OF_STAGE or stage.meaning is None:
        return False
    if first.text in GRITS:
        return bool(set(stage.meaning.value) & _SANDED)
    counted = stage.text.casefold().split()[-1] in _COUNTED_STAGES
    return counted and not second.time.bare and first.time.time.hours <= 12

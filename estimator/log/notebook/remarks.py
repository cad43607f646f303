"""What of an item is a remark, and is kept as its note in the words that were typed."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from estimator.log.notebook.atom import (
    BOARD,
    COMMA,
    COUNT,
    LITTLE,
    OF_AGAIN,
    OF_AWAY,
    OF_DITTO,
    OF_DONE,
    OF_SHOP,
    OF_STAGE,
    OF_TO_COME,
    PART,
    QUERY,
    REMARK,
    SEPARATORS,
    SPAN_OF_TIME,
    TIME,
    UNKNOWN,
    Atom,
)
from estimator.log.notebook.corrections import STRUCK
from estimator.log.notebook.days_meant import NamedDays
from estimator.log.notebook.items import OF_EACH, TIMES, Item
from estimator.log.notebook.page import HoursLine, TextPiece
from estimator.log.notebook.tokens import listed
from estimator.log.notebook.vocabulary import OBJECTS
from estimator.words.records import SHOP

_NEXT_TO = listed("near by round around at under behind along beside from next through for ready")
_BEFORE_AND_AFTER = listed("before after until till")
_WHICH = listed("1st 2nd 3rd 4th 5th first second third fourth fifth last")  # 2nd col


def remark_of(atoms: Sequence[Atom], text: str, also: tuple[str, ...]) -> str:
    """What is kept of an item as a note: the words that say nothing else, as they were typed.

    also: kinds of atoms that are kept too
    """
    runs: list[list[Atom]] = []
    open_run = False
    for at, atom in enumerate(atoms):
        led = atom.kind == OF_STAGE and at > 0 and atoms[at - 1].text.casefold() in _WHICH
        keeps = (
            atom.kind in {UNKNOWN, PART, COUNT, REMARK, *also} or atom.note or led or is_aside(atom, atoms)
        )
        if keeps and atom.kind == REMARK:
            runs.append([atom])
            open_run = False
        elif keeps or (open_run and atom.kind in {LITTLE, COMMA}):
            if not open_run:
                runs.append([])
            runs[-1].append(atom)
            open_run = True
        else:
            open_run = False
    notes = []
    for run in runs:
        while run[-1].kind in {LITTLE, COMMA}:
            run.pop()
        start = run[0].span[0]
        piece = text[start : run[-1].span[1]]
        if run[0].kind == REMARK:
            piece = piece[1:-1]
        notes.append(" ".join(piece.split()))
    return ", ".join(note for note in notes if note)


def is_aside(atom: Atom, atoms: Sequence[Atom]) -> bool:
    """Whether a stage's word is only a remark, since another says the stage: sanded the hot coat; near the stringer."""
    if atom.kind != OF_STAGE or atom.meaning is None:
        return False
    others = [
        a for a in atoms if a.kind == OF_STAGE and a is not atom and a.meaning and len(a.meaning.value) == 1
    ]
    if len(atom.meaning.value) > 1:
        return bool(others)
    own, at = atom.meaning.value[0], atoms.index(atom)
    before = [a for a in atoms[:at] if a.kind != LITTLE]
    if before and before[-1] in others and before[-1].meaning:
        return (before[-1].meaning.value[0], own) in OBJECTS
    behind = next((a for a in atoms[at + 1 :] if a.kind != LITTLE), None)
    if (
        behind in others
        and behind is not None
        and behind.meaning
        and behind.text.casefold().endswith(("ed", "ing"))
    ):
        return (behind.meaning.value[0], own) in OBJECTS
    words = [a.text.casefold() for a in atoms[max(at - 2, 0) : at] if a.kind in {LITTLE, UNKNOWN, PART}]
    if words and words[-1] in _BEFORE_AND_AFTER and others:
        return True
    if others and at + 1 < len(atoms) and atoms[at + 1].text.casefold() == "next":
        return True  # let in next
    placed = bool(words) and (
        words[-1] in _NEXT_TO or (words[-1] in {"the", "a", "to"} and words[0] in _NEXT_TO)
    )
    return placed and any(a in others for a in atoms[:at])


_ROLES = {
    BOARD: "board",
    OF_STAGE: "stage",
    OF_SHOP: "stage",
    OF_DITTO: "stage",
    TIME: "hours",
    SPAN_OF_TIME: "hours",
    QUERY: "hours",
    OF_EACH: "hours",
    STRUCK: "hours",
    OF_DONE: "done",
    OF_AGAIN: "again",
    LITTLE: "small",
}


def pieces_of(atoms: Sequence[Atom], board: str) -> tuple[TextPiece, ...]:
    """What each atom of a line was taken for."""
    pieces = []
    for atom in atoms:
        if atom.kind in SEPARATORS:
            continue
        role = "note" if atom.note or is_aside(atom, atoms) else _ROLES.get(atom.kind, "note")
        if board == SHOP and role in {"note", "board", "done", "again"}:
            role = "stage"
        pieces.append(TextPiece(atom.span, role))
    return tuple(pieces)


def led(line: HoursLine, item: Item, text: str) -> HoursLine:
    """A line with the remark that stands before it."""
    remark = remark_of(item.atoms, text, (OF_AWAY, OF_TO_COME, OF_STAGE))
    note = ". ".join(part for part in (remark, line.note) if part)
    pieces = (*as_note(item.atoms), *line.pieces)
    return replace(line, note=note, span=(item.span[0], line.span[1]), pieces=pieces)


def shop_words(item: Item, text: str) -> tuple[str, str]:
    """What was done on no board, in the words that were typed, empty where it says the shop alone; and a note on it.

    What stands behind the hours is the note, where the work stands before them.
    """
    times = [at for at, atom in enumerate(item.atoms) if atom.kind in TIMES]
    at = times[0] if times else len(item.atoms)
    before, behind = _typed(item.atoms[:at], text), _typed(item.atoms[at:], text)
    says_shop = before.casefold() in {"shop", "the shop"}
    stage, note = (before, behind) if before and not says_shop else (behind, "")
    for head in ("the shop ", "shop: ", "shop "):
        if stage.casefold().startswith(head):
            stage = stage[len(head) :]
            break
    return "" if stage.casefold() in {"shop", "the shop"} else stage, note


def _typed(atoms: Sequence[Atom], text: str) -> str:
    """The words of atoms as they were typed, without the small ones at both ends."""
    little = {LITTLE, QUERY, *SEPARATORS}
    says = [at for at, atom in enumerate(atoms) if atom.kind not in little | TIMES | {OF_DONE}]
    if not says:
        return ""
    words = text[atoms[says[0]].span[0] : atoms[says[-1]].span[1]]
    return " ".join(words.split()).strip("()[] ")


def away_note(item: Item, text: str) -> str:
    """What is kept of a day off: that one was away, or did not work, and the words for it; empty if it isn't known."""
    values = [atom.meaning.value[0] for atom in item.of(OF_AWAY) if atom.meaning]
    if "away" not in values and "did not work" not in values:
        return ""
    says = "away" if "away" in values else "did not work"
    typed = remark_of(item.atoms, text, (OF_AWAY,))
    return says if typed.casefold() in {says, "didn't work", "no work"} else f"{says}, {typed}"


def days_off(item: Item, text: str, day: NamedDays) -> list[HoursLine]:
    """Lines that say of days that nobody worked; none where that isn't known."""
    note, roles = away_note(item, text), as_note(item.atoms)
    follow = day.until or len(day.days) == 1
    spans = [(day.first, day.until)] if follow else [(one, None) for one in day.days]
    return [
        HoursLine(SHOP, first, "", 0.0, until=until, note=note, span=item.span, pieces=roles)
        for first, until in spans
        if note
    ]


def as_note(atoms: Iterable[Atom]) -> tuple[TextPiece, ...]:
    """Pieces of a remark, and the marks and small words among them."""
    small = SEPARATORS | {LITTLE}
    return tuple(TextPiece(atom.span, "small" if atom.kind in small else "note") for atom in atoms)

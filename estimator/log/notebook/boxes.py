"""The notebook in boxes, one a day and one for a whole page, read one after the other; what is asked keeps its name."""

from __future__ import annotations

import datetime as dt
import hashlib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from estimator.log.notebook.page import Doubt, HoursLine, NoteLine
from estimator.log.notebook.reader import NotebookReader
from estimator.words.records import Entry

WHOLE = {"line"}  # doubts about a piece as a whole: what is written instead takes its place in the text


@dataclass(frozen=True, slots=True)
class NotebookBox:
    """What is typed into one box. day: that all of it is about, None where the text names its days itself"""

    text: str
    day: dt.date | None = None


@dataclass(frozen=True, slots=True)
class AskedOfBox:
    """A doubt, and the name under which its answer is handed back with the same boxes, or with others.

    The name is made of what is asked and of what was typed there, never of the place, so that an answer goes on
    standing for its own words while others are typed beside them.
    """

    name: str
    doubt: Doubt


@dataclass(frozen=True, slots=True)
class BoxesRead:
    """All that boxes say: lines, what is to be asked before any of them is written, and what is of no hours."""

    boxes: tuple[NotebookBox, ...]
    lines: tuple[HoursLine, ...]
    asked: tuple[AskedOfBox, ...]
    notes: tuple[NoteLine, ...] = ()


def read_boxes(
    reader: NotebookReader, boxes: Iterable[NotebookBox], week: dt.date, answers: Mapping[str, str]
) -> BoxesRead:
    """Boxes read in their order; each knows what those before it say, so that the same hours twice are asked about.

    week: a day of the week that is meant; answers: by the names of what was asked
    """
    read: list[NotebookBox] = []
    lines: list[HoursLine] = []
    asked: list[AskedOfBox] = []
    notes: list[NoteLine] = []
    for box in boxes:
        if box.text.strip():
            one = _read(reader, box, week, answers)
            reader = reader.knowing(_entry(line) for line in one.lines)
            lines += one.lines
            asked += one.asked
            notes += one.notes
            read += one.boxes
        else:
            read.append(box)
    return BoxesRead(tuple(read), tuple(lines), tuple(asked), tuple(notes))


def _entry(line: HoursLine) -> Entry:
    """A line as if the log had it."""
    return Entry(line.board, line.date, line.stage, line.hours, until=line.until, note=line.note)


def _read(reader: NotebookReader, box: NotebookBox, week: dt.date, answers: Mapping[str, str]) -> BoxesRead:
    """One box: an answer may raise the next question, so it is read until nothing is answered any more."""
    given: dict[str, str] = {}  # by the reader's own keys
    alike: dict[str, list[str]] = {}
    while True:
        page = reader.read(box.text, week=week, day=box.day, answers=given)
        asked = []
        for key, doubt in {doubt.key: doubt for doubt in page.doubts}.items():
            name = _name(box, doubt)
            keys = alike.setdefault(name, [])
            if key not in keys:
                keys.append(key)
            asked.append(AskedOfBox(f"{name}-{keys.index(key)}", doubt))
        more = {
            one.doubt.key: answers[one.name]
            for one in asked
            if answers.get(one.name) and one.doubt.key not in given
        }
        anew = {
            one.name: (*one.doubt.span, answer)
            for one in asked
            if one.doubt.what in WHOLE
            and (answer := more.get(one.doubt.key))
            and answer not in {choice.value for choice in one.doubt.choices}
        }
        if anew:
            text = box.text
            for first, last, instead in sorted(anew.values(), reverse=True):
                text = f"{text[:first]}{instead}{text[last:]}"
            rest = {name: answer for name, answer in answers.items() if name not in anew}
            return _read(reader, NotebookBox(text, box.day), week, rest)
        if not more:
            return BoxesRead((box,), page.lines, tuple(asked), page.notes)
        given |= more


def _name(box: NotebookBox, doubt: Doubt) -> str:
    """A doubt's name, but for which of several alike it is."""
    said = "\n".join([str(box.day), doubt.what, " ".join(doubt.typed.split()), doubt.question])
    return f"{doubt.what}-{hashlib.sha256(said.encode('utf-8', 'surrogatepass')).hexdigest()[:12]}"

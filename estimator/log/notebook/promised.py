"""A line of what was promised before there was a log: a board in hand as a row, with the hours that it has already."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass, replace

from estimator.log.columns import LOOKED, TURNED_OUT
from estimator.log.notebook.diary import DiaryBox, DiaryReader
from estimator.log.notebook.diary_words import PRICE, TOTAL, YEAR
from estimator.log.notebook.page import A_LINE, Choice, Doubt, Span
from estimator.log.notebook.tokens import tokens_of
from estimator.log.notebook.vocabulary import STAGE, vocabulary_of
from estimator.words.dates import A_DAY, say_day
from estimator.words.json_form import JsonForm
from estimator.words.records import ON_BENCH, WAITING
from estimator.words.settings.schema import Settings

FAR = 3 * 365 * A_DAY  # so far ahead a day may be promised
LONG_OVER = 120 * A_DAY  # a day without its year that lies further back is one to come
SO_FAR = 27 * A_DAY  # over which hours are spread of which the days are not known
_TIME = r"(?:about |around |some |~)?[0-9]+(?:[.,:][0-9]+)?\s?[½¼¾]?\s?(?:hours|hour|hrs|hr|h)\b"
_DONE = re.compile(
    rf"\b({_TIME})\s*(?:done|so far|in it|in already)\b|\b(?:done|worked)\s+({_TIME})", re.IGNORECASE
)
_NEXT = re.compile(r"\bnext(?:\s+(?:comes|is|up))?\s*:?\s+(?=\S)", re.IGNORECASE)
_CLAUSE = re.compile(r"[^,;.\n]*")
_BENCH = re.compile(r"\b(?:on (?:the |my )?bench|begun|started on|in hand|half done)\b", re.IGNORECASE)
_TOLD = re.compile(
    r"\b(?:i )?(?:told(?: (?:her|him|them))?|promised|said|due|wanted)\b(?:\s+(?:by|for))?", re.IGNORECASE
)
_RANGE = re.compile(r"\b([0-9]+)\s*(?:-|–|to)\s*([0-9]+)\s*(hours|hour|hrs|hr|h|days|day)\b", re.IGNORECASE)
_IN_FIGURES = re.compile(
    r"(?<![0-9/.] )(?<![0-9/.'’])\b([0-9]{1,2})[/.]([0-9]{1,2})\b(?![/.]?[0-9]| ?(?:h|d|w))"
)


@dataclass(frozen=True, slots=True)
class PromisedLine(JsonForm):
    """A board in hand as a line has it.

    cells: of its row on the boards sheet, by column; doubts: what is to be asked first
    hours: worked on it so far, as typed; next_stage: what comes next on it, empty where it is not begun
    """

    text: str
    cells: Mapping[str, str]
    doubts: tuple[Doubt, ...] = ()
    hours: str = ""
    next_stage: str = ""


class PromisedReader:
    """Reads lines of boards in hand: whose, what sort, how long, the day told, hours; with the words of a diary.

    today: a day without its year is the next one
    """

    def __init__(self, settings: Settings, today: dt.date) -> None:
        self.settings, self.today = settings, today
        self.diary = DiaryReader(settings, today + FAR)
        self.vocabulary = vocabulary_of(settings, ())

    def read(self, text: str, answers: Mapping[str, str] | None = None) -> PromisedLine:
        """The row that a line makes; answers: to doubts of an earlier reading, by their keys.

        >>> import datetime as dt
        >>> from estimator.log.starter import starter_text
        >>> from estimator.words.settings.reader import parse_settings
        >>> reader = PromisedReader(parse_settings(starter_text())[0], dt.date(2026, 9, 14))
        >>> line = reader.read("Ines Calder, full 9'6, by 20 October, 60 h, on the bench, 12 h done, next sand")
        >>> [line.cells[name] for name in ("owner", "kind", "length", "promised_last", "guess")]
        ['Ines Calder', 'major', "9'6", '2026-10-20', '60 h']
        >>> line.hours, line.next_stage
        ('12 h', 'sand')
        """
        answers = answers or {}
        rest, doubts = text, list[Doubt]()
        done, comes = _DONE.search(rest), _NEXT.search(rest)
        hours = (done[1] or done[2]).strip() if done else ""
        stage, span = self._stage(text, comes.end()) if comes else ("", (0, 0))
        if comes and not stage:
            words = text[slice(*span)].strip()
            doubt = Doubt("stage", span, words, f"“{words}”: which work is that?", self._stages())
            stage = self._answered(doubt, answers, doubts)
        if comes:
            rest = rest[: comes.start()] + " " * (span[1] - comes.start()) + rest[span[1] :]
        on_bench = bool(hours or comes or _BENCH.search(rest))
        spread = _RANGE.search(rest)
        for pattern in (_DONE, _BENCH, _RANGE):
            rest = pattern.sub(_blank, rest)
        rest = _TOLD.sub(_blank, rest)
        told = ""
        if figures := _IN_FIGURES.search(rest):
            told = self._day(figures, answers, doubts)
            before = rest[: figures.start()]
            rest = re.sub(r"\bby\s*$", _blank, before) + _blank(figures) + rest[figures.end() :]
        box = self._box(rest, answers)
        cells, asked = self._cells(box.cells), list(box.doubts)
        if told:
            cells["promised_last"] = told
        if spread:
            cells["guess"] = spread[0]
        cells["state"] = ON_BENCH if on_bench else WAITING
        if hours and not stage and not comes:
            doubt = Doubt("stage", (0, len(text)), text, "What comes next on it?", self._stages())
            stage = self._answered(doubt, answers, doubts)
        named = any(cells.get(name) for name in ("owner", "called"))
        if not named and not asked:
            doubt = Doubt("owner", (0, len(text)), text, "Whose is it, or what do you call it?", (), A_LINE)
            if answer := answers.get(doubt.key):
                cells["owner"] = answer
            else:
                doubts.append(doubt)
        return PromisedLine(text, cells, (*asked, *doubts), hours, stage)

    def _day(self, figures: re.Match[str], answers: Mapping[str, str], doubts: list[Doubt]) -> str:
        """The day that two figures name, as the settings have it; empty with a doubt where they can be two."""
        style, pair = self.settings.workshop.dates, [int(figure) for figure in figures.groups()]
        orders = {"day-month": [pair], "month-day": [pair[::-1]]}.get(style, [pair, pair[::-1]])
        days = []
        for day, month in orders:
            with suppress(ValueError):
                near = dt.date(self.today.year, month, day)
                days.append(near if near >= self.today - LONG_OVER else near.replace(year=near.year + 1))
        days = list(dict.fromkeys(days))
        if len(days) == 1:
            return days[0].isoformat()
        choices = tuple(Choice(day.isoformat(), say_day(day)) for day in days)
        can_be = "can be two days" if days else "is no day"
        question = f"“{figures[0]}” {can_be}. Which one is it?"
        doubt = Doubt("day", figures.span(), figures[0], question, choices, "" if days else A_LINE)
        answer = answers.get(doubt.key, "")
        if not answer:
            doubts.append(doubt)
        return answer

    def _box(self, rest: str, answers: Mapping[str, str]) -> DiaryBox:
        """The line read as a diary's box; a bare figure is hours, and a day without its year is near."""
        year = self.today.year
        box = self.diary.read(rest, year=year, answers=answers)
        figures = [doubt for doubt in box.doubts if doubt.what == "figure"]
        if len(figures) == 1:
            answers = {figures[0].key: TOTAL, **answers}
            box = self.diary.read(rest, year=year, answers=answers)
        ready = box.cells.get("ready", "")
        if ready and not YEAR.search(rest) and dt.date.fromisoformat(ready) < self.today - LONG_OVER:
            later = self.diary.read(rest, year=year + 1, answers=answers)
            return replace(later, doubts=box.doubts)
        return box

    def _cells(self, read: Mapping[str, str]) -> dict[str, str]:
        """What a diary's row says of a board that is not done yet."""
        cells: dict[str, str] = {}
        moved = {TOTAL: "guess", PRICE: "price_quoted", "ready": "promised_last"}
        for column, cell in read.items():
            if column.startswith(TURNED_OUT):
                cells[LOOKED + column.removeprefix(TURNED_OUT)] = cell
            elif column != "collected":
                cells[moved.get(column, column)] = cell
        called, length = cells.get("called", ""), cells.get("length", "")
        if called and "owner" not in cells and not (length and length in called):
            cells["owner"] = cells.pop("called")
        return cells

    def _stage(self, text: str, place: int) -> tuple[str, Span]:
        """The stage that is named at a place, empty where none or several are, and the words that were looked at."""
        tokens = tokens_of(text)
        at = next((n for n, token in enumerate(tokens) if token.start >= place), len(tokens))
        found = self.vocabulary.at(tokens, at) if at < len(tokens) else None
        if found and found[0].of == STAGE and len(found[0].value) == 1:
            return str(found[0].value[0]), (place, tokens[found[1] - 1].end)
        clause = _CLAUSE.match(text, place)
        return "", (place, clause.end() if clause else place)

    def _answered(self, doubt: Doubt, answers: Mapping[str, str], doubts: list[Doubt]) -> str:
        """The stage that answers a doubt; else the doubt joins the others."""
        stage = answers.get(doubt.key, "")
        if stage in self.settings.stages:
            return stage
        doubts.append(doubt)
        return ""

    def _stages(self) -> tuple[Choice, ...]:
        """All stages, as choices."""
        return tuple(Choice(name, self.settings.label(name)) for name in self.settings.stages)


def _blank(found: re.Match[str]) -> str:
    """As many blanks as letters, so that places stay."""
    return " " * len(found[0])

"""The notebook's lines read: text and days in, lines of hours and doubts out; nothing is guessed and nothing lost."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping
from copy import copy
from dataclasses import dataclass, field, replace

from estimator.log.notebook.amounts import FoundDay
from estimator.log.notebook.atoms import (
    BOARD,
    LITTLE,
    OF_AWAY,
    OF_DITTO,
    OF_SHOP,
    OF_STAGE,
    OF_TO_COME,
    QUERY,
    SEPARATORS,
    Atom,
    Glossary,
    atoms_of,
)
from estimator.log.notebook.draft import DraftLine, drafted
from estimator.log.notebook.items import TIMES, Item, ItemGroup, groups_of, items_of, lines_of
from estimator.log.notebook.mentions import BoardNames, WorkState
from estimator.log.notebook.page import (
    A_DATE,
    A_LINE,
    LEAVE,
    MORE,
    SAME,
    Choice,
    Doubt,
    HoursLine,
    NotebookPage,
    Span,
    TextPiece,
)
from estimator.log.notebook.questions import Questions
from estimator.log.notebook.remarks import as_note, remark_of
from estimator.log.notebook.vocabulary import vocabulary_of
from estimator.words.dates import A_DAY, say_day
from estimator.words.phrases import say_value
from estimator.words.records import SHOP, Board, Entry
from estimator.words.settings.schema import Settings


class NotebookReader:
    """Reads what a restorer types of a week, knowing the boards, the stages and the words of the log.

    today: no hours are of a later day
    """

    def __init__(
        self, settings: Settings, boards: Iterable[Board], entries: Iterable[Entry], today: dt.date
    ) -> None:
        boards, entries = tuple(boards), tuple(entries)
        self.settings, self.today = settings, today
        vocabulary = vocabulary_of(settings, entries)
        self.glossary = Glossary(
            BoardNames(boards, vocabulary),
            vocabulary,
            settings.workshop.dates,
            settings.workshop.hours_in_a_day,
            frozenset(settings.drivers),
        )
        self.state = WorkState(boards, entries, settings)
        self.questions = Questions(settings, self.glossary, self.state)
        self._boards, self._entries = boards, entries

    def knowing(self, more: Iterable[Entry]) -> NotebookReader:
        """The same, which knows that the log holds these hours too."""
        known = copy(self)
        known._entries = (*self._entries, *more)  # noqa: SLF001  its own
        known.state = WorkState(self._boards, known._entries, self.settings)  # noqa: SLF001
        known.questions = Questions(self.settings, self.glossary, known.state)
        return known

    def read(
        self,
        text: str,
        *,
        week: dt.date | None = None,
        day: dt.date | None = None,
        answers: Mapping[str, str] | None = None,
    ) -> NotebookPage:
        """All that a text says.

        week: a day of the week that is meant, where the text names no date; left out, today's
        day: the day that all of it is about, as a box of its own has it, where the text names none
        answers: to doubts of an earlier reading of the same text, by their keys
        """
        page = _Page(self, text, week or day or self.today, day, answers or {})
        return page.read()


@dataclass(slots=True)
class _Page:
    """One text as it is read: the day and the board that go on, and what was found."""

    reader: NotebookReader
    text: str
    week: dt.date
    box: dt.date | None
    answers: Mapping[str, str]
    lines: list[HoursLine] = field(default_factory=list)
    doubts: list[Doubt] = field(default_factory=list)
    days: list[Span] = field(default_factory=list)
    left_out: list[Span] = field(default_factory=list)
    day: tuple[dt.date, dt.date | None] | None = None  # that goes on
    day_of: Atom | None = None
    last_weekday: int | None = None
    header: Atom | None = None  # the board that stands above
    stage_above: Atom | None = None  # and the stage: red strip: Mon 3, Tue 2
    before: DraftLine | None = None  # the item before on the same line
    ditto: DraftLine | None = None  # the item before, of any line
    open_day: Atom | None = None  # a day of which nothing is said yet

    def read(self) -> NotebookPage:
        """The page."""
        if self.box:
            self.day = (self.box, None)
        for line in lines_of(atoms_of(self.text, self.reader.glossary, self.week)):
            self.before = self.stage_above = None
            if self._only(line, BOARD):
                self._close_day()
                self.header = next(atom for atom in line if atom.kind == BOARD)
                self.days.append((line[0].span[0], line[-1].span[1]))
                continue
            for group in groups_of(line):
                self._group(group)
        self._close_day()
        self._twice()
        lines = sorted(self.lines, key=lambda line: line.span)
        doubts = sorted(self.doubts, key=lambda doubt: doubt.span)
        return NotebookPage(self.text, tuple(lines), tuple(doubts), tuple(self.days), tuple(self.left_out))

    def _only(self, line: Iterable[Atom], kind: str) -> bool:
        """Whether a line has one atom of a kind, and nothing else that says anything."""
        kinds = [atom.kind for atom in line if atom.kind not in SEPARATORS | {LITTLE}]
        return kinds == [kind]

    def _group(self, group: ItemGroup) -> None:
        """One group: its day, then its items."""
        day = self.day
        if group.day is not None:
            self.days.append(group.day.span)
            found = self._day(group.day, group.headed)
            if found is None:
                if group.atoms:
                    self.days.append((group.atoms[0].span[0], group.atoms[-1].span[1]))
                self.day = None if group.headed else self.day
                return
            day = found
            if group.headed:
                self._close_day()
                self.day, self.day_of = found, group.day
                self.open_day = group.day
                before = [a for a in group.atoms if a.span[0] < group.day.span[0] and a.kind == BOARD]
                stages = [a for a in group.atoms if a.span[0] < group.day.span[0] and a.kind == OF_STAGE]
                if before:
                    self.header, self.stage_above = before[0], stages[-1] if stages else None
                elif self.before:
                    self.before = replace(self.before, stale=True)
        if not group.atoms:
            return
        self.open_day = None if any(a.kind != LITTLE for a in group.atoms) else self.open_day
        for item in items_of(group):
            self._item(item, day)

    def _close_day(self) -> None:
        """A day of which nothing was said is asked about, unless the log has hours of it already."""
        atom, self.open_day = self.open_day, None
        if atom is None or self.day is None or self.day[1] is not None:
            return
        day = self.day[0]
        if self.reader.state.entries_on(day):
            return
        doubt = Doubt(
            "empty",
            atom.span,
            atom.text,
            f"Nothing is written for {say_day(day)}. Why?",
            (
                Choice("away", "I was away"),
                Choice("did not work", "I didn't work"),
                Choice(LEAVE, "not written down"),
            ),
        )
        answer = self.answers.get(doubt.key)
        if answer in {"away", "did not work"}:
            self.lines.append(
                HoursLine(
                    SHOP, day, "", 0.0, note=answer, span=atom.span, pieces=(TextPiece(atom.span, "day"),)
                )
            )
        elif answer == LEAVE:
            self.left_out.append(atom.span)
        else:
            self.doubts.append(doubt)

    # --- days

    def _day(self, atom: Atom, headed: bool) -> tuple[dt.date, dt.date | None] | None:
        """The day that an atom names, and the last one where it names several; None where it is asked."""
        if atom.shift is not None:
            return self._not_to_come(atom, self.reader.today + atom.shift * A_DAY, None)
        found = atom.day
        assert found is not None
        if found.whole_week:
            if found.days:
                self.week = found.days[0]
                self.last_weekday = None
            if found.weeks:
                self.week += found.weeks * 7 * A_DAY
            first = self.week - self.week.weekday() * A_DAY
            return first, max(first, min(self._last_working(first), self.reader.today))
        if found.wrong:
            return self._ask_day(
                atom, f"“{atom.text}”: {found.wrong}. Which day is it?", self._near(found.days)
            )
        if len(found.days) > 1:
            past = tuple(day for day in found.days if day <= self.reader.today)
            found = replace(found, days=past) if len(past) == 1 else found
        if len(found.days) > 1:
            return self._ask_day(atom, f"“{atom.text}” can be two days. Which one is it?", found.days)
        if found.days:
            first = found.days[0]
            self.week, self.last_weekday = first, first.weekday()
        else:
            assert found.weekday is not None
            first = self._in_week(found.weekday)
            if headed and self.last_weekday is not None and found.weekday < self.last_weekday:
                earlier, later = first, first + 7 * A_DAY
                can = tuple(day for day in (later, earlier) if day <= self.reader.today)
                key = self._ask_day(
                    atom, f"“{atom.text}” comes after a later day. Which one is it?", can or (earlier,)
                )
                if key is None:
                    return None
                first = key[0]
                self.week = first
            if headed:
                self.last_weekday = found.weekday
        until = self.reader.today if atom.since else self._until(first, atom.until)
        return self._not_to_come(atom, first, until)

    def _until(self, first: dt.date, until: FoundDay | None) -> dt.date | None:
        """The last day of several."""
        if until is None:
            return None
        if until.days:
            last = until.days[0]
        else:
            assert until.weekday is not None
            last = first + ((until.weekday - first.weekday()) % 7) * A_DAY
        return last if last > first else None

    def _in_week(self, weekday: int) -> dt.date:
        """The weekday of the week that is meant."""
        return self.week + (weekday - self.week.weekday()) * A_DAY

    def _last_working(self, first: dt.date) -> dt.date:
        """The last day of a week on which this workshop usually works."""
        hours = self.reader.settings.bench.hours_by_weekday
        last = max((at for at, h in enumerate(hours) if h > 0), default=6)
        return first + last * A_DAY

    def _near(self, days: tuple[dt.date, ...]) -> tuple[dt.date, ...]:
        """Days that may be meant where one does not fit."""
        week = self.week - self.week.weekday() * A_DAY
        named = [self.week]
        return tuple(dict.fromkeys((*days, *named, week)))

    def _not_to_come(
        self, atom: Atom, first: dt.date, until: dt.date | None
    ) -> tuple[dt.date, dt.date | None] | None:
        """The days, unless one of them is still to come: then it is asked."""
        today = self.reader.today
        if max(first, until or first) <= today:
            return first, until
        week_before = first - 7 * A_DAY
        return self._ask_day(
            atom,
            f"“{atom.text}” is still to come: today is {say_day(today)}. Which day is it?",
            (week_before,),
        )

    def _ask_day(
        self, atom: Atom, question: str, days: Iterable[dt.date]
    ) -> tuple[dt.date, dt.date | None] | None:
        """The day that was answered; None with the doubt, or where it was left out."""
        choices = tuple(Choice(day.isoformat(), say_day(day)) for day in days)
        doubt = Doubt("day", atom.span, atom.text, question, choices, A_DATE)
        answer = self.answers.get(doubt.key)
        day = _iso(answer)
        if day is not None:
            return day, None
        if answer == LEAVE:
            self.left_out.append(atom.span)
        else:
            self.doubts.append(doubt)
        return None

    # --- items

    def _item(self, item: Item, day: tuple[dt.date, dt.date | None] | None) -> None:
        """One item: a line, a remark on the one before, or a doubt."""
        says = [atom for atom in item.atoms if atom.kind not in SEPARATORS | {LITTLE}]
        if not says:
            self.days.append(item.span)
            return
        if not item.clear:
            self._whole(
                item, day, "I can't tell which hours belong to what. Write each as a line of its own."
            )
            return
        if item.of(OF_TO_COME):
            self._whole(item, day, "This doesn't sound like hours that were worked. What is it?")
            return
        timed = item.of(*TIMES)
        said = [a for a in item.of(OF_STAGE) if a.meaning and len(a.meaning.value) == 1]
        if not timed and not said and not item.of(BOARD, OF_SHOP, OF_DITTO):
            if self.before and self.before.line and not self.before.stale and not item.of(QUERY):
                self._remark(item)
                return
            if item.of(OF_AWAY):
                self._away(item, day)
                return
        if not timed and self._only(item.atoms, BOARD) and item.atoms[-1].kind != BOARD:
            self.header = item.of(BOARD)[0]
            self.days.append(item.span)
            return
        if not timed and not item.of(BOARD, OF_STAGE, OF_SHOP):
            self._whole(item, day, "I can't make hours of this. What is it?")
            return
        self._hours(item, day)

    def _whole(self, item: Item, day: tuple[dt.date, dt.date | None] | None, question: str) -> None:
        """Something that is asked as a whole; the answer is a line to read in its place."""
        typed = self.text[slice(*item.span)]
        doubt = Doubt("line", item.span, typed, question, (Choice(LEAVE, "leave it out"),), A_LINE)
        answer = self.answers.get(doubt.key)
        if answer is None:
            self.doubts.append(doubt)
        elif answer == LEAVE:
            self.left_out.append(item.span)
        else:
            inner = self.reader.read(
                answer, week=self.week, day=day[0] if day else None, answers=self.answers
            )
            self.lines += [replace(line, span=item.span, pieces=()) for line in inner.lines]
            self.doubts += [replace(one, span=item.span) for one in inner.doubts]
            self.left_out.append(item.span)

    def _away(self, item: Item, day: tuple[dt.date, dt.date | None] | None) -> None:
        """A day off, or a day of which nothing was written down."""
        values = [atom.meaning.value[0] for atom in item.of(OF_AWAY) if atom.meaning]
        if day is None:
            asked = self._needs_day(item)
            if asked is None:
                return
            day = asked
        if "away" not in values and "did not work" not in values:
            self.left_out.append(item.span)
            return
        says = "away" if "away" in values else "did not work"
        typed = remark_of(item.atoms, self.text, (OF_AWAY,))
        note = says if typed.casefold() in {says, "didn't work", "no work"} else f"{says}, {typed}"
        roles = as_note(item.atoms)
        first, until = day
        if self.reader.state.says_away(first, until or first, note):
            self.left_out.append(item.span)
            return
        self.lines.append(
            HoursLine(SHOP, first, "", 0.0, until=until, note=note, span=item.span, pieces=roles)
        )

    def _remark(self, item: Item) -> None:
        """A remark behind a line on the same line of the text: a note on it."""
        assert self.before is not None
        assert self.before.line is not None
        line = self.before.line
        added = remark_of(item.atoms, self.text, (OF_AWAY,))
        at = self.lines.index(line)
        pieces = (*line.pieces, *as_note(item.atoms))
        note = ". ".join(part for part in (line.note, added) if part)
        more = replace(line, note=note, span=(line.span[0], item.span[1]), pieces=pieces)
        self.lines[at] = more
        self.before = replace(self.before, line=more)

    def _needs_day(self, item: Item) -> tuple[dt.date, dt.date | None] | None:
        """The day of an item that has none, asked once for all such items of a text."""
        monday = self.week - self.week.weekday() * A_DAY
        days = [monday + at * A_DAY for at in range(7)]
        hours = self.reader.settings.bench.hours_by_weekday
        likely = [day for day in days if day <= self.reader.today and hours[day.weekday()] > 0]
        choices = tuple(Choice(day.isoformat(), say_day(day)) for day in likely)
        typed = self.text[slice(*item.span)]
        doubt = Doubt("day", item.span, typed, f"Which day was “{typed}”?", choices, A_DATE)
        answer = self.answers.get(doubt.key)
        if (day := _iso(answer)) is not None:
            return day, None
        if answer == LEAVE:
            self.left_out.append(item.span)
        else:
            self.doubts.append(doubt)
        return None

    def _hours(self, item: Item, day: tuple[dt.date, dt.date | None] | None) -> None:
        """An item with hours: a line, or what is to be asked of it."""
        reader = self.reader
        if day is None:
            day = self._needs_day(item)
            if day is None:
                return
        draft = drafted(
            item,
            self.text,
            day,
            reader.questions,
            self.answers,
            header=self.header,
            stage_above=self.stage_above,
            before=self.before,
            ditto=self.ditto,
        )
        self.before = self.ditto = draft
        if draft.left_out:
            self.left_out.append(item.span)
        elif draft.doubts:
            self.doubts += draft.doubts
        elif draft.line is not None:
            self._kept(draft.line)

    def _kept(self, line: HoursLine) -> None:
        """A line, unless the log has the like already, and it is the same."""
        reader = self.reader
        there = () if line.away else reader.state.booked(line.board, line.date, line.last, line.stage)
        if there:
            hours = sum(entry.hours for entry in there)
            name, of_stage = reader.questions.subject(line)
            doubt = Doubt(
                "more",
                line.span,
                self.text[slice(*line.span)],
                f"{name} has {say_value(hours)} h{of_stage} on {say_day(there[0].date)} already. "
                "Is this more, or the same?",
                (Choice(SAME, "the same: leave it out"), Choice(MORE, "more: add it")),
                known=reader.questions.known(line),
            )
            answer = self.answers.get(doubt.key)
            if answer == SAME:
                self.left_out.append(line.span)
                return
            if answer != MORE:
                self.doubts.append(doubt)
                return
        self.lines.append(line)

    def _twice(self) -> None:
        """A line that stands in the text twice is asked about."""
        seen: dict[tuple[object, ...], HoursLine] = {}
        for line in tuple(self.lines):
            key = (line.board, line.date, line.last, line.stage, line.hours, line.note, line.again)
            text = self.text[slice(*line.span)]
            twice = key in seen and not line.away
            if twice and "\n" not in self.text[seen[key].span[1] : line.span[0]]:
                twice = self.text[slice(*seen[key].span)] == text  # cleaned ½, traced ½
            if twice:
                doubt = Doubt(
                    "more",
                    line.span,
                    self.text[slice(*line.span)],
                    f"“{self.text[slice(*line.span)]}” stands here twice. Is this more, or the same?",
                    (Choice(SAME, "the same: leave it out"), Choice(MORE, "more: add it")),
                )
                answer = self.answers.get(doubt.key)
                if answer == MORE:
                    continue
                self.lines.remove(line)
                if answer == SAME:
                    self.left_out.append(line.span)
                else:
                    self.doubts.append(doubt)
            seen.setdefault(key, line)


def _iso(text: str | None) -> dt.date | None:
    """The day of an ISO date, or None."""
    try:
        return dt.date.fromisoformat(text) if text else None
    except ValueError:
        return None

"""The notebook's lines read: text and days in, lines of hours and doubts out; nothing is guessed and nothing lost."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping, Sequence
from copy import copy
from dataclasses import dataclass, field, replace

from estimator.log.notebook.atom import (
    BOARD,
    LIST_NUMBER,
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
    SEPARATORS,
    Atom,
    Glossary,
)
from estimator.log.notebook.atoms import atoms_of
from estimator.log.notebook.corrections import as_reasons, put_right, takes_back
from estimator.log.notebook.days_asked import DaysAsked
from estimator.log.notebook.days_meant import MeantDays, NamedDays
from estimator.log.notebook.draft import drafted
from estimator.log.notebook.draft_line import DraftLine
from estimator.log.notebook.found import FoundInText
from estimator.log.notebook.heads import head_of
from estimator.log.notebook.items import (
    EACH,
    OF_EACH,
    TIMES,
    Item,
    ItemGroup,
    boards_each,
    counted_each,
    denied,
    groups_of,
    is_plan,
    is_total,
    items_of,
    lines_of,
    only_time,
    stage_above_all,
    trimmed,
    without_plans,
)
from estimator.log.notebook.mentions import BoardNames, WorkState
from estimator.log.notebook.no_hours import board_named, is_of_no_hours, leading_day, note_of
from estimator.log.notebook.page import (
    A_LINE,
    KEEP,
    LEAVE,
    MORE,
    SAME,
    Choice,
    Doubt,
    HoursLine,
    NotebookPage,
)
from estimator.log.notebook.questions import AS_NOTE, OR_LEAVE, Questions
from estimator.log.notebook.remarks import as_note, days_off, led, remark_of
from estimator.log.notebook.sharing import SHARED, items_shared
from estimator.log.notebook.twice import repeats_of
from estimator.log.notebook.vocabulary import vocabulary_of
from estimator.words.records import Board, Entry
from estimator.words.settings.schema import Settings

NO_HOURS = "I can't make hours of this. What is it?"


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
        hours = self.settings.bench.hours_by_weekday
        meant = MeantDays(self.today, week or day or self.today, day, hours)
        found, given = FoundInText(), answers or {}
        asked = DaysAsked(text, meant, given, self.questions, found)
        return _Page(self, text, meant, given, found, asked).read()


@dataclass(slots=True)
class _Page:
    """One text as it is read: the day and the board that go on, and what was found."""

    reader: NotebookReader
    text: str
    meant: MeantDays
    answers: Mapping[str, str]
    found: FoundInText
    asked: DaysAsked
    day: NamedDays | None = None  # that goes on
    day_of: Atom | None = None
    header: Atom | None = None  # the board that stands above
    stage_above: Atom | None = None  # and the stage: red strip: Mon 3, Tue 2
    stage_of_all: Atom | None = None  # the stage of several boards: sanding: club 2, fish 1
    day_named: bool = False  # whether the item has a day of its own
    row_hours: float = 0.0  # of the line of the text
    leading: Item | None = None  # a remark that stands before its line
    works: set[tuple[str, str]] = field(default_factory=set)  # boards and stages of the line of the text
    before: DraftLine | None = None  # the item before on the same line
    ditto: DraftLine | None = None  # the item before, of any line
    open_day: Atom | None = None  # a day of which nothing is said yet

    def read(self) -> NotebookPage:
        """The page."""
        if box := self.meant.box:
            self.day = NamedDays(box, None, (box,))
        for atoms in lines_of(atoms_of(self.text, self.reader.glossary, self.meant.week)):
            self.before = self.stage_above = self.stage_of_all = None
            self.works, self.row_hours = set(), 0.0
            self.found.days += [atom.span for atom in atoms if atom.kind == LIST_NUMBER]
            self.leading = None
            line = as_reasons(put_right([atom for atom in atoms if atom.kind != LIST_NUMBER], self.text))
            if self._only(line, BOARD):
                self._close_day()
                self.meant.last_weekday = None
                self.header = next(atom for atom in line if atom.kind == BOARD)
                self.found.days.append((line[0].span[0], line[-1].span[1]))
                continue
            if not self._of_no_hours(line):
                self._groups(list(groups_of(line)))
                self._leading_asked()
        self._close_day()
        once = repeats_of(self.found.lines, self.text, self.answers)
        lines = sorted(once.lines, key=lambda line: line.span)
        doubts = sorted((*self.found.doubts, *once.doubts), key=lambda doubt: doubt.span)
        left_out = (*self.found.left_out, *once.left_out)
        return NotebookPage(
            self.text, tuple(lines), tuple(doubts), tuple(self.found.days), left_out, tuple(self.found.notes)
        )

    def _only(self, line: Iterable[Atom], kind: str) -> bool:
        """Whether a line has one atom of a kind, and nothing else that says anything."""
        kinds = [atom.kind for atom in line if atom.kind not in SEPARATORS | {LITTLE}]
        return kinds == [kind]

    def _of_no_hours(self, line: Sequence[Atom]) -> bool:
        """Whether a line says nothing of hours: then it is kept as a note."""
        first = leading_day(line)
        rest = line[line.index(first) + 1 :] if first else line
        if not is_of_no_hours(rest):
            return False
        if first is not None:
            self._group(ItemGroup((), first, headed=True))
        self.open_day = None
        self._note(trimmed(rest), self.day)
        return True

    def _note(self, atoms: Sequence[Atom], day: NamedDays | None) -> None:
        """What is of no hours, kept in the words that were typed; of today, where it names no day before it."""
        if board := board_named(atoms):
            self.before = self.ditto = DraftLine(mention=board)
        on = day.first if day else self.meant.today
        self.found.notes.append(note_of(atoms, self.text, on, self.header))

    def _groups(self, groups: Sequence[ItemGroup]) -> None:
        """The groups of a line, under what stands at its head."""
        header, head = self.header, head_of(groups)
        if head is not None:
            self.header, self.stage_above = head.board or header, head.stage
            self.stage_of_all = None if head.board else head.stage
            self.leading = Item(head.says) if head.says else None
            self.found.days += [atom.span for atom in head.atoms if atom not in head.says]
            groups = head.rest
        for group in groups:
            self._group(group)
        if head is not None:
            self.header = header

    def _group(self, group: ItemGroup) -> None:
        """One group: its day, then its items."""
        day = self.day
        if takes_back(group.atoms, self.text):
            atoms = (*group.atoms, *((group.day,) if group.day else ()))
            self._taken_back(Item(tuple(sorted(atoms, key=lambda atom: atom.span))), day)
            return
        if group.day is not None:
            self.found.days.append(group.day.span)
            found = self.asked.named(group.day, headed=group.headed)
            if found is None:
                if group.atoms:
                    self.found.days.append((group.atoms[0].span[0], group.atoms[-1].span[1]))
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
        self.stage_of_all = stage_above_all(group.atoms) or self.stage_of_all
        self.day_named = group.day is not None
        for item in items_of(group):
            self._item(item, day)

    def _close_day(self) -> None:
        """A day of which nothing was said is asked about."""
        atom, self.open_day = self.open_day, None
        if atom is not None and self.day is not None:
            self.asked.empty(atom, self.day)

    # --- items

    def _item(self, item: Item, day: NamedDays | None) -> None:
        """One item: a line, a remark on the one before, or a doubt."""
        says = [atom for atom in item.atoms if atom.kind not in SEPARATORS | {LITTLE}]
        if not says:
            self.found.days.append(item.span)
            return
        if not item.clear:
            self._whole(
                item, day, "I can't tell which hours belong to what. Write each as a line of its own."
            )
            return
        if item.of(OF_TO_COME) and (kept := without_plans(item)):
            item = kept
        if is_of_no_hours(item.atoms) and (item.of(BOARD) or self._goes_on()):
            self._note(item.atoms, day) if item.of(BOARD) else self._remark(item)
            return
        if item.of(OF_TO_COME):
            if self._goes_on() and is_plan(item):
                self._remark(item)
                return
            self._whole(item, day, "This doesn't sound like hours that were worked. What is it?", (AS_NOTE,))
            return
        timed = item.of(*TIMES)
        if denied(item) and timed:
            self._whole(item, day, "Was this worked, or not? Write the hours that were worked.")
            return
        if not timed and self._goes_on() and is_plan(item) and not item.of(OF_TO_COME):
            self._remark(item)
            return
        said = [a for a in item.of(OF_STAGE) if a.meaning and len(a.meaning.value) == 1 and not denied(item)]
        if not timed and not said and not item.of(BOARD, OF_SHOP, OF_DITTO):
            if self._goes_on() and not item.of(QUERY):
                self._remark(item)
                return
            if item.of(OF_AWAY):
                self._away(item, day)
                return
            if not item.of(QUERY, OF_DONE, OF_AGAIN) and self.leading is None:
                self.leading = item
                return
        if is_total(item) and timed[0].time and abs(timed[0].time.time.hours - self.row_hours) < 1e-6:
            self.found.days.append(item.span)  # says no more than the lines before it
            return
        if not timed and self._only(item.atoms, BOARD) and item.atoms[-1].kind != BOARD:
            self.header = item.of(BOARD)[0]
            self.found.days.append(item.span)
            return
        if not timed and not item.of(OF_STAGE, OF_SHOP, OF_DITTO):
            self._whole(item, day, NO_HOURS, (AS_NOTE,))
            return
        self._hours(item, day)

    def _goes_on(self) -> bool:
        """Whether the line before is there, and of the same day, so that a remark can be on it."""
        return self.before is not None and self.before.line is not None and not self.before.stale

    def _leading_asked(self) -> None:
        """A remark that no line came behind is asked about."""
        item, self.leading = self.leading, None
        if item is not None:
            self._whole(item, self.day, NO_HOURS, (AS_NOTE,))

    def _whole(
        self,
        item: Item,
        day: NamedDays | None,
        question: str,
        choices: tuple[Choice, ...] = (),
        start: int | None = None,
    ) -> str:
        """Something that is asked as a whole: a line may be written in its place; the choice, where one is made.

        start: where it begins in the text, if before the item
        """
        span = (item.span[0] if start is None else start, item.span[1])
        typed = self.text[slice(*span)]
        doubt = Doubt("line", span, typed, question, (*choices, OR_LEAVE), A_LINE)
        answer = self.answers.get(doubt.key)
        if answer is None:
            self.found.doubts.append(doubt)
        elif answer == LEAVE:
            self.found.left_out.append(span)
        elif answer == KEEP:
            self._note(item.atoms, day)
        elif answer in {choice.value for choice in choices}:
            return answer
        else:
            own = f"-{doubt.key}:"
            answers = {key.partition(own)[2]: said for key, said in self.answers.items() if own in key}
            inner = self.reader.read(
                answer, week=self.meant.week, day=day.first if day else None, answers=answers
            )
            self.found.lines += [replace(line, span=span, pieces=()) for line in inner.lines]
            self.found.doubts += [
                replace(one, span=span, about=f"{doubt.key}:{one.key}") for one in inner.doubts
            ]
            self.found.left_out.append(span)
        return ""

    def _taken_back(self, item: Item, day: NamedDays | None) -> None:
        """What stands before is taken back too: both are asked as one."""
        before, start = self.before.line if self.before else None, None
        if before is not None and before in self.found.lines:
            self.found.lines.remove(before)
            start = before.span[0]
        self.before = None
        self._whole(item, day, "Part of this is taken back. Write what is right.", start=start)

    def _away(self, item: Item, day: NamedDays | None) -> None:
        """A day off, or a day of which nothing was written down."""
        day = day or self.asked.needed(item)
        if day is None:
            return
        lines = days_off(item, self.text, day)
        there = [line for line in lines if self.reader.state.says_away(line.date, line.last, line.note)]
        self.found.lines += [line for line in lines if line not in there]
        if there or not lines:
            self.found.left_out.append(item.span)

    def _remark(self, item: Item) -> None:
        """A remark behind a line on the same line of the text: a note on it."""
        assert self.before is not None
        assert self.before.line is not None
        line = self.before.line
        added = remark_of(item.atoms, self.text, (OF_AWAY, OF_TO_COME, OF_STAGE, BOARD, OF_SHOP))
        at = self.found.lines.index(line)
        pieces = (*line.pieces, *as_note(item.atoms))
        note = ". ".join(part for part in (line.note, added) if part)
        more = replace(line, note=note, span=(line.span[0], item.span[1]), pieces=pieces)
        self.found.lines[at] = more
        self.before = replace(self.before, line=more)

    def _hours(self, item: Item, day: NamedDays | None) -> None:
        """An item with hours: a line, or what is to be asked of it."""
        day = day or self.asked.needed(item)
        if day is None:
            return
        item = item if len(day.days) > 1 else counted_each(item)
        for of_board in (boards := boards_each(item)):
            self._hours(of_board, day)
        if boards:
            return
        queries = item.of(QUERY)
        if len(day.days) > 1 and queries and all(atom.text.casefold() in EACH for atom in queries):
            item = replace(
                item, atoms=tuple(replace(a, kind=OF_EACH) if a in queries else a for a in item.atoms)
            )
            for one in day.days:
                self._drafted(item, NamedDays(one, None, (one,)))
        elif len(day.days) > 1 and day.until is None:
            self._whole(item, day, "Several days, and one time. Write each day with its own hours.")
        else:
            self._drafted(item, day)

    def _shared(self, item: Item, day: NamedDays) -> None:
        """The hours of an item shared evenly among its boards."""
        alone = list(items_shared(item))
        for board, of_board in alone:
            assert board.boards
            self._drafted(of_board, day, board.boards.boards[0], len(alone), board)

    def _drafted(
        self, item: Item, day: NamedDays, told: str = "", share: int = 1, own: Atom | None = None
    ) -> None:
        """An item on its day, made a line; told: the board, where that was answered.

        share: among how many boards its hours are shared; own: where this one stands in the text then
        """
        before = self.before
        if before and self.day_named and len(self.works) == 1 and only_time(item):
            before = replace(before, stale=False, same_work=True)
        draft = drafted(
            item,
            self.text,
            (day.first, day.until),
            self.reader.questions,
            self.answers,
            header=self.header,
            stage_above=self._stage_from_above(item),
            before=before,
            ditto=self.ditto,
            told=told,
            share=share,
            worked={(line.board, line.stage) for line in self.found.lines if line.hours},
        )
        if draft.whole:
            question, choices = draft.whole
            board = self._whole(item, day, question, choices)
            if board == SHARED:
                self._shared(item, day)
                return
            if board:
                self._drafted(item, day, board)
                return
        if self.leading is not None:
            if draft.line is None:
                self._leading_asked()
            else:
                draft = replace(draft, line=led(draft.line, self.leading, self.text))
            self.leading = None
        self.before = self.ditto = replace(draft, atoms=item.atoms)
        self.works.add((draft.board, draft.stage))
        if draft.line is not None and own is not None:
            draft = replace(draft, line=replace(draft.line, span=(own.span[0], item.span[1])))
        if draft.noted:
            self._note(item.atoms, day)
        elif draft.left_out:
            self.found.left_out.append(item.span)
        elif draft.doubts:
            self.found.doubts += draft.doubts
        elif draft.line is not None:
            self.row_hours += draft.line.hours
            self._kept(draft.line)

    def _stage_from_above(self, item: Item) -> Atom | None:
        """The stage that stands above an item which has none of its own."""
        if only_time(item, OF_STATE):
            return self.stage_above
        if not only_time(item, BOARD):
            return None
        if self.stage_of_all is not None:
            return self.stage_of_all
        return self.before.stage_for(item, self.text) if self.before else None

    def _kept(self, line: HoursLine) -> None:
        """A line, unless the log has the like already, and it is the same."""
        reader = self.reader
        there = () if line.away else reader.state.booked(line.board, line.date, line.last, line.stage)
        if there:
            doubt = reader.questions.more_of(line, there, self.text[slice(*line.span)])
            answer = self.answers.get(doubt.key)
            if answer == SAME:
                self.found.left_out.append(line.span)
                return
            if answer != MORE:
                self.found.doubts.append(doubt)
                return
        self.found.lines.append(line)

"""One item made a line of hours: its board, stage, time and the rest, or the questions that stand in the way."""

from __future__ import annotations

import datetime as dt
from collections.abc import Container, Mapping, Sequence
from dataclasses import dataclass, field, replace

from estimator.log.notebook.amounts import reads_as_money
from estimator.log.notebook.another_board import (
    counts_other_work,
    hours_of_another,
    is_painted,
    number_of_a_name,
    part_done,
    strange_word,
    word_for_another,
)
from estimator.log.notebook.atom import (
    BOARD,
    COUNT,
    LITTLE,
    OF_AGAIN,
    OF_AWAY,
    OF_DITTO,
    OF_DONE,
    OF_SHOP,
    OF_STAGE,
    QUERY,
    SEPARATORS,
    SPAN_OF_TIME,
    TIME,
    UNKNOWN,
    Atom,
)
from estimator.log.notebook.draft_line import DraftLine
from estimator.log.notebook.items import TIMES, Item
from estimator.log.notebook.page import A_TIME, KEEP, LEAVE, Choice, Doubt, HoursLine
from estimator.log.notebook.questions import AS_NOTE, MOST_CHOICES, NO_BOARD_AT_ALL, OR_LEAVE, Questions
from estimator.log.notebook.remarks import pieces_of, remark_of, shop_words
from estimator.log.notebook.respelled import respelled
from estimator.log.notebook.sharing import ways_to_share
from estimator.log.notebook.stages_said import counts_or_hours, stages_said
from estimator.log.notebook.vocabulary import PARTS, REASONS
from estimator.words.dates import say_day
from estimator.words.errors import UnreadableError
from estimator.words.phrases import say_value
from estimator.words.records import SHOP
from estimator.words.worked_time import WorkedTime, read_worked_time

LONG_DAY = 14.0  # hours on one stage in a day from which it is asked again: more likely a comma was lost


def drafted(
    item: Item,
    text: str,
    day: tuple[dt.date, dt.date | None],
    ask: Questions,
    answers: Mapping[str, str],
    *,
    header: Atom | None,
    stage_above: Atom | None,
    before: DraftLine | None,
    ditto: DraftLine | None,
    told: str = "",
    share: int = 1,
    worked: Container[tuple[str, str]] = (),
) -> DraftLine:
    """An item as a line, or what is to be asked of it.

    header, stage_above: board and stage that stand above; before: the item before it on the line; ditto: on any line
    told: the board, where that was answered; share: among how many boards its hours are shared
    worked: boards and stages that have hours on lines before it
    """
    return _Drafting(
        item, text, day[0], day[1], ask, answers, header, stage_above, before, ditto, told, share, worked
    ).draft()


@dataclass(slots=True)
class _Drafting:
    """One item at work."""

    item: Item
    text: str
    day: dt.date
    until: dt.date | None
    ask: Questions
    answers: Mapping[str, str]
    header: Atom | None
    stage_above: Atom | None
    before: DraftLine | None
    ditto: DraftLine | None
    told: str
    share: int
    worked: Container[tuple[str, str]]
    whole: tuple[str, tuple[Choice, ...]] | None = None
    doubts: list[Doubt] = field(default_factory=list)
    gone: bool = False
    noted: bool = False
    mention: Atom | None = None

    @property
    def typed(self) -> str:
        """The text of the item."""
        return self.text[slice(*self.item.span)]

    def draft(self) -> DraftLine:
        """The line, or the doubts."""
        self.item = self._with_told() if self.told else self._respelled()
        item = self.item
        shop = item.of(OF_SHOP)
        named = item.of(BOARD)
        said = stages_said(item, self.stage_above, self.ask.settings)
        if self.told == SHOP or (shop and not named and not (self.header and said is not None)):
            return self._on_shop()
        if whole := self._as_a_whole(named, said):
            self.whole = whole
            return self._end()
        board = self.told or self._board(named, said)
        if board == SHOP:
            return self._on_shop()
        stage = self._stage(said, board)
        time = WorkedTime(0.0) if self._only_done(board, stage) else self._time()
        if time is not None and self.share > 1:
            time = replace(time, hours=time.hours / self.share)
        done = self._done()
        again, stage = self._again(stage)
        if self.gone or self.doubts:
            return self._end(board=board, stage=stage)
        assert time is not None
        line = self._made(board, stage, time, done, again)
        if self.gone or self.doubts:
            return self._end(board=board, stage=stage)
        return DraftLine(board, stage, self.mention, line)

    def _end(self, board: str = "", stage: str = "") -> DraftLine:
        if self.gone:
            return DraftLine(board, stage, self.mention, left_out=not self.noted, noted=self.noted)
        return DraftLine(board, stage, self.mention, doubts=tuple(self.doubts), whole=self.whole)

    def _asked(
        self,
        what: str,
        question: str,
        choices: tuple[Choice, ...],
        free: str = "",
        span: tuple[int, int] | None = None,
    ) -> str | None:
        """The answer to a question; None with the doubt, or where the item is left out."""
        typed = self.text[slice(*(span or self.item.span))]
        about = " ".join(typed.casefold().split()) if span else ""
        about = f"{self.told} {about}{self.item.span}" if self.share > 1 else about  # as others ask the same
        doubt = Doubt(what, self.item.span, typed, question, (*choices, OR_LEAVE), free, self._known(), about)
        answer = self.answers.get(doubt.key)
        if answer in {LEAVE, KEEP}:
            self.gone, self.noted = True, answer == KEEP
        elif answer is None or not (free or answer in {choice.value for choice in choices}):
            self.doubts.append(doubt)
            return None
        return None if self.gone else answer

    def _known(self) -> Mapping[str, str]:
        return {"day": say_day(self.day), "text": self.typed}

    def _going(self) -> Atom | None:
        """The board that goes on from above or from before."""
        before = self.before if self.before and not self.before.stale else None
        return self.header or (before.mention if before else None)

    def _respelled(self) -> Item:
        """The item with its slips of the pen put right."""
        going, known = self._going(), self.ask.glossary
        boards = going.boards if going else None
        return respelled(self.item, known.vocabulary, known.names, self.ask.state, self.day, boards)

    def _with_told(self) -> Item:
        """The item of the board that was answered; another name in it is a remark."""
        atoms = (
            replace(a, kind=UNKNOWN)
            if a.kind == BOARD and a.boards and self.told not in a.boards.boards
            else a
            for a in self.item.atoms
        )
        return replace(self.item, atoms=tuple(atoms))

    def _as_a_whole(
        self, named: Sequence[Atom], said: tuple[str, ...] | None
    ) -> tuple[str, tuple[Choice, ...]] | None:
        """What is asked of the whole item, and answers to choose from; None where nothing is."""
        item = self.item
        if item.of(OF_SHOP) and not self.told:
            return "Is that time on the board, or on the shop? Write each as a line of its own.", ()
        if item.of(OF_AWAY) and not (named or said):
            return "Was this a day off, or are these hours? Write it as one of the two.", ()
        if counts_other_work(item):
            return "Two pieces of work, and one time. Write each with its own hours.", ()
        if self.told:
            return None
        if len({m.boards.boards for m in named if m.boards}) > 1:
            return "Several boards, and one time. Whose hours are they?", ways_to_share(
                item, self.ask, self.day
            )
        if self._painted(named, said):
            question = "Is that the board, or the colour? Write the board's whole name."
            return question, self.ask.likely_boards(named[0].text, self.day)
        return self._another(named)

    def _painted(self, named: Sequence[Atom], stage: tuple[str, ...] | None) -> bool:
        """Whether a word that names a board may be the colour that was sprayed: spray red 4, behind another board."""
        before = self.before
        if len(named) != 1 or before is None or before.mention is None or stage != ("spray",):
            return False
        return before.stage == "spray" and is_painted(self.item, named[0])

    def _another(self, named: Sequence[Atom]) -> tuple[str, tuple[Choice, ...]] | None:
        """What is asked where words beside the board's name may name another one."""
        if not named or named[0].boards is None:
            return None
        names, own = self.ask.glossary.names, named[0].boards.boards
        if number := number_of_a_name(self.item, names, self.ask.state, self.day):
            question = "is that hours, or a board's name? Write the whole name, and h behind the hours."
            return f"“{number.text}”: {question}", ()
        if word := word_for_another(self.item, names):
            question = f"Which board is “{word.text}”? Choose it, or write each board with its own hours."
            return question, self.ask.likely_boards(word.text, self.day, *own)
        if hours_of_another(self.item):
            return "Two pieces of work, and one time. Write each with its own hours.", ()
        return None

    def _board(self, named: Sequence[Atom], stage: tuple[str, ...] | None) -> str:
        """The id of the board, or empty with a doubt."""
        one = stage[0] if stage and len(stage) == 1 else ""
        if not named:
            return self._inherited(one)
        atom = named[0]
        assert atom.boards is not None
        likely, sure = self.ask.state.likely(atom.boards.boards, self.day, one)
        self.mention = atom
        if sure:
            return likely[0]
        over = not any(self.ask.state.there(board, self.day) for board in likely)
        if over and len(likely) == 1:
            question = (
                f"{self.ask.name(likely[0])} was not in the shop on {say_day(self.day)}. Is it that board?"
            )
        else:
            question = f"Which board is “{atom.text}”?"
        choices = self.ask.boards(likely[:MOST_CHOICES])
        return self._asked("board", question, choices, span=atom.span) or ""

    def _inherited(self, stage: str) -> str:
        """The board that goes on from above or from before; asked where a word may name another."""
        strange = strange_word(self.item, self.ask.glossary.names)
        before = self.before if self.before and not self.before.stale else None
        if self.item.of(OF_DITTO) and self.ditto and self.ditto.board and not strange:
            self.mention = self.ditto.mention
            return self.ditto.board
        going = self._going()
        if going is not None and not strange and going.boards is not None:
            self.mention = going
            if before and before.board and going is before.mention:
                return self._goes_back(before.board, stage) or before.board
            likely, sure = self.ask.state.likely(going.boards.boards, self.day, stage)
            if sure:
                return likely[0]
            boards = self.ask.boards(likely[:MOST_CHOICES])
            return self._asked("board", f"Which board is “{going.text}”?", boards, span=going.span) or ""
        question = f"Which board is “{strange.text}”?" if strange else f"Which board was “{self.typed}”?"
        last = self.ditto.board if self.ditto else ""
        choices = self.ask.likely_boards(strange.text if strange else "", self.day, last)
        return self._asked("board", question, (*choices, NO_BOARD_AT_ALL)) or ""

    def _goes_back(self, board: str, stage: str) -> str:
        """The board of work that the one before is past: it may be another's, or on none; empty where it is not."""
        thing = self.item.of(UNKNOWN)  # cleaned the brushes
        if (
            not (stage and thing)
            or self.item.of(OF_AGAIN)
            or not self.ask.state.behind(board, self.day, stage)
        ):
            return ""
        if self.ditto and self.ditto.line and (self.ditto.line.again or self.ditto.stage == stage):
            return ""
        choices = (*self.ask.likely_boards("", self.day, board), NO_BOARD_AT_ALL)
        question = f"Was “{self.typed}” on {self.ask.name(board)}, which is past that?"
        answer = self._asked("board", question, choices)
        return answer or ("" if self.gone or self.doubts else board)

    def _stage(self, said: tuple[str, ...] | None, board: str) -> str:
        """The stage, or empty with a doubt."""
        if said is not None and len(said) == 1:
            return said[0]
        if said is None and self.item.of(OF_DITTO) and self.ditto and self.ditto.stage:
            return self.ditto.stage
        if said is None and self.before and self.before.is_part_of(self.item, PARTS):
            return self.before.stage
        if said is not None and board:
            at_hand = [one for one in said if one in self.ask.state.next_stages(board, self.day)]
            if len(at_hand) == 1 and self._either():
                return at_hand[0]
        if said is not None:
            several = " and ".join(self.ask.settings.label(stage) for stage in said)
            question = f"“{self.typed}”: {several}. Which of them are the hours for?"
            choices = tuple(Choice(stage, self.ask.settings.label(stage)) for stage in said)
        else:
            who = self.ask.name(board) if board else "the board"
            question = f"Which work on {who} was “{self.typed}”?"
            choices = self.ask.near_stages(self.item) + self.ask.stages(board, self.day)
            choices = tuple(dict.fromkeys(choices))
        return self._asked("stage", question, choices) or ""

    def _either(self) -> bool:
        """Whether one word stands for several stages, of which the board is at one only: the glass of a board."""
        return len({a.meaning.value for a in self.item.of(OF_STAGE, COUNT) if a.meaning}) == 1

    def _time(self) -> WorkedTime | None:
        """The time, or None with a doubt."""
        ask = self.ask.glossary.hours_in_a_day
        times = self.item.of(TIME)
        clocks = self.item.of(SPAN_OF_TIME)
        unsure = [a for a in self.item.of(COUNT) if not a.sure]
        if times and not self.item.of(QUERY) and counts_or_hours(self.item):
            written = times[0].text
            question = f"“{self.typed}”: is {written} the pieces, or the hours? How many hours were they?"
            return self._typed_time(question, (Choice(f"{written} h", f"{written} h"),))
        if times and not self.item.of(QUERY):
            assert times[0].time is not None
            time = times[0].time.time
            if (times[0].time.bare and not time.hours) or reads_as_money(times[0].text, time.hours, ask):
                says = f"{time.hours:g} h"
                return self._typed_time(f"“{self.typed}”: how many hours were they?", (Choice(says, says),))
            if time.hours > LONG_DAY and self.until is None and not time.grain:
                tenth = (
                    (Choice(f"{time.hours / 10:g}", f"{time.hours / 10:g} h"),) if time.hours < 100 else ()
                )
                return self._typed_time(
                    f"{time.hours:g} hours in one day? How many were they?",
                    (*tenth, Choice(f"{time.hours:g} h", f"{time.hours:g} h")),
                )
            return time
        if times:
            assert times[0].time is not None
            written = times[0].time.text
            says = f"{say_value(times[0].time.time.hours)} h"
            return self._typed_time(f"“{self.typed}”: how many hours were they?", (Choice(written, says),))
        if clocks:
            clock = clocks[0].clock
            assert clock is not None
            by_day = clock.in_a_day or (clock.offered if clock.first > ask else None)
            hours = clock.hours if self.until else clock.hours or by_day
            if hours is not None and not self.item.of(QUERY):
                return WorkedTime(hours)
            ends = clock.ends(ask)
            if clock.offered:
                ends = [f"{clock.offered:g}", *ends]
            return self._typed_time(
                f"“{clocks[0].text}”: how many hours were they?",
                tuple(Choice(end, f"{end} h") for end in dict.fromkeys(ends)),
            )
        offered = tuple(Choice(f"{a.number:g}", f"{a.number:g} h") for a in unsure) or (AS_NOTE,)
        return self._typed_time(f"How many hours were “{self.typed}”?", offered)

    def _only_done(self, board: str, stage: str) -> bool:
        """Whether it says no more than that work is done which has its hours: red strip done."""
        says = {atom.meaning.value for atom in self.item.of(OF_DONE) if atom.meaning}
        timed = self.item.of(*TIMES, COUNT, QUERY, OF_AGAIN)
        if says != {("yes",)} or timed or not (board and stage):
            return False
        return (board, stage) in self.worked or bool(self.ask.state.hours_on(board, stage, self.day))

    def _typed_time(self, question: str, choices: tuple[Choice, ...]) -> WorkedTime | None:
        """A time that is asked."""
        answer = self._asked("hours", question, choices, A_TIME)
        if answer is None:
            return None
        try:
            return read_worked_time(answer, self.ask.glossary.hours_in_a_day)
        except UnreadableError as error:
            self.doubts.append(
                Doubt(
                    "hours",
                    self.item.span,
                    self.typed,
                    str(error),
                    (*choices, OR_LEAVE),
                    A_TIME,
                    self._known(),
                )
            )
            return None

    def _done(self) -> bool | None:
        """Whether the stage is done; asked where it is said both ways, or before all else."""
        atoms = [a for a in self.item.of(OF_DONE) if a.meaning and a.meaning.value[0]]
        said = {a.meaning.value[0] for a in atoms if a.meaning}
        first = next((a.kind for a in self.item.atoms if a.kind not in SEPARATORS | {LITTLE}), "")
        leads = first == OF_DONE and atoms[0].text.casefold() == "done"
        if len(said) == 1 and not leads and not (said == {"yes"} and part_done(self.item, atoms)):
            return said == {"yes"}
        if not said:
            return None
        choices = (Choice("yes", "yes, it is finished"), Choice("no", "no, more is to come"))
        answer = self._asked("done", f"“{self.typed}”: is that work finished?", choices)
        return None if answer is None else answer == "yes"

    def _again(self, stage: str) -> tuple[str, str]:
        """Why it was done again, and what was."""
        atoms = self.item.of(OF_AGAIN)
        more = any(a.meaning and a.meaning.again for a in self.item.of(OF_STAGE))
        if not atoms and not more:
            return "", stage
        reasons = list(dict.fromkeys(a.meaning.value[0] for a in atoms if a.meaning and a.meaning.value[0]))
        plain = any(a.meaning and not a.meaning.value[0] for a in atoms) or more
        if len(reasons) > 1:
            choices = tuple(Choice(reason, reason) for reason in reasons)
            return self._asked("again", "Why was it done again?", choices) or "", stage
        before = self.before.atoms if self.before and self._asked_again_before() else ()
        if plain and not reasons and before:
            why = [
                a.meaning.value[0] for a in before if a.kind == OF_AGAIN and a.meaning and a.meaning.value[0]
            ]
            choices = (
                *(Choice(one, f"yes, {REASONS[one].split(',')[0]}") for one in why),
                Choice("yes", "no, something else"),
            )
            words = ", ".join(a.text for a in before if a.kind == OF_AGAIN)
            return self._asked("again", f"“{self.typed}”: was that for “{words}”?", choices) or "", stage
        if plain:
            return (reasons[0] if reasons else "yes"), stage
        choices = (Choice(reasons[0], "yes, it was done again"), Choice("no", "no"))
        answer = self._asked("again", f"“{self.typed}”: was this work done again?", choices)
        return ("" if answer in {None, "no"} else str(answer)), stage

    def _asked_again_before(self) -> bool:
        """Whether the item before says why something is done again, and not that it is."""
        before = self.before
        if before is None or before.stale:
            return False
        told = before.line is not None and before.line.again in REASONS
        return told or any(doubt.what == "again" for doubt in before.doubts)

    def _on_shop(self) -> DraftLine:
        """Time on no board."""
        time = self._time()
        if self.gone or self.doubts or time is None:
            return self._end()
        stage, note = shop_words(self.item, self.text)
        line = replace(self._made(SHOP, stage, time, None, ""), note=note)
        return self._end() if self.doubts or self.gone else DraftLine(SHOP, stage, None, line)

    def _made(self, board: str, stage: str, time: WorkedTime, done: bool | None, again: str) -> HoursLine:
        """The line."""
        until = self.until
        if time.grain is not None and time.hours > self.ask.glossary.hours_in_a_day and until is None:
            days = round(time.hours / self.ask.glossary.hours_in_a_day + 0.49)
            last = self.day + dt.timedelta(days=days - 1)
            choices = (
                Choice(last.isoformat(), f"from {say_day(self.day)} to {say_day(last)}"),
                Choice(
                    (self.day - dt.timedelta(days=days - 1)).isoformat(),
                    f"from {say_day(self.day - dt.timedelta(days=days - 1))} to {say_day(self.day)}",
                ),
            )
            answer = self._asked("until", f"Over which days were “{self.typed}”?", choices)
            if answer:
                other = dt.date.fromisoformat(answer)
                self.day, until = min(self.day, other), max(self.day, other)
        written = ""
        if time.grain is not None:
            written = f"{time.hours / self.ask.glossary.hours_in_a_day:g} days"
        if time.about:
            written = f"about {written or f'{time.hours:g}'}"
        note = "" if board == SHOP else remark_of(self.item.atoms, self.text, (OF_AWAY,))
        amounts = tuple(
            (a.noun, a.number)
            for a in self.item.of(COUNT)
            if a.noun in self.ask.glossary.drivers and a.noun and board != SHOP
        )
        return HoursLine(
            board,
            self.day,
            stage,
            time.hours,
            until=until if until and until > self.day else None,
            done=done,
            again=again,
            note=note,
            written=written,
            amounts=amounts,
            span=self.item.span,
            pieces=pieces_of(self.item.atoms, board),
        )

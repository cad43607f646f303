"""Boards as a notebook names them: by id, by short name, or by a part of it; and which can be meant on a day."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from difflib import SequenceMatcher, get_close_matches

from estimator.log.names import PLAIN, in_figures, length_words, parts_of
from estimator.log.notebook.spelling import is_slip, one_out, slips
from estimator.log.notebook.tokens import NUMBER_WORDS, UNITS, Token
from estimator.log.notebook.vocabulary import SMALL, Phrase, Vocabulary, words_of
from estimator.log.stage_hours import followers
from estimator.words.records import ASKED, DECLINED, FINISHED, SHOP, WITHDRAWN, Board, Entry
from estimator.words.settings.schema import Settings

NEAR = 0.75  # likeness from which a name is offered as the one that was meant
EARLY = 2  # stages that can come before one of a board that was not begun
_LONG_OVER = dt.timedelta(days=1)
_IN_WORDS = {number: word for word, number in UNITS.items()}


@dataclass(frozen=True, slots=True)
class Mention:
    """Boards that words may mean. exact: a whole name or an id; end: the place behind the words"""

    boards: tuple[str, ...]
    exact: bool
    end: int


class BoardNames:
    """The boards of a log by their names and parts of them."""

    def __init__(self, boards: Iterable[Board], vocabulary: Vocabulary) -> None:
        self.boards = {board.board: board for board in boards}
        self._whole: dict[Phrase, list[str]] = defaultdict(list)
        self._part: dict[Phrase, list[str]] = defaultdict(list)
        stages = {phrase[0] for phrase in vocabulary.phrases if len(phrase) == 1}
        for board in self.boards.values():
            self._whole[words_of(board.board)].append(board.board)
            name = words_of(board.called)
            if name and board.called.casefold() != board.board.casefold():
                self._whole[name].append(board.board)
                if (as_figures := in_figures(name)) != name:
                    self._whole[as_figures].append(board.board)
                for part in parts_of(name, stages):
                    self._part[part].append(board.board)
        self._whole.pop((), None)
        self._by_owner(stages)
        self._lengths = self._by_length()
        self._index()
        self._longest = max(map(len, (*self._whole, *self._part)), default=0)
        self.words = frozenset(word for phrase in (*self._whole, *self._part) for word in phrase)

    def _by_owner(self, taken: set[str]) -> None:
        """Boards by whose they are, where no board's own name has these words: Mrs Winnow's, Pask's."""
        named = {word for phrase in (*self._whole, *self._part) for word in phrase}
        for board in self.boards.values():
            owner = words_of(board.owner)
            for part in {owner, *((word,) for word in owner)} if owner else ():
                plain = len(part) == 1 and (
                    part[0] in taken | SMALL | PLAIN | NUMBER_WORDS or len(part[0]) < _SHORTEST
                )
                if not plain and not set(part) <= named:
                    self._part[part].append(board.board)

    def _by_length(self) -> dict[Phrase, list[str]]:
        """Boards by feet and inches, in figures and in words: 9'4, nine-four."""
        lengths: dict[Phrase, list[str]] = defaultdict(list)
        for board in self.boards.values():
            if board.length_m is not None:
                feet, inches = divmod(round(board.length_m / 0.0254), 12)
                lengths[(str(feet), str(inches))].append(board.board)
                lengths[(_IN_WORDS.get(feet, ""), _IN_WORDS.get(inches, ""))].append(board.board)
        return lengths

    def at(self, tokens: Sequence[Token], place: int) -> Mention | None:
        """The longest name, or part of one, that begins at a place."""
        words: list[str] = []
        best: Mention | None = None
        at = place
        while at < len(tokens) and len(words) <= self._longest:
            token = tokens[at]
            if token.joins and words:
                at += 1
                continue
            if token.kind == "line end" or (token.kind == "mark" and not (at > place and token.plain == "'")):
                break
            words += length_words(token)
            at += 1
            for kept, exact in ((self._whole, True), (self._part, False)):
                if (found := kept.get(tuple(words))) and (best is None or at > best.end):
                    best = Mention(tuple(dict.fromkeys(found)), exact, at)
            if best is None and len(words) == 2 and (long := self._lengths.get(tuple(words))):
                best = Mention(tuple(long), exact=False, end=at) if _is_length(tokens[place:at]) else None
            if best is None and len(words) > 1 and (nearly := self._nearly(tuple(words))):
                best = Mention(nearly, exact=False, end=at)
        return best

    def _index(self) -> None:
        """Names by what is left of them with a word or a letter out, so that slips are found among thousands."""
        self._gaps: dict[tuple[Phrase, int, Phrase], list[Phrase]] = defaultdict(list)
        self._near: dict[str, dict[str, None]] = defaultdict(dict)
        self._cut: dict[str, list[str]] = defaultdict(list)
        for name, boards in (*self._whole.items(), *self._part.items()):
            if len(name) == 1:
                for left in one_out(name[0]):
                    self._near[left][name[0]] = None
            for at in range(len(name) if len(name) > 1 else 0):
                self._gaps[name[:at], at, name[at + 1 :]].append(name)
            for end in range(_CUT, len(name[0])):
                self._cut[name[0][:end]] += boards

    def _nearly(self, words: Phrase) -> tuple[str, ...]:
        """Boards that have a name of these words but for one letter in one of them: clup board, nien-four."""
        like = [
            name for at in range(len(words)) for name in self._gaps.get((words[:at], at, words[at + 1 :]), ())
        ]
        found = [
            board
            for name in like
            if _one_slip(words, name)
            for board in (*self._whole.get(name, ()), *self._part.get(name, ()))
        ]
        return tuple(dict.fromkeys(found))

    def slip(self, word: str) -> tuple[str, ...]:
        """Boards that have a name of one word, which is this one with a slip of the pen, or cut short."""
        if cut := self._cut.get(word):
            return tuple(dict.fromkeys(cut))  # tang.
        like = dict.fromkeys(name for left in one_out(word) for name in self._near.get(left, ()))
        near = [name for name in like if is_slip(word, name)]
        if len(near) != 1:
            return ()
        boards = self._whole.get((near[0],), []) or self._part.get((near[0],), [])
        return tuple(dict.fromkeys(boards))

    def nearest_first(self, word: str, boards: Iterable[str]) -> tuple[str, ...]:
        """Boards in order, those first of whose names one is written most like a word."""
        plain = word.casefold()
        like = {board: max(_like(plain, name) for name in self._names_of(board)) for board in boards}
        return tuple(sorted(like, key=lambda board: 1.0 if like[board] < _LIKE else -like[board]))

    def _names_of(self, board: str) -> tuple[str, ...]:
        """The words of a board's name, and the whole of it."""
        row = self.boards[board]
        return (row.name.casefold(), *words_of(row.called))

    def begun_with(self, words: Phrase) -> tuple[str, ...]:
        """Boards that have a name, or a part of one, which begins with these words and has more."""
        many = len(words)
        found = (
            board
            for kept in (self._whole, self._part)
            for phrase, boards in kept.items()
            if len(phrase) > many and phrase[:many] == words
            for board in boards
        )
        return tuple(dict.fromkeys(found))

    def near(self, word: str) -> tuple[str, ...]:
        """Boards one of whose names is nearly this word."""
        if len(word) < 3:
            return ()
        singles = {phrase[0]: found for phrase, found in self._part.items() if len(phrase) == 1}
        singles |= {phrase[0]: found for phrase, found in self._whole.items() if len(phrase) == 1}
        close = get_close_matches(word, [one for one in singles if one not in NUMBER_WORDS], n=2, cutoff=NEAR)
        return tuple(dict.fromkeys(board for one in close for board in singles[one]))


_LIKE = 0.5  # likeness below which boards stand in the order in which they were worked on


def _like(word: str, name: str) -> float:
    """How alike two words are: 1 the same, 0 without a letter in common."""
    return SequenceMatcher(None, word, name).ratio()


def _one_slip(words: Phrase, name: Phrase) -> bool:
    """Whether all words are the same but one, which has one letter wrong and is no number."""
    other = [(typed, meant) for typed, meant in zip(words, name, strict=True) if typed != meant]
    if len(other) != 1:
        return False
    typed, meant = other[0]
    plain = typed.isalpha() and typed not in NUMBER_WORDS and len(typed) >= _SHORTEST
    return plain and slips(typed, meant) == 1


def _is_length(tokens: Sequence[Token]) -> bool:
    """Whether two numbers are written as a length: 9'4, 9-4, nine four; not 9 4."""
    return (
        len(tokens) == 1
        or any(token.joins for token in tokens)
        or all(token.kind == "word" for token in tokens)
    )


_CUT = 4  # letters of a name that is cut short
_SHORTEST = 3  # letters of a word that is taken for another


class WorkState:
    """How far each board is on any day: when it was begun, what is in hand, what comes next."""

    def __init__(self, boards: Iterable[Board], entries: Iterable[Entry], settings: Settings) -> None:
        self._boards = {board.board: board for board in boards}
        self._entries: dict[str, list[Entry]] = defaultdict(list)
        self._away: set[tuple[dt.date, dt.date, str]] = set()
        for entry in entries:
            if entry.hours > 0:
                self._entries[entry.board].append(entry)
            elif entry.board == SHOP:
                self._away.add((entry.date, entry.last, entry.note))
        self._after = followers(settings.stages)
        self._before: Mapping[str, int] = {
            name: sum(name in later for later in self._after.values()) for name in settings.stages
        }
        self._settings = settings

    def over(self, board: str, day: dt.date) -> bool:
        """Whether a board was ready, or given up, before a day."""
        row = self._boards[board]
        if row.ready is not None:
            return row.ready + _LONG_OVER <= day
        return row.state in {FINISHED, DECLINED, WITHDRAWN}

    def begun(self, board: str, day: dt.date) -> bool:
        """Whether work had begun on a day, or begins on it."""
        row = self._boards[board]
        return bool(row.started and row.started <= day) or any(e.date <= day for e in self._entries[board])

    def there(self, board: str, day: dt.date) -> bool:
        """Whether a board can have hours of a day."""
        row = self._boards[board]
        asked = row.asked or row.accepted or row.started
        return not self.over(board, day) and not (asked and asked > day)

    def early(self, stage: str) -> bool:
        """Whether a stage can be the first one of a board."""
        return self._before.get(stage, 0) <= EARLY

    def likely(self, named: Iterable[str], day: dt.date, stage: str) -> tuple[tuple[str, ...], bool]:
        """Of boards of one name those that can be meant, the likeliest first; and whether it is sure which.

        stage: empty where it is not known
        """
        there = [board for board in named if self.there(board, day)]
        begun = [board for board in there if self.begun(board, day)]
        waiting = [board for board in there if board not in begun]
        early = not stage or self.early(stage)
        if begun and not (early and [b for b in waiting if self._boards[b].state != ASKED]):
            chosen = begun
        else:
            chosen = begun + waiting
        if not chosen:
            over = sorted(named, key=lambda board: self._boards[board].ready or dt.date.min, reverse=True)
            return tuple(over[:8]), False
        ordered = sorted(chosen, key=lambda board: (not self._fits(board, day, stage), board not in begun))
        return tuple(ordered), len(ordered) == 1

    def _fits(self, board: str, day: dt.date, stage: str) -> bool:
        """Whether a stage is the one in hand, or comes next."""
        return stage in self.next_stages(board, day)

    def next_stages(self, board: str, day: dt.date) -> tuple[str, ...]:
        """The stage in hand on a day, and what comes after it in order of work; the first ones of a board not begun."""
        stages = list(self._after)
        past = sorted((e for e in self._entries[board] if e.date <= day), key=lambda e: e.date)
        if not past:
            return tuple(stages[:3])
        had = [entry.of or entry.stage for entry in past if (entry.of or entry.stage) in self._after]
        done = {entry.stage for entry in past if entry.done}
        if not had:
            return tuple(stages[:3])
        last = had[-1]
        behind = [stage for stage in stages[stages.index(last) + 1 :] if stage not in had]
        in_hand = [] if last in done else [last]
        open_too = [s for s in dict.fromkeys(reversed(had)) if s not in done and s not in in_hand][:1]
        return tuple(dict.fromkeys((*in_hand, *behind[:2], *open_too)))

    def behind(self, board: str, day: dt.date, stage: str) -> bool:
        """Whether the work on a board is past a stage on a day: what can only come after it was begun."""
        had = {entry.of or entry.stage for entry in self._entries[board] if entry.date <= day}
        return stage not in had and bool(had & self._after.get(stage, frozenset()))

    def booked(self, board: str, day: dt.date, last: dt.date, stage: str) -> tuple[Entry, ...]:
        """What the log has already on a board and a stage on any of these days."""
        return tuple(
            entry
            for entry in self._entries[board]
            if entry.date <= last and entry.last >= day and stage in {entry.stage, entry.of}
        )

    def hours_on(self, board: str, stage: str, day: dt.date) -> float:
        """The hours that the log has on a board and a stage up to a day."""
        return sum(e.hours for e in self._entries[board] if e.stage == stage and e.date <= day)

    def says_away(self, first: dt.date, last: dt.date, note: str) -> bool:
        """Whether the log says of these days already that nobody worked, and why."""
        return (first, last, note) in self._away

    def entries_on(self, day: dt.date) -> tuple[Entry, ...]:
        """All that the log has on a day."""
        return tuple(e for of_it in self._entries.values() for e in of_it if e.date <= day <= e.last)

"""A diary's box as a row of the boards sheet: sort, length, what was done, when, how long and the price."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from estimator.log.notebook.amounts import time_at
from estimator.log.notebook.days_named import day_at
from estimator.log.notebook.diary_words import (
    BETWEEN,
    HOUR_WORDS,
    LEAST_PRICE,
    LINKS,
    MAY_BE_NO_MONTH,
    MONEY_SIGNS,
    MONTH_NUMBERS,
    PAID,
    PRICE,
    SAYS_WHEN,
    SIDES,
    TOTAL,
    YEAR,
    is_denied,
    month_end,
    notes_of,
    sorts_of,
    sum_of,
)
from estimator.log.notebook.page import A_LINE, LEAVE, Choice, Doubt, Span, TextPiece
from estimator.log.notebook.tokens import (
    LINE_END,
    MARK,
    NUMBER,
    NUMBER_WORDS,
    UNITS,
    WORD,
    Token,
    figures,
    tokens_of,
)
from estimator.log.notebook.vocabulary import COUNTED, STAGE, Vocabulary, vocabulary_of
from estimator.words.dates import MONTHS, say_day
from estimator.words.errors import UnreadableError
from estimator.words.json_form import HIDDEN, JsonForm
from estimator.words.measures import read_length_m
from estimator.words.settings.schema import Settings


@dataclass(frozen=True, slots=True)
class DiaryBox(JsonForm):
    """A board as a diary has it.

    cells: of its row on the boards sheet, by column; doubts: what is to be asked first
    pieces: what each piece of the text was taken for: a column, or between
    """

    text: str
    cells: Mapping[str, str]
    doubts: tuple[Doubt, ...] = ()
    pieces: tuple[TextPiece, ...] = field(default=(), metadata=HIDDEN)


class DiaryReader:
    """Reads a diary, one box a board, with the words of the workshop's settings.

    today: no board was ready later
    """

    def __init__(self, settings: Settings, today: dt.date) -> None:
        self.settings, self.today = settings, today
        self.vocabulary: Vocabulary = vocabulary_of(settings, ())
        self.sorts = sorts_of(settings)
        self.grades = {
            word: (name, word)
            for name, modifier in settings.modifiers.items()
            for word in modifier.grades
            if word not in {"sound", "bands", "curves", "nested", "none"}
        }

    def read(self, text: str, *, year: int, answers: Mapping[str, str] | None = None) -> DiaryBox:
        """The row that a box makes.

        year: that of dates which have none, as in the box before; answers: to doubts of an earlier reading
        """
        return _Box(self, text, year, answers or {}).read()


@dataclass(slots=True)
class _Box:
    """One box at work."""

    reader: DiaryReader
    text: str
    year: int
    answers: Mapping[str, str]
    tokens: tuple[Token, ...] = ()
    pieces: list[TextPiece] = field(default_factory=list)
    cells: dict[str, str] = field(default_factory=dict)
    doubts: list[Doubt] = field(default_factory=list)
    times: list[tuple[Span, str]] = field(default_factory=list)
    bare: list[tuple[Span, str]] = field(default_factory=list)
    prices: list[tuple[Span, str]] = field(default_factory=list)
    dates: list[tuple[Span, dt.date, bool]] = field(default_factory=list)  # exact?
    last_stage: str = ""
    says: str = ""  # what a word before a date says of it
    said: dict[str, str] = field(default_factory=dict)  # dates of which that was said

    def read(self) -> DiaryBox:
        """The row."""
        self.tokens = tokens_of(self.text)
        place = 0
        while place < len(self.tokens):
            end, role = self._at(place)
            self.pieces.append(TextPiece((self.tokens[place].start, self.tokens[end - 1].end), role))
            place = end
        self._amounts()
        self._when()
        self._named()
        if (
            not any(self.cells.get(column) for column in ("kind", "length", TOTAL, PRICE))
            and self.text.strip()
        ):
            self._ask("line", (0, len(self.text)), "I can't make a board of this. What is it?", (), A_LINE)
        if self.cells:
            self.cells["state"] = "finished"
        return DiaryBox(self.text, dict(self.cells), tuple(self.doubts), tuple(self.pieces))

    def _at(self, place: int) -> tuple[int, str]:
        """The place behind what begins at a place, and the column that it goes to."""
        token = self.tokens[place]
        if token.kind == LINE_END or (token.kind == MARK and token.plain in BETWEEN):
            return place + 1, "between"
        if end := self._length(place):
            return end, "length"
        if token.plain in MONEY_SIGNS and place + 1 < len(self.tokens) and (price := self._money(place + 1)):
            self.prices.append(((token.start, self.tokens[price[0] - 1].end), price[1]))
            return price[0], PRICE
        if end := self._day(place):
            return end, "when"
        if token.plain in LINKS:
            return place + 1, "between"
        if token.plain in SAYS_WHEN and self._day_follows(place + 1):
            self.says = SAYS_WHEN[token.plain]
            return place + 1, "when"
        words = tuple(t.plain for t in self.tokens[place : place + 5])
        for size in range(len(words), 0, -1):
            if (kind := self.reader.sorts.get(words[:size])) and "kind" not in self.cells:
                self.cells["kind"] = kind
                return place + size, "kind"
        if found := self._counted(place) or self._amount(place):
            return found
        if token.plain in self.reader.grades and not is_denied(self.tokens, place):
            name, word = self.reader.grades[token.plain]
            self.cells.setdefault(f"found_{name}", word)
            return place + 1, f"found_{name}"
        if phrase := self.reader.vocabulary.at(self.tokens, place):
            meaning, end = phrase
            if meaning.of == STAGE:
                self.last_stage = meaning.value[0] if len(meaning.value) == 1 else ""
                return self._after_stage(end)
        return place + 1, "note"

    def _length(self, place: int) -> int:
        """The place behind a board's length that begins at a place; 0 for none."""
        if "length" in self.cells:
            return 0
        if self.tokens[place].kind != NUMBER:
            return self._spoken_length(place)
        for size in (5, 4, 3, 2, 1):
            piece = self.tokens[place : place + size]
            text = "".join(f"{' ' if t.apart and at else ''}{t.text}" for at, t in enumerate(piece))
            says = re.search(r"['’′]|ft|foot|feet|cm|\bm\b", text.lower()) or re.fullmatch(
                r"[4-9]-[0-9]{1,2}", text
            )
            if len(piece) < size or not says or piece[-1].plain in {",", ".", "-"}:
                continue
            try:
                read_length_m(text)
            except UnreadableError:
                continue
            self.cells["length"] = text
            return place + size
        return 0

    def _spoken_length(self, place: int) -> int:
        """The same for nine-six."""
        feet, *rest = self.tokens[place : place + 3]
        if len(rest) < 2 or not rest[0].joins or rest[0].apart or rest[1].apart:
            return 0
        size = [UNITS.get(token.plain, 0) for token in (feet, rest[1])]
        if not (4 <= size[0] <= 12 and 0 < size[1] <= 11):
            return 0
        self.cells["length"] = f"{size[0]}'{size[1]}"
        return place + 3

    def _money(self, place: int) -> tuple[int, str] | None:
        """The place behind a sum of money, and it."""
        token = self.tokens[place]
        money = sum_of(token.text)
        return (place + 1, money) if money else None

    def _day(self, place: int) -> int:
        """The place behind a day or a month; 0 for none."""
        token = self.tokens[place]
        near = dt.date(self.year, 7, 1)
        style = self.reader.settings.workshop.dates
        found = day_at(self.tokens, place, near, style, first=False)
        span_to = self.tokens[(found.end if found else place + 1) - 1].end
        if found and found.days and not found.wrong:
            span, days = (token.start, span_to), found.days
            month_first = token.plain in MONTH_NUMBERS and found.end == place + 2
            number = self.tokens[place + 1].plain if month_first else ""
            if (
                month_first
                and len(number) == 2
                and 2000 + int(number) <= self.reader.today.year
                and int(number) > 12
            ):
                month = dt.date(2000 + int(number), MONTH_NUMBERS[token.plain], 1)
                self._two_days(span, days[0], month)
            elif len(days) > 1:
                self._which_day(span, days)
            else:
                self._dated(span, days[0], exact=True)
            return found.end
        if token.plain in MONTH_NUMBERS and token.kind == WORD:
            behind = self.tokens[place + 1] if place + 1 < len(self.tokens) else None
            year = behind is not None and re.fullmatch(r"(19|20)[0-9]{2}", behind.plain)
            if token.plain in MAY_BE_NO_MONTH and not (year or token.text[0].isupper()):
                return 0
            end = place + 2 if year else place + 1
            in_year = int(behind.plain) if year and behind else self.year
            month = dt.date(in_year, MONTH_NUMBERS[token.plain], 1)
            self._dated((token.start, self.tokens[end - 1].end), month, exact=False)
            return end
        return 0

    def _two_days(self, span: Span, day: dt.date, month: dt.date) -> None:
        """March 24: a day, or a month of a year."""
        choices = (
            Choice(f"{month:%Y-%m}", f"{MONTHS[month.month - 1]} {month.year}"),
            Choice(day.isoformat(), say_day(day)),
        )
        answer = self._ask("day", span, f"“{self.text[slice(*span)]}”: which of the two is it?", choices)
        if answer == choices[0].value:
            self._dated(span, month, exact=False)
        elif answer:
            self._dated(span, day, exact=True)

    def _which_day(self, span: Span, days: Sequence[dt.date]) -> None:
        """A date in figures that can be two days."""
        choices = tuple(Choice(day.isoformat(), say_day(day)) for day in days)
        answer = self._ask(
            "day", span, f"“{self.text[slice(*span)]}” can be two days. Which one is it?", choices
        )
        if answer:
            self._dated(span, dt.date.fromisoformat(answer), exact=True)

    def _dated(self, span: Span, day: dt.date, *, exact: bool) -> None:
        """A date, for the column that a word before it names, or for what follows from their order."""
        if self.says and exact:
            self.said[self.says] = day.isoformat()
        else:
            self.dates.append((span, day, exact))
        self.says = ""

    def _day_follows(self, place: int) -> bool:
        """Whether a date or a month stands at a place, or behind one word more: ready by 4 May."""
        for at in (place, place + 1):
            if at >= len(self.tokens):
                return False
            token = self.tokens[at]
            month = token.plain in MONTH_NUMBERS and (
                token.plain not in MAY_BE_NO_MONTH or token.text[0].isupper()
            )
            near, style = dt.date(self.year, 7, 1), self.reader.settings.workshop.dates
            found = day_at(self.tokens, at, near, style, first=False)
            if month or (found and found.days):
                return True
            if token.plain not in {"by", "on", "in", ":"}:
                return False
        return False

    def _counted(self, place: int) -> tuple[int, str] | None:
        """How much of something there was: 2 col, 4 pcs, both sides."""
        words = tuple(t.plain for t in self.tokens[place : place + 2])
        if (
            words in SIDES
            and "sides_stripped" in self.reader.settings.drivers
            and self.last_stage in {"strip", ""}
        ):
            self._found("sides_stripped", SIDES[words])
            return place + 2, "found_sides_stripped"
        number, end = self._figure(place)
        noun = self.tokens[end].plain if number is not None and end < len(self.tokens) else ""
        driver = COUNTED.get(noun, "")
        if number is not None and driver in self.reader.settings.drivers and driver:
            self._found(driver, number)
            return end + 1, f"found_{driver}"
        return (
            (end + 1, "note") if number is not None and noun in COUNTED and noun not in HOUR_WORDS else None
        )

    def _figure(self, place: int) -> tuple[float | None, int]:
        """A whole number in figures or words, and the place behind it."""
        token = self.tokens[place]
        if token.kind == NUMBER and token.plain.isdecimal():
            return float(token.plain), place + 1
        if token.plain in NUMBER_WORDS:
            text, taken = figures([t.plain for t in self.tokens[place : place + 2] if t.kind == WORD])
            return (float(text), place + taken) if text.isdecimal() else (None, place)
        return None, place

    def _after_stage(self, end: int) -> tuple[int, str]:
        """A stage that was worked on; with what is counted right behind it: let in 4."""
        drivers = (
            [
                d
                for d in self.reader.settings.stages[self.last_stage].drivers
                if self.last_stage and d in set(COUNTED.values()) and d
            ]
            if self.last_stage
            else []
        )
        if len(drivers) == 1 and end < len(self.tokens):
            number, behind = self._figure(end)
            follows = self.tokens[behind].plain if number is not None and behind < len(self.tokens) else ""
            more = COUNTED.get(follows) == drivers[0]
            unit = follows in HOUR_WORDS or (
                (time := time_at(self.tokens, end, 1.0)) is not None and time.end > behind
            )
            if number is not None and number < 30 and not unit:
                self._found(drivers[0], number)
                return behind + more, f"found_{drivers[0]}"
        return end, "note"

    def _found(self, driver: str, number: float) -> None:
        """A quantity as it turned out; said twice, the sum is not guessed."""
        column = f"found_{driver}"
        if column in self.cells and self.cells[column] != f"{number:g}":
            label = self.reader.settings.quantity_label(driver)
            choices = tuple(Choice(one, one) for one in (self.cells[column], f"{number:g}"))
            answer = self._ask(
                "amount", (0, len(self.text)), f"{label}: how many were they in all?", choices, A_LINE
            )
            self.cells[column] = answer or self.cells[column]
            return
        self.cells[column] = f"{number:g}"

    def _amount(self, place: int) -> tuple[int, str] | None:
        """A time with its unit, a price, or a bare figure of which that is not sure yet."""
        token = self.tokens[place]
        if token.plain in PAID and place + 1 < len(self.tokens) and self.tokens[place + 1].kind == NUMBER:
            time = time_at(self.tokens, place + 1, 1.0)
            if (money := self._money(place + 1)) and time and time.bare:
                self.prices.append(((token.start, self.tokens[money[0] - 1].end), money[1]))
                return money[0], PRICE
        time = time_at(self.tokens, place, self.reader.settings.workshop.hours_in_a_day)
        if time is None:
            if token.kind == NUMBER and (money := self._money(place)):
                self.prices.append(((token.start, token.end), money[1]))
                return money[0], PRICE
            return None
        span = (token.start, self.tokens[time.end - 1].end)
        behind = self.tokens[time.end].plain if time.end < len(self.tokens) else ""
        if (
            behind
            and behind == self.reader.settings.workshop.currency.casefold()
            and (money := self._money(place))
        ):
            self.prices.append((span, money[1]))
            return time.end + 1, PRICE
        if not any(c.isalpha() for c in time.text.removeprefix("about ")) and ":" not in time.text:
            self.bare.append((span, time.text))
        else:
            self.times.append((span, time.text))
        return time.end, TOTAL

    def _amounts(self) -> None:
        """Hours and price, of the figures that were found."""
        if len(self.bare) == 1 and self.times and not self.prices:
            span, text = self.bare[0]
            money = sum_of(text)
            if money and float(money) >= LEAST_PRICE:
                self.prices, self.bare = [(span, money)], []
        elif len(self.bare) == 1 and not self.times and (self.prices or self.bare[0][1].startswith("about")):
            self.times, self.bare = self.bare, []
        if self.bare:
            self._what_figures()
        for column, found, question in (
            (TOTAL, self.times, "Several times: how long was it in all?"),
            (PRICE, self.prices, "Several prices: which was paid?"),
        ):
            values = list(dict.fromkeys(text for _, text in found))
            if len(values) == 1:
                self.cells[column] = values[0]
            elif values:
                span = (min(at[0] for at, _ in found), max(at[1] for at, _ in found))
                answer = self._ask(column, span, question, tuple(Choice(v, v) for v in values), A_LINE)
                if answer:
                    self.cells[column] = answer

    def _what_figures(self) -> None:
        """Bare figures: hours or a price."""
        for span, text in self.bare:
            choices = (
                Choice(TOTAL, f"{text} hours"),
                Choice(PRICE, "a price"),
                Choice("note", "something else"),
            )
            answer = self._ask("figure", span, f"“{text}”: are those hours, or a price?", choices)
            if answer == TOTAL:
                self.times.append((span, text))
            elif answer == PRICE:
                self.prices.append((span, sum_of(text) or text))
            elif answer == "note":
                self.pieces = [TextPiece(p.span, "note") if p.span == span else p for p in self.pieces]

    def _when(self) -> None:
        """The first and the last day: begun, and ready; a month says its last day at the end, and none at the start."""
        self.cells |= self.said
        if not self.dates:
            return
        dates = sorted(self.dates)
        days = [(day if exact else month_end(day)) for _, day, exact in dates]
        if max(days) > self.reader.today:
            days = [
                day.replace(year=day.year - 1)
                if day > self.reader.today and day.day < 29 and not YEAR.search(self.text[slice(*span)])
                else day
                for day, (span, _, _) in zip(days, dates, strict=True)
            ]
        if days != sorted(days) or len(days) > 3 or max(days) > self.reader.today:
            span = (dates[0][0][0], dates[-1][0][1])
            past = [day for day in sorted(set(days)) if day <= self.reader.today]
            choices = tuple(Choice(day.isoformat(), say_day(day)) for day in past)
            answer = self._ask(
                "ready", span, "The days don't follow one another. When was it ready?", choices, A_LINE
            )
            if answer:
                self.cells["ready"] = answer
            return
        if len(days) > 1 and dates[0][2]:
            self.cells["started"] = days[0].isoformat()
        if "ready" in self.cells:
            return
        self.cells["ready"] = days[1 if len(days) > 1 else 0].isoformat()
        if len(days) == 3:
            self.cells["collected"] = days[2].isoformat()
        vague = [self.text[slice(*span)] for span, _, exact in dates if not exact]
        if vague:
            self.pieces = [
                TextPiece(p.span, "note") if any(s == p.span and not e for s, _, e in dates) else p
                for p in self.pieces
            ]

    def _named(self) -> None:
        """What it is called: the words before all else, with the length; the rest is its note."""
        lead: list[TextPiece] = []
        for piece in self.pieces:
            if piece.role not in {"note", "length"} or (lead and lead[-1].role == "length"):
                break
            lead.append(piece)
        words = [p for p in lead if p.role == "note"]
        first = words[0] if words else None
        if first and re.search(r"['’]s$", self.text[slice(*first.span)]) and len(lead) > 1:
            self.cells["owner"] = self.text[first.span[0] : first.span[1] - 2]
            self._role(first, "owner")
            lead = [p for p in lead if p is not first]
        if any(p.role == "note" for p in lead):
            called = " ".join(self.text[lead[0].span[0] : lead[-1].span[1]].split())
            if len(called) <= 30:
                self.cells["called"] = called
                for piece in lead:
                    if piece.role == "note":
                        self._role(piece, "called")
        notes = notes_of(self.text, self.pieces)
        if notes:
            self.cells["note"] = ", ".join(notes)

    def _role(self, piece: TextPiece, role: str) -> None:
        """Takes a piece for something else."""
        self.pieces[self.pieces.index(piece)] = TextPiece(piece.span, role)

    def _ask(
        self, what: str, span: Span, question: str, choices: Iterable[Choice], free: str = ""
    ) -> str | None:
        """The answer to a doubt; None with the doubt."""
        doubt = Doubt(
            what, span, self.text[slice(*span)], question, (*choices, Choice(LEAVE, "leave it out")), free
        )
        answer = self.answers.get(doubt.key)
        if answer is None:
            self.doubts.append(doubt)
        return None if answer == LEAVE else answer

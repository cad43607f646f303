"""What somebody's sheet says of us, as far as that is clear; and a question for each thing that is not."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path

from estimator.log.book.schema import SHEETS
from estimator.log.columns import (
    ASKED_LATER,
    LOOKED,
    TURNED_OUT,
    csv_headers,
    plain,
)
from estimator.log.exchange.numbers import written_in
from estimator.log.exchange.questions import ImportQuestion, KnownColumn, OfferedAnswer
from estimator.log.exchange.strangers import (
    LEAVE,
    SIDE_BY_SIDE,
    STAGE,
    STYLES,
    ColumnWords,
    ForeignColumn,
    ForeignTable,
    cell_at,
    replace_dates,
)
from estimator.log.tables import MUST, CellValue, empty, shown
from estimator.words.dates import read_date
from estimator.words.errors import UnreadableError
from estimator.words.phrases import say_count
from estimator.words.settings.reader import KEPT_NAMES
from estimator.words.settings.schema import DECIMALS, FEET, TENTHS, ImportShape, Settings

NONE, UNKNOWN = "none", "unknown"
ASKED_OF_BLANKS = frozenset({"materials", "deposit", "paid", "returned"})
TO_CHOOSE = 6  # columns of ours that a question names; any other may be answered too
DAY_OR_MONTH = re.compile(r"(\d{1,2})[-/.](\d{1,2})[-/.](\d{4}|\d{2})")
NUMERIC = frozenset({"hours", "hours_range", "own_money", "money", "weight", "count", "length", "width", ""})


@dataclass(frozen=True)
class Understood:
    """A sheet, and what it says of us as far as that is clear.

    sheet: ours, whose rows its rows are; empty where they are none, or it is not clear
    ours: what each column is, by its name; blanks: what nothing means in it; feet: columns of lengths, and how they say
    parts of a foot; notes: what was taken for granted, where nobody said otherwise
    """

    table: ForeignTable
    sheet: str
    ours: Mapping[str, str] = field(default_factory=dict)
    blanks: Mapping[str, str] = field(default_factory=dict)
    feet: Mapping[str, str] = field(default_factory=dict)
    dates: str = ""
    decimals: str = ""
    questions: tuple[ImportQuestion, ...] = ()
    notes: tuple[str, ...] = ()

    @property
    def open(self) -> bool:
        """Whether a question is left that has to be answered."""
        return any(question.needed for question in self.questions)

    @property
    def columns(self) -> tuple[KnownColumn, ...]:
        """All columns that are clear."""
        return tuple(
            KnownColumn(c.name, self.ours[c.name].removeprefix(LEAVE), c.unit, self.table.samples(c))
            for c in self.table.columns
            if c.name in self.ours
        )


def understood(table: ForeignTable, words: ColumnWords, answers: Mapping[str, str]) -> Understood:
    """What a sheet says as far as it is clear from itself, from answers now, and from those that the settings remember.

    answers: by the key of their questions; what answers none of them is passed over
    """
    said = _remembered(table, words.settings) | dict(answers)
    sheet, alike = _rows(table, words)
    key = f"rows:{table.title}"
    sheet = said.get(key) or sheet
    if sheet == LEAVE:
        return Understood(table, "")
    if not sheet:
        choices = (
            OfferedAnswer("boards", "each row is a board"),
            OfferedAnswer("hours", "each row is hours on a board, of a day"),
            OfferedAnswer(LEAVE, "neither: leave the sheet out"),
        )
        names = ", ".join(column.name for column in table.columns[:8])
        asks = f"What is each row of the sheet “{table.title}”? Its columns are {names}."
        question = ImportQuestion(
            key,
            "rows",
            table.place,
            asks,
            choices,
            "" if alike else LEAVE,
            others=tuple(SHEETS),
            needed=alike,
        )
        notes = (
            ()
            if alike
            else (f"Nothing in the sheet “{table.title}” is like a sheet of ours, and it is left out.",)
        )
        return Understood(table, "", questions=(question,), notes=notes)
    known = Understood(table, sheet)
    ours, questions = _columns(known, words, said)
    kept = [question.header for question in questions if not question.needed]
    known = replace(known, ours=ours | dict.fromkeys(kept, LEAVE))
    date_style, more = _dates(known, words, said)
    decimals, also = _decimals(known, said)
    feet, of_feet = _feet(known, said)
    blanks, of_blanks = _blanks(known, said)
    how = "it stands, for it is" if len(kept) == 1 else "they stand, for they are"
    note = f"Kept as {how} none of ours: {', '.join(kept)}."
    return replace(
        known,
        blanks=blanks,
        feet=feet,
        dates=date_style,
        decimals=decimals,
        questions=(*questions, *more, *also, *of_feet, *of_blanks),
        notes=(note,) if kept else (),
    )


def shape_of(known: Understood, name: str) -> ImportShape:
    """All that was said of a sheet, to be remembered."""
    # by its columns a sheet is known again, also one that is left out
    left = {} if known.sheet else dict.fromkeys((column.name for column in known.table.columns), LEAVE)
    return ImportShape(
        name,
        rows=known.sheet or LEAVE,
        columns={**left, **known.ours},
        blanks=dict(known.blanks),
        feet=dict(known.feet),
        dates=known.dates,
        decimals=known.decimals,
    )


def shape_name(table: ForeignTable) -> str:
    """The name under which a sheet is remembered: of its file and its title, as a plain word.

    >>> from estimator.words.problems import Place
    >>> shape_name(ForeignTable(Place("My jobs.xlsx", "2024"), "2024", 1, (), (), 0, ()))
    'my_jobs_2024'
    """
    stem = Path(table.place.source).stem
    title = table.title if table.title == stem else f"{stem} {table.title}"
    name = re.sub("[^a-z0-9]+", "_", title.casefold()).strip("_")
    return name if name[:1].isalpha() and name not in KEPT_NAMES else f"sheet_{name}".rstrip("_")


def _remembered(table: ForeignTable, settings: Settings) -> dict[str, str]:
    """Answers that the settings have: those of a sheet with the same columns, else with most of them."""
    names = {column.name for column in table.columns}
    best: ImportShape | None = None
    most = len(names) / 2
    for shape in settings.imports.values():
        alike = len(names & shape.columns.keys())
        if alike > most:
            best, most = shape, alike
    if best is None:
        return {}
    said = {f"rows:{table.title}": best.rows} if best.rows else {}
    for about, of in (("column", best.columns), ("blank", best.blanks), ("feet", best.feet)):
        said |= {f"{about}:{table.title}:{name}": meant for name, meant in of.items()}
    said |= {f"dates:{table.title}": best.dates} if best.dates else {}
    return said | ({f"decimals:{table.title}": best.decimals} if best.decimals else {})


def _rows(table: ForeignTable, words: ColumnWords) -> tuple[str, bool]:
    """Which sheet of ours a table is, empty where that is not clear; and whether it is like any at all."""
    sheets = words.names
    titled = plain(table.title)
    if titled in sheets and any(sheets[titled].find(column.name) for column in table.columns):
        return titled, True
    told = {sheet: _clear(table, words, sheet) for sheet in words.usual if sheet in sheets}
    for sheet in ("hours", "waits", "weights", "money"):
        must = {"date"} if sheet == "money" else {*MUST.get(sheet, ())}
        has = told.get(sheet, set())
        if must <= has and (sheet != "money" or has & {"in", "out"}):
            return sheet, True
    boards = told["boards"]
    if len(boards) > 1 and boards & {"board", "called", "owner", "length", "kind"}:
        return "boards", True
    return "", any(told.values())


def _clear(table: ForeignTable, words: ColumnWords, sheet: str) -> set[str]:
    """The columns of ours that a table has by name and by what stands in them."""
    found = set()
    for column in table.columns:
        for target in words.meant(sheet, column)[0]:
            if words.fits(sheet, target, table.cells(column), column.unit):
                found.add(target)
    return found


def _columns(
    known: Understood, words: ColumnWords, said: Mapping[str, str]
) -> tuple[dict[str, str], list[ImportQuestion]]:
    """What each column is, where it is clear, and a question for each other."""
    table, sheet = known.table, known.sheet
    ours: dict[str, str] = {}
    guesses: dict[str, tuple[ForeignColumn, str, list[str]]] = {}
    allowed = allowed_of(sheet, words.settings)
    side_by_side = sheet == "boards" and _stages_beside(table, words) >= SIDE_BY_SIDE
    exact: set[str] = set()
    for column in table.columns:
        answer = said.get(f"column:{table.title}:{column.name}", "")
        if answer == LEAVE or answer in allowed:
            ours[column.name] = LEAVE if answer == LEAVE else answer
            continue
        target, sure, offered = _guess(known, words, column, side_by_side=side_by_side)
        if target and sure:
            ours[column.name] = target
            exact |= {column.name} if words.names[sheet].find(column.name) else set()
        elif not table.cells(column):
            ours[column.name] = LEAVE
        else:
            guesses[column.name] = (column, target, offered)
    numbered = [name for name, target in ours.items() if target == "board"]
    if (
        sheet == "boards"
        and len(numbered) == 2
        and len(exact & set(numbered)) == 1
        and "called" not in ours.values()
    ):
        ours[next(name for name in numbered if name in exact)] = (
            "called"  # beside a number, board is its name
        )
    for column in _doubled(ours, exact, said, table):
        likely = ours.pop(column.name)
        guesses[column.name] = (column, likely, [likely])
    taken = set(ours.values()) - {LEAVE}
    return ours, [
        _column_question(table, column, likely, [one for one in offered if one not in taken], allowed, words)
        for column, likely, offered in guesses.values()
    ]


def _doubled(
    ours: Mapping[str, str], exact: set[str], said: Mapping[str, str], table: ForeignTable
) -> Iterator[ForeignColumn]:
    """Columns that are taken for the same of ours as another; not the one that has its very name, or was answered."""
    many = Counter(target for target in ours.values() if target != LEAVE)
    for column in table.columns:
        answered = f"column:{table.title}:{column.name}" in said
        if many[ours.get(column.name, "")] > 1 and column.name not in exact and not answered:
            yield column


def _guess(
    known: Understood, words: ColumnWords, column: ForeignColumn, *, side_by_side: bool
) -> tuple[str, bool, list[str]]:
    """What a column is likeliest, whether that is clear, and all that it may be."""
    table, sheet = known.table, known.sheet
    if not column.named:
        return "", False, []
    meant, says_so = words.meant(sheet, column)
    if plain(table.title) == sheet and words.names[sheet].find(column.name):  # a sheet in our own words
        return meant[0], True, meant
    cells = table.cells(column)
    fitting = [one for one in meant if words.fits(sheet, one, cells, column.unit)]
    if (
        sheet == "boards"
        and "board" in fitting
        and (len(set(map(shown, cells))) < len(cells) or len(cells) < len(table.rows))
    ):
        fitting.remove("board")  # a number that stands twice, or is not there, is no number
        if fitting == [] and not words.usual["boards"].get(column.words, ()):
            return "", False, ["called", "board"]
    if not fitting:
        near = words.near(sheet, column)
        return near, False, [near, *meant] if near and near not in meant else meant
    first = fitting[0]
    if first.startswith(STAGE) and side_by_side and len(fitting) == 1:
        says_so = True
    exact = words.names[sheet].find(column.name) == first
    alone = len(fitting) == 1 or exact
    return first, says_so and alone, fitting


def _stages_beside(table: ForeignTable, words: ColumnWords) -> int:
    """How many columns have the name of a stage and hold what can be hours."""
    found = 0
    for column in table.columns:
        meant = words.meant("boards", column)[0]
        stages = [one for one in meant if one.startswith(STAGE)]
        found += bool(stages) and words.fits("boards", stages[0], table.cells(column), column.unit)
    return found


def allowed_of(sheet: str, settings: Settings) -> tuple[str, ...]:
    """All that a column of a sheet can be."""
    stages = tuple(f"{STAGE}{name}" for name in settings.stages) if sheet == "boards" else ()
    return (*csv_headers(settings)[f"{sheet}.csv"], *stages)


def say_target(target: str, settings: Settings) -> str:
    """A column of ours in words.

    >>> say_target("hours strip", Settings()), say_target("found_logos", Settings())
    ('hours of strip', 'logos, as it turned out')
    """
    if target.startswith(STAGE):
        return f"hours of {settings.label(target.removeprefix(STAGE)).lower()}"
    sides = {LOOKED: "as judged before work", TURNED_OUT: "as it turned out", ASKED_LATER: "asked for since"}
    for side, says in sides.items():
        if target.startswith(side):
            return f"{settings.quantity_label(target.removeprefix(side)).lower()}, {says}"
    return target.replace("_", " ")


def _column_question(
    table: ForeignTable,
    column: ForeignColumn,
    likely: str,
    offered: Sequence[str],
    allowed: Sequence[str],
    words: ColumnWords,
) -> ImportQuestion:
    """The question which of ours a column is."""
    choices = [
        OfferedAnswer(one, say_target(one, words.settings))
        for one in dict.fromkeys(offered)
        if one in allowed
    ]
    choices = [*choices[:TO_CHOOSE], OfferedAnswer(LEAVE, "none of ours: keep it under its own name, unread")]
    return ImportQuestion(
        key=f"column:{table.title}:{column.name}",
        about="column",
        place=table.at(table.header_row, column),
        asks=f"Which of our columns is “{column.name}”?",
        choices=tuple(choices),
        likely=likely if likely in {choice.answer for choice in choices} else LEAVE,
        samples=table.samples(column),
        others=tuple(allowed),
        header=column.name,
        needed=bool(offered),
    )


def _targets(known: Understood) -> Iterator[tuple[ForeignColumn, str, str]]:
    """Each column that is read, what it is, and what kind of cell that holds."""
    for column in known.table.columns:
        target = known.ours.get(column.name, LEAVE)
        if target != LEAVE:
            kind = "hours" if target.startswith(STAGE) else SHEETS[known.sheet].get(target, "")
            yield column, target, kind


def _dates(
    known: Understood, words: ColumnWords, said: Mapping[str, str]
) -> tuple[str, list[ImportQuestion]]:
    """How dates are written, and the question where a date could be two days."""
    table, key = known.table, f"dates:{known.table.title}"
    if words.settings.workshop.dates != "iso":
        return "", []
    if said.get(key) in STYLES:
        return said[key], []
    read = {style: replace_dates(words.settings, style) for style in STYLES}
    either: list[str] = []
    only = dict.fromkeys(STYLES, 0)
    at = table.place
    for column, target, kind in _targets(known):
        for number, row in table.rows if kind == "date" else ():
            cell = cell_at(row, column.at)
            if not isinstance(cell, str) or not (written := DAY_OR_MONTH.match(cell)):
                continue
            days = {style: canon.cell(known.sheet, target, cell) for style, canon in read.items()}
            good = {style: day for style, (day, fine) in days.items() if fine}
            if len(set(good.values())) == 2:
                at = table.at(number, column) if not either else at
                either.append(cell)
            elif good and written[1] != written[2]:  # either way reads it: one of the two is no month
                only[STYLES[0] if int(written[1]) > 12 else STYLES[1]] += 1
    if not either:
        return "", []
    first = either[0]
    choices = tuple(OfferedAnswer(style, _day_of(first, style)) for style in STYLES)
    likely = next(
        (style for style in STYLES if only[style] and not any(n for s, n in only.items() if s != style)), ""
    )
    asks = f"Which day is {first}?"
    return "", [ImportQuestion(key, "dates", at, asks, choices, likely, tuple(dict.fromkeys(either))[:3])]


def _day_of(text: str, style: str) -> str:
    """The day that a text means in one way to write dates."""
    try:
        day = read_date(text, style)
    except UnreadableError:
        return style
    return f"{day.day} {day:%B %Y}"


def _decimals(known: Understood, said: Mapping[str, str]) -> tuple[str, list[ImportQuestion]]:
    """What stands before decimals, and the question where a number could be read in two ways."""
    table, key = known.table, f"decimals:{known.table.title}"
    texts: list[CellValue] = []
    for column, target, kind in _targets(known):
        if kind in NUMERIC and not target.startswith("guess"):
            texts += table.cells(column)
    marks, either = written_in(texts)
    if not either:
        return "", []
    if said.get(key) in DECIMALS:
        return said[key], []
    if len(marks) == 1:
        return next(iter(marks)), []
    whole, part = re.split("[.,]", either)
    mark = "," if "," in either else "."
    other = "." if mark == "," else ","
    choices = (OfferedAnswer(other, f"{whole}{part}"), OfferedAnswer(mark, f"{whole} and a part"))
    return "", [ImportQuestion(key, "decimals", table.place, f"What is {either}?", choices, "", (either,))]


def _feet(known: Understood, said: Mapping[str, str]) -> tuple[dict[str, str], list[ImportQuestion]]:
    """How lengths in feet say parts of a foot, and a question for each column that has any."""
    feet, questions = {}, []
    table = known.table
    for column, _, kind in _targets(known):
        if kind != "length":
            continue
        bare = [one for one in table.cells(column) if _bare_feet(one) and column.unit in {"", "ft"}]
        parts = [one for one in bare if not float(str(one).replace(",", ".")).is_integer()]
        if not parts:
            continue
        key = f"feet:{table.title}:{column.name}"
        if said.get(key) in {FEET, TENTHS}:
            feet[column.name] = said[key]
            continue
        whole, _, part = shown(parts[0]).replace(",", ".").partition(".")
        choices = (
            OfferedAnswer(FEET, f"{whole} ft {part} in"),
            OfferedAnswer(TENTHS, f"{whole}.{part} ft"),
        )
        asks = f"How long is a board with {whole}.{part} in “{column.name}”?"
        place = table.at(table.header_row, column)
        questions.append(
            ImportQuestion(
                key, "feet", place, asks, choices, "", tuple(map(shown, parts[:3])), header=column.name
            )
        )
    return feet, questions


def _bare_feet(cell: CellValue) -> bool:
    """Whether a cell is a bare number that can be the feet of a board."""
    try:
        return not isinstance(cell, bool) and 3 <= float(str(cell).replace(",", ".")) <= 13
    except ValueError:
        return False


def _blanks(known: Understood, said: Mapping[str, str]) -> tuple[dict[str, str], list[ImportQuestion]]:
    """What a blank means in each column in which it may mean two things, and a question for each other."""
    blanks, questions = {}, []
    table = known.table
    for column, target, kind in _targets(known):
        asked = target in ASKED_OF_BLANKS or target.startswith(STAGE) or kind == ""
        if known.sheet != "boards" or target in {"owner", "reach"} or not asked or not table.cells(column):
            continue
        gaps = table.gaps(column)
        if not gaps:
            continue
        key = f"blank:{table.title}:{column.name}"
        if said.get(key) in {NONE, UNKNOWN}:
            blanks[column.name] = said[key]
            continue
        none = "it was not done" if target.startswith(STAGE) else "there was none"
        choices = (OfferedAnswer(NONE, none), OfferedAnswer(UNKNOWN, "it was not written down"))
        asks = f"“{column.name}” is empty in {say_count(gaps, 'row')}. What does that mean?"
        first = next(number for number, row in table.rows if empty(cell_at(row, column.at)))
        questions.append(
            ImportQuestion(key, "blank", table.at(first, column), asks, choices, header=column.name)
        )
    return blanks, questions

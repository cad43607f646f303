"""A stranger's spreadsheet: what each of its columns seems to be, and what has to be asked about it."""

from __future__ import annotations

import difflib
import re
from collections.abc import Mapping
from dataclasses import dataclass, replace

from estimator.log.columns import NEAR, csv_headers, names_of_sheets, plain
from estimator.log.exchange.files_in import FoundTable, Incoming, incoming
from estimator.log.parse.entries import stage_names
from estimator.log.tables import MUST, Cells, CellValue, RawSheet, empty, letters, shown
from estimator.words.dates import read_date
from estimator.words.errors import UnreadableError
from estimator.words.json_form import JsonForm
from estimator.words.phrases import say_count
from estimator.words.problems import Place, Problem
from estimator.words.settings.schema import Settings

SEARCHED = 20  # rows among which the names of the columns are looked for
SAMPLES = 3
LEAVE = "leave"  # kept by its own name
NONE, NOT_WRITTEN = BLANKS = ("none", "not written down")
ORDERS = ("day-month", "month-day")
STAGE = "hours of "  # before the name of a stage: a column of hours beside the boards

# what a restorer may write above a column, in our own words
USUAL: Mapping[str, Mapping[str, tuple[str, ...]]] = {
    "boards": {
        "board": (
            "no",
            "nr",
            "number",
            "job",
            "job no",
            "job number",
            "board no",
            "board number",
            "ref",
            "ticket",
        ),
        "called": ("name", "nickname", "description", "which board", "what"),
        "owner": ("customer", "client", "whose", "customer name", "belongs to"),
        "reach": ("phone", "telephone", "mobile", "email", "e-mail", "contact", "tel"),
        "kind": ("type", "sort", "job type", "type of job", "kind of job"),
        "asked": ("date in", "in", "arrived", "received", "brought in", "dropped off", "enquiry"),
        "started": ("start", "start date", "begun", "began"),
        "ready": ("done", "finish", "finished", "finish date", "date done", "completed", "date finished"),
        "collected": ("date out", "picked up", "pick up", "fetched", "out", "gone"),
        "quoted": ("quote date", "date quoted"),
        "accepted": ("agreed", "go ahead", "said yes"),
        "paid_on": ("date paid", "paid date"),
        "length": ("size", "board length", "len"),
        "width": ("wide", "board width"),
        "guess": ("my guess", "estimate", "estimated", "est", "estimated hours", "guessed"),
        "price_quoted": ("quote", "quoted price", "price quoted", "quoted amount"),
        "price_charged": ("price", "charged", "charge", "invoice", "bill", "total price"),
        "materials": ("material", "materials cost", "cost of materials"),
        "deposit": ("down payment", "advance"),
        "paid": ("payment", "amount paid", "paid in all"),
        "total_hours": ("hours", "total", "time", "total time", "worked", "hours worked"),
        "note": ("notes", "remarks", "comment", "comments"),
    },
    "hours": {
        "board": ("job", "no", "number", "name", "which board"),
        "date": ("day", "when"),
        "stage": ("step", "task", "work", "what", "what i did", "job done"),
        "hours": ("time", "hrs", "h", "worked", "hours worked", "duration"),
        "note": ("notes", "remarks", "comment", "comments"),
    },
}
UNITS = {
    "hrs": "h", "hr": "h", "hours": "h", "h": "h", "days": "days", "day": "days", "ft": "ft", "feet": "ft", "in": "in",
    "inches": "in", "cm": "cm", "mm": "mm", "m": "m", "m2": "m2", "m²": "m2", "sqm": "m2", "sq m": "m2",
    "sq ft": "sq ft", "ft2": "sq ft", "ft²": "sq ft", "kg": "kg", "lb": "lb", "lbs": "lb",
}  # fmt: skip
UNIT_AT_END = re.compile(r"\s*[\(\[,/]\s*([^()\[\]]+?)\s*[\)\]]?\s*$")
TOTALS = frozenset(
    {"total", "totals", "sum", "subtotal", "sub_total", "grand_total", "average", "mean", "all"}
)
POINT = re.compile(r"-?\d{1,3}(?:[,\s']\d{3})+\.\d+|-?\d+\.\d{1,2}")
COMMA = re.compile(r"-?\d{1,3}(?:[.\s']\d{3})+,\d+|-?\d+,\d{1,2}")
GROUPED = re.compile(r"-?\d{1,3}(?:[.,\s']\d{3})+")
NUMBERS = (
    "guess",
    "guess_low",
    "guess_high",
    "total_hours",
    "hours",
    "materials",
    "deposit",
    "paid",
    "returned",
)
MONEYS = ("price_quoted", "price_charged", "materials", "deposit", "paid", "returned", "in", "out")
DATES = ("wanted_by", "asked", "quoted", "accepted", "started", "ready", "collected", "paid_on", "date")


@dataclass(frozen=True, slots=True)
class ColumnQuestion(JsonForm):
    """One thing that a file does not say by itself; an answer is one of the choices, kept under its key.

    place: the column; header: what stands above it; samples: cells in it; asks: column, blank or dates
    guess: what it seems to be, empty where nothing comes near
    """

    key: str
    place: Place
    header: str
    samples: tuple[str, ...]
    asks: str
    choices: tuple[str, ...]
    guess: str = ""

    @property
    def problem(self) -> Problem:
        """What is to be said where nobody can be asked."""
        seen = f" (as {', '.join(self.samples)})" if self.samples else ""
        said = {
            "column": (
                "it is not clear what this column holds" + seen,
                "Name it as a column of ours, or say which it is.",
            ),
            "blank": (
                "it is not clear what an empty cell says here",
                f"Say whether it means {NONE} or {NOT_WRITTEN}.",
            ),
            "dates": ("these dates can be two days" + seen, "Say whether the day or the month stands first."),
        }[self.asks]
        return Problem(self.place, self.header, *said)


@dataclass(frozen=True, slots=True)
class Understood:
    """What a stranger's table comes to: its sheets where nothing is left to ask; questions; what else is to be said."""

    sheets: tuple[Incoming, ...] = ()
    questions: tuple[ColumnQuestion, ...] = ()
    problems: tuple[Problem, ...] = ()
    notes: tuple[str, ...] = ()


def understood(table: FoundTable, settings: Settings, answers: Mapping[str, str]) -> Understood:
    """A table of any shape as sheets of ours, as far as it says itself and the answers say what it means."""
    sheet, head, words = _head_of(table, settings)
    if head < 0:
        cure = "Write above each column what stands in it, in one of the first rows."
        return Understood(problems=(Problem(table.place, "", "no row at its head names the columns", cure),))
    number, header = table.rows[head]
    rows = [row for row in table.rows[head + 1 :] if not _is_total(row[1])]
    left = len(table.rows) - head - 1 - len(rows)
    questions: list[ColumnQuestion] = []
    meant: dict[int, str] = {}
    choices = (LEAVE, *dict.fromkeys(words.values()))
    for at, cell in enumerate(header):
        if empty(cell):
            continue
        column = f"{letters(at)}" if table.place.lettered else shown(cell)
        place, name = replace(table.place, row=number, column=column), shown(cell)
        samples = tuple(dict.fromkeys(shown(c[at]) for _, c in rows if at < len(c) and not empty(c[at])))[
            :SAMPLES
        ]
        guess, sure = guessed(name, words)
        answer = answers.get(name, "")
        if answer in choices:
            meant[at] = answer
        elif sure and guess not in meant.values():
            meant[at] = guess
        else:
            questions.append(ColumnQuestion(name, place, name, samples, "column", choices, guess))
            continue
        ask = ColumnQuestion(f"{name}: blank", place, name, samples, "blank", BLANKS)
        gaps = any(at >= len(c) or empty(c[at]) for _, c in rows)
        if gaps and _counts(meant[at]) and answers.get(ask.key) not in BLANKS:
            questions.append(ask)
        if (
            meant[at] in DATES
            and settings.workshop.dates not in ORDERS
            and answers.get("dates") not in ORDERS
        ):
            two = [s for s in samples if _two_days(s)]
            if two and not any(question.asks == "dates" for question in questions):
                questions.append(ColumnQuestion("dates", place, name, tuple(two), "dates", ORDERS))
    sums = "is a sum, and was" if left == 1 else "are sums, and were"
    notes = (f"{say_count(left, 'row')} of {table.title} {sums} passed over.",) if left else ()
    if questions:
        return Understood(questions=tuple(questions), notes=notes)
    sheets = _as_sheets(
        FoundTable(table.title, table.place, rows), sheet, header, number, meant, settings, answers
    )
    return Understood(tuple(sheets), notes=notes)


def words_of(sheet: str, settings: Settings) -> dict[str, str]:
    """What may stand above a column of a sheet, in plain spelling, and which of ours it means."""
    names = names_of_sheets(settings)[sheet]
    own = {plain(name): name for name in csv_headers(settings)[f"{sheet}.csv"]}
    usual = {plain(word): name for name, words in USUAL[sheet].items() for word in words}
    stages = {plain(w): STAGE + n for w, n in stage_names(settings).items()} if sheet == "boards" else {}
    return {**usual, **stages, **names.known, **own}


def guessed(header: str, words: Mapping[str, str]) -> tuple[str, bool]:
    """Which column a header means, and whether that is sure; of a slip of the pen it is not.

    >>> from estimator.words.settings.schema import Settings
    >>> words = words_of("boards", Settings())
    >>> guessed("Length (ft)", words), guessed("Custommer", words), guessed("Glass", words)
    (('length', True), ('owner', False), ('', False))
    """
    for name in (header, UNIT_AT_END.sub("", header)):
        if plain(name) in words:
            return words[plain(name)], True
    near = difflib.get_close_matches(plain(UNIT_AT_END.sub("", header))[:60], words, n=1, cutoff=NEAR)
    return (words[near[0]], False) if near else ("", False)


def _head_of(table: FoundTable, settings: Settings) -> tuple[str, int, dict[str, str]]:
    """The sheet that a table is most like, the place of the row with its names among the rows, and the words for it."""
    best: tuple[int, str, int, dict[str, str]] = (1, "", -1, {})
    for sheet in ("boards", "hours"):
        words = words_of(sheet, settings)
        for at, (number, cells) in enumerate(table.rows):
            if number > SEARCHED:
                break
            found = {guessed(shown(cell), words)[0] for cell in cells if isinstance(cell, str) and cell} - {
                ""
            }
            whole = sheet != "hours" or found.issuperset(MUST["hours"])
            score = len(found) + (sheet == "hours" and whole)
            if whole and score > best[0]:
                best = (score, sheet, at, words)
    return best[1:]


def _is_total(cells: Cells) -> bool:
    """Whether a row is a sum, and no board."""
    texts = [plain(cell).rstrip(":") for cell in cells if isinstance(cell, str) and not empty(cell)]
    return bool(texts) and texts[0] in TOTALS


def _counts(column: str) -> bool:
    """Whether an empty cell of a column may mean none."""
    return column in MONEYS or column.startswith((STAGE, "assessed_", "found_", "later_"))


def _two_days(text: str) -> bool:
    """Whether a date can be two days."""
    try:
        return read_date(text, "day-month") != read_date(text, "month-day")
    except UnreadableError:
        return False


def _as_sheets(
    table: FoundTable,
    sheet: str,
    header: Cells,
    number: int,
    meant: Mapping[int, str],
    settings: Settings,
    answers: Mapping[str, str],
) -> list[Incoming]:
    """The sheet with our names above its columns; and hours beside the boards as a sheet of their own."""
    comma = _decimal_comma(table, meant)
    order = answers.get("dates", settings.workshop.dates)
    columns: dict[int, tuple[str, str, str]] = {}
    for at, name in meant.items():
        found = UNIT_AT_END.search(shown(header[at]))
        unit = UNITS.get(found[1].casefold(), "") if found else ""
        columns[at] = (name, unit, answers.get(f"{shown(header[at])}: blank", ""))
    named = [
        columns[at][0]
        if at in columns and columns[at][0] != LEAVE and not columns[at][0].startswith(STAGE)
        else ""
        for at in range(len(header))
    ]
    rows: list[tuple[int, Cells]] = []
    hours: list[tuple[int, Cells]] = []
    for row, cells in table.rows:
        filled = [*cells, *[""] * (len(header) - len(cells))]
        read = [
            _cell(cell, *columns[at], comma=comma, order=order) if at in columns else cell
            for at, cell in enumerate(filled)
        ]
        rows.append(
            (row, [("" if columns.get(at, ("",))[0].startswith(STAGE) else c) for at, c in enumerate(read)])
        )
        board = next((read[named.index(n)] for n in ("board", "called") if n in named), "")
        day = next(
            (read[named.index(n)] for n in DAYS_OF_WORK if n in named and not empty(read[named.index(n)])), ""
        )
        hours += [
            (row, [board, day, name.removeprefix(STAGE), read[at]])
            for at, (name, _, _) in columns.items()
            if name.startswith(STAGE) and not empty(read[at])
        ]
    names = names_of_sheets(settings)
    made = incoming(RawSheet(sheet, table.place, [(number, named), *rows], 0), names[sheet])
    kept = {at: shown(header[at]) for at, (name, _, _) in columns.items() if name == LEAVE}
    out = [replace(made, kept=kept)]
    if hours:
        raw = RawSheet("hours", table.place, [(number, ["board", "date", "stage", "hours"]), *hours], 0)
        out.append(incoming(raw, names["hours"]))
    return out


DAYS_OF_WORK = (
    "ready",
    "collected",
    "started",
    "accepted",
    "asked",
)  # on which hours of a whole stage are put


def _decimal_comma(table: FoundTable, meant: Mapping[int, str]) -> bool:
    """Whether a comma stands before the parts of a number, as most cells have it."""
    cells = [c[at] for _, c in table.rows for at in meant if at < len(c) and isinstance(c[at], str)]
    texts = [str(cell).strip() for cell in cells]
    return sum(bool(COMMA.fullmatch(t)) for t in texts) > sum(bool(POINT.fullmatch(t)) for t in texts)


def _cell(cell: CellValue, name: str, unit: str, blank: str, *, comma: bool, order: str) -> CellValue:
    """A cell in words that our readers read in one way."""
    if empty(cell):
        return "0" if blank == NONE else "?" if blank == NOT_WRITTEN and name.startswith("assessed_") else ""
    figures = name in MONEYS or name in NUMBERS or name.startswith((STAGE, "assessed_", "found_", "later_"))
    if isinstance(cell, str) and name in DATES and order in ORDERS:
        try:
            return read_date(cell, order)
        except UnreadableError:
            return cell
    if isinstance(cell, str) and figures and any(form.fullmatch(cell) for form in (POINT, COMMA, GROUPED)):
        bare = re.sub(r"[\s']", "", cell)
        bare = bare.replace(".", "").replace(",", ".") if comma else bare.replace(",", "")
        cell = float(bare)
    number = isinstance(cell, float | int) and not isinstance(cell, bool)
    if unit and unit != "h" and (number or re.fullmatch(r"\d+(?:[.,]\d+)?", str(cell))):
        return f"{shown(cell)} {unit}"
    return cell

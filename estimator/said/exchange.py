"""What went out of a log, and what came in."""

from __future__ import annotations

from collections.abc import Mapping

from estimator.log.exchange.export import Exported
from estimator.log.exchange.importing import Imported
from estimator.log.exchange.plan import RowChange
from estimator.log.exchange.questions import ImportQuestion
from estimator.said.parts import Heading, Part, Table
from estimator.words.phrases import say_count

SHOWN = 12  # boards and changes that are named one by one
NAMES = {
    "boards": "board",
    "hours": "row of hours",
    "told": "telling",
    "waits": "wait",
    "weights": "weighing",
    "notes": "note",
    "money": "line of money",
}


def counted_rows(rows: Mapping[str, int]) -> str:
    """How many rows of each sheet, in words; nothing of sheets without any.

    >>> counted_rows({"boards": 2, "hours": 1, "told": 0})
    '2 boards, 1 row of hours'
    """
    said = [say_count(count, NAMES[sheet]) for sheet, count in rows.items() if count]
    return ", ".join(said) or "no rows"


def export_parts(done: Exported) -> list[Part]:
    """What was written, where, and what is not among it."""
    where = done.files[0] if len(done.files) == 1 and done.files[0].suffix != ".csv" else done.files[0].parent
    owners = "Owners and how to reach them are in it too." if done.with_owners else "Owners are not in it."
    parts: list[Part] = [Heading(f"Written to {where}: {counted_rows(done.rows)}."), owners]
    if done.unknown:
        parts.append(f"Columns that are yours alone went along as they are: {', '.join(done.unknown)}.")
    parts += [problem.sentence() for problem in done.problems]
    return parts


def import_parts(done: Imported, *, only_try: bool) -> list[Part]:
    """What was written and what was there already; what is wrong, and that nothing was written for it."""
    parts: list[Part] = []
    for title, columns in done.columns.items() if only_try else ():
        table = [(one.column, one.ours or "kept as it stands", ", ".join(one.samples)) for one in columns]
        parts += [
            Heading(f"Columns of {title}"),
            Table(("theirs", "ours", "as it stands there"), tuple(table)),
        ]
    if done.problems:
        parts += [Heading("Problems"), *(problem.sentence() for problem in done.problems)]
    if done.changes and (only_try or done.written):
        parts += [Heading("Changed rows"), *map(change_said, done.changes[:SHOWN])]
        if (more := len(done.changes) - SHOWN) > 0:
            parts.append(f"And {say_count(more, 'row')} more.")
    names = ", ".join(done.filled)
    would = "would be " if only_try else ""
    rows = (
        (f"{would}added", done.added),
        (f"{would}changed", done.changed),
        (f"{would}struck out", done.struck),
        ("there already", done.skipped),
    )
    counts = [f"{what}: {counted_rows(count)}" for what, count in rows if any(count.values())]
    if only_try or done.written:
        head = (
            f"{names}, nothing written yet"
            if only_try
            else f"{names} into {'a new' if done.begun else 'the'} book"
        )
        parts += [Heading(f"{head}.")]
        parts += [f"{line[0].upper()}{line[1:]}." for line in counts]
    elif done.problems:
        parts.append(Heading(f"Nothing was written: {say_count(len(done.problems), 'problem')}."))
    else:
        parts.append(Heading(f"Nothing was written: all of {names} is there already."))
    if only_try and done.boards:
        more = len(done.boards) - SHOWN
        parts.append(
            f"New boards: {', '.join(done.boards[:SHOWN])}{f' and {more} more' if more > 0 else ''}."
        )
    if done.left_out:
        parts.append(f"Left out: {say_count(done.left_out, 'row')}.")
    if any(done.gone.values()):
        parts.append(f"In the book, no longer in {names}, and kept: {counted_rows(done.gone)}.")
    parts += done.notes
    if done.bare and (only_try or done.written):
        parts.append(f"No row stands in {', '.join(done.bare)}.")
    if done.begun and not done.kept:
        many = len(done.files) > 1
        stay = "The files stay where they are, and are" if many else f"{names} stays where it is, and is"
        parts.append(f"{stay} no longer read.")
    return parts


def change_said(change: RowChange) -> str:
    """One row that changes, with both readings.

    >>> from estimator.words.problems import Place
    >>> change_said(RowChange(Place("hours.csv"), "hours", "26-001 2026-05-04", {"hours": "4"}, {"hours": "5"}))
    'hours, 26-001 2026-05-04: hours 4, now 5'
    """
    said = [
        f"{name} {change.before[name] or 'empty'}, now {cell or 'empty'}"
        for name, cell in change.after.items()
    ]
    return f"{change.sheet}, {change.row}: {'; '.join(said)}"


def question_parts(question: ImportQuestion) -> list[Part]:
    """A question as it is asked, with what stands there and the answers by number."""
    parts: list[Part] = [Heading(question.asks)]
    if question.samples and question.about != "dates":
        parts.append(f"There stands: {'; '.join(question.samples)}")
    return [*parts, *(f"{number}  {choice.says}" for number, choice in enumerate(question.choices, 1))]

"""Lines of forms that are seldom written, each with all that is read of it; and what the many lines say beside hours.

seldom_lines.txt has, behind each text, its lines as board, day, stage, hours, done, again, ~note, ~as written, its
notes, and what is asked with the first answers offered. beside_hours.txt has of the other files' lines what those don't
say: notes, times kept as written, amounts, and about what is asked, the likeliest answers first.
"""

from pathlib import Path

import pytest
from making import notebooks, other_bench, third_bench
from making.notebooks import BOARDS, READER, SETTINGS, TODAY, WEEK, read_cases

from estimator.log.notebook.reader import NotebookReader
from estimator.words.records import SHOP

HERE = Path(__file__).parent
CODES = {board.board: code for code, board in BOARDS.items()} | {SHOP: "S"}
BENCHES = {
    "notebook_lines": notebooks,
    "lines_of_many_hands": notebooks,
    "held_out_lines": notebooks,
    "held_out_lines_2": other_bench,
    "held_out_lines_3": third_bench,
    "further_lines_3": third_bench,
    "no_hours_3": third_bench,
}


def written(name):
    """The lines of a file that are no remarks, each as its two sides."""
    lines = (HERE / f"{name}.txt").read_text("utf-8").splitlines()
    return [tuple(map(str.strip, line.split(" => "))) for line in lines if line and not line.startswith("#")]


def day(one):
    """A day of this June by its number, any other in full."""
    return f"{one.day}" if (one.year, one.month) == (TODAY.year, TODAY.month) else one.isoformat()


def line_said(line):
    done = {None: "", True: " done", False: " undone"}[line.done]
    days = f"{day(line.date)}-{day(line.until)}" if line.until else day(line.date)
    again = f" again:{line.again}" if line.again else ""
    amounts = "".join(f" {many:g} {what}" for what, many in line.amounts)
    beside = f"~{line.note}{f'~{line.written}' if line.written else ''}" if line.note or line.written else ""
    return f"{CODES[line.board]} {days} {line.stage or '-'} {line.hours:g}{done}{again}{amounts}{beside}"


def said(page):
    """All that was read of a text."""
    return "; ".join(
        [
            *map(line_said, page.lines),
            *(f"note {CODES[note.board]} {day(note.date)} {note.note}" for note in page.notes),
            *(
                f"{one.what}? {one.question} [{', '.join(choice.value for choice in one.choices[:3])}]"
                for one in page.doubts
            ),
        ]
    )


@pytest.mark.parametrize(("text", "means"), written("seldom_lines"), ids=lambda text: text)
def test_a_line_of_a_seldom_form_is_read_so_or_asked_so(text, means):
    box, text = (WEEK[text[1:4]], text[6:]) if text.startswith("@") else (None, text)
    assert said(READER.read(text.replace("⏎", "\n"), week=TODAY, day=box)) == means


def beside(page):
    """What is kept beside the hours, and what is asked."""
    kept = []
    for line in page.lines:
        amounts = "".join(f" {many:g} {what}" for what, many in line.amounts)
        if line.note or line.written or amounts:
            kept.append(
                f"{line.board} {line.stage or '-'}{amounts}~{line.note}{f'~{line.written}' if line.written else ''}"
            )
    kept += [f"note {note.board} {note.date:%a} {note.note}" for note in page.notes]
    kept += [f"{one.what}? {', '.join(choice.value for choice in one.choices[:3])}" for one in page.doubts]
    return "; ".join(kept)


@pytest.mark.parametrize("name", BENCHES)
def test_what_the_many_lines_say_beside_their_hours(name):
    bench = BENCHES[name]
    reader = NotebookReader(SETTINGS, bench.BOARDS.values(), bench.ENTRIES, bench.TODAY)
    found = []
    for case in read_cases(HERE / f"{name}.txt", bench.BOARDS, bench.WEEK):
        box = f"@{case.box:%a}: " if case.box else ""
        if more := beside(reader.read(case.text, week=bench.TODAY, day=case.box)):
            found.append((name, box + case.text.replace("\n", "⏎"), more))
    lines = [line.split(" => ") for line in (HERE / "beside_hours.txt").read_text("utf-8").splitlines()]
    assert found == [tuple(line) for line in lines if line[0] == name]

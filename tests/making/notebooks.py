"""A bench of invented boards, and two hundred lines of a notebook about them with what they mean."""

import datetime as dt
import re
from dataclasses import dataclass
from pathlib import Path

from estimator.log.notebook.reader import NotebookReader
from estimator.log.starter import starter_text
from estimator.words.records import ASKED, FINISHED, ON_BENCH, SHOP, WAITING, Board, Entry
from estimator.words.settings.reader import parse_settings

TODAY = dt.date(2026, 6, 12)  # a Friday
MAY = dt.date(2026, 5, 4)
WEEK = {
    day: dt.date(2026, 6, 8 + at) for at, day in enumerate(("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"))
}
BOARDS = {
    "R": Board("26-101", "red", state=ON_BENCH, started=MAY),
    "B": Board("26-102", "blue seven-nine", state=ON_BENCH, started=MAY),
    "N": Board("26-103", "red nine-four", state=ON_BENCH, started=MAY),
    "C": Board("26-104", "club board", state=ON_BENCH, started=MAY),
    "G": Board("26-105", "green fish", state=ON_BENCH, started=MAY),
    "T": Board("26-106", "teal egg", state=WAITING, accepted=MAY),
    "K": Board("26-107", "copper seven-six", state=ON_BENCH, started=MAY),
    "P": Board("26-108", "ochre plank", state=ON_BENCH, started=MAY),
    "O": Board("26-109", "ochre nine-two", state=WAITING, accepted=MAY),
    "M": Board("26-110", "mint gun", state=ASKED, asked=MAY),
    "X": Board("25-090", "old red six-two", state=FINISHED, started=MAY.replace(year=2025), ready=MAY.replace(year=2025, month=9)),
}  # fmt: skip
IN_HAND = {
    "R": "strip",
    "B": "spray",
    "N": "gloss",
    "C": "sand",
    "G": "laminate",
    "K": "drying",
    "P": "clean",
}
ENTRIES = [Entry(BOARDS[code].board, dt.date(2026, 6, 4), stage, 2.0) for code, stage in IN_HAND.items()]
SETTINGS = parse_settings(starter_text())[0]
CASES = Path(__file__).parents[1] / "log" / "notebook" / "notebook_lines.txt"


@dataclass(frozen=True)
class Case:
    text: str
    box: dt.date | None
    means: tuple[tuple[object, ...], ...]
    notes: tuple[str, ...]


def meaning(written, boards=None, week=None):
    boards, week = boards or BOARDS, week or WEEK
    head, tilde, note = written.partition("~")
    days, code, stage, hours, *more = head.split()
    first, _, last = days.partition("-")
    board = SHOP if code == "S" else boards[code].board
    done = True if "done" in more else False if "undone" in more else None
    again = next((word.removeprefix("again:") for word in more if word.startswith("again:")), "")
    stage = "" if stage == "-" else stage.replace("_", " ")
    return (
        week[first],
        week[last or first],
        board,
        stage,
        round(float(hours), 6),
        done,
        again,
    ), note if tilde else None


def read_cases(path=CASES, boards=None, week=None):
    cases = []
    for line in path.read_text("utf-8").splitlines():
        if not line or line.startswith("#"):
            continue
        text, _, means = line.partition("=>")
        box = re.match(r"@(\w{3}): ", text)
        found = [meaning(one, boards, week) for one in means.split(";") if one.strip() not in {"", "?"}]
        cases.append(
            Case(
                text[box.end() if box else 0 :].strip().replace("⏎", "\n"),
                (week or WEEK)[box[1]] if box else None,
                tuple(what for what, _ in found),
                tuple(note for _, note in found),
            )
        )
    return cases


def seen(line):
    return (line.date, line.last, line.board, line.stage, round(line.hours, 6), line.done, line.again)


READER = NotebookReader(SETTINGS, BOARDS.values(), ENTRIES, TODAY)


def answered(text, *said, day=WEEK["Tue"], week=None):
    """The page of a text, where the first thing that is asked is answered in turn."""
    answers = {}
    for one in said:
        answers[READER.read(text, day=day, week=week, answers=answers).doubts[0].key] = one
    return READER.read(text, day=day, week=week, answers=answers)

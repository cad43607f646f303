"""What was there before the log: boards that were promised already, one line each, and a diary, one box a board."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping
from dataclasses import replace

from flask import Blueprint, render_template, request, url_for
from flask.typing import ResponseReturnValue

from estimator.counter.answer_files import PageQuestion
from estimator.counter.diary_rows import board_of, made_whole, said_of
from estimator.counter.forms import PageForm, done
from estimator.counter.step_questions import DIARY
from estimator.counter.taking import keep_said, said_after, take_step
from estimator.counter.workplace import at_counter
from estimator.log.notebook.diary import DiaryReader
from estimator.log.notebook.page import A_LINE, Choice, Doubt
from estimator.log.notebook.promised import PromisedLine, PromisedReader
from estimator.log.steps.setting_up import DiaryBoard, PromisedBefore
from estimator.words.dates import FIRST_YEAR, say_day
from estimator.words.measures import say_length, whole_number
from estimator.words.page_labels import page_label
from estimator.words.records import IN_HAND, Board
from estimator.working_day import as_written

page = Blueprint("before_the_log", __name__)
OTHER = ".other"
LINES, BOX, YEAR = "lines", "box", "year"
MOST_LINES = 60
REST, NONE, UNKNOWN = "rest", "none", "unknown"  # what a box doesn't mention
FINISH, GLOSS = "finish", "gloss"  # where it mentions none


def _today() -> dt.date:
    """The day on which one looks."""
    return at_counter().clock() or dt.date.today()


def _answers(form: PageForm, doubts_of: str = "") -> dict[str, str]:
    """The answers to doubts by their keys, as typed or chosen; doubts_of: which line's."""
    head = f"doubt.{doubts_of}."
    found: dict[str, str] = {}
    for name in form.typed:
        if name.startswith(head) and form.text(name):
            key = name.removeprefix(head)
            found[key.removesuffix(OTHER)] = form.text(
                f"{head}{key.removesuffix(OTHER)}{OTHER}"
            ) or form.text(name)
    return found


def _asked(doubts: Iterable[Doubt], of: str = "") -> list[dict[str, object]]:
    """Doubts as fields."""
    return [
        {
            "name": f"doubt.{of}.{doubt.key}",
            "asks": doubt.question,
            "typed": doubt.typed if of else "",
            "choices": [(choice.value, choice.says) for choice in doubt.choices],
            "free": doubt.free == A_LINE,
        }
        for doubt in doubts
    ]


@page.get("/promised")
def promised() -> str:
    """The boards in hand, and lines for more."""
    return _promised(PageForm.blank(), [])


@page.post("/promised")
def write_promised() -> ResponseReturnValue:
    """Lines of boards, written in one act; or what is asked of them first."""
    form = PageForm.sent()
    settings = at_counter().now.settings
    texts = [text.strip() for text in form.text(LINES).splitlines() if text.strip()]
    if not texts:
        form.wrong(LINES, "No board is written. Write one line a board, or go on without any.")
    if len(texts) > MOST_LINES:
        form.wrong(LINES, f"That is more than {MOST_LINES} lines. Write the rest in a second go.")
    if form.errors:
        return _promised(form, []), 422
    reader = PromisedReader(settings, _today())
    lines: list[PromisedLine] = []
    asked: list[dict[str, object]] = []
    for n, text in enumerate(texts):
        line = reader.read(text, _answers(form, str(n)))
        lines.append(line)
        asked += _asked((replace(doubt, typed=text) for doubt in line.doubts), str(n))
    if asked:
        return _promised(form, asked), 422
    if take_step(PromisedBefore(tuple(lines)), form) is None:
        _all_at(LINES, form)
        return _promised(form, []), 422
    return done(url_for("before_the_log.promised"))


def _all_at(name: str, form: PageForm) -> None:
    """Puts all that is wrong at the one box that all of it was typed into."""
    form.errors = [replace(error, field=name) for error in form.errors]


def _promised(form: PageForm, asked: list[dict[str, object]]) -> str:
    """The page of what was promised."""
    now = at_counter().now
    boards = [board for board in as_written(now).log.boards if board.state in IN_HAND]
    return render_template(
        "promised.html",
        form=form,
        asked=asked,
        boards=[
            (board.board, board.called or board.owner or board.board, _in_words(board)) for board in boards
        ],
    )


def _in_words(board: Board) -> str:
    """What was understood of a board in hand."""
    settings = at_counter().now.settings
    pieces = [
        board.owner if board.called else "",
        settings.label(board.kind) if board.kind else "",
        say_length(board.length_m) if board.length_m else "",
        f"told: by {say_day(board.promised_last)}" if board.promised_last else "no day told",
        f"your own guess {board.guess:g} h" if board.guess else "",
    ]
    return ", ".join(piece for piece in pieces if piece)


@page.get("/diary")
def diary() -> str:
    """The next box, what was understood of the last, and how near a job is told by now."""
    year, rest = request.args.get("year", "")[:4], request.args.get("rest", "")
    finish = NONE if request.args.get(FINISH) == NONE else GLOSS
    rest = UNKNOWN if rest == UNKNOWN else NONE
    form = PageForm.blank(year=year or str(_today().year), rest=rest, finish=finish)
    return _diary(form, [])


@page.post("/diary")
def write_diary() -> ResponseReturnValue:
    """A box, written as a board; or what is asked of it first."""
    form = PageForm.sent()
    settings, today = at_counter().now.settings, _today()
    year = whole_number(form.text(YEAR)) or 0
    if not FIRST_YEAR <= year <= today.year:
        form.wrong(YEAR, f"“{form.text(YEAR)}” is no year. Write one from {FIRST_YEAR} to {today.year}.")
    if not form.text(BOX):
        form.wrong(BOX, "Nothing is written. Type a board as the diary has it.")
    if form.errors:
        return _diary(form, []), 422
    answers = _answers(form)
    box = DiaryReader(settings, today).read(form.text(BOX), year=year, answers=answers)
    box = made_whole(
        box, settings, today, answers, whole=form.text(REST) != UNKNOWN, glossed=form.text(FINISH) != NONE
    )
    doubts = box.doubts or tuple(_there_already(box.cells, answers))
    if doubts:
        return _diary(form, _asked(doubts)), 422
    if take_step(DiaryBoard(box.cells), form) is None:
        _all_at(BOX, form)
        return _diary(form, []), 422
    keep_said(form.key, [f"{words}: {cell}" for words, cell in said_of(box.cells, settings)])
    ready, rest = box.cells.get("ready", ""), form.text(REST) or None
    finish = form.text(FINISH) or None
    address = url_for("before_the_log.diary", year=ready[:4] or year, rest=rest, finish=finish, said=form.key)
    return done(f"{address}#f-{BOX}")


def _there_already(cells: Mapping[str, str], answers: Mapping[str, str]) -> Iterable[Doubt]:
    """Asks where the very same board is written already."""
    now = at_counter().now
    new = board_of(cells, now.settings, _today())
    if new is None:
        return
    said = _says(new)
    for board in as_written(now).log.boards:
        if _says(board) == said:
            doubt = Doubt(
                "again",
                (0, 0),
                "",
                page_label("diary-again"),
                (Choice("yes", page_label("diary-again-yes")),),
            )
            if doubt.key not in answers:
                yield doubt
            return


def _says(board: Board) -> tuple[object, ...]:
    """By what a board of a diary is known again."""
    return (board.owner, board.kind, board.length_m, board.ready, board.total_hours, dict(board.found))


def _diary(form: PageForm, asked: list[dict[str, object]]) -> str:
    """The page of a diary."""
    found, fresh = at_counter().answer(PageQuestion(DIARY))
    return render_template(
        "diary.html",
        form=form,
        asked=asked,
        gloss=GLOSS in at_counter().now.settings.drivers,
        found=found,
        fresh=fresh,
        last=said_after(request.args.get("said", "")),
    )

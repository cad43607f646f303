"""The book: what was written last and how it is taken back, copies, a second place, and owners who are forgotten."""

from __future__ import annotations

import datetime as dt
import secrets
import shutil
from collections.abc import Iterable, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from flask import Blueprint, render_template, request, url_for
from flask.typing import ResponseReturnValue

from estimator.counter.answer_files import ROOM
from estimator.counter.forms import PageForm, done
from estimator.counter.pages.phones import phones_shown
from estimator.counter.taking import keep_said, said_after, sent_now
from estimator.counter.workplace import at_counter
from estimator.log.book.backups import BACKUPS, PHOTOS, BookCopy, copies_in
from estimator.log.book.history import ActRecord
from estimator.log.book.opening import DamagedBookError
from estimator.log.book.store import BookStore
from estimator.log.book.synced import synced_note
from estimator.log.cache import CACHE
from estimator.log.exchange.importing import ImportChoices, import_folder
from estimator.log.store import PAGE
from estimator.said.book import (
    act_words,
    copy_words,
    forget_lines,
    forgotten_lines,
    say_size,
    undo_lines,
    where_it_is,
)
from estimator.said.exchange import import_parts
from estimator.words.errors import EstimatorError, UsageError
from estimator.words.measures import whole_number
from estimator.words.page_labels import page_label
from estimator.words.problems import THE_BOOK
from estimator.words.settings.changes import with_values

page = Blueprint("book", __name__)
ACTS = 20  # on a page
UPLOADS = Path(
    CACHE, ROOM, "uploads"
)  # files that wait to be taken in; each goes when it was, else after a day


@dataclass(frozen=True, slots=True)
class BookOnPage:
    """What the page of the book shows.

    damaged: why it is not written any more; else empty; where, warnings: sentences
    acts: the newest first; earlier: the number below which there are more, None where there are none
    shown: the act that is looked at, and would: what taking it back would change, refused: why it can't be
    copies, elsewhere: in the workshop's folder and in the second place, by what names each
    second: the second place as the settings name it; owners: by the board that stands for it
    """

    damaged: str = ""
    where: tuple[str, ...] = ()
    warnings: tuple[str, ...] = ()
    acts: tuple[ActRecord, ...] = ()
    earlier: int | None = None
    shown: ActRecord | None = None
    would: tuple[str, ...] = ()
    refused: str = ""
    copies: Mapping[str, BookCopy] = field(default_factory=dict)
    elsewhere: Mapping[str, BookCopy] = field(default_factory=dict)
    second: str = ""
    second_there: bool = False
    owners: tuple[tuple[str, str], ...] = ()


def the_book() -> BookStore:
    """The book in which the log is kept.

    Raises UsageError where it is kept in files.
    """
    at_counter().refuse_read_only()
    store = at_counter().store
    if not isinstance(store, BookStore):
        raise UsageError(page_label("read-only"))
    return store


def copies_at_hand(folder: Path, elsewhere: Path | None) -> tuple[dict[str, BookCopy], dict[str, BookCopy]]:
    """The copies in the folder and in the second place, by what names each in a form."""
    here, there = copies_in(folder / BACKUPS), copies_in(elsewhere)
    return {f"here/{copy.path.name}": copy for copy in here}, {
        f"there/{copy.path.name}": copy for copy in there
    }


def owners_of_boards() -> dict[str, list[str]]:
    """The boards of each owner, the newest owners first."""
    found: dict[str, list[str]] = {}
    for board in reversed(at_counter().now.whole_log.boards):
        if board.owner or board.reach:
            found.setdefault(board.owner or board.reach, []).append(board.board)
    return found


def _size(paths: Iterable[Path]) -> int:
    """How many bytes files have."""
    return sum(path.stat().st_size for path in paths if path.is_file())


def on_page() -> BookOnPage:
    """What the page of the book shows now."""
    counter = at_counter()
    folder, settings = counter.folder, None
    try:
        store = the_book()
        settings = counter.now.settings
        acts = store.acts(ACTS + 1, whole_number(request.args.get("before", "")))
        many, first = store.first_act()
        shown, would, refused = _looked_at(store, acts)
    except DamagedBookError as error:
        here, there = copies_at_hand(folder, None)
        return BookOnPage(damaged=str(error), copies=here, elsewhere=there)
    names = {board.board: board.name for board in counter.now.whole_log.boards}
    owners = [
        (boards[0], f"{owner} ({', '.join(names[board] for board in boards)})")
        for owner, boards in owners_of_boards().items()
    ]
    here, there = copies_at_hand(folder, store.backup_folder())
    sizes = _size((folder / BACKUPS).rglob("*")), _size((folder / PHOTOS).glob("*"))
    second = store.backup_folder()
    return BookOnPage(
        where=tuple(where_it_is(store.path, store.path.stat().st_size, many, first, *sizes)),
        warnings=tuple(note.sentence() for note in synced_note(folder)),
        acts=acts[:ACTS],
        earlier=acts[ACTS - 1].id if len(acts) > ACTS else None,
        shown=shown,
        would=would,
        refused=refused,
        copies=here,
        elsewhere=there,
        second=settings.workshop.backup_folder,
        second_there=second is not None and second.is_dir(),
        owners=tuple(owners),
    )


def _looked_at(store: BookStore, acts: Iterable[ActRecord]) -> tuple[ActRecord | None, tuple[str, ...], str]:
    """The act that was asked for, else the last that stands; what taking it back would change; why it can't be."""
    number = whole_number(request.args.get("act", ""))
    if number is None:
        number = next((act.id for act in acts if act.undo_of is None and not act.undone), None)
    if number is None:
        return None, (), ""
    would = store.would_undo(number)
    now = at_counter().now
    names = {board.board: board.name for board in now.whole_log.boards}
    return would.act, tuple(undo_lines(would, now.settings, names)), would.refused


@page.get("/book")
def show() -> ResponseReturnValue:
    """The book; of a log in files only how to keep it in one."""
    return shown(PageForm.blank(second=""))


def shown(form: PageForm, **more: Any) -> ResponseReturnValue:
    """The page of the book with a form; more: what else it shows."""
    said = said_after(request.args.get("said", ""))
    counter = at_counter()
    kept_in_files = False
    with suppress(DamagedBookError):
        kept_in_files = not counter.writes or not isinstance(counter.store, BookStore)
    status = 422 if form.errors else 200
    if kept_in_files:
        return render_template(
            "keep_in_book.html", form=form, said=said, keep=PageForm.blank(), **more
        ), status
    book = on_page()
    if not form.text("second") and not form.errors:
        form.typed = {**form.typed, "second": [book.second]}
    words = {"act_words": act_words, "copy_words": copy_words, "say_size": say_size, "blank": PageForm.blank}
    phones = phones_shown()
    return render_template(
        "book.html", form=form, book=book, phones=phones, said=said, **words, **more
    ), status


def back_saying(form: PageForm, lines: Sequence[str]) -> ResponseReturnValue:
    """Goes back to the book, where these lines are said once."""
    key = form.key or secrets.token_urlsafe(12)
    keep_said(key, lines)
    return done(url_for("book.show", said=key))


@page.post("/book/undo")
def take_back() -> ResponseReturnValue:
    """The act that the button names, taken back."""
    form = PageForm.sent()
    try:
        undone = the_book().undo(whole_number(form.text("act")), sent_now("").at, origin=PAGE)
    except EstimatorError as error:
        form.note(error)
        return shown(form)
    return back_saying(form, [page_label("taken-back").format(what=undone.sentence)])


@page.post("/book/keep")
def keep() -> ResponseReturnValue:
    """The folder's own log into a new book, from now on."""
    form, counter = PageForm.sent(), at_counter()
    if (counter.folder / THE_BOOK).exists():
        return done(url_for("book.show"))
    try:
        how = ImportChoices(good_rows=form.ticked("good"))
        brought = import_folder(counter.folder, sent_now("").at, how)
    except EstimatorError as error:
        form.note(error)
        return shown(form)
    parts = import_parts(brought, only_try=False)
    if not brought.written:
        return shown(form, parts=parts)
    return back_saying(form, [part if isinstance(part, str) else getattr(part, "text", "") for part in parts])


@page.post("/book/second-place")
def second_place() -> ResponseReturnValue:
    """Where copies go too, from now on, and one at once; nowhere where nothing is named."""
    form = PageForm.sent()
    named = form.text("second")
    try:
        store, place = the_book(), Path(named).expanduser() if named else None
        if place is not None and (at_counter().folder / place).resolve().is_relative_to(
            at_counter().folder.resolve()
        ):
            form.wrong("second", page_label("second-inside"))
        elif place is not None and not place.is_dir():
            form.wrong("second", page_label("second-not-there"))
    except (EstimatorError, OSError, RuntimeError, ValueError) as error:
        form.wrong(
            "second", str(error) if isinstance(error, EstimatorError) else page_label("second-not-there")
        )
    if form.errors:
        return shown(form)
    lines = []
    try:
        text = with_values(store.settings_text(), ("workshop",), {"backup_folder": named or None})
        if text != store.settings_text():
            form.write(page_label("second-act"), lambda act: act.settings(text))
        if not form.errors and (copy := store.copy_elsewhere(dt.datetime.now().astimezone())):
            lines = [page_label("second-made").format(file=copy)]
    except EstimatorError as error:
        form.note(error, "second")
    return shown(form) if form.errors else back_saying(form, lines)


@page.post("/book/forget")
def forget() -> ResponseReturnValue:
    """Asks once, saying what goes; then an owner is forgotten on each of his boards."""
    form, board = PageForm.sent(), ""
    try:
        store, board = the_book(), form.text("board")
        boards = next((own for own in owners_of_boards().values() if board in own), [])
        if not boards:
            form.wrong("board", page_label("nobody-to-forget"))
            return shown(form)
        names = {one.board: one.name for one in at_counter().now.whole_log.boards}
        if not form.ticked("sure"):
            return render_template(
                "book_sure.html",
                head=page_label("forget-owner"),
                lines=forget_lines(names[one] for one in boards),
                address=url_for("book.forget"),
                carried={"board": board},
                button=page_label("forget-now"),
                form=form,
            )
        at = sent_now("").at
        forgotten = [store.forget_owner(one, at, origin=PAGE) for one in boards]
        shutil.rmtree(at_counter().folder / UPLOADS, ignore_errors=True)
    except EstimatorError as error:
        form.note(error)
        return shown(form)
    return back_saying(form, forgotten_lines(forgotten))

"""Files out of the book and into it: what comes in is looked at, asked about, and taken only then."""

from __future__ import annotations

import io
import json
import re
import secrets
import shutil
import tempfile
import time
import zipfile
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from flask import Blueprint, Response, abort, render_template, request
from flask.typing import ResponseReturnValue

from estimator.counter.forms import PageForm
from estimator.counter.pages.book import UPLOADS, back_saying, shown, the_book
from estimator.counter.taking import sent_now
from estimator.counter.workplace import at_counter
from estimator.log.cache import A_DAY
from estimator.log.exchange.export import export_log
from estimator.log.exchange.importing import ImportChoices, Imported, import_files
from estimator.log.exchange.questions import ImportQuestion
from estimator.log.exchange.understanding import say_target
from estimator.log.kept_in import readable_of
from estimator.said.exchange import import_parts
from estimator.words.errors import EstimatorError
from estimator.words.page_labels import PAGE_LABELS, page_label

page = Blueprint("book_files", __name__)
KINDS: Mapping[str, str] = {
    "xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
    "ods": "application/vnd.oasis.opendocument.spreadsheet",
    "csv": "application/zip",
}
UPLOAD = re.compile(r"[0-9a-f]{32}")
MOST_FILES = 20
MOST_SHOWN = 100  # problems that are said one by one


@page.get("/book/export")
def export() -> ResponseReturnValue:
    """All sheets as a file to keep; of a damaged book what can still be read."""
    kind, folder = request.args.get("kind", ""), at_counter().folder
    if kind not in KINDS:
        abort(404)
    store, _ = readable_of(folder)
    day = sent_now("").day
    with tempfile.TemporaryDirectory() as room:
        target = Path(room) / (f"boards-{day}" if kind == "csv" else f"boards-{day}.{kind}")
        written = export_log(store, target, with_owners=request.args.get("owners") == "yes")
        data = _packed(written.files) if kind == "csv" else written.files[0].read_bytes()
    answer = Response(data, content_type=KINDS[kind])
    name = f"boards-{day}.{'zip' if kind == 'csv' else kind}"
    answer.headers["Content-Disposition"] = f'attachment; filename="{name}"'
    return answer


def _packed(files: tuple[Path, ...]) -> bytes:
    """Files in one."""
    data = io.BytesIO()
    with zipfile.ZipFile(data, "w", zipfile.ZIP_DEFLATED) as package:
        for file in files:
            package.write(file, file.name)
    return data.getvalue()


@dataclass(frozen=True, slots=True)
class Upload:
    """Files that were sent to be taken in. name: of their folder, made by us"""

    name: str
    files: tuple[Path, ...]

    @classmethod
    def sent(cls) -> Upload | None:
        """The files of the request in hand, put away; None where there are none."""
        room = _room()
        _clear(room)
        sent = [one for one in request.files.getlist("file") if one.filename][:MOST_FILES]
        if not sent:
            return None
        name = secrets.token_hex(16)
        for number, one in enumerate(sent, 1):
            place = room / name / str(number)
            place.mkdir(parents=True, mode=0o700)
            one.save(place / safe_name(one.filename or ""))
        return cls.named(name)

    @classmethod
    def named(cls, name: str) -> Upload | None:
        """The upload of that name; None where it is none of ours, or gone."""
        if not UPLOAD.fullmatch(name):
            return None
        files = sorted((_room() / name).glob("*/*"), key=lambda file: int(file.parent.name))
        return cls(name, tuple(files)) if files else None

    def clear(self) -> None:
        """Takes the files away."""
        shutil.rmtree(_room() / self.name, ignore_errors=True)


def _room() -> Path:
    return at_counter().folder / UPLOADS


def _clear(room: Path) -> None:
    """Takes uploads away that nobody came back to."""
    for one in room.iterdir() if room.is_dir() else ():
        if time.time() - one.stat().st_mtime > A_DAY:
            shutil.rmtree(one, ignore_errors=True)


def safe_name(name: str) -> str:
    r"""The name under which a file came, as it can stand in a folder of ours: its kind and title go by it.

    >>> safe_name(r"C:\log\My boards.XLSX"), safe_name("../../etc/passwd"), safe_name("..")
    ('My boards.XLSX', 'passwd', 'file')
    """
    last = re.split(r"[\\\\/]", name)[-1]
    plain = re.sub(r"[^\w .()-]+", "-", last).strip(". ")
    stem, dot, ending = plain.rpartition(".")
    return f"{stem[:60]}{dot}{ending[:8]}" if stem else plain[:60] or "file"


@page.post("/book/import")
def bring() -> ResponseReturnValue:
    """Looks at files, asks what only the restorer knows, and takes them in once nothing is open."""
    form = PageForm.sent()
    try:
        the_book()
        upload = Upload.named(form.text("upload")) if form.text("upload") else Upload.sent()
        if upload is None:
            form.wrong("file", page_label("import-gone" if form.text("upload") else "import-none"))
            return shown(form)
        answers = _answers(form)
        wanted = form.ticked("take")
        tried = _imported(upload, form, answers, only_try=True)
        asked = {*form.texts("asked")}
        questions = [
            one for one in tried.questions if one.key not in answers and (one.needed or one.key not in asked)
        ]
        if wanted and not questions:
            taken = _imported(upload, form, answers, only_try=False)
            if taken.written or not taken.problems:
                upload.clear()
                parts = import_parts(taken, only_try=False)
                said = [part if isinstance(part, str) else getattr(part, "text", "") for part in parts]
                return back_saying(form, said)
            tried = taken
    except EstimatorError as error:
        form.note(error, "file")
        return shown(form)
    except OSError:
        form.wrong("file", page_label("import-gone"))
        return shown(form)
    open_ones = {one.problem for one in tried.questions}
    return render_template(
        "import.html",
        form=form,
        new=PageForm.blank(),
        upload=upload.name,
        tried=tried,
        parts=[] if questions else import_parts(tried, only_try=True),
        problems=[one for one in tried.problems if one not in open_ones],
        most=MOST_SHOWN,
        questions=questions,
        answers=[json.dumps(one) for one in answers.items()],
        asked=sorted(asked | {one.key for one in questions if not one.needed}),
        said_by=_said_by,
    )


def _said_by(question: ImportQuestion, answer: str) -> str:
    """What an answer to a question of an import says; one of our columns as a restorer calls it."""
    if question.about == "column" and (words := PAGE_LABELS.get(f"column-{answer}")):
        return words
    offered = (choice.says for choice in question.choices if choice.answer == answer)
    return next(offered, say_target(answer, at_counter().now.settings))


def _imported(upload: Upload, form: PageForm, answers: Mapping[str, str], *, only_try: bool) -> Imported:
    """What taking the files in would do, or did."""
    how = ImportChoices(only_try=only_try, newer=form.ticked("newer"), good_rows=form.ticked("good"))
    return import_files(at_counter().folder, upload.files, sent_now("").at, how, answers)


def _answers(form: PageForm) -> dict[str, str]:
    """What was answered, now and before: each beside the key of its question."""
    found = {}
    for text in form.texts("known"):
        try:
            key, answer = json.loads(text)
        except (ValueError, TypeError):
            continue
        found[str(key)] = str(answer)
    for name, [key, *_] in form.typed.items():
        if name.startswith("key."):
            number = name.removeprefix("key.")
            answer = form.text(f"other.{number}") or form.text(f"answer.{number}")
            if answer:
                found[key] = answer
    return found

"""Files of a folder written whole or not at all, one or several at once, and the folder's lock."""

from __future__ import annotations

import hashlib
import json
import os
import random
import secrets
import sys
import time
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager, suppress
from dataclasses import asdict, dataclass
from pathlib import Path

from estimator.words.errors import UsageError

JOURNAL = ".estimator-act.json"
LOCK = ".estimator-lock"
PART = ".estimator-"  # how the name of a file begins that is not yet, or no longer, in its place
PATIENCE = 30.0  # seconds that a lock is waited for
STALE = 60.0  # seconds after which the file that stands for a lock has been left behind: an act takes parts of one
ANY_WRITER = 0o222


def refuse_unwritable(file: Path) -> None:
    """Nothing, for a file that looks as if it could be written: so that none is refused after long work.

    Raises UsageError where its folder is missing, or others may write there and not oneself.
    """
    there = file if file.exists() else file.parent
    if not file.parent.is_dir():
        wrong = f"{file} cannot be written: there is no folder {file.parent}."
        raise UsageError(wrong, "Name a file in a folder that is there.")
    if not os.access(there, os.W_OK):
        raise UsageError(f"{file} cannot be written.", "Name a file in a folder that is yours.")


@contextmanager
def locked(folder: Path, patience: float = PATIENCE) -> Iterator[None]:
    """The folder for one process and thread alone; whoever dies lets go of it.

    It holds back those who ask for it too, and nobody else. Not to be asked for twice at once by the same thread.

    Raises TimeoutError where others hold it for too long, another OSError where the folder cannot be looked into.
    """
    until = time.monotonic() + patience
    handle, file = None, folder / LOCK
    while True:
        try:
            handle = _lock_of_the_system(folder)
            if handle is None:
                _lock_of_a_file(file)
            break
        except (BlockingIOError, FileExistsError):
            if time.monotonic() > until:
                raise TimeoutError(f"{folder} is held by another program") from None
            time.sleep(random.uniform(0.005, 0.03))  # noqa: S311  only so that not all ask again at once
    try:
        yield
    finally:
        if handle is None:
            file.unlink(missing_ok=True)
        else:
            os.close(handle)


def _lock_of_the_system(folder: Path) -> int | None:
    """A handle that holds the folder, until it is closed; None where the system cannot lock a folder.

    Raises BlockingIOError while another holds it.
    """
    if sys.platform == "win32":
        return None
    import fcntl

    handle = os.open(folder, os.O_RDONLY)
    try:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        os.close(handle)
        raise
    except OSError:  # some folders in a network know no locks
        os.close(handle)
        return None
    return handle


def _lock_of_a_file(file: Path) -> None:
    """A file that nobody else could make stands for the lock; raises FileExistsError while it is there."""
    with suppress(OSError):
        if time.time() - file.stat().st_mtime > STALE:
            file.unlink()
    os.close(os.open(file, os.O_CREAT | os.O_EXCL | os.O_WRONLY))


@dataclass(frozen=True, slots=True)
class _Step:
    """One file of several that are written as one; all as text, for the journal.

    target: the file itself, at the end of any link; part: its new content, until it is moved into place
    old: a copy of what was there, empty where nothing was; before, after: digests of both contents
    """

    target: str
    part: str
    old: str
    before: str
    after: str


def write_all(folder: Path, files: Mapping[str, str | bytes]) -> None:
    """Writes files of a folder, by name: all of them or none, also where the machine stops in between.

    Each is written apart and moved into place; a link is followed, and a file that was there keeps its rights. Where
    there are several a journal says what is meant: `finish` completes it or takes it back. A text is written as UTF-8.
    To be called under the folder's lock.

    Raises OSError where one cannot be written, or may not; then each is again what it was.
    """
    steps: list[_Step] = []
    token = f"{_mark(folder)}{secrets.token_hex(4)}"
    journal = folder / JOURNAL
    try:
        for number, (name, content) in enumerate(files.items()):
            data = content.encode("utf-8") if isinstance(content, str) else content
            steps.append(_staged((folder / name).resolve(), data, f"{token}{number}", several=len(files) > 1))
        if len(steps) > 1:
            _write_journal(journal, steps, undo=False)
        for step in steps:
            os.replace(step.part, step.target)  # noqa: PTH105  the one call that moves files into place
            _to_disk(Path(step.target).parent)
    except OSError:
        if journal.exists():
            _write_journal(journal, steps, undo=True)
        _undo(steps)
        raise
    finally:
        journal.unlink(missing_ok=True)
        clear_parts(folder, (Path(step.target).parent for step in steps))


def finish(folder: Path) -> None:
    """Completes what was begun before the machine stopped, or takes it back where a file was changed since.

    To be called under the folder's lock. Raises OSError where the files cannot be written.
    """
    journal = folder / JOURNAL
    try:
        kept = json.loads(journal.read_text("utf-8"))
        steps = [_Step(**step) for step in kept["steps"]]
        undo = bool(kept["undo"])
    except FileNotFoundError:
        return
    except (ValueError, KeyError, TypeError):
        steps, undo = [], False
    left = [step for step in steps if Path(step.part).exists()]
    if not undo and all(_digest(Path(step.target)) == step.before for step in left):
        for step in left:
            os.replace(step.part, step.target)  # noqa: PTH105
            _to_disk(Path(step.target).parent)
    else:
        _undo(steps)
    journal.unlink(missing_ok=True)
    clear_parts(folder, (Path(step.target).parent for step in steps))


def clear_parts(folder: Path, others: Iterable[Path] = ()) -> None:
    """Takes away what was written apart and has no place to go to any more; others: where links led."""
    for place in {folder, *others}:
        for part in place.glob(f"{_mark(folder)}*.part"):
            with suppress(OSError):
                part.unlink()


def write_whole(path: Path, data: bytes, part: str = "", *, to_disk: bool = True) -> None:
    """Writes one file whole or not at all; part: the name of the file that is written first."""
    apart = path.with_name(part or f"{PART}{secrets.token_hex(8)}.part")
    try:
        _write_new(apart, data, to_disk=to_disk)
        os.replace(apart, path)  # noqa: PTH105
    except BaseException:
        apart.unlink(missing_ok=True)
        raise


def save_file(path: Path, data: bytes) -> None:
    """Writes a picture or a sheet, whole or not at all: where it fails, what was there before is still whole.

    A link is followed, and a file that was there keeps its rights. Raises OSError where it cannot be written, or may
    not be.
    """
    target = path.resolve()
    if target.exists() and not target.is_file():  # a pipe or a device is no file that could be replaced
        target.write_bytes(data)
        return
    rights = _rights(target)
    apart = target.with_name(f"{PART}{secrets.token_hex(8)}.part")
    try:
        _write_new(apart, data)
        if rights is not None:
            apart.chmod(rights)
        os.replace(apart, target)  # noqa: PTH105
    except BaseException:
        apart.unlink(missing_ok=True)
        raise


def _rights(target: Path) -> int | None:
    """The rights of a file; None where there is none. Raises PermissionError where it may not be written."""
    if not target.exists():
        return None
    rights = target.stat().st_mode
    if not (rights & ANY_WRITER and os.access(target, os.W_OK)):
        raise PermissionError(13, "may not be written", str(target))
    return rights


def _mark(folder: Path) -> str:
    """How the parts of this folder's files are named, so that they are known also where a link led."""
    return f"{PART}{hashlib.sha256(str(folder.resolve()).encode()).hexdigest()[:8]}-"


def _staged(target: Path, data: bytes, token: str, *, several: bool) -> _Step:
    """One file written apart, ready to be moved into place, with a copy of the old where it may be needed."""
    rights = _rights(target)
    there = rights is not None
    part, old = (target.with_name(f"{token}{end}.part") for end in ("", "-old"))
    _write_new(part, data)
    before = ""
    if rights is not None:
        part.chmod(rights)
        before = _digest(target)
        if several:
            _write_new(old, target.read_bytes())
            old.chmod(rights)
    after = hashlib.sha256(data).hexdigest()
    return _Step(str(target), str(part), str(old) if there and several else "", before, after)


def _undo(steps: Sequence[_Step]) -> None:
    """Puts back what stood in files that were moved into place, where nobody has changed them since."""
    for step in steps:
        target = Path(step.target)
        if Path(step.part).exists() or _digest(target) != step.after:
            continue
        if step.old and Path(step.old).exists():
            os.replace(step.old, target)  # noqa: PTH105
        elif not step.before:
            target.unlink(missing_ok=True)


def _digest(path: Path) -> str:
    """The digest of a file's content; empty where there is no such file."""
    try:
        return hashlib.sha256(path.read_bytes()).hexdigest()
    except FileNotFoundError:
        return ""


def _write_journal(journal: Path, steps: Sequence[_Step], *, undo: bool) -> None:
    """Says what is to be done, and so makes it certain: from here on the act is finished or taken back."""
    text = json.dumps({"undo": undo, "steps": [asdict(step) for step in steps]})
    write_whole(journal, text.encode("utf-8"), f"{_mark(journal.parent)}journal.part")
    _to_disk(journal.parent)


def _write_new(path: Path, data: bytes, *, to_disk: bool = True) -> None:
    """Writes a file that is not there yet, down to the disk."""
    handle = os.open(path, os.O_CREAT | os.O_TRUNC | os.O_WRONLY | getattr(os, "O_BINARY", 0), 0o666)
    with os.fdopen(handle, "wb") as file:
        file.write(data)
        file.flush()
        if to_disk:
            os.fsync(file.fileno())


def _to_disk(folder: Path) -> None:
    """Makes sure that the names in a folder are on the disk too, where the system can."""
    with suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)

"""Where a log lives: what every store does, and the first of them, a folder of csv files and a spreadsheet."""

from __future__ import annotations

import datetime as dt
import hashlib
import json
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import AbstractContextManager, contextmanager, suppress
from dataclasses import astuple, dataclass, replace
from pathlib import Path
from typing import Any, Protocol

from estimator.log.cache import CACHE, kept, sealed
from estimator.log.columns import BOARDS, FILES, HOURS, csv_headers, names_of_sheets
from estimator.log.csv_tables import headings, raw_csv, read_csv, with_cells, with_columns, with_row
from estimator.log.files import JOURNAL, clear_parts, finish, locked, write_all
from estimator.log.rows_before import fewer_rows
from estimator.log.tables import RawLog, RawSheet, unopened
from estimator.words.errors import UsageError
from estimator.words.problems import Place, Problem
from estimator.words.settings.reader import decoded_settings, parse_settings, settings_bytes
from estimator.words.settings.schema import Settings
from estimator.words.settings.values import SETTINGS_FILE

WORKBOOKS = ("log.xlsx", "log.ods")
NAMES = {*WORKBOOKS, *FILES}
NEVER_READ = ("log.xls", "log.csv")  # in a folder they look like the log, and are none
ACTS = "acts.json"  # in the cache: the acts that had a key
MOST_ACTS = 1000  # that are known again
TRIES = 50  # to read all files between two acts
COMMAND, PAGE, IMPORT = ORIGINS = ("command", "page", "import")  # from where acts come
CLOSE_IT = "Close it in other programs, and see whether you may write there."
MAKE_IT_YOURS = "Close it elsewhere, or make it yours."


@dataclass(frozen=True, slots=True)
class Sent:
    """When and from where an act comes.

    key: of the form that sends it, so that the same one sent twice is done once; origin: command, page or import
    """

    at: dt.datetime
    key: str = ""
    origin: str = COMMAND

    @property
    def day(self) -> dt.date:
        """The day on which it is sent."""
        return self.at.date()


class Act(Protocol):
    """What is written in one go: all of it, or nothing where it raises."""

    @property
    def by_hand(self) -> str:
        """The spreadsheet that only its own program may write, by name; empty where this store writes all sheets."""

    @property
    def again(self) -> bool:
        """Whether this very act was done before, and nothing is written now."""

    def columns(self, sheet: str) -> frozenset[str] | None:
        """The columns that a sheet has; None where a row more would begin it."""

    def append(self, sheet: str, cells: Mapping[str, str]) -> Place:
        """A row more in a sheet, and its place; cells: one line of text by column, which is begun where it is wanted.

        Raises UsageError where it cannot be written so that all reads back as it was.
        """

    def fill(self, place: Place, cells: Mapping[str, str], expected: Mapping[str, str]) -> None:
        """Cells of a row filled; what stood in them is gone. A column that is not there is begun for what it gets.

        expected: what stood in cells of that row when it was read; raises UsageError where it was changed meanwhile
        """

    def strike(self, place: Place, why: str) -> None:
        """Strikes a row out: it stays, with why, and is no longer read.

        Raises UsageError where rows cannot be marked so, or no such row is read.
        """

    def settings(self, text: str) -> None:
        """The settings as they shall be."""


class Reading(Protocol):
    """A log as it stands at one moment; however late it is asked, it says the same."""

    @property
    def folder(self) -> Path:
        """The workshop's folder."""

    def revision(self) -> str:
        """A name of all that is in sheets and settings; different content never has the same one."""

    def read(self) -> tuple[RawLog, list[Problem]]:
        """The cells of all sheets, none of them read yet, with their places; and what is wrong with the sheets."""

    def settings_text(self) -> str:
        """The text of the settings.

        Raises UsageError where there are none, SettingsError where they are no text.
        """


class Store(Reading, Protocol):
    """Where a log is read and written: a `Reading` that sees, each time it is asked, what others have written."""

    def held(self) -> Reading:
        """The log as it stands now."""

    def act(
        self, label: str, at: dt.datetime, key: str = "", digest: str = "", origin: str = COMMAND
    ) -> AbstractContextManager[Act]:
        """One act: whole or not at all, and no two at once.

        label: what is done, in words; at: when; origin: from where, one of ORIGINS
        key, digest: of an act that may be sent twice, and of what it says: seen before, it yields the first one and
        writes nothing

        Raises UsageError where it cannot be written, or a key comes again with something else.
        """


@dataclass(frozen=True, slots=True)
class Sources:
    """The files that are read, and those that lie beside them unread.

    workbook: the spreadsheet, or None where the log is kept in csv
    tables: csv files by sheet; beside a spreadsheet only those that a sheet may be added to
    """

    workbook: Path | None
    tables: Mapping[str, Path]
    unread: tuple[str, ...]

    @property
    def names(self) -> tuple[str, ...]:
        """The names of the files that are read, in the order in which they are."""
        first = (self.workbook,) if self.workbook else ()
        return tuple(path.name for path in (*first, *self.tables.values()))


def log_files(folder: Path) -> Sources:
    """The files of a folder's log: log.xlsx, else log.ods, else csv; names in any case.

    All but boards.csv and hours.csv are read beside a spreadsheet too. A folder that is not there or cannot be
    looked into has none.
    """
    try:
        files = sorted(path for path in folder.iterdir() if path.is_file() or _leads_nowhere(path))
    except OSError:
        files = []
    paths = {path.name.casefold(): path for path in reversed(files)}
    books = [paths[name] for name in WORKBOOKS if name in paths]
    tables = {file.removesuffix(".csv"): paths[file] for file in FILES if file in paths}
    beside = []
    if books:
        beside = [tables.pop(file.removesuffix(".csv")).name for file in (BOARDS, HOURS) if file in paths]
    twice = [path.name for path in files if path.name.casefold() in NAMES and path not in paths.values()]
    odd = [paths[name].name for name in NEVER_READ if name in paths]
    unread = (*(book.name for book in books[1:]), *beside, *twice, *odd)
    return Sources(books[0] if books else None, tables, unread)


def _leads_nowhere(path: Path) -> bool:
    """Whether it is a link to a file that is not there, as on a drive that is not plugged in."""
    return path.is_symlink() and not path.exists()


def _unread(path: Path) -> Problem:
    """The problem of a file of the log that cannot be read."""
    if not _leads_nowhere(path):
        return unopened(path.name)
    cure = "Plug in the drive that it is on, or take the link away."
    return Problem(Place(path.name), str(path.readlink()), "the link leads to a file that is not there", cure)


@dataclass(frozen=True, slots=True)
class FileReading:
    """The files of a folder as they stood at one moment.

    data: what stands in each by name, None where it cannot be read
    columns: settings that say which columns there are; None: those of the folder itself
    """

    folder: Path
    sources: Sources
    data: Mapping[str, bytes | None]
    columns: Settings | None = None

    def revision(self) -> str:
        """SHA-256, in hexadecimal, of the bytes of the settings file and of the log's files.

        Nothing is parsed. A file that cannot be read counts by its name alone.
        """
        digest = hashlib.sha256()
        for name in (SETTINGS_FILE, *self.sources.names):
            for piece in (name.encode(), self.data[name] or b""):
                digest.update(len(piece).to_bytes(8, "big"))
                digest.update(piece)
        return digest.hexdigest()

    def settings_text(self) -> str:
        """The text of `workshop.toml`."""
        return decoded_settings(self.data[SETTINGS_FILE] or settings_bytes(self.folder))

    def named(self) -> Settings:
        """The settings that say which columns there are."""
        return self.columns or parse_settings(self.settings_text())[0]

    def read(self) -> tuple[RawLog, list[Problem]]:
        """The raw sheets, the spreadsheet's before those of csv files."""
        sources, names = self.sources, names_of_sheets(self.named())
        sheets: list[RawSheet] = []
        problems = [_unread(self.folder / name) for name in sources.names if self.data[name] is None]
        notes = list(which_log(sources.names, sources.unread))
        if sources.workbook and (book := self.data[sources.workbook.name]) is not None:
            from estimator.log.workbooks import raw_workbook  # csv files want nothing of a spreadsheet

            found, wrong, more = raw_workbook(book, sources.workbook.name, names)
            sheets += found
            problems += wrong
            notes += more
        for sheet, path in sources.tables.items():
            if (data := self.data[path.name]) is not None:
                raw, wrong = raw_csv(data, names[sheet], path.name)
                sheets += [raw] if raw else []
                problems += wrong
        notes += fewer_rows(self.folder, sheets, names)
        return RawLog(tuple(sheets), ", ".join(sources.names), tuple(notes)), problems


def which_log(names: Sequence[str], unread: Sequence[str]) -> Iterator[Problem]:
    """A note of the files that were read, and of other logs that lie beside them unread."""
    if unread and not names:
        wrong, cure = (
            "this is not read",
            "Save it as log.xlsx or log.ods, or each sheet as csv, as boards.csv.",
        )
        yield from (Problem(Place(name), "", wrong, cure) for name in unread)
    if names:
        beside = f"; unread beside it: {', '.join(unread)}" if unread else ""
        cure = "Keep one log, and move the other away." if unread else ""
        yield Problem(Place(names[0]), "", f"the log is {', '.join(names)}{beside}", cure)


@dataclass(frozen=True, slots=True)
class FileStore:
    """A log kept in a folder: log.xlsx, else log.ods, else boards.csv and hours.csv, and other sheets as csv.

    Each file is written whole, all else in it stays byte for byte, and a spreadsheet is never written.

    columns: settings that say which columns there are; None: those of the folder itself
    """

    folder: Path
    columns: Settings | None = None

    def revision(self) -> str:
        """See FileReading.revision."""
        return self.held().revision()

    def read(self) -> tuple[RawLog, list[Problem]]:
        """The raw sheets as they stand now."""
        return self.held().read()

    def settings_text(self) -> str:
        """The text of `workshop.toml` as it stands now."""
        return decoded_settings(settings_bytes(self.folder))

    def held(self) -> FileReading:
        """All files as they stand between two acts; an act that was broken off is finished, or taken back, first."""
        for _ in range(TRIES):
            if (self.folder / JOURNAL).exists():
                with (
                    suppress(OSError),
                    locked(self.folder),
                ):  # a folder that may not be written is read as it is
                    finish(self.folder)
            sources, before = self._stamped()
            data = {name: _bytes(self.folder / name) for name in (SETTINGS_FILE, *sources.names)}
            if self._stamped() == (sources, before) and not (self.folder / JOURNAL).exists():
                break
        return FileReading(self.folder, sources, data, self.columns)

    def _stamped(self) -> tuple[Sources, list[object]]:
        """The files, and what changes with each that is written."""
        sources = log_files(self.folder)
        stamps: list[object] = []
        for name in (SETTINGS_FILE, *sources.names):
            with suppress(OSError):
                stat = (self.folder / name).stat()
                stamps.append((name, stat.st_ino, stat.st_mtime_ns, stat.st_size))
        return sources, stamps

    @contextmanager
    def act(
        self, label: str, at: dt.datetime, key: str = "", digest: str = "", origin: str = COMMAND
    ) -> Iterator[Act]:
        """One act, under the folder's lock; those with a key are kept in the cache."""
        act = None
        try:
            with locked(self.folder):
                finish(self.folder)
                clear_parts(self.folder)
                acts = self._acts() if key else {}
                if key in acts:
                    yield FirstAct.of(acts[key], digest)
                    return
                act = FileAct(self.held(), {}, [])
                yield act
                if key:
                    (self.folder / CACHE).mkdir(exist_ok=True)
                    done = [list(astuple(place)) for place in act.places]
                    said = {"label": label, "at": at.isoformat(), "from": origin}
                    acts[key] = {"digest": digest, **said, "places": done}
                    newest = dict(list(acts.items())[-MOST_ACTS:])
                    text = json.dumps(newest, indent=1)
                    act.files[f"{CACHE}/{ACTS}"] = sealed(self.folder / CACHE / ACTS, text)
                if act.files:
                    write_all(self.folder, act.files)
        except OSError as error:
            name = next(iter(act.files), "") if act else ""
            cure = MAKE_IT_YOURS if name == SETTINGS_FILE else CLOSE_IT
            raise UsageError(f"{self.folder / name} cannot be written.", cure) from error

    def _acts(self) -> dict[str, dict[str, Any]]:
        """The acts that had a key, the latest last."""
        found: dict[str, dict[str, Any]] = json.loads(kept(self.folder / CACHE / ACTS) or "{}")
        return found


def _bytes(path: Path) -> bytes | None:
    """What stands in a file; None where it cannot be read."""
    try:
        return path.read_bytes()
    except OSError:
        return None


@dataclass(frozen=True, slots=True)
class FileAct:
    """What is to be written to files, by name, each whole; see Act.

    places: of the rows that were added
    """

    was: FileReading
    files: dict[str, bytes]
    places: list[Place]
    again: bool = False

    @property
    def by_hand(self) -> str:
        """The spreadsheet, which is never written; empty where there is none."""
        return self.was.sources.workbook.name if self.was.sources.workbook else ""

    def columns(self, sheet: str) -> frozenset[str] | None:
        """The columns of a csv file, by our names; None where it is not there or holds nothing."""
        path = self.was.sources.tables.get(sheet)
        data = self.was.data[path.name] if path else None
        if not path or not data:
            return None
        return headings(data, names_of_sheets(self.was.named())[sheet], path.name)

    def append(self, sheet: str, cells: Mapping[str, str]) -> Place:
        """A row more in a csv file, which is made where it is not there yet."""
        file = f"{sheet}.csv"
        if self.by_hand and file in {BOARDS, HOURS}:
            raise UsageError(f"{self.by_hand} stays as it is.", "Write the row there yourself.")
        known = self.was.named()
        names, path = names_of_sheets(known)[sheet], self.was.sources.tables.get(sheet)
        header = ",".join(csv_headers(known)[file]) + "\n"
        name = path.name if path else file
        # named before it is read, so that what fails is said of it
        changed = self._changed(
            name,
            lambda data: with_row(
                with_columns(data or header.encode(), names, name, [c for c, cell in cells.items() if cell]),
                names,
                name,
                cells,
            ),
            new=path is None,
        )
        place = Place(name, row=read_csv(changed, names, name)[0].rows[-1][0])
        self.places.append(place)
        return place

    def fill(self, place: Place, cells: Mapping[str, str], expected: Mapping[str, str]) -> None:
        """Cells of a row of a csv file filled."""
        if place.sheet:
            raise UsageError(f"{place.source} stays as it is.", "Write into the row there yourself.")
        sheets = {path.name: sheet for sheet, path in self.was.sources.tables.items()}
        if place.source not in sheets:
            raise changed_meanwhile(place)
        names = names_of_sheets(self.was.named())[sheets[place.source]]

        def filled(data: bytes) -> bytes:
            table, _, _ = read_csv(data, names, place.source)
            rows = dict(table.rows)
            row = table.named(rows.get(place.row, ()))
            if place.row not in rows or any(str(row.get(name, "")) != was for name, was in expected.items()):
                raise changed_meanwhile(place)
            more = [column for column, cell in cells.items() if cell and column not in table.columns]
            data = with_columns(data, names, place.source, more)
            known = {*table.columns, *more}
            there = {column: cell for column, cell in cells.items() if column in known}
            return with_cells(data, names, place.source, place.row, there) if there else data

        self._changed(place.source, filled)

    def strike(self, place: Place, why: str) -> None:  # noqa: ARG002  there is nowhere to write it
        """Refused: a row of a file has no mark."""
        raise UsageError(f"{place.source} keeps no rows that are struck out.", "Take the row out there.")

    def settings(self, text: str) -> None:
        """The new text of `workshop.toml`."""
        self.files[SETTINGS_FILE] = text.encode("utf-8")

    def _changed(self, name: str, how: Callable[[bytes], bytes], *, new: bool = False) -> bytes:
        """A file with something written into it, after all that this act has written into it already."""
        before = self.files.get(name, b"" if new else self.was.data[name])
        if before is None:
            self.files.setdefault(name, b"")
            raise PermissionError(13, "cannot be read", name)
        self.files[name] = changed = how(before)
        return changed


def changed_meanwhile(place: Place) -> UsageError:
    """The error of a row that is not what it was when it was read."""
    return UsageError(f"{place.source} was changed meanwhile.", "Ask for it again.")


@dataclass(slots=True)
class FirstAct:
    """An act that was done before: it says what it said then, and writes nothing."""

    places: list[Place]
    by_hand: str = ""
    again: bool = True

    @classmethod
    def of(cls, kept: Mapping[str, Any], digest: str) -> FirstAct:
        """The act as it was kept; raises UsageError where it said something else."""
        if kept["digest"] != digest:
            raise UsageError("This was written already, and said something else.", "Ask for it again.")
        return cls([replace(Place(*place), path=()) for place in kept["places"]])

    def columns(self, sheet: str) -> frozenset[str] | None:  # noqa: ARG002  nothing is written
        """None: what was written then is not asked for again."""
        return None

    def append(self, sheet: str, cells: Mapping[str, str]) -> Place:  # noqa: ARG002  as the first act did
        """The place of the row that was added then."""
        return self.places.pop(0)

    def fill(self, place: Place, cells: Mapping[str, str], expected: Mapping[str, str]) -> None:
        """Nothing: the row was filled then."""

    def strike(self, place: Place, why: str) -> None:
        """Nothing: the row was struck out then."""

    def settings(self, text: str) -> None:
        """Nothing: the settings were written then."""

"""Which files are a log, and when a cached fit of it is stale."""

import datetime as dt

import pytest

from estimator.log.store import PAGE, FileStore, Sent, log_files, which_log
from estimator.words.errors import UsageError
from estimator.words.problems import Place, Problem
from estimator.words.settings.schema import Settings


def names(folder):
    files = log_files(folder)
    return files.names, files.unread


def test_the_first_log_found_wins_and_the_others_are_named(tmp_path):
    assert names(tmp_path / "not there") == ((), ())
    for file in (
        "money.csv",
        "notes.csv",
        "weights.csv",
        "hours.csv",
        "Boards.CSV",
        "other.csv",
        "boards.csv.bak",
    ):
        (tmp_path / file).write_text("")
    assert names(tmp_path) == (("Boards.CSV", "hours.csv", "weights.csv", "notes.csv", "money.csv"), ())
    (tmp_path / "log.ods").write_text("")
    assert names(tmp_path) == (
        ("log.ods", "weights.csv", "notes.csv", "money.csv"),
        ("Boards.CSV", "hours.csv"),
    )
    (tmp_path / "log.xlsx").write_text("")
    assert names(tmp_path) == (
        ("log.xlsx", "weights.csv", "notes.csv", "money.csv"),
        ("log.ods", "Boards.CSV", "hours.csv"),
    )


def test_files_that_look_like_the_log_and_are_not_read_are_named(tmp_path):
    for file in ("Boards.csv", "boards.csv", "log.xls", "Log.csv", "log.txt"):
        (tmp_path / file).write_text("board\n")
    if not (tmp_path / "BOARDS.csv").exists():  # where capitals tell files apart
        assert names(tmp_path) == (("Boards.csv",), ("boards.csv", "log.xls", "Log.csv"))
        assert said(tmp_path) == [
            (
                "Boards.csv: the log is Boards.csv; unread beside it: boards.csv, log.xls, Log.csv. "
                "Keep one log, and move the other away."
            )
        ]


def test_a_spreadsheet_that_is_there_twice_in_other_letters_is_named(tmp_path):
    for file in ("log.ods", "LOG.ODS"):
        (tmp_path / file).write_text("x")
    if len(list(tmp_path.iterdir())) == 2:  # where capitals tell files apart
        assert names(tmp_path) == (("LOG.ODS",), ("log.ods",))


def test_a_log_that_lies_alone_is_named_and_asks_for_nothing():
    assert list(which_log(("boards.csv", "hours.csv"), ())) == [
        Problem(Place("boards.csv"), "", "the log is boards.csv, hours.csv", "")
    ]


def test_an_act_is_of_the_day_on_which_it_is_sent_from_wherever_it_comes():
    late = dt.datetime(2026, 6, 4, 23, 30, tzinfo=dt.UTC)
    assert (Sent(late).day, Sent(late, "k", PAGE).day) == (dt.date(2026, 6, 4), dt.date(2026, 6, 4))


def test_a_log_of_another_kind_alone_is_said(tmp_path):
    (tmp_path / "log.xls").write_text("")
    assert said(tmp_path) == [
        "log.xls: this is not read. Save it as log.xlsx or log.ods, or each sheet as csv, as boards.csv."
    ]


@pytest.mark.parametrize("file", ["boards.csv", "log.xlsx"])
def test_a_link_that_leads_nowhere_is_a_problem_and_no_empty_log(tmp_path, file):
    away = tmp_path / "drive" / "log"
    (tmp_path / file).symlink_to(away)

    assert names(tmp_path) == ((file,), ())
    _, problems = FileStore(tmp_path, Settings()).read()
    assert [problem.sentence() for problem in problems] == [
        (
            f'{file}: "{away}": the link leads to a file that is not there. '
            "Plug in the drive that it is on, or take the link away."
        )
    ]


def test_nothing_is_written_where_a_link_leads_nowhere(tmp_path):
    (tmp_path / "workshop.toml").write_text("")
    (tmp_path / "told.csv").symlink_to(tmp_path / "drive" / "told.csv")

    with (
        pytest.raises(UsageError, match="cannot be written"),
        FileStore(tmp_path).act("x", dt.datetime(2026, 6, 1, tzinfo=dt.UTC)) as act,
    ):
        act.append("told", {"board": "A", "date": "2026-06-01"})
    assert not (tmp_path / "drive").exists()


def said(folder):
    """The notes on which files a log is."""
    raw, _ = FileStore(folder, Settings()).read()
    return [note.sentence() for note in raw.notes]


def test_a_folder_of_that_name_is_no_log(tmp_path):
    (tmp_path / "log.xlsx").mkdir()
    assert names(tmp_path) == ((), ())


def test_the_digest_changes_with_any_byte_that_is_read_and_with_nothing_else(tmp_path):
    (tmp_path / "workshop.toml").write_text("x")
    (tmp_path / "boards.csv").write_text("board\n")
    seen = [FileStore(tmp_path).revision()]
    assert FileStore(tmp_path).revision() == seen[0]
    (tmp_path / "note.txt").write_text("y")
    assert FileStore(tmp_path).revision() == seen[0]
    for file, text in (
        ("workshop.toml", "xx"),
        ("boards.csv", "board\nA\n"),
        ("hours.csv", ""),
        ("log.ods", "z"),
    ):
        (tmp_path / file).write_text(text)
        seen.append(FileStore(tmp_path).revision())
    (tmp_path / "boards.csv").write_text("not read beside a spreadsheet")
    assert FileStore(tmp_path).revision() == seen[-1]
    assert len(set(seen)) == 5
    assert all(len(one) == 64 for one in seen)


def test_bytes_that_move_from_one_file_to_the_next_change_the_digest(tmp_path):
    (tmp_path / "boards.csv").write_text("ab")
    (tmp_path / "hours.csv").write_text("c")
    first = FileStore(tmp_path).revision()
    (tmp_path / "boards.csv").write_text("a")
    (tmp_path / "hours.csv").write_text("bc")
    assert FileStore(tmp_path).revision() != first


def test_the_digest_is_the_published_hash(tmp_path):
    # SHA-256 of two names and two contents, each after its length in eight bytes (NIST FIPS 180-4 by hashlib)
    import hashlib

    (tmp_path / "boards.csv").write_bytes(b"board\n")
    pieces = (b"workshop.toml", b"", b"boards.csv", b"board\n")
    plain = b"".join(len(piece).to_bytes(8, "big") + piece for piece in pieces)
    assert FileStore(tmp_path).revision() == hashlib.sha256(plain).hexdigest()

"""Which files are a log, and when a cached fit of it is stale."""

from estimator.log.store import FileStore, log_files


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

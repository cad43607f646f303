"""Files are written all or none, whatever happens in between."""

import json
import os
import subprocess
import sys
import threading
import time
from pathlib import Path

import pytest

from estimator.log import files
from estimator.log.files import JOURNAL, finish, locked, refuse_unwritable, save_file, write_all
from estimator.words.errors import UsageError

OLD, NEW = {"a.csv": "a", "b.csv": "b"}, {"a.csv": "A", "b.csv": "B", "c.csv": "C"}
DIES = """
import os, sys
from pathlib import Path
from estimator.log import files

step, left, where = sys.argv[1], int(sys.argv[2]), Path(sys.argv[3])
whole = getattr(os, step)

def dying(*args):
    global left
    if left == 0:
        os._exit(9)  # as if the machine stopped
    left -= 1
    return whole(*args)

setattr(os, step, dying)
with files.locked(where):
    files.write_all(where, {"a.csv": "A", "b.csv": "B", "c.csv": "C"})
"""


def fill(folder):
    for name, text in OLD.items():
        (folder / name).write_text(text)


def there(folder):
    return {path.name: path.read_text() for path in folder.iterdir()}


@pytest.mark.parametrize("step", ["replace", "fsync"])
@pytest.mark.parametrize("after", range(6))
def test_a_machine_that_stops_leaves_all_or_nothing(tmp_path, step, after):
    fill(tmp_path)
    done = subprocess.run(
        [sys.executable, "-c", DIES, step, str(after), str(tmp_path)],
        env={**os.environ, "PYTHONPATH": os.pathsep.join(path for path in sys.path if path)},
        check=False,
    )
    with locked(tmp_path):  # whoever died lets go
        finish(tmp_path)
        files.clear_parts(tmp_path)
    assert there(tmp_path) in (OLD, NEW)
    if step == "replace":
        # the journal is the first that is moved into place: from then on the act is certain
        assert there(tmp_path) == (OLD if after == 0 else NEW)
    assert done.returncode == (9 if step == "fsync" or after < 4 else 0)


def test_what_was_changed_by_another_since_is_not_written_over(tmp_path):
    fill(tmp_path)
    subprocess.run(
        [sys.executable, "-c", DIES, "replace", "2", str(tmp_path)],
        env={**os.environ, "PYTHONPATH": os.pathsep.join(path for path in sys.path if path)},
        check=False,
    )
    assert (tmp_path / "a.csv").read_text() == "A"
    (tmp_path / "b.csv").write_text("mended")
    finish(tmp_path)
    assert there(tmp_path) == {"a.csv": "a", "b.csv": "mended"}


@pytest.mark.parametrize("n", range(1, 4))
def test_where_one_cannot_be_moved_each_is_what_it_was(tmp_path, monkeypatch, n):
    fill(tmp_path)
    (tmp_path / "b.csv").chmod(0o640)
    whole, moved = os.replace, []

    def open_elsewhere(part, target):
        moved.append(target)
        if Path(target).name == sorted(NEW)[n - 1] and moved.count(target) == 1:
            raise PermissionError(13, "open in another program")
        return whole(part, target)

    monkeypatch.setattr(os, "replace", open_elsewhere)
    with pytest.raises(PermissionError):
        write_all(tmp_path, NEW)
    assert there(tmp_path) == OLD
    assert (tmp_path / "b.csv").stat().st_mode & 0o777 == 0o640


@pytest.mark.parametrize(
    "text", ['{"steps": 3}', "{", "{}", '{"steps": []}', '{"steps": [{"x": 1}], "undo": false}']
)
def test_a_journal_that_is_none_of_ours_is_cleared(tmp_path, text):
    fill(tmp_path)
    (tmp_path / JOURNAL).write_text(text)
    finish(tmp_path)
    assert there(tmp_path) == OLD


@pytest.mark.parametrize("system", [True, False])
def test_a_lock_holds_others_back_for_a_while(tmp_path, monkeypatch, system):
    if not system:
        monkeypatch.setattr(files, "_lock_of_the_system", lambda _: None)
    order = []

    def second():
        with locked(tmp_path):
            order.append("second")

    other = threading.Thread(target=second)
    with locked(tmp_path):
        other.start()
        with pytest.raises(TimeoutError), locked(tmp_path, patience=0.1):
            pass
        order.append("first")
    other.join()
    assert order == ["first", "second"]
    assert list(tmp_path.iterdir()) == []


def test_a_lock_that_was_left_behind_is_broken(tmp_path, monkeypatch):
    monkeypatch.setattr(files, "_lock_of_the_system", lambda _: None)
    (tmp_path / files.LOCK).write_text("")
    with pytest.raises(TimeoutError), locked(tmp_path, patience=0.05):
        pass
    not_yet, long_ago = time.time() - 0.8 * files.STALE, time.time() - 1.2 * files.STALE
    os.utime(tmp_path / files.LOCK, (not_yet, not_yet))
    with pytest.raises(TimeoutError), locked(tmp_path, patience=0.05):
        pass
    os.utime(tmp_path / files.LOCK, (long_ago, long_ago))
    with locked(tmp_path, patience=0.05):
        assert (tmp_path / files.LOCK).exists()


@pytest.mark.parametrize("step", ["fsync", "replace"])
@pytest.mark.parametrize("stops", [OSError("no space left"), KeyboardInterrupt()])
def test_a_picture_that_cannot_be_written_leaves_the_earlier_one_whole(tmp_path, monkeypatch, step, stops):
    picture = tmp_path / "range.png"
    picture.write_bytes(b"as it was")

    def stop(*_):
        raise stops

    monkeypatch.setattr(os, step, stop)
    with pytest.raises(type(stops)):
        save_file(picture, b"new")

    assert {path.name: path.read_bytes() for path in tmp_path.iterdir()} == {"range.png": b"as it was"}


def test_a_picture_goes_where_a_link_leads_and_a_file_that_may_not_be_written_stays(tmp_path):
    real, link = tmp_path / "real.png", tmp_path / "link.png"
    real.write_bytes(b"old")
    real.chmod(0o640)
    link.symlink_to(real)

    save_file(link, b"new")
    assert (link.is_symlink(), real.read_bytes(), real.stat().st_mode & 0o777) == (True, b"new", 0o640)

    real.chmod(0o440)
    with pytest.raises(PermissionError):
        save_file(link, b"newer")
    assert real.read_bytes() == b"new"


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no file can be a pipe here")
def test_a_pipe_is_written_into_and_never_replaced(tmp_path):
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)  # not a device of the machine, which a mistake would take away from all others
    reader = os.open(pipe, os.O_RDONLY | os.O_NONBLOCK)
    save_file(pipe, b"away")

    assert (os.read(reader, 10), pipe.is_fifo()) == (b"away", True)
    os.close(reader)
    assert list(tmp_path.iterdir()) == [pipe]


def test_two_files_are_moved_into_place_under_a_journal(tmp_path, monkeypatch):
    whole, seen = os.replace, []

    def watched(part, target):
        seen.append((Path(target).name, (tmp_path / JOURNAL).exists()))
        return whole(part, target)

    monkeypatch.setattr(os, "replace", watched)
    write_all(tmp_path, {"a.csv": "A", "b.csv": "B"})
    assert seen == [(JOURNAL, False), ("a.csv", True), ("b.csv", True)]


def stopped_in_between(folder, *, undo=False):
    """A folder as it is left where the machine stops once the first of two files is in its place."""
    fill(folder)
    made = [
        files._staged((folder / name).resolve(), text.encode(), f"{files._mark(folder)}0{n}", several=True)
        for n, (name, text) in enumerate({"a.csv": "A", "c.csv": "C"}.items())
    ]
    files._write_journal(folder / JOURNAL, made, undo=undo)
    Path(made[0].part).replace(folder / "a.csv")
    return made


def test_what_was_being_taken_back_is_taken_back_and_never_completed(tmp_path):
    stopped_in_between(tmp_path, undo=True)
    finish(tmp_path)
    assert there(tmp_path) == OLD


def test_what_was_begun_is_completed(tmp_path):
    stopped_in_between(tmp_path)
    finish(tmp_path)
    assert there(tmp_path) == {**OLD, "a.csv": "A", "c.csv": "C"}


def test_what_was_mended_since_is_not_put_back_over(tmp_path):
    """The first was moved into place and then mended, so the second can't be completed nor the first put back."""
    stopped_in_between(tmp_path)
    (tmp_path / "a.csv").write_text("mended")
    (tmp_path / "c.csv").write_text("another's")
    finish(tmp_path)
    assert there(tmp_path) == {**OLD, "a.csv": "mended", "c.csv": "another's"}


def test_a_file_that_was_not_there_goes_and_one_that_lost_its_copy_stays(tmp_path):
    fill(tmp_path)
    made = stopped_in_between(tmp_path, undo=True)
    Path(made[1].part).replace(tmp_path / "c.csv")
    Path(made[0].old).unlink()
    finish(tmp_path)
    assert there(tmp_path) == {**OLD, "a.csv": "A"}


def test_several_are_written_where_links_lead_and_nothing_is_left_there(tmp_path):
    shop, disk = tmp_path / "shop", tmp_path / "disk"
    shop.mkdir()
    disk.mkdir()
    (disk / "real.csv").write_text("a")
    (shop / "a.csv").symlink_to(disk / "real.csv")
    left = disk / f"{files._mark(shop)}77.part"
    left.touch()
    write_all(shop, {"a.csv": "A", "b.csv": "B"})
    assert (shop / "a.csv").is_symlink()
    assert there(disk) == {"real.csv": "A"}
    assert there(shop) == {"a.csv": "A", "b.csv": "B"}


def test_a_file_keeps_its_rights_when_it_is_written_alone(tmp_path):
    fill(tmp_path)
    (tmp_path / "a.csv").chmod(0o640)
    write_all(tmp_path, {"a.csv": "A"})
    assert ((tmp_path / "a.csv").stat().st_mode & 0o777, (tmp_path / "a.csv").read_text()) == (0o640, "A")


def test_before_long_work_it_is_known_whether_its_file_can_be_written(tmp_path, monkeypatch):
    refuse_unwritable(tmp_path / "new.pdf")
    with pytest.raises(UsageError, match=r"there is no folder .*none"):
        refuse_unwritable(tmp_path / "none" / "new.pdf")
    (tmp_path / "kept.pdf").touch()
    asked = []
    monkeypatch.setattr(os, "access", lambda path, _: bool(asked.append(path)))
    for name in ("new.pdf", "kept.pdf"):
        with pytest.raises(UsageError, match=rf"{name} cannot be written\."):
            refuse_unwritable(tmp_path / name)
    assert asked == [tmp_path, tmp_path / "kept.pdf"]


def test_before_anything_is_put_back_the_journal_says_so(tmp_path, monkeypatch):
    """Else what was stopped in the middle of it would be completed."""
    fill(tmp_path)
    whole, said = os.replace, []

    def open_elsewhere(part, target):
        if Path(target).name == "c.csv":
            raise PermissionError(13, "open in another program")
        if str(part).endswith("-old.part"):
            said.append((Path(target).name, json.loads((tmp_path / JOURNAL).read_text("utf-8"))["undo"]))
        return whole(part, target)

    monkeypatch.setattr(os, "replace", open_elsewhere)
    with pytest.raises(PermissionError):
        write_all(tmp_path, NEW)
    assert said == [("a.csv", True), ("b.csv", True)]
    assert there(tmp_path) == OLD


@pytest.mark.parametrize("undo", [True, False])
def test_what_another_wrote_in_a_place_to_which_nothing_was_moved_yet_stays(tmp_path, undo):
    """The very text that was to go there: it is his, and not taken away with the rest."""
    stopped_in_between(tmp_path, undo=undo)
    (tmp_path / "c.csv").write_text("C")
    finish(tmp_path)
    assert there(tmp_path) == {**OLD, "c.csv": "C"}


def test_one_file_alone_needs_no_journal_and_leaves_nothing(tmp_path, monkeypatch):
    fill(tmp_path)
    monkeypatch.setattr(files, "_write_journal", None)
    write_all(tmp_path, {"a.csv": b"\xff"})
    assert (tmp_path / "a.csv").read_bytes() == b"\xff"
    assert sorted(path.name for path in tmp_path.iterdir()) == ["a.csv", "b.csv"]

"""Files are written all or none, whatever happens in between."""

import os
import subprocess
import sys
import threading
import time
from pathlib import Path

import pytest

from estimator.log import files
from estimator.log.files import JOURNAL, finish, locked, save_file, write_all

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


def test_a_journal_that_is_none_of_ours_is_cleared(tmp_path):
    fill(tmp_path)
    (tmp_path / JOURNAL).write_text('{"steps": 3}')
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
    long_ago = time.time() - 2 * files.STALE
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


@pytest.mark.skipif(not Path("/dev/null").is_char_device(), reason="there is no such device")
def test_a_device_is_written_into_and_never_replaced():
    save_file(Path("/dev/null"), b"away")

    assert Path("/dev/null").is_char_device()

"""Folders that a program copies to other machines, by the signs that they have in common."""

from pathlib import Path

import pytest
from making.books import book, log_of

from estimator.log.book import synced
from estimator.log.book.synced import synced_sign


@pytest.mark.parametrize(
    "name",
    ["My Cloud", "cloud", "AnnsCloud", "Sync", "synced", "Online.Sync", "CloudStorage", "Mobile Documents"],
)
def test_a_folder_of_such_a_name_is_one(tmp_path, name):
    place = tmp_path / name / "boards" / "shop"
    place.mkdir(parents=True)
    assert synced_sign(place) == f"the folder “{name}”"


@pytest.mark.parametrize("name", ["boards", "cloudy days", "syncope", "drive", "backups", "St. Cloudsworth"])
def test_other_names_say_nothing(tmp_path, name):
    place = tmp_path / name
    place.mkdir()
    assert synced_sign(place) == ""


@pytest.mark.parametrize("name", [".sync", ".anysync", ".onecloud.cache", ".cloud-ids"])
def test_a_hidden_file_above_it_says_so(tmp_path, name):
    place = tmp_path / "mine" / "shop"
    place.mkdir(parents=True)
    (tmp_path / "mine" / name).touch()
    assert synced_sign(place) == f"“{name}” in the folder “mine”"


def test_a_copy_made_where_two_had_changed_it_says_so(tmp_path):
    (tmp_path / "book (Ann's conflicted copy 2026-06-01).sqlite").touch()
    assert "conflicted copy" in synced_sign(tmp_path)


def test_what_the_system_marks_says_so(tmp_path, monkeypatch):
    class Marked:
        st_reparse_tag = 0x9000601A

    monkeypatch.setattr(Path, "lstat", lambda _: Marked)
    assert synced_sign(tmp_path).startswith("the folder")
    Marked.st_reparse_tag = 0xA000000C  # a plain link
    assert synced_sign(tmp_path) == ""


def test_nothing_is_looked_for_above_the_home_folder(tmp_path, monkeypatch):
    (tmp_path / ".sync").touch()
    home = tmp_path / "ann"
    (home / "shop").mkdir(parents=True)
    monkeypatch.setattr(synced.Path, "home", lambda: home)
    assert synced_sign(home / "shop") == ""


def test_a_book_in_one_has_a_note(tmp_path):
    assert not [note for note in log_of(book(tmp_path / "shop"))[2] if "other machines" in note.wrong]
    (tmp_path / "Sync").mkdir()
    [note] = [note for note in log_of(book(tmp_path / "Sync" / "shop"))[2] if "other machines" in note.wrong]
    assert "let only copies of the book go there" in note.cure

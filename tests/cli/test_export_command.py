"""`export`: owners stay at home unless they are asked for; of a damaged book what can be read, and that it is so."""

import csv
import json

import pytest
from making.books import SETTINGS, book
from making.folders import folder

BOARDS = "board,called,owner,reach\n26-001,red nine-four,Ines Calder,0170 55\n"


@pytest.mark.parametrize("named", [False, True])
def test_owners_go_out_only_where_they_are_asked_for(run, tmp_path, named):
    shop = folder(tmp_path / "shop", boards=BOARDS, hours="board,date,stage,hours\n")
    words = ("--with-owners",) if named else ()
    done = json.loads(run("export", tmp_path / "out", *words, "--json", "--shop", shop).stdout)
    with (tmp_path / "out" / "boards.csv").open(encoding="utf-8-sig") as file:
        (row,) = csv.DictReader(file)

    assert done["with_owners"] is named
    assert (row.get("owner"), row.get("reach")) == (("Ines Calder", "0170 55") if named else (None, None))
    said = run("export", tmp_path / "again", *words, "--shop", shop).stdout
    assert ("Owners are not in it." in said) is not named


def test_of_a_damaged_book_it_is_said_what_it_is(run, tmp_path, monkeypatch):
    store = book(tmp_path / "shop", SETTINGS, boards=[{"board": "26-001"}])
    whole = run("export", tmp_path / "a.xlsx", "--shop", tmp_path / "shop")
    assert whole.stderr == ""
    monkeypatch.setattr("estimator.log.kept_in.readable_of", lambda _: (store, "It is damaged."))
    hurt = run("export", tmp_path / "b.xlsx", "--shop", tmp_path / "shop")
    assert hurt.stderr == "It is damaged.\n"
    assert "1 board" in hurt.stdout

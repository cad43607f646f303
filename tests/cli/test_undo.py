"""`undo` takes back what was written last into a book; and commands write acts where there is one."""

import json

import pytest
from making.books import book, log_of, placeless, rows_in
from making.folders import BOARDS, HOURS, SETTINGS, folder

from estimator.log.book.store import BookStore

TODAY = ("--today", "2026-06-01")


@pytest.fixture
def shop(tmp_path):
    """A small workshop as a book."""
    book(tmp_path / "shop", SETTINGS, **rows_in({"boards.csv": BOARDS, "hours.csv": HOURS}))
    return tmp_path / "shop"


def test_a_telling_is_taken_back_with_the_dates_that_went_into_the_boards_row(run, shop):
    before = placeless(log_of(BookStore(shop))[0])
    said = run(
        "told", "green fish", "--hours", "20-30", "--last", "2026-07-01", "--shop", shop, *TODAY
    ).stdout
    assert "20 to 30" in said
    log = log_of(BookStore(shop))[0]
    assert [(t.board, t.hours_low) for t in log.told] == [("26-003", 20.0)]
    assert log.by_id["26-003"].promised_last.isoformat() == "2026-07-01"
    listed = run("undo", "--list", "--shop", shop).stdout
    assert "what the owner of green fish was told" in listed
    assert listed.index("green fish") < listed.index("the log so far")
    undone = run("undo", "--shop", shop, *TODAY).stdout
    assert undone == "Taken back, of Mon 1 June 2026: what the owner of green fish was told.\n"
    assert placeless(log_of(BookStore(shop))[0]) == before
    assert "(taken back)" in run("undo", "--list", "--shop", shop).stdout


def test_every_command_that_writes_writes_an_act(run, shop):
    where = ("--shop", shop, *TODAY)
    run("weigh", "green fish", "--decide", "yes", "--why", "that shape", *where)
    run("range", "green fish", "--add", "area=1", "--keep", *where)
    board = log_of(BookStore(shop))[0].by_id["26-003"]
    assert (board.decided, board.decided_why, dict(board.later)) == ("yes", "that shape", {"area": 1.0})
    acts = json.loads(run("undo", "--list", "--json", *where).stdout)["acts"]
    assert [act["sentence"] for act in acts] == [
        "what the owner of green fish asks for since",
        "decision on green fish: yes",
        "the log so far",
    ]
    assert list(acts[0]) == ["id", "at", "origin", "sentence", "undone", "undo_of"]
    said = run("undo", "2", *where, exit_code=2).stderr
    assert "was changed since, by “what the owner of green fish asks for since”" in said
    run("undo", *where)
    assert json.loads(run("undo", "2", "--json", *where).stdout)["undone"]["id"] == 2
    assert log_of(BookStore(shop))[0].by_id["26-003"].decided == ""


def test_files_have_no_history(run, tmp_path):
    folder(tmp_path / "shop")
    for words in ([], ["--list"]):
        said = run("undo", *words, "--shop", tmp_path / "shop", exit_code=2).stderr
        assert said == "This log is kept in files, and files have no history. Correct them by hand.\n"


def test_a_number_that_is_none_is_refused(run, shop):
    assert "is no number of the list" in run("undo", "last", "--shop", shop, exit_code=2).stderr
    for none in ("9" * 19, "9" * 5000, "1.5", "-1"):
        assert "is no number of the list" in run("undo", "--shop", shop, "--", none, exit_code=2).stderr
    assert "There is no act 77" in run("undo", "77", "--shop", shop, exit_code=2).stderr


def test_check_says_which_log_is_read(run, shop):
    (shop / "boards.csv").write_text("board\nX\n", "utf-8")
    said = run("check", "--shop", shop).stdout
    assert "the log is book.sqlite; unread beside it: boards.csv" in " ".join(said.split())

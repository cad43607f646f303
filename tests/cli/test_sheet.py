import json
from dataclasses import replace
from types import SimpleNamespace

import pytest
from making.folders import folder
from making.mornings import CLUB, MORNING, dates
from making.read_pdf import read

from estimator.shop import Shop
from estimator.snapshot import Snapshot


@pytest.fixture
def made(monkeypatch):
    """The morning by hand in place of the workshop's own."""
    monkeypatch.setattr(Shop, "morning", lambda _shop: MORNING)


def test_a_sheet_lands_in_reports_inside_the_workshop(demo_folder, run, made):
    said = run("sheet", "week", "--shop", demo_folder)
    file = demo_folder / "reports" / "week-2026-W40.pdf"

    assert said.stdout == f"Saved as {file}.\n"
    assert read(file.read_bytes()).title == "Week of Mon 28 September 2026"


def test_out_names_another_file_and_json_says_what_was_made(demo_folder, run, made, tmp_path):
    file = tmp_path / "wall.PDF"
    told = json.loads(run("sheet", "week", "--out", file, "--json", "--shop", demo_folder).stdout)

    assert told == {
        "kind": "week",
        "file": str(file),
        "title": "Week of Mon 28 September 2026",
        "day": "2026-10-01",
    }
    assert file.read_bytes().startswith(b"%PDF-1.7")  # ISO 32000-1, 7.5.2: the file header


def test_hours_are_on_the_owner_s_copy_when_asked_for(demo_folder, run, monkeypatch, tmp_path):
    monkeypatch.setattr(Shop, "promise", lambda _shop, _board: CLUB)
    for file, more in ((tmp_path / "with.pdf", ["--hours"]), (tmp_path / "without.pdf", [])):
        run("sheet", "owner", "tan nine-one", "--out", file, "--shop", demo_folder, *more)

    assert "Hours of work" in read((tmp_path / "with.pdf").read_bytes()).words
    assert "Hours of work" not in read((tmp_path / "without.pdf").read_bytes()).words


def test_an_owner_s_copy_can_be_text_to_paste(demo_folder, run, monkeypatch, tmp_path):
    monkeypatch.setattr(Shop, "promise", lambda _shop, _board: CLUB)
    run("sheet", "owner", "26-900", "--out", tmp_path / "paste.txt", "--shop", demo_folder)

    said = (tmp_path / "paste.txt").read_text("utf-8").splitlines()
    assert said[:3] == ["tan nine-one", "Tarrish Sands Board Mending", "Thu 1 October 2026"]
    assert "8 Signed" in said


def test_the_day_on_an_owner_s_copy_can_be_kept_as_told(demo_folder, run, monkeypatch):
    """The board was not told of before; the day is the one of every answer."""
    ready = dates("10-20", "10-28", "11-04")
    monkeypatch.setattr(
        Snapshot, "promise", lambda _shop, _board: replace(CLUB, ready=ready, points=(ready.likely,) * 10)
    )
    said = run("sheet", "owner", "26-900", "--shop", demo_folder).stdout.splitlines()

    assert said[1:] == [
        "Once its owner has it, keep the day that it says:",
        "estimator told 26-900 --last 2026-11-04",
    ]
    told = json.loads(run("sheet", "owner", "26-900", "--json", "--shop", demo_folder).stdout)
    assert told["ready_by"] == "2026-11-04"


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["poster"], 'There is no sheet "poster".'),
        (["range"], "No board is named."),
        (["rules", "26-025"], "The sheet rules is about the whole workshop."),
        (["week", "--out", "week.png"], "week.png is no .pdf. Name a file that ends in it."),
        (["range", "26-025", "--hours"], "Only the owner's copy can say hours or leave them out."),
        (["week", "--out", "week.txt"], "week.txt is no .pdf. Name a file that ends in it."),
        (["owner", "x", "--out", "x.doc"], "x.doc is no .pdf or .txt. Name a file that ends in it."),
        (["owner", "nobody's"], 'No board is called "nobody\'s".'),
    ],
)
def test_mistakes_are_told_in_words(demo_folder, run, words, said):
    result = run("sheet", *words, "--shop", demo_folder, exit_code=2)

    assert result.stderr.startswith(said)


def test_a_file_that_cannot_be_written_is_told_in_words(demo_folder, run, made, tmp_path):
    result = run("sheet", "week", "--out", tmp_path / "no" / "where.pdf", "--shop", demo_folder, exit_code=2)

    no = tmp_path / "no"
    assert result.stderr == (
        f"{no / 'where.pdf'} cannot be written: there is no folder {no}. Name a file in a folder that is there.\n"
    )


def test_a_hand_over_can_be_sent_as_text_and_is_only_of_a_board_that_is_ready(demo_folder, run, tmp_path):
    run("sheet", "handover", "26-011", "--out", tmp_path / "send.txt", "--shop", demo_folder)
    refused = run("sheet", "handover", "26-900", "--shop", demo_folder, exit_code=2).stderr

    assert "6 Paid, and owed" in (tmp_path / "send.txt").read_text("utf-8").splitlines()
    assert refused.startswith("tan nine-one is not ready, and nothing can be handed over.")


def test_a_board_to_which_one_said_no_is_refused_unless_asked_twice(run, tmp_path):
    row = "26-901,grey gun,minor,9'1,2026-09-20,no,rot,2"
    head = "board,called,kind,length,asked,decided,decided_why,assessed_infills"
    run("new", tmp_path / "mine")
    (tmp_path / "mine" / "boards.csv").write_text(f"{head}\n{row}\n", "utf-8")
    out, shop = ("--out", tmp_path / "no.txt"), ("--shop", tmp_path / "mine", "--today", "2026-10-01")

    refused = run("sheet", "owner", "grey gun", *out, *shop, exit_code=2)
    assert refused.stderr == (
        "You said no to grey gun, and its owner's copy would offer it. Decide anew, or ask for the copy anyway. "
        "The option is --anyway.\n"
    )
    run("sheet", "owner", "grey gun", "--anyway", *out, *shop)
    assert "grey gun" in (tmp_path / "no.txt").read_text("utf-8")


@pytest.mark.parametrize(
    ("ready", "number", "line"),
    [
        (None, "26-7", None),
        ({"day": "", "stands": False, "told": False}, "26-7", None),
        ({"day": "2026-07-03", "stands": True, "told": True}, "26-7", None),
        ({"day": "2026-07-03", "stands": False, "told": False}, "26-7", "estimator told 26-7 --last 2026-07-03"),
        ({"day": "2026-07-03", "stands": False, "told": True}, "", "estimator told gun --last 2026-07-03 --because late"),
    ],
)  # fmt: skip
def test_a_day_that_the_paper_says_anew_can_be_kept_and_why_where_another_was_told(
    run, tmp_path, monkeypatch, ready, number, line
):
    data = {"ready": ready, "number": number, "name": "gun", "title": "A copy"}
    paper = SimpleNamespace(data=data, day="2026-06-01", save=lambda *_: tmp_path / "a.pdf")
    monkeypatch.setattr("estimator.papers.paper_of", lambda *_, **__: paper)
    words = ("sheet", "owner", "gun", "--shop", folder(tmp_path / "shop"), "--today", "2026-06-01")
    said = run(*words).stdout.splitlines()

    assert said[0] == f"Saved as {tmp_path / 'a.pdf'}."
    assert said[2:] == ([line] if line else [])
    told = json.loads(run(*words, "--json").stdout)
    assert told["ready_by"] == ((ready or {}).get("day") or None)
    assert "ready_by" not in json.loads(run("sheet", "range", *words[2:], "--json").stdout)

"""The sheets of a workshop folder: what each is made from, and what is kept off an owner's paper."""

import datetime as dt
import json
import re
from pathlib import Path

import numpy as np
import pytest
from making.alike import ELSEWHERE, ink_elsewhere, marks_apart, words_apart
from making.read_pdf import looks, read
from studies.make_sheets import DRAWN, SHOWN, draw, fresh, make

from estimator.papers import KINDS, Paper, check_asked, paper_of, plain_name
from estimator.shop import Shop
from estimator.words.errors import NoAnswerError, UsageError
from estimator.words.records import IN_HAND

REPORTS = Path(__file__).resolve().parents[1] / "reports"
DRAWN_THEN = json.loads(DRAWN.read_text("utf-8"))  # what stands on each figure of the examples


def grey(path):
    """A picture's grey levels, 0 to 1."""
    from matplotlib.image import imread

    return imread(path)[..., :3].mean(axis=2)


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    """The invented workshop, in which what one test has learned is kept for the next."""
    return fresh(tmp_path_factory.mktemp("invented") / "demo")


@pytest.fixture(scope="module")
def shop(folder):
    return Shop.open(folder)


@pytest.fixture(scope="module")
def papers(shop):
    """Sheets of one board in line, one on the rack and one that is asked for, and the week."""
    asked = [
        ("range", "26-029"),
        ("owner", "26-029"),
        ("owner", "coral nine-five"),
        ("range", "26-020"),
        ("week", None),
    ]
    return {(kind, about): paper_of(shop, kind, about) for kind, about in asked}


def test_names_of_files_and_days(papers):
    assert [paper.name for paper in papers.values()] == [
        "range-26-029", "owner-26-029", "owner-26-032", "range-26-020", "week-2026-W40"
    ]  # fmt: skip
    assert {paper.day for paper in papers.values()} == {dt.date(2026, 10, 1)}


def test_each_is_one_page(papers):
    for paper in papers.values():
        sheet = read(paper.pdf())
        assert len(sheet.pages) == 1
        assert sheet.off == ()


def test_an_owner_s_paper_names_no_other_owner_and_no_other_board(shop, papers):
    for about in ("26-029", "coral nine-five"):
        words = read(papers["owner", about].pdf()).words
        own = next(board for board in shop.log.boards if about in {board.board, board.called})
        assert own.owner in words
        for board in shop.log.boards:
            if board.board != own.board:
                assert board.board not in words
                assert not re.search(rf"\b{re.escape(board.owner)}\b", words)
                assert board.called == own.called or board.called not in words


def test_the_day_on_the_owner_s_paper_is_that_of_the_bench(shop, papers):
    morning = shop.morning()
    high = next(one.ready.high for one in morning.promises if one.board == "26-029")

    assert (
        papers["owner", "26-029"]
        .data["ready"]["figure"]["says"]
        .startswith("Of ten boards like rose nine-three")
    )
    said = papers["owner", "26-029"].data["ready"]["by"]
    day = next(high + dt.timedelta(n) for n in range(12) if f"{(high + dt.timedelta(n)).day} " in said)
    assert 0 <= (day - high).days <= 10
    assert papers["owner", "coral nine-five"].data["ready"]["yes"] == "Thu 8 October"


def test_making_the_week_s_sheet_rings_nobody(shop):
    assert not list(shop.folder.glob("**/rung.json"))


def test_boards_on_the_week_s_sheet_are_in_hand(shop, papers):
    in_hand = {board.name for board in shop.log.boards if board.state in IN_HAND}
    columns = [one["name"] for one in papers["week", None].data["columns"] if one["name"]]

    assert len(columns) >= 3
    assert set(columns) <= in_hand


def test_the_workshop_s_copy_rests_on_the_same_range_as_the_command(shop, papers):
    answer = shop.range("26-029", dates=True)
    figure = papers["range", "26-029"].data["figure"]["says"]

    assert f"half take more than {answer.likely:.0f}." in figure
    assert len(papers["range", "26-029"].data["what_ifs"]) == 4
    assert (
        papers["range", "26-029"]
        .data["told"][0]
        .startswith("On Thu 17 September (quote): 3,540 mk, fixed price;")
    )


@pytest.mark.parametrize("state", ["finished", "declined", "withdrawn"])
def test_a_board_that_is_over_has_no_owner_s_copy(shop, state):
    over = next(board for board in shop.log.boards if board.state == state)

    with pytest.raises(UsageError, match=f"(?i){re.escape(over.name)}"):
        paper_of(shop, "owner", over.board)


def test_a_finished_board_still_has_the_workshop_s_copy(shop):
    done = next(
        b for b in reversed(shop.log.boards) if b.state == "finished" and b.total_hours is None and b.guess
    )
    paper = paper_of(shop, "range", done.board)

    assert paper.data["hours"].endswith("all booked")
    assert paper.data["what_ifs"] == []
    assert paper.data["cautions"] == []


@pytest.mark.parametrize(
    ("kind", "about", "hours", "wrong"),
    [
        (
            "poster",
            None,
            False,
            'There is no sheet "poster". Sheets are range, owner, handover, weigh, quarter',
        ),
        ("range", None, False, "No board is named. Name it by its number or its name."),
        ("quarter", None, False, "No quarter is named. Name it, as 2026-Q3."),
        ("week", "26-029", False, "The sheet week is about the whole workshop. Ask for it alone."),
        ("range", "26-029", True, "Only the owner's copy can say hours or leave them out."),
    ],
)
def test_what_is_asked_wrongly_is_said_with_the_cure(kind, about, hours, wrong):
    with pytest.raises(UsageError, match=re.escape(wrong)):
        check_asked(kind, about, hours=hours)


def test_every_kind_can_be_asked():
    for kind, about in KINDS.items():
        check_asked(kind, "x" if about else None, hours=kind == "owner")


def test_a_board_that_nobody_knows_is_named(shop):
    with pytest.raises(UsageError, match='No board is called "26-999"'):
        paper_of(shop, "range", "26-999")


def test_without_a_day_nothing_is_printed(tmp_path):
    (tmp_path / "workshop.toml").write_text("[stages.strip]\n", "utf-8")

    with pytest.raises(NoAnswerError, match="No day is known"):
        paper_of(Shop.open(tmp_path), "week")


def test_a_workshop_without_hours_has_a_blank_week(tmp_path):
    (tmp_path / "workshop.toml").write_text("[stages.strip]\n", "utf-8")
    paper = paper_of(Shop.open(tmp_path, today=dt.date(2026, 10, 1)), "week")

    assert [one["name"] for one in paper.data["columns"]] == ["", "", ""]
    assert len(read(paper.pdf()).pages) == 1


@pytest.mark.parametrize("board", ["a/b", "..", "CON:1", "\u202e", "ü 1"])
def test_names_of_files_are_plain(board):
    assert re.fullmatch(r"[\w.-]+", plain_name(board))
    assert not plain_name(board).startswith(".")


def test_no_two_boards_share_the_name_of_a_file():
    boards = ["26-014", "a/b", "a b", "a-b", "a:b", "..", ":", "board", "ü 1", "ü-1"]

    assert len({plain_name(board) for board in boards}) == len(boards)
    assert [plain_name(board) for board in ("26-014", "a-b", "board")] == ["26-014", "a-b", "board"]


def test_a_sheet_that_cannot_be_written_leaves_the_earlier_one_whole(tmp_path, monkeypatch):
    def full_disk(*_):
        raise OSError("no space left")

    paper = Paper("owner", {}, dt.date(2026, 6, 1), "owner-26-001")
    monkeypatch.setattr(Paper, "pdf", lambda _: b"a new sheet")
    (file := tmp_path / "sheet.pdf").write_bytes(b"as it was")
    monkeypatch.setattr("os.fsync", full_disk)
    with pytest.raises(UsageError, match="cannot be written"):
        paper.save(tmp_path, file)

    assert {path.name: path.read_bytes() for path in tmp_path.iterdir()} == {"sheet.pdf": b"as it was"}


@pytest.fixture(scope="module")
def sheets_anew(folder, tmp_path_factory):
    """All example sheets, made anew."""
    place = tmp_path_factory.mktemp("anew")
    make(folder, list(KINDS), place)
    return place


@pytest.mark.parametrize("kind", KINDS)
def test_the_examples_are_what_the_invented_workshop_prints(sheets_anew, kind):
    """By bytes; else by words, figures and pixels, but for the last digits of another processor's draws."""
    made, kept = ((folder / f"{kind}.pdf").read_bytes() for folder in (sheets_anew, REPORTS))
    if made == kept:
        return
    assert words_apart(read(made).words, read(kept).words) == []
    for page, example in zip(looks(made), looks(kept), strict=True):
        assert ink_elsewhere(page, example) < ELSEWHERE


@pytest.mark.parametrize("name", SHOWN.values())
def test_the_pictures_in_the_readme_are_those_of_the_sheets(sheets_anew, name):
    if (sheets_anew / name).read_bytes() != (REPORTS / name).read_bytes():
        assert ink_elsewhere(grey(sheets_anew / name), grey(REPORTS / name)) < ELSEWHERE


def test_every_kind_has_an_example_that_is_whole():
    for kind in KINDS:
        sheet = read((REPORTS / f"{kind}.pdf").read_bytes())
        assert sheet.tagged
        assert sheet.off == ()
        assert "Tarrish Sands Board Mending" in sheet.words


@pytest.fixture(scope="module")
def figures_anew(tmp_path_factory):
    """All example figures, drawn anew as the examples are: before a record has moved any range."""
    place = tmp_path_factory.mktemp("drawn")
    return place, draw(fresh(tmp_path_factory.mktemp("undrawn") / "demo"), place)


def test_every_figure_is_among_the_examples(figures_anew):
    assert set(figures_anew[1]) == set(DRAWN_THEN)
    assert set(DRAWN_THEN) == {file.name for file in REPORTS.glob("*.png")} - set(SHOWN.values()) - {
        file.name for file in REPORTS.glob("page-*.png")
    }


@pytest.mark.parametrize("name", DRAWN_THEN)
def test_the_example_figures_are_what_the_invented_workshop_draws(figures_anew, name):
    """By what they say, by every word and mark, and by bytes; else by pixels, as above."""
    folder, drawn = figures_anew
    made, kept = drawn[name], DRAWN_THEN[name]
    assert words_apart(made["says"], kept["says"]) == []
    assert words_apart(" ".join(made["words"]), " ".join(kept["words"])) == []
    assert marks_apart(made["marks"], kept["marks"]) == []
    if (folder / name).read_bytes() != (REPORTS / name).read_bytes():
        assert ink_elsewhere(grey(folder / name), grey(REPORTS / name)) < ELSEWHERE


class TestTheComparisonItself:
    @pytest.mark.parametrize("name", DRAWN_THEN)
    def test_a_blank_picture_is_found(self, name):
        kept = grey(REPORTS / name)
        assert ink_elsewhere(np.full_like(kept, np.median(kept)), kept) > 0.99

    def test_a_picture_that_is_another_is_found(self):
        kept = grey(REPORTS / "reasons.png")
        assert ink_elsewhere(np.roll(kept, 24, axis=0), kept) > 3 * ELSEWHERE  # 12 pixels lower
        assert ink_elsewhere(kept, kept) == 0

    def test_a_wrong_figure_is_found(self):
        kept = "\n".join(DRAWN_THEN["reasons.png"]["words"])
        figure = max(re.findall(r"\d\d", kept), key=int)
        wrong = kept.replace(figure, str(round(1.2 * int(figure))))
        assert words_apart(kept, kept) == []
        assert f" instead of {figure}" in " ".join(words_apart(wrong, kept))
        assert words_apart("5½ hours, 2,130 mk", "6 hours, 2,140 mk") == []
        assert words_apart("7½ hours", "6 hours") == ["7½ instead of 6"]
        assert words_apart("2,230 mk", "2,140 mk") == ["2,230 instead of 2,140"]

    def test_a_mark_that_moved_is_found(self):
        kept = DRAWN_THEN["range.png"]["marks"]
        moved = [[a + 4 * (n == 3) for a in mark] for n, mark in enumerate(kept)]
        assert marks_apart(moved, kept) == [(moved[3], kept[3])]
        assert marks_apart(kept, kept) == []

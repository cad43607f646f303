"""Words beside a board's name that may name another board are asked, and those that can't are not."""

import pytest
from making.notebooks import BOARDS, ENTRIES, SETTINGS, TODAY, WEEK

from estimator.log.notebook.reader import NotebookReader


@pytest.fixture(scope="module")
def reader():
    return NotebookReader(SETTINGS, BOARDS.values(), ENTRIES, TODAY)


@pytest.mark.parametrize(
    "text",
    [
        "gren sand 2, blue sand",
        "gren sand 2, blue",
        "gren 2 sand, blue sand",
        "bleu strip 3, club",
        "zzyx sand 2 blue sand",
        "sand 2, blue sand",
        "yellow fish lam 2",
        "bleu club sand 2",
        "red nine strip",
        "red 9 strip",
        "red-nine strip",
        "copper seven drying",
        "red nine rail strip 2",
        "nine four and a half gloss",
        "red strip maybe 3",
        "red strip 3 h I think",
    ],
)
def test_what_may_be_another_board_or_other_hours_is_asked(reader, text):
    page = reader.read(text, day=WEEK["Tue"])
    assert page.doubts
    assert not page.lines


@pytest.mark.parametrize(
    ("text", "code", "hours"),
    [
        ("gren fish lam 2", "G", 2),
        ("carefully stripped red 3", "R", 3),
        ("red nine-four strip 2", "N", 2),
        ("red nine h strip", "R", 9),
        ("red four strip", "R", 4),
        ("plank nine strip", "P", 9),
        ("red six strip", "R", 6),  # the old red six-two went out last year
        ("sand 2, club", "C", 2),
        ("stripped 3 on red, glass off", "R", 3),
        ("nine four gloss one and a half", "N", 1.5),
        ("red strip 3, soaked at the tail I think", "R", 3),
    ],
)
def test_what_can_be_no_other_board_is_read(reader, text, code, hours):
    page = reader.read(text, day=WEEK["Tue"])
    assert not page.doubts
    assert [(line.board, line.hours) for line in page.lines] == [(BOARDS[code].board, hours)]

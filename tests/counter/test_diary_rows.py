"""What a diary's box does not mention: none of it, or asked, by what such boards usually have."""

import pytest
from making.notebooks import SETTINGS, TODAY

from estimator.counter.diary_rows import made_whole
from estimator.log.notebook.diary import DiaryReader


@pytest.mark.parametrize(
    ("text", "asked", "none"),
    [
        # a full restoration usually has one to five pieces let in, but may well have no logo
        ("red 9'6, full resto, strip both sides + 2 col, March to May, 9 days, 1200", {"infills"}, "logos"),
        # a small repair has one patch at least, and often nothing let in
        ("green 7'2, ding repair, 2024-05-04, 6 h, 140", {"patches"}, "infills"),
    ],
)
def test_what_such_boards_usually_have_is_asked_and_never_taken_as_none(text, asked, none):
    box = made_whole(DiaryReader(SETTINGS, TODAY).read(text, year=2024), SETTINGS, TODAY, {})
    names = {doubt.what.removeprefix("found_") for doubt in box.doubts}

    assert asked <= names
    assert not {f"found_{name}" for name in asked} & box.cells.keys()
    assert none not in names
    assert box.cells[f"found_{none}"] == "0"


def test_what_every_board_of_a_sort_has_is_written_and_what_differs_is_asked():
    """A side redone is one side stripped; on a small repair between a part of a side and both are coated."""
    side, small = (
        made_whole(DiaryReader(SETTINGS, TODAY).read(text, year=2024), SETTINGS, TODAY, {})
        for text in (
            "blue 7'9, one side redone, 2024-05-04, 5 days, 700",
            "green 7'2, ding repair, 2024-05-04, 6 h, 140",
        )
    )

    assert side.cells["found_sides_stripped"] == "1"
    assert "found_sides_coated" not in small.cells
    assert "found_sides_coated" in {doubt.what for doubt in small.doubts}

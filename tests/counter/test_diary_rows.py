"""What a diary's box does not mention: none of it, or asked, by what such boards usually have."""

import pytest
from making.notebooks import SETTINGS, TODAY

from estimator.counter.diary_rows import made_whole, said_of
from estimator.log.notebook.diary import DiaryBox, DiaryReader
from estimator.log.notebook.page import Choice, Doubt


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


BOX, KEY = "green 7'2", "0-9"  # a box's text, and its span as it stands in the key of a doubt
TOLD = {"total_hours": "9", "ready": "2025-06-30", "length": "7'2"}


def whole(cells, answers=(), doubts=(), **how):
    """A box of these cells made whole, and what is asked of it: column and values of the buttons."""
    found = made_whole(DiaryBox(BOX, dict(cells), tuple(doubts)), SETTINGS, TODAY, dict(answers), **how)
    return found.cells, {one.what: [choice.value for choice in one.choices] for one in found.doubts}


@pytest.mark.parametrize("cells", [{}, {"kind": "major", "ready": "2025-06-30"}])
def test_without_hours_nothing_is_taken_and_nothing_asked(cells):
    assert whole(cells) == (cells, {})


def test_what_is_not_sure_is_asked_first_and_by_itself():
    first = Doubt("hours", (0, 4), "70", "Are those hours?", (Choice("h", "hours"),))

    assert whole({**TOLD, "kind": "major"}, doubts=[first]) == ({**TOLD, "kind": "major"}, {"hours": ["h"]})


def test_the_sort_comes_before_all_else_and_may_be_left_unsaid():
    cells, asked = whole(TOLD)
    assert (cells, asked) == (TOLD, {"kind": ["minor", "partial", "major", "?"]})
    cells, asked = whole(TOLD, {f"kind-{KEY}": "major"})
    assert (cells["kind"], list(asked)) == ("major", ["found_infills"])
    cells, asked = whole(TOLD, {f"kind-{KEY}": "?"})
    assert "kind" not in cells
    assert list(asked) == ["found_sides_stripped", "found_sides_coated"]


def test_sides_are_asked_in_parts_of_a_board_and_all_else_is_counted():
    _, asked = whole({**TOLD, "kind": "minor"})
    assert asked == {
        "found_patches": ["0", "1", "2", "3", "4", "?"],
        "found_sides_coated": ["0", "0.3", "1", "2", "?"],
    }
    box = made_whole(DiaryBox(BOX, {**TOLD, "kind": "minor"}), SETTINGS, TODAY, {})
    assert [(one.value, one.says) for one in box.doubts[1].choices] == [
        ("0", "None"), ("0.3", "A small part"), ("1", "One side"), ("2", "Both sides"), ("?", "Can't say"),
    ]  # fmt: skip
    assert box.doubts[0].question == "Small glass patches: how many?"


def test_how_long_it_is_is_asked_once_where_areas_hang_on_it_and_after_the_sides():
    told = {name: cell for name, cell in TOLD.items() if name != "length"}

    assert list(whole({**told, "kind": "major"})[1]) == ["length", "found_infills"]
    assert list(whole({**TOLD, "kind": "major"})[1]) == ["found_infills"]


def test_what_the_box_says_stands_over_what_such_boards_usually_have():
    """Stripped on both sides, coated on a small part: it was the small part that was glossed too."""
    cells, _ = whole({**TOLD, "kind": "major", "found_sides_stripped": "1", "found_sides_coated": "0.3"})
    assert [cells[f"found_{name}"] for name in ("sides_stripped", "sides_coated", "gloss")] == [
        "1",
        "0.3",
        "0.3",
    ]
    cells, _ = whole({**TOLD, "kind": "major"})
    assert [cells[f"found_{name}"] for name in ("sides_stripped", "sides_coated", "gloss")] == ["2", "2", "2"]
    cells, _ = whole({**TOLD, "kind": "major"}, glossed=False)
    assert [cells[f"found_{name}"] for name in ("sides_stripped", "sides_coated", "gloss")] == ["2", "2", "0"]
    cells, _ = whole({**TOLD, "kind": "major", "found_gloss": "1"})
    assert cells["found_gloss"] == "1"


def test_where_what_is_not_mentioned_may_have_been_done_all_of_it_is_asked():
    cells, asked = whole({**TOLD, "kind": "major"}, whole=False)

    assert [name for name in cells if name.startswith("found_")] == [
        "found_sides_stripped",
        "found_sides_coated",
        "found_gloss",
    ]
    assert {"found_infills", "found_stringers", "found_logos", "found_pinlines"} <= asked.keys()


def test_what_is_answered_is_written_and_what_nobody_can_say_is_not():
    cells, asked = whole({**TOLD, "kind": "major"}, {f"found_infills-{KEY}": "3"})
    assert (cells["found_infills"], asked) == ("3", {})
    cells, asked = whole({**TOLD, "kind": "major"}, {f"found_infills-{KEY}": "?"})
    assert "found_infills" not in cells
    assert "?" not in cells.values()
    assert asked == {}


def test_a_row_is_said_as_it_was_understood():
    cells = {
        "found_infills": "2", "assessed_logos": "1", "note": "x", "kind": "major", "owner": "Ann", "state": "finished", "called": "",
        "total_hours": "9 days",
    }  # fmt: skip

    assert list(said_of(cells, SETTINGS)) == [
        ("Owner", "Ann"), ("Kind", "Full restoration"), ("Total hours", "9 days"),
        ("Foam pieces to let in, turned out", "2"), ("Logos to redraw, looked like", "1"), ("Note", "x"),
    ]  # fmt: skip


def test_a_sort_that_is_never_glossed_is_not_taken_as_glossed():
    from dataclasses import replace

    kind = SETTINGS.kinds["minor"]
    plain = replace(
        SETTINGS,
        kinds={
            **SETTINGS.kinds,
            "minor": replace(kind, asks=tuple(name for name in kind.asks if name != "gloss")),
        },
    )
    box = DiaryBox(BOX, {**TOLD, "kind": "minor", "found_sides_coated": "0.3"})

    assert "found_gloss" not in made_whole(box, plain, TODAY, {}, whole=False).cells
    assert made_whole(box, SETTINGS, TODAY, {}, whole=False).cells["found_gloss"] == "0.3"


def of_minor(**more):
    """The settings with another small repair."""
    from dataclasses import replace

    return replace(SETTINGS, kinds={**SETTINGS.kinds, "minor": replace(SETTINGS.kinds["minor"], **more)})


def asked_of(cells, settings):
    found = made_whole(DiaryBox(BOX, cells), settings, TODAY, {})
    return found.cells, [one.what for one in found.doubts]


def test_only_of_what_has_no_usual_blank_its_one_usual_amount_is_taken():
    """Patches: left out they are none, so that two on every board are asked for all the same."""
    usual = {**SETTINGS.kinds["minor"].usual, "patches": (2.0, 2.0)}
    cells, asked = asked_of({**TOLD, "kind": "minor", "found_sides_coated": "0.3"}, of_minor(usual=usual))

    assert "found_patches" not in cells
    assert asked == ["found_patches"]


def test_a_sort_of_which_all_is_asked_is_glossed_as_it_is_coated():
    cells, asked = asked_of({**TOLD, "kind": "minor", "found_sides_coated": "0.3"}, of_minor(asks=None))

    assert cells["found_gloss"] == "0.3"
    assert asked == ["found_sides_stripped", "found_patches"]


def test_an_area_of_a_small_repair_is_not_taken_as_none_but_asked_for_by_the_length():
    told = {name: cell for name, cell in TOLD.items() if name != "length"}

    cells, asked = whole({**told, "kind": "minor"})
    assert list(asked) == ["length", "found_patches", "found_sides_coated"]
    assert not [name for name in cells if name.endswith(("_area", "_stripped"))]
    cells, asked = whole({**told, "kind": "major"}, {f"length-{KEY}": "?"})
    assert "length" not in cells
    assert list(asked) == ["found_infills"]


def test_all_answers_are_read_one_after_another_and_the_rest_is_asked_on():
    cells, asked = whole(TOLD, {f"kind-{KEY}": "major", f"found_infills-{KEY}": "3"})
    assert (cells["kind"], cells["found_infills"], asked) == ("major", "3", {})
    cells, asked = whole({**TOLD, "kind": "minor"}, {f"found_patches-{KEY}": "?"})
    assert list(asked) == ["found_sides_coated"]
    assert "found_patches" not in cells


def test_a_row_is_said_from_whose_it_is_to_what_was_charged():
    columns = ("price_charged", "total_hours", "collected", "ready", "started", "length", "kind", "called", "owner")  # fmt: skip
    cells = {name: "major" if name == "kind" else name for name in columns}

    assert [cell for _, cell in said_of(cells, SETTINGS)] == [
        *("owner", "called", "Full restoration", "length", "started", "ready", "collected"),
        *("total_hours", "price_charged"),
    ]


def test_a_workshop_that_coats_and_never_glosses_is_asked_after_sides_before_the_length():
    """Its one area follows from the sides that were coated: without them the length would tell nothing."""
    from estimator.words.settings.schema import Driver, Settings, Stage

    coats = Settings(
        drivers={
            "sides_coated": Driver("sides_coated", blank="unknown"),
            "coated_area": Driver("coated_area", unit="m2", source="outline", times="sides_coated"),
        },
        stages={"coat": Stage("coat", drivers=("coated_area", "sides_coated"))},
    )
    told = {"total_hours": "9", "ready": "2025-06-30", "kind": "?"}
    assert asked_of(told, coats)[1] == ["found_sides_coated"]
    cells, asked = asked_of({**told, "found_sides_coated": "2"}, coats)
    assert (asked, "found_gloss" in cells) == (["length"], False)

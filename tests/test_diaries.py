"""Paper diaries of totals: each board teaches something, or it is said of each why not."""

import datetime as dt
from dataclasses import replace

import pytest
from making.records import NONE_YET

from estimator import Shop
from estimator.cli.printing import plain_lines
from estimator.log.starter import write_starter
from estimator.said.record import record_parts
from estimator.words.settings.schema import Settings

TODAY = dt.date(2026, 10, 1)
NAMES = [f"b{n}" for n in range(12)]


def diary(folder, more_columns, more):
    """A new workshop with twelve boards of totals, and two columns more."""
    write_starter(folder)
    rows = [f"{name},2026-03-{10 + n},{30 + 3 * n},{more}" for n, name in enumerate(NAMES)]
    (folder / "boards.csv").write_text(
        "\n".join([f"board,ready,total_hours,{more_columns}", *rows, ""]), "utf-8"
    )
    return Shop.open(folder, today=TODAY)


def untaught(shop):
    return [note for note in shop.notes if note.wrong.startswith("nothing is learned")]


def test_totals_with_the_sort_and_length_alone_say_of_each_why_not(tmp_path):
    shop = diary(tmp_path / "shop", "kind,length", "major,9-6")
    (note,) = untaught(shop)

    assert all(name in note.wrong.replace(":", ",").split("hours of ")[1].split(", ") for name in NAMES)
    assert "not known is how much there was of " in note.wrong
    assert "assessed_" in note.cure
    assert [board.board for board in shop.fit().boards if board.taught] == []


def test_totals_with_both_kinds_of_sides_teach(tmp_path):
    shop = diary(tmp_path / "shop", "length,assessed_sides_stripped,assessed_sides_coated", "9-6,2,2")

    assert untaught(shop) == []
    assert [board.board for board in shop.fit().boards if board.taught] == NAMES


def test_boards_without_hours_are_named_too(tmp_path):
    diary(tmp_path / "shop", "kind", "major")
    text = (tmp_path / "shop" / "boards.csv").read_text("utf-8").replace(",33,", ",,")
    (tmp_path / "shop" / "boards.csv").write_text(text, "utf-8")
    said = [note.wrong for note in untaught(Shop.open(tmp_path / "shop", today=TODAY))]

    assert "nothing is learned from boards without any hours: b1" in said
    assert len(said) == 2


@pytest.mark.parametrize(
    ("taught", "said"),
    [
        (31, "Ranges come from 31 of your boards by now."),
        (0, "Ranges come from rules of thumb alone by now: no board of your log teaches hours yet."),
    ],
)
def test_the_record_says_from_how_many_boards_ranges_come(taught, said):
    assert said in plain_lines(record_parts(replace(NONE_YET, taught=taught), Settings()))


def test_the_record_counts_as_a_range_does(tmp_path):
    shop = diary(tmp_path / "shop", "length,assessed_sides_stripped,assessed_sides_coated", "9-6,2,2")
    answer = shop.range({"kind": "major", "length": "9-6"})

    assert shop.record(jobs=1).taught == answer.boards == 12

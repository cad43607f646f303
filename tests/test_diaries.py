"""Paper diaries of totals: each board teaches something, or it is said of each why not."""

import datetime as dt
from dataclasses import replace

import pytest
from click.testing import CliRunner
from making.records import NONE_YET

from estimator import Shop
from estimator.cli.commands import cli
from estimator.cli.printing import plain_lines
from estimator.log.starter import write_starter
from estimator.said.range import range_parts
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
    assert list(shop.untaught.why) == list(shop.notes[: len(shop.untaught.why)])
    return list(shop.untaught.why)


def test_totals_with_the_sort_and_length_alone_say_of_each_why_not(tmp_path):
    shop = diary(tmp_path / "shop", "kind,length", "major,9-6")
    (note,) = untaught(shop)

    assert note.wrong.startswith(
        f"12 boards teach nothing yet ({', '.join(NAMES)}): nobody wrote how much there was of "
    )
    assert note.cure == (
        "Fill in found_sides_stripped and found_sides_coated, with 0 where there was none. Of the rest write what there "
        "was: what stays empty beside it counts as none."
    )
    assert [board.board for board in shop.fit().boards if board.taught] == []
    said = [
        str(part)
        for part in range_parts(shop.range({"kind": "major", "length": "9-6"}), shop.settings, "a board")
    ]
    assert "12 finished boards wait unused: nobody wrote what was done on them. The cells to fill:" in said


def test_that_boards_teach_nothing_comes_first_and_with_the_count(tmp_path):
    shop = diary(tmp_path / "shop", "kind,length", "major,9-6")
    said = CliRunner().invoke(cli, ["check", "--shop", str(tmp_path / "shop"), "--today", "2026-10-01"])
    first, second, *_, last = said.output.splitlines()

    assert said.exit_code == 0
    assert first == "Boards that teach nothing yet"
    assert second == shop.untaught.why[0].sentence()
    assert last.endswith("; 12 boards teach nothing yet.")
    assert said.output.count("teach nothing yet (b0") == 1


@pytest.mark.parametrize(
    ("columns", "cells"),
    [
        ("kind,length,found_sides_stripped,found_sides_coated", "major,9-6,2,2"),
        ("kind,length,found_sides_stripped,found_sides_coated,found_infills", "major,9-6,2,0,"),
    ],
)
def test_the_cells_that_are_asked_for_are_enough(tmp_path, columns, cells):
    shop = diary(tmp_path / "shop", columns, cells)

    assert untaught(shop) == []
    assert [board.board for board in shop.fit().boards if board.taught] == NAMES
    assert {board.found["infills"] for board in shop.log.boards} == {0.0}
    assert not any("infills" in board.assessed for board in shop.log.boards)


def test_what_cannot_be_said_stays_unknown_and_so_does_a_board_in_hand(tmp_path):
    shop = diary(
        tmp_path / "shop", "found_sides_stripped,found_sides_coated,found_infills,length", "2,2,?,9-6"
    )
    assert len(untaught(shop)) == 1
    assert not any("infills" in board.found for board in shop.log.boards)
    rows = "board,started,length,found_sides_stripped,found_sides_coated\na,2026-09-01,9-6,2,2\n"
    (tmp_path / "shop" / "boards.csv").write_text(rows, "utf-8")
    (board,) = Shop.open(tmp_path / "shop", today=TODAY).log.boards
    assert "infills" not in board.found


def test_totals_with_both_kinds_of_sides_teach(tmp_path):
    shop = diary(tmp_path / "shop", "length,assessed_sides_stripped,assessed_sides_coated", "9-6,2,2")

    assert untaught(shop) == []
    assert [board.board for board in shop.fit().boards if board.taught] == NAMES


def test_boards_without_hours_are_named_too(tmp_path):
    diary(tmp_path / "shop", "kind", "major")
    text = (tmp_path / "shop" / "boards.csv").read_text("utf-8").replace(",33,", ",,")
    (tmp_path / "shop" / "boards.csv").write_text(text, "utf-8")
    said = [note.wrong for note in untaught(Shop.open(tmp_path / "shop", today=TODAY))]

    assert "1 board teaches nothing yet (b1): no hours are written on it" in said
    assert len(said) == 2


@pytest.mark.parametrize(
    ("taught", "said"),
    [
        (31, "By now ranges come from 31 of your boards."),
        (0, "Ranges come from rules of thumb alone so far: no board in your log teaches hours yet."),
    ],
)
def test_the_record_says_from_how_many_boards_ranges_come(taught, said):
    assert said in plain_lines(record_parts(replace(NONE_YET, taught=taught), Settings()))


def test_the_record_counts_as_a_range_does(tmp_path):
    shop = diary(tmp_path / "shop", "length,assessed_sides_stripped,assessed_sides_coated", "9-6,2,2")
    answer = shop.range({"kind": "major", "length": "9-6"})

    assert shop.record(jobs=1).taught == answer.boards == 12

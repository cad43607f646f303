import pytest
from making.mornings import MORNING
from making.weighings import SHOP, weighed

from estimator.said.bench import bench_parts
from estimator.said.parts import Heading, Table
from estimator.said.weigh import weigh_parts


def test_a_table_knows_the_board_of_each_row_or_of_none():
    with pytest.raises(ValueError, match="2 rows, and boards for 1"):
        Table(("",), (("red",), ("blue",)), boards=("26-009",))
    assert Table(("",), (("red",), ("All",)), boards=("26-009", "")).boards == ("26-009", "")


def test_rows_that_speak_of_a_board_carry_its_id():
    names = {promise.board: promise.name for promise in MORNING.promises}
    tables = [part for part in bench_parts(MORNING, SHOP) if isinstance(part, Table)]

    assert len(tables) == 5
    for table in tables:
        assert len(table.boards) == len(table.rows)
        for board, row in zip(table.boards, table.rows, strict=True):
            assert row[0] == names[board] if board else row[0].endswith(":")


@pytest.mark.parametrize("parts", [bench_parts(MORNING, SHOP), list(weigh_parts(weighed(), SHOP))])
def test_one_heading_names_all_that_is_said_and_comes_first(parts):
    levels = [part.level for part in parts if isinstance(part, Heading)]

    assert isinstance(parts[0], Heading)
    assert levels == [1, *([2] * (len(levels) - 1))]

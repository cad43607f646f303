"""A row of hours that cannot be read leaves its stage longer than what is booked: it teaches no less."""

import pytest
from making.folders import read_folder

from estimator.model.fit import fit
from estimator.model.matrices import table_of
from estimator.words.settings.schema import Driver, Settings, Stage

SETTINGS = Settings(
    drivers={"area": Driver("area")},
    stages={
        "strip": Stage("strip", drivers=("area",)),
        "sand": Stage("sand", drivers=("area",), after=("strip",)),
    },
)
BOARDS = "board,assessed_area,state\na,1,finished\nb,2,finished\n"
HOURS = "board,date,stage,hours\na,2026-03-02,strip,3\na,2026-03-03,sand,2\nb,2026-03-04,strip,2.5\nb,2026-03-06,sand,4\n"


def log_with(tmp_path, more):
    (tmp_path / "boards.csv").write_text(BOARDS, "utf-8")
    (tmp_path / "hours.csv").write_text(HOURS + more, "utf-8")
    return read_folder(tmp_path, SETTINGS)


@pytest.mark.parametrize(
    ("row", "lost"),
    [
        ("b,2026-03-05,strip,a lot\n", ("b", "strip")),
        ("b,yesterday,strip,3\n", ("b", "strip")),
        ("b,2026-03-05,strip,30\n", ("b", "strip")),
        ("b,2026-03-05,stirp off,3\n", ("b", "")),
    ],
)
def test_a_stage_with_a_lost_row_took_at_least_what_is_booked(tmp_path, row, lost):
    log, problems, _ = log_with(tmp_path, row)

    assert len(problems) == 1
    assert log.partial == {lost}
    table = table_of(log, SETTINGS)
    assert table.n_rows == (3 if lost[1] else 2)
    assert table.in_hand is not None
    known = {board.board: board.hours for board in fit(log, SETTINGS).boards}
    assert known == {"a": 5.0, "b": None}


def test_nothing_is_lost_of_a_good_log_or_of_a_board_that_is_not_there(tmp_path):
    assert log_with(tmp_path, "")[0].partial == frozenset()
    assert log_with(tmp_path, "nobody,2026-03-05,strip,a lot\n")[0].partial == frozenset()
    assert table_of(log_with(tmp_path, "")[0], SETTINGS).n_rows == 4

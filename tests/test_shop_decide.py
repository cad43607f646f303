"""What was decided of a board, kept through the shop: only of a board that is not ready."""

import pytest
from making.rules import rules

from estimator.shop import Shop
from estimator.words.errors import UsageError

SETTINGS = """
[drivers.area]
label = "Area"
[stages.strip]
drivers = ["once", "area"]
[stages.sand]
drivers = ["area"]
""" + rules(metre=(1, 4), sanding=(1, 3))
BOARDS = """\
board,called,asked,accepted,started,ready,state,decided,decided_why,assessed_area,found_area
26-001,red gun,2026-03-01,2026-03-02,2026-03-03,2026-03-09,,,,2,2
26-002,blue fish,2026-03-01,2026-03-02,2026-03-03,,on bench,,,1,
26-003,green log,2026-03-05,,,,asked,,,3,
"""


@pytest.fixture
def folder(tmp_path):
    (tmp_path / "workshop.toml").write_text(SETTINGS, "utf-8")
    (tmp_path / "boards.csv").write_text(BOARDS, "utf-8")
    (tmp_path / "hours.csv").write_text("board,date,stage,hours\n26-001,2026-03-09,strip,5\n", "utf-8")
    return tmp_path


@pytest.mark.parametrize("name", ["26-001", "red gun"])
def test_of_a_board_that_is_ready_nothing_is_left_to_decide(folder, name):
    with pytest.raises(UsageError, match="Red gun is ready, and there is nothing left to decide"):
        Shop.open(folder).decide(name, "no", why="too late")
    assert (folder / "boards.csv").read_text("utf-8") == BOARDS


@pytest.mark.parametrize("name", ["26-002", "green log"])
def test_of_any_other_it_is_kept(folder, name):
    Shop.open(folder).decide(name, "no", why="too far gone")
    kept = [b for b in Shop.open(folder).log.boards if b.decided]
    assert [(name in {b.board, b.called}, b.decided, b.decided_why) for b in kept] == [
        (True, "no", "too far gone")
    ]

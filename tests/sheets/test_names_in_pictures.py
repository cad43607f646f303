"""Names as they come: what no XML holds, and what has no place to be broken, in a picture."""

import time
from xml.etree import ElementTree as ET

import pytest
from making.folders import TODAY, folder

from estimator.sheets.pictures import save_picture
from estimator.shop import Shop

BOARD = "board,called,accepted,state,assessed_area\n26-001,{},2026-05-04,waiting,2\n"


@pytest.mark.parametrize("name", ["red\x1b[31m\x07 nine\x9b", "<b>&amp;]]>", "\ufffe\u202e"])
def test_a_picture_is_xml_whatever_a_board_is_called(tmp_path, name):
    shop = Shop.open(folder(tmp_path / "shop", boards=BOARD.format(name), hours=""), today=TODAY)
    board = shop.log.boards[0]
    save_picture(tmp_path / "x.svg", shop.range(board.board), board.name)
    assert ET.parse(tmp_path / "x.svg").getroot().tag.endswith("svg")


def test_an_unbroken_name_of_four_thousand_letters_is_a_problem_at_once_and_no_picture_waits_for_it(tmp_path):
    shop = Shop.open(folder(tmp_path / "shop", boards=BOARD.format("w" * 4000), hours=""), today=TODAY)
    [problem] = [one for one in shop.problems if one.place.column == "called"]
    assert "letters" in problem.wrong or "characters" in problem.wrong
    began = time.process_time()
    save_picture(tmp_path / "x.svg", shop.range("26-001"), shop.log.boards[0].name)
    assert time.process_time() - began < 20  # it was 83 s

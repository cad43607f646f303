"""Fewer than a dozen boards are pencil, a dozen are ink: in words and in every drawing."""

from dataclasses import replace

import pytest
from making.ranges import ANSWER

from estimator.said.range import guessed, headline
from estimator.sheets.layouts.ranges import drawing_of


@pytest.mark.parametrize(("boards", "pencil"), [(0, True), (11, True), (12, False), (13, False)])
def test_from_the_twelfth_board_on_it_is_ink(boards, pencil):
    answer = replace(ANSWER, boards=boards)
    assert guessed(answer) == drawing_of(answer).pencil == pencil
    assert headline(answer).startswith("Guessed: " if pencil else "Between 55 and 80 hours")

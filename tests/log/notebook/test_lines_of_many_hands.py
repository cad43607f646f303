"""Lines of many hands, and of two benches: none is read wrongly, nine in ten that can be known without a question."""

from pathlib import Path

import pytest
from making.notebooks import READER, TODAY, read_cases, seen

LINES = Path(__file__).with_name("lines_of_many_hands.txt")
CASES = read_cases(LINES)
ASK = [
    "?" in line.partition("=>")[2]
    for line in LINES.read_text("utf-8").splitlines()
    if line and not line.startswith("#")
]


@pytest.mark.parametrize(
    ("case", "ask"), list(zip(CASES, ASK, strict=True)), ids=[case.text for case in CASES]
)
def test_no_line_is_read_wrongly_and_what_nobody_can_know_is_asked(case, ask):
    page = READER.read(case.text, week=TODAY, day=case.box)
    found = [seen(line) for line in page.lines]
    assert set(found) <= set(case.means)
    assert page.doubts or not ask
    if not page.doubts:
        assert found == list(case.means)
        for line, note in zip(page.lines, case.notes, strict=True):
            assert note is None or line.note == note


def test_nine_in_ten_are_read_without_a_question():
    known = [case for case, ask in zip(CASES, ASK, strict=True) if not ask]
    asked = [case.text for case in known if READER.read(case.text, week=TODAY, day=case.box).doubts]
    assert len(asked) <= len(known) / 10, asked

"""Two hundred lines as a restorer may write them: none is read wrongly, 17 in 20 are read without a question."""

import pytest
from making.notebooks import BOARDS, ENTRIES, SETTINGS, TODAY, read_cases, seen

from estimator.log.notebook.reader import NotebookReader


@pytest.fixture(scope="module")
def reader():
    return NotebookReader(SETTINGS, BOARDS.values(), ENTRIES, TODAY)


@pytest.mark.parametrize("case", read_cases(), ids=lambda case: case.text)
def test_no_line_is_read_wrongly(reader, case):
    page = reader.read(case.text, week=TODAY, day=case.box)
    found = [seen(line) for line in page.lines]
    if not page.doubts:
        assert found == list(case.means)
        for line, note in zip(page.lines, case.notes, strict=True):
            assert note is None or line.note == note
    assert set(found) <= set(case.means)


def test_seventeen_in_twenty_are_read_without_a_question(reader):
    cases = read_cases()
    assert len(cases) >= 200
    asked = [case.text for case in cases if reader.read(case.text, week=TODAY, day=case.box).doubts]
    assert len(asked) <= 3 / 20 * len(cases), asked

"""What the worker leaves as files: read back whole, and of no other question, log, day or draws than it is."""

import datetime as dt
from dataclasses import replace

import pytest

from estimator.counter.answer_files import AsOf, KeptAnswer, PageQuestion, newest
from estimator.log.cache import keep

DAY = dt.date(2026, 6, 9)
BOARD = PageQuestion("board", "26-001")
NOW = AsOf.on("r1", DAY, 7)


def test_an_answer_is_read_back_with_all_that_it_is_of(tmp_path):
    kept = KeptAnswer(NOW, {"range": ("Two sentences.", "One more."), "aloud": ()}, "")
    kept.save(BOARD, tmp_path)

    assert newest(BOARD, tmp_path) == kept
    none = KeptAnswer(AsOf.on("r2", None, 0), {}, "No day is known.")
    none.save(BOARD, tmp_path)
    assert newest(BOARD, tmp_path) == none  # the newest alone


@pytest.mark.parametrize(
    "other", [PageQuestion("board", "26-002"), PageQuestion("weigh", "26-001"), PageQuestion("board")]
)
def test_another_question_has_another_answer(tmp_path, other):
    KeptAnswer(NOW, {}).save(BOARD, tmp_path)

    assert newest(other, tmp_path) is None


def test_of_another_log_another_day_or_other_draws_it_is_another():
    others = [
        AsOf.on("r2", DAY, 7),
        AsOf.on("r1", DAY + dt.timedelta(1), 7),
        AsOf.on("r1", None, 7),
        AsOf.on("r1", DAY, 8),
    ]

    assert all(other != NOW for other in others)
    assert len(set(others)) == 4
    assert (NOW.looked_from, replace(NOW, day="").looked_from) == (DAY, None)


@pytest.mark.parametrize(
    "left",
    [
        "", "no json", "[]", "null", "3", '{"of": ["r", "", 1], "parts": {}, "no": ""}', '{"about": "26-001"}',
        '{"about": "26-001", "of": ["r", ""], "parts": {}, "no": ""}', '{"about": "26-001", "of": ["r", "", "x"], "parts": {}, "no": ""}',
        '{"about": "26-001", "of": ["r", "", 1], "parts": [], "no": ""}', '{"about": "26-001", "of": ["r", "", 1], "parts": {"a": [["heading"]]}, "no": ""}',
        '{"about": "26-001", "of": ["r", "", 1], "parts": {"a": [["table", 1]]}, "no": ""}', '{"about": "26-001", "of": ["r", "", 1], "parts": {}}',
        '{"about": "26-002", "of": ["r", "", 1], "parts": {}, "no": ""}',
    ],
)  # fmt: skip
def test_what_cannot_be_read_back_is_no_answer(tmp_path, left):
    KeptAnswer(NOW, {}).save(BOARD, tmp_path)
    keep(BOARD.file(tmp_path), left)

    assert newest(BOARD, tmp_path) is None

"""What a telling leaves out, as the worker left it: the right figure of the right board, or why there is none."""

import datetime as dt
import json
from types import SimpleNamespace

import pytest

from estimator.counter.answer_files import AsOf, KeptAnswer, PageQuestion
from estimator.counter.kept_telling import KeptDayAnswers
from estimator.counter.step_questions import TELLING
from estimator.words.errors import NoAnswerError, UsageError
from estimator.words.page_labels import page_label

DAY = dt.date(2026, 6, 9)
FIGURES = {"wishes": [3.5, 2], "hours": [31, 45], "days": ["2026-06-12", "2026-06-26"]}


class Slow:
    """A worker that answers nothing now."""

    def __init__(self, *, gone=False):
        self.gone, self.asked = gone, []

    def ask(self, question, as_of):
        self.asked.append((question, as_of))


def answers(folder, worker=None, digest="r1"):
    counter = SimpleNamespace(folder=folder, clock=lambda: DAY, seed=7, worker=worker)
    return KeptDayAnswers(counter, SimpleNamespace(digest=digest))


def left(folder, figures=FIGURES, refused="", board="26-001"):
    parts = {} if refused else {"figures": tuple(json.dumps(one) for one in figures.items())}
    KeptAnswer(AsOf.on("r1", DAY, 7), parts, refused).save(PageQuestion(TELLING, board), folder)


def test_hours_days_and_wishes_are_read_as_they_were_left(tmp_path):
    left(tmp_path)
    left(tmp_path, {"wishes": [None, None], "hours": [5, 6], "days": None}, board="26-002")
    kept = answers(tmp_path, worker := Slow())

    assert kept.hours_of("26-001", 0.8) == (31, 45)
    assert kept.wishes_of("26-001") == (3.5, 2)
    assert kept.days_of("26-001") == (dt.date(2026, 6, 12), dt.date(2026, 6, 26))
    assert (kept.hours_of("26-002", 0.8), kept.days_of("26-002"), kept.wishes_of("26-002")) == (
        (5, 6),
        None,
        (None, None),
    )
    assert worker.asked == []


@pytest.mark.parametrize(
    ("worker", "said"), [(Slow(), "telling-waits"), (Slow(gone=True), "worker-gone"), (None, "worker-gone")]
)
def test_what_is_not_there_is_asked_for_and_said_at_the_field_that_is_empty(tmp_path, worker, said):
    left(tmp_path)
    kept = answers(tmp_path, worker, digest="r2")  # the log has changed since
    for ask, field in (
        (kept.days_of, "last"),
        (kept.wishes_of, "because"),
        (lambda board: kept.hours_of(board, 0.8), "hours"),
    ):
        with pytest.raises(UsageError, match=page_label(said)) as told:
            ask("26-001")
        assert told.value.field == field

    assert worker is None or set(worker.asked) == {(PageQuestion(TELLING, "26-001"), AsOf.on("r2", DAY, 7))}


def test_why_there_is_no_range_is_said(tmp_path):
    left(tmp_path, {**FIGURES, "hours": "No rule of thumb speaks of it."})
    with pytest.raises(NoAnswerError, match="No rule of thumb speaks of it"):
        answers(tmp_path).hours_of("26-001", 0.8)
    left(tmp_path, refused="No day is known.")
    with pytest.raises(NoAnswerError, match="No day is known") as told:
        answers(tmp_path).days_of("26-001")
    assert told.value.field == "last"


def test_what_an_owner_asks_for_since_is_never_worked_out_here(tmp_path):
    left(tmp_path)
    with pytest.raises(UsageError, match=page_label("since-first")):
        answers(tmp_path).agreement("26-001", {})

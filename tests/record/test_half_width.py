"""How near a job is told is half of how wide its range is."""

from types import SimpleNamespace

import pytest

from estimator.record import more_boards


@pytest.mark.parametrize(("low", "high", "near"), [(10.0, 30.0, 10.0), (8.0, 8.0, 0.0), (3.5, 6.0, 1.25)])
def test_a_job_is_told_to_within_half_of_its_range(monkeypatch, low, high, near):
    monkeypatch.setattr(more_boards, "answer", lambda *_, **__: SimpleNamespace(low=low, high=high))

    assert more_boards.half_width(None, None, None, 0) == near

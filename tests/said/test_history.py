"""What was done to a book, and what was taken back."""

from estimator.log.book.history import ActRecord
from estimator.said.history import history_parts, undone_parts

ONE = ActRecord(3, "2026-06-04T12:00:00+00:00", "page", "4½ hours on red")
TWO = ActRecord(2, "2026-06-03T23:30:00+00:00", "import", "18 rows", undone=True)


def test_acts_stand_under_their_numbers_days_and_origins():
    [table] = history_parts([ONE, TWO])

    assert table.head == ("no.", "day", "from", "what")
    assert table.rows == (
        ("3", "Thu 4 June 2026", "page", "4½ hours on red"),
        ("2", "Wed 3 June 2026", "import", "18 rows (taken back)"),
    )
    assert history_parts([]) == ["Nothing was written into this book yet."]
    assert undone_parts(TWO) == ["Taken back, of Wed 3 June 2026: 18 rows."]

"""The mark of a row: by it a row that went out into a spreadsheet is known again when it comes back."""

from __future__ import annotations

import hashlib
from pathlib import Path

from estimator.log.book.opening import connected

SIGNS = 10  # hexadecimal digits of a mark, which tell two books apart

Marks = dict[tuple[str, int], str]


def row_marks(book: Path) -> Marks:
    """The mark of each row of a book, by sheet and number; also of those that are struck out.

    It is the row's number, and a digest of when it was written and what stood in it then: so no change to the row
    changes its mark, and no row of another book has the same.
    """
    with connected(book) as connection:
        born = connection.execute(
            "SELECT sheet, row, at, after FROM changes JOIN acts ON acts.id = changes.act"
            " WHERE before IS NULL AND what = sheet"
        ).fetchall()
    return {
        (sheet, row): f"{row}-{hashlib.sha256(f'{at} {after}'.encode()).hexdigest()[:SIGNS]}"
        for sheet, row, at, after in born
    }

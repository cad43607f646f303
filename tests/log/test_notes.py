"""Notes found again: every word, in any case and without its accents, on one board or any, the newest last."""

import datetime as dt

import pytest

from estimator.log.notes import notes_with
from estimator.words.records import Log, Note


def note(day, text, board="a", photo=""):
    return Note(board, dt.date(2026, 5, day), text, photo)


LOG = Log(
    notes=(
        note(9, "Pale BLUE: 3 of white"),
        note(4, "blue again", "b"),
        note(6, "crème, one part blue", "shop"),
        note(7, "", "b", "blue-7.jpg"),
    )
)


@pytest.mark.parametrize(
    ("words", "board", "days"),
    [
        ([], "", [4, 6, 7, 9]),
        (["blue"], "", [4, 6, 7, 9]),
        (["Blue", "whit"], "", [9]),
        (["blue white"], "", [9]),
        (["blue", "red"], "", []),
        (["creme"], "", [6]),
        (["CRÈME"], "", [6]),
        (["jpg"], "", [7]),
        ([], "b", [4, 7]),
        (["again"], "a", []),
        ([], "shop", [6]),
    ],
)
def test_a_note_is_found_by_all_of_the_words(words, board, days):
    assert [one.date.day for one in notes_with(LOG, words, board)] == days

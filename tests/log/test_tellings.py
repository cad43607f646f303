"""What owners were told: kept as said, and judged on the first telling."""

import datetime as dt

from estimator.log.tellings import first_tellings
from estimator.words.records import Told

MAY, JUNE, JULY = (dt.date(2026, month, 4) for month in (5, 6, 7))


def told(date=MAY, because="", board="26-014", **more):
    return Told(board, date, because=because, **more)


def test_only_the_first_telling_of_a_board_is_judged():
    first, other = told(because="quote"), told(JUNE, board="26-015")
    later = [told(JUNE, why) for why in ("hidden work", "late", "quote", "")]

    assert first_tellings([first, *later, other]) == {"26-014": first, "26-015": other}


def test_a_change_that_the_owner_asked_for_starts_a_new_first():
    changed, again = told(JUNE, "asked later"), told(JULY, "asked later", price=900.0)
    late = told(JULY, "late")

    assert first_tellings([told(), changed, late]) == {"26-014": changed}
    assert first_tellings([told(), changed, late, again]) == {"26-014": again}
    assert first_tellings([changed]) == {"26-014": changed}


def test_the_day_counts_and_not_the_place_in_the_file():
    first, changed = told(because="quote"), told(JUNE, "asked later")

    assert first_tellings([told(JULY, "late"), changed, first]) == {"26-014": changed}
    assert first_tellings([told(JULY, "late"), first]) == {"26-014": first}


def test_of_one_day_the_earlier_row_was_told_first():
    one, two = told(price=700.0), told(price=800.0)

    assert first_tellings([one, two]) == {"26-014": one}
    assert first_tellings([two, one]) == {"26-014": two}
    assert first_tellings([]) == {}

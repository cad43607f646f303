"""Whether boards were ready in time, in words."""

from estimator.cli.date_record_words import date_parts
from estimator.cli.tables import Heading, Table
from estimator.record.track_record import Count


def counts(held, below, above):
    of = held + below + above
    return (Count(0.8, held, below, above, of, (31, 45)),)


def words(parts):
    return " ".join(part for part in parts if isinstance(part, str))


def test_nothing_is_said_where_no_board_counts():
    assert date_parts((), None) == []
    assert date_parts((Count(0.8, 0, 0, 0, 0, (0, 0), 3),), Count(0.9, 0, 0, 0, 0, (0, 0), 2)) == []


def test_the_count_stands_in_a_table_with_lucks_span():
    parts = date_parts(counts(40, 4, 4), None)
    assert parts[0] == Heading("Ready in time?")
    (table,) = (part for part in parts if isinstance(part, Table))
    assert table.rows == (("8 times in 10", "40 of 48", "31 to 45", "4", "4"),)
    assert "within what luck allows" in words(parts)


def test_beyond_luck_it_says_which_way():
    assert "too tight, and boards came later" in words(date_parts(counts(25, 3, 20), None))
    assert "too tight, and boards came sooner" in words(date_parts(counts(25, 20, 3), None))
    assert "wider than they needed to be" in words(date_parts(counts(47, 1, 0), None))


def test_few_boards_say_little():
    few = (Count(0.8, 3, 0, 1, 4, (1, 4)),)
    assert "says little yet" in words(date_parts(few, None))


def test_dates_told_are_counted_by_the_first_telling():
    said = words(date_parts((), Count(0.9, 7, 0, 2, 9, (6, 9))))
    assert said == "7 of 9 boards were ready by the last date you first told."

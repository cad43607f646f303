"""Whether boards were ready in time, in words."""

from dataclasses import replace

from making.records import NONE_YET

from estimator.record.backtest.track_record import Count
from estimator.said.parts import Heading, Table
from estimator.said.record import BEFORE, date_parts


def counts(held, below, above):
    of = held + below + above
    return (Count(0.8, held, below, above, of, (31, 45)),)


def said_of(dates=(), promises=None, **more):
    return date_parts(replace(NONE_YET, dates=dates, promises=promises, **more))


def words(parts):
    return " ".join(part for part in parts if isinstance(part, str))


def test_nothing_is_said_where_no_board_counts():
    assert said_of((), None) == []
    assert said_of((Count(0.8, 0, 0, 0, 0, (0, 0), 3),), Count(0.9, 0, 0, 0, 0, (0, 0), 2)) == []


def test_the_count_stands_in_a_table_with_lucks_span():
    parts = said_of(counts(40, 4, 4), raw_dates=counts(40, 4, 4))
    assert parts[0] == Heading("Ready in time?")
    (table,) = (part for part in parts if isinstance(part, Table))
    assert table.rows == (("8 times in 10", "40 of 48", "31 to 45", "4", "4"),)
    assert "within what luck allows" in words(parts)


def test_beyond_luck_it_says_which_way():
    assert "too tight, and boards came later" in words(said_of(counts(25, 3, 20), None))
    assert "too tight, and boards came sooner" in words(said_of(counts(25, 20, 3), None))
    assert "wider than they needed to be" in words(said_of(counts(47, 1, 0), None))


def test_few_boards_say_little():
    few = (Count(0.8, 3, 0, 1, 4, (1, 4)),)
    assert "says little yet" in words(said_of(few, None))


def test_dates_told_are_counted_by_the_first_telling():
    said = words(said_of((), Count(0.9, 7, 0, 2, 9, (6, 9))))
    assert said == "7 of 9 boards were ready by the last date you first told."


def test_ranges_as_they_were_before_stand_beside_them_where_they_differ():
    parts = said_of(counts(40, 4, 4), raw_dates=counts(36, 4, 8))
    (table,) = (part for part in parts if isinstance(part, Table))
    assert table.head[-1] == "before"
    assert table.rows == (("8 times in 10", "40 of 48", "31 to 45", "4", "4", "36 of 48"),)
    assert BEFORE in parts
    assert BEFORE not in said_of(counts(40, 4, 4), raw_dates=counts(40, 4, 4))


def test_what_dates_get_from_now_on_is_said_as_of_hours():
    said = words(said_of(counts(40, 4, 4), stretch_of_dates=(1.1, 1.1), dates_from=48))
    assert "Widened by a tenth: your last ranges of dates were too tight. So it is from now on" in said
    assert "Learned from 48 boards" in said
    assert "the fewer they are, the less the ends move" in said
    as_they_are = words(said_of(counts(40, 4, 4), stretch_of_dates=(1.01, 0.99), dates_from=48))
    assert "Ranges of dates stay as they are. Learned from 48 boards." in as_they_are
    assert "from now on" not in words(said_of(counts(40, 4, 4)))


def test_boards_of_which_more_was_asked_are_counted_apart():
    assert "do not count" not in words(said_of(counts(40, 4, 4)))
    one, two = (words(said_of(counts(40, 4, 4), dates_asked_later=("a",) * n)) for n in (1, 2))
    assert "1 board does not count here: its owner asked for more once you had taken it on." in one
    assert "2 boards do not count here: their owners asked for more once you had taken them on." in two


def at(odds, held, of, band, below=0):
    return Count(odds, held, below, of - held - below, of, band)


def test_all_of_it_is_within_luck_only_where_every_count_is():
    inside, tight, wide = at(0.8, 40, 48, (31, 45)), at(0.95, 40, 48, (43, 48)), at(0.5, 40, 48, (17, 31))
    assert "All of this is within what luck allows." in said_of((inside, inside))
    assert "All of this is within what luck allows." not in said_of((inside, tight))
    assert "were too tight, and boards came later" in words(
        said_of((inside, tight, wide))
    )  # the first that is not
    assert "wider than they needed to be" in words(said_of((inside, wide, tight)))
    assert "too tight, and boards came sooner" in words(said_of((at(0.8, 30, 48, (31, 45), below=10),)))


def test_boards_are_enough_from_eight_on():
    assert "says little yet" in words(said_of((at(0.8, 6, 7, (4, 7)),)))
    assert "says little yet" not in words(said_of((at(0.8, 7, 8, (4, 8)),)))
    assert (
        words(said_of((), Count(0.9, 1, 0, 2, 3, (1, 3))))
        == "1 of 3 boards was ready by the last date you first told."
    )


def test_ranges_of_dates_are_counted_at_each_of_their_odds():
    dates = (at(0.5, 3, 7, (1, 6)), at(0.8, 7, 9, (5, 9), below=1), at(0.95, 0, 0, (0, 0)))
    raw = (at(0.5, 3, 7, (1, 6)), at(0.8, 5, 9, (5, 9)))
    parts = said_of(dates, raw_dates=raw)

    assert parts[2].rows == (
        ("about even (5 in 10)", "3 of 7", "1 to 6", "0", "4", "3 of 7"),
        ("8 times in 10", "7 of 9", "5 to 9", "1", "1", "5 of 9"),
    )
    assert "says little yet" not in words(parts)  # of nine boards at one of the odds


def test_what_dates_get_from_now_on_and_dates_told_are_said_without_a_count():
    parts = said_of((), Count(0.9, 2, 0, 1, 3, (1, 3)), stretch_of_dates=(1.0, 1.0), dates_from=9)
    assert parts[1:] == [
        "Ranges of dates stay as they are. Learned from 9 boards.",
        "2 of 3 boards were ready by the last date you first told.",
    ]

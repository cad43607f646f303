import re
from dataclasses import replace
from itertools import pairwise

import pytest
from making.records import (
    BOARDS,
    IN_HAND,
    JUST_OVER,
    NONE_YET,
    QUICK,
    RECORD,
    SLOW,
    board,
    count,
    with_last,
)

from estimator.cli.printing import plain_lines
from estimator.record.backtest.track_record import Count, Scores
from estimator.said.record import AS_TODAY, luck_words, record_parts
from estimator.words.settings.schema import Kind, Settings

SETTINGS = Settings(
    kinds={"major": Kind("major", label="Full restoration"), "minor": Kind("minor", label="Small repair")}
)
STATISTICS = """crps interval quantile percentile median mean bias variance coverage confidence draws forecast sample
    posterior prior stretch binomial deviation significant p-value"""

PRINTED = """\
Did I get it right?
For each past board hours were worked out anew, from what was known the day before you quoted it.

Your last 20 boards
16 of 20 landed inside their range, which should hold 8 times in 10.
With honest ranges luck alone gives 12 to 19.
Missed               range  took          what cost the time
plum six-two      55 to 80    97          wet foam
straw seven-four  55 to 80    41          no reason written
brick eight-two   55 to 80    81          the owner
chalk nine-four   55 to 80    88  so far  no reason written

All 32 boards
              held  luck alone  quicker  slower  still open    before
5 in 10   16 of 32    10 to 22        6      10           0  15 of 32
8 in 10   26 of 32    21 to 30        1       5           1  24 of 32
19 in 20  30 of 32    28 to 32        0       2           1  29 of 32
“Before” counts the same ranges as they were before they were widened or narrowed for how earlier ones went.
And 1 still open: with it, 26 to 27 of 33 will have held at 8 in 10.
All of this is within what luck allows.

By sort of work, 8 times in 10
                           held  luck alone  quicker  slower
Full restoration       17 of 21    13 to 20        1       3
Small repair            9 of 11     6 to 11        0       2
Looked wet        only 3 boards
Looked dry             24 of 29    19 to 27        1       4

What you told owners, the first time
Hours to hold 8 times in 10: 7 of 10 boards landed inside. Luck alone gives 5 to 10.

Who has been nearer?
"""


def lines(record, **more):
    return plain_lines(record_parts(record, SETTINGS, **more))


def after(record, heading):
    """The lines under a heading."""
    said = lines(record)
    rest = said[said.index(heading) + 1 :]
    return rest[: rest.index("")] if "" in rest else rest


def test_everything_in_the_order_in_which_it_is_wanted():
    said = lines(RECORD)

    assert "\n".join(said).startswith(PRINTED)
    headings = [line for before, line in pairwise(said) if before == ""]
    assert headings[4:] == [
        "Who has been nearer?",
        "Your own guesses",
        "Ranges from now on",
        "What could not be judged",
    ]


def test_the_last_twenty_are_the_last_by_quote_date_and_those_still_open_are_not_among_them():
    good = [board(n) for n in range(20)]

    twenty = replace(RECORD, boards=(board(1, **SLOW), *good, BOARDS[-1]))
    assert after(twenty, "Your last 20 boards")[0].startswith("20 of 20 landed inside")
    one_slow = replace(RECORD, boards=(board(1, **SLOW), *good[1:], BOARDS[-1]))
    assert after(one_slow, "Your last 20 boards")[0].startswith("19 of 20 landed inside")


def test_fewer_than_twenty_are_counted_as_they_are():
    few = replace(RECORD, boards=(board(1), board(2, **QUICK)))

    said = after(few, "Your last 2 boards")
    assert said[:2] == [
        "1 of 2 landed inside their range, which should hold 8 times in 10.",
        "With honest ranges luck alone gives 0 to 2.",
    ]
    assert len(said) == 4


@pytest.mark.parametrize(
    ("more", "cells"),
    [
        (SLOW, "55 to 80 97 wet foam"),
        (IN_HAND, "55 to 80 88 so far no reason written"),
        (JUST_OVER, "55 to 80 81 the owner"),
        ({**JUST_OVER, "hours": 80.3, "high": 80.2}, "55 to 80 80 just over the owner"),
        ({**JUST_OVER, "hours": 79.0, "high": 77.6}, "55 to 78 79 the owner"),
        ({**JUST_OVER, "hours": 78.0, "high": 77.8}, "55 to 78 78 just over the owner"),
        ({**QUICK, "hours": 56.0, "low": 57.2}, "57 to 80 56 no reason written"),
        ({**QUICK, "hours": 53.0, "cost_time": "nothing"}, "55 to 80 53 nothing in particular"),
        ({**QUICK, "hours": 8.3, "low": 8.4, "high": 12.0}, "8½ to 12 8½ just under no reason written"),
        ({**IN_HAND, "so_far": 80.2, "high": 79.9}, "55 to 80 80 so far, just over no reason written"),
    ],
)
def test_a_miss_is_named_with_its_range_what_it_took_and_why(more, cells):
    one = replace(RECORD, boards=(*(board(n) for n in range(9)), board(9, called="my own", **more)))

    row = next(line for line in lines(one) if line.startswith("my own"))
    assert " ".join(row.split()) == f"my own {cells}"


def test_luck_is_explained_where_more_miss_than_should():
    assert luck_words(3, 10) == [
        "Three of the last ten missed. With honest 8-in-10 ranges that many or more happens one time in three.",
        "Boards on the go together share their luck, so misses come in runs.",
    ]
    assert "seven of the last twenty" in luck_words(7, 20)[0].casefold()
    assert "one time in twelve" in luck_words(7, 20)[0]
    assert luck_words(4, 20) == luck_words(2, 10) == luck_words(1, 20) == []


def test_what_is_more_than_luck_is_called_so_and_what_follows():
    assert luck_words(9, 20, (1.0, 1.2))[:2] == [
        "Nine of the last twenty missed. With honest 8-in-10 ranges that many or more happens one time in 100.",
        "That is more than luck. So ranges are wider from now on.",
    ]
    assert luck_words(9, 20, (0.9, 1.02))[1] == (
        "That is more than luck. Over all your boards together ranges need not be wider yet."
    )


def test_none_missed_is_no_proof_and_too_few_missed_is_too_wide():
    assert luck_words(0, 10) == [
        "None of the last ten missed. That proves nothing either: with honest 8-in-10 ranges it happens one time in nine."
    ]
    assert luck_words(0, 20) == [
        "None of the last twenty missed. With honest 8-in-10 ranges that few or fewer happens one time in 90.",
        "That is more than luck: they were wider than they needed to be.",
    ]


def test_luck_is_not_spoken_of_on_a_handful_of_boards():
    assert not [line for line in lines(with_last(3, of=7)) if "honest 8-in-10" in line]
    assert [line for line in lines(with_last(3, of=8)) if "honest 8-in-10" in line]


def test_before_stands_beside_only_where_it_differs():
    same = replace(RECORD, raw=RECORD.shown)

    assert not [line for line in lines(same) if "before" in line.casefold() and "quoted" not in line]


def test_still_open_stands_beside_only_where_any_is():
    none_open = Scores((count(0.5, 8, 0, 0), count(0.8, 8, 0, 0), count(0.95, 8, 0, 0)), 1.0, 1.0, 0.0)

    said = lines(replace(RECORD, shown=none_open, raw=none_open))
    assert not [line for line in said if "open" in line]
    assert "At 5 in 10, more held than luck allows: those ranges were wider than they needed to be." in said


def test_too_few_held_is_said_and_which_side_they_missed_on():
    tight = Scores((count(0.5, 20, 10, 10), count(0.8, 25, 1, 14), count(0.95, 38, 1, 1)), 1.0, 1.0, 0.0)

    said = lines(replace(RECORD, shown=tight, raw=tight))
    assert "At 8 in 10, fewer held than luck allows: those ranges were too tight." in said
    assert "Of 15 misses 14 were slower than said: more on one side than luck allows." in said
    assert "All of this is within what luck allows." not in said


@pytest.mark.parametrize(
    ("quicker", "slower", "said"),
    [(0, 6, "slower"), (6, 0, "quicker"), (0, 5, ""), (8, 2, ""), (9, 1, "quicker"), (0, 0, "")],
)
def test_one_side_is_accused_only_beyond_luck(quicker, slower, said):
    eight = count(0.8, 30, quicker, slower)
    record = replace(RECORD, shown=replace(RECORD.shown, held=(RECORD.count(0.5), eight, RECORD.count(0.95))))

    told = [line for line in lines(record) if "more on one side" in line]
    assert len(told) == bool(said)
    assert not told or f" were {said} than said" in told[0]


def test_a_sort_outside_luck_is_named_with_a_word_of_caution():
    groups = {
        "kind major": count(0.8, 20, 0, 2),
        "kind trifle": count(0.8, 3, 0, 6),
        "wet": count(0.8, 4, 1, 2),
    }

    said = after(replace(RECORD, groups=groups), "By sort of work, 8 times in 10")
    assert [line.split()[0] for line in said[1:4]] == ["Full", "Trifle", "Looked"]
    assert said[3].split() == ["Looked", "wet", "only", "7", "boards"]
    assert said[4:] == [
        "Outside what luck allows: Trifle.",
        "Where two counts are looked at, one may be so by luck all the same.",
    ]


def test_one_sort_alone_says_nothing_new():
    assert "By sort of work, 8 times in 10" not in lines(replace(RECORD, groups={"dry": count(0.8, 9, 0, 1)}))


def test_what_ranges_get_from_now_on():
    assert after(RECORD, "Ranges from now on") == [
        "Widened by a tenth at the slow end: there your last ranges were too tight.",
        "Learned from 31 boards; the fewer they are, the less the ends move.",
    ]
    as_they_are = after(replace(RECORD, stretch=(1.0, 0.99)), "Ranges from now on")
    assert as_they_are[0] == "Ranges stay as they are: past ones were about as wide as they should be."


def test_what_could_not_be_judged_is_counted_and_named():
    assert after(RECORD, "What could not be judged") == [
        "No quote date: 4 boards (fog six-two, ink seven-four, 25-101 …).",
        "Still in hand: 1 board (jade nine-two).",
        AS_TODAY,
    ]
    assert after(replace(RECORD, left_out={}), "What could not be judged") == [AS_TODAY]


def test_tellings_that_were_struck_out_are_counted_and_said():
    none = replace(RECORD, left_out={})
    for struck, said in (
        (1, "1 telling was struck out afterwards, and does not count."),
        (3, "3 tellings were struck out"),
    ):
        assert after(replace(none, told_struck_out=struck), "What could not be judged")[0].startswith(said)
    assert RECORD.as_dict()["told_struck_out"] == 0


def test_too_few_boards_say_how_many_would_do_and_show_what_there_is():
    assert lines(NONE_YET) == [
        "Did I get it right?",
        "There are too few boards yet to tell. 8 more finished boards with a quote date would do.",
        "",
        "Your own guesses",
        "No finished board has a guess that you wrote before.",
    ]
    some = lines(replace(RECORD, boards=BOARDS[:3], missing=1))
    assert "There are too few boards yet to tell. 1 more finished board with a quote date would do." in some
    assert "Your last 3 boards" in some


@pytest.mark.parametrize("record", [RECORD, NONE_YET, with_last(9), with_last(0)])
def test_no_statistics_on_the_page_unless_asked(record):
    said = " ".join(lines(record)).casefold()
    for word in STATISTICS.split():
        assert not re.search(rf"\b{word}\b", said), word


def test_the_scores_are_there_for_a_statistician():
    plain, more = lines(RECORD), lines(RECORD, statistician=True)

    assert more[: len(plain)] == plain
    assert more[len(plain) + 1] == "For a statistician"
    told = [" ".join(line.split()) for line in more]
    assert "interval score, 0.8 36.10 37.40" in told
    assert "CRPS 7.02 7.11" in told
    assert "bias 0.051 0.049" in told
    assert "coverage at 0.8 0.812 (32) 0.750 (32)" in told
    assert "plain regression 22 9 6.00 7.20 -1.20 -2.20 to -0.20 0.080" in told
    assert "median of past 80.00 36.00 0.844 (32)" in told
    assert "Stretch of log distances from the median: 1.010 below, 1.110 above; n = 31." in told
    assert not any("same of days" in line for line in told)
    assert "Jørgensen" in told[-1]
    assert "bias" in " ".join(lines(NONE_YET, statistician=True))


def test_a_statistician_reads_by_what_days_are_stretched():
    dated = replace(RECORD, stretch_of_dates=(0.95, 1.21), dates_from=47)
    said = plain_lines(record_parts(dated, SETTINGS, statistician=True))
    assert "The same of days: 0.950 below, 1.210 above; n = 47." in said


@pytest.mark.parametrize(("wet", "caution"), [(count(0.8, 6, 0, 1), False), (count(0.8, 7, 0, 1), True)])
def test_a_word_of_caution_stands_where_two_counts_have_boards_enough(wet, caution):
    groups = {"kind trifle": count(0.8, 3, 0, 6), "wet": wet}
    said = after(replace(RECORD, groups=groups), "By sort of work, 8 times in 10")

    assert "Outside what luck allows: Trifle." in said
    assert any("one may be so by luck all the same" in line for line in said) == caution


@pytest.mark.parametrize(
    ("names", "said"), [("abc", "3 boards (a, b, c)."), ("abcd", "4 boards (a, b, c …).")]
)
def test_three_that_could_not_be_judged_are_named(names, said):
    assert (
        after(replace(RECORD, left_out={"no quote date": tuple(names)}), "What could not be judged")[0]
        == f"No quote date: {said}"
    )


@pytest.mark.parametrize(
    ("taught", "said"),
    [
        (None, None),
        (0, "Ranges come from rules of thumb alone so far: no board in your log teaches hours yet."),
        (1234, "By now ranges come from 1,234 of your boards."),
    ],
)
def test_from_how_many_boards_hours_are_learned(taught, said):
    told = [
        line for line in lines(replace(RECORD, taught=taught)) if line.startswith(("By now", "Ranges come"))
    ]
    assert told == ([said] if said else [])


def test_one_band_of_luck_is_one_number_and_pending_ones_are_counted_in():
    two = replace(RECORD, told=(Count(0.8, 9, 0, 0, 9, (9, 9)),))
    assert "Hours to hold 8 times in 10: 9 of 9 boards landed inside. Luck alone gives 9." in lines(two)
    pending = Scores(
        (count(0.5, 16, 6, 10), count(0.8, 26, 1, 5, 2), count(0.95, 30, 0, 2, 2)), 36.1, 7.0, 0.05
    )
    assert "And 2 still open: with them, 26 to 28 of 34 will have held at 8 in 10." in lines(
        replace(RECORD, shown=pending)
    )


def test_whether_ranges_get_wider_goes_by_how_far_their_ends_are_moved():
    assert "That is more than luck. So ranges are wider from now on." in lines(with_last(9))
    as_they_are = replace(with_last(9), stretch=(1.0, 1.0))
    assert "That is more than luck. Over all your boards together ranges need not be wider yet." in lines(
        as_they_are
    )


def test_what_was_never_counted_has_no_line():
    none = count(0.8, 0, 0, 0)
    groups = {
        "kind major": count(0.8, 17, 1, 3),
        "kind minor": none,
        "wet": none,
        "dry": count(0.8, 24, 1, 4),
    }
    record = replace(RECORD, groups=groups, told=(none, count(0.8, 7, 0, 3)))
    record = replace(record, left_out={"no quote date": (), "still in hand": ("jade nine-two",)})

    assert [line.split("  ")[0] for line in after(record, "By sort of work, 8 times in 10")[1:]] == [
        "Full restoration",
        "Looked dry",
    ]
    assert after(record, "What you told owners, the first time") == [
        "Hours to hold 8 times in 10: 7 of 10 boards landed inside. Luck alone gives 5 to 10."
    ]
    assert after(record, "What could not be judged") == ["Still in hand: 1 board (jade nine-two).", AS_TODAY]
    assert "What you told owners, the first time" not in lines(replace(RECORD, told=(none,)))
    alone = replace(NONE_YET, left_out={"no quote date": ("fog six-two",)})
    assert after(alone, "What could not be judged") == ["No quote date: 1 board (fog six-two).", AS_TODAY]


def test_the_side_of_misses_is_looked_at_among_ranges_that_hold_eight_times_in_ten():
    """At even odds six of six missed quicker; at eight in ten they fall on both sides."""
    held = (count(0.5, 10, 12, 0), count(0.8, 26, 3, 3), count(0.95, 30, 0, 2))
    record = replace(RECORD, shown=Scores(held, 1.0, 1.0, 0.0), raw=Scores((*held[:2], count(0.95, 20, 0, 12)), 1.0, 1.0, 0.0))  # fmt: skip

    said = lines(record)
    assert not [line for line in said if "more on one side" in line]
    assert not [line for line in said if line.startswith("At 19 in 20")]


def test_ranges_as_they_were_stand_beside_where_one_board_less_was_judged_then():
    before = Scores((*RECORD.shown.held[:2], count(0.95, 30, 0, 1, 1)), 36.1, 7.0, 0.05)
    [line] = [line for line in lines(replace(RECORD, raw=before)) if line.startswith("19 in 20")]
    assert line.split()[-3:] == ["30", "of", "31"]


def test_how_hours_were_worked_out_is_said_while_all_boards_are_still_open():
    still_open = replace(NONE_YET, boards=(board(1, hours=None, side=None, so_far=30.0),))
    assert lines(still_open)[1].startswith("For each past board hours were worked out anew")

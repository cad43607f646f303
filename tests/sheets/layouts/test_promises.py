import math
from dataclasses import replace

import pytest
from hypothesis import given, settings
from making.mornings import EMPTY, MORNING
from making.promises import (
    AWAY,
    DANGER,
    KEPT,
    LONG,
    OVER,
    SORTS,
    TODAY,
    UNTOLD,
    morning,
    promise,
    promises,
)

from estimator.sheets.layouts.promises import (
    PromiseLayout,
    ReadyLayout,
    away_words,
    in_order,
    late_words,
    left_out_words,
    place_words,
    promises_caption,
    promises_title,
    row_words,
    span_words,
    ten_caption,
    ten_title,
    to_ring,
    today_words,
)
from estimator.words.dates import A_DAY


def test_boards_come_in_order_of_the_day_told_or_else_of_the_day_they_are_ready():
    assert in_order(SORTS) == (OVER, DANGER, KEPT, UNTOLD)
    soon = promise(5, 2, 15)
    assert in_order(morning(KEPT, soon, DANGER)) == (DANGER, soon, KEPT)
    same = [promise(n, 2, 20 - n, 18, 0.9) for n in range(3)]
    assert in_order(morning(*same)) == tuple(reversed(same))


@settings(deadline=None)
@given(promises())
def test_the_order_is_total_and_loses_no_board(boards):
    assert sorted(p.board for p in in_order(morning(*boards))) == sorted(p.board for p in boards)
    assert in_order(morning(*boards)) == in_order(morning(*reversed(boards)))


@pytest.mark.parametrize(
    ("chance", "ring"), [(0.0, True), (0.549, True), (0.56, False), (0.6, False), (1.0, False), (None, False)]
)
def test_an_owner_is_rung_below_six_in_ten_and_only_where_a_day_was_told(chance, ring):
    assert to_ring(promise(1, 3, 9, 8, chance)) == ring
    assert not to_ring(promise(1, 3, 9, None, chance))


def test_where_a_board_is_has_the_shops_words():
    assert [place_words(promise(1, 0, 1, on=on)) for on in ("bench", "rack", "queue")] == [
        "on the go",
        "on the rack",
        "in line",
    ]


@pytest.mark.parametrize(
    ("board", "words"),
    [
        (KEPT, "by Mon 19 October: 19 in 20"),
        (DANGER, "ring: by Tue 13 October: 1 time in 10; say by Tue 10 November: 9 times in 10"),
        (OVER, "ring: by Mon 28 September: that day is over; say by Wed 21 October: 9 times in 10"),
        (UNTOLD, "no day told yet; by Wed 30 December: 9 times in 10"),
        (promise(5, 30, 60), "no day told yet; by Mon 30 November: 9 times in 10"),
        (promise(5, 30, 60, 95, 0.72), "by Mon 4 January 2027: 7 times in 10"),
        (promise(5, 30, 60, 40, 0.001), "ring: by Tue 10 November: fewer than 1 in 20; say by Mon 30 November: 9 times in 10"),
        (promise(5, 3, 6, 5, 0.5), "ring: by Tue 6 October: about even (5 in 10); say by Wed 7 October: 9 times in 10"),
        (promise(5, -9, -2, 0, 0.31), "ring: by Thu 1 October: 3 times in 10; say by Thu 1 October: 9 times in 10"),
        (promise(5, -9, -2, -4, 0.8), "by Sun 27 September: that day is over"),
    ],
)  # fmt: skip
def test_a_row_says_what_was_told_and_how_it_stands(board, words):
    assert row_words(board, TODAY) == words


def test_a_span_is_said_as_surely_as_it_is_known_and_never_before_today():
    assert span_words(KEPT, TODAY) == (
        "ready between Mon 5 October and Sat 10 October, 8 times in 10, half later than Wed 7 October"
    )
    assert span_words(promise(1, -5, 30), TODAY) == (
        "ready between Thu 1 October and the week of Mon 26 October, 8 times in 10, half later than Tue 13 October"
    )
    assert span_words(promise(1, -5, -2), TODAY) == "ready about Thu 1 October"


def test_today_is_named_and_a_log_that_lags_behind():
    assert today_words(SORTS) == ("today, Thu 1 October 2026",)
    behind = replace(SORTS, log_up_to=TODAY - 6 * A_DAY)
    assert today_words(behind) == ("today, Thu 1 October 2026;", "your log tells up to Fri 25 September")


def test_boards_without_a_date_are_named_as_the_shop_calls_them():
    assert left_out_words(MORNING) == "no date can be given: ink seven-two"
    assert left_out_words(replace(MORNING, names=None)) == "no date can be given: 26-022"
    assert left_out_words(EMPTY) == ""


def test_days_away_are_named_in_order():
    one_day = (TODAY + 30 * A_DAY,) * 2
    assert away_words([one_day, *AWAY], TODAY) == "away Sat 10 October to Sun 18 October, Sat 31 October"
    assert away_words([], TODAY) == ""
    assert away_words([(TODAY - 9 * A_DAY, TODAY - A_DAY)], TODAY) == ""  # over
    assert away_words([(TODAY - 9 * A_DAY, TODAY)], TODAY).startswith("away ")


@pytest.mark.parametrize(
    ("boards", "title"),
    [
        ((), "No board is in hand"),
        ((UNTOLD,), "No day has been told yet"),
        ((KEPT, UNTOLD), "Each day told is kept 6 times in 10 or more often"),
        ((KEPT, DANGER), "The day told for board 2 is in danger: ring"),
        ((KEPT, OVER), "The day told for board 3 is over: ring"),
        ((KEPT, DANGER, OVER, UNTOLD), "2 of 3 days told are in danger or over: ring"),
        ((DANGER, replace(DANGER, board="x")), "All 2 days told are in danger: ring"),
        ((OVER, replace(OVER, board="x"), KEPT), "2 of 3 days told are over: ring"),
        ((DANGER, replace(DANGER, board="x"), UNTOLD), "All 2 days told are in danger: ring"),
    ],
)
def test_the_title_says_how_many_days_told_are_in_danger(boards, title):
    assert promises_title(morning(*boards)) == title


def test_the_caption_says_all_that_is_drawn():
    assert promises_caption(morning(KEPT, OVER, left_out={"26-022": "no rule"}), AWAY) == (
        "The day told for board 3 is over: ring. Today, Thu 1 October 2026. "
        "Board 3, on the rack; ring: by Mon 28 September: that day is over; "
        "say by Wed 21 October: 9 times in 10; "
        "guessed: ready between Tue 13 October and Wed 21 October, 8 times in 10, half later than Sat 17 October. "
        "Board 1, on the go; by Mon 19 October: 19 in 20; "
        "guessed: ready between Mon 5 October and Sat 10 October, 8 times in 10, half later than Wed 7 October. "
        "Away Sat 10 October to Sun 18 October. No date can be given: 26-022."
    )
    assert promises_caption(morning(), AWAY) == "No board is in hand. Today, Thu 1 October 2026."


@settings(deadline=None)
@given(promises())
def test_nothing_is_ever_certain_and_no_per_cent_is_said(boards):
    said = promises_caption(morning(*boards))
    assert not [word for word in ("never", "certain", "%", "10 times in 10", "0 times") if word in said]
    assert all(p.name[1:] in said for p in boards)


def test_of_ten_boards_those_later_than_the_day_told_are_counted():
    spread = promise(1, 0, 100)  # ready on days 5, 15 ... 95
    kept = [replace(spread, told=promise(1, 0, 1, days).told) for days in (50, 94, 95, 3, -1)]
    assert [late_words(board, TODAY) for board in kept] == [
        "5 of 10 would be late",
        "1 of 10 would be late",
        "fewer than 1 in 20 would be late",
        "fewer than 1 in 20 would be in time",
        "that day is over",
    ]


def test_ten_boards_are_told_in_words():
    assert ten_title(DANGER, TODAY) == "board 2: ready by Tue 10 November, 9 times in 10"
    assert ten_title(replace(DANGER, called=LONG), TODAY).startswith(LONG)
    assert ten_caption(DANGER, TODAY, AWAY) == (
        "Of ten boards like board 2, eight are ready between Fri 9 October and the week of Mon 9 November, "
        "one sooner, one later; half are later than the week of Mon 19 October. This is guessed. "
        "You told by Tue 13 October: 9 of 10 would be late. Today is Thu 1 October 2026. "
        "Away Sat 10 October to Sun 18 October."
    )
    assert "You told" not in ten_caption(UNTOLD, TODAY)


def test_an_owner_is_told_the_day_to_tell_which_may_be_later_than_the_range():
    sure = replace(UNTOLD, ready=replace(UNTOLD.ready, tell=TODAY + 95 * A_DAY))

    assert row_words(sure, TODAY) == "no day told yet; by Mon 4 January 2027: 9 times in 10"
    assert ten_title(sure, TODAY) == "board 4: ready by Mon 4 January 2027, 9 times in 10"


def test_all_goes_by_the_day_told_last_and_not_by_the_first():
    """Told by 30 September at first, which is over, and by 13 October since."""
    told = replace(DANGER.told, first_last=TODAY - A_DAY)
    again = replace(DANGER, told=told)

    assert row_words(again, TODAY) == row_words(DANGER, TODAY)
    assert late_words(again, TODAY) == "9 of 10 would be late"
    assert ten_caption(again, TODAY) == ten_caption(DANGER, TODAY)
    assert promises_title(morning(again)) == "The day told for board 2 is in danger: ring"
    assert in_order(morning(promise(5, 2, 9, 5), again)) == (promise(5, 2, 9, 5), again)
    layout = ReadyLayout(again, TODAY, 616.0, ())
    assert (layout.plumb, layout.said[0]) == (12.0, "told by Tue 13 October")
    assert PromiseLayout(morning(again), 616.0, ()).told == [12.0]


def test_a_day_told_for_today_is_not_over():
    today = promise(1, 4, 9, 0, 0.2)
    layout = PromiseLayout(morning(today, OVER), 616.0, ())

    assert row_words(today, TODAY).startswith("ring: by Thu 1 October: 2 times in 10; ")
    assert late_words(today, TODAY) == "fewer than 1 in 20 would be in time"
    assert layout.told == [0.0]
    assert ReadyLayout(today, TODAY, 616.0, ()).plumb == 0.0
    assert ReadyLayout(OVER, TODAY, 616.0, ()).plumb == -math.inf


@pytest.mark.parametrize(("days", "behind"), [(0, False), (1, False), (2, True)])
def test_a_log_lags_that_tells_up_to_the_day_before_yesterday(days, behind):
    assert (len(today_words(replace(SORTS, log_up_to=TODAY - days * A_DAY))) == 2) == behind


def test_the_key_explains_what_is_drawn_and_nothing_else():
    def marks(*boards, away=()):
        return [mark for mark, _ in PromiseLayout(morning(*boards), 616.0, away).key]

    assert marks(UNTOLD) == ["board"]
    assert marks(KEPT) == ["board", "plumb"]
    assert marks(OVER) == ["board", "beyond"]
    assert marks(KEPT, OVER, away=AWAY) == ["board", "plumb", "beyond", "hatch"]
    assert marks(away=AWAY) == []


def test_days_away_that_have_begun_are_named_and_those_turned_about_are_not():
    begun = (TODAY - 2 * A_DAY, TODAY + 2 * A_DAY)

    assert away_words([begun], TODAY) == "away Tue 29 September to Sat 3 October"
    assert away_words([begun[::-1]], TODAY) == ""


FAR = promise(1, 40, 60)  # of its ten boards the first is ready on day 41, the last on day 59


@pytest.mark.parametrize(
    ("board", "ends"),
    [
        (FAR, (36.8, 63.2)),  # 20 days and .16 of them on each side; today would leave them less than half
        (replace(FAR, points=(TODAY + 36 * A_DAY, *FAR.points, TODAY + 66 * A_DAY)), (31.2, 70.8)),
        (promise(1, 40, 60, 30), (28.8, 63.2)),  # .03 of 40 days beyond the day told
        (promise(1, 40, 60, 20), (36.8, 63.2)),  # too far off
        (promise(1, 10, 30), (-14 * 33.2 / 386, 33.2)),  # today is on it, 14 pixels from the left
        (promise(1, 10, 30, 40), (6.8, 41.2)),  # the day told comes before today where both have no room
        (promise(1, -5, 30), (-14 * 34.8 / 386, 34.8)),  # none is ready before today
        (promise(1, 20, 21), (15.88, 25.12)),  # no less than a week, with the boards in its middle
    ],
)  # fmt: skip
def test_the_tape_of_one_board_gives_its_boards_half_and_other_marks_what_room_there_is(board, ends):
    """On 400 pixels the boards have .12 of their room and 16 pixels on each side."""
    layout = ReadyLayout(board, TODAY, 400.0, ())

    assert (layout.left, layout.right) == pytest.approx(ends)


def test_that_today_lies_further_left_is_said_where_it_does():
    assert ReadyLayout(FAR, TODAY, 400.0, ()).today_words == ("today, Thu 1 October 2026, lies further left",)
    near = ReadyLayout(promise(1, 10, 30), TODAY, 400.0, ())
    assert near.today_words == ("today, Thu 1 October 2026",)
    away = ReadyLayout(promise(1, 10, 30), TODAY, 400.0, AWAY)
    assert away.below - near.below == pytest.approx(near.line)  # a line for what is hatched


def test_eight_of_ten_stand_under_the_middle_of_a_bracket_that_begins_today():
    late = replace(FAR, ready=replace(FAR.ready, likely=TODAY + 44 * A_DAY))
    layout = ReadyLayout(late, TODAY, 400.0, ())
    assert (layout.bracket, layout.bracket_at) == (("guessed: 8 of these 10",), pytest.approx(50.0))
    over = ReadyLayout(promise(1, -5, 30), TODAY, 400.0, ())
    assert (over.low, over.likely, over.high, over.places[0], over.places[-1]) == (0, 12, 30, 0, 28)


@pytest.mark.parametrize(
    ("boards", "days"),
    [
        ((promise(1, 4, 20, 30, 0.9), promise(2, 5, 25)), 30),
        ((promise(1, 4, 40, 30, 0.9), promise(2, 5, 25)), 40),
        ((promise(3, 12, 20, -30),), 20),
        ((promise(1, 4, 9),), 14),
        ((), 14),
    ],
)
def test_the_tape_of_all_goes_from_today_to_the_last_day_that_is_told_or_sure(boards, days):
    """Ten pixels are left free at each end."""
    layout = PromiseLayout(morning(*boards), 616.0, ())
    each = 596 / days

    assert (layout.left, layout.right) == pytest.approx((-10 / each, 606 / each))


def said_on(row):
    return [" ".join(run.words for run in line) for line in row]


def test_a_board_that_is_to_be_rung_about_has_lines_of_its_own_and_others_one_where_there_is_room():
    rows = {board.board: row for board in (KEPT, DANGER, UNTOLD) for row in PromiseLayout(morning(board), 1400.0, ()).rows}  # fmt: skip

    assert said_on(rows[KEPT.board]) == ["board 1, on the go; by Mon 19 October: 19 in 20"]
    assert said_on(rows[DANGER.board]) == [
        "board 2, on the rack",
        "ring: by Tue 13 October: 1 time in 10; say by Tue 10 November: 9 times in 10",
    ]
    assert said_on(rows[UNTOLD.board]) == [
        "board 4, in line; no day told yet; by Wed 30 December: 9 times in 10"
    ]


def test_eight_rows_have_a_tape_at_their_head_and_what_is_left_out_is_named_without_rows_too():
    heads = [PromiseLayout(morning(*[KEPT] * count), 616.0, ()).head for count in (7, 8)]
    assert heads[0] == 0.0
    assert heads[1] > 36.0
    empty = PromiseLayout(morning(left_out={"26-022": "no rule"}), 616.0, ())
    assert [said_on([line]) for line in empty.left_out] == [["no date can be given: 26-022"]]
    assert PromiseLayout(morning(), 616.0, ()).places(promise(1, -5, 30))[0] == 0.0

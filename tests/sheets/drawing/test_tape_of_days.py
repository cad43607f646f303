import datetime as dt
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from estimator.sheets.drawing.style import ON_PAPER, figure
from estimator.sheets.drawing.tape import hatch_days, lay_calendar
from estimator.sheets.layouts.calendar import AIR, BETWEEN, PAD, CalendarTape, from_today
from estimator.sheets.layouts.letters import width_px
from estimator.sheets.layouts.tape import CLOSEST, TAPE
from estimator.words.dates import MONTHS

days = st.dates(dt.date(2020, 1, 1), dt.date(2060, 1, 1))
lengths = st.integers(0, 120) | st.integers(0, 12000)
widths = st.sampled_from([296.0, 336.0, 616.0, 1176.0])


def tape(today, length, wide=616.0, away=()):
    return CalendarTape(today, *from_today(length, wide), wide, away)


def drawn(one, top=0.0):
    axes = figure(one.wide, 120).add_axes((0, 0, 1, 1))
    axes.set(xlim=(one.left, one.right), ylim=(-80, 40))
    axes.set_axis_off()
    lay_calendar(axes, one, ON_PAPER, top=top)
    return axes


def marks(axes, label):
    return [line for line in axes.lines if line.get_label() == f"_{label}"]


@settings(deadline=None)
@given(days, lengths, widths)
def test_today_stands_at_the_left_end_and_the_last_day_at_the_right(today, length, wide):
    one = tape(today, length, wide)
    assert one.px(0.0) == pytest.approx(PAD)
    assert one.px(max(length, 14)) == pytest.approx(wide - PAD)
    assert one.day(one.at(today + dt.timedelta(length))) == today + dt.timedelta(length)


@settings(deadline=None)
@given(days, lengths, widths)
def test_ticks_are_all_mondays_or_first_days_and_never_run_together(today, length, wide):
    one = tape(today, length, wide)
    places = one.ticks()
    assert all(0 <= at <= one.right for at in places)
    assert all((b - a) * one.each >= CLOSEST for a, b in pairwise(places))
    ticked = [one.day(at) for at in places]
    if 7 * one.each >= CLOSEST:
        assert ticked == [
            day
            for day in (today + dt.timedelta(n) for n in range(int(one.right) + 1))
            if day.isoweekday() == 1
        ]
    else:
        assert {day.day for day in ticked} == {1}
        assert len(ticked) >= 3


def test_ticks_are_the_mondays_of_the_iso_calendar():
    """2008-12-29 is 2009-W01-1: a worked example of ISO 8601's week dates, here from memory."""
    one = tape(dt.date(2008, 12, 20), 21)
    assert one.day(one.ticks()[1]) == dt.date(2008, 12, 29)
    assert one.day(one.ticks()[1]).isocalendar() == (2009, 1, 1)


@settings(deadline=None)
@given(days, lengths, widths)
def test_names_fit_what_they_name_and_keep_apart_and_there_is_always_one(today, length, wide):
    one = tape(today, length, wide)
    assert one.names
    edges = [one.left, *one.months, one.right]
    for at, name in one.names:
        begin = max(edge for edge in edges[:-1] if edge <= at)
        end = edges[edges.index(begin) + 1]
        assert (at - begin) * one.each == pytest.approx(AIR, abs=1e-6)
        assert one.px(at) + width_px(name, one.letters) <= one.px(end) + 1e-6
        start = one.day(max(begin + 0.5, 0.0))
        assert name in {
            f"{start.year}",
            *(
                f"{m}{y}"
                for m in (MONTHS[start.month - 1], MONTHS[start.month - 1][:3])
                for y in ("", f" {start.year}")
            ),
        }
    named = {at for at, _ in one.names}
    whole = [begin + AIR / one.each for begin in edges[1:-2]]
    assert all(any(at == pytest.approx(where) for at in named) for where in whole)


def test_january_carries_its_year_and_the_others_do_not():
    assert [name for _, name in tape(dt.date(2026, 10, 1), 150).names] == [
        "October",
        "November",
        "December",
        "January 2027",
        "February",
    ]
    assert [name for _, name in tape(dt.date(2026, 10, 1), 150, 296.0).names] == [
        "Oct",
        "Nov",
        "Dec",
        "2027",
        "Feb",
    ]


@pytest.mark.parametrize(
    ("length", "wide", "names"),
    [
        (20, 296.0, ["November", "December"]),
        (400, 296.0, ["Nov", "2027", "Apr", "Jul", "Oct"]),
        (1500, 616.0, ["2027", "2028", "2029", "2030"]),
        (4000, 296.0, ["2028", "2030", "2032", "2034", "2036"]),
    ],
)
def test_the_longer_the_tape_the_coarser_its_names(length, wide, names):
    assert [name for _, name in tape(dt.date(2026, 11, 20), length, wide).names] == names


@settings(deadline=None)
@given(days, st.integers(0, 150), widths, st.integers(0, 60), st.integers(0, 20))
def test_mondays_have_their_figures_where_there_is_room_and_no_hatch(today, length, wide, off, more):
    first = today + dt.timedelta(off)
    one = tape(today, length, wide, [(first, first + dt.timedelta(more))])
    half = {at: width_px(words, one.letters) / 2 for at, words in one.numbers}
    assert all(words == str(one.day(at).day) for at, words in one.numbers)
    assert set(half) <= set(one.ticks())
    for (a, _), (b, _) in pairwise(one.numbers):
        assert (b - a) * one.each >= half[a] + half[b] + BETWEEN - 5
    for at, across in half.items():
        assert one.px(at) - across >= 0
        assert one.px(at) + across <= wide
        for begin, end in one.hatched:
            assert one.px(at) + across <= one.px(begin) or one.px(at) - across >= one.px(end)


def test_days_away_are_hatched_from_the_first_to_the_last_and_not_before_today():
    today = dt.date(2026, 10, 1)
    one = tape(
        today,
        60,
        away=[
            (dt.date(2026, 10, 10), dt.date(2026, 10, 18)),
            (dt.date(2026, 9, 20), dt.date(2026, 10, 2)),
            (dt.date(2026, 9, 1), dt.date(2026, 9, 9)),
            (dt.date(2027, 9, 1), dt.date(2027, 9, 9)),
        ],
    )
    assert one.hatched == ((0.0, 1.5), (8.5, 17.5))
    hatches = drawn(one).collections
    assert len(hatches) == 2
    path, transform = hatches[1].get_clip_path().get_transformed_path_and_affine()
    box = transform.transform_path(path).transformed(drawn(one).transData.inverted()).get_extents()
    assert (box.x0, box.x1) == pytest.approx((8.5, 17.5))
    assert box.y1 == pytest.approx(0.0, abs=1e-9)


def test_what_cannot_be_seen_is_not_hatched():
    away = [(dt.date(2026, 10, 10), dt.date(2026, 10, 12))]
    assert tape(dt.date(2026, 10, 1), 60, away=away).hatched
    assert not tape(dt.date(2026, 10, 1), 3000, away=away).hatched


def test_hatching_fills_its_span():
    one = tape(dt.date(2026, 10, 1), 60)
    axes = drawn(one)
    hatch_days(axes, one, (10.0, 20.0), (-30.0, 0.0), ON_PAPER)
    segments = axes.collections[-1].get_segments()
    assert min(segment[1][0] for segment in segments) <= 10.0 + 5 / one.each
    assert max(segment[0][0] for segment in segments) >= 20.0 - 5 / one.each
    slopes = {round((b[1] - a[1]) / ((b[0] - a[0]) * one.each), 6) for a, b in segments}
    assert slopes == {1.0}


def test_the_tape_ends_bluntly_before_today_and_is_open_where_it_begins_later():
    begun = drawn(tape(dt.date(2026, 10, 1), 60))
    assert [list(line.get_xdata()) for line in marks(begun, "today")] == [[0.0, 0.0]]
    assert len(marks(begun, "end")) == 1
    later = drawn(CalendarTape(dt.date(2026, 10, 1), 40.0, 90.0, 616.0))
    assert not marks(later, "today")
    assert not marks(later, "end")
    assert min(line.get_xdata()[0] for line in marks(later, "tick")) >= 40


def test_days_have_ticks_where_they_can_be_told_apart():
    short, long = drawn(tape(dt.date(2026, 10, 1), 20)), drawn(tape(dt.date(2026, 10, 1), 90))
    assert len(marks(short, "day")) == 18  # today to the 20th day, less three Mondays
    assert not marks(long, "day")


@pytest.mark.parametrize("length", [20, 60, 150, 900, 4000])
@pytest.mark.parametrize("wide", [296.0, 616.0])
def test_words_on_the_tape_never_collide_with_words_or_lines(collisions, length, wide):
    one = tape(dt.date(2026, 9, 28), length, wide, [(dt.date(2026, 10, 3), dt.date(2026, 10, 11))])
    axes = drawn(one)
    assert collisions(axes.get_figure()) == []
    deep = TAPE + (1.2 * one.letters if one.numbers else 0)
    assert one.deep == pytest.approx(deep)
    assert min(min(line.get_ydata()) for line in axes.lines) == pytest.approx(-deep)


def test_the_tape_can_be_laid_at_any_height():
    low, high = drawn(tape(dt.date(2026, 10, 1), 60)), drawn(tape(dt.date(2026, 10, 1), 60), top=30.0)
    assert max(max(line.get_ydata()) for line in low.lines) == 0
    assert max(max(line.get_ydata()) for line in high.lines) == 30
    assert [
        b.get_position()[1] - a.get_position()[1] for a, b in zip(low.texts, high.texts, strict=True)
    ] == pytest.approx([30.0] * len(low.texts))


def test_a_quarter_that_has_begun_has_the_name_of_its_first_month_on_the_tape_without_a_year():
    """From 10 February on, with quarters of some 110 pixels: the first is cut off, January begins another year."""
    tape = CalendarTape(dt.date(2027, 2, 10), 0.0, 500.0, 616.0)

    assert [name for _, name in tape.names][:4] == ["Feb", "Apr", "Jul", "Oct"]
    assert [name for _, name in tape.names][4] in {"Jan 2028", "2028"}

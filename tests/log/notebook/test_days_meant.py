"""Which day words mean that go by the day on which one types: a Friday and a Wednesday, by hand."""

import datetime as dt

import pytest
from making.notebooks import BOARDS, ENTRIES, SETTINGS

from estimator.log.notebook.reader import NotebookReader
from estimator.words.records import Entry

WEDNESDAY, FRIDAY = dt.date(2026, 6, 10), dt.date(2026, 6, 12)


def days_of(text, today):
    """The days of the lines, or those that are asked about."""
    page = NotebookReader(SETTINGS, BOARDS.values(), ENTRIES, today).read(text, week=today)
    if page.doubts:
        return {choice.value for doubt in page.doubts for choice in doubt.choices}
    return [line.date for line in page.lines]


@pytest.mark.parametrize(
    ("text", "today", "day"),
    [
        ("last Fri club sand 2", FRIDAY, dt.date(2026, 6, 5)),
        ("last Fri club sand 2", WEDNESDAY, dt.date(2026, 6, 5)),
        ("last Thu club gloss 2", WEDNESDAY, dt.date(2026, 6, 4)),
        ("last Wed club sand 2", WEDNESDAY, dt.date(2026, 6, 3)),
        ("yesterday club sand 2", FRIDAY, dt.date(2026, 6, 11)),
        ("today club sand 2", FRIDAY, FRIDAY),
    ],
)
def test_a_day_before_today_is_the_nearest_of_its_name_and_never_today(text, today, day):
    assert days_of(text, today) == [day]


@pytest.mark.parametrize(("today", "until"), [(WEDNESDAY, 10), (FRIDAY, 12), (dt.date(2026, 6, 13), 12)])
def test_hours_of_this_week_lie_on_its_working_days_up_to_today(today, until):
    reader = NotebookReader(SETTINGS, BOARDS.values(), [], today)
    (line,) = reader.read("this week club sand about 6", week=today).lines
    assert (line.date, line.until) == (dt.date(2026, 6, 8), dt.date(2026, 6, until))


def test_a_day_that_this_week_has_had_is_asked():
    asked = days_of("last Mon club sand 2", FRIDAY)

    assert {"2026-06-08", "2026-06-01"} <= asked


@pytest.mark.parametrize(
    ("text", "first", "until"),
    [
        ("since Tue club sand 6", 2, 12),  # up to today, whichever week is meant
        ("Tue-Thu club sand 6", 2, 4),
        ("Thu to Mon club sand 6", 4, 8),
        ("this week club sand about 6", 1, 5),  # the days on which one works
        ("Tue club sand 6", 2, None),
    ],
)
def test_days_are_those_of_the_week_that_is_meant(text, first, until):
    reader = NotebookReader(SETTINGS, BOARDS.values(), [], FRIDAY)
    (line,) = reader.read(text, week=dt.date(2026, 6, 3)).lines
    assert (line.date.day, line.until.day if line.until else None, line.date.month) == (first, until, 6)


@pytest.mark.parametrize(
    ("text", "day"),
    [("this morning club sand 2", 9), ("Thu club sand 2", 11), ("9 June club sand 2", 9), ("club sand 2", 9)],
)
def test_in_the_box_of_a_day_all_is_of_that_day_that_names_no_other(text, day):
    reader = NotebookReader(SETTINGS, BOARDS.values(), ENTRIES, FRIDAY)
    (line,) = reader.read(text, day=dt.date(2026, 6, 9)).lines
    assert line.date == dt.date(2026, 6, day)


def test_a_day_off_that_the_log_has_already_is_not_written_again():
    off = Entry("shop", dt.date(2026, 6, 9), "", 0.0, note="away, surf")
    reader = NotebookReader(SETTINGS, BOARDS.values(), [*ENTRIES, off], FRIDAY)
    page = reader.read("Tue surf")
    assert (page.lines, page.doubts, page.left_out) == ((), (), ((4, 8),))
    assert [line.note for line in reader.read("Wed surf").lines] == ["away, surf"]
    assert reader.read("Tue can't recall").lines == ()


@pytest.mark.parametrize(
    ("text", "day"),
    [
        ("on the 7th club sand 2", dt.date(2026, 6, 7)),
        ("7th: club sand 2", dt.date(2026, 6, 7)),
        ("on the 27th club sand 2", dt.date(2026, 6, 27)),  # 15 days to come, 16 over
        ("on the 28th club sand 2", dt.date(2026, 5, 28)),  # 15 days over, 16 to come
        ("on the 31st club sand 2", dt.date(2026, 5, 31)),
    ],
)
def test_a_day_without_its_month_is_the_nearest_one(text, day):
    reader = NotebookReader(SETTINGS, BOARDS.values(), ENTRIES, dt.date(2026, 6, 28))
    assert [line.date for line in reader.read(text, week=FRIDAY).lines] == [day]

import datetime as dt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from estimator.words.errors import UnreadableError
from estimator.words.worked_time import WorkedTime, read_range_hours, read_worked_time, say_worked_time

DAY = 6.5  # hours


def refused(value):
    with pytest.raises(UnreadableError) as error:
        read_worked_time(value, DAY)
    return error.value


@pytest.mark.parametrize(
    "value",
    [2.5, "2.5", "2,5", "2:30", "2:30:00", "2h30", "2h30m", "2h 30", "2 h 30 min", "2 hours and 30 minutes", "2.5 h", "2,5 hrs", "2½", "2 1/2", "2 ½ h", "150 min", "PT2H30M", "PT2H30M00S", "PT2.5H", "pt150m", dt.timedelta(hours=2.5), dt.time(2, 30)],
)  # fmt: skip
def test_two_hours_and_a_half_in_every_spelling(value):
    assert read_worked_time(value, DAY) == WorkedTime(2.5, None, about=False)


@pytest.mark.parametrize(
    ("value", "hours"),
    [
        ("2h", 2),
        ("2h5", 2 + 5 / 60),
        ("45 min", 0.75),
        ("¾", 0.75),
        ("4½", 4.5),
        ("half an hour", 0.5),
        ("4 h to the nearest 0 h", 4),
        ("an hour", 1),
        ("one hour", 1),
        ("2 hrs. 15 mins", 2.25),
        ("90 minutes", 1.5),
        ("-", 0),
        ("none", 0),
        (0, 0),
        ("0", 0),
        (dt.time(0, 0), 0),
        (dt.time(1, 15, 36), 1.26),
    ],
)
def test_hours_as_they_are_written(value, hours):
    assert read_worked_time(value, DAY).hours == pytest.approx(hours)


@pytest.mark.parametrize(
    "value",
    [
        dt.timedelta(hours=27.5),
        "PT27H30M00S",
        "PT27H30M",
        "27:30",
        "27:30:00",
        dt.datetime.fromisoformat("1900-01-01T03:30"),
    ],
)
def test_a_spreadsheets_duration_may_pass_a_day(value):
    assert read_worked_time(value, DAY).hours == 27.5


def test_a_spreadsheets_own_cells_come_through():
    import io

    import xlsxwriter
    from python_calamine import CalamineWorkbook

    file = io.BytesIO()
    with xlsxwriter.Workbook(file) as book:
        sheet = book.add_worksheet()
        for row, (hours, form) in enumerate(
            [(27.5, "[h]:mm"), (27.5, "h:mm"), (2.5, "h:mm"), (2.5, "[h]:mm:ss")]
        ):
            sheet.write_number(row, 0, hours / 24, book.add_format({"num_format": form}))
    file.seek(0)
    cells = CalamineWorkbook.from_filelike(file).get_sheet_by_index(0).to_python()

    assert [read_worked_time(row[0], DAY).hours for row in cells] == pytest.approx([27.5, 27.5, 2.5, 2.5])


@pytest.mark.parametrize(
    "text",
    [
        "about 9",
        "About 9",
        "ca. 9",
        "ca 9",
        "c. 9",
        "~9",
        "~ 9",
        "≈9",
        "around 9 h",
        "roughly 9 hours",
        "approx. 9",
    ],
)
def test_a_guess_is_known_as_a_guess(text):
    assert read_worked_time(text, DAY) == WorkedTime(9.0, None, about=True)


@pytest.mark.parametrize(
    ("text", "hours", "grain"),
    [
        ("9 days", 58.5, 6.5),
        ("9d", 58.5, 6.5),
        ("1 day", 6.5, 6.5),
        ("a day", 6.5, 6.5),
        ("half a day", 3.25, 3.25),
        ("½ day", 3.25, 3.25),
        ("half-day", 3.25, 3.25),
        ("4½ days", 29.25, 3.25),
        ("2.25 days", 14.625, 1.625),
        ("1.3 days", 8.45, 0.65),
        ("1⅓ days", 26 / 3, 0.65),
        ("13 h to the nearest 3.25 h", 13, 3.25),
        ("2 weeks", 65, 32.5),
        ("2 1/2 wks", 81.25, 16.25),
        ("a week", 32.5, 32.5),
        ("half a week", 16.25, 16.25),
    ],
)
def test_days_and_weeks_keep_their_grain(text, hours, grain):
    found = read_worked_time(text, DAY)

    assert (found.hours, found.grain) == (pytest.approx(hours), pytest.approx(grain))


def test_about_so_many_days_is_both():
    assert read_worked_time("about 9 days", 6.0) == WorkedTime(54.0, 6.0, about=True)


@pytest.mark.parametrize(
    ("value", "wrong"),
    [
        ("2,5O", '"2,5O" is not a time that can be read'),
        ("2:75", '"2:75" has 75 minutes after the hours'),
        ("2:30:61", '"2:30:61" has 61 seconds after the hours'),
        ("2h75", '"2h75" has 75 minutes after the hours'),
        ("2.5h30", '"2.5h30" has parts of an hour, and minutes too'),
        ("-2", '"-2" is less than no time'),
        (-0.5, '"-0.5" is less than no time'),
        ("100001", '"100001" is more than anybody can work'),
        ("1e999 days", '"1e999 days" is more than anybody can work'),
        ("60-80", '"60-80" is not one time'),
        ("?", '"?" is not a time that can be read'),
        ("2 months", '"2 months" is not a time that can be read'),
        ("P1DT2H", '"P1DT2H" could mean days of 24 hours or days at the bench'),
        ("PT", '"PT" is not a time that can be read'),
        (True, "that is a yes or no"),
        (dt.date(2026, 5, 2), "the spreadsheet has made a date of these hours"),
        (dt.datetime.fromisoformat("2026-05-02T03:00"), "the spreadsheet has made a date of these hours"),
        (dt.timedelta(hours=-1), '"-1 day, 23:00:00" is less than no time'),
    ],
)
def test_what_is_wrong_is_said(value, wrong):
    assert refused(value).wrong == wrong


def test_a_hundred_thousand_hours_are_the_end():
    assert read_worked_time(100_000, DAY).hours == 100_000


@given(st.integers(0, 400), st.integers(0, 59))
def test_hours_and_minutes_are_read_back_in_every_spelling(hours, minutes):
    written = hours + minutes / 60
    texts = [f"{hours}:{minutes:02}", f"{hours}h{minutes:02}", f"{hours} h {minutes} min", f"PT{hours}H{minutes}M", f"{hours * 60 + minutes} min", repr(written), repr(written).replace(".", ","), f"about {hours} hrs {minutes} mins"]  # fmt: skip

    for value in [*texts, dt.timedelta(hours=hours, minutes=minutes)]:
        assert read_worked_time(value, DAY).hours == pytest.approx(written)


@given(st.integers(0, 200), st.sampled_from([("", 1), ("½", 0.5), (" 1/4", 0.25)]), st.floats(0.5, 24))
def test_days_are_days_of_the_shop_and_a_week_is_five_of_them(whole, part, hours_in_a_day):
    glyph, grain = part
    days = whole + (0 if grain == 1 else grain)

    found = read_worked_time(f"{whole}{glyph} days", hours_in_a_day)
    assert found.hours == pytest.approx(days * hours_in_a_day)
    assert found.grain == pytest.approx(grain * hours_in_a_day)
    assert read_worked_time(f"{whole}{glyph} weeks", hours_in_a_day).hours == pytest.approx(
        5 * days * hours_in_a_day
    )


@pytest.mark.parametrize(
    ("value", "ends"),
    [
        ("60-80", (60, 80)),
        ("60 – 80", (60, 80)),
        ("60 to 80", (60, 80)),
        ("60 to 80 h", (60, 80)),
        ("from 60 to 80 hours", (60, 80)),
        ("between 60 and 80", (60, 80)),
        ("about 60-80", (60, 80)),
        ("60..80", (60, 80)),
        ("60-60", (60, 60)),
        ("2h30 to 3h", (2.5, 3)),
        ("2:30-3:00", (2.5, 3)),
        ("1 1/2-2", (1.5, 2)),
        ("½-1 wk", (16.25, 32.5)),
        ("2 days to 3", (13, 19.5)),
        ("9 days-2 wks", (58.5, 65)),
        ("half a day to 2 days", (3.25, 13)),
        ("66", (66, 66)),
        (66.0, (66, 66)),
        ("about 9 days", (58.5, 58.5)),
        ("1-1/2", (1.5, 1.5)),
        ("2 hours and 30 minutes", (2.5, 2.5)),
    ],
)
def test_ranges(value, ends):
    assert read_range_hours(value, DAY) == pytest.approx(ends)


@pytest.mark.parametrize(
    ("value", "wrong"),
    [
        ("80-60", '"80-60" begins with the larger end'),
        ("1-2-3", '"1-2-3" is not a range that can be read'),
        ("60-", '"60-" is not a time that can be read'),
        ("-5", '"-5" is less than no time'),
        ("6O-80", '"6O-80" is not a range that can be read'),
    ],
)
def test_what_is_no_range_is_refused(value, wrong):
    with pytest.raises(UnreadableError) as error:
        read_range_hours(value, DAY)
    assert error.value.wrong == wrong


@given(st.floats(0, 1e4), st.floats(0, 1e4), st.sampled_from(["-", " - ", "–", " to "]))
def test_ranges_are_read_back(one, other, between):
    low, high = sorted((round(one, 2), round(other, 2)))

    assert read_range_hours(f"{low}{between}{high}", DAY) == (low, high)


def test_two_to_three_days_a_colour_are_twelve_to_twenty_one_hours():
    # common practice, no source: spraying a first colour takes two to three days; a day at the bench is 6 to 7 hours
    assert read_range_hours("2-3 days", 6.0)[0] == 12.0
    assert read_range_hours("2-3 days", 7.0)[1] == 21.0


def test_three_colours_are_not_three_first_colours():
    # common practice, no source: each next colour takes another couple of days
    first, further = read_range_hours("2-3 days", 6.5), read_range_hours("2 days", 6.5)

    assert [end + 2 * more for end, more in zip(first, further, strict=True)] == [6 * 6.5, 7 * 6.5]


@pytest.mark.parametrize(
    ("time", "said"),
    [
        (WorkedTime(2.25), "2.25"),
        (WorkedTime(1 / 3), "0:20"),
        (WorkedTime(13 / 6, about=True), "about 2:10"),
        (WorkedTime(8.05), "8.05"),
        (WorkedTime(245 / 60), "4:05"),  # which times 60 is a hair less than 245
        (WorkedTime(0.1234567), "0.1234567"),
        (WorkedTime(29.25, 3.25, about=True), "about 29.25 h to the nearest 3.25 h"),
    ],
)
def test_time_is_said_in_one_form_that_reads_back_whatever_a_day_is(time, said):
    assert say_worked_time(time) == said
    assert read_worked_time(said, 8.0) == time

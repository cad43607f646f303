from dataclasses import replace

from making.promises import TODAY
from making.read_pdf import read
from making.records import NONE_YET, RECORD
from making.sheets import SETTINGS

from estimator.record.backtest.track_record import Count
from estimator.sheets.layouts.record import missed_words
from estimator.sheets.paper.record_sheet import record_sheet
from estimator.sheets.paper.typesetting import pdf


def test_the_last_twenty_come_first_then_misses_by_name_the_long_record_and_who_was_nearer():
    words = read(pdf("record", record_sheet(RECORD, SETTINGS), TODAY)).words
    parts = (
        "Did I get it right?",
        "Your last 20 boards, oldest first: 16 of 20 landed inside; luck alone allows 12 to 19.",
        "Missed",
        "took 97 hours, longer than 55 to 80: wet foam.",
        "All boards",
        "8 times in 10 26 of 32 21 to 30 1 5",
        "By sort of work, 8 times in 10",
        "only 3 boards",
        "These ranges have been no nearer than plain regression",
        "Your own guess 9 hours 7 hours 21 of 30",
        "Plain regression",
        "Ranges from now on",
    )
    places = [words.index(part) for part in parts]

    assert places == sorted(places)


def test_every_miss_of_the_last_twenty_is_named():
    data = record_sheet(RECORD, SETTINGS)
    missed = [board for board in RECORD.judged[-20:] if board.side]

    assert [one.lower() for one in data["missed"]] == [f"{missed_words(board)}.".lower() for board in missed]


def test_dates_and_promises_stand_there_where_there_are_any():
    kept = replace(
        RECORD, dates=(Count(0.8, 30, 2, 8, 40, (27, 37)),), promises=Count(0.8, 1, 0, 2, 3, (1, 3))
    )
    data = record_sheet(kept, SETTINGS)

    assert data["dates"] == [["8 times in 10", "30 of 40", "27 to 37", "2", "8"]]
    assert data["promises"] == "1 of 3 boards was ready by the last date first told."


def test_no_boards_yet_is_said():
    data = record_sheet(NONE_YET, SETTINGS)

    assert data["figure"] is None
    assert data["summary"] == "No finished board yet to hold a range against."
    assert data["rivals"] == data["long"] == data["groups"] == []

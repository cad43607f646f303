from dataclasses import replace

from making.promises import TODAY
from making.read_pdf import read
from making.records import NONE_YET, RECORD, board
from making.sheets import SETTINGS

from estimator.record.backtest.track_record import Count
from estimator.said.parts import Heading, Table
from estimator.said.record import record_parts
from estimator.said.record_scores import SCORED
from estimator.sheets.layouts.record import missed_words
from estimator.sheets.paper.said_sheets import record_sheet
from estimator.sheets.paper.typesetting import pdf


def test_the_last_twenty_come_first_then_misses_by_name_the_long_record_and_who_was_nearer():
    words = read(pdf("record", record_sheet(RECORD, SETTINGS), TODAY)).words
    parts = (
        "Did I get it right?",
        "Your last 20 boards, oldest first: 16 of 20 landed inside; luck alone allows 12 to 19.",
        "Missed",
        "took 97 hours, longer than 55 to 80: wet foam.",
        "All 32 boards",
        "8 in 10 26 of 32 21 to 30 1 5",
        "By sort of work, 8 times in 10",
        "only 3 boards",
        "Who has been nearer?",
        "These ranges have been no nearer than plain regression.",
        "Ranges from now on",
    )
    places = [words.index(part) for part in parts]

    assert places == sorted(places)


def test_every_miss_of_the_last_twenty_is_named():
    data = record_sheet(RECORD, SETTINGS)
    missed = [board for board in RECORD.judged[-20:] if board.side]

    assert [one.lower() for one in data["missed"]] == [f"{missed_words(board)}.".lower() for board in missed]


def test_what_record_says_of_all_boards_stands_on_the_sheet_as_it_is_said():
    kept = replace(
        RECORD, dates=(Count(0.8, 30, 2, 8, 40, (27, 37)),), promises=Count(0.8, 1, 0, 2, 3, (1, 3))
    )
    words = read(pdf("record", record_sheet(kept, SETTINGS), TODAY)).words.replace("’", "'")
    said = record_parts(kept, SETTINGS)
    rest = said[said.index(Heading(f"All {kept.count(0.8).of} boards")) :]

    assert {"Ready in time?", "Your own guesses"} <= {p.text for p in rest if isinstance(p, Heading)}
    at = 0
    assert SCORED in rest
    assert SCORED not in words  # scores are left to the screen
    for part in rest:  # in this order
        if part == SCORED or (isinstance(part, Table) and part.head[0] == "Score"):
            continue
        if isinstance(part, Heading | str):
            text = part if isinstance(part, str) else part.text
            at = words.index(" ".join(text.split()).replace("’", "'"), at)
        elif isinstance(part, Table):
            assert all(cell in words[at:] for row in part.rows for cell in row), part


def test_no_boards_yet_is_said():
    data = record_sheet(NONE_YET, SETTINGS)

    assert data["figure"] is None
    assert data["summary"] == "No finished board yet to hold a range against."
    assert not [block for block in data["blocks"] if block["is"] == "table"]


OPEN = {"hours": None, "side": None, "so_far": 30.0}


def test_a_record_of_boards_that_are_all_open_names_them_and_says_what_would_do():
    still_open = replace(NONE_YET, boards=(board(1, **OPEN),))
    said = [record_sheet(replace(still_open, missing=n), SETTINGS)["figure"]["says"] for n in (0, 8)]

    assert said == [
        "Still open, in pencil: moss seven-four.",
        "8 more finished boards with a quote date would do.",
    ]


def test_what_is_open_from_before_the_boards_that_are_drawn_is_not_named():
    many = replace(RECORD, boards=(board(1, **OPEN), *(board(n) for n in range(2, 23)), board(23, **OPEN)))
    data = record_sheet(many, SETTINGS)

    assert data["open"] == "Still open, in pencil: lime nine-four"
    assert data["day"] == "Sun 1 February 2026"
    assert record_sheet(replace(NONE_YET, as_of=""), SETTINGS)["day"] == ""

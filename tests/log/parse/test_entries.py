"""Rows of hours, tellings, waits and weights: what is read, and the whole text of what is wrong."""

import datetime as dt

import pytest

from estimator.log.parse.entries import stage_names
from estimator.words.settings.schema import Settings, Stage

BOARDS = (
    "board,called,collected\n26-001,red nine-four,\n26-002,green fish,2026-08-01\n26-003,Green fish,\nx y,,\n"
)


def hours_of(read, *cells):
    """What is read of one row of hours with these cells, and what is said of it."""
    found = read(boards=BOARDS, hours=f"board,date,until,stage,hours,done,note\n{','.join(cells)}\n")
    return found.log.entries, [problem for problem in found.problems if problem.startswith("hours.csv")]


@pytest.mark.parametrize(
    ("written", "hours", "grain"),
    [
        ("2.5", 2.5, None),
        ('"2,5"', 2.5, None),
        ("2:30", 2.5, None),
        ("2h30", 2.5, None),
        ("PT2H30M", 2.5, None),  # ISO 8601, a duration
        ("4½", 4.5, None),
        ("about 9", 9.0, None),
        ("1 day", 6.5, 6.5),
        ("0", 0.0, None),
        ("-", 0.0, None),
    ],
)
def test_hours_in_every_spelling(read, written, hours, grain):
    [entry], problems = hours_of(read, "26-001", "2026-03-02", "", "strip", written, "", "")
    assert (entry.hours, entry.grain, problems) == (hours, grain, [])


def test_a_row_over_several_days_with_its_note(read):
    [entry], problems = hours_of(
        read, "26-001", "2026-03-02", "2026-03-06", "Strip", "30", "yes", '"found rot\nunder the\ttail"'
    )
    assert problems == []
    assert (entry.date, entry.until, entry.hours, entry.done) == (
        dt.date(2026, 3, 2),
        dt.date(2026, 3, 6),
        30.0,
        True,
    )
    assert entry.note == "found rot under the tail"
    assert str(entry.where) == "hours.csv, line 2"


@pytest.mark.parametrize(
    ("written", "board"),
    [
        ("26-001", "26-001"),
        ("Red Nine-Four", "26-001"),
        ("X  Y", "x y"),
        ("shop", "shop"),
        (" SHOP ", "shop"),
    ],
)
def test_a_board_is_named_by_its_id_or_its_short_name(read, written, board):
    [entry], problems = hours_of(read, written, "2026-03-02", "", "strip", "1", "", "")
    assert (entry.board, problems) == (board, [])


def test_the_shop_needs_no_stage_and_may_book_nothing(read):
    [entry], problems = hours_of(read, "shop", "2026-03-04", "", "", "0", "", "did not work")
    assert (entry.board, entry.stage, entry.hours, entry.note, problems) == (
        "shop",
        "",
        0.0,
        "did not work",
        [],
    )
    [entry], problems = hours_of(read, "shop", "2026-03-04", "", "sweeping", "1.5", "", "")
    assert (entry.stage, entry.hours, problems) == ("sweeping", 1.5, [])


@pytest.mark.parametrize(
    ("cells", "said"),
    [
        (
            ["26-011", "2026-03-02", "", "strip", "1", "", ""],
            ', board: "26-011": no board has this id or short name. The nearest is 26-001.',
        ),
        (
            ["66-001", "2026-03-02", "", "strip", "1", "", ""],  # its end is the same
            ', board: "66-001": no board has this id or short name. The nearest is 26-001.',
        ),
        (
            ["26-00201", "2026-03-02", "", "strip", "1", "", ""],
            ', board: "26-00201": no board has this id or short name. The nearest is 26-002.',
        ),
        (
            ["the blue", "2026-03-02", "", "strip", "1", "", ""],
            (
                ', board: "the blue": no board has this id or short name. '
                "Give it a row on the boards sheet, or correct the name."
            ),
        ),
        (
            ["green fish", "2026-03-02", "", "strip", "1", "", ""],
            ', board: "green fish": more than one board is called that. Write the id of the board.',
        ),
        (
            ["", "2026-03-02", "", "strip", "1", "", ""],
            ", board: no board is named. Name the board, or write shop.",
        ),
        (["Total", "", "", "", "37.5", "", ""], ', board: "Total": a sum is no entry. Take the row out.'),
        (["26-001", "", "", "strip", "1", "", ""], ", date: no date is written. Write the day."),
        (
            ["26-001", "02/03/26", "", "strip", "1", "", ""],
            (
                ', date: "02/03/26": that has a year of two figures. '
                "Write all four of them. Write it as 2026-06-12 or 12 June 2026."
            ),
        ),
        (
            ["26-001", "2026-10-03", "", "strip", "1", "", ""],
            ', date: "2026-10-03": that day is still to come (today is 2026-10-02). Correct the date.',
        ),
        (
            ["26-001", "2026-03-02", "2026-03-01", "strip", "1", "", ""],
            ', until: "2026-03-01": until lies before the first day (2026-03-02). Swap the two, or correct one.',
        ),
        (
            ["26-001", "2026-10-01", "2026-10-03", "strip", "1", "", ""],
            ', until: "2026-10-03": that day is still to come (today is 2026-10-02). Correct the date.',
        ),
        (
            ["26-001", "2026-03-02", "", "", "1", "", ""],
            ", stage: no stage is written. Write which stage the hours went to.",
        ),
        (
            ["26-001", "2026-03-02", "", "Stripp", "1", "", ""],
            ', stage: "Stripp": no stage has this name. The nearest name known here is strip.',
        ),
        (
            ["26-001", "2026-03-02", "", "strip", "", "", ""],
            ", hours: no hours are written. Write the hours, or 0 for a stage that was not done.",
        ),
        (
            ["26-001", "2026-03-02", "", "strip", "?", "", ""],
            ', hours: "?": no hours are written. Write the hours, or 0 for a stage that was not done.',
        ),
        (
            ["26-001", "2026-03-02", "", "strip", '"2,5O"', "", ""],
            ', hours: "2,5O": that is not a time that can be read. Write 2.5, 2:30 or 2h30, or days as 9 days.',
        ),
        (
            ["26-001", "2026-03-02", "", "strip", "-2", "", ""],
            ', hours: "-2": that is less than no time. Write 2.5, 2:30 or 2h30, or days as 9 days.',
        ),
        (
            ["26-001", "2026-03-02", "", "strip", "1e999", "", ""],
            ', hours: "1e999": that is more than anybody can work. Write 2.5, 2:30 or 2h30, or days as 9 days.',
        ),
        (
            ["26-001", "2026-03-02", "", "strip", "24.5", "", ""],
            (
                ', hours: "24.5": these are 24.5 h, and a day has 24. '
                "Book it over several days with until, or put the sum in total_hours."
            ),
        ),
        (
            ["26-001", "2026-03-02", "2026-03-03", "strip", "48:30", "", ""],
            (
                ', hours: "48:30": these are 48.5 h, and 2 days have 48. '
                "Book it over several days with until, or put the sum in total_hours."
            ),
        ),
    ],
)
def test_a_row_whose_board_day_stage_or_hours_cannot_be_made_out_is_left_out(read, cells, said):
    entries, problems = hours_of(read, *cells)
    assert (entries, problems) == ((), [f"hours.csv, line 2{said}"])


def test_a_cell_that_may_be_empty_is_a_problem_and_the_row_stays(read):
    [entry], problems = hours_of(read, "26-001", "2026-03-02", "", "strip", "1", "maybe", "")
    assert (entry.hours, entry.done) == (1.0, None)
    assert problems == ['hours.csv, line 2, done: "maybe": that says neither yes nor no. Write yes or no.']


def test_all_that_is_wrong_with_a_row_is_said_at_once(read):
    _, problems = hours_of(read, "", "?", "", "", "", "", "")
    assert len(problems) == 4


@pytest.mark.parametrize(
    ("word", "done"),
    [("yes", True), ("Done.", True), ("x", True), ("no", False), ("not yet", False), ("", None)],
)
def test_done_in_various_words(read, word, done):
    [entry], _ = hours_of(read, "26-001", "2026-03-02", "", "strip", "1", word, "")
    assert entry.done is done


TOLD = "board,date,hours_low,hours_high,price,terms,first,last,odds,because,paid_by\n"


def test_what_was_told(read):
    found = read(
        boards=BOARDS,
        told=f"{TOLD}26-001,2026-03-02,60,2 weeks,3400,fixed,2026-04-01,2026-04-20,9/10,Hidden work,half\n",
    )
    assert found.problems == []
    [told] = found.log.told
    assert (told.board, told.date, told.hours_low, told.hours_high) == (
        "26-001",
        dt.date(2026, 3, 2),
        60.0,
        65.0,
    )
    assert (told.price, told.terms, told.odds, told.because, told.paid_by) == (
        3400.0,
        "fixed",
        0.9,
        "hidden work",
        "half",
    )
    assert (told.first, told.last, str(told.where)) == (
        dt.date(2026, 4, 1),
        dt.date(2026, 4, 20),
        "told.csv, line 2",
    )


def test_what_is_wrong_with_what_was_told(read):
    found = read(
        boards=BOARDS,
        told=f"{TOLD}26-001,2026-03-02,80,60,,,2026-04-20,2026-04-01,2,qoute,\n26-001,,60,80,,,,,,,\n",
    )
    assert found.problems == [
        'told.csv, line 2, because: "qoute": that is not one of the words known here. The nearest name known here is quote.',
        'told.csv, line 2, hours_high: "60": the high end lies below the low one (80 h). Swap the two.',
        'told.csv, line 2, last: "2026-04-01": last lies before first (2026-04-20). Swap the two, or correct one.',
        'told.csv, line 2, odds: "2": that is not between never and always. Write 8/10, 8 in 10, 0.8 or 80 %.',
        "told.csv, line 3, date: no date is written. Write the day.",
    ]
    [told] = found.log.told
    assert (told.hours_low, told.first, told.last, told.odds, told.because) == (None, None, None, None, "")


def test_a_day_told_must_not_lie_before_the_day_on_which_it_was_told(read):
    found = read(
        boards=BOARDS,
        told=f"{TOLD}26-001,2026-03-02,,,,,2026-02-01,2026-03-01,,late,\n26-001,2026-03-02,,,,,,2026-03-02,,late,\n",
    )
    assert found.problems == [
        (
            'told.csv, line 2, last: "2026-03-01": last lies before the day on which it was told (2026-03-02). '
            "Correct one of the two."
        )
    ]
    assert [(told.first, told.last) for told in found.log.told] == [(None, None), (None, dt.date(2026, 3, 2))]


def test_waits_and_weights(read):
    found = read(
        boards=BOARDS,
        waits="board,from,until,for,note\n26-001,2026-03-02,2026-03-20,Drying,\n26-001,2026-03-21,,owner,rang twice\n"
        "26-003,2026-09-30,2026-12-24,away,\n",
        weights="board,date,weight\n26-001,2026-03-02,9.4\n26-001,2026-03-05,18 lb 8 oz\n",
    )
    assert found.problems == []
    assert [(w.first, w.until, w.cause, w.note) for w in found.log.waits] == [
        (dt.date(2026, 3, 2), dt.date(2026, 3, 20), "drying", ""),
        (dt.date(2026, 3, 21), None, "owner", "rang twice"),
        (dt.date(2026, 9, 30), dt.date(2026, 12, 24), "away", ""),  # may be over on a day to come
    ]
    # 1 lb = 0.45359237 kg by definition (international yard and pound, 1959)
    assert [w.weight_kg for w in found.log.weighings] == [9.4, pytest.approx(18.5 * 0.45359237)]


def test_what_is_wrong_with_waits_and_weights(read):
    found = read(
        boards=BOARDS,
        waits="board,from,until,for\n26-001,2026-03-02,2026-03-01,drying\n26-001,2026-03-02,soon,drying\n26-001,2026-03-02,,dry\n26-001,,,drying\n26-001,2026-03-02,,\n",
        weights="board,date,weight\n26-001,2026-03-02,\n26-001,2026-03-02,900\n26-001,2027-03-02,9\n",
    )
    assert found.log.waits == found.log.weighings == ()
    assert found.problems == [
        'waits.csv, line 2, until: "2026-03-01": until lies before the first day (2026-03-02). Swap the two, or correct one.',
        'waits.csv, line 3, until: "soon": that is not a date that can be read. Write it as 2026-06-12 or 12 June 2026.',
        'waits.csv, line 4, for: "dry": that is not one of the words known here. The nearest name known here is drying.',
        "waits.csv, line 5, from: no date is written. Write the day.",
        (
            "waits.csv, line 6, for: what the board waits for is not written. "
            "One of: drying, curing, owner, artwork, parts, weather, away, queue."
        ),
        "weights.csv, line 2, weight: no weight is written. Write it as 8.4 kg or 18.5 lb.",
        (
            'weights.csv, line 3, weight: "900": that is no weight of a surfboard. '
            "Write the weight as 8.4 kg or 18.5 lb; a bare number is kilograms."
        ),
        'weights.csv, line 4, date: "2027-03-02": that day is still to come (today is 2026-10-02). Correct the date.',
    ]


@pytest.mark.parametrize(
    ("until", "hours", "read_so"),
    [
        ("", "24", True),
        ("", "24.1", False),
        ("2026-03-02", "24", True),
        ("2026-03-03", "48", True),
        ("2026-03-03", "48.5", False),
    ],
)
def test_a_day_has_24_hours_and_no_more(read, until, hours, read_so):
    found = read(
        boards="board\nA\n", hours=f"board,date,until,stage,hours\nA,2026-03-02,{until},strip,{hours}\n"
    )
    assert bool(found.log.entries) is read_so
    if read_so and until != "2026-03-03":
        assert found.log.entries[0].until is None  # one day is no span


@pytest.mark.parametrize(
    ("cells", "kept"),
    [
        ("5,5,,,", (5, 5, None, None)),
        ("6,5,,,", (None, None, None, None)),
        (",,2026-03-02,2026-03-02,", (None, None, 2, 2)),
        (",,2026-03-04,2026-03-03,", (None, None, None, None)),
        (",,,2026-03-02,", (None, None, None, 2)),  # told that it is ready that day
        (",,,2026-03-01,", (None, None, None, None)),
    ],
)
def test_the_ends_of_what_was_told_may_be_one_and_never_turned_about(read, cells, kept):
    found = read(
        boards="board\nA\n", told=f"board,date,hours_low,hours_high,first,last,price\nA,2026-03-02,{cells}9\n"
    )
    [told] = found.log.told
    days = [one and one.day for one in (told.first, told.last)]
    assert (told.hours_low, told.hours_high, *days) == kept
    assert bool(found.problems) is (kept == (None,) * 4)


def test_only_work_on_a_board_is_done_again(read):
    hours = "board,date,stage,hours,again\nshop,2026-03-02,sweeping,1,me\nA,2026-03-02,strip,1,me\nA,2026-03-03,redo,1,\nA,2026-03-04,strip,2,\nA,2026-03-05,redo,1,owner\n"
    entries = read(boards="board\nA\n", hours=hours).log.entries
    assert [(one.stage, one.again, one.of) for one in entries] == [
        ("sweeping", "", ""),
        ("redo", "me", "strip"),
        ("redo", "yes", ""),
        ("strip", "", ""),
        ("redo", "owner", ""),
    ]
    assert [one.done for one in entries] == [None] * 5  # nothing was said of it


def test_a_board_goes_by_its_number_before_any_by_its_name(read):
    found = read(
        boards="board,called\nA,B\nB,tan\nC,C\n",
        hours="board,date,stage,hours\nB,2026-03-02,strip,1\nTan,2026-03-03,strip,2\nc,2026-03-04,strip,3\n",
    )
    assert found.problems == []
    assert [(one.board, one.hours) for one in found.log.entries] == [("B", 1.0), ("B", 2.0), ("C", 3.0)]


def test_a_stage_goes_by_its_name_before_any_by_its_label_for_the_shop_too(read):
    named = stage_names(
        Settings(stages={"sand": Stage("sand", label="Gloss"), "gloss": Stage("gloss", label="Rub out")})
    )
    assert named == {"sand": "sand", "gloss": "gloss", "rub_out": "gloss"}
    found = read(boards="board\nA\n", hours="board,date,stage,hours\nshop,2026-03-02,redraw  Logos,1\n")
    assert [one.stage for one in found.log.entries] == ["logo"]

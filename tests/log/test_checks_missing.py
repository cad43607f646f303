"""Notes: what is missing or odd, which never makes a log one that cannot be used."""

from dataclasses import replace

HOURS = "board,date,stage,hours,note\n"


def notes_of(read, boards, hours="", **others):
    found = read(boards=boards, hours=HOURS + hours, **others)
    assert found.problems == []
    return [note for note in found.notes if "the log is" not in note and "rule of thumb" not in note]


COMPLETE = (
    "board,kind,guess,accepted,ready,price_charged,materials,found_infills\n"
    "A,minor,10,2026-03-01,2026-04-01,1800,90,0\n"
)


def test_a_complete_board_has_no_notes(read):
    assert notes_of(read, COMPLETE) == []


def test_what_is_missing_is_counted_and_the_first_boards_named(read):
    boards = "board,state\n" + "".join(f"{name},finished\n" for name in "ABCDE") + "F,\nG,declined\n"
    assert notes_of(read, boards) == [
        (
            "boards.csv: hidden work not recorded on 5 boards (A, B, C and 2 more) that are finished. "
            "Write how it turned out, or “same” where it was just as you thought."
        ),
        (
            "boards.csv: no accepted date is written on 5 boards (A, B, C and 2 more); the date of the quote stands in. "
            "Write the day on which the owner said yes."
        ),
        (
            "boards.csv: no guess of your own is written on 6 boards (A, B, C and 3 more). "
            "Write your own hours at the quote, before you look at ours."
        ),
        (
            "boards.csv: no kind is written on 7 boards (A, B, C and 4 more). "
            "Write the sort of job; boards of one kind teach about one another."
        ),
        (
            "boards.csv: no materials are written on 5 boards (A, B, C and 2 more) that are finished. "
            "Write what they cost, or 0."
        ),
        (
            "boards.csv: no price is written on 5 boards (A, B, C and 2 more) that are finished. "
            "Write what you charged; else nothing can be said of the pay."
        ),
        (
            "boards.csv: no ready date is written on 5 boards (A, B, C and 2 more) that are finished. "
            "Write the day on which the board was ready."
        ),
    ]


def test_a_board_that_took_no_materials_lacks_none(read):
    assert notes_of(read, COMPLETE.replace(",90,", ",0,")) == []


def test_one_board_is_said_in_the_singular(read):
    boards = COMPLETE.replace(",90,", ",,").replace(",0\n", ",0\n")
    assert notes_of(read, boards) == [
        "boards.csv: no materials are written on 1 board (A) that is finished. Write what they cost, or 0."
    ]


def test_an_unusual_length_and_the_usual_width(read):
    boards = "board,kind,guess,length,width\nA,minor,10,11'2,\nB,major,10,9'2,22\n"
    assert notes_of(read, boards) == [
        "boards.csv: an unusual length is written on 1 board (A). Look whether it is right.",
        (
            "boards.csv: the usual width for the length stands in on 1 board (A). "
            "Measure the widest place and write it in width."
        ),
    ]


def test_days_that_the_week_leaves_free_and_days_with_much_on_one_board(read):
    # 7 and 8 March 2026 are a Saturday and a Sunday
    hours = (
        "A,2026-03-08,strip,2,\nA,2026-03-07,strip,2,\nA,2026-03-09,strip,3,\nA,2026-03-09,clean,2,\nB,2026-03-10,strip,4.5,\n"
        "shop,2026-03-07,,9,\n"
    )
    boards = "board,kind,guess,accepted,assessed_infills\nA,major,10,2026-03-01,?\nB,major,10,2026-03-01,?\n"
    assert notes_of(read, boards, hours) == [
        "hours.csv: more than 4.5 h a day on one board, 1 time (A on 2026-03-09). Look whether the hours are right.",
        "hours.csv: work on 2 days that your week leaves free (2026-03-07, 2026-03-08). Look whether the dates are right.",
    ]


def test_rows_that_stand_twice(read):
    row = "A,2026-03-09,strip,2,same\n"
    hours = row + row + "A,2026-03-09,strip,2,other\n" + "shop,2026-03-10,,0,away\n" * 2
    boards = "board,kind,guess,accepted\nA,major,10,2026-03-01\n"
    assert [note for note in notes_of(read, boards, hours) if "same as" in note] == [
        "hours.csv: 1 row says the same as a row above (line 3). Take out what was written twice."
    ]


def test_rows_that_differ_in_one_cell_are_not_the_same(read):
    """The last two of hours are of work done again, on two stages."""
    hours = (
        "board,date,until,stage,hours,again,note\n"
        "A,2026-03-09,,strip,2,,\nA,2026-03-09,2026-03-10,strip,2,,\nA,2026-03-09,,strip,2,,x\nA,2026-03-09,,strip,1,,\n"
        "A,2026-03-10,,strip,2,,\nA,2026-03-10,,clean,2,,\nA,2026-03-10,,strip,2,me,\nA,2026-03-10,,clean,2,me,\n"
    )
    money = (
        "date,in,out,what,boards,note\n"
        "2026-03-09,,9,tape,A,\n2026-03-09,9,,tape,A,\n2026-03-09,,9,wax,A,\n2026-03-09,,9,tape,,\n2026-03-09,,9,tape,A,x\n"
        "2026-03-10,,9,tape,A,\n"
    )
    found = read(boards="board\nA\n", hours=hours, money=money)
    assert [note for note in found.notes if "same as" in note] == []


def test_what_is_missing_is_asked_of_those_boards_alone_that_want_it(read, shop):
    boards = (
        "board,state,price_quoted,price_charged\n"
        "A,on bench,,\nB,finished,900,\nC,finished,,900\nD,withdrawn,,\nE,stopped,,\n"
    )
    said = {note.partition(" written on ")[0]: note for note in notes_of(read, boards)}
    assert "4 boards (A, B, C, E)" in said["boards.csv: no accepted date is"]
    assert "4 boards (A, B, C, E)" in said["boards.csv: no guess of your own is"]
    assert not [note for note in said if "no price" in note]
    bare = replace(shop, kinds={}, drivers={}, modifiers={}, stages={"strip": shop.stages["look"]})
    notes = read(settings=bare, boards="board,state\nA,finished\n").notes
    assert not [note for note in notes if "no kind" in note or "hidden work" in note]


def test_a_row_over_a_week_end_is_no_work_on_a_free_day_and_a_dropped_board_may_have_hours(read):
    boards = "board,kind,guess,state\nA,major,10,withdrawn\nB,major,10,declined\n"
    hours = "board,date,until,stage,hours\nA,2026-03-07,2026-03-09,strip,3\nB,2026-03-09,,look,1\nA,2026-03-10,,look,1\n"
    notes = read(boards=boards, hours=hours).notes
    assert not [note for note in notes if "leaves free" in note]
    assert [note.split(" that you")[0] for note in notes if "declined" in note] == [
        "boards.csv: 1 h are booked on 1 board (B)"
    ]


def test_hours_on_a_declined_board(read):
    boards = "board,kind,guess,state\nA,major,10,declined\n"
    assert notes_of(read, boards, "A,2026-03-09,look,1.5,\n") == [
        "boards.csv: 1.5 h are booked on 1 board (A) that you declined. Look whether the state is right."
    ]


def test_a_stage_of_which_nothing_is_known_asks_for_a_rule(read, shop):
    found = read(boards="board\nA\n", hours=HOURS + "A,2026-03-09,strip,2,\nA,2026-03-09,clean,0,\n")
    asked = [note for note in found.notes if "rule of thumb" in note]
    said = (
        "no rule of thumb speaks of this stage, and no hours are booked on it yet. "
        "Say a rule: of ten boards, the quickest takes how long, and the slowest?"
    )
    assert asked == [
        f"workshop.toml, [stages.{name}]: {said}" for name in ("clean", "infill", "logo", "look", "redo")
    ]
    rule = replace(shop.rules[0], stage="clean")
    again = read(settings=replace(shop, rules=(rule,)))
    assert [note for note in again.notes if "[stages.clean]" in note] == []


def test_a_day_of_payment_with_the_deposit_alone_is_a_note(read):
    boards = COMPLETE.replace("ready,", "ready,paid_on,deposit,paid,").replace(
        "2026-04-01,", "2026-04-01,2026-04-03,600,{},"
    )
    said = (
        "boards.csv: a day of payment, but no more than the deposit, is written on 1 board (A). "
        "Write in paid what was paid in all; or leave paid_on empty until the rest has come."
    )
    assert notes_of(read, boards.format("")) == [said]
    assert notes_of(read, boards.format("600")) == [said]
    assert notes_of(read, boards.format("1800")) == []
    assert (
        notes_of(read, boards.format("").replace(",1800,", ",600,")) == []
    )  # the deposit was the whole price
    less = boards.replace("price_charged", "price_quoted,price_charged").replace(",1800,", ",1800,600,")
    assert notes_of(read, less.format("")) == []  # and no more was charged in the end

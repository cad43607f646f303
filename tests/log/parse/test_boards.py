"""Rows of the boards sheet: what is read, and the whole text of what is wrong."""

import datetime as dt

import pytest


def day(text):
    return dt.date.fromisoformat(text)


def test_every_column_of_a_board_is_read(read):
    found = read(
        boards="board,called,owner,reach,kind,aim,wanted_by,asked,quoted,accepted,started,ready,collected,paid_on,"
        "state,outline,cost_time,length,width,assessed_infills,found_infills,later_infills,assessed_wetness,found_wetness,"
        "assessed_redo,found_redo,guess_low,guess_high,from_memory,price_quoted,price_charged,materials,deposit,paid,"
        "hold_until,promised_first,promised_last,decided,decided_why,for_love,note\n"
        "A,the red one,M. Anon,by pigeon,Full restoration,Show,2027-01-01,2026-01-05,2026-01-08,2026-01-20,2026-02-02,"
        '2026-04-01,2026-04-09,2026-04-10,ready,long,foam,"9\'4",22 1/2,2,4,1,damp,soaked,no,yes,60,12 days,yes,'
        '"3,400 mk",3600,210.5,1000,2600,2026-02-01,2026-03-20,2026-04-10,open first,"a ""good"" one",no,old\n'
    )
    assert found.problems == []
    board = found.log.boards[0]
    assert (board.board, board.called, board.owner, board.reach) == (
        "A",
        "the red one",
        "M. Anon",
        "by pigeon",
    )
    assert (board.kind, board.aim, board.outline, board.cost_time) == ("major", "show", "long", "foam")
    assert (board.wanted_by, board.paid_on) == (day("2027-01-01"), day("2026-04-10"))
    assert (board.asked, board.quoted, board.accepted) == (
        day("2026-01-05"),
        day("2026-01-08"),
        day("2026-01-20"),
    )
    assert (board.started, board.ready, board.collected) == (
        day("2026-02-02"),
        day("2026-04-01"),
        day("2026-04-09"),
    )
    assert board.state == "finished"
    # 1 in = 25.4 mm by definition (international yard and pound, 1959)
    assert (board.length_m, board.width_m) == (pytest.approx(112 * 0.0254), pytest.approx(22.5 * 0.0254))
    assert board.assessed["infills"] == 2.0
    assert board.found == {"infills": 4.0, "wetness": 3.0, "redo": 1.0}
    assert board.later == {"infills": 1.0}
    assert (board.assessed["wetness"], board.assessed["redo"]) == (1.0, 0.0)
    assert (board.guess_low, board.guess_high, board.from_memory) == (60.0, 78.0, True)
    assert (board.price_quoted, board.price_charged, board.materials) == (3400.0, 3600.0, 210.5)
    assert (board.deposit, board.paid, board.hold_until) == (1000.0, 2600.0, day("2026-02-01"))
    assert (board.promised_first, board.promised_last) == (day("2026-03-20"), day("2026-04-10"))
    assert (board.decided, board.decided_why, board.for_love) == ("open-first", 'a "good" one', False)
    assert (board.note, str(board.where)) == ("old", "boards.csv, line 2")


def test_a_board_of_kind_and_length_alone_or_of_a_guess_alone_is_a_board(read):
    found = read(boards="board,kind,length,guess\nA,major,9'6,\nB,,,about 70\n")
    assert found.problems == []
    one, other = found.log.boards
    assert (one.kind, one.length_m, one.guess) == ("major", pytest.approx(2.8956), None)
    assert other.guess == 70.0


def problems_of(read, header, *cells):
    """What is said of one board with these cells under this header."""
    found = read(boards=f"board,{header}\nA,{','.join(cells)}\n")
    assert len(found.log.boards) == 1
    return found.log.boards[0], found.problems


@pytest.mark.parametrize(
    ("header", "cell", "said"),
    [
        (
            "kind",
            "majr",
            'boards.csv, line 2, kind: "majr": that is not one of the words known here. The nearest name known here is major.',
        ),
        (
            "outline",
            "egg",
            'boards.csv, line 2, outline: "egg": that is not one of the words known here. Known here: gun, short, fish, long.',
        ),
        (
            "state",
            "waitng",
            'boards.csv, line 2, state: "waitng": that is not one of the words known here. The nearest name known here is waiting.',
        ),
        (
            "length",
            "9.6",
            'boards.csv, line 2, length: "9.6": that could be 9 ft 6 in or 9.6 ft. Write 9\'6" for the one, 9.6 ft for the other.',
        ),
        (
            "asked",
            "03/04/2026",
            (
                'boards.csv, line 2, asked: "03/04/2026": that could be 3 April or 4 March 2026. '
                "Write 2026-04-03 for the one, 2026-03-04 for the other, or set `dates` in workshop.toml."
            ),
        ),
        (
            "ready",
            "2027-01-01",
            'boards.csv, line 2, ready: "2027-01-01": that day is still to come (today is 2026-10-02). Correct the date.',
        ),
        (
            "from_memory",
            "perhaps",
            'boards.csv, line 2, from_memory: "perhaps": that says neither yes nor no. Write yes or no.',
        ),
        (
            "assessed_wetness",
            "moist",
            'boards.csv, line 2, assessed_wetness: "moist": that is none of its grades. Known here: dry, damp, wet, soaked.',
        ),
        (
            "assessed_wetness",
            "4",
            'boards.csv, line 2, assessed_wetness: "4": that is none of its grades. Known here: dry, damp, wet, soaked.',
        ),
        (
            "assessed_redo",
            "2",
            'boards.csv, line 2, assessed_redo: "2": that says neither yes nor no. Write yes or no.',
        ),
        (
            "found_infills",
            "-2",
            'boards.csv, line 2, found_infills: "-2": that is less than nothing. Write a number, or none.',
        ),
        (
            "assessed_infills",
            "a few",
            'boards.csv, line 2, assessed_infills: "a few": that is not a number that can be read. Write a number, or none.',
        ),
        (
            "found_infills",
            "same",
            'boards.csv, line 2, found_infills: "same": assessed_infills is not known, so nothing is confirmed. Write the value.',
        ),
        (
            "guess",
            "0",
            'boards.csv, line 2, guess: "0": a guess of no hours says nothing. Write the hours, or leave it empty.',
        ),
        (
            "guess_low",
            "5",
            'boards.csv, line 2, guess_low: "5": there is no guess_high beside it. Add guess_high, or write it as guess.',
        ),
    ],
)
def test_a_cell_that_cannot_be_read_is_a_problem_and_not_known(read, header, cell, said):
    board, problems = problems_of(read, header, cell)
    assert problems == [said]
    default = type(board)("A")
    for name in ("kind", "outline", "state", "length_m", "asked", "ready", "guess_low", "from_memory"):
        assert getattr(board, name) == getattr(default, name)
    assert board.found == {}


def test_two_cells_that_contradict_each_other(read):
    assert problems_of(read, "guess_low,guess_high", "80", "60")[1] == [
        'boards.csv, line 2, guess_low: "80": the low guess must lie between 0 and the high one (60 h). Mend one.'
    ]
    board, problems = problems_of(read, "promised_first,promised_last", "2026-05-02", "2026-05-01")
    assert problems == [
        (
            'boards.csv, line 2, promised_last: "2026-05-01": promised_last lies before promised_first (2026-05-02). '
            "Swap the two, or correct one."
        )
    ]
    assert (board.promised_first, board.promised_last) == (None, None)
    for came in ("asked", "quoted", "accepted"):
        board, problems = problems_of(read, f"{came},promised_last", "2026-05-02", "2026-05-01")
        assert problems == [
            (
                f'boards.csv, line 2, promised_last: "2026-05-01": promised_last lies before {came} (2026-05-02). '
                "Correct one of the two."
            )
        ]
        assert (board.promised_first, board.promised_last) == (None, None)
        board, problems = problems_of(read, f"{came},promised_last", "2026-05-02", "2026-05-02")
        assert (problems, board.promised_last) == ([], dt.date(2026, 5, 2))
    board, problems = problems_of(
        read, "asked,accepted,promised_last", "2026-04-01", "2026-05-02", "2026-05-01"
    )
    assert len(problems) == 1
    board, problems = problems_of(read, "found_infills,later_infills", "2", "3")
    assert problems == [
        (
            'boards.csv, line 2, later_infills: "3": more was added than there was in all (found_infills is 2). '
            "Count what was added in found_infills too."
        )
    ]
    assert (board.found, board.later) == ({"infills": 2.0}, {})


def test_dates_out_of_order_are_named_with_the_date_that_they_contradict(read):
    board, problems = problems_of(
        read, "asked,quoted,accepted,started", "2026-05-01", "2026-03-03", "2026-03-04", "2026-03-01"
    )
    assert problems == [
        'boards.csv, line 2, asked: "2026-05-01": asked lies after quoted (2026-03-03). Correct one of the two.',
        'boards.csv, line 2, started: "2026-03-01": started lies before accepted (2026-03-04). Correct one of the two.',
    ]
    assert (board.asked, board.started, board.quoted) == (None, None, day("2026-03-03"))
    assert board.state == "on bench"


def test_a_guess_may_be_a_range_in_one_cell(read):
    board, problems = problems_of(read, "guess", "60-80 h")
    assert (board.guess_low, board.guess_high, problems) == (60.0, 80.0, [])


@pytest.mark.parametrize(
    ("cell", "grade"),
    [
        ("dry", 0),
        ("Damp", 1),
        ("wet", 2),
        ("SOAKED", 3),
        ("yes", 3),
        ("no", 0),
        ("2", 2),
        ("none", 0),
        ("-", 0),
    ],
)
def test_a_condition_is_read_by_its_word_its_number_or_yes_and_no(read, cell, grade):
    board, problems = problems_of(read, "assessed_wetness", cell)
    assert (board.assessed["wetness"], problems) == (grade, [])


@pytest.mark.parametrize("cell", ["same", "Same.", "as thought", "just as I thought", "="])
def test_a_found_value_may_be_confirmed_in_a_word(read, cell):
    board, problems = problems_of(
        read, "assessed_infills,found_infills,assessed_wetness,found_wetness", "2", cell, "wet", cell
    )
    assert (board.found, problems) == ({"infills": 2.0, "wetness": 2.0}, [])


def test_a_question_mark_or_a_dash_says_nothing_where_no_quantity_stands(read):
    board, problems = problems_of(
        read, "length,ready,price_quoted,guess,kind,called", "?", "-", "–", "?", "—", "?"
    )
    assert problems == []
    assert (board.length_m, board.ready, board.price_quoted, board.guess, board.kind, board.called) == (
        None,
    ) * 4 + ("", "")


def test_a_ready_date_that_cannot_be_read_still_says_that_the_board_is_ready(read):
    board, problems = problems_of(read, "ready", "03/04/2026")
    assert (board.ready, board.state, len(problems)) == (None, "finished", 1)
    assert problems_of(read, "ready", "not yet")[0].state == "asked"


@pytest.mark.parametrize(
    ("cells", "guess"),
    [
        ("10,10,", (10, 10)),
        ("10,20,", (10, 20)),
        ("20,10,", (None, None)),
        ("0,10,", (None, None)),
        ("10,,", (None, None)),
        (",,0", (None, None)),
        (",,15", (15, 15)),
        ("20,10,15", (15, 15)),
    ],
)
def test_a_guess_of_two_ends(read, cells, guess):
    found = read(boards=f"board,guess_low,guess_high,guess\nA,{cells}\n")
    assert (found.log.boards[0].guess_low, found.log.boards[0].guess_high) == guess
    assert bool(found.problems) is (cells in {"20,10,", "0,10,", "10,,", ",,0", "20,10,15"})


@pytest.mark.parametrize(
    ("cells", "found"),
    [
        ("finished,20,,", {"infills": 3, "logos": 0}),
        ("on bench,20,,", {"infills": 3}),  # it is not over yet
        ("finished,,,", {"infills": 3}),  # its hours are not written in all
        ("finished,20,,2", {"infills": 3}),  # it was looked at before
        (",20,2026-03-01,", {"infills": 3, "logos": 0}),
    ],
)
@pytest.mark.parametrize("over", ["ready", "collected"])
def test_an_empty_cell_of_a_board_that_is_over_says_none(read, cells, found, over):
    board = read(
        boards=f"board,state,total_hours,{over},assessed_infills,found_infills\nA,{cells},3\n"
    ).log.boards[0]
    assert {name: much for name, much in board.found.items() if name in {"infills", "logos"}} == found


def test_a_day_to_come_has_not_happened(read):
    board, problems = problems_of(read, "started,ready", "2026-09-01", "2026-10-03")
    assert (board.state, board.ready, len(problems)) == ("on bench", None, 1)


@pytest.mark.parametrize(("alone", "other"), [("guess_low", "guess_high"), ("guess_high", "guess_low")])
@pytest.mark.parametrize("dash", ["", "-", "?"])
def test_one_end_of_a_guess_beside_nothing_is_said_and_beside_what_is_no_time_is_not_said_twice(
    read, alone, other, dash
):
    assert problems_of(read, f"{alone},{other}", "5", dash)[1] == [
        f'boards.csv, line 2, {alone}: "5": there is no {other} beside it. Add {other}, or write it as guess.'
    ]
    (said,) = problems_of(read, f"{alone},{other}", "5", "soon")[1]
    assert said.startswith(f'boards.csv, line 2, {other}: "soon"')


@pytest.mark.parametrize(
    ("looked", "found", "later", "kept", "said"),
    [
        ("2", "", "-2", {"infills": -2.0}, ""),  # all of it
        ("2", "", "-3", {}, "-3: more was taken off than there was (assessed_infills is 2)"),
        ("", "", "-1", {}, "-1: more was taken off than there was (assessed_infills is not known)"),
        ("?", "", "-1", {}, "-1: more was taken off than there was (assessed_infills is not known)"),
        ("2", "5", "5", {"infills": 5.0}, ""),  # all of it
        ("2", "5", "5.5", {}, "5.5: more was added than there was in all (found_infills is 5)"),
    ],
)
def test_the_owner_takes_off_what_there_was_and_adds_what_turned_out_at_most(
    read, looked, found, later, kept, said
):
    board, problems = problems_of(read, "assessed_infills,found_infills,later_infills", looked, found, later)
    assert board.later == kept
    cell, _, wrong = said.partition(": ")
    cure = (
        "Count what was added in found_infills too."
        if "added" in said
        else "Write in assessed_infills how much there was before."
    )
    assert problems == ([f'boards.csv, line 2, later_infills: "{cell}": {wrong}. {cure}'] if said else [])

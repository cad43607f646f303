"""Rows of notes and of money: what is read, and the whole text of what is wrong."""

import datetime as dt

import pytest

from estimator.words.records import MoneyLine, Note

BOARDS = "board,called\n26-001,red nine-four\n26-002,green fish\n26-003,\n"
MONEY = "date,in,out,what,boards,note\n"
DAY = dt.date(2026, 3, 2)


def money_of(read, row):
    """The one line of money read of a row that follows its day, or None, and what is said of the sheet."""
    found = read(boards=BOARDS, money=f"{MONEY}2026-03-02,{row}\n")
    [line] = found.log.money or [None]
    return line, [problem for problem in found.problems if problem.startswith("money.csv")]


def test_notes_of_a_board_and_of_the_shop(read):
    found = read(
        boards=BOARDS,
        notes="board,date,note,photo\n"
        'Red Nine-Four,2026-03-02,"three of white,\none of blue",mix.jpg\n'
        "shop,2026-03-03,new hardener is slow,\n,2026-03-04,,drum.png\n",
    )
    assert found.problems == []
    assert [(n.board, n.date.day, n.text, n.photo) for n in found.log.notes] == [
        ("26-001", 2, "three of white, one of blue", "mix.jpg"),
        ("shop", 3, "new hardener is slow", ""),
        ("shop", 4, "", "drum.png"),
    ]
    assert found.log.notes[0] == Note(
        "26-001", DAY, "three of white, one of blue", "mix.jpg", found.log.notes[0].where
    )
    assert str(found.log.notes[0].where) == "notes.csv, line 2"


def test_what_is_wrong_with_notes(read):
    found = read(
        boards=BOARDS,
        notes="board,date,note\n26-009,2026-03-02,blue\n26-001,soon,blue\n26-001,2026-03-02,\n26-001,,blue\n",
    )
    assert found.log.notes == ()
    assert found.problems == [
        'notes.csv, line 2, board: "26-009": no board has this id or short name. The nearest is 26-003.',
        'notes.csv, line 3, date: "soon": that is not a date that can be read. Write it as 2026-06-12 or 12 June 2026.',
        "notes.csv, line 4, note: nothing is noted. Write the note, or take the row out.",
        "notes.csv, line 5, date: no date is written. Write the day.",
    ]


@pytest.mark.parametrize(
    ("row", "came_in", "went_out", "what", "boards"),
    [
        ("350,,deposit,26-001,", 350.0, 0.0, "deposit", ("26-001",)),
        ('"1,350.50",,Part payment,green fish,', 1350.5, 0.0, "payment", ("26-002",)),
        ("100,,,26-003,", 100.0, 0.0, "payment", ("26-003",)),
        (",45.25,given back,26-001,", 0.0, 45.25, "refund", ("26-001",)),
        ("0,45.25,Returned,26-001,", 0.0, 45.25, "refund", ("26-001",)),
        (",200,Materials,26-001; green fish,26-003", 0.0, 200.0, "materials", ("26-001", "26-002")),
        (',200,,"26-003,26-001",', 0.0, 200.0, "materials", ("26-003", "26-001")),
        (",200,white pigment,26-001;26-001,", 0.0, 200.0, "white pigment", ("26-001",)),
        (",450,rent and power,,", 0.0, 450.0, "rent", ()),
        (",450,rent,shop,", 0.0, 450.0, "rent", ()),
        (",85,sander,-,", 0.0, 85.0, "sander", ()),
        ("40,,materials,26-001;26-002,", 40.0, 0.0, "materials", ("26-001", "26-002")),
        ("40,,old racks sold,,", 40.0, 0.0, "old racks sold", ()),
    ],
)
def test_a_row_of_money(read, row, came_in, went_out, what, boards):
    line, problems = money_of(read, row)
    assert problems == []
    assert line == MoneyLine(DAY, came_in, went_out, what, boards, row.rpartition(",")[2], line.where)


@pytest.mark.parametrize(
    ("row", "said"),
    [
        ("1,2,rent,,", 'out: "2": money both came in and went out in this row. Write two rows.'),
        (
            ",,rent,,",
            "in: no money is written. Write what came in under in, or what went out under out.",
        ),
        (
            ",2.0057,rent,,",
            'out: "2.0057": money has two decimals. Write it to the last coin, as 12.50.',
        ),
        (
            ",20,,,",
            (
                "what: what it was for is not written. "
                "Write deposit, payment, refund, materials, rent, or your own words."
            ),
        ),
        (
            ",20,deposit,26-001,",
            'out: "20": a deposit is money in. Move it under in, or write refund for what you gave back.',
        ),
        (
            "20,,refund,26-001,",
            (
                'in: "20": a refund is money out. '
                "Move it under out; what a supplier gave back is materials under in."
            ),
        ),
        (
            ",20,rent,26-001,",
            'boards: "26-001": rent is for no board. Leave the boards empty, or write what else it was for.',
        ),
        (
            "20,,,26-001; 26-002,",
            (
                "what: what it was for is not written. "
                "Write deposit, payment, refund, materials, rent, or your own words."
            ),
        ),
        ("20,,deposit,,", "boards: no board is named. Name the board."),
        (
            "20,,payment,26-001; 26-002,",
            'boards: "26-001; 26-002": only what you spent is split between boards. Write one row for each board.',
        ),
        (
            ",20,resin,26-001; 26-009,",
            'boards: "26-001; 26-009": no board has this id or short name. The nearest is 26-003.',
        ),
        (",90,total,,", 'what: "total": a sum is no entry. Take the row out.'),
        (",90,,Sum,", 'boards: "Sum": a sum is no entry. Take the row out.'),
        (",90,so,Sum,", 'what: "so": a sum is no entry. Take the row out.'),
        (
            ",-20,rent,,",
            'out: "-20": that is less than nothing. Write what was paid or asked, without a minus.',
        ),
    ],
)
def test_what_is_wrong_with_a_row_of_money(read, row, said):
    assert money_of(read, row) == (None, [f"money.csv, line 2, {said}"])


def test_a_name_with_a_comma_in_it_is_one_board(read):
    found = read(
        boards='board,called\n26-001,"red, long"\n', money=f'{MONEY}2026-03-02,,20,resin,"Red, long",\n'
    )
    assert (found.problems, found.log.money[0].boards) == ([], ("26-001",))


def test_a_day_to_come_and_a_sheet_without_a_column(read):
    found = read(boards=BOARDS, money=f"{MONEY}2027-03-02,,450,rent,,\n")
    assert found.problems == [
        'money.csv, line 2, date: "2027-03-02": that day is still to come (today is 2026-10-02). Correct the date.'
    ]
    found = read(boards=BOARDS, money="date,in,what\n2026-03-02,20,racks\n")
    assert found.problems == ["money.csv, line 1: there is no column “out”. Add a column with the name out."]


def test_without_boards_what_is_on_none_stays(read):
    found = read(
        money=f"{MONEY}2026-03-02,,450,rent,,\n2026-03-02,20,,deposit,26-001,\n",
        notes="board,date,note\n,2026-03-02,mix\n26-001,2026-03-02,laps\n",
    )
    assert found.problems == [
        "money.csv: 1 row on boards, and there is no sheet of boards. Write one row for each board in boards.csv.",
        "notes.csv: 1 row on boards, and there is no sheet of boards. Write one row for each board in boards.csv.",
    ]
    assert [line.what for line in found.log.money] == ["rent"]
    assert [note.text for note in found.log.notes] == ["mix"]


@pytest.mark.parametrize("kind", ["xlsx", "ods", "beside"])
def test_sheets_of_a_spreadsheet_say_the_same_as_csv(read, write_xlsx, write_ods, tmp_path, kind):
    money = [["Date", "In", "Out", "What", "Boards"], [DAY, 350.5, None, "deposit", "26-001"]]
    notes = [["board", "date", "note"], ["green fish", DAY, "two laps at the tail"]]
    csv = {
        "money": f"{MONEY}2026-03-02,350.5,,deposit,26-001,\n",
        "notes": "board,date,note\n26-002,2026-03-02,two laps at the tail\n",
    }
    typed = read(boards=BOARDS, **csv).log
    for file in tmp_path.glob("*.csv"):
        file.unlink()
    boards = {"boards": [line.split(",") for line in BOARDS.splitlines()]}
    if kind == "beside":
        write_xlsx(boards)
        found = read(**csv)
    else:
        (write_xlsx if kind == "xlsx" else write_ods)({**boards, "money": money, "notes": notes})
        found = read()
    assert found.problems == []
    same = [(line.came_in, line.what, line.boards) for line in found.log.money]
    assert (
        same
        == [(line.came_in, line.what, line.boards) for line in typed.money]
        == [(350.5, "deposit", ("26-001",))]
    )
    assert [note.text for note in found.log.notes] == [note.text for note in typed.notes] != []


@pytest.mark.parametrize(
    ("cells", "what"),
    [
        ("5,,,A", "payment"),
        (",5,,A", "materials"),
        (",5,,A; B", "materials"),
        ("5,,,A; B", None),  # what it was for is not written
        ("5,,cloth,A; B", None),  # only what was spent is split
        ("5,,materials,A; B", "materials"),  # a supplier gave it back
        (",5,cloth,A; B", "cloth"),
        ("5,,payment,A; B", None),
        ("5,,deposit,A; B", None),
        (",5,refund,A; B", None),
        ("5,,deposit,", None),
        ("5,,payment,", None),
        (",5,payment,A", None),
        ("5,,,", None),
        (",5,,", None),
        (",5,rent,", "rent"),
        (",5,rent,A", None),
        (",5,refund,", None),
        (",5,refund,A", "refund"),
        ("5,,refund,A", None),
        (",5,deposit,A", None),
        ("5,5,payment,A", None),
        ("0,,payment,A", None),
    ],
)
def test_what_money_was_for_is_said_or_can_be_told(read, cells, what):
    found = read(boards="board\nA\nB\n", money=f"date,in,out,what,boards\n2026-03-02,{cells}\n")
    assert [line.what for line in found.log.money] == ([what] if what else [])
    assert bool(found.problems) is (what is None)

"""What owners were told: kept as said, judged on the first telling, and written without touching what is there."""

import datetime as dt
import os
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from estimator.log.columns import names_of_sheets
from estimator.log.csv_tables import read_csv, with_row
from estimator.log.edits import (
    OwnRow,
    cells_of,
    checked,
    keep_telling,
    own_row,
    refuse_what_is_no_telling,
    row_at,
)
from estimator.log.parse.cells import DASHES, Row, one_line
from estimator.log.parse.entries import Ids, told_of
from estimator.log.store import FileStore
from estimator.log.tables import RawLog, RawSheet
from estimator.log.tellings import days_asked_for, first_tellings, of_dates, of_hours, with_rows
from estimator.words.errors import UsageError
from estimator.words.problems import NOWHERE, Place
from estimator.words.records import BECAUSE, PAID_BY, Board, Told
from estimator.words.settings.schema import Settings

DAY = dt.timedelta(days=1)
NOON = dt.datetime(2026, 6, 4, 12, tzinfo=dt.UTC)
MAY, JUNE, JULY = (dt.date(2026, month, 4) for month in (5, 6, 7))


def told(date=MAY, because="", board="26-014", **more):
    return Told(board, date, because=because, **more)


def test_only_the_first_telling_of_a_board_is_judged():
    first, other = told(because="quote"), told(JUNE, board="26-015")
    later = [told(JUNE, why) for why in ("hidden work", "late", "quote", "")]

    assert first_tellings([first, *later, other]) == {"26-014": first, "26-015": other}


def test_of_a_change_that_the_owner_asked_for_only_what_it_adds_is_excused():
    """Told by 4 July; hidden work takes two months; a wish that adds three days is told as by 11 September."""
    first = told(last=JULY, hours_low=20.0, hours_high=30.0)
    wish = told(JUNE, "asked later", last=JULY + 69 * DAY, adds_hours=2.5, adds_days=3)
    judged = replace(first, last=JULY + 3 * DAY, hours_low=22.5, hours_high=32.5)

    assert first_tellings([first, told(JUNE, "late", last=JULY + 60 * DAY), wish]) == {"26-014": judged}
    assert first_tellings([first, replace(wish, adds_hours=None, adds_days=None)]) == {"26-014": first}
    assert first_tellings([wish]) == {"26-014": wish}


def test_a_wish_that_is_told_again_is_not_excused_twice_and_one_more_is():
    first, wish = told(last=JULY), told(JUNE, "asked later", adds_days=3)
    more = told(JULY, "asked later", adds_days=8)  # of both

    assert first_tellings([first, wish, wish])["26-014"].last == JULY + 3 * DAY
    assert first_tellings([first, more, wish])["26-014"].last == JULY + 8 * DAY
    assert days_asked_for([first, wish, more, told(JULY, "late", adds_days=90)]) == {"26-014": 8}
    assert days_asked_for([first, told(JUNE, "asked later")]) == {}


def test_a_wish_moves_a_day_that_was_first_told_apart_from_hours():
    hours, dates = told(hours_low=20.0, hours_high=30.0), told(JUNE, "late", last=JULY)
    wish = told(JUNE, "asked later", adds_days=2)

    assert first_tellings([hours, dates, wish], of_dates)["26-014"] == replace(dates, last=JULY + 2 * DAY)
    assert first_tellings([hours, dates, wish], of_hours)["26-014"] == hours


def test_the_day_counts_and_not_the_place_in_the_file():
    first, changed = told(because="quote"), told(JUNE, "asked later", adds_hours=1.0)

    assert first_tellings([told(JULY, "late"), changed, first]) == {"26-014": first}
    assert first_tellings([told(JULY, "late"), first]) == {"26-014": first}


def test_of_one_day_the_earlier_row_was_told_first():
    one, two = told(price=700.0), told(price=800.0)

    assert first_tellings([one, two]) == {"26-014": one}
    assert first_tellings([two, one]) == {"26-014": two}
    assert first_tellings([]) == {}


ROW = Board("26-014", quoted=MAY, promised_last=JULY)


@pytest.mark.parametrize(
    ("row", "later", "judged"),
    [
        (ROW, [told(JUNE, "late", last=JULY + 60 * DAY)], JULY),
        (ROW, [told(JUNE, "quote", last=JULY + 60 * DAY)], JULY),  # of a later day than the quote
        (replace(ROW, quoted=None, accepted=MAY), [told(JUNE, "quote", last=JULY + 60 * DAY)], JULY),
        (replace(ROW, quoted=None), [told(JUNE, "late", last=JULY + 60 * DAY)], JULY),
        (ROW, [told(MAY, "quote", last=JULY + 60 * DAY)], JULY + 60 * DAY),  # kept on the day of the quote
        (replace(ROW, quoted=None), [told(JUNE, "quote", last=JULY + 60 * DAY)], JULY + 60 * DAY),
        (ROW, [told(JUNE, "asked later", last=JULY + 9 * DAY, adds_days=4)], JULY + 4 * DAY),
        (ROW, [told(JUNE, "late", price=900.0)], JULY),  # no day was spoken of
        (ROW, [], JULY),
        # told at the quote and before it was taken on: both are not known, and the quote is the earlier
        (replace(ROW, accepted=JUNE + DAY), [told(JUNE, "quote", last=JULY + 60 * DAY)], JULY),
        (replace(ROW, quoted=JUNE, accepted=MAY), [told(JUNE, "quote", last=JULY + 9 * DAY)], JULY + 9 * DAY),
        (replace(ROW, quoted=JULY), [told(JUNE, "late", last=JULY + 60 * DAY)], JULY),
        (ROW, [told(JUNE, "", last=JULY), told(JULY, "late", last=JULY + 9 * DAY)], JULY),
        (replace(ROW, promised_last=None), [told(JUNE, "late", last=JULY)], JULY),
    ],
)
def test_the_day_in_a_boards_own_row_was_told_first_where_nobody_kept_it(row, later, judged):
    said = with_rows(later, [row])
    assert first_tellings(said, of_dates)["26-014"].last == judged
    assert [one for one in said if one in later] == later


BOARDS = "board,called,accepted,state,ready,promised_first,promised_last,note\n"
ROWS = 'A,red,2026-05-01,,,,,"two\nlines"\nB,tan,2026-05-01,,,,,\n'
HEADER = "board,date,hours_low,hours_high,price,terms,first,last,odds,because,paid_by,adds_hours,adds_days,struck_out\n"
FULL = told(JUNE, "late", "A", hours_low=55, hours_high=80.25, price=1795, terms="fixed", odds=0.9)
DATED = told(JUNE, "quote", "A", first=JULY, last=JULY + 3 * DAY)


def keep(read, tmp_path, shop, telling):
    """A telling checked and written into the files that a test has made, and what is read then."""
    log = read().log
    earlier = [one for one in log.told if one.board == telling.board]
    board = log.by_id[telling.board]
    store = FileStore(tmp_path, shop)
    row = own_row(store.read()[0], shop, board)
    return keep_telling(store, row, checked(telling, board, earlier), board, earlier, NOON), read()


def plain(log):
    return [replace(row, where=NOWHERE) for row in log.told]


def test_the_first_row_comes_with_the_names_of_all_columns(read, tmp_path, shop):
    read(boards=BOARDS + ROWS)
    kept, after = keep(read, tmp_path, shop, FULL)

    assert (tmp_path / "told.csv").read_text(
        "utf-8"
    ) == HEADER + "A,2026-06-04,55,80.25,1795,fixed,,,0.9,late,,,,\n"
    assert plain(after.log) == [FULL]
    assert after.problems == []
    assert (kept.told, kept.judged, kept.name, kept.file) == (FULL, FULL, "red", tmp_path / "told.csv")
    assert kept.as_dict() == {
        "board": "A",
        "date": JUNE.isoformat(),
        "hours_low": 55,
        "hours_high": 80.25,
        "price": 1795,
        "terms": "fixed",
        "first": None,
        "last": None,
        "odds": 0.9,
        "because": "late",
        "paid_by": None,
        "adds_hours": None,
        "adds_days": None,
        "file": str(tmp_path / "told.csv"),
        "judged": True,
        "judged_last": None,
        "promised": [],
        "notes": [],
    }


def test_rows_that_are_there_stay_as_they_were_written(read, tmp_path, shop):
    old = b'\xef\xbb\xbfprice;board;terms;Day;odds;low;high;because;last;first\r\n1.800,50;a;"as; said";4 May 2026;;;;Quote;;\r\n'
    read({"Told.CSV": old}, boards=BOARDS + ROWS)
    kept, after = keep(read, tmp_path, shop, replace(DATED, because="hidden work", price=0.5))

    assert (
        tmp_path / "Told.CSV"
    ).read_bytes() == old + b"0.5;A;;2026-06-04;;;;hidden work;2026-07-07;2026-07-04\r\n"
    assert [one.date for one in after.log.told] == [MAY, JUNE]
    assert after.problems == []
    assert kept.judged.date == MAY
    assert kept.promised == ()
    assert not kept.as_dict()["judged"]


def test_a_column_that_is_wanted_is_begun(read, tmp_path, shop):
    read(boards=BOARDS + ROWS, told="board,date,price,because\nA,2026-05-04,1800,quote\n")
    kept, after = keep(read, tmp_path, shop, FULL)

    head, first, _ = (tmp_path / "told.csv").read_text("utf-8").splitlines()
    assert head == "board,date,price,because,hours_low,hours_high,terms,odds"
    assert first == "A,2026-05-04,1800,quote,,,,"
    assert plain(after.log)[1] == replace(kept.told, where=NOWHERE)


def test_an_older_file_gets_the_columns_of_what_a_wish_adds(read, tmp_path, shop):
    read(boards=BOARDS + ROWS)
    keep(read, tmp_path, shop, DATED)
    file = tmp_path / "told.csv"
    old = [line.removesuffix(",,,") for line in file.read_text("utf-8").splitlines()]
    old[0] = old[0].removesuffix(",adds_hours,adds_days,struck_out")
    file.write_text("\n".join(old) + "\n", "utf-8")
    later = replace(DATED, because="asked later", last=JULY + 9 * DAY, adds_days=2)
    kept, after = keep(read, tmp_path, shop, later)

    assert kept.notes == ()
    assert replace(kept.judged, where=NOWHERE) == replace(DATED, first=JULY + 2 * DAY, last=JULY + 5 * DAY)
    assert plain(after.log) == [DATED, later]


def test_the_dates_of_the_first_telling_go_into_the_board_s_row(read, tmp_path, shop):
    read(boards=BOARDS + ROWS)
    kept, after = keep(read, tmp_path, shop, DATED)

    assert (tmp_path / "boards.csv").read_text("utf-8") == BOARDS + ROWS.replace(
        'A,red,2026-05-01,,,,,"two', 'A,red,2026-05-01,,,2026-07-04,2026-07-07,"two'
    )
    assert kept.promised == ("promised_first", "promised_last")
    assert (after.log.boards[0].promised_first, after.log.boards[0].promised_last) == (JULY, JULY + 3 * DAY)
    assert after.log.boards[1].promised_last is None
    assert after.problems == []

    once = (tmp_path / "boards.csv").read_bytes()
    later = replace(DATED, because="asked later", last=JULY + 9 * DAY, adds_hours=3.5, adds_days=2)
    kept, after = keep(read, tmp_path, shop, later)
    assert (tmp_path / "boards.csv").read_bytes() == once
    judged = replace(DATED, first=JULY + 2 * DAY, last=JULY + 5 * DAY)
    assert (kept.promised, replace(kept.judged, where=NOWHERE)) == ((), judged)
    assert plain(after.log) == [DATED, later]


@pytest.mark.parametrize(
    ("boards", "changed", "promised", "note"),
    [
        (
            "board,promised_first,promised_last\nA,,2026-06-01\n",
            None,
            (),
            "The board's row in boards.csv has dates already, and keeps them.",
        ),
        (
            "board,promised_first,promised_last\nA,?,\n",
            None,
            (),
            "The board's row in boards.csv has dates already, and keeps them.",
        ),
        (
            "board\tpromised_last\r\nA\t\r\nB\t\r\n",
            "board\tpromised_last\r\nA\t2026-07-07\r\nB\t\r\n",
            ("promised_last",),
            "boards.csv has no column promised_first, and stays without.",
        ),
        (
            "board,called\nA,red\n",
            None,
            (),
            "boards.csv has no column promised_first or promised_last, and stays without.",
        ),
    ],
)
def test_dates_that_find_no_empty_cell_are_said(read, tmp_path, shop, boards, changed, promised, note):
    read(boards=boards)
    kept, after = keep(read, tmp_path, shop, DATED)

    assert (tmp_path / "boards.csv").read_bytes() == (changed or boards).encode()
    assert (kept.promised, kept.notes) == (promised, (note,))
    assert plain(after.log) == [DATED]


def test_a_first_day_in_the_row_is_kept_though_only_a_last_one_is_told(read, tmp_path, shop):
    boards = "board,promised_first,promised_last\nA,2026-06-01,\n"
    read(boards=boards)
    kept, _ = keep(read, tmp_path, shop, replace(DATED, first=None))

    assert (tmp_path / "boards.csv").read_text() == boards
    assert kept.notes == ("The board's row in boards.csv has dates already, and keeps them.",)


def test_dates_that_came_into_the_row_meanwhile_are_not_mixed_with_what_is_told(read, tmp_path, shop):
    boards = "board,promised_first,promised_last\nA,,\n"
    read(boards=boards)
    store, board = FileStore(tmp_path, shop), read().log.by_id["A"]
    row, telling = own_row(store.read()[0], shop, board), replace(DATED, first=None)
    read(boards=boards.replace("A,,", "A,2026-06-01,"))

    with pytest.raises(UsageError, match=r"boards\.csv was changed meanwhile"):
        keep_telling(store, row, checked(telling, board, []), board, [], NOON)
    assert not (tmp_path / "told.csv").exists()


def test_without_dates_the_boards_are_not_touched(read, tmp_path, shop):
    read(boards="board\nA\n")
    kept, _ = keep(read, tmp_path, shop, FULL)

    assert (kept.promised, kept.notes) == ((), ())


def test_a_board_without_a_number_of_its_own_is_found_by_its_row(read, tmp_path, shop):
    read(boards="board,called,asked,promised_last\n26-001,red,,\n,tan,2026-05-01,\n")
    kept, after = keep(read, tmp_path, shop, replace(DATED, board="26-002", first=None))

    assert (tmp_path / "boards.csv").read_text() == (
        "board,called,asked,promised_last\n26-001,red,,\n,tan,2026-05-01,2026-07-07\n"
    )
    assert (kept.name, kept.promised) == ("tan", ("promised_last",))
    assert after.problems == []


def test_a_spreadsheet_stays_and_the_row_goes_beside_it(read, tmp_path, shop, write_xlsx):
    boards = [["board", "called", "promised_last"], ["A", "red", None], ["B", "tan", None]]
    sheet = [["board", "date", "because"], ["B", MAY, "quote"]]
    write_xlsx({"boards": boards, "told": sheet})
    book = (tmp_path / "log.xlsx").read_bytes()
    stays = "log.xlsx stays as it is; the row is in told.csv beside it."

    kept, after = keep(read, tmp_path, shop, DATED)
    assert kept.notes == (
        stays,
        "Put the dates into promised_first and promised_last of the board's row there yourself.",
    )
    kept, after = keep(read, tmp_path, shop, replace(DATED, board="B", because="late"))
    assert (kept.notes, kept.judged.date) == ((stays,), MAY)

    assert (tmp_path / "log.xlsx").read_bytes() == book
    assert [(one.board, one.because) for one in after.log.told] == [
        ("B", "quote"),
        ("A", "quote"),
        ("B", "late"),
    ]
    assert after.problems == []


def test_both_files_are_written_or_none(read, tmp_path, shop, monkeypatch):
    files = {"boards.csv": BOARDS + ROWS, "told.csv": HEADER}
    read(files)
    whole = os.replace

    def open_elsewhere(part, target):
        if Path(target).name == "boards.csv":
            raise PermissionError(13, "open in another program")
        return whole(part, target)

    monkeypatch.setattr(os, "replace", open_elsewhere)
    with pytest.raises(UsageError) as caught:
        keep(read, tmp_path, shop, DATED)
    assert str(caught.value) == (
        f"{tmp_path / 'told.csv'} cannot be written. "
        "Close it in other programs, and see whether you may write there."
    )
    assert {path.name: path.read_text("utf-8") for path in tmp_path.iterdir() if path.is_file()} == files


def test_a_boards_file_that_was_changed_meanwhile_is_not_written(read, tmp_path, shop):
    log = read(boards=BOARDS + ROWS).log
    store = FileStore(tmp_path, shop)
    row = own_row(store.read()[0], shop, log.boards[0])
    for boards in (BOARDS + ROWS.replace("A,", "C,"), BOARDS + "\n" + ROWS):
        (tmp_path / "boards.csv").write_text(boards, "utf-8")
        with pytest.raises(UsageError, match=r"boards\.csv was changed meanwhile\. Ask for it again\."):
            keep_telling(store, row, DATED, log.boards[0], [], NOON)
        assert not (tmp_path / "told.csv").exists()
        assert (tmp_path / "boards.csv").read_text("utf-8") == boards


@pytest.mark.parametrize(
    ("row", "said"),
    [
        ("A,red,,,2026-05-03,,,", "Red is ready, and there is nothing more to tell of it."),
        ("A,red,,finished,,,,", "Red is ready, and there is nothing more to tell of it."),
        ("A,red,,declined,,,,", "You said no to red, and there is nothing more to tell of it."),
        ("A,red,,withdrawn,,,,", "The owner of red dropped it, and there is nothing more to tell of it."),
    ],
)
def test_nothing_is_told_of_a_board_that_is_over(read, row, said):
    [board] = read(boards=f"{BOARDS}{row}\n").log.boards
    with pytest.raises(UsageError) as caught:
        checked(FULL, board, [])

    assert str(caught.value) == f"{said} If that is not so, mend its row on the boards sheet first."


@pytest.mark.parametrize("state", ["asked", "waiting", "on bench", "stopped"])
def test_every_other_board_may_be_told_of(state):
    assert checked(FULL, Board("A", state=state), []) == FULL


@pytest.mark.parametrize(
    ("more", "earlier", "said"),
    [
        (
            {"because": ""},
            [told(MAY)],
            (
                "The owner of red was told already, on Mon 4 May 2026. "
                "Say why you tell it anew: hidden work, asked later, late or quote."
            ),
        ),
        (
            {},
            [told(JULY), told(MAY)],
            (
                "The owner of red was told on Sat 4 July 2026, and no telling is put before another. "
                "Keep it under that day, as 2026-07-04, or a later one."
            ),
        ),
        (
            {"hours_low": 0, "hours_high": 0},
            [],
            "Zero hours can't be told. Write 55-80, or ? where hours were not spoken of.",
        ),
        (
            {"first": JULY + DAY, "last": JULY},
            [],
            "The last day, 2026-07-04, lies before the first, 2026-07-05. Swap the two.",
        ),
        ({"first": MAY}, [], "Mon 4 May 2026 is over on Thu 4 June 2026. Mend the date."),
        ({"last": MAY}, [], "Mon 4 May 2026 is over on Thu 4 June 2026. Mend the date."),
    ],
)
def test_what_cannot_have_been_told(more, earlier, said):
    with pytest.raises(UsageError) as caught:
        checked(replace(FULL, **more), Board("A", called="red"), earlier)
    assert str(caught.value) == said


def test_the_first_telling_is_a_quote_and_a_later_one_needs_its_reason():
    board, first = Board("A"), replace(FULL, board="red", because="")

    assert checked(first, board, []).because == "quote"
    assert checked(first, board, []).board == "A"
    assert checked(FULL, board, [told(JUNE)]).because == "late"
    assert checked(replace(FULL, terms=" as \n said "), board, []).terms == "as said"
    assert not checked(replace(FULL, terms="?"), board, []).terms


amounts = st.floats(0, 1e5) | st.integers(0, 400).map(lambda quarters: quarters / 4)
tellings = st.builds(
    Told,
    board=st.just("A"),
    date=st.dates(dt.date(2020, 1, 1), dt.date(2026, 6, 1)),
    hours_low=st.none() | amounts,
    hours_high=st.none() | amounts,
    price=st.none() | amounts | st.integers(0, 10**6).map(lambda thousandths: thousandths / 1000),
    terms=st.text(max_size=12).map(one_line).filter(lambda text: text.isprintable() and text not in DASHES),
    first=st.none() | st.dates(dt.date(2026, 6, 2), dt.date(2026, 7, 1)),
    last=st.none() | st.dates(dt.date(2026, 7, 2), dt.date(2026, 9, 1)),
    odds=st.none() | st.floats(0.5, 0.95),
    because=st.sampled_from(BECAUSE),
    paid_by=st.sampled_from(["", *PAID_BY]),
    adds_hours=st.none() | st.sampled_from([0.25, 3.5]),
    adds_days=st.none() | st.integers(0, 90).map(float),
).filter(lambda one: one.hours_low is None or one.hours_high is None or one.hours_low <= one.hours_high)


@given(tellings)
def test_what_is_written_reads_back_as_it_was_said(shop, said):
    cells = cells_of(said)
    data = with_row(HEADER.encode(), names_of_sheets(shop)["told"], "told.csv", cells)
    table, problems, _ = read_csv(data, names_of_sheets(shop)["told"], "told.csv")
    [(number, row)] = table.rows
    read = told_of(Row(table, number, table.named(row), problems, "iso", None, 6.5), Ids.of([Board("A")]))

    assert problems == []
    assert replace(read, where=NOWHERE) == said


@pytest.mark.parametrize(
    ("more", "said"),
    [
        (
            dict.fromkeys(["hours_low", "hours_high", "price", "first", "last"]) | {"terms": ""},
            "Neither hours, nor a price, nor a day is told. Say one of them.",
        ),
        (
            {"date": dt.date(2101, 1, 3), "first": None, "last": None},
            "Mon 3 January 2101 is in no log: days from 1950 to 2100 are read. Mend the year.",
        ),
        (
            {"first": None, "last": dt.date(2101, 1, 3)},
            "Mon 3 January 2101 is in no log: days from 1950 to 2100 are read. Mend the year.",
        ),
        (
            {"first": JULY + DAY, "last": JULY},
            "It is ready by 2026-07-04, which lies before the first day, 2026-07-05. Say both days, or neither.",
        ),
    ],
)
def test_what_is_no_telling_is_not_written(tmp_path, more, said):
    row = OwnRow(Place("boards.csv", row=2), {"board": "A"}, frozenset({"board"}))

    with pytest.raises(UsageError) as caught:
        keep_telling(FileStore(tmp_path), row, replace(FULL, **more), Board("A"), [], NOON)
    assert str(caught.value) == said
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(
    ("quoted", "accepted", "day"), [(MAY, MAY + DAY, MAY), (None, MAY, MAY), (JULY, None, JUNE)]
)
def test_a_day_that_stands_in_the_row_alone_was_told_with_the_quote_and_before_all_others(
    quoted, accepted, day
):
    row = Board("26-014", quoted=quoted, accepted=accepted, promised_last=JULY)
    said = with_rows([told(JUNE, "late", last=JULY + DAY)], [row])
    assert [(one.date, one.last) for one in said] == [(day, JULY), (JUNE, JULY + DAY)]


def test_days_that_wishes_add_are_whole_days_and_the_most_of_them():
    first = told(MAY, last=JULY, hours_high=9)
    wishes = [told(JUNE, "asked later", adds_days=much) for much in (4.6, 3.0)]
    assert first_tellings([first, *wishes])["26-014"].last == JULY + 5 * DAY
    assert days_asked_for([first, *wishes]) == {"26-014": 5}
    assert days_asked_for([told(JUNE, "asked later", adds_days=0.0)]) == {"26-014": 0}
    assert days_asked_for([first, told(JUNE, "asked later"), told(JUNE, "late", adds_days=2.0)]) == {}
    assert not of_hours(first)
    assert not of_hours(told(MAY, hours_low=9))


def test_one_hour_and_one_day_are_told_as_well_as_several():
    said = told(JUNE, hours_low=0.5, hours_high=1, first=JULY, last=JULY)
    assert checked(said, Board("26-014"), []) == replace(said, because="quote")
    refuse_what_is_no_telling(said)
    for alone in (
        {"hours_low": 1},
        {"hours_low": 0.0},
        {"price": 0.0},
        {"terms": "fixed"},
        {"first": JULY},
        {"last": JULY},
    ):
        refuse_what_is_no_telling(told(JUNE, **alone))
    with pytest.raises(UsageError, match="Mend the year"):
        refuse_what_is_no_telling(told(JUNE, first=dt.date(2101, 1, 3)))


def test_a_row_is_taken_from_the_sheet_that_its_place_names():
    """The same sheet stands in a spreadsheet and in a file beside it."""
    rows = [(1, ["board", "date", "price"]), (2, ["A", "2026-05-04", "9"])]
    beside = [(1, ["board", "date", "price"]), (2, ["B", "2026-05-05", "7"])]
    raw = RawLog(
        (
            RawSheet("told", Place("log.xlsx", "told"), rows, 0),
            RawSheet("told", Place("told.csv"), beside, 0),
        )
    )
    assert row_at(raw, Settings(), "told", Place("told.csv", row=2)).cells["board"] == "B"
    assert row_at(raw, Settings(), "told", Place("log.xlsx", "told", row=2)).cells["board"] == "A"
    with pytest.raises(UsageError, match=r"told\.csv was changed meanwhile"):
        row_at(raw, Settings(), "told", Place("told.csv", row=3))


def test_an_owner_can_be_told_that_it_is_ready_today_and_not_that_it_was_yesterday():
    board = Board("26-014", accepted=MAY)

    assert checked(told(JUNE, last=JUNE), board, []).last == JUNE
    assert checked(told(JUNE, first=JUNE, last=JULY), board, []).first == JUNE
    for days in ({"last": JUNE - DAY}, {"first": JUNE - DAY, "last": JULY}):
        with pytest.raises(UsageError, match="Wed 3 June 2026 is over on Thu 4 June 2026"):
            checked(told(JUNE, **days), board, [])

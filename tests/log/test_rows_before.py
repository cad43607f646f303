"""Rows deleted at the end of a file between two readings: how many and which is said, and nothing is struck out."""

import pytest
import xlsxwriter
from making.folders import BOARDS, HOURS, folder

from estimator.log.cache import CACHE, sealed
from estimator.log.columns import names_of_sheets
from estimator.log.rows_before import ROWS, fewer_rows, fewer_words, row_names, rows_as_read
from estimator.log.tables import RawSheet
from estimator.shop import Shop
from estimator.words.problems import Place
from estimator.words.settings.schema import Settings

MORE = "26-001,2026-05-27,strip,2,\n26-002,2026-05-28,strip,1,\n26-002,2026-05-28,strip,1½,\n"

NAMES = names_of_sheets(Settings())


@pytest.fixture
def place(tmp_path):
    return folder(tmp_path / "shop", hours=HOURS + MORE)


def said(place):
    """The notes of rows that are gone, as a check says them."""
    return [note.sentence() for note in Shop.open(place).notes if "fewer" in note.wrong]


def test_rows_gone_at_the_end_are_counted_and_named_until_there_are_as_many_again(place):
    assert said(place) == []
    (place / "hours.csv").write_text(HOURS + MORE.splitlines(keepends=True)[0], "utf-8")
    [note] = said(place)
    assert note == (
        "hours.csv: 2 rows fewer than when it was read before: no longer there are 26-002 2026-05-28 (2). "
        "If they went by mistake, write them again. Nothing else was changed."
    )
    assert said(place) == [note]
    assert len(Shop.open(place).log.entries) == 3
    (place / "hours.csv").write_text(HOURS + MORE, "utf-8")
    assert said(place) == []


def test_a_board_goes_by_its_number_and_a_row_that_is_corrected_is_not_gone(place):
    said(place)
    (place / "boards.csv").write_text("\n".join(BOARDS.splitlines()[:-1]) + "\n", "utf-8")
    (place / "hours.csv").write_text(HOURS + MORE.replace("strip,2,", "strip,3,"), "utf-8")
    [note] = said(place)
    assert note.startswith("boards.csv: 1 row fewer than when it was read before: no longer there is 26-003.")


def test_rows_of_a_spreadsheet_go_by_their_sheet(place):
    def written(rows):
        with xlsxwriter.Workbook(place / "log.xlsx") as made:
            for name, lines in (("boards", BOARDS), ("hours", "\n".join(rows))):
                sheet = made.add_worksheet(name)
                for at, line in enumerate(lines.split("\n")):
                    sheet.write_row(at, 0, line.split(","))

    for file in ("boards.csv", "hours.csv"):
        (place / file).unlink()
    written((HOURS + MORE).splitlines())
    assert said(place) == []
    written((HOURS + MORE).splitlines()[:-1])
    [note] = said(place)
    assert note.startswith("log.xlsx, sheet hours: 1 row fewer than when it was read before")
    assert "no longer there is 26-002 2026-05-28." in note


@pytest.mark.parametrize("spoilt", [None, "spoilt", "[1]", '{"hours.csv": 3}', "{"])
@pytest.mark.parametrize("as_ours", [False, True])
def test_what_is_kept_may_be_lost_or_spoilt(place, spoilt, as_ours):
    said(place)
    file = place / CACHE / ROWS
    file.unlink()
    if spoilt is not None:
        file.write_bytes(sealed(file, spoilt) if as_ours else spoilt.encode())
    (place / "hours.csv").write_text(HOURS, "utf-8")
    assert said(place) == []


def test_a_folder_that_cannot_be_written_is_read_all_the_same(place, monkeypatch):
    def refused(*_args, **_more):
        raise OSError

    monkeypatch.setattr("estimator.log.cache.write_whole", refused)
    assert said(place) == []


@pytest.mark.parametrize(
    ("kind", "rows", "names"),
    [
        ("waits", [["from", "board"], ["2026-05-04", "A"], ["", "B"]], ["A 2026-05-04", "B"]),
        ("money", [["what", "boards", "date"], ["x", "A, B", "2026-05-04"]], ["A, B 2026-05-04"]),
        ("boards", [["called", "owner"], ["red", "Ann"], ["", "Ann"]], ["red", ""]),
        ("boards", [["called", "board"], ["red", "26-001"]], ["26-001"]),
        ("hours", [["date", "board"], ["2026-05-04"]], ["2026-05-04"]),
    ],
)
def test_a_row_goes_by_its_board_and_its_day(kind, rows, names):
    sheet = RawSheet(kind, Place(f"{kind}.csv"), list(enumerate(rows, 1)), 0)
    assert row_names(sheet, NAMES[kind]) == names
    assert row_names(RawSheet(kind, Place(f"{kind}.csv"), sheet.rows, -1), NAMES[kind]) == []


def hours_of(*days, file="hours.csv"):
    return RawSheet(
        "hours", Place(file), list(enumerate([["board", "date"], *(["A", day] for day in days)], 1)), 0
    )


def test_a_sheet_is_held_against_what_it_had_until_it_has_as_many_again(tmp_path):
    def notes(*sheets):
        return [(str(one.place), one.wrong.partition(":")[0]) for one in fewer_rows(tmp_path, sheets, NAMES)]

    other = hours_of("5", file="other.csv")
    fewer = "row fewer than when it was read before"
    assert notes(hours_of("1", "2"), other) == []
    assert notes(hours_of("1")) == [("hours.csv", f"1 {fewer}")]
    assert notes(hours_of("3")) == [("hours.csv", f"1 {fewer}")]  # other rows, and as few
    assert rows_as_read(tmp_path) == {"hours.csv": ["A 1", "A 2"], "other.csv": ["A 5"]}
    assert notes(hours_of("3", "4")) == []
    assert notes(hours_of("3", "4", "6"), other) == []
    assert notes(hours_of("3", "4")) == [("hours.csv", f"1 {fewer}")]


def test_five_are_named_and_the_others_counted():
    words = "rows fewer than when it was read before: no longer there are"
    assert fewer_words(list("abcde"), []) == f"5 {words} a, b, c, d, e"
    assert fewer_words(list("abcdefg"), []) == f"7 {words} a, b, c, d, e and 2 more"
    assert fewer_words(["a", "", "b"], ["b", "x"]).endswith("no longer there are a, a row without a name")
    assert fewer_words(["a", "b"], ["b"]).startswith("1 row fewer")

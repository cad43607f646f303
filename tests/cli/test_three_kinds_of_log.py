"""Commands that read answer the same from csv, a spreadsheet and a book of the same log, but for names of files."""

import csv
import io
import json
import re

import pytest
import xlsxwriter
from making.books import book, rows_in
from making.folders import BOARDS, HOURS, SETTINGS, folder

TOLD = "board,date,hours_low,hours_high,price,last,odds\n26-001,2026-05-04,8,14,900,2026-06-12,8/10\n"
WAITS = "board,from,until,for\n26-001,2026-05-28,,drying\n"
WEIGHTS = "board,date,weight\n26-001,2026-05-26,6.4 kg\n26-001,2026-05-28,13.9 lb\n"
PAST = "".join(f"26-{n:03d},old {n},2026-01-05,2026-01-12,finished,,{n % 3 + 1}\n" for n in range(10, 19))
WORKED = "".join(
    f"26-{n:03d},2026-0{2 + n % 3}-0{1 + n % 9},strip,{3 * (n % 3 + 1) + n % 2},yes\n" for n in range(10, 19)
)
SHEETS = {"boards": BOARDS + PAST, "hours": HOURS + WORKED, "told": TOLD, "waits": WAITS, "weights": WEIGHTS}


def spreadsheet(path):
    """The same rows in log.xlsx."""
    path.mkdir()
    (path / "workshop.toml").write_text(SETTINGS, "utf-8")
    with xlsxwriter.Workbook(str(path / "log.xlsx")) as made:
        for name, text in SHEETS.items():
            sheet = made.add_worksheet(name)
            for number, row in enumerate(csv.reader(io.StringIO(text))):
                sheet.write_row(number, 0, row)


@pytest.fixture(scope="module")
def shops(tmp_path_factory):
    """The same log in each kind."""
    top = tmp_path_factory.mktemp("kinds")
    folder(top / "csv", SETTINGS, **SHEETS)
    spreadsheet(top / "xlsx")
    book(top / "book", SETTINGS, **rows_in({f"{name}.csv": text for name, text in SHEETS.items()}))
    return {kind: top / kind for kind in ("csv", "xlsx", "book")}


FILES = re.compile(r"log\.xlsx|book\.sqlite|(?:boards|hours|told|waits|weights)\.csv")


def without_files(found):
    """JSON without what names a file, or where in it something stands."""
    if isinstance(found, dict):
        return {key: without_files(value) for key, value in found.items() if key not in {"where", "source"}}
    if isinstance(found, list):
        return [
            without_files(one)
            for one in found
            if not FILES.search(json.dumps(one)) or not isinstance(one, str)
        ]
    return found


@pytest.mark.parametrize(
    "words",
    [
        ["range", "club board"],
        ["range", "-q", "area=3", "--over", "20"],
        ["bench"],
        ["weigh", "green fish", "--price", "900"],
        ["overruns"],
        ["looks"],
        ["rules"],
        ["quarter", "2026-Q2"],
    ],
    ids=" ".join,
)
def test_a_command_says_the_same_of_each(run, shops, words):
    said = {
        kind: json.loads(run(*words, "--json", "--shop", shop, "--today", "2026-06-01").stdout)
        for kind, shop in shops.items()
    }
    assert without_files(said["book"]) == without_files(said["csv"])
    assert without_files(said["xlsx"]) == without_files(said["csv"])


def test_check_counts_the_same_and_has_no_problems(run, shops):
    said = {kind: json.loads(run("check", "--json", "--shop", shop).stdout) for kind, shop in shops.items()}
    assert {(kept["boards"], kept["hours_rows"], len(kept["problems"])) for kept in said.values()} == {
        (12, 11, 0)
    }

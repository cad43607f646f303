"""Spreadsheets of people who never saw ours, written by hand and by rule, with what each of them says."""

import csv
import datetime as dt
import io
from dataclasses import dataclass, field

from estimator.log.exchange.rows import SheetOut
from estimator.log.exchange.writing import ods_of

D = dt.date


@dataclass(frozen=True)
class Stranger:
    """A file and what it says.

    name: of the file; sheets: by title rows of cells; sums: rows that sum others up
    ours: what each column is; asks: the keys of the questions that it asks first; answers: to all, by their keys
    boards, hours: what is read at last, some columns of it
    """

    name: str
    sheets: dict[str, list[list[object]]]
    ours: dict[str, str]
    asks: set[str] = field(default_factory=set)
    answers: dict[str, str] = field(default_factory=dict)
    boards: list[tuple[object, ...]] = field(default_factory=list)
    hours: list[tuple[object, ...]] = field(default_factory=list)
    separator: str = ","
    sums: int = 0

    def data(self) -> bytes:
        """The bytes of the file."""
        return data_of(self.name, self.sheets, self.separator)


def data_of(name, sheets, separator=","):
    """Sheets as a file of the kind that its name says."""
    if name.endswith(".xlsx"):
        return xlsx(sheets)
    if name.endswith(".ods"):
        return ods_of(
            [
                SheetOut(title, tuple(rows[0]), [tuple(map(_value, row)) for row in rows[1:]])
                for title, rows in sheets.items()
            ]
        )
    [rows] = sheets.values()
    text = io.StringIO()
    csv.writer(text, delimiter=separator).writerows([["" if c is None else c for c in row] for row in rows])
    return text.getvalue().encode("utf-8")


def _value(cell):
    return "" if cell is None else float(cell) if isinstance(cell, int) else cell


def xlsx(sheets):
    """Sheets as an xlsx; a row of one cell above wider ones is merged over them, as titles are."""
    import xlsxwriter

    data = io.BytesIO()
    with xlsxwriter.Workbook(data, {"in_memory": True, "default_date_format": "d/m/yyyy"}) as book:
        title = book.add_format({"bold": True})
        for name, rows in sheets.items():
            page = book.add_worksheet(name)
            width = max(map(len, rows))
            for number, row in enumerate(rows):
                if len(row) == 1 and row[0] and width > 2 and number < 4:
                    page.merge_range(number, 0, number, width - 1, row[0], title)
                    continue
                for at, cell in enumerate(row):
                    if cell is not None and cell != "":
                        page.write(number, at, cell)
    return data.getvalue()


SETTINGS = """
[workshop]
hours_in_a_day = 6.5
[drivers.infills]
label = "Foam pieces"
[drivers.area]
label = "Area stripped"
unit = "m2"
[drivers.logos]
[modifiers.wetness]
grades = ["dry", "damp", "wet", "soaked"]
stages = ["strip"]
[kinds.major]
label = "Full restoration"
[kinds.minor]
label = "Small repair"
[stages.look]
label = "Look it over"
[stages.strip]
label = "Strip old glass"
[stages.infill]
label = "Let in foam"
drivers = ["once", "infills"]
[stages.sand]
label = "Sand it"
[stages.gloss]
label = "Gloss coat"
[stages.polish]
[[rules]]
name = "whole board"
low = 10
high = 90
odds = 0.8
"""

STRANGERS = (
    Stranger(  # 1: nothing odd
        "plain.csv",
        {
            "plain": [
                ["Job no", "Board", "Customer", "Start date", "Finish date", "Total hours"],
                ["101", "red nine-four", "A. Bird", "2024-03-04", "2024-03-29", "31.5"],
                ["102", "green egg", "C. Reed", "2024-04-02", "2024-04-20", "12"],
            ]
        },
        {
            "Job no": "board",
            "Board": "called",
            "Customer": "owner",
            "Start date": "started",
            "Finish date": "ready",
            "Total hours": "total_hours",
        },
        boards=[("101", "red nine-four", D(2024, 3, 4), 31.5), ("102", "green egg", D(2024, 4, 2), 12.0)],
    ),
    Stranger(  # 2: a merged title, blank rows, a total
        "titled.xlsx",
        {
            "2024": [
                ["My boards of 2024"],
                [],
                ["Job #", "Name", "Started", "Done", "Hrs"],
                [1, "mustard log", D(2024, 1, 8), D(2024, 2, 2), 40],
                [2, "tiny twin", D(2024, 2, 5), D(2024, 2, 9), 8.5],
                [],
                ["Total", None, None, None, 48.5],
            ]
        },
        {"Job #": "board", "Name": "called", "Started": "started", "Done": "ready", "Hrs": "total_hours"},
        asks={"column:2024:Name"},
        answers={"column:2024:Name": "called"},
        boards=[("1", "mustard log", D(2024, 1, 8), 40.0), ("2", "tiny twin", D(2024, 2, 5), 8.5)],
        sums=1,
    ),
    Stranger(  # 3: hours beside boards, in hours by their names, a blank that has to be asked about
        "wide.xlsx",
        {
            "Jobs": [
                ["No", "Board", "Start", "End", "Strip", "Sanding", "Polishing"],
                [1, "mustard log", D(2024, 1, 8), D(2024, 2, 2), 6, 9, 5],
                [2, "tiny twin", D(2024, 2, 5), D(2024, 2, 9), None, 3, 2.5],
            ]
        },
        {
            "No": "board",
            "Board": "called",
            "Start": "started",
            "End": "ready",
            "Strip": "hours strip",
            "Sanding": "hours sand",
            "Polishing": "hours polish",
        },
        asks={"blank:Jobs:Strip"},
        answers={"blank:Jobs:Strip": "none"},
        boards=[("1", "mustard log", D(2024, 1, 8), 20.0), ("2", "tiny twin", D(2024, 2, 5), 5.5)],
        hours=[
            ("1", "strip", 6.0),
            ("1", "sand", 9.0),
            ("1", "polish", 5.0),
            ("2", "strip", 0.0),
            ("2", "sand", 3.0),
            ("2", "polish", 2.5),
        ],
    ),
    Stranger(  # 4: the same as ods, hours said in the header, one column alone
        "wide.ods",
        {
            "Jobs": [
                ["No", "Board", "Start", "End", "Strip hrs", "Days on gloss coat"],
                [1, "mustard log", D(2024, 1, 8), D(2024, 2, 2), 6, None],
            ]
        },
        {
            "No": "board",
            "Board": "called",
            "Start": "started",
            "End": "ready",
            "Strip hrs": "hours strip",
            "Days on gloss coat": "leave",
        },
        boards=[("1", "mustard log", D(2024, 1, 8), 6.0)],
        hours=[("1", "strip", 6.0)],
    ),
    Stranger(  # 5: German numbers and dates, semicolons, a unit for days
        "komma.csv",
        {
            "komma": [
                ["Ref", "Board name", "Date finished", "Price", "Hours", "Materials"],
                ["7", "old gun", "14.03.2024", "1.234,50", "31,5", "120,00"],
                ["8", "fish", "25.04.2024", "850", "12,25", "40"],
            ]
        },
        {
            "Ref": "board",
            "Board name": "called",
            "Date finished": "ready",
            "Price": "price_charged",
            "Hours": "total_hours",
            "Materials": "materials",
        },
        asks={"column:komma:Price"},
        answers={"column:komma:Price": "price_charged"},
        boards=[("7", "old gun", None, 31.5), ("8", "fish", None, 12.25)],
        separator=";",
    ),
    Stranger(  # 6: French numbers: a narrow space between thousands
        "espace.csv",
        {
            "espace": [
                ["Ticket", "Surfboard", "Completed", "Charged", "Time taken"],
                ["7", "old gun", "2024-03-14", "1\u202f234,50", "31,5 h"],
                ["8", "fish", "2024-04-25", "2\u202f850", "12 h 30"],
            ]
        },
        {
            "Ticket": "board",
            "Surfboard": "called",
            "Completed": "ready",
            "Charged": "price_charged",
            "Time taken": "total_hours",
        },
        boards=[("7", "old gun", None, 31.5), ("8", "fish", None, 12.5)],
        separator=";",
    ),
    Stranger(  # 7: English thousands that could be decimals, cleared by another cell
        "thousands.csv",
        {
            "thousands": [
                ["Ticket", "Surfboard", "Completed", "Charged", "Time taken"],
                ["7", "old gun", "2024-03-14", "1,234", "31.5"],
                ["8", "fish", "2024-04-25", "2,850.75", "12"],
            ]
        },
        {
            "Ticket": "board",
            "Surfboard": "called",
            "Completed": "ready",
            "Charged": "price_charged",
            "Time taken": "total_hours",
        },
        boards=[("7", "old gun", None, 31.5), ("8", "fish", None, 12.0)],
    ),
    Stranger(  # 8: the same without it: one question
        "either.csv",
        {
            "either": [
                ["Ticket", "Surfboard", "Completed", "Charged", "Time taken"],
                ["7", "old gun", "2024-03-14", "1,234", "31"],
            ]
        },
        {
            "Ticket": "board",
            "Surfboard": "called",
            "Completed": "ready",
            "Charged": "price_charged",
            "Time taken": "total_hours",
        },
        asks={"decimals:either"},
        answers={"decimals:either": "."},
        boards=[("7", "old gun", None, 31.0)],
    ),
    Stranger(  # 9: dates that can be two days
        "days.csv",
        {
            "days": [
                ["Ticket", "Surfboard", "Started", "Finished", "Hours worked"],
                ["7", "old gun", "03/04/2024", "25/04/2024", "31"],
            ]
        },
        {
            "Ticket": "board",
            "Surfboard": "called",
            "Started": "started",
            "Finished": "ready",
            "Hours worked": "total_hours",
        },
        asks={"dates:days"},
        answers={"dates:days": "day-month"},
        boards=[("7", "old gun", D(2024, 4, 3), 31.0)],
    ),
    Stranger(  # 10: months first
        "months.csv",
        {
            "months": [
                ["Ticket", "Surfboard", "Started", "Finished", "Hours worked"],
                ["7", "old gun", "03/04/2024", "04/25/2024", "31"],
            ]
        },
        {
            "Ticket": "board",
            "Surfboard": "called",
            "Started": "started",
            "Finished": "ready",
            "Hours worked": "total_hours",
        },
        asks={"dates:months"},
        answers={"dates:months": "month-day"},
        boards=[("7", "old gun", D(2024, 3, 4), 31.0)],
    ),
    Stranger(  # 11: a diary of hours, with the boards on another sheet
        "diary.xlsx",
        {
            "Boards": [
                ["Board", "Customer", "Began"],
                ["red", "A. Bird", D(2024, 3, 4)],
                ["green", "C. Reed", D(2024, 3, 5)],
            ],
            "Diary": [
                ["Day", "Job", "What", "Hours"],
                [D(2024, 3, 4), "red", "stripping", 3],
                [D(2024, 3, 5), "green", "Look it over", 1.5],
                [D(2024, 3, 6), "red", "sanding", 2],
                ["Total", None, None, 6.5],
            ],
        },
        {
            "Board": "board",
            "Customer": "owner",
            "Began": "started",
            "Day": "date",
            "Job": "board",
            "What": "stage",
            "Hours": "hours",
        },
        boards=[("red", "", D(2024, 3, 4), 5.0), ("green", "", D(2024, 3, 5), 1.5)],
        hours=[("red", "strip", 3.0), ("green", "look", 1.5), ("red", "sand", 2.0)],
        sums=1,
    ),
    Stranger(  # 12: a column that is nearly one of ours and means something else; one of no name; blank columns
        "glass.csv",
        {
            "glass": [
                ["Ticket", "", "Surfboard", "Glass", "Completed", "", "Hours"],
                ["7", "", "old gun", "6 oz", "2024-03-14", "", "31"],
                ["8", "", "fish", "4 oz", "2024-04-25", "x", "12"],
            ]
        },
        {
            "Ticket": "board",
            "Surfboard": "called",
            "Glass": "leave",
            "Completed": "ready",
            "column F": "leave",
            "Hours": "total_hours",
        },
        asks={"column:glass:Glass", "column:glass:column F"},
        answers={"column:glass:Glass": "leave", "column:glass:column F": "leave"},
        boards=[("7", "old gun", None, 31.0), ("8", "fish", None, 12.0)],
    ),
    Stranger(  # 13: lengths with a unit in the header, widths and weights of another, numbers in days
        "units.xlsx",
        {
            "Units": [
                ["Nr", "Surfboard", "Length (cm)", "Width in inches", "Completed", "Time (days)"],
                [1, "long one", 290, 22.5, D(2024, 3, 14), 4],
            ]
        },
        {
            "Nr": "board",
            "Surfboard": "called",
            "Length (cm)": "length",
            "Width in inches": "width",
            "Completed": "ready",
            "Time (days)": "total_hours",
        },
        boards=[("1", "long one", None, 26.0)],
    ),
    Stranger(  # 14: feet with parts: one question
        "feet.xlsx",
        {
            "Feet": [
                ["Nr", "Surfboard", "Length ft", "Completed", "Total time"],
                [1, "long one", 9.6, D(2024, 3, 14), 40],
                [2, "short one", 6, D(2024, 4, 14), 10],
            ]
        },
        {
            "Nr": "board",
            "Surfboard": "called",
            "Length ft": "length",
            "Completed": "ready",
            "Total time": "total_hours",
        },
        asks={"feet:Feet:Length ft"},
        answers={"feet:Feet:Length ft": "feet and inches"},
        boards=[("1", "long one", None, 40.0), ("2", "short one", None, 10.0)],
    ),
    Stranger(  # 15: quantities, as looked and as turned out, and one of them without saying which; a blank
        "pieces.csv",
        {
            "pieces": [
                [
                    "Ticket",
                    "Surfboard",
                    "Completed",
                    "Est foam pieces",
                    "Actual foam pieces",
                    "Logos",
                    "Hours",
                ],
                ["7", "old gun", "2024-03-14", "2", "3", "1", "31"],
                ["8", "fish", "2024-04-25", "", "1", "2", "12"],
            ]
        },
        {
            "Ticket": "board",
            "Surfboard": "called",
            "Completed": "ready",
            "Est foam pieces": "assessed_infills",
            "Actual foam pieces": "found_infills",
            "Logos": "found_logos",
            "Hours": "total_hours",
        },
        asks={"column:pieces:Logos", "blank:pieces:Est foam pieces"},
        answers={"column:pieces:Logos": "found_logos", "blank:pieces:Est foam pieces": "unknown"},
        boards=[("7", "old gun", None, 31.0), ("8", "fish", None, 12.0)],
    ),
    Stranger(  # 16: years as headings between the rows, the header again, a sum without a word
        "years.csv",
        {
            "years": [
                ["Ticket", "Surfboard", "Completed", "Hours"],
                ["2023", "", "", ""],
                ["7", "old gun", "2023-03-14", "31"],
                ["Ticket", "Surfboard", "Completed", "Hours"],
                ["2024", "", "", ""],
                ["8", "fish", "2024-04-25", "12"],
                ["", "", "", "43"],
            ]
        },
        {"Ticket": "board", "Surfboard": "called", "Completed": "ready", "Hours": "total_hours"},
        boards=[("7", "old gun", None, 31.0), ("8", "fish", None, 12.0)],
        sums=1,
    ),
    Stranger(  # 17: no numbers: boards by what they are called
        "names.csv",
        {
            "names": [
                ["Board name", "Client", "Date in", "Picked up", "Labour hours", "Comments"],
                ["old gun", "A. Bird", "2024-03-01", "2024-03-30", "31", "=ask again"],
                ["fish", "C. Reed", "2024-04-01", "2024-05-02", "12", ""],
            ]
        },
        {
            "Board name": "called",
            "Client": "owner",
            "Date in": "accepted",
            "Picked up": "collected",
            "Labour hours": "total_hours",
            "Comments": "note",
        },
        asks={"column:names:Date in"},
        answers={"column:names:Date in": "accepted"},
        boards=[("24-001", "old gun", None, 31.0), ("24-002", "fish", None, 12.0)],
    ),
    Stranger(  # 18: a status column with words of their own, a title of two rows, tabs
        "status.csv",
        {
            "status": [
                ["Workshop list", "", "", "", ""],
                ["printed 2024-05-01", "", "", "", ""],
                ["Id", "Surfboard", "Date started", "Status", "Hours spent"],
                ["7", "old gun", "2024-03-14", "on the rack", "31"],
                ["8", "fish", "2024-04-25", "gone", "12"],
            ]
        },
        {
            "Id": "board",
            "Surfboard": "called",
            "Date started": "started",
            "Status": "leave",
            "Hours spent": "total_hours",
        },
        asks={"column:status:Status"},
        answers={"column:status:Status": "leave"},
        boards=[("7", "old gun", D(2024, 3, 14), 31.0), ("8", "fish", D(2024, 4, 25), 12.0)],
        separator="\t",
    ),
    Stranger(  # 19: headings over groups of columns: hours of stages
        "groups.xlsx",
        {
            "Groups": [
                ["", "", "", "", "Hours", "", "Logos", ""],
                ["No", "Surfboard", "Start", "Finish", "Look", "Gloss coat", "Expected", "Found"],
                [1, "mustard log", D(2024, 1, 8), D(2024, 2, 2), 1, 4, 2, 3],
            ]
        },
        {
            "No": "board",
            "Surfboard": "called",
            "Start": "started",
            "Finish": "ready",
            "Look": "hours look",
            "Gloss coat": "hours gloss",
            "Expected": "assessed_logos",
            "Found": "found_logos",
        },
        boards=[("1", "mustard log", D(2024, 1, 8), 5.0)],
        hours=[("1", "look", 1.0), ("1", "gloss", 4.0)],
    ),
    Stranger(  # 20: weighings beside boards, in pounds; a misspelt name is asked about
        "scales.xlsx",
        {
            "Boards": [
                ["Ticket", "Surfboard", "Lenght", "Started"],
                [7, "old gun", "9'6", D(2024, 3, 1)],
            ],
            "Scales": [
                ["Job no", "Day", "Weight (lb)"],
                [7, D(2024, 3, 4), 18.5],
                [7, D(2024, 3, 9), 17],
            ],
        },
        {
            "Ticket": "board",
            "Surfboard": "called",
            "Lenght": "length",
            "Started": "started",
            "Job no": "board",
            "Day": "date",
            "Weight (lb)": "weight",
        },
        asks={"column:Boards:Lenght"},
        answers={"column:Boards:Lenght": "length"},
        boards=[("7", "old gun", D(2024, 3, 1), 0.0)],
    ),
)

"""A workshop of ten boards over six quarters, with a quarter of six that can be reckoned by hand."""

import datetime as dt

from estimator.decide.quarter.review import Known, review_of
from estimator.log.history import as_it_stood
from estimator.words.dates import Quarter
from estimator.words.settings.reader import read_settings
from making.folders import read_folder
from making.rules import rules

TODAY = dt.date(2026, 10, 12)

SETTINGS = """
[workshop]
currency = "mk"
target_pay = 42.0
floor_pay = 30.0
overheads_a_month = 500.0
[bench]
away = [{first = 2026-08-03, last = 2026-08-16}]
[kinds.major]
label = "Full restoration"
[kinds.minor]
label = "Small repair"
[drivers.area]
label = "Area"
unit = "m2"
[stages.strip]
label = "Strip"
drivers = ["once", "area"]
[stages.sand]
label = "Sand"
drivers = ["area"]
after = ["strip"]
""" + rules(metre=(4, 12), sanding=(3, 9))

# board, called, kind, asked, accepted, ready, collected, paid on, guess, quoted, charged, materials, deposit, paid, hours
BOARDS = (
    ("25-001", "old one", "major", "2025-02-03", "2025-02-10", "2025-05-02", "2025-05-05", "2025-05-05", 40, 1700, 1700, 200, 500, 1700, 40),
    ("25-002", "old two", "minor", "2025-04-03", "2025-04-10", "2025-09-02", "2025-09-05", "2025-09-05", 20, 900, 900, 100, 300, 900, 25),
    ("26-001", "grey gun", "major", "2026-01-05", "2026-01-12", "2026-03-31", "2026-04-02", "2026-04-02", 30, 1400, 1400, 100, 400, 1400, 32),
    ("26-002", "red nine-four", "major", "2026-03-02", "2026-03-09", "2026-07-01", "2026-07-03", "2026-07-03", 36, 1800, 1800, 240, 600, 1800, 39),
    ("26-003", "blue fish", "minor", "2026-03-05", "2026-03-12", "2026-07-20", "2026-07-22", "2026-07-30", 30, 1500, 1650, 150, 500, 1650, 30),
    ("26-004", "lime log", "minor", "2026-04-02", "2026-04-09", "2026-08-21", "2026-08-24", "", 20, 900, "", 60, 300, 300, 24),
    ("26-005", "club board", "major", "2026-04-06", "2026-04-13", "2026-09-04", "2026-09-08", "2026-10-05", 45, 2600, 2600, 200, 800, 2600, 50),
    ("26-006", "plum stub", "minor", "2026-05-04", "2026-05-11", "2026-09-18", "2026-09-21", "2026-09-21", 30, 1200, 1200, 120, 400, 1200, 36),
    ("26-007", "sand log", "major", "2026-05-11", "2026-05-18", "2026-09-30", "", "", 64, 3000, 3000, 300, 1000, 1000, 60),
    ("26-008", "mint gun", "major", "2026-08-20", "2026-08-27", "", "", "", 40, 2000, "", "", 600, 600, 12),
    ("26-009", "no thanks", "major", "2026-08-25", "", "", "", "", "", "", "", "", "", "", ""),
    ("26-010", "changed mind", "minor", "2026-09-01", "", "", "", "", 10, 400, "", "", "", "", ""),
)  # fmt: skip
SIX = {"26-002": 40.0, "26-003": 50.0, "26-004": 35.0, "26-005": 48.0, "26-006": 30.0, "26-007": 45.0}
STATES = {"26-009": "declined", "26-010": "withdrawn"}
WHY = {"26-009": "too far gone"}

TOLD = (
    "26-002,2026-03-09,30,45,1800,,2026-06-20,0.8,quote,",
    "26-003,2026-03-12,25,35,1500,,2026-07-31,0.8,quote,",
    "26-003,2026-06-20,25,45,1650,,2026-08-15,0.8,hidden work,owner",
    "26-004,2026-04-09,,,900,,2026-08-10,,quote,",
    "26-005,2026-04-13,35,45,2600,,2026-09-30,0.9,quote,",
    "26-006,2026-05-11,,,1200,,2026-09-18,0.95,quote,",  # ready on that very day
)
WAITS = (
    "26-004,2026-06-22,2026-07-20,drying",
    "26-005,2026-08-20,2026-08-27,owner",
    "26-007,2026-09-10,,artwork",
)


def write(folder, boards=BOARDS, told=TOLD, waits=WAITS, settings=SETTINGS, more_hours=()):
    """Writes the workshop; half of a board's hours are strip, half sand, a day each time on working days."""
    columns = (
        "board,called,kind,asked,quoted,accepted,ready,collected,paid_on,guess,price_quoted,price_charged,materials,"
        "deposit,paid,state,decided_why,assessed_area,found_area"
    )
    rows, hours = [columns], ["board,date,until,stage,hours,done,note"]
    for board in boards:
        name, called, kind, asked, accepted, ready, collected, paid_on, *money, took = board
        quoted = "" if name == "26-009" else asked
        area = "" if took == "" else f"{took / 15:.2f}"
        rows.append(
            ",".join(
                str(cell)
                for cell in (
                    *(name, called, kind, asked, quoted, accepted, ready, collected, paid_on, *money),
                    *(STATES.get(name, ""), WHY.get(name, ""), area, area),
                )
            )
        )
        if took != "":
            last = dt.date.fromisoformat(ready) if ready else dt.date(2026, 10, 9)
            first = last - dt.timedelta(days=20)
            hours.append(f"{name},{first - dt.timedelta(days=9)},{first},strip,{took / 2},,")
            hours.append(f"{name},{first + dt.timedelta(days=1)},{last},sand,{took / 2},,")
    folder.mkdir(exist_ok=True)
    (folder / "workshop.toml").write_text(settings, "utf-8")
    (folder / "boards.csv").write_text("\n".join(rows) + "\n", "utf-8")
    (folder / "hours.csv").write_text("\n".join([*hours, *more_hours]) + "\n", "utf-8")
    head = "board,date,hours_low,hours_high,price,first,last,odds,because,paid_by"
    (folder / "told.csv").write_text("\n".join([head, *told]) + "\n", "utf-8")
    (folder / "waits.csv").write_text("\n".join(["board,from,until,for", *waits]) + "\n", "utf-8")
    return folder


def known_of(folder, today=TODAY):
    """The workshop's log and settings."""
    settings, problems = read_settings(folder)
    assert not problems
    log, problems, _ = read_folder(folder, settings, today=today)
    assert not problems, problems
    return log, settings


def reviewed(workshop, name="2026-Q3", today=TODAY):
    """A quarter of a workshop's log and settings, looked back on."""
    log, settings = workshop
    quarter = Quarter.read(name, today)
    return review_of(quarter, Known(log, as_it_stood(log, settings, quarter.end), settings, settings.rules))

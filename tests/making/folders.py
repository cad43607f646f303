"""A workshop folder of one board on the bench and two in line, quickly looked at."""

import datetime as dt

from estimator.log.reading import read_log
from estimator.log.store import FileStore

SETTINGS = """
[bench]
places = 1
hours_by_weekday = [6, 6, 6, 6, 6, 0, 0]
most_hours_a_day_on_one_board = 6
[drivers.area]
label = "Area"
[stages.strip]
label = "Strip"
drivers = ["area"]
[stages.gloss]
label = "Gloss coat"
drivers = ["once"]
after = ["strip"]
wait_days = {low = 3, high = 5}
[[rules]]
name = "square metre"
stage = "strip"
per = "area"
low = 3.0
high = 4.0
odds = 0.8
[[rules]]
name = "gloss"
stage = "gloss"
per = "once"
low = 1.5
high = 2.5
odds = 0.8
"""
BOARDS = """\
board,called,accepted,started,state,promised_last,assessed_area
26-001,red nine-four,2026-05-04,2026-05-26,on bench,2026-06-12,2
26-002,club board,2026-05-11,,waiting,2026-06-04,4
26-003,green fish,2026-05-18,,waiting,,1
"""
HOURS = "board,date,stage,hours,done\n26-001,2026-05-26,strip,5,yes\nshop,2026-05-29,,1,\n"
TODAY = dt.date(2026, 6, 1)  # a Monday


def folder(path, settings=SETTINGS, **sheets):
    """A workshop folder, its sheets as texts."""
    path.mkdir()
    (path / "workshop.toml").write_text(settings, "utf-8")
    for name, text in {"boards": BOARDS, "hours": HOURS, **sheets}.items():
        (path / f"{name}.csv").write_text(text, "utf-8")
    return path


def read_folder(path, settings, today=None):
    """The log in a folder, its problems and notes."""
    return read_log(*FileStore(path, settings).read(), settings, today=today)

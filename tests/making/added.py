"""A small workshop with two boards in line, to ask for more and to write in."""

SETTINGS = """
[workshop]
currency = "mk"
target_pay = 42
[bench]
places = 1
[drivers.area]
[drivers.colours]
[stages.strip]
drivers = ["area"]
[stages.spray]
drivers = ["once", "colours"]
after = ["strip"]
"""
BOARDS = """\
board,called,accepted,ready,state,promised_last,assessed_area,assessed_colours,later_colours,materials,total_hours
26-001,blue egg,2026-03-02,2026-04-01,finished,,1.5,1,,140,21
26-002,tan gun,2026-04-02,2026-05-01,finished,,2,0,,110,13
26-003,red fish,2026-05-02,,waiting,2026-06-12,2,2,,,
26-004,club board,2026-05-11,,waiting,2026-06-19,1,1,,,
"""


def write_small(folder):
    """The small workshop in a folder that is there."""
    (folder / "workshop.toml").write_text(SETTINGS, "utf-8")
    (folder / "boards.csv").write_text(BOARDS, "utf-8")
    (folder / "hours.csv").write_text("board,date,stage,hours\n", "utf-8")
    return folder

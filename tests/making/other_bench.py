"""Another bench of invented boards, with their owners and lengths, and what was in hand on it."""

import datetime as dt

from estimator.words.records import ON_BENCH, Board, Entry

TODAY = dt.date(2026, 3, 20)  # a Friday
FEB = dt.date(2026, 2, 2)
WEEK = {
    day: dt.date(2026, 3, 16 + at) for at, day in enumerate(("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"))
} | {"13Mar": dt.date(2026, 3, 13), "14Mar": dt.date(2026, 3, 14)}
INCH = 0.0254
BOARDS = {
    "K": Board("26-201", "kelp", "Orrey", state=ON_BENCH, started=FEB, length_m=112 * INCH),
    "P": Board("26-202", "the plank", "Lanner", state=ON_BENCH, started=FEB, length_m=121 * INCH),
    "T": Board("26-203", "tangerine", "Tolly", state=ON_BENCH, started=FEB, length_m=86 * INCH),
    "F": Board("26-204", "blue fish", "Pask", state=ON_BENCH, started=FEB, length_m=68 * INCH),
    "N": Board("26-205", "blue nine-six", "Mrs Winnow", state=ON_BENCH, started=FEB, length_m=114 * INCH),
    "W": Board("26-206", "the twin", "Dacey", state=ON_BENCH, started=FEB, length_m=70 * INCH),
    "C": Board("26-207", "school board", "Tarrow school", state=ON_BENCH, started=FEB, length_m=96 * INCH),
    "M": Board("26-208", "mustard", "Ibbs", state=ON_BENCH, started=FEB, length_m=82 * INCH),
    "G": Board("26-209", "ghost", "Ferrin", state=ON_BENCH, started=FEB, length_m=110 * INCH),
}
IN_HAND = {
    "K": "strip",
    "P": "strip",
    "T": "sand",
    "F": "spray",
    "N": "laminate",
    "W": "sand",
    "C": "infill",
    "M": "block",
    "G": "drying",
}
ENTRIES = [Entry(BOARDS[code].board, dt.date(2026, 3, 12), stage, 2.0) for code, stage in IN_HAND.items()]

"""A third bench of invented boards, with their owners and lengths, and what was in hand on it."""

import datetime as dt

from estimator.words.records import ON_BENCH, Board, Entry

TODAY = dt.date(2026, 7, 24)  # a Friday
JUNE = dt.date(2026, 6, 15)
WEEK = {day: dt.date(2026, 7, 20 + at) for at, day in enumerate(("Mon", "Tue", "Wed", "Thu", "Fri"))} | {
    "17Jul": dt.date(2026, 7, 17),
    "18Jul": dt.date(2026, 7, 18),
    "19Jul": dt.date(2026, 7, 19),
}
INCH = 0.0254
BOARDS = {
    "L": Board("26-301", "lemon", "Quenby", state=ON_BENCH, started=JUNE, length_m=86 * INCH),
    "G": Board("26-302", "the gun", "Mr Stobb", state=ON_BENCH, started=JUNE, length_m=118 * INCH),
    "O": Board("26-303", "the log", "Larrick", state=ON_BENCH, started=JUNE, length_m=116 * INCH),
    "E": Board("26-304", "green egg", "Mrs Fenner", state=ON_BENCH, started=JUNE, length_m=82 * INCH),
    "M": Board("26-305", "green mal", "Odgers", state=ON_BENCH, started=JUNE, length_m=109 * INCH),
    "Z": Board("26-306", "stripy", "Wick", state=ON_BENCH, started=JUNE, length_m=96 * INCH),
    "B": Board("26-307", "Bess", "Pell", state=ON_BENCH, started=JUNE, length_m=112 * INCH),
    "R": Board("26-308", "club board", "Harbour club", state=ON_BENCH, started=JUNE, length_m=90 * INCH),
    "J": Board("26-309", "single fin", "Jem", state=ON_BENCH, started=JUNE, length_m=80 * INCH),
    "D": Board("26-310", "doorstop", "Sorrel", state=ON_BENCH, started=JUNE, length_m=102 * INCH),
}
IN_HAND = {
    "L": "sand",
    "G": "strip",
    "O": "laminate",
    "E": "filler",
    "M": "spray",
    "Z": "pinlines",
    "B": "drying",
    "R": "infill",
    "J": "gloss",
    "D": "reshape",
}
ENTRIES = [Entry(BOARDS[code].board, dt.date(2026, 7, 16), stage, 2.0) for code, stage in IN_HAND.items()]

"""Boards, ranges and tellings for sheets, by hand; all of it is invented."""

import datetime as dt
import functools
from dataclasses import replace
from types import MappingProxyType

from estimator.demo.texts import demo_text
from estimator.forecast.described import WhatIf
from estimator.forecast.ranges import Alike, Cost, Price, Range, Ready, StageRange
from estimator.record.rules.verdicts import SharedError, Verdicts
from estimator.sheets.paper.handover_sheet import handover_sheet
from estimator.sheets.paper.owner_sheet import owner_sheet
from estimator.sheets.paper.range_sheet import range_sheet
from estimator.sheets.paper.said_sheets import record_sheet, rules_sheet
from estimator.sheets.paper.week_sheet import week_sheet
from estimator.words.records import Board, Entry, Told
from estimator.words.settings.reader import parse_settings
from estimator.words.settings.schema import Stage
from making.promises import LONG, TODAY, morning, promise
from making.records import NONE_YET, RECORD
from making.verdicts import verdict

SETTINGS, _ = parse_settings(demo_text())
ODD = 'a # $x$ * _b_ [c] ] \\ "d" <e> `f` @g // ~ -- שלום عمر 日本 \x07'  # all that the typesetter could take for markup
FOOT = 0.3048

BOARD = Board(
    "26-040",
    called="red nine-four",
    owner="Owner 007",
    reach="the yellow house",
    kind="major",
    aim="ride",
    state="waiting",
    length_m=(9 + 4 / 12) * FOOT,
    width_m=22.625 * FOOT / 12,
    price_quoted=2600.0,
    deposit=860.0,
    paid=860.0,
    hold_until=dt.date(2026, 10, 20),
    assessed={
        "face_area": 1.34,
        "sides_stripped": 2.0,
        "glass_stripped": 2.68,
        "infills": 3.0,
        "stringers": 0.0,
        "blocks": 0.0,
        "spray_colours": 2.0,
        "logos": 1.0,
        "pinlines": 0.0,
        "fins_mended": 1.0,
        "sides_coated": 2.0,
        "coated_area": 2.68,
        "gloss": 2.0,
        "gloss_area": 2.68,
        "brittle_glass": 2.0,
        "masking": 1.0,
    },
    later={"spray_colours": 1.0},
    worked_out=frozenset({"face_area", "glass_stripped", "coated_area", "gloss_area"}),
)


def stage(name, low=3.2, likely=4.1, high=5.4, **more):
    return StageRange(name, low, likely, high, **more)


STAGES = ("assess", "clean", "strip", "infill", "reshape", "spray", "laminate", "sand", "gloss", "polish")
ANSWER = Range(
    board="26-040",
    odds=0.8,
    view="before",
    low=53.2,
    likely=66.4,
    high=81.0,
    quantiles=MappingProxyType({f"{p / 100:.2f}": 40 + p * 0.53 for p in range(5, 100, 5)}),
    stages=(*map(stage, STAGES), stage("stain", 0.0, 0.0, 0.0)),
    reasons=(),
    boards=31,
    rules=4,
    lent=2,
    alike=(Alike("24-003", "the plum egg", 71.25), Alike("25-007", "", 58.0)),
    guess=52.0,
    stretch=(1.0, 1.1),
    ready=Ready(TODAY + dt.timedelta(30), TODAY + dt.timedelta(38), TODAY + dt.timedelta(50)),
    materials=Cost(312.0, 360.0, 430.0),
    price=Price(3127.0, 0.8, 42.0),
)
WHAT_IFS = (
    WhatIf("spray_colours", 2.0, 3.0, 13.2),
    WhatIf("brittle_glass", None, 2.0, 4.6),
    WhatIf("stain", None, 1.0, 2.4),
    WhatIf("infills", 3.0, 4.0, 1.6),
)
TOLD = (
    Told(
        "26-040",
        dt.date(2026, 7, 1),
        price=2600.0,
        terms="fixed",
        last=dt.date(2026, 10, 12),
        because="quote",
    ),
    Told(
        "26-040",
        dt.date(2026, 9, 8),
        hours_low=52.0,
        hours_high=70.0,
        odds=0.8,
        first=dt.date(2026, 10, 19),
        last=dt.date(2026, 10, 26),
        because="late",
    ),
)
PROMISE = promise(40, 30, 50)


HOLDS = verdict(
    name="gloss", text="Gloss, 1 to 2", verdict="holds", inside=12, below=1, above=2, suggested=None
)
FEW = verdict(
    name="blocks", text="", verdict="not enough boards", of=2, inside=2, above=0, would_do=9, cases=()
)
CHANCE = verdict(
    name="nasty", text="Something nasty", form="chance", share=0.4, low=None, high=None, odds=None,
    verdict="holds", inside=12, of=30, log=None, both=None, suggested=None, cases=(),
)  # fmt: skip
LENT = verdict(name="lent", lent=True)
VERDICTS = Verdicts((verdict(), HOLDS, FEW, CHANCE, LENT), SharedError(0.18, 1.6, 0.95, 0.97))


def forty():
    """A workshop with forty stages, all of which a board needs, with long names."""
    names = [f"sand_{n}" for n in range(40)]
    stages = {name: Stage(name, label=f"{LONG[: 20 + n % 25]} {n}") for n, name in enumerate(names)}
    return replace(SETTINGS, stages=stages), replace(ANSWER, stages=tuple(map(stage, names)))


def long_board():
    """A board all of whose texts are long and odd."""
    odd = f"{LONG} {ODD}"
    return replace(BOARD, called=odd, owner=odd, board="b/" + "9" * 60)


def of_range(board=BOARD, answer=ANSWER, settings=SETTINGS, **more):
    plain = {"today": TODAY, "what_ifs": WHAT_IFS, "told": TOLD}
    return range_sheet(board, answer, settings, **{**plain, **more})


def of_owner(board=BOARD, settings=SETTINGS, **more):
    plain = {"today": TODAY, "promise": PROMISE, "told": TOLD}
    return owner_sheet(board, settings, **{**plain, **more})


def of_week(*promises, settings=SETTINGS, **more):
    return week_sheet(settings, today=TODAY, day=morning(*promises, **more))


BARE = Board("b1")
GUESSED = replace(ANSWER, boards=0, stages=(), alike=(), guess=None, ready=None, materials=None, price=None)
FORTY, ON_FORTY = forty()
FETCHED = replace(
    BOARD,
    state="finished",
    ready=dt.date(2026, 10, 9),
    price_charged=2980.0,
    found={**BOARD.assessed, "infills": 5.0, "spray_colours": 3.0, "wetness": 2.0},
    assessed={**BOARD.assessed, "wetness": 1.0},
)
COATS = (
    Entry("26-040", dt.date(2026, 9, 24), "sand", 3.0),
    Entry("26-040", dt.date(2026, 10, 1), "gloss", 1.5),
)
HIDDEN = Told("26-040", dt.date(2026, 9, 9), price=2980.0, because="hidden work", paid_by="half")


def of_handover(board=FETCHED, settings=SETTINGS, **more):
    return handover_sheet(
        board, settings, **{"today": TODAY, "told": (*TOLD, HIDDEN), "entries": COATS, **more}
    )


SHEETS = {  # by name: kind, what makes its data, pages at most
    "range": ("range", of_range, 1),
    "range, nothing known": ("range", lambda: of_range(BARE, GUESSED, what_ifs=(), told=()), 1),
    "range, odd": (
        "range",
        lambda: of_range(long_board(), replace(ANSWER, alike=(Alike("x", ODD, 3.0),))),
        1,
    ),
    "range, forty stages": ("range", lambda: of_range(answer=ON_FORTY, settings=FORTY), 2),
    "owner": ("owner", of_owner, 1),
    "owner, nothing known": ("owner", lambda: of_owner(BARE, promise=None, told=()), 1),
    "owner, odd": ("owner", lambda: of_owner(long_board(), hours=ANSWER), 1),
    "handover": ("handover", of_handover, 1),
    "handover, nothing known": ("handover", lambda: of_handover(BARE, told=(), entries=()), 1),
    "handover, odd": ("handover", lambda: of_handover(long_board()), 1),
    "rules": ("rules", lambda: rules_sheet(VERDICTS, SETTINGS, today=TODAY), 2),
    "rules, none": ("rules", lambda: rules_sheet(Verdicts((), None), SETTINGS, today=TODAY), 1),
    "rules, odd": (
        "rules",
        lambda: rules_sheet(Verdicts((verdict(text=f"{LONG} {ODD}"),), None), SETTINGS, today=TODAY),
        1,
    ),
    "record": ("record", lambda: record_sheet(RECORD, SETTINGS), 1),
    "record, none": ("record", lambda: record_sheet(NONE_YET, SETTINGS), 1),
    "week": (
        "week",
        lambda: of_week(promise(1, 4, 9, 18, 0.97), promise(2, 8, 40, 12, 0.1, on="rack"), promise(3, 5, 9)),
        1,
    ),
    "week, none": ("week", lambda: week_sheet(SETTINGS, today=TODAY), 1),
    "week, many and odd": (
        "week",
        lambda: of_week(*(promise(n, 4, 9, called=f"{ODD} {LONG}") for n in range(11))),
        1,
    ),
}


@functools.cache
def data_of(name):
    """The plain data of one of the sheets."""
    return SHEETS[name][1]()

import datetime as dt
from dataclasses import replace

import pytest
from making.sheets import BOARD, SETTINGS, TOLD

from estimator.sheets.paper.board_facts import (
    ToDo,
    board_line,
    for_its_owner,
    listed,
    tellings,
    to_do,
    wanted_work,
)
from estimator.words.money import say_price
from estimator.words.records import Board, Told
from estimator.words.settings.schema import Driver, Kind, Modifier, Settings, Stage

SMALL = Settings(
    drivers={
        "face": Driver("face", label="Area of one face", unit="m2", source="outline"),
        "pieces": Driver("pieces", label="Pieces to let in"),
        "colours": Driver("colours", label="Colours to spray"),
        "loose": Driver("loose", label="Loose glass", unit="m2"),
    },
    modifiers={
        "wet": Modifier("wet", label="Wet foam", stages=("dry",), grades=("dry", "damp", "wet")),
        "old_paint": Modifier("old_paint", label="Old paint", stages=("spray",)),
        "masking": Modifier("masking", label="Hard masking", stages=("spray",), grades=("bands", "curves")),
    },
    kinds={"patch": Kind("patch", label="Patch", asks=("pieces",))},
    stages={"dry": Stage("dry"), "spray": Stage("spray", drivers=("once", "colours"))},
)


def test_a_board_is_said_in_feet_with_true_fractions_and_metric_beside():
    assert board_line(BOARD, SETTINGS) == 'Full restoration, 9\'4" (2.84 m) long, 22⅝" (57.5 cm) wide'
    assert board_line(Board("b1"), SETTINGS) == ""


def test_what_there_is_to_do_with_what_was_asked_for_since():
    seen = to_do(BOARD, SETTINGS)

    assert "colours to spray: 3" in seen.work  # two as it looked, one asked for since
    assert "foam pieces to let in: 3" in seen.work
    assert not any(
        "area" in words for words in seen.work
    )  # worked out from the outline, and no matter for paper
    assert seen.none == ("stringers to mend", "nose and tail blocks", "pinlines")
    assert seen.slower == ("brittle glass: brittle", "masking: curves")
    assert seen.unseen_slower == ("wet foam",)


def test_what_turned_out_stands_in_for_what_it_looked_like():
    opened = replace(BOARD, found={"infills": 5.0, "wetness": 3.0, "spray_colours": 3.0})
    seen = to_do(opened, SETTINGS)

    assert "foam pieces to let in: 5" in seen.work
    assert "colours to spray: 3" in seen.work  # what was found holds what was asked for since
    assert "wet foam: soaked" in seen.slower


def test_what_the_sort_of_job_does_not_ask_is_not_spoken_of():
    minor = replace(
        BOARD, kind="minor", assessed={"stringers": 0.0, "infills": 0.0, "spray_colours": 0.0}, later={}
    )
    seen = to_do(minor, SETTINGS)

    assert seen.none == ("foam pieces to let in", "colours to spray")
    assert not any(
        words.startswith("masking") for words in (*seen.slower, *seen.unseen_slower)
    )  # nothing to mask


def test_tellings_are_the_first_and_the_last_up_to_the_day():
    day = dt.date(2026, 10, 1)
    first, last = tellings(TOLD, day, "mk")

    assert first == "On Wed 1 July (quote): 2,600 mk, fixed price; ready by Mon 12 October."
    assert last == (
        "On Tue 8 September (late): between 50 and 70 hours, 8 times in 10; ready by Mon 26 October; "
        "not before Mon 19 October."
    )
    assert tellings(TOLD, dt.date(2026, 8, 1), "mk") == (first,)
    assert tellings((), day, "mk") == ()
    assert tellings((Told("b", day),), day, "") == ("On Thu 1 October: nothing that was kept.",)


def test_no_telling_of_the_first_or_the_last_day_is_dropped_nor_one_of_a_wish():
    days = [dt.date(2026, 7, 1), dt.date(2026, 7, 20), dt.date(2026, 8, 3), dt.date(2026, 9, 8)]
    reasons = [
        ("quote", 0),
        ("hidden work", 0),
        ("asked later", 1),
        ("late", 2),
        ("asked later", 3),
        ("late", 3),
    ]
    said = tellings(
        [
            Told("b", days[at], because=why, adds_days=3 if why == "asked later" else None)
            for why, at in reasons
        ],
        dt.date(2026, 10, 1),
        "mk",
    )

    assert [line.split(":")[0] for line in said] == [
        "On Wed 1 July (quote)",
        "On Wed 1 July (hidden work)",
        "On Mon 20 July (asked later, adds 3 days)",
        "On Tue 8 September (asked later, adds 3 days)",
        "On Tue 8 September (late)",
    ]


@pytest.mark.parametrize(
    ("amount", "said"), [(1800.0, "1,800 mk"), (1800.5, "1,800.5 mk"), (0.0, "0 mk"), (1e6, "1,000,000 mk")]
)
def test_a_price_is_said_to_the_last_coin(amount, said):
    assert say_price(amount, "mk") == said


def test_things_in_a_row():
    assert listed([]) == ""
    assert listed(["a", "b"]) == "a and b"


@pytest.mark.parametrize(
    ("assessed", "more", "seen"),
    [
        # nothing was judged: all may be there, and no area of an outline is asked after
        (
            {},
            {},
            ToDo((), (), ("pieces to let in", "colours to spray", "loose glass"), (), ("wet foam", "old paint", "hard masking")),
        ),
        # the outline's area is spoken of where it was measured and is some
        (
            {"face": 1.2, "pieces": 2.0, "colours": 0.0, "loose": 0.5, "wet": 0.0},
            {},
            ToDo(("area of one face: 1.2 m²", "pieces to let in: 2", "loose glass: ½ m²"), ("colours to spray",), (), ("wet foam: dry",), ()),
        ),
        (
            {"face": 1.2, "pieces": 2.0, "colours": 0.0, "loose": 0.5, "wet": 0.0},
            {"worked_out": frozenset({"face"})},
            ToDo(("pieces to let in: 2", "loose glass: ½ m²"), ("colours to spray",), (), ("wet foam: dry",), ()),
        ),
        (
            {"face": 0.0, "pieces": 0.0, "colours": 0.0, "loose": 0.0, "wet": 1.0},
            {},
            ToDo((), ("pieces to let in", "colours to spray", "loose glass"), (), ("wet foam: damp",), ()),
        ),
        # a patch is not asked about colours and glass: that there are none is not said, that nobody knows is
        (
            {"face": 0.0, "pieces": 0.0, "colours": 0.0, "wet": 2.0},
            {"kind": "patch"},
            ToDo((), ("pieces to let in",), ("loose glass",), ("wet foam: wet",), ()),
        ),
        # a stage slows only where it may come; yes or no is said where it is yes, a grade always
        (
            {"face": 0.0, "pieces": 0.0, "colours": 1.0, "loose": 0.0, "wet": 0.0, "old_paint": 0.0, "masking": 0.0},
            {},
            ToDo(("colours to spray: 1",), ("pieces to let in", "loose glass"), (), ("wet foam: dry", "hard masking: bands"), ()),
        ),
        (
            {"face": 0.0, "pieces": 0.0, "colours": 0.0, "loose": 0.0, "wet": 0.0, "old_paint": 1.0, "masking": 1.0},
            {"later": {"colours": 2.0}},
            ToDo(("colours to spray: 2",), ("pieces to let in", "loose glass"), (), ("wet foam: dry", "old paint: yes", "hard masking: curves"), ()),
        ),
        (
            {"face": 0.0, "pieces": 1.0, "colours": 1.0, "loose": 0.0, "wet": 0.0, "old_paint": 1.0, "masking": 1.0},
            {"found": {"pieces": 0.0, "colours": 0.0, "wet": 2.0}},
            ToDo((), ("pieces to let in", "colours to spray", "loose glass"), (), ("wet foam: wet",), ()),
        ),
    ],
)  # fmt: skip
def test_what_is_spoken_of_and_what_is_not(assessed, more, seen):
    assert to_do(Board("b", assessed=assessed, **more), SMALL) == seen


def test_its_owner_hears_the_same_in_plain_words():
    board = Board(
        "b", assessed={"face": 1.2, "pieces": 1.0, "colours": 0.0, "wet": 2.0}, later={"pieces": 1.0}
    )

    assert for_its_owner(board, SMALL) == (
        "To be done: area of one face; 2 pieces to let in.",
        "Not asked for: colours to spray. If it turns out to need some of that, we ask you first.",
        "Can't be seen yet: how much loose glass.",
        "What we saw: wet foam.",
        "In plain words: to let in is to set new foam where the old is gone.",
    )
    nobody_looked = Board("b", assessed={"face": 0.0, "pieces": 0.0, "loose": 0.0, "masking": 1.0})
    assert for_its_owner(nobody_looked, SMALL)[1:3] == (
        "Can't be seen yet: how many colours to spray, whether there is wet foam, whether there is old paint.",
        "What we saw: curves masking.",
    )
    assert wanted_work(board, SMALL) == ("area of one face", "2 pieces to let in")


def test_a_telling_has_all_that_was_said_in_its_order():
    """Wed 9 September is told of on the Thursday after the first of October."""
    told = Told(
        "b",
        dt.date(2026, 9, 9),
        hours_low=20.0,
        hours_high=30.0,
        price=900.0,
        terms="ceiling 1,100",
        first=dt.date(2026, 10, 5),
        last=dt.date(2026, 10, 12),
        because="asked later",
        adds_days=1.4,
    )
    today = dt.date(2026, 10, 1)

    [line] = tellings([told], today, "mk")
    assert line == (
        "On Wed 9 September (asked later, adds 1 day): 900 mk, a price with a range, not over 1,100 mk without "
        "asking; between 20 and 30 hours; ready by Mon 12 October; not before Mon 5 October."
    )
    sure = replace(told, odds=0.9, price=None, terms="", first=None, last=None, because="", adds_days=None)
    assert tellings([sure], today, "mk") == ("On Wed 9 September: between 20 and 30 hours, 9 times in 10.",)
    assert tellings([told], told.date, "mk")
    assert tellings([told], told.date - dt.timedelta(1), "mk") == ()


def test_what_slows_any_of_its_stages_is_spoken_of_and_a_sort_that_is_none_is_not():
    """Nothing is sprayed, but the board is dried."""
    both = Modifier("wet", label="Wet foam", stages=("spray", "dry"), grades=("dry", "damp", "wet"))
    shop = replace(SMALL, modifiers={"wet": both})

    assert to_do(Board("b", assessed={"colours": 0.0, "wet": 1.0}), shop).slower == ("wet foam: damp",)
    assert board_line(Board("b", kind="odd", length_m=9.5 * 0.3048), SMALL) == "9'6\" (2.90 m) long"

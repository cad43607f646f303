"""Hidden work: drawn with all that goes with it, never what an owner added, and with a light hand."""

import datetime as dt
import math
from dataclasses import replace

import numpy as np
import pytest
from making.fits import made_fit

from estimator.forecast import surprises
from estimator.forecast.answers import answer, look_next
from estimator.forecast.surprises import MOST, donors, likeness, nothing_hidden, surprised
from estimator.model.fit import fit
from estimator.model.saved_fit import KnownBoard
from estimator.words.records import FINISHED, Board, Entry, Log
from estimator.words.settings.schema import Driver, Kind, Modifier, Settings, Stage

DAY = dt.date(2026, 1, 5)
SETTINGS = Settings(
    drivers={
        "area": Driver("area", unit="m2"),
        "pieces": Driver("pieces", known="strip"),
        "colours": Driver("colours"),
    },
    modifiers={"wet": Modifier("wet", stages=("let in",), grades=("dry", "damp", "wet"), known="strip")},
    kinds={"major": Kind("major"), "minor": Kind("minor")},
    stages={
        "strip": Stage("strip", drivers=("once", "area")),
        "let in": Stage("let in", drivers=("pieces",)),
        "spray": Stage("spray", drivers=("colours",)),
    },
)


def past(name, pieces, found_pieces, wet=0.0, found_wet=0.0, kind="major", later=0.0, **more):
    seen = {"area": 2.0, "pieces": pieces, "colours": 1.0, "wet": wet}
    found = {"pieces": found_pieces, "wet": found_wet}
    return KnownBoard(
        name, kind=kind, state=FINISHED, assessed=seen, found=found, later={"pieces": later}, **more
    )


WATER = past("a", 2.0, 5.0, 0.0, 2.0)
PLAIN = [past(f"p{i}", 2.0, 2.0) for i in range(4)]
ADDED = past("o", 1.0, 3.0, later=2.0)
NEXT = KnownBoard("n", kind="major", assessed={"area": 2.0, "pieces": 1.0, "colours": 1.0, "wet": 1.0})


@pytest.fixture(scope="module")
def learned():
    return fit(Log(), SETTINGS, n_draws=16)


def drawn(learned, boards, board=NEXT, names=("area", "pieces", "colours", "wet"), n=40_000):
    return surprised(
        replace(learned, boards=tuple(boards)), board, names, SETTINGS, np.random.default_rng(1), n
    )


def test_what_goes_together_is_drawn_together(learned):
    got = drawn(learned, [WATER, *PLAIN])

    assert set(got) == {"pieces", "wet"}
    assert set(np.unique(got["pieces"])) == {1.0, 4.0}
    assert ((got["pieces"] == 4.0) == (got["wet"] == 2.0)).all()  # graded, and kept within its grades


def test_one_horror_among_five_counts_for_less_than_one_in_five(learned):
    got = drawn(learned, [WATER, *PLAIN])

    counts_for = nothing_hidden(learned, [WATER, *PLAIN], SETTINGS)
    assert np.mean(got["pieces"] == 4.0) == pytest.approx(1 / (5 + counts_for), abs=0.005)
    assert counts_for >= 2


def test_hidden_work_that_makes_little_difference_is_taken_lightly():
    learned = fit(shop_with_surprises(), SETTINGS)
    finished = [b for b in learned.boards if b.state == FINISHED]
    mild = [
        replace(b, found={**b.found, "pieces": 2.0 + 0.1 * (b.found["pieces"] - 2.0), "wet": 0.0})
        for b in finished
    ]

    assert nothing_hidden(learned, finished, SETTINGS) < MOST / 4
    assert nothing_hidden(learned, mild, SETTINGS) == MOST
    assert nothing_hidden(learned, [replace(b, found=b.assessed) for b in finished], SETTINGS) == MOST


def test_for_how_many_boards_one_counts_on_which_nothing_was_hidden_by_hand():
    """One of two boards took twice what it looked, log 2; luck is pace .2 and noise .3 evened out over eight stages."""
    rates = {
        ("strip", "once"): 1.0,
        ("strip", "area"): 2.0,
        ("let in", "pieces"): 3.0,
        ("spray", "colours"): 4.0,
    }
    told = made_fit(SETTINGS, rates, {}, loading=0.2, noise=0.3, n=4)
    boards = [past("h", 2.0, 7.0), past("p", 2.0, 2.0)]  # 15 hours by its looks, and 30 as it turned out

    wanted = 20 * (0.2**2 + 0.3**2 / 8) / (math.log(2) ** 2 / 2)
    assert nothing_hidden(told, boards, SETTINGS) == pytest.approx(wanted)


STANDS = replace(
    SETTINGS,
    stages={
        **SETTINGS.stages,
        "dry out": Stage("dry out", wait_by={"wet": ((0.0, 0.0), (5.0, 16.0), (14.0, 45.0))}),
    },
)


def wetter(learned, boards, wet=0.0, names=("pieces", "wet")):
    board = replace(NEXT, assessed={**NEXT.assessed, "wet": wet})
    known = replace(learned, boards=tuple(boards))
    return surprised(known, board, names, STANDS, np.random.default_rng(3), 40_000)


def test_before_any_board_is_known_one_in_five_is_wetter_than_it_looks(learned):
    got = wetter(learned, [])
    assert set(got) == {"wet"}
    assert set(np.unique(got["wet"])) == {0.0, 1.0}
    assert got["wet"].mean() == pytest.approx(1 / 5, abs=0.01)
    assert (wetter(learned, [], wet=2.0)["wet"] == 2.0).all()  # there is no grade above it
    assert wetter(learned, [], names=("pieces",)) == {}  # wet foam was seen
    assert drawn(learned, []) == {}  # no board stands by it


@pytest.mark.parametrize("worse", [0, 3, 10])
def test_foam_is_as_often_wetter_as_past_boards_had_it(worse):
    """Thirty boards just alike, some of them two grades wetter, beside one in five of five: of hidden work that is no
    more than luck so many would hardly be drawn."""
    rates = {
        ("strip", "once"): 9.0,
        ("strip", "area"): 2.0,
        ("let in", "pieces"): 0.1,
        ("spray", "colours"): 4.0,
        ("dry out", "once"): 0.5,
    }
    learned = made_fit(STANDS, rates, {}, n=2)
    boards = [past(f"b{i}", 2.0, 2.0 + (i < worse), found_wet=2.0 * (i < worse)) for i in range(30)]
    assert nothing_hidden(learned, boards, STANDS) > 100

    got = wetter(learned, boards)

    counts = 30.0  # their likeness is the same
    assert np.mean(got["wet"] == 2.0) == pytest.approx(worse / (counts + 5), abs=0.01)
    assert np.mean(got["wet"] == 1.0) == pytest.approx(1 / (counts + 5), abs=0.005)
    if worse:  # where pieces were hidden too, the foam is wet with them
        assert (got["wet"][got["pieces"] > 1.0] == 2.0).all()
        assert np.mean(got["pieces"] > 1.0) < worse / 100


def test_foam_goes_with_hidden_work_where_that_matters_as_much(learned):
    boards = [past(f"b{i}", 2.0, 12.0 * (i < 10) + 2.0, found_wet=2.0 * (i < 10)) for i in range(30)]
    light = nothing_hidden(learned, boards, STANDS)
    assert light < 5
    got = wetter(learned, boards)
    assert np.mean(got["wet"] == 2.0) == pytest.approx(10 / (30 + light), abs=0.01)
    assert np.mean(got["wet"] == 1.0) == pytest.approx(light / (30 + light) / 5, abs=0.005)


def test_what_an_owner_added_is_no_surprise(learned):
    assert drawn(learned, [ADDED, *PLAIN]) == {}


def test_boards_of_another_sort_or_not_written_down_are_no_donors(learned):
    other, unwritten = past("x", 1.0, 9.0, kind="minor"), replace(past("y", 1.0, 9.0), found={})

    assert donors(replace(learned, boards=(other, unwritten, WATER)), "major", SETTINGS) == [WATER]
    assert drawn(learned, [other, unwritten]) == {}
    assert len(donors(replace(learned, boards=(other, WATER)), "", SETTINGS)) == 2  # sort not known: all
    begun, unseen = replace(WATER, state="on bench"), replace(WATER, assessed={"area": 2.0, "colours": 1.0})
    in_part = replace(
        WATER, assessed={"area": 2.0, "pieces": 2.0}, found={"pieces": 5.0}
    )  # no word of its foam
    assert donors(replace(learned, boards=(begun, unseen, in_part)), "major", SETTINGS) == [in_part]


def test_less_than_nothing_is_never_drawn(learned):
    assert drawn(learned, [past("z", 5.0, 1.0)])["pieces"].min() == 0.0


def test_areas_go_by_the_size_of_the_boards(learned):
    long, short = past("l", 1.0, 1.0, length_m=2.8, width_m=0.57), replace(NEXT, length_m=1.9, width_m=0.5)
    more = replace(long, found={**long.found, "area": 3.0})

    got = drawn(learned, [more], short)["area"]

    assert set(np.round(np.unique(got), 9)) == {2.0, round(2.0 + 1.9 * 0.5 / (2.8 * 0.57), 9)}


def test_the_most_alike_count_most_and_ten_count_where_there_are_more():
    boards = [past(str(i), float(i), float(i)) for i in range(40)]

    weight = likeness(replace(NEXT, assessed={**NEXT.assessed, "pieces": 20.0}), boards)

    assert weight.argmax() == 20
    assert (np.diff(weight[:21]) >= 0).all()
    assert 9.5 < weight.sum() ** 2 / (weight**2).sum() < 20


def test_areas_worked_out_follow_their_sides(learned):
    settings = replace(
        SETTINGS,
        drivers={
            **SETTINGS.drivers,
            "sides": Driver("sides", known="strip"),
            "stripped": Driver("stripped", unit="m2", source="outline", times="sides", known="strip"),
        },
    )
    donor = replace(
        PLAIN[0],
        assessed={**PLAIN[0].assessed, "sides": 1.0, "stripped": 1.2},
        found={**PLAIN[0].found, "sides": 2.0, "stripped": 2.4},
    )

    def got(sides, area):
        seen = {**NEXT.assessed, "sides": sides, "stripped": area}
        board = replace(NEXT, assessed=seen, worked_out=("stripped",))
        known = replace(learned, boards=(donor,))
        return surprised(known, board, ["sides"], settings, np.random.default_rng(2), 5000)

    two = got(2.0, 1.8)
    assert set(np.unique(two["sides"])) == {2.0, 3.0}
    assert two["stripped"] == pytest.approx(0.9 * two["sides"])
    assert set(got(0.0, 0.0)) == {"sides"}  # of no sides nothing follows


def shop_with_surprises():
    boards, entries = [], []
    rng = np.random.default_rng(5)
    for i in range(30):
        wet = rng.random() < 0.4
        seen = {"area": float(rng.uniform(1, 2.6)), "pieces": 2.0, "colours": 1.0, "wet": 0.0}
        found = {"pieces": 2.0 + 6.0 * wet, "wet": 2.0 * wet, "area": seen["area"], "colours": 1.0}
        hours = {
            "strip": 1 + 3 * seen["area"],
            "let in": 1.5 * found["pieces"] * (1.3 if wet else 1),
            "spray": 14.0,
        }
        boards.append(Board(f"b{i}", kind="major", state=FINISHED, assessed=seen, found=found))
        entries += [
            Entry(f"b{i}", DAY, s, h * float(np.exp(0.15 * rng.standard_normal()))) for s, h in hours.items()
        ]
    return Log(tuple(boards), tuple(entries))


def test_before_opening_is_longer_and_wider_than_opened_up():
    learned = fit(shop_with_surprises(), SETTINGS)
    board = KnownBoard("n", kind="major", assessed={"area": 2.0, "pieces": 2.0, "colours": 1.0, "wet": 0.0})
    found = replace(board, found={"pieces": 2.0, "wet": 0.0})

    before = answer(learned, board, SETTINGS, view="before")
    opened = answer(learned, found, SETTINGS, view="opened")
    finished = answer(learned, found, SETTINGS, view="finished")

    assert before.high - before.low > 1.1 * (opened.high - opened.low)
    assert before.high > opened.high
    assert (opened.low, opened.high) == (finished.low, finished.high)


def test_without_donors_before_is_as_judged():
    learned = fit(shop_with_surprises(), SETTINGS)
    board = KnownBoard("n", kind="minor", assessed={"area": 2.0, "pieces": 2.0, "colours": 1.0, "wet": 0.0})

    before = answer(learned, board, SETTINGS, view="before")
    finished = answer(learned, board, SETTINGS, view="finished")

    assert (before.low, before.likely, before.high) == (finished.low, finished.likely, finished.high)


def test_hidden_work_does_not_hide_that_a_board_is_bigger_than_any():
    learned = fit(shop_with_surprises(), SETTINGS)
    board = KnownBoard("n", kind="major", assessed={"area": 2.0, "pieces": 30.0, "colours": 1.0, "wet": 0.0})

    assert [(o.driver, o.how) for o in answer(learned, board, SETTINGS, view="before").outside] == [
        ("pieces", "beyond")
    ]


def test_look_next_is_the_width_that_an_answer_takes_away():
    rng = np.random.default_rng(3)
    n = 200_000
    pieces, colours = rng.integers(0, 4, n).astype(float), rng.integers(0, 3, n).astype(float)
    total = 30 + 2 * pieces + 10 * colours + rng.standard_normal(n)

    got = {a.driver: a.narrows_hours for a in look_next(total, {"pieces": pieces, "colours": colours})}

    width = np.subtract(*np.quantile(total, [0.9, 0.1]))
    left = np.mean([np.subtract(*np.quantile(total[colours == c], [0.9, 0.1])) for c in (0, 1, 2)])
    assert next(iter(got)) == "colours"
    assert got["colours"] == pytest.approx(width - left, rel=0.01)
    assert look_next(total, {"nothing": rng.integers(0, 4, n).astype(float)}) == ()


def test_what_is_not_known_is_asked_by_what_it_is_worth():
    learned = fit(shop_with_surprises(), SETTINGS)
    board = KnownBoard("n", kind="major", assessed={"area": 2.0, "colours": 1.0})

    unknown = answer(learned, board, SETTINGS)
    pieces, wet = unknown.look_next

    assert (pieces.driver, wet.driver) == ("pieces", "wet")
    assert pieces.narrows_hours == wet.narrows_hours  # on every past board either tells the other
    known = [
        answer(learned, replace(board, assessed={**board.assessed, **seen}), SETTINGS, view="finished")
        for seen in ({"pieces": 2.0, "wet": 0.0}, {"pieces": 8.0, "wet": 2.0})
    ]
    soaked = np.mean([b.found["wet"] == 2.0 for b in learned.boards])
    left = np.average([each.high - each.low for each in known], weights=[1 - soaked, soaked])
    assert pieces.narrows_hours == pytest.approx(unknown.high - unknown.low - left, rel=0.05)


def test_what_tells_less_is_asked_later():
    learned = fit(shop_with_surprises(), SETTINGS)
    asked = answer(learned, KnownBoard("n", kind="major", assessed={"colours": 1.0}), SETTINGS).look_next

    assert [a.driver for a in asked] == ["pieces", "wet", "area"]
    assert asked[2].narrows_hours < 0.8 * asked[0].narrows_hours


def test_what_is_asked_is_sure_at_once_and_what_a_stage_shows_after_it():
    assert [surprises.known_from(name, SETTINGS) for name in ("colours", "pieces", "wet")] == [
        "asked", "strip", "strip"
    ]  # fmt: skip


def test_unplanned_work_comes_as_often_as_it_came():
    log = shop_with_surprises()
    none = [
        replace(b, assessed={**b.assessed, "colours": 0.0}, found={**b.found, "colours": 0.0})
        for b in log.boards
    ]
    kept = tuple(
        e for e in log.entries if e.stage != "spray" or e.board in {"b0", "b1", "b2", "b3", "b4", "b5"}
    )
    learned = fit(replace(log, boards=tuple(none), entries=kept), SETTINGS)
    board = KnownBoard("n", kind="major", assessed={"area": 2.0, "pieces": 2.0, "colours": 0.0, "wet": 0.0})

    before = answer(learned, board, SETTINGS, view="before")
    finished = answer(learned, board, SETTINGS, view="finished")

    assert [s.stage for s in before.stages] == ["strip", "let in", "spray"]
    assert [s.stage for s in finished.stages] == ["strip", "let in"]
    spray = next(s for s in before.stages if s.stage == "spray")
    assert (spray.low, spray.likely) == (0.0, 0.0)  # six of thirty boards, and the five lent: one in five
    assert spray.high > 10


def test_hidden_work_is_weighed_without_what_was_added_and_by_boards_whose_hours_tell():
    """Of two boards one took a quarter of what it looked, and one, on which nothing was let in after all, says nothing."""
    stages = {"let in": SETTINGS.stages["let in"]}
    told = made_fit(
        replace(SETTINGS, stages=stages), {("let in", "pieces"): 3.0}, {}, loading=0.2, noise=0.3, n=4
    )
    less, none = past("l", 8.0, 2.0), past("n", 2.0, 0.0)

    settings = replace(SETTINGS, stages=stages)
    wanted = 20 * (0.2**2 + 0.3**2 / 8) / math.log(4) ** 2
    assert nothing_hidden(told, [less, none], settings) == pytest.approx(max(wanted, 2.0))
    assert nothing_hidden(told, [past("h", 2.0, 2.4)], settings) == pytest.approx(
        20 * (0.2**2 + 0.3**2 / 8) / math.log(1.2) ** 2
    )
    assert nothing_hidden(told, [past("o", 1.0, 3.0, later=2.0)], settings) == MOST


def test_likeness_goes_by_all_that_was_seen_and_by_length_where_it_is_known():
    """None and six pieces are six apart; a board of no known length is taken for as long."""
    none, six = past("n", 0.0, 0.0), past("s", 6.0, 6.0)
    board = replace(NEXT, assessed={**NEXT.assessed, "pieces": 6.0})
    by_pieces = likeness(board, [none, six])
    assert by_pieces[1] == 1.0
    assert by_pieces[0] < 0.99

    short, unknown, long = (past(str(n), 2.0, 2.0, length_m=n) for n in (1.9, None, 2.8))
    by_length = likeness(replace(board, length_m=2.6), [short, unknown, long])
    assert by_length[1] == 1.0
    assert by_length[0] < by_length[2] < 1.0
    assert likeness(replace(board, length_m=None), [past("a", 6.0, 6.0)]).tolist() == [1.0]


def test_what_was_worked_out_on_a_past_board_is_no_surprise_of_its_own(learned):
    more = replace(PLAIN[0], found={**PLAIN[0].found, "area": 3.0})

    assert set(drawn(learned, [more])) == {"area"}
    assert drawn(learned, [replace(more, worked_out=("area",))]) == {}


def test_what_differs_little_on_all_boards_counts_as_much_as_what_differs_much():
    """Half a square metre is as far as areas go here, six pieces as far as pieces do: either is half of what was seen."""
    area = replace(past("a", 6.0, 6.0), assessed={**NEXT.assessed, "pieces": 6.0, "area": 2.5})
    pieces = replace(past("p", 0.0, 0.0), assessed={**NEXT.assessed, "pieces": 0.0})
    board = replace(NEXT, assessed={**NEXT.assessed, "pieces": 6.0})

    assert likeness(board, [area, pieces]).tolist() == [1.0, 1.0]

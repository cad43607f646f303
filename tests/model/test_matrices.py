"""Which rows a log gives: finished stages, totals, rests of totals; and what is left out, and said."""

import datetime as dt

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from making import small_shop

from estimator.model.matrices import CellBuilder, Layout, coarseness, grain_of, layout_of, table_of
from estimator.words.records import FINISHED, ON_BENCH, SHOP, WITHDRAWN, Board, Entry, Log
from estimator.words.settings.schema import Driver, Modifier, Settings, Stage

SETTINGS = Settings(
    drivers={"area": Driver("area"), "pieces": Driver("pieces"), "colours": Driver("colours")},
    modifiers={"brittle": Modifier("brittle", stages=("strip",), grades=("sound", "crisp", "brittle"))},
    stages={
        "strip": Stage("strip", drivers=("once", "area")),
        "infill": Stage("infill", drivers=("pieces",), after=("strip",)),
        "spray": Stage("spray", drivers=("once", "colours"), after=("infill",)),
        "stain": Stage("stain", happens="sometimes"),
        "check": Stage("check"),
    },
)
DAY = dt.date(2026, 5, 4)
KNOWN = {"area": 2.0, "pieces": 3.0, "colours": 1.0, "brittle": 1.0}


def board(name="b", state=FINISHED, **fields):
    return Board(name, **{"state": state, "assessed": KNOWN, **fields})


def entry(stage, hours, name="b", n=0, **more):
    return Entry(name, DAY + dt.timedelta(days=n), stage, hours, **more)


def rows(boards, entries=(), settings=SETTINGS, **options):
    """Each row as board, hours, and per stage its work and grades by name."""
    table = table_of(Log(tuple(boards), tuple(entries)), settings, **options)
    cells, layout = table.cells, table.layout
    work, grades = cells.work.toarray(), cells.grades.toarray()
    of_row = [*range(cells.n_single), *(cells.row + cells.n_single).tolist()]
    said = [
        (table.boards[b], pytest.approx(h), {})
        for b, h in zip(table.board, np.exp(table.log_hours), strict=True)
    ]
    for cell, row in enumerate(of_row):
        parts = {d: v for (s, d), v in zip(layout.parts, work[cell], strict=True) if v}
        parts |= {m: v for (s, m), v in zip(layout.conditions, grades[cell], strict=True) if v}
        said[row][2][layout.stages[cells.stage[cell]]] = parts
    return said, table


STRIP = {"strip": {"once": 1.0, "area": 2.0, "brittle": 1.0}}


# ---- rows


def test_each_finished_stage_is_a_row():
    said, _ = rows([board()], [entry("strip", 5.0), entry("strip", 1.5), entry("infill", 3.0)])

    assert said == [("b", 6.5, STRIP), ("b", 3.0, {"infill": {"pieces": 3.0}})]


def test_a_total_is_a_row_of_all_stages_that_happened():
    said, _ = rows([board(total_hours=40.0, assessed={**KNOWN, "colours": 0.0})])

    assert said == [("b", 40.0, {**STRIP, "infill": {"pieces": 3.0}, "check": {"once": 1.0}})]


def test_what_is_left_of_a_total_is_a_row_of_the_stages_without_rows():
    said, _ = rows([board(total_hours=40.0)], [entry("strip", 9.0), entry("infill", 4.0)])

    assert said[2] == ("b", 27.0, {"spray": {"once": 1.0, "colours": 1.0}, "check": {"once": 1.0}})


@pytest.mark.parametrize("total", [9.0, 8.0])
def test_nothing_left_of_a_total_is_no_row(total):
    said, _ = rows([board(total_hours=total)], [entry("strip", 9.0)])

    assert said == [("b", 9.0, STRIP)]


def test_a_board_in_hand_gives_its_finished_stages():
    said, _ = rows(
        [board(state=ON_BENCH, total_hours=99.0)], [entry("strip", 5.0), entry("infill", 1.0, n=1)]
    )

    assert said == [("b", 5.0, STRIP)]


def test_a_withdrawn_board_gives_its_finished_stages_and_one_without_hours_is_said():
    said, table = rows(
        [board(state=WITHDRAWN), board("w", state=WITHDRAWN)],
        [entry("strip", 5.0, done=True), entry("infill", 1.0)],
    )

    assert said == [("b", 5.0, STRIP)]
    assert table.left_out == {"withdrawn": 1}


def test_rows_of_no_hours_and_hours_on_no_board_are_no_rows():
    said, table = rows([board()], [entry("strip", 0.0), entry("strip", 3.0, name=SHOP), entry("infill", 2.0)])

    assert [hours for _, hours, _ in said] == [2.0]
    assert table.n_rows == 1


def test_what_turned_out_counts_and_what_was_only_judged_where_nothing_was_found():
    said, _ = rows([board(found={"area": 3.0})], [entry("strip", 5.0)])

    assert said[0][2] == {"strip": {"once": 1.0, "area": 3.0, "brittle": 1.0}}


def test_one_stage_as_a_total_stands_among_the_single_rows():
    alone = {"area": 0.0, "pieces": 3.0, "colours": 0.0}
    settings = Settings(drivers=SETTINGS.drivers, stages={"infill": Stage("infill", drivers=("pieces",))})
    _, table = rows([board(total_hours=5.0, assessed=alone)], settings=settings)

    assert (table.n_rows, table.cells.n_single) == (1, 1)


# ---- what is not known


def test_a_row_whose_quantity_is_not_known_is_left_out_and_counted():
    unknown = {k: v for k, v in KNOWN.items() if k != "pieces"}
    said, table = rows(
        [board(assessed=unknown), board("t", assessed=unknown, total_hours=30.0)],
        [entry("strip", 5.0), entry("infill", 2.0)],
    )

    assert said == [("b", 5.0, STRIP)]
    assert table.left_out == {"quantity not known": 2}


def test_a_condition_that_is_not_known_counts_as_the_shop_s_usual_grade():
    boards = [board("a", assessed={**KNOWN, "brittle": 2.0}), board("c", assessed={**KNOWN, "brittle": 1.0})]
    unknown = board(assessed={k: v for k, v in KNOWN.items() if k != "brittle"})
    said, _ = rows([*boards, unknown], [entry("strip", 5.0)])

    assert said[0][2]["strip"]["brittle"] == 1.5


def test_a_condition_that_is_known_of_no_board_counts_as_none():
    said, _ = rows(
        [board(assessed={k: v for k, v in KNOWN.items() if k != "brittle"})], [entry("strip", 5.0)]
    )

    assert said[0][2] == {"strip": {"once": 1.0, "area": 2.0}}


# ---- stages that happen or not


def test_hours_where_nothing_was_planned_have_a_rate_of_their_own():
    said, table = rows([board(assessed={**KNOWN, "pieces": 0.0})], [entry("infill", 2.0)])

    assert said == [("b", 2.0, {"infill": {"unplanned": 1.0}})]
    assert ("infill", "unplanned") in table.layout.parts
    assert layout_of(SETTINGS).parts == tuple(p for p in table.layout.parts if p[1] != "unplanned")


def test_hours_on_a_sometimes_stage_are_its_set_up():
    said, _ = rows([board(assessed={**KNOWN, "stain": 0.0})], [entry("stain", 2.0)])

    assert said == [("b", 2.0, {"stain": {"once": 1.0}})]


@pytest.mark.parametrize(("stain", "there"), [(None, False), (0.0, False), (1.0, True)])
def test_a_sometimes_stage_is_part_of_a_total_where_the_board_says_so(stain, there):
    values = KNOWN if stain is None else {**KNOWN, "stain": stain}
    said, _ = rows([board(total_hours=40.0, assessed=values)])

    assert ("stain" in said[0][2]) == there


# ---- rounding


def test_rounding_is_the_variance_of_uniform_steps():
    """A uniform step has variance one twelfth of its square; relative to the hours, never below the step."""
    assert coarseness(10.0, 1, 1.0) == pytest.approx(1 / 1200)
    assert coarseness(10.0, 4, 0.5) == pytest.approx(4 * 0.25 / 1200)
    assert coarseness(0.1, 1, 1.0) == pytest.approx(1 / 12)
    assert coarseness(10.0, 3, 0.0) == 0.0

    rng = np.random.default_rng(1)
    true = rng.uniform(3.5, 4.5, (4, 100_000))
    errors = np.log(np.round(true * 2).sum(axis=0) / 2) - np.log(true.sum(axis=0))
    assert errors.var() == pytest.approx(coarseness(16.0, 4, 0.5), rel=0.05)


def test_a_log_s_own_step_an_entry_s_own_and_a_total_s():
    said, table = rows(
        [board(), board("d"), board("t", total_hours=26.0, total_grain=6.5), board("u", total_hours=26.0)],
        [
            entry("strip", 4.5),
            entry("strip", 1.0, n=1),
            entry("infill", 2.0),
            entry("strip", 13.0, "d", grain=6.5),
        ],
    )
    expected = {
        ("b", 5.5): coarseness(5.5, 2, 0.5),
        ("b", 2.0): coarseness(2.0, 1, 0.5),
        ("d", 13.0): coarseness(13.0, 1, 6.5),
        ("t", 26.0): coarseness(26.0, 1, 6.5),
        ("u", 26.0): coarseness(26.0, 1, 0.5),
    }

    assert {
        (table.boards[b], round(float(np.exp(h)), 6)): pytest.approx(r)
        for b, h, r in zip(table.board, table.log_hours, table.rounding, strict=True)
    } == expected
    assert len(said) == 5


# ---- days


def test_years_go_back_from_the_last_entry_to_a_stage_s_middle():
    entries = [
        entry("strip", 1.0),
        entry("strip", 1.0, n=100),
        entry("strip", 1.0, n=110),
        entry("spray", 1.0, n=200),
    ]
    _, table = rows([board()], entries)

    assert table.as_of == DAY + dt.timedelta(days=200)
    assert table.years == pytest.approx([-100 / 365.25, 0.0])


def test_the_day_asked_for_counts_where_it_is_earlier():
    entries = [entry("strip", 1.0), entry("spray", 1.0, n=200)]
    early, late = (DAY + dt.timedelta(days=n) for n in (50, 400))

    assert rows([board()], entries, as_of=early)[1].as_of == early
    assert rows([board()], entries, as_of=early)[1].years == pytest.approx([-50 / 365.25, 0.0])
    assert rows([board()], entries, as_of=late)[1].as_of == DAY + dt.timedelta(days=200)


def test_hours_on_no_board_are_a_last_entry_too():
    _, table = rows([board()], [entry("strip", 1.0), entry("strip", 2.0, name=SHOP, n=70)])

    assert table.years == pytest.approx([-70 / 365.25])


def test_a_total_lies_in_the_middle_of_its_board():
    dated = board("a", total_hours=40.0, started=DAY, ready=DAY + dt.timedelta(days=40))
    undated = board("u", total_hours=40.0)
    _, table = rows([dated, undated], [entry("strip", 1.0, name=SHOP, n=120)])

    assert table.years == pytest.approx([-100 / 365.25, 0.0])


@pytest.mark.parametrize(
    ("dates", "ago"),
    [
        ({"started": 90, "accepted": 70, "quoted": 60, "asked": 50, "ready": 30}, 60),
        ({"accepted": 70, "quoted": 60, "asked": 50, "ready": 30, "collected": 10}, 50),
        ({"quoted": 60, "asked": 50, "collected": 10, "paid_on": 0}, 35),
        ({"asked": 50, "paid_on": 20}, 35),
        ({"asked": 50}, 50),
        ({"ready": 30}, 30),
    ],
)
def test_a_total_lies_halfway_between_the_first_and_the_last_of_its_days(dates, ago):
    last = DAY + dt.timedelta(days=120)
    total = board("t", total_hours=40.0, **{name: last - dt.timedelta(days=n) for name, n in dates.items()})
    _, table = rows([total], [entry("strip", 1.0, name=SHOP, n=120)])

    assert table.years == pytest.approx([-ago / 365.25])


def test_rows_belong_to_the_quarter_of_their_middle_and_those_without_a_day_to_none():
    """Rows of 31 March, 1 April, 30 September and 1 October 2026, and a total without a day."""
    names = [f"q{n}" for n in range(4)]
    days = (dt.date(2026, 3, 31), dt.date(2026, 4, 1), dt.date(2026, 9, 30), dt.date(2026, 10, 1))
    boards = [*(board(name) for name in names), board("u", total_hours=40.0)]
    entries = [Entry(name, day, "strip", 2.0) for name, day in zip(names, days, strict=True)]
    _, table = rows(boards, entries)

    assert table.to_quarter.toarray().tolist() == [
        [1, 0, 0, 0, 0], [0, 1, 0, 0, 0], [0, 0, 1, 0, 0], [0, 0, 0, 1, 0]
    ]  # fmt: skip
    early = rows(boards, entries, as_of=dt.date(2026, 5, 1))[1]  # what comes after the day is of its quarter
    assert early.to_quarter.toarray().tolist() == [[1, 0, 0, 0, 0], [0, 1, 1, 1, 0]]
    assert early.years == pytest.approx([-31 / 365.25, -30 / 365.25, 0.0, 0.0, 0.0])
    before_all = rows(boards, entries, as_of=dt.date(2025, 6, 1))[1]
    assert before_all.to_quarter.toarray().tolist() == [[1, 1, 1, 1, 0]]


def test_the_last_day_is_that_of_a_total_where_its_middle_comes_after_all_entries():
    total = board("t", total_hours=40.0, started=DAY + dt.timedelta(100), ready=DAY + dt.timedelta(140))
    _, table = rows([board(), total], [entry("strip", 2.0)])

    assert table.as_of == DAY + dt.timedelta(120)
    assert table.years == pytest.approx([-120 / 365.25, 0.0])


def test_the_step_of_a_log_is_that_of_hours_on_boards_that_name_none():
    whole = [entry("strip", float(n), n=n) for n in range(2, 8)]
    fine = [entry("strip", 1.37, name=SHOP, n=n) for n in range(9)]
    own = [entry("infill", 2.13, n=n, grain=0.01) for n in range(9)]

    assert grain_of(Log(entries=tuple(whole))) == 1.0
    assert grain_of(Log(entries=(*whole, *fine, *own))) == 1.0
    assert grain_of(Log(entries=(*whole, *(entry("infill", 2.13, n=n) for n in range(9))))) == 0.0


def test_an_empty_log_has_no_rows_and_no_day():
    _, table = rows([], as_of=DAY)

    assert (table.n_rows, table.as_of, table.boards) == (0, None, ())


# ---- whole


def test_the_sums_are_of_their_own_rows_and_boards():
    table = table_of(small_shop.log(), small_shop.SETTINGS)
    ones = np.ones(len(table.cells.stage))

    assert table.cells.to_stage @ ones == pytest.approx(np.bincount(table.cells.stage))
    assert (table.to_board @ np.ones(table.n_rows)).tolist() == [4, 1, 2, 1, 4, 1, 3, 1]
    assert table.cells.to_row.sum() == len(table.cells.row)
    assert {b: int(n) for b, n in zip(table.boards, table.to_board @ table.years != 0, strict=True)}["d"] == 0


quantity = st.one_of(st.none(), st.sampled_from([0.0, 1.0, 2.5]))


@given(
    st.tuples(quantity, quantity, quantity, quantity, st.sampled_from([None, 0.0, 1.0])),
    st.dictionaries(st.sampled_from(sorted(SETTINGS.stages)), st.sampled_from([0.0, 0.25, 3.0]), max_size=5),
    st.one_of(st.none(), st.floats(0.5, 90)),
    st.sampled_from([FINISHED, ON_BENCH, WITHDRAWN]),
)
def test_whatever_a_board_holds_its_rows_have_work_and_hours(values, hours, total, state):
    """Every row has a positive median, so that no logarithm is of nothing."""
    names = ("area", "pieces", "colours", "brittle", "stain")
    assessed = {n: v for n, v in zip(names, values, strict=True) if v is not None}
    _, table = rows(
        [board(state=state, assessed=assessed, total_hours=total)], [entry(s, h) for s, h in hours.items()]
    )

    assert np.all(np.isfinite(table.log_hours))
    assert np.all(table.cells.work @ np.ones(len(table.layout.parts)) > 0)
    assert np.all(table.rounding >= 0)
    assert np.exp(table.log_hours).sum() <= max(sum(hours.values()), total or 0.0) + 1e-9


def test_cells_keep_the_order_in_which_they_are_added():
    builder = CellBuilder(Layout(("a", "b"), (("a", "once"), ("b", "once")), ()))
    builder.add(0, "b", {"once": 2.0}, {})
    builder.add(1, "a", {"once": 3.0}, {})
    builder.add(1, "b", {"once": 5.0}, {})
    cells = builder.freeze(2)

    assert (cells.n_single, cells.row.tolist(), cells.stage.tolist()) == (1, [0, 0], [1, 0, 1])
    assert cells.work.toarray().tolist() == [[0, 2], [3, 0], [0, 5]]
    assert cells.to_row.toarray().tolist() == [[1, 1]]


def test_hours_below_the_step_of_writing_are_no_coarser_than_one_step():
    """Two entries rounded to the half hour: 2 x .25 / 12 over the square of what they sum to, never less than a step."""
    assert coarseness(2.0, 2, 0.5) == pytest.approx(0.5 / 12 / 4)
    assert coarseness(0.1, 2, 0.5) == pytest.approx(2 / 12)
    assert coarseness(2.0, 2, 0.0) == 0.0

"""Where a board stands, and dates in their order."""

import datetime as dt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from estimator.log.parse.boards import IN_ORDER, contradicted, numbered, out_of_order, state_from
from estimator.words.records import STATES

DAYS = st.dictionaries(st.sampled_from(IN_ORDER), st.dates(dt.date(2026, 1, 1), dt.date(2026, 1, 9)))


@pytest.mark.parametrize(
    ("happened", "hours", "state"),
    [
        ([], False, "asked"),
        (["asked", "quoted"], False, "asked"),
        (["accepted"], False, "waiting"),
        (["accepted"], True, "on bench"),
        ([], True, "on bench"),
        (["started"], False, "on bench"),
        (["ready"], True, "finished"),
        (["collected"], False, "finished"),
    ],
)
def test_dates_and_hours_tell_the_state(happened, hours, state):
    assert state_from(happened, hours=hours) == state


@pytest.mark.parametrize(
    ("state", "happened", "against"),
    [
        ("asked", ["asked", "quoted"], ""),
        ("asked", ["accepted"], "accepted"),
        ("waiting", ["accepted", "started", "ready"], "ready"),
        ("on bench", ["started"], ""),
        ("on bench", ["collected"], "collected"),
        ("stopped", ["started"], ""),
        ("finished", [], ""),
        ("declined", ["collected"], ""),
        ("declined", ["accepted"], "accepted"),
        ("withdrawn", ["started", "collected"], ""),
        ("withdrawn", ["ready"], "ready"),
    ],
)
def test_a_written_state_that_the_dates_contradict(state, happened, against):
    assert contradicted(state, happened) == against


@given(st.lists(st.sampled_from(IN_ORDER)), st.booleans())
def test_a_state_that_was_worked_out_is_never_contradicted(happened, hours):
    state = state_from(happened, hours=hours)
    assert state in STATES
    assert contradicted(state, happened) == ""


def test_the_date_that_stands_alone_against_the_others_is_the_one_out_of_order():
    days = {name: dt.date(2026, 1, at) for at, name in enumerate(IN_ORDER, 1)}
    assert out_of_order(days) == []
    assert out_of_order(days | {"accepted": dt.date(2062, 1, 3)}) == [("accepted", "started")]
    assert out_of_order(days | {"ready": dt.date(2025, 1, 3)}) == [("ready", "started")]
    assert out_of_order({"started": dt.date(2026, 5, 5), "ready": dt.date(2026, 5, 3)}) == [
        ("started", "ready")
    ]


@given(DAYS)
def test_without_them_the_dates_are_in_order_and_fewer_would_not_do(days):
    from itertools import combinations, pairwise

    def ordered(left_out):
        kept = [days[name] for name in IN_ORDER if name in days and name not in left_out]
        return all(a <= b for a, b in pairwise(kept))

    stray = out_of_order(days)
    assert ordered({name for name, _ in stray})
    assert not any(ordered(set(fewer)) for fewer in combinations(days, max(len(stray) - 1, 0)) if stray)
    for name, other in stray:
        before = IN_ORDER.index(name) < IN_ORDER.index(other)
        assert (days[name] > days[other]) if before else (days[name] < days[other])


def test_numbers_run_on_within_a_year_and_never_twice():
    assert numbered(["", "26-001", "", "26-1000", ""], [2026, 2026, None, None, 2027]) == [
        "26-1001",
        "26-001",
        "26-1002",
        "26-1000",
        "27-001",
    ]
    assert numbered(["", ""], [None, None]) == ["00-001", "00-002"]


@given(
    st.lists(
        st.tuples(
            st.sampled_from(["", "", "26-001", "26-013", "25-9", "x"]), st.sampled_from([None, 2025, 2026])
        ),
        max_size=8,
    )
)
def test_no_given_number_is_one_that_is_written(rows):
    ids = numbered([name for name, _ in rows], [year for _, year in rows])
    given_ids = [new for new, (old, _) in zip(ids, rows, strict=True) if not old]
    assert len(set(given_ids)) == len(given_ids)
    assert not set(given_ids) & {old for old, _ in rows}


def test_a_number_is_one_more_than_the_greatest_of_its_year_in_whatever_order_they_stand():
    assert numbered(["26-009", "26-002", "", "25-020", ""], [2026, 2026, 2026, 2025, 2025]) == [
        "26-009",
        "26-002",
        "26-010",
        "25-020",
        "25-021",
    ]

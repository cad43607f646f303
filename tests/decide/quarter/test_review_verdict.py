"""Whether a quarter paid, in a word, and what is left of its money: by hand."""

from dataclasses import replace
from types import SimpleNamespace

import pytest
from making.quarters import TODAY, known_of, reviewed, write

from estimator.decide.quarter.review import Review


def of(**more):
    """What a review says that has nothing but these."""
    plain = {"wanted": 40.0, "least": 30.0, "overheads": 5.0}
    return SimpleNamespace(**{**plain, **more})


@pytest.mark.parametrize(
    ("pay", "verdict"),
    [
        (None, None),
        (40.0, "paid"),
        (39.9, "just short"),
        (36.0, "just short"),  # nine tenths
        (35.9, "short"),
        (30.0, "short"),
        (29.9, "below the least"),
    ],
)
def test_whether_it_paid(pay, verdict):
    assert Review.verdict.fget(of(pay=SimpleNamespace(all=pay))) == verdict


def test_between_the_least_and_nine_tenths_there_may_be_nothing():
    assert Review.verdict.fget(of(pay=SimpleNamespace(all=38.0), least=39.0)) == "below the least"


def test_what_is_left_after_rent():
    pay = SimpleNamespace(all=40.0, counted_income=1000.0, brought=800.0, counted_hours=20.0, hours=90.0)

    assert Review.after_overheads.fget(of(pay=pay)) == 35.0
    assert Review.money.fget(of(pay=pay)).as_dict() == {"in": 1000.0, "materials": 200.0, "rent": 100.0, "left": 700.0}
    nothing = of(pay=SimpleNamespace(all=None))
    assert Review.after_overheads.fget(nothing) is Review.money.fget(nothing) is None


def test_what_is_owed_is_known_only_where_payments_are_written():
    owing = [SimpleNamespace(owed=600.0), SimpleNamespace(owed=None), SimpleNamespace(owed=50.0)]

    assert Review.owed.fget(of(owing=owing, payments_written=True)) == 650.0
    assert Review.owed.fget(of(owing=owing, payments_written=False)) is None


@pytest.fixture(scope="module")
def workshop(tmp_path_factory):
    return known_of(write(tmp_path_factory.mktemp("verdict") / "shop"))


def test_quarters_are_shown_from_the_first_with_a_board_to_this_one(workshop):
    """Two boards of 2025, one of the first quarter of 2026, none of the second, and the six of the third."""
    review = reviewed(workshop)

    assert [(name, pay.boards) for name, pay in review.quarters] == [
        ("2025-Q2", 1), ("2025-Q3", 1), ("2025-Q4", 0), ("2026-Q1", 1), ("2026-Q2", 0), ("2026-Q3", 6)
    ]  # fmt: skip
    assert (review.last_year.boards, review.last_year.income) == (1, 900.0)
    assert [name for name, _ in reviewed(workshop, "2025-Q1").quarters] == ["2025-Q1"]
    ahead = [name for name, _ in reviewed(workshop, "2027-Q3").quarters]
    assert (len(ahead), ahead[0], ahead[-1]) == (9, "2025-Q3", "2027-Q3")


def test_a_sort_of_job_is_held_against_its_guesses_over_the_year(workshop):
    """Major: 32 + 39 + 50 + 60 hours on guesses of 30, 36, 45 and 64; minor: 30 + 24 + 36 on 30, 20 and 30."""
    log, settings = workshop
    over = {group.name: group.over for group in reviewed(workshop).by_kind}
    assert over == {"major": pytest.approx(181 / 175), "minor": pytest.approx(90 / 80)}
    bare = tuple(replace(b, guess_low=None, guess_high=None) if b.kind == "minor" else b for b in log.boards)
    over = {group.name: group.over for group in reviewed((replace(log, boards=bare), settings)).by_kind}
    assert over == {"major": pytest.approx(181 / 175), "minor": None}


def test_a_board_ready_on_the_last_day_is_of_the_quarter_and_overheads_are_those_of_its_end(workshop):
    assert [one.board for one in reviewed(workshop).made][-1] == "26-007"  # on 30 September
    early, late = (reviewed(workshop, today=today).overheads for today in (TODAY, TODAY.replace(year=2028)))
    assert early == late

"""Whether a quarter paid, in a word, and what is left of its money: by hand."""

from dataclasses import replace
from types import SimpleNamespace

import pytest
from making.quarters import TODAY, known_of, reviewed, write
from making.verdicts import verdict

from estimator.decide.quarter.review import Known, Review, WentOver, review_of
from estimator.decide.quarter.suggestions import Suggestion
from estimator.words.dates import Quarter


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
    assert Review.money.fget(of(pay=pay)).as_dict() == {
        "in": 1000.0,
        "materials": 200.0,
        "rent": 100.0,
        "left": 700.0,
    }
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


# ---- as it stood then, and as it is known today


def kept_known(monkeypatch):
    """What each part of a review is made from, by name."""
    seen = {}
    for name in (
        "stood_of",
        "turned_down",
        "given_back_in",
        "charges_of",
        "chart_of",
        "ask_for_money",
        "ask_more",
        "tell_later",
        "afterwards",
    ):
        monkeypatch.setattr(
            f"estimator.decide.quarter.review.{name}",
            lambda *args, name=name, **_: seen.setdefault(name, args) and None,
        )
    return seen


def test_waits_and_what_was_turned_down_are_as_they_stood_and_money_as_it_is_known(workshop, monkeypatch):
    log, settings = workshop
    quarter = Quarter.read("2026-Q3", TODAY)
    then, rules = replace(log, waits=()), settings.rules[:1]
    record = SimpleNamespace(landed=[("26-002", "2026-07-01", 0.5), ("gone", "2026-08-01", -0.5)])
    verdicts = SimpleNamespace(rules=(verdict(name="own"), verdict(name="lent", lent=True)))
    seen = kept_known(monkeypatch)
    known = Known(log, then, settings, rules, fit="fit", record=record, verdicts=verdicts)
    review = review_of(quarter, known)

    assert seen["stood_of"] == (then, quarter)
    assert seen["turned_down"] == (then, (quarter.first, quarter.end))
    assert seen["given_back_in"][3] == (quarter.first, quarter.end)
    assert seen["charges_of"] == ("fit", settings, rules)
    landed, first, last = seen["chart_of"]
    assert [(one.board, one.name, one.finished, one.score) for one in landed] == [
        ("26-002", "red nine-four", "2026-07-01", 0.5), ("gone", "gone", "2026-08-01", -0.5)
    ]  # fmt: skip
    assert (first, last) == ("2026-07-01", "2026-09-30")
    assert seen["ask_for_money"][1:] == (
        TODAY,
        "mk",
    )  # what is owed is asked for by today, not by the quarter's end
    assert (seen["tell_later"][0].held, seen["tell_later"][0].of) == (3, 5)  # dates, not hours
    # a year of boards tells what to ask, and the weeks of those turned down are looked for among all there were
    pays, _, _, short = seen["ask_more"]
    assert ({kind: pay.boards for kind, pay in pays.items()}, short.boards) == ({"major": 4, "minor": 3}, 7)
    assert [one.board for one in seen["afterwards"][2]][:4] == ["25-001", "25-002", "26-001", "26-002"]
    assert seen["afterwards"][3] == (quarter.first, quarter.end)
    assert [one.name for one in review.verdicts] == ["own"]
    assert review_of(quarter, Known(log, then, settings, rules)).verdicts is None


def test_hours_that_are_missing_are_held_against_no_guess_and_two_suggestions_never_ask_for_the_same_money(
    workshop, monkeypatch
):
    log, settings = workshop
    lost = replace(log, partial=frozenset({("26-005", "strip")}))
    over = {group.name: group.over for group in reviewed((lost, settings)).by_kind}
    assert over["major"] == pytest.approx((181 - 50) / (175 - 45))

    more, guess = (Suggestion(sort, sort, "", 1.0) for sort in ("price", "guess"))
    for name, made in (("guess_more", guess), ("tell_later", None), ("ask_for_money", None)):
        monkeypatch.setattr(f"estimator.decide.quarter.review.{name}", lambda *_, made=made: made)
    for price, said in ((more, (more,)), (None, (guess,))):
        monkeypatch.setattr("estimator.decide.quarter.review.ask_more", lambda *_, price=price: price)
        assert reviewed(workshop).suggestions == said


def test_what_is_owed_on_boards_of_before_is_told_too_and_asked_about_no_more(workshop):
    """Grey gun, ready in March: 1,400 less its deposit of 400."""
    log, settings = workshop
    unpaid = replace(log.by_id["26-001"], paid=400.0, paid_on=None)
    log = replace(log, boards=tuple(unpaid if b.board == "26-001" else b for b in log.boards))
    review = reviewed((log, settings))

    assert [(one.board, one.owed) for one in review.owing] == [
        ("26-001", 1000.0), ("26-004", 600.0), ("26-007", 2000.0)
    ]  # fmt: skip
    assert (review.owed, review.gaps.not_paid) == (3600.0, ("lime log", "sand log"))


def test_a_sort_of_the_year_before_alone_is_shown_too(workshop):
    log, settings = workshop
    boards = tuple(replace(b, kind="odd") if b.board == "25-001" else b for b in log.boards)
    groups = {one.name: one for one in reviewed((replace(log, boards=boards), settings)).by_kind}

    assert [(name, one.pay.boards, one.before.boards) for name, one in groups.items()] == [
        ("major", 4, 0), ("minor", 3, 1), ("odd", 0, 1)
    ]  # fmt: skip


def test_boards_hid_work_from_half_an_hour_on():
    boards = [SimpleNamespace(hours={"hidden": much}) for much in (0.5, 0.49, -3.0, 2.0)]

    assert [one.hours["hidden"] for one in WentOver(tuple(boards), 0, {}, 0.0).hid] == [2.0, 0.5]

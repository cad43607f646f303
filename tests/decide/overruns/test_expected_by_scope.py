import datetime as dt
import math
from dataclasses import fields
from types import SimpleNamespace

import numpy as np
import pytest
from making.overruns import LAST_DAY, RATES, log, settings

from estimator.decide.overruns import expected_by_scope as usual
from estimator.decide.overruns.expected_by_scope import before_later, turned_out_in_all, usual_then
from estimator.log.stage_hours import StageHours
from estimator.model.matrices import layout_of
from estimator.model.stage_sums import Numbers
from estimator.words.records import FINISHED, Board, Log
from estimator.words.settings.schema import Driver, Modifier, Settings, Stage

SHOP = settings()
LAYOUT = layout_of(SHOP)
SURE = 1e-9
MONDAY = dt.date(2026, 9, 21)


def numbers(drift=0.0, noise=0.3):
    """The rates that the made workshop has, one draw."""
    n = len(SHOP.stages)
    return Numbers(
        log_rate=np.log([[RATES[part]] for part in LAYOUT.parts]),
        effect=np.full((len(LAYOUT.conditions), 1), 0.25),
        loading=np.full((n, 1), 0.1),
        noise=np.full((n, 1), noise),
        drift=np.array([[drift], [2 * drift], [0.0], [0.0]]),
        lean=np.zeros(1),
        scale=np.ones(1),
    )


def plan(**work):
    cells = [
        ("strip", {"once": 1.0, "area": 2.0}, {"brittle": 1.0}),
        ("infill", {"pieces": 3.0}, {}),
        ("spray", {"colours": 1.0}, {}),
    ]
    return {"looked": cells[:1], "before": cells[:2], "in all": cells}


@pytest.mark.parametrize("years", [0.0, -2.0])
def test_the_median_of_the_sum_at_the_board_s_own_date(years):
    """Worked out plainly (L. F. Fenton 1960): log A - v/2 + the stages' drifts, weighted by their means, times years."""
    drift, noise = -0.08, 0.3
    found = usual._hours(LAYOUT, {"a": plan()}, {"a": years}, numbers(drift, noise))["a"]
    medians = {"strip": (1 + 3 * 2) * math.exp(0.25), "infill": 4.5, "spray": 12.0}
    of = {"strip": drift, "infill": 2 * drift, "spray": 0.0}
    for names, hours in (
        (["strip"], found.looked),
        (["strip", "infill"], found.before),
        (list(medians), found.in_all),
    ):
        mean = {name: medians[name] * math.exp(noise**2 / 2) for name in names}
        total = sum(mean.values())
        v = math.log(1 + sum(a**2 for a in mean.values()) * math.expm1(noise**2) / total**2)
        drifting = sum(mean[name] * of[name] for name in names) / total
        assert math.fsum(hours.values()) == pytest.approx(
            math.exp(math.log(total) - v / 2 + drifting * years), rel=SURE
        )
        then = {name: medians[name] * math.exp(of[name] * years) for name in names}
        for name in names:
            assert hours[name] / math.fsum(hours.values()) == pytest.approx(
                then[name] / sum(then.values()), rel=SURE
            )


def test_hours_of_a_board_are_as_old_as_its_hours():
    as_of = LAST_DAY
    whole = log(6)
    (has,) = (one for name, one in _worked(whole).items() if name == "b02")
    middle = LAST_DAY - dt.timedelta(days=40)
    assert usual._years(whole.by_id["b02"], has, as_of) == pytest.approx(-40 / 365.25)
    told = Board("t", state=FINISHED, started=middle, ready=LAST_DAY)
    assert usual._years(told, (), as_of) == pytest.approx(-20 / 365.25)
    assert usual._years(Board("t", state=FINISHED), (), as_of) == 0.0
    assert usual._years(told, (), None) == 0.0


def _worked(whole):
    from estimator.log.stage_hours import stage_hours

    return stage_hours(whole.entries, whole.by_id, SHOP.stages)


def test_what_was_asked_for_since_comes_off_with_the_area_that_follows_from_it():
    board = Board(
        "a", assessed={"sides": 1.0, "area": 1.2}, found={"sides": 2.0, "area": 2.4, "pieces": 1.0},
        later={"sides": 1.0, "pieces": 3.0},
    )  # fmt: skip
    assert before_later(board, SHOP) == {"sides": 1.0, "area": 1.2, "pieces": 0.0}


def test_many_boards_go_in_parcels(monkeypatch):
    plans, years = {name: plan() for name in "abcde"}, dict.fromkeys("abcde", 0.0)
    whole = usual._hours(LAYOUT, plans, years, numbers())
    monkeypatch.setattr(usual, "AT_ONCE", 2)
    assert usual._hours(LAYOUT, plans, years, numbers()) == whole


def test_the_same_seed_says_the_same():
    whole = log(6)
    assert usual_then(whole, SHOP, whole.boards, seed=3) == usual_then(whole, SHOP, whole.boards, seed=3)
    assert usual_then(Log(), SHOP, []) == {}


def test_where_the_rough_sum_has_no_hours_the_board_keeps_its_own():
    """Leaving a board out is told by a ratio of two approximations, and of nothing there is none."""
    doubt = np.zeros((3, 1))

    def hours(strip, spray):
        return usual.ExpectedHours(*[{"strip": strip, "spray": spray}] * 3, doubt)

    whole = hours(4.0, 12.0)
    assert usual._times(whole, hours(0.0, 0.0), hours(0.0, 0.0)).in_all == whole.in_all
    half = usual._times(whole, hours(0.0, 6.0), hours(0.0, 12.0)).in_all
    assert half["strip"] / half["spray"] == pytest.approx(4 / 6)
    assert math.fsum(half.values()) == pytest.approx(8.0)


def test_each_view_is_changed_by_its_own_ratio():
    """Without the board the rough sum is half of it as it looked, three quarters, and twice in all."""

    def hours(*of, doubt=None):
        return usual.ExpectedHours(*({"strip": much, "spray": 3 * much} for much in of), doubt)

    kept, lost = np.full((3, 1), 0.3), np.zeros((3, 1))
    whole, rough = hours(4.0, 5.0, 6.0, doubt=kept), hours(8.0, 4.0, 7.0, doubt=lost)
    found = usual._times(whole, hours(4.0, 3.0, 14.0, doubt=lost), rough)

    assert [of["spray"] for of in (found.looked, found.before, found.in_all)] == pytest.approx(
        [6.0, 11.25, 36.0]
    )
    assert found.doubt is kept


def test_doubt_is_told_for_each_view_from_as_it_looked_to_in_all():
    """Of colours a draw says a tenth more and one a tenth less, and only in all was anything sprayed."""
    one = numbers()
    two = Numbers(**{f.name: np.repeat(getattr(one, f.name), 2, axis=-1) for f in fields(one)})
    two.log_rate[LAYOUT.parts.index(("spray", "colours"))] += [0.1, -0.1]
    looked, before, in_all = usual._hours(LAYOUT, {"a": plan()}, {"a": 0.0}, two)["a"].doubt

    assert np.abs([*looked, *before]).max() < SURE
    assert in_all[0] == pytest.approx(-in_all[1])
    assert 0.03 < in_all[0] < 0.1


def asked_of(monkeypatch, *, boards=40, rows=9, **more):
    """What usual hours are worked out from, where the log has so many boards and rows: each call of `_hours`."""
    table = SimpleNamespace(
        as_of=LAST_DAY, layout=None, board=np.arange(boards), boards=("b02", "b04"), cells=SimpleNamespace(n_single=rows)
    )  # fmt: skip
    seen, calls = {}, []
    monkeypatch.setattr(usual, "table_of", lambda *_, as_of: seen.update(as_of=as_of) or table)
    monkeypatch.setattr(usual, "terms_of", lambda *args: seen.update(rules=args[3]))
    monkeypatch.setattr(usual, "Density", lambda *_: SimpleNamespace(numbers=lambda draws: draws))
    monkeypatch.setattr(usual, "likeliest", lambda _: SimpleNamespace(draws=lambda n, _: ("normal", n)))
    monkeypatch.setattr(usual, "drawn", lambda *_: SimpleNamespace(draws="chains"))
    monkeypatch.setattr(usual, "_without", lambda density, posterior, at: (density, replace(posterior, at)))
    monkeypatch.setattr(
        usual, "_hours", lambda _, plans, years, of: calls.append((list(plans), years, of)) or dict.fromkeys(plans, of)
    )  # fmt: skip
    monkeypatch.setattr(usual, "_times", lambda whole, alone, rough: (whole, alone, rough))

    def replace(posterior, at):
        return SimpleNamespace(draws=lambda n, _: (f"without {at}", n))

    whole = log(6)
    found = usual_then(whole, SHOP, [whole.by_id["b04"], whole.by_id["b02"]], **more)
    return found, seen, calls


def test_many_boards_are_held_against_all_and_few_against_the_others(monkeypatch):
    found, _, [(boards, years, _)] = asked_of(monkeypatch)
    assert (found, boards) == ({"b04": "chains", "b02": "chains"}, ["b04", "b02"])
    assert years == pytest.approx({"b04": -20 / 365.25, "b02": -40 / 365.25})

    found, _, calls = asked_of(monkeypatch, boards=39)
    rough = ("normal", 512)
    assert found == {
        "b04": ("chains", ("without 1", 512), rough),
        "b02": ("chains", ("without 0", 512), rough),
    }
    assert [of for _, of, _ in calls] == [years] * 4


def test_rates_are_as_of_the_day_by_the_rules_given_and_normal_where_there_are_very_many_rows(monkeypatch):
    for rows, by in ((5000, "chains"), (5001, ("normal", 512))):
        found, seen, _ = asked_of(monkeypatch, rows=rows, as_of=MONDAY, rules=("mine",))
        assert (found["b04"], seen) == (by, {"as_of": MONDAY, "rules": ("mine",)})


PLAIN = Settings(
    drivers={
        "area": Driver("area"),
        "pieces": Driver("pieces"),
        "sides": Driver("sides"),
        "skin": Driver("skin", times="sides"),
    },
    modifiers={"brittle": Modifier("brittle", stages=("strip",))},
    stages={
        "strip": Stage("strip", drivers=("once", "area")),
        "infill": Stage("infill", drivers=("pieces",)),
        "stain": Stage("stain", happens="sometimes"),
    },
)
STRIP, INFILL, STAIN = PLAIN.stages.values()


@pytest.mark.parametrize(
    ("stage", "values", "booked", "work"),
    [
        (STRIP, {"area": 2.0}, False, (True, {"once": 1.0, "area": 2.0})),
        (STRIP, {"area": 0.0}, False, (False, {})),
        (STRIP, {"area": 0.0}, True, (True, {"unplanned": 1.0})),  # hours that nobody planned
        (STRIP, {}, False, (None, {})),
        (STRIP, {}, True, (None, {})),
        (STAIN, {}, False, (False, {})),  # nobody says that it happened
        (STAIN, {}, True, (True, {"once": 1.0})),
        (STAIN, {"stain": 1.0}, False, (True, {"once": 1.0})),
        (STAIN, {"stain": 0.0}, False, (False, {})),
        (Stage("x", drivers=("area", "pieces")), {"area": 1.0}, False, (None, {})),
    ],
)
def test_whether_a_stage_happens_and_with_how_much_work(stage, values, booked, work):
    assert usual._work(stage, values, booked=booked) == work


def plans(**fields):
    """By view the stages with their work, and what slows them; the usual grade is 0.5."""
    board = Board(
        "a", state=FINISHED, **{name: values for name, values in fields.items() if name != "booked"}
    )
    worked = [StageHours(stage, 1.0, 1, None, True, LAST_DAY) for stage in fields.get("booked", ())]
    found = usual._plans(board, tuple(worked), PLAIN, {"brittle": 0.5})
    return None if found is None else {
        view: {stage: (work, grades.get("brittle")) for stage, work, grades in cells} for view, cells in found.items()
    }  # fmt: skip


def strip(area, brittle):
    return {"strip": ({"once": 1.0, "area": area}, brittle)}


def test_as_it_looked_then_as_it_turned_out_then_with_what_was_asked_for_since():
    """One metre was judged, two were found, of which half was asked for since; brittle as it was found, else usual."""
    looked = {"area": 1.0, "pieces": 0.0, "brittle": 1.0}
    found = plans(assessed=looked, found={"area": 2.0, "brittle": 2.0}, later={"area": 0.5})
    assert found == {"looked": strip(1.0, 1.0), "before": strip(1.5, 2.0), "in all": strip(2.0, 2.0)}

    # what nobody wrote of how it looked counts as it turned out, but for a condition, which is as is usual
    found = plans(found={"area": 2.0, "pieces": 0.0, "brittle": 2.0})
    assert found == {"looked": strip(2.0, 0.5), "before": strip(2.0, 2.0), "in all": strip(2.0, 2.0)}

    assert plans(assessed={"area": 1.0}) is None  # of the pieces nobody knows
    assert plans(assessed={"area": 0.0, "pieces": 0.0}) is None  # nothing to do as it looked


def test_a_stage_with_hours_on_it_is_hidden_work_unless_it_was_asked_for_since():
    looked = {"area": 1.0, "pieces": 0.0}
    infill = {"infill": ({"unplanned": 1.0}, None)}

    hidden = plans(assessed=looked, found=looked, booked=("strip", "infill"))
    assert [sorted(cells) for cells in hidden.values()] == [
        ["strip"],
        ["infill", "strip"],
        ["infill", "strip"],
    ]
    assert hidden["before"] == hidden["in all"] == strip(1.0, 0.5) | infill

    asked = plans(
        assessed=looked, found={**looked, "pieces": 3.0}, later={"pieces": 3.0}, booked=("strip", "infill")
    )
    assert [sorted(cells) for cells in asked.values()] == [["strip"], ["strip"], ["infill", "strip"]]

    stained = plans(assessed=looked, found=looked, later={"stain": 1.0}, booked=("strip", "stain"))
    assert [sorted(cells) for cells in stained.values()] == [["strip"], ["strip"], ["stain", "strip"]]
    stained = plans(assessed=looked, found=looked, booked=("strip", "stain"))
    assert [sorted(cells) for cells in stained.values()] == [
        ["strip"],
        ["stain", "strip"],
        ["stain", "strip"],
    ]


@pytest.mark.parametrize(
    ("later", "before"),
    [
        ({}, {"sides": 2.0, "skin": 2.4}),
        ({"sides": 1.0}, {"sides": 1.0, "skin": 1.2}),
        ({"sides": 1.0, "skin": 0.4}, {"sides": 1.0, "skin": 2.0}),  # written by itself
        ({"sides": 5.0}, {"sides": 0.0, "skin": 0.0}),
        ({"skin": 0.4}, {"sides": 2.0, "skin": 2.0}),
    ],
)
def test_an_area_lessens_with_the_faces_that_were_asked_for_since(later, before):
    board = Board("a", found={"sides": 2.0, "skin": 2.4}, later=later)
    assert before_later(board, PLAIN) == pytest.approx(before)


def test_what_was_asked_for_alone_is_all_there_is():
    board = Board(
        "a", assessed={"area": 1.0}, found={"pieces": 2.0}, later={"stain": 1.0, "pieces": 5.0, "area": 0.5}
    )
    assert turned_out_in_all(board) == {"area": 1.5, "pieces": 2.0, "stain": 1.0}


@pytest.mark.parametrize(
    ("dates", "days"),
    [
        ({"started": 10, "accepted": 30, "ready": 0}, 5),
        ({"accepted": 30, "asked": 90, "quoted": 60, "collected": 10}, 20),
        ({"quoted": 60, "asked": 90, "paid_on": 20}, 40),
        ({"asked": 90}, 90),
        ({"ready": 8, "collected": 0}, 8),
        ({"started": -10, "ready": -20}, 0),  # after the day that is looked from
    ],
)
def test_of_a_total_its_age_is_that_of_halfway_between_its_dates(dates, days):
    board = Board("t", state=FINISHED, **{name: LAST_DAY - dt.timedelta(n) for name, n in dates.items()})
    assert usual._years(board, (), LAST_DAY) == pytest.approx(-days / 365.25)

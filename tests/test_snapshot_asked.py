"""What each answer of a snapshot is asked with: from which day, of which board, and what is left out; with stand-ins."""

# ruff: noqa: ARG005  a stand-in is called as what it stands for is

import datetime as dt
from dataclasses import dataclass, replace
from types import SimpleNamespace

import pytest

from estimator.snapshot import Snapshot, _tried
from estimator.words.errors import NoAnswerError, UsageError
from estimator.words.records import Board, Log, Told

DAY = dt.date(2026, 6, 1)
KNOWN = [
    SimpleNamespace(board="a", called="red", name="red", state="on bench"),
    SimpleNamespace(board="b", called="", name="b", state="finished"),
]


@dataclass(frozen=True)
class Said:
    """An answer as far as a snapshot looks at it."""

    board: str
    view: str
    stages: tuple[str, ...] = ("sand",)
    taken_as_none: tuple[str, ...] = ()
    looked_so: object = None
    ready: object = None


def never(*_, **__):
    raise NoAnswerError("No hours.", "Write some.")


def snapshot(**workbench):
    as_of = SimpleNamespace(
        refuse_unknown=lambda *_: None,
        fit=SimpleNamespace(boards=KNOWN),
        settings="settings",
        seed=4,
        earlier=None,
        cache="cache",
        looking_from=lambda: DAY,
        today=DAY,
        known=(Log((Board("a", called="red"), Board("b"))), ("rule",)),
        stood=("stood", ()),
        read=(Log(), (), ()),
        uses={"a": 1.0},
    )
    bench = SimpleNamespace(stretch=lambda of="hours": f"stretch of {of}", **workbench)
    one = Snapshot(as_of, bench)
    one._ready_in_hand = lambda board: f"{board} as worked out" if board == "a" else None
    return one


@pytest.fixture
def asked(monkeypatch):
    """What the answer was asked with."""
    seen = {}

    def answer(fit, wanted, settings, *, odds, view, over, seed, stretch):
        seen.update(odds=odds, view=view, over=over, seed=seed, stretch=stretch)
        return Said(getattr(wanted, "board", ""), view or "now", seen.get("stages", ("sand",)))

    monkeypatch.setattr("estimator.forecast.answers.answer", answer)
    monkeypatch.setattr(
        "estimator.forecast.described.described",
        lambda values, settings, of=None: of or SimpleNamespace(state="asked"),
    )
    monkeypatch.setattr("estimator.forecast.described.taken_as_none", lambda *_: ("logos",))
    monkeypatch.setattr(
        "estimator.forecast.looks.worth_saying", lambda wanted, boards, settings, none: ("looks", none)
    )
    return seen


@pytest.mark.parametrize(
    ("board", "more", "view", "ready"),
    [
        ("red", {}, None, "a as worked out"),
        ("b", {}, None, None),
        ("red", {"view": "opened"}, "opened", "a as worked out"),
        ("red", {"change": {"logos": 2}}, None, None),
        ("b", {"change": {"logos": 2}}, "before", None),
        ("b", {"change": {"logos": 2}, "view": "finished"}, "finished", None),
        ({"logos": 2}, {}, "before", None),
        ({"logos": 2}, {"view": "opened"}, "opened", None),
        ("red", {"dates": True}, None, "a as worked out"),
        ("b", {"dates": True}, None, "b by the bench"),
        ("red", {"dates": True, "change": {"logos": 2}}, None, "as it would be"),
        ({"logos": 2}, {"dates": True}, "before", "as it would be"),
    ],
)
def test_a_range_of_a_board_of_one_changed_and_of_one_described(asked, board, more, view, ready):
    one = snapshot(ready=lambda of: f"{of} by the bench" if isinstance(of, str) else "as it would be")
    said = one.range(board, odds=0.9, over=60.0, **more)
    assert (asked["view"], said.ready) == (view, ready)
    assert (asked["odds"], asked["seed"], asked["stretch"]) == (0.9, 4, "stretch of hours")
    assert said.taken_as_none == (("logos",) if isinstance(board, dict) else ())
    before = view in {None, "before"}
    assert said.looked_so == (("looks", said.taken_as_none) if before else None)


def test_where_all_is_booked_nothing_is_said_of_how_it_looked(asked):
    asked["stages"] = ()
    said = snapshot().range("b")
    assert (said.looked_so, said.taken_as_none) == (None, ())
    with pytest.raises(UsageError, match='"sideways" is no view'):
        snapshot().range("b", view="sideways")


@pytest.mark.parametrize(("earlier", "back"), [(None, False), (DAY, True)])
def test_looking_back_nobody_is_remembered_as_rung(monkeypatch, earlier, back):
    seen = []
    monkeypatch.setattr(
        "estimator.bench.call_log.remembered",
        lambda day, boards, entries, cache, *, back: seen.append((day, len(boards), cache, back)) or "day",
    )
    one = snapshot()
    one.as_of.earlier = earlier
    one.__dict__["_morning"] = "morning"
    assert (one.bench(), one.bench(), one.morning()) == ("day", "day", "morning")
    assert seen == [("morning", 2, "cache", back)]


def test_the_morning_is_of_today_and_of_the_log_up_to_it(monkeypatch):
    monkeypatch.setattr("estimator.snapshot.kept_result", lambda file, kind, work: (file, work()))
    monkeypatch.setattr("estimator.bench.outlook.log_up_to", lambda log, day: dt.date(2026, 5, 29))
    monkeypatch.setattr(
        "estimator.bench.morning.bench_day", lambda outlook, today, last: (outlook, today, last)
    )
    one = snapshot(outlook="outlook", dates_file="file")
    assert one.morning() == ("file", ("outlook", DAY, dt.date(2026, 5, 29)))


def test_what_is_promised_is_as_the_morning_has_it_else_worked_out(monkeypatch):
    monkeypatch.setattr("estimator.bench.morning.promise_of", lambda outlook, at, today: (at, today))
    outlook = SimpleNamespace(place_of=lambda board: 0 if board == "a" else None)
    one = snapshot(outlook=outlook, dates_file="none")
    monkeypatch.setattr(Snapshot, "_worked_out", None)
    assert (one.promise("a"), one.promise("b")) == ((0, DAY), None)
    monkeypatch.setattr("estimator.bench.morning.promise_of", never)
    assert one.promise("a") is None
    monkeypatch.setattr(
        Snapshot, "_worked_out", SimpleNamespace(promise_of=lambda board: f"{board} in the morning")
    )
    assert one.promise("b") == "b in the morning"


def test_a_board_that_is_asked_for_is_promised_if_its_owner_says_yes(monkeypatch):
    monkeypatch.setattr(
        "estimator.bench.morning.promise_of_one_more", lambda outlook, known, today: (known, today)
    )
    one = snapshot(outlook="outlook", asked=lambda board: "known" if board == "a" else None)
    assert (one.promise_if_yes("a"), one.promise_if_yes("b")) == (("known", DAY), None)
    monkeypatch.setattr("estimator.bench.morning.promise_of_one_more", never)
    assert one.promise_if_yes("a") is None


@dataclass(frozen=True)
class More:
    """What is added, as far as a snapshot looks at it."""

    what: dict
    ready: object = None
    promises: tuple = ()


def test_of_what_is_asked_for_only_that_is_named_and_hours_are_said_without_dates(monkeypatch):
    monkeypatch.setattr(
        "estimator.decide.weigh.promise_impact.added",
        lambda *given, **more: asked.append((given, more)) or More(given[3]),
    )
    monkeypatch.setattr(
        "estimator.decide.weigh.promise_impact.dates_with",
        lambda outlook, known, then, today: ((known, then, today), ("moved",)),
    )
    asked = []
    one = snapshot(outlook="outlook")
    one.grown = lambda board, more: ("known", "then", {"sides": 2.0, "area": 1.5})
    said = one.asked_since("red", {"sides": "2"}, odds=0.9)
    assert asked == [
        (
            (one.fit(), "known", "then", {"sides": 2.0}, "settings"),
            {"odds": 0.9, "seed": 4, "stretch": "stretch of hours"},
        )
    ]
    assert (said.what, said.ready, said.promises) == ({"sides": 2.0}, ("known", "then", DAY), ("moved",))
    monkeypatch.setattr("estimator.decide.weigh.promise_impact.dates_with", never)
    bare = one.asked_since("red", {"sides": "2"})
    assert (bare.what, bare.ready, bare.promises) == ({"sides": 2.0}, None, ())


@dataclass(frozen=True)
class Standing:
    """The bench today, as far as a snapshot looks at it."""

    today: object
    hours_in_hand: float = 0.0
    moved: tuple = ()
    no_dates: str = ""


def test_a_board_is_weighed_beside_what_is_in_hand_else_it_is_said_why_not(monkeypatch):
    monkeypatch.setattr(
        "estimator.decide.weigh.assess.BenchToday.of", lambda log, settings, today: Standing(today)
    )
    monkeypatch.setattr(
        "estimator.decide.weigh.assess.weigh",
        lambda row, question, draws, standing, settings, seed: (row.board, question, draws, standing),
    )
    monkeypatch.setattr("estimator.decide.weigh.terms.question_of", lambda row, *more: more)
    monkeypatch.setattr(
        "estimator.decide.weigh.open_first.draws_of",
        lambda fit, known, settings, *, odds, seed, stretch: (known.board, odds, seed, stretch),
    )
    there = SimpleNamespace(hours=30.0, moved=("b",), no_dates="")
    one = snapshot(beside=lambda known: there)
    told = (Told("a", DAY, price=3.0),)
    one.as_of.known = (replace(one.as_of.known[0], told=told), ("rule",))
    found = one.weigh("red", price=900.0, terms="fixed", ceiling=1.0, strip_fee=2.0, odds=0.9)
    assert found[:3] == ("a", (900.0, "fixed", 1.0, 2.0, 0.9, told), ("a", 0.9, 4, "stretch of hours"))
    assert found[3] == Standing(DAY, 30.0, ("b",), "")
    assert snapshot(beside=never).weigh("red")[3] == Standing(DAY, no_dates="No hours. Write some.")


def test_money_is_that_of_the_rows_as_they_stood_and_a_record_is_looked_back_on_once(monkeypatch):
    monkeypatch.setattr("estimator.log.money.money_between", lambda *given: given)
    one = snapshot()
    assert one.money(DAY, None) == ("stood", "settings", DAY, None, {"a": 1.0})
    seen = []
    monkeypatch.setattr(
        "estimator.record.backtest.run.look_back",
        lambda *what, **how: seen.append(how) or what,
    )
    assert one.record(jobs=1) == one.record() == (one.log, "settings", one.fit(), "cache")
    assert seen == [{"today": DAY, "seed": 4, "jobs": 1, "progress": None}]


@dataclass(frozen=True)
class Then:
    """What was known at a quarter's end."""

    notes: list
    now: object = "then"
    record: object = None


@pytest.mark.parametrize(("name", "ahead"), [("2026-Q1", False), ("2026-Q2", False), ("2026-Q3", True)])
def test_a_quarter_is_looked_back_on_from_its_own_last_day(monkeypatch, name, ahead):
    ends, renewed = [], []

    def of(cls, reading, *, today, seed):
        ends.append((reading, today, seed))
        then = SimpleNamespace(record=lambda **_: "record", known_then=Then)
        then.renewed = lambda: renewed.append(1) or then
        return then

    monkeypatch.setattr(Snapshot, "of", classmethod(of))
    monkeypatch.setattr(
        "estimator.decide.quarter.review.review_of",
        lambda quarter, known, *, seed: (quarter.name, known, seed),
    )
    one = snapshot()
    one.as_of.reading = "reading"
    found, known, seed = one.quarter(name)
    last = {"2026-Q1": dt.date(2026, 3, 31), "2026-Q2": DAY, "2026-Q3": DAY}[name]
    assert (found, seed, known.now) == (name, 4, one.as_of.known[0])
    assert known.record == (None if ahead else "record")
    assert (len(ends), len(renewed)) == (1, 1)
    assert ends[0][0::2] == ("reading", 4)
    if name == "2026-Q1":
        assert ends[0][1] == last


def test_what_is_not_known_is_left_out_and_why_is_noted_once():
    notes = []
    assert _tried(never, notes) is _tried(never, notes) is None
    assert (_tried(lambda: 3, notes), notes) == (3, ["No hours. Write some."])

    notes = []
    for found, boards, said in (
        (SimpleNamespace(boards=("a",), no_dates="No week."), ("a",), ["No week."]),
        (SimpleNamespace(boards=("b",), no_dates="No week."), ("b",), ["No week."]),
        (SimpleNamespace(boards=(), no_dates=""), (), ["No week."]),
    ):
        assert snapshot(in_hand=lambda found=found: found)._in_hand(notes) == boards
        assert notes == said
    assert snapshot(in_hand=never)._in_hand(notes) == ()
    assert notes == ["No week.", "No hours. Write some."]


def test_what_was_known_then_is_that_of_the_day(monkeypatch):
    one = snapshot(in_hand=never)
    one.rules, one.overruns = never, lambda: "overruns"
    notes = []
    known = one.known_then(notes)
    assert (known.rules, known.verdicts, known.overruns, known.in_hand) == (("rule",), None, "overruns", ())
    assert (known.now, known.then) == (one.as_of.known[0],) * 2
    assert notes == ["No hours. Write some."]


def test_a_snapshot_of_the_same_log_is_the_one_before_unless_something_was_kept_since(monkeypatch):
    before = SimpleNamespace(digest="rev", renewed=lambda: "renewed")
    reading = SimpleNamespace(revision=lambda: "rev")
    assert Snapshot.of(reading, today=DAY, seed=0, before=before) == "renewed"
    monkeypatch.setattr(
        "estimator.snapshot.LogAsOf",
        lambda reading, *, today, seed: SimpleNamespace(reading=reading, today=today, seed=seed),
    )
    other = SimpleNamespace(revision=lambda: "next")
    for new in (Snapshot.of(other, today=DAY, seed=3, before=before), Snapshot.of(other, today=DAY, seed=3)):
        assert (new.as_of.reading, new.as_of.today, new.as_of.seed) == (other, DAY, 3)

    kept = {"file": "dates"}
    monkeypatch.setattr("estimator.snapshot.kept", lambda file: kept[file])
    one = snapshot(stale=False, dates_file="file")
    assert one.renewed() is one  # nobody asked for dates
    assert one._dates == "dates"
    assert one.renewed() is one
    kept["file"] = "others"
    assert one.renewed() is not one
    assert one.renewed().workbench is one.workbench
    one.workbench.stale = True
    assert one.renewed().workbench is not one.workbench


def test_looks_and_the_past_year_are_of_what_was_known_on_the_day(monkeypatch):
    monkeypatch.setattr("estimator.decide.looks.looks_of", lambda *given: given)
    monkeypatch.setattr("estimator.decide.otherwise.last_year_otherwise", lambda *given, seed: (*given, seed))
    one = snapshot()
    log = one.as_of.known[0]
    assert one.looks() == (log.boards, "settings")
    assert one.otherwise("habit") == (log, "settings", one.fit(), "habit", 4)
    assert one.otherwise()[3] is None


def test_a_board_that_grows_is_found_by_its_short_name_and_read_by_the_settings(monkeypatch):
    monkeypatch.setattr(
        "estimator.forecast.scope_change.asked_since",
        lambda known, more, settings: ((known.board, settings), more),
    )
    assert snapshot().grown("red", {"sides": "2"}) == (KNOWN[0], ("a", "settings"), {"sides": "2"})
    with pytest.raises(UsageError, match='No board is called "tan"'):
        snapshot().grown("tan", {})


def test_what_is_said_of_how_it_looked_is_of_the_board_among_all_and_of_none_once_it_is_open(
    asked, monkeypatch
):
    monkeypatch.setattr("estimator.forecast.looks.worth_saying", lambda *given: given)
    one = snapshot()
    assert one.range("red").looked_so == (KNOWN[0], KNOWN, "settings", ())
    assert one.range({"logos": 2}).looked_so[3] == one.range({"logos": 2}).taken_as_none == ("logos",)
    for view, said in (("before", True), ("opened", False), ("finished", False)):
        assert bool(one.range("red", view=view).looked_so) is said
    with pytest.raises(UsageError, match='"now" is no view'):
        one.range("red", view="now")
    one.range("red", odds=0.9, over=12.0)
    assert (asked["odds"], asked["seed"], asked["stretch"]) == (0.9, 4, "stretch of hours")
    assert asked["over"] in (12.0, (12.0,), [12.0])


class Copied:
    """A table that can be copied."""

    def copy(self):
        return "a copy"


def test_tables_are_handed_out_as_copies_and_the_rest_as_it_is():
    one = snapshot()
    one.as_of.boards = one.as_of.hours = Copied()
    one.as_of.whole, one.as_of.digest = ("whole log", (), ()), "rev"
    one.as_of.kept_as, one.as_of.row_of = (lambda kind: f"{kind} here"), lambda board: f"row of {board}"
    one.as_of.raw, one.as_of.reading = (
        ("sheets", []),
        SimpleNamespace(folder="f", settings_text=lambda: "text"),
    )
    assert (one.boards, one.hours, one.whole_log) == ("a copy", "a copy", "whole log")
    assert (one.kept_as("fit"), one.own_row("a"), one.raw) == ("fit here", "row of a", ("sheets", "text"))
    assert (one.folder, one.digest, one.earlier, one.seed) == ("f", "rev", None, 4)


def test_a_quarter_passes_on_who_is_told_how_far_it_is(monkeypatch):
    given = []
    then = SimpleNamespace(record=lambda **how: given.append(how), known_then=Then)
    then.renewed = lambda: then
    monkeypatch.setattr(Snapshot, "of", classmethod(lambda cls, reading, *, today, seed: then))
    monkeypatch.setattr("estimator.decide.quarter.review.review_of", lambda *_, **__: None)
    one = snapshot()
    one.as_of.reading = "reading"
    one.quarter("2026-Q1", progress="told", jobs=3)
    assert given == [{"progress": "told", "jobs": 3}]

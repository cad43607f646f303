"""What each sheet is made from, who is refused one, and where it is written: with stand-ins, so that nothing is learned."""

# ruff: noqa: ARG005  a stand-in is called as what it stands for is

import datetime as dt
from pathlib import Path
from types import SimpleNamespace

import pytest

from estimator.papers import (
    Paper,
    _ceiling,
    _handover,
    _of,
    _owner,
    _range,
    check_asked,
    plain_name,
    said_paper,
)
from estimator.words.errors import NoAnswerError, UsageError
from estimator.words.records import Board, Entry, Log, Note, Told

DAY = dt.date(2026, 6, 1)
RED = Board("a", called="red", state="waiting")


def told(number, **more):
    return Told("a", dt.date(2026, 5, number), **more)


def shop(log=None, **more):
    log = log or Log((RED,))
    return SimpleNamespace(known=(log, ()), settings="settings", today=DAY, seed=4, **more)


@pytest.mark.parametrize(
    ("kind", "about", "hours", "file", "wrong"),
    [
        ("owner", "a", False, "x.txt", None),
        ("handover", "a", False, "x.TXT", None),
        ("range", "a", False, "x.pdf", None),
        ("range", "a", False, "x.txt", "x.txt is no .pdf"),
        ("owner", "a", False, "x.doc", "x.doc is no .pdf or .txt"),
        ("week", None, False, None, None),
        ("week", "a", False, None, "The sheet week is about the whole workshop"),
        ("quarter", None, False, None, "No quarter is named"),
        ("owner", "a", True, None, None),
        ("handover", "a", True, None, "Only the owner's copy can say hours"),
    ],
)
def test_a_sheet_is_asked_for_as_it_can_be_made(kind, about, hours, file, wrong):
    out = None if file is None else Path(file)
    if wrong is None:
        check_asked(kind, about, hours=hours, out=out)
    else:
        with pytest.raises(UsageError, match=wrong):
            check_asked(kind, about, hours=hours, out=out)


def test_a_sheet_goes_into_the_reports_of_the_workshop_or_into_the_file_that_is_named(tmp_path, monkeypatch):
    monkeypatch.setattr(Paper, "pdf", lambda _: b"pdf")
    monkeypatch.setattr(Paper, "text", lambda _: "text")
    paper = Paper("owner", {}, DAY, "owner-a")
    assert paper.save(tmp_path) == tmp_path / "reports" / "owner-a.pdf"
    assert paper.save(tmp_path, tmp_path / "reports" / "b.TXT").read_bytes() == b"text"
    assert paper.save(tmp_path, tmp_path / "c.pdf").read_bytes() == b"pdf"
    with pytest.raises(UsageError, match="cannot be written"):
        paper.save(tmp_path, tmp_path / "nowhere" / "c.pdf")
    assert not (tmp_path / "nowhere").exists()


def test_without_a_day_to_look_from_nothing_is_printed():
    blank = SimpleNamespace(today=None, snapshot=lambda: blank)
    with pytest.raises(NoAnswerError, match="No day is known to look from") as caught:
        _of(blank, "week", None, hours=False, anyway=False, progress=None)
    assert caught.value.field == "day"
    with pytest.raises(NoAnswerError, match="No day is known to look from"):
        said_paper(blank, "looks")


def test_a_quarter_is_kept_under_its_name_and_of_its_own_day(monkeypatch):
    monkeypatch.setattr(
        "estimator.sheets.paper.said_sheets.quarter_sheet", lambda review, settings: {"of": settings}
    )
    then = dt.date(2026, 3, 31)
    review = SimpleNamespace(quarter=SimpleNamespace(name="2026-Q1", today=then))
    asked = []
    one = shop(quarter=lambda name, progress: asked.append((name, progress)) or review)
    paper = _of(one, "quarter", "2026-Q1", hours=False, anyway=False, progress="told")
    assert (paper.kind, paper.name, paper.day, paper.data) == (
        "quarter",
        "quarter-2026-Q1",
        then,
        {"of": "settings"},
    )
    assert asked == [("2026-Q1", "told")]


@pytest.fixture
def owner_sheet(monkeypatch):
    """What the owner's copy is made from."""
    monkeypatch.setattr(
        "estimator.sheets.paper.owner_sheet.owner_sheet", lambda board, *_, **more: {"board": board, **more}
    )


def owners(board=RED, log=None, promise=None, one_more=None, hours=False, anyway=False):
    one = shop(
        log,
        promise=lambda _: promise,
        promise_if_yes=lambda _: one_more,
        range=lambda name: f"hours of {name}",
    )
    return _owner(one, board, DAY, hours, anyway)


@pytest.mark.parametrize(
    ("promise", "one_more", "said"),
    [
        ("in line", ("if yes", DAY), ("in line", None)),
        (None, ("if yes", DAY), ("if yes", DAY)),
        (None, None, (None, None)),
    ],
)
def test_the_owner_s_day_is_that_of_the_bench_else_of_one_board_more(owner_sheet, promise, one_more, said):
    data = owners(promise=promise, one_more=one_more)
    assert (data["promise"], data["say_yes_by"], data["today"]) == (*said, DAY)
    assert data["hours"] is None
    assert owners(hours=True)["hours"] == "hours of a"


@pytest.mark.parametrize(
    ("board", "anyway", "wrong"),
    [
        (RED, False, None),
        (Board("a", state="declined"), False, "You said no to a"),
        (Board("a", state="asked", decided="no"), False, "You said no to a"),
        (Board("a", state="declined"), True, None),
        (Board("a", state="asked", decided="yes"), False, None),
        (Board("a", state="finished"), True, "A is ready"),
        (Board("a", state="withdrawn"), True, "The owner of a dropped it"),
    ],
)
def test_who_has_an_owner_s_copy(owner_sheet, board, anyway, wrong):
    if wrong is None:
        assert owners(board, anyway=anyway)["board"] is board
    else:
        with pytest.raises(UsageError, match=wrong):
            owners(board, anyway=anyway)


def test_what_an_owner_was_told_stands_in_order_of_its_days_and_only_that(owner_sheet):
    first, later, other = told(4), told(9), Told("b", DAY)
    assert owners(log=Log((RED,), told=(later, other, first)))["told"] == [first, later]


@pytest.mark.parametrize(
    ("tellings", "weighed", "ceiling", "asked"),
    [
        ([], 1234.0, None, []),
        ([told(4, terms="fixed")], 1234.0, None, []),
        ([told(4, terms="ceiling")], 1236.0, 1240.0, [("a", "ceiling")]),
        ([told(4, terms="ceiling")], None, None, [("a", "ceiling")]),
        ([told(4, terms="ceiling 1,500")], 1236.0, 1500.0, []),
        ([told(9, terms="ceiling 1,500"), told(4, terms="fixed")], 1236.0, 1500.0, []),
        ([told(4, terms="ceiling 1,500"), told(9, terms="fixed")], 1236.0, None, []),
        ([told(4, terms="ceiling 1,500"), told(9, price=900.0)], 1236.0, 1500.0, []),
    ],
)
def test_the_higher_end_is_the_one_told_last_else_what_is_weighed_to_the_ten(
    tellings, weighed, ceiling, asked
):
    seen = []

    def weigh(board, *, terms):
        seen.append((board, terms))
        return SimpleNamespace(terms=[SimpleNamespace(ceiling=weighed)])

    assert _ceiling(shop(Log((RED,), told=tuple(tellings)), weigh=weigh), RED) == ceiling
    assert seen == asked


@pytest.mark.parametrize("error", [NoAnswerError("never", ""), UsageError("over", "")])
def test_where_it_cannot_be_weighed_no_higher_end_is_named(error):
    def weigh(*_, **__):
        raise error

    assert _ceiling(shop(Log((RED,), told=(told(4, terms="ceiling"),)), weigh=weigh), RED) is None


@pytest.mark.parametrize(
    ("today", "name"),
    [((2024, 12, 29), "week-2024-W52"), ((2024, 12, 31), "week-2025-W01"), ((2027, 1, 2), "week-2026-W53")],
)
def test_a_week_is_kept_under_its_number_which_is_blank_where_no_days_can_be_told(monkeypatch, today, name):
    """ISO 8601: a week is of the year in which its Thursday lies."""
    monkeypatch.setattr(
        "estimator.sheets.paper.week_sheet.week_sheet", lambda settings, *, today, day: {"day": day}
    )
    monkeypatch.setattr(
        "estimator.sheets.paper.week_sheet.monday_of", lambda day, _: day - dt.timedelta(days=day.weekday())
    )

    def morning():
        raise NoAnswerError("never", "")

    one = SimpleNamespace(today=dt.date(*today), settings=None, morning=morning)
    paper = _of(one, "week", None, hours=False, anyway=False, progress=None)
    assert (paper.name, paper.data) == (name, {"day": None})


def test_boards_whose_numbers_differ_in_case_alone_have_one_name_and_no_others():
    names = [plain_name(board) for board in ("a b", "A b", "a-b", ".a", "a/b", "//")]
    assert [name.rpartition("-")[0] for name in names] == ["a-b", "A-b", "a", "a", "a-b", "board"]
    assert names[0][-6:] == names[1][-6:]
    assert len({name.casefold() for name in names}) == 5


def test_only_a_board_that_is_ready_is_handed_over_with_its_own_hours(monkeypatch):
    monkeypatch.setattr(
        "estimator.sheets.paper.handover_sheet.handover_sheet", lambda board, *_, **more: more
    )
    own, other = Entry("a", DAY, "sand", 2.0), Entry("b", DAY, "sand", 3.0)
    done = Board("a", state="finished")
    log = Log((done,), (own, other), told=(told(9), told(4)))
    data = _handover(shop(log), done, DAY)
    assert (data["entries"], [one.date.day for one in data["told"]], data["today"]) == ([own], [4, 9], DAY)
    with pytest.raises(UsageError, match="red is not ready, and nothing can be handed over"):
        _handover(shop(), RED, DAY)


@pytest.mark.parametrize(
    ("stages", "ready", "ifs", "apart"), [(("sand",), None, "ifs", ""), ((), "soon", (), "unlike")]
)
def test_the_workshop_s_copy_has_its_notes_and_what_would_change_it(monkeypatch, stages, ready, ifs, apart):
    monkeypatch.setattr("estimator.sheets.paper.range_sheet.range_sheet", lambda *_, **more: more)
    monkeypatch.setattr("estimator.forecast.described.what_ifs", lambda *_, seed: "ifs" if seed == 4 else "")
    notes = (Note("a", DAY, "blue"), Note("b", DAY, "red"))
    answer, asked = SimpleNamespace(stages=stages, ready=ready), []
    one = shop(
        Log((RED,), notes=notes), fit=lambda: SimpleNamespace(boards=[RED]), weeks_apart="unlike", range=lambda name, *, dates: asked.append((name, dates)) or answer
    )  # fmt: skip
    data = _range(one, RED, DAY)
    assert asked == [("a", True)]
    assert (data["what_ifs"], data["weeks_apart"], data["noted"]) == (ifs, apart, (notes[0],))

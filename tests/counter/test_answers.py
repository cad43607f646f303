"""What the worker works out, from a workshop whose answers are given by hand."""

import datetime as dt
import json
from dataclasses import replace
from types import SimpleNamespace

import pytest
from making.mornings import EMPTY, MORNING, TODAY, day
from making.promises import KEPT, UNTOLD, promise
from making.promises import TODAY as OCTOBER
from making.ranges import ANSWER
from making.ranges import SETTINGS as SHOP

from estimator.cli.printing import plain_lines
from estimator.counter import tapes
from estimator.counter.answer_files import PageQuestion
from estimator.counter.answers import KINDS, LONG_ONES, ahead, answered, board_parts, money_page, today_parts
from estimator.counter.step_questions import ENQUIRY, RINGS
from estimator.forecast.ranges import Ready
from estimator.log.money import InAndOut, MoneySums
from estimator.said.parts import Table
from estimator.words.errors import NoAnswerError
from estimator.words.records import (
    ASKED,
    DECLINED,
    FINISHED,
    ON_BENCH,
    STOPPED,
    WAITING,
    WITHDRAWN,
    Board,
    Log,
    Note,
    Told,
)
from estimator.words.settings.schema import Away, Bench, Driver, Kind, Settings


def no_progress(*_):
    """Nobody waits."""


def test_of_those_rung_only_the_ones_of_an_earlier_day_stand_as_still_open():
    """The straw gun's owner was rung yesterday, that of the plum egg today: of today's there is nothing more to say."""
    notes = (
        Note("26-004", day("06-08"), "ring: ready, 2026-06-08: told"),
        Note("26-021", TODAY, "ring: waiting for the owner, 2026-06-01: told"),
    )
    shop = SimpleNamespace(
        settings=Settings(),
        known=(Log(notes=notes), ()),
        bench=lambda: replace(MORNING, promises=(), touch=(), swap=None),
    )

    said = "\n".join(plain_lines(today_parts(shop, "", lambda *_: None)["day"]))

    assert "straw gun  on Mon 8 June  it has been ready since Mon 8 June" in said
    assert "plum egg" not in said


# a board that is told a day, and another whose owner was told the same day later
TOLD = (
    Told("26-001", dt.date(2026, 9, 2), last=KEPT.told.last),
    Told("26-009", dt.date(2026, 9, 20), last=KEPT.told.last),
)
SAID = "You told them by Mon 19 October, on Wed 2 September: kept 19 in 20."


def test_each_board_in_hand_has_its_line_with_its_own_telling():
    shop = SimpleNamespace(
        settings=Settings(),
        known=(Log(told=TOLD), ()),
        bench=lambda: replace(
            MORNING, today=OCTOBER, promises=(KEPT, UNTOLD), ring=(), touch=(), leave=(), swap=None
        ),
    )
    parts = today_parts(shop, "", no_progress)

    assert [name for name in parts if name != "day"] == ["line 26-001", "line 26-004"]
    assert parts["line 26-001"][-1] == SAID
    assert parts["line 26-004"][-1] == "No day was told yet."


IF_YES = (promise(1, 20, 30), OCTOBER)


class AtABoard:
    """A workshop of one board, whose promise and range are by hand; what was asked of it."""

    def __init__(self, state, answer=ANSWER, if_yes=IF_YES, ready=None):
        away = Bench(away=(Away(dt.date(2026, 10, 10), dt.date(2026, 10, 18)),))
        self.settings = replace(SHOP, bench=away)
        self.known = (Log(boards=(Board("26-001", "tan gun", state=state),), told=TOLD), ())
        self.answer, self.if_yes, self.asked = replace(answer, ready=ready), if_yes, []

    def looking_from(self):
        return OCTOBER

    def promise(self, board):
        self.asked.append(("promise", board))
        return KEPT

    def promise_if_yes(self, board):
        self.asked.append(("if yes", board))
        return self.if_yes

    def range(self, board, *, dates):
        self.asked.append(("range", board, dates))
        return self.answer


WITH_DATES = {"dates", "dates table", "range", "hours", "hours table"}


@pytest.mark.parametrize(
    ("state", "parts", "asked"),
    [
        *((state, {"sentence", "aloud", *WITH_DATES}, [("promise", "26-001"), ("range", "26-001", True)]) for state in (WAITING, ON_BENCH, STOPPED)),
        (ASKED, WITH_DATES, [("if yes", "26-001"), ("range", "26-001", True)]),
        *((state, {"range", "hours", "hours table"}, [("range", "26-001", False)]) for state in (FINISHED, DECLINED, WITHDRAWN)),
    ],
)  # fmt: skip
def test_what_is_said_of_a_board_goes_by_where_it_stands(state, parts, asked):
    shop = AtABoard(state)
    found = board_parts(shop, "26-001", no_progress)

    assert found.keys() == parts
    assert shop.asked == asked
    assert found["range"][0].text == "tan gun, before opening"
    if "sentence" in parts:
        assert found["sentence"][-1] == SAID
        assert found["aloud"] == ("“By Sat 10 October. 9 times in 10 it's ready by then.”",)
        assert found["dates table"][0].rows[0] == ("1st", "Mon 5 October")
    if state == ASKED:
        assert found["dates table"][0].rows[0] == ("1st", "Wed 21 October")


def test_days_away_are_in_the_drawing_of_its_days(monkeypatch):
    drawn = []
    monkeypatch.setattr(tapes, "dates_drawings", lambda *given: drawn.append(given) or ())
    board_parts(AtABoard(WAITING), "26-001", no_progress)

    assert drawn == [(KEPT, OCTOBER, [(dt.date(2026, 10, 10), dt.date(2026, 10, 18))])]


def test_where_no_day_can_be_told_there_are_hours_alone_and_of_what_is_done_no_drawing():
    assert board_parts(AtABoard(ASKED, if_yes=None), "26-001", no_progress).keys() == {
        "range",
        "hours",
        "hours table",
    }
    over = replace(ANSWER, view="now", stages=tuple(replace(one, done=True) for one in ANSWER.stages))
    assert board_parts(AtABoard(FINISHED, over), "26-001", no_progress).keys() == {"range"}
    ready = Ready(dt.date(2026, 9, 20), dt.date(2026, 10, 6), dt.date(2026, 10, 9), tell=dt.date(2026, 10, 9))
    said = board_parts(AtABoard(WAITING, ready=ready), "26-001", no_progress)["range"]
    assert any(
        str(part).startswith("Ready between Thu 1 October and Fri 9 October") for part in said
    )  # from today on


def test_money_is_of_the_days_that_are_asked_for():
    asked = []

    def money(first, last):
        asked.append((first, last))
        whole = InAndOut("", 100.0, 40.0)
        return MoneySums(first, last, whole, (InAndOut("rent", 100.0, 40.0),), (), whole, ())

    shop = SimpleNamespace(money=money, log=Log(), settings=Settings())
    said = [
        money_page(shop, about, no_progress)["money"][0].text
        for about in ("2026-07-01/2026-09-30", "2026-07-01/", "/")
    ]

    assert asked == [(dt.date(2026, 7, 1), dt.date(2026, 9, 30)), (dt.date(2026, 7, 1), None), (None, None)]
    assert said == [
        "Money from Wed 1 July 2026 to Wed 30 September 2026",
        "Money from Wed 1 July 2026",
        "Money",
    ]


class Refusing:
    """A workshop that works nothing out; which question it was asked, and how, is why."""

    settings = Settings()
    seed = 7
    known = (Log(boards=(Board("26-001", "tan gun"),)), ())
    whole_log = Log(boards=(Board("26-001", "tan gun"),))

    def looking_from(self):
        return TODAY

    def __getattr__(self, name):
        def refuse(*given, **how):
            if name == "promise_if_yes":
                return
            how.pop("progress", None)
            raise NoAnswerError(f"{name} {given} {sorted(how.items())}")

        return refuse


@pytest.mark.parametrize(
    ("kind", "about", "asked"),
    [
        ("today", "", "bench () []"),
        ("board", "26-001", "range ('26-001',) [('dates', True)]"),
        ("weigh", "26-001", "weigh ('26-001',) [('price', None)]"),
        ("weigh", json.dumps(["26-001", 640]), "weigh ('26-001',) [('price', 640.0)]"),
        ("quarter", "2026-Q2", "quarter ('2026-Q2',) [('jobs', 1)]"),
        ("record", "", "record () [('jobs', 1)]"),
        ("overruns", "", "overruns () []"),
        ("looks", "", "looks () []"),
        ("rules", "", "rules () []"),
        ("money", "2026-07-01/", "money (datetime.date(2026, 7, 1), None) []"),
        ("first-start", "", "morning () []"),
        ("rings", "", "bench () []"),
    ],
)
def test_each_kind_of_question_is_worked_out_by_its_own_answer_or_says_why_not(kind, about, asked):
    parts, refused = answered(Refusing(), PageQuestion(kind, about), no_progress)

    assert parts == {}
    assert refused.startswith(asked)


def test_the_kinds_that_take_long_are_known():
    assert set(LONG_ONES) == {"quarter", "record", "diary"}
    assert set(LONG_ONES) <= KINDS.keys()


def test_a_habit_is_read_from_its_address():
    parts, refused = answered(Refusing(), PageQuestion("otherwise", "strip"), no_progress)

    assert parts == {}
    assert "strip_first=True" in refused


def test_what_is_likely_to_be_asked_next_comes_today_first_then_what_is_in_hand_then_what_is_asked_for():
    states = (FINISHED, WAITING, ASKED, ON_BENCH, DECLINED, STOPPED, WITHDRAWN, ASKED)
    boards = tuple(Board(f"b{n}", state=state) for n, state in enumerate(states))
    shop = SimpleNamespace(known=(Log(boards=boards), ()))

    assert [(one.kind, one.about) for one in ahead(shop)] == [
        ("today", ""),
        (RINGS, ""),
        *(("board", name) for name in ("b1", "b3", "b5")),
        *((ENQUIRY, name) for name in ("b2", "b7")),
        *(("board", name) for name in ("b2", "b7")),
        *(("weigh", name) for name in ("b2", "b7")),
    ]


def test_a_first_start_asks_of_each_sort_with_nothing_known_and_leaves_out_what_has_no_answer():
    settings = Settings(
        drivers={"infills": Driver("infills"), "logos": Driver("logos")},
        kinds={
            "major": Kind("major", label="Full one"),
            "odd": Kind("odd"),
            "minor": Kind("minor", asks=("logos",)),
        },
    )
    asked = []

    def hours_of(cells):
        asked.append(cells)
        if cells["kind"] == "odd":
            raise NoAnswerError("Nothing speaks of it.")
        return replace(ANSWER, low=5.0, high=9.0)

    shop = SimpleNamespace(settings=settings, range=hours_of, morning=lambda: EMPTY)
    parts, refused = answered(shop, PageQuestion("first-start"), no_progress)
    [table] = [part for part in parts["start"] if isinstance(part, Table)]

    assert refused == ""
    assert asked == [
        {"infills": "?", "logos": "?", "kind": "major"},
        {"infills": "?", "logos": "?", "kind": "odd"},
        {"logos": "?", "kind": "minor"},
    ]
    assert table.rows == (("Full one", "5 to 9"), ("Minor", "5 to 9"))


@pytest.mark.parametrize(
    ("kind", "about", "made_by", "given"),
    [
        ("enquiry", "26-001", "enquiry_parts", ("26-001",)),
        ("since", '["26-001", {}]', "since_parts", ('["26-001", {}]',)),
        ("rings", "", "rings_parts", ()),
        ("telling", "tan gun", "telling_parts", ("26-001",)),  # by its short name too
    ],
)
def test_what_forms_ask_is_answered_by_what_works_it_out(monkeypatch, kind, about, made_by, given):
    asked, shop = [], Refusing()
    monkeypatch.setattr(
        f"estimator.counter.step_answers.{made_by}", lambda *one: asked.append(one) or {"x": ("So.",)}
    )

    assert answered(shop, PageQuestion(kind, about), no_progress) == ({"x": ("So.",)}, "")
    assert asked == [(shop, *given)]


def test_how_near_a_diary_tells_is_worked_out_with_the_same_draws_and_lets_others_in(monkeypatch):
    asked = []
    monkeypatch.setattr(
        "estimator.record.more_boards.how_near", lambda *given, **how: asked.append((given, how)) or "near"
    )
    monkeypatch.setattr("estimator.said.setting_up.how_near_parts", lambda near, _: (near, "So."))

    assert answered(Refusing(), PageQuestion("diary"), no_progress) == ({"near": ("near", "So.")}, "")
    assert asked == [((Refusing.known[0], Refusing.settings, ()), {"seed": 7, "breathe": no_progress})]

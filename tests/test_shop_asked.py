"""What the shop writes, of which day and with what it is asked; what it refuses; with stand-ins for what it would learn."""

# ruff: noqa: ARG002, ARG005  a stand-in is called as what it stands for is

import datetime as dt
import inspect
from dataclasses import dataclass
from types import SimpleNamespace

import pytest

from estimator.log.store import Sent
from estimator.shop import MOST_DAYS, Shop
from estimator.snapshot import Snapshot
from estimator.words.errors import NoAnswerError, UnreadableError, UsageError
from estimator.words.records import Accepted, Board, Log, Rule, Told

DAY = dt.date(2026, 6, 1)
MIDNIGHT = dt.datetime.combine(dt.date(2026, 6, 1), dt.time())
RED = Board("a", called="red", state="on bench")


@pytest.fixture
def shop():
    """A shop whose snapshot is a stand-in."""
    one = object.__new__(Shop)
    one.store, one._today = "store", DAY
    now = SimpleNamespace(
        today=DAY, settings="settings", whole_log=Log((RED, Board("b", state="finished"))), own_row=lambda board: f"row of {board.board}",
        looking_from=lambda: DAY, raw=("raw", ""),
    )  # fmt: skip
    one.days = []
    one.snapshot = lambda day=None: one.days.append(day) or now
    one.now = now
    return one


@dataclass(frozen=True)
class More:
    """What is added, and what was kept of it."""

    kept: object = None


@dataclass(frozen=True)
class Kept:
    """What was kept."""

    given: object
    notes: tuple = ("as it stands",)


def test_what_is_asked_for_is_kept_only_where_that_is_asked_and_only_what_was_named(shop, monkeypatch):
    written = []
    monkeypatch.setattr(
        "estimator.log.edits.keep_more", lambda *given, **more: written.append((given, more)) or "kept"
    )
    shop.now.asked_since = lambda board, more, *, odds: More()
    shop.now.grown = lambda board, more: (SimpleNamespace(board=board), "then", {"sides": 2.0, "area": 1.5})
    assert shop.asked_since("a", {"sides": "2"}) == More()
    assert written == []
    assert shop.asked_since("a", {"sides": "2"}, keep=True) == More("kept")
    what, grown = {"sides": 2.0}, {"sides": 2.0, "area": 1.5}
    assert written == [(("store", "row of a", RED, what, grown, MIDNIGHT), {})]
    with pytest.raises(UsageError, match="nothing more is done on it"):
        shop.asked_since("b", {"sides": "2"}, keep=True)


def test_what_is_told_is_held_against_the_log_of_all_days_and_written_on_its_own(shop, monkeypatch):
    first, other = Told("a", dt.date(2026, 7, 1), because="quote"), Told("b", DAY)
    shop.now.whole_log = Log((RED, Board("b")), told=(first, other))
    seen = {}
    monkeypatch.setattr(
        "estimator.log.steps.telling.as_told",
        lambda answers, said, board, earlier, **spoken: seen.update(spoken, earlier=earlier) or said,
    )
    monkeypatch.setattr("estimator.log.edits.keep_telling", lambda *given: given)
    said = Told("red", dt.date(2026, 7, 3), because="late")
    assert shop.tell(said, last=False) == (
        "store",
        "row of a",
        said,
        RED,
        [first],
        dt.datetime.combine(dt.date(2026, 7, 3), dt.time()),
    )
    assert seen == {"hours": True, "first": True, "last": False, "earlier": [first]}


def test_what_is_agreed_to_is_kept_also_where_the_telling_cannot_be(shop, monkeypatch):
    shop.now.grown = lambda board, more: (SimpleNamespace(board=board),)
    telling = Told("a", DAY, because="asked later")
    asked = []

    def agreement(self, board, more, *, price, odds):
        asked.append((board, price, odds))
        return SimpleNamespace(telling=telling, what={"sides": 2.0}, grown={"sides": 2.0}, said=More())

    monkeypatch.setattr("estimator.working_day.DayAnswers.agreement", agreement)
    monkeypatch.setattr("estimator.log.edits.keep_more", lambda *given, told, earlier: Kept((told, earlier)))
    monkeypatch.setattr("estimator.log.steps.telling.as_told", lambda answers, said, board, earlier: said)
    kept = shop.agree("a", {"sides": "2"}, odds=0.9, price=80.0).kept
    assert (kept.given, kept.notes) == ((telling, []), ("as it stands",))
    assert asked == [("a", 80.0, 0.9)]

    def refused(*_):
        raise UsageError("Told already.", "Say why.")

    monkeypatch.setattr("estimator.log.steps.telling.as_told", refused)
    kept = shop.agree("a", {"sides": "2"}).kept
    assert (kept.given, kept.notes) == ((None, []), ("as it stands", "Told already. Say why."))
    with pytest.raises(UsageError, match="nothing more is done on it"):
        shop.agree("b", {"sides": "2"})


def test_hours_are_written_with_what_they_end_and_what_was_noted(shop, monkeypatch):
    ended = SimpleNamespace(where="place")
    monkeypatch.setattr("estimator.log.booking.done_by", lambda lines, entries: (("row",), (ended,)))
    monkeypatch.setattr("estimator.log.edits.row_at", lambda raw, settings, sheet, where: (raw, sheet, where))
    monkeypatch.setattr("estimator.log.booking.write_hours", lambda *given, **more: (given, more))
    given, more = shop.write_hours(["line"], "key", "digest", notes=["note"])
    assert given == ("store", ("row",), MIDNIGHT, "key", "digest")
    assert more == {"ended": [("raw", "hours", "place")], "notes": ["note"]}


def test_hours_are_read_of_the_week_and_the_day_that_are_meant(shop, monkeypatch):
    class Reader:
        def __init__(self, settings, boards, entries, today):
            self.of = len(boards), today

        def read(self, text, *, week, day, answers):
            return self.of, text, week, day, answers

    monkeypatch.setattr("estimator.log.notebook.reader.NotebookReader", Reader)
    monkeypatch.setattr(
        "estimator.log.notebook.boxes.read_boxes",
        lambda reader, boxes, week, answers: (reader.of, boxes[0].text, week, answers),
    )
    week, day = dt.date(2026, 5, 4), dt.date(2026, 5, 5)
    assert shop.read_hours("x", week=week, day=day, answers={"k": "v"}) == (
        (2, DAY),
        "x",
        week,
        day,
        {"k": "v"},
    )
    assert shop.read_hours_asked("x", week, {"k": "v"}) == ((2, DAY), "x", week, {"k": "v"})
    assert shop.read_hours_asked("x", None, {}) == ((2, DAY), "x", DAY, {})


@pytest.mark.parametrize("suggested", [(3.0, 9.0), None])
def test_a_range_is_kept_beside_a_rule_where_one_is_suggested(shop, monkeypatch, suggested):
    written = []
    monkeypatch.setattr("estimator.log.edits.keep_accepted", lambda *given: written.append(given))
    verdict = SimpleNamespace(name="strip", suggested=suggested, of=17)
    shop.now.known = (Log(), (Rule("sand"), Rule("strip")))
    monkeypatch.setattr(Shop, "known", property(lambda self: self.now.known))
    monkeypatch.setattr(
        Shop, "rules", lambda self: SimpleNamespace(rules=(SimpleNamespace(name="sand"), verdict))
    )
    on = dt.date(2026, 5, 20)
    if suggested is None:
        with pytest.raises(
            NoAnswerError, match='Nothing is suggested beside "strip": 17 past cases tell of it'
        ):
            shop.accept("strip", on=on)
        assert written == []
    else:
        assert shop.accept("strip", on=on) is verdict
        assert written == [
            (
                "store",
                "strip",
                Accepted(3.0, 9.0, on, 17),
                dt.datetime.combine(dt.date(2026, 5, 20), dt.time()),
            )
        ]
    assert shop.rule("strip") == Rule("strip")
    with pytest.raises(UsageError, match='No rule of thumb is called "strap"'):
        shop.accept("strap", on=on)


def test_a_step_is_done_on_the_day_on_which_it_was_sent(shop, monkeypatch):
    monkeypatch.setattr(Shop, "today", property(lambda self: DAY))
    monkeypatch.setattr("estimator.working_day.as_written", lambda now: now)
    monkeypatch.setattr(
        "estimator.log.steps.writing.do", lambda store, written, step, sent: (written(), sent)[1]
    )
    sent = Sent(dt.datetime.combine(dt.date(2026, 6, 3), dt.time(9)), "key")
    assert (shop.do("step", sent), shop.do("step")) == (sent, Sent(MIDNIGHT))
    assert shop.days == [dt.date(2026, 6, 3), DAY]


def test_files_have_no_history_and_a_book_is_asked_for_the_act_that_is_named(shop, monkeypatch):
    for asked in (shop.acts, shop.undo):
        with pytest.raises(UsageError, match="files have no history"):
            asked()
    book = SimpleNamespace(acts=lambda most: most, undo=lambda number, at: (number, at))
    monkeypatch.setattr(Shop, "_book", lambda self: book)
    assert (shop.acts(), shop.acts(3)) == (20, 3)
    assert (shop.undo(7), shop.undo()) == ((7, MIDNIGHT), (None, MIDNIGHT))


def test_so_many_days_are_held_at_once_and_the_one_asked_longest_ago_goes_first(monkeypatch):
    before = []

    def of(cls, reading, *, today, seed, before_=before, before=None):
        before_.append(before)
        return (reading, today, seed)

    monkeypatch.setattr(Snapshot, "of", classmethod(of))
    store = SimpleNamespace(folder="folder", held=lambda: "reading")
    shop = Shop(store, today=DAY, seed=5)
    days = [DAY + dt.timedelta(n) for n in range(MOST_DAYS + 1)]
    assert [shop.snapshot(day) for day in days] == [("reading", day, 5) for day in days]
    assert before == [None, ("reading", DAY, 5), *[None] * MOST_DAYS]
    shop.snapshot(days[1])
    shop.snapshot(DAY)
    assert before[-2:] == [("reading", days[1], 5), None]


@pytest.mark.parametrize("love", [True, False])
def test_a_decision_is_kept_in_the_board_s_own_row_on_the_day(shop, monkeypatch, love):
    monkeypatch.setattr("estimator.log.edits.keep_decision", lambda *given: given)
    *given, decision, at = shop.decide("red", "yes", why="that shape", for_love=love)
    assert (given, at) == (["store", "row of a", RED], MIDNIGHT)
    assert (decision.answer, decision.why, decision.for_love) == ("yes", "that shape", love)


@pytest.mark.parametrize("year", [1899, 3000])
def test_of_a_day_in_no_year_that_is_read_there_is_no_snapshot(monkeypatch, year):
    monkeypatch.setattr(Snapshot, "of", classmethod(lambda cls, *_, **__: "seen"))
    shop = Shop(SimpleNamespace(folder="folder", held=lambda: "reading"), today=DAY)
    with pytest.raises(UnreadableError):
        shop.snapshot(dt.date(year, 6, 1))
    assert shop.snapshot() == "seen"


def test_boards_that_teach_nothing_are_those_of_the_log_as_it_stands(shop, monkeypatch):
    monkeypatch.setattr("estimator.model.untaught.untaught", lambda *given: given)
    shop.now.log = "log"
    assert shop.untaught == ("log", "settings")


def test_what_holds_where_nothing_is_said():
    defaults = {
        (Shop.asked_since, "odds"): 0.8,
        (Shop.asked_since, "keep"): False,
        (Shop.agree, "odds"): 0.8,
        (Shop.agree, "price"): None,
        (Shop.decide, "for_love"): False,
        (Shop.tell, "hours"): True,
        (Shop.tell, "first"): True,
        (Shop.tell, "last"): True,
        (Shop.acts, "most"): 20,
        (Shop.open, "seed"): 0,
        (Snapshot.range, "odds"): 0.8,
        (Snapshot.range, "dates"): False,
        (Snapshot.weigh, "odds"): 0.8,
    }
    for (of, name), value in defaults.items():
        assert inspect.signature(of).parameters[name].default == value

"""A log as of a day: which day that is, what of the log is known on it, and under what name answers are kept."""

# ruff: noqa: ARG002, ARG005  a stand-in is called as what it stands for is

import datetime as dt
import os
import time
from types import SimpleNamespace

import pytest
from making.plans import TRADE

from estimator.as_of import LogAsOf, Workbench
from estimator.decide.weigh.promise_impact import InHand
from estimator.forecast.calibration import Stretch, stretch_file, stretches_to_json
from estimator.forecast.ranges import Ready
from estimator.log.cache import keep
from estimator.log.columns import names_of_sheets
from estimator.log.csv_tables import raw_csv
from estimator.log.starter import starter_text
from estimator.log.tables import RawLog
from estimator.model.saved_fit import MODEL_VERSION
from estimator.words.errors import NoAnswerError, SettingsError, UsageError

BOARDS = "board,called,accepted,state,materials\na,red,2026-05-01,,\nb,tan,2026-05-01,,\n"
HOURS = "board,date,until,stage,hours,again\na,2026-05-04,2026-05-06,strip,9,\nb,2026-05-05,,strip,2,\n"


def day(number, month=5):
    return dt.date(2026, month, number)


def seen(folder, today=None, settings=None, revision="rev", **sheets):
    """The log as of a day, from texts."""
    names = names_of_sheets(TRADE)
    raw = RawLog(tuple(raw_csv(text.encode(), names[s], f"{s}.csv")[0] for s, text in sheets.items()))
    reading = SimpleNamespace(
        folder=folder, revision=lambda: revision, settings_text=lambda: settings or starter_text(), read=lambda: (raw, [])
    )  # fmt: skip
    return LogAsOf(reading, today=today, seed=3)


def test_one_looks_from_the_day_given_else_from_the_day_after_the_last_that_was_booked(tmp_path):
    assert seen(tmp_path, boards=BOARDS, hours=HOURS).looking_from() == day(7)
    assert seen(tmp_path, day(5), boards=BOARDS, hours=HOURS).looking_from() == day(5)
    bare = seen(tmp_path, boards=BOARDS)
    assert bare.today is None
    with pytest.raises(NoAnswerError, match="No day is known to look from") as caught:
        bare.looking_from()
    assert caught.value.field == "day"


def test_settings_with_problems_are_no_settings(tmp_path):
    with pytest.raises(SettingsError):
        seen(tmp_path, settings="[bench]\nplaces = 0\n")


SAID = '[[rules]]\nname = "x"\nstage = "strip"\nlow = 1\nhigh = 2\nsaid = 2026-05-20\n'


@pytest.mark.parametrize(
    ("today", "more", "earlier"),
    [
        (None, "", None),
        (day(5), "", day(5)),
        (day(6), "", None),  # the last day that is written
        (day(7), "", None),
        (day(19), SAID, day(19)),  # a rule was said since
        (day(20), SAID, None),
    ],
)
def test_one_looks_back_from_before_the_last_thing_that_was_written(tmp_path, today, more, earlier):
    known = seen(tmp_path, today, starter_text() + more, boards=BOARDS, hours=HOURS)
    assert known.earlier == earlier
    assert known.kept_as("fit-9").name == f"fit-9-3-{earlier or 'all'}-rev.json"
    assert known.kept_as("fit-9").parent == tmp_path / ".estimator"


def test_a_log_without_a_day_is_looked_back_at_from_nowhere(tmp_path):
    assert seen(tmp_path, day(5), boards="board\na\n").earlier is None


def test_of_an_earlier_day_only_what_was_known_then_counts(tmp_path):
    known = seen(tmp_path, day(5), starter_text() + SAID, boards=BOARDS, hours=HOURS)
    log, rules = known.stood
    assert [entry.board for entry in log.entries] == ["b"]
    assert "x" not in {rule.name for rule in rules}
    assert "x" in {rule.name for rule in known.settings.rules}
    later = seen(tmp_path, day(20), starter_text() + SAID, boards=BOARDS, hours=HOURS)
    assert [entry.board for entry in later.stood[0].entries] == ["a", "b"]
    assert "x" in {rule.name for rule in later.stood[1]}


def test_what_lies_after_today_is_a_problem_of_today_and_none_of_the_whole(tmp_path):
    known = seen(tmp_path, day(5), boards=BOARDS, hours=HOURS)
    assert [entry.board for entry in known.read[0].entries] == ["b"]
    assert len(known.read[1]) == 1
    assert [entry.board for entry in known.whole[0].entries] == ["a", "b"]
    assert known.whole[1] == ()


def test_a_stage_for_doing_again_is_there_where_anything_was_and_that_is_kept(tmp_path):
    redone = HOURS.replace("strip,2,", "strip,2,sand-through")
    again = seen(tmp_path, boards=BOARDS, hours=redone)
    assert "redo" in again.settings.stages
    assert again.hours["stage"].tolist() == ["strip", "strip"]  # of what it was done again
    assert again.hours["again"].tolist() == ["", "sand-through"]
    assert "redo" in seen(tmp_path).settings.stages  # the same revision, kept
    assert "redo" not in seen(tmp_path, revision="other", boards=BOARDS, hours=HOURS).settings.stages


def test_a_stage_for_doing_again_is_there_also_before_the_day_on_which_it_was(tmp_path):
    redone = HOURS.replace("strip,2,", "strip,2,sand-through")
    assert "redo" in seen(tmp_path, day(4), boards=BOARDS, hours=redone).settings.stages


def test_boards_are_a_table_whose_columns_are_there_without_any(tmp_path):
    looked = "board,called,assessed_infills,found_logos,later_pinlines\na,red,2,1,3\n"
    table = seen(tmp_path, boards=looked).boards
    assert (table["assessed_infills"][0], table["found_logos"][0], table["later_pinlines"][0]) == (2, 1, 3)
    assert "where" not in table.columns
    none = seen(tmp_path, boards="board\n").boards
    assert (len(none), {"board", "called", "ready"} <= set(none.columns)) == (0, True)


def test_money_of_rows_stands_in_the_boards_and_what_is_shared_only_once_it_can_be_split(tmp_path):
    done = "board,state,ready\na,finished,2026-05-02\nb,finished,2026-05-02\n"
    money = "date,in,out,what,boards\n2026-05-01,,30,materials,a\n2026-05-01,200,,deposit,b\n"
    alone = seen(tmp_path, boards=done, money=money)
    assert alone.uses == {}
    assert [board.materials for board in alone.known[0].boards] == [30.0, None]
    assert [board.deposit for board in alone.known[0].boards] == [None, 200.0]
    shared = seen(tmp_path, revision="two", boards=done, money=f'{money}2026-05-02,,50,materials,"a; b"\n')
    assert [board.materials for board in shared.at_once.boards] == [None, None]
    assert [board.deposit for board in shared.at_once.boards] == [None, 200.0]


DATES = SimpleNamespace(low=day(1), likely=day(5), high=day(9), tell=day(12))


class Outlook:
    """Board a is first in line; of any other it is known when it would be ready."""

    def __init__(self, fails=False):
        self.days, self.fails = SimpleNamespace(ready=["the first"]), fails

    def place_of(self, board):
        if self.fails:
            raise NoAnswerError("no hours", "")
        return 0 if board == "a" else None

    def to_tell(self, board, ready, today):
        assert (board, ready, today) == ("a", "the first", day(10))
        return DATES

    def of_one_more(self, known, today):
        assert today == day(10)
        return DATES, day(20)


def bench(tmp_path, **outlook):
    known = seen(tmp_path, day(10), boards=BOARDS, hours=HOURS)
    states = {"a": "on bench", "c": "asked", "d": "declined"}
    known.__dict__["fit"] = SimpleNamespace(
        boards=[SimpleNamespace(board=name, state=state) for name, state in states.items()]
    )
    workbench = Workbench(known)
    workbench.__dict__["outlook"] = Outlook(**outlook)
    return workbench


def test_a_board_in_hand_is_ready_as_it_stands_and_one_that_is_asked_for_if_he_says_yes(tmp_path):
    workbench = bench(tmp_path)
    assert workbench.ready("a") == Ready(day(1), day(5), day(9), tell=day(12))
    assert workbench.ready("c") == Ready(day(1), day(5), day(9), day(20), day(12))
    assert workbench.ready(SimpleNamespace(board="e")) == Ready(day(1), day(5), day(9), day(20), day(12))
    assert workbench.ready("d") is None
    assert bench(tmp_path, fails=True).ready("a") is None
    assert [getattr(workbench.asked(name), "board", None) for name in "acd"] == [None, "c", None]


def test_a_day_goes_by_what_records_up_to_it_taught_of_hours_and_of_dates_apart(tmp_path):
    taught = [
        Stretch(1.0, 1.2, "2026-05-04", "hours"),
        Stretch(0.9, 1.5, "2026-05-04", "dates"),
        Stretch(1.0, 1.9, "2026-05-11", "hours"),
    ]
    keep(stretch_file(tmp_path / ".estimator"), stretches_to_json(taught))
    workbench = bench(tmp_path)
    assert (workbench.stretch().low, workbench.stretch().high) == (1.0, 1.2)
    assert (workbench.stretch("dates").low, workbench.stretch("dates").high) == (0.9, 1.5)
    name = workbench.dates_file.name
    assert name.startswith("bench-")
    assert name.endswith("-3-2026-05-10-rev.0.9000.1.5000.json")
    assert workbench.file("moved", "a").name != workbench.file("moved", "b").name
    assert not workbench.stale
    keep(stretch_file(tmp_path / ".estimator"), stretches_to_json(taught[:1]))
    assert workbench.stale
    assert not bench(tmp_path).stale  # nobody asked it yet


def fits(tmp_path, monkeypatch, today=None, **kept):
    """What was learned of earlier logs, by their revision, the oldest first; and a log of which nothing is."""
    known = seen(tmp_path, today, revision="now", **({"boards": BOARDS, "hours": HOURS} if today else {}))
    parts = {(stage.name, driver) for stage in TRADE.stages.values() for driver in stage.drivers}
    slow = {(stage, name) for name, one in TRADE.modifiers.items() for stage in one.stages}
    whole = SimpleNamespace(stages=tuple(TRADE.stages), parts=parts, conditions=slow)
    by_name = {}
    for age, (revision, changes) in enumerate(kept.items()):
        file = known.kept_as(f"fit-{MODEL_VERSION}")
        file = file.with_name(file.name.replace("now", revision))
        file.parent.mkdir(exist_ok=True)
        file.write_text("")
        at = time.time() - 900 + age  # what is much older is cleared away
        os.utime(file, (at, at))
        by_name[file.name] = SimpleNamespace(**{**vars(whole), "of": revision, **changes})

    def fit_in(file):
        if file.name not in by_name:
            raise NoAnswerError("nothing is kept", "")
        return by_name[file.name]

    monkeypatch.setattr("estimator.as_of._fit_in", fit_in)
    return known


@pytest.mark.parametrize(
    ("kept", "of"),
    [
        ({}, None),
        ({"old": {}}, "old"),
        ({"old": {}, "new": {}}, "new"),
        ({"old": {}, "now": {}, "new": {}}, "now"),  # its own comes before a newer one of another log
        ({"old": {}, "new": {"stages": ("strip",)}}, "old"),
        ({"old": {}, "new": {"parts": set()}}, "old"),
        ({"old": {}, "new": {"conditions": set()}}, "old"),
        ({"old": {}, "a": {"parts": set()}, "b": {"parts": set()}}, "old"),
        ({"old": {}, "a": {"parts": set()}, "b": {"parts": set()}, "c": {"parts": set()}}, None),  # three are looked at
    ],
)  # fmt: skip
def test_at_once_counts_what_was_learned_of_the_same_stages_last(tmp_path, monkeypatch, kept, of):
    assert getattr(fits(tmp_path, monkeypatch, **kept).fit_at_hand(), "of", None) == of


def test_looked_at_from_an_earlier_day_no_other_log_counts(tmp_path, monkeypatch):
    fits(tmp_path, monkeypatch, old={})
    known = seen(tmp_path, day(5), revision="now", boards=BOARDS, hours=HOURS)
    assert known.earlier == day(5)
    assert known.fit_at_hand() is None
    of_that_day = fits(
        tmp_path, monkeypatch, today=day(5), old={}
    )  # another log's, looked at from the same day
    assert of_that_day.earlier == day(5)
    assert of_that_day.fit_at_hand() is None


def test_what_boards_share_is_split_by_what_they_are_expected_to_use_where_that_is_known(
    tmp_path, monkeypatch
):
    done = "board,state,ready\na,finished,2026-05-02\nb,finished,2026-05-02\n"
    money = 'date,in,out,what,boards\n2026-05-01,,40,materials,"a; b"\n'
    for revision, uses, split in (("one", {"a": 3.0, "b": 1.0}, [30.0, 10.0]), ("two", None, [20.0, 20.0])):
        known = seen(tmp_path, revision=revision, boards=done, money=money)
        known.__dict__["fit"] = None

        def expected(*_, uses=uses):
            if uses is None:
                raise NoAnswerError("nothing is learned", "")
            return uses

        monkeypatch.setattr("estimator.model.materials.expected_uses", expected)
        assert [board.materials for board in known.known[0].boards] == split


def test_work_in_hand_without_dates_says_why_there_are_none(tmp_path, monkeypatch):
    class Shut(Workbench):
        @property
        def outlook(self):
            raise NoAnswerError("The week has no hours.", "Write some.")

    seen_by = []

    def in_hand_of(*given, today, **_):
        seen_by.append((given[-1], today))
        return ()

    monkeypatch.setattr("estimator.decide.quarter.work_in_hand.in_hand_of", in_hand_of)
    found = Shut(bench(tmp_path).known).in_hand()
    assert (found.boards, found.no_dates) == ((), "The week has no hours. Write some.")
    assert seen_by == [(None, day(10))]


def test_what_wishes_add_is_asked_of_the_board_that_is_named(tmp_path, monkeypatch):
    def add(outlook, known, today):
        if known.board == "d":
            raise NoAnswerError("never", "")
        return known.board, today

    monkeypatch.setattr("estimator.decide.weigh.promise_impact.wishes_add", add)
    workbench = bench(tmp_path)
    assert workbench.wishes("c") == ("c", day(10))
    assert workbench.wishes(SimpleNamespace(board="e")) == ("e", day(10))
    assert workbench.wishes("d") == (None, None)


def test_days_to_come_are_counted_from_the_day_after_the_log_with_what_was_known_then(tmp_path, monkeypatch):
    seen_by = {}
    monkeypatch.setattr(
        "estimator.bench.waits.Waits.fitted",
        lambda log, settings, fit, *, seed: seen_by.update(rules=settings.rules) or "waits",
    )
    monkeypatch.setattr(
        "estimator.bench.calendar.capacity_of", lambda log, bench, day, *, seed: ("capacity", day, seed)
    )
    monkeypatch.setattr(
        "estimator.bench.outlook.Outlook.of", lambda hand, capacity, stretch: (hand, capacity, stretch)
    )
    taught = [Stretch(1.0, 1.2, "2026-05-04", "hours"), Stretch(0.9, 1.5, "2026-05-04", "dates")]
    keep(stretch_file(tmp_path / ".estimator"), stretches_to_json(taught))
    known = seen(tmp_path, day(5), starter_text() + SAID, boards=BOARDS, hours=HOURS)
    known.__dict__["fit"] = "fit"
    hand, capacity, stretch = Workbench(known).outlook
    assert (hand.fit, hand.waits, hand.day, hand.seed) == ("fit", "waits", day(6), 3)
    assert [entry.board for entry in hand.log.entries] == ["b"]
    assert "x" not in {rule.name for rule in seen_by["rules"]}
    assert capacity == ("capacity", day(6), 3)
    assert (stretch.low, stretch.high) == (0.9, 1.5)


def test_what_is_learned_and_judged_is_of_the_day_from_which_one_looks(tmp_path, monkeypatch):
    asked = {}

    def fit(log, settings, *, as_of, seed, rules, problems):
        asked["fit"] = len(log.entries), as_of, seed, "x" in {rule.name for rule in rules}, problems
        return SimpleNamespace(to_json=lambda: "{}")

    def overruns(log, settings, *, as_of, rules, seed):
        asked["overruns"] = len(log.entries), as_of, seed, "x" in {rule.name for rule in rules}

    def judge(log, settings, fit, *, today, seed):
        asked["judge"] = len(log.entries), today, seed, "x" in {rule.name for rule in settings.rules}

    monkeypatch.setattr("estimator.model.fit.fit", fit)
    monkeypatch.setattr("estimator.model.saved_fit.fit_from_json", learned)
    monkeypatch.setattr("estimator.decide.overruns.overruns.all_overruns", overruns)
    monkeypatch.setattr("estimator.record.rules.judging.judge", judge)
    monkeypatch.setattr("estimator.as_of.kept_result", lambda file, kind, work: work())
    bad = HOURS + "b,2026-05-04,,stirp,2,\n"
    for name, today, then in (("then", day(5), (1, day(5), 3, False)), ("now", day(25), (2, None, 3, True))):
        known = seen(tmp_path / name, today, starter_text() + SAID, boards=BOARDS, hours=bad)
        assert (known.fit, known.overruns, known.verdicts) == ("learned", None, None)
        assert asked == {"fit": (*then, 1), "overruns": then, "judge": then}
        assert known.fit == "learned"


def learned(text):
    """What was learned, where a text of it was kept."""
    if not text:
        raise NoAnswerError("nothing is kept", "")
    return "learned"


def test_work_in_hand_is_moved_out_by_what_was_taught_of_hours_and_kept_under_it(tmp_path, monkeypatch):
    """Hours of boards in line are those of a range; their dates come from the outlook, moved out already."""
    given = []
    monkeypatch.setattr(
        "estimator.decide.quarter.work_in_hand.in_hand_of", lambda *_, **more: given.append(more) or ()
    )
    for day_, high in (("2026-05-04", 1.2), ("2026-05-05", 1.7)):
        taught = [Stretch(1.0, high, day_, "hours"), Stretch(0.9, 1.5, day_, "dates")]
        keep(stretch_file(tmp_path / ".estimator"), stretches_to_json(taught))
        found = [bench(tmp_path).in_hand() for _ in range(2)]
        assert [one.no_dates for one in found] == ["", ""]

    assert [(one["stretch"].low, one["stretch"].high, one["seed"]) for one in given] == [
        (1.0, 1.2, 3),
        (1.0, 1.7, 3),
    ]


def test_what_is_in_hand_beside_a_board_is_kept_for_that_board(tmp_path, monkeypatch):
    asked = []
    monkeypatch.setattr(
        "estimator.decide.weigh.promise_impact.InHand.beside",
        lambda outlook, board, today: asked.append((board.board, today)) or InHand(3.0, None, board.board),
    )
    workbench = bench(tmp_path)
    found = [workbench.beside(SimpleNamespace(board=name)).no_dates for name in "ccd"]
    assert found == ["c", "c", "d"]
    assert asked == [("c", day(10)), ("d", day(10))]


def test_a_board_that_nobody_knows_is_refused_before_anything_is_learned_and_not_once_it_is(tmp_path):
    known = seen(tmp_path, boards=BOARDS, hours=HOURS)
    known.refuse_unknown("red", "Describe it.")
    with pytest.raises(UsageError, match="Known here: red, tan"):
        known.refuse_unknown("puce", "Describe it.")
    with pytest.raises(UsageError, match="Describe it"):
        seen(tmp_path, revision="bare", boards="board\n").refuse_unknown("puce", "Describe it.")
    keep(known.kept_as(f"fit-{MODEL_VERSION}"), "{}")
    known.refuse_unknown("puce", "Describe it.")
    other = seen(tmp_path, revision="other", boards=BOARDS, hours=HOURS)
    other.__dict__["fit"] = "learned"
    other.refuse_unknown("puce", "Describe it.")

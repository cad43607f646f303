"""The worker: newest questions first, of the newest revision, and begun again when it dies."""

import contextlib
import datetime as dt
import json
import os
import queue
import signal
import subprocess
import sys
import time
from threading import Thread

import pytest
from making.counter import client
from making.folders import TODAY, folder
from making.worker_done import WorkerAtOnce

from estimator.counter.answer_files import AsOf, PageQuestion, newest
from estimator.counter.own_process import running, surroundings
from estimator.counter.worker import Asked, Worker, _tell
from estimator.counter.worker_desk import MOST_BEGUN, WorkerDesk

BOARD = PageQuestion("board", "26-001")
NOW = AsOf.on("now", TODAY, 0)


def wait_for(what, seconds=60.0):
    end = time.monotonic() + seconds
    while not (found := what()):
        assert time.monotonic() < end, "nothing came"
        time.sleep(0.05)
    return found


@pytest.fixture
def place(tmp_path):
    return folder(tmp_path / "shop")


def test_the_newest_question_is_answered_first_and_each_once():
    asked = Asked()
    for about in ("1", "2", "1"):
        asked.put(PageQuestion("board", about), NOW)

    assert [asked.take(wait=False)[0].about for _ in range(2)] == ["1", "2"]
    assert asked.take(wait=False) is None


def test_of_a_log_that_has_changed_since_nothing_is_asked_any_more():
    asked = Asked()
    asked.put(BOARD, NOW)
    asked.put(PageQuestion("today"), AsOf.on("later", TODAY, 0))

    assert asked.take(wait=False)[0].kind == "today"
    assert asked.take(wait=False) is None


class Busy:
    """A worker that is told lines in the middle of its work, until it has begun so many answers; what they were."""

    def __init__(self, place, monkeypatch, many, ahead=()):
        self.worker, self.lines, self.worked_on, self.during = Worker(place, 0), queue.SimpleQueue(), [], {}
        self.many = many
        self.revision = self.shop_digest(place)
        monkeypatch.setattr("estimator.counter.worker.answered", self.answered)
        monkeypatch.setattr("estimator.counter.worker.ahead", lambda _: ahead)

    @staticmethod
    def shop_digest(place):
        from estimator.shop import Shop

        return Shop.open(place, today=TODAY).snapshot().digest

    def ask(self, question, revision=""):
        said = {"kind": question.kind, "about": question.about, "day": TODAY.isoformat()}
        self.lines.put(json.dumps(said | {"revision": revision or self.revision}))

    def answered(self, _view, question, _breathe):
        """Answers at once, but for what is done in its middle: then it goes on until it is dropped."""
        self.worked_on.append(question)
        if meanwhile := self.during.pop(question, None):
            meanwhile()
            end = time.monotonic() + 20
            while time.monotonic() < end:
                time.sleep(0.01)
            pytest.fail("nothing was dropped")
        if len(self.worked_on) == self.many:
            self.worker.asked.close()
        return {}, ""

    def run(self):
        before = signal.signal(signal.SIGINT, self.worker.reconsider)
        hearing = Thread(target=self.worker.listen, args=(iter(self.lines.get, None),))
        hearing.start()
        try:
            self.worker.run()
        finally:
            self.lines.put(None)
            hearing.join()
            signal.signal(signal.SIGINT, before)


def test_what_is_of_a_log_that_has_changed_since_is_dropped(place, monkeypatch):
    busy, last = Busy(place, monkeypatch, 2), PageQuestion("board", "26-002")
    busy.during[BOARD] = lambda: busy.ask(last, "another")
    busy.ask(BOARD)
    busy.run()

    assert busy.worked_on == [BOARD, last]
    assert newest(BOARD, place) is None
    assert newest(last, place) is not None


def test_what_nobody_asked_for_lets_go_before_what_somebody_waits_for_and_is_done_after(place, monkeypatch):
    first, asked, later = (
        PageQuestion("today"),
        PageQuestion("board", "26-002"),
        PageQuestion("weigh", "26-003"),
    )
    busy = Busy(place, monkeypatch, 5, ahead=(BOARD, later))
    busy.during[BOARD] = lambda: busy.ask(asked)
    busy.ask(first)
    busy.run()

    assert busy.worked_on == [first, BOARD, asked, later, BOARD]


def test_what_is_asked_of_the_same_log_lets_what_was_asked_before_end(place, monkeypatch):
    busy, other = Busy(place, monkeypatch, 2), PageQuestion("board", "26-002")
    busy.during[BOARD] = lambda: (busy.ask(other), time.sleep(0.3), busy.ask(other, "another"))
    busy.ask(BOARD)
    monkeypatch.setattr(busy.worker, "reconsider", reconsidered := Reconsidered(busy.worker))
    busy.run()

    assert reconsidered.dropped == [False, True]


def test_a_module_that_is_loaded_meanwhile_is_loaded_to_its_end(place, monkeypatch, tmp_path):
    busy, other = Busy(place, monkeypatch, 2), PageQuestion("board", "26-002")
    (tmp_path / "slowly_loaded.py").write_text(
        "import time\nfor _ in range(50):\n    time.sleep(0.01)\nWHOLE = True\n"
    )
    monkeypatch.syspath_prepend(tmp_path)

    def meanwhile():
        busy.ask(other, "another")
        import slowly_loaded

        assert slowly_loaded.WHOLE
        busy.ask(other, "a third")

    busy.during[BOARD] = meanwhile
    busy.ask(BOARD)
    busy.run()

    assert busy.worked_on == [BOARD, other]
    assert sys.modules["slowly_loaded"].WHOLE


class Reconsidered:
    """Whether each time something was dropped."""

    def __init__(self, worker):
        self.look, self.dropped = worker.reconsider, []

    def __call__(self, *args):
        try:
            self.look(*args)
        except BaseException:
            self.dropped.append(True)
            raise
        self.dropped.append(False)


def test_a_short_question_need_not_wait_for_a_long_one(place):
    worker = Worker(place, 0)
    worker.asked.put(BOARD, NOW)
    worker.asked.put(PageQuestion("quarter", "2026-Q1"), NOW)
    worker.breathe()

    assert newest(BOARD, place) is not None
    assert worker.asked.take(wait=False)[0].kind == "quarter"


def test_an_answer_is_kept_as_text_and_reads_back_as_it_was(place):
    from estimator.counter.answers import board_parts
    from estimator.counter.kept_parts import parts_from_json, parts_to_json
    from estimator.shop import Shop

    parts = board_parts(Shop.open(place, today=TODAY).snapshot(), "26-001", lambda *_: None)
    for name, each in parts.items():
        kept = json.loads(json.dumps(parts_to_json(each)))
        assert json.loads(json.dumps(parts_to_json(parts_from_json(kept)))) == kept, name
    assert parts_from_json(parts_to_json(parts["range"])) == parts["range"]


@pytest.mark.parametrize("spoilt", [b"", b"{}", b"\xff", b'{"of": 1}\nx'])
def test_a_spoilt_answer_is_none(place, spoilt):
    Worker(place, 0).answer(BOARD, NOW)
    file = BOARD.file(place)
    assert newest(BOARD, place) is not None
    file.write_bytes(spoilt)

    assert newest(BOARD, place) is None


def test_no_text_of_a_user_becomes_a_path(place):
    file = PageQuestion("board", "../../etc/passwd\0").file(place)

    assert file.parent == place / ".estimator/counter"
    assert file.name.startswith("board.")


def test_a_page_shows_the_last_answer_and_of_when_it_is_until_the_next_is_there(place):
    worker = WorkerAtOnce(place)
    counter = client(place, today=TODAY, worker=worker)
    counter.page("/boards/26-001")
    assert "data-waiting" not in counter.page("/boards/26-001")

    worker.gone = True
    with (place / "hours.csv").open("a", encoding="utf-8") as log:
        log.write("26-001,2026-05-30,gloss,1,\n")
    stale = counter.page("/boards/26-001")
    assert "data-waiting" in stale
    assert "does not start again" in stale
    assert "Ready by" in stale

    worker.gone = False
    counter.app.extensions["counter"].worker = type("Slow", (), {"gone": False, "ask": lambda *_: None})()
    assert "As of before the last entry; working it out." in counter.page("/boards/26-001")
    assert "Look again" in counter.page("/boards/26-001")


def test_of_yesterday_is_said_as_that(place):
    worker = WorkerAtOnce(place)
    client(place, today=TODAY, worker=worker).page("/")
    worker.gone, later = True, TODAY + dt.timedelta(days=1)
    counter = client(place, today=later, worker=type("Slow", (), {"gone": False, "ask": lambda *_: None})())

    assert "As of Mon 1 June 2026; working it out." in counter.page("/")


def test_a_mistake_of_ours_in_one_answer_is_said_and_ends_nothing(place, monkeypatch, capsys):
    def fails(*_):
        raise RuntimeError("Ann")

    monkeypatch.setattr("estimator.counter.answers.KINDS", {"today": fails, "board": fails})
    worker = Worker(place, 0)
    worker.answer(PageQuestion("today"), NOW)

    assert newest(PageQuestion("today"), place).refused == "This is our mistake"
    said = capsys.readouterr().err
    assert said.startswith("RuntimeError at ")
    assert "Ann" not in said


def test_the_worker_answers_dies_with_its_server_and_is_begun_again(place):
    desk = WorkerDesk(place, 0)
    desk.ask(PageQuestion("today"), NOW)
    wait_for(lambda: newest(PageQuestion("today"), place))
    first = desk.pid
    os.kill(first, signal.SIGKILL)
    wait_for(lambda: desk.pid is None)
    (place / ".estimator/counter").joinpath(PageQuestion("today").file(place).name).unlink()
    desk.ask(PageQuestion("today"), NOW)
    wait_for(lambda: newest(PageQuestion("today"), place))
    second = desk.pid

    assert second not in {None, first}
    desk.close()
    assert desk.pid is None


def test_a_worker_that_cannot_be_begun_is_given_up_for_a_while(place):
    desk = WorkerDesk(place, 0, (sys.executable, "-c", "raise SystemExit(1)"))
    for _ in range(MOST_BEGUN):
        assert not desk.gone
        desk.ask(BOARD, NOW)
        wait_for(lambda: desk.pid is None)

    assert desk.gone
    desk.ask(BOARD, NOW)
    assert desk.pid is None
    assert "does not start again" in client(place, today=TODAY, worker=desk).page("/boards/26-001")
    desk.close()


def test_the_worker_ends_when_nobody_is_left_to_ask(place):
    process = subprocess.Popen(
        running("estimator.counter.worker", str(place), "0"), stdin=subprocess.PIPE, env=surroundings()
    )
    process.stdin.close()

    assert process.wait(60) == 0


def test_the_log_may_be_asked_by_several_pages_at_once(place):
    from concurrent.futures import ThreadPoolExecutor

    counter = client(place, today=TODAY, worker=WorkerAtOnce(place))
    app = counter.app

    def ask(path):
        return app.test_client().get(path, headers={"Host": "localhost"}).status_code

    with (
        contextlib.closing(counter.browser.get("/here", headers={"Host": "localhost"})),
        ThreadPoolExecutor(4) as pool,
    ):
        assert set(pool.map(ask, ["/", "/on-the-go", "/boards/26-001", "/boards/26-002"] * 5)) == {200}


def test_only_questions_that_can_be_answered_are_taken_and_at_the_end_nobody_asks_any_more(place):
    worker, taken = Worker(place, 7), []
    worker.asked = type(
        "Taken", (), {"put": lambda _, *one: taken.append(one), "close": lambda _: taken.append("over")}
    )()
    good = {"kind": "board", "about": "26-001", "day": "2026-06-01", "revision": "r"}
    odd = [{**good, "kind": "dance"}, {**good, "day": "someday"}, {"kind": "board"}, [], 3]
    worker.listen([json.dumps(one) for one in (good, *odd)] + ["spoilt", json.dumps({**good, "day": ""})])

    assert taken == [(BOARD, AsOf("r", "2026-06-01", 7)), (BOARD, AsOf("r", "", 7)), "over"]


def test_a_short_question_is_taken_before_long_ones_that_were_asked_later():
    asked = Asked()
    for kind in ("board", "quarter", "record", "diary"):
        asked.put(PageQuestion(kind), NOW)

    assert asked.take(wait=False, short=True)[0].kind == "board"
    assert asked.take(wait=False, short=True) is None
    assert [asked.take(wait=False)[0].kind for _ in range(3)] == ["diary", "record", "quarter"]
    asked.put(BOARD, NOW)
    asked.close()
    assert asked.take(wait=True) is None


def test_what_is_there_already_is_not_worked_out_again_and_what_is_not_is(place, monkeypatch):
    worked_on = []
    monkeypatch.setattr(
        "estimator.counter.worker.answered",
        lambda _, question, __: worked_on.append(question) or ({"range": ("So.",)}, ""),
    )
    worker = Worker(place, 3)
    for day in (TODAY, TODAY, TODAY + dt.timedelta(1), TODAY):
        worker.answer(BOARD, AsOf.on("whatever", day, 3))

    assert len(worked_on) == 3
    found = newest(BOARD, place)
    assert (found.as_of.day, found.as_of.seed, found.parts) == (TODAY.isoformat(), 3, {"range": ("So.",)})
    assert found.as_of.revision == Busy.shop_digest(place)


def test_a_long_answer_ends_where_nobody_asks_any_more_and_a_workshop_that_is_none_has_no_answer(
    place, tmp_path
):
    worker = Worker(place, 0)
    worker.breathe()
    worker.asked.close()
    with pytest.raises(SystemExit):
        worker.breathe()
    Worker(tmp_path / "nowhere", 0).answer(BOARD, NOW)
    assert newest(BOARD, tmp_path / "nowhere") is None


def test_of_a_mistake_of_ours_its_sort_and_its_place_are_told_and_nothing_of_the_log(capsys):
    try:
        {}["Ines Calder"]
    except KeyError as error:
        line = error.__traceback__.tb_lineno
        _tell(error)

    assert capsys.readouterr().err == f"KeyError at test_worker.py:{line}\n"


def test_a_log_that_was_taken_into_a_book_is_read_there_and_what_comes_next_is_looked_for_once_a_log(
    place, monkeypatch
):
    from estimator.log.exchange.importing import ImportChoices, import_folder

    looked = []
    monkeypatch.setattr("estimator.counter.worker.answered", lambda *_: ({}, ""))
    monkeypatch.setattr("estimator.counter.worker.ahead", lambda view: looked.append(view.digest) or ())
    worker = Worker(place, 0)
    for about in ("26-001", "26-002"):
        worker.answer(PageQuestion("board", about), NOW)
    assert len(looked) == 1
    import_folder(place, dt.datetime.combine(TODAY, dt.time(8)), ImportChoices())
    worker.answer(BOARD, NOW)

    assert looked[1:] == [newest(BOARD, place).as_of.revision] == [Busy.shop_digest(place)]
    worker.answer(BOARD, AsOf.on("now", TODAY + dt.timedelta(1), 0))
    assert len(looked) == 3  # from another day other boards are likely


def test_after_a_short_question_in_its_middle_a_long_one_is_at_work_again(place, monkeypatch):
    worker, long, seen = Worker(place, 0), PageQuestion("quarter", "2026-Q1"), []

    def answered(_view, question, breathe):
        seen.append((question.kind, worker._at_work[1]))
        if question == long:
            worker.asked.put(BOARD, NOW)
            breathe(1, 2)
            seen.append(("again", worker._at_work[1]))
        return {}, ""

    monkeypatch.setattr("estimator.counter.worker.answered", answered)
    worker.answer(long, NOW, asked_for=False)

    assert seen == [("quarter", False), ("board", True), ("again", False)]
    assert worker._at_work is None

"""What takes seconds or much memory is never worked out by the server: no page and no form loads what works it out."""

import datetime as dt
import json
import subprocess
import sys

import pytest
from making.counter import client
from making.working_day import MAY, AtOnce, in_a_book

from estimator.counter.own_process import surroundings
from estimator.counter.step_questions import TELLING
from estimator.log.steps.enquiry import QuestionsAnswered
from estimator.log.steps.hours import HoursNow
from estimator.log.steps.money_line import MoneyWritten
from estimator.log.store import Sent
from estimator.working_day import as_written

RED, FISH = "26-001", "26-002"
PAGES = ("/", "/on-the-go", f"/boards/{RED}", f"/take-it-on/{FISH}", f"/new/{FISH}?here=yes&seen=yes", "/hours", "/look-back",
         "/money", "/settings", "/book", "/setting-up", "/first-start", "/diary", "/otherwise", "/phones")  # fmt: skip
WALK = """
import json, sys

class Refused:
    def find_spec(self, name, path=None, target=None):
        if name.partition(".")[0] in {"scipy", "pandas", "matplotlib", "statsmodels", "sklearn"}:
            raise AssertionError(name + " is loaded")

sys.meta_path.insert(0, Refused())
import datetime as dt
from making.counter import client
place, day, pages, forms = json.loads(sys.argv[1])
counter = client(place, today=dt.date.fromisoformat(day), home="192.0.2.7")  # RFC 5737: an address for examples
counter.app.config["PROPAGATE_EXCEPTIONS"] = True
for path in pages:
    counter.page(path)
said, seen = [], set()
rules = counter.app.url_map.bind("localhost")
for path, fields in forms:
    answer = counter.send(path, "/money", **fields)
    seen.add(rules.match(path.partition("?")[0], "POST")[0])
    said.append([path, answer.status_code])
posts = {rule.endpoint for rule in counter.app.url_map.iter_rules() if "POST" in rule.methods}
print(json.dumps([said, sorted(posts - seen)]))
"""
STEPS = {
    "note": {"text": "two parts white"}, "hours": {"stage": "infill", "hours": "2"}, "done": {"stage": "infill"},
    "again": {"stage": "strip", "hours": "1", "again": "sand-through"}, "found": {"as_thought": "yes"}, "weight": {"weight": "6.4"},
    "asked-since": {"more.spray_colours": "1", "price": "100"}, "told": {"price": "900"}, "struck": {"why": "wrong board"},
    "stopped": {"cause": "owner"}, "going": {}, "deposit": {"amount": "10"}, "ready": {"cost_time": "me", "materials": "20"},
    "collected": {"amount": "10", "what": "both"}, "gave-back": {"kept": "1", "returned": "1"}, "weigh-up": {"answer": "yes", "why": "x"},
}  # fmt: skip
FORMS = [
    ("/hours", {"page": "Mon red infill 1"}),
    *((f"/boards/{RED}/write/{slug}", fields) for slug, fields in STEPS.items()),
    (f"/boards/{FISH}/write/told", {}), (f"/boards/{FISH}/write/told", {"hours": "5-9", "price": "100", "last": "2026-07-01"}),
    (f"/boards/{FISH}/write/answered", {"answer": "yes"}), (f"/rung/{RED}", {"why": "in danger", "answer": "left it"}),
    ("/not-in", {"until": ""}), ("/new", {"owner": "Wen", "kind": "minor", "feet": "6"}), (f"/new/{FISH}", {"looked.infills": "1", "guess": "9"}),
 ("/hours/end", {f"stage.strip.{RED}": "yes"}), ("/undo", {"act": "1"}),
    ("/money", {"way": "out", "amount": "30", "what": "materials", "boards": f"{RED};{FISH}"}), ("/light", {"evening": "yes"}),
    ("/look-back/missing", {"day.2026-05-01": "away"}), ("/look-back/keep", {"rule": "x", "offer": "y"}),
    ("/settings/workshop", {"places": "4"}), ("/settings/stages/sand", {"label": "Sand it"}), ("/settings/stages/sand/use", {"retired": "yes"}),
    ("/settings-add/stages", {"label": "Wax"}), ("/phones/add", {}), ("/phones/forget", {"phone": "x"}), ("/let-in", {"letters": "x"}),
    ("/book/undo", {"act": "1"}), ("/book/second-place", {"second": ""}), ("/book/forget", {"board": RED}), ("/book/put-back", {"copy": "x"}),
    ("/book/import", {}), ("/book/keep", {}), ("/setting-up/week", {"mon": "6"}), ("/promised", {"lines": "Ines, full 9'6, by 20 October, 60 h"}),
    ("/diary", {"box": "red 9'6, full, 12 March to 3 May, 9 days", "year": "2025", "rest": "none"}),
]  # fmt: skip


@pytest.fixture
def place(tmp_path):
    """A workshop in a book that has learned nothing yet, with money that two boards share."""
    folder = tmp_path / "shop"
    folder.mkdir()
    in_a_book(folder)
    shop = client(folder, today=MAY).app.extensions["counter"].shop
    for step in (
        QuestionsAnswered(RED, {"infills": "2", "wetness": "damp"}),
        HoursNow(RED, "strip", "4"),
        MoneyWritten("out", "300", "materials", (RED, FISH), "a drum", ""),
    ):
        shop.do(step, Sent(dt.datetime.combine(MAY, dt.time(8))))
    return folder


def test_no_page_and_no_form_loads_what_works_answers_out(place):
    asked = json.dumps([str(place), MAY.isoformat(), PAGES, FORMS])
    done = subprocess.run(
        [sys.executable, "-c", WALK, asked], capture_output=True, text=True, check=False, env=surroundings()
    )

    assert (done.returncode, done.stderr) == (0, "")
    said, left = json.loads(done.stdout)
    assert left == []
    assert [path for path, status in said if status >= 500] == []
    written = [path for path, status in said if status == 303]
    assert len(written) > len(FORMS) / 2, said


def board_told(held):
    return [one for one in as_written(held.shop.snapshot(MAY)).log.told if one.board == RED]


def test_a_telling_takes_what_the_worker_has_left_and_else_waits_with_all_that_was_typed(place):
    counter = client(place, today=MAY)
    held = counter.app.extensions["counter"]
    write = f"/boards/{RED}/write/told"
    asked = []
    held.worker = type(
        "Slow", (), {"gone": False, "ask": lambda _, question, __: asked.append(question.kind)}
    )()
    counter.page(write)
    assert TELLING in asked

    waits = counter.send(write, write, price="2,450", first="2026-05-20")
    page = waits.get_data(as_text=True)
    assert waits.status_code == 422
    assert "What you leave empty here is still being worked out." in page
    assert 'href="#f-hours"' in page
    assert 'value="2,450"' in page
    assert 'value="2026-05-20"' in page
    assert board_told(held) == []

    held.worker = AtOnce(held)
    counter.page(write)
    assert counter.send(write, write, price="2450").status_code == 303
    [told] = board_told(held)
    held.shop.undo()
    now = held.shop.snapshot(MAY)
    said, ready = now.range(RED), now.ready(RED)
    assert told.price == 2450
    assert (told.first, told.last) == (ready.low, ready.tell)
    assert told.hours_low == pytest.approx(said.low, rel=0.06)
    assert told.hours_high == pytest.approx(said.high, rel=0.06)


def test_what_was_left_before_the_last_entry_is_not_told(place):
    counter = client(place, today=MAY)
    held, write = counter.app.extensions["counter"], f"/boards/{RED}/write/told"
    held.worker = AtOnce(held)
    counter.page(write)
    held.worker = None
    held.shop.do(HoursNow(RED, "strip", "5"), Sent(dt.datetime.combine(MAY, dt.time(9))))

    assert counter.send(write, write, price="2450").status_code == 422
    assert board_told(held) == []


def test_what_is_written_out_in_full_needs_nobody_to_work_it_out(place):
    counter = client(place, today=MAY)
    write = f"/boards/{RED}/write/told"
    sent = counter.send(write, write, hours="40-60", price="2000", last="2026-07-30")

    assert sent.status_code == 303
    assert counter.send(write, write, price="2000").status_code == 422  # nobody is there who works it out


def test_what_is_asked_for_since_is_read_before_it_is_agreed(place):
    counter = client(place, today=MAY)
    page = f"/boards/{RED}/write/asked-since"
    answer = counter.send(page, page, **{"more.spray_colours": "1"}, price="100")

    assert answer.status_code == 422
    assert "That is not worked out yet." in answer.get_data(as_text=True)

"""Several who write at once, each by the way of a command: nothing of anybody's is lost, in files and in a book."""

import datetime as dt
from concurrent.futures import ThreadPoolExecutor

import pytest
from making.folders import folder

from estimator.log.edits import decision_of, keep_accepted, keep_decision, own_row
from estimator.log.exchange.importing import ImportChoices, import_folder
from estimator.log.kept_in import store_of
from estimator.log.reading import read_log
from estimator.words.errors import UsageError
from estimator.words.records import Accepted
from estimator.words.settings.reader import parse_settings

NOON = dt.datetime(2026, 6, 4, 12, tzinfo=dt.UTC)
MANY = 20
BOARDS = "board,called,state\n" + "".join(f"26-{n:03},board {n},waiting\n" for n in range(1, MANY + 1))
RULES = """
[[rules]]
name = "rule {n}"
stage = "strip"
per = "area"
low = 3.0
high = 4.0
odds = 0.8
"""


@pytest.fixture(params=["files", "book"])
def place(request, tmp_path):
    """A folder of twenty boards and twenty rules, in files or in a book."""
    made = folder(tmp_path / "shop", boards=BOARDS, hours="board,date,stage,hours\n")
    with (made / "workshop.toml").open("a", encoding="utf-8") as file:
        file.write("".join(RULES.replace("{n}", str(n)) for n in range(MANY)))
    if request.param == "book":
        import_folder(made, NOON, ImportChoices())
    return made


def log_of(place):
    store = store_of(place)
    settings, wrong = parse_settings(store.settings_text())
    assert not wrong
    return store, settings, read_log(*store.read(), settings)[0]


def all_at_once(do):
    with ThreadPoolExecutor(8) as pool:
        return list(pool.map(do, range(MANY)))


def test_twenty_decisions_at_once_all_stand(place):
    store, settings, log = log_of(place)
    raw = store.read()[0]

    def decide(number):
        board = log.boards[number]
        decision = decision_of(board, "yes", f"why {number}", for_love=False)
        keep_decision(store_of(place), own_row(raw, settings, board), board, decision, NOON)

    all_at_once(decide)
    assert [board.decided_why for board in log_of(place)[2].boards] == [f"why {n}" for n in range(MANY)]


def test_one_row_that_two_decide_at_once_is_decided_once(place):
    store, settings, log = log_of(place)
    row, board = own_row(store.read()[0], settings, log.boards[0]), log.boards[0]

    def decide(number):
        decision = decision_of(board, "yes", f"why {number}", for_love=False)
        try:
            keep_decision(store_of(place), row, board, decision, NOON)
        except UsageError as error:
            return str(error)
        return ""

    said = all_at_once(decide)
    assert said.count("") == 1
    assert {one for one in said if one} == {f"{row.place.source} was changed meanwhile. Ask for it again."}
    assert log_of(place)[2].boards[0].decided_why == f"why {said.index('')}"


def test_twenty_ranges_kept_beside_rules_at_once_all_stand(place):
    kept = Accepted(5.0, 8.0, NOON.date(), 17)
    all_at_once(lambda number: keep_accepted(store_of(place), f"rule {number}", kept, NOON))
    rules = {rule.name: rule for rule in log_of(place)[1].rules}
    assert [rules[f"rule {n}"].accepted for n in range(MANY)] == [kept] * MANY

"""`import`: what its options mean, how it ends, and what is asked of a person at a terminal."""

import datetime as dt
import json

import pytest
from making.folders import HOURS, folder

from estimator.cli import import_command as module
from estimator.log.exchange.importing import ImportChoices, Imported
from estimator.log.exchange.questions import ImportQuestion, OfferedAnswer
from estimator.words.problems import Place, Problem

ASKS = ImportQuestion(
    "column:mine:In", "column", Place("mine.csv"), "Which?", (OfferedAnswer("asked", "a"), OfferedAnswer("ready", "r")),
    likely="ready", others=("asked", "ready", "quoted"),
)  # fmt: skip
DAYS = ImportQuestion(
    "dates:mine", "dates", Place("mine.csv"), "Which day?",
    (OfferedAnswer("day-month", "3 April"), OfferedAnswer("month-day", "4 March")),
)  # fmt: skip
ONE = ImportQuestion(
    "dates:one", "dates", Place("mine.csv"), "Which day?", (OfferedAnswer("day-month", "3 April"),)
)
WRONG = Problem(Place("mine.csv"), "x", "that is wrong", "Mend it.")


def outcome(*, written=True, problems=(), questions=()):
    return Imported(
        ("mine.csv",), written, False, {}, {}, {}, {}, 0, tuple(problems), questions=tuple(questions)
    )


@pytest.fixture
def taken(monkeypatch):
    """What was to be imported, and what comes of it."""
    calls, comes = [], [outcome()]

    def import_files(folder, files, at, how, answers):
        calls.append((files, at, how, dict(answers)))
        return comes.pop(0) if len(comes) > 1 else comes[0]

    def import_folder(folder, at, how):
        calls.append((folder, at, how))
        return comes[0]

    monkeypatch.setattr("estimator.log.exchange.importing.import_files", import_files)
    monkeypatch.setattr("estimator.log.exchange.importing.import_folder", import_folder)
    return calls, comes


@pytest.mark.parametrize(
    ("words", "how"),
    [
        ([], ImportChoices(only_try=False, newer=False, good_rows=False)),
        (["--try"], ImportChoices(only_try=True)),
        (["--newer"], ImportChoices(newer=True)),
        (["--good-rows"], ImportChoices(good_rows=True)),
    ],
)
def test_each_option_means_what_it_says(run, taken, tmp_path, words, how):
    (file := tmp_path / "mine.csv").write_text("a\n", "utf-8")
    run("import", file, *words, "--today", "2026-06-01", "--shop", tmp_path)
    run("import", *words, "--today", "2026-06-01", "--shop", tmp_path)

    (files, at, of_files, answers), (where, folder_at, of_folder) = taken[0]
    assert (files, of_files, answers) == ((file,), how, {})
    assert (where, of_folder) == (tmp_path, how)
    assert at.date() == folder_at.date() == dt.date(2026, 6, 1)
    assert at.tzinfo is not None
    assert at.time() != dt.time()  # of the clock, on that day


def test_a_try_is_said_to_be_one(run, taken, tmp_path, monkeypatch):
    said = []
    monkeypatch.setattr(
        "estimator.said.exchange.import_parts", lambda _done, *, only_try: said.append(only_try) or []
    )
    run("import", "--try", "--shop", tmp_path)
    run("import", "--newer", "--shop", tmp_path)
    assert said == [True, False]


def test_without_a_day_it_is_kept_under_the_clock_s(run, taken, tmp_path):
    before = dt.datetime.now().astimezone()
    run("import", "--shop", tmp_path)
    assert before <= taken[0][0][1] <= dt.datetime.now().astimezone()


@pytest.mark.parametrize(
    ("comes", "code"),
    [
        (outcome(), 0),
        (outcome(written=False), 0),
        (outcome(problems=[WRONG]), 0),
        (outcome(written=False, problems=[WRONG]), 1),
    ],
)
def test_it_ends_with_1_only_where_something_is_wrong_and_nothing_was_written(
    run, taken, tmp_path, comes, code
):
    taken[1][:] = [comes]
    run("import", "--shop", tmp_path, exit_code=code)
    run("import", "--json", "--shop", tmp_path, exit_code=code)


def test_a_person_is_asked_while_nothing_is_written_yet_and_each_thing_once(
    run, taken, tmp_path, monkeypatch
):
    calls, comes = taken
    (file := tmp_path / "mine.csv").write_text("a\n", "utf-8")
    comes[:] = [
        outcome(questions=[ASKS]),
        outcome(questions=[ASKS, DAYS]),
        outcome(questions=[ASKS, DAYS]),
        outcome(),
    ]
    monkeypatch.setattr(module, "somebody_there", lambda: True)
    said = iter(["quoted", "2"])
    monkeypatch.setattr(module.click, "prompt", lambda *_, **__: next(said))
    run("import", file, "--newer", "--shop", tmp_path)

    both = {"column:mine:In": "quoted", "dates:mine": "month-day"}
    assert [how.only_try for _, _, how, _ in calls] == [True, True, True, False]
    assert all(how.newer for _, _, how, _ in calls)
    assert [answers for *_, answers in calls] == [{}, {"column:mine:In": "quoted"}, both, both]


def test_what_is_answered_for_a_program_is_never_asked(run, taken, tmp_path, monkeypatch):
    (file := tmp_path / "mine.csv").write_text("a\n", "utf-8")
    taken[1][:] = [outcome(questions=[ASKS])]
    monkeypatch.setattr(module, "somebody_there", lambda: True)
    monkeypatch.setattr(module.click, "prompt", lambda *_, **__: pytest.fail("asked"))
    run("import", file, "--json", "--shop", tmp_path)


@pytest.mark.parametrize(
    ("question", "typed", "asked", "likely", "answer"),
    [
        (ASKS, ["1"], "Which is it, 1 to 2, or the name of another column of ours", "2", "asked"),
        (ASKS, ["0", "3", "what", "2"], "Which is it, 1 to 2, or the name of another column of ours", "2", "ready"),
        (ASKS, [" quoted "], "Which is it, 1 to 2, or the name of another column of ours", "2", "quoted"),
        (DAYS, ["quoted", "1"], "Which is it, 1 to 2", None, "day-month"),
        (ONE, ["2", "1"], "Which is it, 1", None, "day-month"),
    ],
)  # fmt: skip
def test_an_answer_is_a_number_of_the_list_or_where_it_is_a_column_its_name(
    monkeypatch, capsys, question, typed, asked, likely, answer
):
    prompts, left = [], list(typed)

    def prompt(text, default):
        prompts.append((text, default))
        return left.pop(0)

    monkeypatch.setattr(module.click, "prompt", prompt)
    assert module._answer(question) == answer
    assert prompts == [(asked, likely)] * len(typed)
    assert capsys.readouterr().out.count("That is none of them.") == len(typed) - 1


def test_good_rows_alone_are_taken_when_asked_for_and_the_log_goes_into_its_book(run, tmp_path):
    shop = folder(tmp_path / "shop", hours=f"{HOURS}26-009,2026-05-28,strip,5,\n")
    where = ("--shop", shop, "--today", "2026-06-01")
    run("import", *where, exit_code=1)
    assert not (shop / "book.sqlite").exists()
    run("import", "--good-rows", "--try", *where, exit_code=1)
    assert not (shop / "book.sqlite").exists()
    done = json.loads(run("import", "--good-rows", "--json", *where).stdout)
    assert (done["written"], done["added"]["hours"], done["left_out"]) == (True, 2, 1)
    acts = json.loads(run("undo", "--list", "--json", *where).stdout)["acts"]
    assert [act["at"][:10] for act in acts] == ["2026-06-01"]

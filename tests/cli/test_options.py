import datetime as dt
import json
import math
from types import SimpleNamespace

import click
import pytest
from click.testing import CliRunner
from hypothesis import given
from hypothesis import strategies as st
from making.folders import folder

from estimator.cli.commands import cli
from estimator.cli.options import (
    OUR_MISTAKE,
    Commands,
    SharedOptions,
    one_of,
    print_json,
    read_day,
    read_seed,
    reads,
    shared,
    tell_problems,
    told_error,
)
from estimator.shop import Shop
from estimator.words.errors import EstimatorError, NoAnswerError, UnreadableError, UsageError


def group(raised=None, reader=str, default=None):
    """A group with one command, which raises what it is told to, or prints what it was given."""

    @click.group(cls=Commands)
    def commands():
        pass

    @commands.command()
    @click.option("--words", callback=reads(reader), default=default)
    @shared
    def work(given, words):
        if raised:
            raise raised
        click.echo(f"{given.folder} {given.folder_given} {given.as_json} {given.today} {given.seed} {words}")

    return commands


def invoke(commands, *words, **env):
    return CliRunner().invoke(commands, [str(word) for word in words], env={"ESTIMATOR_SHOP": None, **env})


@pytest.mark.parametrize(
    ("error", "code"),
    [
        (NoAnswerError("neither rules nor log tell", "Say a rule."), 1),
        (UsageError("no such board.", "Name another."), 2),
        (UnreadableError("that is not a time", "Write 2:30."), 2),
        (EstimatorError("so it is."), 1),
    ],
)
def test_a_users_mistake_is_a_sentence_and_its_cure_on_stderr(error, code):
    result = invoke(group(error), "work")

    assert result.exit_code == code
    assert result.stderr == f"{error}\n"
    assert result.stdout == ""


def test_a_mistake_of_ours_keeps_its_traceback_and_says_whose_it_is():
    error = ZeroDivisionError("x")

    result = invoke(group(error), "work")

    assert result.exception is error
    assert error.__notes__ == [OUR_MISTAKE]


def test_what_click_itself_refuses_is_wrong_use():
    assert invoke(group(), "work", "--frob").exit_code == 2
    assert invoke(group(), "play").exit_code == 2


def test_shared_options_stand_after_the_command():
    result = invoke(group(), "work", "--shop", "there", "--json", "--today", "2026-09-30", "--seed", "7")

    assert result.stdout == "there True True 2026-09-30 7 None\n"


def test_left_out_they_are_the_current_folder_the_clock_and_nought():
    assert invoke(group(), "work").stdout == ". False False None 0 None\n"


def test_the_environment_names_a_workshop_but_the_option_wins():
    assert invoke(group(), "work", ESTIMATOR_SHOP="here").stdout.startswith("here False")
    assert invoke(group(), "work", "--shop", "there", ESTIMATOR_SHOP="here").stdout.startswith("there True")
    assert invoke(group(), "work", ESTIMATOR_SHOP="").stdout.startswith(". False")


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--today", "30/9/2026"], '--today: "30/9/2026" is not a day. Write it as 2026-09-30.'),
        (["--today", "2026-09-31"], '--today: "2026-09-31" is not a day. Write it as 2026-09-30.'),
        (["--seed", "-1"], '--seed: "-1" is not a whole number. Write one from 0 up, as 7.'),
        (
            ["--today", "9999-12-31"],
            '--today: "9999-12-31" is in the year 9999. Dates from 1950 to 2100 are read; mend the year.',
        ),
        (
            ["--today", "0001-01-01"],
            '--today: "0001-01-01" is in the year 1. Dates from 1950 to 2100 are read; mend the year.',
        ),
        (["--seed", "9" * 5000], f'--seed: "{"9" * 39}…" is too long. Write 18 figures at most, as 7.'),
        (["--words", "perhaps"], '--words: "perhaps" is not offered. Write yes or no.'),
    ],
)
def test_an_option_that_cannot_be_read_names_itself_and_the_cure(words, said):
    result = invoke(group(reader=one_of("yes", "no")), "work", *words)

    assert result.exit_code == 2
    assert result.stderr == f"{said}\n"


@given(st.dates(dt.date(1950, 1, 1), dt.date(2100, 12, 31)))
def test_every_day_is_read_as_it_is_written_in_iso_8601(day):
    assert read_day(day.isoformat()) == day


@given(st.text(max_size=12))
def test_any_other_text_is_refused_in_words(text):
    for reader in (read_day, read_seed, one_of("a", "b")):
        said = refusal_of(reader, text)
        assert said is None or (said.wrong and said.cure)


def refusal_of(reader, text):
    """What a reader refuses a text with, or None where it reads it; any other error comes through."""
    try:
        reader(text)
    except UnreadableError as error:
        return error
    return None


def test_a_day_that_is_given_is_the_day(tmp_path):
    day = dt.date(2026, 9, 30)

    assert SharedOptions(tmp_path, True, False, day, 0).day == day


def test_else_it_is_the_clocks_but_in_the_invented_workshop(tmp_path, demo_folder):
    assert SharedOptions(tmp_path, True, False, None, 0).day == dt.date.today()
    assert SharedOptions(demo_folder, True, False, None, 0).day is None


@pytest.mark.parametrize(
    ("count", "said"),
    [
        (0, ""),
        (1, "1 problem in the log; `estimator check` lists them.\n"),
        (3, "3 problems in the log; `estimator check` lists them.\n"),
    ],
)
def test_problems_are_counted_on_stderr(count, said, capsys):
    tell_problems(count)

    assert capsys.readouterr() == ("", said)


def test_json_is_one_object_with_unrounded_numbers_and_iso_dates(capsys):
    print_json({"hours": 0.1 + 0.2, "day": dt.date(2026, 9, 30), "called": "Größe ½"})

    assert json.loads(capsys.readouterr().out) == {
        "hours": 0.1 + 0.2,
        "day": "2026-09-30",
        "called": "Größe ½",
    }


@pytest.mark.parametrize("number", [math.nan, math.inf, -math.inf])
def test_what_is_no_number_is_never_written_as_one(number):
    """RFC 8259, section 6: numbers that cannot be represented, such as Infinity and NaN, are not permitted."""
    with pytest.raises(ValueError):
        print_json({"hours": number})


def test_what_has_no_form_in_json_is_our_mistake():
    with pytest.raises(TypeError):
        print_json({"hours": {1, 2}})


@pytest.mark.parametrize(
    ("command", "told"),
    [
        ("weigh", 'No board is named. Write estimator weigh "red nine-four".'),
        ("told", 'No board is named. Write estimator told "red nine-four".'),
        ("quarter", "No quarter is named. Write estimator quarter 2026-Q3."),
        ("sheet", "No sheet is named. Write estimator sheet week."),
    ],
)
def test_what_is_not_named_is_asked_for_in_words(run, command, told):
    assert run(command, exit_code=2).stderr.strip() == told


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["hours", "none.txt"], "'none.txt': No such file or directory. Name another file.\n"),
        (["import", "none.csv"], "Path 'none.csv' does not exist. Name another file.\n"),
        (["bench", "--figure", "."], "File '.' is a directory. Name another file.\n"),
    ],
)
def test_a_file_that_is_none_is_said_in_one_line(run, tmp_path, monkeypatch, words, told):
    monkeypatch.chdir(tmp_path)
    assert run(*words, exit_code=2).stderr == told


@pytest.mark.parametrize("day", ["1950-01-01", "2100-12-31"])
@pytest.mark.parametrize(
    "words",
    [["bench"], ["told", "green fish"], ["sheet", "week"], ["weigh", "green fish"], ["quarter"], ["looks"]],
)
def test_the_first_day_and_the_last_that_are_read_end_in_no_traceback(tmp_path, words, day):
    result = invoke(cli, *words, "--today", day, "--shop", folder(tmp_path / "shop"))

    assert result.exception is None or isinstance(result.exception, SystemExit), result.exception
    assert result.exit_code in {0, 1, 2}


def test_a_library_that_looks_from_such_a_day_is_told_so(tmp_path):
    with pytest.raises(UnreadableError, match="is in the year 9999"):
        Shop.open(folder(tmp_path / "shop"), today=dt.date.max)


def test_the_longest_seed_is_a_seed(tmp_path):
    result = invoke(cli, "range", "green fish", "--seed", "9" * 18, "--shop", folder(tmp_path / "shop"))

    assert result.exit_code == 0, result.output


def test_who_stops_a_command_is_told_that_what_was_kept_is_whole():
    """128 and the number of the signal, as shells have it (POSIX, 2.8.2: greater than 128)."""
    result = invoke(group(KeyboardInterrupt()), "work")
    assert (result.exit_code, result.stderr) == (130, "\nStopped. What was kept before is whole.\n")


@pytest.mark.parametrize(
    ("field", "option"),
    [("day", "--today"), ("folder", "--shop"), ("known", "-q"), ("price", "--price"), ("", "")],
)
def test_a_field_that_is_wrong_is_named_by_its_option(field, option):
    said = told_error(UsageError("So.", "Mend it.", field=field))
    assert said == ("So. Mend it." + (f" The option is {option}." if option else ""))


@pytest.mark.parametrize("there", [(True, True), (True, False), (False, True)])
def test_questions_are_asked_only_where_one_can_read_them_and_answer(monkeypatch, there):
    from estimator.cli import hours, import_command

    keys, screen = there
    monkeypatch.setattr("sys.stdin", SimpleNamespace(isatty=lambda: keys))
    monkeypatch.setattr(
        "sys.stdout", SimpleNamespace(isatty=lambda: screen, write=lambda _: None, flush=lambda: None)
    )
    found = (import_command.somebody_there(), hours.somebody_there())
    monkeypatch.undo()
    assert found == (keys and screen, keys)


def test_the_help_of_check_has_every_column_of_every_sheet(run):
    said = run("check", "--help").stdout
    for words in (
        "Columns of boards",
        "Columns of hours",
        "Columns of money",
        "promised_last",
        "total_hours",
        "struck_out",
    ):
        assert words in said


def test_a_seed_and_a_day_at_their_edges_are_read():
    assert (read_seed("0"), read_seed("9" * 18)) == (0, 10**18 - 1)
    assert str(read_day(" 2026-09-30 ")) == "2026-09-30"
    for text in ("9" * 19, "-1", "1.5", "٧", ""):
        with pytest.raises(UnreadableError):
            read_seed(text)

"""The README is true and short; what it leaves to the program (columns, settings, options) the program explains."""

import doctest
import re
from pathlib import Path

import click
import pytest
from click.testing import CliRunner

from estimator.cli.commands import cli
from estimator.log.columns import csv_headers
from estimator.words.settings.manual import settings_manual
from estimator.words.settings.reader import parse_settings

ROOT = Path(__file__).resolve().parents[2]
README = (ROOT / "README.md").read_text("utf-8")
TO_READ = README.partition("\n## On a phone\n")[0]  # what follows is looked up by those who want it
TEN_MINUTES = 2400  # words, at 240 a minute: adults read 238 a minute silently (Brysbaert 2019, from memory)


def printed(*words):
    """What the program prints."""
    result = CliRunner().invoke(cli, words)
    assert result.exit_code == 0, result.output
    return result.stdout


def test_it_reads_in_ten_minutes():
    assert 1000 < len(TO_READ.split()) < TEN_MINUTES


def test_ci_runs_the_tests_by_the_command_of_the_readme():
    commands = re.findall(r"^python3 -m venv .*$", README, re.MULTILINE)

    assert len(commands) == 2
    run = (ROOT / ".ci" / "run").read_text("utf-8")
    assert commands[1].replace("install -c", "install -q -c") in run


def test_every_setting_is_explained_by_settings():
    lines = [re.split(r"\s{2,}", line, maxsplit=1) for line in printed("settings").splitlines()]

    for section in settings_manual():
        assert [section.heading] in lines
        assert [key for key in section.keys if [key.key, key.sentence] not in lines] == []


def test_every_column_is_explained_by_check():
    settings, _ = parse_settings((ROOT / "data" / "starter" / "workshop.toml").read_text("utf-8"))
    said = printed("check", "--help")
    prefixes = ("assessed_", "found_", "later_")

    for file, columns in csv_headers(settings).items():
        block = said.split(f"Columns of {file.removesuffix('.csv')}:\n")[1].partition("\n\n")[0]
        explained = re.findall(r"^  ([a-z_]+…?)(?: {2,}\S|$)", block, re.MULTILINE)
        plain = [c for c in columns if not c.startswith(prefixes)]
        assert [name for name in explained if not name.endswith("…")] == plain
        assert [name for name in explained if name.endswith("…")] == (
            [f"{prefix}…" for prefix in prefixes] if file == "boards.csv" else []
        )


def test_every_option_is_explained_by_help():
    for name, command in cli.commands.items():
        said = "".join(printed(name, "--help").split())
        options = [param for param in command.params if isinstance(param, click.Option)]
        assert len(options) >= 4
        for option in options:
            assert option.help, (name, option.opts)
            named = "".join([", ".join(option.opts), option.make_metavar(click.Context(command))])
            assert "".join([named if not option.is_flag else option.opts[0], *option.help.split()]) in said


def test_every_command_is_named():
    named = re.findall(r"^\| `estimator (\w+)` \| ", README, re.MULTILINE)

    assert sorted(named) == sorted(cli.commands)


def test_every_command_and_option_that_it_names_there_is():
    options = {"--help", "--version"}
    for command in cli.commands.values():
        options |= {o for param in command.params if isinstance(param, click.Option) for o in param.opts}
    own = README.partition("## Your first day")[2]

    assert set(re.findall(r"(?<![-\w])--[a-z][a-z-]*", own)) <= options
    assert set(re.findall(r"`estimator (\w+)", README)) <= set(cli.commands)
    for line in re.findall(r"(?:^|`)estimator (.+?)(?:`|$)", own, re.MULTILINE):
        name, _, rest = line.partition(" ")
        taken = {o for param in cli.commands[name].params for o in param.opts} | {"--help"}
        assert set(re.findall(r"(?<![-\w])--?[a-z][a-z-]*", rest)) <= taken, line


def test_its_examples_run(monkeypatch: pytest.MonkeyPatch):
    monkeypatch.chdir(ROOT)
    ran = doctest.testfile(str(ROOT / "README.md"), module_relative=False)

    assert ran.attempted > 3
    assert ran.failed == 0


def test_the_pictures_are_there():
    names = re.findall(r"\]\((reports/[a-z-]+\.png)\)", README)

    assert {"reports/range.png", "reports/page-today.png"} <= set(names)
    for name in names:
        assert (ROOT / name).read_bytes()[:8] == b"\x89PNG\r\n\x1a\n"

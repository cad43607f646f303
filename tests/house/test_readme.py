"""The README is true: its commands, columns, settings and examples are those of the program."""

import doctest
import re
from pathlib import Path

import pytest

from estimator.log.columns import csv_headers
from estimator.log.starter import settings_text
from estimator.words.settings.manual import settings_manual
from estimator.words.settings.reader import parse_settings

ROOT = Path(__file__).resolve().parents[2]
README = (ROOT / "README.md").read_text("utf-8")
BEGIN, END = "<!-- settings: written from the program; tests compare -->\n", "<!-- end of settings -->"


def test_the_manual_of_the_settings_is_the_program_s_own():
    written = README.split(BEGIN)[1].split(END)[0].strip()

    # to mend: python -c "from estimator.words.settings.manual import settings_manual; print(settings_manual())"
    assert settings_manual().strip() == written


def test_ci_runs_the_tests_by_the_command_of_the_readme():
    commands = re.findall(r"^python3 -m venv .*$", README, re.MULTILINE)

    assert len(commands) == 2
    run = (ROOT / ".ci" / "run").read_text("utf-8")
    assert commands[1].replace("install -c", "install -q -c") in run


def test_every_column_is_explained():
    settings, _ = parse_settings(settings_text("starter"))
    explained = set(re.findall(r"`([a-z_]+…?)`", README))
    prefixes = ("assessed_", "found_", "later_")

    for columns in csv_headers(settings).values():
        plain = {c for c in columns if not c.startswith(prefixes)}
        assert plain - explained == set()
    assert {f"{p}…" for p in prefixes} <= explained


def test_every_command_and_option_is_named():
    import click

    from estimator.cli.commands import cli

    for name, command in cli.commands.items():
        assert f"`estimator {name}" in README
        for option in command.params:
            if isinstance(option, click.Option):
                assert any(
                    f"`{o}" in README or f"[{o}" in README or f" {o} " in README for o in option.opts
                ), option.opts


def test_its_examples_run(monkeypatch: pytest.MonkeyPatch):
    monkeypatch.chdir(ROOT)
    ran = doctest.testfile(str(ROOT / "README.md"), module_relative=False)

    assert ran.attempted > 3
    assert ran.failed == 0


def test_the_picture_is_there():
    for name in re.findall(r"\]\((reports/[a-z]+\.png)\)", README):
        assert (ROOT / name).read_bytes()[:8] == b"\x89PNG\r\n\x1a\n"
    assert "](reports/range.png)" in README

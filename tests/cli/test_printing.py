import io
import re
import sys
from pathlib import Path

import pytest
from rich.console import Console

from estimator.cli.printing import WIDEST, line_of, on_terminal, plain_lines, print_parts, saved
from estimator.said.parts import Action, Heading, Table, aligned, ruled

STAGES = Table(
    ("Stage", "low", "high"),
    (("Strip old glass", "9½", "13"), ("Fair the foam", "4", "5½"), ("Both", "13½", "18½")),
    right=(1, 2),
    total=True,
)
ESCAPE = re.compile(r"\x1b\[[0-9;]*m")
BOXES = re.compile(r"[\u2500-\u257f|+]")


def on_screen(parts, width, **how):
    console = Console(width=width, force_terminal=True, highlight=False, markup=False, emoji=False, **how)
    with console.capture() as captured:
        on_terminal(parts, console)
    return captured.get()


def test_columns_are_as_wide_as_their_widest_cell():
    assert aligned(STAGES) == [
        "Stage            low  high",
        "Strip old glass   9½    13",
        "Fair the foam      4    5½",
        "                 ---   ---",
        "Both             13½   18½",
    ]


def test_a_rule_stands_over_the_figures_of_a_total_only():
    assert ruled(STAGES)[-2] == ("", "---", "---")
    assert ruled(Table(("a",), (("1",), ("2",)))) == [("1",), ("2",)]


def test_a_table_without_a_head_has_no_line_for_it():
    assert aligned(Table(("", ""), (("a", "1"),), right=(1,))) == ["a  1"]


def test_an_empty_table_is_its_head():
    assert aligned(Table(("Board", "hours"), ())) == ["Board  hours"]


def test_headings_stand_after_a_blank_line_but_for_the_first():
    assert plain_lines([Heading("A"), "one", Heading("B"), "two"]) == ["A", "one", "", "B", "two"]


def test_a_pipe_gets_whole_lines_and_nothing_but_text(capsys):
    sentence = "word " * 60
    print_parts([Heading("A"), sentence, STAGES])
    out = capsys.readouterr().out

    assert sentence in out.splitlines()
    assert not ESCAPE.search(out)
    assert not BOXES.search(out)


@pytest.mark.parametrize("width", [40, 80, 200])
def test_a_terminal_gets_lines_no_wider_than_it_is_nor_than_can_be_read(width):
    out = ESCAPE.sub("", on_screen([Heading("A"), "a sentence of words " * 12, STAGES], width))

    assert max(len(line.rstrip()) for line in out.splitlines()) <= min(width, WIDEST)
    assert out.split("\n")[0].strip() == "A"
    assert "a sentence of words a sentence" in " ".join(out.split())


def test_words_are_broken_at_blanks_and_figures_never():
    narrow = Table(("Stage", "even chance"), (("Rub down and polish", "under ½"),), right=(1,))
    out = ESCAPE.sub("", on_screen([narrow], 30))

    assert "under ½" in out
    assert {"Rub", "down", "and", "polish"} <= set(out.split())


def test_where_a_table_is_too_wide_its_heads_break_before_its_cells():
    wide = Table(("", "expected ready by", "chance I'm in time"), (("red nine-four", "mid July", "8 in 10"),))

    assert on_screen([wide], 40).splitlines()[-1].rstrip() == "red nine-four  mid July  8 in 10"
    assert "expected ready by  chance I'm in time" in ESCAPE.sub("", on_screen([wide], 80))
    assert {"red", "nine-four"} <= set(ESCAPE.sub("", on_screen([wide], 28)).split())


def test_what_is_guessed_is_slanted_and_what_is_known_is_upright():
    guessed = Table(STAGES.head, STAGES.rows, STAGES.right, guessed=True)

    assert "\x1b[3m" in on_screen([guessed], 80)
    assert "\x1b[3m" not in on_screen([STAGES], 80)


def test_nothing_is_coloured():
    codes = {
        code
        for found in re.findall(r"\x1b\[([0-9;]*)m", on_screen([Heading("A"), STAGES], 80))
        for code in found.split(";")
    }

    assert codes <= {"0", "1", "3"}


def test_later_lines_of_a_sentence_are_set_in_and_a_line_to_paste_is_never_broken():
    out = on_screen(["one two three four five", Action("range", "the red nine-four")], 12)

    assert [line.rstrip() for line in out.splitlines()] == [
        "one two",
        "  three four",
        "  five",
        "estimator range 'the red nine-four'",
    ]


def test_brackets_and_colons_are_printed_as_they_are():
    assert "workshop.toml, [stages.strip]: :wave:" in on_screen(["workshop.toml, [stages.strip]: :wave:"], 80)


class Terminal(io.StringIO):
    def isatty(self):
        return True


def test_a_terminal_is_set_by_rich_and_its_lines_to_paste_name_the_folder(monkeypatch):
    monkeypatch.setenv("TERM", "xterm")
    monkeypatch.delenv("NO_COLOR", raising=False)
    monkeypatch.setattr("sys.stdout", Terminal())
    print_parts(iter([Heading("A"), "one", Heading("B"), Action("check")]), shop=Path("my boards"))
    out = sys.stdout.getvalue()

    assert "\x1b[1mA" in out
    assert [line.rstrip() for line in ESCAPE.sub("", out).splitlines()] == [
        "A", "one", "", "B", "estimator check --shop 'my boards'",
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("action", "line"),
    [
        (Action("accept", fields={"rule": "sanding a long board"}), "estimator rules --accept 'sanding a long board'"),
        (Action("ask", "26-1", {"asked": {"logos": "1", "area": "2"}, "keep": True}),
         "estimator range 26-1 --add logos=1 --add area=2 --keep"),
        (Action("ask", "26-1", {"asked": {"logos": "1"}, "keep": False}), "estimator range 26-1 --add logos=1"),
        (Action("bench"), "estimator bench"),
        (Action("decide", "26-1", {"answer": ("yes", "no", "open-first"), "why": "", "for_love": True}),
         "estimator weigh 26-1 --decide yes --why '…' --for-love   (or no, or open-first)"),
        (Action("import"), "estimator import"),
        (Action("new", fields={"folder": ""}), "estimator new FOLDER"),
        (Action("range", fields={"known": {"kind": "major", "length": "9-6"}}), "estimator range -q kind=major -q length=9-6"),
        (Action("record"), "estimator record"),
        (Action("sheet", "26-1", {"kind": "owner"}), "estimator sheet owner 26-1"),
        (Action("sheet", fields={"kind": "quarter", "quarter": "2026-Q3"}), "estimator sheet quarter 2026-Q3"),
        (Action("tell", "26-1", {"hours": "55-80", "first": "2026-06-01", "last": "2026-07-01", "because": ""}),
         "estimator told 26-1 --hours 55-80 --first 2026-06-01 --last 2026-07-01 --because '…'"),
        (Action("tell", "26-1", {"hours": "-5"}), "estimator told 26-1 --hours=-5"),
    ],
)  # fmt: skip
def test_what_may_be_done_next_is_the_line_that_does_it(action, line):
    assert line_of(action) == line


def test_what_was_saved_is_said_of_each_file_that_was_asked_for():
    assert plain_lines(saved(None, Path("a.png"), None, Path("b.ics"))) == [
        "Saved as a.png.",
        "",
        "Saved as b.ics.",
    ]
    assert saved(None) == []

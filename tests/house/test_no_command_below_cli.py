"""Below cli/ no sentence names an option or a command: what can be done next is an Action, and cli says how it is typed."""

import ast
import re
from pathlib import Path

import pytest

from estimator.cli.commands import cli
from estimator.cli.printing import TYPED, line_of
from estimator.words.actions import VERBS, Action

TREE = Path(__file__).resolve().parents[2] / "estimator"
OWN_PROCESS = (
    TREE / "counter/own_process.py"
)  # tells Python which of our modules to run, and nobody else anything
COMMANDS = "|".join(cli.commands)
TYPED_WORDS = re.compile(
    rf"(?<![\w-])(?:--[a-z]|-[a-z]\b)|\bestimator ({COMMANDS})\b|`({COMMANDS})\b",  # --because, -q, estimator range, `range`
)


def typed_in(source: str) -> list[str]:
    """The texts of a module that tell what to type; a text in pieces counts piece by piece, docstrings do not."""
    tree = ast.parse(source)
    unsaid = {id(node.value) for node in ast.walk(tree) if isinstance(node, ast.Expr)}
    return [
        node.value
        for node in ast.walk(tree)
        if isinstance(node, ast.Constant)
        and isinstance(node.value, str)
        and id(node) not in unsaid
        and TYPED_WORDS.search(node.value)
    ]


def test_the_check_itself_can_fail():
    assert typed_in('"""`range` says --over."""\nx = f"Write --over {n}."') == ["Write --over "]
    assert typed_in('x = "See `range`.", "estimator told x", "Say -q infills=1."') == [
        "See `range`.",
        "estimator told x",
        "Say -q infills=1.",
    ]
    assert typed_in('x = "a half-sanded board", "5 - 3", "a range of hours, as told", "-"') == []


def test_no_sentence_below_cli_tells_what_to_type():
    paths = [
        path
        for path in sorted(TREE.rglob("*.py"))
        if path.relative_to(TREE).parts[0] != "cli" and path != OWN_PROCESS
    ]

    assert len(paths) > 100
    assert {str(path): said for path in paths if (said := typed_in(path.read_text("utf-8")))} == {}


def test_every_verb_can_be_typed_and_every_typed_word_is_one_that_the_command_has():
    assert TYPED.keys() == VERBS.keys()
    for typed in TYPED.values():
        command = cli.commands[typed.command]
        options = {option for param in command.params for option in param.opts}
        assert set(typed.options.values()) <= options, typed


def test_a_verb_that_is_none_is_refused():
    with pytest.raises(ValueError, match="'juggle' is nothing"):
        Action("juggle")


@pytest.mark.parametrize(
    ("action", "line"),
    [
        (Action("range", "26-014"), "estimator range 26-014"),
        (Action("range", "it's"), """estimator range 'it'"'"'s'"""),
        (Action("range", "$(rm x)"), "estimator range '$(rm x)'"),
        (Action("range", "-5"), "estimator range -- -5"),
        (Action("tell", "--x", {"last": "2026-11-08"}), "estimator told --last 2026-11-08 -- --x"),
        (Action("accept", fields={"rule": "-3 a"}), "estimator rules '--accept=-3 a'"),
        (
            Action("range", fields={"known": {"kind": "major", "infills": "?"}}),
            "estimator range -q kind=major -q 'infills=?'",
        ),
        (
            Action("decide", "1", {"answer": ("yes", "no"), "why": "", "for_love": True}),
            "estimator weigh 1 --decide yes --why '…' --for-love   (or no)",
        ),
        (Action("decide", "1", {"answer": "no", "for_love": False}), "estimator weigh 1 --decide no"),
        (Action("sheet", "26-014", {"kind": "range"}), "estimator sheet range 26-014"),
        (Action("new", fields={"folder": ""}), "estimator new FOLDER"),
    ],
)
def test_an_action_as_the_line_to_paste(action, line):
    assert line_of(action) == line


def test_a_line_names_the_workshop_where_it_is_to():
    assert line_of(Action("check"), Path("my boards")) == "estimator check --shop 'my boards'"
    assert line_of(Action("range", "-5"), Path("x")) == "estimator range --shop x -- -5"


@pytest.mark.parametrize("board", ["26-014", "-5", "--", "-q", "--shop", "no 7", "it's", '"', "a;b", "…"])
def test_a_pasted_line_names_the_board_and_nothing_else(board):
    import shlex

    words = shlex.split(line_of(Action("tell", board, {"last": "-1", "because": "asked later"}), Path("-x")))
    told = cli.commands["told"]
    given = told.make_context("told", words[2:], resilient_parsing=True).params

    assert words[:2] == ["estimator", "told"]
    assert (given["board"], given["because"], str(given["shop_folder"])) == (board, "asked later", "-x")

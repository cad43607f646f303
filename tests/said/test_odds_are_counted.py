"""No word for a chance but a count: nothing that is shown says likely, probably or surely for how often it holds."""

import ast
import re
from pathlib import Path

import estimator

ROOT = Path(estimator.__file__).parent
SHOWN = ("said", "words", "sheets", "bench", "decide", "forecast", "counter")
ODDS = re.compile(
    r"\b(very likely|likely to|most likely|unlikely|probabl[ey]|surely|certainly|almost certain\w*|chances are|in all likelihood"
    r"|more often than not|odds-on|safe bet|no doubt|presumably|perhaps|maybe)\b",
    re.IGNORECASE,
)


def sentences(tree):
    """All texts of a module but its docstrings."""
    told = {
        id(node.body[0].value)
        for node in ast.walk(tree)
        if isinstance(node, ast.Module | ast.ClassDef | ast.FunctionDef) and node.body
        if isinstance(node.body[0], ast.Expr)
    }
    for node in ast.walk(tree):
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in told:
            yield node.value


def test_no_adverb_stands_for_a_number():
    found, seen = [], 0
    for room in SHOWN:
        for file in (ROOT / room).rglob("*.py"):
            for text in sentences(ast.parse(file.read_text("utf-8"))):
                seen += 1
                found += [f"{file.relative_to(ROOT)}: {text}" for _ in ODDS.findall(text)]

    assert seen > 5_000
    assert not found

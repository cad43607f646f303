"""What is kept in `workshop.toml` beside a rule, or of an import; all else in the file stays as it was written."""

from __future__ import annotations

import difflib
import re
import tomllib
from collections import Counter
from collections.abc import Iterator, Mapping
from contextlib import suppress
from typing import Any

from estimator.words.errors import UsageError
from estimator.words.records import Accepted
from estimator.words.settings.schema import ImportShape
from estimator.words.settings.values import SETTINGS_FILE, as_written, nearest

MARK = "\ufeff"  # that some editors begin a file with
FIGURES = 3  # of a range that is kept
RULES = "rules"
HEADER = re.compile(r"^[ \t]*(?P<array>\[)?\[[ \t]*(?P<name>[^\]\r\n]*?)[ \t]*\]", re.MULTILINE)
OWN = re.compile(r"\s*(?:low|high|on|boards|source)\s*=|.*\baccepted\b|\s*rules\s*=")


def with_accepted(written: str, name: str, accepted: Accepted) -> str:
    r"""The text of a settings file with a range kept beside the rule of that name; an earlier one is replaced.

    Raises UsageError where there is no such rule.

    >>> import datetime as dt
    >>> kept = Accepted(5.23, 8.6, dt.date(2026, 10, 1), 17)
    >>> print(with_accepted('[[rules]]  # mine\nname = "sanding"\nlow = 3\n', "sanding", kept))
    [[rules]]  # mine
    name = "sanding"
    low = 3
    <BLANKLINE>
    [rules.accepted]
    low = 5.23
    high = 8.6
    on = 2026-10-01
    boards = 17
    source = "log"
    <BLANKLINE>
    """
    mark = MARK if written.startswith(MARK) else ""
    body = written.removeprefix(MARK)
    known = [str(rule.get("name", "")) for rule in tomllib.loads(body).get("rules", [])]
    if name not in known:
        raise UsageError(f'No rule of thumb is called "{name}".', nearest(name, known))
    values = _values(accepted)
    for begin, end in _pieces(body, known.index(name), len(known)):
        piece = body[begin:end]
        with suppress(ValueError):  # what the two libraries raise for a text that cannot be taken apart so
            changed = body[:begin] + _with_ends(piece, _in_piece(piece, name, values)) + body[end:]
            if _as_wanted(body, changed, known.index(name), values):
                return mark + changed
    raise UsageError(
        f'{SETTINGS_FILE} stays as it is: it is written so that a range beside "{name}" would move other lines.',
        f"Write it under that rule yourself: {'; '.join(_lines(values))}.",
    )


def with_import(written: str, shape: ImportShape) -> str:
    r"""The text of a settings file that says how a spreadsheet is read; what it said of one by that name is replaced.

    Raises UsageError where that would change anything else.

    >>> shape = ImportShape("orders", rows="boards", columns={"Job no": "board"}, dates="day-month")
    >>> print(with_import("[bench]  # mine\nplaces = 2\n", shape))
    [bench]  # mine
    places = 2
    <BLANKLINE>
    [import.orders]
    rows = "boards"
    dates = "day-month"
    <BLANKLINE>
    [import.orders.columns]
    "Job no" = "board"
    <BLANKLINE>
    """
    import tomlkit

    refused = UsageError(
        f"{SETTINGS_FILE} stays as it is: what columns mean cannot be written into it without moving other lines.",
        "Write each import as a section [import.NAME] of its own.",
    )
    document = parsed_file(written)
    of: Any = document.get("import")
    if of is None:
        of = tomlkit.table(is_super_table=True)
        document.add("import", of)
    body = tomlkit.table()
    for key in ("rows", "dates", "decimals"):
        if value := getattr(shape, key):
            body.add(key, value)
    for key in ("columns", "blanks", "feet"):
        if texts := getattr(shape, key):
            inner = tomlkit.table()
            for name, text in texts.items():
                inner.add(name, text)
            body.add(key, inner)
    try:
        of[shape.name] = body
    except (ValueError, TypeError) as error:  # imports on one line, or a list of them
        raise refused from error
    text = tomlkit.dumps(document)
    head = re.search(rf"^\[import\.{shape.name}\]", text, re.MULTILINE)
    if head and text[: head.start()].strip() and not text[: head.start()].endswith("\n\n"):
        text = f"{text[: head.start()].rstrip()}\n\n{text[head.start() :]}"
    wanted = tomllib.loads(written.removeprefix(MARK))
    wanted.setdefault("import", {})[shape.name] = body.unwrap()
    if tomllib.loads(text) != wanted:
        raise refused
    mark = MARK if written.startswith(MARK) else ""
    return mark + _with_ends(written.removeprefix(MARK), text)


def parsed_file(written: str) -> Any:
    """The document of a settings file."""
    import tomlkit

    return tomlkit.parse(written.removeprefix(MARK).replace("\r\n", "\n"))


def dumped_file(document: Any, written: str) -> str:
    """The text of a document, with the mark and the line ends that it was written with."""
    import tomlkit

    text = tomlkit.dumps(document)
    windows = "\r\n" in written
    return (MARK if written.startswith(MARK) else "") + (text.replace("\n", "\r\n") if windows else text)


def _values(accepted: Accepted) -> dict[str, Any]:
    """What is kept, by key."""
    low, high = (float(f"{end:.{FIGURES}g}") for end in (accepted.low, accepted.high))
    if low == high:
        low, high = accepted.low, accepted.high
    return {"low": low, "high": high, "on": accepted.on, "boards": accepted.boards, "source": "log"}


def _lines(values: Mapping[str, Any]) -> list[str]:
    """The same as lines of the file."""
    return ["[rules.accepted]", *(f"{key} = {as_written(value)}" for key, value in values.items())]


def _pieces(text: str, at: int, many: int) -> Iterator[tuple[int, int]]:
    """From where to where a rule may be taken by itself, the shortest first, so that nothing else can be moved.

    at: its place among the rules; many: how many they are
    """
    headers = list(HEADER.finditer(text))
    rules = [n for n, one in enumerate(headers) if one["array"] and one["name"] == RULES]
    if len(rules) == many:
        after = headers[rules[at] + 1 :]
        ours = (one for one in after if one["array"] or not one["name"].startswith(f"{RULES}."))
        ends = [next(ours, None), headers[rules[at + 1]] if at + 1 < many else None]
        for end in ends:
            yield headers[rules[at]].start(), len(text) if end is None else end.start()
    yield 0, len(text)


def _in_piece(piece: str, name: str, values: Mapping[str, Any]) -> str:
    """A piece of the file with the values kept beside the rule of that name, each line with one line feed."""
    import tomlkit
    from tomlkit.items import InlineTable

    document = tomlkit.parse(piece.replace("\r\n", "\n"))
    rules: list[Any] = list(document.get(RULES, []))
    rule = next(table for table in rules if table.get("name") == name)
    if "accepted" in rule:
        for key, value in values.items():
            rule["accepted"][key] = value
    elif isinstance(rule, InlineTable):
        inline = tomlkit.inline_table()
        inline.update(values)
        rule["accepted"] = inline
    else:
        table = tomlkit.table()
        for key, value in values.items():
            table.add(key, value)
        _put_last(rule, table)
    return tomlkit.dumps(document)


def _with_ends(before: str, after: str) -> str:
    """A text in which each line that was there before ends as it did, and each new one as most do."""
    old, new = before.splitlines(keepends=True), after.splitlines(keepends=True)
    ends = Counter("\r\n" if line.endswith("\r\n") else "\n" for line in old)
    usual = max(ends, key=lambda end: (ends[end], end == "\n"), default="\n")
    plain = [line.rstrip("\r\n") for line in old]
    lines = [line.removesuffix("\n") + usual if line.endswith("\n") else line for line in new]
    same = difflib.SequenceMatcher(None, plain, [line.rstrip("\n") for line in new], autojunk=False)
    for one, other, size in same.get_matching_blocks():
        for k in range(size):
            if old[one + k].endswith("\n") and new[other + k].endswith("\n"):
                lines[other + k] = old[one + k]
    return "".join(lines)


def _as_wanted(before: str, after: str, at: int, values: Mapping[str, Any]) -> bool:
    """Whether the file says just what it said and the values, and its lines stand in the order in which they stood."""
    wanted = tomllib.loads(before)
    kept = wanted["rules"][at].setdefault("accepted", {})
    kept |= values
    # of a range that was kept before, its own values are other lines now
    stay = [line for line in before.splitlines() if not OWN.match(line)]
    lines = iter(after.splitlines())
    return tomllib.loads(after) == wanted and all(line in lines for line in stay)


def _put_last(rule: Any, table: Any) -> None:
    """Adds a table to a rule, before the blank lines and comments that lead over to what follows the rule."""
    import tomlkit
    from tomlkit.items import Comment, Table, Whitespace

    ending = rule
    while ending.value.body and isinstance(ending.value.body[-1][1], Table):
        ending = ending.value.body[-1][1]
    body = ending.value.body
    over: list[Any] = []
    while body and body[-1][0] is None and isinstance(body[-1][1], Comment | Whitespace):
        over.insert(0, body.pop()[1])
    ending.add(tomlkit.nl())
    rule.add("accepted", table)
    for item in over:
        table.add(item)

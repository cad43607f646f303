"""A range kept beside a rule of thumb in `workshop.toml`; all else in the file stays as it was written."""

from __future__ import annotations

from typing import Any

from estimator.words.errors import UsageError
from estimator.words.rules import Accepted
from estimator.words.settings.values import nearest

MARK = "\ufeff"  # that some editors begin a file with
FIGURES = 3  # of a range that is kept


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
    import tomlkit
    from tomlkit.items import InlineTable

    windows = "\r\n" in written
    document = tomlkit.parse(written.removeprefix(MARK).replace("\r\n", "\n"))
    rules: list[Any] = list(document.get("rules", []))
    rule = next((table for table in rules if table.get("name") == name), None)
    if rule is None:
        known = [str(table.get("name", "")) for table in rules]
        raise UsageError(f'No rule of thumb is called "{name}".', nearest(name, known))
    low, high = (float(f"{end:.{FIGURES}g}") for end in (accepted.low, accepted.high))
    if low == high:
        low, high = accepted.low, accepted.high
    values = {
        "low": low,
        "high": high,
        "on": accepted.on,
        "boards": accepted.boards,
        "source": "log",
    }
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
    text = tomlkit.dumps(document)
    return (MARK if written.startswith(MARK) else "") + (text.replace("\n", "\r\n") if windows else text)


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

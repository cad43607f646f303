"""Settings changed in place: values, days away, a section or a rule more or less; all else stays as it was written."""

from __future__ import annotations

import datetime as dt
import re
import tomllib
from collections.abc import Callable, Iterable, Mapping
from typing import Any

from estimator.words.dates import A_DAY
from estimator.words.errors import UsageError
from estimator.words.settings.edit import HEADER, MARK, RULES, dumped_file, parsed_file
from estimator.words.settings.values import PLAIN_NAME, SETTINGS_FILE, nearest

Values = Mapping[str, Any]  # by key of the file; None: the key is left out, and its default holds
BENCH = ("bench",)
LETTERS = re.compile(r"[^a-z0-9]+")


def with_values(written: str, section: tuple[str, ...], values: Values) -> str:
    r"""The text of a settings file with these values in a section, as ("bench",) or ("stages", "strip").

    What stands behind a value as a comment stays behind it.

    >>> print(with_values("[bench]\nplaces = 3  # on the go\n", ("bench",), {"places": 4}).strip())
    [bench]
    places = 4  # on the go

    Raises UsageError where the file cannot be changed so.
    """
    import tomlkit

    def change(document: Any) -> None:
        table = document
        for name in section:
            if name not in table:
                table[name] = tomlkit.table()
            table = table[name]
        _put(table, values)

    return _changed(written, change, lambda raw: _put(_within(raw, section), values))


def with_away(written: str, first: dt.date, last: dt.date | None) -> str:
    r"""The text of a settings file with days away from a day on; an earlier time away that holds it ends before it.

    last: the last day away; None: the shop is open from that day on

    >>> august = "[bench]\naway = [{first = 2026-08-03, last = 2026-08-14}]  # hills\n"
    >>> print(with_away(august, dt.date(2026, 8, 10), None).strip())
    [bench]
    away = [{first = 2026-08-03, last = 2026-08-09}]  # hills
    >>> print(with_away("", dt.date(2026, 8, 10), dt.date(2026, 8, 11)).strip())
    [bench]
    away = [{first = 2026-08-10, last = 2026-08-11}]

    Raises UsageError where the file cannot be changed so.
    """
    days = [] if last is None else [(first, last)]
    for away in _within(_read(written), BENCH).get("away", []):
        begin, end = away["first"], away["last"]
        if not begin <= first <= end:
            days.append((begin, end))
        elif begin < first:
            days.append((begin, first - A_DAY))
    return with_days_away(written, days)


def with_days_away(written: str, days: Iterable[tuple[dt.date, dt.date]]) -> str:
    r"""The text of a settings file with these times away and no others; the comment behind them stays.

    days: the first and the last day of each

    >>> with_days_away("[bench]\naway = []  # hills\n", [(dt.date(2026, 8, 3), dt.date(2026, 8, 4))])
    '[bench]\naway = [{first = 2026-08-03, last = 2026-08-04}]  # hills\n'

    Raises UsageError where the file cannot be changed so.
    """
    return with_values(
        written, BENCH, {"away": [{"first": begin, "last": end} for begin, end in sorted(days)]}
    )


def with_section(written: str, section: tuple[str, str], values: Values, after: str = "") -> str:
    """The text of a settings file with a section more, as ("stages", "polish"), behind the one of that name.

    Raises UsageError where there is such a section already, or the file cannot be changed so.
    """
    part, name = section
    raw = _read(written)
    if name in raw.get(part, {}):
        raise UsageError(f"[{part}.{name}] is there already.", "Give it another name.", field="label")
    block = _block(f"[{part}.{name}]", values)
    there = list(raw.get(part, {}).items())
    names = [one for one, _ in there]
    at = names.index(after) + 1 if after in names else 0 if after == FIRST else len(names)
    added = (name, {key: value for key, value in values.items() if value is not None})
    for place, here in (
        (_place_before(written, part, names[at] if at < len(names) else None), at),
        (len(written), len(names)),
    ):
        text = written[:place] + _with_ends_of(written, block) + written[place:]
        if _says(text, {**raw, part: dict([*there[:here], added, *there[here:]])}):
            return text
    raise _cannot()


FIRST = "."  # instead of a name: before all others


def with_rule(written: str, values: Values) -> str:
    """The text of a settings file with a rule of thumb more, at its end.

    Raises UsageError where a rule has this name already, or the file cannot be changed so.
    """
    raw = _read(written)
    if any(rule.get("name") == values.get("name") for rule in raw.get(RULES, [])):
        raise UsageError("A rule has this name already.", "Give it a name of its own.", field="name")
    text = written + _with_ends_of(written, _block(f"[[{RULES}]]", values))
    added = {key: value for key, value in values.items() if value is not None}
    if not _says(text, {**raw, RULES: [*raw.get(RULES, []), added]}):
        raise _cannot()
    return text


def with_rule_values(written: str, name: str, values: Values) -> str:
    """The text of a settings file with these values in the rule of that name.

    Raises UsageError where there is no such rule, or the file cannot be changed so.
    """
    at = _rule_at(written, name)
    return _changed(
        written, lambda document: _put(document[RULES][at], values), lambda raw: _put(raw[RULES][at], values)
    )


def without_rule(written: str, name: str) -> str:
    """The text of a settings file without the rule of that name.

    Raises UsageError where there is no such rule, or the file cannot be changed so.
    """
    at = _rule_at(written, name)

    def out(file: Any) -> None:
        del file[RULES][at]
        if not file[RULES]:
            del file[RULES]

    return _changed(written, out, out)


def name_for(label: str, taken: Mapping[str, object]) -> str:
    """A plain name for what somebody calls a thing, that nothing has yet.

    Raises UsageError where no letter of it can stand in a name, or the name is taken.

    >>> name_for("Pin line, fine", {})
    'pin_line_fine'
    """
    name = LETTERS.sub("_", label.casefold()).strip("_").lstrip("0123456789_")
    if not PLAIN_NAME.fullmatch(name):
        raise UsageError("It needs a name with letters a to z in it.", "Call it by a word.", field="label")
    if name in taken:
        raise UsageError(f'"{name}" is there already.', "Call it something else.", field="label")
    return name


def _read(written: str) -> dict[str, Any]:
    """What a settings file says."""
    return tomllib.loads(written.removeprefix(MARK))


def _rule_at(written: str, name: str) -> int:
    """The place of a rule among the rules."""
    known = [str(rule.get("name", "")) for rule in _read(written).get(RULES, [])]
    if name not in known:
        raise UsageError(f'No rule of thumb is called "{name}".', nearest(name, known))
    return known.index(name)


def _put(table: Any, values: Values) -> None:
    """Values put into a table; None takes the key out."""
    for key, value in values.items():
        if value is None:
            table.pop(key, None)
        else:
            table[key] = value if type(table) is dict else _in_line(value)


def _in_line(value: Any) -> Any:
    """A value that stands on one line of the file, whatever is in it."""
    import tomlkit

    if isinstance(value, Mapping):
        table = tomlkit.inline_table()
        table.update({key: _in_line(one) for key, one in value.items()})
        return table
    if isinstance(value, list):
        array = tomlkit.array()
        array.extend(_in_line(one) for one in value)
        return array
    return value


def _within(raw: dict[str, Any], section: tuple[str, ...]) -> dict[str, Any]:
    """A section of what a file says, begun where it is not there."""
    table = raw
    for name in section:
        table = table.setdefault(name, {})
    return table


def _changed(written: str, change: Callable[[Any], None], wanted: Callable[[dict[str, Any]], None]) -> str:
    """The text with a change; raises UsageError where it would then say anything else than what is wanted."""
    raw = _read(written)
    wanted(raw)
    try:
        document = parsed_file(written)
        change(document)
        text = dumped_file(document, written)
    except (
        ValueError,
        KeyError,
        TypeError,
    ) as error:  # what the library raises for what it cannot take apart
        raise _cannot() from error
    if not _says(text, raw):
        raise _cannot()
    return text


def _says(text: str, wanted: dict[str, Any]) -> bool:
    """Whether a text says just that, its sections in that order."""
    try:
        found = _read(text)
    except ValueError:
        return False
    return found == wanted and all(
        list(found[part]) == list(section) for part, section in wanted.items() if isinstance(section, dict)
    )


def _cannot() -> UsageError:
    """The error of a file that is written in another way."""
    return UsageError(
        f"{SETTINGS_FILE} stays as it is: it is written so that this would move other lines.",
        "Write it into the file yourself.",
    )


def _block(header: str, values: Values) -> str:
    """A section as lines of the file, with a blank line before it."""
    import tomlkit

    document = tomlkit.document()
    for key, value in values.items():
        if value is not None:
            document[key] = _in_line(value)
    return f"\n{header}\n{tomlkit.dumps(document)}"


def _with_ends_of(written: str, block: str) -> str:
    """Lines that end as those of a text do."""
    return block.replace("\n", "\r\n") if "\r\n" in written else block


def _place_before(written: str, part: str, name: str | None) -> int:
    """Where the section of a name begins, with the comments and blank lines that lead over to it; the end for None."""
    if name is None:
        headers = [one for one in HEADER.finditer(written) if not one["array"]]
        own = [n for n, one in enumerate(headers) if one["name"].startswith(f"{part}.")]
        after = next(
            (one for one in HEADER.finditer(written) if own and one.start() > headers[own[-1]].start()), None
        )
        place = after.start() if after else len(written)
    else:
        found = [one for one in HEADER.finditer(written) if one["name"] == f"{part}.{name}"]
        place = found[0].start() if found else len(written)
    lines = written[:place].splitlines(keepends=True)
    while lines and (not lines[-1].strip() or lines[-1].lstrip().startswith("#")):
        place -= len(lines.pop())
    return place

"""What lies in a book: its tables, and the triggers that keep every change.

Version 1 stays as it is for good; a new book is one of version 1, brought to the newest as an old one is.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

APPLICATION = 0x45535442  # in the head of the file: whose it is
VERSION = 1
LONGEST_CELL = 32_000  # letters
TAKEN_BACK = "taken back"  # why a row is struck out that an undo takes away
FIRST_ROW = 2  # as below a row with the names of the columns

# columns of each sheet and what they hold, which says how a cell is read and in what form it is kept
SHEETS: Mapping[str, Mapping[str, str]] = {
    "boards": {
        "board": "id",
        "called": "text",
        "kind": "kind",
        "aim": "aim",
        "wanted_by": "date",
        **dict.fromkeys(("asked", "quoted", "accepted", "started", "ready", "collected", "paid_on"), "date"),
        "state": "state",
        "outline": "outline",
        "cost_time": "cost_time",
        "length": "length",
        "width": "width",
        "judged_with": "judged_with",
        "guess": "hours_range",
        "guess_low": "hours",
        "guess_high": "hours",
        "from_memory": "yes_no",
        **dict.fromkeys(
            ("price_quoted", "price_charged", "materials", "deposit", "paid", "returned"), "own_money"
        ),
        **dict.fromkeys(("hold_until", "promised_first", "promised_last"), "date"),
        "decided": "decided",
        "decided_why": "text",
        "for_love": "yes_no",
        "total_hours": "hours",
        "total_grain": "hours",
        "note": "text",
    },
    "hours": {
        "board": "board",
        "date": "date",
        "until": "date",
        "stage": "stage",
        "hours": "hours",
        "done": "yes_no",
        "again": "again",
        "note": "text",
    },
    "told": {
        "board": "board",
        "date": "date",
        "hours_low": "hours",
        "hours_high": "hours",
        "price": "money",
        "terms": "text",
        "first": "date",
        "last": "date",
        "odds": "odds",
        "because": "because",
        "paid_by": "paid_by",
        "adds_hours": "hours",
        "adds_days": "count",
        "struck_out": "text",
    },
    "waits": {"board": "board", "from": "date", "until": "date", "for": "wait_cause", "note": "text"},
    "weights": {"board": "board", "date": "date", "weight": "weight"},
    "notes": {"board": "board", "date": "date", "note": "text", "photo": "text"},
    "money": {
        "date": "date",
        "in": "own_money",
        "out": "own_money",
        "what": "text",
        "boards": "boards",
        "note": "text",
    },
}
SINCE: Mapping[str, tuple[str, ...]] = {"told": ("struck_out",)}  # columns that version 1 has not
OWNERS = ("owner", "reach")  # in a table apart
SIDES = ("assessed", "found", "later")
CHECKS = {
    "date": "{} GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'",
    "yes_no": "{} IN ('yes', 'no')",
    "money": "{} GLOB '[0-9]*.[0-9][0-9]*'",
    "own_money": "{} GLOB '[0-9]*.[0-9][0-9]*'",
}

ONCE = f"""
PRAGMA application_id = {APPLICATION};
CREATE TABLE acts (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    at TEXT NOT NULL,       -- ISO 8601
    origin TEXT NOT NULL,   -- page, command, import
    sentence TEXT NOT NULL,
    undo_of INTEGER UNIQUE REFERENCES acts
) STRICT;
CREATE TABLE changes (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    act INTEGER NOT NULL REFERENCES acts,
    what TEXT NOT NULL,         -- the table
    sheet TEXT NOT NULL,
    row INTEGER NOT NULL,
    part TEXT NOT NULL,         -- the name of an amount or of a column of no name known here
    before TEXT,                -- JSON; none where it is new
    after TEXT NOT NULL
) STRICT;
CREATE INDEX changes_of_acts ON changes (act);
CREATE INDEX changes_of_rows ON changes (sheet, row);
CREATE TABLE settings_changes (
    act INTEGER PRIMARY KEY REFERENCES acts,
    before TEXT NOT NULL,
    after TEXT NOT NULL
) STRICT;
CREATE TABLE keys (
    key TEXT PRIMARY KEY,
    digest TEXT NOT NULL,
    act INTEGER NOT NULL REFERENCES acts,
    places TEXT NOT NULL        -- JSON: sheet and row of each that was added
) STRICT;
CREATE TABLE now (              -- one row
    one INTEGER PRIMARY KEY CHECK (one = 1),
    act INTEGER REFERENCES acts,        -- in hand; none may write without
    revision TEXT NOT NULL,
    settings_of INTEGER REFERENCES acts -- whose settings are yet to be written into their file
) STRICT;
CREATE TABLE amounts (
    board INTEGER NOT NULL REFERENCES boards,
    what TEXT NOT NULL,
    side TEXT NOT NULL CHECK (side IN ('assessed', 'found', 'later')),
    written TEXT NOT NULL CHECK (length(written) <= {LONGEST_CELL}),
    PRIMARY KEY (board, what, side)
) STRICT, WITHOUT ROWID;
CREATE TABLE others (           -- cells of columns that are not known, and those that cannot be read, as they are
    sheet TEXT NOT NULL,
    row INTEGER NOT NULL,
    name TEXT NOT NULL,
    written TEXT NOT NULL CHECK (length(written) <= {LONGEST_CELL}),
    PRIMARY KEY (sheet, row, name)
) STRICT, WITHOUT ROWID;
CREATE TABLE headings (         -- columns that are not known, in their order
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    sheet TEXT NOT NULL,
    name TEXT NOT NULL,
    UNIQUE (sheet, name)
) STRICT;
CREATE TABLE owners (
    board INTEGER PRIMARY KEY REFERENCES boards,
    owner TEXT NOT NULL DEFAULT '' CHECK (length(owner) <= {LONGEST_CELL}),
    reach TEXT NOT NULL DEFAULT '' CHECK (length(reach) <= {LONGEST_CELL})
) STRICT;
"""
NO_ACT = "no act is in hand"
LIMITED = {  # what is kept for good
    "acts": "an act is never changed",
    "changes": "a change is never changed",
    "settings_changes": "a change is never changed",
    "keys": "a key is never changed",
}


def first_schema(revision: str) -> str:
    """The statements that make an empty book of version 1.

    >>> first_schema("r").count("CREATE TABLE boards")
    1
    """
    parts = [ONCE]
    for sheet, all_columns in SHEETS.items():
        columns = {name: kind for name, kind in all_columns.items() if name not in SINCE.get(sheet, ())}
        parts += [_sheet(sheet, columns), *_kept(sheet, f"'{sheet}'", "id", "''", as_json(columns))]
    cell = "json_quote({}.written)"
    parts += _kept("amounts", "'boards'", "board", "{}.side || '_' || {}.what", cell)
    parts += _kept("others", "{}.sheet", "row", "{}.name", cell)
    # of owners the history says that they changed, and not to what
    parts += _kept("owners", "'boards'", "board", "'owner'", "'\"\"'", "{}.owner || char(10) || {}.reach")
    parts.append(
        f"CREATE TRIGGER headings_new BEFORE INSERT ON headings WHEN (SELECT act FROM now) IS NULL "
        f"BEGIN SELECT RAISE(ABORT, '{NO_ACT}'); END;"
    )
    for table, why in LIMITED.items():
        for verb in ("UPDATE", "DELETE"):
            parts.append(
                f"CREATE TRIGGER {table}_{verb.lower()} BEFORE {verb} ON {table} "
                f"BEGIN SELECT RAISE(ABORT, '{why}'); END;"
            )
    parts.append(
        "CREATE TRIGGER boards_id BEFORE UPDATE OF board ON boards WHEN OLD.board IS NOT NEW.board "
        "BEGIN SELECT RAISE(ABORT, 'the number of a board never changes'); END;"
        "CREATE UNIQUE INDEX boards_ids ON boards (board COLLATE NOCASE) WHERE struck IS NULL;"
        f"INSERT INTO now VALUES (1, NULL, '{revision}', NULL);"
        f"PRAGMA user_version = {VERSION};"
    )
    return "\n".join(parts)


def with_struck_out() -> tuple[str, ...]:
    """The statements that make version 2 of version 1: why a telling is struck out stands in a column of its own.

    Before, it lay among cells of columns that are not known, or beside the whole row, which then was not read.
    """
    columns = SHEETS["told"]
    first = {name: kind for name, kind in columns.items() if name not in SINCE["told"]}
    assert list(columns) == [*first, "struck_out"]
    old = "sheet = 'told' AND name = 'struck_out'"
    return (
        "DROP TRIGGER told_insert",
        "DROP TRIGGER told_update",
        "DROP TRIGGER told_delete",
        "DROP TRIGGER others_delete",
        f"ALTER TABLE told ADD COLUMN struck_out TEXT CHECK (length(struck_out) <= {LONGEST_CELL})",
        f"UPDATE told SET struck_out = (SELECT nullif(written, '') FROM others WHERE {old} AND row = told.id)",
        f"UPDATE told SET struck_out = struck, struck = NULL WHERE struck <> '{TAKEN_BACK}'",
        f"DELETE FROM others WHERE {old}",
        f"DELETE FROM headings WHERE {old}",
        *_kept("told", "'told'", "id", "''", as_json(columns)),
        *(
            one
            for one in _kept("others", "{}.sheet", "row", "{}.name", "json_quote({}.written)")
            if "others_delete" in one
        ),
    )


def _sheet(sheet: str, columns: Mapping[str, str]) -> str:
    """The table of a sheet; cells that are empty are NULL, and struck is why a row is no longer read."""
    lines = ["id INTEGER PRIMARY KEY AUTOINCREMENT"]
    for column, kind in columns.items():
        name = f'"{column}"'
        check = f"length({name}) <= {LONGEST_CELL}"
        if kind in CHECKS:
            check += f" AND {CHECKS[kind].format(name)}"
        lines.append(f"{name} TEXT CHECK ({check})")
    lines.append("struck TEXT")
    table = f"CREATE TABLE {sheet} (\n    {f',{chr(10)}    '.join(lines)}\n) STRICT;"
    return f"{table}\nINSERT INTO sqlite_sequence VALUES ('{sheet}', {FIRST_ROW - 1});"


def as_json(columns: Mapping[str, str]) -> str:
    """The expression that makes JSON of a row of a sheet; `{}.` stands before each column.

    >>> print(as_json({"date": "date"}))
    json_object('date', {}."date", 'struck', {}."struck")
    """
    pairs = [f"'{name}', {{}}.\"{name}\"" for name in (*columns, "struck")]
    return f"json_object({', '.join(pairs)})"


def _kept(table: str, sheet: str, row: str, part: str, cells: str, differs_in: str = "") -> Iterator[str]:
    """The triggers that write each change of a table down, and refuse what no act does, or takes a row away.

    cells: what is kept of a row; differs_in: by what it is seen that it changed, where that is not the same
    """

    def of(expression: str, which: str) -> str:
        return expression.replace("{}", which)

    guard = f"SELECT RAISE(ABORT, '{NO_ACT}') WHERE (SELECT act FROM now) IS NULL;"
    keep = "INSERT INTO changes (act, what, sheet, row, part, before, after) SELECT act, "
    for verb, before in (("INSERT", "NULL"), ("UPDATE", of(cells, "OLD"))):
        seen = differs_in or cells
        changed = f"WHEN {of(seen, 'OLD')} IS NOT {of(seen, 'NEW')} " if verb == "UPDATE" else ""
        values = f"'{table}', {of(sheet, 'NEW')}, NEW.{row}, {of(part, 'NEW')}, {before}, {of(cells, 'NEW')}"
        yield (
            f"CREATE TRIGGER {table}_{verb.lower()} AFTER {verb} ON {table} {changed}"
            f"BEGIN {guard} {keep}{values} FROM now; END;"
        )
    yield (
        f"CREATE TRIGGER {table}_delete BEFORE DELETE ON {table} "
        "BEGIN SELECT RAISE(ABORT, 'no row is taken away'); END;"
    )

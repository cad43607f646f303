import datetime as dt
import tomllib

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from estimator.demo.texts import demo_text
from estimator.log.edits import keep_accepted
from estimator.log.store import FileStore
from estimator.words.errors import UsageError
from estimator.words.records import Accepted
from estimator.words.settings.edit import with_accepted, with_import
from estimator.words.settings.reader import parse_settings
from estimator.words.settings.schema import ImportShape

DAY = dt.date(2026, 10, 1)
NOON = dt.datetime(2026, 10, 1, 12, tzinfo=dt.UTC)
KEPT = Accepted(5.234, 8.6, DAY, 17)
DEMO = demo_text()
NAMES = [rule.name for rule in parse_settings(DEMO)[0].rules if rule.about != "chance"]


@pytest.mark.parametrize("name", NAMES)
def test_only_that_rule_gets_it_and_every_line_stays(name):
    text = with_accepted(DEMO, name, KEPT)
    read, problems = parse_settings(text)

    assert problems == ()
    assert {rule.name: rule.accepted for rule in read.rules if rule.accepted} == {
        name: Accepted(5.23, 8.6, DAY, 17)
    }
    added = text.splitlines()
    for line in DEMO.splitlines():
        assert line in added
        added.remove(line)
    wanted = [
        "[rules.accepted]",
        "low = 5.23",
        "high = 8.6",
        "on = 2026-10-01",
        "boards = 17",
        'source = "log"',
    ]
    assert [line for line in added if line] == wanted


def test_the_restorer_s_words_stay_as_they_were():
    before, after = (parse_settings(text)[0] for text in (DEMO, with_accepted(DEMO, NAMES[0], KEPT)))

    assert [(r.text, r.low, r.high, r.odds, r.source, r.when, r.board) for r in before.rules] == [
        (r.text, r.low, r.high, r.odds, r.source, r.when, r.board) for r in after.rules
    ]


def test_what_leads_over_to_the_next_rule_stays_before_it():
    text = '[[rules]]\nname = "a"\nlow = 1\nhigh = 2 # so\n\n# of the other\n[[rules]]\nname = "b"\n'

    assert with_accepted(text, "a", KEPT) == (
        '[[rules]]\nname = "a"\nlow = 1\nhigh = 2 # so\n\n[rules.accepted]\nlow = 5.23\nhigh = 8.6\n'
        'on = 2026-10-01\nboards = 17\nsource = "log"\n\n# of the other\n[[rules]]\nname = "b"\n'
    )


def test_a_later_range_takes_the_place_of_the_earlier():
    once = with_accepted(DEMO, NAMES[0], KEPT)
    twice = with_accepted(once, NAMES[0], Accepted(6.0, 9.0, dt.date(2026, 12, 1), 20))

    assert parse_settings(twice)[0].rules[0].accepted == Accepted(6.0, 9.0, dt.date(2026, 12, 1), 20)
    assert len(twice.splitlines()) == len(once.splitlines())


def test_rules_in_one_line_and_the_endings_of_lines():
    text = '\ufeffrules = [{name = "a", low = 1, high = 2}] # all\r\n[bench]\r\nplaces = 2\r\n'
    written = with_accepted(text, "a", KEPT)

    assert written.startswith("\ufeffrules")
    assert written.count("\r\n") == written.count("\n") == 3
    assert "# all" in written
    assert tomllib.loads(written[1:])["rules"][0]["accepted"]["boards"] == 17


@settings(deadline=None, max_examples=20)
@given(st.floats(1e-3, 1e4), st.floats(1.0001, 50))
def test_the_ends_never_fall_together(low, times):
    read, problems = parse_settings(with_accepted(DEMO, NAMES[0], Accepted(low, low * times, DAY, 9)))

    assert problems == ()
    kept = read.rules[0].accepted
    assert kept.low < kept.high
    assert kept.low == pytest.approx(low, rel=0.006)


def test_a_rule_that_is_not_there(tmp_path):
    with pytest.raises(UsageError) as told:
        with_accepted(DEMO, "sandig a long board", KEPT)
    assert str(told.value) == (
        'No rule of thumb is called "sandig a long board". The nearest name known here is sanding a long board.'
    )
    with pytest.raises(UsageError, match="There is no workshop here"):
        keep_accepted(FileStore(tmp_path), "a", KEPT, NOON)


def test_the_file_is_written_whole(tmp_path):
    path = tmp_path / "workshop.toml"
    path.write_bytes(DEMO.encode())

    keep_accepted(FileStore(tmp_path), NAMES[0], KEPT, NOON)
    assert path.read_text("utf-8") == with_accepted(DEMO, NAMES[0], KEPT)
    assert [p.name for p in tmp_path.iterdir()] == ["workshop.toml"]


MIXED = (
    '[[rules]]\r\nname = "a"\nlow = 1\r\nhigh = 2\n\n# a driver\n[drivers.x]\r\nunit = "m"\n\n'
    '[[rules]]\nname = "b"\nlow = 1\nhigh = 2\n\n[stages.y]\n\n[drivers.z]\n'
)


@pytest.mark.parametrize("name", ["a", "b"])
def test_tables_that_are_mixed_stay_where_they_are_with_their_line_ends(name):
    kept = with_accepted(MIXED, name, KEPT)

    added = [
        "[rules.accepted]",
        "low = 5.23",
        "high = 8.6",
        "on = 2026-10-01",
        "boards = 17",
        'source = "log"',
    ]
    lines = kept.splitlines(keepends=True)
    for line in added:
        lines.remove(next(one for one in lines if one.strip() == line))
    old = MIXED.splitlines(keepends=True)
    assert [line for line in lines if line.strip()] == [line for line in old if line.strip()]
    assert [rule.get("accepted", {}).get("boards") for rule in tomllib.loads(kept)["rules"]] == [
        17 if rule == name else None for rule in "ab"
    ]
    again = with_accepted(kept, name, Accepted(6.0, 9.0, DAY, 20))
    assert len(again.splitlines()) == len(kept.splitlines())
    assert (
        again.index("[drivers.x]")
        < again.index('name = "b"')
        < again.index("[stages.y]")
        < again.index("[drivers.z]")
    )


def test_what_stands_apart_from_its_rule_is_found_there():
    text = (
        '[x.a]\n[[rules]]\nname = "a"\nlow = 1\nhigh = 2\n[x.b]\nn = 2\n[rules.accepted]\nlow = 1\nhigh = 2\n'
    )
    kept = with_accepted(text, "a", KEPT)

    assert tomllib.loads(kept)["rules"][0]["accepted"]["boards"] == 17
    assert kept.index("[x.a]") < kept.index("[[rules]]") < kept.index("[x.b]")


def test_a_file_that_would_be_moved_about_stays_as_it_is():
    words = 'text = """\n[[rules]]\n"""\n'  # looks like one more rule
    with pytest.raises(UsageError) as refused:
        with_accepted(f"[bench]\n{words}{MIXED}", "a", KEPT)

    assert refused.value.wrong == (
        'workshop.toml stays as it is: it is written so that a range beside "a" would move other lines.'
    )
    assert refused.value.cure == (
        "Write it under that rule yourself: [rules.accepted]; low = 5.23; high = 8.6; on = 2026-10-01; "
        'boards = 17; source = "log".'
    )


SHAPE = ImportShape(
    "jobs",
    rows="boards",
    columns={"No": "board", "Was": "note"},
    dates="day-month",
    decimals="comma",
    blanks={"Was": "none"},
    feet={"Long": "tenths"},
)
SECTION = (
    '[import.jobs]\nrows = "boards"\ndates = "day-month"\ndecimals = "comma"\n\n[import.jobs.columns]\nNo = "board"\n'
    'Was = "note"\n\n[import.jobs.blanks]\nWas = "none"\n\n[import.jobs.feet]\nLong = "tenths"\n'
)


@pytest.mark.parametrize(
    ("before", "after"),
    [
        ("", SECTION),
        ("# mine\nplaces = 2\n", f"# mine\nplaces = 2\n\n{SECTION}"),
        ("[bench]\nplaces = 2\n\n\n", f"[bench]\nplaces = 2\n\n\n{SECTION}"),
        (
            "\ufeff[bench]\r\nplaces = 2\r\n",
            "\ufeff" + f"[bench]\nplaces = 2\n\n{SECTION}".replace("\n", "\r\n"),
        ),
    ],
)
def test_how_a_spreadsheet_is_read_is_kept_whole_below_what_was_there(before, after):
    assert with_import(before, SHAPE).rstrip() == after.rstrip()


def test_of_a_spreadsheet_of_one_name_what_is_kept_later_counts_and_others_stay():
    other = with_import(with_import("", SHAPE), ImportShape("more", rows="hours"))
    said = tomllib.loads(with_import(other, ImportShape("jobs", rows="hours", dates="month-day")))
    assert said == {"import": {"jobs": {"rows": "hours", "dates": "month-day"}, "more": {"rows": "hours"}}}


@pytest.mark.parametrize(
    "written", ['import = {a = {rows = "boards"}}\n', "import = {}\n", "[[import]]\na = 1\n"]
)
def test_how_a_spreadsheet_is_read_is_refused_where_imports_stand_on_one_line(written):
    with pytest.raises(UsageError, match=r"workshop\.toml stays as it is: what columns mean") as refused:
        with_import(written, SHAPE)
    assert refused.value.cure == "Write each import as a section [import.NAME] of its own."


def test_ends_that_fall_together_when_they_are_cut_short_are_kept_in_full():
    rule = tomllib.loads(with_accepted('[[rules]]\nname = "a"\n', "a", Accepted(5.2341, 5.2349, DAY, 3)))[
        "rules"
    ]
    assert (rule[0]["accepted"]["low"], rule[0]["accepted"]["high"]) == (5.2341, 5.2349)


LINES = '[rules.accepted]\nlow = 5.23\nhigh = 8.6\non = 2026-10-01\nboards = 17\nsource = "log"\n'
WINDOWS = LINES.replace("\n", "\r\n")


@pytest.mark.parametrize(
    ("before", "after"),
    [
        (
            '[[rules]]\nname = "a"\nlow = 1',
            f'[[rules]]\nname = "a"\nlow = 1\n{LINES}',
        ),  # no end to its last line
        ('[[rules]]\r\nname = "a"\r\nlow = 1\n', f'[[rules]]\r\nname = "a"\r\nlow = 1\n\r\n{WINDOWS}'),
        (
            '[[rules]]\r\nname = "a"\n',
            f'[[rules]]\r\nname = "a"\n\n{LINES}',
        ),  # as many of one as of the other
        (
            '[[rules]]\nname = "a"\n[rules.board]\nx = 1\n',
            f'[[rules]]\nname = "a"\n[rules.board]\nx = 1\n\n{LINES}',
        ),
    ],
)
def test_lines_more_end_as_most_do_and_the_others_as_they_did(before, after):
    assert with_accepted(before, "a", KEPT) == after


def test_of_rules_in_one_line_the_one_of_that_name_gets_it():
    text = 'rules = [{name = "a", low = 1}, {name = "b", low = 2}, {name = "c"}] # all\n'
    rules = tomllib.loads(with_accepted(text, "b", KEPT))["rules"]
    assert [rule.get("accepted", {}).get("boards") for rule in rules] == [None, 17, None]

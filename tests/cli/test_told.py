import datetime as dt
import json
import shutil
from dataclasses import replace
from pathlib import Path

import pytest
from click.testing import CliRunner
from making.added import write_small
from making.folders import folder, read_folder

from estimator.bench.outlook import told_dates
from estimator.cli.commands import cli
from estimator.cli.printing import plain_lines
from estimator.log.edits import KeptTelling
from estimator.record.backtest.run import promises_kept
from estimator.said.told import told_parts
from estimator.shop import Shop
from estimator.words.phrases import round_hours
from estimator.words.problems import NOWHERE
from estimator.words.records import Told
from estimator.words.settings.reader import read_settings

JUNE = dt.date(2026, 6, 4)
SAID = Told("26-014", JUNE, 55, 80, 1795, "fixed", JUNE, dt.date(2026, 7, 3), 0.8, "quote")


def said(*, judged=None, promised=(), notes=(), **more):
    telling = replace(SAID, **more)
    kept = KeptTelling(telling, "red nine-four", Path("told.csv"), judged or telling, promised, notes)
    return plain_lines(told_parts(kept, "mk"))


def test_what_was_kept_is_said_as_it_was_told():
    assert said(promised=("promised_first",), notes=("So.",)) == [
        "Kept in told.csv: what the owner of red nine-four was told on Thu 4 June 2026.",
        "hours       55 to 80, 8 times in 10",
        "price       1,795 mk, fixed price",
        "not before  Thu 4 June 2026",
        "ready by    Fri 3 July 2026",
        "because     quote",
        "It is the first telling, and the board is judged on it.",
        "The dates stand in the board's own row too.",
        "So.",
    ]


@pytest.mark.parametrize(
    ("more", "line"),
    [
        ({"hours_low": 53.2, "hours_high": 81.0}, "hours       between 55 and 80, 8 times in 10"),
        ({"hours_low": 57, "hours_high": 63.5, "odds": 0.9}, "hours       57 to 63½, 9 times in 10"),
        ({"hours_low": 66, "hours_high": 66, "odds": None}, "hours       66"),
        ({"price": None, "terms": "by the hour"}, "price       by the hour"),
        ({"price": 1234.5, "terms": ""}, "price       1,234.5 mk"),
        ({"paid_by": "half"}, "paid by     half"),
    ],
)
def test_figures_that_a_person_said_are_not_rounded(more, line):
    assert line in said(**more)


def test_which_telling_the_board_is_judged_on():
    before = replace(SAID, date=dt.date(2026, 5, 4))

    assert "The board is still judged on what was told on Mon 4 May 2026; this stands beside it." in said(
        judged=before, because="late"
    )
    wish = said(
        judged=replace(before, last=dt.date(2026, 7, 6)), because="asked later", adds_hours=2.5, adds_days=3
    )
    assert (
        "What its owner has asked for adds 2½ hours and 3 days, and no more is excused: the board is judged on being "
        "ready by Mon 6 July 2026. What is told now stands beside it."
    ) in wish
    unknown = next(line for line in said(judged=before, because="asked later") if "not worked out" in line)
    assert unknown.endswith("The board is still judged on what was told on Mon 4 May 2026.")
    assert not [line for line in said(first=None, last=None) if "before" in line or "by" in line.split()[:2]]


def test_a_day_in_the_boards_own_row_stays_the_first(run, tmp_path):
    write_small(tmp_path)
    late = ("--because", "late", "--last", "2026-07-31", "--hours", "?")
    said = run("told", "26-003", *late, "--shop", tmp_path, "--today", "2026-06-10").stdout
    assert (
        "The board is still judged on the first day, which stands in its own row: Fri 12 June 2026; this stands beside "
        "it."
    ) in said
    asked = ("--because", "asked later", "--price", "900", "--last", "2026-08-07", "--hours", "?")
    more = run("told", "26-003", *asked, "--shop", tmp_path, "--today", "2026-06-11").stdout
    assert "price     900 mk" in more.splitlines()
    assert "which stands in its own row: Fri 12 June 2026." in more

    boards = (tmp_path / "boards.csv").read_text("utf-8")
    ready = boards.replace(
        "26-003,red fish,2026-05-02,,waiting", "26-003,red fish,2026-05-02,2026-07-20,finished"
    )
    (tmp_path / "boards.csv").write_text(ready, "utf-8")
    shop = Shop.open(tmp_path, today=dt.date(2026, 9, 1))
    (kept,) = [one for one in told_dates(shop.log.told, shop.log.boards).values() if one.last.month == 8]
    assert kept.first_last == dt.date(2026, 6, 12)
    count = promises_kept(shop.log, dt.date(2026, 9, 1))
    assert (count.held, count.of) == (0, 2)  # the other board's day, 19 June, is over too
    quarter = shop.quarter("2026-Q3")
    assert quarter.dates_kept.missed == ("red fish",)


@pytest.fixture
def demo(demo_folder, tmp_path):
    folder = tmp_path / "demo"
    shutil.copytree(demo_folder, folder)
    return folder


def kept_in(folder, problems=()):
    """The last telling of a workshop's log, which has only these problems."""
    log, found, _ = read_folder(folder, read_settings(folder)[0])
    assert found == problems
    return log.told[-1]


def test_what_is_left_out_is_what_a_range_says_that_day(demo, run):
    before = (demo / "told.csv").read_bytes()
    said = json.loads(run("range", "26-900", "--odds", "9/10", "--dates", "--shop", demo, "--json").stdout)
    hours, ready = said["hours"], said["ready"]
    row = json.loads(run("told", "tan nine-one", "--odds", "9/10", "--shop", demo, "--json").stdout)

    assert row["file"] == str(demo / "told.csv")
    assert " ".join(list(row)[:13]) == (
        "board date hours_low hours_high price terms first last odds because paid_by adds_hours adds_days"
    )
    assert (row["board"], row["date"], row["odds"], row["because"]) == ("26-900", "2026-10-01", 0.9, "quote")
    as_said = round_hours(hours["low"]), round_hours(hours["high"])
    assert as_said != (hours["low"], hours["high"])
    assert (row["hours_low"], row["hours_high"]) == as_said
    assert (row["first"], row["last"]) == ((ready["low"], ready["tell"]) if ready else (None, None))
    assert (row["price"], row["paid_by"]) == (None, None)

    telling = kept_in(demo)
    assert (telling.hours_low, telling.hours_high, telling.odds) == (*as_said, 0.9)
    after = (demo / "told.csv").read_bytes()
    assert after.startswith(before)
    assert after[len(before) :].count(b"\n") == 1


def test_all_that_was_told_and_then_told_anew(demo, run):
    before = (demo / "boards.csv").read_bytes()
    told = ["told", "26-900", "--shop", demo]
    words = run(
        *told, "--hours", "55 to 80 h", "--price", "4,200 mk", "--terms", "ceiling", "--first", "2026-12-01",
        "--last", "15 January 2027",
    ).stdout  # fmt: skip
    assert "hours       55 to 80, 8 times in 10" in words.splitlines()
    assert "The dates stand in the board's own row too." in words
    first = replace(kept_in(demo), where=NOWHERE)
    assert first == Told(
        "26-900", dt.date(2026, 10, 1), 55, 80, 4200, "ceiling", dt.date(2026, 12, 1), dt.date(2027, 1, 15), 0.8, "quote",
    )  # fmt: skip
    boards = (demo / "boards.csv").read_bytes()
    assert boards.replace(b",2026-12-01,2027-01-15,", b",,,") == before

    again = run(*told, "--hours", "70-90", exit_code=2).stderr
    assert again == (
        "The owner of tan nine-one was told already, on Thu 1 October 2026. "
        "Say why you tell it anew: hidden work, asked later, late or quote. The option is --because.\n"
    )
    words = run(*told, "--hours", "?", "--because", "hidden work", "--paid-by", "half").stdout
    assert "The board is still judged on what was told on Thu 1 October 2026; this stands beside it." in words
    telling = kept_in(demo)
    assert (telling.hours_low, telling.odds, telling.because, telling.paid_by) == (
        None,
        None,
        "hidden work",
        "half",
    )

    row = json.loads(run(*told, "--because", "asked later", "--hours", "90", "--json").stdout)
    assert (row["hours_low"], row["hours_high"], row["judged"], row["promised"]) == (90, 90, False, [])
    assert (demo / "boards.csv").read_bytes() == boards


def test_a_ceiling_that_was_told_is_kept_and_stands_on_every_answer(demo, run, tmp_path):
    told = ("told", "26-900", "--shop", demo, "--hours", "?", "--price", "3400")
    wrong = run(*told, "--terms", "fixed", "--ceiling", "4030", exit_code=2).stderr
    assert wrong.startswith("A ceiling goes with a price with a range, and not with “fixed”.")
    said = run(*told, "--ceiling", "4030").stdout

    assert "price       3,400 mk, a price with a range, not over 4,030 mk without asking" in said
    assert kept_in(demo).terms == "ceiling 4030"
    weighed = json.loads(run("weigh", "26-900", "--shop", demo, "--json").stdout)
    assert {one["terms"]: one["ceiling"] for one in weighed["terms"]}["ceiling"] == 4030
    run("sheet", "owner", "26-900", "--out", tmp_path / "owner.txt", "--shop", demo)
    paper = " ".join((tmp_path / "owner.txt").read_text("utf-8").split())
    assert "Between 3,400 mk and 4,030 mk, by the work that it takes." in paper
    assert "We stop and ask before going past 4,030 mk." in paper


@pytest.mark.parametrize(
    ("words", "kept"),
    [
        (("--terms", "a price with a range", "--ceiling", "2700"), "ceiling 2700"),
        (("--terms", "Price with a range, not over 2,700 mk without asking"), "ceiling 2700"),
        (("--terms", "Fixed price"), "fixed"),
        (("--terms", "open it up first"), "open-first"),
        (("--terms", "by the hour"), "by the hour"),
    ],
)
def test_the_words_for_terms_that_are_shown_are_read(demo, run, words, kept):
    run("told", "26-900", "--shop", demo, "--hours", "?", "--price", "2400", *words)
    assert kept_in(demo).terms == kept


def test_a_ceiling_is_explained():
    said = " ".join(CliRunner().invoke(cli, ["told", "--help"]).output.split())
    assert "The most that you charge without asking first." in said


def test_looking_from_an_earlier_day_puts_no_telling_first(demo, run):
    run("told", "26-900", "--hours", "55-80", "--shop", demo)
    before = (demo / "told.csv").read_bytes()
    error = run(
        "told", "26-900", "--hours", "70-90", "--today", "2026-09-29", "--shop", demo, exit_code=2
    ).stderr

    assert "was told on Thu 1 October 2026, and no telling is put before another." in error
    assert (demo / "told.csv").read_bytes() == before


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["26-90"], 'No board is called "26-90". The nearest'),
        (["26-001"], "Lemon plank is ready, and there is nothing more to tell of it."),
        (["22-006"], "You said no to ochre six-nine, and there is nothing more to tell of it."),
        (["26-900", "--hours", "80-55"], '--hours: "80-55" begins with the larger end. Write it as 60-80.'),
        (["26-900", "--hours", "none"], "Zero hours can't be told."),
        (["26-900", "--price", "1.800"], '--price: "1.800" could be 1800 or 1 and a part.'),
        (["26-900", "--first", "3/4/2027"], '--first: "3/4/2027" could be 3 April or 4 March 2027.'),
        (["26-900", "--hours", "5-8", "--last", "2026-09-30"], "Wed 30 September 2026 is over on Thu 1 October 2026."),
        (["26-900", "--odds", "3/10"], '--odds: "3/10" is a range that misses more often than it holds.'),
        (["26-900", "--because", "hurry"], '--because: "hurry" is not offered. Write quote, hidden work, asked later or late.'),
        (["26-900", "--paid-by", "him"], '--paid-by: "him" is not offered. Write me, owner or half.'),
    ],
)  # fmt: skip
def test_what_is_refused_is_not_written(demo_folder, run, words, said):
    before = {path: path.read_bytes() for path in demo_folder.glob("*.csv")}
    error = run("told", *words, "--shop", demo_folder, exit_code=2).stderr

    assert error.startswith(said)
    assert {path: path.read_bytes() for path in demo_folder.glob("*.csv")} == before


def test_hours_that_no_range_can_say_may_be_given(run, tmp_path):
    (tmp_path / "workshop.toml").write_text(
        "[drivers.infills]\nblank = 'unknown'\n[stages.strip]\ndrivers = ['infills']\n"
    )
    (tmp_path / "boards.csv").write_text("board,called\n26-001,red\n")
    error = run("told", "red", "--shop", tmp_path, exit_code=1).stderr
    assert error.endswith('Or say which hours you told, as --hours 55-80, or --hours "?" where none were.\n')
    assert not (tmp_path / "told.csv").exists()

    run("told", "red", "--hours", "2 to 3 days", "--today", "2026-06-04", "--shop", tmp_path)
    assert (tmp_path / "told.csv").read_text("utf-8").splitlines()[1:] == [
        "26-001,2026-06-04,13,19.5,,,,,0.8,quote,,,,"
    ]


def test_a_shop_that_has_told_reads_its_log_anew(demo):
    shop = Shop.open(demo, today=dt.date(2026, 10, 2))
    rows = len(shop.log.told)
    kept = shop.tell(Told("tan nine-one", dt.date(2026, 10, 2), 55, 80))

    assert len(shop.log.told) == rows + 1
    assert replace(shop.log.told[-1], where=NOWHERE) == kept.told
    assert kept.told.odds == 0.8


@pytest.mark.parametrize(
    ("words", "cells"),
    [
        (["--hours", "?", "--price", "1800", "--first", "?", "--last", "?"], ",,1800,,,,,quote,,,"),
        (["--hours", "?", "--price", "?", "--terms", "fixed", "--last", "?"], ",,,fixed,,,,quote,,,"),
        (["--hours", "8-12", "--last", "?"], "8,12,,,,,0.8,quote,,,"),
        (["--hours", "8-12", "--first", "?", "--last", "2026-09-01"], "8,12,,,,2026-09-01,0.8,quote,,,"),
    ],
)
def test_what_was_not_spoken_of_is_no_promise(run, tmp_path, words, cells):
    shop = folder(tmp_path / "shop")
    run("told", "green fish", *words, "--today", "2026-06-01", "--shop", shop)

    assert (shop / "told.csv").read_text("utf-8").splitlines()[1:] == [f"26-003,2026-06-01,{cells},"]
    assert (shop / "boards.csv").read_text("utf-8").splitlines()[3].endswith(",,1") == (
        "2026-09-01" not in words
    )


def test_a_day_that_was_named_is_not_written_over(run, tmp_path):
    shop = folder(tmp_path / "shop")
    asked = ["told", "green fish", "--hours", "8-12", "--today", "2026-06-01", "--shop", shop]
    assert (
        "lies before the first day, 2027-01-04. Say both days"
        in run(*asked, "--first", "2027-01-04", exit_code=2).stderr
    )
    run(*asked, "--first", "2026-06-02")

    [row] = (shop / "told.csv").read_text("utf-8").splitlines()[1:]
    assert row.split(",")[6] == "2026-06-02"
    assert row.split(",")[7]


def test_nothing_at_all_is_no_telling(run, tmp_path):
    shop = folder(tmp_path / "shop")
    nothing = ["--hours", "?", "--first", "?", "--last", "?"]
    said = run("told", "green fish", *nothing, "--today", "2026-06-01", "--shop", shop, exit_code=2).stderr

    assert said == "Neither hours, nor a price, nor a day is told. Say one of them.\n"
    assert not (shop / "told.csv").exists()

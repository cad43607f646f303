"""What an owner asks for since, as it is said on the telephone; and the command from its words to the file."""

import datetime as dt
import json
from dataclasses import replace
from pathlib import Path

import pytest
from making.added import BOARDS, write_small

from estimator.bench.promises import Dates
from estimator.cli.printing import plain_lines
from estimator.decide.weigh.promise_impact import Added, Moved, ReadyThen
from estimator.forecast.ranges import Cost, Price, Spread
from estimator.log.edits import KeptMore
from estimator.said.added import NAMED, added_parts
from estimator.shop import Shop
from estimator.words.dates import the_date
from estimator.words.errors import UsageError
from estimator.words.phrases import say_ten_boards
from estimator.words.settings.schema import Workshop

TODAY = dt.date(2026, 10, 1)


def dates(*days):
    return Dates(*(TODAY + dt.timedelta(n) for n in days))


RED = Moved("1", "red nine-four", dates(5, 6, 8), dates(6, 8, 10), TODAY + dt.timedelta(12), 0.95, 0.91)
SAID = Added(
    what={"infills": 2.0, "face_area": 0.4},
    odds=0.8,
    hours=Spread(9.2, 12.4, 15.8),
    in_all=Spread(64.0, 78.0, 96.0),
    materials=Cost(41.0, 52.0, 68.0),
    price=Price(561.0, 0.8, 42.0),
    ready=ReadyThen(dates(20, 25, 30), dates(24, 31, 38), Spread(4.0, 6.0, 8.0)),
    promises=(RED,),
)


def lines(settings, currency="mk", **more):
    shop = replace(settings, workshop=Workshop(currency=currency))
    return plain_lines(added_parts(replace(SAID, **more), shop, "26-014", "tan nine-one", TODAY))


def test_all_that_an_owner_wants_to_hear(settings):
    tell = "tell the owner: ready by Sun 8 November, 9 times in 10."
    assert lines(settings) == [
        "tan nine-one, asked for since: 2 foam pieces to let in, area of one face 0.4 m²",
        "Between 9 and 16 hours more, 8 times in 10; between 65 and 95 hours in all.",
        "560 mk more pays you 42 an hour for it 8 times in 10. Materials 40 to 70 mk more.",
        f"Ready 4 to 8 days later, between the week of Mon 19 October and the week of Mon 2 November; {tell}",
        "Red nine-four is two days later; its date is still good, 9 times in 10.",
        "Once the owner agrees, keep it: it goes into the board's row, and what you told goes in with it.",
        "estimator range 26-014 --add infills=2 --add face_area=0.4 --keep",
    ]


def test_a_number_with_a_blank_in_it_can_be_pasted(settings):
    said = plain_lines(added_parts(SAID, settings, "no 7", "tan nine-one", TODAY))

    assert said[-1].startswith("estimator range 'no 7' --add")


def test_a_date_in_danger_is_said_beside_what_it_was(settings):
    broken = replace(RED, kept_before=0.82, kept_after=0.31)
    as_bad = replace(RED, kept_before=0.11, kept_after=0.09)
    untold = replace(RED, told=None, kept_before=None, kept_after=None)

    assert "Red nine-four is two days later; in time 3 times in 10 (8 times in 10 before)." in lines(
        settings, promises=(broken,)
    )
    assert "Red nine-four is two days later; in time 1 time in 10 (as before)." in lines(
        settings, promises=(as_bad,)
    )
    assert "Red nine-four is two days later; no date of it is told yet." in lines(
        settings, promises=(untold,)
    )


def test_of_many_boards_those_that_move_most_are_named(settings):
    many = tuple(
        replace(RED, board=f"{n}", name=f"board {n}", after=dates(5, 6, 8 + n)) for n in range(1, NAMED + 4)
    )
    said = lines(settings, promises=many)
    named = [line for line in said if line.startswith("Board ")]

    assert named[0].startswith("Board 8 is eight days later")
    assert len(named) == NAMED
    assert "3 more boards by 3 days at most." in said


def test_a_board_may_come_sooner_and_one_whose_day_to_tell_stays_is_not_named(settings):
    sooner = replace(RED, after=dates(5, 6, 7))
    assert "Red nine-four is one day sooner; its date is still good, 9 times in 10." in lines(
        settings, promises=(sooner,)
    )
    stays = replace(RED, after=dates(5, 7, 8))
    assert "No other board's date moves by a day." in lines(settings, promises=(stays,))


def test_a_board_not_taken_on_is_ready_if_its_owner_says_yes(settings):
    asked = replace(SAID.ready, say_yes_by=TODAY + dt.timedelta(7), later=Spread(0.0, 0.0, 0.0))

    assert any(
        line.startswith("Ready no later") and "if the owner says yes by Thu 8 October" in line
        for line in lines(settings, ready=asked)
    )


@pytest.mark.parametrize(
    ("days", "said"),
    [
        ((-1, 3, 8), "up to 8 days"),
        ((2, 2, 2), "2 days"),
        ((0.2, 0.9, 1.1), "up to 1 day"),
        ((-3, -2, 0), "no"),
    ],
)
def test_a_board_is_so_many_days_later_or_none(settings, days, said):
    ready = replace(SAID.ready, later=Spread(*days))

    assert any(line.startswith(f"Ready {said} later, between") for line in lines(settings, ready=ready))


def test_without_dates_pay_or_hours(settings):
    said = lines(
        settings,
        "",
        ready=None,
        promises=(),
        hours=Spread(0, 0, 0),
        materials=Cost(0, 0, 0, lent=True),
        price=Price(0, 0.8, 0),
    )

    assert said[1:4] == [
        "No hours more; between 65 and 95 hours in all, 8 times in 10.",
        "Materials none more (lent, no board of yours tells yet).",
        "No date can be given. Your boards in hand say why:",
    ]


def test_a_stage_that_is_finished_is_to_be_begun_again(settings):
    assert (
        "Strip old glass is finished in your log. Once you go on, write the first hours with no under done, and it "
        "counts as begun again."
    ) in lines(settings, finished=("strip",))
    both = lines(settings, finished=("strip", "infill"))
    assert any(line.startswith("Strip old glass and Let in foam are finished") for line in both)


def test_what_was_kept_and_what_to_do_next(settings):
    kept = KeptMore(Path("boards.csv"), {"later_infills": "2", "found_infills": "7"})
    by_hand = KeptMore(None, {"later_infills": "2"}, ("log.xlsx stays as it is. Write it there.",))

    tell = "estimator told 26-014 --because 'asked later'"
    assert lines(settings, kept=kept)[-2:] == [
        "Kept in boards.csv: later_infills 2, found_infills 7. Not told yet: tell the owner, and keep that:",
        tell,
    ]
    assert lines(settings, kept=by_hand)[-2:] == [
        "log.xlsx stays as it is. Write it there. Not told yet: tell the owner, and keep that:",
        tell,
    ]


# ---- the command


@pytest.fixture(scope="module")
def mine(tmp_path_factory):
    """A small workshop to write in."""
    return write_small(tmp_path_factory.mktemp("added"))


def test_asked_kept_and_asked_again(run, mine):
    shop = ("--shop", mine, "--today", "2026-05-20", "--json")
    before = json.loads(run("range", "26-003", *shop).stdout)
    asked = json.loads(run("range", "red fish", "--add", "colours=1", *shop).stdout)
    kept = json.loads(run("range", "26-003", "--add", "colours=1", "--keep", *shop).stdout)
    after = json.loads(run("range", "26-003", *shop).stdout)

    added = asked.pop("added")
    assert asked == before  # the board as it stands is not touched by what is asked about
    assert added["ready"]["after"]["high"] > added["ready"]["before"]["high"]
    assert {promise["board"] for promise in added["promises"]} == {"26-004"}
    assert kept["added"]["kept"] == {
        "file": str(mine / "boards.csv"),
        "cells": {"later_colours": "1"},
        "notes": [],
        "told": kept["added"]["kept"]["told"],
    }
    assert {**kept["added"], "kept": None} == added
    # what is asked for since tells the fit nothing, so the range then is what was said of the whole
    assert after["hours"] == pytest.approx(added["hours_in_all"])
    assert after["materials"]["likely"] > before["materials"]["likely"]
    assert (mine / "boards.csv").read_text("utf-8") == BOARDS.replace(",2,2,,,", ",2,2,1,,")
    again = run("told", "26-003", "--because", "asked later", "--hours", "?", *shop[:4])
    assert "What is told now stands beside it." in again.stdout


@pytest.mark.parametrize("words", [("26-004", "--dates"), ("26-003", "--add", "colours=1")])
def test_days_are_said_as_surely_as_they_are_known_from_the_day_of_looking(run, tmp_path, words):
    today = dt.date(2026, 11, 20)
    asked = ("range", *words, "--shop", write_small(tmp_path), "--today", today)
    told = json.loads(run(*asked, "--json").stdout)
    days = told["ready"] or told["added"]["ready"]["after"]
    low, high = (dt.date.fromisoformat(days[end]) for end in ("low", "high"))

    assert high - low <= dt.timedelta(21) < high - today  # from its low end it would be a day
    assert f"between {the_date(low, today)} and the week of Mon 14 December" in run(*asked).stdout


def test_the_command_keeps_both(run, tmp_path):
    write_small(tmp_path)
    head, *rows = BOARDS.splitlines()
    rows = [f"{row},{'1000.50' if row.startswith('26-003') else ''}" for row in rows]
    (tmp_path / "boards.csv").write_text("\n".join([f"{head},price_quoted", *rows]) + "\n", "utf-8")
    words = ("range", "26-003", "--add", "colours=1", "--keep", "--agreed", "150.25")
    said = json.loads(run(*words, "--shop", tmp_path, "--today", "2026-05-20", "--json").stdout)

    assert said["added"]["kept"]["told"]["price"] == 1150.75
    assert "1150.75" in (tmp_path / "told.csv").read_text("utf-8")
    alone = run(*words[:4], "--agreed", "150.25", "--shop", tmp_path, exit_code=2)
    assert "--agreed goes with --keep" in alone.stderr


def test_what_was_agreed_is_one_act_and_is_taken_back_whole(run, tmp_path):
    write_small(tmp_path)
    run("import", "--shop", tmp_path, "--today", "2026-05-20")
    words = (
        "--add",
        "colours=1",
        "--keep",
        "--agreed",
        "150",
        "--shop",
        tmp_path,
        "--today",
        "2026-05-20",
        "--json",
    )
    kept = json.loads(run("range", "26-003", *words).stdout)["added"]["kept"]
    shop = Shop.open(tmp_path, today=dt.date(2026, 5, 21))
    assert kept["told"]["because"] == "asked later"
    assert [act.sentence for act in shop.acts()][:-1] == ["what the owner of red fish asks for since"]
    assert (shop.log.by_id["26-003"].later, len(shop.log.told)) == ({"colours": 1}, 1)
    shop.undo()
    assert (Shop.open(tmp_path).log.by_id["26-003"].later, Shop.open(tmp_path).log.told) == ({}, ())


def test_who_does_all_that_is_said_tells_the_owner_once(run, tmp_path):
    shop = ("--shop", write_small(tmp_path), "--today", "2026-05-20")
    said = run("range", "26-003", "--add", "colours=1", *shop).stdout.splitlines()
    while done := [line.split() for line in said if line.startswith("estimator ")]:
        (_, *words) = done[0]
        said = run(*words, *shop).stdout.splitlines()
        assert len(done) == 1

    assert [(one.board, one.because) for one in Shop.open(tmp_path).log.told] == [("26-003", "asked later")]


def test_what_is_kept_is_known_at_once(tmp_path):
    shop = Shop.open(write_small(tmp_path), today=dt.date(2026, 5, 20))
    before = shop.range("26-003")
    kept = shop.asked_since("26-003", {"colours": 2}, keep=True)

    assert shop.range("26-003").likely == pytest.approx(kept.in_all.likely)
    assert shop.range("26-003").likely > before.likely + 1
    assert shop.boards.set_index("board").later_colours["26-003"] == 2


def test_looking_back_nothing_is_written_on_a_board_that_is_ready_by_now(tmp_path):
    folder = write_small(tmp_path)
    ready = BOARDS.replace("26-003,red fish,2026-05-02,,waiting", "26-003,red fish,2026-05-02,2026-06-01,")
    (folder / "boards.csv").write_text(ready, "utf-8")
    shop = Shop.open(folder, today=dt.date(2026, 5, 20))

    assert shop.asked_since("26-003", {"colours": 1}).hours.likely > 0
    with pytest.raises(UsageError, match="nothing more is done on it"):
        shop.asked_since("26-003", {"colours": 1}, keep=True)
    assert (folder / "boards.csv").read_text("utf-8") == ready


@pytest.mark.parametrize(
    ("words", "wrong"),
    [
        (("26-900", "--add", "spray_colour=1"), "nothing that an owner can ask more of"),
        (("26-900", "--add", "logos=1", "--add", "logos=2"), "--add logos stands twice"),
        (("26-900", "--add", "logos=0.5"), "logos=0.5: there are only whole ones"),
        (("26-900", "--add", "logos=-1"), "logos=-1"),
        (("26-900", "--add", "logos"), "--add"),
        (("26-900", "--keep"), "nothing to keep"),
        (("26-900", "--add", "logos=1", "-q", "infills=3"), "-q changes that"),
        (("26-900", "--add", "logos=1", "--view", "opened"), "--view changes that"),
        (("-q", "kind=major", "--add", "logos=1"), "belongs to a board of the log"),
        (("26-999", "--add", "logos=1"), "No board is called"),
        (("26-001", "--add", "logos=1"), "nothing more is done on it"),
    ],
)
def test_what_cannot_be_asked_is_said_and_nothing_is_written(run, demo_folder, words, wrong):
    before = (demo_folder / "boards.csv").read_bytes()
    result = run("range", *words, "--shop", demo_folder, exit_code=2)

    assert wrong in result.stderr
    assert result.stdout == ""
    assert (demo_folder / "boards.csv").read_bytes() == before


def test_a_picture_of_what_was_asked_for_is_of_the_board_with_it(tmp_path, run, monkeypatch):
    shop = write_small(tmp_path)
    args = ("range", "26-003", "--today", "2026-06-01", "--shop", shop)
    run(*args, "--figure", tmp_path / "plain.svg")
    run(*args, "--add", "colours=2", "--figure", tmp_path / "more.svg")
    plain, more = ((tmp_path / f"{name}.svg").read_text("utf-8") for name in ("plain", "more"))

    drawn = []
    monkeypatch.setattr("estimator.sheets.pictures.save_picture", lambda *given: drawn.append(given))
    picture = ("--figure", tmp_path / "more.png")
    said = json.loads(run(*args, "--add", "colours=2", *picture, "--json").stdout)["added"]["hours_in_all"]
    ((_, whole, name),) = drawn
    assert {"low": whole.low, "likely": whole.likely, "high": whole.high} == said
    asked = Shop.open(shop, today=dt.date(2026, 6, 1)).asked_since("26-003", {"colours": "2"})
    assert whole.quantiles == asked.quantiles
    assert name == "red fish, with what was asked for since"
    assert "with what was asked for since" in more
    assert say_ten_boards(said["low"], said["likely"], said["high"]) in more
    assert say_ten_boards(said["low"], said["likely"], said["high"]) not in plain

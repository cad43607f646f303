"""A board given back half done, and money given back on one made ready: hours and money to the penny, by hand."""

import datetime as dt
from dataclasses import replace

import pytest
from making.quarters import known_of, reviewed, write

from estimator.decide.quarter.lost_time import given_back_in, stood_of, taken_and_dropped, turned_down
from estimator.log.checks import notes_on
from estimator.log.money import paid_for
from estimator.model.matrices import table_of
from estimator.said.quarter import quarter_parts
from estimator.words.dates import Quarter
from estimator.words.records import Board, Entry, Log, Told, Wait
from estimator.words.settings.schema import Settings


def hours_on(day, stage, hours, done=None):
    return Entry("26-011", dt.date(2026, 8, day), stage, hours, done=done)


@pytest.fixture(scope="module")
def plain(tmp_path_factory):
    return known_of(write(tmp_path_factory.mktemp("given back") / "shop"))


@pytest.fixture(scope="module")
def workshop(plain):
    """Plus a board that came in August, was stripped in 4 hours, sanded for 1, and fetched half done: 300.00 paid, of
    which 45.50 were given back; 12.25 of materials."""
    log, settings = plain
    board = Board(
        "26-011",
        called="teal twin",
        kind="minor",
        asked=dt.date(2026, 8, 17),
        accepted=dt.date(2026, 8, 18),
        collected=None,
        paid_on=dt.date(2026, 8, 18),
        state="withdrawn",
        assessed={"area": 2.0},
        price_quoted=900.0,
        deposit=100.0,
        paid=300.0,
        returned=45.5,
        materials=12.25,
    )
    rows = (hours_on(19, "strip", 4.0), hours_on(20, "sand", 1.0))
    return replace(log, boards=(*log.boards, board), entries=(*log.entries, *rows)), settings


def test_its_hours_and_money_count_under_given_back_to_the_penny(workshop):
    back = reviewed(workshop).as_dict()["given_back"]

    assert (back["hours"], back["charged"], back["kept"], back["returned"]) == (5.0, 300.0, 254.5, 45.5)
    (one,) = back["boards"]
    assert (one["board"], one["ended"], one["materials"]) == ("26-011", "2026-08-20", 12.25)
    assert one["pay_per_hour"] == pytest.approx((300 - 45.5 - 12.25) / 5)  # 48.45
    assert reviewed(workshop, "2026-Q2").as_dict()["given_back"]["boards"] == []


def test_it_is_neither_in_the_pay_nor_turned_down(plain, workshop):
    before, after = (reviewed(shop).as_dict() for shop in (plain, workshop))

    assert after["pay_per_hour"] == before["pay_per_hour"]
    assert after["boards"] == before["boards"] == 6
    assert after["turned_down"] == before["turned_down"]
    assert after["clock"]["on_others"] == before["clock"]["on_others"] + 5


def test_till_and_money_written_add_up(plain, workshop):
    """Of August 100 deposit, 200 more, 45.50 back: 254.50 more in the till, which is what was kept."""
    before, after = (reviewed(shop).as_dict()["till"] for shop in (plain, workshop))

    assert after["deposits"] - before["deposits"] == 100
    assert after["balances"] - before["balances"] == 200
    assert (before["returned"], after["returned"]) == (0, 45.5)
    assert after["all"] - before["all"] == pytest.approx(254.5)


def test_money_given_back_on_a_board_made_ready_comes_off_its_pay(plain):
    """Of 1,800 for red nine-four 80.40 were given back: 1,719.60 less 240, in 39 hours."""
    log, settings = plain
    log = replace(
        log, boards=tuple(replace(b, returned=80.4) if b.board == "26-002" else b for b in log.boards)
    )
    said = reviewed((log, settings)).as_dict()

    (one,) = [one for one in said["each"] if one["board"] == "26-002"]
    assert one["pay_per_hour"] == pytest.approx((1800 - 80.4 - 240) / 39)
    assert said["given_back"]["returned_on_ready"] == pytest.approx(80.4)
    assert said["income"] == pytest.approx(11_150 - 80.4)
    assert "26-002" not in [one["board"] for one in said["owing"]]


def test_finished_stages_teach_and_the_whole_does_not(plain, workshop):
    before, after = (table_of(*shop) for shop in (plain, workshop))

    assert len(after.board) == len(before.board) + 1  # strip, which sanding says was done
    assert after.boards[after.board[-1]] == "26-011" or "26-011" in {after.boards[j] for j in after.board}
    assert "26-011" not in {one.board for one in reviewed(workshop).made}


def test_an_owner_who_dropped_it_is_not_taken_to_have_paid_the_price_quoted():
    day = dt.date(2026, 8, 18)
    assert paid_for(Board("a", state="withdrawn", price_quoted=900.0, deposit=50.0, paid_on=day)) == 50
    assert paid_for(Board("a", state="withdrawn", price_charged=120.0, paid_on=day)) == 120


def test_the_page_says_it(workshop):
    text = " ".join(str(part) for part in quarter_parts(reviewed(workshop), workshop[1]))

    assert "1 board went back half done, after 5 hours in all: 300 mk charged, 254.5 mk kept." in text
    assert "'300', '45.5', '254.5', '48'" in text
    assert "; 50 given back." in text  # the till, to the nearest ten


def test_more_given_back_than_was_paid_is_a_note(workshop):
    log, settings = workshop
    wrong = "more money was given back than was paid on 1 board (26-011)"
    assert wrong not in {note.wrong for note in notes_on(log, settings)}

    boards = tuple(replace(b, returned=301.0) if b.board == "26-011" else b for b in log.boards)
    assert wrong in {note.wrong for note in notes_on(replace(log, boards=boards), settings)}


def test_an_extra_that_was_agreed_is_owed_as_the_owners_copy_says(plain):
    """Lime log: 900 quoted, nothing written as charged; 90.50 agreed on top, 300 paid: 690.50 are owed."""
    log, settings = plain
    extra = Told("26-004", dt.date(2026, 7, 1), price=990.5, because="asked later", paid_by="owner")
    said = reviewed((replace(log, told=(*log.told, extra)), settings)).as_dict()

    assert {one["board"]: one["owed"] for one in said["owing"]}["26-004"] == pytest.approx(690.5)
    assert said["income"] == pytest.approx(11_150 + 90.5)


def test_the_column_is_read(tmp_path):
    folder = write(tmp_path / "shop")
    path = folder / "boards.csv"
    head, *rows = path.read_text("utf-8").splitlines()
    rows = [f"{row},{'45.50' if row.startswith('26-003') else ''}" for row in rows]
    path.write_text("\n".join([f"{head},returned", *rows]) + "\n", "utf-8")

    assert known_of(folder)[0].by_id["26-003"].returned == 45.5


# ---- how long boards stood, and what came to nothing


AUGUST = dt.date(2026, 8, 3)
QUARTER = Quarter.read("2026-Q3", dt.date(2026, 10, 12))  # July to September


def on(n):
    return AUGUST + dt.timedelta(n)


def stood(*waits, boards=(), entries=(), quarter=QUARTER):
    log = Log(tuple(boards) or (Board("a", state="on bench"),), tuple(entries), waits=tuple(waits))
    return [
        (one.cause, one.waits, one.days, one.longest, one.board, one.over) for one in stood_of(log, quarter)
    ]


@pytest.mark.parametrize(
    ("first", "until", "told"),
    [
        (on(0), on(7), (7, 7, True)),
        (on(0), on(0), (0, 0, True)),
        (dt.date(2026, 6, 20), dt.date(2026, 7, 5), (4, 15, True)),  # of fifteen days four lie in July
        (dt.date(2026, 6, 20), dt.date(2026, 7, 1), (0, 11, True)),
        (dt.date(2026, 6, 20), dt.date(2026, 6, 30), None),
        (dt.date(2026, 9, 20), dt.date(2026, 10, 9), (10, 10, False)),  # not over by the end of September
        (dt.date(2026, 9, 30), dt.date(2026, 10, 9), (0, 0, False)),
        (dt.date(2026, 10, 1), dt.date(2026, 10, 9), None),
        (dt.date(2026, 9, 20), None, (10, 10, False)),
    ],
)
def test_a_wait_counts_by_its_days_in_the_quarter(first, until, told):
    assert stood(Wait("a", first, until, "owner")) == (
        [("owner", 1, told[0], told[1], "a", told[2])] if told else []
    )


def test_waits_are_summed_by_cause_most_days_first_and_the_longest_is_named():
    """Foam: 3 days of green and 5 of red, which began in June and stood 30; then artwork, as many, by its name."""
    boards = (Board("a", "red"), Board("b", "green"))
    waits = (
        Wait("b", on(0), on(6), "drying"),
        Wait("a", dt.date(2026, 6, 6), dt.date(2026, 7, 6), "drying"),
        Wait("b", on(0), on(11), "artwork"),
        Wait("gone", on(0), on(2), "parts"),
    )

    assert stood(*waits, boards=boards) == [
        ("artwork", 1, 11, 11, "green", True),
        ("drying", 2, 11, 30, "red", True),
        ("parts", 1, 2, 2, "gone", True),
    ]


@pytest.mark.parametrize(
    ("board", "rows", "until"),
    [
        ({"state": "on bench"}, [(4, "sand", 2.0), (9, "sand", 2.0)], 4),  # worked on again
        ({"state": "on bench"}, [(0, "sand", 2.0)], None),  # on its first day: before it
        ({"state": "on bench"}, [(4, "sand", 0.0)], None),  # a row of no hours
        ({"state": "on bench"}, [(4, "drying", 0.5)], None),  # a look at the foam
        ({"state": "finished", "ready": on(8)}, [(9, "sand", 2.0)], 8),
        ({"state": "finished", "ready": on(8)}, [(5, "sand", 2.0)], 5),
        ({"state": "finished", "ready": on(-3), "collected": on(6)}, [], 6),  # ready before: another time
        ({"state": "withdrawn"}, [], 0),  # nobody knows: none is counted
        ({"state": "on bench", "ready": on(8)}, [], None),
    ],
)
def test_a_wait_whose_end_is_not_written_was_over_once_the_board_went_on(board, rows, until):
    entries = [Entry("a", on(n), stage, hours) for n, stage, hours in rows]
    days = (QUARTER.last - AUGUST).days if until is None else until
    found = stood(Wait("a", AUGUST, None, "drying"), boards=(Board("a", **board),), entries=entries)

    assert found == [("drying", 1, days, days, "a", until is not None)]


@pytest.mark.parametrize(
    ("more", "hours", "dropped"),
    [
        ({}, (), False),
        ({"accepted": AUGUST}, (), True),
        ({"started": AUGUST}, (), True),
        ({"deposit": 50.0}, (), True),
        ({"returned": 50.0}, (), True),
        ({"price_quoted": 900.0, "quoted": AUGUST}, (), False),
        ({}, (1.0,), True),
        ({}, (0.0,), False),
        ({"state": "declined", "accepted": AUGUST}, (1.0,), False),
        ({"state": "finished", "accepted": AUGUST}, (1.0,), False),
    ],
)
def test_a_board_was_dropped_where_it_was_taken_on_worked_on_or_paid_for(more, hours, dropped):
    entries = [Entry("a", AUGUST, "strip", much) for much in hours]

    assert taken_and_dropped(Board("a", **{"state": "withdrawn", **more}), entries) is dropped


def test_of_enquiries_that_came_to_nothing_those_count_that_were_asked_in_the_span():
    boards = (
        Board("a", "red", state="declined", asked=on(0), decided_why="no room"),
        Board("b", "tan", state="declined", quoted=on(9), decided_why="no room"),
        Board("c", "sky", state="declined", asked=on(2), decided_why="too far gone"),
        Board("d", "bare", state="declined", asked=on(2)),
        Board("e", "left", state="withdrawn", asked=on(3), decided_why="dear"),
        Board("f", "half", state="withdrawn", asked=on(3), accepted=on(4)),  # dropped half done: no enquiry
        Board("g", "early", state="declined", asked=on(-1), quoted=on(3), decided_why="no room"),
        Board("h", "open", state="asked", asked=on(3)),
        Board("i", "yes", state="finished", asked=on(3)),
    )
    looked = [Entry("a", on(n), "strip", much) for n, much in ((1, 0.75), (4, 0.5))]
    found = turned_down(Log(boards, (*looked, Entry("i", on(1), "strip", 9.0))), (on(0), on(9)))

    assert found.boards == ("red", "tan", "sky", "bare")
    assert found.why == (("no room", 2), ("too far gone", 1))
    assert (found.dropped, found.hours) == (("left",), 6.25)


def test_what_was_given_back_counts_in_the_span_in_which_it_went_with_all_its_hours():
    """A total of nine hours says more than the five that stand on rows; without hours there is no pay an hour."""
    back = {"state": "withdrawn", "accepted": on(0), "paid": 300.0, "returned": 40.0, "materials": 35.0}
    boards = (Board("a", total_hours=9.0, **back), Board("b", **back))
    log = Log(boards, (Entry("a", on(5), "strip", 5.0), Entry("b", on(6), "strip", 0.0)))

    def kept(first, last):
        found = given_back_in(log, Settings(), [], (on(first), on(last)))
        return [(one.board, one.hours, one.kept, one.brought, one.pay) for one in found.boards]

    assert kept(5, 6) == [("a", 9.0, 260.0, 225.0, 25.0), ("b", 0.0, 260.0, 225.0, None)]
    assert kept(0, 5) == kept(5, 5) == [("a", 9.0, 260.0, 225.0, 25.0)]
    assert kept(0, 4) == kept(7, 9) == []
    both = given_back_in(log, Settings(), [], (on(0), on(9)))
    assert (both.hours, both.charged, both.returned, both.kept, both.brought) == (
        9.0,
        600.0,
        80.0,
        520.0,
        450.0,
    )

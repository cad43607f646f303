"""What stands on Today besides the day's work: how old the last copy elsewhere is, and the way to setting up."""

import datetime as dt
import re

import pytest
from making.counter import HOST, client
from making.diaries import begun
from making.working_day import MAY, AtOnce, in_a_book, in_files

from estimator.counter.answer_files import AsOf, KeptAnswer, PageQuestion
from estimator.counter.pages import today
from estimator.log.steps.enquiry import NewBoard, OwnerAnswered
from estimator.log.steps.hours import HoursNow
from estimator.log.steps.leaving import BoardReady
from estimator.log.steps.setting_up import SettingAnswered
from estimator.log.store import IMPORT, Sent
from estimator.said.bench import ALL, LEAVE, SCALES, STILL_OPEN, TOUCH
from estimator.said.parts import Heading
from estimator.words.settings.set_up import HIGH, LOW, RULES

NOON = dt.datetime.combine(MAY, dt.time(12))
NOWHERE = "Your book is on this disk and nowhere else."
LEAD = "Setting up takes about 25 minutes. Then you can tell the next caller when you could begin."


@pytest.fixture
def place(tmp_path):
    (tmp_path / "shop").mkdir()
    return tmp_path / "shop"


def held(counter):
    return counter.app.extensions["counter"]


def test_that_a_book_lies_nowhere_else_is_said_with_the_way_to_mend_it(place):
    in_a_book(place)
    page = client(place, today=MAY).page("/")

    assert page.count(NOWHERE) == 1
    assert '<a href="/book">Keep a copy elsewhere</a>' in page


def test_files_of_ones_own_are_not_spoken_of(place):
    in_files(place)
    assert NOWHERE not in client(place, today=MAY).page("/")


@pytest.mark.parametrize(("days", "said"), [(31, False), (32, True)])
def test_an_old_copy_elsewhere_is_said_after_a_month(place, tmp_path, days, said):
    stick = tmp_path / "stick"
    stick.mkdir()
    in_a_book(place)
    counter = client(place, today=MAY)
    step = ("/book/second-place", "/book")
    assert counter.send(*step, second=str(stick)).status_code == 303
    for file in stick.iterdir():
        file.unlink()
    held(counter).store.copy_elsewhere(dt.datetime(2026, 3, 2, 12).astimezone())
    page = client(place, today=dt.date(2026, 3, 2) + dt.timedelta(days=days)).page("/")

    assert NOWHERE not in page
    assert (f"is of Mon 2 March, {days} days ago." in page) == said


def test_a_workshop_that_was_never_set_up_is_shown_the_way(tmp_path):
    counter = begun(tmp_path / "new")
    page = counter.page("/")
    assert page.count(LEAD) == 1
    assert 'href="/setting-up">Setting up</a>' in page

    step = SettingAnswered(RULES, {f"strip.{LOW}": "6", f"strip.{HIGH}": "9"}, "Rules of thumb")
    held(counter).shop.do(step, Sent(dt.datetime.combine(MAY, dt.time(8))))
    assert LEAD not in counter.page("/")


def test_so_is_not_one_whose_log_tells_more_than_lent_rules(place):
    rows = "".join(
        f"26-1{n:02},board {n},,,minor,6'0,,2026-01-05,2026-01-05,2026-01-05,2026-01-06,2026-02-01,2026-02-02,2026-02-02,finished\n"
        for n in range(10)
    )
    in_a_book(place, rows)

    assert LEAD not in client(place, today=MAY).page("/")


@pytest.fixture
def to_fetch(place):
    """A page on which Jo Rill, whose board has no short name and is ready, is to be rung; and the board's id."""
    in_a_book(place)
    counter = client(place, today=MAY)
    shop = held(counter).shop
    shop.do(NewBoard(owner="Jo Rill", kind="minor", length="6'4"), Sent(NOON))
    board = shop.snapshot(MAY).whole_log.boards[-1].board
    shop.do(OwnerAnswered(board, yes=True), Sent(NOON))
    shop.do(HoursNow(board, "sand", "2"), Sent(NOON))
    shop.do(BoardReady(board), Sent(NOON))
    held(counter).worker = AtOnce(held(counter))
    return counter, board


def worked_out(counter):
    """Today, once its answers are there."""
    counter.page("/")
    return counter.page("/")


def test_whom_to_ring_is_told_by_the_owner_where_a_board_has_no_short_name(to_fetch):
    counter, board = to_fetch
    assert f'<h3><a href="/boards/{board}"><bdi>Jo Rill&#39;s 6&#39;4</bdi></a></h3>' in worked_out(counter)


def test_after_an_import_the_rows_are_looked_at_before_anybody_is_rung(to_fetch):
    counter, board = to_fetch
    store, ring = held(counter).store, "Whom to ring, and what to say"
    page = worked_out(counter)
    assert ("Look at these once" in page, ring in page) == (False, True)

    with store.act("rows of a file", NOON, origin=IMPORT) as act:
        act.append("notes", {"date": MAY.isoformat(), "board": board, "text": "from the file"})
    page = worked_out(counter)
    assert "<h2>Look at these once</h2>" in page
    assert "before you ring anybody." in page
    assert ring not in page

    store.undo(None, NOON)
    assert ring in worked_out(counter)


def test_a_first_answer_that_comes_later_leaves_one_heading(place):
    """The script puts each part that came into the place of the one that stood there: no heading stands beside them."""
    in_a_book(place)
    counter = client(place, today=MAY)
    before = counter.page("/")
    assert re.findall(r"<h1>.*?</h1>", before) == ["<h1>Today</h1>"]
    assert "<h1>" not in re.sub(
        r'<section class="answer"[^>]*id="answer-today".*?</section>', "", before, flags=re.DOTALL
    )


def test_a_ready_board_shows_its_hours_without_a_drawing(to_fetch):
    counter, board = to_fetch
    counter.page(f"/boards/{board}")
    page = counter.page(f"/boards/{board}")

    assert "2 hours are booked, and nothing is left to do." in page
    assert "<svg" not in page


@pytest.mark.parametrize(("own", "lent"), [(False, True), (True, False)])
def test_only_where_all_is_lent_a_workshop_is_to_be_set_up(tmp_path, own, lent):
    counter = begun(tmp_path / "new")
    if own:
        typed = {"strip.quickest": "5", "strip.slowest": "12"}
        assert counter.send("/setting-up/rules", "/setting-up/rules", **typed).status_code == 303
    with counter.app.test_request_context("/", headers={"Host": HOST}):
        assert today.to_be_set_up() is lent


def test_boards_that_are_not_finished_tell_nothing_and_nine_that_are_too_little(place):
    """Nine finished and three in line: the lent rules of thumb still speak."""
    rows = "".join(
        f"26-1{n:02},board {n},,,minor,6'0,,2026-01-05,2026-01-05,2026-01-05,"
        + ("2026-01-06,2026-02-01,2026-02-02,2026-02-02,finished\n" if n < 9 else ",,,,waiting\n")
        for n in range(12)
    )
    in_a_book(place, rows)

    assert LEAD in client(place, today=MAY).page("/")


def test_each_part_of_the_morning_stands_in_its_place(place, monkeypatch):
    day = (
        Heading("Mon 1 June 2026", 1),
        "tells",
        Heading(TOUCH),
        "t",
        Heading(LEAVE),
        "l",
        Heading(SCALES),
        "s",
        Heading(ALL),
        "a",
        Heading(STILL_OPEN),
        "o",
        Heading("Next free start"),
        "n",
    )
    in_a_book(place)
    counter, given = client(place, today=MAY), {}
    kept_at = held(counter)
    as_of = AsOf.on(kept_at.shop.snapshot(MAY).digest, MAY, 0)
    KeptAnswer(as_of, {"day": day}).save(PageQuestion("today"), kept_at.folder)
    monkeypatch.setattr(today, "render_template", lambda _, **more: given.update(more) or "")
    with counter.app.test_request_context("/", headers={"Host": HOST}):
        today.show()

    words = {
        place: [part for part in parts if isinstance(part, str)] for place, parts in given["places"].items()
    }
    assert words == {"head": ["tells"], "work": ["t", "l"], "rack": ["s"], "rest": ["n"], ALL: ["a", "o"]}
    assert given["all"] == given["places"][ALL]
    assert given["fresh"]


def test_how_old_a_copy_is_is_said_with_the_year_where_it_is_another(place, monkeypatch):
    in_a_book(place)
    counter = client(place, today=dt.date(2026, 2, 2))
    monkeypatch.setattr(type(held(counter).store), "last_copy_elsewhere", lambda _: dt.date(2025, 12, 29))
    with counter.app.test_request_context("/", headers={"Host": HOST}):
        assert "is of Mon 29 December 2025, 35 days ago." in today.copy_words()


def test_boards_that_are_finished_later_than_the_day_one_looks_from_count_too(place):
    rows = "".join(
        f"26-1{n:02},board {n},,,minor,6'0,,2026-01-05,2026-01-05,2026-01-05,2026-01-06,2026-02-01,2026-02-02,2026-02-02,finished\n"
        for n in range(10)
    )
    in_a_book(place, rows)

    assert LEAD not in client(place, today=dt.date(2026, 1, 10)).page("/")

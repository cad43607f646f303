"""What was agreed reaches the log and the paper: the old price, the extra, the new price and the rest, to the penny."""

import datetime as dt

import pytest
from making.added import BOARDS, write_small
from making.sheets import BOARD, TOLD, of_owner

from estimator.said.added import added_parts
from estimator.sheets.paper.owner_sheet import plain_text
from estimator.shop import Shop
from estimator.words.phrases import round_hours
from estimator.words.records import Board, Told, price_agreed

TODAY = dt.date(2026, 5, 20)
HEAD = "board,date,hours_low,hours_high,price,terms,first,last,odds,because,paid_by,adds_hours,adds_days\n"


def opened(tmp_path, price="", told=""):
    folder = write_small(tmp_path)
    head, *rows = BOARDS.splitlines()
    rows = [f"{row},{price if row.startswith('26-003') else ''}" for row in rows]
    (folder / "boards.csv").write_text("\n".join([f"{head},price_quoted", *rows]) + "\n", "utf-8")
    if told:
        (folder / "told.csv").write_text(HEAD + told, "utf-8")
    return Shop.open(folder, today=TODAY)


def test_the_telling_is_kept_with_hours_price_and_day(tmp_path):
    """1,000.50 quoted and 1,100.50 told in May; 180.25 agreed on top make 1,280.75."""
    shop = opened(tmp_path, "1000.50", "26-003,2026-05-04,20,30,1100.50,,,2026-06-12,0.8,quote,,,\n")
    said = shop.agree("26-003", {"colours": 1}, price=180.25)
    told = said.kept.told.told

    assert said.kept.cells == {"later_colours": "1"}
    assert told.price == pytest.approx(1280.75, abs=1e-9)
    assert (told.date, told.because, told.paid_by) == (TODAY, "asked later", "owner")
    assert (told.hours_low, told.hours_high) == (round_hours(said.in_all.low), round_hours(said.in_all.high))
    assert told.last == said.ready.after.tell
    assert told.adds_hours > 0
    assert shop.log.told[-1].price == 1280.75
    text = " ".join(str(part) for part in added_parts(said, shop.settings, "26-003", "red fish"))
    assert "Kept as told too: between" in text
    assert "1,280.75 in all" in text or "1,280.75 mk in all" in text
    assert "Not told yet" not in text


def test_less_lowers_the_price(tmp_path):
    shop = opened(tmp_path, "1000.50")

    assert shop.agree("26-003", {"colours": -1}, price=90.25).kept.told.told.price == 910.25


def test_without_a_price_of_his_own_the_one_that_is_said_counts(tmp_path):
    shop = opened(tmp_path, "1000.50")
    said = shop.agree("26-003", {"colours": 1})

    extra = said.kept.told.told.price - 1000.5
    assert extra == pytest.approx(round(said.price.for_target / 10) * 10)


def test_where_no_price_is_written_that_is_said(tmp_path):
    shop = opened(tmp_path)
    said = shop.agree("26-003", {"colours": 1})
    text = " ".join(str(part) for part in added_parts(said, shop.settings, "26-003", "red fish"))

    assert said.kept.told.told.price is None
    assert "No price was told: none is written for the board." in text


def test_what_cannot_be_told_is_kept_and_said(tmp_path):
    """Somebody was told on a later day, and no telling is put before another."""
    shop = opened(tmp_path, "1000.50", "26-003,2026-05-25,20,30,1100.50,,,,0.8,quote,,,\n")
    said = shop.agree("26-003", {"colours": 1})
    text = " ".join(str(part) for part in added_parts(said, shop.settings, "26-003", "red fish"))

    assert said.kept.cells == {"later_colours": "1"}
    assert said.kept.told is None
    assert "no telling is put before another" in text
    assert "Not told yet: tell the owner, and keep that:" in text


def later(price, day=20):
    return Told(BOARD.board, dt.date(2026, 9, day), price=price, because="asked later", paid_by="owner")


def test_the_owners_copy_names_old_price_extra_and_new_price_and_so_does_the_rest():
    """2,600 told before, 180.50 and 20.25 on top: 2,800.75; less the deposit of 860 leaves 1,940.75."""
    sheet = plain_text(of_owner(BOARD, told=(*TOLD, later(2780.5), later(2800.75, 21))))

    parts = "2,800.75 mk: 2,600 mk, and 200.75 mk more for what you asked for since"
    assert f"{parts}." in sheet
    assert f"The rest, 1,940.75 mk of {parts}, when you collect the board." in sheet


def test_less_is_named_as_less():
    sheet = plain_text(of_owner(BOARD, told=(*TOLD, later(2500))))

    assert "2,500 mk: 2,600 mk, and 100 mk less for what you no longer want." in sheet


def test_a_price_for_hidden_work_is_no_extra_that_was_asked_for():
    hidden = Told("a", dt.date(2026, 5, 4), price=1000.0, because="hidden work")
    assert price_agreed(Board("a", price_quoted=900.0), [hidden]) is None
    asked = Told("a", dt.date(2026, 5, 6), price=1050.0, because="asked later")
    agreed = price_agreed(Board("a", price_quoted=900.0), [asked, hidden])
    assert (agreed.before, agreed.extra, agreed.now) == (1000.0, 50.0, 1050.0)

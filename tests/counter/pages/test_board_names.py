"""A board without a short name is called by length or owner, in sentences as in tables, and never by its number alone."""

import csv
import datetime as dt
import html

import pytest
from making.counter import client
from making.quarters import TODAY, write
from making.worker_done import WorkerAtOnce

from estimator.log.exchange.importing import ImportChoices, import_folder
from estimator.log.steps.hours import HoursNow
from estimator.log.store import Sent
from estimator.words.json_form import plain

NOON = dt.datetime.combine(TODAY, dt.time(12))
RED, LIME, MINT = "26-002", "26-004", "26-008"  # ready too late, too, and in hand
NAMELESS = {RED: ("Ines", "9'4"), LIME: ("", "8'0"), MINT: ("Odo", "9'6")}


@pytest.fixture
def counter(tmp_path):
    place = write(tmp_path / "shop")
    with (place / "boards.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    for row in rows:
        row["owner"], row["length"] = NAMELESS.get(row["board"], ("", ""))
        row["called"] = "" if row["board"] in NAMELESS else row["called"]
    with (place / "boards.csv").open("w", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, rows[0])
        writer.writeheader()
        writer.writerows(rows)
    import_folder(place, NOON, ImportChoices())
    visitor = client(place, today=TODAY, worker=WorkerAtOnce(place))
    visitor.shop = visitor.app.extensions["counter"].shop
    return visitor


def worked_out(counter, path):
    counter.page(path)
    return html.unescape(counter.page(path))


def test_sentences_and_tables_of_a_quarter_call_it_alike(counter):
    page = worked_out(counter, "/look-back?quarter=2026-Q3")

    assert "Late: Ines's 9'4, 8'0 (26-004)." in page
    assert f"<a href=\"/boards/{RED}\"><bdi>Ines's 9'4</bdi></a>" in page
    assert "26-002" not in page.replace(f"/boards/{RED}", "")


def test_in_the_shop_s_own_words_the_number_stands_beside_and_data_stay_as_they_are(counter):
    review = counter.shop.snapshot(TODAY).quarter("2026-Q3")

    assert review.dates_kept.missed == ("9'4 (26-002)", "8'0 (26-004)")
    made = next(one for one in review.made if one.board == RED)
    assert (plain(made)["called"], "known" in plain(made)) == ("", False)


def test_undo_calls_it_so_too(counter):
    counter.shop.do(HoursNow(MINT, "strip", "1"), Sent(NOON))

    assert "Undo: 1 hour on Odo's 9'6, strip" in html.unescape(counter.page("/"))
    assert "1 hour on 9'6 (26-008), strip" in counter.app.extensions["counter"].store.acts(1)[0].sentence

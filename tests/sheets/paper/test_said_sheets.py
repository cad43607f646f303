import datetime as dt

import pytest
from making.quarters import TODAY, known_of, write
from making.read_pdf import read
from making.weighings import SHOP, moved, standing, weighed

from estimator.decide.quarter.review import Known, review_of
from estimator.log.history import as_it_stood
from estimator.said.parts import Action, Heading, Table
from estimator.said.weigh import LAW, VALUE, weigh_parts
from estimator.sheets.paper.said_sheets import quarter_sheet, weigh_sheet
from estimator.sheets.paper.typesetting import pdf
from estimator.words.dates import Quarter

DAY = dt.date(2026, 10, 1)


@pytest.fixture(scope="module")
def said():
    return weighed(how=standing(moved=moved()))


def test_all_that_weigh_says_stands_on_its_sheet_and_lines_for_the_decision(said):
    sheet = read(pdf("weigh", weigh_sheet(said, SHOP), DAY))
    words = sheet.words.replace("’", "'")
    parts = list(weigh_parts(said, SHOP))
    end = next(
        i
        for i, part in enumerate(parts)
        if isinstance(part, Heading) and part.text in {"Worth doing anyway?", "Your answer"}
    )

    places = []
    for part in parts[:end]:
        if isinstance(part, Heading):
            places.append(words.index(part.text.replace("’", "'")))
        elif isinstance(part, Table):
            assert all(cell in words for row in part.rows for cell in row), part
        elif not isinstance(part, Action) and not part.startswith("Of ten boards"):
            assert " ".join(part.split()).replace("’", "'") in words, part
    assert places == sorted(places)
    last = (
        "Worth doing anyway? ☐ Yes, for love",
        "☐ yes ☐ no ☐ open it up first Date",
        "Because",
        "Later: was it right?",
    )
    assert [words.index(part) for part in last] == sorted(words.index(part) for part in last)
    assert VALUE in words
    assert LAW in words
    assert "estimator weigh" not in words  # nothing to type stands on paper
    assert "--for-love" not in words
    assert sheet.off == ()
    assert sheet.tagged
    assert len(sheet.pages) <= 2


def test_the_answer_comes_before_the_ten_boards(said):
    words = read(pdf("weigh", weigh_sheet(said, SHOP), DAY)).words

    assert (
        words.index(said.recommendation)
        < words.index("Of ten boards like this")
        < words.index("What it pays")
    )
    assert words.count("Of ten boards like this") == 1


@pytest.fixture(scope="module")
def review(tmp_path_factory):
    log, settings = known_of(write(tmp_path_factory.mktemp("paper") / "shop"))
    quarter = Quarter.read("2026-Q3", TODAY)
    then = as_it_stood(log, settings, quarter.end) if quarter.end != quarter.today else log
    return review_of(
        quarter, Known(now=log, then=then, settings=settings, rules=(), notes=[]), seed=0
    ), settings


def test_all_that_quarter_says_stands_on_its_sheet(review):
    from estimator.said.quarter import quarter_parts

    sheet = read(pdf("quarter", quarter_sheet(*review), TODAY))
    words = sheet.words.replace("’", "'")

    for part in quarter_parts(*review):
        if isinstance(part, Heading | str):
            text = part.text if isinstance(part, Heading) else part
            assert " ".join(text.split()).replace("’", "'") in words, text
        elif isinstance(part, Table):
            assert all(cell.split()[-1] in words for row in part.rows for cell in row if cell), part
    assert sheet.title == "July to September 2026"
    assert sheet.off == ()
    assert sheet.roles.count("Table") >= 1


def test_the_second_page_of_a_quarter_begins_overleaf(review):
    from estimator.said.quarter_page_two import page_two

    first, second, *_ = read(pdf("quarter", quarter_sheet(*review), TODAY)).pages
    heading = next(part.text for part in page_two(*review) if isinstance(part, Heading))

    assert heading not in first
    assert second.startswith(heading)

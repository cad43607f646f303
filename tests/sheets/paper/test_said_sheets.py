import datetime as dt
from dataclasses import replace

import pytest
from making.quarters import TODAY, known_of, reviewed, write
from making.read_pdf import read
from making.weighings import SHOP, moved, standing, weighed

from estimator.decide.quarter.control_chart import Landed, chart_of
from estimator.decide.quarter.review import Known, review_of
from estimator.log.history import as_it_stood
from estimator.said.parts import Action, Heading, Table
from estimator.said.weigh import LAW, VALUE, ten_pay, weigh_parts
from estimator.sheets.layouts.quarter import quarter_caption
from estimator.sheets.paper.said_sheets import blocks, quarter_sheet, run_on, weigh_sheet
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


def test_the_chart_stands_on_the_sheet_with_its_caption_and_the_money_with_its_sentence(review):
    seen, settings = review
    landed = [Landed(f"b{n}", "", f"2026-0{7 + n % 3}-01", 0.2 * n - 1) for n in range(12)]
    charted = replace(seen, chart=chart_of(landed, "2026-07-01", "2026-09-30"))
    data = quarter_sheet(charted, settings)

    assert quarter_sheet(replace(seen, chart=None), settings)["figure"] is None
    assert data["figure"]["says"] == quarter_caption(charted)
    assert "plumb line hangs" not in data["figure"]["svg"].partition("</title>")[2]  # words are beside it
    said = [block["words"] for block in data["blocks"] if block["is"] == "words"]
    assert data["money"]["says"] not in said  # the figure says it
    assert data["day"] == "Mon 12 October 2026"


def test_sentences_run_on_up_to_a_heading_or_a_table():
    table = Table(("a", "b"), (("1", "2"),), right=(1,), total=True)
    parts = ["One.", "Two.", Heading("Then"), "Three.", table, "Four.", "Five."]

    assert run_on(parts) == ["One. Two.", Heading("Then"), "Three.", table, "Four. Five."]
    assert blocks(run_on(parts)) == [
        {"is": "words", "words": "One. Two."},
        {"is": "heading", "words": "Then"},
        {"is": "words", "words": "Three."},
        {
            "is": "table",
            "head": ["a", "b"],
            "rows": [["1", "2"]],
            "right": [1],
            "guessed": table.guessed,
            "total": True,
        },
        {"is": "words", "words": "Four. Five."},
    ]


def test_a_quarter_to_come_has_one_sentence_and_nothing_overleaf(tmp_path):
    workshop = known_of(write(tmp_path / "shop"))
    data = quarter_sheet(reviewed(workshop, "2027-Q1"), workshop[1])

    assert data["title"] == "January to March 2027, not begun yet"
    assert data["blocks"] == [
        {"is": "words", "words": "It begins on Fri 1 January 2027: look back on it then."}
    ]
    assert (data["overleaf"], data["money"], data["figure"]) == ([], None, None)


def test_boards_too_few_for_a_plumb_line_are_drawn_all_the_same(review):
    seen, settings = review
    few = chart_of([Landed("b1", "", "2026-07-01", 0.5)], "2026-07-01", "2026-09-30")
    charted = replace(seen, chart=few)

    assert quarter_sheet(charted, settings)["figure"]["says"] == quarter_caption(charted)


def test_what_the_figure_of_pay_says_is_not_said_twice():
    fixed = weighed(terms="fixed", how=standing(moved=moved()))
    ten = ten_pay(fixed.best, fixed.odds)
    said = " ".join(block["words"] for block in weigh_sheet(fixed, SHOP)["blocks"] if block["is"] == "words")

    assert ten in weigh_parts(fixed, SHOP)
    assert ten not in said


def test_a_table_that_is_guessed_stays_so_on_paper():
    [table] = blocks([Table(("a",), (("1",),), guessed=True)])
    assert (table["guessed"], table["total"]) == (True, False)

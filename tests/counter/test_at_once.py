"""What a form shows at once: the line of the eye, questions in order, and hours by what was learned last."""

import datetime as dt
import re
from dataclasses import replace

import pytest
from making.counter import client
from making.ranges import ANSWER
from making.working_day import MAY, AtOnce, in_a_book, opened

from estimator.counter.at_once import cells_in, cells_of, hours_at_once
from estimator.counter.question_order import by_rules_of_thumb
from estimator.counter.step_forms import eye_lines
from estimator.log.steps.enquiry import NewBoard, OwnGuess, QuestionsAnswered
from estimator.model.saved_fit import MODEL_VERSION
from estimator.words.errors import NoAnswerError
from estimator.words.records import Board
from estimator.words.settings.schema import Driver, Settings
from estimator.working_day import as_written, range_at_once

NEW = "26-003"
FIRST_LOOK = {
    "infills": "2",
    "wetness": "damp",
    "brittle_glass": "crisp",
    "spray_colours": "2",
    "sides_stripped": "2",
}


@pytest.fixture
def day(tmp_path):
    return opened("book", tmp_path)


def cells(day):
    now = as_written(day.now(0))
    return cells_of(now.row(now.board(NEW)).cells)


def test_the_line_of_the_eye_stands_with_the_choice_that_it_is_about(day):
    """Of eight boards that looked damp four were wet: counted by hand."""
    boards = [
        Board(f"{n}", kind="major", assessed={"wetness": 1.0, "infills": 2.0}, found={"wetness": 1.0 + n % 2})
        for n in range(8)
    ]
    lines = eye_lines(boards, day.shop.settings)

    assert lines["wetness"] == {"damp": "Wet foam: of your 8 boards that looked damp, 4 turned out wet."}
    assert "infills" not in lines  # nothing is known of how they turned out
    assert eye_lines(boards[:7], day.shop.settings) == {}


def test_an_amount_that_has_no_button_has_no_line():
    tape = Settings(drivers={"tape": Driver("tape", label="Rail tape", unit="m", known="strip")})
    boards = [Board(f"{n}", assessed={"tape": 0.2}, found={"tape": 0.4}) for n in range(9)]

    assert "tape" not in eye_lines(boards, tape)
    none = [replace(board, assessed={"tape": 0.0}) for board in boards]
    assert list(eye_lines(none, tape)["tape"]) == ["0"]


def test_questions_come_in_an_order_that_rules_of_thumb_say_where_nothing_is_worked_out(day):
    order = by_rules_of_thumb("major", day.shop.settings)

    assert order[0] == "wetness"  # it decides how long the board hangs
    assert order.index("spray_colours") < order.index("stringers")
    assert order.index("infills") < order.index("fin_boxes")
    assert set(order) <= set(day.shop.settings.quantities)


def test_hours_are_there_at_once_by_what_was_learned_before_the_board_came(day):
    assert range_at_once(day.now(0), {"kind": "major", "length": "9'6"}) is None  # nothing was learned yet
    day.now(0).fit()
    day.do(NewBoard(owner="Tam", kind="major", length="9'6"))
    day.do(
        QuestionsAnswered(
            NEW, FIRST_LOOK, {"width": "22 1/2 in", "outline": "long", "judged_with": "in hand"}
        )
    )
    now = day.now(0)
    assert not now.kept_as(f"fit-{MODEL_VERSION}").exists()

    said = hours_at_once(now, cells(day))
    learned = now.range(NEW)
    at_once = range_at_once(now, cells(day))
    assert said.said.startswith("Guessed: ")
    assert len(said.drawings) == 2
    # no board has told anything yet, so what was learned before and after is the same
    assert (at_once.low, at_once.likely, at_once.high) == pytest.approx(
        (learned.low, learned.likely, learned.high), rel=0.03
    )
    assert [one.driver for one in at_once.look_next] == [one.driver for one in learned.look_next]


def test_other_quantities_give_other_hours_and_odd_ones_are_said(day):
    day.now(0).fit()
    day.do(NewBoard(owner="Tam", kind="major", length="9'6"))
    day.do(QuestionsAnswered(NEW, FIRST_LOOK))
    now = day.now(0)
    few, many = (range_at_once(now, cells(day) | {"infills": n}) for n in ("0", "6"))

    assert few.high < many.high
    assert "infills" in hours_at_once(now, cells(day) | {"infills": "soon"}).said


def test_settings_with_other_stages_have_nothing_at_hand(day):
    day.now(0).fit()
    text = day.shop.store.settings_text()
    stage = '\n[stages.polish_more]\nlabel = "More polish"\ndrivers = ["once"]\n'
    with day.shop.store.act("a stage more", dt.datetime.combine(MAY, dt.time(9))) as act:
        act.settings(text + stage)

    assert range_at_once(day.now(0), {"kind": "major"}) is None


def test_the_page_shows_the_hours_before_the_worker_does(tmp_path):
    (tmp_path / "shop").mkdir()
    in_a_book(tmp_path / "shop")
    counter = client(tmp_path / "shop", today=MAY)
    shop = counter.app.extensions["counter"].shop
    page = counter.page("/new/26-002?here=yes")
    order = re.findall(r'<fieldset class="choices" id="f-looked\.(\w+)"', page)
    assert order[0] == "wetness"
    assert "hours-now" not in page  # his own guess comes first

    shop.snapshot(MAY).fit()
    shop.do(OwnGuess("26-002", "9"))
    page = counter.page("/new/26-002")
    assert '<section id="hours-now" aria-live="polite">\n<p class="lead">Guessed: ' in page
    assert 'data-at-once="/new/26-002/hours"' in page
    [less, more] = (
        counter.page(f"/new/26-002/hours?looked.infills={n}&looked.spray_colours=0") for n in ("0", "6")
    )
    assert (
        less.partition('class="lead">')[2].partition("</p>")[0]
        != more.partition('class="lead">')[2].partition("</p>")[0]
    )

    held = counter.app.extensions["counter"]
    held.worker = AtOnce(held)
    counter.page("/new/26-002")
    assert (
        'class="lead">Guessed: '
        not in counter.page("/new/26-002").partition('id="answer"')[2].partition("</section>")[0]
    )


def test_what_is_written_of_a_board_and_what_stands_in_its_form_make_its_cells():
    row = {
        "kind": "major",
        "length": "9'6",
        "width": "",
        "called": "red",
        "assessed_infills": "2",
        "assessed_logos": "",
        "found_infills": "4",
    }
    assert cells_of(row) == {"kind": "major", "length": "9'6", "infills": "2"}
    sent = {
        "looked.infills.other": " 5 ",
        "looked.infills": "2",
        "looked.logos": "  ",
        "looked.fins": "?",
        "kind": "",
        "outline": "fish",
        "on": "x",
    }
    assert cells_in(sent) == {"infills": "5", "fins": "?", "outline": "fish"}


def test_the_first_thing_to_ask_is_that_which_narrows_it_most(monkeypatch):
    from estimator.counter import at_once as page
    from estimator.forecast.ranges import LookNext

    said = replace(ANSWER, look_next=(LookNext("infills", 9.0), LookNext("brittle_glass", 2.0)))
    monkeypatch.setattr(page, "range_at_once", lambda _, cells: said if cells else None)
    assert hours_at_once(None, {}) is None
    found = hours_at_once(None, {"kind": "major"})
    assert (found.best, found.said[:19], len(found.drawings)) == (
        ("infills", "brittle_glass"),
        "Between 55 and 80 h",
        2,
    )

    def fails(*_):
        raise NoAnswerError("Nothing speaks of it.")

    monkeypatch.setattr(page, "range_at_once", fails)
    assert hours_at_once(None, {"kind": "major"}) == page.AtOnceHours("Nothing speaks of it.")

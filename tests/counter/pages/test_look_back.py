"""Look back: what is missing is answered on the page, a range is kept beside a rule by one press, all else stands below."""

import datetime as dt
import html
import json
import re

import pytest
from making.counter import client
from making.quarters import BOARDS, TODAY, write
from making.worker_done import WorkerAtOnce

from estimator.counter.answer_files import AsOf, KeptAnswer, PageQuestion
from estimator.counter.pages.look_back import RangeOffer, read_quarter_asked
from estimator.counter.shapes import DrawingPart, Line
from estimator.log.book.store import BookStore
from estimator.log.exchange.importing import ImportChoices, import_folder
from estimator.said.parts import Action, Heading, Table
from estimator.words.errors import UnreadableError
from estimator.words.records import Accepted, Rule
from estimator.words.settings.edit import with_accepted

QUARTER = "2026-Q3"
PAGE = f"/look-back?quarter={QUARTER}"
LACKS = [("day", "2026-05-18"), ("day", "2026-05-19"), ("day", "2026-05-25"), ("materials", "26-006"), ("ready", "26-008"), ("paid", "26-004"), ("hours", "26-003")]  # fmt: skip


def without_materials(boards=BOARDS):
    """The boards, one of them without what its materials cost."""
    return tuple((*b[:11], "", *b[12:]) if b[0] == "26-006" else b for b in boards)


@pytest.fixture
def place(tmp_path):
    return write(tmp_path / "shop", boards=without_materials())


@pytest.fixture
def counter(place):
    return client(place, today=TODAY, writes=True)


def left(counter, question, **parts):
    """Leaves an answer as the worker would."""
    held = counter.app.extensions["counter"]
    as_of = AsOf.on(held.shop.snapshot(TODAY).digest, TODAY, 0)
    KeptAnswer(as_of, {name.replace("_", " "): tuple(some) for name, some in parts.items()}).save(
        question, held.folder
    )


def asked(counter, lacks=LACKS):
    """Leaves what is missing of the quarter."""
    left(
        counter,
        PageQuestion("quarter", QUARTER),
        head=["July to September 2026"],
        gaps=[Heading("Before we count")],
        asked=[json.dumps(one) for one in lacks],
        quarter=[Heading("Did it pay?"), "Just short."],
        charges=[Heading("What I charge for what, guessed")],
    )


def now(counter):
    return counter.app.extensions["counter"].shop.snapshot(TODAY)


def test_what_is_missing_is_asked_days_that_follow_one_another_at_once(counter):
    asked(counter)
    page = counter.page(PAGE)

    assert 'name="day.2026-05-18/2026-05-19" value="did not work"' in page
    assert 'name="day.2026-05-25" value="away"' in page
    assert "Materials for plum stub" in page
    assert "still owed: 600 mk" in page
    assert 'href="/boards/26-003"' in page
    assert page.index("Before we count") < page.index('id="missing"') < page.index("Did it pay?")
    apart = counter.page(PAGE + "&apart=yes")
    assert 'name="day.2026-05-19"' in apart
    assert "/2026-05-19" not in apart


def test_all_that_is_answered_is_one_act_and_asked_no_more(counter):
    asked(counter)
    sent = {
        "day.2026-05-18/2026-05-19": "did not work",
        "day.2026-05-25": "not written down",
        "materials.26-006": "120,50",
        "ready.26-008": "2026-09-29",
        "paid.26-004": "600",
        "quarter": QUARTER,
    }
    answer = counter.send("/look-back/missing", PAGE, **sent)
    assert (answer.status_code, answer.headers["Location"]) == (303, PAGE)
    log = now(counter).whole_log
    days = [(e.date, e.last, e.hours, e.note) for e in log.entries if e.board == "shop"]
    assert days == [
        (dt.date(2026, 5, 18), dt.date(2026, 5, 19), 0.0, "did not work"),
        (dt.date(2026, 5, 25), dt.date(2026, 5, 25), 0.0, "not written down"),
    ]
    assert (log.by_id["26-006"].materials, log.by_id["26-008"].ready) == (120.5, dt.date(2026, 9, 29))
    assert (log.by_id["26-004"].paid, log.by_id["26-004"].paid_on) == (900.0, TODAY)
    page = counter.page(PAGE)
    for gone in ("day.2026", "Materials for plum stub", "still owed"):
        assert gone not in page
    assert now(counter).problems == ()


def test_a_drawing_comes_with_what_is_folded_round_it_and_not_before(counter):
    one = DrawingPart("Two of two landed inside.", 316.0, 90.0, (Line(((0.0, 1.0), (9.0, 1.0)), 1.0),))
    rows = Table(("", "said", "took"), (("plum stub", "9 to 12", "10"),))
    left(counter, PageQuestion("record"), record=["Two of two."], record_drawing=[one], record_table=[rows])
    page = counter.page(PAGE)
    assert "<svg" not in page
    way = html.unescape(
        re.search(r'href="([^"]+)#record" data-drawn="drawn-record">Show the drawing<', page)[1]
    )
    opened = counter.page(way)
    assert '<details id="record" open>' in opened
    drawn = opened[opened.index('id="drawn-record"') :]
    assert drawn.index('<svg role="img"') < drawn.index("<title>Two of two landed inside.</title>")
    assert drawn.index("The same as a table") < drawn.index("9 to 12") < drawn.index("<p>Two of two.</p>")
    assert "data-drawn" not in drawn


def test_part_of_it_may_be_answered_and_the_rest_is_asked_again(counter):
    asked(counter)
    assert counter.send("/look-back/missing", PAGE, **{"day.2026-05-25": "away"}).status_code == 303
    page = counter.page(PAGE)

    assert "2026-05-18/2026-05-19" in page
    assert "2026-05-25" not in page


@pytest.mark.parametrize(
    ("field", "typed", "said"),
    [
        ("materials.26-006", "lots", "materials.26-006"),
        ("paid.26-004", "-3", "paid.26-004"),
        ("ready.26-008", "2026-13-01", "ready.26-008"),
        ("ready.26-008", "2027-01-01", "ready.26-008"),
        ("day.2026-05-25", "asleep", "day.2026-05-25"),
    ],
)
def test_what_is_wrong_is_said_at_its_field_and_nothing_is_written(counter, field, typed, said):
    asked(counter)
    before = now(counter).digest
    answer = counter.send(
        "/look-back/missing", PAGE, quarter=QUARTER, **{field: typed, "day.2026-05-18/2026-05-19": "away"}
    )
    page = answer.get_data(as_text=True)

    assert answer.status_code == 422
    assert f'href="#f-{said}"' in page
    assert f'id="e-{said}"' in page
    assert now(counter).digest == before
    assert re.search(r'value="away" checked', page)  # what was chosen stays


def test_nothing_answered_is_said_and_odd_boards_are_refused(counter):
    asked(counter)

    assert "Nothing is answered yet." in counter.send("/look-back/missing", PAGE).get_data(as_text=True)
    assert counter.send("/look-back/missing", PAGE, **{"price.nobody": "3"}).status_code == 422
    assert counter.send("/look-back/missing", PAGE, **{"day.x/y/z": "away"}).status_code == 422


OFFER = ["metre", 9.1234567, 14.5, 21]


def offered(counter, offer=OFFER):
    """Leaves a range that can be kept beside a rule."""
    parts = [
        Heading("metre: too low"),
        "By your log it is more.",
        Action("accept", fields={"rule": offer[0]}),
    ]
    left(counter, PageQuestion("rules"), rules=parts, offers=[json.dumps(offer)])


def rules_text(counter):
    return (counter.app.extensions["counter"].folder / "workshop.toml").read_text("utf-8")


def name_of_a_rule(counter):
    return now(counter).settings.rules[0].name


def test_one_press_keeps_a_range_beside_a_rule_as_the_command_does(counter):
    name, before = name_of_a_rule(counter), rules_text(counter)
    offered(counter, [name, *OFFER[1:]])
    page = counter.page("/look-back")
    [spelt] = re.findall(r'name="offer" value="([^"]+)"', page)
    answer = counter.send("/look-back/keep", "/look-back", rule=name, offer=spelt)

    assert answer.status_code == 303
    assert answer.headers["Location"].endswith("open=rules#rules")
    assert rules_text(counter) == with_accepted(before, name, Accepted(9.1234567, 14.5, TODAY, 21))
    kept = counter.page("/look-back?open=rules")
    assert "look_back.keep" not in kept
    assert 'name="offer"' not in kept
    assert '<details id="rules" open>' in kept


def test_a_range_that_is_another_by_now_is_not_kept(counter):
    name, before = name_of_a_rule(counter), rules_text(counter)
    offered(counter, [name, *OFFER[1:]])
    answer = counter.send("/look-back/keep", "/look-back", rule=name, offer="1-2-3")

    assert answer.status_code == 422
    assert "has changed meanwhile" in answer.get_data(as_text=True)
    assert rules_text(counter) == before
    assert counter.send("/look-back/keep", "/look-back", rule="no such", offer="1-2-3").status_code == 422


def test_files_are_read_and_no_form_is_shown(place):
    reader = client(place, today=TODAY)
    asked(reader)
    offered(reader, [name_of_a_rule(reader), *OFFER[1:]])
    page = reader.page(PAGE)

    assert 'id="missing"' not in page
    assert 'name="offer"' not in page
    answer = reader.send("/look-back/missing", "/on-the-go", **{"day.2026-05-25": "away"})
    assert answer.status_code == 422
    assert "writes nothing" in answer.get_data(as_text=True)


def test_in_a_book_each_is_undone_by_one_press(place):
    import_folder(place, dt.datetime.combine(TODAY, dt.time(8)), ImportChoices())
    counter = client(place, today=TODAY)
    asked(counter)
    name = name_of_a_rule(counter)
    offered(counter, [name, *OFFER[1:]])
    log, text = now(counter).whole_log, now(counter).raw[1]
    counter.send("/look-back/missing", PAGE, **{"day.2026-05-25": "away", "materials.26-006": "120"})
    [spelt] = re.findall(r'name="offer" value="([^"]+)"', counter.page("/look-back"))
    counter.send("/look-back/keep", "/look-back", rule=name, offer=spelt)
    assert now(counter).settings.rules[0].accepted.boards == 21
    for expected in (f"range beside the rule {name}", "empty day explained, "):
        page = counter.page("/look-back")
        act = re.search(r'name="act" value="(\d+)"', page)[1]
        assert expected in page
        assert counter.send("/undo", "/look-back", act=act).status_code == 303

    assert now(counter).raw[1] == text
    assert len(now(counter).whole_log.entries) == len(log.entries)
    assert now(counter).whole_log.by_id["26-006"].materials is None
    assert isinstance(counter.app.extensions["counter"].store, BookStore)


def test_a_quarter_is_really_worked_out_with_all_that_stands_below(place):
    counter = client(place, today=TODAY, writes=True, worker=WorkerAtOnce(place))
    counter.get(PAGE)
    page = counter.page(PAGE)

    for said in ("July to September 2026", "Did it pay?", "Materials for plum stub", "The clock and the till, apart", "What made boards go over", "Nothing can be said yet: on no board is it written", "Your rules of thumb"):  # fmt: skip
        assert said in page, said
    assert "data-waiting" not in page
    for kind in ("overruns", "looks"):
        assert f'href="/paper/{kind}"' in page
        assert counter.get(f"/paper/{kind}").data[:5] == b"%PDF-"
    assert counter.get("/paper/looks/26-003").status_code == 404


def test_a_quarter_that_there_is_not_is_said_without_the_spelling_of_addresses(counter):
    page = counter.page("/look-back?quarter=foo")

    assert '<p class="wrong" role="alert">There is no such quarter. This is the last one.</p>' in page
    assert "2026-Q" not in re.sub(r"<[^>]*>", " ", page)


@pytest.mark.parametrize(
    ("asked_for", "earlier", "year", "running"),
    [
        ("2026-Q3", "2026-Q2", "2025-Q3", "2026-Q4"),
        ("2026-Q1", "2025-Q4", "2025-Q1", "2026-Q4"),
        ("", "2026-Q2", "2025-Q3", "2026-Q4"),
        ("1950-Q2", "", "", "2026-Q4"),
    ],
)
def test_the_quarter_before_and_the_same_a_year_before_are_a_press_away(
    counter, monkeypatch, asked_for, earlier, year, running
):
    held, questions = {}, []
    one = counter.app.extensions["counter"]
    answer = one.answer
    monkeypatch.setattr(
        one, "answer", lambda question: questions.append((question.kind, question.about)) or answer(question)
    )
    monkeypatch.setattr(
        "estimator.counter.pages.look_back.render_template", lambda _, **given: held.update(given) or ""
    )
    counter.get(f"/look-back?quarter={asked_for}")

    assert (held["earlier"], held["year_before"], held["running"]) == (earlier, year, running)
    assert questions[-1] == ("quarter", asked_for or "2026-Q3")  # asked last, answered first
    assert {kind for kind, _ in questions[:-1]} == {"record", "overruns", "looks", "rules"}


def test_what_stands_round_a_quarter_is_of_it(counter, monkeypatch):
    held = {}
    asked(counter)
    monkeypatch.setattr(
        "estimator.counter.pages.look_back.render_template", lambda _, **given: held.update(given) or ""
    )
    counter.get(f"{PAGE}&open=looks")
    assert (held["quarter"], held["quarter_words"], held["open"], held["wrong"]) == (QUARTER, "July to September 2026", "looks", "")  # fmt: skip
    assert (held["apart"], held["together"]) == (False, True)  # two days are one question
    assert [was for was, _ in held["day_was"]] == ["away", "did not work", "not written down"]
    assert [address for _, address in held["under"]] == ["/otherwise", "/money", "/settings", "/book", "/setting-up", "/phones"]  # fmt: skip
    assert list(held["folded"]) == ["record", "overruns", "looks", "rules"]
    counter.get(f"{PAGE}&apart=yes")
    assert (held["apart"], held["together"]) == (True, False)
    counter.send(
        "/look-back/missing",
        "/on-the-go",
        quarter="2026-Q2",
        apart="yes",
        open="rules",
        **{"day.x": "asleep"},
    )
    assert (held["quarter"], held["apart"], held["open"]) == ("2026-Q2", True, "rules")  # as it was looked at


def test_after_a_range_was_kept_one_is_back_at_the_quarter_one_looked_at(counter):
    name = name_of_a_rule(counter)
    offered(counter, [name, *OFFER[1:]])
    answer = counter.send("/look-back/keep", PAGE, rule=name, offer="9.12346-14.5-21", quarter="2026-Q2")

    assert answer.headers["Location"] == "/look-back?quarter=2026-Q2&open=rules#rules"


@pytest.mark.parametrize(
    ("text", "day", "name"),
    [("", "2026-10-12", "2026-Q3"), ("", "2026-01-01", "2025-Q4"), ("2026-Q2", "2026-10-12", "2026-Q2")],
)
def test_the_quarter_before_today_s_is_looked_back_on_unless_another_is_asked_for(text, day, name):
    assert read_quarter_asked(text, dt.date.fromisoformat(day)).name == name
    with pytest.raises(UnreadableError):
        read_quarter_asked("summer", TODAY)


@pytest.mark.parametrize(
    ("there", "kept"),
    [
        (None, False),
        ((9.1234567, 14.5, 21), True),
        ((9.12345, 14.5, 21), True),
        ((9.2, 14.5, 21), False),
        ((9.1234567, 14.7, 21), False),
        ((9.1234567, 14.5, 20), False),
    ],
)
def test_a_range_is_kept_already_where_it_stands_beside_the_rule_with_as_many_boards(there, kept):
    rule = Rule("r", accepted=there and Accepted(there[0], there[1], TODAY, there[2]))
    offer = RangeOffer(9.1234567, 14.5, 21)

    assert offer.is_kept(rule) == kept
    assert offer.spelt == "9.12346-14.5-21"


def test_quarters_are_of_the_day_from_which_one_looks(place, monkeypatch):
    held = {}
    monkeypatch.setattr(
        "estimator.counter.pages.look_back.render_template", lambda _, **given: held.update(given) or ""
    )
    client(place, today=dt.date(2025, 5, 2)).get("/look-back?quarter=foo")

    assert (held["quarter"], held["running"]) == ("2025-Q1", "2025-Q2")
    assert held["sheets"] == ("record", "overruns", "looks", "rules", "week")


@pytest.mark.parametrize("noted", [(), ("Look at Tuesday.",)])
def test_what_is_to_be_said_after_missing_days_is_said_there(counter, monkeypatch, noted):
    def taken(_, form):
        counter.app.extensions["said"] = {form.key: noted} if noted else {}
        return object()

    monkeypatch.setattr("estimator.counter.pages.look_back.take_step", taken)
    way = counter.send("/look-back/missing", "/on-the-go", quarter="2026-Q2", key="k").headers["Location"]

    assert way == "/look-back?quarter=2026-Q2" + ("&said=k" if noted else "")
    assert ("Look at Tuesday." in counter.page(way)) == bool(noted)

"""The hours of a week as the notebook has them: kept in one act, asked about where it isn't sure, and nothing lost."""

import datetime as dt
import html
import re

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from making.counter import client
from making.working_day import in_a_book, in_files

TODAY = dt.date(2026, 6, 12)  # a Friday
BOARDS = """\
26-101,red,Ines Calder,,major,9'4,,2026-05-01,,2026-05-04,2026-05-20,,,,
26-102,blue seven-nine,Odo Marsh,,major,7'9,,2026-05-01,,2026-05-04,2026-05-20,,,,
26-103,red nine-four,Tam Ludd,,major,9'4,,2026-05-01,,2026-05-04,,,,,
"""
FRIDAY = (
    "Mon red strip 4. Blue 2nd col 1½.\r\nTue blue col 5 done.\r\nWed surf.\r\nThu red let in 3 pcs 4½, "
    "red nine-four strip 2"
)
WORDS = [
    "Mon",
    "Tue",
    "Fri",
    "red",
    "blue",
    "nine-four",
    "strip",
    "sand",
    "let",
    "in",
    "3",
    "pcs",
    "4½",
    "1,5",
    "done",
    "again",
    "surf",
    "sweeping",
    "/",
    ".",
    ",",
    "?",
    "14",
    "about",
]
LOST_BEFORE = "Mon red strip 4, gren sand 2"


@pytest.fixture
def folder(tmp_path):
    (tmp_path / "shop").mkdir()
    in_a_book(tmp_path / "shop", BOARDS)
    return tmp_path / "shop"


@pytest.fixture
def counter(folder):
    return client(folder, today=TODAY)


def entries(counter):
    log = counter.app.extensions["counter"].shop.snapshot(TODAY).whole_log
    return [(e.board, e.date.day, e.stage, e.hours) for e in log.entries]


def asked(page):
    """The fields of what is asked, with the values that may be chosen."""
    found = {}
    for name, value in re.findall(r'type="radio" name="(ask-[^"]+)" value="([^"]*)"', page):
        found.setdefault(name, []).append(value)
    return found


def test_a_page_of_the_notebook_is_one_act_that_one_press_undoes(counter, folder):
    answer = counter.send("/hours", "/hours", page=FRIDAY)

    assert answer.status_code == 303
    assert entries(counter) == [
        ("26-101", 8, "strip", 4),
        ("26-102", 8, "spray", 1.5),
        ("26-102", 9, "spray", 5),
        ("shop", 10, "", 0),
        ("26-101", 11, "infill", 4.5),
        ("26-103", 11, "strip", 2),
    ]
    page = counter.page(answer.location)
    assert "6 lines of hours, 17 h. They stand under their days." in page
    shop = counter.app.extensions["counter"].shop
    assert shop.snapshot(TODAY).problems == ()
    assert shop.snapshot(TODAY).whole_log.by_id["26-103"].started == dt.date(2026, 6, 11)  # begun by it
    assert [(act.sentence, act.origin) for act in shop.acts(1)] == [("6 lines of hours, 17 h", "page")]

    act = re.search(r'name="act" value="(\d+)"', page)[1]
    counter.send("/undo", act=act)
    assert entries(counter) == []
    assert shop.snapshot(TODAY).whole_log.by_id["26-103"].started is None


def test_a_box_a_day_needs_no_day_written_and_stands_under_what_the_day_holds(counter):
    counter.send(
        "/hours", "/hours", **{"on-2026-06-08": "red strip 4", "on-2026-06-09": "red strip 1, blue col 2"}
    )
    page = counter.page("/hours")

    assert entries(counter) == [
        ("26-101", 8, "strip", 4),
        ("26-101", 9, "strip", 1),
        ("26-102", 9, "spray", 2),
    ]
    monday = page[page.index("Mon 8 June") : page.index("Tue 9 June")]
    assert "red" in monday
    assert "blue" not in monday
    assert "on-2026-06-13" not in page  # Saturday is still to come


def test_what_is_not_sure_is_asked_and_nothing_is_written_or_lost_until_it_is_answered(counter):
    answer = counter.send("/hours", "/hours", page=LOST_BEFORE, **{"on-2026-06-12": "blue sand"})
    page = answer.get_data(as_text=True)

    assert answer.status_code == 422
    assert entries(counter) == []
    for typed in (LOST_BEFORE, "blue sand"):
        assert typed in page
    questions = asked(page)
    [board] = [name for name in questions if name.startswith("ask-board-")]
    hours = re.search(r'name="(ask-hours-[^"]+)\.other"', page)[1]
    assert "26-102" in questions[board]

    # one answered: what was answered goes on standing, also when the text grows meanwhile
    grown = f"Tue red strip 2\n{LOST_BEFORE}"
    again = counter.send("/hours", "/hours", page=grown, **{"on-2026-06-12": "blue sand", board: "26-102"})
    page = again.get_data(as_text=True)
    assert board not in asked(page)
    assert f'<input type="hidden" name="{board}" value="26-102">' in page

    last = counter.send(
        "/hours",
        "/hours",
        page=LOST_BEFORE,
        **{"on-2026-06-12": "blue sand", board: "26-102", f"{hours}.other": "1:30"},
    )
    assert last.status_code == 303
    assert entries(counter) == [
        ("26-101", 8, "strip", 4),
        ("26-102", 8, "sand", 2),
        ("26-102", 12, "sand", 1.5),
    ]


def test_a_piece_that_is_no_hours_is_written_anew_in_its_place(counter):
    page = counter.send("/hours", "/hours", page="Mon red strip 4. Tue the man with the gauge came").get_data(
        as_text=True
    )
    field = re.search(r'name="(ask-(?:line|parts)-[^"]+)\.other"', page)[1]
    answer = counter.send(
        "/hours",
        "/hours",
        page="Mon red strip 4. Tue the man with the gauge came",
        **{f"{field}.other": "sweeping 1"},
    )

    assert answer.status_code == 303, answer.get_data(as_text=True)
    assert entries(counter) == [("26-101", 8, "strip", 4), ("shop", 9, "sweeping", 1)]


@pytest.mark.parametrize(
    ("typed", "first", "kept"),
    [
        ("rde sand 2", "26-101", ("26-101", 8, "sand", 2)),  # no board's name
        ("bleu strip 3, red", "26-102", ("26-102", 8, "strip", 3)),  # in front of another's
    ],
)
def test_a_word_that_is_no_boards_name_offers_the_boards_in_hand(counter, typed, first, kept):
    page = counter.send("/hours", "/hours", page=f"Mon {typed}").get_data(as_text=True)
    name, values = next((n, v) for n, v in asked(page).items() if n.startswith(("ask-board-", "ask-line-")))
    assert values[0] == first
    assert set(values) - {"shop"} == {"26-101", "26-102", "leave"}
    assert values[-1] == "leave"

    answer = counter.send("/hours", "/hours", page=f"Mon {typed}", **{name: kept[0]})
    assert answer.status_code == 303, answer.get_data(as_text=True)
    assert entries(counter) == [kept]


def test_one_time_on_several_boards_is_shared_or_all_on_one_of_them(counter):
    text = "Mon red and blue strip 5"
    page = counter.send("/hours", "/hours", page=text).get_data(as_text=True)
    [(name, values)] = asked(page).items()
    assert values == ["shared", "26-101", "26-102", "leave"]
    for says in ("shared evenly: 2½ h each", "all on red", "all on blue seven-nine"):
        assert says in page
    assert f'name="{name}.other"' in page  # or written anew

    assert counter.send("/hours", "/hours", page=text, **{name: "shared"}).status_code == 303
    assert entries(counter) == [("26-101", 8, "strip", 2.5), ("26-102", 8, "strip", 2.5)]


def test_what_is_of_no_hours_is_kept_as_a_note_and_stands_under_its_day(counter):
    answer = counter.send("/hours", "/hours", page="Mon red strip 4\r\nTue: blue 6.4 kg, soft at the tail")

    assert answer.status_code == 303, answer.get_data(as_text=True)
    page = counter.page(answer.location)
    assert "1 line of hours, 4 h, 1 note. They stand under their days." in page
    assert "blue seven-nine, a note: blue 6.4 kg, soft at the tail" in page
    shop = counter.app.extensions["counter"].shop
    assert shop.snapshot(TODAY).problems == ()
    notes = shop.snapshot(TODAY).whole_log.notes
    assert [(note.board, note.date.day, note.text) for note in notes] == [
        ("26-102", 9, "blue 6.4 kg, soft at the tail")
    ]

    act = re.search(r'name="act" value="(\d+)"', page)[1]
    counter.send("/undo", act=act)
    assert shop.snapshot(TODAY).whole_log.notes == ()
    assert entries(counter) == []


def test_a_page_of_notes_alone_is_read_back_and_kept(counter):
    shown = counter.send("/hours", "/hours", page="Tue blue 6.4 kg", only_read="yes").get_data(as_text=True)
    assert "Read back" in shown
    assert "a note" in shown
    answer = counter.send("/hours", "/hours", page="Tue blue 6.4 kg")
    assert answer.status_code == 303
    assert "1 note. They stand" in counter.page(answer.location)


def test_time_on_no_board_may_be_the_answer(counter):
    page = counter.send("/hours", "/hours", page="Mon waxed the bench 1").get_data(as_text=True)
    [name] = [name for name in asked(page) if name.startswith("ask-board-")]
    answer = counter.send("/hours", "/hours", page="Mon waxed the bench 1", **{name: "shop"})

    assert answer.status_code == 303, answer.get_data(as_text=True)
    assert entries(counter) == [("shop", 8, "waxed the bench", 1)]


def test_what_is_said_to_be_done_is_kept_with_its_hours(counter):
    counter.send("/hours", "/hours", page="Mon red strip 4")
    answer = counter.send("/hours", "/hours", page="Tue red strip done")

    assert answer.status_code == 303, answer.get_data(as_text=True)
    log = counter.app.extensions["counter"].shop.snapshot(TODAY).whole_log
    assert [(e.hours, e.done) for e in log.entries] == [(4, True)]


def test_done_is_kept_with_the_last_hours_of_its_board_and_stage(counter):
    counter.send("/hours", "/hours", page="Mon red strip 4, red sand 1. Tue red strip 2, blue strip 1")
    counter.send("/hours", "/hours", page="Wed red let in 3 pcs 2")
    answer = counter.send("/hours", "/hours", page="Thu red strip done")

    assert answer.status_code == 303, answer.get_data(as_text=True)
    log = counter.app.extensions["counter"].shop.snapshot(TODAY).whole_log
    assert [(e.board, e.stage, e.hours) for e in log.entries if e.done] == [("26-101", "strip", 2)]


def test_done_without_any_hours_is_refused_and_no_row_of_none_is_written(counter):
    text = "Mon red strip done"
    page = counter.send("/hours", "/hours", page=text).get_data(as_text=True)
    answers = {f"{name}.other": "0 h" for name in re.findall(r'name="(ask-hours-[^"]+)\.other"', page)}
    answer = counter.send("/hours", "/hours", page=text, **answers)

    assert answer.status_code == 422
    assert "No hours are written of what is said to be done." in answer.get_data(as_text=True)
    assert entries(counter) == []


@pytest.mark.parametrize(("said", "hours"), [("same", [4]), ("more", [4, 4])])
def test_the_same_board_and_stage_again_is_asked(counter, said, hours):
    counter.send("/hours", "/hours", page="Mon red strip 4")
    page = counter.send("/hours", "/hours", page="Mon red strip 4. Tue red strip 1").get_data(as_text=True)
    [(name, values)] = asked(page).items()
    assert values == ["same", "more"]

    counter.send("/hours", "/hours", page="Mon red strip 4. Tue red strip 1", **{name: said})
    assert [e[3] for e in entries(counter)] == [*hours, 1]


def test_the_same_hours_in_two_boxes_are_asked_too(counter):
    answer = counter.send("/hours", "/hours", page="Mon red strip 4", **{"on-2026-06-08": "red strip 4"})

    assert list(asked(answer.get_data(as_text=True)).values()) == [["same", "more"]]


def test_a_day_off_that_stands_there_already_is_not_written_twice(counter):
    for text in ("Wed surf", "Wed surf. Thu red strip 1"):
        assert counter.send("/hours", "/hours", page=text).status_code == 303
    assert entries(counter) == [("shop", 10, "", 0), ("26-101", 11, "strip", 1)]


def test_what_another_phone_wrote_meanwhile_is_seen_when_it_is_written(counter, folder):
    shown = counter.page("/hours")
    other = client(folder, today=TODAY)
    other.send("/hours", "/hours", page="Mon red strip 4")
    assert shown
    answer = counter.send("/hours", "/hours", page="Mon red strip 4")

    assert answer.status_code == 422
    assert "red has 4 h of “Strip old glass” on Mon 8 June 2026 already" in answer.get_data(as_text=True)
    assert len(entries(counter)) == 1


def test_a_resent_form_is_one_act(counter):
    for _ in range(2):
        answer = counter.send("/hours", "/hours", key="k", page="Mon red strip 4")
        assert answer.status_code == 303
    assert len(entries(counter)) == 1
    assert "These were kept already." in counter.page(answer.location)


def test_only_reading_it_back_writes_nothing(counter):
    answer = counter.send("/hours", "/hours", page="Mon red strip 4", only_read="yes")
    page = answer.get_data(as_text=True)

    assert "Read back" in page
    assert "Nothing is kept yet." in page
    assert entries(counter) == []


def test_an_empty_page_says_how_hours_are_written(counter):
    answer = counter.send("/hours", "/hours")

    assert answer.status_code == 422
    assert "No hours are written there. Write them as" in answer.get_data(as_text=True)


@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    text=st.text(max_size=60) | st.lists(st.sampled_from(WORDS), max_size=12).map(" ".join),
    name=st.sampled_from(["page", "on-2026-06-08", "on-2026-06-12"]),
    answer=st.text(max_size=12),
)
def test_whatever_is_typed_is_read_or_asked_and_stands_there_still(counter, text, name, answer):
    shown = counter.send("/hours", "/hours", only_read="yes", **{name: text}).get_data(as_text=True)
    fields = dict.fromkeys(asked(shown), answer) | dict.fromkeys(
        re.findall(r'name="(ask-[^"]+\.other)"', shown), answer
    )
    again = counter.send("/hours", "/hours", only_read="yes", **{name: text}, **fields)

    assert again.status_code == 422
    boxes = html.unescape(again.get_data(as_text=True))
    if not any("line-" in field or "parts-" in field for field in fields):
        assert "\n".join(text.splitlines()) in "\n".join(boxes.splitlines())


def test_another_week_and_odd_ones(counter):
    assert "Mon 1 June 2026" in counter.page("/hours?week=2026-06-03")
    for odd in ("9999-12-31", "x", "0001-01-01", "2026-06-40"):
        assert "Hours of the week" in counter.page(f"/hours?week={odd}")
    assert counter.send("/hours", "/hours", week="0001-01-01", page="red strip 4").status_code == 422


def test_a_log_in_files_is_shown_and_not_written(tmp_path):
    (tmp_path / "files").mkdir()
    in_files(tmp_path / "files", BOARDS)
    counter = client(tmp_path / "files", today=TODAY)

    assert "<textarea" not in counter.page("/hours")
    assert counter.send("/hours", "/hours", page="Mon red strip 4").status_code == 422


def test_at_the_end_of_the_week_three_things_are_asked_at_most(counter, folder):
    """Strip is pre-chosen as finished, since pieces were let in; Wednesday is surf, Monday and Tuesday are written."""
    del folder
    answer = counter.send("/hours", "/hours", page="Mon red strip 4. Tue red let in 3 pcs 4½")
    page = counter.page(answer.headers["Location"])
    asked_at_end = page.partition("Before you put the pencil down")[2].partition("</form>")[0]
    fields = re.findall(r'type="radio" name="([^"]+)" value="([^"]*)"( checked)?', asked_at_end)
    names = dict.fromkeys(name for name, _, _ in fields)

    assert [one for one in names if one.startswith("day.")] == ["day.2026-06-10", "day.2026-06-11"]
    assert "red: is “Strip old glass” finished?" in asked_at_end
    assert "Hours of “Let in foam” are written after it." in asked_at_end
    assert [(value, bool(on)) for name, value, on in fields if name.startswith("stage.")] == [
        ("yes", True),
        ("no", False),
    ]
    [stage] = [name for name in names if name.startswith("stage.")]
    answer = counter.send(
        "/hours/end", "/hours", **{stage: "yes", "day.2026-06-10": "did not work", "week": "2026-06-08"}
    )
    assert answer.status_code == 303
    page = counter.page(answer.headers["Location"])
    assert "End of the week: 1 stage looked over, 1 empty day explained." in page
    assert "Before you put the pencil down" not in page
    log = counter.app.extensions["counter"].shop.snapshot(TODAY).whole_log
    assert [e.done for e in log.entries if e.stage == "strip"] == [True]
    assert "Before you put the pencil down" not in counter.page("/hours")


def test_today_may_still_be_written_and_is_not_asked_about(counter):
    answer = counter.send(
        "/hours", "/hours", page="Mon red strip 4. Tue red strip 2. Wed red strip 1. Thu red strip 2"
    )

    assert "Before you put the pencil down" not in counter.page(answer.headers["Location"])


def test_of_four_things_at_the_end_of_the_week_the_last_is_not_asked(counter):
    answer = counter.send("/hours", "/hours", page="Mon red strip 4, red let in 3 pcs 2")
    page = counter.page(answer.headers["Location"])
    names = dict.fromkeys(re.findall(r'type="radio" name="((?:stage|day)\.[^"]+)"', page))

    assert list(names) == ["stage.strip.26-101", "day.2026-06-09", "day.2026-06-10"]  # Thursday is empty too


@pytest.mark.parametrize(
    ("odd", "said"),
    [
        ({}, "Nothing is answered yet."),
        ({"stage.": "yes"}, ""),
        ({"stage.juggle.26-102": "yes"}, "juggle"),
        ({"stage.strip.26-101": "yes"}, "No hours are written on red,"),
        ({"stage.sand.nobody": "yes"}, "nobody"),
        ({"day.2026-06-10": "ill"}, "“ill” is no answer here"),
        ({"day.2026-06-13": "away"}, "That day is still to come."),
        ({"day.x": "away"}, ""),
    ],
)
def test_what_is_odd_at_the_end_of_the_week_is_said_and_nothing_is_written(counter, odd, said):
    counter.send("/hours", "/hours", page="Mon blue sand 1")
    answer = counter.send("/hours/end", "/hours", week="2026-06-08", **odd)
    said_in_page = html.unescape(answer.get_data(as_text=True)).replace('"ill"', "“ill”")

    assert answer.status_code == 422
    assert said in said_in_page
    log = counter.app.extensions["counter"].shop.snapshot(TODAY).whole_log
    assert [(e.board, e.stage, e.done) for e in log.entries] == [("26-102", "sand", None)]

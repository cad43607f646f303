"""Two phones at once, a double tap, a form sent again, a server that is killed, a page that stays open for a week."""

import datetime as dt
import re
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest
from making.counter import HOST, KEY, TOKEN, Visitor, client
from making.working_day import MAY, in_a_book

from estimator.counter.app import create_app
from estimator.counter.own_process import surroundings
from estimator.shop import Shop

RED, FISH = "26-001", "26-002"
HOURS = f"/boards/{RED}/write/hours"
KILLED = """
import os, pathlib, signal, sys
sys.path.insert(0, {tests!r})
from making.counter import Visitor
from estimator.counter.app import create_app
from estimator.log.book.act import BookAct
import datetime as dt

append, seen = BookAct.append, []
def killed_at_the_second_row(self, *given):
    if len(seen) == 1:
        os.kill(os.getpid(), signal.SIGKILL)
    seen.append(given)
    return append(self, *given)
BookAct.append = killed_at_the_second_row
counter = Visitor(create_app({folder!r}, today=dt.date(2026, 5, 8)))
counter.send("/hours", "/hours", key="k", page={page!r})
"""


@pytest.fixture
def folder(tmp_path):
    (tmp_path / "shop").mkdir()
    in_a_book(tmp_path / "shop")
    return tmp_path / "shop"


@pytest.fixture
def clock():
    return [MAY]


@pytest.fixture
def app(folder, clock):
    return create_app(folder, clock=lambda: clock[0])


def form_on(phone, path):
    """What a form on a page carries, as a browser would send it."""
    text = phone.page(path)
    return {"token": TOKEN.search(text)[1], "key": KEY.search(text)[1]}


def post(phone, path, fields):
    return phone.browser.post(
        path, data=fields, headers={"Host": HOST, "Origin": f"http://{HOST}"}, buffered=True
    )


def entries(folder):
    log = Shop.open(folder, today=MAY + dt.timedelta(days=30)).log
    return sorted((e.board, e.date.isoformat(), e.stage, e.hours) for e in log.entries)


def test_two_phones_that_write_to_one_board_at_once_lose_nothing(app, folder):
    phones = [Visitor(app), Visitor(app)]
    forms = [[form_on(phone, HOURS) for _ in range(5)] for phone in phones]

    def writes(at):
        return [
            post(phones[at], HOURS, {**form, "stage": "strip", "hours": f"{at + 1}.{n}"}).status_code
            for n, form in enumerate(forms[at])
        ]

    with ThreadPoolExecutor(2) as both:
        assert list(both.map(writes, range(2))) == [[303] * 5] * 2
    assert [hours for *_, hours in entries(folder)] == [1.0, 1.1, 1.2, 1.3, 1.4, 2.0, 2.1, 2.2, 2.3, 2.4]
    shop = Shop.open(folder, today=MAY)
    assert shop.problems == ()
    assert len(shop.acts(100)) == 11  # the log so far, and one act each


def test_two_phones_that_say_the_same_thing_of_one_board_are_told(app, folder):
    phones = [Visitor(app), Visitor(app)]
    path = f"/boards/{RED}/write/stopped"
    forms = [form_on(phone, path) for phone in phones]
    answers = [
        post(phone, path, {**form, "cause": "parts"}) for phone, form in zip(phones, forms, strict=True)
    ]

    assert [answer.status_code for answer in answers] == [303, 422]
    said = answers[1].get_data(as_text=True)
    assert "stands already, since Mon 4 May 2026" in said
    assert len(Shop.open(folder, today=MAY).log.waits) == 1


def test_a_double_tap_is_one_act(app, folder):
    phone = Visitor(app)
    form = {**form_on(phone, HOURS), "stage": "strip", "hours": "2"}
    with ThreadPoolExecutor(4) as taps:
        answers = list(
            taps.map(lambda _: post(Visitor(app), HOURS, form) and post(phone, HOURS, form), range(4))
        )

    assert {answer.status_code for answer in answers} == {303}
    assert [hours for *_, hours in entries(folder)] == [2]


def test_a_form_sent_again_is_one_act_and_after_going_back_another_press_is_another(app, folder):
    phone = Visitor(app)
    form = {**form_on(phone, HOURS), "stage": "strip", "hours": "2"}
    for _ in range(2):
        assert post(phone, HOURS, form).status_code == 303
    assert len(entries(folder)) == 1

    assert post(phone, HOURS, {**form, "hours": "3"}).status_code == 303
    assert [hours for *_, hours in entries(folder)] == [2, 3]


def test_going_back_to_a_button_that_was_pressed_does_not_undo_what_came_after(app, folder):
    phone = Visitor(app)
    for hours in ("2", "3"):
        post(phone, HOURS, {**form_on(phone, HOURS), "stage": "strip", "hours": hours})
    page = phone.page(f"/boards/{RED}")
    undo = {"token": TOKEN.search(page)[1], "act": re.search(r'name="act" value="(\d+)"', page)[1]}
    assert [post(phone, "/undo", undo).status_code for _ in range(2)] == [303, 422]
    assert [hours for *_, hours in entries(folder)] == [2]


def test_a_server_killed_in_the_middle_of_an_act_wrote_nothing_and_the_form_sent_again_is_kept_once(folder):
    page = "Mon red strip 4. Tue red strip 2. Wed red strip 1"
    tests = str(Path(__file__).parents[1])
    code = KILLED.format(tests=tests, folder=str(folder), page=page)
    process = subprocess.run([sys.executable, "-c", code], env=surroundings(), check=False, timeout=60)
    assert process.returncode == -9
    assert entries(folder) == []
    assert Shop.open(folder, today=MAY).log.by_id[RED].started is None

    again = client(folder, today=dt.date(2026, 5, 8))
    for _ in range(2):
        assert again.send("/hours", "/hours", key="k", page=page).status_code == 303
    assert [hours for *_, hours in entries(folder)] == [4, 2, 1]


def test_what_a_command_writes_meanwhile_is_seen_and_neither_is_lost(app, folder):
    phone = Visitor(app)
    form = form_on(phone, HOURS)
    command = Shop.open(folder, today=MAY)
    page = command.read_hours("red clean 1", day=MAY)
    command.write_hours(page.lines)

    assert "Clean" in phone.page("/hours")
    assert post(phone, HOURS, {**form, "stage": "strip", "hours": "2"}).status_code == 303
    assert [stage for _, _, stage, _ in entries(folder)] == ["clean", "strip"]


def test_a_board_that_was_fetched_meanwhile_takes_no_hours_and_what_was_typed_stays(app, folder):
    phones = [Visitor(app), Visitor(app)]
    mine = form_on(phones[0], HOURS)
    path = f"/boards/{RED}/write/gave-back"
    assert post(phones[1], path, {**form_on(phones[1], path), "kept": "0"}).status_code == 303
    answer = post(
        phones[0], HOURS, {**mine, "stage": "strip", "hours.other": "2.75", "note": "by the window"}
    )

    assert answer.status_code == 422
    said = answer.get_data(as_text=True)
    assert "2.75" in said
    assert "by the window" in said
    assert entries(folder) == []


def test_a_page_that_stays_open_for_a_week_still_writes_also_when_the_server_was_begun_anew(
    folder, app, clock
):
    phone = Visitor(app)
    friday, hours = form_on(phone, "/hours"), form_on(phone, HOURS)
    clock[0] = MAY + dt.timedelta(days=8)
    later = create_app(folder, clock=lambda: clock[0])
    phone.app, cookies = later, phone.browser
    phone.browser = later.test_client()
    for cookie in cookies._cookies.values():
        phone.browser._cookies[cookie._storage_key] = cookie

    # hours now are of the day on which they are pressed; a weekday is of the week that the page shows
    assert post(phone, HOURS, {**hours, "stage": "strip", "hours": "2"}).status_code == 303
    answer = post(phone, "/hours", {**friday, "week": MAY.isoformat(), "page": "Tue red strip 1"})
    assert answer.status_code == 303
    assert answer.location.startswith(f"/hours?week={MAY}")
    assert [(day, hours) for _, day, _, hours in entries(folder)] == [("2026-05-05", 1), ("2026-05-12", 2)]
